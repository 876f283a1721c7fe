"""A bottle whose empty mass is not that of its calibration is another bottle, and the sheet says so."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from planner.density.bench import calibrations
from planner.density.bench.bench_results import weigh_sheet
from planner.density.bench.comparing import empty_change
from planner.density.bench.steps.calibration import Calibration
from planner.density.budget import Estimate, Missing
from planner.records.document import parse, read
from planner.records.sheets.bench import BottleSheet, load_sheet

SHEET = """\
bottle: 1
id: B-1
liquid: water
date: 2026-05-09
temperature: 20 degC
empty: {empty} g
sample: 76.23 g
{volume}
balance: {{resolution: 0.01 g, uncertainty: 0.01 g}}
"""


def sheet(
    folder: Path,
    empty: str,
    volume: str = "calibrated: {volume: 50 +/- 0.02 mL, date: 2026-01-10, empty: 26.34 g}",
) -> Path:
    path = folder / "bottle.yaml"
    path.write_text(SHEET.format(empty=empty, volume=volume), encoding="utf-8")
    return path


@pytest.mark.parametrize(("empty", "word"), [("25.99", "lighter"), ("26.69", "heavier")])
def test_an_empty_bottle_that_changed_is_told_at_its_line(tmp_path: Path, empty: str, word: str) -> None:
    bench = weigh_sheet(load_sheet(read(sheet(tmp_path, empty)), BottleSheet))
    (finding,) = [each for each in bench.findings if each.code == "bench-empty-changed"]
    assert f"0.350 g {word} than at its calibration of 2026-01-10" in finding.message
    assert finding.line == 6


def test_the_same_empty_bottle_is_not_told(tmp_path: Path) -> None:
    assert not [
        each
        for each in weigh_sheet(load_sheet(read(sheet(tmp_path, "26.35")), BottleSheet)).findings
        if each.code == "bench-empty-changed"
    ]


def test_only_a_change_beyond_u_counts() -> None:
    then = Estimate(0.02634, 1e-5)
    assert empty_change(Estimate(0.02634 + 2.7e-5, 1e-5), then, "2026-01-10") is None  # U = 2 x 1.41e-5
    assert empty_change(Estimate(0.02634 + 2.9e-5, 1e-5), then, "2026-01-10") is not None


def test_the_kept_calibration_remembers_the_empty_bottle(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))
    document = parse(SHEET.format(empty="26.34", volume="water: 76.23 g"), "first.yaml")
    bench = weigh_sheet(load_sheet(document, BottleSheet))
    kept = calibrations.from_bench(bench, document)
    assert kept is not None
    calibrations.keep(kept, bench.acknowledged)
    earlier = calibrations.kept()
    assert earlier.findings == ()
    for empty, word in (("26.34", ""), ("25.99", "lighter")):
        later = parse(SHEET.format(empty=empty, volume="water: 76.21 g"), "later.yaml")
        changed = calibrations.empty_since_last(weigh_sheet(load_sheet(later, BottleSheet)), later)
        assert word in changed.message if word and changed is not None else changed is None


def test_a_bottle_is_compared_with_its_last_calibration_that_is_in_use_and_kept_its_mass(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))

    def kept(day: int, empty: float | None, digest: str, bottle: str = "B-1") -> None:
        calibration = Calibration(
            bottle=bottle,
            on=date(2026, 1, day),
            volume=Estimate(50e-6, 1e-8),
            digest=digest * 64,
            sheet="sheet.yaml",
            observer="",
            path="",
            **({} if empty is None else {"empty": Estimate(empty, 1e-5)}),
        )
        calibrations.keep(calibration, Missing("a test"))

    document = parse(SHEET.format(empty="26.34", volume="water: 76.23 g"), "sheet.yaml")
    bench = weigh_sheet(load_sheet(document, BottleSheet))

    def told() -> str:
        found = calibrations.empty_since_last(bench, document)
        return "" if found is None else found.message

    assert told() == ""
    kept(1, 26.50e-3, "1")
    assert "0.160 g lighter than at its calibration of 2026-01-01" in told()
    kept(5, 26.30e-3, "2", bottle="another")
    kept(6, None, "3")
    assert "2026-01-01" in told()
    kept(3, 26.20e-3, "4")
    kept(2, 26.10e-3, "5")
    assert "0.140 g heavier than at its calibration of 2026-01-03" in told()
    calibrations.void(calibrations.kept(), "4", "a chip", date(2026, 2, 1))
    assert "0.240 g heavier than at its calibration of 2026-01-02" in told()


def test_a_tared_bottle_keeps_no_empty_mass_and_one_without_water_keeps_nothing() -> None:
    tared = SHEET.replace("empty: {empty} g", "tared: true").replace("76.23", "49.89")
    for text, kept in (
        (SHEET.format(empty="26.34", volume="water: 76.23 g"), Estimate),
        (tared.format(volume="water: 49.89 g"), Missing),
    ):
        document = parse(text, "sheet.yaml")
        bench = weigh_sheet(load_sheet(document, BottleSheet))
        found = calibrations.from_bench(bench, document)
        assert found is not None
        assert isinstance(found.empty, kept)
        assert found.volume == bench.result.volume_20c.result
        assert (found.bottle, found.on, found.sheet) == ("B-1", date(2026, 5, 9), "sheet.yaml")
    document = parse(SHEET.format(empty="26.34", volume="marked: 50 mL"), "sheet.yaml")
    assert calibrations.from_bench(weigh_sheet(load_sheet(document, BottleSheet)), document) is None
