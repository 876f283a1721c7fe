"""Where a margin is not shown: the cubics against the figures they stand for, and burns worked by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest

from planner.flight.burn import Stretch, reaches
from planner.flight.doubt import (
    _control,
    cubics,
    doubtful_point,
    excess,
    halved,
    may_bend,
    nodes,
    off_course,
    places,
)
from planner.flight.fuel import Draw, Leg, burn_down
from planner.flight.limits import Limit, of_centre
from planner.quantities.polygon import Edge, Envelope

AFT = Edge(((500.0, 2.4), (700.0, 2.6), (1200.0, 2.6)), "linear in cg")
FORWARD = Edge(((500.0, 1.0), (1200.0, 1.2)), "linear in moment")
LIMITS = of_centre(Envelope(FORWARD, AFT), (-0.1, 0.2), "burn")
# 1000 kg down to 550 kg, past the corner of the aft edge at 700 kg.
STRETCH = Stretch(start=1000.0, end=550.0, moment=(100.0, 1.5, 2e-4), lateral=(3.0, 0.02, 0.0))
LITRE = 1e-3


def value(control: Sequence[float], part: float) -> float:
    """A cubic from its control values, at a part of the way: Bernstein's form."""
    rest = 1 - part
    return (
        control[0] * rest**3
        + 3 * control[1] * rest**2 * part
        + 3 * control[2] * rest * part**2
        + control[3] * part**3
    )


def test_a_cubic_passes_through_its_four_values_and_so_do_its_halves() -> None:
    values = (7.0, -2.0, 5.0, 11.0)
    control = _control(*values)
    for third, expected in enumerate(values):
        assert value(control, third / 3) == pytest.approx(expected)
    first, second = halved(control)
    for part in (0.0, 0.3, 0.8, 1.0):
        assert value(first, part) == pytest.approx(value(control, part / 2))
        assert value(second, part) == pytest.approx(value(control, 0.5 + part / 2))


@pytest.mark.parametrize("curve", [(100.0, -3.0, 0.01), (-50.0, 0.7, -0.002)])
def test_what_a_margin_exceeds_its_u_by_times_the_square_of_the_mass(
    curve: tuple[float, float, float],
) -> None:
    """m2 (A/m + B + C m) less twice the lengths, control value by control value."""
    (a, b, c), high, low = curve, 900.0, 400.0
    lengths = (10.0, 20.0, 50.0, 30.0)
    over, noise = excess(curve, high, low, lengths)
    for part in (0.0, 0.25, 0.6, 1.0):
        m = high + (low - high) * part
        assert value(over, part) == pytest.approx(m * (a + b * m + c * m * m) - 2 * value(lengths, part))
    # Rounding of the three terms at the greater mass; never below zero, however they cancel.
    assert noise == pytest.approx(1e-14 * (abs(a) * 900 + abs(b) * 900**2 + abs(c) * 900**3))


@pytest.mark.parametrize("bound", LIMITS, ids=lambda limit: limit.id)
def test_the_cubics_are_what_a_cause_does_to_the_margin(bound: Limit) -> None:
    """A small step of mass and moments, and the margin reckoned anew, at the nodes and between them."""
    step = (2.0e-3, 3.0e-3, 1.5e-3)

    def margin(mass: float, moment: float, side: float) -> float:
        sign = 1.0 if bound.upper else -1.0
        at = side / mass if bound.axis == "lateral" else moment / mass
        edge = piece.p / mass + piece.q + piece.r * mass
        return sign * (edge - at)

    for reach in reaches([STRETCH], bound):
        piece, masses = reach.piece, nodes(reach)
        assert masses == pytest.approx([reach.high - (reach.high - reach.low) * i / 3 for i in range(4)])
        one = {"only": step}
        halves = [{"only": step}, {}, {"only": step, "other": (0.0, 0.0, 0.0)}, {"only": step}]
        (found,) = cubics(reach, bound, masses, [one] * 4)
        for part in (0.0, 1 / 3, 0.5, 1.0):
            mass = reach.high + (reach.low - reach.high) * part
            here = STRETCH.total_at(mass)
            before = margin(mass, here.moment, here.lateral_moment)
            after = margin(mass + step[0], here.moment + step[1], here.lateral_moment + step[2])
            # Which way the margin moves makes no difference to the length.
            assert abs(value(found, part)) == pytest.approx(mass**2 * abs(after - before), rel=1e-4)
        assert [value(each, 1 / 3) for each in cubics(reach, bound, masses, halves)] == pytest.approx(
            [0.0, 0.0], abs=1e-9
        )


def straight(size: float) -> tuple[float, str] | None:
    """Mass, and the limit, of the first doubt where one moment of this size [kg.m] is unsure."""
    path = [Stretch(start=1000.0, end=500.0, moment=(100.0, 1.9, 0.0))]
    level = Edge(((400.0, 2.4), (1200.0, 2.4)), "linear in cg")
    found = doubtful_point(
        path, of_centre(Envelope(level, level), None, "burn")[1], lambda _: {"arm": (0.0, size, 0.0)}
    )
    return None if found is None else (found.total.mass, found.phase)


def test_a_burn_is_in_doubt_where_its_margin_is_not_larger_than_u() -> None:
    """Margin times mass is 0.5 m - 100: 150 kg.m at 500 kg, 400 at 1000; U times mass is twice the moment."""
    assert straight(74.999) is None
    assert straight(75.001) == (500.0, "")
    found = straight(150.0)
    assert found is not None
    assert 500 <= found[0] <= 800
    assert straight(200.0) == (1000.0, "")


