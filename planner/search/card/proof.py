"""Whether every loading in a box is shown inside every limit: margins bounded below, uncertainties above.

A margin on the CG times the mass is straight in every mass of the load, so its least value in a box is found
exactly; where an edge bends, the box is cut by the mass (a multiplier does it) or halved. U is bounded by
intervals. A box is shown where the least margin is more than the greatest U; else it is halved, until a
loading refutes it or it is too small to matter: then it counts as not shown.
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
from planner.search.card.boxes import Boxes, LeastOfBox, Many, between, least, spread_out, weighed
from planner.search.card.forms import Array, BoxForm, BoxForms

MOST_BOXES: Final = 60_000  # of one proof; a cell that needs more stays empty
SMALLEST: Final = 0.02  # kg; a box no wider than this in any mass is not halved again
_FAR: Final = 12.0  # standard uncertainties of the mass beyond which a normal number has no weight: 1e-32


@frozen(kw_only=True)
class BoxLoading:
    """One loading: `masses` seat by seat in the order of the stations [kg], fuel filled [m3], density
    [kg/m3].
    """

    masses: tuple[float, ...]
    fuel: float
    density: float


@frozen(kw_only=True)
class Proof:
    """What became of a box: `shown`, with how many `boxes` were looked at; or the `against`, a loading that
    seems to refute it, None where none was found.
    """

    shown: bool
    boxes: int
    against: BoxLoading | None = None


@frozen
class _Check:
    """What is left of a margin at least in each box, and where the margin itself is least."""

    left: Array
    at: LeastOfBox
    exact: bool  # U is zero: a margin of nothing is inside


def prove(forms: BoxForms, low: tuple[float, ...], high: tuple[float, ...], fuel: float) -> Proof:
    """Whether every loading with station masses between `low` and `high` [kg] is shown inside through the
    whole burn, from any filling up to `fuel` [m3] down to nothing usable, at any density of the band.

    Parameters: masses in the order of `forms.rows`. Returns a Proof. Range: `fuel` up to full tanks.
    Source: [jcgm-100] 6.2 for U; interval bounds and halving are common practice ([common-practice]).
    """
    for loading in _aboard(forms, low, high, fuel):
        return Proof(shown=False, boxes=0, against=loading)
    boxes, seen = _whole(forms, low, high, fuel), 0
    while len(boxes) and seen < MOST_BOXES:
        seen += len(boxes)
        shown, at = _judged(forms, boxes)
        boxes, at = boxes.some(~shown), at[~shown]
        if not len(boxes):
            return Proof(shown=True, boxes=seen)
        alone, there = _judged(forms, _points(forms, at, boxes))
        if not alone.all():
            one = there[alone.argmin()]
            loading = BoxLoading(masses=tuple(one[:-2].tolist()), fuel=fuel, density=float(one[-2]))
            return Proof(shown=False, boxes=seen, against=loading)
        wide = _widths(boxes, forms.cuts[-1])
        if wide.max(axis=1).min() < SMALLEST:
            break
        boxes = boxes.halved(wide.argmax(axis=1))
    return Proof(shown=False, boxes=seen)


def _judged(forms: BoxForms, boxes: Boxes) -> tuple[np.ndarray, Array]:
    """Which boxes are shown inside every limit, and for each the loading (masses, density, fuel) that is
    tightest in it.
    """
    shown = np.ones(len(boxes), dtype=np.bool_)
    worst, at = np.full(len(boxes), math.inf), np.zeros((len(boxes), forms.seats + 2))
    for check in _checks(forms, boxes):
        shown &= check.left >= 0.0 if check.exact else check.left > 0.0
        where = np.stack([*check.at.masses.T, check.at.density, check.at.fuel], axis=1)
        less = check.left < worst
        worst, at = np.where(less, check.left, worst), np.where(less[:, None], where, at)
    return shown, at


def _whole(forms: BoxForms, low: tuple[float, ...], high: tuple[float, ...], fuel: float) -> Boxes:
    """One box for every segment of the fuel path up to a filling."""
    lows, highs, segments = [], [], []
    for segment, (start, end) in enumerate(zip(forms.cuts, forms.cuts[1:], strict=False)):
        if start < fuel or segment == 0:
            lows.append([*low, forms.density[0], 0.0])
            highs.append([*high, forms.density[1], min(end, fuel) - start])
            segments.append(segment)
    return Boxes(np.array(lows), np.array(highs), np.array(segments))


def _points(forms: BoxForms, at: Array, boxes: Boxes) -> Boxes:
    """Boxes of one loading each; a row's sharing out stays free, which a loading of one seat does not
    mind.
    """
    sums = [at[:, row.first : row.first + row.seats].sum(axis=1) for row in forms.rows]
    here = np.stack([*sums, at[:, -2], at[:, -1]], axis=1)
    return Boxes(here, here, boxes.segment)


def _widths(boxes: Boxes, full: float) -> Array:
    """How much mass [kg] every side of a box spans."""
    wide = boxes.high - boxes.low
    wide[:, -2] *= full
    wide[:, -1] *= boxes.high[:, -2]
    return wide


def _aboard(
    forms: BoxForms, low: tuple[float, ...], high: tuple[float, ...], fuel: float
) -> Iterator[BoxLoading]:
    """Loadings that break a limit on what is aboard: straight in all that is in it, so corners decide."""
    rows, n = forms.rows, np.zeros(1)
    firsts = {row.name: row for row in rows}
    tanks = list(forms.aircraft.tanks)
    box = Boxes(
        np.array([[*low, forms.density[0], fuel]]), np.array([[*high, forms.density[1], fuel]]), n.astype(int)
    )
    for limit in forms.limits:
        if limit.quantity == "load":
            counts = np.zeros(forms.seats)
            for station, seat, weight in limit.seats:
                row = firsts[station]
                one = slice(row.first, row.first + row.seats) if seat < 0 else row.first + seat
                counts[one] += weight
            sign = -1.0 if limit.upper else 1.0
            found = least(rows, box, Many(n, sign * counts[None, :], n, np.zeros((1, 3))))
            value = sign * float(found.value[0])
            room = limit.margin(value)
            broken = value > 0 if limit.forbids else room < -NOISE * max(abs(limit.at()), abs(value))
            if broken:
                yield BoxLoading(masses=tuple(found.masses[0].tolist()), fuel=fuel, density=forms.density[1])
        elif limit.quantity == "fuel":
            stops = [fuel, *(cut for cut in forms.cuts if cut < fuel)]
            for stop in stops if limit.place == "burn" else stops[:1]:
                value = limit.of_fuel(dict(zip(tanks, forms.volumes(stop), strict=True)), forms.density[1])
                if limit.margin(value) < -NOISE * max(abs(limit.at()), abs(value)):
                    yield BoxLoading(masses=_corner(forms, low), fuel=fuel, density=forms.density[1])


def _corner(forms: BoxForms, low: tuple[float, ...]) -> tuple[float, ...]:
    """The lightest loading of a box, each row filled from its first seat."""
    found: list[float] = []
    for row, mass in zip(forms.rows, low, strict=True):
        left = mass - sum(row.least)
        for least_here in row.least:
            more = min(left, row.heaviest - least_here)
            found.append(least_here + more)
            left -= more
    return tuple(found)


def _checks(forms: BoxForms, boxes: Boxes) -> Iterator[_Check]:
    """Every limit on mass and CG at every place of the flight, each box by its own least margin.

    Taxi and trip are not known, so whatever may be in the tanks may be there at the ramp, at take-off and at
    landing: each of their limits holds for all fuel up to the filling.
    """
    bounds = _Bounds(forms, boxes)
    dry = (boxes.low[:, -1] == 0.0) & (boxes.segment == 0)
    at_dry = _Bounds(forms, boxes.ending_dry()) if dry.any() else None
    drawn = [limit for limit in forms.limits if forms.at(limit)]
    greatest: dict[bool, Limit] = {}
    for limit in drawn:
        if limit.quantity == "mass" and limit.upper:
            only_dry = limit.place == "zero fuel"
            old = greatest.get(only_dry)
            greatest[only_dry] = limit if old is None or limit.at() < old.at() else old
    for only_dry, limit in greatest.items():
        if not only_dry:
            yield bounds.of_mass(limit)
        elif at_dry is not None:
            check = at_dry.of_mass(limit)
            yield _Check(np.where(dry, check.left, math.inf), check.at, check.exact)
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

    def of_mass(self, limit: Limit) -> _Check:
        """A greatest or a least mass [kg]."""
        sign = 1.0 if limit.upper else -1.0
        at = self._least(self.none + sign * limit.at(), self.none - sign, self.none, self.none)
        left = at.value - COVERAGE * self.u_mass
        noise = NOISE * limit.at()
        return _Check(np.where(abs(left) <= noise, 0.0, left), at, not self.u_mass.any())

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
        u = self._u(*self._centre(True), True, 0.0)
        return _Check(_quiet(at.value - u, self.middle * abs(limit.at())), at, not u.any())

    def of_edge(self, limit: Limit, variant: Variant) -> Iterator[_Check]:
        """An edge of the envelope, piece by piece, times the mass [kg.m].

        U of the engine is what any piece within reach may take, or k times the spread over a corner; the
        spread is not more than k times the greatest gradient of any piece near (a normal number's variance
        is not more than its mean squared gradient), with the bend of a curved piece on top.
        """
        sign, pieces = (1.0 if limit.upper else -1.0), limit.pieces
        extra = math.hypot(*(effect.moment for effect in variant.effects))
        low, high = self._centre(False)
        low, high = (low + variant.moment / self.heavy, high + variant.moment / self.light)
        if variant.moment < 0:
            low, high = (
                low + variant.moment / self.light - variant.moment / self.heavy,
                high + variant.moment / self.heavy - variant.moment / self.light,
            )
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
            at = self._of_piece(piece, sign, variant.moment, reach)
            left = np.where(active, _quiet(at.value - u, self.middle), math.inf)
            yield _Check(left, at, not u.any())

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
                more = other.value > best.value
                best = LeastOfBox(
                    np.where(more, other.value, best.value),
                    np.where(more[:, None], other.masses, best.masses),
                    np.where(more, other.density, best.density),
                    np.where(more, other.fuel, best.fuel),
                )
        return best


def _size(low: Array, high: Array) -> Array:
    """The greatest size of anything between two ends."""
    return np.maximum(abs(low), abs(high))


def _quiet(left: Array, scale: Array) -> Array:
    """What is left without the rounding of a sum of a few dozen masses."""
    return np.where(abs(left) <= NOISE * scale, 0.0, left)
