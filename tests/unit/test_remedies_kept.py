"""What a remedy keeps: what was known of a thing that is carried elsewhere, limits shared by both its places,
and the word on what makes it worse.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from planner.plan import Plan, plan_file
from planner.records.store import load_flight_file
from planner.search.remedies import headroom, remedies
from planner.search.remedies.closer import _Two
from planner.search.remedies.search import _missing
from planner.search.remedies.stop import split_trip
from planner.search.varied import Case, case_of, moved_mass, with_masses

ROOT = Path(__file__).parents[2]
PROFILE = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
SHORT = "[{phase: cruise, fuel: 5 L}]"


def case(folder: Path, load: str, litres: float, trip: str = SHORT, profile: str = PROFILE) -> Case:
    exact = (
        profile.replace("688.4 +/- 2 kg", "688.4 kg")
        .replace("2.235 +/- 0.004 m", "2.235 m")
        .replace(", max_landing: 1040 kg", "")
    )
    (folder / "exact.yaml").write_text(exact, encoding="utf-8")
    (folder / "flight.yaml").write_text(
        f"flight: 1\naircraft: exact.yaml\ncategory: normal\nrules: us-vfr-day\nload: {load}\nfuel: {{grade:"
        f" avgas-100LL, density: {{fixed: 0.720 kg/L}}, tanks: {{left: {litres / 2!r} L, right:"
        f" {litres / 2!r} L}}}}\ntrip: {trip}\n",
        encoding="utf-8",
    )
    return case_of(*load_flight_file(folder / "flight.yaml"))


def beyond(plan: Plan) -> float:
    """How far the CG lies aft of its limit where it lies furthest [m]."""
    limits = [*plan.burn.limits, *(limit for state in plan.states for limit in state.limits)]
    return max(0.0, *(-limit.margin for limit in limits if limit.name.startswith("aft limit")))


def test_a_thing_carried_whole_takes_along_what_was_known_of_it(tmp_path: Path) -> None:
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: 20 +/- 1.5 kg}", 60)
    variable = moved_mass(flight.plan, "baggage", 0, "shelf")
    whole = flight.at(variable, 20.0).plan.flight.load
    assert "baggage" not in whole
    assert [(mass.value, mass.u) for mass in whole["shelf"]] == [(20.0, 1.5)]
    # A part of it is weighed as it is carried; the rest stays as it was stated.
    part = flight.at(variable, 4.0).plan.flight.load
    assert [(mass.value, mass.u) for mass in part["shelf"]] == [(4.0, 0.0)]
    assert [(mass.value, mass.u) for mass in part["baggage"]] == [(16.0, 1.5)]
    assert flight.at(variable, 0.0).plan.flight.load == flight.plan.flight.load


def test_part_of_a_thing_carried_elsewhere_leaves_the_things_beside_it(tmp_path: Path) -> None:
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: [4 kg, 21 kg, 3 kg]}", 60)
    for index, carried, rest in (
        (0, 2.0, [2.0, 21.0, 3.0]),
        (1, 9.0, [4.0, 12.0, 3.0]),
        (1, 21.0, [4.0, 3.0]),
    ):
        load = flight.at(moved_mass(flight.plan, "baggage", index, "shelf"), carried).plan.flight.load
        assert [mass.value for mass in load["baggage"]] == rest
        assert [mass.value for mass in load["shelf"]] == [carried]


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_both_parts_of_a_trip_are_the_trip_and_a_climb_more(tmp_path: Path, share: float) -> None:
    """12 min at 42 L/h, an hour at 33 L/h and 10 L are 51.4 L; each part taxies as the flight does."""
    trip = (
        "[{phase: taxi, fuel: 2 L}, {phase: climb, time: 12 min}, {phase: cruise, time: 60 min},"
        " {phase: cruise, fuel: 10 L}, {phase: taxi, fuel: 1 L}]"
    )
    plan = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 144, trip).plan
    parts = split_trip(plan, share)
    for part in parts:
        assert [each.fuel.value for each in (part[0], part[-1]) if each.fuel] == pytest.approx([2e-3, 1e-3])
    for phase, minutes in (("climb", 24), ("cruise", 60)):
        times = [each.time.value for part in parts for each in part if each.phase == phase and each.time]
        assert sum(times) == pytest.approx(60 * minutes)
    litres = [
        each.fuel.value * 1e3 for part in parts for each in part if each.phase == "cruise" and each.fuel
    ]
    assert sum(litres) == pytest.approx(10)
    first = sum(
        (42 if each.phase == "climb" else 33) * each.time.value / 3600 for each in parts[0] if each.time
    )
    first += sum(each.fuel.value * 1e3 for each in parts[0][1:-1] if each.fuel)
    assert first == pytest.approx(share * 51.4)


def test_a_landing_between_two_phases_cuts_neither(tmp_path: Path) -> None:
    """A quarter of 20 L is the climb's 5 L: before the landing nothing of the cruise, after it all."""
    trip = "[{phase: climb, fuel: 5 L}, {phase: cruise, fuel: 15 L}]"
    plan = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 144, trip).plan
    before, after = (
        [(each.phase, each.fuel.value * 1e3) for each in part if each.fuel] for part in split_trip(plan, 0.25)
    )
    assert before == [("climb", pytest.approx(5))]
    assert after == [("climb", pytest.approx(5)), ("cruise", pytest.approx(15))]


