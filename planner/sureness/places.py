"""Where along a burn a CG limit can be nearest, for a block of draws."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, TypeAlias

import numpy as np

from planner.flight.burn import Stretch
from planner.flight.curve import Curve, at_mass
from planner.flight.limits import Limit
from planner.quantities.many import Some
from planner.quantities.moments import Total
from planner.quantities.polygon import Piece
from planner.sureness.margins import Array, Watched

Reach: TypeAlias = Callable[[Array], tuple[float, float]]

SLACK: Final = 1e-8  # kg, m, kg.m: far above what is rounded
_SPREAD: Final = 1.1  # a curvature taken from some draws, enlarged for all


@dataclass(slots=True)
class PlaceForm:
    """Margin against limit `row` of a block of draws; `other` where the greater of two is the margin.

    Not `must`: a lower bound of a margin, or a margin that not every draw is asked for.
    """

    row: int
    values: Array
    must: bool = True
    other: Array | None = None


def places(row: int, watched: Watched, zero: Total, reach: Reach) -> Iterator[PlaceForm]:
    """The places where a CG limit can be nearest along the stretches it is asked of: the margins in moment
    [kg.m]; `zero` without usable fuel, where no moment change is asked for.

    The moment of a stretch is a polynomial in the mass, so the least margin lies at an end of a stretch, at a
    corner of the limit that points inwards, or where the margin sags between. `reach` gives the least and the
    greatest that values of the block can come to.
    """
    variant, bound, path = watched
    places: list[tuple[Some, Some]] = [
        (stretch.start, _moment(bound, stretch, stretch.start)) for stretch in path[:1]
    ]
    places += [(stretch.end, _moment(bound, stretch, stretch.end)) for stretch in path]
    if not variant.names:
        places.append((zero.mass, zero.lateral_moment if bound.axis == "lateral" else zero.moment))
    seen: list[tuple[Array, Array]] = []
    for mass, moment in places:
        if not any(_same(mass, m) and _same(moment, y) for m, y in seen):
            seen.append((mass, moment))
            yield from _at(row, bound, mass, moment, reach)
    for stretch in path:
        yield from _between(row, bound, stretch, reach)


def _same(values: Array, others: Array) -> bool:
    """Whether two rows of a block are alike to far less than the slack."""
    return float(np.abs(values - others).max()) < SLACK / 4


def _curve(bound: Limit, stretch: Stretch) -> Curve:
    """Moment of the axis of a limit on a stretch [kg.m]."""
    return stretch.lateral if bound.axis == "lateral" else stretch.moment


def _moment(bound: Limit, stretch: Stretch, mass: Array) -> Array:
    return np.asarray(at_mass(_curve(bound, stretch), mass))


def _inside(bound: Limit, piece: Piece, mass: Array, moment: Array) -> Array:
    """Margin in moment [kg.m] against one piece of a limit, whether or not it holds there."""
    sign = 1.0 if bound.upper else -1.0
    return np.asarray(sign * (piece.p + piece.q * mass + piece.r * mass * mass - moment))


def _within(bound: Limit, low: float, high: float) -> list[Piece]:
    """The pieces of a limit that masses from `low` to `high` [kg] can meet."""
    return [piece for piece in bound.pieces if piece.low <= high and piece.high >= low]


def _turn(bound: Limit, first: Piece, second: Piece) -> float:
    """Change of the slope of the margin where two pieces meet [m]: above zero at a corner pointing
    inwards.
    """
    slope = second.q - first.q + 2 * (second.r - first.r) * second.low
    return slope if bound.upper else -slope


def _at(row: int, bound: Limit, mass: Array, moment: Array, reach: Reach) -> Iterator[PlaceForm]:
    """The margin at one place: one line, two that must hold, two of which one must, or the limit as it is."""
    low, high = reach(mass)
    pieces = _within(bound, low, high)
    each = [_inside(bound, piece, mass, moment) for piece in pieces]
    if len(pieces) == 1:
        yield PlaceForm(row, each[0])
        return
    if len(pieces) == 2:
        first, second = pieces
        turn, bend = _turn(bound, first, second), (second.r - first.r) * (1.0 if bound.upper else -1.0)
        again = second.low - turn / bend if bend else np.inf  # where curved pieces cross a second time
        if turn and not low <= again <= high:
            if turn > 0:
                yield PlaceForm(row, each[0], other=each[1])
            else:
                yield from (PlaceForm(row, values) for values in each)
            return
    holds = [mass < piece.high for piece in pieces]
    yield PlaceForm(row, np.select(holds[:-1], each[:-1], each[-1]))


def _between(row: int, bound: Limit, stretch: Stretch, reach: Reach) -> Iterator[PlaceForm]:
    """Lower bounds between the ends of a stretch: at corners that point inwards, and where it can sag."""
    least, greatest = reach(stretch.end)[0], reach(stretch.start)[1]
    pieces = _within(bound, least, greatest)
    for first, second in pairwise(pieces):
        if _turn(bound, first, second) > 0:
            corner = np.full_like(stretch.start, second.low)
            yield PlaceForm(row, _inside(bound, second, corner, _moment(bound, stretch, corner)), must=False)
    _, b, c = _curve(bound, stretch)
    sign = 1.0 if bound.upper else -1.0
    for piece in pieces:
        worst = _SPREAD * float(np.max(sign * (piece.r - c)))
        if worst <= 0:
            continue  # the margin bulges between the ends
        ends = np.minimum(stretch.start, piece.high), np.maximum(stretch.end, piece.low)
        slopes = [reach(sign * (piece.q - b + 2 * (piece.r - c) * mass)) for mass in ends]
        if all(low > 0 for low, _ in slopes) or all(high < 0 for _, high in slopes):
            continue  # it falls or rises all the way
        sag = worst * min(reach(stretch.start - stretch.end)[1], piece.high - piece.low) ** 2 / 4
        for mass in ends:
            yield PlaceForm(row, _inside(bound, piece, mass, _moment(bound, stretch, mass)) - sag, must=False)
