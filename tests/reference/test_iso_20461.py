"""Accredited pipette certificates to ISO/TR 20461 (read in the source): their Z factor checks the whole path
by water.

Z turns a balance reading of water into a volume, 1000 (1 - rho_a/8000)/(rho_w - rho_a) in microlitres per
milligram.
"""

from __future__ import annotations

import pytest

from planner.density.air import moist_air_density
from planner.density.bench.steps.formulas import volume_from_water
from planner.density.water import water_density


@pytest.mark.parametrize(
    ("temperature", "pressure", "humidity", "printed"),
    [(19.72, 98_400.0, 0.647, 1.00275), (18.75, 98_600.0, 0.5929, 1.00258)],
)
def test_certified_z_factor(temperature: float, pressure: float, humidity: float, printed: float) -> None:
    air = moist_air_density(temperature, pressure, humidity)
    # One milligram read; the certificate's Z holds at the water's temperature, so no glass: expansion 0.
    z = volume_from_water(1e-6, water_density(temperature), air, 0.0, temperature) / 1e-9
    # Printed to five decimals by another air and water formula: 2.5e-5.
    assert z == pytest.approx(printed, abs=2.5e-5)
    # Without the air's buoyancy it would miss by 1e-3, so the check can fail.
    assert 1000 / water_density(temperature) != pytest.approx(printed, abs=5e-4)
