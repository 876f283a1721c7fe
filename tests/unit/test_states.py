"""The states of a flight, what is aboard and what a pilot is told beside the limits: by hand."""

from __future__ import annotations

import math

import pytest

from planner.flight.envelope import LimitResult
from planner.plan import Plan, plan_flight
from planner.plan.states import load_limits, states
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
stations:
  front: {kind: seats, seats: 2, arm: 2.5 m, min: 55 kg, max: 200 kg}
  hold: {kind: baggage, arm: 4.5 m, max: 30 kg, area: 0.5 m2, max_per_area: 50 kg/m2}
  shelf: {kind: baggage, arm: 4.8 m, max: 10 kg}
combined_limits: [{name: all baggage, stations: [hold, shelf], max: 35 kg}]
tanks:
  left: {capacity: 100 L, unusable: 0 L, arm: 2.2 m, max: 60 kg}
  right: {capacity: 100 L, unusable: 0 L, arm: 2.2 m}
balance: {between: [left, right], max: 30 L}
masses: {max_takeoff: 1000 kg, max_landing: 900 kg, max_zero_fuel: 860 kg}
mean_aerodynamic_chord: {leading_edge: 1.7 m, length: 1.5 m}
envelopes:
  normal: {edges: linear in cg, forward: [[500 kg, 1.5 m], [1000 kg, 1.5 m]], aft: [[500 kg, 3.5 m], [1000 kg, 3.5 m]]}
  utility: {edges: linear in cg, max_payload: 220 kg, forbids: [shelf], forward: [[500 kg, 1.5 m], [1000 kg, 1.5 m]], aft: [[500 kg, 3.5 m], [1000 kg, 3.5 m]]}
