"""ASTM D1250 / API MPMS 11.1 (Tables 53B, 54B): worked examples, a second-hand copy."""

from __future__ import annotations

import pytest

from planner.density.petroleum import (
    density_15c_from,
    density_at,
    thermal_expansion,
    volume_correction_factor,
)

# density at 15 degC [kg/m3], temperature [degC], factor as printed, tolerance, why that much
ROWS = [
    (839.0, 32.5, 0.98515, 5e-6, "half of the last printed digit; unrounded 0.9851470"),
    (
        889.0,
        115.55,
        0.91966,
        1e-5,
        "one last digit: the original procedure rounds alpha on the way and we do not; unrounded 0.9196667",
    ),
    (777.5, 9.0, 1.006412, 5e-7, "half of the last printed digit; unrounded 1.0064121"),
    (
        819.0,
        26.75,
        0.989552,
        2e-6,
        "two last digits: alpha is rounded on the way in the original; unrounded 0.9895533",
    ),
]


@pytest.mark.parametrize(("density", "temperature", "printed", "tolerance", "reason"), ROWS)
def test_worked_factor(
    density: float, temperature: float, printed: float, tolerance: float, reason: str
) -> None:
    assert volume_correction_factor(density, temperature) == pytest.approx(printed, abs=tolerance), reason


def test_worked_expansion_of_the_transition_group() -> None:
    # Printed 0.0010708 for 777.5 kg/m3; unrounded 0.00107083; half of the last printed digit.
    assert thermal_expansion(777.5) == pytest.approx(0.0010708, abs=5e-8)


@pytest.mark.parametrize(("density", "temperature"), [(row[0], row[1]) for row in ROWS])
def test_observed_density_leads_back(density: float, temperature: float) -> None:
    assert density_15c_from(density_at(density, temperature), temperature) == pytest.approx(density, abs=1e-9)


def test_florida_avgas_by_hydrometer() -> None:
    """FAA-H-8083-30 p. 4-15 (read in the source): avgas on a hot day reads 5.85 to 5.90 lb/USgal; standard
    6.0.
    """
    lb_per_us_gallon = 0.45359237 / 3.785411784e-3
    # The page gives no temperature; 90 degF is taken for a hot day (unrounded 5.8668). At 59 degF the same
    # fuel has 6.0.
    assert 5.85 <= density_at(6.0 * lb_per_us_gallon, (90 - 32) * 5 / 9) / lb_per_us_gallon <= 5.90
