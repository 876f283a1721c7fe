"""Ends of ranges and small sums that are easily off by one: each from its rule, or by hand."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from planner.density.air import AirConditions, air_density
from planner.density.budget import Estimate
from planner.flight.fuel import FuelTank
from planner.logbook.mass.hung import record_change
from planner.plan import plan_file
from planner.quantities.errors import InputRefused
from planner.quantities.moments import Total
from planner.search.legs import arrival_fuel

FLIGHT = """flight: 1
aircraft: thornlea-t4
category: normal
rules: us-vfr-day
load: {{front seats: [80 kg, 70 kg]}}
fuel: {{grade: avgas-100LL, temperature: 15 degC, density: {{at_15C: {density}}}, tanks: {{left: 40 +/- 1 L, right: 40 L}}}}
trip: {trip}
"""


def write(folder: Path, trip: str = "[{phase: cruise, time: 30 min}]", density: str = "0.715 kg/L") -> Path:
    path = folder / "flight.yaml"
    path.write_text(FLIGHT.format(trip=trip, density=density), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("temperature", "pressure", "humidity", "inner"),
    [
        (10.0, 90_000.0, 0.80, True),
        (30.0, 90_000.0, 0.0, True),
        (20.0, 110_000.0, 0.5, True),
        (9.99, 95_000.0, 0.5, False),
        (30.01, 95_000.0, 0.5, False),
        (20.0, 89_999.0, 0.5, False),
        (20.0, 95_000.0, 0.801, False),
    ],
)
def test_the_simple_formula_of_air_is_trusted_within_its_own_ends(
    temperature: float, pressure: float, humidity: float, inner: bool
) -> None:
    """OIML R 111-1 E.3: 2e-4 between 900 and 1100 hPa, 10 and 30 degC, up to 80 %, ends included; with
    everything else exact it is all of U.
    """
    found = air_density(
        AirConditions(Estimate(temperature, 0.0), Estimate(pressure, 0.0), humidity=Estimate(humidity, 0.0))
    )
    assert (found.u == pytest.approx(2e-4 * found.value, rel=1e-9)) == inner


def test_a_short_chord_is_a_chord() -> None:
    """AMC1 CAT.POL.MAB.100 (b): 0.5 % of the chord; of 0.9 m that is 4.5 mm, of 1.0 m 5 mm."""
    before, now = Total(700.0, 700.0 * 2.0), Total(700.0, 700.0 * 2.0048)
    assert record_change(before, now, 1000.0, 0.9).revise
    assert not record_change(before, now, 1000.0, 1.0).revise
    # Shares do not depend on the size of the aircraft, be it a model of one.
    model = record_change(Total(0.7, 1.4), Total(0.7, 0.7 * 2.0048), 0.9, 0.9)
    assert model.revise
    assert model.mass_share == 0.0


def test_what_is_unsure_about_the_taxi_in_is_carried_over_too(tmp_path: Path) -> None:
    """40 +/- 1 L left, 40 L right; cruise 20 +/- 2 L, taxi in 2 +/- 0.6 L, half from each tank: by hand."""
    plan = plan_file(write(tmp_path, "[{phase: cruise, fuel: 20 +/- 2 L}, {phase: taxi, fuel: 2 +/- 0.6 L}]"))
    (left, left_u), (right, right_u) = arrival_fuel(plan)
    # Taxi phases at the end come after the flight: 80 - 22 = 58 L, half in each.
    assert (left * 1e3, right * 1e3) == pytest.approx((29.0, 29.0))
    assert (left_u * 1e3, right_u * 1e3) == pytest.approx((math.hypot(1.0, 1.0, 0.3), math.hypot(1.0, 0.3)))


def test_what_is_unsure_about_a_demand_is_unsure_about_the_surplus(tmp_path: Path) -> None:
    """40 +/- 1 L and 40 L aboard, less a cruise of 20 +/- 2 L and a taxi of 2 +/- 0.6 L: U = 2 x hypot(1, 2,
    0.6) L, all else exact.
    """
    plan = plan_file(write(tmp_path, "[{phase: taxi, fuel: 2 +/- 0.6 L}, {phase: cruise, fuel: 20 +/- 2 L}]"))
    assert plan.fuel.uncertainty * 1e3 == pytest.approx(2 * math.hypot(1.0, 2.0, 0.6), rel=1e-12)


@pytest.mark.parametrize(
    ("stated", "meant"),
    [
        ("715 kg/L", "kg/m3"),
        ("6.0 kg/L", "lb/USgal"),
        ("0.715 kg/m3", "kg/L"),
        ("1.58 kg/L", "lb/L"),
        ("7.2 kg/L", "lb/impgal"),
    ],
)
def test_a_density_in_the_wrong_unit_is_met_with_the_right_one(
    tmp_path: Path, stated: str, meant: str
) -> None:
    """6.0 lb per US gallon, 7.2 lb per imperial gallon, 1.58 lb per litre and 0.72 kg per litre are the same
    avgas.
    """
    with pytest.raises(InputRefused) as refused:
        plan_file(write(tmp_path, density=stated))
    (finding,) = refused.value.findings
    words = f"{finding.message} {finding.needed} {finding.hint}"
    assert "the same number in" in words
    assert meant in words.split("the same number in", 1)[1]


def test_the_first_drop_into_an_empty_tank_goes_in_at_its_lowest_arm() -> None:
    """A tank with an arm table and no unusable fuel, empty: one loading and a column of loadings say the same
    finite arm.
    """
    tank = FuelTank(
        name="tank", capacity=0.080, unusable=0.0, arm_points=((0.0, 2.20), (0.080, 2.60)), lateral_arm=0.0
    )
    rows = tank.marginal_arm(np.array([0.0, 0.040]))
    assert rows[0] == pytest.approx(tank.marginal_arm(0.0), abs=1e-12) == pytest.approx(2.20, abs=1e-12)
    # At half the table volume x arm is 2.20 v + 5 v2: its slope at 40 L is 2.60 m, within the small step it
    # is taken over.
    assert rows[1] == pytest.approx(2.60, abs=1e-6)
