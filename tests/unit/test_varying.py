"""Records varied: by the keys of the file, checked as a file is, and nothing else moves."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.plan import plan_flight
from planner.quantities.errors import InputRefused
from planner.quantities.units import Quantity, read_quantity
from planner.records.store import Loaded, load_aircraft, load_aircraft_file, load_flight_file

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "docs/flights/demo.yaml"
FLIGHT, AIRCRAFT = load_flight_file(DEMO)
LEGS, _ = load_flight_file(ROOT / "docs/flights/three-legs.yaml")

TEXT = """
flight: 1
aircraft: {aircraft}
category: normal
rules: us-vfr-day
load: {{front seats: [80 kg, 70 kg]}}
fuel: {{grade: avgas-100LL, temperature: 22 degC, density: {{at_15C: 0.715 kg/L}}, tanks: {{left: 31 L, right: 31 L}}}}
trip: [{{phase: taxi, fuel: 4 L}}, {{phase: cruise, time: 20 min}}]
"""


def codes(loaded: Loaded[Any], changes: dict[str, object]) -> list[tuple[str, str]]:
    with pytest.raises(InputRefused) as refused:
        loaded.with_(changes)
    return [(each.path, each.code) for each in refused.value.findings]


def written(tmp_path: Path, name: str = "thornlea-t4") -> Path:
    path = tmp_path / "flight.yaml"
    path.write_text(TEXT.format(aircraft=name), encoding="utf-8")
    return path


def test_nothing_changed_is_the_same_record() -> None:
    assert FLIGHT.with_({}) is FLIGHT
    assert AIRCRAFT.with_({}) is AIRCRAFT


def test_the_keys_of_the_task() -> None:
    """Every kind of key at once; each value stands where the file would have it, and the original is as it
    was.
    """
    before = FLIGHT.record.model_copy(deep=True)
    changed = FLIGHT.with_(
        {
            "rear seats 2": "60 kg",
            "fuel": "full",
            "fuel.left": "40 L",
            "density.at_15C": "0.71 kg/L",
            "temperature": "30 degC",
            "contingency": "10 %",
            "trip.3": "45 min",
            "climb": "5 L",
            "alternate": "20 min",
            "shelf": "5 kg",
            "category": "normal",
        }
    ).record
    assert [each.text for each in changed.load["rear seats"]] == ["78 kg", "60 kg"]
    assert [each.text for each in changed.load["shelf"]] == ["5 kg"]
    assert {name: tank.usable.text for name, tank in changed.fuel.tanks.items() if tank.usable} == {
        "left": "40 L",
        "right": "72 L",
    }
    assert changed.fuel.density.at_15C is not None
    assert changed.fuel.density.at_15C.value == pytest.approx(710.0)
    assert changed.fuel.temperature is not None
    assert changed.fuel.temperature.value == 30.0
    assert changed.contingency is not None
    assert changed.contingency.value == pytest.approx(0.1)
    assert changed.trip[2].time is not None
    assert (changed.trip[2].time.value, changed.trip[2].tank) == (2700.0, ("left",))
    assert changed.trip[1].time is None
    assert changed.trip[1].fuel is not None
    assert changed.trip[1].fuel.text == "5 L"
    assert changed.alternate is not None
    assert changed.alternate.time is not None
    assert changed.alternate.time.value == 1200.0
    assert FLIGHT.record == before
    assert FLIGHT.document.value == yaml.safe_load(DEMO.read_text(encoding="utf-8"))


def test_full_fills_a_tank_to_the_brim_and_plans() -> None:
    """Usable capacity of the profile: 76 L less 4 L each, by hand."""
    assert plan_flight(FLIGHT.with_({"fuel": "full"}), AIRCRAFT).fuel.aboard == pytest.approx(
        0.144, abs=1e-12
    )
    one = FLIGHT.with_({"left": "full", "right": "empty"}).record.fuel.tanks
    assert [one[name].usable.value for name in ("left", "right")] == pytest.approx([0.072, 0.0])  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "key", ["left", "fuel.left", "fuel left", "tanks.left", "fuel.tanks.left", "flight.fuel.tanks.left"]
)
def test_a_tank_goes_by_its_name(key: str) -> None:
    assert FLIGHT.with_({key: "12 L"}).record.fuel.tanks["left"].usable == read_quantity("12 L", "volume")


@pytest.mark.parametrize("key", ["rear seats 2", "rear seats.2", "load.rear seats.2", "load.rear seats 2"])
def test_a_seat_goes_by_its_number(key: str) -> None:
    assert [each.text for each in FLIGHT.with_({key: "50 kg"}).record.load["rear seats"]] == [
        "78 kg",
        "50 kg",
    ]


def test_a_seat_of_an_empty_row_keeps_the_others_empty(tmp_path: Path) -> None:
    flight = load_flight_file(written(tmp_path))[0]
    assert [each.value for each in flight.with_({"rear seats 2": "60 kg"}).record.load["rear seats"]] == [
        0.0,
        60.0,
    ]


def test_several_people_of_one_entry_become_seats() -> None:
    several = FLIGHT.with_({"rear seats": "[{how: standard, people: 2, who: female}]"})
    changed = several.with_({"rear seats 1": "{mass: 61 kg, how: weighed}"}).record.load["rear seats"]
    assert len(changed) == 2
    assert changed[1].value == several.record.load["rear seats"][1].value


def test_one_figure_for_a_row_is_not_divided_by_guessing() -> None:
    one = FLIGHT.with_({"rear seats": "150 kg"})
    assert codes(one, {"rear seats 2": "60 kg"}) == [("rear seats 2=60 kg", "load-one-figure")]
    both = one.with_({"rear seats 1": "70 kg", "rear seats 2": "60 kg"}).record.load["rear seats"]
    assert [each.text for each in both] == ["70 kg", "60 kg"]


def test_another_way_to_the_density_takes_the_place_of_the_first() -> None:
    changed = FLIGHT.with_({"density.measured": "0.71 kg/L", "density.at": "20 degC"}).record.fuel.density
    assert (changed.at_15C, changed.measured is not None, changed.at is not None) == (None, True, True)
    assert (
        codes(FLIGHT, {"density.fixed": "6 lb/USgal", "density.at_15C": "0.7 kg/L"})[0][1] == "density-ways"
    )
    certified = FLIGHT.with_({"density.certificate": "batch 7"})
    assert certified.record.fuel.density.certificate == "batch 7"
    assert certified.with_({"density.at_15C": "0.72 kg/L"}).record.fuel.density.certificate == ""


def test_another_way_to_a_tank_takes_the_place_of_the_first() -> None:
    assert (
        FLIGHT.with_({"left.dipstick": "10 cm"}).with_({"left": "20 L"}).record.fuel.tanks["left"].dipstick
        is None
    )
    by_ledger = FLIGHT.with_({"fuel.from": "ledger"}).record.fuel
    assert (by_ledger.source, by_ledger.tanks) == ("ledger", {})
    assert FLIGHT.with_({"fuel.from": "ledger"}).with_({"fuel": "full"}).record.fuel.source is None


def test_all_findings_at_once_each_at_its_option() -> None:
    changes: dict[str, object] = {
        "rear seat 2": "60 kg",
        "contingency": "10 kgs",
        "fuel.left": "40",
        "cruise": "45 min",
        "temperature": "21 degC",
        "fuel.temperature": "22 degC",
        "baggage": 15,
        "taxi": "4 lbs",
    }
    assert sorted(codes(FLIGHT, changes)) == sorted(
        [
            ("rear seat 2=60 kg", "key-unknown"),
            ("contingency=10 kgs", "quantity-ambiguous-unit"),
            ("fuel.left=40", "quantity-bare-number"),
            ("cruise=45 min", "key-ambiguous"),
            ("fuel.temperature=22 degC", "option-conflict"),
            ("baggage=15", "quantity-bare-number"),
            ("taxi=4 lbs", "quantity-ambiguous-unit"),
        ]
    )
    with pytest.raises(InputRefused, match="did you mean 'rear seats 2'"):
        FLIGHT.with_({"rear seat 2": "60 kg"})
    with pytest.raises(InputRefused, match=r"may mean 'trip\.3' and 'trip\.4'"):
        FLIGHT.with_({"cruise": "45 min"})


def test_the_checks_of_a_file_hold_and_a_notice_says_its_option() -> None:
    assert codes(FLIGHT, {"rules": "us"}) == [("rules=us", "rules-unknown")]
    assert codes(FLIGHT, {"rear seats": "[1 kg, 2 kg, 3 kg]"}) == [
        ("rear seats=[1 kg, 2 kg, 3 kg]", "load-too-many")
    ]
    assert codes(FLIGHT, {"temperature": "99 degC"}) == [("temperature=99 degC", "temperature-implausible")]
    notices = FLIGHT.with_({"front seats": "10 kg"}).notices
    assert [(each.path, each.code) for each in notices] == [("front seats=10 kg", "load-no-pilot")]
    assert codes(FLIGHT, {"fuel": "60 L"}) == [("fuel=60 L", "fuel-which-tank")]
    assert (
        codes(FLIGHT, {"trip": "[{phase: cruise, time: 1 h}]", "trip.4.time": "5 min"})[0][1] == "key-unknown"
    )
    assert codes(FLIGHT, {"baggage": "[1 kg\nfoo: 3"})[0][1] == "yaml-syntax"


def test_a_name_shared_by_two_things_is_refused_with_both_full_keys(tmp_path: Path) -> None:
    profile = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    stations = "  left: {kind: other, arm: 3 m}\n  extra: {kind: other, arm: 3 m}\n  baggage:"
    (tmp_path / "mine.yaml").write_text(profile.replace("  baggage:", stations, 1), encoding="utf-8")
    flight = load_flight_file(written(tmp_path, "mine.yaml"))[0]
    with pytest.raises(InputRefused, match=r"'left' may mean 'load\.left' and 'fuel\.tanks\.left'"):
        flight.with_({"left": "5 kg"})
    with pytest.raises(
        InputRefused, match=r"may mean '(load\.extra|flight\.extra)' and '(load\.extra|flight\.extra)'"
    ):
        flight.with_({"extra": "5 kg"})
    changed = flight.with_({"load.extra": "5 kg", "flight.extra": "6 L"}).record
    assert changed.load["extra"][0].text == "5 kg"
    assert changed.extra == read_quantity("6 L", "volume")


def test_another_aircraft_is_checked_against_with_its_own_names() -> None:
    assert codes(FLIGHT, {"aircraft": "thornlea-t5"}) == [("aircraft=thornlea-t5", "aircraft-not-found")]
    with pytest.raises(InputRefused, match="has no station 'baggage'"):
        FLIGHT.with_({"aircraft": "dunwick-marram"})
    other = FLIGHT.with_({"aircraft": "thornlea-t4b"})
    assert other.aircraft is not None
    assert other.aircraft.record == load_aircraft("thornlea-t4b").record


def test_a_profile_is_varied_and_a_flight_checked_against_it() -> None:
    changed = AIRCRAFT.with_(
        {
            "baggage.max": "50 kg",
            "left.unusable": "6 L",
            "basic_empty.moment": "1538 kg.m",
            "burn.cruise": "30 L/h",
        }
    )
    assert changed.record.stations["baggage"].max == read_quantity("50 kg", "mass")
    assert changed.record.basic_empty.arm is None
    assert FLIGHT.with_({"left": "full"}, aircraft=changed).record.fuel.tanks["left"].usable == read_quantity(
        "70 L", "volume"
    )
    assert codes(AIRCRAFT, {"left.unusable": "80 L"}) == [("left.unusable=80 L", "tank-unusable")]
    assert codes(AIRCRAFT, {"burn.crusie": "30 L/h"})[0][1] == "key-unknown"
    assert FLIGHT.with_({}, aircraft=changed).aircraft is changed


def test_a_key_of_a_leg_starts_at_the_legs() -> None:
    varied = LEGS.with_(
        {
            "baggage": "20 kg",
            "legs.2.load.baggage": "30 kg",
            "legs.1.uplift.left": "10 L",
            "legs.1.trip.cruise": "5 min",
        }
    ).record
    assert (varied.load["baggage"][0].text, varied.legs[1].load["baggage"][0].text) == ("20 kg", "30 kg")
    assert varied.legs[0].uplift["left"].text == "10 L"
    assert varied.legs[0].trip[2].time == read_quantity("5 min", "time")
    assert LEGS.with_({"legs.Fenmarsh to Aldercombe.trip.2.time": "5 min"}).record.legs[0].trip[
        1
    ].time == read_quantity("5 min", "time")
    assert codes(LEGS, {"legs.2.load.baggage": "x kg"})[0][0] == "legs.2.load.baggage=x kg"


def test_typed_values_are_quantities_never_bare_numbers() -> None:
    exact = Quantity(1 / 3, 0.01, "mass", "a third")
    assert FLIGHT.with_({"baggage": exact}).record.load["baggage"] == (exact,)
    assert (
        FLIGHT.with_({"rear seats": [read_quantity("70 kg", "mass"), "60 kg"]})
        .record.load["rear seats"][0]
        .value
        == 70.0
    )
    assert (
        FLIGHT.with_({"temperature": read_quantity("25 degC", "temperature")}).document.value["fuel"][
            "temperature"
        ]
        == "25 degC"
    )
    for wrong in (70, 70.0, True):
        assert codes(FLIGHT, {"baggage": wrong})[0][1] in ("quantity-bare-number", "quantity-not-text")
    assert codes(FLIGHT, {"baggage": read_quantity("3 L", "volume")})[0][1] == "quantity-wrong-dimension"
    assert codes(FLIGHT, {"baggage": Quantity(-1.0, 0.0, "mass", "-1 kg")})[0][1] == "quantity-too-small"
    settled = FLIGHT.with_({"rear seats": "[{mass: 78 kg, how: stated}]"}).record.load["rear seats"][0]
    assert FLIGHT.with_({"rear seats": [settled]}).record.load["rear seats"] == (
        settled,
    )  # its pad is not added again


def test_a_record_that_left_its_document_behind_is_not_varied() -> None:
    moved = replace(FLIGHT, record=FLIGHT.record.model_copy(update={"load": {}}))
    with pytest.raises(ValueError, match="without its document"):
        moved.with_({"baggage": "3 kg"})


masses = st.decimals(min_value=0, max_value=120, places=1).map(lambda each: f"{each} kg")
litres = st.decimals(min_value=0, max_value=70, places=1).map(lambda each: f"{each} L")
minutes = st.integers(1, 90).map(lambda each: f"{each} min")
# key -> where it stands in the file
PLACES: dict[str, tuple[str | int, ...]] = {
    "front seats 2": ("load", "front seats", 1),
    "rear seats 1": ("load", "rear seats", 0),
    "load.rear seats.2": ("load", "rear seats", 1),
    "baggage": ("load", "baggage"),
    "shelf": ("load", "shelf"),
    "fuel.left": ("fuel", "tanks", "left"),
    "right": ("fuel", "tanks", "right"),
    "density.at_15C": ("fuel", "density", "at_15C"),
    "temperature": ("fuel", "temperature"),
    "trip.3.time": ("trip", 2, "time"),
    "climb.time": ("trip", 1, "time"),
    "taxi.fuel": ("trip", 0, "fuel"),
    "alternate.time": ("alternate", "time"),
    "contingency": ("contingency",),
    "extra": ("extra",),
    "title": ("title",),
}
VALUES = {
    "fuel.left": litres,
    "right": litres,
    "taxi.fuel": litres,
    "extra": litres,
    "contingency": st.one_of(litres, st.integers(0, 90).map(lambda each: f"{each} %")),
    "density.at_15C": st.integers(7000, 7300).map(lambda each: f"{each / 10000} kg/L"),
    "temperature": st.integers(-20, 40).map(lambda each: f"{each} degC"),
    "trip.3.time": minutes,
    "climb.time": minutes,
    "alternate.time": minutes,
    "title": st.text("abc #:'-é", min_size=1, max_size=12).map(lambda each: f"x{each}".strip()),
}


@st.composite
def some_changes(draw: st.DrawFn) -> dict[str, str]:
    keys = draw(st.lists(st.sampled_from(sorted(PLACES)), unique=True, max_size=6))
    return {key: draw(VALUES.get(key, masses)) for key in keys}


def edited(changes: dict[str, str]) -> Any:
    """The file's values with the same figures typed in, by hand and without the program."""
    values = yaml.safe_load(DEMO.read_text(encoding="utf-8"))
    for key, text in changes.items():
        *way, last = PLACES[key]
        place = values
        for part in way:
            place = place[part]
        place[last] = text
    return values


