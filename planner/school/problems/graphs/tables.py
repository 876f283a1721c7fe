"""Problems on tables that are interpolated: loading and fuel tables with moment/1000, and the dip table."""

from __future__ import annotations

import math
from itertools import pairwise

from planner.quantities.frozen import frozen
from planner.quantities.units import UNITS
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.grid import thousandth
from planner.school.problem import Answers, Ask, Draft, NotSettable, PrintedTable, Working, amount, duration

Rows = tuple[tuple[float, float], ...]


def between(rows: Rows, at: float) -> float:
    """The second column at a figure of the first, on a straight line between its two neighbours."""
    for (x1, y1), (x2, y2) in pairwise(rows):
        if x1 <= at <= x2:
            return y1 + (y2 - y1) * (at - x1) / (x2 - x1)
    raise ValueError(f"{at!r} lies beyond the table")


@frozen
class TableFacts:
    """Figures looked up: for each a name, its printed rows and the figure it is looked up at, all in printed
    units; `way` says how it is read where a slip reads it otherwise.
    """

    looked_up: tuple[tuple[str, Rows, float], ...]
    factor: float = 1.0
    less: float = 0.0
    unit: float = 1.0
    flow: float = 0.0
    way: str = ""

    def reading(self, rows: Rows, at: float) -> float:
        """One figure off the table."""
        above = [row for row in rows if row[0] >= at]
        below = [row for row in rows if row[0] <= at]
        if self.way == "row above":
            return above[0][1]
        if self.way == "row below":
            return below[-1][1]
        if self.way == "first to last":
            return between((rows[0], rows[-1]), at)
        if self.way == "from the wrong end" and above[0] != below[-1]:
            (x1, y1), (x2, y2) = below[-1], above[0]
            return y2 - (y2 - y1) * (at - x1) / (x2 - x1)
        return between(rows, at)

    def answers(self) -> Answers:
        """reading1 and so on, and total (plain numbers); volume, mass and time [SI] where a dip is read.
        Source: [faa-h-8083-1b] ch. 5.
        """
        found = [self.reading(rows, at) for _, rows, at in self.looked_up]
        usable = (math.fsum(found) - self.less) * self.unit
        answers: Answers = {f"reading{n}": each for n, each in enumerate(found, 1)}
        answers |= {"total": math.fsum(found), "volume": usable, "mass": usable * self.factor}
        return answers | ({"time": usable / self.flow} if self.flow else {})


def _step(name: str, rows: Rows, at: float, decimals: int) -> tuple[str, str]:
    (x1, y1), (x2, y2) = next(pair for pair in pairwise(rows) if pair[0][0] <= at <= pair[1][0])
    if at in (x1, x2):
        return f"{name}: the row {at:g}", f"{between(rows, at):.{decimals}f}"
    low, high, found = (f"{each:.{decimals}f}" for each in (y1, y2, between(rows, at)))
    worked = f"{low} + ({high} - {low}) x ({at:g} - {x1:g}) / ({x2:g} - {x1:g}) = {found}"
    return f"{name}: between {x1:g} and {x2:g}", worked


def set_load_tables(craft: Craft, dice: Dice, level: int) -> Draft:
    """A row read (1), interpolated (2), several places added (3), with the fuel table (4, 5)."""
    pen, (unit, size) = craft.pen, thousandth(craft.pen)
    mass = UNITS[pen.unit("mass")].factor
    gap, decimals = pen.either((20, 1), (40, 2))
    places = [
        (name, each.arm.value, each.max.value if each.max else 8 * gap * mass)
        for name, each in craft.aircraft.stations.items()
        if (each.max is None or each.max.value >= 1.2 * gap * mass) and abs(each.arm.value) > 0.15
    ]
    if not places:
        raise NotSettable("the profile has no station that takes enough for a table")
    chosen = dice.mixed(places)[: max(1, min(level, 3))]
    looked: list[tuple[str, Rows, float]] = []
    for name, arm, most in chosen:
        last = min(int(most / mass / gap), 8)
        rows = tuple((float(gap * n), round(gap * n * mass * arm / size, decimals)) for n in range(last + 1))
        low = dice.whole(0, last - 1)
        at = float(gap * max(low, 1)) if level == 1 else float(gap * low + dice.whole(3, gap - 3))
        looked.append((name, rows, at))
    fuel_unit = pen.unit("volume")
    density = pen.figure(craft.grade.standard_density, "density")
    if level >= 4:
        step = pen.either(20.0, 5.0)
        volume = UNITS[fuel_unit].factor
        last = min(int(craft.usable / volume / step), 9)
        if last >= 2:
            shares = [step * n for n in range(1, last + 1)]
            each = volume * density.value / size
            filled = ((at, round(at * each * craft.fuel_arm(at * volume), decimals)) for at in shares)
            rows = ((0.0, 0.0), *filled)
            at = round(step * dice.whole(1, last - 1) + dice.between(0.15, 0.85) * step, 0)
            looked.append(("usable fuel", rows, float(at)))
    facts = TableFacts(tuple(looked))
    tables, asks, loads, step_size = [], [], [], 10.0**-decimals
    for number, (name, rows, at) in enumerate(looked, 1):
        own = fuel_unit if name == "usable fuel" else pen.unit("mass")
        printed = tuple((f"{x:g}", f"{y:.{decimals}f}") for x, y in rows)
        tables.append(PrintedTable((f"{name}, {own}", f"moment/1000, {unit}"), printed))
        words = f"moment/1000 of '{name}', as a number of {unit}"
        asks.append(Ask(f"reading{number}", words, step=step_size, slack=step_size / 2))
        loads.append(f"{at:g} {own} at '{name}'")
    if level >= 3:
        words = f"the sum of these moments/1000, as a number of {unit}"
        asks.append(Ask("total", words, step=step_size, slack=step_size * len(looked) / 2))
    told = f"{craft.aircraft.name} carries {', '.join(loads)}. Take the moments from its tables; interpolate."
    steps = Working()
    for line in looked:
        steps.add(*_step(*line, decimals))
    if level >= 3:
        parts = " + ".join(f"{facts.reading(rows, at):.{decimals}f}" for _, rows, at in looked)
        steps.add("sum", f"{parts} = {facts.answers()['total']:.{decimals}f}", "faa-h-8083-1b")
    return Draft(question=(told,), tables=tables, asks=asks, facts=facts, solution=steps)


