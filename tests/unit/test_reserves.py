"""Final reserves: minutes and speed of every rule set, priced at the flow the rule means."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.facts.rules import RULES
from planner.facts.sources import SOURCES
from planner.flight.reserves import FuelLine, Given, Need, contingency_line, final_reserve_line, line_for
from planner.plan import plan_file
from planner.records.store import profile_folder

LITRE_PER_HOUR = 1e-3 / 3600
FLOWS = {
    "cruise": Given(33 * LITRE_PER_HOUR, LITRE_PER_HOUR, "cruise flow"),
    "holding": Given(25 * LITRE_PER_HOUR, 0.0, "holding flow"),
    "maximum continuous": Given(39 * LITRE_PER_HOUR, 0.0, "maximum continuous flow"),
    "best range": Given(30 * LITRE_PER_HOUR, 0.0, "best range flow"),
}

# Minutes and speed basis as each rule's text gives them (the tag of each row in planner/facts/rules.py says
# how it was read):
# 14 CFR 91.151(a), (b) and 91.167(a)(3); AMC1 NCO.OP.125(b); NCO.OP.126(a); CAR 602.88(3), (4); Part 91 MOS
# ch. 19; NZ CAR 91.305, 91.403; ICAO Annex 6 Part II 2.2.3.6 and Part III.
# Litres: minutes / 60 at 33 L/h cruise, 25 L/h holding, 39 L/h maximum continuous, 30 L/h best range.
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
    "nz-ifr": (45, "holding", 18.75),
    "nz-heli-day": (20, "cruise", 11.0),
    "nz-heli-night": (20, "cruise", 11.0),
    "nz-heli": (30, "holding", 12.5),
    "eu-heli-day": (20, "best range", 10.0),
    "eu-heli-night": (20, "best range", 10.0),
    "eu-heli": (30, "holding", 12.5),
    "uk-heli-day": (20, "best range", 10.0),
    "uk-heli-night": (20, "best range", 10.0),
    "uk-heli": (30, "holding", 12.5),
    "icao-ga-day": (30, "cruise", 16.5),
    "icao-ga-night": (45, "cruise", 24.75),
    "icao-ga": (45, "cruise", 24.75),
    "icao-heli-day": (20, "best range", 10.0),
    "icao-heli-night": (20, "best range", 10.0),
    "icao-heli": (30, "holding", 12.5),
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


def test_every_row_says_which_aircraft_it_is_for() -> None:
    for key, rule in RULES.items():
        helicopters = "heli" in key or "rotorcraft" in key
        assert rule.aircraft == ("helicopters" if helicopters else "aeroplanes")
        assert rule.name.endswith(rule.aircraft)
        assert rule.conditions[0] == f"for {rule.aircraft} only"


def test_a_row_claims_no_more_than_was_read() -> None:
    assert (
        "states no speed" in RULES["ca-ifr"].basis_words
    )  # CAR 602.88(4): "then to fly for a period of 45 minutes"
    assert RULES["ca-ifr"].tag == "second-hand copy"
    assert (
        RULES["eu-vfr-local-day"].tag == "second-hand copy"
    )  # an authority's page quotes AMC1 NCO.OP.125(b)
    assert RULES["nz-ifr"].tag == "read in the source"
    assert {key for key, rule in RULES.items() if rule.tag == "from memory"} == {
        "au-private-night",
        "icao-heli",
        "icao-heli-day",
        "icao-heli-night",
        "uk-ifr",
        "uk-vfr-day",
        "uk-vfr-night",
    }
    assert not any(key.startswith("uk") and "local" in key for key in RULES)  # no source for one was read


def test_a_higher_minimum_of_ones_own_counts() -> None:
    line = final_reserve_line(RULES["us-vfr-day"], Given(60 * 60.0, 0.0, ""), FLOWS)
    assert line.volume * 1e3 == pytest.approx(33.0)
    assert "your own higher minimum" in line.basis
    assert line.u * 1e3 == pytest.approx(1.0)  # one hour at +/- 1 L/h


def test_an_equal_or_lower_minimum_of_ones_own_never_lowers_the_rule() -> None:
    for own in (30 * 60.0, 10 * 60.0):
        line = final_reserve_line(RULES["us-vfr-day"], Given(own, 0.0, ""), FLOWS)
        assert line.time == 1800.0
        assert "your own" not in line.basis


def test_a_missing_flow_is_not_replaced_by_another() -> None:
    with pytest.raises(KeyError):
        final_reserve_line(RULES["eu-vfr-day"], None, {"cruise": FLOWS["cruise"]})


def exactly(value: float) -> Given:
    return Given(value, 0.0, "")


def test_a_demand_by_time_and_by_amount() -> None:
    by_time = line_for(
        Need(
            kind="trip",
            name="trip: cruise",
            amount=None,
            time=exactly(1200.0),
            flow=FLOWS["cruise"],
            basis="20 min",
        )
    )
    assert (by_time.volume * 1e3, by_time.u * 1e3) == (pytest.approx(11.0), pytest.approx(1 / 3))
    stated = line_for(
        Need(
            kind="taxi",
            name="taxi",
            amount=Given(0.004, 0.001, "taxi as stated"),
            time=None,
            flow=exactly(12 * LITRE_PER_HOUR),
            basis="4 L as stated",
        )
    )
    assert (stated.volume, stated.u, stated.time) == (0.004, 0.001, pytest.approx(1200.0))
    timeless = line_for(
        Need(kind="extra", name="extra", amount=exactly(0.004), time=None, flow=exactly(0.0), basis="")
    )
    assert timeless.time == "no flow for this phase in the profile"


def test_a_demand_is_as_unsure_as_its_time_and_its_flow() -> None:
    # 1 h +/- 3 min at 33 +/- 1 L/h: 1 L by the flow, 33 x 3/60 = 1.65 L by the time.
    line = line_for(
        Need(
            kind="trip",
            name="trip: cruise",
            amount=None,
            time=Given(3600.0, 180.0, "time"),
            flow=FLOWS["cruise"],
            basis="",
        )
    )
    assert {cause: change * 1e3 for cause, change in line.changes.items()} == {
        "cruise flow": pytest.approx(1.0),
        "time": pytest.approx(1.65),
    }
    assert line.u * 1e3 == pytest.approx((1.0 + 1.65**2) ** 0.5)


def test_contingency_as_share_amount_and_time() -> None:
    trip = [
        FuelLine(kind="trip", name="a", volume=0.0084, changes={"climb flow": 0.001}, time=720.0, basis=""),
        FuelLine(kind="trip", name="b", volume=0.0193, changes={}, time=2100.0, basis=""),
    ]
    cruise = exactly(1e-5)
    share = contingency_line(trip, exactly(0.05), "share", cruise)
    assert share.volume == pytest.approx(0.0277 * 0.05)
    assert share.changes == {
        "climb flow": pytest.approx(0.001 * 0.05)
    }  # a share of an unsure trip is unsure with it
    assert contingency_line(trip, exactly(0.002), "amount", cruise).volume == 0.002
    assert contingency_line(trip, exactly(300.0), "time", cruise).volume == pytest.approx(0.003)
    assert (
        contingency_line(trip, exactly(0.05), "share", exactly(0.0)).time == "no cruise flow in the profile"
    )


FLIGHT = """
flight: 1
aircraft: profile.yaml
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
    profile = (profile_folder() / "thornlea-t4.yaml").read_text(encoding="utf-8")
    (tmp_path / "profile.yaml").write_text(
        profile.replace("burn: {", "burn: {best range: 30 L/h, "), encoding="utf-8"
    )  # a helicopter's flow
    path.write_text(FLIGHT.format(rules=key))
    fuel = plan_file(path).fuel
    litres = [4.0, 33.0, 3.3, 11.0, EXPECTED[key][2], 2.0, 3.0, 5.0]
    # AMC1 NCO.OP.125(b) for the order of the lines.
    assert [line.kind for line in fuel.lines] == [
        "taxi",
        "trip",
        "contingency",
        "alternate",
        "final reserve",
        "additional",
        "extra",
        "discretionary",
    ]
    assert [line.volume * 1e3 for line in fuel.lines] == pytest.approx(litres, rel=1e-12)
    assert fuel.required * 1e3 == pytest.approx(sum(litres), rel=1e-12)
    assert fuel.minimum * 1e3 == pytest.approx(sum(litres[:-2]), rel=1e-12)
    assert fuel.surplus * 1e3 == pytest.approx(120 - sum(litres), rel=1e-12)
    # Endurance: an hour and 20 min as planned, then all that is left (120 - 4 - 33 - 11 = 72 L) at the
    # reserve's flow.
    flow = {"cruise": 33, "holding": 25, "maximum continuous": 39, "best range": 30}[EXPECTED[key][1]]
    assert fuel.endurance / 3600 == pytest.approx(80 / 60 + 72 / flow, rel=1e-9)
    assert sum(fuel.reserve_volumes) * 1e3 == pytest.approx(EXPECTED[key][2], rel=1e-9)
