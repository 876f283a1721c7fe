"""The fuel plan: demands, the order of the burn, surplus, endurance and where the final reserve sits."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from typing import TypeAlias

from planner.density.basis import DensityUsed
from planner.flight.doubt import may_bend, off_course
from planner.flight.envelope import result
from planner.flight.fuel import EMPTY, Changes, Draw, Leg, Off, Shortage, Stage, burn_down, combined
from planner.flight.limits import enough_fuel
from planner.flight.model import Demand, Model, TankFuel
from planner.flight.reserves import FuelLine, Given, Need, contingency_line, final_reserve_line, line_for
from planner.plan.results import FuelPlan
from planner.quantities.effects import COVERAGE, FUEL_DENSITY, Effect, Gradient
from planner.quantities.frozen import frozen


@frozen
class Fuelling:
    """The fuel plan with the burn it implies."""

    plan: FuelPlan
    draws: tuple[Draw, ...]
    shortages: tuple[Shortage, ...]
    off: Mapping[Stage, Off] = field(default_factory=dict)


# A need of the flight with the line it becomes at one density.
_Lines: TypeAlias = Sequence[tuple[Need, FuelLine]]


def _lines(needs: Sequence[Need], density: float) -> _Lines:
    return [(need, line_for(need.at(density))) for need in needs]


def _of(lines: _Lines, *stages: Stage) -> list[FuelLine]:
    return [line for need, line in lines if need.stage in stages]


def _legs(lines: _Lines, density: float, density_u: float = 0.0) -> list[Leg]:
    """What the phases burn of the tanks; burnt by mass, a volume falls as the density rises."""
    legs = []
    for need, line in lines:
        flow = line.volume / line.time if isinstance(line.time, float) and line.time else 0.0
        changes = line.changes
        if density_u and need.by_mass:
            changes = combined(changes, {FUEL_DENSITY: -line.volume / density * density_u})
        legs.append(
            Leg(
                phase=need.phase,
                stage=need.stage,
                volume=line.volume,
                flow=flow,
                tanks=need.tanks,
                changes=changes,
            )
        )
    return legs


def _contingency(
    demand: Demand, lines: _Lines, flows: Mapping[str, Given], density: float
) -> Iterator[tuple[FuelLine, float]]:
    """The line of the contingency, and how much of it is a mass [m3]."""
    if demand.contingency is None:
        return
    given, what, none = demand.contingency.at(density), demand.contingency_is, Given(0.0, 0.0, "cruise flow")
    line = contingency_line(_of(lines, "trip"), given, what, flows.get("cruise", none))
    if what == "share":
        trip = (each.volume for need, each in lines if need.stage == "trip" and need.by_mass)
        yield line, given.value * math.fsum(trip)
    else:
        source = demand.contingency if what == "amount" else demand.flows.get("cruise", none)
        yield line, line.volume if source.by_mass else 0.0


def plan_fuel(model: Model) -> Fuelling:
    """Every line of the fuel plan, the surplus with its uncertainty, and the burn down to the last usable
    fuel.

    For the question whether it is enough, demands stated by mass are turned into volume with the density less
    its U, so that a light fuel cannot run out early; what the states burn is that mass itself, at the density
    used. Endurance is the time from take-off to the last usable fuel, flown as planned and then at the flow
    of the final reserve.

    Parameters: `model`. Returns a Fuelling in SI.
    Source: the rule's citation for the final reserve; [amc1-nco-op-125] for the order of the lines.
    """
    demand, tanks, density, rule = model.demand, model.tanks, model.density, model.demand.rule
    light = max(density.density - COVERAGE * density.u, 1.0) if density.u else density.density
    flown = _lines(demand.needs, light)
    flows = {phase: flow.at(light) for phase, flow in demand.flows.items()}
    further, reserve = _lines(demand.further, light), final_reserve_line(rule, demand.own_reserve, flows)
    by_mass = [line.volume for need, line in (*flown, *further) if need.by_mass]
    by_mass += [reserve.volume] if demand.flows[rule.basis].by_mass else []
    lines = _of(flown, "taxi", "trip")
    for line, part in _contingency(demand, flown, flows, light):
        lines.append(line)
        by_mass.append(part)
    lines += [*_of(flown, "alternate"), reserve, *_of(flown, "taxi in"), *(line for _, line in further)]
    aboard = math.fsum(each.volume for each in tanks)
    names, (volumes, changes) = [each.tank.name for each in tanks], model.full
    to_shutdown = _legs(
        _lines(demand.needs, density.density) if density.u else flown, density.density, density.u
    )
    legs = [leg for leg in to_shutdown if leg.stage != "taxi in"]
    rest = Leg(rule.basis, "reserve", aboard, demand.flows[rule.basis].at(density.density).value)
    draws, shortages = burn_down(names, volumes, model.order, [*legs, rest], changes)
    off = off_course(names, volumes, model.order, legs, changes) if may_bend(draws) else {}
    asked = draws
    if density.u:
        rest = replace(rest, flow=flows[rule.basis].value)
        thin = [leg for leg in _legs(flown, light) if leg.stage != "taxi in"]
        asked, shortages = burn_down(names, volumes, model.order, [*thin, rest])
    required = math.fsum(line.volume for line in lines)
    enough = result(
        enough_fuel(required, names),
        required if abs(aboard - required) < EMPTY else aboard,
        tuple(_surplus_effects(tanks, lines, density, math.fsum(by_mass))),
        Gradient(mass=1.0),
    )
    at_reserve = _volumes_when(draws, reserve.volume, volumes)
    plan = FuelPlan(
        tanks=tanks,
        aboard=aboard,
        aboard_mass=aboard * density.density,
        lines=tuple(lines),
        required=required,
        minimum=math.fsum(line.volume for line in lines if line.kind not in ("extra", "discretionary")),
        enough=enough,
        final_reserve=reserve,
        reserve_volumes=at_reserve,
        reserve_dips=tuple(
            (each.tank.name, each.dip_at(volume)) for each, volume in zip(tanks, at_reserve, strict=True)
        ),
        endurance=math.fsum(draw.duration for draw in asked if draw.stage != "taxi"),
        endurance_basis=(
            f"from take-off, as planned and then at the {rule.basis} flow, to the last usable fuel"
        ),
        demand_density=light,
        runs_dry_in=next((each.leg.phase for each in shortages if each.leg.stage == "trip"), ""),
        demanded_by_mass=math.fsum(by_mass),
        asked=asked,
        legs=tuple(to_shutdown),
    )
    return Fuelling(plan, draws, tuple(shortages), off)


def _surplus_effects(
    tanks: Sequence[TankFuel], lines: Sequence[FuelLine], density: DensityUsed, by_mass: float
) -> Iterator[Effect]:
    """What every cause does to aboard less required [m3]; `by_mass` [m3] is what is demanded as a mass.

    Demands by mass are asked at the density less its U. That covers as much fuel aboard by mass too, whose
    volume grows as theirs does; only what is aboard by mass beyond it may still turn out a smaller volume.
    """
    changes = surplus_changes(tanks, lines)
    beyond = max(math.fsum(each.volume for each in tanks if each.by_mass) - by_mass, 0.0)
    changes = {**changes, FUEL_DENSITY: -beyond * density.u / density.density}
    yield from (Effect(cause, change, 0.0) for cause, change in changes.items())


def surplus_changes(tanks: Iterable[TankFuel], lines: Iterable[FuelLine]) -> Changes:
    """What every cause does to the fuel in these tanks less that of these lines [m3]. Source: [jcgm-100]
    5.1.2.
    """
    changes: Changes = {}
    for each in tanks:
        changes = combined(changes, each.changes)
    for line in lines:
        changes = combined(changes, line.changes, -1.0)
    return changes


def _volumes_when(draws: Sequence[Draw], remaining: float, full: Sequence[float]) -> tuple[float, ...]:
    """What each tank holds when `remaining` usable fuel is left; all there is (`full`) where there is not
    that much.
    """
    for draw in draws:
        start = math.fsum(draw.start)
        if start - draw.volume <= remaining <= start:
            return draw.after(start - remaining)
    return tuple(full)
