"""Adjustment of observations: the unknowns that all observations together make most likely, how sure they
are, and how far each observation stands from the rest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from planner.quantities.frozen import frozen


@frozen
class Observation:
    """An equation between unknowns: sum of factor x unknown = `value`, known to `u`; `of` is the number of
    the entry it is from, 0 for a rule of the model.
    """

    terms: tuple[tuple[int, float], ...]
    value: float
    u: float
    of: int = 0


@frozen
class Adjusted:
    """The unknowns, their covariances where an equation holds both (`shared`), and of each observation what
    is left over, `normalised` by its own standard uncertainty.

    `score` is the weighted sum of squares.
    """

    values: tuple[float, ...]
    shared: tuple[dict[int, float], ...]
    normalised: tuple[float, ...]
    score: float

    def covariance(self, one: int, other: int) -> float:
        """Covariance of two unknowns that stand in one equation; the variance of one with itself."""
        return self.shared[min(one, other)][max(one, other)]

    def u(self, terms: Sequence[tuple[int, float]]) -> float:
        """Standard uncertainty of a sum of factor x unknown."""
        parts = []
        for at, (index, factor) in enumerate(terms):
            parts.append(factor * factor * self.shared[index][index])
            for beside, other in terms[at + 1 :]:
                parts.append(2 * factor * other * self.covariance(index, beside))
        return math.sqrt(max(math.fsum(parts), 0.0))


def adjust(observations: Sequence[Observation], unknowns: int) -> Adjusted:
    """Weighted least squares: minimise the sum of ((observed - computed) / u)^2.

    Normal equations N x = A^T W y by N = L D L^T, whose zeros are left out, so that the work grows with the
    length of a ledger and not with its cube; the part of N^-1 that is needed by Takahashi's recursion.
    Normalised residual: r / sqrt(u^2 - a N^-1 a^T), 0 where nothing else speaks to an observation.

    Parameters: `observations`, in any one unit; `unknowns`, how many. Every unknown must be in enough of
    them. Returns Adjusted. Raises ValueError where the observations leave an unknown free.
    Source: [narasimhan-2000] example 1.1, the six flows of its checks; [baarda-1968] for the normalised
    residual; the recursion is from memory.
    """
    columns: list[dict[int, float]] = [{index: 0.0} for index in range(unknowns)]
    right = [0.0] * unknowns
    for each in observations:
        weight = 1 / each.u**2
        for index, factor in each.terms:
            right[index] += weight * factor * each.value
            column = columns[index]
            for beside, other in each.terms:
                if beside >= index:
                    column[beside] = column.get(beside, 0.0) + weight * factor * other
    for index, column in enumerate(columns):
        pivot = column[index]
        if not pivot > 0:
            raise ValueError(f"unknown {index} is left free")
        below = [(row, value) for row, value in column.items() if row > index]
        for row, value in below:
            share = value / pivot
            right[row] -= share * right[index]
            target = columns[row]
            for beside, other in below:
                if beside >= row:
                    target[beside] = target.get(beside, 0.0) - share * other
    values, shared = [0.0] * unknowns, [dict[int, float]() for _ in range(unknowns)]
    for index in range(unknowns - 1, -1, -1):
        column = columns[index]
        pivot = column[index]
        below = [(row, value / pivot) for row, value in column.items() if row > index]
        values[index] = right[index] / pivot - math.fsum(part * values[row] for row, part in below)
        own = shared[index]
        for row, _ in below:
            own[row] = -math.fsum(part * shared[min(row, k)][max(row, k)] for k, part in below)
        own[index] = 1 / pivot - math.fsum(part * own[row] for row, part in below)
    found = Adjusted(tuple(values), tuple(shared), (), 0.0)
    residuals, normalised = [], []
    for each in observations:
        residual = each.value - math.fsum(factor * values[index] for index, factor in each.terms)
        left = each.u**2 - found.u(each.terms) ** 2
        residuals.append(residual)
        normalised.append(residual / math.sqrt(left) if left > 1e-6 * each.u**2 else 0.0)
    score = math.fsum((left / each.u) ** 2 for left, each in zip(residuals, observations, strict=True))
    return Adjusted(found.values, found.shared, tuple(normalised), score)
