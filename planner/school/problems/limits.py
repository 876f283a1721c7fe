"""Problems on the envelope."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from planner.school.craft import Category, Craft, Side
from planner.school.dice import Dice
from planner.school.problem import Ask, Draft, NotSettable, PrintedTable, SolutionLine, Working, amount
from planner.school.problems.balance import LEVER, cg_ask, distractors, heading, mass_ask, of_loading
from planner.school.problems.loads import WANTED, LoadFacts, Want, draw_load

_SIDES: Final[tuple[Side, Side]] = ("forward", "aft")
_MENDS: Final[dict[Want, str]] = {
    "aft": "move or leave behind load from the rearmost place until the CG is inside, then check every state"
    " again",
    "forward": "move load aft, within each station's limit, until the CG is inside, then check every state"
    " again",
    "heavy": "leave load or fuel behind until the mass is inside, and keep the fuel the flight needs",
}
INSIDE_NOTE: Final = (
    "Inside is where mass and CG both keep every limit of the category; on a line counts as inside."
)


def envelope_tables(category: Category) -> PrintedTable:
    """The points of both edges."""
    rows = [("forward", mass.text, arm.text) for mass, arm in category.record.forward]
    rows += [("aft", mass.text, arm.text) for mass, arm in category.record.aft]
    return PrintedTable(("limit", "at mass", "CG"), tuple(rows))


def envelope_words(category: Category) -> str:
    """How the points are joined, and the greatest mass."""
    how = "on a chart of CG against mass"
    if category.record.edges != "linear in cg":
        how = "on a chart of moment against mass (so it is the limiting moment that runs straight)"
    return (
        f"Category {category.name}: at most {category.top.text}; between its points each limit is a straight"
        f" line {how}. {INSIDE_NOTE}"
    )


def limit_step(craft: Craft, category: Category, mass: float, side: Side) -> SolutionLine:
    """The limit at a mass, interpolated as the chart is drawn."""
    pen = craft.pen
    edge = category.edge(side)
    points, limit = edge.points, edge.arm(mass)
    above = next((i for i, (m, _) in enumerate(points) if m > mass), len(points))
    if above in (0, len(points)) or (
        points[above][1] == points[above - 1][1] and edge.kind == "linear in cg"
    ):
        return SolutionLine(f"{side} limit at {pen.mass(mass)}", pen.length(limit))
    (m1, a1), (m2, a2) = points[above - 1], points[above]
    share = (mass - m1) / (m2 - m1)
    ratio = f"({pen.mass(mass)} - {pen.mass(m1)}) / ({pen.mass(m2)} - {pen.mass(m1)}) = {share:.4f}"
    if edge.kind == "linear in cg":
        apart = pen.length(a2 - a1)
        line = f"{ratio}; {pen.length(a2)} - {pen.length(a1)} = {apart}"
        line += f"; {pen.length(a1)} + {share:.4f} x ({apart}) = {pen.length(limit)}"
    else:
        low, high = m1 * a1, m2 * a2
        ends = [f"{pen.mass(m)} x {pen.length(a)} = {pen.moment(m * a)}" for m, a in ((m1, a1), (m2, a2))]
        apart = f"{pen.moment(high)} - {pen.moment(low)} = {pen.moment(high - low)}"
        moment = f"{pen.moment(low)} + {share:.4f} x {pen.moment(high - low)} = {pen.moment(limit * mass)}"
        line = "; ".join(
            [ratio, *ends, apart, f"limiting moment {moment}", f"over the mass {pen.length(limit)}"]
        )
    return SolutionLine(f"{side} limit at {pen.mass(mass)}", line, LEVER)


def verdict_steps(craft: Craft, facts: LoadFacts) -> Working:
    """Every limit of the category beside the state, and the word."""
    pen, here, category = craft.pen, facts.sum(), facts.flown
    cg = here.centre_of_gravity
    room = category.top.value - here.mass
    spare, steps = "to spare" if room >= 0 else "too heavy", Working()
    steps.add("greatest mass", f"{category.top.text} - {pen.mass(here.mass)} = {pen.mass(room)}, {spare}")
    if here.mass > category.envelope.greatest_mass:
        steps.add("CG between the limits?", f"none is drawn at this mass; {facts.answers()['verdict']}")
        return steps
    gaps = []
    for side, way, sign in zip(_SIDES, ("behind", "ahead of"), (1.0, -1.0), strict=True):
        steps.append(limit_step(craft, category, here.mass, side))
        gap = sign * (cg - category.edge(side).arm(here.mass))
        gaps.append(f"{pen.gap(abs(gap))} {way if gap >= 0 else 'BEYOND'} the {side} limit")
    steps.add("CG between the limits?", f"{pen.length(cg)}: {', '.join(gaps)}; {facts.answers()['verdict']}")
    return steps


def outside_note(want: Want) -> str:
    """What is beyond which limit, for the label of every such figure."""
    if want == "inside":
        return ""
    told = "the mass is above the take-off limit" if want == "heavy" else f"the CG lies {WANTED[want]}"
    return f"OUTSIDE: {told}. This is not to be flown; the correction is part of the solution."


def set_envelope(craft: Craft, dice: Dice, level: int) -> Draft:
    """CG, limit, margin and the word inside or outside; from level 3 with another category's figures too."""
    wants: Sequence[Want] = dice.mixed(["inside", "inside", "aft", "forward", "heavy"])
    category = dice.pick(craft.categories) if level >= 3 else craft.categories[0]
    for want in wants:
        try:
            facts = draw_load(craft, dice, want, category)
            break
        except NotSettable as reason:
            refused = reason
    else:
        raise refused
    side = asked_side(want, dice)
    facts = replace(facts, side=side)
    facts, extra = distractors(craft, dice, facts, level)
    unit, step = craft.pen.either(("mm", 1.0), ("in", 0.1))
    limit = cg_ask(craft, f"the {side} limit at this mass", "limit")
    distance = f"the distance to the {side} limit, negative where the CG is beyond it"
    margin = amount(craft.pen, "margin", distance, "length", step, step, unit=unit)
    verdict = Ask("verdict", "is this loading inside or outside?", choices=("inside", "outside"))
    above = craft.edition > 1 and facts.sum().mass > category.envelope.greatest_mass
    asks = {1: (cg_ask(craft), verdict), 2: (cg_ask(craft), limit, verdict)}.get(
        level, (mass_ask(craft), cg_ask(craft), limit, margin, verdict)
    )
    if above and level > 1:  # where no CG limit is drawn, the mass is the question
        spare = "how far the mass is below the greatest one, negative where it is above"
        room = amount(craft.pen, "mass_margin", spare, "mass", 0.1, 0.1)
        asks = (mass_ask(craft), *((cg_ask(craft),) if level > 2 else ()), room, verdict)
    words = [heading(craft), envelope_words(category), *extra]
    if level >= 3 and facts.others:
        flown = f"The loading is flown in the {category.name} category"
        other = facts.others[0]
        words.insert(2, f"{flown}; the {other.name} category's limits are {_other(other)}.")
    steps, tables = verdict_steps(craft, facts), [envelope_tables(category)]
    if want in _MENDS:  # in words; how much is the matter of another topic
        steps.add("correction", _MENDS[want])
    return of_loading(craft, facts, words, asks, steps, tables, outside=outside_note(want))


def asked_side(want: Want, dice: Dice) -> Side:
    """The limit a loading lies beyond, or one of the two."""
    return want if want in ("forward", "aft") else dice.pick(_SIDES)


def _other(category: Category) -> str:
    ahead, behind = (
        ", ".join(f"{arm.text} at {mass.text}" for mass, arm in edge)
        for edge in (category.record.forward, category.record.aft)
    )
    return f"forward {ahead}; aft {behind}; at most {category.top.text}"
