"""Round figures along an axis, for every picture."""

from __future__ import annotations

import math

from planner.quantities.units import Dimension, Display, in_unit


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
