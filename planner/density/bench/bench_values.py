"""From a sheet of the bench to what the engine works on, with a sentence for every value it leaves open."""

from __future__ import annotations

import math
from typing import Final

from planner.density.air import AirConditions, air_density, pressure_at_altitude
from planner.density.bench.glass import BOROSILICATE, EXPANSION_UNCERTAINTY, SODA_LIME
from planner.density.bench.hydrometer import HydrometerReading
from planner.density.bench.readings import NOMINAL_SPREAD, UNKNOWN_AIR, BottleReadings
from planner.density.budget import Estimate
from planner.density.evaporation import ClosedReading, reading_when_closed
from planner.quantities.errors import Finding, InputRefused, OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.units import Quantity, step_of
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
    """Engine input of a bottle sheet, the series carried back, the sentences, and what went wrong."""

    readings: BottleReadings
    closed: tuple[tuple[str, ClosedReading], ...]
    sentences: tuple[str, ...]
    findings: tuple[tuple[Location, Finding], ...]


class Sentences(list[str]):
    """What a sheet leaves open and what stands in for it, a sentence each."""

    def assume(self, words: str) -> None:
        """One more sentence, of a figure that nobody read."""
        self.append(f"{words} ({ASSUMED})")


def _grams(value: float) -> str:
    return f"{value * 1e3:.3g} g"


def _estimate(given: Quantity | None, u: float = 0.0) -> Estimate | None:
    """A figure as it was read, `u` where it is stated without one; None where it was not read."""
    return None if given is None else Estimate(given.value, given.u or u)


def _balance(sheet: BottleSheet, sentences: Sentences) -> tuple[float, float]:
    """Resolution and standard uncertainty of one reading [kg]."""
    balance = sheet.balance
    if balance.resolution is not None:
        resolution = balance.resolution.value
    else:
        weighings = [each for each in (sheet.empty, sheet.sample, sheet.water) if each is not None]
        resolution = min(step_of(entry) for each in weighings for entry in each.masses())
        sentences.append(f"resolution of the balance: {_grams(resolution)}, the last digit written down")
    if balance.uncertainty is not None:
        own = balance.uncertainty.value
    else:
        own = resolution
        sentences.assume(f"standard uncertainty of a balance reading: one step, {_grams(own)}")
    rounding = resolution / math.sqrt(12)
    both = _grams(math.hypot(rounding, own))
    words = f"rounding of a balance reading: resolution/sqrt(12) = {_grams(rounding)}"
    sentences.append(f"{words}; with the above u = {both}")
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
    times, masses = ([row[at].value for row in given.readings or ()] for at in (0, 1))
    try:
        line = reading_when_closed(times, masses, given.closed.value, resolution)
    except InputRefused as refused:
        wrong += [((name, "readings"), finding) for finding in refused.findings]
        return Estimate(masses[0])
    closed.append((name, line))
    # Scatter and rounding are in the line's own standard error; what the balance is off by as a whole is not.
    return Estimate(line.reading.value, math.hypot(line.reading.u, own))


def _temperatures(sheet: BottleSheet, sentences: Sentences) -> tuple[Estimate, Estimate | None, float]:
    """Sample and water [degC] with what is theirs alone, and what one thermometer does to both [K]."""
    # A sheet without them is refused; its other readings are checked all the same.
    sample = sheet.sample_temperature or sheet.temperature or NO_TEMPERATURE
    water = sheet.water_temperature or sheet.temperature or NO_TEMPERATURE
    given = [sample] if sheet.water is None else [sample, water]
    spread = common = 0.0
    us = [entry.u for entry in given]
    if sheet.thermometer is not None:
        common = sheet.thermometer.value
    elif sheet.temperature is not None and sheet.temperature.u:
        # One reading stands for both liquids, so its error is one and the same in both.
        common, us = sheet.temperature.u, [0.0 for _ in given]
    elif any(us):
        spread = THERMOMETER
        if not all(us):
            words = f"standard uncertainty of the temperature stated without one: {THERMOMETER:g} K"
            sentences.assume(words)
    else:
        common = THERMOMETER
        words = f"standard uncertainty of the thermometer: {THERMOMETER:g} K, the same error in every reading"
        sentences.assume(words)
    both = [Estimate(entry.value, u or spread) for entry, u in zip(given, us, strict=True)]
    return both[0], both[1] if len(both) > 1 else None, common


