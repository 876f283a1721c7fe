"""The fuel plan: demands, the order of the burn, surplus, endurance and where the final reserve sits."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from planner.density.basis import DensityUsed
from planner.facts.rules import ReserveRule
from planner.flight.envelope import verdict
from planner.flight.fuel import (
    EMPTY,
    Changes,
    Draw,
    Leg,
    Off,
    Shortage,
    Stage,
    burn_down,
    combined,
    off_course,
)
from planner.flight.reserves import (
    FuelLine,
    Given,
    LineKind,
    Need,
    contingency_line,
    final_reserve_line,
    line_for,
)
from planner.plan.inputs import dip_of
from planner.plan.results import FuelPlan, TankFuel
from planner.quantities.effects import COVERAGE, FAR, FUEL_DENSITY
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.flight.checks import GROUND
from planner.records.flight.record import Flight, Phase


@dataclass(frozen=True, slots=True)
class Fuelling:
    """The fuel plan with the burn it implies."""

    plan: FuelPlan
    draws: tuple[Draw, ...]
    shortages: tuple[Shortage, ...]
    off: Mapping[Stage, Off] = field(default_factory=dict)


BY_VOLUME: Final = ("volume", "volume flow")
OWN_KINDS: Final[tuple[LineKind, ...]] = ("additional", "extra", "discretionary")


class _Demand:
    """Turns phases into lines with one set of flows, at one density [kg/m3] for what is stated by mass."""

    def __init__(self, aircraft: Aircraft, density: float, density_u: float = 0.0) -> None:
        self.density, self.density_u = density, density_u
        self.flows = {phase: self.given(flow, f"{phase} flow") for phase, flow in aircraft.burn.items()}
        self.by_mass = {phase for phase, flow in aircraft.burn.items() if flow.dimension not in BY_VOLUME}

    def given(self, quantity: Quantity, cause: str) -> Given:
        """A volume or mass, or either flow, as volume: mass / density. A time or a share stays what it is."""
        factor = 1.0 / self.density if quantity.dimension in ("mass", "mass flow") else 1.0
        return Given(quantity.value * factor, quantity.u * factor, cause)

    def line(self, phase: Phase, kind: LineKind, name: str, number: str = "") -> FuelLine:
        own = f"{name}{number}"
        flow = (
            self.given(phase.flow, f"{own} flow")
            if phase.flow is not None
            else self.flows.get(phase.phase, Given(0.0, 0.0, ""))
        )
        amount = self.given(phase.fuel, f"{own} as stated") if phase.fuel is not None else None
        time = Given(phase.time.value, phase.time.u, f"{own} time") if phase.time is not None else None
        basis = (
            f"{phase.fuel.text} as stated"
            if phase.fuel is not None
            else f"{phase.time.text if phase.time else ''} at the {phase.phase} flow"
        )
        return line_for(Need(kind=kind, name=name, amount=amount, time=time, flow=flow, basis=basis))

    def known_by_mass(self, phase: Phase) -> bool:
        """Whether what a phase burns is a mass, so that its volume hangs on the density."""
        if phase.fuel is not None:
            return phase.fuel.dimension not in BY_VOLUME
        return (
            phase.flow.dimension not in BY_VOLUME if phase.flow is not None else phase.phase in self.by_mass
        )

    def leg(self, phase: Phase, line: FuelLine, stage: Stage) -> Leg:
        """What a phase burns of the tanks; burnt by mass, its volume falls as the density rises."""
        flow = line.volume / line.time if isinstance(line.time, float) and line.time else 0.0
        changes = line.changes
        if self.density_u and self.known_by_mass(phase):
            changes = combined(changes, {FUEL_DENSITY: -line.volume / self.density * self.density_u})
        return Leg(
            phase=phase.phase, stage=stage, volume=line.volume, flow=flow, tanks=phase.tank, changes=changes
        )


@dataclass(frozen=True, slots=True)
class _Flown:
    """The lines that are flown, each with its phase, its stage and its number among phases of one name."""

    lines: tuple[tuple[Phase, FuelLine, Stage], ...]

    def of(self, *kinds: str) -> list[FuelLine]:
        return [line for _, line, stage in self.lines if line.kind in kinds and stage != "taxi in"]


def _flown(flight: Flight, demand: _Demand) -> _Flown:
    """Taxi, trip, alternate and taxi after landing with one set of flows."""
    airborne = [index for index, phase in enumerate(flight.trip) if phase.phase != GROUND]
    found: list[tuple[Phase, FuelLine, Stage]] = []
    for index, phase in enumerate(flight.trip):
        number = f" ({index + 1})" if sum(each.phase == phase.phase for each in flight.trip) > 1 else ""
        if index < airborne[0]:
            found.append((phase, demand.line(phase, "taxi", "taxi", number), "taxi"))
        elif index <= airborne[-1]:
            found.append((phase, demand.line(phase, "trip", f"trip: {phase.phase}", number), "trip"))
        else:
            found.append((phase, demand.line(phase, "taxi", "taxi after landing", number), "taxi in"))
    if flight.alternate is not None:
        found.append((flight.alternate, demand.line(flight.alternate, "alternate", "alternate"), "alternate"))
    return _Flown(tuple(found))


def _legs(flown: _Flown, demand: _Demand, to_shutdown: bool = False) -> list[Leg]:
    return [
        demand.leg(phase, line, stage)
        for phase, line, stage in flown.lines
        if to_shutdown or stage != "taxi in"
    ]


def plan_fuel(
    flight: Flight, aircraft: Aircraft, tanks: tuple[TankFuel, ...], density: DensityUsed, rule: ReserveRule
) -> Fuelling:
    """Every line of the fuel plan, the surplus with its uncertainty, and the burn down to the last usable
    fuel.

    For the question whether it is enough, demands stated by mass are turned into volume with the density less
    its U, so that a light fuel cannot run out early; what the states burn is that mass itself, at the density
    used. Endurance is the time from take-off to the last usable fuel, flown as planned and then at the flow
    of the final reserve.

    Parameters: records; `tanks` [m3]; `density`; `rule`. Returns a Fuelling in SI.
    Source: the rule's citation for the final reserve; [amc1-nco-op-125] for the order of the lines.
    """
    burning = _Demand(aircraft, density.density, density.u)
    demand = _Demand(aircraft, max(density.density - COVERAGE * density.u, 1.0)) if density.u else burning
    flown = _flown(flight, demand)
    lines = flown.of("taxi", "trip")
    by_mass = [line.volume for phase, line, _ in flown.lines if demand.known_by_mass(phase)]
    if (share := flight.contingency) is not None:
        kinds = {
            share.dimension if share.dimension in ("ratio", "time") else "amount": demand.given(
                share, "contingency"
            )
        }
        cruise = demand.flows.get("cruise", Given(0.0, 0.0, "cruise flow"))
        lines.append(
            contingency_line(
                flown.of("trip"), kinds.get("ratio"), kinds.get("amount"), kinds.get("time"), cruise
            )
        )
    lines += flown.of("alternate")
    own = (
        Given(flight.final_reserve.value, flight.final_reserve.u, "final reserve time")
        if flight.final_reserve is not None
        else None
    )
    reserve = final_reserve_line(rule, own, demand.flows)
    if rule.basis in demand.by_mass:
        by_mass.append(reserve.volume)
    lines += [reserve, *(line for _, line, stage in flown.lines if stage == "taxi in")]
    for kind in OWN_KINDS:
        amount: Quantity | None = getattr(flight, kind)
        if amount is not None:
            lines.append(demand.line(Phase(phase="cruise", fuel=amount), kind, kind))
            by_mass += [lines[-1].volume] if amount.dimension not in BY_VOLUME else []
    aboard = math.fsum(each.volume for each in tanks)
    names, volumes, changes = (
        [each.tank.name for each in tanks],
        [each.volume for each in tanks],
        [each.changes for each in tanks],
    )
    burnt = flown if demand is burning else _flown(flight, burning)
    legs = _legs(burnt, burning)
    rest = Leg(rule.basis, "reserve", aboard, burning.flows[rule.basis].value)
    draws, shortages = burn_down(names, volumes, aircraft.feed_order(), [*legs, rest], changes)
    flown_legs = [leg for leg in legs if leg.stage in ("taxi", "trip")]
    off = (
        off_course(names, volumes, aircraft.feed_order(), flown_legs, changes, FAR)
        if _may_bend(draws)
        else {}
    )
    asked = draws
    if demand is not burning:
        rest = replace(rest, flow=demand.flows[rule.basis].value)
        asked, shortages = burn_down(names, volumes, aircraft.feed_order(), [*_legs(flown, demand), rest])
    required = math.fsum(line.volume for line in lines)
    surplus = aboard - required
    if abs(surplus) < EMPTY:
        surplus = 0.0
    uncertainty = COVERAGE * _surplus_u(tanks, lines, density, math.fsum(by_mass))
    at_reserve = _volumes_when(draws, reserve.volume, volumes)
    sticks = aircraft.dipsticks
    dips = tuple(
        (each.tank.name, dip_of(each.tank, sticks.get(each.tank.name), v))
        for each, v in zip(tanks, at_reserve, strict=True)
    )
    short = next((shortage.phase for shortage in shortages if shortage.stage == "trip"), "")
    plan = FuelPlan(
        tanks=tanks,
        aboard=aboard,
        aboard_mass=aboard * density.density,
        lines=tuple(lines),
        required=required,
        minimum=math.fsum(line.volume for line in lines if line.kind not in ("extra", "discretionary")),
        surplus=surplus,
        uncertainty=uncertainty,
        verdict=verdict(surplus, uncertainty),
        final_reserve=reserve,
        reserve_volumes=at_reserve,
        reserve_dips=dips,
        endurance=math.fsum(draw.duration for draw in asked if draw.stage != "taxi"),
        endurance_basis=(
            f"from take-off, as planned and then at the {rule.basis} flow, to the last usable fuel"
        ),
        demand_density=demand.density,
        runs_dry_in=short,
        demanded_by_mass=math.fsum(by_mass),
        asked=asked,
        legs=tuple(_legs(burnt, burning, to_shutdown=True)),
    )
    return Fuelling(plan, draws, tuple(shortages), off)


def _may_bend(draws: Sequence[Draw]) -> bool:
    """Whether a tank runs dry before landing, or may within what is unsure about it: then the burn is not
    straight in its causes.
    """
    flown = [
        draw for draw in draws if draw.stage in ("taxi", "trip") and (any(draw.changes) or any(draw.drawn))
    ]
    for draw in flown:
        for before, after, unsure in zip(draw.start, draw.end, draw.end_changes, strict=True):
            if before > EMPTY and after <= max(EMPTY, FAR * math.hypot(*unsure.values())):
                return True
    return False


def _surplus_u(
    tanks: Sequence[TankFuel], lines: Sequence[FuelLine], density: DensityUsed, by_mass: float
) -> float:
    """Standard uncertainty of aboard less required [m3], each cause once; `by_mass` [m3] is what is demanded
    as a mass.

    Demands by mass are asked at the density less its U. That covers as much fuel aboard by mass too, whose
    volume grows as theirs does; only what is aboard by mass beyond it may still turn out a smaller volume.
    """
    changes: Changes = {}
    for each in tanks:
        changes = combined(changes, each.changes)
    for line in lines:
        changes = combined(changes, line.changes, -1.0)
    known = {cause: change for cause, change in changes.items() if cause != FUEL_DENSITY}
    beyond = max(math.fsum(each.volume for each in tanks if each.by_mass) - by_mass, 0.0)
    return math.hypot(*known.values(), beyond * density.u / density.density)


def _volumes_when(draws: tuple[Draw, ...], remaining: float, full: list[float]) -> tuple[float, ...]:
    """What each tank holds when `remaining` usable fuel is left; all there is (`full`) where there is not
    that much.
    """
    for draw in draws:
        start = math.fsum(draw.start)
        if start - draw.volume <= remaining <= start:
            burnt = start - remaining
            return tuple(
                max(v - share * burnt, 0.0) for v, share in zip(draw.start, draw.shares, strict=True)
            )
    return tuple(full)
