"""Kept bottle calibrations: whole or absent, written once, never touched again, and nothing foreign
believed.
"""

from __future__ import annotations

import json
import math
import os
import signal
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest

from planner.density.bench import calibrations
from planner.density.bench.calibrations import content_digest, folder, keep, kept, void
from planner.density.bench.steps.calibration import Calibration, ChartPoint, change_since_last
from planner.density.budget import Estimate, Missing
from planner.quantities.errors import InputRefused
from planner.records.document import parse

ROOT = Path(__file__).resolve().parents[2]
NOT_NEEDED = Missing("a classroom liquid")


@pytest.fixture(autouse=True)
def _data(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))


def made(
    bottle: str = "B07", day: int = 1, volume: float = 50e-6, u: float = 1e-8, digest: str = "a" * 64
) -> Calibration:
    return Calibration(
        bottle=bottle,
        on=date(2026, 5, day),
        volume=Estimate(volume, u),
        digest=digest,
        sheet="sheet.yaml",
        observer="A. Penrose",
        path="",
    )


def test_a_calibration_comes_back_as_it_went() -> None:
    path, written = keep(made(), NOT_NEEDED)
    assert written
    text = path.read_text(encoding="utf-8")
    assert text == json.dumps(json.loads(text), indent=2, ensure_ascii=False) + "\n", "a line for each figure"
    (back,) = kept().calibrations
    assert back.path == str(path)
    assert (back.bottle, back.on, back.volume, back.digest, back.sheet, back.observer) == (
        "B07",
        date(2026, 5, 1),
        Estimate(50e-6, 1e-8),
        "a" * 64,
        "sheet.yaml",
        "A. Penrose",
    )


def test_the_same_sheet_is_kept_once_and_left_alone() -> None:
    path, _ = keep(made(), NOT_NEEDED)
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    again, written = keep(made(volume=51e-6), NOT_NEEDED)
    assert (again, written) == (path, False)
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before


@pytest.mark.parametrize("bottle", ["../../etc/passwd", "B/07", "", "…", "a" * 60, "-rf", "CON"])
def test_a_label_never_leads_out_of_the_folder(bottle: str) -> None:
    path, written = keep(made(bottle), NOT_NEEDED)
    assert written
    assert path.parent == folder()
    assert kept().calibrations[0].bottle == bottle


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"", "not a kept calibration"),
        (b"{", "not a kept calibration"),
        (b"\xff\xfe", "not a kept calibration"),
        (b"[1, 2]", "not marked"),
        (b'{"schema": "something/else"}', "not marked"),
        (b'{"schema": "planner/bottle-calibration/1"}', "not a kept calibration"),
        (b"[" * 60000, "not a kept calibration"),
        (b" " * 70000, "larger"),
    ],
)
def test_foreign_files_are_told_and_left(content: bytes, reason: str) -> None:
    keep(made(), NOT_NEEDED)
    foreign = folder() / "notes.json"
    foreign.write_bytes(content)
    found = kept()
    assert len(found.calibrations) == 1
    (finding,) = found.findings
    assert (finding.code, finding.severity, finding.path) == (
        "calibration-unreadable",
        "notice",
        str(foreign),
    )
    assert reason in finding.message
    assert foreign.read_bytes() == content


def test_an_edited_figure_is_not_believed() -> None:
    path, _ = keep(made(), NOT_NEEDED)
    whole = json.loads(path.read_text())
    whole["calibration"]["volume_20c_m3"] = 60e-6
    path.write_text(json.dumps(whole))
    found = kept()
    assert found.calibrations == ()
    assert "seal" in found.findings[0].message


def test_a_folder_among_the_files_is_told() -> None:
    keep(made(), NOT_NEEDED)
    (folder() / "old").mkdir()
    assert [finding.code for finding in kept().findings] == ["calibration-unreadable"]


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file where the folder should be")
    with pytest.raises(InputRefused) as caught:
        keep(made(), NOT_NEEDED)
    assert caught.value.findings[0].code == "file-unwritable"
    assert "--no-keep" in caught.value.findings[0].hint


