"""The density bottle: three balance readings and two thermometer readings to a density with its uncertainty.

Every mass given here is a balance reading, of a balance adjusted with weights of 8000 kg/m3. The volume of
the bottle comes from a weighing with water, or from an earlier calibration, or, much worse, from what is
marked on it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from planner.density.air import conventional_mass
from planner.density.bench.agreement import grade_notices
from planner.density.bench.glass import glass_volume
from planner.density.bench.readings import BottleReadings, check
from planner.density.bench.steps.formulas import VolumeFrom, density_model, volume_model
from planner.density.budget import Budget, Estimate, Input, Missing, propagate
from planner.density.petroleum import BASE_TEMPERATURE, density_15c_from, model_uncertainty, product_of
from planner.density.water import water_density
from planner.facts.grades import Grade
from planner.quantities.errors import Finding, InputRefused, OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, percent, say

# K between sample and water from which the bottle was hardly at one temperature
TEMPERATURES_APART: Final = 3.0
# expanded uncertainty, relative to the density, from which two batches can no longer be told apart
USELESS: Final = 0.005


@frozen
class WaterCheck:
    """Density of the water [kg/m3] as the marked volume would have it, as it is, and the difference."""

    from_nominal_volume: Estimate
    tabulated: float
    difference: float


@frozen
class BottleResult:
    """Everything the readings yield; a Missing says why a figure is not there. Densities [kg/m3], volumes
    [m3], masses [kg].

    `density` is that of the sample at `temperature` [degC]; `density_15c` moved to 15 degC by the petroleum
    tables and holding their uncertainty. `nominal_density` would follow from the marked volume;
    `no_buoyancy_density` from readings taken for masses; `buoyancy_effect` and `glass_effect` are what
    leaving either out would change. `budget` and `budget_15c` share the uncertainty of the two densities
    among the raw inputs.
    """

    readings: BottleReadings
    volume_from: VolumeFrom
    temperature: float
    volume_20c: Budget
    density: Estimate
    budget: Budget
    density_15c: Estimate | Missing
    budget_15c: Budget | Missing
    sample_mass: float
    sample_conventional_mass: float
    water_check: WaterCheck | Missing
    nominal_density: Estimate | Missing
    no_buoyancy_density: float
    buoyancy_effect: float
    glass_effect: float
    notices: tuple[Finding, ...]

    @property
    def u_temperature(self) -> float:
        """The standard uncertainty of the sample's temperature, the thermometer's own with it [K]."""
        return math.hypot(self.readings.sample_temperature.u, self.readings.u_thermometer)


def _inputs(readings: BottleReadings, by: VolumeFrom) -> list[Input]:
    """Raw and independent: a reading used twice, or an error common to several, stands here once."""
    entries: list[tuple[str, Estimate, str]] = [
        ("empty", readings.empty, "kg"),
        ("sample", readings.sample, "kg"),
        ("balance", Estimate(1.0, readings.u_balance), "1"),
        ("sample temperature", readings.sample_temperature, "degC"),
        ("thermometer", Estimate(0.0, readings.u_thermometer), "K"),
        ("air density", readings.air_density, "kg/m3"),
        ("glass expansion", readings.glass_expansion, "1/K"),
    ]
    volume = readings.known_volume if by == "known volume" else readings.nominal()
    if by == "water" and readings.water is not None and readings.water_temperature is not None:
        entries.append(("water", readings.water, "kg"))
        entries.append(("water temperature", readings.water_temperature, "degC"))
        entries.append(("water purity", Estimate(0.0, readings.water_spread), "kg/m3"))
    elif volume is not None:
        entries.append((by, volume, "m3"))
    return [Input(name, entry.value, entry.u, unit) for name, entry, unit in entries]


def _by_nominal(readings: BottleReadings) -> Estimate:
    """The density as the marked volume would have it."""
    return propagate(density_model("nominal volume"), _inputs(readings, "nominal volume")).result


def _at_15c(budget: Budget, by: VolumeFrom, readings: BottleReadings, unleaded: bool) -> Budget | Missing:
    if not readings.petroleum:
        return Missing("the liquid is not a petroleum product: no table moves its density to 15 degC")
    temperature, density = readings.sample_temperature.value, density_model(by)
    try:
        at_15c = density_15c_from(budget.result.value, temperature)
        spread = model_uncertainty(at_15c, temperature - BASE_TEMPERATURE, unleaded)
    except OutOfRange as error:
        return Missing(error.words)
    # One group throughout, so that a derivative is never taken across the step between two groups.
    product = product_of(at_15c)
    entries = [*_inputs(readings, by), Input("petroleum table", 0.0, spread, "kg/m3")]
    moved = propagate(
        lambda values: (
            product.density_15c_from(density(values), values["sample temperature"] + values["thermometer"])
            + values["petroleum table"]
        ),
        entries,
    )
    return Budget(Estimate(at_15c, moved.result.u), moved.lines)


def weigh(readings: BottleReadings, grade: Grade | None = None) -> BottleResult:
    """Density of the liquid in a density bottle, with everything the readings also tell.

    The volume is taken from the weighing with water where there is one, else from a known volume, else from
    the marked one. Equations: `volume_from_water`, `density_from_volume`, `density_15c_from` of the petroleum
    tables.

    Parameters: `readings`; `grade` declared, for the notices and the trust in the petroleum table; None where
    none was. Returns the BottleResult.
    Range: water 0 to 40 degC; density at 15 degC 653 to 1075 kg/m3, else its place holds a Missing.
    Raises: InputRefused with every finding of `check`.
    Source: [iso-3838]; [astm-d1217]; [iso-4787]; [jcgm-100] 5.1.2.
    """
    if found := check(readings):
        raise InputRefused(found)
    by: VolumeFrom = (
        "water" if readings.water else "known volume" if readings.known_volume else "nominal volume"
    )
    inputs = _inputs(readings, by)
    values = {entry.name: entry.value for entry in inputs}
    model = density_model(by)
    budget = propagate(model, inputs)
    density, temperature = budget.result.value, readings.sample_temperature.value
    at_15c = _at_15c(budget, by, readings, grade is not None and grade.unleaded)
    volume = propagate(volume_model(by), inputs)
    no_buoyancy = model(values | {"air density": 0.0})
    mass = density * glass_volume(volume.result.value, readings.glass_expansion.value, temperature)
    nominal = (
        Missing("no volume is marked on the bottle")
        if readings.nominal_volume is None
        else _by_nominal(readings)
    )
    density_15c = at_15c if isinstance(at_15c, Missing) else at_15c.result
    result = BottleResult(
        readings=readings,
        volume_from=by,
        temperature=temperature,
        volume_20c=volume,
        density=budget.result,
        budget=budget,
        density_15c=density_15c,
        budget_15c=at_15c,
        sample_mass=mass,
        sample_conventional_mass=conventional_mass(mass, density),
        water_check=_water_check(readings),
        nominal_density=nominal,
        no_buoyancy_density=no_buoyancy,
        buoyancy_effect=density - no_buoyancy,
        glass_effect=density - model(values | {"glass expansion": 0.0}),
        notices=(),
    )
    return replace(result, notices=tuple(_notices(result, grade)))


def _water_check(readings: BottleReadings) -> WaterCheck | Missing:
    nominal, water, temperature = readings.nominal(), readings.water, readings.water_temperature
    if water is None or temperature is None:
        return Missing("the bottle was not weighed with water")
    if nominal is None:
        return Missing("no volume is marked on the bottle")
    # The water is treated as an unknown liquid: same model, its reading in the sample's place.
    as_sample = replace(readings, sample=water, sample_temperature=temperature)
    found = _by_nominal(as_sample)
    tabulated = water_density(temperature.value)
    return WaterCheck(found, tabulated, found.value - tabulated)


def _notices(result: BottleResult, grade: Grade | None) -> Iterator[Finding]:
    readings, water = result.readings, result.water_check
    if result.volume_from == "nominal volume":
        effect = percent(result.volume_20c.result.u / result.volume_20c.result.value)
        message = (
            f"THE VOLUME MARKED ON THE BOTTLE IS NOT A MEASUREMENT: its {effect} standard uncertainty governs"
            " the result"
        )
        needed = "a weighing with water, or a calibrated volume"
        hint = "fill the same bottle with distilled water, weigh it and take its temperature"
        yield _notice("bench-nominal-volume-only", message, needed, hint, "nominal_volume")
    if isinstance(water, WaterCheck) and abs(water.difference) > water.from_nominal_volume.u:
        densities = [Figure(each, "density") for each in (water.from_nominal_volume.value, water.tabulated)]
        message = say("with the marked volume the water would have {}, and water has {}", *densities)
        needed = "one of the two to agree within the uncertainty of the marked volume"
        hint = (
            "the marked volume is not what the bottle holds; if that surprises you, weigh the water again:"
            " full to the same mark, no bubble, dry outside"
        )
        yield _notice("bench-water-not-density", message, needed, hint, "water")
    if readings.water is not None and readings.water_temperature is not None:
        apart = abs(readings.sample_temperature.value - readings.water_temperature.value)
        if apart > TEMPERATURES_APART:
            needed = f"temperatures within {TEMPERATURES_APART:g} K, each settled in the bottle"
            hint = "let both stand until they have the temperature of the bench"
            message = f"sample and water were {apart:.1f} K apart"
            yield _notice("bench-temperature-mismatch", message, needed, hint, "sample_temperature")
        if readings.petroleum and readings.sample.value > readings.water.value:
            needed = "a petroleum product, lighter than water"
            hint = "were the two readings swapped? Water in the sample tank looks like this too"
            message = "the sample is heavier than the water"
            yield _notice("bench-heavier-than-water", message, needed, hint, "sample")
    if result.density.expanded > USELESS * result.density.value:
        name, share = result.budget.lines[0].source.name, percent(result.budget.lines[0].share)
        known, useful = result.density.expanded, USELESS * result.density.value
        words = "the density is known to ± {} only, {} of it by '{}'"
        message = say(words, Figure(known, "density"), share, name)
        needed = say("± {} to tell two batches apart", Figure(useful, "density"))
        yield _notice("bench-uncertainty-large", message, needed, "improve that one reading first", name)
    at_15c = result.density_15c
    if grade is not None and isinstance(at_15c, Estimate):
        yield from grade_notices(at_15c, grade, "sample")
    elif grade is not None and isinstance(at_15c, Missing):
        message = f"not compared with {grade.name}"
        yield _notice("bench-not-compared", message, "a density at 15 degC", at_15c.reason, "sample")


def _notice(code: str, message: str, needed: str, hint: str, where: str) -> Finding:
    return Finding(code, message, needed, hint, where, severity="notice")
