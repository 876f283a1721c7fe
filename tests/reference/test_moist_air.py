"""Density of moist air: OIML R 111-1 E.3 against CIPM-2007, NIST SOP 2 Appendix B and CoolProp."""

from __future__ import annotations

import itertools

import pytest

from planner.density.air import AirConditions, air_density, moist_air_density, pressure_at_altitude
from planner.density.budget import Estimate
from planner.quantities.errors import OutOfRange

MMHG = 133.322387415  # Pa, conventional millimetre of mercury


def test_oiml_example_and_cipm_2007() -> None:
    # 20 degC, 1013.25 hPa, 50 %: OIML's own formula 1.19929 (second-hand copy), five decimals.
    assert moist_air_density(20.0, 101325.0, 0.5) == pytest.approx(1.19929, abs=6e-6)
    # CIPM-2007 gives 1.19931; OIML R 111-1 E.3 states 2e-4 relative.
    assert moist_air_density(20.0, 101325.0, 0.5) == pytest.approx(1.19931, rel=2e-4)


@pytest.mark.parametrize(
    ("temperature", "pressure", "humidity", "printed"),
    [(22.3, 748.1, 0.37, 1.17194), (23.4, 612.3, 0.23, 0.95632)],
)
def test_nist_sop_2_examples(temperature: float, pressure: float, humidity: float, printed: float) -> None:
    # NIST SOP 2 Appendix B (second-hand copy) uses another, older formula: 1e-4 kg/m3 apart. Unrounded
    # 1.172012, 0.956375.
    assert moist_air_density(temperature, pressure * MMHG, humidity) == pytest.approx(printed, abs=1e-4)


def test_against_humid_air_library_within_the_stated_spread() -> None:
    """CoolProp's humid air; two standard uncertainties, the inner and the wider range of the formula."""
    from CoolProp.HumidAirProp import HAPropsSI  # late: a second to load, in every process of the run

    for t, p, h in itertools.product(
        (-10, 0, 10, 20, 30, 40), (60_000, 75_000, 90_000, 101_325, 110_000), (0.0, 0.3, 0.6, 0.8, 1.0)
    ):
        library = 1 / HAPropsSI("Vha", "T", t + 273.15, "P", p, "R", h)
        ours = air_density(AirConditions(Estimate(t), Estimate(p), humidity=Estimate(h)))
        assert abs(ours.value - library) <= 2 * ours.u, (t, p, h)


@pytest.mark.parametrize(
    ("altitude", "printed"),
    [
        (0.0, 1013.25),
        (500.0, 954.61),
        (1000.0, 898.75),
        (2000.0, 794.95),
        (3000.0, 701.09),
        (5000.0, 540.20),
        (11000.0, 226.32),
    ],
)
def test_standard_atmosphere(altitude: float, printed: float) -> None:
    # ICAO Doc 7488 table of geopotential altitude, hPa, from memory; half of the last digit.
    assert pressure_at_altitude(altitude) / 100 == pytest.approx(printed, abs=0.006)


def test_altimeter_setting() -> None:
    # At the aerodrome datum itself the setting is the pressure, and 1013.25 hPa changes nothing.
    assert pressure_at_altitude(0.0, 99_000.0) == pytest.approx(99_000.0, rel=1e-12)
    # An altimeter set to the standard pressure shows the sum of both altitudes: the layers are the same
    # atmosphere.
    shifted = pressure_at_altitude(700.0, pressure_at_altitude(300.0))
    assert shifted == pytest.approx(pressure_at_altitude(1000.0), rel=1e-12)


@pytest.mark.parametrize(
    ("temperature", "pressure", "humidity"),
    [
        (-10.1, 1e5, 0.5),
        (40.1, 1e5, 0.5),
        (20, 59_999, 0.5),
        (20, 110_001, 0.5),
        (20, 1013.25, 0.5),
        (20, 1e5, 1.01),
        (20, 1e5, 50),
        (20, 1e5, -0.1),
    ],
)
def test_refused_outside(temperature: float, pressure: float, humidity: float) -> None:
    with pytest.raises(OutOfRange):
        moist_air_density(temperature, pressure, humidity)
