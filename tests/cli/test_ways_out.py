"""Exit codes where no verdict could be told, and amounts below zero: none of them may read as a verdict."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli import forked

ROOT = Path(__file__).parents[2]
DEMO = str(ROOT / "docs" / "flights" / "demo.yaml")


def run(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return forked.run(*words, env={"PLANNER_DATA": str(folder)})


def real(*words: str, stdout: int) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "planner", *words]
    return subprocess.run(
        command, stdout=stdout, stderr=subprocess.PIPE, text=True, env=environment, cwd=ROOT, check=False
    )


def test_a_full_disk_is_told_in_one_line() -> None:
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("this system has no /dev/full")
    with open(full, "w") as stream:
        done = real("flight", DEMO, stdout=stream.fileno())
    assert done.returncode == 2
    assert "could not be written" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_closed_pipe_is_not_a_verdict() -> None:
    reader, writer = os.pipe()
    os.close(reader)
    done = real("flight", DEMO, stdout=writer)
    os.close(writer)
    assert done.returncode == -signal.SIGPIPE  # 141 as a shell tells it
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "words",
    [
        ("fuel", "--temperature", "20 degC", "--", "-5 L"),
        ("aircraft", "check", "thornlea-t4", "--extremes", "--occupant", "-5 kg"),
        ("ledger", "add", "flight", "--aircraft", "thornlea-t4", "--time", "-1 h"),
        ("ledger", "add", "flight", "--aircraft", "thornlea-t4", "--time", "0 h"),
        ("ledger", "add", "flight", "--aircraft", "thornlea-t4", "--time", "1000 h"),
        ("ledger", "add", "uplift", "--aircraft", "thornlea-t4", "--tank", "left", "--volume", "-3 L"),
        ("ledger", "add", "drain", "--aircraft", "thornlea-t4", "--tank", "left", "--volume", "0 L"),
        ("ledger", "add", "gauge", "--aircraft", "thornlea-t4", "--reading", "-3 L"),
        ("flight", DEMO, "--draws", "0"),
    ],
)
def test_nothing_below_zero_is_taken(tmp_path: Path, words: tuple[str, ...]) -> None:
    done = run(*words, folder=tmp_path)
    assert done.returncode == 2, done.stdout
    assert done.stderr
    assert "Traceback" not in done.stderr


def test_fuel_of_a_wrong_grade_stays_known_until_it_is_drained(tmp_path: Path) -> None:
    aircraft = ("--aircraft", "thornlea-t4")
    uplift, drain = ("ledger", "add", "uplift", *aircraft), ("ledger", "add", "drain", *aircraft)
    for tank in ("left", "right"):
        amount = ("--tank", tank, "--volume", "20 L", "--leaves", "20 L")
        assert run(*uplift, *amount, folder=tmp_path).returncode == 0
    wrong = ("--volume", "11 L", "--leaves", "31 L", "--grade", "jet-A1")
    assert run(*uplift, "--tank", "left", *wrong, folder=tmp_path).returncode == 0
    flight = tmp_path / "flight.yaml"
    text = Path(DEMO).read_text(encoding="utf-8")
    start = text.index("  tanks:")
    flight.write_text(
        text[:start] + "  from: ledger\n" + text[text.index("\n", start) + 1 :], encoding="utf-8"
    )
    refused = run("flight", str(flight), folder=tmp_path)
    assert refused.returncode == 2
    assert "11 L of jet-A1" in refused.stderr
    told = run("ledger", "status", *aircraft, folder=tmp_path)
    assert told.returncode == 1
    assert "jet-A1" in told.stdout
    empty = ("--tank", "left", "--volume", "31 L", "--leaves", "empty")
    assert run(*drain, *empty, folder=tmp_path).returncode == 0
    assert "jet-A1" not in run("flight", str(flight), folder=tmp_path).stderr


def test_above_the_drawn_envelope_nothing_is_inside(tmp_path: Path) -> None:
    profile = (ROOT / "aircraft_profiles" / "thornlea-t4.yaml").read_text(encoding="utf-8")
    short = profile.replace("[1085 kg, 2.270 m]]", "[1040 kg, 2.270 m]]", 1).replace(
        "[1085 kg, 2.370 m]]", "[1040 kg, 2.370 m]]", 1
    )
    assert short != profile
    (tmp_path / "short.yaml").write_text(short, encoding="utf-8")
    flight = tmp_path / "flight.yaml"
    flight.write_text(
        Path(DEMO).read_text(encoding="utf-8").replace("aircraft: thornlea-t4", "aircraft: ./short.yaml", 1),
        encoding="utf-8",
    )
    done = run("flight", str(flight), folder=tmp_path)
    assert done.returncode == 1
    assert "maximum take-off mass" in done.stdout
    assert "OUTSIDE" in done.stdout
