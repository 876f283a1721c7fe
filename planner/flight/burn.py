"""The whole burn in closed form: where a CG margin is least, and every crossing of a limit.

Over a stretch with constant shares the moment is a polynomial in the mass, `M(m) = a + b m + c m2` (c only
where an arm table makes a tank's moment quadratic), and every limit is a limiting moment `p + q m + r m2`
(see `planner.quantities.polygon`). So a margin times mass is the quadratic `A + B m + C m2`: crossings are
its roots, and the margin `A/m + B + C m` is least at `m = sqrt(A/C)` or at an end. Nothing is sampled.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, Final, Literal, NamedTuple

from planner.flight.curve import Curve, Offs, across, at_mass, lengthwise, quadratic_roots
from planner.flight.fuel import NOTHING_DRAWN, Changes, Draw, FuelTank, Held, Stage
from planner.flight.limits import Limit, of_centre
from planner.quantities import many
from planner.quantities.frozen import frozen
from planner.quantities.many import Some, Test, greater, lesser, summed
from planner.quantities.moments import Total
from planner.quantities.polygon import Envelope, Piece

EMPTY_RANGE: Final = 1e-12  # kg; a stretch shorter than this holds no crossing of its own


@frozen
class Stretch:
    """Part of the burn on which mass falls from `start` to `end` [kg] and both moments are polynomials in
    mass.

    `moment` = (a, b, c) and `lateral` = (a, b, c) [kg.m, m, m/kg]; `time` [s after take-off] at the start;
    `density` [kg/m3] of what is burnt, and the `draw` that burns it, at its start the fuel in every tank.
    Every figure is single, or a block of one per loading.
    """

    start: Some
    end: Some
    moment: Curve
    lateral: Curve = (0.0, 0.0, 0.0)
    time: Some = 0.0
    density: Some = 1.0
    draw: Draw = NOTHING_DRAWN

    @property
    def stage(self) -> Stage:
        """The part of the flight it belongs to."""
        return self.draw.stage

    @property
    def volumes(self) -> tuple[Some, ...]:
        """Usable fuel [m3] per tank at the start."""
        return self.draw.start

    @property
    def flow(self) -> Some:
        """Mass flow [kg/s]; 0 where it is not known."""
        return self.draw.flow * self.density

    @property
    def unsure(self) -> bool:
        """Whether anything about the fuel in the tanks is unsure on this stretch."""
        return any(self.draw.changes) or any(self.draw.drawn)

    def total_at(self, mass: float) -> Total:
        """Mass and moments when the mass [kg] is reached."""
        return Total(mass, at_mass(self.moment, mass), at_mass(self.lateral, mass))

    def held_at(self, mass: Some, rows: Any = None) -> Held:
        """What is in the tanks where the mass [kg] is reached; of a block, in some rows alone."""
        draw, start, density = self.draw, self.start, self.density
        if rows is not None:
            draw, start, density = many.some_of((draw, start, density), rows)
        burnt = (start - mass) / density
        return draw.after(burnt), draw.changes_after(burnt)

    def point_at(self, mass: float) -> Point:
        """The place on the burn where the mass [kg] is reached."""
        volumes, changes = self.held_at(mass)
        return Point(
            phase=self.draw.phase,
            fuel=math.fsum(volumes),
            time=self.time + ((self.start - mass) / self.flow if self.flow else 0.0),
            total=self.total_at(mass),
            volumes=tuple(volumes),
            changes=tuple(changes),
        )


@frozen
class Point:
    """A place on the burn: fuel remaining [m3], [s] after take-off, `total`, and usable volumes per tank
    [m3].
    """

    phase: str
    fuel: float
    time: float
    total: Total
    volumes: tuple[float, ...]
    changes: tuple[Changes, ...] = ()


@frozen
class Crossing:
    """The burn crosses the limit `limit` at `point`; `direction` is `out` or `in`."""

    limit: str
    point: Point
    direction: Literal["out", "in"]


@frozen
class Least:
    """The least margin [m] against `limit` anywhere on the burn, and where."""

    limit: str
    margin: float
    point: Point


def stretches(
    zero_fuel: Total,
    tanks: Sequence[FuelTank],
    density: Some,
    draws: Sequence[Draw],
    takeoff_time: float = 0.0,
    offs: Sequence[Offs] = (),
    sides: Sequence[Some] = (),
) -> tuple[Stretch, ...]:
    """The burn as stretches on which moment is one polynomial in mass.

    A draw is cut where the volume in a tank passes a point of its arm table.

    Parameters: `zero_fuel` mass [kg] and moments [kg.m] without usable fuel; `tanks`; `density` [kg/m3];
    `draws` as given by `planner.flight.fuel.burn_down`; `takeoff_time` [s] after the first draw begins;
    `offs` how far each tank's arms are off, and `sides` [m] its lateral arm, as the tank has them where
    nothing is given.
    Returns stretches in time order. Range: any arm table of straight lines.
    Source: [common-practice] moment = density x volume x arm, exact for such tables.
    """
    result: list[Stretch] = []
    time: Some = -takeoff_time
    sides = sides or [tank.lateral_arm for tank in tanks]
    for draw in draws:
        for part in draw.parts(tanks):
            held, shares = part.start, part.shares
            high = zero_fuel.mass + density * summed(held)
            stretch = Stretch(
                start=high,
                end=high - density * part.volume,
                moment=lengthwise(zero_fuel.moment, high, tanks, density, held, shares, part.volume, offs),
                lateral=across(zero_fuel.lateral_moment, high, density, held, shares, sides),
                time=time,
                density=density,
                draw=part,
            )
            result.append(stretch)
            time = time + part.duration
    return tuple(result)


def airborne(path: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """The part of a burn after the taxi."""
    return tuple(stretch for stretch in path if stretch.stage != "taxi")


def shifted(path: Sequence[Stretch], moment: Some) -> tuple[Stretch, ...]:
    """The same burn with a massless moment change [kg.m] added, such as retracted landing gear. Source:
    [faa-h-8083-1b].
    """
    return tuple(replace(s, moment=(s.moment[0] + moment, s.moment[1], s.moment[2])) for s in path)


def bounds(envelope: Envelope, lateral: tuple[float, float] | None) -> tuple[Limit, ...]:
    """Every CG limit the burn is checked against; `lateral` (left, right) [m] or None."""
    return of_centre(envelope, lateral, "burn")


class Reach(NamedTuple):
    """Part of a `stretch` on which one `piece` of a limit holds: masses from `high` down to `low` [kg], of a
    block where `some`; the margin there is A/m + B + C m with the `curve` (A, B, C).
    """

    stretch: Stretch
    piece: Piece
    high: Some
    low: Some
    some: Test
    curve: Curve


def reaches(path: Sequence[Stretch], bound: Limit) -> Iterator[Reach]:
    """The parts of a burn by the pieces of one limit, in time order. Source: as `least_margin`."""
    sign, lengthwise_, pieces = 1.0 if bound.upper else -1.0, bound.axis == "longitudinal", bound.pieces[::-1]
    for stretch in path:
        a, b, c = stretch.moment if lengthwise_ else stretch.lateral
        top, bottom = many.greatest(stretch.start), many.least(stretch.end)
        for piece in pieces:
            if top <= piece.low or bottom >= piece.high:
                continue
            high = stretch.start if top <= piece.high else lesser(stretch.start, piece.high)
            low = stretch.end if bottom >= piece.low else greater(stretch.end, piece.low)
            some = many.settled(high - low > EMPTY_RANGE)
            if many.anywhere(some):
                yield Reach(
                    stretch=stretch,
                    piece=piece,
                    high=high,
                    low=low,
                    some=some,
                    curve=(sign * (piece.p - a), sign * (piece.q - b), sign * (piece.r - c)),
                )


def candidates(curve: Curve, high: Some, low: Some) -> tuple[Some, ...]:
    """Masses [kg] between `high` and `low` where A/m + B + C m can be least: the ends, and sqrt(A/C) where
    that lies between them.
    """
    if many.greatest(curve[2]) <= 0.0:
        return high, low
    square = many.over(curve[0], curve[2])
    if not many.anywhere((low * low < square) & (square < high * high)):
        return high, low
    return high, low, many.between(low, many.root(greater(square, 0.0)), high)


def nearest(path: Sequence[Stretch], bound: Limit) -> tuple[Some, Some]:
    """The least CG margin [m] against one limit over the whole burn, and the mass [kg] there; infinite and 1
    where nothing is burnt.

    h(m) = A/m + B + C m; its only stationary point with m > 0 is sqrt(A/C). Ends of every span are candidates
    too.
    Parameters: `path` of stretches, single or of a block; `bound`. Source: closed form derived in the
    module's heading.
    """
    least, at = math.inf, 1.0
    for reach in reaches(path, bound):
        for mass in candidates(reach.curve, reach.high, reach.low):
            a, b, c = reach.curve
            margin = a / mass + b if many.is_nothing(c) else a / mass + b + c * mass
            better = many.settled(reach.some & (margin < least))
            least, at = many.where(better, margin, least), many.where(better, mass, at)
    return least, at


def least_margin(path: Sequence[Stretch], bound: Limit) -> Least | None:
    """The least CG margin [m] against one limit over the whole burn, and where; None for an empty path.

    Parameters and source: as `nearest`.
    """
    margin, mass = nearest(path, bound)
    there = next((stretch for stretch in path if stretch.end <= mass), None)
    return None if there is None else Least(bound.name, margin, there.point_at(mass))


def crossings(path: Sequence[Stretch], bound: Limit) -> tuple[Crossing, ...]:
    """Every place where the burn crosses one CG limit, in time order.

    Roots of A + B m + C m2 with a change of sign; a touch without crossing is not one. A sign change exactly
    at the border of two spans is found by comparing their signs.
    Parameters and source: as `least_margin`.
    """
    found: list[Crossing] = []
    before = 0.0  # sign of the last margin that was not zero
    for reach in reaches(path, bound):
        a, b, c = reach.curve
        inner = [m for m in reversed(quadratic_roots(a, b, c)) if reach.low < m < reach.high]
        ends = [reach.high, *inner, reach.low]
        # The sign on each part between roots, read at its middle where rounding cannot reach it.
        for position, (upper, lower) in enumerate(itertools.pairwise(ends)):
            middle = (upper + lower) / 2
            value = at_mass((a, b, c), middle)
            sign = (
                0.0
                if abs(value) <= 1e-12 * (abs(a) + abs(b * middle) + abs(c * middle * middle))
                else math.copysign(1.0, value)
            )
            if sign and before and sign != before:
                found.append(
                    Crossing(bound.name, reach.stretch.point_at(ends[position]), "in" if sign > 0 else "out")
                )
            before = sign or before
    return tuple(found)


def mass_crossing(
    path: Sequence[Stretch], name: str, limit: float, upper: bool = True
) -> tuple[Crossing, ...]:
    """Where the falling mass passes a mass limit [kg]: `in` for an upper limit such as landing mass, `out`
    for a lower one.
    """
    for stretch in path:
        if stretch.end < limit < stretch.start or (limit == stretch.end and stretch is not path[-1]):
            return (Crossing(name, stretch.point_at(limit), "in" if upper else "out"),)
    return ()
