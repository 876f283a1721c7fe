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

from planner.density.bench.calibrations import content_digest, folder, keep, kept
from planner.density.bench.steps.calibration import Calibration, change_since_last
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