def test_change_is_judged_by_the_uncertainty_of_the_difference() -> None:
    keep(made(day=1, digest="a" * 64), NOT_NEEDED)
    keep(made(day=3, volume=50.02e-6, digest="b" * 64), NOT_NEEDED)
    earlier = kept()
    # U = 2 sqrt(2) x 0.01 mL = 0.0283 mL
    within = change_since_last(made(day=5, volume=50.048e-6, digest="c" * 64), earlier)
    beyond = change_since_last(made(day=5, volume=50.049e-6, digest="c" * 64), earlier)
    assert within is not None
    assert beyond is not None
    assert within.last.on == beyond.last.on == date(2026, 5, 3)
    assert (within.exceeds, beyond.exceeds) == (False, True)
    # Between the two days the earlier one is the last; before both, the nearer of what came after is not
    # older: the latest is taken.
    between = change_since_last(made(day=2, digest="c" * 64), earlier)
    assert between is not None
    assert between.last.on == date(2026, 5, 1)
    assert change_since_last(made("another", digest="c" * 64), earlier) is None
    # The sheet itself is not its own predecessor.
    own = change_since_last(made(day=3, digest="b" * 64), earlier)
    assert own is not None
    assert own.last.digest == "a" * 64


def test_the_digest_sees_content_and_not_layout() -> None:
    one = parse("bottle: 1\nempty: 27.41 g\n", "a")
    assert content_digest(one) == content_digest(
        parse("# a comment\nempty:   27.41 g\ncautions_acknowledged: true\nbottle: 1\n", "b")
    )
    assert content_digest(one) != content_digest(parse("bottle: 1\nempty: 27.42 g\n", "a"))


WRITER = """
import sys
from datetime import date
from planner.density.budget import Estimate, Missing
from planner.density.bench.calibrations import Calibration, keep
first, last = int(sys.argv[1]), int(sys.argv[2])
print("go", flush=True)
written = 0
for number in range(first, last):
    digest = f"{number:064x}"[::-1]
    written += keep(Calibration("B", date(2026, 5, 1), Estimate(50e-6 + number * 1e-12, 1e-8), digest, "s", "", ""), Missing(""))[1]
print(written)
"""


def start(*arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, *arguments],
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env={**os.environ},
    )


def test_two_processes_at_once_write_each_once() -> None:
    both = [start("0", "60"), start("0", "60")]
    written = [int(process.communicate(timeout=60)[0].split()[1]) for process in both]
    assert [process.returncode for process in both] == [0, 0]
    assert sum(written) == 60
    found = kept()
    assert (len(found.calibrations), found.findings) == (60, ())


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL")
@pytest.mark.parametrize("wait", [0.01, 0.05, 0.12])
def test_a_kill_leaves_no_half_file(wait: float) -> None:
    process = start("0", "1000000")
    assert process.stdout is not None
    assert process.stdout.readline() == "go\n"
    time.sleep(wait)
    process.send_signal(signal.SIGKILL)
    process.wait(timeout=10)
    process.stdout.close()
    found = kept()
    assert found.findings == ()
    for each in found.calibrations:
        assert each.volume.u == 1e-8
    # and what was cut short can be written now
    path, _ = keep(made(digest="f" * 64), NOT_NEEDED)
    assert path.is_file()
    assert kept().findings == ()


def test_the_control_chart_accuses_the_one_that_is_off_and_no_other() -> None:
    """By hand: 50.00 and 50.01 mL with u 0.01 have the mean 50.005, u 0.00707; 50.10 is 0.095 off, more than
    3 x 0.01225.
    """
    for number, volume in enumerate((50.00, 50.01, 50.10, 50.00)):
        keep(made(day=1 + number, volume=volume * 1e-6, digest=str(number) * 64), NOT_NEEDED)
    chart = kept().chart("B07")
    assert [each.outside for each in chart] == [False, False, True, False]
    assert chart[2].mean == pytest.approx(50.005e-6)
    assert chart[2].u == pytest.approx(math.hypot(0.01, 0.01 / math.sqrt(2)) * 1e-6)
    assert chart[3].mean == pytest.approx(50.005e-6), "what was off is not in the mean"
    assert kept().chart("another") == ()


