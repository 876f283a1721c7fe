"""Problems on weighing with a tail wheel and on jacks, with distances measured from a reference point."""

from __future__ import annotations

import math
from dataclasses import replace

from planner.logbook.mass.hung import ScalePoint
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item, total
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, PrintedTable, Working
from planner.school.problems.balance import cg_ask, mass_ask
from planner.school.problems.bench import SCALES, on_scales


@frozen
class JackFacts:
    """Readings on scales [kg] whose `arm` is the distance from a reference point [m, aft positive], which
    lies `reference` [m] from the datum.
    """

    points: tuple[ScalePoint, ...]
    reference: float

    def answers(self) -> Answers:
        """mass [kg], behind [m], the CG's distance from the reference, and cg [m] from the datum.
        Source: [faa-h-8083-30] ch. 4.
        """
        found = total(Item(each.name, each.reaction, each.arm) for each in self.points)
        behind = found.centre_of_gravity
        return {"mass": found.mass, "behind": behind, "cg": behind + self.reference}


def set_jacks(craft: Craft, dice: Dice, level: int) -> Draft:
    """A tail wheel (1, 2 with tare), jacks (3, 4 with tare), an aircraft that pulls up at its tail (5)."""
    pen, (empty, arm) = craft.pen, craft.empty
    tail = level <= 2 or level == 5
    pulls = level == 5
    reference = pen.figure(arm.value - dice.between(0.25, 0.6), "length")
    near = pen.figure(dice.between(0.02, 0.12), "length")
    far = pen.figure(dice.between(3.4, 4.4) if tail else -dice.between(1.3, 1.9), "length")
    mains = near
    if pulls or not tail:
        mains = pen.figure(arm.value - reference.value + dice.between(0.12, 0.3), "length")
    mass = empty.value * dice.between(0.99, 1.01)
    share = (arm.value - reference.value - mains.value) / (far.value - mains.value)
    third = "tail held down by" if pulls else "tail wheel" if tail else "nose jack"
    sides = ("left jack", "right jack") if not tail or pulls else ("left main", "right main")
    places = {sides[0]: mains, sides[1]: mains, third: far}
    tares = (1.5, 9.0) if level in (2, 4, 5) else None
    points, rows = on_scales(pen, dice, places, mass, share, tares, third if pulls else "")
    facts = JackFacts(points, reference.value)
    right = facts.answers()
    behind = replace(cg_ask(craft), key="behind", words="the CG behind the reference point")
    asks: tuple[Ask, ...] = (mass_ask(craft, "the mass"), behind, cg_ask(craft, "the CG from the datum"))
    on = "on jacks" if sides[0] == "left jack" else "on its wheels"
    told = [
        f"{craft.aircraft.name} stands level {on} on scales. Distances are measured from a reference point,"
        f" aft positive; it lies {reference.text} from the datum ({craft.aircraft.datum})."
    ]
    if pulls:
        told.append(
            "The tail pulls up on its jacks and is held down by a weight: that weight counts as minus."
        )
    steps = Working()
    for point, (name, shown, less, _) in zip(points, rows, strict=True):
        if point.tare:
            steps.add(f"{name}, net", f"{shown} - {less} = {pen.mass(point.reaction)}")
    net = [pen.mass(point.reaction) for point in points]
    weighs = pen.mass(right["mass"])
    steps.add("mass", f"{' + '.join(net)} = {weighs}")
    moments = [point.reaction * point.arm for point in points]
    for point, text, (*_, at), moment in zip(points, net, rows, moments, strict=True):
        steps.add(point.name, f"{text} x {at} = {pen.moment(moment, 1)}")
    whole = pen.moment(math.fsum(moments), 1)
    parts = " + ".join(pen.moment(moment, 1) for moment in moments)
    steps.add("moment", f"{parts} = {whole}")
    away, cg = (pen.length(right[key], 1) for key in ("behind", "cg"))
    steps.add("behind the reference = moment / mass", f"{whole} / {weighs} = {away}", SCALES)
    steps.add("from the datum", f"{reference.text} + {away} = {cg}")
    table = PrintedTable(("scale", "reading", "tare", "distance"), rows)
    return Draft(question=told, tables=(table,), asks=asks, facts=facts, solution=steps)
