"""What stands in where a sheet of the bench is silent: each the same as if the sheet had said it, and told."""

from __future__ import annotations

import math

import pytest

from planner.density.bench.bench_values import Values, bottle_values, hydrometer_values
from planner.density.bench.hydrometer import HydrometerReading
from planner.density.budget import Estimate
from planner.records.document import parse
from planner.records.sheets.bench import BottleSheet, HydrometerSheet, load_sheet

BOTTLE = """\
bottle: 1
id: B1
liquid: lamp oil
date: 2026-05-09
empty: 27.41 g
water: 77.21 g
sample: 66.15 g
"""
AT_20 = "temperature: 20 +/- 0.3 degC\n"
FLOATED = """\
hydrometer: 1
id: H1
liquid: lamp oil
date: 2026-05-09
reading: 800 kg/m3
temperature: 18 degC
glass_correction: true
"""
HYDROMETER_TOLD = ("division of the scale", "of the reading", "of the thermometer", "for the meniscus")


def values(text: str) -> Values:
    return bottle_values(load_sheet(parse(text, "b.yaml"), BottleSheet).record)


def air(text: str) -> Values:
    return values(f"{BOTTLE}{AT_20}air: {{{text}}}\n")


def floated(text: str) -> tuple[HydrometerReading, tuple[str, ...]]:
    return hydrometer_values(load_sheet(parse(text, "h.yaml"), HydrometerSheet).record)


def told(sentences: tuple[str, ...], *words: str) -> list[str]:
    return [each for each in words if any(each in sentence for sentence in sentences)]


# 2 K beside the sample's own 0.3 K; half of 0 to 100 % evenly; 1 hPa beside that of the QNH, and 10 hPa of
# weather where there is none: all common practice, no published source.
@pytest.mark.parametrize(
    ("silent", "stated", "words"),
    [
        (
            "pressure: 1000 hPa, humidity: 40 %",
            f"pressure: 1000 hPa, humidity: 40 %, temperature: 20 +/- {math.hypot(0.3, 2)!r} degC",
            "temperature of the air: that of the sample, 20 degC, standard uncertainty 2 K",
        ),
        (
            "pressure: 1000 hPa, temperature: 25 +/- 1 degC",
            f"pressure: 1000 hPa, temperature: 25 +/- 1 degC, humidity: 50 +/- {50 / math.sqrt(3)!r} %",
            "humidity of the air: 50 %",
        ),
        (
            "altitude: 0 m, qnh: 1000 +/- 3 hPa, temperature: 25 degC, humidity: 40 %",
            f"pressure: 1000 +/- {math.hypot(3, 1)!r} hPa, temperature: 25 degC, humidity: 40 %",
            "",
        ),
        (
            "altitude: 0 m, temperature: 25 degC, humidity: 40 %",
            "pressure: 1013.25 +/- 10 hPa, temperature: 25 degC, humidity: 40 %",
            "pressure from the altitude alone: 10 hPa",
        ),
    ],
)
def test_air_half_known_is_that_with_the_rest_filled_in(silent: str, stated: str, words: str) -> None:
    said, filled = air(silent), air(stated)
    assert said.readings.air_density.value == pytest.approx(filled.readings.air_density.value, rel=1e-12)
    assert said.readings.air_density.u == pytest.approx(filled.readings.air_density.u, rel=1e-9)
    about = ("temperature of the air", "humidity of the air", "pressure from", "density of the air")
    assert told(filled.sentences, *about) == []
    assert told(said.sentences, *about) == [each for each in about if each in words]
    assert told(said.sentences, words) == [words]


def test_no_air_at_all_is_that_of_a_low_aerodrome() -> None:
    """1.2 kg/m3 is the conventional air of OIML D 28; 0.05 kg/m3: common practice, no published source."""
    found = values(BOTTLE + AT_20)
    assert found.readings.air_density == Estimate(1.2, 0.05)
    assert told(found.sentences, "density of the air: 1.2 kg/m3, standard uncertainty 0.05 kg/m3")


@pytest.mark.parametrize(
    ("text", "told_too"),
    [
        ("sample_temperature: 20 +/- 0.1 degC\nwater_temperature: 20 +/- 0.2 degC\n", []),
        ("sample_temperature: 20 +/- 0.1 degC\nwater_temperature: 20 degC\n", ["stated without one: 0.5 K"]),
        ("temperature: 20 degC\n", ["thermometer: 0.5 K, the same error in every reading"]),
        ("temperature: 20 +/- 0.2 degC\n", []),
        ("temperature: 20 degC\nthermometer: 0.2 degC\n", []),
    ],
)
def test_a_thermometer_is_assumed_only_where_nothing_is_stated(text: str, told_too: list[str]) -> None:
    words = ("stated without one: 0.5 K", "thermometer: 0.5 K, the same error in every reading")
    assert told(values(BOTTLE + text).sentences, *words) == told_too


