"""From a sheet of the bench to what the engine works on, with a sentence for every value the sheet leaves
open.
"""

from __future__ import annotations

import math
import re
from typing import Final

from planner.density.air import AirConditions, air_density, pressure_at_altitude
from planner.density.bench.glass import BOROSILICATE, EXPANSION_UNCERTAINTY, SODA_LIME
from planner.density.bench.hydrometer import HydrometerReading
from planner.density.bench.readings import NOMINAL_SPREAD, UNKNOWN_AIR, BottleReadings
from planner.density.budget import Estimate
from planner.density.evaporation import ClosedReading, reading_when_closed
from planner.quantities.errors import Finding, InputRefused, OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.units import Quantity
from planner.records.document import Location
from planner.records.sheets.bench import Air, BottleSheet, HydrometerSheet, Reading

# What stands in where a sheet is silent: common practice, no published source, and named in every output.
THERMOMETER: Final = 0.5  # K, standard uncertainty of an ordinary thermometer, shared by every reading of it
BALANCE_SCALE: Final = 2e-4  # relative standard uncertainty of a balance's scale as a whole
CALIBRATED_SPREAD: Final = 1e-3  # relative standard uncertainty of a calibrated volume stated without one
FUEL_BATCH: Final = 0.5  # kg/m3, standard uncertainty of a supplier's density
HYDROMETER_DIVISION: Final = 1.0  # kg/m3
HYDROMETER_SCALE: Final = 0.5  # kg/m3, standard uncertainty of the scale itself
AIR_AS_SAMPLE: Final = 2.0  # K, standard uncertainty of an air temperature taken to be that of the sample
UNREAD_QNH: Final = 100.0  # Pa, standard uncertainty of a pressure from altitude and QNH
UNKNOWN_GLASS: Final = Estimate(BOROSILICATE, SODA_LIME - BOROSILICATE)  # reaches over to the other glass
NO_TEMPERATURE: Final = Quantity(20.0, 0.0, "temperature", "20 degC")
ASSUMED: Final = "assumed; common practice, no published source"


@frozen
class Values:
    """Engine input of a bottle sheet, the series carried back, the sentences, and what went wrong on the
    way.
    """

    readings: BottleReadings
    closed: tuple[tuple[str, ClosedReading], ...]
    sentences: tuple[str, ...]
    findings: tuple[tuple[Location, Finding], ...]


def _last_digit(entry: Quantity) -> float:
    """The step [SI] of the last digit written: 0.01 g for `27.41 g`."""
    match = re.match(r"[+-]?\d*(?:\.(\d*))?(?:[eE]([+-]?\d+))?", entry.text)
    assert match is not None  # it was read as a quantity
    number = float(match[0])
    factor = entry.value / number if number else 1e-3  # of the unit; an empty bottle of 0 is refused anyway
    return float(10.0 ** (int(match[2] or 0) - len(match[1] or "")) * factor)


def _grams(value: float) -> str:
    return f"{value * 1e3:.3g} g"


def _written(sheet: BottleSheet) -> list[Quantity]:
    entries: list[Quantity] = []
    for weighing in (sheet.empty, sheet.sample, sheet.water):
        if weighing is not None:
            entries += (
                [weighing.reading]
                if weighing.reading is not None
                else [row[1] for row in weighing.readings or ()]
            )
    return entries


def _balance(sheet: BottleSheet, sentences: list[str]) -> tuple[float, float]:
    """Resolution and standard uncertainty of one reading [kg]."""
    balance = sheet.balance
    if balance.resolution is not None:
        resolution = balance.resolution.value
    else:
        resolution = min(_last_digit(entry) for entry in _written(sheet))
        sentences.append(f"resolution of the balance: {_grams(resolution)}, the last digit written down")
    if balance.uncertainty is not None:
        own = balance.uncertainty.value
    else:
        own = resolution
        sentences.append(f"standard uncertainty of a balance reading: one step, {_grams(own)} ({ASSUMED})")
    rounding = resolution / math.sqrt(12)
    sentences.append(
        f"rounding of a balance reading: resolution/sqrt(12) = {_grams(rounding)}; with the above u ="
        f" {_grams(math.hypot(rounding, own))}"
    )
    return resolution, own


