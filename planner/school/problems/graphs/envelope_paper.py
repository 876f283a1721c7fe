"""Problems on the envelope on grid paper: limits read at a mass, points plotted, in CG and in moment form."""

from __future__ import annotations

from planner.flight.limits import AFT, FORWARD
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item, Total, remove
from planner.quantities.units import UNITS
from planner.school.craft import Category, Craft, Side
from planner.school.dice import Dice
from planner.school.grid import GridLine, GridPaper, envelope_lines, scale, thousandth
from planner.school.problem import Answers, Ask, Draft, NotSettable, PrintedTable, Working
from planner.school.problems.graphs.loading_graph import reading_ask
from planner.school.problems.limits import INSIDE_NOTE, asked_side
from planner.school.problems.loads import Want, draw_load


@frozen
class PaperFacts:
    """A state and its limits on the paper: CG or moment/1000 across (`size` is one of it [kg.m]), and the
    state after the burn, where one is asked.
    """

    category: Category
    other: Category | None
    here: Total
    side: Side
    size: float
    moments: bool
    unit: float
    burnt: tuple[float, float] | None = None
    landing_limit: float = 0.0

    def landing(self) -> Total:
        """The state when the fuel is burnt."""
        return self.here if self.burnt is None else remove(self.here, Item("fuel burnt", *self.burnt))

    def limit_at(self, mass: float) -> float:
        """The limit of the side asked, in the units of the paper."""
        arm = self.category.edge(self.side).arm(mass)
        return arm * mass / self.size if self.moments else arm / self.unit

    def answers(self) -> Answers:
        """limit and landing_limit in the units of the paper, verdict and end (the word after the burn).
        Source: [faa-h-8083-1b] ch. 5.
        """
        end = self.landing()
        heavy = self.landing_limit and end.mass > self.landing_limit
        return {
            "limit": self.limit_at(self.here.mass),
            "landing_limit": self.limit_at(end.mass),
            "verdict": self.category.word(self.here),
            "end": "outside" if heavy else self.category.word(end),
        }


def _spot(facts: PaperFacts, here: Total, mass: float) -> tuple[float, float]:
    across = here.moment / facts.size if facts.moments else here.centre_of_gravity / facts.unit
    return across, here.mass / mass


