"""Which units are shown: those of the profile, else of PLANNER_UNITS, else of --units, each stronger than the
one before.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.app.common import reader
from planner.quantities.errors import InputRefused

ROOT = Path(__file__).resolve().parents[2]
PROFILE = (ROOT / "aircraft_profiles/thornlea-t4b.yaml").read_text(encoding="utf-8")
FLIGHT = (ROOT / "docs/flights/fuel-ahead-of-cg.yaml").read_text(encoding="utf-8")  # soon searched


@pytest.fixture
def flight(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("PLANNER_UNITS", raising=False)
    (tmp_path / "own.yaml").write_text(
        PROFILE.replace("profile: 1", "profile: 1\nunits: us"), encoding="utf-8"
    )
    path = tmp_path / "flight.yaml"
    path.write_text(FLIGHT.replace("aircraft: thornlea-t4b", "aircraft: own.yaml"), encoding="utf-8")
    return path


def shown(*words: str, asked: str = "") -> str:
    """What the words say of a volume; a density alone is told in a second unit."""
    done = CliRunner(env={"PLANNER_UNITS": asked} if asked else {}).invoke(app, list(words))
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    output = re.sub(r"lb/(USgal|impgal)", "", done.output)
    return "us" if "USgal" in output else "uk" if "impgal" in output else "metric"


@pytest.mark.parametrize("command", ["flight", "remedy"])
def test_the_profile_then_the_variable_then_the_option(command: str, flight: Path) -> None:
    words = [command, str(flight)]
    assert shown(*words) == "us"
    assert shown(*words, asked="uk") == "uk"
    assert shown(*words, "--units", "metric") == "metric"
    assert shown(*words, "--units", "metric", asked="uk") == "metric"


def test_a_profile_is_shown_and_checked_in_its_own_units(flight: Path) -> None:
    own = str(flight.with_name("own.yaml"))
    assert shown("aircraft", "show", own) == "us"
    assert shown("aircraft", "show", own, "--units", "uk") == "uk"
    assert shown("aircraft", "show", "thornlea-t4", asked="us") == "us"


def test_the_variable_must_be_a_system_too(flight: Path) -> None:
    done = CliRunner(env={"PLANNER_UNITS": "furlongs"}).invoke(app, ["flight", str(flight)])
    assert isinstance(done.exception, InputRefused)
    assert done.exception.findings[0].code == "units-unknown"


def test_a_refusal_is_told_in_the_units_of_the_variable(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PLANNER_UNITS", "us")
    assert reader(["planner", "flight"]).system == "us"
    assert reader(["planner", "flight", "--units=uk"]).system == "uk"
