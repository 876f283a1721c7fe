"""What is read at the bench for a density bottle, and what makes the readings unusable."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import field, fields
from typing import Final

from planner.density.air import CONVENTIONAL_AIR
from planner.density.bench.glass import BOROSILICATE, EXPANSION_UNCERTAINTY
from planner.density.budget import Estimate
from planner.density.water import WATER_UNCERTAINTY
from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, book, say, span_of

# relative standard uncertainty of a volume merely marked on a bottle; common practice, no published source
NOMINAL_SPREAD: Final = 0.01
# kg/m3, a low aerodrome in ordinary weather; common practice, no published source
UNKNOWN_AIR: Final = Estimate(CONVENTIONAL_AIR, 0.05)


@frozen
class BottleReadings:
    """What was read at the bench, SI throughout; every Estimate carries its own standard uncertainty.

    `empty`, `sample`, `water` [kg] balance readings of the bottle empty, filled with sample, filled with
    water; `sample_temperature`, `water_temperature` [degC] of the liquids; `known_volume` [m3] at 20 degC
    from an earlier calibration; `nominal_volume` [m3] as marked, `u_nominal_volume` [m3] (1 % of it where
    None); `glass_expansion` cubic [1/K]; `air_density` [kg/m3]; `water_spread` [kg/m3] standard uncertainty
    for what the water is not pure in. Errors common to several readings: `u_thermometer` [K] of the one
    thermometer used throughout, `u_balance` relative, of the one balance. `petroleum` is false for water,
    salt water or cooking oil, true for lamp oil. `tared`: the balance was zeroed on the empty bottle, whose
    reading is then 0 with the uncertainty of that zero.
    """

    empty: Estimate
    sample: Estimate
    sample_temperature: Estimate
    water: Estimate | None = None
    water_temperature: Estimate | None = None
    known_volume: Estimate | None = None
    nominal_volume: float | None = None
    u_nominal_volume: float | None = None
    glass_expansion: Estimate = field(default=Estimate(BOROSILICATE, BOROSILICATE * EXPANSION_UNCERTAINTY))
    air_density: Estimate = UNKNOWN_AIR
    water_spread: float = WATER_UNCERTAINTY
    u_thermometer: float = 0.0
    u_balance: float = 0.0
    petroleum: bool = True
    tared: bool = False

    def nominal(self) -> Estimate | None:
        """The marked volume [m3] with the uncertainty it is given here."""
        if self.nominal_volume is None:
            return None
        return Estimate(
            self.nominal_volume,
            NOMINAL_SPREAD * self.nominal_volume if self.u_nominal_volume is None else self.u_nominal_volume,
        )


def check(readings: BottleReadings) -> tuple[Finding, ...]:
    """Everything that keeps the readings from being computed, all at once; empty where they can be.

    Parameters: `readings`. Returns Findings of severity `refused`.
    Source: [common-practice].
    """
    return tuple(_not_figures(readings)) or tuple(_unusable(readings))


def _not_figures(readings: BottleReadings) -> Iterator[Finding]:
    figures = {each.name: getattr(readings, each.name) for each in fields(readings)}
    code, needed = "bench-not-finite", "needed a number and an uncertainty of 0 or more"
    for name, entry in figures.items():
        if isinstance(entry, Estimate) and not (
            math.isfinite(entry.value) and math.isfinite(entry.u) and entry.u >= 0
        ):
            message = f"{entry.value!r} ± {entry.u!r} is not a finite reading"
            yield Finding(code, message, needed, where=name)
    needed = "needed a finite number of 0 or more"
    for name, entry in figures.items():
        if isinstance(entry, float) and not (math.isfinite(entry) and entry >= 0):
            yield Finding(code, f"{entry!r} is not a figure of 0 or more", needed, where=name)


def _unusable(readings: BottleReadings) -> Iterator[Finding]:
    if not readings.tared and not readings.empty.value > 0:
        needed = "needed the reading of the bottle, empty and dry"
        hint = "where the balance was zeroed on it, say so: 'tared: true'"
        yield Finding("bench-empty-bottle", "the empty bottle has no mass", needed, hint, "empty")
    for name, full in (("sample", readings.sample), ("water", readings.water)):
        if full is not None and not full.value > readings.empty.value:
            message = "the filled bottle is not heavier than the empty one"
            needed = "needed bottle and liquid together"
            yield Finding("bench-nothing-in-bottle", message, needed, where=name)
    if readings.water is not None and readings.water_temperature is None:
        message = "the water was weighed at no stated temperature"
        yield Finding("bench-water-temperature", message, "needed 0 to 40 degC", where="water_temperature")
    for code, name, temperature, low, high in (
        ("bench-water-temperature", "water_temperature", readings.water_temperature, 0, 40),
        ("bench-sample-temperature", "sample_temperature", readings.sample_temperature, -50, 95),
    ):
        if temperature is not None and not low < temperature.value < high:
            found, *ends = (book(each, "temperature") for each in (temperature.value, low, high))
            message = say("{} is no temperature of a liquid at the bench", found)
            yield Finding(code, message, say("needed between {} and {}", *ends), where=name)
    if not 0.5 <= readings.air_density.value <= 1.5:
        message = say("{} is not the density of air", Figure(readings.air_density.value, "density", extra=1))
        needed = say("needed {}", span_of(0.5, 1.5, "density"))
        yield Finding("bench-air-density", message, needed, where="air_density")
    if not 0 <= readings.glass_expansion.value <= 1e-3:
        message = f"{readings.glass_expansion.value:g} 1/K is no vessel's cubic expansion"
        yield Finding("bench-glass", message, "needed 0 to 1e-3 1/K", where="glass_expansion")
    if readings.water is None and readings.known_volume is None and readings.nominal_volume is None:
        message = "nothing says how much the bottle holds"
        needed = "needed a weighing with water, or a calibrated volume, or at least the marked one"
        yield Finding("bench-no-volume", message, needed, where="water")
    for name, volume in (("known_volume", readings.known_volume), ("nominal_volume", readings.nominal())):
        if volume is not None and not volume.value > 0:
            needed = "needed a volume above 0"
            yield Finding("bench-no-volume", "the bottle holds nothing", needed, where=name)
