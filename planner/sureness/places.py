"""Where along a burn a CG limit can be nearest, for a block of draws."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, TypeAlias

import numpy as np

from planner.quantities.polygon import Piece
from planner.sureness.margins import Array, Flown
from planner.sweep.block.along import Span, Watch

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


def places(row: int, watch: Watch, asked: Sequence[Span], flown: Flown, reach: Reach) -> Iterator[PlaceForm]:
    """The places where a CG limit can be nearest along the stretches `asked`: the margins in moment [kg.m].

    The moment of a stretch is a polynomial in the mass, so the least margin lies at an end of a stretch, at a
    corner of the limit that points inwards, or where the margin sags between. `reach` gives the least and the
    greatest that values of the block can come to.
    """
    mass, moment, side = flown.zero
    places = [(span.start, _moment(watch, span, span.start)) for span in asked[:1]]
    places += [(span.end, _moment(watch, span, span.end)) for span in asked]
    if watch.shift is None:
        zero = moment if side is None or watch.axis == "longitudinal" else side
        places.append((mass, zero))
    seen: list[tuple[Array, Array]] = []
    for mass, moment in places:
        if not any(_same(mass, m) and _same(moment, y) for m, y in seen):
            seen.append((mass, moment))
            yield from _at(row, watch, mass, moment, reach)
    for span in asked:
        yield from _between(row, watch, span, reach)


def _same(values: Array, others: Array) -> bool:
    """Whether two rows of a block are alike to far less than the slack."""
    return float(np.abs(values - others).max()) < SLACK / 4


def _moment(watch: Watch, span: Span, mass: Array) -> Array:
    """Moment [kg.m] of the axis of a limit on a stretch, with the moment change."""
    a, b, c = _curve(watch, span)
    return np.asarray(a + b * mass + c * mass * mass)


def _curve(watch: Watch, span: Span) -> tuple[Array, Array, Array | float]:
    """Moment on a stretch as `a + b m + c m2`, with the moment change."""
    if watch.axis == "lateral":
        assert span.lateral is not None  # a lateral limit is watched only where there is one
        return span.lateral[0], span.lateral[1], 0.0
    a, b, c = span.moment
    off = 0.0 if watch.shift is None else watch.shift.moment + watch.off
    return a + off, b, c


def _inside(watch: Watch, piece: Piece, mass: Array, moment: Array) -> Array:
    """Margin in moment [kg.m] against one piece of a limit, whether or not it holds there."""
    sign = 1.0 if watch.upper else -1.0
    return np.asarray(sign * (piece.p + piece.q * mass + piece.r * mass * mass - moment))


def _within(watch: Watch, low: float, high: float) -> list[Piece]:
    """The pieces of a limit that masses from `low` to `high` [kg] can meet."""
    return [piece for piece in watch.pieces if piece.low <= high and piece.high >= low]


def _turn(watch: Watch, first: Piece, second: Piece) -> float:
    """Change of the slope of the margin where two pieces meet [m]: above zero at a corner pointing
    inwards.
    """
    slope = second.q - first.q + 2 * (second.r - first.r) * second.low
    return slope if watch.upper else -slope


def _at(row: int, watch: Watch, mass: Array, moment: Array, reach: Reach) -> Iterator[PlaceForm]:
    """The margin at one place: one line, two that must hold, two of which one must, or the limit as it is."""
    low, high = reach(mass)
    pieces = _within(watch, low, high)
    each = [_inside(watch, piece, mass, moment) for piece in pieces]
    if len(pieces) == 1:
        yield PlaceForm(row, each[0])
        return
    if len(pieces) == 2:
        first, second = pieces
        turn, bend = _turn(watch, first, second), (second.r - first.r) * (1.0 if watch.upper else -1.0)
        again = second.low - turn / bend if bend else np.inf  # where curved pieces cross a second time
        if turn and not low <= again <= high:
            if turn > 0:
                yield PlaceForm(row, each[0], other=each[1])
            else:
                yield from (PlaceForm(row, values) for values in each)
            return
    holds = [mass < piece.high for piece in pieces]
    yield PlaceForm(row, np.select(holds[:-1], each[:-1], each[-1]))


def _between(row: int, watch: Watch, span: Span, reach: Reach) -> Iterator[PlaceForm]:
    """Lower bounds between the ends of a stretch: at corners that point inwards, and where it can sag."""
    least, greatest = reach(span.end)[0], reach(span.start)[1]
    pieces = _within(watch, least, greatest)
    for first, second in pairwise(pieces):
        if _turn(watch, first, second) > 0:
            corner = np.full_like(span.start, second.low)
            yield PlaceForm(row, _inside(watch, second, corner, _moment(watch, span, corner)), must=False)
    _, b, c = _curve(watch, span)
    sign = 1.0 if watch.upper else -1.0
    for piece in pieces:
        worst = _SPREAD * float(np.max(sign * (piece.r - c)))
        if worst <= 0:
            continue  # the margin bulges between the ends
        ends = np.minimum(span.start, piece.high), np.maximum(span.end, piece.low)
        slopes = [reach(sign * (piece.q - b + 2 * (piece.r - c) * mass)) for mass in ends]
        if all(low > 0 for low, _ in slopes) or all(high < 0 for _, high in slopes):
            continue  # it falls or rises all the way
        sag = worst * min(reach(span.start - span.end)[1], piece.high - piece.low) ** 2 / 4
        for mass in ends:
            yield PlaceForm(row, _inside(watch, piece, mass, _moment(watch, span, mass)) - sag, must=False)
