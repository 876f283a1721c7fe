"""Final reserves: minutes and speed of every rule set, priced at the flow the rule means."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.data.rules import RULES
from planner.plan import plan_file
from planner.reserves import FuelLine, Need, contingency_line, final_reserve_line, line_for
from planner.sources import SOURCES

LITRE_PER_HOUR = 1e-3 / 3600
FLOWS = {"cruise": (33 * LITRE_PER_HOUR, LITRE_PER_HOUR), "holding": (25 * LITRE_PER_HOUR, 0.0), "maximum continuous": (39 * LITRE_PER_HOUR, 0.0)}

# Minutes and speed basis as each rule's text gives them (the tag of each row in planner/data/rules.py says how it was read):
# 14 CFR 91.151(a), (b) and 91.167(a)(3); AMC1 NCO.OP.125(b); CAR 602.88; Part 91 MOS ch. 19; CAR 91.305.
# Litres: minutes / 60 at 33 L/h cruise, 25 L/h holding, 39 L/h maximum continuous.
EXPECTED = {
    "us-vfr-day": (30, "cruise", 16.5),
    "us-vfr-night": (45, "cruise", 24.75),
    "us-ifr": (45, "cruise", 24.75),
    "us-rotorcraft-day": (20, "cruise", 11.0),
    "us-rotorcraft-night": (20, "cruise", 11.0),
    "us-rotorcraft": (30, "cruise", 16.5),
    "eu-vfr-local-day": (10, "maximum continuous", 6.5),
    "eu-vfr-day": (30, "holding", 12.5),
    "eu-vfr-night": (45, "holding", 18.75),
    "eu-ifr": (45, "holding", 18.75),
    "uk-vfr-day": (30, "holding", 12.5),
    "uk-vfr-night": (45, "holding", 18.75),
    "uk-ifr": (45, "holding", 18.75),
    "ca-vfr-day": (30, "cruise", 16.5),
    "ca-vfr-night": (45, "cruise", 24.75),
    "ca-ifr": (45, "cruise", 24.75),
    "au-private-day": (30, "holding", 12.5),
    "au-private-night": (45, "holding", 18.75),
    "au-private": (45, "holding", 18.75),
    "nz-vfr-day": (30, "cruise", 16.5),
    "nz-vfr-night": (45, "cruise", 24.75),
}


def test_every_rule_set_is_checked() -> None:
    assert RULES.keys() == EXPECTED.keys()


@pytest.mark.parametrize("key", EXPECTED)
def test_the_final_reserve_of_a_rule_set(key: str) -> None:
    minutes, basis, litres = EXPECTED[key]
    rule = RULES[key]
    assert (rule.minutes, rule.basis) == (minutes, basis)
    line = final_reserve_line(rule, None, FLOWS)
    assert line.volume * 1e3 == pytest.approx(litres, rel=1e-12)
    assert line.time == minutes * 60
    assert f"{minutes} min" in line.basis
    assert key in line.basis
    assert "your own" not in line.basis


@pytest.mark.parametrize("key", EXPECTED)
def test_every_rule_says_where_it_is_from_and_to_check_it(key: str) -> None:
    rule = RULES[key]
    assert rule.source in SOURCES
    assert rule.citation
    assert rule.note.endswith("check the current text")


def test_a_higher_minimum_of_ones_own_counts() -> None:
    line = final_reserve_line(RULES["us-vfr-day"], 60 * 60.0, FLOWS)
    assert line.volume * 1e3 == pytest.approx(33.0)
    assert "your own higher minimum" in line.basis
    assert line.u * 1e3 == pytest.approx(1.0)  # one hour at +/- 1 L/h


def test_an_equal_or_lower_minimum_of_ones_own_never_lowers_the_rule() -> None:
    for own in (30 * 60.0, 10 * 60.0):
        line = final_reserve_line(RULES["us-vfr-day"], own, FLOWS)
        assert line.time == 1800.0
        assert "your own" not in line.basis


def test_a_missing_flow_is_not_replaced_by_another() -> None:
    with pytest.raises(KeyError):
        final_reserve_line(RULES["eu-vfr-day"], None, {"cruise": FLOWS["cruise"]})


def test_a_demand_by_time_and_by_amount() -> None:
    by_time = line_for(Need("trip", "trip: cruise", None, 0.0, 1200.0, *FLOWS["cruise"], "20 min", "cruise flow"))
    assert (by_time.volume * 1e3, by_time.u * 1e3) == (pytest.approx(11.0), pytest.approx(1 / 3))
    stated = line_for(Need("taxi", "taxi", 0.004, 0.001, None, 12 * LITRE_PER_HOUR, 0.0, "4 L as stated", "taxi as stated"))
    assert (stated.volume, stated.u, stated.time) == (0.004, 0.001, pytest.approx(1200.0))
    timeless = line_for(Need("extra", "extra", 0.004, 0.0, None, 0.0, 0.0, "", ""))
    assert timeless.time == "no flow for this phase in the profile"


def test_contingency_as_share_amount_and_time() -> None:
    trip = [FuelLine("trip", "a", 0.0084, 0.0, 720.0, "", ""), FuelLine("trip", "b", 0.0193, 0.0, 2100.0, "", "")]
    assert contingency_line(trip, 0.05, None, None, 1e-5).volume == pytest.approx(0.0277 * 0.05)
    assert contingency_line(trip, None, 0.002, None, 1e-5).volume == 0.002
    assert contingency_line(trip, None, None, 300.0, 1e-5).volume == pytest.approx(0.003)
    assert contingency_line(trip, 0.05, None, None, 0.0).time == "no cruise flow in the profile"


FLIGHT = """
flight: 1
aircraft: thornlea-t4
category: normal
rules: {rules}
load: {{front seats: [80 kg, 70 kg]}}
fuel: {{grade: avgas-100LL, density: {{fixed: 0.720 kg/L}}, tanks: {{left: 60 L, right: 60 L}}}}
trip: [{{phase: taxi, fuel: 4 L}}, {{phase: cruise, time: 60 min}}]
alternate: {{phase: cruise, time: 20 min}}
contingency: 10 %
additional: 2 L
extra: 3 L
discretionary: 5 L
"""


@pytest.mark.parametrize("key", EXPECTED)
def test_the_plan_counts_every_line_once_in_the_order_of_the_trade(key: str, tmp_path: Path) -> None:
    path = tmp_path / "flight.yaml"
    path.write_text(FLIGHT.format(rules=key))
    fuel = plan_file(path).fuel
    litres = [4.0, 33.0, 3.3, 11.0, EXPECTED[key][2], 2.0, 3.0, 5.0]
    # AMC1 NCO.OP.125(b) for the order of the lines.
    assert [line.kind for line in fuel.lines] == ["taxi", "trip", "contingency", "alternate", "final reserve", "additional", "extra", "discretionary"]
    assert [line.volume * 1e3 for line in fuel.lines] == pytest.approx(litres, rel=1e-12)
    assert fuel.required * 1e3 == pytest.approx(sum(litres), rel=1e-12)
    assert fuel.minimum * 1e3 == pytest.approx(sum(litres[:-2]), rel=1e-12)
    assert fuel.surplus * 1e3 == pytest.approx(120 - sum(litres), rel=1e-12)
    # Endurance: an hour and 20 min as planned, then all that is left (120 - 4 - 33 - 11 = 72 L) at the reserve's flow.
    flow = {"cruise": 33, "holding": 25, "maximum continuous": 39}[EXPECTED[key][1]]
    assert fuel.endurance / 3600 == pytest.approx(80 / 60 + 72 / flow, rel=1e-9)
    assert sum(fuel.reserve_volumes) * 1e3 == pytest.approx(EXPECTED[key][2], rel=1e-9)
