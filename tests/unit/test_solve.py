"""The solver of one open quantity against scipy's root finders and minimisers, which know nothing of its
closed forms.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from types import SimpleNamespace
from typing import Any, NamedTuple, cast

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from planner.flight.burn import bounds, least_margin, stretches
from planner.flight.curve import quadratic_roots
from planner.flight.fuel import FuelTank, Leg, burn_down
from planner.quantities.moments import Total, round_up
from planner.quantities.polygon import Edge, Envelope
from planner.quantities.units import POUND, US_GALLON
from planner.search.solve import Change, Family, Interval, cells, critical_points, inside_intervals
from planner.search.solve.critical import _along, _lines, _masses
from planner.search.solve.family import Line, mass_form, moment_form
from planner.search.solve.intervals import _roots_of, bracketed_root


class Check(NamedTuple):
    """A limit as `Judged` has it, its figures known."""

    name: str
    margin: float
    uncertainty: float
    linear: bool


# An invented aircraft: three tanks, one with an arm table, emptied in an order; figures chosen so that the CG
# wanders.
TANKS = (
    FuelTank(
        name="aft",
        capacity=0.060,
        unusable=0.002,
        arm_points=((0.0, 2.60), (0.030, 2.68), (0.060, 2.90)),
        lateral_arm=-0.9,
    ),
    FuelTank(name="left", capacity=0.080, unusable=0.003, arm_points=((0.0, 2.20),), lateral_arm=-1.1),
    FuelTank(name="right", capacity=0.080, unusable=0.003, arm_points=((0.0, 2.20),), lateral_arm=1.1),
)
ORDER = (("aft",), ("left", "right"))
LEGS = (
    Leg("taxi", "taxi", 0.004, 0.0),
    Leg("cruise", "trip", 0.050, 0.0),
    Leg(phase="cruise", stage="trip", volume=0.020, flow=0.0, tanks=("left",)),
)
VOLUMES = (0.050, 0.045, 0.040)
DENSITY = 720.0
ZERO = Total(890.0, 890.0 * 2.33, 3.0)
CURVED = Envelope(
    Edge(((700.0, 2.20), (900.0, 2.24), (1100.0, 2.31)), "linear in moment"),
    Edge(((700.0, 2.36), (950.0, 2.375), (1100.0, 2.37)), "linear in moment"),
)
STRAIGHT = Envelope(Edge(CURVED.forward.points, "linear in cg"), Edge(CURVED.aft.points, "linear in cg"))
LATERAL = (-0.025, 0.025)

BAG = Family(
    zero_fuel=ZERO,
    tanks=TANKS,
    volumes=VOLUMES,
    order=ORDER,
    legs=LEGS,
    density=DENSITY,
    change=Change(1.0, 3.6, 0.2),
)
MOVE = Family(
    zero_fuel=ZERO,
    tanks=TANKS,
    volumes=VOLUMES,
    order=ORDER,
    legs=LEGS,
    density=DENSITY,
    change=Change(0.0, -1.45, 0.0),
)
FUEL = Family(
    zero_fuel=ZERO,
    tanks=TANKS,
    volumes=VOLUMES,
    order=ORDER,
    legs=LEGS,
    density=DENSITY,
    change=Change(volumes=(0.2, 0.4, 0.4)),
)
AFT_TANK = Family(
    zero_fuel=ZERO,
    tanks=TANKS,
    volumes=VOLUMES,
    order=ORDER,
    legs=LEGS,
    density=DENSITY,
    change=Change(volumes=(1.0, 0.0, 0.0)),
)
# (family, range, how far the aft limit is moved so that the case crosses it)
CASES = {
    "a bag": (BAG, 0.0, 60.0, 0.0),
    "a bag moved": (MOVE, -40.0, 40.0, 0.0),
    "fuel in all tanks": (FUEL, -0.090, 0.040, -0.033),
    "fuel in one tank": (AFT_TANK, -0.050, 0.008, -0.033),
}


def moved_aft_limit(envelope: Envelope, shift: float) -> Envelope:
    return Envelope(
        envelope.forward,
        Edge(tuple((mass, arm + shift) for mass, arm in envelope.aft.points), envelope.aft.kind),
    )


def least(family: Family, p: float, envelope: Envelope) -> dict[str, float]:
    """The least margin of the whole burn against each limit, by the engine that follows one burn."""
    change = family.change
    zero = Total(
        family.zero_fuel.mass + change.mass * p,
        family.zero_fuel.moment + change.moment * p,
        family.zero_fuel.lateral_moment + change.lateral_moment * p,
    )
    more = change.volumes or (0.0,) * len(TANKS)
    volumes = [volume + each * p for volume, each in zip(family.volumes, more, strict=True)]
    names = [tank.name for tank in TANKS]
    draws, _ = burn_down(names, volumes, ORDER, [*LEGS, Leg("reserve", "reserve", math.fsum(volumes), 0.0)])
    path = stretches(zero, TANKS, DENSITY, draws)
    return {
        found.limit: found.margin
        for bound in bounds(envelope, LATERAL)
        if (found := least_margin(path, bound)) is not None
    }


@pytest.mark.parametrize("lateral", [False, True])
@pytest.mark.parametrize("name", CASES)
def test_the_moment_along_a_stretch_is_that_of_its_tanks(name: str, lateral: bool) -> None:
    family, low, high, _ = CASES[name]
    for cell in cells(family, low, high):
        p = cell.low + 0.3 * (cell.high - cell.low)
        for stretch in cell.stretches:
            a, b, c, d, e, f = moment_form(family, stretch, cell, lateral)
            length = stretch.length[0] + stretch.length[1] * p
            for x in (0.0, 0.4 * length, length):
                own, change = family.zero_fuel, family.change
                by_hand = (
                    own.lateral_moment + change.lateral_moment * p
                    if lateral
                    else own.moment + change.moment * p
                )
                for tank, (v0, v1), share in zip(TANKS, stretch.volumes, stretch.shares, strict=True):
                    volume = v0 + v1 * p - share * x
                    by_hand += DENSITY * (
                        tank.lateral_arm * volume if lateral else tank.volume_moment(max(volume, 0.0))
                    )
                formed = a + b * p + c * p * p + d * x + e * p * x + f * x * x
                assert formed == pytest.approx(by_hand, abs=1e-9)


@pytest.mark.parametrize("envelope", [STRAIGHT, CURVED], ids=["linear in cg", "linear in moment"])
@pytest.mark.parametrize("name", CASES)
def test_every_sign_change_that_scipy_finds_is_critical(name: str, envelope: Envelope) -> None:
    family, low, high, shift = CASES[name]
    envelope = moved_aft_limit(envelope, shift)
    critical = critical_points(family, low, high, bounds(envelope, LATERAL))
    assert list(critical) == sorted(critical)
    assert (critical[0], critical[-1]) == (low, high)
    grid = np.linspace(low, high, 801)[1:-1]
    changes: dict[str, int] = {}
    found = [least(family, float(p), envelope) for p in grid]
    for limit in ("forward limit", "aft limit", "lateral limit, left", "lateral limit, right"):

        def margin(p: float, limit: str = limit) -> float:
            return least(family, p, envelope)[limit]

        values = [each[limit] for each in found]
        for (left, one), (right, two) in pairwise(zip(grid, values, strict=True)):
            if (one > 0) != (two > 0):
                root = brentq(margin, left, right, xtol=1e-14, rtol=1e-14)
                # brentq stops within 1e-14 of p; a margin of a few 1e-16 m over a slope of 1e-4 m per kg or
                # more leaves 1e-11.
                assert min(abs(root - p) for p in critical) < 1e-10 * max(1.0, abs(root))
                changes[limit] = changes.get(limit, 0) + 1
    assert "aft limit" in changes, "the case does not test anything"


@pytest.mark.parametrize("name", CASES)
def test_between_critical_points_nothing_changes_sign(name: str) -> None:
    family, low, high, shift = CASES[name]
    envelope = moved_aft_limit(CURVED, shift)
    critical = critical_points(family, low, high, bounds(envelope, LATERAL))
    for a, b in pairwise(critical):
        if b - a < 1e-9:
            continue
        signs = [
            {limit: value > 0 for limit, value in least(family, a + (b - a) * share, envelope).items()}
            for share in (0.001, 0.2, 0.5, 0.8, 0.999)
        ]
        assert all(each == signs[0] for each in signs)


def test_cells_end_where_a_tank_empties_in_another_leg() -> None:
    # aft holds 50 L at p = 0 and is drained first: taxi takes 4 L, the cruise the next 50 L. With p more in
    # aft alone the tank lasts beyond the cruise once 0.050 + p > 0.054, and beyond the taxi once 0.050 + p >
    # 0.004; the table's point lies at 30 L in the tank, 28 L usable: passed at once while 0.050 + p > 0.028,
    # in the taxi while less than 0.032.
    ends = [cell.high for cell in cells(AFT_TANK, -0.050, 0.008)]
    for expected in (0.004, -0.046, -0.022, -0.018):
        assert (
            min(abs(end - expected) for end in ends) < 1e-12 + 1e-9
        )  # a tank counts as empty below a microlitre
    lows = [cell.low for cell in cells(AFT_TANK, -0.050, 0.008)]
    assert lows[1:] == ends[:-1], "the cells leave no gap"


def test_stretches_of_a_cell_add_up_to_all_the_fuel() -> None:
    for cell in cells(FUEL, -0.090, 0.040):
        for share in (0.1, 0.9):
            p = cell.low + (cell.high - cell.low) * share
            burnt = sum(stretch.length[0] + stretch.length[1] * p for stretch in cell.stretches)
            assert burnt == pytest.approx(
                sum(VOLUMES) + p, abs=1e-8
            )  # what is below a microlitre in a tank is not burnt


@pytest.mark.parametrize(
    ("coefficients", "expected"),
    [
        ((6.0, -5.0, 1.0), (2.0, 3.0)),
        ((1.0, 0.0, 1.0), ()),
        ((-4.0, 2.0, 0.0), (2.0,)),
        ((0.0, 0.0, 0.0), ()),
        ((0.0, 0.0, 3.0), (0.0,)),
        ((1.0, 1e9, 1.0), (-1e9, -1e-9)),  # the second is lost by the textbook form
    ],
)
def test_quadratic_roots(coefficients: tuple[float, float, float], expected: tuple[float, ...]) -> None:
    assert quadratic_roots(*coefficients) == pytest.approx(expected, rel=1e-7)


def test_a_root_that_only_touches_is_not_lost_by_rounding() -> None:
    roots = quadratic_roots(1e-16, -2e-8, 1.0)  # (p - 1e-8)2
    assert roots
    assert roots == pytest.approx((1e-8,) * len(roots), rel=1e-7)


@pytest.mark.parametrize(
    ("f", "a", "b"),
    [
        (lambda x: math.cos(x) - x, 0.0, 1.0),
        (lambda x: x**9 - 1e-6, 0.0, 1.0),
        (lambda x: math.exp(x) - 1e6, 0.0, 40.0),
        (lambda x: math.copysign(1.0, x - 0.3), 0.0, 1.0),
        (lambda x: 100.0 - x, 3.0, 1e4),
    ],
)
def test_a_bracketed_root_is_that_of_scipy(f: Callable[[float], float], a: float, b: float) -> None:
    expected = brentq(f, a, b, xtol=1e-14, rtol=1e-14, maxiter=500)
    assert bracketed_root(f, a, b) == pytest.approx(expected, rel=4e-12, abs=4e-12)


def smooth(p: float) -> list[Check]:
    """A margin that is a line and a curved U: shown where 10 - p > 2 sqrt(1 + p2)."""
    return [Check("curved", 10.0 - p, 2.0 * math.sqrt(1 + p * p), False), Check("line", p + 4.0, 1.0, True)]


def test_the_edge_of_an_uncertainty_is_the_root_of_its_own_equation() -> None:
    # (10 - p)2 = 4 (1 + p2): 3 p2 + 20 p - 96 = 0, of which the positive root counts; the line gives p = -3.
    expected = (-20 + math.sqrt(400 + 4 * 3 * 96)) / 6
    found = inside_intervals(-8.0, 20.0, (10.0,), smooth)
    assert [(each.low, each.high) for each in found] == [
        (pytest.approx(-3.0, abs=1e-12), pytest.approx(expected, abs=1e-11))
    ]


def test_a_dip_of_the_slack_between_the_places_looked_at_is_found() -> None:
    # Above zero at every place looked at, below zero for a short way between two of them.
    def check(p: float) -> list[Check]:
        return [Check("dip", 1.0, 1.001 - (p - 0.37) ** 2, False)]

    found = inside_intervals(0.0, 1.0, (), check)
    half = math.sqrt(0.001)
    assert [each.high for each in found][:1] == [pytest.approx(0.37 - half, abs=1e-11)]
    assert [each.low for each in found][1:] == [pytest.approx(0.37 + half, abs=1e-11)]
    least_slack = minimize_scalar(
        lambda p: check(p)[0].margin - check(p)[0].uncertainty,
        bounds=(0, 1),
        method="bounded",
        options={"xatol": 1e-12},
    )
    assert least_slack.fun == pytest.approx(-0.001, abs=1e-12)


def test_a_bump_of_the_slack_between_the_places_looked_at_is_found() -> None:
    # Below zero at every place looked at, above zero for a short way between two of them.
    (found,) = inside_intervals(0.0, 1.0, (), lambda p: [Check("bump", 1.0, 0.999 + (p - 0.37) ** 2, False)])
    half = math.sqrt(0.001)
    assert (found.low, found.high) == pytest.approx((0.37 - half, 0.37 + half), abs=1e-11)


def test_nothing_and_everything() -> None:
    assert inside_intervals(0.0, 1.0, (0.5,), lambda _: [Check("never", -1.0, 0.0, False)]) == ()
    assert inside_intervals(0.0, 1.0, (0.5,), lambda _: [Check("always", 1.0, 0.5, False)]) == (
        Interval(0.0, 1.0),
    )
    assert inside_intervals(1.0, 1.0, (), lambda _: [Check("always", 1.0, 0.5, False)]) == (
        Interval(1.0, 1.0),
    )
    assert inside_intervals(1.0, 0.5, (), lambda _: [Check("always", 1.0, 0.5, False)]) == (
        Interval(1.0, 1.0),
    )
    assert inside_intervals(1.0, 1.0, (), lambda _: [Check("never", 1.0, 1.0, False)]) == ()


def test_a_single_point_that_is_not_kept_parts_an_interval() -> None:
    # The margin touches zero at 0.5 and is above it on both sides: shown there it is not.
    found = inside_intervals(0.0, 1.0, (0.5,), lambda p: [Check("touch", (p - 0.5) ** 2, 0.0, False)])
    assert found == (Interval(0.0, 0.5), Interval(0.5, 1.0))


def test_draining_to_the_maximum_is_solved_and_rounded_up() -> None:
    """Author unknown, second-hand copy: 110 lb over the maximum at 6 lb per US gallon is 18.4 USgal (18.33,
    rounded up).
    """
    rho = 6 * POUND / US_GALLON

    def check(drained: float) -> list[Check]:
        return [Check("maximum mass", rho * drained - 110 * POUND, 0.0, True)]

    (found,) = inside_intervals(0.0, 50 * US_GALLON, (), check)
    assert found.low / US_GALLON == pytest.approx(110 / 6, rel=1e-12)
    assert round_up(found.low / US_GALLON, 0.1) == 18.4


def test_the_arm_of_known_ballast_is_solved() -> None:
    """Author unknown, second-hand copy: 2222 kg at 6.13 m; where must 136 kg go for a CG of 6.28 m? 8.73 m
    (unrounded 8.73074).
    """
    edge = Edge(((0.1, 6.28), (1e6, 6.28)), "linear in cg")
    family = Family(
        zero_fuel=Total(2222.0 + 136.0, 2222.0 * 6.13),
        tanks=(),
        volumes=(),
        order=(),
        legs=(),
        density=DENSITY,
        change=Change(moment=136.0),
    )
    (root,) = [
        p for p in critical_points(family, 0.0, 20.0, bounds(Envelope(edge, edge), None)) if 0 < p < 20
    ]
    assert root == pytest.approx(6.28 + 2222 * 0.15 / 136, rel=1e-12)
    assert round(root, 2) == 8.73


def test_a_margin_is_least_at_an_end_where_it_turns_or_where_the_limit_changes() -> None:
    """G = 2 + 3 p + 5 p2 - 7 x + 11 p x + 13 x2 over x from 0 to 4 - p, with a mass of 700 + p - 6 x."""

    def g(p: float, x: float) -> float:
        return 2 + 3 * p + 5 * p * p - 7 * x + 11 * p * x + 13 * x * x

    form = (2.0, 3.0, 5.0, -7.0, 11.0, 13.0)
    start, end, *borders, turn = _lines(form, (700.0, 1.0, -6.0), (4.0, -1.0), 650.0, 690.0)
    for p in (-0.3, 0.0, 0.8):
        x = [line[0] + line[1] * p for line in (start, end, *borders, turn)]
        assert x[:2] == pytest.approx([0.0, 4 - p])
        assert [700 + p - 6 * each for each in x[2:4]] == pytest.approx([650.0, 690.0])
        assert g(p, x[4] - 1e-3) == pytest.approx(g(p, x[4] + 1e-3), abs=1e-9), "it turns half way"
        for line, each in zip((start, end, *borders, turn), x, strict=True):
            a, b, c = _along(form, line)
            assert a + b * p + c * p * p == pytest.approx(g(p, each), rel=1e-12)


def test_it_turns_where_the_volume_has_a_square_and_nowhere_else() -> None:
    """2 - 7 x + 13 x2 turns at 7 / 26 whatever p is; 2 - 7 x + 11 p x is straight in x."""
    *_, turn = _lines((2.0, 3.0, 5.0, -7.0, 0.0, 13.0), (700.0, 1.0, -6.0), (4.0, -1.0), 0.0, math.inf)
    assert turn == (pytest.approx(7 / 26), 0.0)
    straight = list(_lines((2.0, 3.0, 5.0, -7.0, 11.0, 0.0), (700.0, 1.0, -6.0), (4.0, -1.0), 0.0, math.inf))
    assert straight == [(0.0, 0.0), (4.0, -1.0)], "its two ends, and no border at no mass or beyond any"


@pytest.mark.parametrize(
    ("length", "expected"),
    [((40.0, -1.0), (690.0, 990.0)), ((40.0, 1.0), (690.0, 1150.0)), ((-40.0, -1.0), (310.0, 730.0))],
)
def test_the_masses_of_a_stretch_are_those_of_its_corners(length: Line, expected: Line) -> None:
    """700 + p + 6 x, p from -10 to 30 and x from 0 to its length: 690 and 990 at the one end, 730 and 790 at the
    other; or 690, 870, 730, 1150; or 690, 510, 730, 310.
    """
    ends = cast(Any, SimpleNamespace(low=-10.0, high=30.0))
    assert _masses((700.0, 1.0, 6.0), length, ends) == pytest.approx(expected)


def test_an_aircraft_without_fuel_is_at_its_limit_all_the_same() -> None:
    """Nothing is burnt: 890 kg at 2.33 m and p kg at 3.6 m are at 2.40 m where 890 x 0.07 = 1.2 p."""
    edge = Edge(((0.1, 2.40), (1e6, 2.40)), "linear in cg")
    family = Family(
        zero_fuel=ZERO,
        tanks=TANKS,
        volumes=(0.0, 0.0, 0.0),
        order=ORDER,
        legs=(),
        density=DENSITY,
        change=Change(1.0, 3.6, 0.0),
    )
    _, root, _ = critical_points(family, 0.0, 100.0, bounds(Envelope(edge, edge), None))
    assert root == pytest.approx(890 * 0.07 / 1.2, rel=1e-12)


def test_mass_falls_with_what_is_burnt_and_rises_with_the_fuel_put_in() -> None:
    """890 kg, and 135 L + p of 720 kg/m3 less what the taxi has taken: 4 L."""
    (cell, *_) = cells(FUEL, -0.010, 0.010)
    first, second = cell.stretches[:2]
    m0, m1, mx = mass_form(FUEL, first)
    assert (m0, m1, mx) == pytest.approx((890 + 0.135 * 720, 720.0, -720.0))
    assert mass_form(FUEL, second)[0] == pytest.approx(890 + 0.131 * 720)
    assert mass_form(BAG, cells(BAG, 0.0, 1.0)[0].stretches[0]) == pytest.approx(
        (890 + 0.135 * 720, 1.0, -720.0)
    )


@pytest.mark.parametrize(
    ("p", "lengths"),
    [
        (-0.03, [(0.050, 1.0)]),
        (-0.02, [(0.022, 1.0), (0.003, -1.0)]),
        (0.0, [(0.022, 1.0), (0.003, -1.0)]),
        (0.005, [(0.025, 0.0)]),
    ],
)
def test_a_stretch_is_cut_where_its_tank_passes_a_row_of_its_table(
    p: float, lengths: list[tuple[float, float]]
) -> None:
    """The row of 30 L, 2 L of them unusable; 50 L and p usable, of which 25 L are burnt: passed after 22 L and
    p, where there was as much and not all is burnt before.
    """
    family = Family(
        zero_fuel=Total(500.0, 1200.0),
        tanks=TANKS[:1],
        volumes=(0.050,),
        order=(("aft",),),
        legs=(Leg("cruise", "trip", 0.025, 0.0),),
        density=DENSITY,
        change=Change(volumes=(1.0,)),
    )
    first, *_ = cells(family, p, p + 1e-4)
    found = [stretch.length for stretch in first.stretches if stretch.stage == "trip"]
    assert found == [pytest.approx(each, abs=1e-15) for each in lengths]


def test_a_margin_that_only_its_doubt_takes_away_ends_where_both_are_the_same() -> None:
    """20 mm beside 5 mm + 10 mm p2: alike at p2 = 1.5."""

    def check(p: float) -> list[Check]:
        return [Check("aft limit", 0.020, 0.005 + 0.010 * p * p, False)]

    (found,) = inside_intervals(-3.0, 3.0, (), check)
    assert (found.low, found.high) == pytest.approx((-math.sqrt(1.5), math.sqrt(1.5)), rel=1e-9)


def test_two_sign_changes_between_two_nodes_are_found_at_the_turning_point() -> None:
    memo = cast(Any, SimpleNamespace(slack=lambda _, p: (p - 0.5) ** 2 - 1e-3))
    found = _roots_of(memo, "aft limit", (0.0, 0.4, 0.8, 1.0))
    assert found == pytest.approx([0.5 - 1e-3**0.5, 0.5 + 1e-3**0.5])
    memo = cast(Any, SimpleNamespace(slack=lambda _, p: (p - 0.5) ** 2 + 1e-3))
    assert _roots_of(memo, "aft limit", (0.0, 0.4, 0.8, 1.0)) == []
