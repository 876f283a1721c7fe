"""People and bags by name: kept, used in a flight and by `--set`, forgotten, and nothing lost on the way."""

from __future__ import annotations

import json
import os
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path

import pytest

from planner.plan import plan_file
from planner.quantities import files
from planner.quantities.errors import InputRefused
from planner.records.flight.people import people_beside, people_in
from planner.records.writing.people_file import add_person, forget_person
from tests.cli.test_set import FLIGHTS, data, flat, run

DAY = date(2026, 5, 1)
FLIGHT = (
    (FLIGHTS / "demo.yaml")
    .read_text(encoding="utf-8")
    .replace("flight: 1\n", "flight: 1\ndate: 2026-06-01\n")
)


@pytest.fixture(autouse=True)
def own_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "100")
    return tmp_path / "data/people.yaml"


def flight(folder: Path, rear: str = "[78 kg, 72 kg]", front: str = "[80 kg, 70 kg]") -> Path:
    path = folder / "flight.yaml"
    text = FLIGHT.replace("[78 kg, 72 kg]", rear).replace("[80 kg, 70 kg]", front)
    path.write_text(text, encoding="utf-8")
    return path


def test_a_name_is_the_mass_under_it(tmp_path: Path, own_data: Path) -> None:
    assert run("people", "add", "Ana Lark", "78 +/- 2 kg", "--date", str(DAY))[0] == 0
    assert "{mass: 78 +/- 2 kg, date: 2026-05-01}" in own_data.read_text(encoding="utf-8")
    named = plan_file(flight(tmp_path, rear="[Ana Lark, 72 kg]"))
    written = plan_file(flight(tmp_path, rear="[78 +/- 2 kg, 72 kg]"))
    assert [state.total for state in named.states] == [state.total for state in written.states]
    assert [each.uncertainty for each in named.states[0].limits] == [
        each.uncertainty for each in written.states[0].limits
    ]
    assert "Ana Lark" in run("flight", str(flight(tmp_path, rear="[Ana Lark, 72 kg]")))[1]


def test_the_file_beside_the_flight_comes_first_and_holds_bags_too(tmp_path: Path, own_data: Path) -> None:
    add_person(own_data, "Ana Lark", "78 kg", DAY, False)
    (tmp_path / "people.yaml").write_text("Ana Lark: 60 kg\nRed bag: 11 kg\n", encoding="utf-8")
    path = flight(tmp_path, rear="Ana Lark")
    path.write_text(
        path.read_text(encoding="utf-8").replace("baggage: 15 kg", "baggage: Red bag"), encoding="utf-8"
    )
    masses = {item.name: item.mass for item in plan_file(path).loading.items}
    assert (masses["rear seats"], masses["baggage"]) == (60.0, 11.0)


@pytest.mark.parametrize("option", ["rear seats 2=Ana Lark", "rear seats=[78 kg, Ana Lark]"])
def test_it_can_be_set_and_saved_by_name(option: str, tmp_path: Path, own_data: Path) -> None:
    add_person(own_data, "Ana Lark", "61 kg", DAY, False)
    out = tmp_path / "out.yaml"
    code, found = data("flight", str(flight(tmp_path)), "--set", option, "--save", str(out))
    assert code == 0
    assert {each["station"]: each["mass_kg"] for each in found["items"]}["rear seats 2"] == 61.0
    assert "Ana Lark" in out.read_text(encoding="utf-8"), "the flight keeps the name"
    assert data("flight", str(out))[1]["states"] == found["states"]


def test_an_aircraft_without_a_file_takes_names_too(own_data: Path) -> None:
    add_person(own_data, "Ana Lark", "61 kg", DAY, False)
    settings = ("front seats=[Ana Lark, 70 kg]", "category=normal", "rules=us-vfr-day", "grade=avgas-100LL")
    more = ("temperature=20 degC", "fuel=full", "taxi=4 L", "cruise=45 min")
    code, found = data("flight", "thornlea-t4", *(f"--set={each}" for each in (*settings, *more)))
    assert code in (0, 1)
    assert found["items"][1]["mass_kg"] == 61.0


def test_an_unknown_name_is_refused_with_those_near(tmp_path: Path, own_data: Path) -> None:
    for name in ("Ana Lark", "Anna Larch", "Zed Moor"):
        add_person(own_data, name, "78 kg", DAY, False)
    code, _, err = run("flight", str(flight(tmp_path, rear="[Anna Lark, 72 kg]")))
    assert code == 2
    assert "flight.yaml:13:16: load > rear seats > 1: 'Anna Lark' is neither a mass nor anybody" in err
    assert "'Ana Lark' or 'Anna Larch'" in err or "'Anna Larch' or 'Ana Lark'" in err
    assert "Zed" not in err


def test_a_mass_older_than_a_year_gets_a_notice(tmp_path: Path, own_data: Path) -> None:
    add_person(own_data, "Ana Lark", "78 kg", date(2025, 5, 31), False)
    add_person(own_data, "Ben Wren", "72 kg", date(2025, 6, 1), False)
    findings = plan_file(flight(tmp_path, rear="[Ana Lark, Ben Wren]")).findings
    assert [str(each.message) for each in findings if each.code == "person-old"] == [
        "the mass of 'Ana Lark' is 366 days old"
    ]


