"""A value with its standard uncertainty, and the budget that says which input the uncertainty comes from."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from planner.quantities.effects import COVERAGE as COVERAGE
from planner.quantities.frozen import frozen

# Steps of the central difference: relative to the value near the cube root of the double's rounding; an input
# near zero (an error, a correction) has only its uncertainty to go by.
_VALUE_STEP = 6e-6
_SPREAD_STEP = 1e-3


@frozen
class Estimate:
    """A value and its standard uncertainty `u`, both in the same SI unit."""

    value: float
    u: float = 0.0

    @property
    def expanded(self) -> float:
        """The expanded uncertainty U = 2 u."""
        return COVERAGE * self.u


@frozen
class Missing:
    """Stands where a figure could not be given, and says why."""

    reason: str


@frozen
class Input:
    """One independent raw input of a measurement: name, value, standard uncertainty and unit, all SI."""

    name: str
    value: float
    u: float
    unit: str


@frozen
class BudgetLine:
    """One input's part: `sensitivity` = change of the result per change of the input, `contribution` =
    |sensitivity| u in the result's unit, `share` of the variance [1].
    """

    source: Input
    sensitivity: float
    contribution: float
    share: float


@frozen
class Budget:
    """A result with its uncertainty and the lines that make it up, the largest first."""

    result: Estimate
    lines: tuple[BudgetLine, ...]

    def line(self, name: str) -> BudgetLine:
        """The line of the input called `name`; KeyError where there is none."""
        for line in self.lines:
            if line.source.name == name:
                return line
        raise KeyError(name)


def propagate(function: Callable[[Mapping[str, float]], float], inputs: Sequence[Input]) -> Budget:
    """Uncertainty of a result from its raw, mutually independent inputs.

    u^2 = sum (df/dx_i)^2 u_i^2, first order, the derivatives by central differences. An input that
    acts in several places (an empty bottle's reading, a thermometer's error) is one entry: what it does in
    one place and undoes in another is then counted once and with its sign, and no covariance is left over.

    Parameters: `function` from {name: value} to the result, smooth near the values; `inputs`.
    Returns the Budget; shares are zero where every u is zero.
    Range: uncertainties small enough for `function` to be straight across them.
    Raises: ValueError for a negative or non-finite u; whatever `function` raises.
    Source: [jcgm-100] 5.1.2, equation (10).
    """
    values = {entry.name: entry.value for entry in inputs}
    slopes: list[float] = []
    for entry in inputs:
        if not (math.isfinite(entry.u) and entry.u >= 0):
            raise ValueError(f"standard uncertainty of {entry.name} is {entry.u!r}")
        step = max(_VALUE_STEP * abs(entry.value), _SPREAD_STEP * entry.u) or _VALUE_STEP
        high, low = entry.value + step, entry.value - step
        slopes.append(
            (function(values | {entry.name: high}) - function(values | {entry.name: low})) / (high - low)
        )
    contributions = [abs(slope) * entry.u for slope, entry in zip(slopes, inputs, strict=True)]
    total = math.hypot(*contributions)
    lines = [
        BudgetLine(entry, slope, part, (part / total) ** 2 if total else 0.0)
        for entry, slope, part in zip(inputs, slopes, contributions, strict=True)
    ]
    lines.sort(key=lambda line: -line.contribution)
    return Budget(Estimate(function(values), total), tuple(lines))
