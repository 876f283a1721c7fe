"""The fuel plan of one flight, every line, leg and figure of it by hand."""

from __future__ import annotations

import math

import pytest

from planner.flight.model import Model
from planner.plan import begin
from planner.plan.fuelling import Fuelling
from planner.plan.results import FuelPlan
from planner.records.document import parse
from planner.records.store import flight_in, load_aircraft_file

PROFILE = """\
profile: 1
name: Brackwater Plover
invented: true
source: Invented
datum: firewall
fuel_grades: [avgas-100LL]
basic_empty: {mass: 600 kg, arm: 2.0 m, date: 2026-02-11, includes: [full oil, unusable fuel]}
stations: {front: {kind: seats, seats: 2, arm: 2.5 m}}
tanks: {main: {capacity: 100 L, unusable: 5 L, arm: 2.2 m}, tail: {capacity: 50 L, unusable: 0 L, arm: 4.0 m}}
feed: [tail, main]
masses: {max_takeoff: 1200 kg, max_landing: 1150 kg}
mean_aerodynamic_chord: {leading_edge: 1.8 m, length: 1.5 m}
envelopes:
  normal: {edges: linear in cg, forward: [[500 kg, 1.5 m], [1200 kg, 1.5 m]], aft: [[500 kg, 3.5 m], [1200 kg, 3.5 m]]}
dipsticks: {main: {id: M, reads: total, table: [[0 cm, 0 L], [20 cm, 100 L]]}}
burn: {taxi: 12 L/h, climb: 40 kg/h, cruise: 30 +/- 3 L/h}
"""
FLIGHT = """\
flight: 1
aircraft: profile.yaml
category: normal
rules: us-vfr-day
load: {front: [80 kg, 70 kg]}
fuel: {grade: avgas-100LL, density: {fixed: 0.700 +/- 0.010 kg/L}, tanks: {main: 60 +/- 1 kg, tail: 20 +/- 1 L}}
trip:
  - {phase: taxi, fuel: 2 L}
  - {phase: climb, time: 15 +/- 1 min}
  - {phase: cruise, fuel: 6 L, tank: main}
  - {phase: cruise, fuel: 4 +/- 0.5 L}
  - {phase: taxi, fuel: 1 L}
alternate: {phase: cruise, time: 20 min}
contingency: 10 %
additional: 1 L
extra: 3 kg
discretionary: 2 L
"""


def planned(flight: str = FLIGHT, profile: str = PROFILE) -> tuple[Model, Fuelling]:
    aircraft = load_aircraft_file("profile.yaml", profile)
    begun = begin(flight_in(parse(flight, "flight.yaml"), aircraft), aircraft)
    return begun.model, begun.fuelling


def said(old: str, new: str, *more: tuple[str, str]) -> str:
    text = FLIGHT
    for before, after in ((old, new), *more):
        assert before in text
        text = text.replace(before, after)
    return text


def figures(plan: FuelPlan) -> dict[str, float]:
    """Every line in litres."""
    return {line.name: line.volume * 1e3 for line in plan.lines}


