"""Which margin, which U and which verdict of a group of limits is kept of a loading; where a burn is looked at."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from planner.flight.doubt import _control
from planner.sweep.block import GROUPS, INSIDE, NOT_SHOWN, OUTSIDE
from planner.sweep.block.doubts import _in_doubt
from planner.sweep.block.edges import Rows
from planner.sweep.block.model import spread
from planner.sweep.block.tally import Tally

AFT, MASS, LOAD = (GROUPS.index(group) for group in ("aft", "mass", "load"))


def settled(tally: Tally, times: float = 1.0) -> dict[str, list[int]]:
    """The rows of each group of which places between are asked."""
    return {group: rows.tolist() for group, rows in tally.settle(times)}


def test_the_u_is_that_of_the_least_margin_and_any_margin_may_be_in_doubt() -> None:
    """Of 5 and 8 kg, U 1 and 2, the first is least and sure; of 5 and 8 with U 1 and 9 the second is not shown; of
    8 and 5 with U 9 and 6 neither; of -1 and 5 nothing helps.
    """
    tally = Tally(4)
    tally.add("mass", np.array([5.0, 5.0, 8.0, -1.0]), np.array([1.0, 1.0, 9.0, 7.0]), 1000.0)
    tally.add("mass", np.array([8.0, 8.0, 5.0, 5.0]), np.array([2.0, 9.0, 6.0, 1.0]), 1000.0)
    assert settled(tally) == {}
    assert tally.margins[MASS].tolist() == [5.0, 5.0, 5.0, -1.0]
    assert tally.uncertainties[MASS].tolist() == [1.0, 1.0, 6.0, 7.0]
    assert tally.verdicts[MASS].tolist() == [INSIDE, NOT_SHOWN, NOT_SHOWN, OUTSIDE]
    assert not np.isfinite(tally.margins[LOAD]).any()
    assert tally.verdicts[LOAD].tolist() == [INSIDE] * 4
    assert tally.uncertainties[LOAD].tolist() == [0.0] * 4


def test_a_margin_as_large_as_its_u_is_not_shown_and_one_that_is_sure_is() -> None:
    tally = Tally(4)
    tally.add("load", np.array([3.0, 3.0, 0.0, 0.0]), np.array([3.0, 2.999, 1.0, 0.0]), 40.0)
    settled(tally)
    assert tally.verdicts[LOAD].tolist() == [NOT_SHOWN, INSIDE, NOT_SHOWN, INSIDE]


def test_what_rounding_leaves_of_a_margin_is_nothing() -> None:
    """A trillionth of the limit, of 2000 kg two billionths: less is none, more is outside."""
    tally = Tally(4)
    tally.add("mass", np.array([-1.9e-9, -2.1e-9, 1.9e-9, 2.1e-9]), 0.0, -2000.0)
    settled(tally)
    assert tally.margins[MASS].tolist() == [0.0, -2.1e-9, 0.0, 2.1e-9]
    assert tally.verdicts[MASS].tolist() == [INSIDE, OUTSIDE, INSIDE, INSIDE]


def test_a_place_that_is_asked_twice_has_the_greater_u() -> None:
    """A billionth apart is one place; two are two."""
    for add in (1.0, -1.0):
        tally = Tally(2)
        tally.add("aft", np.array([0.5, 0.5]), np.array([0.01, 0.01]), 2.0)
        tally.add("aft", np.array([0.5 + add * 5e-10, 0.5 + 2e-9]), np.array([0.02, 0.02]), 2.0)
        settled(tally)
        assert tally.uncertainties[AFT].tolist() == [0.02, 0.01]


def test_where_a_limit_is_not_asked_there_is_no_u() -> None:
    tally = Tally(2)
    tally.add("load", np.array([np.inf, 4.0]), 1.5, 0.0)
    settled(tally)
    assert tally.uncertainties[LOAD].tolist() == [0.0, 1.5]
    assert tally.verdicts[LOAD].tolist() == [INSIDE, INSIDE]


def test_a_u_is_worked_out_where_it_can_decide_something() -> None:
    """It may be 0.3 at most: asked of the least margins, of what is within 0.3, and where one is outside only of the
    least.
    """
    rows_asked: list[list[int]] = []
    us = np.array([0.1, 0.3, 0.2, 0.3, 0.3])

    def asked(rows: Rows) -> Any:
        rows_asked.append(np.arange(5)[rows].tolist())
        return us[rows]

    tally = Tally(5)
    tally.add("aft", np.array([0.9, 0.25, 0.5, -0.1, 0.2]), asked, 2.0, most=0.3)
    tally.add("aft", np.array([1.0, 0.9, 0.35, 0.2, -0.1]), np.full(5, 0.05), 2.0)
    found = settled(tally, times=2.0)
    assert rows_asked == [[0, 1, 2, 3]]
    assert tally.margins[AFT].tolist() == [0.9, 0.25, 0.35, -0.1, -0.1]
    assert tally.uncertainties[AFT].tolist() == [0.1, 0.3, 0.05, 0.3, 0.05]
    # the rows inside and not doubted so far, of which the least margin is within twice the greatest U
    assert found == {"aft": [2]}
    assert tally.verdicts[AFT].tolist() == [INSIDE, NOT_SHOWN, INSIDE, OUTSIDE, OUTSIDE]
    tally.doubt("aft", np.array([2]))
    assert tally.verdicts[AFT].tolist() == [INSIDE, NOT_SHOWN, NOT_SHOWN, OUTSIDE, OUTSIDE]
    assert tally.verdicts[MASS].tolist() == [INSIDE] * 5


def test_a_u_found_greater_than_was_said_widens_what_is_looked_at() -> None:
    """That of a place between the states may be: 0.4 where 0.1 was said, and a margin of 0.25 is in reach of it."""
    tally = Tally(3)
    tally.add("aft", np.array([0.25, 0.3, 0.45]), lambda rows: np.array([0.04, 0.4, 0.04])[rows], 2.0, 0.1)
    assert settled(tally) == {"aft": [0]}
    assert tally.uncertainties[AFT].tolist() == [0.04, 0.4, 0.04]
    assert tally.verdicts[AFT].tolist() == [INSIDE, NOT_SHOWN, INSIDE]


def test_only_limits_on_the_cg_are_asked_between_the_states() -> None:
    tally = Tally(1)
    for group in GROUPS:
        tally.add(group, np.array([0.5]), np.array([0.4]), 1.0)
    assert settled(tally, 2.0) == {"forward": [0], "aft": [0], "lateral": [0]}
    exact = Tally(1)
    for group in GROUPS:
        exact.add(group, np.array([0.0]), 0.0, 1.0)
    assert settled(exact, 2.0) == {}


def test_a_total_lies_in_the_tanks_as_the_flight_has_it_until_one_is_full() -> None:
    """30 and 10 L of 40 each: the left is full at 53.3 L. Of an empty right tank nothing until the left is full; with
    nothing aboard as the tanks are large.
    """

    def points(volumes: tuple[float, ...], capacities: tuple[float, ...]) -> list[tuple[float, ...]]:
        return [(total, *each) for total, each in spread(volumes, capacities)]

    assert points((30.0, 10.0), (40.0, 40.0)) == [
        (0.0, 0.0, 0.0),
        pytest.approx((160 / 3, 40.0, 40 / 3)),
        pytest.approx((80.0, 40.0, 40.0)),
    ]
    assert points((30.0, 0.0), (40.0, 20.0)) == [(0.0, 0.0, 0.0), (40.0, 40.0, 0.0), (60.0, 40.0, 20.0)]
    assert points((0.0, 0.0), (60.0, 20.0)) == [(0.0, 0.0, 0.0), (80.0, 60.0, 20.0)]
    assert points((0.5, 0.0, 0.0), (1.0, 60.0, 20.0)) == [
        (0.0, 0.0, 0.0, 0.0),
        (1.0, 1.0, 0.0, 0.0),
        (81.0, 1.0, 60.0, 20.0),
    ]


def test_a_row_is_in_doubt_where_somewhere_along_its_burn_the_margin_is_not_above_u() -> None:
    """Margins a / m + b + c m and changes by three causes, cubics over m2, looked at in five hundred places."""
    draw = np.random.default_rng(11)
    rows, thirds = 200, np.array([0, 1, 2, 3]) / 3
    high = draw.uniform(900, 1000, rows)
    low = high - draw.uniform(20, 200, rows)
    middle, a = (high + low) / 2 + draw.uniform(-20, 20, rows), draw.uniform(0, 3e5, rows)
    c = a / middle**2  # level there, and least
    b = draw.uniform(0.0, 0.03, rows) - 2 * a / middle
    # what each cause does to the margin times m2: at four places, and so everywhere
    nodes = draw.uniform(-4e3, 4e3, (3, 4, rows))
    polynomials = [np.polynomial.polynomial.polyfit(thirds, each, 3) for each in nodes]
    control = np.array([[*zip(*[_control(*each)], strict=True)] for each in nodes]).reshape(3, 4, rows)
    share = np.linspace(0, 1, 501)[:, None]
    mass = high + (low - high) * share
    margin = a / mass + b + c * mass
    lengths = np.sqrt(
        sum(
            np.square(sum(coefficient * share**power for power, coefficient in enumerate(each)))
            for each in polynomials
        )
    )
    left = (margin - 2 * lengths / mass**2).min(axis=0)
    reach = SimpleNamespace(curve=(a, b, c), high=high, low=low)
    found = _in_doubt(cast(Any, reach), control.transpose(1, 0, 2))
    clear = np.abs(left) > 1e-5
    assert found[clear].tolist() == (left < 0)[clear].tolist()
    at_ends = np.minimum(*((margin - 2 * lengths / mass**2)[[0, -1]])) < 0
    assert np.count_nonzero((left < 0) & ~at_ends) > 20
    assert np.count_nonzero(left > 0) > 20
