"""Figures of one kind in the order of time, one row each to one scale: the path of a CG, a control chart."""

from __future__ import annotations

from collections.abc import Sequence

from planner.quantities.frozen import frozen
from planner.views.blocks import INDENT, Parts, Picture

_WIDEST = 60  # columns of characters


@frozen
class ChartRow:
    """A row: `label`, `value` drawn as `sign`, a line of `half` to either side of it, further `marks` (place,
    sign); all in one unit.
    """

    label: str
    value: float
    half: float
    sign: str
    style: str
    marks: tuple[tuple[float, str], ...] = ()

    @property
    def ends(self) -> tuple[float, float]:
        """Where the line begins and ends."""
        return self.value - self.half, self.value + self.half

    @property
    def places(self) -> list[float]:
        """Everything the scale has to hold."""
        return [self.value, *self.ends, *(place for place, _ in self.marks)]


def row_chart(rows: Sequence[ChartRow], scale: str, label: str) -> Picture:
    """The rows as a picture, in characters and drawn. `scale` says what left, right and the signs are;
    `label` what it shows.
    """
    left, right = min(min(row.places) for row in rows), max(max(row.places) for row in rows)
    named = max(len(row.label) for row in rows)

    def at(place: float, columns: float) -> float:
        return (place - left) / (right - left) * columns if right > left else columns / 2

    def signs(width: int, _: bool) -> tuple[list[Parts], list[str]]:
        columns = max(min(width - 2 * len(INDENT) - named - 3, _WIDEST), 9)
        lines: list[Parts] = []
        for row in rows:
            cells = [" "] * columns
            low, high = (round(at(place, columns - 1)) for place in row.ends)
            cells[low : high + 1] = "-" * (high - low + 1)
            for place, sign in (*row.marks, (row.value, row.sign)):
                cells[round(at(place, columns - 1))] = sign
            lines.append([(f"{INDENT}{row.label:<{named}} |{''.join(cells)}|", row.style)])
        return lines, [scale]

    def drawn(wide: float, high: float, size: float) -> str:
        from planner.views.pictures.svg import Drawing

        drawing, start = Drawing(), named * size * 0.6
        step, span = min((high - 2 * size) / len(rows), 2 * size), wide - start - 2 * size
        for number, row in enumerate(rows):
            y = (number + 1) * step
            drawing.text(0, y + size / 3, row.label, size)
            first, last = (start + at(place, span) for place in row.ends)
            drawing.line(first, y, last, y)
            for place, _ in row.marks:
                x = start + at(place, span)
                drawing.line(x, y - step / 2, x, y + step / 2, stroke_width=0.5)
            drawing.text(start + at(row.value, span), y + size / 3, row.sign, size, "middle", bold=True)
        for number, line in enumerate(scale.split(": ")):
            drawing.text(0, (len(rows) + 1) * step + number * size, line, size * 0.7)
        return drawing.markup()

    return Picture(signs, drawn, lambda: scale, label)
