"""What the report says where there is no margin left, nothing to cross, or nothing known of the lateral
CG.
"""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest

from planner.flight.envelope import LimitResult
from planner.plan import Plan, plan_file
from planner.quantities.units import Display, Quantity
from planner.records.store import load_aircraft
from planner.views.blocks import Page
from planner.views.flight.burn_text import render_states
from planner.views.flight.flight_json import flight_json
from planner.views.limit_words import at_limit, most_words, verdict_words
from planner.views.terminal import Screen
from planner.views.words import LATERAL_UNKNOWN, density_sentences, uncrossed, verdict_sentence

ROOT = Path(__file__).resolve().parents[2]


def plan(name: str) -> Plan:
    return plan_file(ROOT / f"docs/flights/{name}.yaml")


LOCKER = LimitResult(
    name="locker limit",
    dimension="mass",
    value=20.0,
    limit=20.0,
    margin=0.0,
    uncertainty=0.0,
    verdict="inside",
)


def test_a_figure_exactly_at_its_limit_is_inside_and_said_to_be_at_it() -> None:
    assert at_limit(LOCKER)
    assert verdict_words(LOCKER) == "inside, at the limit"
    assert most_words(LOCKER, Display()) == "20.0 inside, at the limit"
    made = replace(plan("tailwheel"), load_limits=(LOCKER,))
    assert made.verdict == "inside"
    assert "; locker limit: at the limit;" in verdict_sentence(made, Display())


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        (replace(LOCKER, uncertainty=0.5, verdict="not shown inside"), "not shown inside"),
        (replace(LOCKER, margin=1e-6), "inside"),
        (replace(LOCKER, margin=-1e-6, verdict="outside"), "OUTSIDE"),
        (replace(LOCKER, verdict="not shown inside"), "not shown inside"),
    ],
)
def test_anything_else_is_not_at_the_limit(limit: LimitResult, words: str) -> None:
    assert not at_limit(limit)
    assert verdict_words(limit) == words


def test_a_burn_without_crossings_says_which_limits_are_passed() -> None:
    inside = replace(plan("tailwheel"), burn=replace(plan("tailwheel").burn, crossings=()))
    assert uncrossed(inside) == "No limit is crossed during the burn."
    first, *others = inside.burn.limits
    over = replace(inside.state("takeoff").limits[0], margin=-5.0, verdict="outside")
    states = tuple(
        replace(each, limits=(over, *each.limits[1:])) if each.name == "takeoff" else each
        for each in inside.states
    )
    assert over.dimension == "mass"
    assert (
        uncrossed(replace(inside, states=states))
        == f"No CG limit is crossed during the burn, but: {over.name} passed."
    )
    burn = replace(inside.burn, limits=(replace(first, verdict="outside"), *others))
    base = first.name.removesuffix(", whole burn")
    assert (
        uncrossed(replace(inside, burn=burn))
        == f"No CG limit is crossed during the burn, but: {base} passed from engine start to the last usable"
        " fuel."
    )
    both = uncrossed(replace(inside, states=states, burn=burn))
    assert both.endswith(f"passed from engine start to the last usable fuel; {over.name} passed.")


@pytest.mark.parametrize(("name", "known"), [("thornlea-t4", True), ("saltmere-samphire", False)])
def test_lateral_known_is_what_the_profile_states(name: str, known: bool) -> None:
    text = (ROOT / f"aircraft_profiles/{name}.yaml").read_text(encoding="utf-8")
    stated = "lateral" in "".join(
        text.partition("stations:")[1:]
    )  # what the basic empty mass says of itself is not enough
    assert stated is known
    assert load_aircraft(name).record.lateral_known is known


def test_a_lateral_arm_of_any_one_station_or_tank_or_a_limit_is_enough() -> None:
    bare = load_aircraft("saltmere-samphire").record
    arm = Quantity(0.1, 0.0, "length", "0.1 m")
    station, tank = next(iter(bare.stations)), next(iter(bare.tanks))
    seated = bare.stations[station].model_copy(update={"lateral_arm": arm})
    assert bare.model_copy(update={"stations": {**bare.stations, station: seated}}).lateral_known
    tanked = type(bare.tanks[tank]).model_validate(
        {"capacity": "70 L", "unusable": "1 L", "arm": "0.5 m", "lateral_arm": "0 m"}
    )
    assert bare.model_copy(update={"tanks": {tank: tanked}}).lateral_known
    limits = load_aircraft("dunwick-marram").record.lateral
    assert limits is not None
    assert bare.model_copy(update={"lateral": limits}).lateral_known


@pytest.mark.parametrize("name", ["tailwheel", "demo"])
def test_a_lateral_cg_is_printed_only_where_it_is_known(name: str) -> None:
    made, stream = plan(name), io.StringIO()
    render_states(Page(Screen(file=stream, width=120)), made, Display())
    known = made.aircraft.lateral_known
    printed = " ".join(stream.getvalue().split())
    assert ("+0.0000" in printed or "right of the centre line is positive" in printed) is known
    assert (f"Lateral CG {LATERAL_UNKNOWN}." in printed) is not known
    data = flight_json(made)
    across = [state["lateral_cg_m"] for state in data["states"]] + [
        each["lateral_arm_m"] for each in data["items"]
    ]
    assert all(isinstance(each, float) if known else each == LATERAL_UNKNOWN for each in across)


def test_the_density_is_told_in_the_readers_unit_first_and_in_another() -> None:
    made = plan("demo")
    told = [density_sentences(made, Display(system))[0] for system in ("metric", "us", "uk")]
    assert told[0].startswith("0.7085 kg/L (5.913 lb/USgal), U 0.0004 kg/L")
    assert told[1].startswith("5.913 lb/USgal (0.7085 kg/L), U 0.003 lb/USgal")
    assert told[2].startswith("7.101 lb/impgal (0.7085 kg/L), U 0.004 lb/impgal")
