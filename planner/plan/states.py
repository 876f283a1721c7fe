"""The states of a flight and its whole burn against every limit."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeAlias

from planner.density.basis import DensityUsed
from planner.flight.burn import (
    Bound,
    Crossing,
    Least,
    Point,
    Stretch,
    bounds,
    crossings,
    least_margin,
    mass_crossing,
    shifted,
    stretches,
)
from planner.flight.doubt import doubtful_point
from planner.flight.envelope import (
    ORDER,
    Doubt,
    LimitResult,
    centre_limits,
    edge_limit,
    lateral_limits,
    mass_limit,
    result,
)
from planner.flight.fuel import EMPTY, Changes, Draw, FuelTank, Off, Stage
from planner.flight.limits import ALL_SEATS, Limit, MassBound, Place, mass_bounds, register
from planner.flight.loading import Loading, variants
from planner.plan.results import BurnResult, State, TankFuel
from planner.quantities.effects import (
    FAR,
    FUEL_DENSITY,
    SIDES,
    Effect,
    Gradient,
    Side,
    steps,
    tank_lateral_arm,
)
from planner.quantities.moments import Total, percent_mac, total
from planner.quantities.polygon import Envelope
from planner.records.aircraft.record import Aircraft

# Usable volumes [m3] per tank, and what every cause of uncertainty does to each.
_At: TypeAlias = tuple[tuple[float, ...], tuple[Changes, ...]]


@dataclass(frozen=True, slots=True)
class Situation:
    """What every state of one plan shares."""

    aircraft: Aircraft
    category: str
    envelope: Envelope
    lateral: tuple[float, float] | None
    loading: Loading
    tanks: tuple[TankFuel, ...]
    density: DensityUsed
    zero_fuel: Total

    @property
    def unsure(self) -> bool:
        """Whether any input of the loading or the fuel carries an uncertainty."""
        tanks = any(
            each.changes or each.tank.arm_us or each.tank.unusable_u or each.tank.lateral_u
            for each in self.tanks
        )
        return bool(self.loading.effects or self.density.u or tanks)

    def total_with(self, volumes: Sequence[float]) -> Total:
        """Mass and moments with these usable volumes [m3] in the tanks."""
        rho = self.density.density
        return Total(
            self.zero_fuel.mass + rho * math.fsum(volumes),
            self.zero_fuel.moment
            + rho * math.fsum(t.tank.volume_moment(v) for t, v in zip(self.tanks, volumes, strict=True)),
            self.zero_fuel.lateral_moment
            + rho * math.fsum(t.tank.lateral_arm * v for t, v in zip(self.tanks, volumes, strict=True)),
        )

    def effects_with(
        self, volumes: Sequence[float], changes: Sequence[Changes], off: Off | None = None
    ) -> tuple[Effect, ...]:
        """Effects of every input's uncertainty with these usable volumes [m3], each unsure by `changes`
        (cause -> change [m3]).

        `off` is what they are with less and with more of a cause, where the burn bends.
        """
        rho, u_rho = self.density.density, self.density.u
        found = list(self.loading.effects)
        if u_rho and math.fsum(volumes) > EMPTY:
            mass = u_rho * math.fsum(volumes)
            moment = u_rho * math.fsum(
                each.tank.volume_moment(v) for each, v in zip(self.tanks, volumes, strict=True)
            )
            lateral = u_rho * math.fsum(
                each.tank.lateral_arm * v for each, v in zip(self.tanks, volumes, strict=True)
            )
            found.append(Effect(FUEL_DENSITY, mass, moment, lateral))
        for index, (each, volume, unsure) in enumerate(
            zip(self.tanks, volumes, changes or [{}] * len(self.tanks), strict=True)
        ):
            tank = each.tank
            for cause in dict.fromkeys([*unsure, *(off or {})]):
                found += self._of_volume(
                    tank, volume, cause, unsure.get(cause, 0.0), _turns(off, cause, index, volume)
                )
            if volume:
                found += [Effect(cause, 0.0, rho * change) for cause, change in tank.arm_effects(volume)]
            if tank.lateral_u and volume:
                found.append(Effect(tank_lateral_arm(tank.name), 0.0, 0.0, rho * volume * tank.lateral_u))
        return tuple(found)

    def _of_volume(
        self, tank: FuelTank, volume: float, cause: str, change: float, turns: tuple[float, float] | None
    ) -> list[Effect]:
        """What a change of the volume in a tank [m3] does; for both sides where the burn or the tank's arm
        table bends within reach.
        """
        rho = self.density.density
        less, more = turns or (change, change)
        reach = FAR * max(abs(change), abs(less), abs(more))
        bends = any(abs(volume - cut) < reach for cut in tank.breaks())
        if not bends and max(abs(less - change), abs(more - change)) <= 1e-6 * reach:
            return (
                [
                    Effect(
                        cause,
                        rho * change,
                        rho * change * tank.marginal_arm(volume),
                        rho * change * tank.lateral_arm,
                    )
                ]
                if change
                else []
            )

        def side(name: Side, step: float, moment: float) -> Effect:
            return Effect(
                cause=cause,
                mass=rho * step,
                moment=rho * moment,
                lateral_moment=rho * step * tank.lateral_arm,
                side=name,
            )

        here = tank.volume_moment(volume)
        lower, upper = (
            tank.volume_moment(max(volume + way * FAR * step, 0.0))
            for way, step in ((-1.0, less), (1.0, more))
        )
        return [
            side("at", change, change * tank.marginal_arm(volume)),
            side("less", less, (here - lower) / FAR),
            side("more", more, (upper - here) / FAR),
        ]


def _turns(off: Off | None, cause: str, tank: int, volume: float) -> tuple[float, float] | None:
    """What one of some standard uncertainties of a cause does to a tank towards less and towards more
    [m3].
    """
    if off is None or cause not in off:
        return None
    less, more = off[cause]
    return (volume - less[tank]) / FAR, (more[tank] - volume) / FAR


def situation(
    aircraft: Aircraft, category: str, loading: Loading, tanks: tuple[TankFuel, ...], density: DensityUsed
) -> Situation:
    """Gather what the states share, in SI."""
    lateral = (
        (aircraft.lateral.left.value, aircraft.lateral.right.value) if aircraft.lateral is not None else None
    )
    envelope = aircraft.envelopes[category].envelope()
    return Situation(
        aircraft=aircraft,
        category=category,
        envelope=envelope,
        lateral=lateral,
        loading=loading,
        tanks=tanks,
        density=density,
        zero_fuel=total(loading.items),
    )


def _state(here: Situation, name: Place, at: _At, bound: MassBound | None, off: Off | None = None) -> State:
    volumes, changes = at
    sum_, effects = here.total_with(volumes), here.effects_with(volumes, changes, off)
    limits: list[LimitResult] = [] if bound is None else [mass_limit(bound.name, sum_, bound.bound, effects)]
    limits.extend(centre_limits(here.envelope, here.lateral, sum_, effects))
    chord = here.aircraft.mean_aerodynamic_chord
    percent: float | str = "no mean aerodynamic chord in the profile"
    if chord is not None:
        percent = percent_mac(sum_.centre_of_gravity, chord.leading_edge.value, chord.length.value)
    return State(
        name=name,
        total=sum_,
        fuel=math.fsum(volumes),
        volumes=tuple(volumes),
        percent_mac=percent,
        limits=tuple(replace(each, place=name) for each in limits),
        effects=effects,
    )


def states(here: Situation, draws: Sequence[Draw], off: Mapping[Stage, Off]) -> tuple[State, ...]:
    """Ramp, take-off, landing and zero-fuel state, each against its own mass limit and every CG limit.

    Where the fuel runs out before landing, the landing state is that without usable fuel (the fuel plan says
    so).
    """
    full: _At = tuple(each.volume for each in here.tanks), tuple(each.changes for each in here.tanks)
    takeoff = _after(draws, full, "taxi")
    landing = _after(draws, takeoff, "trip")
    empty: _At = tuple(0.0 for _ in here.tanks), ()
    bounds_ = {each.place: each for each in mass_bounds(here.aircraft, here.category)}
    at: dict[Place, tuple[_At, Off | None]] = {
        "ramp": (full, None),
        "takeoff": (takeoff, off.get("taxi")),
        "landing": (landing, off.get("trip")),
        "zero fuel": (empty, None),
    }
    return tuple(_state(here, name, volumes, bounds_.get(name), bent) for name, (volumes, bent) in at.items())


def _after(draws: Sequence[Draw], start: _At, stage: str) -> _At:
    """Volumes and what is unsure about them after the last draw of a stage; `start` where the stage has
    none.
    """
    return next(((draw.end, draw.end_changes) for draw in reversed(draws) if draw.stage == stage), start)


def burn(here: Situation, draws: Sequence[Draw]) -> BurnResult:
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
    all_bounds = bounds(here.envelope, here.lateral)
    for variant in variants(here.aircraft):
        stretches_ = shifted(airborne, variant.moment) if variant.names else path
        for bound in all_bounds:
            if variant.names and (bound.axis == "lateral" or variant.only not in ("", bound.name)):
                # a moment change does not move the CG sideways, and what helps needs no check of its own
                continue
            found = least_margin(stretches_, bound)
            if found is None:
                continue
            named = replace(found, limit=found.limit + variant.suffix)
            least.append(named)
            checked = _burn_limit(here, named, bound, stretches_, variant.effects)
            limits.append(replace(checked, base=found.limit, variant=variant.suffix))
            crossed += [
                replace(each, limit=each.limit + variant.suffix) for each in crossings(stretches_, bound)
            ]
    landing = here.aircraft.masses.max_landing
    if landing is not None:
        crossed += mass_crossing(airborne, "maximum landing mass", landing.value)
    crossed += mass_crossing(path, "least mass of the envelope", here.envelope.least_mass, upper=False)
    order = sorted(crossed, key=lambda each: -each.point.fuel)
    return BurnResult(path, tuple(least), tuple(limits), tuple(order))


def _burn_limit(
    here: Situation, least: Least, bound: Bound, path: Sequence[Stretch], extra: Sequence[Effect]
) -> LimitResult:
    """The least margin of the burn as a checked limit, and the first place whose margin is larger but no
    longer shown, if there is one.
    """

    def effects_at(point: Point) -> tuple[Effect, ...]:
        return (*here.effects_with(point.volumes, point.changes), *extra)

    at_least = _at_point(here, least, least.point, effects_at(least.point))
    if at_least.verdict != "inside" or not (here.unsure or extra or any(stretch.unsure for stretch in path)):
        return at_least
    bends = any(each.tank.breaks() for each in here.tanks)
    for side in SIDES if bends else SIDES[:1]:
        doubtful = doubtful_point(path, bound, partial(_steps_at, effects_at, side))
        if doubtful is not None:
            other = _at_point(here, least, doubtful, effects_at(doubtful))
            return replace(
                at_least,
                verdict="not shown inside",
                doubt=Doubt(other.margin, other.uncertainty, doubtful.fuel),
            )
    return at_least


def _steps_at(
    effects_at: Callable[[Point], tuple[Effect, ...]], side: Side, point: Point
) -> dict[str, tuple[float, float, float]]:
    return steps(effects_at(point), side)


def _at_point(here: Situation, least: Least, point: Point, effects: Sequence[Effect]) -> LimitResult:
    name = f"{least.limit}, whole burn"
    if least.axis == "longitudinal":
        edge = here.envelope.aft if least.upper else here.envelope.forward
        return replace(
            edge_limit(name, edge, point.total, effects, aft=least.upper, along=True), place="burn"
        )
    assert here.lateral is not None  # a lateral bound comes from these very limits
    return replace(lateral_limits(*here.lateral, point.total, effects)[least.upper], name=name, place="burn")


def load_limits(here: Situation, draws: Sequence[Draw]) -> tuple[LimitResult, ...]:
    """Every limit of the register on what is aboard: of the load, of the fuel as filled, and all along the
    burn.
    """
    loads = {each.station: each for each in here.loading.stations}
    masses = {name: [mass for _, mass, _ in each.masses] for name, each in loads.items()}
    full: _At = tuple(each.volume for each in here.tanks), tuple(each.changes for each in here.tanks)
    # Volumes are straight between the corners of the burn, so a limit on them is tightest at one of these.
    corners = [full, *((draw.end, draw.end_changes) for draw in draws)]
    found = []
    for limit in register(here.aircraft, here.category):
        if limit.place != "load":
            checks = [
                _fuel_limit(here, limit, at) for at in (corners if limit.place == "burn" else corners[:1])
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
                found.append(
                    result(
                        limit.name,
                        limit.dimension,
                        value,
                        limit.bound,
                        limit.upper,
                        effects,
                        Gradient(mass=1.0),
                        id=limit.id,
                        group=limit.group,
                    )
                )
    return tuple(found)


def _fuel_limit(here: Situation, limit: Limit, at: _At) -> LimitResult:
    """A limit on fuel with these volumes in the tanks."""
    names = [each.tank.name for each in here.tanks]
    volumes, changes = dict(zip(names, at[0], strict=True)), dict(zip(names, at[1], strict=True))
    scale = here.density.density if limit.dimension == "mass" else 1.0
    effects = [
        Effect(cause, scale * weight * change, 0.0)
        for tank, weight in limit.tanks
        for cause, change in changes[tank].items()
    ]
    if limit.dimension == "mass" and here.density.u:
        effects.append(
            Effect(
                FUEL_DENSITY,
                here.density.u * math.fsum(weight * volumes[tank] for tank, weight in limit.tanks),
                0.0,
            )
        )
    value = limit.of_fuel(volumes, here.density.density)
    found = result(
        limit.name,
        limit.dimension,
        value,
        limit.bound,
        limit.upper,
        effects,
        Gradient(mass=1.0),
        id=limit.id,
        group=limit.group,
    )
    return replace(found, place=limit.place)
