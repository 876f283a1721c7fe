"""The CG against the mass in characters: envelope, burn and states, readable without colour."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise
from typing import Final

from planner.plan.results import Plan
from planner.quantities.units import Display
from planner.views.blocks import Parts, joined
from planner.views.limit_words import STATE_LETTERS, letters
from planner.views.pictures.axes import Frame, figures_under, ticks

Points = list[tuple[float, float]]
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


def shown_part(
    plan: Plan, flown: Points, burnt: Iterable[float], most: float, room: float, pad: float, steps: int
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Arms [m] and masses [kg] to show: those `flown` as (CG, mass) and the top of the envelope, the CG of
    the fuel `burnt`, and `most`, a mass; `room` below and `pad` around as shares of the height [1], the
    envelope looked at in `steps`.
    """
    masses, envelope = [mass for _, mass in flown], plan.envelope
    top, low = max([envelope.greatest_mass, most, *masses]), min(masses)
    bottom = low - room * max(top - low, 0.02 * top)
    bottom = min(max(bottom, envelope.least_mass), low)
    edge = pad * (top - bottom)
    top, bottom = top + edge, bottom - edge
    levels = [bottom + (top - bottom) * i / steps for i in range(steps + 1)]
    arms = [each.arm(m) for m in levels for each in (envelope.forward, envelope.aft)]
    arms += [*burnt, *(arm for arm, _ in flown)]
    side = pad * (max(arms) - min(arms))
    return (min(arms) - side, max(arms) + side), (bottom, top)


def states_of(plan: Plan) -> Points:
    """The states as points (CG [m], mass [kg])."""
    return [(state.total.centre_of_gravity, state.total.mass) for state in plan.states]


def _frame(plan: Plan, columns: int) -> Frame:
    """The masses flown and the top of the envelope with some room, the arms of envelope and burn there."""
    burnt = [s.total_at(m).centre_of_gravity for s in plan.burn.path for m in (s.start, s.end)]
    arms, masses = shown_part(plan, states_of(plan), burnt, 0.0, room=0.35, pad=0.05, steps=ROWS)
    return Frame(across=arms, up=masses, left=0.0, top=0.0, right=columns, bottom=ROWS)


def _cell(place: tuple[float, float], frame: Frame) -> tuple[int, int] | None:
    """The cell (column, row) of a place in the frame, or None outside of it."""
    column, row = place
    return (int(column), int(row)) if 0 <= column < frame.right and 0 <= row < ROWS else None


def _between(a: tuple[float, float], b: tuple[float, float], frame: Frame) -> Points:
    """Places close enough together on a straight line to leave no gap in the drawing."""
    (c1, r1), (c2, r2) = frame.at(*a), frame.at(*b)
    steps = min(max(math.ceil(max(abs(c2 - c1) * 4, abs(r2 - r1) * 8)), 1), 4000)
    return [(c1 + (c2 - c1) * i / steps, r1 + (r2 - r1) * i / steps) for i in range(steps + 1)]


def _outline(plan: Plan, frame: Frame, braille: bool) -> dict[tuple[int, int], str]:
    outline = plan.envelope.outline(steps=12)
    bits: dict[tuple[int, int], int] = {}
    for a, b in pairwise((*outline, outline[0])):
        for column, row in _between(a, b, frame):
            if (cell := _cell((column, row), frame)) is not None:
                bits[cell] = bits.get(cell, 0) | _BRAILLE[int(column % 1 * 2)][int(row % 1 * 4)]
    return {key: chr(0x2800 + value) if braille else "." for key, value in bits.items()}


def _burn(plan: Plan, frame: Frame) -> dict[tuple[int, int], str]:
    """The burn: `*`, and `x` where the CG is beyond the forward or aft limit."""
    found: dict[tuple[int, int], str] = {}
    for stretch in plan.burn.path:
        steps = 24  # enough for a tank whose arm changes with its content
        masses = [stretch.start + (stretch.end - stretch.start) * i / steps for i in range(steps + 1)]
        points = [(stretch.total_at(m).centre_of_gravity, m) for m in masses]
        for a, b in pairwise(points):
            middle, mass = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
            outside = not plan.envelope.forward.arm(mass) <= middle <= plan.envelope.aft.arm(mass)
            for place in _between(a, b, frame):
                cell = _cell(place, frame)
                if cell is not None and found.get(cell) != OUTSIDE_SIGN:
                    found[cell] = OUTSIDE_SIGN if outside else BURN_SIGN
    return found


def _letters(plan: Plan, frame: Frame) -> dict[tuple[int, int], str]:
    """The states; one that would cover another moves sideways, towards the middle of the envelope."""
    found: dict[tuple[int, int], str] = {}
    for state, (cg, mass) in zip(plan.states, states_of(plan), strict=True):
        cell = _cell(frame.at(cg, mass), frame)
        if cell is None:
            continue
        middle = (plan.envelope.forward.arm(mass) + plan.envelope.aft.arm(mass)) / 2
        step = 1 if cg < middle else -1
        column, row = cell
        while (column, row) in found:
            column += step
        if 0 <= column < frame.right:
            found[(column, row)] = STATE_LETTERS[state.name]
    return found


def chart(plan: Plan, display: Display, width: int, braille: bool) -> tuple[list[Parts], list[str]]:
    """The diagram of CG against mass as lines of (text, style), and what its signs mean.

    Parameters: `plan`; `display`; `width` of the page in characters; `braille` False for an encoding without
    it. No line is drawn where the page is too narrow. Nothing is read off it: the tables decide.
    """
    # The masses shown do not depend on the columns, so the labels come first.
    shown = _frame(plan, _NARROWEST)
    labels = ticks(*shown.up, "mass", display, 8)
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
    across = ticks(*frame.across, "length", display, max(columns // 12, 2))
    marked = {min(int(share * columns), columns - 1): text for share, text in across}
    marks = "".join("+" if column in marked else "-" for column in range(columns))
    under = figures_under(((margin + column, text) for column, text in marked.items()), columns + margin)
    lines += [[(" " * (margin - 1) + "+" + marks, "dim")], [(under, "dim")]]
    return lines, legend(plan, display)


def legend(plan: Plan, display: Display) -> list[str]:
    """What the diagram's signs mean, and what is cut off at its foot."""
    text = [
        f"Across: CG, {display.unit('length')} from the datum, aft to the right; dots: envelope, {BURN_SIGN}"
        f" burn, {OUTSIDE_SIGN} burn with the CG beyond a limit, {letters(plan)}. Letters that would cover"
        " each other stand side by side."
    ]
    if _frame(plan, _NARROWEST).up[0] > plan.envelope.least_mass:
        text.append(f"The envelope goes on down to {display.text(plan.envelope.least_mass, 'mass')}.")
    return [*text, "A picture only: the tables decide."]
