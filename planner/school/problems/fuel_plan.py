"""Problems on the fuel plan: trip, contingency, alternate, final reserve, surplus and endurance."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from planner.facts.rules import RULES, ReserveRule
from planner.flight.reserves import (
    FuelLine,
    Given,
    LineKind,
    Need,
    contingency_line,
    final_reserve_line,
    line_for,
)
from planner.quantities.frozen import frozen
from planner.quantities.units import Quantity, in_unit
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, NotSettable, PrintedTable, Working, amount, duration

_RULES: Final = (
    "us-vfr-day",
    "us-vfr-night",
    "eu-vfr-day",
    "eu-vfr-night",
    "ca-vfr-day",
    "au-private-day",
    "nz-vfr-day",
)
_SHORT: Final = (
    "NOT ENOUGH FUEL: this flight is not to be begun; the correction is more fuel, a shorter trip or a stop."
)


@frozen
class FuelPlanFacts:
    """A fuel plan. Volumes [m3], times [s], flows [m3/s].

    `phases` (name, time, flow); `contingency` a share of the trip [1]; `alternate` (time, flow) or None;
    `rule` and the `flows` by basis; `aboard` usable; `unusable` as printed. `swapped` names the unit a flow
    of `foreign` phases is misread in.
    """

    taxi: float
    phases: tuple[tuple[str, float, float], ...]
    contingency: float
    alternate: tuple[float, float] | None
    rule: ReserveRule
    flows: tuple[tuple[str, float], ...]
    aboard: float
    unusable: float = 0.0
    foreign: str = ""
    basis: str = ""

    def lines(self) -> tuple[FuelLine, ...]:
        """Every line of the plan, in order."""

        def given(value: float) -> Given:
            return Given(value, 0.0, "")

        def timed(kind: LineKind, name: str, time: float, flow: float) -> FuelLine:
            return line_for(
                Need(kind=kind, name=name, amount=None, time=given(time), flow=given(flow), basis="")
            )

        flows = {basis: given(flow) for basis, flow in self.flows}
        none, taxi = given(0.0), given(self.taxi)
        trip = [timed("trip", *phase) for phase in self.phases]
        lines = [line_for(Need(kind="taxi", name="taxi", amount=taxi, time=None, flow=none, basis="")), *trip]
        if self.contingency:
            cruise = flows.get("cruise", none)
            lines.append(contingency_line(trip, given(self.contingency), "share", cruise))
        if self.alternate is not None:
            lines.append(timed("alternate", "alternate", *self.alternate))
        flow = flows[self.basis or self.rule.basis]
        lines.append(final_reserve_line(self.rule, None, {self.rule.basis: flow}))
        return tuple(lines)

    def reflowed(self, factor: float) -> FuelPlanFacts:
        """The same plan with the cruise flow read wrong by a factor, everywhere it is used."""
        phases = tuple(
            (name, time, flow * factor if name == "cruise" else flow) for name, time, flow in self.phases
        )
        flows = tuple((name, flow * factor if name == "cruise" else flow) for name, flow in self.flows)
        alternate = (self.alternate[0], self.alternate[1] * factor) if self.alternate is not None else None
        return replace(self, phases=phases, flows=flows, alternate=alternate)

    def answers(self) -> Answers:
        """trip, reserve, required, surplus, landing [m3], endurance [s] at the cruise flow, enough. Source:
        [amc1-nco-op-125] for the lines' order.
        """
        lines = self.lines()
        required = math.fsum(line.volume for line in lines)
        trip = math.fsum(line.volume for line in lines if line.kind == "trip")
        surplus = self.aboard - required
        cruise = dict(self.flows)["cruise"]
        return {
            "trip": trip,
            "reserve": next(line.volume for line in lines if line.kind == "final reserve"),
            "required": required,
            "surplus": surplus,
            "landing": self.aboard - self.taxi - trip,
            "endurance": self.aboard / cruise,
            "enough": "enough" if surplus >= 0 else "not enough",
        }


def set_fuel_plan(craft: Craft, dice: Dice, level: int) -> Draft:
    """Fuel required and what is left of it; levels 1 and 2 without taxi, contingency and alternate."""
    pen = craft.pen
    if "cruise" not in craft.aircraft.burn:
        raise NotSettable("the profile gives no cruise flow")
    flows, foreign = dict(craft.aircraft.burn), ""
    if level >= 4:  # the cruise flow stands in a gallon of another country's
        foreign = dice.pick(("USgal/h", "impgal/h")) if pen.either(True, False) else "L/h"
        flows["cruise"] = pen.figure(flows["cruise"].value, "volume flow", 1, foreign)
    rules = [RULES[key] for key in _RULES if RULES[key].basis in flows]
    rule = dice.pick(rules)
    for _ in range(60):
        phases = [("cruise", pen.figure(60.0 * 5 * dice.whole(7, 30), "time"))]
        if level >= 2 and "climb" in flows:
            phases.insert(0, ("climb", pen.figure(60.0 * dice.whole(6, 18), "time")))
        taxi = Quantity(0.0, 0.0, "volume", "0")
        if level >= 2:
            taxi = pen.figure(dice.between(0.015, 0.03) * craft.usable, "volume")
        share = dice.pick((0.05, 0.1)) if level >= 3 else 0.0
        alternate = pen.figure(60.0 * 5 * dice.whole(2, 6), "time") if level >= 4 else None
        aboard = pen.figure(dice.between(0.4, 1.0) * craft.usable, "volume")
        facts = FuelPlanFacts(
            taxi=taxi.value,
            phases=tuple((name, time.value, flows[name].value) for name, time in phases),
            contingency=share,
            alternate=(alternate.value, flows["cruise"].value) if alternate is not None else None,
            rule=rule,
            flows=tuple((name, flow.value) for name, flow in flows.items()),
            aboard=aboard.value,
            unusable=craft.unusable,
            foreign=foreign,
        )
        right = facts.answers()
        clear = 0.01 * craft.usable + 1e-3 < abs(right["surplus"]) < 0.5 * craft.usable
        if clear and right["required"] < 0.98 * craft.usable and aboard.value <= craft.usable:
            break
    else:
        raise NotSettable("no trip of 35 min or more left a plausible surplus in these tanks")

    def ask(key: str, words: str, slack: float = 0.2) -> Ask:
        return amount(pen, key, words, "volume", 0.1, slack=slack)

    asks = [ask("trip", "trip fuel"), ask("reserve", "final reserve"), ask("required", "fuel required", 0.3)]
    if level >= 2:
        enough = Ask("enough", "is it enough?", choices=("enough", "not enough"))
        asks = [*asks[1:], ask("surplus", "surplus (negative if short)", 0.3), enough]
    if level == 5:
        asks.append(ask("landing", "fuel left at landing, if nothing but taxi and trip is used"))
    if level in (1, 3):
        asks.append(duration("endurance", "endurance at the cruise flow, in minutes", 1.0, "down"))
    told_of = {"climb", "cruise", "holding", "maximum continuous"}
    rows = tuple((name, flow.text) for name, flow in flows.items() if name in told_of)
    table = PrintedTable(("phase", "flow"), rows)
    lines = [(line, pen.volume(line.volume, 1)) for line in facts.lines()]
    trip, required, surplus = (pen.volume(right[key], 1) for key in ("trip", "required", "surplus"))
    steps = Working()
    if taxi.value:
        steps.add("taxi", taxi.text)
    for line, text in lines[1:]:
        if line.kind == "contingency":
            if len(facts.phases) > 1:
                parts = " + ".join(text for each, text in lines if each.kind == "trip")
                steps.add("trip fuel", f"{parts} = {trip}")
            steps.add("contingency", f"{facts.contingency * 100:g} % of {trip} = {text}")
        elif line.kind == "final reserve":
            worked = f"{line.basis}: {rule.minutes:g} min x {flows[rule.basis].text} / 60 = {text}"
            steps.add("final reserve", worked, rule.source)
        else:
            assert isinstance(line.time, float)  # both kinds are times at a flow
            name = "cruise" if line.kind == "alternate" else line.name
            steps.add(line.name, f"{in_unit(line.time, 'min'):.0f} min x {flows[name].text} / 60 = {text}")
    parts = " + ".join(text for _, text in (lines if taxi.value else lines[1:]))
    steps.add("fuel required", f"{parts} = {required}", "amc1-nco-op-125")
    steps.add("surplus", f"{aboard.text} - {required} = {surplus}; {right['enough']}")
    if level == 5:
        left = pen.volume(right["landing"], 1)
        steps.add("at landing", f"{aboard.text} - {taxi.text} - {trip} = {left}")
    if level in (1, 3):
        minutes = in_unit(right["endurance"], "min")
        rounded = f"{minutes:.1f} min, rounded down {math.floor(minutes + 1e-9)} min"
        steps.add("endurance", f"{aboard.text} / {flows['cruise'].text} = {rounded}", "common-practice")
    way = " and ".join(f"{time.text} of {name}" for name, time in phases)
    taxied = f", after taxi with {taxi.text}" if taxi.value else ""
    told = [f"{craft.aircraft.name} is to fly {way}{taxied}."]
    if facts.contingency:
        told.append(f"Contingency fuel is {facts.contingency * 100:g} % of the trip fuel.")
    if alternate is not None:
        told.append(f"The alternate is {alternate.text} away at the cruise flow.")
    told.append(
        f"Final reserve: {rule.minutes:g} min at {rule.basis_words} ({rule.key}: {rule.citation}, taken down"
        f" {rule.read}, {rule.tag}; check the current text)."
    )
    unusable = pen.figure(facts.unusable, "volume", 1)
    further = f"; a further {unusable.text} cannot be used" if unusable.value > 0 else ""
    told.append(f"Aboard are {aboard.text} usable{further}.")
    if rule.basis == "holding":
        told.append(
            "Holding here is the flow of the row 'holding'; normal cruising speed is the row 'cruise'."
        )
    outside = "" if right["enough"] == "enough" else _SHORT

    return Draft(question=told, tables=(table,), asks=asks, facts=facts, solution=steps, outside=outside)
