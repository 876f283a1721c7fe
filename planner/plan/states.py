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
    crossings,
    least_margin,
    mass_crossing,
    shifted,
    stretches,
)
from planner.flight.doubt import Off, StepsAt, doubtful_point
from planner.flight.envelope import ORDER, Doubt, LimitResult, judge, result
from planner.flight.fuel import Changes, Draw, Stage
from planner.flight.limits import ALL_SEATS, Limit, Place
from planner.flight.model import Model
from planner.plan.results import BurnResult, State
from planner.quantities.effects import SIDES, Effect, Gradient, Side, steps
from planner.quantities.moments import percent_mac

# Usable volumes [m3] per tank, and what every cause of uncertainty does to each.
_At: TypeAlias = tuple[tuple[float, ...], tuple[Changes, ...]]


def _state(here: Model, name: Place, at: _At, off: Off | None = None) -> State:
    volumes, changes = at
    sum_, effects = here.total_with(volumes), here.effects_with(volumes, changes, off)
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
    """Ramp, take-off, landing and zero-fuel state, each against its own mass limit and every CG limit.

    Where the fuel runs out before landing, the landing state is that without usable fuel (the fuel plan says
    so).
    """
    full: _At = tuple(each.volume for each in here.tanks), tuple(each.changes for each in here.tanks)
    takeoff = _after(draws, full, "taxi")
    landing = _after(draws, takeoff, "trip")
    empty: _At = tuple(0.0 for _ in here.tanks), ()
    at: dict[Place, tuple[_At, Off | None]] = {
        "ramp": (full, None),
        "takeoff": (takeoff, off.get("taxi")),
        "landing": (landing, off.get("trip")),
        "zero fuel": (empty, None),
    }
    return tuple(_state(here, name, volumes, bent) for name, (volumes, bent) in at.items())


def _after(draws: Sequence[Draw], start: _At, stage: str) -> _At:
    """Volumes and what is unsure about them after the last draw of a stage; `start` where the stage has
    none.
    """
    return next(((draw.end, draw.end_changes) for draw in reversed(draws) if draw.stage == stage), start)


def burn(here: Model, draws: Sequence[Draw]) -> BurnResult:
    """The whole burn from the ramp to the last usable fuel: least margins with their uncertainty, and every
    crossing.

    Where the profile has massless moment changes, the airborne part is checked without them, with each, and
    with the worst together.
    """
    taxi_time = math.fsum(draw.duration for draw in draws if draw.stage == "taxi")
    path = stretches(
        here.zero_fuel, [each.tank for each in here.tanks], here.density.density, draws, taxi_time
    )
    airborne = tuple(stretch for stretch in path if stretch.stage != "taxi")
    least: list[Least] = []
    limits: list[LimitResult] = []
    crossed: list[Crossing] = []
    known: dict[tuple[float, ...], tuple[Effect, ...]] = {}  # every limit asks about the same few places
    for variant in here.variants:
        stretches_ = shifted(airborne, variant.moment) if variant.names else path
        for bound in here.at("burn"):
            if variant.names and (bound.axis == "lateral" or variant.only not in ("", bound.group)):
                # a moment change does not move the CG sideways, and what helps needs no check of its own
                continue
            found = least_margin(stretches_, bound)
            if found is None:
                continue
            named = replace(found, limit=found.limit + variant.suffix)
            least.append(named)
            checked = _burn_limit(here, named, bound, stretches_, variant.effects, known)
            limits.append(replace(checked, base=found.limit, variant=variant.suffix))
            crossed += [
                replace(each, limit=each.limit + variant.suffix) for each in crossings(stretches_, bound)
            ]
    if here.landing is not None:
        crossed += mass_crossing(airborne, "maximum landing mass", here.landing)
    crossed += mass_crossing(path, "least mass of the envelope", here.envelope.least_mass, upper=False)
    order = sorted(crossed, key=lambda each: -each.point.fuel)
    return BurnResult(path, tuple(least), tuple(limits), tuple(order))


def _burn_limit(
    here: Model,
    least: Least,
    bound: Limit,
    path: Sequence[Stretch],
    extra: Sequence[Effect],
    known: dict[tuple[float, ...], tuple[Effect, ...]],
) -> LimitResult:
    """The least margin of the burn as a checked limit, and the first place whose margin is larger but no
    longer shown, if there is one.
    """

    def effects_at(point: Point) -> tuple[Effect, ...]:
        found = known.get(point.volumes)
        if found is None:
            found = known[point.volumes] = here.effects_with(point.volumes, point.changes)
        return (*found, *extra)

    def steps_towards(side: Side) -> StepsAt:
        return lambda point: steps(effects_at(point), side)

    def judged(point: Point) -> LimitResult:
        return replace(
            judge(bound, point.total, effects_at(point), along=True), name=f"{least.limit}, whole burn"
        )

    at_least = judged(least.point)
    if at_least.verdict != "inside" or not (here.unsure or extra or any(stretch.unsure for stretch in path)):
        return at_least
    bends = any(each.tank.breaks() for each in here.tanks)
    for side in SIDES if bends else SIDES[:1]:
        doubtful = doubtful_point(path, bound, steps_towards(side))
        if doubtful is not None:
            other = judged(doubtful)
            return replace(
                at_least,
                verdict="not shown inside",
                doubt=Doubt(other.margin, other.uncertainty, doubtful.fuel),
            )
    return at_least


def load_limits(here: Model, draws: Sequence[Draw]) -> tuple[LimitResult, ...]:
    """Every limit of the register on what is aboard: of the load, of the fuel as filled, and all along the
    burn.
    """
    loads = {each.station: each for each in here.loading.stations}
    masses = {name: [mass for _, mass, _ in each.masses] for name, each in loads.items()}
    full: _At = tuple(each.volume for each in here.tanks), tuple(each.changes for each in here.tanks)
    # Volumes are straight between the corners of the burn, so a limit on them is tightest at one of these.
    corners = [full, *((draw.end, draw.end_changes) for draw in draws)]
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