def test_without_a_date_it_gets_one_too(tmp_path: Path) -> None:
    (tmp_path / "people.yaml").write_text("Ana Lark: 78 kg\n", encoding="utf-8")
    findings = plan_file(flight(tmp_path, rear="[Ana Lark, 72 kg]")).findings
    assert any("has no date" in str(each.message) for each in findings if each.code == "person-old")


def test_a_new_mass_keeps_the_old_one_and_every_comment(own_data: Path) -> None:
    own_data.parent.mkdir()
    own_data.write_text(
        "# mine\nAna Lark:\n  mass: 78 kg\n  date: 2026-01-01\n# about Ben\nBen Wren: 80 kg", "utf-8"
    )
    assert run("people", "add", "Ana Lark", "80 kg")[0] == 2
    code, out, _ = run("people", "add", "Ana Lark", "81 kg", "--date", str(DAY), "--replace")
    assert code == 0
    assert "was 78 kg" in out
    text = own_data.read_text(encoding="utf-8")
    assert text.startswith("# mine\n# until 2026-05-01: Ana Lark:\n# until 2026-05-01:   mass: 78 kg\n")
    assert text.endswith("Ana Lark: {mass: 81 kg, date: 2026-05-01}\n# about Ben\nBen Wren: 80 kg")
    assert {name: each.mass.value for name, each in people_in(own_data).items()} == {
        "Ana Lark": 81,
        "Ben Wren": 80,
    }


def test_forgetting_leaves_nothing_of_them_and_all_of_the_others(own_data: Path) -> None:
    for name in ("Ana Lark", "Ben Wren"):
        add_person(own_data, name, "78 kg", DAY, False)
        add_person(own_data, name, "79 kg", DAY, True)
    assert run("people", "forget", "Ana Lark")[0] == 0
    text = own_data.read_text(encoding="utf-8")
    assert "Ana" not in text
    assert text.count("Ben Wren") == 2
    assert run("people", "forget", "Ana Lark")[0] == 2
    assert not forget_person(own_data.with_name("none.yaml"), "Ana Lark")


def test_the_list_is_that_of_this_folder(
    tmp_path: Path, own_data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_person(own_data, "Ana Lark", "78 kg", date(2020, 1, 1), False)
    (tmp_path / "people.yaml").write_text("Red bag: 11 kg\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    code, out, _ = run("people", "list")
    assert code == 0
    assert "Ana Lark" in out
    assert "Red bag" in out
    assert "days old: weigh again" in flat(out)
    listed = json.loads(run("people", "list", "--json")[1])["people"]
    assert [(each["name"], each["mass_kg"]) for each in listed] == [("Ana Lark", 78.0), ("Red bag", 11.0)]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("people: 2\n", "file-version"),
        ("- Ana\n", "file-wrong-kind"),
        ("Ana: 3 L\n", "quantity-wrong-dimension"),
        ("Ana: {mass: 78 kg, day: 1}\n", "person-entry"),
        ("Ana: {mass: 78 kg, date: 1.5.2026}\n", "date-unreadable"),
        ("4 Ana: 78 kg\n", "person-name"),
        ("Ana: 78 kg\nAna: 79 kg\n", "yaml-duplicate-key"),
    ],
)
def test_a_people_file_that_can_not_be_read_is_refused(text: str, code: str, tmp_path: Path) -> None:
    path = tmp_path / "people.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        people_beside(tmp_path)
    assert [each.code for each in refused.value.findings] == [code]
    assert refused.value.findings[0].path == str(path)


@pytest.mark.parametrize(("name", "mass"), [("x: y", "78 kg"), ("a, b", "78 kg"), ("Ana", "78"), ("Ana", "3 L"), ("people", "1 kg")])  # fmt: skip
def test_nothing_is_written_that_could_not_be_read(name: str, mass: str, own_data: Path) -> None:
    assert run("people", "add", name, mass)[0] == 2
    assert not own_data.exists()


def test_a_crash_while_writing_loses_nobody(own_data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    add_person(own_data, "Ana Lark", "78 kg", DAY, False)
    before = own_data.read_bytes()

    def crash(*_: object) -> None:
        raise OSError("power cut")

    monkeypatch.setattr(files.os, "replace", crash)
    with pytest.raises(InputRefused):
        add_person(own_data, "Ben Wren", "80 kg", DAY, False)
    assert own_data.read_bytes() == before
    assert os.listdir(own_data.parent) == ["people.yaml"]


def test_two_at_once_lose_nobody(own_data: Path) -> None:
    add_person(own_data, "Ana Lark", "78 kg", DAY, False)
    names = [f"Person {letter}" for letter in "abcdefgh"]
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda name: add_person(own_data, name, "70 kg", DAY, False), names))
    assert set(people_in(own_data)) == {"Ana Lark", *names}
