"""One edge of an envelope for a whole column of masses.

Where the edge bends only one way it is the greatest (forward) or least (aft) of its own lines, held at the
arm of its last point: a handful of passes over memory and no search. Whether it does is decided in exact
fractions; where it does not, each mass is looked up, as for one loading.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.quantities.polygon import Edge, Piece

Array: TypeAlias = NDArray[np.float64]
Rows: TypeAlias = NDArray[np.intp] | slice  # some rows of a block, or all of them


def _bends_one_way(edge: Edge, sign: int) -> tuple[bool, int, bool]:
    """(the edge is the greatest of its first so many lines, how many, the last arm caps them), for sign 1;
    mirrored for sign -1. Exact.
    """
    masses = [Fraction(m) for m, _ in edge.points]
    arms = [sign * Fraction(a) for _, a in edge.points]
    moment = edge.kind == "linear in moment"
    heights = [m * a for m, a in zip(masses, arms, strict=True)] if moment else arms
    below, above = (arms[0], arms[-1]) if moment else (Fraction(0), Fraction(0))
    slopes = [below] + [
        (h2 - h1) / (m2 - m1) for (m1, h1), (m2, h2) in pairwise(zip(masses, heights, strict=True))
    ]
    while len(slopes) > 1 and slopes[-1] == above:
        slopes.pop()  # the end of the edge lies on the line that holds above it
    convex = all(first <= second for first, second in pairwise(slopes))
    capped = slopes[-1] > above
    # Under a cap the lines must not pass it before the last point; a convex line between points passes it at
    # a point or not at all.
    return convex and (not capped or all(arm <= arms[-1] for arm in arms)), len(slopes), capped


class EdgeRows:
    """An edge compiled; `aft` True for the aft edge. Masses in kg, arms in m."""

    def __init__(self, edge: Edge, aft: bool) -> None:
        self.pieces = edge.pieces()
        self.masses = np.array([mass for mass, _ in edge.points])
        self.scale = max(abs(arm) for _, arm in edge.points)
        self.steepest = max(abs(piece.slope(piece.low)) for piece in self.pieces[1:])  # m/kg
        self._p, self._q, self._r = (
            np.array([getattr(piece, name) for piece in self.pieces]) for name in "pqr"
        )
        self.by_lines, count, capped = _bends_one_way(edge, -1 if aft else 1)
        self.cap = edge.points[-1][1] if capped else None
        self._best = np.minimum if aft else np.maximum
        self._capped = np.maximum if aft else np.minimum
        lines = self.pieces[:count] if capped else (*self.pieces[:count], self.pieces[-1])
        self.lines: tuple[Piece, ...] = tuple(
            {(piece.p, piece.q, piece.r): piece for piece in lines}.values()
        )

    def arm(self, mass: Array, out: Array, scratch: Array) -> Array:
        """Limiting arm [m] at every `mass` [kg], written to `out`."""
        if not self.by_lines:
            out[:] = self.at(mass)
            return out
        flat = [piece.q for piece in self.lines if not piece.p and not piece.r]
        bent = [piece for piece in self.lines if piece.p or piece.r]
        if not bent:
            out.fill(self._best.reduce(flat))
            return out
        for index, piece in enumerate(bent):
            into = scratch if index else out
            np.multiply(mass, piece.r, out=into) if piece.r else np.divide(piece.p, mass, out=into)
            into += piece.q
            if index:
                self._best(out, scratch, out=out)
        if flat:
            self._best(out, self._best.reduce(flat), out=out)
        if self.cap is not None:
            self._capped(out, self.cap, out=out)
        return out

    def at(self, mass: Array) -> Array:
        """Limiting arm [m] at every `mass` [kg], looked up."""
        at = self.masses.searchsorted(mass, side="right")
        return np.asarray(self._p[at] / mass + self._q[at] + self._r[at] * mass)

    def slope(self, mass: Array) -> Array:
        """Change of the limiting arm with mass [m/kg] at every `mass` [kg]: -p/m2 + r."""
        at = self.masses.searchsorted(mass, side="right")
        return np.asarray(self._r[at] - self._p[at] / (mass * mass))
