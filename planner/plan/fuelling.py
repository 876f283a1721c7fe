"""The fuel plan: demands, the order of the burn, surplus, endurance and where the final reserve sits."""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.data.rules import ReserveRule
from planner.density.basis import DensityUsed
from planner.effects import COVERAGE
from planner.envelope import verdict
from planner.fuel import EMPTY, Draw, Leg, Shortage, Stage, burn_down
from planner.plan.inputs import dip_of
from planner.plan.results import FuelPlan, TankFuel
from planner.profile.aircraft import Aircraft
from planner.profile.flight import Flight, Phase
from planner.profile.flight_checks import GROUND
from planner.reserves import FuelLine, Need, contingency_line, final_reserve_line, line_for
from planner.units import Quantity


@dataclass(frozen=True, slots=True)
class Fuelling:
    """The fuel plan with the burn it implies."""

    plan: FuelPlan
    draws: tuple[Draw, ...]
    shortages: tuple[Shortage, ...]


def _volume(quantity: Quantity, density: float) -> tuple[float, float]:
    """A volume or mass (or either flow) as volume, with its u: mass / density."""
    factor = 1.0 if quantity.dimension in ("volume", "volume flow") else 1.0 / density
    return quantity.value * factor, quantity.u * factor


class _Demand:
    """Turns phases into lines and legs with one set of flows."""

    def __init__(self, aircraft: Aircraft, density: float) -> None:
        self.density = density
        self.flows = {phase: _volume(flow, density) for phase, flow in aircraft.burn.items()}

    def flow(self, phase: Phase) -> tuple[float, float]:
        if phase.flow is not None:
            return _volume(phase.flow, self.density)
        return self.flows.get(phase.phase, (0.0, 0.0))

    def line(self, phase: Phase, kind: str, name: str) -> FuelLine:
        flow, u_flow = self.flow(phase)
        amount, u_amount = _volume(phase.fuel, self.density) if phase.fuel is not None else (None, 0.0)
        time = phase.time.value if phase.time is not None else None
        basis = f"{phase.fuel.text} as stated" if phase.fuel is not None else f"{phase.time.text if phase.time else ''} at the {phase.phase} flow"
        cause = f"{phase.phase} flow" if phase.fuel is None else f"{name} as stated"
        need = Need(kind, name, amount, u_amount, time, flow, u_flow, basis, cause)  # type: ignore[arg-type]  # kind is one of LineKind at each of the three calls below
        return line_for(need)

    def leg(self, phase: Phase, line: FuelLine, stage: Stage) -> Leg:
        flow = line.volume / line.time if isinstance(line.time, float) and line.time else 0.0
        return Leg(phase.phase, stage, line.volume, flow, phase.tank)


