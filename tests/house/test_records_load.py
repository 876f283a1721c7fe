"""Every record that comes with the program is read, checked, invented and says so; each demo flight ends as
its heading says.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planner.plan import plan_file
from planner.records.store import (
    load_aircraft,
    load_aircraft_file,
    load_flight_file,
    profile_folder,
    profile_ids,
)
from planner.views.flight.flight_json import flight_json

ROOT = Path(__file__).resolve().parents[2]
PROFILES = sorted((ROOT / "aircraft_profiles").glob("*.yaml"))
RECORDS = sorted((ROOT / "docs/flights").glob("*.yaml"))
FLIGHTS = [
    path for path in RECORDS if re.search(r"^flight: 1", path.read_text(encoding="utf-8"), re.MULTILINE)
]

EXPECTED = {
    "demo": "inside",
    "fuel-ahead-of-cg": "outside",
    "full-tanks": "outside",
    "helicopter": "inside",
    "helicopter-lateral": "outside",
    "local-solo": "inside",
    "measured-density": "inside",
    "middle-of-the-flight": "outside",
    "night-circuit": "inside",
    "not-shown-inside": "not shown inside",
    "seat-order": "outside",
    "short-of-fuel": "outside",
    "tailwheel": "inside",
    "three-legs": "inside",  # its first leg, which this plans
    "turboprop": "inside",
    "twin-ifr": "inside",
    "utility": "inside",
}

# How a flight may state its density; a hydrometer sheet is read as a bottle's is.
WAYS = ("at_15C", "standard", "fixed", "measured", "bottle")


def test_the_profiles_of_the_checkout_are_the_ones_found() -> None:
    assert profile_ids() == tuple(path.stem for path in PROFILES)
    assert {path.name for path in profile_folder().glob("*.yaml")} == {path.name for path in PROFILES}


@pytest.mark.parametrize("path", PROFILES, ids=lambda path: path.stem)
def test_a_profile_is_sound_and_invented(path: Path) -> None:
    loaded = load_aircraft_file(path)
    assert loaded.notices == ()
    assert loaded.record.invented
    assert "Invented" in loaded.record.source
    assert "invented" in path.read_text(encoding="utf-8").splitlines()[0]
    assert load_aircraft(path.stem).record == loaded.record


@pytest.mark.parametrize(
    "path", [path for path in RECORDS if path not in FLIGHTS], ids=lambda path: path.stem
)
def test_a_record_of_another_kind_is_invented_and_says_so(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert "invented" in text[: text.index(":")]
    assert re.search(r"^invented: true", text, re.MULTILINE)


@pytest.mark.parametrize("path", FLIGHTS, ids=lambda path: path.stem)
def test_a_flight_ends_as_expected(path: Path) -> None:
    heading = re.match(r"(?:#[^\n]*\n)+", path.read_text(encoding="utf-8"))
    assert heading is not None
    assert "invented" in heading[0], "it says that aircraft, people and trip are invented"
    load_flight_file(path)
    plan = plan_file(path)
    assert plan.aircraft.invented
    assert plan.verdict == EXPECTED[path.stem]
    assert any("nvented" in caution for caution in flight_json(plan)["cautions"])


def test_the_table_of_expectations_names_every_flight() -> None:
    assert EXPECTED.keys() == {path.stem for path in FLIGHTS}


def test_the_flights_show_every_verdict_every_profile_and_every_way_to_a_density() -> None:
    plans = [plan_file(path) for path in FLIGHTS]
    assert {plan.verdict for plan in plans} == {"inside", "not shown inside", "outside"}
    assert {Path(plan.aircraft_path).stem for plan in plans} == set(profile_ids())
    ways = {name for plan in plans for name in WAYS if getattr(plan.flight.fuel.density, name) is not None}
    assert ways == set(WAYS)
