"""Problems on the loading graph: lines of mass against moment/1000, read by eye."""

from __future__ import annotations

import math
from dataclasses import replace

from planner.flight.limits import AFT, FORWARD
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total
from planner.quantities.units import UNITS
from planner.school.craft import Category, Craft
from planner.school.dice import Dice
from planner.school.grid import GridLine, GridPaper, scale, thousandth
from planner.school.problem import Answers, Ask, Draft, NotSettable, PrintedTable, Working
from planner.school.problems.balance import LEVER, cg_ask, load_table, mass_ask
from planner.school.problems.limits import envelope_tables, envelope_words, outside_note, verdict_steps
from planner.school.problems.loads import LoadFacts, LoadLine, draw_load, where

_MOST_SQUARES = 150  # across: about a millimetre each on A4


@frozen
class GraphFacts:
    """Loads read on a graph: `lines` are asked in turn, `others` are drawn too; `size` [kg.m] is one of
    moment/1000; `read_off` names the line each load is read on where that is another than its own.
    """

    lines: tuple[LoadLine, ...]
    others: tuple[LoadLine, ...]
    empty: LoadLine
    size: float
    category: Category
    read_off: tuple[tuple[str, float], ...] = ()

    def readings(self) -> tuple[float, ...]:
        """moment/1000 of every load."""
        arms = dict(self.read_off)
        return tuple(line.kg * arms.get(line.name, line.arm) / self.size for line in self.lines)

    def sum(self) -> Total:
        """Mass and moment of the loads and the empty aircraft."""
        moment = math.fsum(self.readings()) * self.size + self.empty.moment
        return Total(math.fsum(line.kg for line in self.lines) + self.empty.kg, moment)

    def answers(self) -> Answers:
        """reading1, reading2 and so on and total (moment/1000), mass [kg], cg [m], verdict.
        Source: [faa-h-8083-1b] ch. 5.
        """
        here = self.sum()
        found: Answers = {f"reading{n}": each for n, each in enumerate(self.readings(), 1)}
        found |= {"mass": here.mass, "total": here.moment / self.size, "cg": here.centre_of_gravity}
        return found | {"verdict": self.category.word(here)}


def paper(craft: Craft, lines: tuple[LoadLine, ...]) -> GridPaper:
    """The graph of these lines, each from nothing to a little more than the heaviest load."""
    mass, (unit, size) = UNITS[craft.pen.unit("mass")].factor, thousandth(craft.pen)
    most = max(line.kg for line in lines) * 1.05
    ends = [most * line.arm / size for line in lines]
    across = scale(f"moment/1000, {unit}", min(0.0, *ends), max(0.0, *ends), _MOST_SQUARES)
    up = scale(f"mass, {craft.pen.unit('mass')}", 0.0, most / mass, 80)
    drawn = []
    for line in lines:
        right = up.high * mass * line.arm / size
        share = min(max(right, across.low), across.high) / right if right else 1.0  # as far as the paper goes
        drawn.append(GridLine(line.name, ((0.0, 0.0), (right * share, up.high * share))))
    return GridPaper("Loading graph", across, up, tuple(drawn))


def reading_ask(key: str, words: str, square: float, lines: int = 1) -> Ask:
    """A figure read by eye: right within half a small square for each reading in it."""
    step = 10.0 ** math.floor(math.log10(square / 4) + 1e-9)
    return Ask(key=key, words=words, step=step, slack=max(square * lines - step, 0.0) / 2, by_eye=True)


