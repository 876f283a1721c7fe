"""What is kept of every loading of a block: the least margin and the worst verdict of each group of
limits.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import reduce
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.flight.envelope import NOISE
from planner.flight.limits import Group
from planner.quantities.frozen import frozen
from planner.quantities.many import Some, greater, greatest, is_nothing, settled, some_of, where
from planner.sweep.block.edges import Array, Rows
from planner.sweep.block.model import GROUP_DIMENSION, GROUPS

Asked: TypeAlias = Callable[[Rows], Some]  # the U of some rows
INSIDE, NOT_SHOWN, OUTSIDE = 0, 1, 2
_SAME: Final = 1e-9  # two margins closer than this, in SI, are the same place of the flight


@frozen
class BlockResult:
    """A block judged. Arrays of shape (n,), or (7, n) with one row per group of limits in the order of
    GROUPS.

    `verdict`: 0 inside, 1 not shown inside, 2 outside; the same per group in `verdicts`. `margins`: the least
    of each group [kg, m or m3], infinite where the group has no limit; `uncertainties`: the expanded
    uncertainty (k = 2) of that margin, the greatest where several are the least.
    Masses [kg] and CGs [m] per state, shape (4, n): ramp, take-off, landing, zero fuel. `fuel` usable aboard
    [m3].
    """

    verdict: NDArray[np.int8]
    verdicts: NDArray[np.int8]
    margins: Array
    uncertainties: Array
    masses: Array
    cgs: Array
    fuel: Array


class Tally:
    """Keeps the least margin and the worst verdict of every group."""

    def __init__(self, rows: int) -> None:
        self.margins = np.full((len(GROUPS), rows), np.inf)
        self.uncertainties = np.zeros((len(GROUPS), rows))
        self._doubts = np.zeros((len(GROUPS), rows), dtype=np.bool_)
        self._met: dict[Group, list[tuple[Array, Some | Asked]]] = {group: [] for group in GROUPS}
        self._most = dict.fromkeys(GROUPS, 0.0)

    def add(
        self, group: Group, margin: Array, uncertainty: Some | Asked, scale: float, most: float = 0.0
    ) -> None:
        """A limit checked: `margin` of every row (infinite where it does not apply), its U, and the size of
        the limit itself as `scale` of rounding. A U that is worked out where it is asked for is not above
        `most`, here or where the group is asked otherwise.
        """
        noise = np.abs(margin) <= NOISE * abs(scale)
        self._met[group].append((np.where(noise, 0.0, margin) if noise.any() else margin, uncertainty))
        self._most[group] = max(self._most[group], most if callable(uncertainty) else greatest(uncertainty))

    def settle(self, times: float) -> Iterator[tuple[Group, NDArray[np.intp]]]:
        """Find the least margins and their U, with U only of limits that are the least of their group or may
        be in doubt. Yields the rows inside a group on the CG of which some place of the burn may be in
        doubt: the least margin is within so many `times` the greatest U there can be.
        """
        for at, (group, met) in enumerate(self._met.items()):
            if not met:
                continue
            least, most = reduce(np.minimum, (margin for margin, _ in met)), times * self._most[group]
            doubts, greatest_u = self._doubts[at], self.uncertainties[at]
            # The same place of a flight may be checked as a state and on the burn: rounding must not choose
            # between their uncertainties.
            same = least + _SAME
            near = where(settled(least < 0.0), same, greater(least, most) + _SAME)
            for margin, uncertainty in (each for each in met if not is_nothing(each[1])):
                some = np.flatnonzero(margin <= near)
                if not some.size:
                    continue
                rows: Rows = some if len(some) < len(margin) else slice(None)
                found = margin[rows]
                u = uncertainty(rows) if callable(uncertainty) else some_of(uncertainty, rows)
                most = max(most, times * greatest(u))  # that of a place between the states may be greater
                doubts[rows] |= (found <= u) & np.greater(u, 0.0)
                greatest_u[rows] = np.maximum(greatest_u[rows], u * (found <= same[rows]))
            self.margins[at] = least
            close = np.flatnonzero((least >= 0.0) & (least <= most + _SAME) & ~doubts)
            if most and close.size and GROUP_DIMENSION[group] == "length":
                yield group, close
        self.uncertainties[np.isinf(self.margins)] = 0.0

    def doubt(self, group: Group, rows: NDArray[np.intp]) -> None:
        """Rows of which some place of the burn is not shown inside a limit of the group."""
        self._doubts[GROUPS.index(group), rows] = True

    @property
    def verdicts(self) -> NDArray[np.int8]:
        """The worst verdict of every group."""
        return np.where(self.margins < 0.0, np.int8(OUTSIDE), self._doubts.view(np.int8))
