"""A profile proves itself: its papers' samples are reckoned anew, and what is legal but hard to believe is
named before a verdict.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.plan import plan_file
from planner.plan.examples import examples_differ, examples_of
from planner.quantities.errors import InputRefused
from planner.quantities.units import Quantity, read_quantity
from planner.records.aircraft.unit_families import mixed
from planner.records.aircraft.unsure_checks import figures_of
from planner.records.document import Location
from planner.records.store import load_aircraft, load_aircraft_file, load_flight_file, profile_ids

ROOT = Path(__file__).parents[2]
PROFILE = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
FLIGHT = (ROOT / "docs/flights/demo.yaml").read_text(encoding="utf-8")
FLIGHT = FLIGHT.replace("aircraft: thornlea-t4 ", "aircraft: profile.yaml ")

# One slip of the keyboard each, in the profile: what was typed for what, and the codes that name it.
PROFILE_SLIPS = [
    (
        "mass: 688.4 +/- 2 kg, arm: 2.235",
        "mass: 688.4 +/- 2 kg, arm: 2.532",
        {"centre-unlikely", "example-differs"},
    ),
    ("mass: 688.4 +/- 2 kg", "mass: 668.4 +/- 2 kg", {"example-differs"}),
    ("mass: 688.4 +/- 2 kg", "mass: 68.84 +/- 2 kg", {"useful-load-unlikely", "example-differs"}),
    ("mass: 688.4 +/- 2 kg", "mass: 1050 +/- 2 kg", {"useful-load-unlikely", "example-differs"}),
    ("seats: 2, arm: 3.005 m", "seats: 2, arm: 3.500 m", {"example-differs"}),
    ("seats: 2, arm: 3.005 m", "seats: 2, arm: -3.005 m", {"arm-unlikely", "example-differs"}),
    ("arm: 4.050 m, max: 10 kg", "arm: 24.050 m, max: 10 kg", {"arm-unlikely", "example-differs"}),
    ("arm: 3.630 m, max: 40 kg", "arm: 120 in, max: 40 kg", {"unit-mixed", "example-differs"}),
    ("arm: 3.630 m, max: 40 kg", "arm: 3.630 m, max: 40 lb", {"unit-mixed"}),
    ("arm: 3.630 m, max: 40 kg", "arm: 3.630 m, max: 400 kg", {"station-unlikely"}),
    ("cruise: 33 L/h", "cruise: 33 USgal/h", {"unit-mixed", "flow-order"}),
    ("cruise: 33 L/h", "cruise: 3.3 L/h", {"endurance-unlikely", "flow-order"}),
    ("cruise: 33 L/h", "cruise: 330 L/h", {"endurance-unlikely", "flow-order"}),
    ("holding: 25 L/h", "holding: 25 kg/h", {"flow-order"}),
    (
        "left: {capacity: 76 L, unusable: 4 L",
        "left: {capacity: 76000 L, unusable: 4 L",
        {"fuel-unlikely", "endurance-unlikely"},
    ),
    ("right: {capacity: 76 L, unusable: 4 L", "right: {capacity: 76 L, unusable: 40 L", {"tank-unlikely"}),
    (
        "unusable: 4 L, arm: 2.410 m, lateral_arm: 1.10 m",
        "unusable: 4 L, arm: 24.10 m, lateral_arm: 1.10 m",
        {"tank-unlikely"},
    ),
    ("lateral_arm: -1.10 m", "lateral_arm: 1.10 m", {"lateral-unlikely"}),
    (
        "aft: [[600 kg, 2.370 m], [1085 kg, 2.370 m]]",
        "aft: [[600 kg, 2.370 m], [1085 kg, 29 m]]",
        {"envelope-unlikely"},
    ),
    (
        "max_ramp: 1088 kg, max_takeoff: 1085 kg",
        "max_takeoff: 1000000 kg",
        {"size-unlikely", "useful-load-unlikely"},
    ),
    ("leading_edge: 2.020 m", "leading_edge: 0.202 m", {"chord-unlikely"}),
]
# And in the flight.
FLIGHT_SLIPS = [
    ("rear seats: [78 kg, 72 kg]", "rear seats: [78 lb, 72 kg]", {"unit-mixed"}),
    ("front seats: [80 kg, 70 kg]", "front seats: [0 kg, 70 kg]", {"load-no-pilot"}),
    ("{phase: climb, time: 12 min}", "{phase: climb, time: 12 s}", {"phase-unlikely"}),
    ("{phase: cruise, time: 20 min,", "{phase: cruise, time: 20 min, flow: 1 L/h,", {"phase-unlikely"}),
    ("{phase: cruise, time: 20 min,", "{phase: cruise, time: 20 min, flow: 0 L/h,", {"phase-no-burn"}),
    ("{phase: climb, time: 12 min}", "{phase: climb, fuel: 0 L}", {"phase-unlikely"}),
    ("{phase: taxi, fuel: 4 L}", "{phase: taxi, time: 5 min, fuel: 0 L}", {"phase-no-burn"}),
]


def slipped(text: str, old: str, new: str) -> str:
    assert text.count(old) == 1, f"the slip does not fit the file any more: {old!r}"
    return text.replace(old, new)


def codes(folder: Path, profile: str, flight: str) -> set[str]:
    """What the program names before a verdict: the findings of `aircraft check`, and those of the plan."""
    (folder / "profile.yaml").write_text(profile, encoding="utf-8")
    (folder / "flight.yaml").write_text(flight, encoding="utf-8")
    found = set()
    try:
        loaded = load_aircraft_file(folder / "profile.yaml")
        found = {each.code for each in (*loaded.notices, *examples_differ(loaded))}
        return found | {each.code for each in plan_file(folder / "flight.yaml").findings}
    except InputRefused as refused:
        return found | {each.code for each in refused.findings}


def test_twenty_seeded_slips_are_all_caught(tmp_path: Path) -> None:
    before = codes(tmp_path, PROFILE, FLIGHT)
    assert before == {"immediate-return"}
    missed = []
    for old, new, expected in PROFILE_SLIPS:
        if not expected <= (seen := codes(tmp_path, slipped(PROFILE, old, new), FLIGHT)):
            missed.append((new, expected - seen, seen))
    for old, new, expected in FLIGHT_SLIPS:
        if not expected <= (seen := codes(tmp_path, PROFILE, slipped(FLIGHT, old, new))):
            missed.append((new, expected - seen, seen))
    assert len(PROFILE_SLIPS) + len(FLIGHT_SLIPS) >= 20
    assert not missed


@pytest.mark.parametrize("key", profile_ids())
def test_no_shipped_profile_is_accused_and_each_gives_its_sample(key: str) -> None:
    loaded = load_aircraft(key)
    assert loaded.notices == ()
    assert examples_of(loaded.record)
    assert all(each.agrees for each in examples_of(loaded.record))


FLIGHTS = [
    path
    for path in sorted((ROOT / "docs/flights").glob("*.yaml"))
    if re.search(r"^flight:", path.read_text(), re.M)
]


@pytest.mark.parametrize("path", FLIGHTS, ids=lambda path: path.stem)
def test_no_shipped_flight_is_accused(path: Path) -> None:
    flight, aircraft = load_flight_file(path)
    assert {each.code for each in (*flight.notices, *aircraft.notices)} <= {"alternate-missing", "record-due"}


def test_a_flight_says_that_its_profile_differs_from_its_papers(tmp_path: Path) -> None:
    (tmp_path / "profile.yaml").write_text(
        slipped(PROFILE, "seats: 2, arm: 3.005 m", "seats: 2, arm: 3.050 m"), encoding="utf-8"
    )
    (tmp_path / "flight.yaml").write_text(FLIGHT, encoding="utf-8")
    found = [each for each in plan_file(tmp_path / "flight.yaml").findings if each.code == "example-differs"]
    assert found
    assert found[0].line == PROFILE[: PROFILE.index("  - name: sample loading")].count("\n") + 1
    done = CliRunner().invoke(app, ["aircraft", "check", str(tmp_path / "profile.yaml")])
    assert done.exit_code == 2
    assert "DIFFERS" in done.output
    assert "NOT SHOWN RIGHT" in done.output


def test_a_profile_without_a_sample_gets_a_notice_that_says_why(tmp_path: Path) -> None:
    (tmp_path / "bare.yaml").write_text(PROFILE[: PROFILE.index("# The sample loadings")], encoding="utf-8")
    done = CliRunner().invoke(app, ["aircraft", "check", str(tmp_path / "bare.yaml")])
    assert done.exit_code == 0
    assert "nothing shows these figures to be right" in done.output


def test_a_sample_still_holds_after_a_new_weighing(tmp_path: Path) -> None:
    """The sample of the old report proves the arms; it is reckoned with the record it was printed for."""
    old = re.search(r"^basic_empty: \{(.*)\}$", PROFILE, re.M)
    assert old is not None
    replaced = load_aircraft("thornlea-t4").record.basic_empty.version_id
    new = "basic_empty: {mass: 692.0 kg, arm: 2.240 m, date: 2026-06-01, includes: [full oil, unusable fuel]}"
    history = (
        f"superseded:\n  - {{{old[1]}, version: {replaced}, superseded_on: 2026-06-01, change: weighed"
        " anew}\n"
    )
    path = tmp_path / "weighed.yaml"
    path.write_text(PROFILE.replace(old[0], new) + history, encoding="utf-8")
    made = examples_of(load_aircraft_file(path).record)
    assert [(each.agrees, each.record) for each in made] == [(True, replaced)] * 2


def test_only_rounding_is_allowed_for(tmp_path: Path) -> None:
    """Half a step of the last digit for each line of the table, and no more."""
    for moment, agrees in (("2530.4 kg.m", True), ("2530.6 kg.m", False), ("2529.6 kg.m", False)):
        path = tmp_path / "profile.yaml"
        path.write_text(slipped(PROFILE, "2530.2 kg.m", moment), encoding="utf-8")
        assert examples_of(load_aircraft_file(path).record)[0].agrees is agrees


@pytest.mark.parametrize(("mass", "agrees"), [("698 kg", True), ("699 kg", True), ("700 kg", False)])
def test_a_sample_of_one_line_may_be_off_by_a_step(tmp_path: Path, mass: str, agrees: bool) -> None:
    """688.4 and 10 kg are 698.4 kg: half a step for the line, and half for the sum that was rounded too."""
    sample = (
        "examples:\n  - name: one line\n    basic_empty: {mass: 688.4 kg, moment: 1538.6 kg.m}\n"
        f"    load: {{baggage: 10 kg}}\n    mass: {mass}\n    moment: 1574.9 kg.m\n"
    )
    path = tmp_path / "profile.yaml"
    path.write_text(PROFILE[: PROFILE.index("# The sample loadings")] + sample, encoding="utf-8")
    assert examples_of(load_aircraft_file(path).record)[0].agrees is agrees


def test_figures_are_met_in_the_order_of_the_record_in_every_run() -> None:
    """Which of many is pointed to, and the digest of a sheet, must not change from one run to the next."""
    aircraft = load_aircraft("thornlea-t4").record
    met = list(dict.fromkeys(str(place[0]) for place, _ in figures_of(aircraft)))
    assert met == [name for name in type(aircraft).model_fields if name in met]
    assert len(met) > 5


@pytest.mark.parametrize("odd", [("1 USgal", "1 impgal"), ("1 impgal", "1 USgal")])
def test_as_many_of_one_family_as_of_another_are_told_in_the_order_of_the_file(odd: tuple[str, str]) -> None:
    figures: list[tuple[Location, Quantity]] = [
        ((place,), read_quantity(text, "volume")) for place, text in enumerate((*odd, "5 L", "6 L"))
    ]
    assert [place for place, _ in mixed(figures)] == [(0,), (1,)]