def test_a_bottle_without_water_has_the_temperature_of_its_sample_only() -> None:
    without = BOTTLE.replace("water: 77.21 g", "marked: 50 mL")
    found = values(without + "sample_temperature: 20 degC\n")
    assert found.readings.water_temperature is None
    assert found.readings.sample_temperature == Estimate(20.0, 0.0)
    assert found.readings.u_thermometer == 0.5
    assert not told(found.sentences, "demineralised")
    assert told(values(BOTTLE + AT_20).sentences, "demineralised", "0.02 kg/m3 of pure")
    own = values(without + "sample_temperature: 20 +/- 0.1 degC\n")
    assert (own.readings.sample_temperature, own.readings.u_thermometer) == (Estimate(20.0, 0.1), 0.0)


def test_the_volume_of_a_marked_or_calibrated_bottle_is_as_sure_as_stated_or_assumed() -> None:
    """1 % of a mark, 0.1 % of a calibration: common practice, no published source."""
    for key, u, words in (
        ("marked: 50 mL", 0.5, "standard uncertainty of the marked volume: 1 %"),
        ("marked: 50 +/- 0.2 mL", 0.2, ""),
        ("calibrated: {volume: 50 mL, date: 2026-01-10}", 0.05, "of the calibrated volume: 0.1 %"),
        ("calibrated: {volume: 50 +/- 0.2 mL, date: 2026-01-10}", 0.2, ""),
    ):
        found = values(BOTTLE.replace("water: 77.21 g", key) + AT_20)
        volume = found.readings.known_volume or found.readings.nominal()
        assert volume is not None
        assert volume == Estimate(pytest.approx(50e-6), pytest.approx(u * 1e-6, rel=1e-12))
        assert told(found.sentences, "uncertainty of the marked", "uncertainty of the calibrated") == [
            each
            for each in ("uncertainty of the marked", "uncertainty of the calibrated")
            if each[15:] in words
        ]
        assert told(found.sentences, words) == [words]


@pytest.mark.parametrize(
    ("balance", "u", "scale", "words"),
    [
        ("", math.hypot(1e-5 / math.sqrt(12), 1e-5), 2e-4, ["last digit", "one step, 0.01 g", "0.02 %"]),
        ("resolution: 0.02 g", math.hypot(2e-5 / math.sqrt(12), 2e-5), 2e-4, ["one step, 0.02 g", "0.02 %"]),
        ("uncertainty: 0.03 g", math.hypot(1e-5 / math.sqrt(12), 3e-5), 2e-4, ["last digit", "0.02 %"]),
        ("scale: 0 %", math.hypot(1e-5 / math.sqrt(12), 1e-5), 0.0, ["last digit", "one step, 0.01 g"]),
    ],
)
def test_a_balance_is_as_good_as_its_step_unless_more_is_said(
    balance: str, u: float, scale: float, words: list[str]
) -> None:
    """One step, and 0.02 % of the scale: common practice, no published source."""
    found = values(BOTTLE + AT_20 + (f"balance: {{{balance}}}\n" if balance else ""))
    assert found.readings.sample.u == pytest.approx(u, rel=1e-12)
    assert found.readings.u_balance == pytest.approx(scale)
    every = ("last digit", "one step, 0.01 g", "one step, 0.02 g", "0.02 %")
    assert told(found.sentences, *every) == words
    step = 0.02 if "0.02 g" in balance else 0.01
    rounding = f"resolution/sqrt(12) = {step / math.sqrt(12):.3g} g; with the above u = {u * 1e3:.3g} g"
    assert told(found.sentences, rounding)


def test_air_that_is_stated_without_uncertainties_is_as_sure_as_its_formula() -> None:
    """2e-4 of it: OIML R 111-1 E.3."""
    found = air("pressure: 1000 hPa, temperature: 20 degC, humidity: 40 %").readings.air_density
    assert found.u == pytest.approx(2e-4 * found.value, rel=1e-9)


