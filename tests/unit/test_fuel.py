"""Fuel in tanks: order of the burn, shortages, dip tables, arm tables."""

from __future__ import annotations

import math

import pytest

from planner.flight.fuel import Draw, FuelTank, Leg, burn_down, dip_to_volume
from planner.flight.model import Stick, dip_of
from planner.quantities.errors import OutOfRange
from planner.quantities.many import interpolate

# The demonstration stick: 0 to 24 cm, 0 to 76 L, crowded at the ends.
STICK = ((0.0, 0.0), (0.05, 0.014), (0.10, 0.031), (0.15, 0.048), (0.20, 0.064), (0.24, 0.076))
DIPPED = FuelTank(name="main", capacity=0.076, unusable=0.004, arm_points=((0.0, 2.410),), lateral_arm=0.0)
TABLE = ((0.0, 4.780), (0.120, 4.800), (0.300, 4.840), (0.560, 4.900))


def _volumes(draws: tuple[Draw, ...]) -> list[tuple[float, ...]]:
    return [draw.end for draw in draws]


def test_together_drains_at_equal_rates_then_the_rest_goes_on() -> None:
    draws, short = burn_down(
        ["left", "right"], [0.030, 0.010], [("left", "right")], [Leg("cruise", "trip", 0.032, 1e-5)]
    )
    assert short == ()
    assert [draw.shares for draw in draws] == [(0.5, 0.5), (1.0, 0.0)]
    assert _volumes(draws) == [pytest.approx((0.020, 0.0)), pytest.approx((0.008, 0.0))]
    assert sum(draw.duration for draw in draws) == pytest.approx(3200.0)


def test_an_order_empties_the_first_group_first() -> None:
    names, order = ["aux", "left", "right"], [("aux",), ("left", "right")]
    draws, _ = burn_down(
        names,
        [0.010, 0.020, 0.020],
        order,
        [Leg("climb", "trip", 0.004, 0.0), Leg("cruise", "trip", 0.016, 0.0)],
    )
    assert [(draw.phase, draw.shares) for draw in draws] == [
        ("climb", (1, 0, 0)),
        ("cruise", (1, 0, 0)),
        ("cruise", (0, 0.5, 0.5)),
    ]
    assert draws[-1].end == pytest.approx((0.0, 0.015, 0.015))


def test_a_named_tank_is_the_only_one_drawn_on() -> None:
    leg = Leg(phase="cruise", stage="trip", volume=0.012, flow=0.0, tanks=("left",))
    draws, short = burn_down(["left", "right"], [0.010, 0.020], [("left", "right")], [leg])
    assert draws[-1].end == pytest.approx((0.0, 0.020))
    (shortage,) = short
    assert (shortage.leg, shortage.number) == (leg, 0)
    assert shortage.missing == pytest.approx(0.002)


def test_each_leg_that_runs_short_is_reported_with_its_number() -> None:
    legs = [
        Leg("taxi", "taxi", 0.004, 0.0),
        Leg("cruise", "trip", 0.020, 0.0),
        Leg("cruise", "trip", 0.001, 0.0),
    ]
    draws, short = burn_down(["main"], [0.010], [("main",)], legs)
    assert [(each.number, pytest.approx(each.missing)) for each in short] == [(1, 0.014), (2, 0.001)]
    assert sum(draw.volume for draw in draws) == pytest.approx(0.010)
    assert all(each.leg.tanks == () for each in short)


def test_a_leg_of_nothing_draws_nothing() -> None:
    assert burn_down(["main"], [0.01], [("main",)], [Leg("hold", "trip", 0.0, 1e-5)]) == ((), ())


def test_empty_tanks_give_no_draw_and_a_shortage() -> None:
    draws, short = burn_down(["main"], [0.0], [("main",)], [Leg("cruise", "trip", 0.001, 1e-5)])
    assert draws == ()
    assert short[0].missing == 0.001


