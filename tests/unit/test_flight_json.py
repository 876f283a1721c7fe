"""The JSON of a plan: every key of the contract, every figure the plan's own in the unit its key names."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

import pytest

from planner.plan import Plan, plan_file
from planner.views.flight.flight_json import flight_json

ROOT = Path(__file__).resolve().parents[2]
FLIGHTS = [
    path
    for path in sorted((ROOT / "docs/flights").glob("*.yaml"))
    if re.search(r"^flight: 1$", path.read_text(encoding="utf-8"), re.MULTILINE)
]
CONTRACT = {
    "schema",
    "verdict",
    "invented",
    "aircraft",
    "cautions",
    "density",
    "fuel",
    "states",
    "burn",
    "items",
    "findings",
}
LIMIT_KEYS = {"name", "unit", "value", "limit", "margin", "expanded_uncertainty", "verdict"}


def near(value: float) -> Any:
    """Equal but for the last digits of a change of unit."""
    return pytest.approx(value, rel=1e-12, abs=1e-15)


@pytest.fixture(scope="module", params=FLIGHTS, ids=[path.stem for path in FLIGHTS])
def plan(request: pytest.FixtureRequest) -> Plan:
    return plan_file(request.param)


@pytest.fixture(scope="module")
def data(plan: Plan) -> dict[str, Any]:
    return flight_json(plan)


def test_there_are_flights_of_every_verdict() -> None:
    assert {plan_file(path).verdict for path in FLIGHTS} == {"inside", "not shown inside", "outside"}


def test_it_is_plain_json_without_null_nan_or_infinity(data: dict[str, Any]) -> None:
    def walk(node: Any) -> None:
        assert node is not None
        assert type(node) in (str, float, int, bool, list, dict)
        if type(node) is float:
            assert math.isfinite(node)
        for each in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
            walk(each)

    walk(data)
    assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_it_has_every_key_of_the_contract(plan: Plan, data: dict[str, Any]) -> None:
    assert data.keys() >= CONTRACT
    assert data["schema"] == "planner/flight/1"
    assert data["verdict"] == plan.verdict
    assert data["invented"] is plan.aircraft.invented
    assert data["uncertainties_stated"] is plan.uncertainties_stated
    assert data["summary"].upper().startswith(plan.verdict.upper())


def test_the_cautions_are_there_and_say_that_the_manual_governs(data: dict[str, Any]) -> None:
    assert data["cautions"][0].startswith("Invented")
    assert any("approved flight manual" in each and "govern" in each for each in data["cautions"])
    assert any("does not mean safe to fly" in each for each in data["cautions"])


def test_density(plan: Plan, data: dict[str, Any]) -> None:
    found, used = data["density"], plan.density
    assert found["kg_per_m3"] == used.density
    assert found["u_kg_per_m3"] == used.u
    assert found["at_15c_kg_per_m3"] == used.at_15c
    assert found["temperature_c"] == used.temperature
    assert (found["method"], found["source"]) == (used.method, used.source)


def test_fuel_in_litres_kilograms_and_minutes(plan: Plan, data: dict[str, Any]) -> None:
    found, fuel, rho = data["fuel"], plan.fuel, plan.density.density
    for key, volume in (
        ("aboard_l", fuel.aboard),
        ("required_l", fuel.required),
        ("minimum_l", fuel.minimum),
        ("surplus_l", fuel.surplus),
        ("surplus_expanded_uncertainty_l", fuel.uncertainty),
        ("final_reserve_l", fuel.final_reserve.volume),
    ):
        assert found[key] == near(volume * 1000.0), key
    for key, mass in (
        ("aboard_kg", fuel.aboard_mass),
        ("required_kg", fuel.required * rho),
        ("final_reserve_kg", fuel.final_reserve.volume * rho),
    ):
        assert found[key] == near(mass), key
    assert found["endurance_min"] == near(fuel.endurance / 60.0)
    assert found["final_reserve_min"] == near(float(fuel.final_reserve.time) / 60.0)
    assert found["verdict"] == fuel.verdict
    assert found["aboard_l"] - found["required_l"] == pytest.approx(found["surplus_l"], abs=1e-6)


def test_fuel_lines_and_tanks(plan: Plan, data: dict[str, Any]) -> None:
    fuel, found = plan.fuel, data["fuel"]
    assert len(found["lines"]) == len(fuel.lines)
    for shown, line in zip(found["lines"], fuel.lines, strict=True):
        assert shown["name"] == line.name
        assert shown["basis"] == line.basis
        assert shown["l"] == near(line.volume * 1000.0)
        assert shown["kg"] == near(line.volume * plan.density.density)
        assert shown["min"] == (line.time if isinstance(line.time, str) else near(line.time / 60.0))
    assert sum(line["l"] for line in found["lines"]) == pytest.approx(found["required_l"], rel=1e-12)
    assert list(found["tanks"]) == [each.tank.name for each in fuel.tanks]
    dips = dict(fuel.reserve_dips)
    for each, at_reserve in zip(fuel.tanks, fuel.reserve_volumes, strict=True):
        shown = found["tanks"][each.tank.name]
        assert shown["usable_l"] == near(each.volume * 1000.0)
        assert shown["usable_kg"] == each.mass
        assert shown["unusable_l"] == near(each.tank.unusable * 1000.0)
        assert shown["capacity_l"] == near(each.tank.capacity * 1000.0)
        assert shown["space_l"] == near(each.space * 1000.0)
        assert shown["arm_m"] == each.arm
        assert shown["dip_m"] == each.dip
        assert shown["at_final_reserve_l"] == near(at_reserve * 1000.0)
        assert (
            shown["at_final_reserve_dip_m"]
            == dips[each.tank.name]
            == found["final_reserve_dips_m"][each.tank.name]
        )


def test_states_and_their_limits(plan: Plan, data: dict[str, Any]) -> None:
    assert [state["name"] for state in data["states"]] == ["ramp", "takeoff", "landing", "zero fuel"]
    for shown, state in zip(data["states"], plan.states, strict=True):
        assert shown["mass_kg"] == state.total.mass
        assert shown["moment_kg_m"] == state.total.moment
        assert shown["cg_m"] == near(shown["moment_kg_m"] / shown["mass_kg"])
        assert shown["cg_percent_mac"] == state.percent_mac
        across = (
            state.total.lateral_centre_of_gravity
            if plan.aircraft.lateral_known
            else "not known: the profile states no lateral arms"
        )
        assert shown["lateral_cg_m"] == across
        assert shown["fuel_l"] == near(state.fuel * 1000.0)
        assert len(shown["limits"]) == len(state.limits)
    pairs = list(zip(data["load_limits"], plan.load_limits, strict=True))
    for shown, state in zip(data["states"], plan.states, strict=True):
        pairs += zip(shown["limits"], state.limits, strict=True)
    for limit, source in pairs:
        assert limit.keys() >= LIMIT_KEYS
        assert limit["unit"] == {"mass": "kg", "length": "m"}[source.dimension]
        assert (limit["name"], limit["verdict"]) == (source.name, source.verdict)
        assert (limit["value"], limit["limit"], limit["margin"], limit["expanded_uncertainty"]) == (
            source.value,
            source.limit,
            source.margin,
            source.uncertainty,
        )
        # The rule of the three verdicts, from the figures of the JSON alone.
        shown_inside = limit["margin"] > limit["expanded_uncertainty"] or limit["expanded_uncertainty"] == 0
        expected = "outside" if limit["margin"] < 0 else "inside" if shown_inside else "not shown inside"
        assert limit["verdict"] == expected
        assert abs(limit["limit"] - limit["value"]) == pytest.approx(abs(limit["margin"]), abs=1e-9)


def test_items_add_up_to_zero_fuel_and_with_the_fuel_to_the_ramp(data: dict[str, Any]) -> None:
    items, (ramp, _, _, zero) = data["items"], data["states"]
    for item in items:
        assert item["moment_kg_m"] == near(item["mass_kg"] * item["arm_m"])
    tanks = data["fuel"]["tanks"].values()
    assert sum(item["mass_kg"] for item in items) == pytest.approx(zero["mass_kg"], rel=1e-12)
    assert sum(item["moment_kg_m"] for item in items) == pytest.approx(zero["moment_kg_m"], rel=1e-12)
    assert zero["mass_kg"] + sum(tank["usable_kg"] for tank in tanks) == pytest.approx(
        ramp["mass_kg"], rel=1e-12
    )
    assert zero["moment_kg_m"] + sum(tank["usable_kg"] * tank["arm_m"] for tank in tanks) == pytest.approx(
        ramp["moment_kg_m"], rel=1e-12
    )


def test_burn(plan: Plan, data: dict[str, Any]) -> None:
    found = data["burn"]
    assert len(found["least_margins"]) == len(plan.burn.least)
    for shown, least in zip(found["least_margins"], plan.burn.least, strict=True):
        assert (shown["limit"], shown["margin"], shown["unit"]) == (least.limit, least.margin, "m")
        assert shown["fuel_remaining_l"] == near(least.point.fuel * 1000.0)
        assert shown["minutes"] == near(least.point.time / 60.0)
    assert found["least_margin"]["margin"] == min(each["margin"] for each in found["least_margins"])
    assert len(found["crossings"]) == len(plan.burn.crossings)
    for shown, crossing in zip(found["crossings"], plan.burn.crossings, strict=True):
        total = crossing.point.total
        assert (shown["limit"], shown["direction"]) == (crossing.limit, crossing.direction)
        assert shown["direction"] in ("in", "out")
        assert shown["fuel_remaining_l"] == near(crossing.point.fuel * 1000.0)
        assert (shown["mass_kg"], shown["cg_m"]) == (total.mass, total.centre_of_gravity)


def test_findings(plan: Plan, data: dict[str, Any]) -> None:
    assert [each["code"] for each in data["findings"]] == [finding.code for finding in plan.findings]
    assert all(each["severity"] == "notice" for each in data["findings"])


def test_the_example_of_the_documentation() -> None:
    """62 L usable at 0.715 kg/L (15 degC) and 22 degC: the volume is exact; the mass is below 62 x 0.715 =
    44.33 kg as warm fuel is lighter.
    """
    data = flight_json(plan_file(ROOT / "docs/flights/demo.yaml"))
    assert data["fuel"]["aboard_l"] == near(62.0)
    assert 43.8 < data["fuel"]["aboard_kg"] < 44.33
    assert [item["mass_kg"] for item in data["items"]] == [688.4, 80.0, 70.0, 78.0, 72.0, 15.0]
    assert data["fuel"]["final_reserve_l"] == near(33.0 / 2)  # half an hour at the profile's 33 L/h


def variant(tmp_path: Path, *changes: tuple[str, str]) -> Plan:
    text = (ROOT / "docs/flights/demo.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "flight.yaml"
    path.write_text(text, encoding="utf-8")
    return plan_file(path)


def test_a_time_that_is_not_known_is_a_reason(tmp_path: Path) -> None:
    plan = variant(tmp_path, ("{phase: climb, time: 12 min}", "{phase: aerial work, fuel: 8 L}"))
    data = flight_json(plan)
    assert data["fuel"]["lines"][1]["min"] == "no flow for this phase in the profile"
    landing = next(each for each in data["burn"]["crossings"] if each["limit"] == "maximum landing mass")
    assert landing["minutes"] == near(0.0) or isinstance(landing["minutes"], str)
    last = min(data["burn"]["least_margins"], key=lambda each: each["fuel_remaining_l"])
    assert "no flow" in last["minutes"]


def test_a_density_that_is_fixed_has_reasons_in_place_of_figures(tmp_path: Path) -> None:
    data = flight_json(variant(tmp_path, ("{at_15C: 0.715 kg/L}", "{fixed: 6.0 lb/USgal}")))
    assert "not known" in data["density"]["at_15c_kg_per_m3"]
    assert "not known" in data["density"]["temperature_c"]
    # NIST SP 811 App. B (from memory): 1 lb/gal (US) = 119.8264 kg/m3, printed to seven digits.
    assert data["density"]["kg_per_m3"] == pytest.approx(6.0 * 119.8264, rel=5e-7)


def test_without_usable_fuel_there_is_no_burn(tmp_path: Path) -> None:
    data = flight_json(
        variant(
            tmp_path,
            ("{left: 31 L, right: 31 L}", "{left: 0 L, right: 0 L}"),
            (", tank: left", ""),
            (", tank: right", ""),
        )
    )
    assert data["verdict"] == "outside"
    assert "no usable fuel" in data["burn"]["least_margin"]
    assert data["burn"]["least_margins"] == data["burn"]["crossings"] == []
