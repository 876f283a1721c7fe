"""Problems on fuel in flight: when the burn passes a limit, and a check of the gauge against the plan."""

from __future__ import annotations

from dataclasses import replace

from planner.quantities.frozen import frozen
from planner.quantities.units import HOUR
from planner.school.craft import Craft, Side
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, NotSettable, Working, amount, duration
from planner.school.problems.balance import LEVER
from planner.school.problems.loads import Want, candidate, density_figure, draw_load


@frozen
class BurnFacts:
    """A mass [kg] at take-off that has to come down to `limit`; or a CG [m] that moves to `cg_limit` as fuel
    of `arm` [m] burns; `flow` [m3/s], `density` [kg/m3], `aboard` [m3].
    """

    mass: float
    limit: float
    flow: float
    density: float
    aboard: float
    cg: float = 0.0
    cg_limit: float = 0.0
    arm: float = 0.0

    def answers(self) -> Answers:
        """burnt [kg], volume [m3] and time [s] until the limit, left [m3] then.
        Source: [faa-h-8083-1b] ch. 2: m (arm - limit) = M (CG - limit).
        """
        burnt = self.mass - self.limit
        if self.cg_limit:
            burnt = self.mass * (self.cg - self.cg_limit) / (self.arm - self.cg_limit)
        volume = burnt / self.density
        return {"burnt": burnt, "volume": volume, "time": volume / self.flow, "left": self.aboard - volume}


def set_burn_past(craft: Craft, dice: Dice, level: int) -> Draft:
    """When a landing is within its mass (1 to 3, where that has a limit of its own), or the CG passes a limit
    (4, 5, where the fuel lets it).
    """
    pen, category, cruise = craft.pen, craft.categories[0], craft.aircraft.burn.get("cruise")
    if cruise is None:
        raise NotSettable("the profile gives no cruise flow")
    flow = pen.figure(cruise.value, "volume flow")
    landing = pen.figure(craft.bounds[category.name].get("landing", category.top.value), "mass", 0)
    balanced = (category.envelope.forward.points[0][1] + category.envelope.aft.points[0][1]) / 2
    lean: Want = "aft" if craft.fuel_arm(craft.usable) < balanced else "forward"
    for tried in range(560 if craft.edition > 2 else 160):
        by_cg, load = level >= 4 and tried < 120, None
        if tried < 160:
            load = draw_load(craft, dice, "inside", category, (0.5, 1.0))
        elif landing.value >= category.top.value:  # it may land at once: only the CG has a limit to come to
            density, by_cg = density_figure(craft, dice), True
            load = candidate(craft, dice, "inside", category, (0.5, 1.0), density, lean)
        if load is None:
            continue
        fuel, whole = load.of_kind("fuel")[0], load.sum()
        mass, cg = pen.figure(whole.mass, "mass"), pen.figure(whole.centre_of_gravity, "length")
        facts = BurnFacts(
            mass=mass.value, limit=landing.value, flow=flow.value, density=fuel.density, aboard=fuel.volume
        )
        if by_cg:
            side: Side = "forward" if fuel.arm > cg.value else "aft"
            low, high = map(category.edge(side).arm, (mass.value - fuel.kg, mass.value))
            bound = pen.figure(low, "length")
            if abs(low - high) > 1e-9 or abs(fuel.arm - bound.value) < 0.05:
                continue
            facts = replace(facts, limit=0.0, cg=cg.value, cg_limit=bound.value, arm=fuel.arm)
        found = facts.answers()
        if 5.0 < found["burnt"] < 0.9 * fuel.kg:
            break
    else:
        heavy = "it may land as heavy as it takes off, and no fuel burnt took its CG past a limit"
        light = "no random loading came to a limit while its fuel burnt"
        raise NotSettable(heavy if landing.value >= category.top.value else light)
    pound = 1.0 if pen.unit("mass") == "kg" else 0.4536
    lever = abs(facts.arm - facts.cg_limit)
    if by_cg:
        cost = facts.mass * pen.either(0.0005, 0.00127) / lever / pound
        asks = [amount(pen, "burnt", "fuel burnt until then", "mass", 1.0, cost)]
    else:
        asks = [amount(pen, "burnt", "fuel to burn until then", "mass", 0.1, 0.3)]
    slow = asks[0].slack / (facts.density * facts.flow) * pound / 60
    if level >= 2:
        asks.append(duration("time", "how long after take-off, at the cruise flow", 0.5 + slow))
    if level in (3, 5):
        cost = 0.5 + slow * facts.flow * 60 / pen.either(1e-3, 3e-3)
        asks.append(amount(pen, "left", "usable fuel left then", "volume", 1.0, cost))
    aboard = f"{fuel.volume_text} of it fuel of {fuel.density_text}"
    told = [f"{craft.aircraft.name} takes off with {mass.text}, {aboard}; it burns {flow.text}."]
    burnt, steps = pen.mass(found["burnt"], 1), Working()
    if by_cg:
        told += [
            f"Its CG is at {cg.text}, the fuel burns from arm {fuel.arm_text}, and the {side} limit is"
            f" {bound.text} at every mass to come. When does the CG reach it?"
        ]
        gap, away = pen.length(facts.cg - facts.cg_limit), pen.length(facts.arm - facts.cg_limit)
        steps.add("way of the CG", f"{cg.text} - {bound.text} = {gap}")
        steps.add("lever of the fuel", f"{fuel.arm_text} - {bound.text} = {away}")
        steps.add("m = M (CG - limit) / (arm - limit)", f"{mass.text} x {gap} / {away} = {burnt}", LEVER)
    else:
        told.append(f"It may land with at most {landing.text}. When may it land at the earliest?")
        steps.add("to burn", f"{mass.text} - {landing.text} = {burnt}")
    volume = pen.volume(found["volume"], 1)
    steps.add("as a volume", f"{burnt} / {fuel.density_text} = {volume}")
    steps.add("time", f"{volume} / {flow.text} x 60 = {found['time'] / 60:.1f} min")
    if level in (3, 5):
        left = pen.volume(found["left"], 1)
        steps.add("left", f"{fuel.volume_text} - {volume} = {left}")
    outside = ""
    if by_cg:
        outside = "OUTSIDE later in the flight: not to be flown so; the correction is part of the solution."
        steps.add("correction", "load so that the CG is inside without fuel, or land before then")
    return Draft(question=told, asks=asks, facts=facts, solution=steps, outside=outside)


