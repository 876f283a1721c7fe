"""Which of several aircraft can carry a load: who was put where, with what fuel, and why others can not."""

from __future__ import annotations

from itertools import permutations
from pathlib import Path

import pytest

from planner.errors import InputRefused
from planner.plan.varied import case_of
from planner.profile.store import load_flight_file
from planner.remedies.across import Candidate, across, load_of, profiles_in
from planner.remedies.steps import least_of

ROOT = Path(__file__).parents[2]
PROFILES = profiles_in(ROOT / "aircraft_profiles")
DEMO = case_of(*load_flight_file(ROOT / "docs/flights/demo.yaml"))


def named(found: tuple[Candidate, ...]) -> dict[str, Candidate]:
    return {Path(each.path).stem: each for each in found}


FOUND = named(across(DEMO, PROFILES))


def test_everyone_and_everything_is_aboard() -> None:
    people, bags = load_of(DEMO.plan)
    for each in FOUND.values():
        if each.possible:
            masses = sorted(mass for _, station in each.places for mass in station)
            assert masses == sorted(mass.value for mass in (*people, *bags))


def test_reasons() -> None:
    assert "may not use Avgas 100LL" in FOUND["ashgrove-tamarisk"].reason
    assert FOUND["hazelbrook-teasel"].reason == "4 people for 2 seats"
    assert not FOUND["hazelbrook-teasel"].possible


def test_those_that_can_are_inside_with_the_fuel_they_need_and_stand_first() -> None:
    ordered = across(DEMO, PROFILES)
    able = [each for each in ordered if each.possible]
    assert [each.possible for each in ordered] == sorted((each.possible for each in ordered), reverse=True)
    margins = [least_of(each.case.plan).margin for each in able if each.case is not None]
    assert margins == sorted(margins, reverse=True)
    for each in able:
        assert each.case is not None
        assert each.window is not None
        fuel = each.case.plan.fuel
        assert each.case.plan.verdict == "inside"
        assert fuel.required < fuel.aboard < fuel.required + fuel.uncertainty + 0.0011, "the least whole litres"
        assert each.window.low <= fuel.aboard <= each.window.high


def test_the_best_seating_is_found() -> None:
    """Against every order of the three passengers written out: nobody else in front gives a larger least CG margin."""
    chosen = FOUND["thornlea-t4"]
    assert chosen.case is not None
    best = least_of(chosen.case.plan).margin
    people, bags = load_of(DEMO.plan)
    pilot, *others = people
    for front, left, right in permutations(others):
        load = {"front seats": (pilot, front), "rear seats": (left, right), "baggage": bags}
        other = chosen.case.with_flight(chosen.case.plan.flight.model_copy(update={"load": load}))
        assert least_of(other.plan).margin <= best + 1e-12


def test_one_figure_for_several_people_is_refused() -> None:
    heavy = DEMO.plan.flight.model_copy(update={"load": {"front seats": (DEMO.plan.flight.load["front seats"][0].__class__(170.0, 0.0, "mass", "170 kg"),)}})
    with pytest.raises(InputRefused) as refused:
        across(DEMO.with_flight(heavy), PROFILES)
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
