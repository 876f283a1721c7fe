"""A drawing on grid paper as a problem or a lesson prints it: lines, areas and points against two scales.

Figures are in the printed units. The paper has small squares and, every tenth of them, a heavier line with
its figure; what a careful eye reads is half a small square.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from planner.quantities.frozen import frozen
from planner.quantities.polygon import Envelope
from planner.quantities.units import UNITS
from planner.school.dice import Pen

Spots = tuple[tuple[float, float], ...]


@frozen
class GridScale:
    """An axis: what it shows, from `low` to `high`, both on heavy lines; `square` is a small square."""

    words: str
    low: float
    high: float
    square: float

    @property
    def decimals(self) -> int:
        """Decimals of the figures at the heavy lines."""
        return max(0, -math.floor(math.log10(self.square * 10) + 1e-9))

    def heavy(self) -> tuple[float, ...]:
        """Where the heavy lines are."""
        step = self.square * 10
        return tuple(self.low + step * count for count in range(round((self.high - self.low) / step) + 1))

    def squares(self) -> int:
        """How many small squares there are."""
        return round((self.high - self.low) / self.square)


@frozen
class GridLine:
    """A line through points in order, with the name that stands at its end; `closed` makes it an outline."""

    name: str
    points: Spots
    closed: bool = False
    dashed: bool = False


@frozen
class GridPaper:
    """The whole drawing: `title`, two scales, lines, and points with a letter or a short word."""

    title: str
    across: GridScale
    up: GridScale
    lines: tuple[GridLine, ...] = ()
    points: tuple[tuple[str, float, float], ...] = ()

    def with_(self, lines: Sequence[GridLine], points: Sequence[tuple[str, float, float]] = ()) -> GridPaper:
        """The same paper with more drawn on it."""
        return GridPaper(self.title, self.across, self.up, (*self.lines, *lines), (*self.points, *points))


def scale(words: str, low: float, high: float, most: int) -> GridScale:
    """An axis over these figures with at most about `most` small squares, on round figures."""
    rough = max(high - low, 1e-9) / most
    power = 10.0 ** math.floor(math.log10(rough) + 1e-9)
    square = next(power * factor for factor in (1.0, 2.0, 5.0, 10.0) if power * factor >= rough * (1 - 1e-9))
    heavy = square * 10
    return GridScale(
        words, math.floor(low / heavy + 1e-9) * heavy, math.ceil(high / heavy - 1e-9) * heavy, square
    )


def thousandth(pen: Pen) -> tuple[str, float]:
    """The unit of moment/1000 and its size [kg.m]: kg.mm or lb.in, a thousand of them."""
    name = pen.either("kg.mm", "lb.in")
    return name, UNITS[name].factor * 1000.0


def envelope_lines(
    envelope: Envelope, pen: Pen, name: str, *, moments: bool, dashed: bool = False
) -> GridLine:
    """The outline of an envelope, as CG or as moment/1000 against mass, in printed units."""
    mass_unit, length_unit = UNITS[pen.unit("mass")].factor, UNITS[pen.unit("length")].factor
    _, size = thousandth(pen)
    outline = envelope.outline(steps=8)
    points = tuple((m * a / size if moments else a / length_unit, m / mass_unit) for a, m in outline)
    return GridLine(name, points, closed=True, dashed=dashed)
