"""The range a formula holds for."""

from __future__ import annotations

from planner.quantities.errors import OutOfRange
from planner.quantities.sentences import book, say, span_of
from planner.quantities.units import Dimension


def within(what: str, value: float, low: float, high: float, dimension: Dimension) -> None:
    """Raise OutOfRange unless `low` <= `value` <= `high` [SI]; NaN is outside."""
    if not low <= value <= high:
        raise OutOfRange(
            say(what + " {} is outside {}", book(value, dimension), span_of(low, high, dimension))
        )
