"""The board's figures: every form a flight file may have is moved, checked and written back as that file's
own checks ask.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.app.board.controls import Control
from planner.app.board.session import Session
from planner.logbook.ledger.kept.exchange import read_file
from planner.logbook.ledger.kept.store import ledger_path, opened
from planner.plan import plan_file
from planner.quantities.errors import InputRefused
from planner.quantities.units import Display
from planner.records.document import parse
from planner.records.store import load_aircraft, load_flight_file
from planner.views.flight.flight_json import flight_json

ROOT = Path(__file__).resolve().parents[2]
FLIGHTS = sorted(
    path
    for path in (ROOT / "docs/flights").glob("*.yaml")
    if "\nflight: 1" in path.read_text(encoding="utf-8")
)


def session(path: Path, system: str = "metric") -> Session:
    return Session(*load_flight_file(path), Display(system))  # type: ignore[arg-type]


def by_label(found: Session, label: str) -> Control:
    return next(each for each in found.controls.values() if each.label == label)


@pytest.mark.parametrize("system", ["metric", "us", "uk"])
@pytest.mark.parametrize("path", FLIGHTS, ids=lambda path: path.stem)
def test_untouched_it_is_the_plan_of_the_file_and_saves_the_same_flight(path: Path, system: str) -> None:
    found = session(path, system)
    plan = plan_file(path)
    assert found.answer({})["digest"] == flight_json(plan)["digest"]
    # Sending every figure as it stands is no change either.
    same = {each.id: each.value for each in found.controls.values() if not each.fixed}
    assert found.answer(same)["changed"] == []
    _, text = found.file({})
    assert text.endswith(path.read_text(encoding="utf-8"))
    for each in found.controls.values():
        assert each.low <= each.value <= each.high
        assert each.step > 0


@pytest.mark.parametrize("path", FLIGHTS, ids=lambda path: path.stem)
def test_all_figures_moved_and_saved_give_the_plan_that_was_shown(path: Path, tmp_path: Path) -> None:
    found = session(path)
    moved = {}
    for each in found.controls.values():
        if not each.fixed:
            small = 0.001 if each.step < 0.01 else 0.7
            moved[each.id] = each.value + small if each.value + small <= each.high else each.value - small
    answer = found.answer(moved)
    assert "refused" not in answer
    assert len(answer["changed"]) == len(moved)
    name, text = found.file(moved)
    assert name == f"{path.stem}-changed.yaml"
    for sheet in (ROOT / "docs/flights").glob("*.yaml"):
        (tmp_path / sheet.name).write_bytes(sheet.read_bytes())
    (tmp_path / name).write_text(text, encoding="utf-8")
    again = plan_file(tmp_path / name)
    shown = [row["cells"][1] for row in answer["tables"]["states"]["rows"]]
    assert [f"{state.total.mass:.1f}" for state in again.states] == shown
    assert again.verdict.upper() == answer["verdict"]
    assert "invented" in text, "comments are kept"


def flight_with(tmp_path: Path, old: str, new: str) -> Path:
    text = (ROOT / "docs/flights/demo.yaml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "flight.yaml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def test_an_uncertainty_stays_with_its_figure() -> None:
    found = session(ROOT / "docs/flights/not-shown-inside.yaml")
    control = by_label(found, "front seats 1")
    plan = found.planned({control.id: 91.0})
    assert plan.flight.load["front seats"][0].value == 91.0
    assert plan.flight.load["front seats"][0].u == 5.0
    assert "91 +/- 5 kg" in found.file({control.id: 91.0})[1]


def test_evidence_stays_with_its_mass_and_a_standard_mass_is_not_moved(tmp_path: Path) -> None:
    path = flight_with(
        tmp_path,
        "rear seats: [78 kg, 72 kg]",
        "rear seats: [{mass: 78 kg, how: stated}, {how: standard, who: female}]",
    )
    found = session(path)
    stated, standard = by_label(found, "rear seats 1"), by_label(found, "rear seats 2")
    assert stated.value == 78.0, "without the allowance that the plan adds"
    assert standard.fixed
    _, text = found.file({stated.id: 80.0})
    assert "rear seats: [{mass: 80 kg, how: stated}, {how: standard, who: female}]" in text
    with pytest.raises(InputRefused, match="can be moved"):
        found.planned(found.values({standard.id: 70.0}))


def test_a_dip_becomes_litres_only_when_it_is_moved(tmp_path: Path) -> None:
    path = flight_with(
        tmp_path, "{left: 31 L, right: 31 L}", "{left: {dipstick: 11.5 cm}, right: {total: 35 L}}"
    )
    found = session(path)
    left, right = by_label(found, "left tank"), by_label(found, "right tank")
    assert left.value == pytest.approx(32.1), "10 cm are 31 L, 15 cm 48 L, less 4 L unusable"
    assert right.value == pytest.approx(31.0)
    _, text = found.file({right.id: 20.0})
    assert "{dipstick: 11.5 cm}" in text
    assert "right: 20 L" in text


@pytest.mark.parametrize(
    ("density", "label", "key"),
    [
        ("{at_15C: 0.715 kg/L}", "density at 15 degC", "at_15C"),
        ("{standard: true}", "density at 15 degC", "at_15C"),
        ("{fixed: 6.0 lb/USgal}", "density, fixed", "fixed"),
        ("{measured: 0.7102 +/- 0.0005 kg/L, at: 21 degC}", "density as measured", "measured"),
    ],
)
def test_every_way_to_a_density_can_be_moved(density: str, label: str, key: str, tmp_path: Path) -> None:
    found = session(flight_with(tmp_path, "{at_15C: 0.715 kg/L}", density))
    control = by_label(found, label)
    moved = found.planned({control.id: 0.725})
    stated = getattr(moved.flight.fuel.density, key)
    assert stated.value == pytest.approx(725.0)
    if key == "measured":
        assert stated.u == pytest.approx(0.5)
        assert moved.flight.fuel.density.at is not None
    assert moved.density.density != found.plan.density.density


def test_a_station_the_file_does_not_name_can_be_loaded(tmp_path: Path) -> None:
    path = flight_with(tmp_path, "  rear seats: [78 kg, 72 kg]\n", "")
    found = session(path)
    second = by_label(found, "rear seats 2")
    plan = found.planned({second.id: 64.0})
    assert [mass.value for mass in plan.flight.load["rear seats"]] == [0.0, 64.0]
    assert "rear seats: [0 kg, 64 kg]" in found.file({second.id: 64.0})[1]
    assert "shelf: 3 kg" in found.file({by_label(found, "shelf").id: 3.0})[1]


def test_fuel_from_a_ledger_is_stated_once_a_tank_is_moved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))
    name = load_aircraft("thornlea-t4").record.name
    with opened(ledger_path(name), name) as entries:
        entries.add(read_file(ROOT / "docs/ledgers/thornlea-t4.csv", name))
    found = session(flight_with(tmp_path, "tanks: {left: 31 L, right: 31 L}", "from: ledger"))
    left, right = by_label(found, "left tank"), by_label(found, "right tank")
    assert left.value > 0
    assert found.answer({by_label(found, "baggage").id: 20.0})["verdict"]
    _, text = found.file({left.id: 25.0})
    record = parse(text, "").value["fuel"]
    assert "from" not in record
    assert record["tanks"]["left"].startswith("25")
    assert float(record["tanks"]["right"].split()[0]) == pytest.approx(right.value, abs=1e-6)


def test_a_file_that_cannot_be_edited_in_place_is_written_anew(tmp_path: Path) -> None:
    path = tmp_path / "flow.yaml"
    path.write_text(
        "{flight: 1, aircraft: thornlea-t4, category: normal, rules: us-vfr-day, load: {front seats: [80"
        " kg]}, fuel: {grade: avgas-100LL, temperature: 22 degC, density: {at_15C: 0.715 kg/L}, tanks: {left:"
        " 31 L, right: 31 L}}, trip: [{phase: climb, time: 12 min}]}\n",
        encoding="utf-8",
    )
    found = session(path)
    control = by_label(found, "left tank")
    name, text = found.file({control.id: 25.0})
    (tmp_path / name).write_text(text, encoding="utf-8")
    assert plan_file(tmp_path / name).fuel.tanks[0].volume == pytest.approx(0.025)


def test_a_profile_of_the_user_s_own_is_found_from_the_saved_file_and_that_is_said(tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_bytes((ROOT / "aircraft_profiles/thornlea-t4.yaml").read_bytes())
    found = session(flight_with(tmp_path, "aircraft: thornlea-t4", "aircraft: ./mine.yaml"))
    assert "Keep it in that file's folder" in found.file({})[1]
    assert "Keep it" not in session(ROOT / "docs/flights/demo.yaml").file({})[1]


def test_pounds_and_gallons_are_written_as_they_are_shown() -> None:
    found = session(ROOT / "docs/flights/demo.yaml", "us")
    control = by_label(found, "baggage")
    assert control.unit == "lb"
    assert found.planned({control.id: 40.0}).flight.load["baggage"][0].value == pytest.approx(40 * 0.45359237)
    assert "baggage: 40 lb" in found.file({control.id: 40.0})[1]


def test_everything_wrong_is_told_at_once() -> None:
    found = session(ROOT / "docs/flights/demo.yaml")
    with pytest.raises(InputRefused) as refused:
        found.values({"c0": -5, "c1": "x", "c99": 1, "c2": float("nan")})
    assert len(refused.value.findings) == 4
    assert {finding.code for finding in refused.value.findings} == {"board-values"}