def test_every_line_leg_and_figure_of_a_fuel_plan() -> None:
    """0.700 +/- 0.010 kg/L: what is asked as a mass is asked at 0.680, and burnt at 0.700."""
    model, fuelling = planned()
    plan, climb = fuelling.plan, 10 / 0.68
    assert figures(plan) == pytest.approx(
        {
            "taxi": 2.0,
            "trip: climb": climb,
            "trip: cruise": 4.0,  # the second phase of this name; the first is below
            "contingency": 0.1 * (climb + 10),
            "alternate": 10.0,
            "final reserve": 15.0,
            "taxi after landing": 1.0,
            "additional": 1.0,
            "extra": 3 / 0.68,
            "discretionary": 2.0,
        }
    )
    assert plan.lines[2].volume == pytest.approx(6e-3)
    assert [line.kind for line in plan.lines] == [
        "taxi",
        "trip",
        "trip",
        "trip",
        "contingency",
        "alternate",
        "final reserve",
        "taxi",
        "additional",
        "extra",
        "discretionary",
    ]
    assert [line.basis for line in plan.lines[:6]] == [
        "2 L as stated",
        "15 +/- 1 min at the climb flow",
        "6 L as stated",
        "4 +/- 0.5 L as stated",
        "10 % of trip fuel",
        "20 min at the cruise flow",
    ]
    # What is stated takes the time that its flow gives it: 2 L at 12 L/h, 6 and 4 L at 30, 1 L at 12.
    times = [line.time / 60 if isinstance(line.time, float) else line.time for line in plan.lines]
    assert times[:4] == pytest.approx([10, 15, 12, 8])
    assert times[5:8] == pytest.approx([20, 30, 5])
    least = 2 + climb + 10 + 0.1 * (climb + 10) + 10 + 15 + 1 + 1
    assert plan.minimum * 1e3 == pytest.approx(least)
    assert plan.required * 1e3 == pytest.approx(least + 3 / 0.68 + 2)
    main, aboard = 60 / 0.7, 60 / 0.7 + 20
    assert (plan.aboard * 1e3, plan.aboard_mass) == (pytest.approx(aboard), pytest.approx(60 + 14))
    assert plan.surplus * 1e3 == pytest.approx(aboard - least - 3 / 0.68 - 2)
    assert plan.demand_density == pytest.approx(680.0)
    asked = 1.1 * climb + 3 / 0.68
    assert plan.demanded_by_mass * 1e3 == pytest.approx(asked)
    causes = {
        "fuel in main tank": 1 / 0.7,
        "fuel in tail tank": 1.0,
        "trip: cruise (4) as stated": -0.5 * 1.1,
        "trip: climb time": -40 / 60 / 0.68 * 1.1,
        "cruise flow": -3 * (20 + 30) / 60,
        "fuel density": -(main - asked) * 10 / 700,
    }
    assert {cause: change * 1e3 for cause, change in plan.enough.causes} == pytest.approx(causes)
    assert plan.uncertainty * 1e3 == pytest.approx(2 * math.hypot(*causes.values()))
    # Ten litres of cruise take 20 min at 30 L/h, ten kilograms of climb 15 min.
    assert [(leg.phase, leg.stage, leg.tanks) for leg in plan.legs] == [
        ("taxi", "taxi", ()),
        ("climb", "trip", ()),
        ("cruise", "trip", ("main",)),
        ("cruise", "trip", ()),
        ("taxi", "taxi in", ()),
        ("cruise", "alternate", ()),
    ]
    volumes, flows = [2, 10 / 0.7, 6, 4, 1, 10], [12, 40 / 0.7, 30, 30, 12, 30]
    assert [leg.volume * 1e3 for leg in plan.legs] == pytest.approx(volumes)
    assert [leg.flow * 3.6e6 for leg in plan.legs] == pytest.approx(flows)
    assert [leg.changes.get("fuel density", 0.0) * 1e3 for leg in plan.legs] == pytest.approx(
        [0, -10 / 0.7 * 10 / 700, 0, 0, 0, 0]
    )
    rest = aboard - 2 - climb - 20
    assert plan.endurance / 60 == pytest.approx(15 + 20 + 20 + rest / 30 * 60)
    assert plan.reserve_volumes == pytest.approx((15e-3, 0.0))
    # 15 L and 5 L unusable of 100 L on a stick of 20 cm.
    assert plan.reserve_dips == (("main", pytest.approx(0.04)), ("tail", "no dip table"))
    assert plan.runs_dry_in == ""
    assert fuelling.shortages == ()
    assert {draw.stage for draw in fuelling.draws} == {"taxi", "trip", "alternate", "reserve"}
    assert math.fsum(draw.volume for draw in fuelling.draws) * 1e3 == pytest.approx(aboard)
    assert model.chord == (1.8, 1.5)
    assert (model.landing, model.lateral) == (1150.0, None)