def test_a_doubt_in_the_middle_of_a_burn_is_found() -> None:
    """Margin times mass is 100 + (m - 760)^2 / 1000, least within; two causes that add to it or miss it by little."""
    a, b, c = 100 + 760**2 / 1000, -2 * 760 / 1000, 1 / 1000
    level = Edge(((400.0, 2.4), (1200.0, 2.4)), "linear in cg")
    aft = of_centre(Envelope(level, level), None, "burn")[1]
    path = [Stretch(start=1000.0, end=500.0, moment=(-a, 2.4 - b, -c))]
    for size, doubt in ((49.99, False), (50.0, True), (50.01, True)):
        found = doubtful_point(
            path, aft, lambda _, s=size: {"one": (0.0, 0.6 * s, 0.0), "two": (0.0, 0.8 * s, 0.0)}
        )
        assert (found is not None) is doubt
        if found is not None:
            mass = found.total.mass
            assert 100 + (mass - 760) ** 2 / 1000 <= 2 * size + 1e-6
            assert found.total.moment == pytest.approx(2.4 * mass - 100 - (mass - 760) ** 2 / 1000)


def test_a_burn_flown_again_with_less_and_with_more_of_a_cause() -> None:
    """10 +/- 2 L left, emptied first, 30 L right; 1 L of taxi, and 6 +/- 1 L of trip. Three standard uncertainties
    less leave 4 L on the left, more 16; nothing is left of 10 L by 2 L of a cause that takes 12.
    """
    legs = [
        Leg("taxi", "taxi", 1 * LITRE, 0.0),
        Leg("cruise", "trip", 6 * LITRE, 0.0, changes={"cruise": 1 * LITRE}),
        Leg("divert", "alternate", 5 * LITRE, 0.0, changes={"divert": 9 * LITRE}),
    ]
    names, volumes, order = ["left", "right"], (10 * LITRE, 30 * LITRE), [("left",), ("right",)]
    changes = ({"left": 2 * LITRE, "deep": 4 * LITRE}, {"right": 1 * LITRE})
    found = off_course(names, volumes, order, legs, changes)
    assert list(found) == ["taxi", "trip"]
    litres = {
        (stage, cause): [[v / LITRE for v in held] for held in ends]
        for stage, causes in found.items()
        for cause, ends in causes.items()
    }
    near = {key: [pytest.approx(held, abs=1e-9) for held in ends] for key, ends in litres.items()}
    assert near == {
        ("taxi", "left"): [[3, 30], [15, 30]],
        ("taxi", "deep"): [[0, 29], [21, 30]],
        ("taxi", "right"): [[9, 27], [9, 33]],
        ("taxi", "cruise"): [[9, 30], [9, 30]],
        ("trip", "left"): [[0, 27], [9, 30]],
        ("trip", "deep"): [[0, 23], [15, 30]],
        ("trip", "right"): [[3, 27], [3, 33]],
        ("trip", "cruise"): [[6, 30], [0, 30]],
    }
    # A leg that names its tank goes on in the feed order where that runs dry.
    named = [Leg("cruise", "trip", 9 * LITRE, 0.0, tanks=("left",))]
    (less, more), *_ = off_course(names, volumes, order, named, changes)["trip"].values()
    assert less == pytest.approx((0.0, 25 * LITRE))
    assert more == pytest.approx((7 * LITRE, 30 * LITRE))
    assert off_course(names, volumes, order, named, changes)["taxi"]["left"][0] == pytest.approx(
        (4 * LITRE, 30 * LITRE)
    )


def test_the_fuel_of_every_state() -> None:
    legs = [Leg("taxi", "taxi", 1 * LITRE, 0.0), Leg("cruise", "trip", 6 * LITRE, 0.0)]
    legs.append(Leg("rest", "reserve", 0.0, 0.0))
    full = ((10 * LITRE, 30 * LITRE), ({"left": 1 * LITRE}, {}))
    draws, _ = burn_down(["left", "right"], full[0], [("left",), ("right",)], legs, full[1])
    off = {"taxi": {"left": ((0.0,), (1.0,))}, "trip": {"left": ((2.0,), (3.0,))}}
    found = places(full, draws, off)  # type: ignore[arg-type]
    assert list(found) == ["ramp", "takeoff", "landing", "zero fuel"]
    assert found["ramp"] == (*full, None)
    assert found["takeoff"][0] == pytest.approx((9 * LITRE, 30 * LITRE))
    assert found["landing"][0] == pytest.approx((3 * LITRE, 30 * LITRE))
    assert (found["takeoff"][2], found["landing"][2]) == (off["taxi"], off["trip"])
    assert found["landing"][1][0] == {"left": pytest.approx(1 * LITRE)}
    assert found["zero fuel"] == ((0.0, 0.0), (), None)


def test_only_what_is_flown_before_landing_may_bend_a_burn() -> None:
    unsure = ({"fuel": 0.5 * LITRE}, {})

    def drawn(stage: str, litres: float) -> Draw:
        return Draw(stage, stage, (10 * LITRE, 30 * LITRE), (1.0, 0.0), litres * LITRE, 0.0, unsure, ({}, {}))  # type: ignore[arg-type]

    assert may_bend([drawn("taxi", 9.0)])
    assert may_bend([drawn("taxi", 1.0), drawn("trip", 9.0)])
    assert not may_bend([drawn("trip", 1.0), drawn("reserve", 10.0)])
    assert not may_bend([drawn("trip", 8.4)]), "1.6 L are more than three times 0.5"
    assert may_bend([drawn("trip", 8.6)])
    assert not may_bend([])
    assert math.isclose(drawn("trip", 8.6).end[0], 1.4 * LITRE)