def _weighing(
    name: str,
    given: Reading,
    resolution: float,
    own: float,
    closed: list[tuple[str, ClosedReading]],
    wrong: list[tuple[Location, Finding]],
) -> Estimate:
    if given.reading is not None:
        return Estimate(given.reading.value, given.reading.u or math.hypot(resolution / math.sqrt(12), own))
    rows = given.readings or ()
    try:
        line = reading_when_closed(
            [row[0].value for row in rows], [row[1].value for row in rows], given.closed.value, resolution
        )
    except InputRefused as refused:
        wrong += [((name, "readings"), finding) for finding in refused.findings]
        return Estimate(rows[0][1].value)
    closed.append((name, line))
    # Scatter and rounding are in the line's own standard error; what the balance is off by as a whole is not.
    return Estimate(line.reading.value, math.hypot(line.reading.u, own))


def _temperatures(sheet: BottleSheet, sentences: list[str]) -> tuple[Estimate, Estimate | None, float]:
    """Sample and water [degC] with what is theirs alone, and what one thermometer does to both [K]."""
    sample, water = (
        sheet.sample_temperature or sheet.temperature,
        sheet.water_temperature or sheet.temperature,
    )
    # A sheet without them is refused; its other readings are checked all the same.
    sample, water = sample or NO_TEMPERATURE, water or NO_TEMPERATURE
    given = [sample] if sheet.water is None else [sample, water]
    if sheet.thermometer is not None:
        common = sheet.thermometer.value
    elif sheet.temperature is not None and sheet.temperature.u:
        # One reading stands for both liquids, so its error is one and the same in both.
        return (
            Estimate(sample.value),
            Estimate(water.value) if sheet.water is not None else None,
            sheet.temperature.u,
        )
    elif not any(entry.u for entry in given):
        common = THERMOMETER
        sentences.append(
            f"standard uncertainty of the thermometer: {THERMOMETER:g} K, the same error in every reading"
            f" ({ASSUMED})"
        )
    else:
        common = 0.0
    spread = 0.0 if common or sheet.thermometer is not None else THERMOMETER
    if spread and any(not entry.u for entry in given):
        sentences.append(
            f"standard uncertainty of the temperature stated without one: {THERMOMETER:g} K ({ASSUMED})"
        )
    both = [Estimate(entry.value, entry.u or spread) for entry in given]
    return both[0], both[1] if len(both) > 1 else None, common


def air_of(air: Air | None, sample: Estimate, sentences: list[str]) -> Estimate:
    """Density of the air [kg/m3], of the temperature of the `sample` [degC] where its own was not read;
    OutOfRange as `air_density`.
    """
    if air is None:
        sentences.append(
            f"density of the air: {UNKNOWN_AIR.value:g} kg/m3, standard uncertainty {UNKNOWN_AIR.u:g} kg/m3"
            f" ({ASSUMED})"
        )
        return UNKNOWN_AIR
    pressure = Estimate(air.pressure.value, air.pressure.u) if air.pressure is not None else None
    altitude = air.altitude.value if air.altitude is not None else None
    if altitude is not None and air.qnh is not None:
        pressure = Estimate(pressure_at_altitude(altitude, air.qnh.value), math.hypot(air.qnh.u, UNREAD_QNH))
    if pressure is None:
        sentences.append(
            f"pressure from the altitude alone: 10 hPa standard uncertainty for the weather ({ASSUMED})"
        )
    humidity = Estimate(air.humidity.value, air.humidity.u) if air.humidity is not None else None
    if humidity is None:
        sentences.append(f"humidity of the air: 50 %, anything between dry and saturated ({ASSUMED})")
    if air.temperature is not None:
        warmth = Estimate(air.temperature.value, air.temperature.u)
    else:
        warmth = Estimate(sample.value, math.hypot(sample.u, AIR_AS_SAMPLE))
        sentences.append(
            f"temperature of the air: that of the sample, {sample.value:g} degC, standard uncertainty"
            f" {warmth.u:.2g} K ({ASSUMED})"
        )
    return air_density(AirConditions(warmth, pressure, altitude, humidity))


def _glass(sheet: BottleSheet, sentences: list[str]) -> Estimate:
    if sheet.glass is None:
        sentences.append(
            f"glass: borosilicate or soda-lime, {BOROSILICATE * 1e6:g}e-6 /K with an uncertainty that reaches"
            f" from one to the other ({ASSUMED})"
        )
        return UNKNOWN_GLASS
    value = BOROSILICATE if sheet.glass == "borosilicate" else SODA_LIME
    return Estimate(value, EXPANSION_UNCERTAINTY * value)


