"""A sheet worked out: what a density is worth in the tanks, what it is compared with, and by whom it was read."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.density.bench.bench_results import float_sheet, weigh_sheet
from planner.density.bench.comparing import Comparison
from planner.density.bench.steps.results import Acknowledged, AsRead, BottleBench, InTanks
from planner.density.budget import Estimate, Missing
from planner.quantities.errors import InputRefused
from planner.records.document import parse
from planner.records.sheets.bench import BottleSheet, HydrometerSheet, load_sheet

SHEET = """\
bottle: 1
id: B1
liquid: avgas-100LL
date: 2026-05-09
observer: A. Penrose
cautions_acknowledged: true
marked: 50 mL
empty: 27.41 g
water: 77.21 g
sample: 63.15 g
temperature: 20 +/- 0.2 degC
"""
PLACE = str(Path(__file__).parents[2] / "docs" / "flights" / "b.yaml")


def weighed(text: str) -> BottleBench:
    return weigh_sheet(load_sheet(parse(text, PLACE), BottleSheet))


def told(bench: BottleBench) -> dict[str, int]:
    return {finding.code: finding.line for finding in bench.findings}


def test_the_effect_is_told_for_100_litres_or_for_full_tanks() -> None:
    """The demonstration aircraft holds two times 72 L of usable fuel."""
    for text, volume, words in (
        (SHEET, 0.1, "100 L"),
        (SHEET + "aircraft: thornlea-t4\n", 0.144, "the full usable fuel of the invented Thornlea T4"),
    ):
        bench = weighed(text)
        tanks, error = bench.uncertainty_in_tanks, bench.nominal_error
        assert isinstance(error, InTanks)
        assert isinstance(bench.result.nominal_density, Estimate)
        assert (tanks.volume, tanks.words) == (pytest.approx(volume), words)
        assert (error.volume, error.words) == (tanks.volume, words)
        assert tanks.difference == pytest.approx(2 * bench.result.density.u * volume)
        away = bench.result.nominal_density.value - bench.result.density.value
        assert error.difference == pytest.approx(away * volume)


def test_what_the_mark_did_wrong_is_not_known_where_nothing_else_is() -> None:
    only = weighed(SHEET.replace("water: 77.21 g\n", ""))
    none = weighed(SHEET.replace("marked: 50 mL\n", ""))
    assert isinstance(only.nominal_error, Missing)
    assert isinstance(none.nominal_error, Missing)
    assert "only one known" in only.nominal_error.reason
    assert "no volume is marked" in none.nominal_error.reason


def test_readings_taken_for_masses_and_the_mark_for_the_volume() -> None:
    """By hand: 35.74 g and 49.80 g over 50 mL."""
    careless = weighed(SHEET).as_read
    assert careless == AsRead(pytest.approx(714.8), pytest.approx(996.0))
    dry = weighed(SHEET.replace("water: 77.21 g\n", "")).as_read
    assert isinstance(dry, AsRead)
    assert dry.sample == pytest.approx(714.8)
    assert isinstance(dry.water, Missing)
    assert isinstance(weighed(SHEET.replace("marked: 50 mL\n", "")).as_read, Missing)


def test_a_batch_stated_without_one_is_unsure_by_half_a_kilogram() -> None:
    """0.5 kg/m3: common practice, no published source."""
    words = "standard uncertainty of the batch density: 0.5 kg/m3"
    for text, u, said in (("720 kg/m3", 0.5, True), ("720 +/- 0.2 kg/m3", 0.2, False)):
        bench = weighed(f"{SHEET}batch: {{density: {text}}}\n")
        assert bench.batch_15c == Estimate(pytest.approx(720.0), pytest.approx(u))
        assert any(words in each for each in bench.sentences) is said


def test_only_a_sample_that_differs_from_its_batch_is_told() -> None:
    value = weighed(SHEET).result.density_15c
    assert isinstance(value, Estimate)
    for away, line in ((0.0, None), (8.0, 12), (-8.0, 12)):
        found = weighed(f"{SHEET}batch: {{density: {value.value + away!r} kg/m3}}\n")
        assert told(found).get("bench-differs-from-batch") == line
        assert isinstance(found.comparison, Comparison)
        assert found.comparison.difference.value == pytest.approx(-away, abs=1e-6), (
            "the sample less the batch"
        )
        assert found.comparison.sample == value
    assert isinstance(weighed(SHEET).comparison, Missing)
    salt = weighed(SHEET.replace("avgas-100LL", "salt water").replace("63.15 g", "78.5 g"))
    assert isinstance(salt.comparison, Missing)


def test_an_unleaded_batch_is_moved_less_surely() -> None:
    """0.2 % for 25 K instead of 0.1 % (common practice, no published source), over the 10 K from 25 degC."""
    squares = []
    for grade in ("avgas-100LL", "avgas-UL91"):
        text = SHEET.replace("avgas-100LL", grade) + "batch: {density: 700 +/- 0.2 kg/m3, at: 25 degC}\n"
        found = weighed(text).batch_15c
        assert isinstance(found, Estimate)
        squares.append((found.value, found.u**2))
    (value, leaded), (_, unleaded) = squares
    assert unleaded - leaded == pytest.approx(3 * (0.001 * value * 10 / 25) ** 2, rel=1e-6)


def test_who_acknowledged_the_cautions_stands_with_the_result() -> None:
    by = weighed(SHEET).acknowledged
    assert isinstance(by, Acknowledged)
    assert (by.by, by.on.isoformat(), by.given) == ("A. Penrose", "2026-05-09", "in the sheet")
    nobody = weighed(SHEET.replace("observer: A. Penrose\n", "")).acknowledged
    assert isinstance(nobody, Acknowledged)
    assert "not named" in nobody.by
    water = SHEET.replace("avgas-100LL", "water").replace("cautions_acknowledged: true\n", "")
    assert isinstance(weighed(water.replace("63.15", "77.20")).acknowledged, Missing)


def test_a_grade_the_aircraft_may_not_use_is_told_and_a_classroom_liquid_is_none() -> None:
    aircraft = "aircraft: thornlea-t4\n"
    assert "grade-not-allowed" not in told(weighed(SHEET + aircraft))
    jet = SHEET.replace("avgas-100LL", "jet-A1").replace("63.15", "67.2")
    assert told(weighed(jet + aircraft))["grade-not-allowed"] == 3
    (notice,) = [each for each in weighed(jet + aircraft).findings if each.code == "grade-not-allowed"]
    assert "may not use Jet A-1" in notice.message
    assert "its profile allows" in notice.needed
    assert notice.hint == "do not fly with it"
    oil = SHEET.replace("avgas-100LL", "cooking oil").replace("63.15", "73.2")
    assert "grade-not-allowed" not in told(weighed(oil + aircraft))


@pytest.mark.parametrize(
    ("then", "changed"), [("27.43 +/- 0.001 g", False), ("27.45 g", True), ("27.43 g", False)]
)
def test_an_empty_bottle_is_compared_as_surely_as_it_was_weighed(then: str, changed: bool) -> None:
    """A reading is unsure by 0.0104 g: U is 0.0209 g against one of 0.001 g, 0.0294 g against its like."""
    volume = f"calibrated: {{volume: 49.95 +/- 0.02 mL, date: 2026-01-10, empty: {then}}}"
    bench = weighed(SHEET.replace("water: 77.21 g", volume))
    assert ("bench-empty-changed" in told(bench)) is changed
    sure = weighed(SHEET.replace("water: 77.21 g", volume.replace(then, "27.435 +/- 0.001 g")))
    like = weighed(SHEET.replace("water: 77.21 g", volume.replace(then, "27.435 g")))
    assert ["bench-empty-changed" in told(each) for each in (sure, like)] == [True, False]


def test_a_tared_bottle_is_told_and_not_compared() -> None:
    text = SHEET.replace("empty: 27.41 g", "tared: true").replace("77.21", "49.80").replace("63.15", "35.74")
    assert told(weighed(text))["bench-tared"] == 8
    volume = "calibrated: {volume: 49.95 +/- 0.02 mL, date: 2026-01-10, empty: 27.41 g}"
    found = told(weighed(text.replace("water: 49.80 g", volume)))
    assert "bench-tared" in found
    assert "bench-empty-changed" not in found
    assert "bench-tared" not in told(weighed(SHEET))


def test_a_notice_about_a_temperature_stands_where_the_temperature_does() -> None:
    own = "sample_temperature: 24.5 degC\nwater_temperature: 21 degC\n"
    found = told(weighed(SHEET.replace("temperature: 20 +/- 0.2 degC\n", own)))
    assert found["bench-temperature-mismatch"] == 11


def test_a_hydrometer_is_worked_out_in_the_same_way() -> None:
    text = """\
