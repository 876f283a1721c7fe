"""What is left of every limit on mass and CG in a box of loadings: margins bounded below, U bounded above.

A margin on the CG times the mass is straight in every mass of the load, so its least value in a box is found
exactly; where an edge bends, the box is cut by the mass (a multiplier does it). U is bounded by intervals.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from planner.flight.envelope import FARTHEST, NOISE
from planner.flight.limits import Limit
from planner.flight.loading import Variant
from planner.quantities.effects import COVERAGE
from planner.quantities.frozen import frozen
from planner.quantities.polygon import Piece
from planner.search.card.boxes import Boxes, LeastOfBox, between, least, spread_out, weighed
from planner.search.card.forms import Array, BoxForm, BoxForms

_FAR: Final = 12.0  # standard uncertainties of the mass beyond which a normal number has no weight: 1e-32


@frozen
class _Check:
    """What is `left` of a margin at least in each box; `exact`: U is zero, a margin of nothing is inside."""

    left: LeastOfBox
    exact: bool


def checks(forms: BoxForms, boxes: Boxes) -> Iterator[_Check]:
    """Every limit on mass and CG at every place of the flight, each box by its own least margin.

    Taxi and trip are not known, so whatever may be in the tanks may be there at the ramp, at take-off and at
    landing: each of their limits holds for all fuel up to the filling.
    """
    bounds = _Bounds(forms, boxes)
    dry = (boxes.low[:, -1] == 0.0) & (boxes.segment == 0)
    at_dry = _Bounds(forms, boxes.ending_dry()) if dry.any() else None
    drawn = [limit for limit in forms.limits if forms.at(limit)]
    masses = [limit for limit in drawn if limit.quantity == "mass" and limit.upper]
    yield bounds.of_mass(min((each for each in masses if each.place != "zero fuel"), key=Limit.at))
    for limit in masses:
        if limit.place == "zero fuel" and at_dry is not None:
            yield at_dry.of_mass(limit, dry)
    least_mass = next(limit for limit in drawn if limit.quantity == "mass" and not limit.upper)
    yield bounds.of_mass(least_mass)
    for limit in drawn:
        if limit.place != "burn":
            continue
        for variant in forms.variants:
            if limit.quantity == "cg" and variant.only in ("", limit.group):
                yield from bounds.of_edge(limit, variant)
            elif limit.quantity == "lateral" and not variant.names:
                yield bounds.across(limit)


class _Bounds:
    """Bounds of one set of boxes, with what several limits share."""

    def __init__(self, forms: BoxForms, boxes: Boxes) -> None:
        self.forms, self.boxes = forms, boxes
        self.none, self.one = np.zeros(len(boxes)), np.ones(len(boxes))
        self.light, self.heavy = self._range(forms.mass)
        self.middle = (self.light + self.heavy) / 2
        self.causes = [
            tuple(self._range(form) for form in (each.mass, each.moment, each.lateral))
            for each in forms.causes
        ]
        self.u_mass = np.sqrt(sum((_size(*mass) ** 2 for mass, _, _ in self.causes), start=self.none))

    def _range(self, form: BoxForm) -> tuple[Array, Array]:
        if not (form.at_density or form.seats.any() or form.fuel.any()):
            return self.none + form.constant, self.none + form.constant
        return between(self.forms.rows, self.boxes, spread_out(form, self.boxes))

    def _least(self, constant: Array, mass: Array, moment: Array, lateral: Array) -> LeastOfBox:
        form = weighed(self.forms, self.boxes, constant, mass, moment, lateral)
        return least(self.forms.rows, self.boxes, form)

    def of_mass(self, limit: Limit, only: np.ndarray | None = None) -> _Check:
        """A greatest or a least mass [kg], of `only` some boxes."""
        sign = 1.0 if limit.upper else -1.0
        at = self._least(self.none + sign * limit.at(), self.none - sign, self.none, self.none)
        return self._check(at, COVERAGE * self.u_mass, self.none + limit.at(), only)

    def _check(self, at: LeastOfBox, u: Array, scale: Array, only: np.ndarray | None = None) -> _Check:
        """What U leaves of a margin, without the rounding of a sum of a few dozen masses; of `only` some
        boxes.
        """
        left = at.value - u
        left = np.where(abs(left) <= NOISE * scale, 0.0, left)
        left = left if only is None else np.where(only, left, math.inf)
        return _Check(LeastOfBox(left, at.at), not u.any())

    def _centre(self, lateral: bool) -> tuple[Array, Array]:
        """Between which arms [m] the CG of a box lies, along or across."""
        forms, boxes = self.forms, self.boxes
        form = forms.lateral if lateral else forms.moment
        low, high = self._range(form)
        about = (low + high) / 2 / self.middle
        weights = (self.none, self.one) if lateral else (self.one, self.none)
        off = weighed(forms, boxes, self.none, -about, *weights)
        less, more = between(forms.rows, boxes, off)
        return (
            about + less / np.where(less < 0, self.light, self.heavy),
            about + more / np.where(more > 0, self.light, self.heavy),
        )

    def _u(self, low: Array, high: Array, across: bool, extra: float) -> Array:
        """Greatest U of a margin times the mass [kg.m]: each cause changes it by arm x mass less moment."""
        square = self.none + extra * extra
        for mass, moment, lateral in self.causes:
            less, more = lateral if across else moment
            ends = np.stack([low * mass[0], low * mass[1], high * mass[0], high * mass[1]])
            square = square + _size(ends.min(axis=0) - more, ends.max(axis=0) - less) ** 2
        return np.asarray(COVERAGE * np.sqrt(square))

    def across(self, limit: Limit) -> _Check:
        """A limit on the lateral CG, times the mass [kg.m]."""
        sign = 1.0 if limit.upper else -1.0
        at = self._least(self.none, self.none + sign * limit.at(), self.none, self.none - sign)
        return self._check(at, self._u(*self._centre(True), True, 0.0), self.middle * abs(limit.at()))

    def of_edge(self, limit: Limit, variant: Variant) -> Iterator[_Check]:
        """An edge of the envelope, piece by piece, times the mass [kg.m].

        U of the engine is what any piece within reach may take, or k times the spread over a corner; the
        spread is not more than k times the greatest gradient of any piece near (a normal number's variance
        is not more than its mean squared gradient), with the bend of a curved piece on top.
        """
        sign, pieces = (1.0 if limit.upper else -1.0), limit.pieces
        extra = math.hypot(*(effect.moment for effect in variant.effects))
        shifts = (variant.moment / self.heavy, variant.moment / self.light)
        low, high = self._centre(False)
        low, high = low + np.minimum(*shifts), high + np.maximum(*shifts)
        reach = COVERAGE * self.u_mass + 1e-9 * self.heavy
        u_of = []
        for piece in pieces:
            ends = [piece.r * mass - piece.p / mass for mass in (self.light, self.heavy)]
            u_of.append(self._u(low + np.minimum(*ends), high + np.maximum(*ends), False, extra))
        near_corner = np.zeros(len(self.boxes), dtype=np.bool_)
        for point, _ in limit.edge.points:
            far = FARTHEST * self.u_mass
            near_corner |= (point > self.light - far) & (point < self.heavy + far) & (self.u_mass > 0)
        far = _FAR * self.u_mass
        spread = self.none
        for piece, u in zip(pieces, u_of, strict=True):
            bend = COVERAGE * abs(piece.p) * (FARTHEST**2 + 2 * FARTHEST) * self.u_mass**2 / self.light**2
            felt = (piece.low < self.heavy + far) & (piece.high > self.light - far)
            spread = np.maximum(spread, np.where(felt, u + bend, 0.0))
        for piece, own in zip(pieces, u_of, strict=True):
            active = (piece.low <= self.heavy + reach) & (piece.high >= self.light - reach)
            if not active.any():
                continue
            holds = (piece.low <= self.heavy) & (piece.high >= self.light)
            u = np.where(near_corner & holds, np.maximum(own, spread), own)
            yield self._check(self._of_piece(piece, sign, variant.moment, reach), u, self.middle, active)

    def _of_piece(self, piece: Piece, sign: float, shift: float, reach: Array) -> LeastOfBox:
        """The least of margin x mass for one piece, where the mass is within its reach."""
        # Below a parabola that opens upward lies its tangent, below one that opens downward its chord.
        slope, level = 2 * self.middle, -self.middle * self.middle
        if sign * piece.r < 0:
            slope, level = self.light + self.heavy, -self.light * self.heavy
        mass = sign * (piece.q + piece.r * slope)
        constant = sign * (piece.p + piece.r * level - shift) + self.none
        moment = self.none - sign
        best = self._least(constant, mass, moment, self.none)
        # With a multiplier for "the mass is at least (at most) that", every bound stays one; the best is
        # where one of the places is neither wanted nor unwanted.
        for bound, way in ((piece.low - reach, 1.0), (piece.high + reach, -1.0)):
            cut = (bound > self.light) if way > 0 else (bound < self.heavy)
            if not cut.any():
                continue
            form = weighed(self.forms, self.boxes, constant, mass, moment, self.none)
            middle = (self.boxes.low[:, -1] + self.boxes.high[:, -1]) / 2
            counts = [*form.seats[:, [row.first for row in self.forms.rows]].T]
            counts.append(form.fuel[:, 1] + 2 * form.fuel[:, 2] * middle)
            for count in counts:
                price = np.where(cut, np.maximum(way * count, 0.0), 0.0)
                priced = price * np.where(cut, bound, 0.0) * way
                other = self._least(constant + priced, mass - way * price, moment, self.none)
                best = best.but(other, other.value > best.value)
        return best


def _size(low: Array, high: Array) -> Array:
    """The greatest size of anything between two ends."""
    return np.maximum(abs(low), abs(high))
