"""Boxes of loadings, and the least and greatest value of a form in each: exact, as it is straight in every
mass.

A box holds all loadings whose station masses, density and fuel left lie between its ends, however a row's
mass is shared out over its seats.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.quantities.frozen import frozen
from planner.search.card.forms import Array, BoxForm, BoxForms, FormRow


@frozen
class Boxes:
    """Some boxes: `low` and `high` of shape (n, stations + 2), the last two the density [kg/m3] and the fuel
    left [m3], counted from where the `segment` of the fuel path begins that each lies on.
    """

    low: Array
    high: Array
    segment: np.ndarray

    def __len__(self) -> int:
        return len(self.low)

    def some(self, which: np.ndarray) -> Boxes:
        """Those chosen by number or by a mask."""
        return Boxes(self.low[which], self.high[which], self.segment[which])

    def ending_dry(self) -> Boxes:
        """The same with no fuel left; asked only of boxes that reach there."""
        high = self.high.copy()
        high[:, -1] = self.low[:, -1]
        return Boxes(self.low, high, self.segment)

    def halved(self, side: np.ndarray) -> Boxes:
        """Every box as two, parted across its `side` (a column for each)."""
        rows = np.arange(len(self))
        middle = (self.low[rows, side] + self.high[rows, side]) / 2
        low, high = self.low.copy(), self.high.copy()
        low[rows, side], high[rows, side] = middle, middle
        return Boxes(
            np.concatenate([self.low, low]),
            np.concatenate([high, self.high]),
            np.concatenate([self.segment, self.segment]),
        )


@frozen
class Many:
    """A form for each of n boxes: as `Form`, every part with a first axis of n; `fuel` that of its
    segment.
    """

    constant: Array
    seats: Array
    at_density: Array
    fuel: Array


@frozen
class LeastOfBox:
    """The least `value` of a form in each box, and where: `at` are masses by seat [kg], density [kg/m3] and
    fuel [m3].
    """

    value: Array
    at: Array

    def but(self, other: LeastOfBox, where: np.ndarray) -> LeastOfBox:
        """The same, with that of another in some boxes."""
        value, at = np.where(where, other.value, self.value), np.where(where[:, None], other.at, self.at)
        return LeastOfBox(value, at)


def weighed(
    forms: BoxForms, boxes: Boxes, constant: Array, mass: Array, moment: Array, lateral: Array
) -> Many:
    """constant + mass x m + moment x M + lateral x L, each weight one per box."""

    def mixed(part: str) -> Array:
        parts = [getattr(form, part) for form in (forms.mass, forms.moment, forms.lateral)]
        if part == "fuel":
            parts = [each[boxes.segment] for each in parts]
        shape = (-1, *[1] * (np.ndim(parts[0]) - (part == "fuel")))
        weights = [weight.reshape(shape) for weight in (mass, moment, lateral)]
        return np.asarray(sum(weight * each for weight, each in zip(weights, parts, strict=True)))

    return Many(constant + mixed("constant"), mixed("seats"), mixed("at_density"), mixed("fuel"))


def spread_out(form: BoxForm, boxes: Boxes) -> Many:
    """One form as it stands in every box."""
    n = len(boxes)
    return Many(
        np.full(n, form.constant),
        np.broadcast_to(form.seats, (n, len(form.seats))),
        np.full(n, form.at_density),
        form.fuel[boxes.segment],
    )


def least(rows: Sequence[FormRow], boxes: Boxes, form: Many) -> LeastOfBox:
    """The least value of a form in each box, and a loading that has it.

    A row's mass goes to the seats where it counts least, each up to its heaviest: the greedy solution of a
    linear programme with one sum is exact. The fuel's quadratic is least at an end or where it is level,
    and its product with the density at a corner.
    Parameters: `rows`; `boxes`; `form`, one per box. Returns the form's own unit. Source: [common-practice]
    linear programming.
    """
    n = len(boxes)
    value, masses = form.constant.copy(), np.zeros((n, form.seats.shape[1]))
    for column, row in enumerate(rows):
        at = slice(row.first, row.first + row.seats)
        masses[:, at] = _shared(row, form.seats[:, at], boxes.low[:, column], boxes.high[:, column])
    value += np.einsum("ij,ij->i", form.seats, masses)
    low, high = boxes.low[:, -1], boxes.high[:, -1]
    one, two = form.fuel[:, 1], form.fuel[:, 2]
    level = np.where(two > 0, -one / np.where(two > 0, 2 * two, 1.0), low)
    tried = np.stack([low, high, np.clip(level, low, high)])
    per_density = form.at_density + form.fuel[:, 0] + (one + two * tried) * tried
    best = per_density.argmin(axis=0)
    numbers = np.arange(n)
    factor, fuel = per_density[best, numbers], tried[best, numbers]
    density = np.where(factor < 0, boxes.high[:, -2], boxes.low[:, -2])
    return LeastOfBox(value + factor * density, np.column_stack([masses, density, fuel]))


def _shared(row: FormRow, counts: Array, low: Array, high: Array) -> Array:
    """How a row's mass lies on its seats where it counts least."""
    if row.seats == 1:
        return np.where(counts < 0, high[:, None], low[:, None])
    n = len(low)
    masses = np.tile(np.array(row.least), (n, 1))
    must = np.maximum(low - sum(row.least), 0.0)
    may = high - sum(row.least) - must
    numbers, order = np.arange(n), counts.argsort(axis=1, kind="stable")
    for place in range(row.seats):
        seat = order[:, place]
        room = row.heaviest - masses[numbers, seat]
        more = np.minimum(must, room)
        must = must - more
        wanted = np.where(counts[numbers, seat] < 0, np.minimum(may, room - more), 0.0)
        may = may - wanted
        masses[numbers, seat] += more + wanted
    return masses


def between(rows: Sequence[FormRow], boxes: Boxes, form: Many) -> tuple[Array, Array]:
    """The least and the greatest value of a form in each box; as `least`."""
    turned = Many(-form.constant, -form.seats, -form.at_density, -form.fuel)
    return least(rows, boxes, form).value, -least(rows, boxes, turned).value
