"""Slips in the fuel plan: flows, reserves, lines left out, and times."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from planner.quantities.units import HOUR, IMPERIAL_GALLON, LITRE, UNITS, US_GALLON
from planner.school.problems.fuel_plan import FuelPlanFacts
from planner.school.problems.landing import LandingFacts
from planner.school.slips.register import Wrong, slip


@slip("flow-unit").of(FuelPlanFacts)
def _flow_unit(facts: FuelPlanFacts) -> Iterator[Wrong]:
    own = {"USgal/h": (LITRE,), "impgal/h": (LITRE,), "L/h": (US_GALLON, IMPERIAL_GALLON)}
    for each in own.get(facts.foreign, ()):
        yield "", facts.reflowed(each / (UNITS[facts.foreign].factor * HOUR))


@slip("reserve-speed").of(FuelPlanFacts)
def _reserve_speed(facts: FuelPlanFacts) -> Iterator[Wrong]:
    for basis, _ in facts.flows:
        if basis != facts.rule.basis and basis in ("cruise", "holding", "maximum continuous"):
            yield f"at the {basis} flow", replace(facts, basis=basis)


@slip("reserve-minutes").of(FuelPlanFacts)
def _reserve_minutes(facts: FuelPlanFacts) -> Iterator[Wrong]:
    minutes = 45.0 if facts.rule.minutes == 30.0 else 30.0
    yield f"{minutes:g} min", replace(facts, rule=replace(facts.rule, final_reserve=minutes * 60.0))


slip("contingency-forgotten").change(FuelPlanFacts, contingency=0.0)
slip("alternate-forgotten").change(FuelPlanFacts, alternate=None)
slip("taxi-forgotten").change(FuelPlanFacts, taxi=0.0).change(LandingFacts, no_taxi=True)


@slip("reserve-forgotten").of(FuelPlanFacts)
def _no_reserve(facts: FuelPlanFacts) -> Iterator[Wrong]:
    required = math.fsum(line.volume for line in facts.lines() if line.kind != "final reserve")
    enough = "enough" if facts.aboard >= required else "not enough"
    yield "", {"required": required, "surplus": facts.aboard - required, "enough": enough}


@slip("climb").of(FuelPlanFacts)
def _climb(facts: FuelPlanFacts) -> Iterator[Wrong]:
    kept = tuple(phase for phase in facts.phases if phase[0] != "climb")
    if kept != facts.phases:
        cruise = dict(facts.flows)["cruise"]
        level = tuple((name, time, cruise if name == "climb" else flow) for name, time, flow in facts.phases)
        yield "forgotten", replace(facts, phases=kept)
        yield "at the cruise flow", replace(facts, phases=level)


@slip("minutes-as-hours").of(FuelPlanFacts)
def _minutes(facts: FuelPlanFacts) -> Iterator[Wrong]:
    def misread(time: float) -> float:
        hours, seconds = divmod(time, HOUR)
        return (hours + seconds / 60 / 100) * HOUR

    phases = tuple((name, misread(time), flow) for name, time, flow in facts.phases)
    alternate = (misread(facts.alternate[0]), facts.alternate[1]) if facts.alternate is not None else None
    reserve = replace(facts.rule, final_reserve=misread(facts.rule.final_reserve))
    yield "everywhere", replace(facts, phases=phases, alternate=alternate, rule=reserve)
    yield "in the reserve", replace(facts, rule=reserve)