def test_a_surer_calibration_weighs_more_in_the_mean() -> None:
    """By hand: 50.00 with u 0.01 and 50.03 with u 0.02 mL count 4 to 1: 50.006, u 0.01/sqrt(1.25)."""
    for number, (volume, u) in enumerate(((50.00, 0.01), (50.03, 0.02), (50.01, 0.01))):
        keep(made(day=1 + number, volume=volume * 1e-6, u=u * 1e-6, digest=str(number) * 64), NOT_NEEDED)
    first, second, third = kept().chart("B07")
    assert (first.mean, first.u) == pytest.approx((50e-6, math.sqrt(2) * 1e-8)), "the first against itself"
    assert (second.mean, second.u) == pytest.approx((50e-6, math.hypot(0.01, 0.02) * 1e-6))
    assert (third.mean, third.u) == pytest.approx((50.006e-6, math.hypot(0.01, 0.01 / 1.25**0.5) * 1e-6))


def test_one_calibration_is_no_chart_and_a_void_one_is_not_on_it() -> None:
    keep(made(day=1, digest="1" * 64), NOT_NEEDED)
    assert kept().chart("B07") == ()
    keep(made(day=2, digest="2" * 64), NOT_NEEDED)
    keep(made(day=3, volume=51e-6, digest="3" * 64), NOT_NEEDED)
    assert [each.calibration.digest[0] for each in kept().chart("B07")] == ["1", "2", "3"]
    moved = kept().moved("B07")
    assert moved is not None
    assert moved.difference.value == pytest.approx(1e-6)
    assert "moved by +1.000 mL, more than U 0.028 mL, since the calibration of 2026-05-02" in (
        moved.finding("x").message
    )
    voided = void(kept(), "33", " a bubble ", date(2026, 6, 1))
    assert voided.void == "2026-06-01: a bubble"
    assert [each.void for each in kept().of("B07")] == ["", "", "2026-06-01: a bubble"]
    assert [each.calibration.digest[0] for each in kept().chart("B07")] == ["1", "2"]
    assert kept().moved("B07") is None
    last = kept().last("B07")
    assert last is not None
    assert last.digest == "2" * 64
    assert kept().last("another") is None
    void(kept(), "2", "another bubble", date(2026, 6, 1))
    assert kept().chart("B07") == ()
    assert change_since_last(made(day=9, digest="9" * 64), kept()).last.digest == "1" * 64  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("number", "why", "words"),
    [
        ("1", "a bubble", "the number of 2 calibrations"),
        ("4", "a bubble", "the number of no calibrations"),
        ("", "a bubble", "the number of no calibrations"),
        ("11", " ", "no reason is given"),
        ("13", "a bubble", "is void already: 2026-06-01: spilt"),
    ],
)
def test_only_one_calibration_in_use_is_taken_out_and_for_a_reason(number: str, why: str, words: str) -> None:
    for digest in ("11", "13"):
        keep(made(digest=digest * 32), NOT_NEEDED)
    void(kept(), "13", "spilt", date(2026, 6, 1))
    before = sorted(folder().iterdir())
    with pytest.raises(InputRefused) as caught:
        void(kept(), number, why, date(2026, 6, 2))
    assert words in caught.value.findings[0].message
    assert sorted(folder().iterdir()) == before


def written(**change: object) -> None:
    """A kept file with figures of its own and a seal that fits."""
    for old in folder().glob("*.json"):
        old.unlink()
    path, _ = keep(made(), NOT_NEEDED)
    whole = json.loads(path.read_text(encoding="utf-8"))
    whole["calibration"] |= change
    whole["seal"] = calibrations._seal(whole["calibration"])
    path.write_text(json.dumps(whole), encoding="utf-8")