def set_envelope_paper(craft: Craft, dice: Dice, level: int) -> Draft:
    """A limit read and a point plotted (1, 2), in moment form (3), two categories (4), with the burn (5)."""
    pen, mass, (unit, size) = craft.pen, UNITS[craft.pen.unit("mass")].factor, thousandth(craft.pen)
    category = dice.pick(craft.categories) if level >= 4 else craft.categories[0]
    moments = level >= 3
    wants: list[Want] = dice.mixed(["inside", "inside", "aft", "forward"])
    for want in [*wants, *wants]:
        try:
            load = draw_load(craft, dice, "inside" if level == 5 else want, category, (0.4, 1.0))
        except NotSettable:
            continue
        envelope, whole = category.envelope, load.sum()
        heavy = pen.figure(whole.mass, "mass", 0).value
        shown = pen.figure(whole.centre_of_gravity, "length")
        moment = f"{heavy * shown.value / size:.1f}"
        here = Total(heavy, float(moment) * size if moments else heavy * shown.value)
        other = next((each for each in craft.categories if each is not category and level >= 4), None)
        drawn_too = [each for each in (category, other) if each is not None]
        corners = [spot for each in drawn_too for spot in each.envelope.outline(8)]
        corners.append((here.centre_of_gravity, here.mass))
        length = UNITS[pen.unit("length")].factor
        spots = [m * a / size if moments else a / length for a, m in corners]
        words = f"moment/1000, {unit}" if moments else f"CG, {pen.unit('length')}"
        across = scale(words, min(spots), max(spots), 150)
        tops = [m / mass for _, m in corners]
        up = scale(f"mass, {pen.unit('mass')}", min(tops), max(tops), 80)
        fuel = load.of_kind("fuel")[0]
        burnt = None
        if level == 5:
            share = dice.between(0.4, 0.9)
            burnt = (pen.figure(fuel.kg * share, "mass", 0).value, pen.figure(fuel.arm, "length").value)
        side = asked_side(want, dice)
        facts = PaperFacts(
            category=category,
            other=other,
            here=here,
            side=side,
            size=size,
            moments=moments,
            unit=length,
            burnt=burnt,
            landing_limit=craft.bounds[category.name]["landing"] if burnt else 0.0,
        )
        wide = across.square * (size / here.mass if moments else facts.unit)
        states = (here, facts.landing())
        gaps = [category.margins(each)[edge] for each in states for edge in (FORWARD, AFT)]
        inner = all(envelope.least_mass < each.mass < envelope.greatest_mass for each in states)
        over = abs(facts.landing().mass - facts.landing_limit)
        clear = not facts.landing_limit or over > 2 * up.square * mass
        if inner and clear and min(map(abs, gaps)) > wide + 0.001 and abs(here.mass - category.top.value) > 2:
            break
    else:
        raise NotSettable("no random state lay clearly inside or outside the envelope on the paper")
    right = facts.answers()
    named = f"the {side} limit at {pen.mass(here.mass)}, read off the paper, as a number of"
    limit = reading_ask("limit", f"{named} {unit if moments else pen.unit('length')}", across.square)
    verdict = Ask("verdict", "plot the point: is it inside or outside?", choices=("inside", "outside"))
    asks = [limit, verdict]
    if level == 5:
        words = "draw the burn as a line to its end: is the end inside?"
        asks.append(Ask("end", words, choices=("inside", "outside")))
    lines, too = [envelope_lines(envelope, pen, category.name, moments=moments)], ""
    if other is not None:
        too = f", and dashed that of {other.name}"
        lines.append(envelope_lines(other.envelope, pen, other.name, moments=moments, dashed=True))
    grid = GridPaper("Envelope on grid paper", across, up, tuple(lines))
    rows = [("mass", pen.mass(here.mass)), ("moment/1000", moment) if moments else ("CG", shown.text)]
    told = [
        f"{craft.aircraft.name}, category {category.name}: the drawing shows its envelope{too}."
        f" At most {category.top.text}. {INSIDE_NOTE}"
    ]
    x, y = _spot(facts, here, mass)
    steps, reads = Working(), f"reads {right['limit']:.{limit.decimals}f}"
    steps.add(f"{side} limit: up to {pen.mass(here.mass)}, across to the edge, down", reads)
    steps.add("the point", f"{x:.{across.decimals + 1}f} across, {y:.0f} up: {right['verdict']}")
    points = [("T", x, y)]
    drawn: tuple[GridLine, ...] = (GridLine("", ((across.low, y), (right["limit"], y)), dashed=True),)
    if burnt is not None:
        end_state = facts.landing()
        rows += [("fuel burnt", pen.mass(burnt[0])), ("its arm", pen.length(burnt[1]))]
        told.append(f"At the end the mass may be at most {pen.mass(facts.landing_limit)}.")
        a, b = _spot(facts, end_state, mass)
        gone, taken = pen.mass(burnt[0]), f"{burnt[0] * burnt[1] / size:.1f}"
        worked = f"{pen.mass(here.mass)} - {gone} = {pen.mass(end_state.mass)}"
        worked += f"; {gone} x {pen.length(burnt[1])} / 1000 = {taken}; {moment} - {taken} = {a:.1f}"
        steps.add("the end of the burn", f"{worked}; {right['end']}")
        points.append(("L", a, b))
        drawn = (*drawn, GridLine("", ((x, y), (a, b))))
    beyond = "outside" in (right["verdict"], right["end"] if burnt else "")
    if beyond:
        steps.add("correction", "move or leave load until the point is inside; check every state")
    return Draft(
        question=told,
        tables=(PrintedTable(("state", "value"), tuple(rows)),),
        asks=asks,
        facts=facts,
        solution=steps,
        outside="OUTSIDE: this is not to be flown; the correction is part of the solution." if beyond else "",
        grids=(grid,),
        key_grids=(grid.with_(drawn, tuple(points)),),
    )