hydrometer: 1
id: H1
liquid: avgas-100LL
date: 2026-05-09
cautions_acknowledged: true
reading: 716.5 +/- 0.4 kg/m3
temperature: 18 +/- 0.2 degC
glass_correction: true
"""
    bench = float_sheet(load_sheet(parse(text, PLACE), HydrometerSheet))
    assert bench.uncertainty_in_tanks.difference == pytest.approx(2 * bench.result.density.u * 0.1)
    assert [finding.code for finding in bench.findings] == []
    assert any("the level surface" in each for each in bench.sentences)
    assert isinstance(bench.acknowledged, Acknowledged)
    assert bench.acknowledged.given == "in the sheet"
    light = text.replace("716.5", "612")
    with pytest.raises(InputRefused) as caught:
        float_sheet(load_sheet(parse(light, PLACE), HydrometerSheet))
    assert [(finding.code, finding.line) for finding in caught.value.findings] == [
        ("density-out-of-range", 6)
    ]


def test_everything_that_is_wrong_is_told_at_once_and_a_slip_only_by_its_name() -> None:
    text = SHEET.replace("27.41 g", "27.41 kg").replace("20 +/- 0.2", "120") + "aircraft: nobody\n"
    with pytest.raises(InputRefused) as caught:
        weighed(text + "batch: {density: 7.2 kg/L}\n")
    assert [(finding.code, finding.line) for finding in caught.value.findings] == [
        ("bench-mass-implausible", 8),
        ("bench-water-temperature", 11),
        ("bench-sample-temperature", 11),
        ("aircraft-not-found", 12),
        ("density-out-of-range", 13),
    ]
    nobody = caught.value.findings[3]
    assert "no profile 'nobody'" in nobody.message
    assert "needed an id or a path" in nobody.needed


def test_a_sheet_without_a_temperature_is_told_that_and_nothing_else() -> None:
    with pytest.raises(InputRefused) as caught:
        weighed(SHEET.replace("temperature: 20 +/- 0.2 degC\n", ""))
    assert {finding.code for finding in caught.value.findings} == {"bench-temperature-missing"}
