"""The burn as a function of one parameter: a mass at a station, a mass moved, or the fuel put into the tanks.

With the parameter p every usable volume is a straight line in p between two events (a tank that empties
earlier, a point of an arm table passed), so mass along a stretch is linear and moment quadratic in p and in
the volume x burnt since its start. `cells` takes the burn of a flight from event to event: the ends of a
cell are the exact roots of the two lines that trade places there, never a step of a grid.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Final, TypeAlias

from planner.flight.fuel import FuelTank, Leg, Stage, burn_down
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total

Line: TypeAlias = tuple[float, float]  # a + b p
# g0 + g1 p + g2 p2 + (g3 + g4 p) x + g5 x2
Form: TypeAlias = tuple[float, float, float, float, float, float]

_FLAT: Final = 1e-13  # m3 per unit of p; a difference that changes more slowly is rounding
_START: Final = 1e-9  # share of what is left of the range: how far inside a cell its order of events is read
MOST_CELLS: Final = 10_000


def at(line: Line, p: float) -> float:
    """The value a + b p of a line, in the unit of its `a`. Source: [common-practice]."""
    return line[0] + line[1] * p


@frozen
class Change:
    """What one unit of the parameter adds: `mass` [kg], `moment`, `lateral_moment` [kg.m] without usable
    fuel, and `volumes` [m3] per tank.
    """

    mass: float = 0.0
    moment: float = 0.0
    lateral_moment: float = 0.0
    volumes: tuple[float, ...] = ()


@frozen
class Family:
    """One flight with one quantity left open: all of it at p = 0, and what changes with p.

    `zero_fuel` [kg, kg.m]; `tanks`; usable `volumes` [m3]; feed `order`; `legs` in order of flight, without
    the last one that burns what is left; `density` [kg/m3]; `change`.
    """

    zero_fuel: Total
    tanks: tuple[FuelTank, ...]
    volumes: tuple[float, ...]
    order: tuple[tuple[str, ...], ...]
    legs: tuple[Leg, ...]
    density: float
    change: Change

    def start(self) -> tuple[Line, ...]:
        """Usable volume [m3] of every tank before the burn, as lines in p."""
        more = self.change.volumes or (0.0,) * len(self.volumes)
        return tuple(zip(self.volumes, more, strict=True))

    def mass(self) -> Line:
        """Mass without usable fuel [kg]."""
        return self.zero_fuel.mass, self.change.mass

    def moment(self, lateral: bool) -> Line:
        """Moment or lateral moment without usable fuel [kg.m]."""
        if lateral:
            return self.zero_fuel.lateral_moment, self.change.lateral_moment
        return self.zero_fuel.moment, self.change.moment


@frozen
class ParamStretch:
    """A stretch of the burn over one cell: usable `volumes` [m3] at its start and burnt `length` [m3] as
    lines in p, `shares` per tank.
    """

    stage: Stage
    volumes: tuple[Line, ...]
    shares: tuple[float, ...]
    length: Line


@frozen
class Cell:
    """Values of p from `low` to `high` over which the burn keeps its order of events."""

    low: float
    high: float
    stretches: tuple[ParamStretch, ...]


class _Walk:
    """The burn at one p, and up to which p every comparison made on the way keeps its outcome."""

    def __init__(self, p: float, high: float) -> None:
        self.p, self.high = p, high


class _Open(float):
    """A line as the figure it is at the p of a walk, so that the burn is the one a flight takes; each
    comparison tells the walk where its outcome changes.
    """

    __slots__ = ("line", "walk")
    line: Line
    walk: _Walk

    def __new__(cls, line: Line, walk: _Walk) -> _Open:
        made = super().__new__(cls, at(line, walk.p))
        made.line, made.walk = line, walk
        return made

    def __sub__(self, other: float) -> _Open:
        return _Open(_minus(self.line, _line(other)), self.walk)

    def __rsub__(self, other: float) -> _Open:
        return _Open(_minus(_line(other), self.line), self.walk)

    def __rmul__(self, factor: float) -> _Open:
        return _Open((factor * self.line[0], factor * self.line[1]), self.walk)

    def __truediv__(self, divisor: float) -> _Open:
        return _Open((self.line[0] / divisor, self.line[1] / divisor), self.walk)

    def __lt__(self, other: float) -> bool:
        return self._above(other) < 0.0

    def __le__(self, other: float) -> bool:
        return self._above(other) <= 0.0

    def __gt__(self, other: float) -> bool:
        return self._above(other) > 0.0

    def __ge__(self, other: float) -> bool:
        return self._above(other) >= 0.0

    def _above(self, other: float) -> float:
        """How far it lies above another; where the two trade places is noted."""
        (a, b), walk = _minus(self.line, _line(other)), self.walk
        if abs(b) > _FLAT and (root := -a / b) > walk.p:
            walk.high = min(walk.high, root)
        return a + b * walk.p


def _line(figure: float) -> Line:
    return figure.line if isinstance(figure, _Open) else (figure, 0.0)


def _minus(left: Line, right: Line) -> Line:
    return left[0] - right[0], left[1] - right[1]


def _stretches(family: Family, walk: _Walk) -> tuple[ParamStretch, ...]:
    """The burn a flight takes, in parts on which every arm table stays on one of its lines."""
    legs = [replace(leg, changes={}) for leg in family.legs]  # what is unsure about them is no matter here
    draws, _ = burn_down(
        [tank.name for tank in family.tanks],
        [_Open(line, walk) for line in family.start()],
        family.order,
        [*legs, Leg("reserve", "reserve", 0.0, 0.0)],
    )
    return tuple(
        ParamStretch(part.stage, tuple(map(_line, part.start)), part.shares, _line(part.volume))
        for draw in draws
        for part in draw.parts(family.tanks)
    )


def cells(family: Family, low: float, high: float) -> tuple[Cell, ...]:
    """Every range of p between `low` and `high` over which the burn keeps its order of events, with its
    stretches.

    The parameter is in the unit of `family.change` (kg, or m3 of fuel in all). Source: [common-practice]; the
    walk itself is derived in the module's heading. Raises ValueError where there are more than ten thousand
    of them.
    """
    found: list[Cell] = []
    here = low
    for _ in range(MOST_CELLS):
        walk = _Walk(here + _START * (high - here), high)
        stretches = _stretches(family, walk)
        end = high if high - walk.high < 1e-12 * max(1.0, abs(high)) else walk.high
        found.append(Cell(here, end, stretches))
        if end >= high:
            return tuple(found)
        here = end
    raise ValueError("a burn with too many events")


def mass_form(family: Family, stretch: ParamStretch) -> tuple[float, float, float]:
    """Mass along a stretch as m0 + m1 p + m2 x [kg]."""
    zero = family.mass()
    volume: Line = (sum(line[0] for line in stretch.volumes), sum(line[1] for line in stretch.volumes))
    return zero[0] + family.density * volume[0], zero[1] + family.density * volume[1], -family.density


def moment_form(family: Family, stretch: ParamStretch, cell: Cell, lateral: bool) -> Form:
    """Moment (or lateral moment) along a stretch as a quadratic form in p and x [kg.m].

    A tank's moment is rho (w (alpha + beta w) - u a(u)) with w = v0 + v1 p - s x + u on one line of its arm
    table.
    """
    zero = family.moment(lateral)
    form = [zero[0], zero[1], 0.0, 0.0, 0.0, 0.0]
    middle = (cell.low + cell.high) / 2
    for tank, (v0, v1), share in zip(family.tanks, stretch.volumes, stretch.shares, strict=True):
        if lateral or len(tank.arm_points) == 1:
            alpha, beta, rest = (tank.lateral_arm if lateral else tank.arm_points[0][1]), 0.0, 0.0
            w0 = v0
        else:
            inside = at((v0, v1), middle) - share * at(stretch.length, middle) / 2 + tank.unusable
            alpha, beta = _table_line(tank, inside)
            w0, rest = v0 + tank.unusable, tank.unusable * tank.arm(tank.unusable)
        parts = (
            w0 * alpha + beta * w0 * w0 - rest,
            v1 * alpha + 2 * beta * w0 * v1,
            beta * v1 * v1,
            -share * (alpha + 2 * beta * w0),
            -2 * beta * v1 * share,
            beta * share * share,
        )
        form = [value + family.density * part for value, part in zip(form, parts, strict=True)]
    return (form[0], form[1], form[2], form[3], form[4], form[5])


def _table_line(tank: FuelTank, total: float) -> Line:
    """The line alpha + beta w of an arm table at a volume in the tank [m3]; beyond its ends the arm is held
    constant.
    """
    points = tank.arm_points
    for (w1, a1), (w2, a2) in pairwise(points):
        if w1 <= total <= w2:
            beta = (a2 - a1) / (w2 - w1)
            return a1 - beta * w1, beta
    return (points[0] if total < points[0][0] else points[-1])[1], 0.0
