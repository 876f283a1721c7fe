"""Air density from whatever is known of the air, glass, and the propagation itself."""

from __future__ import annotations

import math

import numpy as np
import pytest

from planner.density.air import (
    AirConditions,
    air_density,
    conventional_mass,
    mass_from_reading,
    moist_air_density,
    pressure_at_altitude,
    saturation_pressure,
    vapour_density,
)
from planner.density.bench.glass import BOROSILICATE, SODA_LIME, glass_volume
from planner.density.budget import Estimate, Input, propagate
from planner.quantities.errors import OutOfRange


def test_air_uncertainty_against_monte_carlo() -> None:
    known = AirConditions(Estimate(22.0, 1.0), Estimate(98_000.0, 300.0), humidity=Estimate(0.55, 0.1))
    rng = np.random.default_rng(7)
    draws = [
        moist_air_density(t, p, h)
        for t, p, h in zip(
            rng.normal(22, 1, 20_000),
            rng.normal(98_000, 300, 20_000),
            rng.normal(0.55, 0.1, 20_000),
            strict=True,
        )
    ]
    formula = 2e-4 * moist_air_density(22.0, 98_000.0, 0.55)
    # 1/sqrt(2 n) = 0.005, four of them.
    assert air_density(known).u == pytest.approx(math.hypot(float(np.std(draws)), formula), rel=0.02)


@pytest.mark.parametrize("u", [(0.5, 0.0, 0.0), (0.0, 500.0, 0.0), (0.0, 0.0, 0.2)])
def test_each_reading_of_the_air_counts_by_what_the_density_changes_with_it(u: tuple[float, ...]) -> None:
    at = (22.0, 98_000.0, 0.55)

    def made(u: tuple[float, ...]) -> float:
        t, p, h = (Estimate(value, part) for value, part in zip(at, u, strict=True))
        return air_density(AirConditions(t, p, humidity=h)).u

    up, down = ([v + way * part / 100 for v, part in zip(at, u, strict=True)] for way in (1, -1))
    expected = abs(moist_air_density(*up) - moist_air_density(*down)) * 50
    assert math.sqrt(made(u) ** 2 - made((0.0, 0.0, 0.0)) ** 2) == pytest.approx(expected, rel=1e-3)


def test_pressure_at_the_top_of_the_lowest_layer() -> None:
    # The ICAO standard atmosphere at 11 000 m: 226.32 hPa (Doc 7488, from memory).
    assert pressure_at_altitude(11_000.0) == pytest.approx(22_632.0, abs=0.1)


def test_pressure_from_altitude_only_is_worth_less() -> None:
    read = air_density(
        AirConditions(Estimate(20.0, 0.5), Estimate(95_461.0, 50.0), humidity=Estimate(0.5, 0.05))
    )
    guessed = air_density(AirConditions(Estimate(20.0, 0.5), altitude=500.0))
    assert guessed.value == pytest.approx(read.value, rel=1e-5)
    # 10 hPa of weather is 1 % of the pressure.
    assert guessed.u == pytest.approx(0.0119, rel=0.1)
    assert guessed.u > 4 * read.u
    with pytest.raises(ValueError, match="neither"):
        air_density(AirConditions(Estimate(20.0)))


@pytest.mark.parametrize(
    ("altitude", "setting"),
    [(-2000.1, 101_325.0), (11_000.1, 101_325.0), (0.0, 1013.25), (0.0, 29.92), (0.0, 120_000.0)],
)
def test_altitude_outside(altitude: float, setting: float) -> None:
    with pytest.raises(OutOfRange):
        pressure_at_altitude(altitude, setting)


def test_glass_grows() -> None:
    # 50 mL over 10 K: 0.005 mL of borosilicate, 0.0135 of soda-lime.
    assert glass_volume(50e-6, BOROSILICATE, 30.0) - 50e-6 == pytest.approx(4.95e-9, rel=1e-6)
    assert glass_volume(50e-6, SODA_LIME, 30.0) - 50e-6 == pytest.approx(13.5e-9, rel=1e-6)
    assert glass_volume(50e-6, SODA_LIME, 20.0) == 50e-6


def test_an_input_used_twice_is_counted_with_its_sign() -> None:
    same = propagate(lambda v: v["a"] - v["a"] * 0.75, [Input("a", 4.0, 0.1, "kg")])
    assert same.result == Estimate(pytest.approx(1.0), pytest.approx(0.025, rel=1e-9))


def test_sensitivities_exact_to_ten_digits() -> None:
    inputs = [
        Input("x", 3.0, 0.01, "1"),
        Input("y", 0.0, 0.02, "1"),
        Input("z", 5e-5, 0.0, "1"),
        Input("w", 0.0, 0.0, "1"),
    ]
    budget = propagate(lambda v: v["x"] ** 2 * math.exp(v["y"]) / v["z"] + v["w"], inputs)
    assert budget.line("x").sensitivity == pytest.approx(6.0 / 5e-5, rel=1e-9)
    assert budget.line("y").sensitivity == pytest.approx(9.0 / 5e-5, rel=1e-8)
    assert budget.line("z").sensitivity == pytest.approx(-9.0 / 25e-10, rel=1e-9)
    assert budget.line("w").sensitivity == pytest.approx(1.0, rel=1e-4)
    assert budget.line("z").share == budget.line("w").share == 0.0