def test_another_category_is_called_missing_only_where_the_profile_has_one() -> None:
    plans = {name: plan_file(ROOT / f"docs/flights/{name}.yaml") for name in ("demo", "helicopter")}
    counts = {name: len(plan.aircraft.envelopes) for name, plan in plans.items()}
    assert counts == {"demo": 2, "helicopter": 1}
    for name, plan in plans.items():
        said = "the profile has one category" in str(_missing(plan, set()))
        assert said == (counts[name] == 1)
        assert "the profile has one category" not in str(_missing(plan, {"category"}))


def test_leaving_somebody_behind_in_front_makes_an_aft_cg_worse(tmp_path: Path) -> None:
    """Whoever sits ahead of the CG holds it forward: without them it lies further aft, and the list says so;
    of those behind it does not.
    """
    flight = case(tmp_path, "{front seats: [75 kg, 60 kg], rear seats: [80 kg, 76 kg], baggage: 34 kg}", 60)
    assert flight.plan.verdict == "outside"
    told = {
        item.step.subject: item for item in remedies(flight).impossible if item.step.kind == "leave person"
    }
    assert told["front seats 2"].worse
    assert not any(item.worse for item in remedies(flight).impossible if item.reason), (
        "what cannot be done at all makes nothing worse"
    )
    for station, seat in (("front seats", 1), ("rear seats", 0), ("rear seats", 1)):
        name = f"{station} {seat + 1}"
        if name not in told:
            continue
        masses = [
            replace(mass, value=0.0) if at == seat else mass
            for at, mass in enumerate(flight.plan.flight.load[station])
        ]
        without = flight.with_(with_masses(station, masses)).plan
        assert told[name].worse == (beyond(without) > beyond(flight.plan)), name


def test_a_limit_on_both_places_does_not_hinder_a_move_between_them(tmp_path: Path) -> None:
    """All baggage is at its combined limit; carrying some of it to the shelf leaves that sum as it is, and
    only the shelf's own limit counts.
    """
    for most in ("8 kg", "45 kg"):
        profile = PROFILE.replace("max: 45 kg", f"max: {most}")
        flight = case(
            tmp_path,
            "{front seats: [120 kg, 120 kg], baggage: 8 kg}",
            144,
            "[{phase: taxi, fuel: 2 L}, {phase: cruise, fuel: 60 L}]",
            profile,
        )
        found = remedies(flight)
        tried = {(each.steps[0].subject, each.steps[0].to) for each in found.found} | {
            (each.step.subject, each.step.to) for each in found.impossible
        }
        assert ("baggage", "shelf") in tried


def test_room_is_told_in_whole_kilograms_for_people_and_half_ones_for_bags(tmp_path: Path) -> None:
    """A person is known to the kilogram, a luggage scale shows the half (common practice): what is promised
    is a whole number of those.
    """
    room = headroom(case(tmp_path, "{front seats: [80.3 kg, 70.2 kg], baggage: 10.2 kg}", 80))
    assert room.people
    assert room.bags
    for found in room.people:
        for end in (found.least, found.most):
            assert end in (found.now, pytest.approx(round(end), abs=1e-9))
    for found in room.bags:
        for end in (found.least, found.most):
            assert end in (found.now, pytest.approx(round(2 * end) / 2, abs=1e-9))
    # Beyond what is promised lies the limit itself, less than two steps away: no more is kept back than
    # rounding asks for.
    assert all(found.exact.high - found.most < 2.0 for found in room.people if found.most != found.now)
    assert all(found.exact.high - found.most < 1.0 for found in room.bags if found.most != found.now)