def set_dip_table(craft: Craft, dice: Dice, level: int) -> Draft:
    """A dip read off the table of its own stick: a row, interpolated, usable, as mass, as time."""
    pen, volume_unit = craft.pen, craft.pen.unit("volume")
    sticks = list(craft.aircraft.dipsticks.items())
    if not sticks:
        raise NotSettable("the profile has no dipstick")
    name, stick = sticks[dice.whole(0, len(sticks) - 1)]
    factor = UNITS[volume_unit].factor
    rows = tuple((each[0].value * 1e3, round(each[1].value / factor, 1)) for each in stick.table)
    if len(rows) < 3:
        raise NotSettable("the table of the dipstick has fewer than three rows")
    number = dice.whole(0, len(rows) - 2)
    low, high = rows[number][0], rows[number + 1][0]
    at = rows[max(number, 1)][0]
    if level > 1:
        at = float(round(low + dice.between(0.15, 0.85) * (high - low)))
    tank = craft.aircraft.tanks[name]
    unusable = pen.figure(tank.unusable.value, "volume", 1)
    density = pen.figure(craft.grade.standard_density, "density")
    flow = craft.aircraft.burn.get("cruise")
    less = unusable.value / factor if level >= 3 and stick.reads == "total" else 0.0
    burn = flow.value if flow is not None and level == 5 else 0.0
    facts = TableFacts(((f"tank {name}", rows, at),), factor=density.value, less=less, unit=factor, flow=burn)
    right = facts.answers()
    if right["volume"] <= 2e-3:
        raise NotSettable("the dip left hardly any usable fuel")
    words = "the usable volume" if level >= 3 else "the volume the stick shows"
    asks = [amount(pen, "volume", words, "volume", 0.1, 0.1)]
    told = [
        f"The stick of tank '{name}' of {craft.aircraft.name} shows {at:g} mm. It reads {stick.reads} fuel."
        " Interpolate in its table."
    ]
    steps = Working()
    steps.add(*_step(f"tank {name}", rows, at, 1))
    read = f"{facts.reading(rows, at):.1f} {volume_unit}"
    usable = pen.volume(right["volume"], 1)
    if level >= 3:
        told.append(f"Unusable fuel of this tank is {unusable.text}.")
        if stick.reads == "total":
            steps.add("usable", f"{read} - {unusable.text} = {usable}")
        else:
            steps.add("usable", f"the stick leaves the unusable fuel out already: {usable}")
    if level >= 4:
        told.append(f"The density is {density.text}.")
        asks.append(amount(pen, "mass", "its mass", "mass", 0.1, 0.2))
        mass = pen.mass(right["mass"], 1)
        steps.add("mass", f"{usable} x {density.text} = {mass}", "faa-h-8083-30")
    if facts.flow and flow is not None:
        shown = pen.figure(flow.value, "volume flow")
        told.append(f"Cruise burns {shown.text}, and nothing is kept in reserve for this figure.")
        asks.append(duration("time", "how long it lasts at the cruise flow", 1.0, "down"))
        lasts = f"{right['time'] / 60:.1f} min, rounded down"
        steps.add("time", f"{usable} / {shown.text} x 60 = {lasts}")
    printed = tuple((f"{x:g}", f"{y:.1f}") for x, y in rows)
    table = PrintedTable(("dip, mm", f"volume, {volume_unit}"), printed)
    return Draft(question=told, tables=(table,), asks=asks, facts=facts, solution=steps)
