"""Many loadings at once in one state: mass, moment, CG, margins, inside.

A block is small enough to stay in the processor's cache; all its arrays are made once and written again and
again.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.quantities.frozen import frozen
from planner.quantities.moments import Total
from planner.quantities.polygon import Envelope
from planner.sweep.block.edges import Array, EdgeRows

BLOCK: Final = 16384  # rows; eight columns of it are 1 MB
GREATEST_BLOCK: Final = 32768


@frozen
class Margins:
    """A block in one state, arrays of shape (n,): `mass` [kg], `moment` [kg.m], `cg` [m], margins to greatest
    mass [kg] and edges [m].

    `least` is the least CG margin [m], lateral included; `lateral` is None where there are no lateral limits;
    `inside` is True where no margin is below zero. The arrays belong to the kernel and hold until its next
    block.
    """

    mass: Array
    moment: Array
    cg: Array
    mass_margin: Array
    forward: Array
    aft: Array
    lateral: Array | None
    least: Array
    inside: NDArray[np.bool_]


class Kernel:
    """Loadings of k figures on fixed arms [m] added to a fixed total.

    Parameters: `per_unit` mass of one unit of each of the k columns (1 for kg, a density for m3, 0 for one
    that does not count), their `arms` and `lateral_arms` [m]; `fixed` total; `envelope`; `greatest_mass`
    [kg]; `lateral` limits [m] or None; `rows` of a block.
    Source: [faa-h-8083-1b] ch. 5 computational method.
    """

    def __init__(
        self,
        per_unit: Sequence[float],
        arms: Sequence[float],
        lateral_arms: Sequence[float],
        fixed: Total,
        envelope: Envelope,
        greatest_mass: float,
        lateral: tuple[float, float] | None = None,
        rows: int = BLOCK,
    ) -> None:
        if not 1 <= rows <= GREATEST_BLOCK:
            raise ValueError(f"a block has 1 to {GREATEST_BLOCK} rows, not {rows}")
        self.rows, self.fixed, self.greatest_mass, self.lateral = rows, fixed, greatest_mass, lateral
        unit = np.array(per_unit, dtype=np.float64)
        columns = [unit, unit * np.array(arms, dtype=np.float64)]
        if lateral is not None:
            columns.append(unit * np.array(lateral_arms, dtype=np.float64))
        self.weights = np.ascontiguousarray(np.stack(columns, axis=1))
        self.forward, self.aft = EdgeRows(envelope.forward, False), EdgeRows(envelope.aft, True)
        self._needs_inverse = self.forward.needs_inverse or self.aft.needs_inverse
        self._sums = np.empty((rows, len(columns)))
        self._totals, self._arrays = np.empty((3, rows)), np.empty((8, rows))
        self._flags = np.empty((2, rows), dtype=np.bool_)

    def totals(self, loads: Array) -> tuple[Array, Array, Array | None]:
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
        if self.lateral is None:
            return mass, moment, None
        return mass, moment, np.add(sums[:, 2], self.fixed.lateral_moment, out=side_moment)

    def margins(self, mass: Array, moment: Array, side_moment: Array | None, greatest_mass: float) -> Margins:
        """Every margin of a block of totals, shape (n,); every mass [kg] must be above zero."""
        cg, mass_margin, forward, aft, side, least, inverse, scratch = self._arrays[:, : len(mass)]
        inside, flag = self._flags[:, : len(mass)]
        np.divide(moment, mass, out=cg)
        if self._needs_inverse:
            np.divide(1.0, mass, out=inverse)
        np.subtract(greatest_mass, mass, out=mass_margin)
        np.subtract(cg, self.forward.arm(mass, inverse, forward, scratch), out=forward)
        np.subtract(self.aft.arm(mass, inverse, aft, scratch), cg, out=aft)
        np.minimum(forward, aft, out=least)
        if self.lateral is not None and side_moment is not None:
            np.divide(side_moment, mass, out=scratch)
            np.subtract(scratch, self.lateral[0], out=side)
            np.minimum(side, np.subtract(self.lateral[1], scratch, out=scratch), out=side)
            np.minimum(least, side, out=least)
        np.greater_equal(least, 0.0, out=inside)
        np.logical_and(inside, np.greater_equal(mass_margin, 0.0, out=flag), out=inside)
        return Margins(
            mass=mass,
            moment=moment,
            cg=cg,
            mass_margin=mass_margin,
            forward=forward,
            aft=aft,
            lateral=side if self.lateral is not None else None,
            least=least,
            inside=inside,
        )

    def run(self, loads: Array) -> Margins:
        """One block of loadings in this one state, shape (n, k)."""
        return self.margins(*self.totals(loads), self.greatest_mass)
