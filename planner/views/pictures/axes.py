"""What every picture has: figures placed in a box, and round figures along its edges."""

from __future__ import annotations

import math
from collections.abc import Iterable

from planner.quantities.frozen import frozen
from planner.quantities.units import Dimension, Display, in_unit


@frozen
class Frame:
    """The figures shown `across` and `up`, each from least to greatest, and the box they are drawn in."""

    across: tuple[float, float]
    up: tuple[float, float]
    left: float
    top: float
    right: float
    bottom: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point is drawn: from the left, and from above."""
        (least, greatest), (low, high) = self.across, self.up
        return (
            self.left + (x - least) / (greatest - least) * (self.right - self.left),
            self.top + (high - y) / (high - low) * (self.bottom - self.top),
        )


def ticks(
    low: float, high: float, dimension: Dimension, display: Display, most: int
) -> list[tuple[float, str]]:
    """Round figures between two SI values, at most `most` and one: the share of the way from `low`, and the
    text.
    """
    unit = display.unit(dimension)
    a, b = in_unit(low, unit), in_unit(high, unit)
    power = 10.0 ** math.floor(math.log10((b - a) / most))
    step = next(power * factor for factor in (1, 2, 5, 10) if (b - a) / (power * factor) <= most)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    values = [step * i for i in range(math.ceil(a / step), math.floor(b / step) + 1)]
    return [((value - a) / (b - a), f"{value:.{decimals}f}") for value in values]


def figures_under(marked: Iterable[tuple[int, str]], wide: int) -> str:
    """Figures in a line of characters `wide`, each under its column where there is room beside the others."""
    line = [" "] * wide
    for column, text in marked:
        start = min(max(column - len(text) // 2, 0), wide - len(text))
        if all(sign == " " for sign in line[max(start - 1, 0) : start + len(text) + 1]):
            line[start : start + len(text)] = text
    return "".join(line).rstrip()
