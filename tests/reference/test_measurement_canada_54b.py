"""Measurement Canada, inspection tables for petroleum products: Table 54B, volume correction to 15 degC (read
in the source).
"""

from __future__ import annotations

import pytest

from planner.density.petroleum import volume_correction_factor

# density at 15 degC [kg/m3], temperature [degC], factor as printed, the same unrounded
ROWS = [
    (710.0, -40.0, "1.0700", 1.0700071),
    (710.0, -38.9, "1.0686", 1.0686464),
    (710.0, -35.0, "1.0638", 1.0638077),
    (710.0, -24.9, "1.0512", 1.0511757),
    (710.0, -20.0, "1.0450", 1.0449968),
    (800.0, -40.0, "1.0502", 1.0502256),
    (800.0, -35.0, "1.0457", 1.0457377),
    (800.0, -20.0, "1.0322", 1.0321751),
]


@pytest.mark.parametrize(("density", "temperature", "printed", "unrounded"), ROWS)
def test_table_54b(density: float, temperature: float, printed: str, unrounded: float) -> None:
    factor = volume_correction_factor(density, temperature)
    # Printed with four decimals: rounded alike, it must give the same digits.
    assert f"{factor:.4f}" == printed
    # The unrounded figure is held so that a change too small for four decimals shows.
    assert factor == pytest.approx(unrounded, abs=6e-8)
