"""Chance by seed: the same key gives the same figures on any machine and any Python."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Final, TypeVar

from planner.quantities.units import UNITS, Dimension, Display, Quantity

T = TypeVar("T")

# Decimals of a printed figure: what a manual, a scale or a watch would show.
_METRIC: Final = {"length": 3, "mass": 1, "volume": 0, "density": 3, "moment": 1}
_OTHER: Final = {"length": 1, "mass": 0, "volume": 1, "density": 2, "moment": 0}
_EVERY: Final = {"temperature": 0, "time": 0, "volume flow": 1}


def written(number: float, places: int, unit: str) -> str:
    """A number as it is written, its unit behind it where it has one; zero has no sign."""
    digits = f"{number:.{places}f}"
    return f"{digits.lstrip('-') if float(digits) == 0 else digits} {unit}".rstrip()


def printed(text: str, dimension: Dimension) -> Quantity:
    """A printed figure as a quantity, as `read_quantity` makes it, without asking what else it might be."""
    digits, name = text.split(" ", 1)
    scale = UNITS[name]
    return Quantity(scale.factor * float(digits) + scale.offset, 0.0, dimension, text)


class Dice:
    """Draws from a key of words and numbers, by `random()` alone: its sequence is promised not to change."""

    def __init__(self, *key: object) -> None:
        self._next = random.Random("/".join(map(str, key))).random

    def between(self, low: float, high: float) -> float:
        """A number from `low` up to `high`."""
        return low + (high - low) * self._next()

    def whole(self, low: int, high: int) -> int:
        """A whole number, both ends included."""
        return low + int(self._next() * (high - low + 1))

    def pick(self, several: Sequence[T]) -> T:
        """One of several."""
        return several[int(self._next() * len(several))]

    def chance(self, share: float) -> bool:
        """True in this share of all draws."""
        return self._next() < share

    def mixed(self, several: Sequence[T]) -> list[T]:
        """The same in another order."""
        left = list(several)
        return [left.pop(int(self._next() * len(left))) for _ in range(len(left))]


class Pen:
    """Writes figures in the reader's units, rounded as printed; the value kept is the printed one."""

    def __init__(self, display: Display) -> None:
        self.display = display

    def either(self, metric: T, other: T) -> T:
        """One of two, by the reader's units."""
        return metric if self.display.system == "metric" else other

    def unit(self, dimension: Dimension) -> str:
        """The unit of a dimension."""
        return self.display.unit(dimension)

    def text(self, value: float, dimension: Dimension, decimals: int | None = None, unit: str = "") -> str:
        """A value [SI] as printed."""
        name = unit or self.unit(dimension)
        places = self.either(_METRIC | _EVERY, _OTHER | _EVERY)[dimension] if decimals is None else decimals
        scale = UNITS[name]
        return written((value - scale.offset) / scale.factor, places, name)

    def figure(
        self, value: float, dimension: Dimension, decimals: int | None = None, unit: str = ""
    ) -> Quantity:
        """A value [SI] as a printed figure: its value is exactly what its text says."""
        return printed(self.text(value, dimension, decimals, unit), dimension)

    def show(self, value: float, dimension: Dimension, extra: int = 0) -> str:
        """A computed value [SI] for a line of working."""
        return self.display.text(value, dimension, extra=extra)

    def length(self, value: float, extra: int = 0) -> str:
        """A computed length [m]."""
        return self.show(value, "length", extra)

    def mass(self, value: float, extra: int = 0) -> str:
        """A computed mass [kg]."""
        return self.show(value, "mass", extra)

    def moment(self, value: float, extra: int = 0) -> str:
        """A computed moment [kg.m]."""
        return self.show(value, "moment", extra)

    def volume(self, value: float, extra: int = 0) -> str:
        """A computed volume [m3]."""
        return self.show(value, "volume", extra)

    def gap(self, value: float) -> str:
        """A computed distance [m] in small units, without a plus before it."""
        return self.display.span(value, "length").lstrip("+")