def test_glass_nobody_named_may_be_either() -> None:
    """9.9e-6 and 27e-6 per kelvin, each within 5 %: common practice, from memory."""
    for text, value, u in (
        ("", 9.9e-6, 27e-6 - 9.9e-6),
        ("glass: borosilicate\n", 9.9e-6, 0.05 * 9.9e-6),
        ("glass: soda-lime\n", 27e-6, 0.05 * 27e-6),
    ):
        found = values(BOTTLE + AT_20 + text)
        assert found.readings.glass_expansion == Estimate(pytest.approx(value), pytest.approx(u))
        assert bool(told(found.sentences, "glass: borosilicate or soda-lime")) is (not text)


def test_a_series_of_readings_is_carried_to_the_moment_it_was_closed() -> None:
    """66.15 g less 0.1 mg/s: 66.149 g at 10 s. The balance's own 1 mg comes to the line's own u."""
    rows = ", ".join(f"[{t} s, {66.15 - 1e-4 * t:.4f} g]" for t in (30, 60, 90, 120, 150))
    series = f"sample: {{closed: 10 s, readings: [{rows}]}}"
    sheet = BOTTLE.replace("sample: 66.15 g", series) + AT_20
    found = values(sheet + "balance: {resolution: 0.1 mg, uncertainty: 1 mg}\n")
    ((name, line),) = found.closed
    assert (name, line.closed_at) == ("sample", 10.0)
    assert found.readings.sample.value == pytest.approx(66.149e-3, abs=1e-9)
    assert found.readings.sample.u == pytest.approx(math.hypot(line.reading.u, 1e-6), rel=1e-12)


def test_a_series_that_cannot_be_used_is_told_at_its_readings_and_nothing_else_is() -> None:
    rows = "[30 s, 66.15 g], [60 s, 66.15 g]"
    found = values(BOTTLE.replace("sample: 66.15 g", f"sample: {{readings: [{rows}]}}") + AT_20)
    assert [(place, finding.code) for place, finding in found.findings] == [
        (("sample", "readings"), "bench-evaporation-few")
    ]
    assert found.readings.sample == Estimate(pytest.approx(66.15e-3), 0.0)
    assert found.closed == ()


def test_a_tared_balance_is_at_zero_within_one_reading() -> None:
    tared = values(BOTTLE.replace("empty: 27.41 g", "tared: true") + AT_20)
    assert tared.readings.empty == Estimate(0.0, pytest.approx(math.hypot(1e-5 / math.sqrt(12), 1e-5)))
    assert told(tared.sentences, "tared on the empty bottle")
    assert not told(values(BOTTLE + AT_20).sentences, "tared")


@pytest.mark.parametrize(
    ("change", "u", "u_temperature", "stated"),
    [
        ("", math.hypot(1 / math.sqrt(12), 0.5), 0.5, ()),
        ("division: 0.5 kg/m3", math.hypot(0.5 / math.sqrt(12), 0.5), 0.5, ("division of the scale",)),
        ("reading: 800 +/- 0.7 kg/m3", 0.7, 0.5, ("division of the scale", "of the reading")),
        ("temperature: 18 +/- 0.2 degC", math.hypot(1 / math.sqrt(12), 0.5), 0.2, ("of the thermometer",)),
        ("reference_temperature: 20 degC", math.hypot(1 / math.sqrt(12), 0.5), 0.5, ()),
        ("meniscus: 0.6 kg/m3", math.hypot(1 / math.sqrt(12), 0.5), 0.5, ("for the meniscus",)),
        ("meniscus: 0.6 +/- 0.2 kg/m3", math.hypot(1 / math.sqrt(12), 0.5), 0.5, ("for the meniscus",)),
    ],
)
def test_a_hydrometer_is_as_good_as_its_division_unless_more_is_said(
    change: str, u: float, u_temperature: float, stated: tuple[str, ...]
) -> None:
    """1 kg/m3 of a division, 0.5 kg/m3 of the scale, 0.5 K: common practice, no published source."""
    kept = [line for line in FLOATED.splitlines() if line.split(":")[0] != change.split(":")[0]]
    taken, sentences = floated("\n".join([*kept, change]) + "\n")
    assert taken.reading == Estimate(800.0, pytest.approx(u, rel=1e-12))
    assert taken.temperature == Estimate(18.0, pytest.approx(u_temperature))
    assert taken.meniscus == Estimate(0.6 * ("meniscus" in change), 0.2 * ("+/- 0.2 kg" in change))
    assert taken.reference_temperature == (20.0 if "reference" in change else 15.0)
    assert told(sentences, *HYDROMETER_TOLD) == [each for each in HYDROMETER_TOLD if each not in stated]
