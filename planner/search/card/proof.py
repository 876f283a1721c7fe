"""Whether every loading in a box is shown inside every limit: by halving.

A box is shown where the least margin of every limit is more than the greatest U (`bounds`); else it is
halved, until a loading refutes it or it is too small to matter: then it counts as not shown.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from planner.flight.envelope import NOISE
from planner.quantities.frozen import frozen
from planner.search.card.bounds import checks
from planner.search.card.boxes import Boxes, LeastOfBox, Many, least
from planner.search.card.forms import Array, BoxForms

MOST_BOXES: Final = 60_000  # of one proof; a cell that needs more stays empty
SMALLEST: Final = 0.02  # kg; a box no wider than this in any mass is not halved again


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
    worst = LeastOfBox(np.full(len(boxes), math.inf), np.zeros((len(boxes), forms.seats + 2)))
    for check in checks(forms, boxes):
        shown &= check.left.value >= 0.0 if check.exact else check.left.value > 0.0
        worst = worst.but(check.left, check.left.value < worst.value)
    return shown, worst.at


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
    rows, n = {row.name: row for row in forms.rows}, np.zeros(1)
    ends = ([*low, forms.density[0], fuel], [*high, forms.density[1], fuel])
    box = Boxes(np.array(ends[:1]), np.array(ends[1:]), n.astype(int))
    stops = [fuel, *(cut for cut in forms.cuts if cut < fuel)]
    for limit in forms.limits:
        counts, sign = np.zeros(forms.seats), -1.0 if limit.upper else 1.0
        for station, seat, weight in limit.seats:
            row = rows[station]
            counts[slice(row.first, row.first + row.seats) if seat < 0 else row.first + seat] += weight
        found = least(forms.rows, box, Many(n, sign * counts[None, :], n, np.zeros((1, 3))))
        values = [sign * float(found.value[0])] if limit.quantity == "load" else []
        if limit.quantity == "fuel":
            for stop in stops if limit.place == "burn" else stops[:1]:
                held = dict(zip(forms.aircraft.tanks, forms.volumes(stop), strict=True))
                values.append(limit.of_fuel(held, forms.density[1]))
        for value in values:
            noise = NOISE * max(abs(limit.at()), abs(value))
            if value > 0 if limit.forbids else limit.margin(value) < -noise:
                masses = tuple(found.at[0, :-2].tolist())
                yield BoxLoading(masses=masses, fuel=fuel, density=forms.density[1])