burn: {cruise: 30 L/h}
"""
FLIGHT = """\
flight: 1
aircraft: profile.yaml
category: CATEGORY
rules: us-vfr-day
load: {front: [60 +/- 3 kg, 70 +/- 4 kg], hold: 20 +/- 1 kg, shelf: 8 +/- 2 kg}
fuel: {grade: avgas-100LL, density: {fixed: 0.700 kg/L}, tanks: {left: 60 +/- 0.5 L, right: 55 +/- 1.2 L}}
trip: [{phase: cruise, fuel: 40 L, tank: left}, {phase: cruise, fuel: 10 L, tank: right}]
"""


def planned(*changes: tuple[str, str], category: str = "normal", profile: str = PROFILE) -> Plan:
    text = FLIGHT.replace("CATEGORY", category)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    aircraft = load_aircraft_file("profile.yaml", profile)
    return plan_flight(flight_in(parse(text, "flight.yaml"), aircraft), aircraft)


def figures(limits: tuple[LimitResult, ...]) -> dict[str, tuple[float, float, float]]:
    """Value, margin and U of every limit, by its id."""
    found = {each.id: (each.value, each.margin, each.uncertainty) for each in limits}
    assert len(found) == len(limits)
    return found


def near(*values: float) -> tuple[float, ...]:
    return tuple(pytest.approx(value, abs=1e-12) for value in values)


def test_every_limit_on_what_is_aboard() -> None:
    """U is twice the root of the sum of squares; fuel by volume at 0.700 kg/L, in m3 between the tanks, where the
    difference is greatest at shutdown: 55 - 10 L right, 60 - 40 L left.
    """
    made = planned()
    assert figures(made.load_limits) == {
        "station/front/max": near(130, 70, 10),
        "station/front/min": near(60, 5, 6),  # of the first seat alone
        "station/hold/max": near(20, 10, 2),
        "station/hold/floor": near(20, 5, 2),
        "station/shelf/max": near(8, 2, 4),
        "combined/0": near(28, 7, 2 * math.hypot(1, 2)),
        "tank/left/max": near(42, 18, 0.7),
        "balance/0/left": near(0.005, 0.025, 0.0026),
        "balance/0/right": near(0.035, -0.005, 0.0026),
    }
    assert load_limits(made.model, [each.draw for each in made.burn.path]) == made.load_limits
    strict = figures(planned(category="utility").load_limits)
    assert strict["payload"] == near(158, 62, 2 * math.sqrt(9 + 16 + 1 + 4))
    assert strict["forbidden/shelf"] == near(8, -8, 4)
    light = planned(("shelf: 8 +/- 2 kg", "shelf: 0 kg"), ("hold: 20 +/- 1 kg, ", ""), category="utility")
    assert {"forbidden/shelf", "station/hold/max"}.isdisjoint(figures(light.load_limits))
    assert figures(light.load_limits)["combined/0"] == near(0, 35, 0)


def test_the_states_and_their_limits() -> None:
    """Mass and moment of each state; U of a mass is twice the root of 3, 4, 1, 2 kg and of 0.7 kg/L times the
    0.5 and 1.2 L.
    """
    made = planned()
    dry, moment = 600 + 158, 600 * 2.0 + 130 * 2.5 + 20 * 4.5 + 8 * 4.8
    for name, litres in (("ramp", 115), ("takeoff", 115), ("landing", 65), ("zero fuel", 0)):
        state = made.state(name)
        mass = dry + 0.7 * litres
        assert state.total.mass == pytest.approx(mass)
        assert state.fuel * 1e3 == pytest.approx(litres)
        cg = (moment + 0.7 * litres * 2.2) / mass
        assert state.total.centre_of_gravity == pytest.approx(cg)
        assert state.percent_mac == pytest.approx(100 * (cg - 1.7) / 1.5)
        greatest = {"landing": 900, "zero fuel": 860}.get(name, 1000)
        u = 2 * math.hypot(3, 4, 1, 2, *((0.35, 0.84) if litres else ()))
        checks = figures(state.limits)
        assert checks["mass/greatest"] == near(mass, greatest - mass, u)
        assert checks["mass/least"] == near(mass, mass - 500, u)
        assert checks["cg/forward"][1] == pytest.approx(cg - 1.5)
        assert checks["cg/aft"][1] == pytest.approx(3.5 - cg)
    assert [each.name for each in states(made.model, [each.draw for each in made.burn.path], {})] == [
        "ramp",
        "takeoff",
        "landing",
        "zero fuel",
    ]
    without = planned(profile=PROFILE.replace("mean_aerodynamic_chord", "# mean_aerodynamic_chord"))
    assert without.states[0].percent_mac == "no mean aerodynamic chord in the profile"
    assert made.uncertainties_stated
    with pytest.raises(KeyError):
        made.state("taxi")


def test_one_figure_with_an_uncertainty_is_enough_to_say_that_some_are_stated() -> None:
    """Of a load alone, with fuel that is sure; of a demand beside the flight, with states that are sure."""
    sure = (" +/- 3 kg", " kg"), (" +/- 4 kg", " kg"), (" +/- 2 kg", " kg")
    fuel = ("60 +/- 0.5 L, right: 55 +/- 1.2 L", "60 L, right: 55 L")
    load = planned(*sure, fuel)
    assert load.uncertainties_stated
    assert load.fuel.uncertainty == 0.0
    exact = (*sure, (" +/- 1 kg", " kg"), fuel)
    assert not planned(*exact).uncertainties_stated
    later = planned(*exact, ("trip:", "alternate: {phase: cruise, fuel: 5 +/- 1 L}\ntrip:"))
    assert later.uncertainties_stated
    assert not any(state.effects for state in later.states)


def messages(plan: Plan, code: str) -> list[str]:
    return [each.message for each in plan.findings if each.code == code]


def test_a_landing_at_once_is_told_where_it_would_be_too_heavy() -> None:
    """758 kg and 0.7 kg/L: 202.86 L are 142 kg, and 900 kg in all."""
    wide = PROFILE.replace("capacity: 100 L", "capacity: 150 L").replace(", max: 60 kg", "")
    for litres, told in (("101.42 L", []), ("102 L", ["0.8 kg"])):
        fuel = ("left: 60 +/- 0.5 L, right: 55 +/- 1.2 L", f"left: {litres}, right: {litres}")
        found = messages(planned(fuel, profile=wide), "immediate-return")
        assert len(found) == len(told)
        assert all(f"would land {most} above" in each for most, each in zip(told, found, strict=True))
    # 2 L of taxi are burnt before: 0.6 kg too light again.
    taxi = ("trip: [", "trip: [{phase: taxi, fuel: 2 L}, ")
    assert not messages(planned(fuel, taxi, profile=wide), "immediate-return")
    free = planned(fuel, profile=wide.replace("max_landing: 900 kg, ", ""))
    assert not messages(free, "immediate-return")


def test_a_load_where_the_category_allows_none_is_told() -> None:
    assert messages(planned(category="utility"), "station-forbidden") == [
        "the utility category allows no load on 'shelf'"
    ]
    assert not messages(
        planned(("shelf: 8 +/- 2 kg", "shelf: 0 kg"), category="utility"), "station-forbidden"
    )
