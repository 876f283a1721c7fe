"""The least CG margin over the whole burn, for a whole column of loadings, in closed form.

The curve of each stretch is that of `planner.flight.burn`: moment is `a + b m + c m2` in the mass, a limit is
`p + q m + r m2`, the margin `A/m + B + C m` is least at an end of its span or at `sqrt(A/C)`. Nothing is
sampled.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from planner.flight.curve import Curve, Offs, across, lengthwise
from planner.flight.fuel import Stage
from planner.flight.limits import Group
from planner.flight.loading import Variant
from planner.quantities.frozen import frozen
from planner.quantities.many import Some, is_nothing, some_of
from planner.quantities.polygon import Piece
from planner.sweep.block.edges import Array
from planner.sweep.block.fuelrows import ChangeRows, DrawRows
from planner.sweep.block.model import SweepModel

_EMPTY_RANGE: Final = 1e-12  # kg; a stretch shorter than this holds no margin of its own


@frozen
class Span:
    """A stretch of every row: mass falls from `start` to `end` [kg]; moments as (a, b, c) in mass; `volumes`
    [m3] at the start and shares per tank.

    `changes` per tank at the start and `drawn` of what is taken out by the end, per cause of uncertainty
    [m3]; `density` [kg/m3].
    """

    stage: Stage
    start: Array
    end: Array
    moment: Curve
    lateral: Curve | None
    volumes: list[Array]
    shares: list[Array]
    changes: list[ChangeRows]
    drawn: list[ChangeRows]
    density: Some

    def place(self, mass: Array) -> Place:
        """What is in the tanks, and how unsure that is, when the mass [kg] is reached."""
        burnt = (self.start - mass) / self.density
        volumes = [
            np.maximum(volume - share * burnt, 0.0)
            for volume, share in zip(self.volumes, self.shares, strict=True)
        ]
        if not any(self.drawn):
            return Place(volumes, self.changes)
        length = self.start - self.end
        part = np.divide(self.start - mass, length, out=np.ones_like(length), where=length > 0)
        return Place(
            volumes, [_less(each, out, part) for each, out in zip(self.changes, self.drawn, strict=True)]
        )


@frozen
class Place:
    """Usable `volumes` [m3] per tank of every row, and what every cause of uncertainty does to each [m3]."""

    volumes: list[Array]
    changes: list[ChangeRows]


@dataclass(slots=True)
class Watch:
    """One limit watched along the burn: `group` it counts to, `pieces` of limiting moment, `upper` for aft or
    right; `shift` in the air, or None.

    `off` [kg.m] is how far the moment change of every row is from the shift's own.

    `margin` [m] is the least so far (infinite where nothing was burnt), with the `mass` [kg] and limiting
    `arm` [m] there, and the number of the `span`.
    """

    group: Group
    axis: Literal["longitudinal", "lateral"]
    pieces: tuple[Piece, ...]
    upper: bool
    shift: Variant | None
    rows: int
    off: Some = 0.0
    margin: Array = field(init=False)
    mass: Array = field(init=False)
    arm: Array = field(init=False)
    span: NDArray[np.intp] = field(init=False)

    def __post_init__(self) -> None:
        self.margin = np.full(self.rows, np.inf)
        self.mass, self.arm = np.ones(self.rows), np.zeros(self.rows)
        self.span = np.full(self.rows, -1)


def _less(changes: ChangeRows, drawn: ChangeRows, part: Array) -> ChangeRows:
    """changes - part x drawn, cause by cause."""
    return changes | {cause: changes.get(cause, 0.0) - part * change for cause, change in drawn.items()}


def watches(model: SweepModel, rows: int) -> list[Watch]:
    """Every CG limit to follow for a block of `rows` [1]: as it stands, and in the air with the massless
    moment changes.

    A moment change acts lengthwise only, so the lateral limits are followed once.
    """
    result = []
    for shift in (None, *model.shifts):
        for limit in model.flight.at("burn"):
            if shift is None or (limit.quantity == "cg" and shift.only in ("", limit.group)):
                result.append(
                    Watch(
                        group=limit.group,
                        axis=limit.axis,
                        pieces=limit.pieces,
                        upper=limit.upper,
                        shift=shift,
                        rows=rows,
                    )
                )
    return sorted(result, key=lambda watch: watch.axis == "lateral")


def spans(
    model: SweepModel,
    zero_fuel: tuple[Array, Array, Array | None],
    draw: DrawRows,
    density: Some,
    offs: Sequence[Offs] = (),
    sides: Sequence[Some] = (),
) -> Iterator[Span]:
    """A draw as stretches on which the moment is one polynomial in mass: cut where a tank's volume passes a
    point of its arm table.

    `density` [kg/m3] of all rows or of each; `offs` how far each tank's arms are off, and `sides` [m] its
    lateral arm, per tank; as the model has them where nothing is given.
    """
    sides = sides or [tank.lateral_arm for tank in model.tanks]
    cuts = []
    for tank, start, share in zip(model.tanks, draw.start, draw.shares, strict=True):
        for volume in tank.breaks():
            at = np.divide(start - volume, share, out=np.zeros_like(share), where=share > 0)
            cuts.append(np.clip(at, 0.0, draw.volume))
    if not cuts:
        yield _span(
            model, zero_fuel, draw, draw.start, draw.volume, draw.changes, draw.drawn, density, offs, sides
        )
        return
    ordered = np.sort(np.stack([np.zeros_like(draw.volume), *cuts, draw.volume]), axis=0)
    for low, high in pairwise(ordered):
        if (high > low).any():
            volumes = [
                np.maximum(v - share * low, 0.0) for v, share in zip(draw.start, draw.shares, strict=True)
            ]
            changes, drawn = draw.changes, draw.drawn
            if any(drawn):
                whole = np.where(draw.volume > 0, draw.volume, 1.0)
                changes = [_less(each, out, low / whole) for each, out in zip(changes, drawn, strict=True)]
                drawn = [
                    {cause: change * ((high - low) / whole) for cause, change in out.items()} for out in drawn
                ]
            yield _span(model, zero_fuel, draw, volumes, high - low, changes, drawn, density, offs, sides)


def _span(
    model: SweepModel,
    zero_fuel: tuple[Array, Array, Array | None],
    draw: DrawRows,
    volumes: list[Array],
    length: Array,
    changes: list[ChangeRows],
    drawn: list[ChangeRows],
    rho: Some,
    offs: Sequence[Offs],
    sides: Sequence[Some],
) -> Span:
    mass, moment, side = zero_fuel
    start: Array = np.asarray(mass + rho * np.sum(volumes, axis=0))
    return Span(
        stage=draw.stage,
        start=start,
        end=start - rho * length,
        moment=lengthwise(moment, start, model.tanks, rho, volumes, draw.shares, length, offs),
        lateral=None if side is None else across(side, start, rho, volumes, draw.shares, sides),
        volumes=volumes,
        shares=draw.shares,
        changes=changes,
        drawn=drawn,
        density=rho,
    )


@frozen
class Reach:
    """Part of a span on which one piece of a limit holds: masses from `high` down to `low` [kg] where `some`;
    margin = a/m + b + c m.
    """

    piece: Piece
    high: Array
    low: Array
    some: NDArray[np.bool_]
    a: Array
    b: Array
    c: Some
    curved: bool

    def margin(self, mass: Array) -> Array:
        """The margin [m] at a mass [kg] of every row."""
        straight = self.a / mass + self.b
        return np.asarray(straight + self.c * mass if self.curved else straight)

    def level(self) -> Array:
        """The mass [kg] at which the margin of a row is level; zero where it is nowhere."""
        ratio = np.divide(self.a, self.c, out=np.zeros_like(self.a), where=np.not_equal(self.c, 0.0))
        return np.sqrt(np.maximum(ratio, 0.0))


def reaches(watch: Watch, span: Span) -> Iterator[Reach]:
    """The parts of a span by the pieces of the limit watched; none where the limit is not asked for."""
    if watch.shift is not None and span.stage == "taxi":
        return
    curve = span.moment if watch.axis == "longitudinal" else span.lateral
    if curve is None:
        return
    a, b, c = curve
    if watch.shift is not None and watch.axis == "longitudinal":
        a = a + (watch.shift.moment + watch.off)
    sign = 1.0 if watch.upper else -1.0
    for piece in reversed(watch.pieces):
        high, low = np.minimum(span.start, piece.high), np.maximum(span.end, piece.low)
        some = high - low > _EMPTY_RANGE
        if some.any():
            yield Reach(
                piece=piece,
                high=high,
                low=low,
                some=some,
                a=sign * (piece.p - a),
                b=sign * (piece.q - b),
                c=sign * (piece.r - c),
                curved=not is_nothing(piece.r - c),
            )


def follow(watch: Watch, span: Span, number: int = 0) -> None:
    """Lower the least margin of `watch` by what one stretch holds, the `number` of it counted from 0."""
    for reach in reaches(watch, span):
        for mass in (reach.high, reach.low):
            _lower(watch, reach, mass, number)
        if reach.curved:
            _lower(watch, reach, np.clip(reach.level(), reach.low, reach.high), number)


def _lower(watch: Watch, reach: Reach, mass: Some, number: int) -> None:
    margin = reach.margin(mass)
    better = reach.some & (margin < watch.margin)
    if better.any():
        np.copyto(watch.margin, margin, where=better)
        np.copyto(watch.mass, mass, where=better)
        np.copyto(watch.arm, reach.piece.arm(mass), where=better)
        np.copyto(watch.span, number, where=better)


def place_of(watch: Watch, path: Sequence[Span], tanks: int) -> Place:
    """What is in the tanks of every row where its margin is least, on a `path` followed from its first span;
    nothing where it was followed on none.
    """
    volumes = [np.zeros(watch.rows) for _ in range(tanks)]
    changes: list[ChangeRows] = [{} for _ in range(tanks)]
    for number, span in enumerate(path):
        rows = np.flatnonzero(watch.span == number)
        if rows.size:
            here = some_of(span, rows).place(watch.mass[rows])
            for tank in range(tanks):
                volumes[tank][rows] = here.volumes[tank]
                for cause, change in here.changes[tank].items():
                    changes[tank].setdefault(cause, np.zeros(watch.rows))[rows] = change
    return Place(volumes, changes)
