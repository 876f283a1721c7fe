"""What is read at the bench for a density bottle, and what makes the readings unusable."""

from __future__ import annotations

import math
from dataclasses import field
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
UNKNOWN_AIR: Final = Estimate(
    CONVENTIONAL_AIR, 0.05
)  # kg/m3, a low aerodrome in ordinary weather; common practice, no published source


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
    found: list[Finding] = []

    def refuse(code: str, where: str, message: str, needed: str, hint: str = "") -> None:
        found.append(Finding(code=code, message=message, needed=needed, hint=hint, where=where))

    for name in (
        "empty",
        "sample",
        "sample_temperature",
        "water",
        "water_temperature",
        "known_volume",
        "glass_expansion",
        "air_density",
    ):
        entry: Estimate | None = getattr(readings, name)
        if entry is not None and not (math.isfinite(entry.value) and math.isfinite(entry.u) and entry.u >= 0):
            refuse(
                "bench-not-finite",
                name,
                f"{entry.value!r} ± {entry.u!r} is not a finite reading",
                "needed a number and an uncertainty of 0 or more",
            )
    for name in ("nominal_volume", "u_nominal_volume", "water_spread", "u_thermometer", "u_balance"):
        number: float | None = getattr(readings, name)
        if number is not None and not (math.isfinite(number) and number >= 0):
            refuse(
                "bench-not-finite",
                name,
                f"{number!r} is not a figure of 0 or more",
                "needed a finite number of 0 or more",
            )
    if found:
        return tuple(found)
    if not readings.tared and not readings.empty.value > 0:
        hint = "where the balance was zeroed on it, say so: 'tared: true'"
        refuse(
            "bench-empty-bottle",
            "empty",
            "the empty bottle has no mass",
            "needed the reading of the bottle, empty and dry",
            hint,
        )
    for name, full in (("sample", readings.sample), ("water", readings.water)):
        if full is not None and not full.value > readings.empty.value:
            refuse(
                "bench-nothing-in-bottle",
                name,
                "the filled bottle is not heavier than the empty one",
                "needed bottle and liquid together",
            )
    if readings.water is not None and readings.water_temperature is None:
        refuse(
            "bench-water-temperature",
            "water_temperature",
            "the water was weighed at no stated temperature",
            "needed 0 to 40 degC",
        )
    for code, name, temperature, low, high in (
        ("bench-water-temperature", "water_temperature", readings.water_temperature, 0, 40),
        ("bench-sample-temperature", "sample_temperature", readings.sample_temperature, -50, 95),
    ):
        if temperature is not None and not low < temperature.value < high:
            message = say(
                "{} is no temperature of a liquid at the bench", book(temperature.value, "temperature")
            )
            refuse(
                code,
                name,
                message,
                say("needed between {} and {}", book(low, "temperature"), book(high, "temperature")),
            )
    if not 0.5 <= readings.air_density.value <= 1.5:
        message = say("{} is not the density of air", Figure(readings.air_density.value, "density", extra=1))
        refuse("bench-air-density", "air_density", message, say("needed {}", span_of(0.5, 1.5, "density")))
    if not 0 <= readings.glass_expansion.value <= 1e-3:
        refuse(
            "bench-glass",
            "glass_expansion",
            f"{readings.glass_expansion.value:g} 1/K is no vessel's cubic expansion",
            "needed 0 to 1e-3 1/K",
        )
    if readings.water is None and readings.known_volume is None and readings.nominal_volume is None:
        needed = "needed a weighing with water, or a calibrated volume, or at least the marked one"
        refuse("bench-no-volume", "water", "nothing says how much the bottle holds", needed)
    for name, volume in (("known_volume", readings.known_volume), ("nominal_volume", readings.nominal())):
        if volume is not None and not volume.value > 0:
            refuse("bench-no-volume", name, "the bottle holds nothing", "needed a volume above 0")
    return tuple(found)