def plan_fuel(flight: Flight, aircraft: Aircraft, tanks: tuple[TankFuel, ...], density: DensityUsed, rule: ReserveRule) -> Fuelling:
    """Every line of the fuel plan, the surplus with its uncertainty, and the burn down to the last usable fuel.

    Demands stated by mass are turned into volume with the density less its U, so that a light fuel cannot run out
    early. Endurance is the time from take-off to the last usable fuel, flown as planned and then at the flow of the final reserve.

    Parameters: records; `tanks` [m3]; `density`; `rule`. Returns a Fuelling in SI.
    Source: the rule's citation for the final reserve; [amc1-nco-op-125] for the order of the lines.
    """
    demand = _Demand(aircraft, max(density.density - COVERAGE * density.u, 1.0))
    airborne = [index for index, phase in enumerate(flight.trip) if phase.phase != GROUND]
    taxi = [(phase, demand.line(phase, "taxi", "taxi")) for phase in flight.trip[: airborne[0]]]
    taxi_in = [(phase, demand.line(phase, "taxi", "taxi after landing")) for phase in flight.trip[airborne[-1] + 1 :]]
    trip = [(phase, demand.line(phase, "trip", f"trip: {phase.phase}")) for phase in flight.trip[airborne[0] : airborne[-1] + 1]]
    lines = [line for _, line in taxi] + [line for _, line in trip]
    if (share := flight.contingency) is not None:
        ratio = share.value if share.dimension == "ratio" else None
        time = share.value if share.dimension == "time" else None
        amount = _volume(share, demand.density)[0] if ratio is None and time is None else None
        lines.append(contingency_line([line for _, line in trip], ratio, amount, time, demand.flows.get("cruise", (0.0, 0.0))[0]))
    legs = [demand.leg(phase, line, "taxi") for phase, line in taxi] + [demand.leg(phase, line, "trip") for phase, line in trip]
    if flight.alternate is not None:
        alternate = demand.line(flight.alternate, "alternate", "alternate")
        lines.append(alternate)
        legs.append(demand.leg(flight.alternate, alternate, "alternate"))
    reserve = final_reserve_line(rule, flight.final_reserve.value if flight.final_reserve is not None else None, demand.flows)
    lines.append(reserve)
    lines += [line for _, line in taxi_in]
    for kind in ("additional", "extra", "discretionary"):
        own: Quantity | None = getattr(flight, kind)
        if own is not None:
            lines.append(demand.line(Phase(phase="cruise", fuel=own), kind, kind))
    aboard = math.fsum(each.volume for each in tanks)
    reserve_flow = demand.flows[rule.basis][0]
    legs.append(Leg(rule.basis, "reserve", aboard, reserve_flow))
    names, volumes = [each.tank.name for each in tanks], [each.volume for each in tanks]
    draws, shortages = burn_down(names, volumes, aircraft.feed_order(), legs)
    required = math.fsum(line.volume for line in lines)
    u = math.hypot(*(each.u for each in tanks), _shared_u(lines))
    surplus = aboard - required
    if abs(surplus) < EMPTY:
        surplus = 0.0
    at_reserve = _volumes_when(draws, reserve.volume, volumes)
    sticks = aircraft.dipsticks
    dips = tuple((each.tank.name, dip_of(each.tank, sticks.get(each.tank.name), v)) for each, v in zip(tanks, at_reserve, strict=True))
    short = next((shortage.phase for shortage in shortages if shortage.stage == "trip"), "")
    plan = FuelPlan(
        tanks=tanks,
        aboard=aboard,
        aboard_mass=aboard * density.density,
        lines=tuple(lines),
        required=required,
        minimum=math.fsum(line.volume for line in lines if line.kind not in ("extra", "discretionary")),
        surplus=surplus,
        uncertainty=COVERAGE * u,
        verdict=verdict(surplus, COVERAGE * u),
        final_reserve=reserve,
        reserve_volumes=at_reserve,
        reserve_dips=dips,
        endurance=math.fsum(draw.duration for draw in draws if draw.stage != "taxi"),
        endurance_basis=f"from take-off, as planned and then at the {rule.basis} flow, to the last usable fuel",
        demand_density=demand.density,
        runs_dry_in=short,
    )
    return Fuelling(plan, draws, tuple(s for s in shortages if s.stage != "reserve"))


def _shared_u(lines: list[FuelLine]) -> float:
    """Standard uncertainty of the demand: lines with one cause are wrong together, so theirs add before squaring."""
    by_cause: dict[str, float] = {}
    for line in lines:
        by_cause[line.cause] = by_cause.get(line.cause, 0.0) + line.u
    return math.hypot(*by_cause.values())


def _volumes_when(draws: tuple[Draw, ...], remaining: float, full: list[float]) -> tuple[float, ...]:
    """What each tank holds when `remaining` usable fuel is left; all there is (`full`) where there is not that much."""
    for draw in draws:
        start = math.fsum(draw.start)
        if start - draw.volume <= remaining <= start:
            burnt = start - remaining
            return tuple(max(v - share * burnt, 0.0) for v, share in zip(draw.start, draw.shares, strict=True))
    return tuple(full)
