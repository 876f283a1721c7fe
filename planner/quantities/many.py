"""Arithmetic for one figure or for a block of them, so that a formula is written down once.

A figure is a float, or an array with one entry per loading. numpy is loaded only where a block is given: one
flight on its own never needs it.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeAlias

# a float, or an array of floats; Any, as arithmetic of both is a union no checker follows
Some: TypeAlias = Any
Test: TypeAlias = Any  # a bool, or an array of bools
Points: TypeAlias = tuple[tuple[float, float], ...]  # of a line, its first figures ascending


def is_one(figure: Some) -> bool:
    """Whether this is one figure and not a block."""
    return isinstance(figure, (float, int))


def is_nothing(figure: Some) -> bool:
    """Whether this is one figure of zero: a term with it need not be worked out."""
    return isinstance(figure, float) and figure == 0.0


def anywhere(test: Test) -> bool:
    """Whether a test holds for any of a block."""
    return test if isinstance(test, bool) else bool(test.any())


def settled(test: Test) -> Test:
    """The test, as one bool where it is the same for every loading: what hangs on it is one figure then."""
    return test if isinstance(test, bool) or (test.any() and not test.all()) else bool(test.any())


def where(test: Test, yes: Some, no: Some) -> Some:
    """`yes` where the test holds, else `no`."""
    if isinstance(test, bool):
        return yes if test else no
    import numpy as np

    return np.where(test, yes, no)


def greater(first: Some, second: Some) -> Some:
    """The greater of two."""
    if isinstance(first, float) and isinstance(second, float):
        return first if first >= second else second
    import numpy as np

    return np.maximum(first, second)


def lesser(first: Some, second: Some) -> Some:
    """The lesser of two."""
    if isinstance(first, float) and isinstance(second, float):
        return first if first <= second else second
    import numpy as np

    return np.minimum(first, second)


def greatest(figure: Some) -> float:
    """The greatest figure of a block."""
    return figure if is_one(figure) else float(figure.max())


def least(figure: Some) -> float:
    """The least figure of a block."""
    return figure if is_one(figure) else float(figure.min())


def size(figure: Some) -> float:
    """The greatest magnitude in a block."""
    return max(greatest(figure), -least(figure))


def between(low: Some, figure: Some, high: Some) -> Some:
    """A figure, cut to lie between `low` and `high`."""
    return lesser(greater(figure, low), high)


def ascending(figures: Sequence[Some]) -> Sequence[Some]:
    """The figures in order; of blocks, those of every row."""
    if all(map(is_one, figures)):
        return sorted(figures)
    import numpy as np

    return list(np.sort(np.stack(np.broadcast_arrays(*figures)), axis=0))


def over(dividend: Some, divisor: Some) -> Some:
    """The quotient, zero where the divisor is not above zero."""
    if isinstance(dividend, float) and isinstance(divisor, float):
        return dividend / divisor if divisor > 0 else 0.0
    import numpy as np

    above = np.greater(divisor, 0.0)
    return np.where(above, dividend / np.where(above, divisor, 1.0), 0.0)


def summed(parts: Iterable[Some]) -> Some:
    """The sum; of single figures the correctly rounded one."""
    known = list(parts)
    plain = sum(known, start=0.0)
    return math.fsum(known) if isinstance(plain, float) else plain


def root(square: Some) -> Some:
    """The square root."""
    return math.sqrt(square) if is_one(square) else square**0.5


def power(exponent: Some) -> Some:
    """e to this power."""
    if is_one(exponent):
        return math.exp(exponent)
    import numpy as np

    return np.exp(exponent)


def erf(figure: Some) -> Some:
    """The error function of one figure, or of every one of a block; beyond 6 it is one to the last digit."""
    if is_one(figure):
        return math.erf(figure)
    import numpy as np

    result, near = np.sign(figure), np.abs(figure) < 6.0
    result[near] = np.frompyfunc(math.erf, 1, 1)(figure[near])
    return result


def some_of(figures: Any, rows: Any) -> Any:
    """Some rows of a block, or of all blocks in a record, a list, a tuple or a dict; else the same."""
    if getattr(figures, "ndim", 0):
        return figures[rows]
    if isinstance(figures, (list, tuple)):
        return type(figures)(some_of(each, rows) for each in figures)
    if isinstance(figures, dict):
        return {key: some_of(each, rows) for key, each in figures.items()}
    if is_dataclass(figures) and not isinstance(figures, type):
        return replace(
            figures, **{each.name: some_of(getattr(figures, each.name), rows) for each in fields(figures)}
        )
    return figures


def interpolate(points: Points, x: Some) -> Some:
    """Straight line between points (x ascending), held constant outside them; for one x or a block."""
    if not is_one(x):
        import numpy as np

        xs, ys = zip(*points, strict=True)
        return np.interp(x, xs, ys)
    if x <= points[0][0]:
        return points[0][1]
    if x >= points[-1][0]:
        return points[-1][1]
    upper = bisect_left([point[0] for point in points], x)
    (x1, y1), (x2, y2) = points[upper - 1], points[upper]
    return y1 + (y2 - y1) * (x - x1) / (x2 - x1)