@frozen
class CheckFacts:
    """A check in flight. `start` and `gauge` usable [m3], `elapsed` and `to_go` [s], `planned` flow [m3/s],
    `reserve` [m3] to be left at the destination.
    """

    start: float
    gauge: float
    elapsed: float
    planned: float
    to_go: float
    reserve: float
    flow_is: float = 0.0

    def answers(self) -> Answers:
        """flow [m3/s], expected and arrival [m3], endurance [s], word.
        Source: [common-practice] what was burnt over the time it took.
        """
        flow = self.flow_is or (self.start - self.gauge) / self.elapsed
        arrival = self.gauge - flow * self.to_go
        expected = self.start - self.planned * self.elapsed
        return {
            "flow": flow,
            "expected": expected,
            "endurance": self.gauge / flow,
            "arrival": arrival,
            "word": "go on" if arrival >= self.reserve else "divert",
        }


def set_fuel_check(craft: Craft, dice: Dice, level: int) -> Draft:
    """Flow since take-off (1), new endurance (2), fuel at the destination (3), and divert or not (4, 5)."""
    pen, cruise = craft.pen, craft.aircraft.burn.get("cruise")
    if cruise is None:
        raise NotSettable("the profile gives no cruise flow")
    planned = pen.figure(cruise.value, "volume flow")
    hours = craft.usable / planned.value / HOUR
    for _ in range(200):
        start = pen.figure(dice.between(0.6, 0.98) * craft.usable, "volume")
        elapsed = pen.figure(60.0 * 5 * dice.whole(6, max(7, int(hours * 5))), "time")
        real = planned.value * dice.between(0.95, 1.3)
        gauge = pen.figure(start.value - real * elapsed.value, "volume")
        to_go = pen.figure(60.0 * 5 * dice.whole(4, max(5, int(hours * 7))), "time")
        minutes = 45 if level == 5 and dice.chance(0.5) else 30
        reserve = pen.figure(planned.value * minutes * 60, "volume", 1)
        facts = CheckFacts(
            start=start.value,
            gauge=gauge.value,
            elapsed=elapsed.value,
            planned=planned.value,
            to_go=to_go.value,
            reserve=reserve.value,
        )
        if gauge.value <= 0.1 * craft.usable:
            continue
        found = facts.answers()
        off = abs(found["arrival"] - reserve.value)
        burnt = start.value - gauge.value
        if off > 0.03 * craft.usable and found["arrival"] > 0 and burnt > 0.12 * craft.usable:
            break
    else:
        raise NotSettable("no check in flight came out clearly")
    ask_flow = amount(pen, "flow", "the flow since take-off", "volume flow", 0.1, slack=0.05)
    endurance = duration("endurance", "how long the fuel lasts from now at that flow", 1.5, "down")
    arrival = amount(pen, "arrival", "fuel left at the destination", "volume", 0.1, slack=0.3)
    word = Ask("word", "does that leave the reserve, or do you divert?", choices=("go on", "divert"))
    asks = (ask_flow, endurance, arrival, word)[:level]
    told = [
        f"{craft.aircraft.name} left with {start.text} usable; the plan was {planned.text}. After"
        f" {elapsed.text} the gauges show {gauge.text} usable."
    ]
    flow, gone = pen.show(found["flow"], "volume flow", 1), pen.volume(burnt)
    steps = Working()
    steps.add("burnt", f"{start.text} - {gauge.text} = {gone}")
    steps.add("flow", f"{gone} / {elapsed.text} x 60 = {flow}", "common-practice")
    if level >= 2:
        steps.add("endurance", f"{gauge.text} / {flow} x 60 = {found['endurance'] / 60:.1f} min")
    if level >= 3:
        told.append(f"The destination is {to_go.text} away.")
        used = pen.volume(found["flow"] * to_go.value, 1)
        steps.add("to the destination", f"{flow} x {to_go.text} / 60 = {used}")
        steps.add("at the destination", f"{gauge.text} - {used} = {pen.volume(found['arrival'], 1)}")
    if level >= 4:
        told.append(f"{minutes} min at the planned flow are to be left there: {reserve.text}.")
        steps.add("the reserve", f"{reserve.text} are needed: {found['word']}")
    divert = level >= 4 and found["word"] == "divert"
    outside = "NOT ENOUGH FUEL to go on: land and refuel on the way." if divert else ""
    return Draft(question=told, asks=asks, facts=facts, solution=steps, outside=outside)
