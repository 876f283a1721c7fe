"""Six limits of the trade, each one key of the profile: asked by a plan, a sweep, random draws and the search
for a change alike.

Every figure is arithmetic on an invented four-seater: 688.4 kg empty, fuel of exactly 0.72 kg/L.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.flight.envelope import LimitResult
from planner.flight.limits import register
from planner.plan import Plan, plan_flight
from planner.quantities.errors import InputRefused
from planner.records.store import load_flight_file, profile_folder
from planner.search.solved import solve
from planner.search.varied import case_of, item_mass
from planner.sureness.chance import chance
from planner.sweep.block import GROUPS, Sweeper
from planner.sweep.sweep_run import group_margins
from planner.sweep.sweeping import compile_sweep, plan_of_row
from planner.sweep.targets import find_target
from tests.oracle.plain import plain

PROFILE = (profile_folder() / "thornlea-t4.yaml").read_text(encoding="utf-8")
FLIGHT = """
flight: 1
aircraft: profile.yaml
category: normal
rules: us-vfr-day
load: {{front seats: {front}, rear seats: {rear}, baggage: {bag}}}
fuel: {{grade: avgas-100LL, density: {{fixed: {density}}}, tanks: {{left: {left}, right: {right}}}}}
trip: [{{phase: taxi, fuel: 2 L}}, {{phase: cruise, fuel: {cruise}{tank}}}]
"""
KEYS = {
    "tank": ("left:  {capacity: 76 L,", "left:  {max: 25 kg, capacity: 76 L,"),
    "balance": ("feed: together", "feed: together\nbalance: {between: [left, right], max: 15 L}"),
    "floor": ("arm: 3.630 m, max: 40 kg", "arm: 3.630 m, max: 40 kg, area: 0.5 m2, max_per_area: 30 kg/m2"),
    "pilot": (
        "front seats: {kind: seats, seats: 2, arm: 2.165 m,",
        "front seats: {kind: seats, seats: 2, min: 60 kg, arm: 2.165 m,",
    ),
    "payload": ("edges: linear in cg", "edges: linear in cg\n    max_payload: 300 kg"),
    "row": ("rear seats:  {kind: seats, seats: 2,", "rear seats:  {kind: seats, seats: 2, max: 160 kg,"),
}


def flight(folder: Path, key: str, **said: str) -> Path:
    old, new = KEYS[key]
    if old not in PROFILE:  # the profile's own spacing
        old = next(line for line in (old, old.replace("  ", " ")) if line in PROFILE)
    (folder / "profile.yaml").write_text(PROFILE.replace(old, new, 1), encoding="utf-8")
    values = {
        "front": "[80 kg, 70 kg]",
        "rear": "[70 kg, 60 kg]",
        "bag": "10 kg",
        "density": "0.72 kg/L",
        "left": "40 L",
        "right": "40 L",
        "cruise": "10 L",
    }
    path = folder / "flight.yaml"
    path.write_text(FLIGHT.format(**values | {"tank": ""} | said), encoding="utf-8")
    return path


def planned(path: Path) -> Plan:
    return plan_flight(*load_flight_file(path))


def limit_of(plan: Plan, words: str) -> LimitResult:
    (found,) = [limit for limit in plan.load_limits if words in limit.name]
    return found


@pytest.mark.parametrize(
    ("key", "words", "said", "margin"),
    [
        ("tank", "mass of fuel in left", {}, 25 - 40 * 0.72),
        ("tank", "mass of fuel in left", {"left": "20 kg"}, 5.0),
        ("balance", "more fuel in left", {"left": "50 L"}, (15 - 10) * 1e-3),
        (
            "balance",
            "more fuel in left",
            {"tank": ", tank: right", "cruise": "20 L"},
            (15 - 20) * 1e-3,
        ),  # even at first, 20 L out of one side alone
        ("balance", "more fuel in right", {}, 15e-3),
        ("floor", "baggage floor load", {}, 0.5 * 30 - 10),
        ("pilot", "least mass on the first seat", {"front": "[55 kg, 70 kg]"}, -5.0),
        ("pilot", "least mass on the first seat", {"front": "[60 kg]"}, 0.0),
        ("payload", "payload of the normal", {}, 300 - 290),
        ("row", "rear seats limit", {"rear": "[90 kg, 75 kg]"}, -5.0),
    ],
)
def test_the_margin_is_that_of_the_arithmetic(
    tmp_path: Path, key: str, words: str, said: dict[str, str], margin: float
) -> None:
    plan = planned(flight(tmp_path, key, **said))
    found = limit_of(plan, words)
    assert found.margin == pytest.approx(margin, abs=1e-9)
    assert found.verdict == ("outside" if margin < 0 else "inside")
    if margin < 0:
        assert plan.verdict == "outside"


@pytest.mark.parametrize("key", KEYS)
def test_every_evaluator_asks_it(tmp_path: Path, key: str) -> None:
    """A sweep over the row of seats, the fuel and the bag finds the margins and verdicts that single plans
    find.
    """
    path = flight(tmp_path, key, rear="[70 kg, 60 kg]")
    loaded, aircraft = load_flight_file(path)
    plan = plan_flight(loaded, aircraft)
    names = (("front seats 1", "kg"), ("rear seats 2", "kg"), ("fuel left", "L"), ("baggage", "kg"))
    targets = [find_target(loaded.record, aircraft.record, name, unit) for name, unit in names]
    model = compile_sweep(plan, targets)
    rows = np.array(
        [
            [50.0, 60.0, 0.030, 10.0],
            [80.0, 95.0, 0.060, 16.0],
            [80.0, 60.0, 0.040, 10.0],
            [61.0, 20.0, 0.026, 0.0],
        ]
    )
    found = Sweeper(model).judge(rows)

    for at, row in enumerate(rows):
        alone = plan_of_row(loaded, aircraft, model, targets, list(row))
        for group, margin in group_margins(alone).items():
            assert found.margins[GROUPS.index(group), at] == pytest.approx(margin, abs=1e-9), (at, group)
        assert ("inside", "not shown inside", "outside")[found.verdict[at]] == alone.verdict


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("tank", {"left": "34.722222 +/- 1 L"}),
        ("balance", {"left": "55 +/- 1 L", "right": "40 L"}),
        ("floor", {"bag": "15 +/- 1 kg"}),
        ("pilot", {"front": "[60 +/- 1 kg, 70 kg]"}),
        ("payload", {"rear": "[80 +/- 2 kg, 60 kg]"}),
        ("row", {"rear": "[80 +/- 1 kg, 80 kg]"}),
    ],
)
def test_half_of_the_draws_are_inside_a_limit_that_is_met_exactly(
    tmp_path: Path, key: str, said: dict[str, str]
) -> None:
    plan = planned(flight(tmp_path, key, **said))
    drawn = chance(plan, 20_000)
    (at_it,) = [limit for limit in plan.load_limits if abs(limit.margin) < 1e-6]
    assert (at_it.verdict, at_it.uncertainty > 0) == ("not shown inside", True)
    assert dict(drawn.failures)[at_it.name] / drawn.draws == pytest.approx(0.5, abs=0.02)


def test_the_search_for_a_change_knows_it(tmp_path: Path) -> None:
    case = case_of(
        *load_flight_file(
            flight(
                tmp_path, "row", bag="0 kg", rear="[90 kg, 80 kg]", left="14 L", right="14 L", cruise="5 L"
            )
        )
    )
    assert limit_of(case.plan, "rear seats limit").verdict == "outside"
    (interval,) = solve(case, item_mass(case.plan, "rear seats", 0, 150.0))
    assert interval.high == pytest.approx(80.0)  # 160 kg for the row less the 80 kg of the other


def test_every_state_and_the_burn_ask_the_edges_and_masses_of_the_register(tmp_path: Path) -> None:
    plan = planned(flight(tmp_path, "tank"))
    for state in plan.states:
        assert [(each.id, each.place) for each in state.limits] == [
            (each.id, each.place) for each in plan.model.at(state.name)
        ]
        assert all(
            each.limit == limit.at(state.total.mass)
            for each, limit in zip(state.limits, plan.model.at(state.name), strict=True)
        )
    assert {each.id for each in plan.burn.limits} == {each.id for each in plan.model.at("burn")}


def test_ids_are_unique_and_a_key_that_makes_no_sense_is_refused(tmp_path: Path) -> None:
    for key in KEYS:
        aircraft = load_flight_file(flight(tmp_path, key))[1].record
        ids = [(limit.place, limit.id) for limit in register(aircraft, "normal")]
        assert len(ids) == len(set(ids))
    path = flight(tmp_path, "balance")
    profile = tmp_path / "profile.yaml"
    for wrong, code in (("between: [left, left]", "balance-two"), ("between: [left, wing]", "tank-unknown")):
        text = profile.read_text(encoding="utf-8")
        profile.write_text(text.replace("between: [left, right]", wrong), encoding="utf-8")
        with pytest.raises(InputRefused) as refused:
            load_flight_file(path)
        assert code in [finding.code for finding in refused.value.findings]
        profile.write_text(text, encoding="utf-8")


def test_fuel_on_one_side_is_as_unsure_as_where_it_is_most(tmp_path: Path) -> None:
    """40 L in each of two tanks, the left used up first: then 40 +/- 1 L stand against nothing, 1.5 L below the
    greatest difference. With both dry nothing is left to be unsure about.
    """
    tank = {"capacity": "60 L", "unusable": "0 L", "arm": "2.20 m"}
    fuel = {"grade": "avgas-100LL", "density": {"fixed": "0.7 kg/L"}}
    plan = planned(
        plain(
            tanks={"left": tank, "right": tank},
            feed=["left", "right"],
            balance={"between": ["left", "right"], "max": "41.5 L"},
            fuel=fuel | {"tanks": {"left": "40 L", "right": "40 +/- 1 L"}},
        ).write(tmp_path)
    )
    found = limit_of(plan, "more fuel in right")
    assert (found.margin, found.uncertainty) == pytest.approx((1.5e-3, 2e-3), rel=1e-9)
    assert found.verdict == "not shown inside"