def bottle_values(sheet: BottleSheet) -> Values:
    """What the engine needs for a bottle sheet, with everything in its readings that keeps them from being
    used.
    """
    sentences: list[str] = []
    closed: list[tuple[str, ClosedReading]] = []
    wrong: list[tuple[Location, Finding]] = []
    resolution, own = _balance(sheet, sentences)
    if sheet.tared:
        sentences.append(
            "balance tared on the empty bottle: its zero counts as one reading, the same error in both"
            " fillings"
        )
    weighed = {
        name: _weighing(name, given, resolution, own, closed, wrong)
        for name, given in (("empty", sheet.empty), ("sample", sheet.sample), ("water", sheet.water))
        if given is not None
    }
    sample_temperature, water_temperature, common = _temperatures(sheet, sentences)
    scale = BALANCE_SCALE if sheet.balance.scale is None else sheet.balance.scale.value
    if sheet.balance.scale is None:
        sentences.append(
            f"standard uncertainty of the balance's scale as a whole: {100 * scale:g} % ({ASSUMED}); against"
            " water on the same balance it cancels"
        )
    try:
        air = air_of(
            sheet.air, Estimate(sample_temperature.value, math.hypot(sample_temperature.u, common)), sentences
        )
    except OutOfRange as error:
        wrong.append(
            (
                ("air",),
                Finding(
                    "bench-air-density", error.words, "needed the air around the balance", "check the unit"
                ),
            )
        )
        air = UNKNOWN_AIR
    known = None
    if sheet.calibrated is not None:
        volume = sheet.calibrated.volume
        known = Estimate(volume.value, volume.u or CALIBRATED_SPREAD * volume.value)
        if not volume.u:
            sentences.append(
                f"standard uncertainty of the calibrated volume: {100 * CALIBRATED_SPREAD:g} % ({ASSUMED})"
            )
    if sheet.marked is not None and not sheet.marked.u:
        sentences.append(f"standard uncertainty of the marked volume: {100 * NOMINAL_SPREAD:g} % ({ASSUMED})")
    readings = BottleReadings(
        empty=weighed.get("empty", Estimate(0.0, math.hypot(resolution / math.sqrt(12), own))),
        tared=sheet.tared,
        sample=weighed["sample"],
        sample_temperature=sample_temperature,
        water=weighed.get("water"),
        water_temperature=water_temperature,
        known_volume=known,
        nominal_volume=None if sheet.marked is None else sheet.marked.value,
        u_nominal_volume=(sheet.marked.u or None) if sheet.marked is not None else None,
        glass_expansion=_glass(sheet, sentences),
        air_density=air,
        u_thermometer=common,
        u_balance=scale,
        petroleum=sheet.petroleum,
    )
    if sheet.water is not None:
        sentences.append(
            f"the water is distilled or demineralised, within {readings.water_spread:g} kg/m3 of pure"
            f" ({ASSUMED})"
        )
    return Values(readings, tuple(closed), tuple(sentences), tuple(wrong))


def hydrometer_values(sheet: HydrometerSheet) -> tuple[HydrometerReading, tuple[str, ...]]:
    """What the engine needs for a hydrometer sheet, and the sentences."""
    sentences: list[str] = []
    division = HYDROMETER_DIVISION if sheet.division is None else sheet.division.value
    if not sheet.reading.u:
        if sheet.division is None:
            sentences.append(f"division of the scale: {division:g} kg/m3 ({ASSUMED})")
        sentences.append(
            f"standard uncertainty of the reading: division/sqrt(12) and {HYDROMETER_SCALE:g} kg/m3 for the"
            f" scale itself ({ASSUMED})"
        )
    if not sheet.temperature.u:
        sentences.append(f"standard uncertainty of the thermometer: {THERMOMETER:g} K ({ASSUMED})")
    if sheet.meniscus.value == 0:
        sentences.append("no correction for the meniscus: the scale was read at the level surface")
    reading = HydrometerReading(
        reading=Estimate(
            sheet.reading.value, sheet.reading.u or math.hypot(division / math.sqrt(12), HYDROMETER_SCALE)
        ),
        temperature=Estimate(sheet.temperature.value, sheet.temperature.u or THERMOMETER),
        reference_temperature=sheet.reference_temperature.value,
        glass_correction=sheet.glass_correction,
        meniscus=Estimate(sheet.meniscus.value, sheet.meniscus.u),
    )
    return reading, tuple(sentences)
