"""The values of one parameter for which every limit is shown to be kept, as intervals with exact ends.

Where a margin alone decides, the ends are roots in closed form: those of `planner.search.solve.critical` for
the CG, a straight line's for masses, loads and fuel. Between two such roots no margin changes sign. Where a
margin must exceed its uncertainty, U is a square root of a sum of squares and its edge has no closed form;
between the exact points both are smooth, so each limit's slack (margin less U) is followed there: every sign
change, and every turning point towards zero, is bracketed and closed in to 1e-12 of the value.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final, Protocol, TypeAlias

from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen

# How near to the ends of a piece it is looked at, as a share of the piece: the ends themselves belong to two
# pieces.
_EDGE: Final = 1e-9
# Where the slack of a smooth limit is looked at within one piece; a margin there is nearly a straight line.
_NODES: Final = (0.25, 0.5, 0.75)
_NEAR_END: Final = 0.06  # a dip of the slack close to an end would hide between it and the nearest node
TOLERANCE: Final = 1e-12  # of the greater of the value and 1
_GOLDEN: Final = (math.sqrt(5) - 1) / 2


class Judged(Protocol):
    """One limit at one value of the parameter; it may be worked out when it is asked."""

    @property
    def name(self) -> str:
        """What it is found again by at another value."""

    @property
    def linear(self) -> bool:
        """Whether margin and U are straight lines between events."""

    @property
    def margin(self) -> float:
        """Its margin [in the unit of the limit]."""

    @property
    def uncertainty(self) -> float:
        """U of the margin [in the unit of the limit]."""


@frozen
class Interval:
    """Values above `low` and below `high`; at an end that is a limit itself the margin is not larger than its
    uncertainty.
    """

    low: float
    high: float

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high


def _slack(limit: Judged) -> float:
    """margin - U; the limit is shown to be kept where it is above zero."""
    return limit.margin - limit.uncertainty


Checks: TypeAlias = Callable[[float], Sequence[Judged]]


def bracketed_root(f: Callable[[float], float], a: float, b: float) -> float:
    """The root of a continuous f between a and b, where f(a) and f(b) differ in sign: regula falsi (Illinois)
    kept safe by bisection.

    Parameters and result in one unit, the result within 1e-12 of the greater of its size and 1 [same unit].
    Source: [common-practice]; any textbook of numerical analysis.
    """
    fa, fb = f(a), f(b)
    for step in range(200):
        if fa == 0.0 or fb == 0.0:
            return a if fa == 0.0 else b
        if abs(b - a) <= TOLERANCE * max(1.0, abs(a), abs(b)):
            break
        # A short step leaves one end where it was; every third step therefore halves the bracket.
        middle = (a + b) / 2 if step % 3 == 2 else (a * fb - b * fa) / (fb - fa)
        if not min(a, b) < middle < max(a, b):
            middle = (a + b) / 2
        value = f(middle)
        if (value > 0) == (fb > 0):
            b, fb, fa = middle, value, fa / 2 if step % 3 != 2 else fa
        else:
            a, fa, b, fb = b, fb, middle, value
    return (a + b) / 2


def _turning(f: Callable[[float], float], a: float, b: float) -> float:
    """Where f is least between a and b, by golden section; stops early once f is below zero."""
    c, d = b - _GOLDEN * (b - a), a + _GOLDEN * (b - a)
    fc, fd = f(c), f(d)
    for _ in range(60):
        if fc < 0 or fd < 0 or b - a <= 1e-9 * max(1.0, abs(a)):
            break
        if fc < fd:
            b, d, fd = d, c, fc
            c = b - _GOLDEN * (b - a)
            fc = f(c)
        else:
            a, c, fc = c, d, fd
            d = a + _GOLDEN * (b - a)
            fd = f(d)
    return c if fc < fd else d


def _may_touch(x: Sequence[float], y: Sequence[float]) -> bool:
    """Whether the parabola through three points of one sign comes within a half of its middle one of zero."""
    left, right = (y[1] - y[0]) / (x[1] - x[0]), (y[2] - y[1]) / (x[2] - x[1])
    bend = (right - left) / (x[2] - x[0])
    if not bend:
        return False
    slope = left + bend * (x[1] - x[0])
    return abs(slope * slope / (4 * bend)) > abs(y[1]) / 2


class _Memo:
    """Checks by name, each value of the parameter computed once; none where the flight is refused."""

    def __init__(self, check: Checks) -> None:
        self.check, self.known, self.refused = check, dict[float, dict[str, Judged]](), set[float]()

    def at(self, p: float) -> dict[str, Judged]:
        if p not in self.known:
            worst = self.known[p] = dict[str, Judged]()
            try:
                for each in self.check(p):
                    if each.name not in worst or _slack(each) < _slack(worst[each.name]):
                        worst[each.name] = each
            except InputRefused:
                self.refused.add(p)
        return self.known[p]

    def slack(self, name: str, p: float) -> float:
        found = self.at(p).get(name)
        return _slack(found) if found is not None else math.inf

    def shown(self, p: float) -> bool:
        return all(_slack(each) > 0 for each in self.at(p).values()) and p not in self.refused


def _straight(memo: _Memo, a: float, b: float) -> list[float]:
    """Roots of the limits that are straight lines between a and b."""
    low, high = a + (b - a) * _NODES[0], a + (b - a) * _NODES[2]
    first, second = memo.at(low), memo.at(high)
    found = []
    for name, one in first.items():
        two = second.get(name)
        if two is None or not one.linear or _slack(one) == _slack(two):
            continue
        root = low + (high - low) * _slack(one) / (_slack(one) - _slack(two))
        if a < root < b:
            found.append(root)
    return found


def _curved(memo: _Memo, a: float, b: float) -> list[float]:
    """Values between a and b where the slack of a limit with an uncertainty passes zero, where no margin
    does.
    """
    width = b - a
    middle = memo.at(a + width * _NODES[1])
    unsure = [name for name, each in middle.items() if not each.linear and each.uncertainty > 0]
    if not unsure or any(each.margin < 0 for each in middle.values()):
        return []
    nodes = [
        a + _EDGE * width,
        *(a + width * share for share in (_NEAR_END, *_NODES, 1 - _NEAR_END)),
        b - _EDGE * width,
    ]
    found = []
    for name in unsure:
        found += _roots_of(memo, name, nodes)
    return found


def _roots_of(memo: _Memo, name: str, nodes: Sequence[float]) -> list[float]:
    """Sign changes of one limit's slack, those hidden between nodes of one sign looked for at its turning
    points.
    """
    values = [memo.slack(name, p) for p in nodes]
    points = list(nodes)
    for i in range(1, len(nodes) - 1):
        sign = 1.0 if values[i] > 0 else -1.0
        towards_zero = sign * values[i] <= sign * values[i - 1] and sign * values[i] <= sign * values[i + 1]
        if towards_zero and _may_touch(nodes[i - 1 : i + 2], values[i - 1 : i + 2]):

            def slack(p: float, sign: float = sign) -> float:
                return sign * memo.slack(name, p)

            points.append(_turning(slack, nodes[i - 1], nodes[i + 1]))
    points.sort()
    found = []
    for low, high in pairwise(points):
        if (memo.slack(name, low) > 0) != (memo.slack(name, high) > 0):
            found.append(bracketed_root(lambda p: memo.slack(name, p), low, high))
    return found


def inside_intervals(
    low: float, high: float, critical: Sequence[float], check: Checks
) -> tuple[Interval, ...]:
    """The values of p from `low` to `high` for which every limit is shown to be kept, ascending and apart
    from each other.

    Parameters: the range and the `critical` points of `planner.search.solve.critical` in the parameter's unit
    (kg, or m3 in all); `check` gives every limit at one p, or raises InputRefused, where the flight is not
    kept. Range: `check` is smooth between two critical points, its mass limits straight.
    Source: derived in the module's heading; [jcgm-100] 6.2 for U.
    """
    memo = _Memo(check)
    if high <= low:
        return (Interval(low, low),) if memo.shown(low) else ()
    found: list[Interval] = []
    for piece in _apart(low, high, critical):
        middle = piece[0] + (piece[1] - piece[0]) * _NODES[1]
        if any(each.margin < 0 and not each.linear for each in memo.at(middle).values()):
            continue  # no margin of a CG limit changes sign within a piece
        if middle in memo.refused:
            continue
        straight = _apart(*piece, _straight(memo, *piece))
        parts = [part for a, b in straight for part in _apart(a, b, _curved(memo, a, b))]
        for a, b in parts:
            if not memo.shown(a + (b - a) * _NODES[1]):
                continue
            # Two parts are one interval where the point between them is kept too.
            if found and found[-1].high == a and memo.shown(a):
                found[-1] = Interval(found[-1].low, b)
            else:
                found.append(Interval(a, b))
    return tuple(found)


def _apart(low: float, high: float, between: Sequence[float]) -> list[tuple[float, float]]:
    """The pieces from `low` to `high` parted at the values between, those that rounding alone sets apart
    taken as one.
    """
    points = [low]
    for p in sorted(between):
        room = TOLERANCE * max(1.0, abs(p))
        if points[-1] + room < p < high - room:
            points.append(p)
    return list(pairwise([*points, high]))
