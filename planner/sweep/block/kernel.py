"""Many loadings at once in one state: mass, moment, CG, margins to the edges.

A block is small enough to stay in the processor's cache; all its arrays are made once and written again and
again.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from planner.flight.limits import Group
from planner.quantities.frozen import frozen
from planner.quantities.many import Some
from planner.quantities.moments import Total
from planner.quantities.polygon import Envelope
from planner.sweep.block.edges import Array, EdgeRows

BLOCK: Final = 16384  # rows; eight columns of it are 1 MB
GREATEST_BLOCK: Final = 32768


@frozen
class Margins:
    """A block in one state, arrays of shape (n,): `mass` [kg], `cg` [m], and the margins [m] to the `forward`
    and `aft` edges. The arrays belong to the kernel and hold until its next block.
    """

    mass: Array
    cg: Array
    forward: Array
    aft: Array


class Kernel:
    """Loadings of k figures on fixed arms [m] added to a fixed total.

    Parameters: `per_unit` mass of one unit of each of the k columns (1 for kg, a density for m3, 0 for one
    that does not count), their `arms` and `lateral_arms` [m]; `fixed` total; `envelope`; `lateral` whether
    the lateral moment is followed; `rows` of a block.
    Source: [faa-h-8083-1b] ch. 5 computational method.
    """

    def __init__(
        self,
        per_unit: Sequence[float],
        arms: Sequence[float],
        lateral_arms: Sequence[float],
        fixed: Total,
        envelope: Envelope,
        lateral: bool = False,
        rows: int = BLOCK,
    ) -> None:
        if not 1 <= rows <= GREATEST_BLOCK:
            raise ValueError(f"a block has 1 to {GREATEST_BLOCK} rows, not {rows}")
        self.rows, self.fixed, self.lateral = rows, fixed, lateral
        unit = np.array(per_unit, dtype=np.float64)
        columns = [unit, unit * np.array(arms, dtype=np.float64)]
        if lateral:
            columns.append(unit * np.array(lateral_arms, dtype=np.float64))
        self.weights = np.ascontiguousarray(np.stack(columns, axis=1))
        self.forward, self.aft = EdgeRows(envelope.forward, False), EdgeRows(envelope.aft, True)
        self.edges: dict[Group, EdgeRows] = {"forward": self.forward, "aft": self.aft}
        self._sums = np.empty((rows, len(columns)))
        self._totals, self._arrays = np.empty((3, rows)), np.empty((4, rows))

    def totals(self, loads: Array) -> tuple[Array, Array, Some]:
        """Mass [kg], moment and lateral moment [kg.m] of a block of loadings, shape (n, k), n not above the
        block's rows.
        """
        n = len(loads)
        if n > self.rows:
            raise ValueError(f"{n} loadings in a block of {self.rows}")
        mass, moment, side_moment = self._totals[:, :n]
        sums = self._sums[:n]
        np.matmul(loads, self.weights, out=sums)
        np.add(sums[:, 0], self.fixed.mass, out=mass)
        np.add(sums[:, 1], self.fixed.moment, out=moment)
        if not self.lateral:
            return mass, moment, 0.0
        return mass, moment, np.add(sums[:, 2], self.fixed.lateral_moment, out=side_moment)

    def margins(self, mass: Array, moment: Array) -> Margins:
        """CG and margins to the edges of a block of totals, shape (n,); every mass [kg] is above zero."""
        cg, forward, aft, scratch = self._arrays[:, : len(mass)]
        np.divide(moment, mass, out=cg)
        np.subtract(cg, self.forward.arm(mass, forward, scratch), out=forward)
        np.subtract(self.aft.arm(mass, aft, scratch), cg, out=aft)
        return Margins(mass, cg, forward, aft)
