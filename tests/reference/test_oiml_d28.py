"""Conventional mass, OIML D 28 (from memory: weights 8000 kg/m3, air 1.2 kg/m3), and a petroleum sheet that
uses it.

The sheet (Tables 54/56, read in the source) gives densities "in vacuum" and "in air" side by side in kg/L.
"""

from __future__ import annotations

import pytest

from planner.density.air import conventional_mass, mass_from_reading
from planner.quantities.errors import OutOfRange


@pytest.mark.parametrize(("in_vacuum", "in_air"), [(0.61985, 0.61875), (0.61470, 0.61360)])
def test_in_vacuum_and_in_air(in_vacuum: float, in_air: float) -> None:
    # The sheet subtracts a flat 0.0011; D 28 gives 0.618743 and 0.613592: 1e-5 allowed.
    assert conventional_mass(in_vacuum, in_vacuum * 1000) == pytest.approx(in_air, abs=1e-5)


def test_a_steel_weight_is_its_own_conventional_mass() -> None:
    assert conventional_mass(0.2, 8000.0) == pytest.approx(0.2, rel=1e-15)
    assert mass_from_reading(0.2, 8000.0, 1.1) == pytest.approx(0.2, rel=1e-15)


@pytest.mark.parametrize("density", [700.0, 998.0, 2200.0, 21_000.0])
def test_in_conventional_air_the_reading_is_the_conventional_mass(density: float) -> None:
    mass = mass_from_reading(0.05, density, 1.2)
    assert conventional_mass(mass, density) == pytest.approx(0.05, rel=1e-14)
    assert (mass > 0.05) == (density < 8000)


def test_a_balloon_is_refused() -> None:
    with pytest.raises(OutOfRange):
        mass_from_reading(0.05, 1.1, 1.2)
    with pytest.raises(OutOfRange):
        conventional_mass(0.05, 1.2)
