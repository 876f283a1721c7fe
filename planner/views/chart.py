"""The CG against the mass in characters: envelope, burn and states, readable without colour."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from planner.plan.results import Plan
from planner.quantities.frozen import frozen
from planner.quantities.units import Display
from planner.views.axes import ticks
from planner.views.blocks import Parts, joined
from planner.views.limit_words import STATE_LETTERS, letters

ROWS: Final = 16
_WIDEST: Final = 76
_NARROWEST: Final = 24
# Dots of a braille cell: bit by (column, row) inside the cell, Unicode block 2800.
_BRAILLE: Final = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
OUTLINE_STYLE: Final = "cyan"
BURN_STYLE: Final = "yellow"
OUTSIDE_STYLE: Final = "bold red"
BURN_SIGN: Final = "*"
OUTSIDE_SIGN: Final = "x"
STATE_STYLE: Final = "bold"


@frozen
class _CharacterFrame:
    """The part shown: arms [m] left to right, masses [kg] bottom to top, in `columns` of characters."""

    left: float
    right: float
    bottom: float
    top: float
    columns: int

    def place(self, arm: float, mass: float) -> tuple[float, float]:
        """Column and row as fractions of cells from the upper left corner."""
        across = (arm - self.left) / (self.right - self.left)
        return across * self.columns, (self.top - mass) / (self.top - self.bottom) * ROWS

    def cell(self, arm: float, mass: float) -> tuple[int, int] | None:
        """The cell of a point, or None outside the frame."""
        column, row = self.place(arm, mass)
        return (int(column), int(row)) if 0 <= column < self.columns and 0 <= row < ROWS else None


def _frame(plan: Plan, columns: int) -> _CharacterFrame:
    """The masses flown and the top of the envelope with some room, the arms of envelope and burn there."""
    masses = [state.total.mass for state in plan.states]
    top, low = max([plan.envelope.greatest_mass, *masses]), min(masses)
    bottom = low - 0.35 * max(top - low, 0.02 * top)
    bottom = min(max(bottom, plan.envelope.least_mass), low)
    pad = 0.05 * (top - bottom)
    top, bottom = top + pad, bottom - pad
    levels = [bottom + (top - bottom) * i / ROWS for i in range(ROWS + 1)]
    arms = [edge.arm(m) for m in levels for edge in (plan.envelope.forward, plan.envelope.aft)]
    arms += [state.total.centre_of_gravity for state in plan.states]
    arms += [s.total_at(m).centre_of_gravity for s in plan.burn.path for m in (s.start, s.end)]
    side = 0.05 * (max(arms) - min(arms))
    return _CharacterFrame(
        left=min(arms) - side, right=max(arms) + side, bottom=bottom, top=top, columns=columns
    )


def _between(
    a: tuple[float, float], b: tuple[float, float], frame: _CharacterFrame
) -> Iterator[tuple[float, float]]:
    """Points close enough together on a straight line to leave no gap in the drawing."""
    (c1, r1), (c2, r2) = frame.place(*a), frame.place(*b)
    steps = min(max(math.ceil(max(abs(c2 - c1) * 4, abs(r2 - r1) * 8)), 1), 4000)
    for i in range(steps + 1):
        share = i / steps
        yield c1 + (c2 - c1) * share, r1 + (r2 - r1) * share


def _outline(plan: Plan, frame: _CharacterFrame, braille: bool) -> dict[tuple[int, int], str]:
    outline = plan.envelope.outline(steps=12)
    bits: dict[tuple[int, int], int] = {}
    for a, b in pairwise((*outline, outline[0])):
        for column, row in _between(a, b, frame):
            if 0 <= column < frame.columns and 0 <= row < ROWS:
                inside = _BRAILLE[int(column % 1 * 2)][int(row % 1 * 4)]
                key = (int(column), int(row))
                bits[key] = bits.get(key, 0) | inside
    return {key: chr(0x2800 + value) if braille else "." for key, value in bits.items()}


def _burn(plan: Plan, frame: _CharacterFrame) -> dict[tuple[int, int], str]:
    """The burn: `*`, and `x` where the CG is beyond the forward or aft limit."""
    found: dict[tuple[int, int], str] = {}
    for stretch in plan.burn.path:
        steps = 24  # enough for a tank whose arm changes with its content
        masses = [stretch.start + (stretch.end - stretch.start) * i / steps for i in range(steps + 1)]
        points = [(stretch.total_at(m).centre_of_gravity, m) for m in masses]
        for a, b in pairwise(points):
            middle, mass = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
            outside = not plan.envelope.forward.arm(mass) <= middle <= plan.envelope.aft.arm(mass)
            for column, row in _between(a, b, frame):
                cell = int(column), int(row)
                if 0 <= column < frame.columns and 0 <= row < ROWS and found.get(cell) != OUTSIDE_SIGN:
                    found[cell] = OUTSIDE_SIGN if outside else BURN_SIGN
    return found


def _letters(plan: Plan, frame: _CharacterFrame) -> dict[tuple[int, int], str]:
    """The states; one that would cover another moves sideways, towards the middle of the envelope."""
    found: dict[tuple[int, int], str] = {}
    for state in plan.states:
        cell = frame.cell(state.total.centre_of_gravity, state.total.mass)
        if cell is None:
            continue
        mass = state.total.mass
        middle = (plan.envelope.forward.arm(mass) + plan.envelope.aft.arm(mass)) / 2
        step = 1 if state.total.centre_of_gravity < middle else -1
        column, row = cell
        while (column, row) in found:
            column += step
        if 0 <= column < frame.columns:
            found[(column, row)] = STATE_LETTERS[state.name]
    return found


def _axis(frame: _CharacterFrame, display: Display, margin: int) -> tuple[str, str]:
    marks, labels = ["-"] * frame.columns, [" "] * (frame.columns + margin)
    for share, text in ticks(frame.left, frame.right, "length", display, max(frame.columns // 12, 2)):
        column = min(int(share * frame.columns), frame.columns - 1)
        marks[column] = "+"
        start = min(max(margin + column - len(text) // 2, 0), frame.columns + margin - len(text))
        if all(sign == " " for sign in labels[max(start - 1, 0) : start + len(text) + 1]):
            labels[start : start + len(text)] = text
    return "".join(marks), "".join(labels).rstrip()


def chart(plan: Plan, display: Display, width: int, braille: bool) -> tuple[list[Parts], list[str]]:
    """The diagram of CG against mass as lines of (text, style), and what its signs mean.

    Parameters: `plan`; `display`; `width` of the page in characters; `braille` False for an encoding without
    it. No line is drawn where the page is too narrow. Nothing is read off it: the tables decide.
    """
    # The masses shown do not depend on the columns, so the labels come first.
    shown = _frame(plan, _NARROWEST)
    labels = ticks(shown.bottom, shown.top, "mass", display, 8)
    margin = max(len(text) for _, text in labels) + 4
    columns = min(width - margin - 1, _WIDEST)
    if columns < _NARROWEST:
        return [], ["The page is too narrow for the diagram."]
    frame = _frame(plan, columns)
    outline, burn, letters = _outline(plan, frame, braille), _burn(plan, frame), _letters(plan, frame)
    by_row = {min(int((1 - share) * ROWS), ROWS - 1): text for share, text in labels}
    lines: list[Parts] = [[(f"  mass, {display.unit('mass')}", "dim")]]
    for row in range(ROWS):
        mark = "+" if row in by_row else "|"
        parts: Parts = [(f"  {by_row.get(row, ''):>{margin - 4}} {mark}", "dim")]
        for column in range(columns):
            key = (column, row)
            if key in letters:
                parts.append((letters[key], STATE_STYLE))
            elif key in burn:
                parts.append((burn[key], OUTSIDE_STYLE if burn[key] == OUTSIDE_SIGN else BURN_STYLE))
            else:
                parts.append((outline.get(key, " "), OUTLINE_STYLE))
        lines.append(joined(parts))
    marks, under = _axis(frame, display, margin)
    lines.append([(" " * (margin - 1) + "+" + marks, "dim")])
    lines.append([(under, "dim")])
    return lines, legend(plan, display)


def legend(plan: Plan, display: Display) -> list[str]:
    """What the diagram's signs mean, and what is cut off at its foot."""
    text = [
        f"Across: CG, {display.unit('length')} from the datum, aft to the right; dots: envelope, {BURN_SIGN}"
        f" burn, {OUTSIDE_SIGN} burn with the CG beyond a limit, {letters(plan)}. Letters that would cover"
        " each other stand side by side."
    ]
    if _frame(plan, _NARROWEST).bottom > plan.envelope.least_mass:
        text.append(f"The envelope goes on down to {display.text(plan.envelope.least_mass, 'mass')}.")
    return [*text, "A picture only: the tables decide."]
