"""Problems on the fuel plan: trip, contingency, alternate, final reserve, surplus and endurance."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from planner.facts.rules import RULES, ReserveRule
from planner.flight.reserves import FuelLine, Given, Need, contingency_line, final_reserve_line, line_for
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
        flows = {basis: Given(flow, 0.0, "") for basis, flow in self.flows}
        none = Given(0.0, 0.0, "")
        trip = [
            line_for(
                Need(
                    kind="trip",
                    name=name,
                    amount=None,
                    time=Given(time, 0.0, ""),
                    flow=Given(flow, 0.0, ""),
                    basis="",
                )
            )
            for name, time, flow in self.phases
        ]
        lines = [
            line_for(
                Need(
                    kind="taxi", name="taxi", amount=Given(self.taxi, 0.0, ""), time=None, flow=none, basis=""
                )
            ),
            *trip,
        ]
        if self.contingency:
            lines.append(
                contingency_line(
                    trip, Given(self.contingency, 0.0, ""), None, None, flows.get("cruise", none)
                )
            )
        if self.alternate is not None:
            time, flow = self.alternate
            lines.append(
                line_for(
                    Need(
                        kind="alternate",
                        name="alternate",
                        amount=None,
                        time=Given(time, 0.0, ""),
                        flow=Given(flow, 0.0, ""),
                        basis="",
                    )
                )
            )
        lines.append(
            final_reserve_line(self.rule, None, {self.rule.basis: flows[self.basis or self.rule.basis]})
        )
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


def _printed(craft: Craft, dice: Dice, level: int) -> tuple[dict[str, Quantity], str]:
    """Flows as printed: from level 4 the cruise flow stands in a gallon of another country's."""
    flows = dict(craft.aircraft.burn)
    if level < 4:
        return flows, ""
    unit = dice.pick(("USgal/h", "impgal/h")) if craft.pen.system == "metric" else "L/h"
    flows["cruise"] = craft.pen.figure(flows["cruise"].value, "volume flow", 1, unit)
    return flows, unit


def set_fuel_plan(craft: Craft, dice: Dice, level: int) -> Draft:
    """Fuel required and what is left of it; levels 1 and 2 without taxi, contingency and alternate."""
    pen = craft.pen
    if "cruise" not in craft.aircraft.burn:
        raise NotSettable("the profile gives no cruise flow")
    flows, foreign = _printed(craft, dice, level)
    rules = [RULES[key] for key in _RULES if RULES[key].basis in flows]
    rule = dice.pick(rules)
    for _ in range(60):
        phases = [("cruise", pen.figure(60.0 * 5 * dice.whole(7, 30), "time"))]
        if level >= 2 and "climb" in flows:
            phases.insert(0, ("climb", pen.figure(60.0 * dice.whole(6, 18), "time")))
        taxi = (
            pen.figure(dice.between(0.015, 0.03) * craft.usable, "volume")
            if level >= 2
            else Quantity(0.0, 0.0, "volume", "0")
        )
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
        answers = facts.answers()
        surplus, required = answers["surplus"], answers["required"]
        assert isinstance(surplus, float) and isinstance(required, float)  # noqa: PT018 - both are figures of one plan
        if (
            abs(surplus) > 0.01 * craft.usable + 1e-3
            and abs(surplus) < 0.5 * craft.usable
            and required < 0.98 * craft.usable
            and aboard.value <= craft.usable
        ):
            return _problem(craft, level, facts, flows, phases, (taxi, alternate, aboard))
    raise NotSettable("no trip of 35 min or more left a plausible surplus in these tanks")