def set_loading_graph(craft: Craft, dice: Dice, level: int) -> Draft:
    """One line read, two, every load and the sum, CG and verdict; at level 5 it may be outside."""
    pen, (unit, size) = craft.pen, thousandth(craft.pen)
    for _ in range(80):
        want = dice.pick(("inside", "inside", "aft", "forward")) if level == 5 else "inside"
        try:
            load = draw_load(craft, dice, want)  # type: ignore[arg-type]  # one of the words it knows
        except NotSettable:
            if want == "inside":
                raise
            continue
        loose = tuple(each for each in load.lines if each.kind in ("seats", "baggage", "fuel"))
        solid = [each for each in loose if each.kind != "fuel"]
        asked = tuple(dice.mixed(solid)[:level]) if level <= 2 else loose
        grid = paper(craft, loose)
        square = grid.across.square
        slack = square * size * len(asked) / load.sum().mass
        gaps = load.flown.margins(load.sum())
        clear = min(abs(gaps[edge]) for edge in (FORWARD, AFT))
        if len(asked) >= min(level, 2) and (level < 4 or clear > 1.5 * slack + 0.004):
            break
    else:
        raise NotSettable("no random loading could be read off a graph clearly enough")
    fixed = tuple(each for each in load.lines if each.kind in ("empty", "other"))
    base = math.fsum(each.kg for each in fixed)
    moment = math.fsum(each.moment for each in fixed)
    empty = replace(fixed[0], mass=base, arm=moment / base)
    facts = GraphFacts(asked, loose, empty, size, load.flown)
    right = facts.answers()
    asks = [
        reading_ask(f"reading{n}", f"moment/1000 of '{line.name}', as a number of {unit}", square)
        for n, line in enumerate(asked, 1)
    ]
    total = reading_ask("total", f"the total moment/1000, as a number of {unit}", square, len(asked))
    verdict = Ask("verdict", "is this loading inside or outside?", choices=("inside", "outside"))
    cg = cg_ask(craft)
    cg = replace(cg, slack=cg.step + slack / UNITS[cg.unit].factor / 2, by_eye=True)
    if level >= 3:
        asks = [mass_ask(craft), total]
    if level >= 4:
        asks += [cg, verdict]
    dec = max(asks[-1].decimals if level <= 2 else total.decimals, 1)
    steps = Working()
    for line, read in zip(asked, facts.readings(), strict=True):
        if line.volume:
            steps.add(f"{line.name}, mass", line.worked(pen))
        at = line.weighs(pen)
        if len(line.people) > 1:
            steps.add(f"{line.name}, mass", f"{line.mass_text} = {at}")
        steps.add(f"{line.name}: up to {at}, across to its own line, down", f"reads {read:.{dec}f}")
    words = [f"{craft.aircraft.name}: read the moments off its loading graph (one line for each place)."]
    tables = [PrintedTable(("item", "mass"), tuple(row[:2] for row in load_table(asked).rows))]
    if level >= 3:
        own, at = pen.mass(empty.kg), f"{empty.moment / size:.{dec}f}"
        words.append(f"The empty aircraft with all its fluids has {own} and moment/1000 of {at} in {unit}.")
        parts = " + ".join(f"{each:.{dec}f}" for each in facts.readings())
        here = facts.sum()
        each_mass = " + ".join(line.weighs(pen) for line in asked)
        steps.add("total mass", f"{own} + {each_mass} = {pen.mass(here.mass)}")
        steps.add("total moment/1000", f"{at} + {parts} = {right['total']:.{dec}f}", LEVER)
        if level >= 4:
            worked = f"{right['total']:.{dec}f} x 1000 / {pen.mass(here.mass)}"
            steps.add("CG = moment / mass", f"{worked} = {pen.length(here.centre_of_gravity)}")
            words.append(envelope_words(load.flown))
            tables.append(envelope_tables(load.flown))
            whole = replace(empty, mass=here.mass, arm=here.centre_of_gravity)
            steps += verdict_steps(craft, LoadFacts((whole,), load.flown))
    beyond = where(load.flown, facts.sum()) if level >= 4 else None
    if right["verdict"] == "outside" and level >= 4:
        steps.add("correction", "move or leave load until the CG is inside; check every state")
    return Draft(
        question=words,
        tables=tables,
        asks=asks,
        facts=facts,
        solution=steps,
        outside=outside_note(beyond) if beyond in ("forward", "aft") else "",
        grids=(grid,),
        key_grids=(_read(craft, grid, facts),),
    )


def _read(craft: Craft, grid: GridPaper, facts: GraphFacts) -> GridPaper:
    """The graph with every reading drawn in."""
    mass = UNITS[craft.pen.unit("mass")].factor
    spots = ((line.kg / mass, read) for line, read in zip(facts.lines, facts.readings(), strict=True))
    low = grid.across.low
    return grid.with_(
        tuple(GridLine("", ((low, y), (read, y), (read, 0.0)), dashed=True) for y, read in spots)
    )
