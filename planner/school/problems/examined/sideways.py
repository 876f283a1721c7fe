"""Problems on lateral balance: loads beside the middle line and uneven tanks."""

from __future__ import annotations

from planner.quantities.frozen import frozen
from planner.quantities.units import Quantity
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, NotSettable, PrintedTable, Working, amount
from planner.school.problems.balance import LEVER
from planner.school.problems.loads import LoadFacts, LoadLine, printed_line


@frozen
class LateralFacts:
    """Masses [kg] with lateral arms [m, right positive]; limits `left` and `right` [m]; `lever` [m] between
    the tanks that fuel may be moved between.
    """

    lines: tuple[LoadLine, ...]
    left: float
    right: float
    lever: float = 0.0

    def answers(self) -> Answers:
        """mass [kg], moment [kg.m], cg [m], verdict, and moved [kg] of fuel that puts it on the middle line.
        Source: [faa-h-8083-1b] ch. 2, across as along.
        """
        here = LoadFacts(self.lines).sum()
        cg = here.centre_of_gravity
        found: Answers = {"mass": here.mass, "moment": here.moment, "cg": cg}
        found["verdict"] = "inside" if self.left <= cg <= self.right else "outside"
        return found | ({"moved": abs(here.moment) / self.lever} if self.lever else {})


def set_lateral(craft: Craft, dice: Dice, level: int) -> Draft:
    """Lateral CG of uneven tanks (1), with lateral loads (2), the verdict (3), and fuel to move (4, 5)."""
    pen, limits = craft.pen, craft.aircraft.lateral
    tanks = [tank for tank in craft.tanks if abs(tank.lateral_arm) > 0.05]
    if limits is None or len(tanks) < 2:
        raise NotSettable("the profile has no lateral limits, or no tanks on both sides")
    left, right = pen.figure(limits.left.value, "length"), pen.figure(limits.right.value, "length")
    pair = sorted(tanks, key=lambda tank: tank.lateral_arm)
    for _ in range(200):
        middle = pen.figure(craft.without_load() + dice.between(80, 240), "mass", 0)
        nowhere = Quantity(0.0, 0.0, "length", f"0 {pen.unit('length')}")
        rows = [printed_line("aircraft and people on the middle line", "other", middle, nowhere)]
        for tank in (pair[0], pair[-1]):
            share = dice.between(0.05, 1.0)
            fuel = pen.figure(share * tank.usable_capacity * craft.grade.standard_density, "mass", 1)
            arm = pen.figure(tank.lateral_arm, "length")
            rows.append(printed_line(f"fuel, {tank.name}", "other", fuel, arm))
        if level >= 2:
            side = dice.pick((-1.0, 1.0))
            load = pen.figure(dice.between(8, 90), "mass", 0)
            arm = pen.figure(side * dice.between(0.25, 0.4), "length")
            rows.append(printed_line("load beside the middle line", "other", load, arm))
        lever = rows[2].arm - rows[1].arm
        facts = LateralFacts(tuple(rows), left.value, right.value, lever if level >= 4 else 0.0)
        found = facts.answers()
        cg, unit = found["cg"], pen.either(0.001, 0.1 * 0.0254)
        source = rows[2] if cg > 0 else rows[1]
        target = pair[0] if cg > 0 else pair[-1]
        there = rows[1] if cg > 0 else rows[2]
        fits = not facts.lever or (
            3.0 < found["moved"] < source.mass
            and there.mass + found["moved"] < target.usable_capacity * craft.grade.standard_density
        )
        if abs(cg) > 3 * unit and min(abs(cg - left.value), abs(right.value - cg)) > 1.5 * unit and fits:
            break
    else:
        raise NotSettable("no uneven loading lay clearly inside or outside the lateral limits")
    step = pen.either(0.001, 0.1)
    asks = [amount(pen, "cg", "the lateral CG, right of the middle positive", "length", step, step / 2)]
    told = [f"Masses of {craft.aircraft.name} and their lateral arms, right of the middle positive:"]
    steps = Working()
    for row in rows:
        if row.arm:
            steps.add(row.name, f"{row.mass_text} x {row.arm_text} = {pen.moment(row.moment, 1)}")
    mass, moment = pen.mass(found["mass"]), pen.moment(found["moment"], 1)
    steps.add("sums", f"{' + '.join(row.mass_text for row in rows)} = {mass}; moment {moment}")
    steps.add("lateral CG = moment / mass", f"{moment} / {mass} = {pen.length(cg, 1)}", LEVER)
    beyond = found["verdict"] == "outside" and level >= 3
    if level >= 3:
        told.append(f"It may lie between {left.text} and {right.text}.")
        asks.append(Ask("verdict", "is that inside or outside?", choices=("inside", "outside")))
        steps.add("limits", f"{left.text} to {right.text}: {found['verdict']}")
    if facts.lever:
        told.append("Fuel may be moved from one of the two tanks to the other.")
        asks.append(amount(pen, "moved", "fuel to move to bring it on the middle line", "mass", 0.1, 0.3))
        apart, moved = pen.length(lever), pen.mass(found["moved"], 1)
        worked = (
            f"{rows[2].arm_text} - {rows[1].arm_text} = {apart}; {moment.lstrip('-')} / {apart} = {moved}"
        )
        steps.add("fuel to move = moment / distance of the tanks", worked)
    elif beyond:
        steps.add("correction", "fill the lighter side, or move load across; then check again")
    table = PrintedTable(
        ("item", "mass", "lateral arm"), tuple((r.name, r.mass_text, r.arm_text) for r in rows)
    )
    outside = "OUTSIDE across: not to be flown; the correction is part of the solution." if beyond else ""
    return Draft(question=told, tables=(table,), asks=asks, facts=facts, solution=steps, outside=outside)
