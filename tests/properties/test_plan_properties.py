"""Laws of a whole plan: the choice of datum, of units and of order changes nothing; mass is conserved; a
solution sits on its limit.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from planner.flight.envelope import FARTHEST
from planner.plan import Plan, plan_file
from planner.quantities.effects import COVERAGE
from planner.quantities.moments import ballast_mass
from planner.records.document import parse
from tests.sizes import examples

ROOT = Path(__file__).parents[2]
PROFILES = {
    name: (ROOT / f"aircraft_profiles/{name}.yaml").read_text(encoding="utf-8")
    for name in ("thornlea-t4", "thornlea-t4b", "ashgrove-tamarisk")
}
# Rounding: a dozen products of 1e3 kg by 1e1 m (the datum may lie 20 m away) carry 1e-12 kg.m each; over 600
# kg that is 1e-14 m. Texts carry all 17 digits. 1e-9 m is a nanometre: five orders above the noise, six below
# anything shown.
SAME = 1e-9

Value = Any
Loads = tuple[list[float], list[float], float]


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Value, Value], Plan]:
    folder = tmp_path_factory.mktemp("plans")

    def plan(profile: Value, flight: Value) -> Plan:
        # JSON is YAML: every text stays quoted and every digit stays.
        (folder / "profile.yaml").write_text(json.dumps(profile), encoding="utf-8")
        (folder / "flight.yaml").write_text(
            json.dumps({**flight, "aircraft": "profile.yaml"}), encoding="utf-8"
        )
        return plan_file(folder / "flight.yaml")

    return plan


def _profile(name: str, kind: str) -> Value:
    profile = parse(PROFILES[name], name).value
    profile["envelopes"] = {"normal": {**profile["envelopes"]["normal"], "edges": kind}}
    return profile


@st.composite
def flights(draw: st.DrawFn) -> tuple[Value, Value]:
    name, kind = (
        draw(st.sampled_from(sorted(PROFILES))),
        draw(st.sampled_from(["linear in cg", "linear in moment"])),
    )
    profile = _profile(name, kind)
    person = st.floats(0.0, 120.0)
    stations = [station for station, entry in profile["stations"].items() if entry["kind"] == "seats"]
    load = {
        station: [f"{draw(person)!r} +/- {draw(st.floats(0, 5))!r} kg" for _ in range(2)]
        for station in stations
    }
    baggage = next(station for station, entry in profile["stations"].items() if entry["kind"] == "baggage")
    load[baggage] = f"{draw(st.floats(0.0, 40.0))!r} kg"
    most = 550.0 if name == "ashgrove-tamarisk" else 72.0
    tanks = {tank: f"{draw(st.floats(0.0, most))!r} +/- 1 L" for tank in profile["tanks"]}
    density = "0.8 +/- 0.002 kg/L" if name == "ashgrove-tamarisk" else "0.72 +/- 0.002 kg/L"
    trip = [
        {"phase": "taxi", "time": "6 min"},
        {"phase": "climb", "time": f"{draw(st.floats(1, 30))!r} min"},
        {"phase": "cruise", "time": "20 min"},
    ]
    flight = {
        "flight": 1,
        "category": "normal",
        "rules": "us-vfr-day",
        "load": load,
        "fuel": {"grade": profile["fuel_grades"][0], "density": {"fixed": density}, "tanks": tanks},
        "trip": trip,
        "contingency": "5 %",
    }
    return profile, flight


def _texts(value: Value, change: Callable[[str], str]) -> Value:
    if isinstance(value, dict):
        return {key: _texts(entry, change) for key, entry in value.items()}
    if isinstance(value, list):
        return [_texts(entry, change) for entry in value]
    return change(value) if isinstance(value, str) else value


QUANTITY = re.compile(r"(-?[0-9][0-9.e+-]*?)( \+/- ([0-9.e+-]+))? ([A-Za-z][A-Za-z/.0-9]*)")


def _shift(text: str, by: float) -> str:
    match = QUANTITY.fullmatch(text)
    assert match is not None
    assert match[4] == "m"
    return f"{float(match[1]) - by!r}{match[2] or ''} m"


def _on_datum(profile: Value, by: float) -> Value:
    """Every longitudinal arm of the profile measured from a datum `by` metres further aft."""
    moved = json.loads(json.dumps(profile))
    moved["basic_empty"]["arm"] = _shift(moved["basic_empty"]["arm"], by)
    for station in moved["stations"].values():
        station["arm"] = _shift(station["arm"], by)
    for tank in moved["tanks"].values():
        table = isinstance(tank["arm"], list)
        tank["arm"] = (
            [[volume, _shift(arm, by)] for volume, arm in tank["arm"]] if table else _shift(tank["arm"], by)
        )
    for side in ("forward", "aft"):
        rows = moved["envelopes"]["normal"][side]
        moved["envelopes"]["normal"][side] = [[mass, _shift(arm, by)] for mass, arm in rows]
    chord = moved["mean_aerodynamic_chord"]
    chord["leading_edge"] = _shift(chord["leading_edge"], by)
    return moved


def _same(before: Plan, after: Plan, scale: float = 1.0) -> None:
    """Margins, uncertainties, verdicts and crossings agree; a verdict may differ only where its margin is
    rounding.
    """
    ours, theirs = (
        {limit.name: limit for limit in before.load_limits},
        {limit.name: limit for limit in after.load_limits},
    )
    assert ours.keys() == theirs.keys()
    pairs = [(ours[name], theirs[name]) for name in ours]
    for state in before.states:
        pairs += zip(state.limits, after.state(state.name).limits, strict=True)
    pairs += zip(before.burn.limits, after.burn.limits, strict=True)
    for one, other in pairs:
        tolerance = SAME * scale * (1e3 if one.dimension == "mass" else 1.0)  # a microgram per tonne
        assert one.name == other.name
        assert other.margin == pytest.approx(one.margin, abs=tolerance), one.name
        # The marginal arm of an arm table is a difference over a millionth of the tank: its uncertainty is
        # only good to 1e-6.
        assert other.uncertainty == pytest.approx(one.uncertainty, rel=1e-6, abs=tolerance), one.name
        if abs(one.margin) > tolerance and abs(one.margin - one.uncertainty) > 1e-6:
            assert one.verdict == other.verdict
    if all(abs(least.margin) > 1e-6 for least in before.burn.least):
        assert [(c.limit, c.direction) for c in before.burn.crossings] == [
            (c.limit, c.direction) for c in after.burn.crossings
        ]
    assert after.fuel.surplus == pytest.approx(before.fuel.surplus, abs=1e-12)
    assert after.fuel.endurance == pytest.approx(before.fuel.endurance, abs=1e-3)


@settings(max_examples=examples(25), deadline=None)
@given(flights(), st.floats(-20.0, 20.0))
def test_another_datum_changes_no_margin(
    run: Callable[[Value, Value], Plan], pair: tuple[Value, Value], by: float
) -> None:
    profile, flight = pair
    before, after = run(profile, flight), run(_on_datum(profile, by), flight)
    _same(before, after)
    for state in before.states:
        assert after.state(state.name).total.centre_of_gravity == pytest.approx(
            state.total.centre_of_gravity - by, abs=SAME
        )
        assert after.state(state.name).percent_mac == pytest.approx(state.percent_mac, abs=1e-6)


# Exact by definition: international pound, inch, US gallon (NIST SP 811 App. B, from memory).
OTHER = {
    "kg": ("lb", 0.45359237),
    "m": ("in", 0.0254),
    "cm": ("in", 2.54),
    "L": ("USgal", 3.785411784),
    "L/h": ("USgal/h", 3.785411784),
    "kg/h": ("lb/h", 0.45359237),
    "kg/L": ("lb/USgal", 0.45359237 / 3.785411784),
    "kg.m": ("lb.in", 0.45359237 * 0.0254),
}


def _other_unit(text: str) -> str:
    match = QUANTITY.fullmatch(text)
    if match is None or match[4] not in OTHER:
        return text
    unit, factor = OTHER[match[4]]
    spread = f" +/- {float(match[3]) / factor!r}" if match[3] else ""
    return f"{float(match[1]) / factor!r}{spread} {unit}"


@settings(max_examples=examples(20), deadline=None)
@given(flights())
def test_other_units_change_nothing(run: Callable[[Value, Value], Plan], pair: tuple[Value, Value]) -> None:
    profile, flight = pair
    changed = _texts(profile, _other_unit)
    assert "lb" in changed["masses"]["max_takeoff"]
    assert "USgal" in next(iter(changed["tanks"].values()))["capacity"]
    _same(run(profile, flight), run(changed, _texts(flight, _other_unit)))


def _reversed(value: Value) -> Value:
    return (
        {key: _reversed(entry) for key, entry in reversed(value.items())}
        if isinstance(value, dict)
        else value
    )


@settings(max_examples=examples(20), deadline=None)
@given(flights())
def test_the_order_of_stations_tanks_and_keys_changes_nothing(
    run: Callable[[Value, Value], Plan], pair: tuple[Value, Value]
) -> None:
    profile, flight = pair
    before, after = run(profile, flight), run(_reversed(profile), _reversed(flight))
    _same(before, after)
    assert (
        after.state("zero fuel").total == before.state("zero fuel").total
    )  # sums are correctly rounded: not a digit differs


@settings(max_examples=examples(25), deadline=None)
@given(flights())
def test_the_burn_conserves_mass(run: Callable[[Value, Value], Plan], pair: tuple[Value, Value]) -> None:
    plan = run(*pair)
    masses = {state.name: state.total.mass for state in plan.states}
    assert masses["ramp"] >= masses["takeoff"] >= masses["landing"] >= masses["zero fuel"] - 1e-9
    assert masses["ramp"] - masses["zero fuel"] == pytest.approx(plan.fuel.aboard_mass, abs=1e-9)
    assert masses["zero fuel"] == pytest.approx(sum(item.mass for item in plan.loading.items), abs=1e-9)
    burnt = sum(stretch.start - stretch.end for stretch in plan.burn.path)
    assert burnt == pytest.approx(
        plan.fuel.aboard_mass, abs=plan.density.density * 2e-9
    )  # a microlitre in either tank counts as none
    if not plan.fuel.runs_dry_in:
        used = sum(leg.volume for leg in plan.fuel.legs if leg.stage in ("taxi", "trip"))
        assert masses["ramp"] - masses["landing"] == pytest.approx(used * plan.density.density, abs=1e-9)
    moment = sum(item.moment for item in plan.loading.items)
    assert plan.state("zero fuel").total.moment == pytest.approx(moment, abs=1e-9)


@settings(max_examples=examples(25), deadline=None)
@given(flights())
def test_the_least_margin_of_the_burn_has_the_uncertainty_of_its_own_state(
    run: Callable[[Value, Value], Plan], pair: tuple[Value, Value]
) -> None:
    """Where the burn is at its worst on the ramp or with dry tanks, that state's own check says the same
    about it.
    """
    plan = run(*pair)
    for least, checked in zip(plan.burn.least, plan.burn.limits, strict=True):
        for state in (plan.state("ramp"), plan.state("zero fuel")):
            if abs(least.point.total.mass - state.total.mass) < 1e-9 and not least.limit.endswith(")"):
                same = next(limit for limit in state.limits if limit.name == least.limit)
                assert checked.margin == pytest.approx(same.margin, abs=SAME)
                # Within reach of a corner an unsure burn passes the corner's own mass a little earlier or
                # later, so the burn counts the piece whole: never less than the state, elsewhere the same.
                assert checked.uncertainty >= same.uncertainty * (1 - 1e-6) - SAME
                mass = next(limit for limit in state.limits if limit.name == "least mass of the envelope")
                reach = FARTHEST * mass.uncertainty / COVERAGE + 1e-6
                if all(
                    abs(state.total.mass - corner) > reach
                    for edge in (plan.envelope.forward, plan.envelope.aft)
                    for corner, _ in edge.points
                ):
                    assert checked.uncertainty == pytest.approx(same.uncertainty, rel=1e-6, abs=SAME)
    assert all(
        any(limit.name.startswith(least.limit) for limit in plan.burn.limits) for least in plan.burn.least
    )


def _walled(profile: Value, aft: float) -> Value:
    """The profile with one aft limit at every mass and a forward limit nothing reaches."""
    forward = [["100 kg", "0.5 m"], ["9000 kg", "0.5 m"]]
    wall = {
        "edges": profile["envelopes"]["normal"]["edges"],
        "forward": forward,
        "aft": [["100 kg", f"{aft!r} m"], ["9000 kg", f"{aft!r} m"]],
    }
    return {**profile, "envelopes": {"normal": wall}}


@settings(max_examples=examples(25), deadline=None)
@given(flights(), st.floats(0.05, 0.95))
def test_fuel_solved_for_a_limit_sits_on_that_limit(
    run: Callable[[Value, Value], Plan], pair: tuple[Value, Value], part: float
) -> None:
    """The burn says where it crosses a limit: an aircraft fuelled to just that lies on the limit before
    start-up.
    """
    profile, flight = pair
    free = run(_walled(profile, 9.0), flight)
    first, last = free.state("ramp").total, free.state("zero fuel").total
    assume(abs(first.centre_of_gravity - last.centre_of_gravity) > 1e-4)
    # A limit somewhere between the CG of the full and that of the empty aircraft must be crossed on the way.
    wall = first.centre_of_gravity + part * (last.centre_of_gravity - first.centre_of_gravity)
    crossings = [
        each for each in run(_walled(profile, wall), flight).burn.crossings if each.limit == "aft limit"
    ]
    assert crossings
    for crossing in crossings:
        assert last.mass < crossing.point.total.mass < first.mass
        tanks = {
            name: f"{volume * 1e3!r} L"
            for name, volume in zip(profile["tanks"], crossing.point.volumes, strict=True)
        }
        again = run(_walled(profile, wall), {**flight, "fuel": {**flight["fuel"], "tanks": tanks}})
        limit = next(each for each in again.state("ramp").limits if each.name == "aft limit")
        assert limit.margin == pytest.approx(0.0, abs=SAME)


@settings(max_examples=examples(25), deadline=None)
@given(flights())
def test_ballast_solved_for_the_aft_limit_sits_on_that_limit(
    run: Callable[[Value, Value], Plan], pair: tuple[Value, Value]
) -> None:
    profile, flight = pair
    before = run(profile, flight).state("zero fuel").total
    target = (
        4.88 if profile["name"] == "Ashgrove Tamarisk" else 2.37
    )  # these aft limits are the same at every mass
    assume(before.centre_of_gravity < target - 1e-6)
    station = next(
        name for name, entry in reversed(profile["stations"].items()) if entry["kind"] == "baggage"
    )
    arm = float(profile["stations"][station]["arm"].split()[0])
    ballast = ballast_mass(before, target, arm)
    loads = flight["load"]
    carried = [float(loads[station].split()[0])] if station in loads else []
    heavier = {
        **flight,
        "load": {**loads, station: [*(f"{mass!r} kg" for mass in carried), f"{ballast!r} kg"]},
    }
    after = run(profile, heavier).state("zero fuel")
    assert after.total.mass == pytest.approx(before.mass + ballast, abs=1e-9)
    assert after.total.centre_of_gravity == pytest.approx(target, abs=SAME)