def _problem(
    craft: Craft,
    level: int,
    facts: FuelPlanFacts,
    flows: dict[str, Quantity],
    phases: list[tuple[str, Quantity]],
    printed: tuple[Quantity, Quantity | None, Quantity],
) -> Draft:
    pen, rule, (taxi, alternate, aboard) = craft.pen, facts.rule, printed
    right = facts.answers()

    def ask(key: str, words: str, slack: float = 0.2) -> Ask:
        return amount(pen, key, words, "volume", 0.1, slack=slack)

    asks = [ask("trip", "trip fuel"), ask("reserve", "final reserve"), ask("required", "fuel required", 0.3)]
    if level >= 2:
        asks = [
            *asks[1:],
            ask("surplus", "surplus (negative if short)", 0.3),
            Ask("enough", "is it enough?", choices=("enough", "not enough")),
        ]
    if level == 5:
        asks = [*asks, ask("landing", "fuel left at landing, if nothing but taxi and trip is used")]
    if level in (1, 3):
        asks.append(duration("endurance", "endurance at the cruise flow, in minutes", 1.0, "down"))
    rows = [
        (name, flow.text)
        for name, flow in flows.items()
        if name in {"climb", "cruise", "holding", "maximum continuous"}
    ]
    words = [f"{pen.volume(line.volume, 1)}" for line in facts.lines()]
    steps = Working()
    if taxi.value:
        steps.add("taxi", taxi.text)
    for line, text in zip(facts.lines(), words, strict=True):
        if line.kind == "taxi":
            continue
        if line.kind == "contingency":
            if len(facts.phases) > 1:
                parts = " + ".join(
                    text for each, text in zip(facts.lines(), words, strict=True) if each.kind == "trip"
                )
                steps.add("trip fuel", f"{parts} = {pen.volume(_trip(right), 1)}")
            steps.add(
                "contingency", f"{facts.contingency * 100:g} % of {pen.volume(_trip(right), 1)} = {text}"
            )
        elif line.kind == "final reserve":
            steps.add(
                "final reserve",
                f"{line.basis}: {rule.minutes:g} min x {flows[rule.basis].text} / 60 = {text}",
                rule.source,
            )
        else:
            assert isinstance(line.time, float)  # both kinds are times at a flow
            name = "cruise" if line.kind == "alternate" else line.name
            steps.add(line.name, f"{in_unit(line.time, 'min'):.0f} min x {flows[name].text} / 60 = {text}")
    steps.add(
        "fuel required",
        f"{' + '.join(words if taxi.value else words[1:])} = {pen.volume(_number(right, 'required'), 1)}",
        "amc1-nco-op-125",
    )
    steps.add(
        "surplus",
        f"{aboard.text} - {pen.volume(_number(right, 'required'), 1)} ="
        f" {pen.volume(_number(right, 'surplus'), 1)}; {right['enough']}",
    )
    if level == 5:
        steps.add(
            "at landing",
            f"{aboard.text} - {taxi.text} - {pen.volume(_trip(right), 1)} ="
            f" {pen.volume(_number(right, 'landing'), 1)}",
        )
    if level in (1, 3):
        minutes = in_unit(_number(right, "endurance"), "min")
        steps.add(
            "endurance",
            f"{aboard.text} / {flows['cruise'].text} = {minutes:.1f} min, rounded down"
            f" {math.floor(minutes + 1e-9)} min",
            "common-practice",
        )
    trip = " and ".join(f"{time.text} of {name}" for name, time in phases)
    told = [
        f"{craft.aircraft.name} is to fly {trip}"
        + (f", after taxi with {taxi.text}" if taxi.value else "")
        + "."
    ]
    if facts.contingency:
        told.append(f"Contingency fuel is {facts.contingency * 100:g} % of the trip fuel.")
    if alternate is not None:
        told.append(f"The alternate is {alternate.text} away at the cruise flow.")
    told.append(
        f"Final reserve: {rule.minutes:g} min at {rule.basis_words} ({rule.key}: {rule.citation}, taken down"
        f" {rule.read}, {rule.tag}; check the current text)."
    )
    unusable = pen.figure(facts.unusable, "volume", 1)
    told.append(
        f"Aboard are {aboard.text} usable"
        + (f"; a further {unusable.text} cannot be used." if unusable.value > 0 else ".")
    )
    if rule.basis == "holding":
        told.append(
            "Holding here is the flow of the row 'holding'; normal cruising speed is the row 'cruise'."
        )
    outside = (
        ""
        if right["enough"] == "enough"
        else (
            "NOT ENOUGH FUEL: this flight is not to be begun; the correction is more fuel, a shorter trip or"
            " a stop."
        )
    )

    return Draft(
        question=told,
        tables=(PrintedTable(("phase", "flow"), tuple(rows)),),
        asks=asks,
        facts=facts,
        solution=steps,
        outside=outside,
    )


def _number(answers: Answers, key: str) -> float:
    value = answers[key]
    assert isinstance(value, float), key
    return value


def _trip(answers: Answers) -> float:
    return _number(answers, "trip")