def test_a_sure_density_prices_demands_at_itself() -> None:
    plan = planned(said("0.700 +/- 0.010 kg/L", "0.700 kg/L"))[1].plan
    assert plan.demand_density == 700.0
    assert figures(plan)["trip: climb"] == pytest.approx(10 / 0.7)
    assert "fuel density" not in dict(plan.enough.causes)
    assert all("fuel density" not in leg.changes for leg in plan.legs)
    rest = 60 / 0.7 + 20 - 2 - 10 / 0.7 - 20
    assert plan.endurance / 60 == pytest.approx(15 + 20 + 20 + rest / 30 * 60)


@pytest.mark.parametrize(
    ("contingency", "cruise", "volume", "as_mass"),
    [
        ("6 min", "30 L/h", 3.0, 0.0),
        ("6 min", "21 kg/h", 2.1 / 0.68, (2.1 + 17.5) / 0.68),
        ("4 kg", "30 L/h", 4 / 0.68, 4 / 0.68),
        ("4 L", "30 L/h", 4.0, 0.0),
    ],
)
def test_what_of_a_demand_is_a_mass(contingency: str, cruise: str, volume: float, as_mass: float) -> None:
    """20 min of alternate and 30 of reserve at 21 kg/h are 17.5 kg; the climb and the extra fuel are 13 kg."""
    plan = planned(
        said("contingency: 10 %", f"contingency: {contingency}"),
        PROFILE.replace("cruise: 30 +/- 3 L/h", f"cruise: {cruise}"),
    )[1].plan
    assert figures(plan)["contingency"] == pytest.approx(volume)
    assert plan.demanded_by_mass * 1e3 == pytest.approx((10 + 3) / 0.68 + as_mass)


def test_a_phase_whose_flow_nobody_knows_takes_its_fuel_and_no_time() -> None:
    glide = said("  - {phase: cruise, fuel: 6 L, tank: main}", "  - {phase: descent, fuel: 6 L}")
    plan = planned(glide)[1].plan
    assert [leg.flow * 3.6e6 for leg in plan.legs if leg.phase == "descent"] == [0.0]
    assert plan.lines[2].time == "no flow for this phase in the profile"
    rest = 60 / 0.7 + 20 - 2 - 10 / 0.68 - 20
    assert plan.endurance / 60 == pytest.approx(15 + 8 + 20 + rest / 30 * 60)


def test_a_trip_that_the_fuel_does_not_last_for() -> None:
    """16.3 L aboard: the taxi, the climb's 14.7 L at 0.680 kg/L would take all but the last of it."""
    short = said("main: 60 +/- 1 kg, tail: 20 +/- 1 L", "main: 0 L, tail: 16.3 L", (", tank: main", ""))
    plan, fuelling = planned(short)[1].plan, planned(short)[1]
    assert plan.runs_dry_in == "climb"
    assert [each.leg.phase for each in fuelling.shortages] == ["climb", "cruise", "cruise", "cruise"]
    assert fuelling.shortages[0].missing * 1e3 == pytest.approx(2 + 10 / 0.68 - 16.3)
    assert plan.verdict == "outside"
    assert plan.reserve_volumes == pytest.approx((0.0, 15e-3))
    # Less than the reserve aboard at all: what there is.
    none = said("main: 60 +/- 1 kg, tail: 20 +/- 1 L", "main: 3 L, tail: 4 L", (", tank: main", ""))
    assert planned(none)[1].plan.reserve_volumes == pytest.approx((3e-3, 4e-3))


def test_as_much_as_is_required_is_enough_to_the_last_digit() -> None:
    exact = said(
        "density: {fixed: 0.700 +/- 0.010 kg/L}, tanks: {main: 60 +/- 1 kg, tail: 20 +/- 1 L}",
        "density: {fixed: 0.700 kg/L}, tanks: {main: 31.1 L, tail: 10 L}",
        ("extra: 3 kg\n", ""),
        ("  - {phase: climb, time: 15 +/- 1 min}\n", ""),
        ("4 +/- 0.5 L", "4 L"),
        ("contingency: 10 %", "contingency: 0.1 L"),
    )
    plan = planned(exact, PROFILE.replace("30 +/- 3 L/h", "30 L/h"))[1].plan
    assert plan.required * 1e3 == pytest.approx(2 + 10 + 0.1 + 10 + 15 + 1 + 1 + 2)
    assert plan.surplus == 0.0