@settings(max_examples=60, deadline=None)
@given(changes=some_changes())
def test_a_varied_flight_is_the_flight_of_an_edited_file(
    tmp_path_factory: pytest.TempPathFactory, changes: dict[str, str]
) -> None:
    path = tmp_path_factory.mktemp("edited") / "flight.yaml"
    path.write_text(yaml.safe_dump(edited(changes), allow_unicode=True), encoding="utf-8")
    loaded = load_flight_file(path)[0]
    changed = FLIGHT.with_(changes)
    assert changed.record == loaded.record
    assert changed.document.value == loaded.document.value
    assert sorted(each.code for each in changed.notices) == sorted(each.code for each in loaded.notices)


@settings(max_examples=60, deadline=None)
@given(some_changes(), st.integers(0, 6))
def test_changes_of_different_keys_commute(changes: dict[str, str], cut: int) -> None:
    first, second = dict(list(changes.items())[:cut]), dict(list(changes.items())[cut:])
    one, other = FLIGHT.with_(first).with_(second), FLIGHT.with_(second).with_(first)
    whole, turned = FLIGHT.with_(changes), FLIGHT.with_(dict(reversed(changes.items())))
    assert one.record == other.record == whole.record == turned.record
    assert one.document.value == other.document.value == whole.document.value
    assert one.document.varied == other.document.varied == whole.document.varied


def test_a_profile_edited_by_hand_is_the_profile_varied(tmp_path: Path) -> None:
    text = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    assert text.count("max_takeoff: 1085 kg") == 1
    path = tmp_path / "mine.yaml"
    path.write_text(text.replace("max_takeoff: 1085 kg", "max_takeoff: 1070 kg"), encoding="utf-8")
    assert AIRCRAFT.with_({"masses.max_takeoff": "1070 kg"}).record == load_aircraft_file(path).record
