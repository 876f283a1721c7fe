"""The states of a flight and its whole burn against every limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from planner.burn import Crossing, Least, Point, Stretch, bounds, crossings, least_margin, mass_crossing, point_at, shifted, stretches
from planner.density.basis import DensityUsed
from planner.effects import FUEL_DENSITY, Effect, Gradient, fuel_in
from planner.envelope import ORDER, LimitResult, centre_limits, edge_limit, lateral_limits, mass_limit, result
from planner.fuel import EMPTY, Draw
from planner.loading import Loading
from planner.moments import Total, percent_mac, total
from planner.plan.results import BurnResult, State, TankFuel
from planner.polygon import Envelope
from planner.profile.aircraft import Aircraft
from planner.reserves import FuelLine


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
    max_takeoff: float

    @property
    def unsure(self) -> bool:
        """Whether any input of the loading or the fuel carries an uncertainty."""
        return bool(self.loading.effects or self.density.u or any(each.u for each in self.tanks))

    def total_with(self, volumes: Sequence[float]) -> Total:
        """Mass and moments with these usable volumes [m3] in the tanks."""
        rho = self.density.density
        return Total(
            self.zero_fuel.mass + rho * math.fsum(volumes),
            self.zero_fuel.moment + rho * math.fsum(t.tank.volume_moment(v) for t, v in zip(self.tanks, volumes, strict=True)),
            self.zero_fuel.lateral_moment + rho * math.fsum(t.tank.lateral_arm * v for t, v in zip(self.tanks, volumes, strict=True)),
        )

    def effects_with(self, volumes: Sequence[float], burnt: Sequence[FuelLine] = ()) -> tuple[Effect, ...]:
        """Effects of every input's uncertainty with these usable volumes; `burnt` lines lie between the tanks' filling and this state."""
        return (*self.loading.effects, *self._fuel_effects(volumes), *self._burnt_effects(volumes, burnt))

    def _fuel_effects(self, volumes: Sequence[float]) -> list[Effect]:
        if math.fsum(volumes) <= EMPTY:
            return []
        found = []
        u_rho = self.density.u
        if u_rho:
            mass = moment = lateral = 0.0
            for each, volume in zip(self.tanks, volumes, strict=True):
                # Fuel that came aboard by mass has its mass whatever the density; only what was burnt since depends on it.
                known = each.volume if each.by_mass else 0.0
                mass += u_rho * (volume - known)
                moment += u_rho * (each.tank.volume_moment(volume) - each.tank.volume_moment(known))
                lateral += u_rho * each.tank.lateral_arm * (volume - known)
            found.append(Effect(FUEL_DENSITY, mass, moment, lateral))
        live = max(range(len(volumes)), key=lambda index: volumes[index])
        for index, each in enumerate(self.tanks):
            if each.u:
                # A tank already emptied leaves its error in the tank the burn then went on from.
                at = index if volumes[index] > EMPTY else live
                found.append(self._volume_effect(fuel_in(each.tank.name), each.u, at, volumes[at]))
        return found

    def _burnt_effects(self, volumes: Sequence[float], burnt: Sequence[FuelLine]) -> list[Effect]:
        if math.fsum(volumes) <= EMPTY:
            return []
        live = max(range(len(volumes)), key=lambda index: volumes[index])
        return [self._volume_effect(line.cause, -line.u, live, volumes[live]) for line in burnt if line.u]

    def _volume_effect(self, cause: str, volume: float, index: int, at: float) -> Effect:
        tank, mass = self.tanks[index].tank, self.density.density * volume
        return Effect(cause, mass, mass * tank.marginal_arm(at), mass * tank.lateral_arm)


def situation(aircraft: Aircraft, category: str, loading: Loading, tanks: tuple[TankFuel, ...], density: DensityUsed) -> Situation:
    """Gather what the states share, with limits in SI; the take-off limit is the lower of the aircraft's and the category's."""
    chosen = aircraft.envelopes[category]
    lateral = (aircraft.lateral.left.value, aircraft.lateral.right.value) if aircraft.lateral is not None else None
    envelope = chosen.envelope()
    top = aircraft.masses.max_takeoff.value
    if chosen.max_takeoff is not None:
        top = min(top, chosen.max_takeoff.value)
    if envelope.greatest_mass < top * (1 - 1e-9):
        # Above the drawn envelope nobody has said where the CG may be, so nothing is shown inside there.
        top = envelope.greatest_mass
    return Situation(aircraft, category, envelope, lateral, loading, tanks, density, total(loading.items), top)


def _state(here: Situation, name: str, volumes: Sequence[float], limit_name: str, limit: float | None, burnt: Sequence[FuelLine] = ()) -> State:
    sum_, effects = here.total_with(volumes), here.effects_with(volumes, burnt)
    limits: list[LimitResult] = [] if limit is None else [mass_limit(limit_name, sum_, limit, effects)]
    limits.extend(centre_limits(here.envelope, here.lateral, sum_, effects))
    chord = here.aircraft.mean_aerodynamic_chord
    percent: float | str = "no mean aerodynamic chord in the profile"
    if chord is not None:
        percent = percent_mac(sum_.centre_of_gravity, chord.leading_edge.value, chord.length.value)
    return State(name, sum_, math.fsum(volumes), tuple(volumes), percent, tuple(limits), effects)


def states(here: Situation, draws: Sequence[Draw], lines: Sequence[FuelLine]) -> tuple[State, ...]:
    """Ramp, take-off, landing and zero-fuel state, each against its own mass limit and every CG limit.

    A mass limit the manual does not give falls back on the take-off limit, except zero fuel, which then has none.
    Where the fuel runs out before landing, the landing state is that without usable fuel (the fuel plan says so).
    """
    masses = here.aircraft.masses
    full = tuple(each.volume for each in here.tanks)
    takeoff = _after(draws, full, "taxi")
    landing = _after(draws, takeoff, "trip")
    taxi = [line for line in lines if line.kind == "taxi" and line.name == "taxi"]
    trip = [line for line in lines if line.kind == "trip"]
    ramp_limit = masses.max_ramp.value if masses.max_ramp is not None else here.max_takeoff
    if here.max_takeoff < masses.max_takeoff.value and masses.max_ramp is not None:
        # A category with its own take-off limit keeps the aircraft's allowance for taxi fuel.
        ramp_limit = here.max_takeoff + (masses.max_ramp.value - masses.max_takeoff.value)
    landing_limit = min(masses.max_landing.value, here.max_takeoff) if masses.max_landing is not None else here.max_takeoff
    zero_limit = masses.max_zero_fuel.value if masses.max_zero_fuel is not None else None
    return (
        _state(here, "ramp", full, "maximum ramp mass", ramp_limit),
        _state(here, "takeoff", takeoff, "maximum take-off mass", here.max_takeoff, taxi),
        _state(here, "landing", landing, "maximum landing mass", landing_limit, [*taxi, *trip]),
        _state(here, "zero fuel", tuple(0.0 for _ in full), "maximum zero-fuel mass", zero_limit),
    )


def _after(draws: Sequence[Draw], start: tuple[float, ...], stage: str) -> tuple[float, ...]:
    """Volumes after the last draw of a stage; `start` where the stage has none."""
    return next((draw.end for draw in reversed(draws) if draw.stage == stage), start)


def burn(here: Situation, draws: Sequence[Draw]) -> BurnResult:
    """The whole burn from the ramp to the last usable fuel: least margins with their uncertainty, and every crossing.

    Where the profile has massless moment changes, the airborne part is checked with and without them.
    """
    taxi_time = math.fsum(draw.duration for draw in draws if draw.stage == "taxi")
    path = stretches(here.zero_fuel, [each.tank for each in here.tanks], here.density.density, draws, taxi_time)
    variants: list[tuple[str, tuple[Stretch, ...]]] = [("", path)]
    airborne = tuple(stretch for stretch in path if stretch.stage != "taxi")
    for name, moment in here.aircraft.moment_changes.items():
        variants.append((f" ({name})", shifted(airborne, moment.value)))
    least: list[Least] = []
    limits: list[LimitResult] = []
    crossed: list[Crossing] = []
    for suffix, stretches_ in variants:
        corners = _corners(here, stretches_)
        for bound in bounds(here.envelope, here.lateral):
            found = least_margin(stretches_, bound)
            if found is None:
                continue
            named = replace(found, limit=found.limit + suffix)
            least.append(named)
            limits.append(_burn_limit(here, named, corners))
            crossed += [replace(each, limit=each.limit + suffix) for each in crossings(stretches_, bound)]
    landing = here.aircraft.masses.max_landing
    if landing is not None:
        crossed += mass_crossing(airborne, "maximum landing mass", landing.value)
    crossed += mass_crossing(path, "least mass of the envelope", here.envelope.least_mass, upper=False)
    order = sorted(crossed, key=lambda each: -each.point.fuel)
    return BurnResult(path, tuple(least), tuple(limits), tuple(order))


def _corners(here: Situation, path: Sequence[Stretch]) -> list[tuple[Point, tuple[Effect, ...]]]:
    """Where the burn begins, ends and changes tanks, with the effects there; none where nothing is unsure."""
    if not here.unsure or not path:
        return []
    points = [point_at(path[0], path[0].start)]
    points += [point_at(one, one.end) for one, after in pairwise(path) if one.shares != after.shares]
    points.append(point_at(path[-1], path[-1].end))
    return [(point, here.effects_with(point.volumes)) for point in points]


def _burn_limit(here: Situation, least: Least, corners: Sequence[tuple[Point, tuple[Effect, ...]]]) -> LimitResult:
    """The least margin of the burn as a checked limit, or a corner of the burn whose margin is larger but less sure, if that is worse."""
    at_least = _at_point(here, least, least.point, here.effects_with(least.point.volumes))
    if at_least.verdict == "outside":
        return at_least
    return max([at_least, *(_at_point(here, least, point, effects) for point, effects in corners)], key=lambda check: ORDER.index(check.verdict))


def _at_point(here: Situation, least: Least, point: Point, effects: Sequence[Effect]) -> LimitResult:
    name = f"{least.limit}, whole burn"
    if least.axis == "longitudinal":
        return edge_limit(name, here.envelope.aft if least.upper else here.envelope.forward, point.total, effects, aft=least.upper)
    assert here.lateral is not None  # a lateral bound comes from these very limits
    return replace(lateral_limits(*here.lateral, point.total, effects)[least.upper], name=name)


def load_limits(here: Situation) -> tuple[LimitResult, ...]:
    """Stations, combined limits and what the category forbids, each against the load on them."""
    found = []
    loads = {each.station: each for each in here.loading.stations}
    for each in here.loading.stations:
        if isinstance(each.limit, float):
            found.append(_load_limit(f"{each.station} limit", each.mass, each.u, each.limit))
    for combined in here.aircraft.combined_limits:
        members = [loads[name] for name in combined.stations if name in loads]
        u = math.hypot(*(member.u for member in members))
        found.append(_load_limit(f"{combined.name} limit", math.fsum(member.mass for member in members), u, combined.max.value))
    for name in here.aircraft.envelopes[here.category].forbids:
        if name in loads and loads[name].mass > 0:
            found.append(_load_limit(f"{name}: no load allowed in the {here.category} category", loads[name].mass, 0.0, 0.0))
    return tuple(found)


def _load_limit(name: str, mass: float, u: float, limit: float) -> LimitResult:
    effects = (Effect(name, u, 0.0),) if u else ()
    return result(name, "mass", mass, limit, True, effects, Gradient(mass=1.0))


