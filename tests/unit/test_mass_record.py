"""The mass record: its id, its next due, and a flight that names the record it was planned with."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from planner.plan import plan_file
from planner.records.aircraft.mass_record import due
from planner.records.store import load_aircraft_file, profile_folder
from planner.views.flight.flight_json import flight_json

THORNLEA = (profile_folder() / "thornlea-t4.yaml").read_text(encoding="utf-8")
RECORD = (
    "basic_empty: {mass: 688.4 +/- 2 kg, arm: 2.235 +/- 0.004 m, date: 2026-03-14, includes: [full oil,"
    " unusable fuel]}"
)
FLIGHT = (
    (profile_folder().parent / "docs/flights/demo.yaml")
    .read_text(encoding="utf-8")
    .replace("aircraft: thornlea-t4", "aircraft: mine.yaml")
)


def version(record: str) -> str:
    assert RECORD in THORNLEA
    return load_aircraft_file("p.yaml", THORNLEA.replace(RECORD, record)).record.basic_empty.version_id


def test_the_id_is_of_the_figures_not_of_their_spelling() -> None:
    own = version(RECORD)
    assert own.startswith("2026-03-14-")
    assert own == version(RECORD.replace("688.4 +/- 2 kg", "688400 +/- 2000 g"))
    assert own == version(RECORD.replace("[full oil, unusable fuel]", "[unusable fuel, full oil]"))
    assert own == version(RECORD.replace("}", ", next_due: 2030-01-01, reference: report 12}"))
    different = [
        RECORD.replace("688.4", "688.5"),
        RECORD.replace("+/- 2 kg", "+/- 3 kg"),
        RECORD.replace("2.235", "2.236"),
        RECORD.replace("2026-03-14", "2026-03-15"),
        RECORD.replace("}", ", lateral_arm: 1 mm}"),
        RECORD.replace("}", ", established: computed}"),
    ]
    assert len({own, *map(version, different)}) == len(different) + 1


@pytest.mark.parametrize(
    ("day", "late"), [(date(2029, 12, 31), False), (date(2030, 1, 1), False), (date(2030, 1, 2), True)]
)
def test_due(day: date, late: bool) -> None:
    record = load_aircraft_file(
        "p.yaml", THORNLEA.replace(RECORD, RECORD.replace("}", ", next_due: 2030-01-01}"))
    ).record.basic_empty
    assert (due(record, day) is not None) is late
    assert due(load_aircraft_file("p.yaml", THORNLEA).record.basic_empty, date(2099, 1, 1)) is None


def findings(tmp_path: Path, profile: str, flight: str) -> list[str]:
    (tmp_path / "mine.yaml").write_text(profile, encoding="utf-8")
    (tmp_path / "flight.yaml").write_text(flight, encoding="utf-8")
    return [
        finding.code
        for finding in plan_file(tmp_path / "flight.yaml").findings
        if finding.code.startswith("record-")
    ]


def test_a_plan_tells_a_record_that_is_due_on_the_day_of_the_flight(tmp_path: Path) -> None:
    profile = THORNLEA.replace(RECORD, RECORD.replace("}", ", next_due: 2026-06-01}"))
    assert findings(tmp_path, profile, FLIGHT + "date: 2026-06-02\n") == ["record-due"]
    assert findings(tmp_path, profile, FLIGHT + "date: 2026-06-01\n") == []


def test_a_plan_tells_a_record_that_was_superseded_since(tmp_path: Path) -> None:
    old = version(RECORD)
    assert findings(tmp_path, THORNLEA, FLIGHT + f"record: {old}\n") == []
    assert findings(tmp_path, THORNLEA, FLIGHT + "record: 2020-01-01-00000000\n") == ["record-unknown"]
    new = RECORD.replace("688.4", "690.0").replace("2026-03-14", "2026-08-01")
    figures = RECORD.removeprefix("basic_empty: {").removesuffix("}")
    entry = f"  - {{version: {old}, superseded_on: 2026-08-01, change: weighed, {figures}}}"
    profile = THORNLEA.replace(RECORD, new) + f"superseded:\n{entry}\n"
    assert findings(tmp_path, profile, FLIGHT + f"record: {old}\n") == ["record-superseded"]
    assert findings(tmp_path, profile, FLIGHT) == []
    # the old record put back by hand while it stands among the replaced ones
    assert findings(tmp_path, THORNLEA + f"superseded:\n{entry}\n", FLIGHT) == ["record-superseded"]
    # figures of a kept record touched afterwards
    assert findings(
        tmp_path, profile.replace("mass: 688.4 +/- 2 kg, arm", "mass: 680 +/- 2 kg, arm"), FLIGHT
    ) == ["record-altered"]


def test_a_plan_names_the_record_it_used(tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_text(THORNLEA, encoding="utf-8")
    (tmp_path / "flight.yaml").write_text(FLIGHT, encoding="utf-8")
    assert flight_json(plan_file(tmp_path / "flight.yaml"))["aircraft"]["basic_empty_version"] == version(
        RECORD
    )


def test_an_old_weighing_and_a_mass_that_creeps_are_told(tmp_path: Path) -> None:
    ruled = THORNLEA + "weigh_every: 4 years\n"
    assert findings(tmp_path, ruled, FLIGHT + "date: 2030-03-14\n") == []
    assert findings(tmp_path, ruled, FLIGHT + "date: 2030-03-15\n") == ["record-old"]
    figures = RECORD.removeprefix("basic_empty: {").removesuffix("}")
    entry = f"  - {{version: {version(RECORD)}, superseded_on: 2026-08-01, change: carried on, {figures}}}"
    for mass, told in (
        ("702.1", []),
        ("702.3", ["record-creep"]),
        ("674.5", ["record-creep"]),
    ):  # 688.4 kg and 2 %: 674.63 to 702.17
        new = (
            RECORD.replace("688.4", mass)
            .replace("2026-03-14", "2026-08-01")
            .replace("includes", "established: computed, includes")
        )
        assert findings(tmp_path, THORNLEA.replace(RECORD, new) + f"superseded:\n{entry}\n", FLIGHT) == told