def test_narrow_is_what_nobody_can_portion(tmp_path: Path) -> None:
    """Less than a kilogram of a bag or ballast, less than a litre of fuel, or than a step of the pump per
    tank (common practice); no figure, no room.
    """
    flight = case(tmp_path, "{front seats: [75 kg, 60 kg], rear seats: [95 kg, 90 kg], baggage: 10 kg}", 60)
    found = remedies(flight, with_pairs=False).found
    assert {remedy.steps[0].kind for remedy in found} >= {"swap", "leave person"}
    for step in (step for remedy in found for step in remedy.steps):
        if step.dimension == "mass" and step.high:
            assert step.practical == 1.0, step
        elif step.dimension == "volume" and step.high:
            assert step.practical >= 1e-3, step
        else:
            assert not step.narrow, step
            assert step.room == 0.0, step
    assert {remedy.steps[0].to for remedy in found if remedy.steps[0].kind == "reseat"} <= {
        "front seats",
        "rear seats",
    }


def test_a_passenger_is_offered_a_seat_and_never_a_compartment(tmp_path: Path) -> None:
    """With a free seat in front, who sits behind may sit there; whoever is moved sits on seats afterwards."""
    flight = case(tmp_path, "{front seats: [75 kg, 0 kg], rear seats: [95 kg, 90 kg], baggage: 10 kg}", 60)
    offered = {
        (remedy.steps[0].subject, remedy.steps[0].to)
        for remedy in remedies(flight).found
        if remedy.steps[0].kind == "reseat"
    }
    assert offered
    assert {to for _, to in offered} == {"front seats"}


def test_no_more_is_carried_than_the_other_place_holds(tmp_path: Path) -> None:
    """The shelf takes 10 kg: of a bag of 25 kg that much is tried there, and told where it does not cure."""
    flight = case(tmp_path, "{front seats: [92 kg, 85 kg], rear seats: [88 kg, 72 kg], baggage: 25 kg}", 40)
    told = [
        item.step
        for item in remedies(flight).impossible
        if (item.step.kind, item.step.to) == ("move", "shelf")
    ]
    assert told
    assert all(9.0 <= step.value <= 10.0 for step in told)


@pytest.mark.parametrize(("end", "expected"), [(5.0, 3.3), (3.0, 3.0), (-4.0, -2.7), (-2.5, -2.5)])
def test_a_figure_goes_to_the_end_of_its_range_or_to_where_it_no_longer_does(
    end: float, expected: float
) -> None:
    does = SimpleNamespace(inside=lambda value: -2.7 <= value <= 3.3)
    assert _Two.edge(cast(Any, does), 1.0, end) == pytest.approx(expected, abs=1e-8)


def test_after_a_landing_it_climbs_once_as_it_did_first(tmp_path: Path) -> None:
    """21 of 28 L are burnt at three quarters: all but 7 L of the second cruise."""
    trip = ", ".join(
        f"{{phase: {phase}, fuel: {litres} L}}"
        for phase, litres in (("climb", 5), ("cruise", 10), ("climb", 3), ("cruise", 10))
    )
    plan = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 144, f"[{trip}]").plan
    before, after = (
        [(each.phase, each.fuel.value * 1e3) for each in part if each.fuel] for part in split_trip(plan, 0.75)
    )
    assert [phase for phase, _ in before] == ["climb", "cruise", "climb", "cruise"]
    assert [litres for _, litres in before] == pytest.approx([5, 10, 3, 3])
    assert [phase for phase, _ in after] == ["climb", "cruise"]
    assert [litres for _, litres in after] == pytest.approx([5, 7])


def test_a_part_of_a_phase_is_as_unsure_as_its_share_of_it(tmp_path: Path) -> None:
    """A quarter of 20 +/- 4 L, and of an hour, before the landing; the rest after it."""
    for stated, whole in (("fuel: 20 +/- 4 L", 20e-3), ("time: 60 +/- 12 min", 3600.0)):
        plan = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 144, f"[{{phase: cruise, {stated}}}]").plan
        for parts, share in zip(split_trip(plan, 0.25), (0.25, 0.75), strict=True):
            ((said,),) = ([each for each in (part.fuel, part.time) if each] for part in parts)
            assert (said.value, said.u) == pytest.approx((whole * share, whole / 5 * share))
            assert said.text == f"{share:.0%} of {stated.partition(': ')[2]}".replace("%", " %")
