"""Density of water: Tanaka et al., Metrologia 38 (2001) 301, against its own figures, a measurement and
IAPWS-95.
"""

from __future__ import annotations

import pytest

from planner.density.water import water_density
from planner.quantities.errors import OutOfRange


@pytest.mark.parametrize(
    ("temperature", "printed"),
    [(10.0, 999.7027), (15.0, 999.1026), (20.0, 998.2067), (25.0, 997.0470), (30.0, 995.6488)],
)
def test_printed_values(temperature: float, printed: float) -> None:
    # Second-hand copy, four decimals: half of the last.
    assert water_density(temperature) == pytest.approx(printed, abs=5.1e-5)


def test_measured_at_16_degrees() -> None:
    """Masui, Fujii and Takenaka, Metrologia (1995): 998.9468 ± 0.0006 kg/m3 (read in the source)."""
    # Unrounded 998.9459. Their ± 0.0006 and the formula's own 0.0009 (from memory) together.
    assert water_density(16.0) == pytest.approx(998.9468, abs=0.0011)


@pytest.mark.parametrize("temperature", [0.01, 4.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0])
def test_against_iapws_95(temperature: float) -> None:
    from CoolProp.CoolProp import PropsSI  # late: a second to load, in every process of the run
    from iapws import IAPWS95

    # Two independent programs of the same reference equation; the formula is 0.00114 away at 40 degC and
    # 0.00066 at most up to 30.
    tolerance = 0.0007 if temperature <= 30 else 0.0012
    assert water_density(temperature) == pytest.approx(
        PropsSI("D", "T", temperature + 273.15, "P", 101325, "Water"), abs=tolerance
    )
    assert water_density(temperature) == pytest.approx(
        IAPWS95(T=temperature + 273.15, P=0.101325).rho, abs=tolerance
    )


def test_greatest_density_where_it_should_be() -> None:
    # The formula's own constants: 999.974950 kg/m3 at 3.983035 degC.
    assert water_density(3.983035) == pytest.approx(999.974950, abs=1e-9)
    assert max(water_density(t / 100) for t in range(4001)) <= 999.974950


@pytest.mark.parametrize("temperature", [-0.01, 40.01, float("nan")])
def test_refused_outside(temperature: float) -> None:
    with pytest.raises(OutOfRange):
        water_density(temperature)