@pytest.mark.parametrize(
    "change",
    [
        {"volume_20c_m3": 0.0},
        {"volume_20c_m3": -50e-6},
        {"volume_20c_m3": math.nan},
        {"standard_uncertainty_m3": 0.0},
        {"standard_uncertainty_m3": math.inf},
        {"bottle": 7},
        {"observer": None},
        {"date": "yesterday"},
    ],
)
def test_a_kept_figure_that_is_none_is_told(change: dict[str, object]) -> None:
    written(**change)
    assert kept().calibrations == ()
    (told,) = kept().findings
    assert (told.code, told.line, told.column) == ("calibration-unreadable", 1, 1)
    written(empty_kg=[0.026, 1e-5])
    assert kept().findings == ()
    assert kept().calibrations[0].empty == Estimate(0.026, 1e-5)


def test_a_file_as_long_as_is_read_is_read_and_a_hidden_one_is_not() -> None:
    path, _ = keep(made(), NOT_NEEDED)
    text = path.read_bytes()
    path.write_bytes(text + b" " * (65536 - len(text)))
    assert len(kept().calibrations) == 1
    path.write_bytes(text + b" " * (65537 - len(text)))
    assert "larger" in kept().findings[0].message
    path.write_bytes(text)
    (folder() / ".hidden").write_text("x", encoding="utf-8")
    assert kept().findings == ()


def test_a_file_is_named_by_what_is_on_the_bottle_and_its_number() -> None:
    names = {
        bottle: keep(made(bottle), NOT_NEEDED)[0].name for bottle in ("B 07/x", "\u2026", "a" * 60, "(b)")
    }
    number = "a" * 16
    assert names == {
        "B 07/x": f"B-07-x-{number}.json",
        "\u2026": f"bottle-{number}.json",
        "a" * 60: f"{'a' * 40}-{number}.json",
        "(b)": f"b-{number}.json",
    }


def test_calibrations_stand_by_bottle_day_and_number() -> None:
    for bottle, day, digest in (("B", 2, "1"), ("B", 1, "3"), ("A", 9, "4"), ("B", 2, "0")):
        keep(made(bottle, day, digest=digest * 64), NOT_NEEDED)
    found = kept()
    assert [each.digest[0] for each in found.calibrations] == ["4", "3", "0", "1"]
    assert [each.digest[0] for each in found.of("B")] == ["3", "0", "1"]


def test_a_kept_file_is_text_for_people_and_the_order_of_its_lines_is_nothing() -> None:
    path, _ = keep(made("Fläschchen"), NOT_NEEDED)
    assert "Fläschchen" in path.read_text(encoding="utf-8")
    whole = json.loads(path.read_text(encoding="utf-8"))
    whole["calibration"] = dict(reversed(whole["calibration"].items()))
    path.write_text(json.dumps(dict(reversed(whole.items()))), encoding="utf-8")
    assert kept().findings == ()
    assert kept().calibrations[0].bottle == "Fläschchen"


def test_a_calibration_is_outside_beyond_three_of_its_own_u() -> None:
    """Shewhart's limits: 1e-8 m3 is the u; 2.9 and 3.1 of it to either side of the mean."""
    for share, outside in ((2.9, False), (3.1, True), (-2.9, False), (-3.1, True)):
        assert ChartPoint(made(volume=50e-6 + share * 1e-8), 50e-6, 1e-8).outside is outside


@pytest.mark.parametrize(("day", "against"), [(9, 5), (5, 5), (4, 3), (3, 3), (2, 8)])
def test_a_calibration_is_compared_with_the_last_no_later_than_itself_or_else_the_latest(
    day: int, against: int
) -> None:
    """Their numbers run against the days, and say nothing; on one day the greater number counts."""
    earlier = [(3, "d"), (5, "b"), (5, "a"), (8, "0")] if day < 9 else [(3, "d"), (5, "b"), (5, "a")]
    for on, digest in earlier:
        keep(made(day=on, digest=digest * 64), NOT_NEEDED)
    found = change_since_last(made(day=day, volume=50.01e-6, digest="c" * 64), kept())
    assert found is not None
    assert found.last.on == date(2026, 5, against)
    assert found.last.digest[0] == {3: "d", 5: "b", 8: "0"}[against]
    assert found.difference.value == pytest.approx(0.01e-6)
    assert found.difference.u == pytest.approx(math.sqrt(2) * 1e-8)
