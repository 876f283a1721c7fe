"""Density of fuel, water and air at the published states."""

from __future__ import annotations

from planner.density.air import mass_from_reading, moist_air_density
from planner.density.petroleum import volume_correction_factor
from planner.density.water import water_density


def densities() -> dict[str, float]:
    canada = [(710, (-40.0, -38.9, -35.0, -24.9, -20.0)), (800, (-40.0, -35.0, -20.0))]
    factors = {
        f"mc54b-{density:g}@{t:g}": volume_correction_factor(density, t)
        for density, column in canada
        for t in column
    }
    examples = [(839.0, 32.5), (889.0, 115.55), (777.5, 9.0), (819.0, 26.75)]
    factors |= {f"d1250-{density:g}@{t:g}": volume_correction_factor(density, t) for density, t in examples}
    water = {f"tanaka-{t:g}": water_density(t) for t in (10.0, 15.0, 20.0, 25.0, 30.0)}
    return factors | water | {"masui-16": water_density(16.0)}


def air() -> dict[str, float]:
    mercury = 133.322387415  # Pa per mmHg, NIST SP 811 App. B.8

    def microlitres_per_milligram(temperature: float, pressure: float, humidity: float) -> float:
        air = moist_air_density(temperature, pressure, humidity)
        return 1000 * mass_from_reading(1.0, water_density(temperature), air) / water_density(temperature)

    return {
        "air-oiml": moist_air_density(20.0, 101325.0, 0.5),
        "air-nist-1": moist_air_density(22.3, 748.1 * mercury, 0.37),
        "air-nist-2": moist_air_density(23.4, 612.3 * mercury, 0.23),
        "z-factor-1": microlitres_per_milligram(19.72, 98400.0, 0.647),
        "z-factor-2": microlitres_per_milligram(18.75, 98600.0, 0.5929),
    }
