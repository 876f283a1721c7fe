"""Readings of a bottle that cannot be right: a slipped unit, a bottle that holds too little or too much."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.density.bench.readings import BottleReadings
from planner.quantities.errors import Finding
from planner.quantities.sentences import Figure, percent, say, span_of

WATER: Final = 998.0  # kg/m3, near enough to see a slipped unit
LIGHTEST: Final = 300.0  # kg/m3
HEAVIEST: Final = 3000.0  # kg/m3
SMALLEST_BOTTLE: Final = 1e-6  # m3
LARGEST_BOTTLE: Final = 1e-2  # m3
MOST_UNSURE: Final = 0.1  # relative; beyond it the first-order budget holds no longer, and a unit has slipped
MOST_UNSURE_TEMPERATURE: Final = 10.0  # K


def implausible(readings: BottleReadings) -> Iterator[Finding]:
    """Figures that are no density bottle's, at the names the engine gives them: a slipped unit, or a slipped
    digit.

    bench-volume-implausible, bench-density-implausible, bench-uncertainty-implausible.
    """
    volumes = {"known_volume": readings.known_volume, "nominal_volume": readings.nominal()}
    for name, volume in volumes.items():
        if volume is not None and not SMALLEST_BOTTLE <= volume.value <= LARGEST_BOTTLE:
            message = f"{volume.value * 1e6:.4g} mL is no density bottle"
            needed = "needed 1 mL to 10 L"
            yield Finding("bench-volume-implausible", message, needed, "check the unit", name)
    water = readings.water_temperature
    shares = {name: entry.u / entry.value for name, entry in volumes.items() if entry is not None}
    shares |= {
        name: entry.u / entry.value
        for name in ("empty", "sample", "water")
        if (entry := getattr(readings, name)) is not None and entry.value
    }
    shares["u_balance"] = readings.u_balance
    for name, share in shares.items():
        if share > MOST_UNSURE:
            message = f"a standard uncertainty of {percent(share)} measures nothing"
            hint = "check the unit, and step and uncertainty of the balance"
            needed = f"needed at most {percent(MOST_UNSURE)}"
            yield Finding("bench-uncertainty-implausible", message, needed, hint, name)
    steps = {
        "u_thermometer": readings.u_thermometer,
        "sample_temperature": readings.sample_temperature.u,
        "water_temperature": water.u if water else 0.0,
    }
    for name, step in steps.items():
        if step > MOST_UNSURE_TEMPERATURE:
            message = f"a temperature unsure by {step:.3g} K measures nothing"
            needed = f"needed at most {MOST_UNSURE_TEMPERATURE:g} K"
            yield Finding("bench-uncertainty-implausible", message, needed, "check the unit", name)
    by_volume = readings.known_volume or readings.nominal()
    held = by_volume.value if by_volume is not None else 0.0
    if readings.water is not None:
        held = (readings.water.value - readings.empty.value) / WATER
    # One of the three volumes is above 0, or `check` refused.
    density = (readings.sample.value - readings.empty.value) / held
    if not LIGHTEST <= density <= HEAVIEST:
        message = say(
            "the liquid would have about {}, which none for this bench has", Figure(density, "density", -1)
        )
        needed = say("needed {}", span_of(LIGHTEST, HEAVIEST, "density"))
        hint = "check every reading and its unit"
        yield Finding("bench-density-implausible", message, needed, hint, "sample")
