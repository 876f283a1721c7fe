"""Which of several aircraft can carry a load: who was put where, with what fuel, and why others can not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import islice, permutations
from pathlib import Path

import pytest

from planner.flight.limits import register
from planner.quantities.errors import InputRefused
from planner.quantities.units import Display, Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.store import load_aircraft, load_flight_file
from planner.search.remedies.across import (
    WAYS,
    Candidate,
    _arrangements,
    _no_room,
    _reseated,
    _up_to_the_last,
    _within_limits,
    across,
    load_of,
    profiles_in,
)
from planner.search.remedies.places import discrete, people
from planner.search.remedies.steps import least_of
from planner.search.varied import Case, case_of, kilograms_of
from planner.views.remedy.across_text import across_json, reason_words

ROOT = Path(__file__).parents[2]
PROFILES = profiles_in(ROOT / "aircraft_profiles")
DEMO = case_of(*load_flight_file(ROOT / "docs/flights/demo.yaml"))


def named(found: tuple[Candidate, ...]) -> dict[str, Candidate]:
    return {Path(each.path).stem: each for each in found}


@cache
def ordered() -> tuple[Candidate, ...]:
    return across(DEMO, PROFILES)


def one(name: str) -> Candidate:
    return named(ordered())[name]


def test_everyone_and_everything_is_aboard() -> None:
    persons, bags = load_of(DEMO.plan)
    for each in ordered():
        if each.possible:
            masses = sorted(mass for _, station in each.places for mass in station)
            assert masses == sorted(mass.value for mass in (*persons, *bags))


def test_reasons() -> None:
    assert "may not use Avgas 100LL" in one("ashgrove-tamarisk").reason
    assert one("hazelbrook-teasel").reason == "4 people for 2 seats"
    assert not one("hazelbrook-teasel").possible


def test_those_that_can_are_inside_with_the_fuel_they_need_and_stand_first() -> None:
    able = [each for each in ordered() if each.possible]
    assert tuple(able) == ordered()[: len(able)]
    margins = [least_of(each.case.plan).margin for each in able if each.case is not None]
    assert margins == sorted(margins, reverse=True)
    for each in able:
        assert each.case is not None
        assert each.window is not None
        fuel = each.case.plan.fuel
        assert each.case.plan.verdict == "inside"
        assert fuel.required < fuel.aboard < fuel.required + fuel.uncertainty + 0.0011, (
            "the least whole litres"
        )
        assert each.window.low <= fuel.aboard <= each.window.high


def test_the_best_seating_is_found() -> None:
    """Against every order of the three passengers written out: nobody else in front gives a larger least CG
    margin.
    """
    chosen = one("thornlea-t4")
    assert chosen.case is not None
    best = least_of(chosen.case.plan).margin
    persons, bags = load_of(DEMO.plan)
    pilot, *others = persons
    for front, left, right in permutations(others):
        load = {"front seats": [pilot, front], "rear seats": [left, right], "baggage": list(bags)}
        other = chosen.case.with_({("load",): load})
        assert least_of(other.plan).margin <= best + 1e-12


def test_of_the_first_ways_to_seat_everyone_none_is_better() -> None:
    several = 0
    for each in ordered():
        if each.case is None or each.ways < 2:
            continue
        plan = each.case.plan
        quality = [plan.verdict == "inside", least_of(plan).margin + 1e-9]
        for load in islice(_arrangements(plan.aircraft, plan.flight.category, *load_of(DEMO.plan)), 6):
            other = each.case.with_({("load",): {name: list(row) for name, row in load.items()}}).plan
            assert [other.verdict == "inside", least_of(other).margin] <= quality
            several += 1
    assert several > 12


def test_the_alternate_counts_whatever_tank_it_named_at_home() -> None:
    """Ten minutes of the profile's own cruise flow more than without it; no other aircraft has a tank called
    so.
    """
    required = []
    for alternate in ({"phase": "cruise", "time": "10 min", "tank": "left"}, None):
        (found,) = across(
            DEMO.with_({"alternate": alternate}), [ROOT / "aircraft_profiles/corvedale-sextet.yaml"]
        )
        assert found.case is not None, found.reason
        assert not found.case.flight.record.trip[2].tank
        required.append(found.case.plan.fuel.required)
        flow = found.case.aircraft.record.burn["cruise"]
    assert required[0] - required[1] == pytest.approx(600 * flow.value)


FLOWN_FROM_THE_RIGHT = case_of(*load_flight_file(ROOT / "docs/flights/helicopter.yaml"))


def test_the_pilot_is_who_sits_on_the_pilots_seat() -> None:
    """The helicopter is flown from the second of its front seats, by the pilot of 85 kg."""
    flown = FLOWN_FROM_THE_RIGHT
    assert ("front seats", 1) not in people(flown.plan)
    assert ("front seats", 0) in people(flown.plan)
    for remedy in discrete(flown):
        assert remedy.plan.flight.load["front seats"][1].value == 85.0
    found = named(across(flown, PROFILES))
    for name, (row, number) in (("dunwick-marram", ("front seats", 1)), ("thornlea-t4", ("front seats", 0))):
        chosen = found[name].case
        assert chosen is not None
        assert chosen.plan.flight.load[row][number].value == 85.0


def test_one_figure_for_several_people_is_refused() -> None:
    with pytest.raises(InputRefused) as refused:
        across(DEMO.with_({"load": {"front seats": "170 kg"}}), PROFILES)
    assert [finding.code for finding in refused.value.findings] == ["load-undivided"]


def test_folders(tmp_path: Path) -> None:
    for path, code in ((tmp_path, "folder-empty"), (tmp_path / "nowhere", "folder-unreadable")):
        with pytest.raises(InputRefused) as refused:
            profiles_in(path)
        assert [finding.code for finding in refused.value.findings] == [code]


def test_a_profile_that_is_refused_is_a_reason_not_an_error(tmp_path: Path) -> None:
    (tmp_path / "broken.yaml").write_text("profile: 1\nname: Broken\n", encoding="utf-8")
    (each,) = across(DEMO, profiles_in(tmp_path))
    assert not each.possible
    assert each.reason.startswith("profile refused: ")


def profile(tmp_path: Path, *changes: tuple[str, str]) -> tuple[Path, ...]:
    """The invented four-seat profile with words replaced, alone in a folder."""
    text = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (tmp_path / "one.yaml").write_text(text, encoding="utf-8")
    return profiles_in(tmp_path)


def with_load(**stations: Sequence[float]) -> Case:
    """The demonstration with other masses [kg] aboard; an underscore stands for the blank of a station's
    name.
    """
    return DEMO.with_(
        {
            ("load",): {
                name.replace("_", " "): list(map(kilograms_of, masses)) for name, masses in stations.items()
            }
        }
    )


def test_each_of_two_people_on_one_row_may_be_heavy() -> None:
    """One figure is refused only where it is alone on a row of several seats and more than one person
    weighs.
    """
    for front in ((160.0, 70.0), (160.0, 0.0), (140.0,)):
        load = load_of(with_load(front_seats=front).plan)
        assert not isinstance(load, str), front
        assert [mass.value for mass in load[0]] == [mass for mass in front if mass]
    assert isinstance(load_of(with_load(front_seats=(160.0,)).plan), str)
    assert isinstance(load_of(with_load(front_seats=(150.5,)).plan), str)
    assert not isinstance(load_of(with_load(front_seats=(150.0,)).plan), str)
    # Nothing in front is no figure for several people; bags are heavy without being people.
    assert not isinstance(load_of(with_load(front_seats=(0.0,), rear_seats=(60.0, 60.0)).plan), str)
    assert not isinstance(load_of(with_load(front_seats=(80.0, 70.0), baggage=(40.0,)).plan), str)


def test_a_heavy_figure_alone_on_a_single_seat_is_one_person() -> None:
    aircraft = DEMO.aircraft.record
    stations = {
        **aircraft.stations,
        "front seats": aircraft.stations["front seats"].model_copy(update={"seats": 1, "lateral_arms": ()}),
    }
    plan = replace(
        with_load(front_seats=(160.0,)).plan, aircraft=aircraft.model_copy(update={"stations": stations})
    )
    people = load_of(plan)
    assert not isinstance(people, str)
    assert [mass.value for mass in people[0]] == [160.0]


def test_a_stowing_beyond_a_combined_limit_is_not_looked_at(tmp_path: Path) -> None:
    """Each compartment alone could take its bag; together they may not: both conditions must hold."""
    case = with_load(front_seats=(80.0, 70.0), baggage=(30.0, 9.0))
    (free,) = across(case, profile(tmp_path))
    assert free.of > 1
    (tight,) = across(
        case,
        profile(
            tmp_path, ("stations: [baggage, shelf], max: 45 kg", "stations: [baggage, shelf], max: 35 kg")
        ),
    )
    assert (tight.possible, tight.of, tight.case) == (False, 0, None)
    assert tight.reason == "2 bags and no way to stow them within the limits"


def test_a_stowing_beyond_one_compartment_is_not_looked_at(tmp_path: Path) -> None:
    case = with_load(front_seats=(80.0, 70.0), baggage=(39.0,))
    (found,) = across(
        case,
        profile(
            tmp_path,
            (
                "baggage: {kind: baggage, arm: 3.630 m, max: 40 kg}",
                "baggage: {kind: baggage, arm: 3.630 m, max: 20 kg}",
            ),
        ),
    )
    assert not found.possible
    assert found.reason == "1 bag and no way to stow them within the limits"


def test_a_stowing_beyond_a_floor_load_is_not_looked_at(tmp_path: Path) -> None:
    floor = "arm: 3.630 m, area: 0.5 m2, max_per_area: 60 kg/m2, max: 40 kg"
    (found,) = across(
        with_load(front_seats=(80.0, 70.0), baggage=(31.0,)),
        profile(tmp_path, ("arm: 3.630 m, max: 40 kg", floor)),
    )
    assert found.reason == "1 bag and no way to stow them within the limits"


def test_a_payload_that_no_stowing_mends_is_told_by_its_plan(tmp_path: Path) -> None:
    payload = ("  normal:\n", "  normal:\n    max_payload: 150 kg\n")
    (found,) = across(with_load(front_seats=(80.0, 70.0), baggage=(8.0,)), profile(tmp_path, payload))
    assert found.case is not None
    assert not found.possible
    assert "payload of the normal category" in reason_words(found, Display())


def test_people_without_bags_need_no_compartment_and_bags_do(tmp_path: Path) -> None:
    text = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    no_holds = [
        (line + "\n", "") for line in text.splitlines() if line.startswith(("  baggage: {", "  shelf: {"))
    ]
    no_holds += [
        ("  - {name: all baggage, stations: [baggage, shelf], max: 45 kg}\n", ""),
        ("combined_limits:\n", "combined_limits: []\n"),
    ]
    no_holds += [("forbids: [rear seats, baggage, shelf]", "forbids: [rear seats]")]
    no_holds += [(text[text.index("# The sample loadings") :], "")]  # they load the holds
    paths = profile(tmp_path, *no_holds)
    (able,) = across(with_load(front_seats=(80.0, 70.0)), paths)
    assert able.possible
    (unable,) = across(with_load(front_seats=(80.0, 70.0), baggage=(5.0,)), paths)
    assert unable.reason == "1 bag and no compartment"


def test_why_not_is_told_in_the_units_of_the_reader(tmp_path: Path) -> None:
    heavy = with_load(front_seats=(120.0, 120.0), rear_seats=(120.0, 120.0), baggage=(30.0,))
    (found,) = across(heavy, profile(tmp_path))
    assert not found.possible
    assert found.case is not None
    american = reason_words(found, Display("us"))
    assert " lb outside" in american
    assert "kg" not in american
    assert "mm" not in american
    assert " kg outside" in reason_words(found, Display())
    assert across_json(heavy.plan, [found])["aircraft"][0]["reason"] == reason_words(found, Display())


@pytest.mark.parametrize(
    ("rear", "bag", "fits"), [(250.0, 0.0, True), (250.5, 0.0, False), (225.0, 25.5, False)]
)
def test_an_empty_place_weighs_nothing_within_a_combined_limit(rear: float, bag: float, fits: bool) -> None:
    aircraft = load_aircraft("corvedale-sextet").record
    limits = [each for each in register(aircraft, "normal") if each.quantity == "load"]
    load = {"rear seats": (kilograms_of(rear),), **({"aft baggage": (kilograms_of(bag),)} if bag else {})}
    assert _within_limits(limits, load) is fits, "rear cabin: 250 kg together"


def test_a_seat_left_empty_weighs_nothing() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    seatings = list(_arrangements(aircraft, "normal", [kilograms_of(80.0), kilograms_of(70.0)], []))
    assert len(seatings) == 2, "the second person in front or behind"
    for load in seatings:
        masses = [mass.value for row in load.values() for mass in row]
        assert sorted(masses, reverse=True)[:2] == [80.0, 70.0]
        assert sum(masses) == 150.0


def ways(
    aircraft: Aircraft, people: Sequence[float], bags: Sequence[float], category: str = "normal"
) -> set[tuple[tuple[str, tuple[float, ...]], ...]]:
    """Every arrangement looked at: station -> its masses, those of a row in their seats."""
    found = _arrangements(aircraft, category, *(list(map(kilograms_of, row)) for row in (people, bags)))
    return {
        tuple(sorted((name, tuple(mass.value for mass in row)) for name, row in load.items()))
        for load in found
    }


def test_everyone_is_seated_in_every_way_that_differs_with_the_pilot_in_the_pilots_seat() -> None:
    """Three people: who sits in front beside the pilot, if anyone. Bags of 8 and 12 kg: the shelf takes 10."""
    aircraft = load_aircraft("thornlea-t4").record
    seatings = [
        (("front seats", (80.0, 70.0)), ("rear seats", (60.0, 0.0))),
        (("front seats", (80.0, 60.0)), ("rear seats", (70.0, 0.0))),
        (("front seats", (80.0, 0.0)), ("rear seats", (70.0, 60.0))),
    ]
    assert ways(aircraft, [80, 70, 60], []) == set(seatings)
    stowed = [(("baggage", (8.0, 12.0)),), (("baggage", (12.0,)), ("shelf", (8.0,)))]
    assert ways(aircraft, [80, 70, 60], [8, 12]) == {
        tuple(sorted(seating + bags)) for seating in seatings for bags in stowed
    }
    assert len(ways(aircraft, [80, 70, 70], [])) == 2, "two of one mass are not told apart"
    assert len(ways(aircraft, [80, 70, 60, 50], [])) == 3
    assert ways(aircraft, [80, 70, 60, 50, 40], []) == set(), "five for four seats"
    assert ways(aircraft, [80, 70], [], "utility") == {(("front seats", (80.0, 70.0)),)}
    assert ways(aircraft, [80], [5], "utility") == set(), "no bag may be aboard"
    assert ways(aircraft, [], [5]) == {(("baggage", (5.0,)),), (("shelf", (5.0,)),)}


def test_flown_from_the_second_seat_the_first_is_the_passengers() -> None:
    aircraft = load_aircraft("dunwick-marram").record
    assert ways(aircraft, [80, 70], []) == {
        (("front seats", (70.0, 80.0)),),
        (("front seats", (0.0, 80.0)), ("rear seats", (70.0, 0.0))),
    }


def test_bags_go_to_other_places_only_where_no_compartment_is() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    other = {"kind": "other"}
    shelf = {**aircraft.stations, "shelf": aircraft.stations["shelf"].model_copy(update=other)}
    both = {**shelf, "baggage": aircraft.stations["baggage"].model_copy(update=other)}
    bag = [("baggage", (5.0,))], [("shelf", (5.0,))]
    for stations, places in ((shelf, bag[:1]), (both, bag)):
        changed = aircraft.model_copy(update={"stations": stations})
        assert ways(changed, [], [5]) == {tuple(place) for place in places}


def test_profiles_are_files_of_yaml_in_the_order_of_their_names(tmp_path: Path) -> None:
    for name in ("b.yaml", "c.yml", "a.yaml", "notes.txt", "yaml"):
        (tmp_path / name).write_text("", encoding="utf-8")
    assert [path.name for path in profiles_in(tmp_path)] == ["a.yaml", "b.yaml", "c.yml"]


def test_what_is_changed_for_another_aircraft_is_noted_and_each_is_told_as_it_is_begun(
    tmp_path: Path,
) -> None:
    told: list[int] = []
    category = "acrobatic"
    (found, again) = across(
        DEMO, [*profile(tmp_path, ("  normal:", f"  {category}:"))] * 2, progress=told.append
    )
    assert told == [0, 1]
    assert found.notes == (f"category {category}, as it has no 'normal'",)
    assert found.case is not None
    assert found.case.flight.record.category == category
    assert (found.ways, found.of) == (again.ways, again.of)
    assert 0 < found.ways == found.of
    assert one("thornlea-t4").notes == ()


def test_a_trip_that_no_tank_holds_is_a_reason(tmp_path: Path) -> None:
    long = DEMO.with_({("trip",): [{"phase": "cruise", "fuel": "130 L"}]})
    (found,) = across(long, profile(tmp_path))
    assert (found.possible, found.case) == (False, None)
    assert found.reason == "its tanks do not hold the fuel this trip needs"


def test_people_are_counted_against_seats_in_words() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    single = aircraft.stations["front seats"].model_copy(update={"seats": 1})
    people, bags = [kilograms_of(80.0)] * 2, [kilograms_of(5.0)]
    for stations, load, said in (
        ({"front seats": single}, (people, []), "2 people for 1 seat"),
        (
            {"front seats": aircraft.stations["front seats"]},
            ([*people, *people[:1]], []),
            "3 people for 2 seats",
        ),
        ({"front seats": single}, (people[:1], bags), "1 bag and no compartment"),
        ({"front seats": single}, (people[:1], bags * 2), "2 bags and no compartment"),
        (aircraft.stations, (people[:1], bags), "1 bag and no way to stow them within the limits"),
    ):
        changed = aircraft.model_copy(update={"stations": stations})
        assert _no_room(changed, "normal", *load) == said


def test_those_that_can_not_come_last_the_nearest_first(tmp_path: Path) -> None:
    """A heavy load: one aircraft carries it not at all, and of two that do not the one nearer to its limit comes
    first; by name where none was planned.
    """
    heavy = with_load(front_seats=(120.0, 120.0), rear_seats=(120.0, 120.0), baggage=(30.0,))
    text = profile(tmp_path)[0].read_text(encoding="utf-8")
    names = {"b": "4.450", "a": "2.370", "c": "2.400"}
    paths = []
    for name, aft in names.items():
        path = tmp_path / f"{name}.yaml"
        path.write_text(
            text.replace("name: Thornlea T4", f"name: {name}").replace("2.370 m]", f"{aft} m]"),
            encoding="utf-8",
        )
        paths.append(path)
    for name in ("z", "y"):
        (tmp_path / f"{name}.yaml").write_text("profile: 1\n", encoding="utf-8")
        paths.append(tmp_path / f"{name}.yaml")
    found = across(heavy, paths)
    margins = [least_of(each.case.plan).margin if each.case is not None else 0.0 for each in found]
    assert not any(each.possible for each in found)
    assert margins == sorted(margins, reverse=True)
    unread = [each.name for each in found if each.case is None]
    assert unread == ["y", "z"]


def test_on_a_row_the_order_that_a_lateral_limit_wants_is_found(tmp_path: Path) -> None:
    """110 kg on the left and 40 kg on the right of 0.30 m are 21 kg.m to the left: by 1000 kg some 20 mm, where
    10 mm are allowed; the other way round there are 30 mm. With one limit for both sides no order is.
    """
    text = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    text = text[: text.index("examples:")] if "examples:" in text else text
    text = text.replace("seats: 2, arm: 2.165 m, lateral_arms: [-0.28 m, 0.28 m]", "seats: 1, arm: 2.165 m")
    text = text.replace("seats: 2, arm: 3.005 m", "seats: 2, arm: 3.005 m, lateral_arms: [-0.30 m, 0.30 m]")
    flight = DEMO.with_({("load",): {"front seats": "80 kg", "rear seats": ["40 kg", "110 kg"]}})
    for lateral, rear in (
        ("{left: -0.01 m, right: 0.03 m}", (40.0, 110.0)),
        ("{left: -0.03 m, right: 0.01 m}", (110.0, 40.0)),
        ("{left: -0.01 m, right: 0.01 m}", None),
    ):
        path = tmp_path / "narrow.yaml"
        path.write_text(text.replace("{left: -0.05 m, right: 0.05 m}", lateral), encoding="utf-8")
        (found,) = across(flight, [path])
        assert found.possible is (rear is not None), lateral
        if rear is not None:
            assert dict(found.places) == {"front seats": (80.0,), "rear seats": rear}


def test_an_empty_seat_before_one_that_is_taken_is_told() -> None:
    assert _up_to_the_last([0.0, 80.0, 0.0]) == (0.0, 80.0)
    assert _up_to_the_last([0.0, 0.0]) == ()


def test_so_many_ways_are_looked_at_and_it_is_told_that_there_are_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Four people in four seats, the pilot's given, and a bag on either of two places: six ways on the T4."""
    path = ROOT / "aircraft_profiles/thornlea-t4.yaml"
    flight = DEMO.with_({("load", "baggage"): "5 kg"})
    for most, told in ((6, (6, 6)), (7, (6, 6)), (5, (5, 6)), (3, (3, 4))):
        monkeypatch.setattr("planner.search.remedies.across.WAYS", most)
        (found,) = across(flight, [path])
        assert (found.ways, found.of) == told, most


def test_the_orders_on_a_long_row_are_not_more_than_are_looked_at() -> None:
    """Five people on twenty seats of a row sit in 1.9 million ways."""
    aircraft = load_aircraft("thornlea-t4").record
    arms = tuple(Quantity((at - 9.5) / 10, 0.0, "length", "") for at in range(20))
    rear = aircraft.stations["rear seats"].model_copy(update={"seats": 20, "lateral_arms": arms})
    long = aircraft.model_copy(update={"stations": {**aircraft.stations, "rear seats": rear}})
    row = tuple(kilograms_of(float(mass)) for mass in [70, 71, 72, 73, 74, *[0] * 15])
    found = list(_reseated(long, {"front seats": (kilograms_of(80.0), kilograms_of(0.0)), "rear seats": row}))
    assert len(found) == WAYS
    assert all(
        sorted(mass.value for mass in each["rear seats"]) == [*[0.0] * 15, 70, 71, 72, 73, 74]
        for each in found
    )
    assert all(each["front seats"][0].value == 80.0 for each in found)
