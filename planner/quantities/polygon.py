"""Envelope edges as exact functions of mass.

An approved manual draws the forward and aft limits as points joined by straight lines, either on a
chart of CG against mass or on a chart of moment against mass. The two agree at the points and differ
between them, so the edge keeps which chart it came from. Either way the limiting moment is, piece by
piece, `L(m) = p + q m + r m2`: q and r for a line in CG, p and q for a line in moment. Everything
that asks about a margin (one state, or the whole burn) uses this one form.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import field
from itertools import pairwise
from typing import Literal

from planner.quantities.frozen import frozen

EdgeKind = Literal["linear in cg", "linear in moment"]


@frozen
class Piece:
    """Limiting moment `p + q m + r m2` [kg.m] for masses from `low` to `high` [kg]."""

    low: float
    high: float
    p: float
    q: float
    r: float

    def arm(self, mass: float) -> float:
        """Limiting arm [m] at `mass` [kg]: p/m + q + r m. An edge drawn from 0 kg has no p there."""
        return (self.p / mass if self.p else 0.0) + self.q + self.r * mass

    def slope(self, mass: float) -> float:
        """Change of the limiting arm with mass [m/kg] at `mass` [kg]: -p/m2 + r."""
        return -self.p / mass**2 + self.r


@frozen
class Edge:
    """One side of an envelope: `points` of (mass [kg], arm [m]) with ascending mass, and the kind of line
    between.

    Below the first and above the last point the limiting arm is held constant, so that a ramp mass a
    little above the take-off limit still has a CG limit; the mass limits themselves are separate.
    """

    points: tuple[tuple[float, float], ...]
    kind: EdgeKind
    # A plan asks for the pieces some hundred times, so they are worked out once.
    _pieces: tuple[Piece, ...] = field(init=False, repr=False, compare=False, default=())

    def __post_init__(self) -> None:
        object.__setattr__(self, "_pieces", self._worked_out())

    def pieces(self) -> tuple[Piece, ...]:
        """The edge as consecutive pieces covering all masses from 0 to infinity."""
        return self._pieces

    def _worked_out(self) -> tuple[Piece, ...]:
        first, last = self.points[0], self.points[-1]
        result = [Piece(low=0.0, high=first[0], p=0.0, q=first[1], r=0.0)]
        for (m1, a1), (m2, a2) in pairwise(self.points):
            if self.kind == "linear in cg":
                slope = (a2 - a1) / (m2 - m1)
                result.append(Piece(low=m1, high=m2, p=0.0, q=a1 - slope * m1, r=slope))
            else:
                slope = (m2 * a2 - m1 * a1) / (m2 - m1)
                result.append(Piece(low=m1, high=m2, p=m1 * a1 - slope * m1, q=slope, r=0.0))
        result.append(Piece(low=last[0], high=math.inf, p=0.0, q=last[1], r=0.0))
        return tuple(result)

    def piece_at(self, mass: float) -> Piece:
        """The piece that holds at `mass` [kg]; at a point of the edge, the piece above it."""
        return self.pieces()[bisect_right([point[0] for point in self.points], mass)]

    def arm(self, mass: float) -> float:
        """Limiting arm [m] at `mass` [kg]."""
        return self.piece_at(mass).arm(mass)


@frozen
class Envelope:
    """The forward and aft edges of one category."""

    forward: Edge
    aft: Edge

    @property
    def least_mass(self) -> float:
        """Lowest mass [kg] at which both edges are drawn."""
        return max(self.forward.points[0][0], self.aft.points[0][0])

    @property
    def greatest_mass(self) -> float:
        """Highest mass [kg] at which both edges are drawn."""
        return min(self.forward.points[-1][0], self.aft.points[-1][0])

    def masses(self, *edges: Edge) -> list[float]:
        """Masses [kg], ascending, of the points of some edges, or of both, where both edges are drawn."""
        points = {m for edge in edges or (self.forward, self.aft) for m, _ in edge.points}
        return sorted(m for m in points if self.least_mass <= m <= self.greatest_mass)

    def crossing_masses(self) -> tuple[float, ...]:
        """Masses [kg] at an edge point where the forward limit is not ahead of the aft limit; empty for a
        sound envelope.

        Between neighbouring points the two limiting moments are both quadratics or both lines over m, and
        each is checked at every point of either edge and at the exact extreme of their difference.
        """
        masses = self.masses()
        bad = [m for m in masses if self.forward.arm(m) >= self.aft.arm(m)]
        for low, high in pairwise(masses):
            middle = (low + high) / 2
            f, a = self.forward.piece_at(middle), self.aft.piece_at(middle)
            p, r = a.p - f.p, a.r - f.r
            if (
                r != 0.0
                and p / r > 0.0
                and low < (extreme := math.sqrt(p / r)) < high
                and f.arm(extreme) >= a.arm(extreme)
            ):
                bad.append(extreme)
        return tuple(bad)

    def outline(self, steps: int = 1) -> tuple[tuple[float, float], ...]:
        """The envelope as a closed polygon of (arm [m], mass [kg]); `steps` points a piece follow curves."""

        def side(edge: Edge) -> list[tuple[float, float]]:
            masses = sorted({self.least_mass, self.greatest_mass, *self.masses(edge)})
            fine = [low + (high - low) * i / steps for low, high in pairwise(masses) for i in range(steps)]
            return [(edge.arm(m), m) for m in [*fine, masses[-1]]]

        return tuple(side(self.forward) + side(self.aft)[::-1])