def test_no_uncertainty_at_all() -> None:
    budget = propagate(lambda v: 2 * v["x"], [Input("x", 3.0, 0.0, "1")])
    assert budget.result == Estimate(6.0, 0.0)
    assert budget.lines[0].share == 0.0


@pytest.mark.parametrize("u", [-0.1, math.nan, math.inf])
def test_uncertainty_that_is_none(u: float) -> None:
    with pytest.raises(ValueError, match="standard uncertainty of x"):
        propagate(lambda v: v["x"], [Input("x", 1.0, u, "1")])


def test_vapour_pressure_from_the_freezing_to_the_hot() -> None:
    """Steam tables, from memory: 611 Pa at 0 degC, 2339 Pa at 20 degC, 19.95 kPa at 60 degC."""
    for temperature, pressure in ((0.0, 611.2), (20.0, 2339.0), (60.0, 19_950.0)):
        assert saturation_pressure(temperature) == pytest.approx(pressure, rel=2e-3)
    for temperature in (-0.01, 60.01):
        with pytest.raises(OutOfRange):
            saturation_pressure(temperature)


@pytest.mark.parametrize(
    ("temperature", "pressure", "humidity", "share"),
    [
        (10.0, 90_000.0, 0.8, 2e-4),
        (30.0, 110_000.0, 0.0, 2e-4),
        (9.9, 90_000.0, 0.8, 3e-3),
        (30.1, 110_000.0, 0.0, 3e-3),
        (20.0, 89_999.9, 0.5, 3e-3),
        (20.0, 101_325.0, 0.81, 3e-3),
    ],
)
def test_the_formula_is_worth_more_where_its_publisher_says_so(
    temperature: float, pressure: float, humidity: float, share: float
) -> None:
    """OIML R 111-1 E.3: 2e-4 between 900 and 1100 hPa, 10 and 30 degC, up to 80 %."""
    sure = AirConditions(Estimate(temperature), Estimate(pressure), humidity=Estimate(humidity))
    found = air_density(sure)
    assert found.u == pytest.approx(share * found.value, rel=1e-12)


@pytest.mark.parametrize(
    ("at", "ends"),
    [(0, (-10.0, 40.0)), (1, (60_000.0, 110_000.0)), (2, (0.0, 1.0))],
    ids=["temperature", "pressure", "humidity"],
)
def test_air_is_known_to_the_ends_of_its_range_and_no_further(at: int, ends: tuple[float, float]) -> None:
    for end, beyond in zip(ends, (-1e9, 1e9), strict=True):
        state = [20.0, 100_000.0, 0.5]
        state[at] = end
        assert 0.6 < moist_air_density(*state) < 1.5
        state[at] = math.nextafter(end, beyond)
        with pytest.raises(OutOfRange):
            moist_air_density(*state)


def test_altitude_and_setting_reach_to_the_ends_that_are_named() -> None:
    for end, beyond in ((-2000.0, -1e9), (11_000.0, 1e9)):
        assert pressure_at_altitude(end) > 0
        with pytest.raises(OutOfRange):
            pressure_at_altitude(math.nextafter(end, beyond))
    for end, beyond in ((87_000.0, 0.0), (108_500.0, 1e9)):
        assert pressure_at_altitude(0.0, end) == pytest.approx(end, rel=1e-12), "on the sea it is the setting"
        with pytest.raises(OutOfRange):
            pressure_at_altitude(0.0, math.nextafter(end, beyond))


def test_vapour_in_the_air() -> None:
    """Steam tables, from memory: saturated air holds 17.3 g/m3 at 20 degC and 30.4 g/m3 at 30 degC."""
    assert vapour_density(20.0, 1.0) == pytest.approx(17.3e-3, rel=3e-3)
    assert vapour_density(30.0, 1.0) == pytest.approx(30.4e-3, rel=3e-3)
    for temperature in (0.0, 20.0, 60.0):  # an ideal gas of 18.01528 g/mol
        expected = saturation_pressure(temperature) * 18.01528e-3 / 8.314463 / (temperature + 273.15)
        assert vapour_density(temperature, 1.0) == pytest.approx(expected, rel=1e-5)
    assert vapour_density(30.0, 0.25) == pytest.approx(vapour_density(30.0, 1.0) / 4, rel=1e-14)


def test_a_weight_of_the_conventional_density_is_its_own_reading() -> None:
    """OIML D 28: 8000 kg/m3, 1.2 kg/m3. In air of 1.2 kg/m3 a reading is the conventional mass of anything."""
    assert mass_from_reading(0.5, 8000.0, 1.1) == pytest.approx(0.5, rel=1e-15)
    assert conventional_mass(0.5, 8000.0) == pytest.approx(0.5, rel=1e-15)
    for density in (700.0, 1000.0, 2.0):
        mass = mass_from_reading(0.5, density, 1.2)
        assert mass * (1 - 1.2 / density) == pytest.approx(0.5 * (1 - 1.2 / 8000), rel=1e-14)
        assert conventional_mass(mass, density) == pytest.approx(0.5, rel=1e-14)


def test_what_is_no_heavier_than_air_has_no_reading() -> None:
    for density in (1.1, 1.2):
        with pytest.raises(OutOfRange):
            mass_from_reading(1.0, density, 1.2)
        with pytest.raises(OutOfRange):
            conventional_mass(1.0, density)
    assert mass_from_reading(1.0, 1.15, 1.1) > 1.0
