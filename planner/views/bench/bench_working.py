"""A sheet of the bench worked line by line with its figures, as on paper."""

from __future__ import annotations

from collections.abc import Iterator

from planner.density.air import WEIGHT_DENSITY
from planner.density.bench.bottle import BottleResult
from planner.density.bench.glass import BASE_TEMPERATURE
from planner.density.bench.steps.results import Bench, BottleBench, HydrometerBench
from planner.density.budget import Estimate
from planner.density.evaporation import ClosedReading
from planner.density.petroleum import product_of, volume_correction_factor
from planner.density.water import water_density


def working(bench: Bench) -> list[str]:
    """Every line of arithmetic, in the order it is done; figures shown are rounded, computed unrounded."""
    if isinstance(bench, BottleBench):
        return list(_bottle(bench))
    return list(_hydrometer(bench)) if isinstance(bench, HydrometerBench) else []


def _series(name: str, line: ClosedReading) -> Iterator[str]:
    freedom = line.line.degrees_of_freedom
    yield (
        f"{name}, straight line through {freedom + 2} readings: {line.line.mean_y * 1e3:.4f} g at"
        f" {line.line.mean_x:.1f} s on average, slope {line.line.slope.value * 6e7:+.3f} mg/min"
    )
    yield (
        f"{name} when the stopper closed ({line.closed_at:g} s) = {line.reading.value * 1e3:.4f} g, standard"
        f" error {line.reading.u * 1e6:.2f} mg ({freedom} degrees of freedom: 95 % within ±"
        f" {line.expanded * 1e6:.2f} mg)"
    )


def _bottle(bench: BottleBench) -> Iterator[str]:
    result, readings = bench.result, bench.result.readings
    for name, line in bench.closed:
        yield from _series(name, line)
    air, gamma = readings.air_density.value, readings.glass_expansion.value
    buoyancy = 1 - air / WEIGHT_DENSITY
    yield (
        f"air {air:.4f} kg/m3; weights {WEIGHT_DENSITY:g} kg/m3: 1 - {air:.4f}/{WEIGHT_DENSITY:g} ="
        f" {buoyancy:.6f}"
    )
    yield from _volume(result, air, gamma, buoyancy)
    t, net = readings.sample_temperature.value, (readings.sample.value - readings.empty.value) * 1e3
    growth = 1 + gamma * (t - BASE_TEMPERATURE)
    held = result.volume_20c.result.value * 1e6 * growth
    yield f"sample: {readings.sample.value * 1e3:.4f} g - {readings.empty.value * 1e3:.4f} g = {net:.4f} g"
    yield (
        f"bottle at {t:g} degC: {result.volume_20c.result.value * 1e6:.4f} mL x [1 + {gamma * 1e6:g}e-6 x"
        f" ({t:g} - 20)] = {held:.4f} mL"
    )
    yield (
        f"density at {t:g} degC: {net:.4f} g x {buoyancy:.6f} / {held:.4f} mL + {air / 1e3:.6f} g/cm3 ="
        f" {result.density.value / 1e3:.6f} g/cm3"
    )
    yield (
        f"mass of the sample {result.sample_mass * 1e3:.4f} g; its conventional mass"
        f" {result.sample_conventional_mass * 1e3:.4f} g"
    )
    if isinstance(result.density_15c, Estimate):
        yield from _to_15c(result.density.value, t, result.density_15c.value)


def _volume(result: BottleResult, air: float, gamma: float, buoyancy: float) -> Iterator[str]:
    readings = result.readings
    if result.volume_from != "water" or readings.water is None or readings.water_temperature is None:
        yield f"volume at 20 degC, {result.volume_from}: {result.volume_20c.result.value * 1e6:.4f} mL"
        return
    t, net = readings.water_temperature.value, (readings.water.value - readings.empty.value) * 1e3
    rho = water_density(t)
    yield (
        f"water: {readings.water.value * 1e3:.4f} g - {readings.empty.value * 1e3:.4f} g = {net:.4f} g; its"
        f" density at {t:g} degC {rho:.4f} kg/m3"
    )
    growth = 1 + gamma * (t - BASE_TEMPERATURE)
    volume = result.volume_20c.result.value * 1e6
    yield (
        f"volume at 20 degC: {net:.4f} g x {buoyancy:.6f} / ({rho / 1e3:.7f} - {air / 1e3:.7f}) g/cm3 /"
        f" {growth:.7f} = {volume:.4f} mL"
    )


def _to_15c(density: float, temperature: float, at_15c: float) -> Iterator[str]:
    factor, product = volume_correction_factor(at_15c, temperature), product_of(at_15c)
    yield (
        f"to 15 degC: the density whose VCF brings it to {density:.3f} kg/m3 at {temperature:g} degC is"
        f" {at_15c:.3f} kg/m3 (VCF {factor:.6f}, {product.name} group, alpha {product.alpha(at_15c):.7f} /K)"
    )


def _hydrometer(bench: HydrometerBench) -> Iterator[str]:
    taken, result = bench.result.reading, bench.result
    t = taken.temperature.value
    yield (
        f"reading {taken.reading.value:.3f} kg/m3 + meniscus {taken.meniscus.value:+.3f} kg/m3 ="
        f" {taken.reading.value + taken.meniscus.value:.3f} kg/m3"
    )
    if taken.glass_correction:
        step = t - taken.reference_temperature
        factor = 1 - 2.3e-5 * step - 2e-8 * step * step
        yield (
            f"glass, {step:+.1f} K from {taken.reference_temperature:g} degC: x (1 - 2.3e-5 x {step:g} - 2e-8"
            f" x {step * step:g}) = x {factor:.7f}"
        )
    else:
        yield "glass: not corrected for, as the sheet says the scale or its table already is"
    yield f"density at {t:g} degC: {result.density.value:.3f} kg/m3"
    yield from _to_15c(result.density.value, t, result.density_15c.value)