def air_of(air: Air | None, sample: Estimate, sentences: Sentences) -> Estimate:
    """Density of the air [kg/m3], of the temperature of the `sample` [degC] where its own was not read;
    OutOfRange as `air_density`.
    """
    if air is None:
        value, u = UNKNOWN_AIR.value, UNKNOWN_AIR.u
        sentences.assume(f"density of the air: {value:g} kg/m3, standard uncertainty {u:g} kg/m3")
        return UNKNOWN_AIR
    pressure, humidity = _estimate(air.pressure), _estimate(air.humidity)
    altitude = air.altitude.value if air.altitude is not None else None
    if altitude is not None and air.qnh is not None:
        pressure = Estimate(pressure_at_altitude(altitude, air.qnh.value), math.hypot(air.qnh.u, UNREAD_QNH))
    if pressure is None:
        sentences.assume("pressure from the altitude alone: 10 hPa standard uncertainty for the weather")
    if humidity is None:
        sentences.assume("humidity of the air: 50 %, anything between dry and saturated")
    warmth = _estimate(air.temperature)
    if warmth is None:
        warmth = Estimate(sample.value, math.hypot(sample.u, AIR_AS_SAMPLE))
        words = f"temperature of the air: that of the sample, {sample.value:g} degC"
        sentences.assume(f"{words}, standard uncertainty {warmth.u:.2g} K")
    return air_density(AirConditions(warmth, pressure, altitude, humidity))


def _glass(sheet: BottleSheet, sentences: Sentences) -> Estimate:
    if sheet.glass is None:
        reach = "with an uncertainty that reaches from one to the other"
        sentences.assume(f"glass: borosilicate or soda-lime, {BOROSILICATE * 1e6:g}e-6 /K {reach}")
        return UNKNOWN_GLASS
    value = BOROSILICATE if sheet.glass == "borosilicate" else SODA_LIME
    return Estimate(value, EXPANSION_UNCERTAINTY * value)


def bottle_values(sheet: BottleSheet) -> Values:
    """What the engine needs for a bottle sheet, with all that keeps its readings from being used."""
    sentences = Sentences()
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
        words = f"standard uncertainty of the balance's scale as a whole: {100 * scale:g} % ({ASSUMED})"
        sentences.append(f"{words}; against water on the same balance it cancels")
    sample_u = math.hypot(sample_temperature.u, common)
    try:
        air = air_of(sheet.air, Estimate(sample_temperature.value, sample_u), sentences)
    except OutOfRange as error:
        needed = "needed the air around the balance"
        wrong.append((("air",), Finding("bench-air-density", error.words, needed, "check the unit")))
        air = UNKNOWN_AIR
    known = None
    if sheet.calibrated is not None:
        volume = sheet.calibrated.volume
        known = _estimate(volume, CALIBRATED_SPREAD * volume.value)
        if not volume.u:
            words = f"standard uncertainty of the calibrated volume: {100 * CALIBRATED_SPREAD:g} %"
            sentences.assume(words)
    if sheet.marked is not None and not sheet.marked.u:
        sentences.assume(f"standard uncertainty of the marked volume: {100 * NOMINAL_SPREAD:g} %")
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
        spread = f"{readings.water_spread:g} kg/m3"
        sentences.assume(f"the water is distilled or demineralised, within {spread} of pure")
    return Values(readings, tuple(closed), tuple(sentences), tuple(wrong))


def hydrometer_values(sheet: HydrometerSheet) -> tuple[HydrometerReading, tuple[str, ...]]:
    """What the engine needs for a hydrometer sheet, and the sentences."""
    sentences = Sentences()
    division = HYDROMETER_DIVISION if sheet.division is None else sheet.division.value
    if not sheet.reading.u:
        if sheet.division is None:
            sentences.assume(f"division of the scale: {division:g} kg/m3")
        scale = f"{HYDROMETER_SCALE:g} kg/m3 for the scale itself"
        sentences.assume(f"standard uncertainty of the reading: division/sqrt(12) and {scale}")
    if not sheet.temperature.u:
        sentences.assume(f"standard uncertainty of the thermometer: {THERMOMETER:g} K")
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
