"""What is kept of every loading of a block: the least margin and the worst verdict of each group of
limits.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.limits import Group
from planner.quantities.frozen import frozen
from planner.quantities.many import Some
from planner.sweep.block.edges import Array
from planner.sweep.block.model import GROUPS

INSIDE, NOT_SHOWN, OUTSIDE = 0, 1, 2
_NEAR: Final = 4.0  # times U: a least margin beyond that is beyond the U of every place of one burn
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

    def __init__(self, rows: int, noise: float) -> None:
        self.noise = noise
        self.margins = np.full((len(GROUPS), rows), np.inf)
        self.uncertainties = np.zeros((len(GROUPS), rows))
        self.verdicts = np.zeros((len(GROUPS), rows), dtype=np.int8)
        self.widest = np.zeros((len(GROUPS), rows))  # the greatest U of any limit of the group

    def add(self, group: Group, margin: Array, uncertainty: Some, scale: Some) -> None:
        """A limit checked: `margin` of every row (infinite where it does not apply), its U, and the limit
        itself as `scale` of rounding.
        """
        at = GROUPS.index(group)
        margin = np.where(np.abs(margin) <= self.noise * np.abs(scale), 0.0, margin)
        doubt = ((margin <= uncertainty) & np.greater(uncertainty, 0.0)).view(np.int8)
        found = np.maximum(doubt, (margin < 0.0).view(np.int8) * np.int8(OUTSIDE))
        np.maximum(self.verdicts[at], found, out=self.verdicts[at])
        np.maximum(self.widest[at], uncertainty, out=self.widest[at])
        # The same place of a flight may be checked as a state and on the burn: rounding must not choose
        # between their uncertainties.
        least, u = self.margins[at], self.uncertainties[at]
        less = margin < least - _SAME
        same = np.isfinite(margin) & (margin <= least + _SAME) & ~less
        np.copyto(u, uncertainty, where=less)
        if same.any():
            np.copyto(u, np.maximum(u, uncertainty), where=same)
        np.minimum(least, margin, out=least)

    def near(self) -> dict[Group, NDArray[np.bool_]]:
        """Rows inside the limits of a group on the CG whose least margin is near the greatest U met."""
        close = (self.verdicts == INSIDE) & (self.margins <= _NEAR * self.widest)
        return {group: close[GROUPS.index(group)] for group in ("forward", "aft", "lateral")}

    def doubt(self, group: Group, rows: NDArray[np.intp]) -> None:
        """Rows of which some place of the burn is not shown inside a limit of the group."""
        at = GROUPS.index(group)
        self.verdicts[at, rows] = np.maximum(self.verdicts[at, rows], NOT_SHOWN)
