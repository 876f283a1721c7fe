"""What stands in the aircraft besides its empty mass, what a dip table tells, and a burn that may bend."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from planner.density.basis import from_measurement
from planner.density.petroleum import density_15c_from, density_at
from planner.facts.grades import GRADES
from planner.flight.doubt import may_bend
from planner.flight.envelope import heavier
from planner.flight.fuel import Draw
from planner.flight.loading import StationArms, empty_aircraft, loaded, tanks_of
from planner.plan.contents import _table_changes
from planner.quantities.effects import FUEL_DENSITY, Effect, Gradient, tank_arm, tank_lateral_arm, unusable_in
from planner.quantities.units import Quantity
from planner.records.store import load_aircraft


def test_what_is_unusable_and_no_part_of_the_empty_mass_is_weighed_with_its_doubt() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    unusable = Quantity(value=0.004, u=0.0005, dimension="volume", text="4 +/- 0.5 L")
    arm = Quantity(value=2.41, u=0.02, dimension="length", text="2.41 +/- 0.02 m")
    side = Quantity(value=-1.10, u=0.03, dimension="length", text="-1.10 +/- 0.03 m")
    left = aircraft.tanks["left"].model_copy(update={"unusable": unusable, "arm": arm, "lateral_arm": side})
    empty = aircraft.basic_empty.model_copy(update={"includes": ("full oil",)})
    tanks = {**aircraft.tanks, "left": left}
    made = empty_aircraft(aircraft.model_copy(update={"basic_empty": empty, "tanks": tanks}), 720.0)
    (doubt,) = (each for each in made.effects if each.cause == unusable_in("left"))
    # 0.5 L x 0.72 kg/L = 0.36 kg at 2.410 m and 1.10 m to the left.
    assert (doubt.mass, doubt.moment, doubt.lateral_moment) == pytest.approx(
        (0.36, 0.36 * 2.41, -0.36 * 1.10)
    )

    (of_arm,) = (each for each in made.effects if each.cause == tank_arm("left"))
    # 4 L x 0.72 kg/L = 2.88 kg, 0.02 m further aft.
    assert (of_arm.mass, of_arm.moment, of_arm.lateral_moment) == pytest.approx((0.0, 2.88 * 0.02, 0.0))
    (of_side,) = (each for each in made.effects if each.cause == tank_lateral_arm("left"))
    assert (of_side.mass, of_side.moment, of_side.lateral_moment) == pytest.approx((0.0, 0.0, 2.88 * 0.03))
    assert all(each.cause != FUEL_DENSITY for each in made.effects)
    unsure = empty_aircraft(
        aircraft.model_copy(update={"basic_empty": empty, "tanks": tanks}), 720.0, density_u=10.0
    )
    of_density = [each for each in unsure.effects if each.cause == FUEL_DENSITY]
    # 4 L a side, 10 kg/m3 unsure: 0.04 kg each at 2.410 m, 1.10 m to either side.
    assert [(each.mass, each.moment, each.lateral_moment) for each in of_density] == [
        pytest.approx((0.04, 0.04 * 2.41, side * 0.04 * 1.10)) for side in (-1, 1)
    ]


def test_exactly_known_unusable_fuel_on_a_table_of_arms_is_sure() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    table = tuple(
        (Quantity(litres * 1e-3, 0.0, "volume", f"{litres} L"), Quantity(arm, 0.0, "length", f"{arm} m"))
        for litres, arm in ((0, 2.40), (76, 2.60))
    )
    left = aircraft.tanks["left"].model_copy(update={"arm": table})
    empty = aircraft.basic_empty.model_copy(update={"includes": ("full oil",)})
    made = empty_aircraft(
        aircraft.model_copy(update={"basic_empty": empty, "tanks": {**aircraft.tanks, "left": left}}), 720.0
    )
    assert all(each.cause != unusable_in("left") for each in made.effects)


@pytest.mark.parametrize(("dip", "expected"), [(0.10, (1e-3, 0.0)), (0.125, (0.75e-3, 0.5e-3))])
def test_a_dip_between_two_rows_feels_each_by_its_nearness(dip: float, expected: tuple[float, ...]) -> None:
    # 10 cm: 20 L, standard uncertainty 1 L; 20 cm: 40 L, 2 L.
    table = [
        (Quantity(mark, 0.0, "length", ""), Quantity(volume, u, "volume", ""))
        for mark, volume, u in ((0.0, 0.0, 0.0), (0.1, 0.02, 1e-3), (0.2, 0.04, 2e-3))
    ]
    stick = load_aircraft("thornlea-t4").record.dipsticks["left"].model_copy(update={"table": table})
    felt = dict(_table_changes(stick, dip))
    assert (felt.get(1), felt.get(2, 0.0)) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("litres", "u", "bends"),
    [(9.0, 0.3, False), (9.0, 0.4, True), (10.0, 0.4, True), (10.0, 0.0, False), (5.0, 0.4, False)],
)
def test_a_burn_bends_where_a_tank_may_run_dry(litres: float, u: float, bends: bool) -> None:
    # 10 L in the left tank, u in what is burnt; three of them reach, or do not reach, what is left.
    drawn = ({"cruise fuel": u * 1e-3}, {}) if u else ({}, {})
    draw = Draw("cruise", "trip", (0.010, 0.030), (1.0, 0.0), litres * 1e-3, 1e-5, ({}, {}), drawn)
    sure = Draw("taxi", "taxi", (0.012, 0.030), (1.0, 0.0), 2e-3, 1e-5, ({}, {}), ({}, {}))
    assert may_bend([draw]) is may_bend([sure, draw]) is bends


def test_one_figure_for_two_seats_sits_between_them() -> None:
    arms = StationArms(station="front seats", arm=2.0, across=((-0.3, 0.03), (0.5, 0.04)), by_seat=True)
    assert [arms.lateral(seat, 2) for seat in (0, 1)] == [(-0.3, 0.03), (0.5, 0.04)]
    assert arms.lateral(0, 1) == pytest.approx((0.1, 0.025)), "u: the root of 9 + 16, halved"
    assert replace(arms, across=((-0.3, 0.03),)).lateral(0, 1) == (-0.3, 0.03)


def test_tanks_lie_where_the_record_says() -> None:
    tanks = tanks_of(load_aircraft("thornlea-t4").record)
    assert [(each.name, each.lateral_arm, each.usable_capacity) for each in tanks] == [
        ("left", -1.10, pytest.approx(0.072)),
        ("right", 1.10, pytest.approx(0.072)),
    ]


def test_a_figure_feels_mass_moment_and_lateral_moment_each_by_its_gradient() -> None:
    effect = Effect("cause", 7.0, 11.0, 13.0)
    assert Gradient(mass=2.0, moment=3.0, lateral_moment=5.0).along(effect) == 14.0 + 33.0 + 65.0


def test_a_stated_moment_is_not_moved_by_an_unsure_mass() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    moment = Quantity(value=1538.6, u=0.0, dimension="moment", text="1538.6 kg.m")
    mass = Quantity(value=688.4, u=2.0, dimension="mass", text="688.4 +/- 2 kg")
    empty = aircraft.basic_empty.model_copy(update={"arm": None, "moment": moment, "mass": mass})
    made = empty_aircraft(aircraft.model_copy(update={"basic_empty": empty}), 720.0)
    (found,) = (each for each in made.effects if each.cause == "basic empty mass")
    assert (found.mass, found.moment) == (2.0, 0.0)


def test_an_unsure_temperature_of_the_reading_counts_by_what_it_would_change() -> None:
    """Read and in the tank at 20 degC, and nothing else unsure: half of the change over 1 K."""
    found = from_measurement(711.0, 0.0, 20.0, 0.5, 20.0, 0.0, GRADES["avgas-100LL"], "a test")
    ends = [density_at(density_15c_from(711.0, at), 20.0) for at in (19.5, 20.5)]
    assert found.u == pytest.approx((ends[1] - ends[0]) / 2, rel=1e-4)


def test_an_unsure_mass_on_an_unsure_arm_leaves_their_product() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    arms = {"baggage": StationArms(station="baggage", arm=3.0, arm_u=0.02)}
    made = loaded(empty_aircraft(aircraft, 720.0), arms, {"baggage": [(30.0, 2.0)]})
    (found,) = (each for each in made.products if each.first == "baggage")
    assert (found.second, found.change, found.across) == ("baggage arm", pytest.approx(0.04), False)
    aside = StationArms(station="baggage", arm=3.0, arm_u=0.0, across=((0.4, 0.03),))
    made = loaded(empty_aircraft(aircraft, 720.0), {"baggage": aside}, {"baggage": [(30.0, 2.0)]})
    (found,) = (each for each in made.products if each.first == "baggage")
    assert (found.second, found.change, found.across) == ("baggage lateral arm", pytest.approx(0.06), True)


def test_a_density_that_makes_a_state_lighter_makes_it_nothing_heavier() -> None:
    for upper, mass, expected in ((True, 0.5, 0.5), (True, -0.5, 0.0), (False, 0.5, 0.0)):
        limit = cast(Any, SimpleNamespace(upper=upper))
        assert heavier(limit, [Effect(FUEL_DENSITY, mass, 0.0), Effect("baggage", 9.0, 0.0)]) == expected
