"""The face for Python: its page runs, its figures are the engine's, and nothing of it hides a caution."""

from __future__ import annotations

import html
import re
from pathlib import Path

import numpy as np
import pytest

import planner
from planner.facts.cautions import INVENTED, PLAN, PLAN_SHORT
from planner.flight.envelope import ORDER, worst
from planner.plan import plan_file
from planner.quantities.units import SI_UNIT, in_unit

ROOT = Path(__file__).resolve().parents[2]
FLIGHTS = ROOT / "docs/flights"
PAGE = (ROOT / "docs/python.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```python\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)
NAMES = (
    "demo",
    "full-tanks",
    "helicopter-lateral",
    "not-shown-inside",
    "short-of-fuel",
    "three-legs",
    "turboprop",
    "twin-ifr",
)


def planned(name: str = "demo") -> planner.PlannedFlight:
    return planner.read_flight(FLIGHTS / f"{name}.yaml").plan()


def test_the_example_of_the_page_runs(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Block by block in one namespace, as a notebook is; every block prints something."""
    monkeypatch.chdir(ROOT)
    assert len(BLOCKS) >= 6
    space: dict[str, object] = {}
    for block in BLOCKS:
        exec(compile(block, "docs/python.md", "exec"), space)
        assert capsys.readouterr().out.strip(), block


def test_the_page_describes_every_name() -> None:
    table = re.findall(r"^\| (.+?) \|", PAGE, re.MULTILINE)
    described = {name for cell in table for name in re.findall(r"`(\w+)(?:\([^`]*\))?`", cell)}
    assert set(planner.__all__) <= described


@pytest.mark.parametrize(
    "kind", ["PlannedFlight", "LoadedFlight", "LoadedAircraft", "OfferedRemedies", "OfferedRemedy"]
)
def test_the_page_names_every_public_part(kind: str) -> None:
    parts = [name for name in dir(getattr(planner, kind)) if not name.startswith("_")]
    assert len(parts) >= 3
    assert not [name for name in parts if not re.search(rf"`\.?{name}\b|\.{name}\(", PAGE)]


@pytest.mark.parametrize("name", NAMES)
def test_its_limits_are_those_of_the_plan(name: str) -> None:
    """As many as the engine checks; together they are as bad as the verdict."""
    engine, plan = plan_file(FLIGHTS / f"{name}.yaml"), planned(name)
    assert len(plan.limits) == len(engine.limits())
    assert plan.verdict == engine.verdict == worst([limit.verdict for limit in plan.limits])
    for limit in plan.limits:
        assert limit.unit == SI_UNIT[limit.dimension]
        assert abs(limit.margin) == pytest.approx(abs(limit.limit - limit.value), abs=1e-9)
    assert {limit.place for limit in plan.limits} <= {
        "load",
        "ramp",
        "takeoff",
        "landing",
        "zero fuel",
        "burn",
        "fuel",
    }


def test_the_places_of_all_limits_are_told_apart() -> None:
    places = [limit.place for limit in planned().limits]
    assert set(places) == {"load", "ramp", "takeoff", "landing", "zero fuel", "burn", "fuel"}
    for name, state in planned().states.items():
        assert len(state.limits) == places.count(name)


def test_states_and_fuel_hold_the_figures_of_the_file() -> None:
    """The demo file by hand: 31 L + 31 L aboard, 4 L of taxi, 15 kg in a compartment of 40 kg."""
    plan = planned()
    assert plan.fuel.aboard == pytest.approx(0.062)
    assert plan.fuel.tanks == pytest.approx({"left": 0.031, "right": 0.031})
    assert plan.fuel.mass == pytest.approx(plan.fuel.aboard * plan.fuel.density)
    assert sum(volume for _, volume in plan.fuel.lines) == pytest.approx(plan.fuel.required)
    assert plan.states["takeoff"].fuel == pytest.approx(0.058)
    assert sum(plan.states["takeoff"].tanks.values()) == pytest.approx(0.058)
    baggage = next(limit for limit in plan.limits if limit.name == "baggage limit")
    assert (baggage.place, baggage.value, baggage.limit, baggage.margin) == ("load", 15.0, 40.0, 25.0)
    for state in plan.states.values():
        assert state.centre_of_gravity == pytest.approx(state.moment / state.mass)


def test_what_is_not_known_is_a_reason() -> None:
    flight = planned("utility")
    state = flight.states["landing"]
    known = flight.result.aircraft.lateral_known
    assert isinstance(state.lateral_centre_of_gravity, float) is known
    assert isinstance(state.percent_mac, (float, str))


def test_a_limit_shows_itself_in_the_units_of_its_reader() -> None:
    limit = next(
        each for each in planned().limits if each.place == "takeoff" and each.name.startswith("maximum")
    )
    assert f"{in_unit(limit.value, 'lb'):.1f} lb against {in_unit(limit.limit, 'lb'):.1f} lb" in limit.shown(
        "us"
    )
    assert f"{limit.value:.1f} kg against" in repr(limit)
    assert "\n" not in repr(limit)


@pytest.mark.parametrize("name", NAMES)
def test_no_view_of_a_plan_hides_a_caution(name: str) -> None:
    plan = planned(name)
    assert plan.result.aircraft.invented
    loud = INVENTED.replace("Invented", "INVENTED", 1)
    shown = html.unescape(plan._repr_html_())
    for text in (repr(plan), str(plan), shown):
        assert loud in text
        assert PLAN_SHORT in text
        assert plan.verdict in text.replace("NOT SHOWN INSIDE", "not shown inside").replace(
            "OUTSIDE", "outside"
        )
    assert all(caution in shown for caution in (INVENTED, *PLAN))
    assert all(limit.shown() in shown for limit in plan.limits)
    assert all(str(finding) in shown for finding in plan.findings)
    assert len(repr(plan)) < 300


def test_a_name_from_a_file_is_text_in_a_notebook(tmp_path: Path) -> None:
    text = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    evil = re.sub(r"^name: .*$", "name: '<script>alert(1)</script>'", text, count=1, flags=re.MULTILINE)
    assert evil != text
    (tmp_path / "evil.yaml").write_text(evil, encoding="utf-8")
    demo = (FLIGHTS / "demo.yaml").read_text(encoding="utf-8")
    (tmp_path / "flight.yaml").write_text(
        re.sub(r"^aircraft: \S+", "aircraft: evil.yaml", demo, flags=re.MULTILINE)
    )
    shown = planner.read_flight(tmp_path / "flight.yaml").plan()._repr_html_()
    assert "<script>" not in shown
    assert "&lt;script&gt;" in shown


def test_a_sweep_is_the_plan_of_each_loading() -> None:
    """The loading of the file itself, met by the ranges, has the figures of its plan."""
    flight = planner.read_flight(FLIGHTS / "demo.yaml")
    plan = flight.plan()
    rows = flight.sweep({"baggage": (0, 30, 3, "kg"), "fuel left": (11, 31, 2, "L")})
    assert rows.shape == (6,)
    assert rows["baggage [kg]"].tolist() == [0, 0, 15, 15, 30, 30]
    assert rows["fuel left [L]"] == pytest.approx([11, 31] * 3)
    here = rows[3]
    assert here["verdict"] == plan.verdict
    assert here["fuel aboard [m3]"] == pytest.approx(plan.fuel.aboard)
    for name, state in plan.states.items():
        assert here[f"{name} mass [kg]"] == pytest.approx(state.mass)
        assert here[f"{name} CG [m]"] == pytest.approx(state.centre_of_gravity)
    aft = min(limit.margin for limit in plan.limits if limit.name.startswith("aft"))
    assert here["aft margin [m]"] == pytest.approx(aft, abs=1e-9)
    assert here["fuel margin [m3]"] == pytest.approx(plan.fuel.surplus)


def test_every_field_of_a_sweep_ends_in_its_unit() -> None:
    rows = planner.read_flight(FLIGHTS / "demo.yaml").sweep({"front seats": (110, 330, 2, "lb")})
    figures = [name for name in rows.dtype.names if name != "verdict"]
    assert "front seats [lb]" in figures
    assert all(re.search(r" \[(kg|lb|m|m3)\]$", name) for name in figures)
    assert all(rows.dtype[name] == np.float64 for name in figures)
    assert set(rows["verdict"].tolist()) <= set(ORDER)


@pytest.mark.parametrize(
    ("ranges", "code"),
    [
        ({"front seat": (50, 220, 5, "kg")}, "sweep-unknown"),
        ({"front seats": (220, 50, 5, "kg")}, "sweep-range"),
        ({"front seats": (-5, 50, 5, "kg")}, "sweep-range"),
        ({"front seats": (50, 220, 1, "kg")}, "sweep-steps"),
        ({"front seats": (50, 220, 5, "L")}, "quantity-wrong-dimension"),
        ({"fuel": (0, 4000, 5, "L")}, "sweep-overfilled"),
        ({"fuel": (0, 144, 2000, "L"), "baggage": (0, 40, 2000, "kg")}, "sweep-too-large"),
        ({}, "sweep-too-large"),
    ],
)
def test_a_range_that_does_not_fit_is_refused(
    ranges: dict[str, tuple[float, float, int, str]], code: str
) -> None:
    with pytest.raises(planner.InputRefused) as refused:
        planner.read_flight(FLIGHTS / "demo.yaml").sweep(ranges)
    assert refused.value.findings[0].code == code
    assert all(finding.path == "sweep" for finding in refused.value.findings)


def test_remedies_are_planned_again_and_say_why_others_do_not_do() -> None:
    offered = planned("full-tanks").remedies(units="us")
    assert len(offered) == len(offered.found) > 0
    assert all(remedy.plan.verdict == "inside" for remedy in offered)
    assert offered.impossible
    assert PLAN_SHORT in repr(offered)
    assert all(remedy.words() in repr(offered) for remedy in offered)
    assert any(" lb" in remedy.words("us") for remedy in offered)
    assert len(planned().remedies()) == 0


def test_a_remedy_with_next_to_no_room_says_so() -> None:
    offered = (
        planner.read_flight(FLIGHTS / "demo.yaml")
        .plan({"baggage": "40 kg", "fuel": "full", "rear seats 2": "0 kg"})
        .remedies()
    )
    assert {remedy.remedy.narrow for remedy in offered} == {True, False}
    assert all(remedy.remedy.narrow == ("NARROW" in remedy.words()) for remedy in offered)


def test_a_chance_is_that_of_its_seed() -> None:
    plan = planned("not-shown-inside")
    assert plan.chance(2000, seed=3) == plan.chance(2000, seed=3)
    assert 0 < plan.chance(2000, seed=3).share < 1
    assert isinstance(plan.chance(10), planner.Chance)


def test_every_leg_is_planned_with_what_the_one_before_left() -> None:
    flight = planner.read_flight(FLIGHTS / "three-legs.yaml")
    legs = flight.plan_legs()
    assert len(legs) == 3
    assert legs[0].limits == flight.plan().limits
    assert "legs-follow" in {finding.code for finding in flight.plan().findings}
    assert len(planner.read_flight(FLIGHTS / "demo.yaml").plan_legs()) == 1


def test_a_profile_tells_its_names() -> None:
    aircraft = planner.read_aircraft("thornlea-t4")
    assert aircraft.name == "Thornlea T4"
    assert (aircraft.tanks, "baggage" in aircraft.stations) == (("left", "right"), True)
    assert "INVENTED" in repr(aircraft)


def test_a_change_leaves_the_flight_as_it_is() -> None:
    flight = planner.read_flight(FLIGHTS / "demo.yaml")
    changed = flight.plan({"baggage": "20 kg", "fuel.left": "40 L"})
    assert changed.fuel.aboard == pytest.approx(0.071)
    assert flight.plan() == flight.plan({})
    assert flight.plan().fuel.aboard == pytest.approx(0.062)
    assert changed.flight.plan() == changed


def test_a_changed_profile_is_flown_in_place_of_the_file_s() -> None:
    flight = planner.read_flight(FLIGHTS / "demo.yaml")
    changes = {"masses.max_takeoff": "1000 kg", "masses.max_landing": "1000 kg"}
    lighter = planner.read_aircraft("thornlea-t4").with_(changes)
    plan = flight.with_({}, aircraft=lighter).plan()
    limit = next(each for each in plan.limits if each.place == "takeoff" and each.name.startswith("maximum"))
    assert limit.limit == 1000.0
    assert plan.verdict == "outside"


def test_what_can_not_be_changed_is_refused_with_every_finding() -> None:
    with pytest.raises(planner.InputRefused) as refused:
        planner.read_flight(FLIGHTS / "demo.yaml").plan({"bagage": "5 kg", "fuel.left": "400 kg/L"})
    assert len(refused.value.findings) == 2