@pytest.mark.parametrize(("dip", "volume"), [*STICK, (0.115, 0.031 + 0.3 * 0.017), (0.22, 0.070)])
def test_dip_and_volume_are_inverse(dip: float, volume: float) -> None:
    assert dip_to_volume(STICK, dip) == pytest.approx(volume, abs=1e-15)
    assert dip_of(DIPPED, Stick(STICK, total=True), volume - DIPPED.unusable) == pytest.approx(dip, abs=1e-15)


@pytest.mark.parametrize("dip", [-0.001, 0.2401, math.inf, math.nan])
def test_a_stick_is_not_read_beyond_its_marks(dip: float) -> None:
    with pytest.raises(OutOfRange, match="off the stick"):
        dip_to_volume(STICK, dip)


@pytest.mark.parametrize("volume", [-1e-6, 0.0761])
def test_no_dip_beyond_the_table(volume: float) -> None:
    assert dip_of(DIPPED, Stick(STICK, total=True), volume - DIPPED.unusable) == "off the stick"


def test_a_stick_whose_table_begins_above_zero() -> None:
    usable = ((0.02, 0.0), (0.08, 0.013))
    with pytest.raises(OutOfRange):
        dip_to_volume(usable, 0.01)
    assert dip_to_volume(usable, 0.02) == 0.0


def test_a_table_is_held_constant_outside_its_points() -> None:
    assert interpolate(TABLE, -1.0) == 4.780
    assert interpolate(TABLE, 9.0) == 4.900
    assert interpolate(TABLE, 0.060) == pytest.approx(4.790)


def test_a_constant_arm_is_volume_times_arm() -> None:
    tank = DIPPED
    assert tank.volume_moment(0.031) == pytest.approx(0.031 * 2.410)
    assert tank.breaks() == ()
    assert tank.marginal_arm(0.031) == pytest.approx(2.410)
    assert tank.usable_capacity == pytest.approx(0.072)


def test_an_arm_table_counts_the_whole_less_the_unusable() -> None:
    # The table gives the arm of everything in the tank; the unusable 10 L are already in the basic empty
    # mass.
    tank = FuelTank(name="left", capacity=0.560, unusable=0.010, arm_points=TABLE, lateral_arm=0.0)
    arm_of_210, arm_of_10 = 4.800 + 0.040 * 90 / 180, 4.780 + 0.020 * 10 / 120
    assert tank.volume_moment(0.200) == pytest.approx(0.210 * arm_of_210 - 0.010 * arm_of_10, abs=1e-15)
    assert tank.volume_moment(0.0) == 0.0
    assert tank.breaks() == pytest.approx((0.110, 0.290, 0.550))


def test_a_table_bends_only_above_what_is_unusable() -> None:
    """Nothing usable lies below the point at 120 L where that much is unusable, nor below the first of all."""
    for unusable, breaks in (
        (0.120, (0.180, 0.440)),
        (0.0, (0.120, 0.300, 0.560)),
        (0.119, (0.001, 0.181, 0.441)),
    ):
        tank = FuelTank(name="left", capacity=0.560, unusable=unusable, arm_points=TABLE, lateral_arm=0.0)
        assert tank.breaks() == pytest.approx(breaks)
    # Above the last point the arm stays: one straight line bends where it ends.
    line = FuelTank(name="left", capacity=0.3, unusable=0.01, arm_points=TABLE[:2], lateral_arm=0.0)
    assert line.breaks() == pytest.approx((0.110,))


@pytest.mark.parametrize("usable", [0.02, 0.1, 0.2, 0.4, 0.549])
def test_the_marginal_arm_is_the_derivative_of_the_moment(usable: float) -> None:
    tank = FuelTank(name="left", capacity=0.560, unusable=0.010, arm_points=TABLE, lateral_arm=0.0)
    step = 1e-7
    slope = (tank.volume_moment(usable) - tank.volume_moment(usable - step)) / step
    assert tank.marginal_arm(usable) == pytest.approx(
        slope, abs=1e-5
    )  # rounding 1e-16 / 1e-7 and the table's slope times the step
