"""The states of a flight and its whole burn against every limit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TypeAlias

from planner.flight.burn import (
    Crossing,
    Least,
    Point,
    Stretch,
    airborne,
    crossings,
    least_margin,
    mass_crossing,
    stretches,
)
from planner.flight.doubt import At, StepsAt, doubtful_point, places
from planner.flight.envelope import ORDER, Doubt, LimitResult, judge, result
from planner.flight.fuel import Draw, Off, Stage
from planner.flight.limits import ALL_SEATS, Limit, Place
from planner.flight.loading import Variant
from planner.flight.model import Model
from planner.plan.results import BurnResult, State
from planner.quantities.effects import SIDES, Effect, Gradient, Side, steps
from planner.quantities.moments import percent_mac

# What each place of the burn makes of everything unsure, by the volumes there.
Known: TypeAlias = dict[tuple[float, ...], tuple[Effect, ...]]


def _state(here: Model, name: Place, at: At) -> State:
    volumes = at[0]
    sum_, effects = here.total_with(volumes), here.effects_with(*at)
    percent: float | str = "no mean aerodynamic chord in the profile"
    if here.chord is not None:
        percent = percent_mac(sum_.centre_of_gravity, *here.chord)
    limits = tuple(judge(limit, sum_, effects) for limit in here.at(name))
    return State(
        name=name,
        total=sum_,
        fuel=math.fsum(volumes),
        volumes=tuple(volumes),
        percent_mac=percent,
        limits=limits,
        effects=effects,
    )


def states(here: Model, draws: Sequence[Draw], off: Mapping[Stage, Off]) -> tuple[State, ...]:
    """Ramp, take-off, landing and zero-fuel state, each against its own mass limit and every CG limit."""
    return tuple(_state(here, name, at) for name, at in places(here.full, draws, off).items())


def path_of(here: Model, draws: Sequence[Draw]) -> tuple[Stretch, ...]:
    """The whole burn from the ramp to the last usable fuel."""
    taxi_time = math.fsum(draw.duration for draw in draws if draw.stage == "taxi")
    tanks = [each.tank for each in here.tanks]
    return stretches(here.zero_fuel, tanks, here.density.density, draws, taxi_time)


def least_along(
    here: Model, variant: Variant, bound: Limit, path: Sequence[Stretch], known: Known
) -> tuple[Least, LimitResult] | None:
    """The least margin of one limit along its stretches as a checked limit, with the first place whose margin
    is larger but no longer shown, if there is one; None where nothing is burnt. `known` is kept for one burn.
    """
    least = least_margin(path, bound)
    if least is None:
        return None

    def effects_at(point: Point) -> tuple[Effect, ...]:
        found = known.get(point.volumes)
        if found is None:
            found = known[point.volumes] = here.effects_with(point.volumes, point.changes)
        return (*found, *variant.effects)

    def steps_towards(side: Side) -> StepsAt:
        return lambda point: steps(effects_at(point), side)

    def judged(point: Point) -> LimitResult:
        return judge(bound, point.total, effects_at(point), along=True)

    checked, doubt = judged(least.point), None
    if checked.verdict == "inside" and (
        here.unsure or variant.effects or any(stretch.unsure for stretch in path)
    ):
        bends = any(each.tank.breaks() for each in here.tanks)
        for side in SIDES if bends else SIDES[:1]:
            doubtful = doubtful_point(path, bound, steps_towards(side))
            if doubtful is not None:
                other = judged(doubtful)
                doubt = Doubt(other.margin, other.uncertainty, doubtful.fuel)
                break
    named = least.limit + variant.suffix
    return replace(least, limit=named), replace(
        checked,
        name=f"{named}, whole burn",
        verdict=checked.verdict if doubt is None else "not shown inside",
        doubt=doubt,
        base=least.limit,
        variant=variant.suffix,
    )


def burn(here: Model, draws: Sequence[Draw]) -> BurnResult:
    """The whole burn from the ramp to the last usable fuel: least margins with their uncertainty, and every
    crossing.
    """
    path = path_of(here, draws)
    least: list[Least] = []
    limits: list[LimitResult] = []
    crossed: list[Crossing] = []
    known: Known = {}
    for variant, bound, stretches_ in here.asked_along(path):
        found = least_along(here, variant, bound, stretches_, known)
        if found is None:
            continue
        least.append(found[0])
        limits.append(found[1])
        crossed += [replace(each, limit=each.limit + variant.suffix) for each in crossings(stretches_, bound)]
    if here.landing is not None:
        crossed += mass_crossing(airborne(path), "maximum landing mass", here.landing)
    crossed += mass_crossing(path, "least mass of the envelope", here.envelope.least_mass, upper=False)
    order = sorted(crossed, key=lambda each: -each.point.fuel)
    return BurnResult(path, tuple(least), tuple(limits), tuple(order))


def load_limits(here: Model, draws: Sequence[Draw]) -> tuple[LimitResult, ...]:
    """Every limit of the register on what is aboard: of the load, of the fuel as filled, and all along the
    burn.
    """
    loads = {each.station: each for each in here.loading.stations}
    masses = {name: [mass for _, mass, _ in each.masses] for name, each in loads.items()}
    # Volumes are straight between the corners of the burn, so a limit on them is tightest at one of these.
    corners = [here.full, *((draw.end, draw.end_changes) for draw in draws)]
    found = []
    for limit in here.aboard():
        if limit.place != "load":
            asked = corners if limit.place == "burn" else corners[:1]
            checks = [
                result(limit, *here.held(limit, volumes, changes), Gradient(mass=1.0))
                for volumes, changes in asked
            ]
            found.append(max(checks, key=lambda check: (ORDER.index(check.verdict), -check.margin)))
        elif limit.asked(loads):
            value = limit.of_load(masses)
            if not limit.forbids or value > 0:
                effects = [
                    Effect(cause, weight * u, 0.0)
                    for station, seat, weight in limit.seats
                    if station in loads
                    for at, (cause, _, u) in enumerate(loads[station].masses)
                    if u and seat in (ALL_SEATS, at)
                ]
                found.append(result(limit, value, effects, Gradient(mass=1.0)))
    return tuple(found)
