"""A sweep as a picture of characters: a map of two varied quantities, or curves over one. Readable without
colour.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.quantities.units import Display
from planner.sweep.block import GROUPS, NOT_SHOWN, OUTSIDE, Group
from planner.sweep.sweep_ranges import Axis
from planner.sweep.sweep_run import CG_GROUPS, Grid
from planner.views.blocks import Parts, joined

SHADES: Final = ".:+#"
DOUBT: Final = "?"
# In the order they are shown where a loading passes several limits.
LETTERS: Final[dict[Group, tuple[str, str]]] = {
    "mass": ("M", "mass"),
    "forward": ("F", "forward limit"),
    "aft": ("A", "aft limit"),
    "lateral": ("S", "sideways limit"),
    "load": ("L", "limit of a station"),
    "tank": ("T", "a phase needs more than the tank it names holds"),
    "fuel": ("E", "too little fuel for the flight"),
}
CURVES: Final = {"forward": "f", "aft": "a", "lateral": "s"}
STYLES: Final = {".": "green", ":": "green", "+": "green", "#": "bold green", DOUBT: "yellow"}
OUTSIDE_STYLE: Final = "bold red"
HEIGHT: Final = 14  # lines of the curves
MOST_LINES: Final = 40
Cells = NDArray[np.float64]


def _bins(steps: int, most: int) -> list[slice]:
    """`steps` values shared among not more than `most` characters, in order."""
    count = min(steps, most)
    edges = [round(index * steps / count) for index in range(count + 1)]
    return [slice(low, high) for low, high in pairwise(edges)]


def shade_step(grid: Grid) -> float:
    """The span of CG margin [m] of one shade: a round figure, so that four shades cover what is inside.
    Source: this program's own choice.
    """
    inside = grid.margins[list(CG_GROUPS)].min(axis=0)[grid.verdict == 0]
    if not len(inside):
        return 0.005
    span = max(float(inside.max()) / len(SHADES), 1e-6)
    power = 10.0 ** math.floor(math.log10(span))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= span * 0.999)


def _cg_margins(grid: Grid) -> dict[str, Cells]:
    return {GROUPS[at]: grid.margins[at] for at in CG_GROUPS}


def sign_of(grid: Grid, cells: NDArray[np.intp], step: float) -> str:
    """The character for the worst of some cells."""
    worst = int(grid.verdict[cells].max())
    if worst == OUTSIDE:
        return next(
            letter for group, (letter, _) in LETTERS.items() if grid.outside[GROUPS.index(group), cells].any()
        )
    if worst == NOT_SHOWN:
        return DOUBT
    least = float(grid.margins[list(CG_GROUPS)][:, cells].min())
    return SHADES[min(int(least / step), len(SHADES) - 1)]


def style_of(sign: str) -> str:
    """The style of a character of the map."""
    return STYLES.get(sign, OUTSIDE_STYLE)


def _figure(value: float, axis: Axis) -> str:
    """A value of an axis with no more decimals than its steps need."""
    step = (axis.high - axis.low) / (axis.steps - 1)
    return f"{value:.{max(0, min(4, 1 - math.floor(math.log10(step))))}f}" if step < 10 else f"{value:.0f}"


def _framed(
    rows: Sequence[tuple[str, str, Parts]], title: str, axis: Axis, bins: list[slice], wide: int, margin: int
) -> list[Parts]:
    """Lines of a picture between their axes: each with its figure at the left, that of `axis` under them."""
    columns = len(bins) * wide
    lines: list[Parts] = [[(f"  {title}", "dim")]]
    for label, mark, parts in rows:
        lines.append(joined([(f"  {label:>{margin - 5}} {mark} ", "dim"), *parts]))
    marks, labels = ["-"] * columns, [" "] * (margin + columns + 12)
    values = axis.values()
    free = 0
    for index in range(len(bins)):
        text = _figure(float(values[bins[index].start]), axis)
        start = margin + index * wide
        if start >= free and start + len(text) <= margin + columns + 6:
            marks[index * wide] = "+"
            labels[start : start + len(text)] = text
            free = start + len(text) + max(3, 8 - len(text))
    under = (" " * (margin - 1) + "+" + "".join(marks), "".join(labels).rstrip(), " " * margin + _title(axis))
    return [*lines, *([(line, "dim")] for line in under)]


def _title(axis: Axis) -> str:
    return f"{axis.target.name} [{axis.target.unit.name}]"


def heat_map(grid: Grid, width: int) -> tuple[list[Parts], float]:
    """The map as lines of (text, style), the first range across, the second upwards; and the CG margin [m] of
    one shade.
    """
    across, upward = grid.axes
    step = shade_step(grid)
    labels = [_figure(float(value), upward) for value in upward.values()]
    margin = max(map(len, labels)) + 5
    room = max(width - margin - 2, 10)
    bins = _bins(across.steps, room)
    wide = max(1, min(3, room // len(bins)))
    levels = _bins(upward.steps, MOST_LINES)
    index = np.arange(across.steps * upward.steps).reshape(across.steps, upward.steps)
    rows = []
    for number, level in reversed(list(enumerate(levels))):
        label = labels[level.start] if number % 2 == 0 or len(levels) < 12 else ""
        signs = [sign_of(grid, index[bin_, level].ravel(), step) for bin_ in bins]
        rows.append((label, "+" if label else "|", [(sign * wide, style_of(sign)) for sign in signs]))
    return _framed(rows, _title(upward), across, bins, wide, margin), step


def curves(grid: Grid, width: int, display: Display) -> tuple[list[Parts], float]:
    """CG margins over one range as lines of (text, style), with the verdict of each value under them; and the
    margin [m] of one shade.
    """
    (axis,) = grid.axes
    step = shade_step(grid)
    shown = {name: margins for name, margins in _cg_margins(grid).items() if np.isfinite(margins).any()}
    unit, scale, decimals = ("mm", 1e3, 0) if display.system == "metric" else ("in", 1 / 0.0254, 1)
    low = min(0.0, *(float(each.min()) for each in shown.values()))
    high = max(0.0, *(float(each.max()) for each in shown.values()))
    span = max(high - low, 1e-6)

    def figure(value: float) -> str:
        return f"{value * scale:+.{decimals}f}"

    margin = max(len(figure(value)) for value in (low, high)) + 5
    room = max(width - margin - 2, 10)
    bins = _bins(axis.steps, room)
    wide = max(1, min(3, room // len(bins)))
    rows = [[" "] * (len(bins) * wide) for _ in range(HEIGHT)]

    def level(value: float) -> int:
        return round((high - value) / span * (HEIGHT - 1))

    zero = level(0.0)
    rows[zero] = ["-"] * (len(bins) * wide)
    for name, margins in shown.items():
        for index, bin_ in enumerate(bins):
            at, place = level(float(margins[bin_].min())), index * wide
            taken = rows[at][place] not in (" ", "-")
            rows[at][place] = "*" if taken else CURVES[name]
    framed: list[tuple[str, str, Parts]] = []
    for number, row in enumerate(rows):
        end = figure(high - span * number / (HEIGHT - 1)) if number in (0, HEIGHT - 1) else ""
        text = "0" if number == zero else end
        framed.append((text, "+" if text else "|", [("".join(row), "")]))
    signs = [sign_of(grid, np.arange(axis.steps)[bin_], step) for bin_ in bins]
    framed.append(("", "=", [(sign * wide, style_of(sign)) for sign in signs]))
    return _framed(framed, f"margin, {unit}", axis, bins, wide, margin), step


def legend(grid: Grid, step: float, display: Display) -> list[str]:
    """What the characters of a picture mean; only those that can be met in it."""
    lines = []
    if (grid.verdict == 0).any():
        edges = [display.span(step * (index + 1), "length").lstrip("+") for index in range(len(SHADES) - 1)]
        words = [f"{sign} up to {edge}" for sign, edge in zip(SHADES, edges, strict=False)]
        lines.append(
            f"Inside every limit, by the least CG margin of the whole flight: {', '.join(words)},"
            f" {SHADES[-1]} more."
        )
    if (grid.verdict == NOT_SHOWN).any():
        lines.append(
            f"{DOUBT} no limit is passed, but a margin is not larger than its uncertainty, or is zero; which,"
            " stands below."
        )
    met = [
        f"{letter} {words}"
        for group, (letter, words) in LETTERS.items()
        if grid.outside[GROUPS.index(group)].any()
    ]
    if met:
        several = " Where several are passed, the first of these stands." if len(met) > 1 else ""
        lines.append(f"Outside: {', '.join(met)}.{several}")
    if len(grid.axes) == 1:
        curved = [
            f"{sign} {name if name != 'lateral' else 'sideways'}"
            for name, sign in CURVES.items()
            if np.isfinite(_cg_margins(grid)[name]).any()
        ]
        lines.append(
            f"Curves: least margin of the whole flight to the limits {', '.join(curved)}, * several. The line"
            " marked = is the verdict."
        )
    if grid.others:
        names = " and ".join(axis.target.name for axis in grid.others)
        lines.append(f"Each sign is the worst over every value of {names}.")
    return [*lines, "A picture only: the figures decide."]
