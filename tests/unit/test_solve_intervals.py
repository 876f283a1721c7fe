"""Where a limit is kept between two values, on limits that are formulas: every root is worked out beside it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from types import SimpleNamespace
from typing import Any, cast

import pytest

from planner.quantities.errors import Finding, InputRefused
from planner.search.solve.intervals import (
    Interval,
    Judged,
    _apart,
    _may_touch,
    _Memo,
    _roots_of,
    _turning,
    bracketed_root,
    inside_intervals,
)
from tests.unit.test_solve import Check

Ends = tuple[float, float]


def shown(
    low: float, high: float, check: Callable[[float], Sequence[Judged]], *critical: float
) -> list[Ends]:
    return [(each.low, each.high) for each in inside_intervals(low, high, critical, check)]


def about(*ends: Ends) -> list[Any]:
    return [pytest.approx(each, abs=1e-10) for each in ends]


@pytest.mark.parametrize("bend", [1.0, -1.0, 0.3])
@pytest.mark.parametrize(
    ("middle", "may"), [(5.99, False), (6.01, True), (4.01, False), (3.99, True), (5.0, False)]
)
def test_a_parabola_that_falls_by_half_may_touch_zero(middle: float, may: bool, bend: float) -> None:
    """Of (x - 5)2 + 1 the middle figure is twice the least where x is 4 or 6."""
    for ends in ((3.0, 7.0), (1.0, 6.5), (3.9, 12.0)):
        x = (ends[0], middle, ends[1])
        assert _may_touch(x, [bend * ((each - 5.0) ** 2 + 1.0) for each in x]) == may


def test_a_straight_line_turns_nowhere() -> None:
    assert not _may_touch((1.0, 2.0, 4.0), (6.0, 4.0, 0.0))


@pytest.mark.parametrize("least", [12.2, 13.0, 14.9, 15.75])
def test_a_turning_point_is_closed_in_by_golden_section(least: float) -> None:
    asked: list[float] = []

    def f(p: float) -> float:
        asked.append(p)
        return math.cosh(3 * (p - least)) - 0.5

    # A figure that is 1e-16 above its least one is told from it at 1e-8 of its place.
    assert _turning(f, 12.0, 16.0) == pytest.approx(least, abs=1e-7)
    assert all(12.0 < p < 16.0 for p in asked)
    # Each step leaves 0.618 of 4: to 1.2e-8, a part in 1e9 of 12, in 41 of them.
    steps = math.ceil(math.log(4.0 / 12e-9) / -math.log((math.sqrt(5) - 1) / 2))
    assert steps <= len(asked) - 2 <= steps + 1


@pytest.mark.parametrize(
    ("least", "depth", "where"),
    [(0.4, 1.0, 0.382), (0.6, 1.0, 0.618), (0.38, 1e-3, 0.382), (0.62, 1e-3, 0.618)],
)
def test_below_zero_is_low_enough(least: float, depth: float, where: float) -> None:
    """The first two places are 0.382 and 0.618 of the way; where one is below zero nothing more is asked."""
    asked: list[float] = []

    def f(p: float) -> float:
        asked.append(p)
        return (p - least) ** 2 - depth

    assert _turning(f, 0.0, 1.0) == pytest.approx(where, abs=1e-3)
    assert sorted(asked) == pytest.approx([0.381966, 0.618034], abs=1e-6)


def test_a_root_at_an_end_is_that_end() -> None:
    assert bracketed_root(lambda p: p - 3.0, 3.0, 8.0) == 3.0
    assert bracketed_root(lambda p: p - 8.0, 3.0, 8.0) == 8.0


@pytest.mark.parametrize("down", [1.0, -1.0])
@pytest.mark.parametrize("root", [-41.0, 1e-3, 7.25, 5e5])
def test_a_root_of_a_flat_figure_is_closed_in(root: float, down: float) -> None:
    """Far from a straight line: by halving every third time within three times log2(1e6 / 1e-12) steps."""
    asked: list[float] = []

    def f(p: float) -> float:
        asked.append(p)
        return down * math.copysign(abs(p - root) ** 9, p - root)

    assert bracketed_root(f, -50.0, 1e6) == pytest.approx(root, rel=2e-12, abs=2e-12)
    assert len(asked) <= 2 + 3 * 61


def test_of_two_limits_of_one_name_the_tighter_counts() -> None:
    pair = [Check("aft", 3.0, 1.0, False), Check("aft", 1.0, 1.5, False)]
    for each in (pair, pair[::-1]):
        memo = _Memo(lambda _, each=each: each)  # type: ignore[misc]
        assert (memo.slack("aft", 0.0), memo.shown(0.0)) == (-0.5, False)
        assert memo.slack("forward", 0.0) == math.inf, "nobody asks about it there"


def test_a_limit_is_kept_above_its_u_only() -> None:
    for margin, kept in ((1.001, True), (1.0, False), (0.999, False)):
        found = inside_intervals(2.0, 2.0, (), lambda _, margin=margin: [Check("x", margin, 1.0, True)])  # type: ignore[misc]
        assert found == ((Interval(2.0, 2.0),) if kept else ())


def test_of_a_range_of_one_value_or_less_the_first_is_asked() -> None:
    def check(p: float) -> list[Check]:
        return [Check("x", p - 0.75, 0.0, True)]

    assert (shown(1.0, 0.5, check), shown(0.5, 0.5, check), shown(0.5, 0.25, check)) == ([(1.0, 1.0)], [], [])


def refused_in(low: float, high: float) -> Callable[[float], list[Check]]:
    def check(p: float) -> list[Check]:
        if low <= p <= high:
            raise InputRefused([Finding("too-much", "the tank does not hold it", "", "")])
        return [Check("always", 1.0, 0.5, False)]

    return check


def test_where_the_flight_is_refused_nothing_is_shown() -> None:
    assert shown(0.0, 1.0, refused_in(0.6, 2.0), 0.6) == [(0.0, 0.6)]
    assert shown(0.0, 1.0, refused_in(-1.0, 0.6), 0.6) == [(0.6, 1.0)]
    assert shown(0.0, 1.0, refused_in(0.6, 0.6), 0.6) == [(0.0, 0.6), (0.6, 1.0)]
    assert shown(0.0, 0.0, refused_in(0.0, 1.0)) == []


def test_a_straight_limit_ends_where_its_line_does() -> None:
    """2 p - 250 beside 10 from 130; 148 - p beside 4 to 144; one that never changes is no end."""

    def check(p: float) -> list[Check]:
        return [
            Check("least", 2 * p - 250.0, 10.0, True),
            Check("most", 148.0 - p, 4.0, True),
            Check("same", 1.0, 0.5, True),
        ]

    assert shown(120.0, 150.0, check) == about((130.0, 144.0))
    assert shown(120.0, 140.0, check) == about((130.0, 140.0))
    assert shown(135.0, 160.0, check) == about((135.0, 144.0))
    assert shown(135.0, 140.0, check) == about((135.0, 140.0))
    assert shown(100.0, 125.0, check) == []


def test_lines_that_bend_where_it_is_critical_end_each_on_their_own() -> None:
    """3 - |p - 110| is above nothing between 107 and 113; each half is a line that holds in its part only. A
    curved limit besides: 9 - (p - 110)2. Nothing is asked beyond the range.
    """

    def check(p: float) -> list[Check]:
        assert 100.0 <= p <= 125.0
        bent, curved = 3.0 - abs(p - 110.0), 9.0 - (p - 110.0) ** 2
        return [Check("bent", bent, 0.0, True), Check("curved", 20.0, 20.0 - curved - 5.0, False)]

    assert shown(100.0, 125.0, check, 110.0) == about((107.0, 113.0))
    assert shown(100.0, 125.0, lambda p: check(p)[1:], 110.0) == about((110 - 14**0.5, 110 + 14**0.5))


def test_a_limit_asked_at_one_of_two_values_only_is_no_line() -> None:
    def check(p: float) -> list[Check]:
        return [Check("always", 1.0, 0.5, True), *[Check("with fuel", 2.0 - p, 0.5, True)][: p < 0.5]]

    assert shown(0.0, 1.0, check) == [(0.0, 1.0)]


@pytest.mark.parametrize("share", [1e-7, 1e-3, 0.03, 0.3, 0.6, 0.97, 0.999, 1 - 1e-7])
@pytest.mark.parametrize("up", [True, False])
def test_a_curved_edge_is_found_however_near_to_an_end(share: float, up: bool) -> None:
    """Between 40 and 60 the slack is exp(p / 10) less its own figure at the root, or the other way round."""
    root = 40.0 + 20.0 * share

    def check(p: float) -> list[Check]:
        left = math.exp(p / 10) - math.exp(root / 10)
        return [Check("curved", 1000.0, 1000.0 - (left if up else -left), False)]

    assert shown(40.0, 60.0, check) == about((root, 60.0) if up else (40.0, root))


def slack_of(f: Callable[[float], float]) -> tuple[Any, list[float]]:
    asked: list[float] = []

    def slack(_: str, p: float) -> float:
        asked.append(p)
        return f(p)

    return cast(Any, SimpleNamespace(slack=slack)), asked


NODES = (3.0, 3.4, 3.9, 4.0, 4.6)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("turn", [3.3, 3.5, 3.8, 3.95, 4.2])
def test_a_dip_or_a_bump_between_places_of_one_sign(turn: float, sign: float) -> None:
    depth = 0.9 * min((p - turn) ** 2 for p in NODES)  # less at every place looked at
    memo, _ = slack_of(lambda p: sign * ((p - turn) ** 2 - depth))
    assert _roots_of(memo, "aft", NODES) == pytest.approx([turn - depth**0.5, turn + depth**0.5], abs=1e-9)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(
    "f",
    [
        lambda p: 1.0 + p,
        lambda p: 9.0 - p,
        lambda p: 1.0 + (p - 3.9) ** 2,
        lambda p: 4.0 - (p - 3.9) ** 2,  # it turns away from zero
    ],
)
def test_a_slack_that_comes_not_near_zero_is_asked_at_its_places_only(
    f: Callable[[float], float], sign: float
) -> None:
    """Each value asked is a flight judged."""
    memo, asked = slack_of(lambda p: sign * f(p))
    assert _roots_of(memo, "aft", NODES) == []
    assert sorted(set(asked)) == list(NODES)


def test_what_rounding_sets_apart_is_one_point() -> None:
    """A part in 1e12 of the value, or of 1 where the value is smaller."""
    assert _apart(0.0, 10.0, [5.0, 1.0 + 3e-13, 1.0, 3e-13, 10.0 - 3e-13]) == [
        (0.0, 1.0),
        (1.0, 5.0),
        (5.0, 10.0),
    ]
    assert _apart(0.0, 2e6, [1e6, 1e6 + 3e-7]) == [(0.0, 1e6), (1e6, 2e6)]
    assert len(_apart(0.0, 2e6, [1e6, 1e6 + 3e-6])) == 3
    assert len(_apart(0.0, 1.0, [0.01, 0.01 + 3e-12, 1.0 - 3e-12])) == 4
    assert _apart(2.0, 3.0, [1.0, 2.0, 3.0, 4.0]) == [(2.0, 3.0)]


def test_an_interval_holds_its_ends() -> None:
    assert [p in Interval(1.0, 3.0) for p in (0.9, 1.0, 2.0, 3.0, 3.1)] == [False, True, True, True, False]
