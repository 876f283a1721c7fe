"""What could be measured better, by how much, and which limit is the weakest."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from planner.facts.evidence import EVIDENCE
from planner.facts.grades import GRADES
from planner.plan import Plan, plan_flight
from planner.quantities.effects import BATCH
from planner.records.store import load_flight_file
from planner.sureness.sureness import (
    DIPPED_TANK,
    MEASURED_DENSITY,
    WEIGHED_AIRCRAFT_ARM,
    WEIGHED_AIRCRAFT_MASS,
    Sureness,
    measurements,
    sureness,
)
from tests.oracle.plain import edges, plain

EMPTY = {"date": "2026-03-14", "includes": ["full oil", "unusable fuel"]}
STATIONS = {
    "front seats": {"kind": "seats", "seats": 2, "arm": "2.10 m"},
    "baggage": {"kind": "baggage", "arm": "3.00 m"},
}
PERSON, BAG = EVIDENCE["person", "weighed"].u, EVIDENCE["bag", "weighed"].u


def planned(folder: Path, **changed: Any) -> Plan:
    return plan_flight(*load_flight_file(plain(stations=STATIONS, **changed).write(folder)))


def asked(folder: Path, **changed: Any) -> dict[str, dict[str, float]]:
    return {what: dict(factors) for what, factors in measurements(planned(folder, **changed))}


def test_people_and_bags_are_weighed_down_to_what_a_scale_leaves(tmp_path: Path) -> None:
    load = {"front seats": f"80 +/- {4 * PERSON} kg", "baggage": f"20 +/- {5 * BAG} kg"}
    assert asked(tmp_path, load=load) == {
        "weigh the one on front seats": {"front seats": pytest.approx(0.25)},
        "weigh what is on baggage": {"baggage": pytest.approx(0.2)},
    }
    two = {"front seats": [f"80 +/- {4 * PERSON} kg", f"70 +/- {2 * PERSON} kg"]}
    assert asked(tmp_path, load=two) == {
        "weigh the 2 people on front seats": {
            "front seats 1": pytest.approx(0.25),
            "front seats 2": pytest.approx(0.5),
        }
    }
    assert asked(tmp_path, load={"front seats": f"80 +/- {PERSON} kg"}) == {}


def test_the_aircraft_is_weighed_down_to_what_a_weighing_leaves(tmp_path: Path) -> None:
    mass, arm = f"700 +/- {2 * WEIGHED_AIRCRAFT_MASS} kg", f"2.00 +/- {4 * WEIGHED_AIRCRAFT_ARM} m"
    weigh = "weigh the aircraft again"
    assert asked(tmp_path, basic_empty={"mass": mass, "arm": arm, **EMPTY}) == {
        weigh: {"basic empty mass": pytest.approx(0.5), "basic empty arm": pytest.approx(0.25)}
    }
    moment = f"1400 +/- {4 * WEIGHED_AIRCRAFT_ARM * 700} kg.m"
    assert asked(tmp_path, basic_empty={"mass": "700 kg", "moment": moment, **EMPTY}) == {
        weigh: {"basic empty moment": pytest.approx(0.25)}
    }
    mass, arm = f"700 +/- {WEIGHED_AIRCRAFT_MASS} kg", f"2.00 +/- {WEIGHED_AIRCRAFT_ARM} m"
    assert asked(tmp_path, basic_empty={"mass": mass, "arm": arm, **EMPTY}) == {}


def test_the_fuel_is_measured_and_its_tanks_are_dipped(tmp_path: Path) -> None:
    fuel = {
        "grade": "avgas-100LL",
        "density": {"fixed": f"720 +/- {4 * MEASURED_DENSITY} kg/m3"},
        "tanks": {"main": f"100 +/- {2000 * DIPPED_TANK} L"},
    }
    assert asked(tmp_path, fuel=fuel) == {
        "measure the density of the fuel": {"fuel density": pytest.approx(0.25)},
        "dip the main tank with its own stick": {"fuel in main tank": pytest.approx(0.5)},
    }
    good = {
        "density": {"fixed": f"720 +/- {MEASURED_DENSITY} kg/m3"},
        "tanks": {"main": f"100 +/- {1000 * DIPPED_TANK} L"},
    }
    assert asked(tmp_path, fuel=fuel | good) == {}
    standard = {"temperature": "15 degC", "density": {"standard": True}, "tanks": {"main": "100 L"}}
    ask, measure = asked(tmp_path, fuel=fuel | standard).items()
    assert (ask[0], measure[0]) == (
        "ask the supplier for the density of the batch",
        "measure the density of the fuel",
    )
    assert ask[1] == measure[1]


def test_the_weakest_limit_is_the_one_with_the_least_margin_for_its_u(tmp_path: Path) -> None:
    """Landing weighs 14 kg less than take-off: against 860 and 855 kg the margins are 10 and 19 kg, U is that
    of 3 kg and of the 5 L (3.5 kg) more or less that are burnt. The bag's limit is 3 kg away, but nothing of
    20 kg to the gram is unsure.
    """
    stations = STATIONS | {"baggage": {"kind": "baggage", "arm": "2.1 m", "max": "23 kg"}}
    case = plain(
        stations=stations,
        load={"front seats": "60 +/- 3 kg", "baggage": "20 +/- 0.001 kg"},
        masses={"max_takeoff": "860 kg", "max_landing": "855 kg"},
        trip=[{"phase": "cruise", "fuel": "20 +/- 5 L"}],
    )
    sure = sureness(plan_flight(*load_flight_file(case.write(tmp_path))))
    assert (sure.weakest.where, sure.weakest.limit.margin) == ("ramp", pytest.approx(10.0))
    assert sure.weakest.limit.uncertainty == pytest.approx(6.0, rel=1e-6)
    assert f"its margin is {10 / 6:.1f} times its U" in sure.sentence


def with_a_bag(folder: Path, bag: str, **changed: Any) -> Sureness:
    """80 +/- 3 kg in front and a bag of which the hold takes 40 kg."""
    stations = STATIONS | {"baggage": {"kind": "baggage", "arm": "2.1 m", "max": "40 kg"}}
    load = {"front seats": "80 +/- 3 kg", "baggage": bag}
    case = plain(**({"stations": stations, "load": load} | changed))
    return sureness(plan_flight(*load_flight_file(case.write(folder))))


def test_a_limit_reached_by_an_unsure_load_is_the_weakest_and_a_scale_is_promised_for_it(
    tmp_path: Path,
) -> None:
    """Nothing is left of 40 kg, and the one in front has no part in it."""
    sure = with_a_bag(tmp_path, "40 +/- 1 kg")
    assert (sure.weakest.where, sure.weakest.limit.margin) == ("load", 0.0)
    assert sure.sentence.endswith("its margin is 0.0 times its U, 100 % of it from 'baggage'")
    assert [(each.what, each.uncertainty, each.verdict) for each in sure.improvements] == [
        ("weigh what is on baggage", pytest.approx(2 * BAG), "not shown inside")
    ]


def test_a_limit_reached_by_what_is_sure_is_not_passed(tmp_path: Path) -> None:
    sure = with_a_bag(tmp_path, "40 kg")
    assert sure.weakest.shares
    assert sure.weakest.where != "load"


def test_a_limit_passed_is_the_weakest_though_nothing_of_it_is_unsure(tmp_path: Path) -> None:
    sure = with_a_bag(tmp_path, "40.5 kg")
    assert (sure.weakest.where, sure.weakest.limit.margin) == ("load", pytest.approx(-0.5))
    assert sure.sentence.startswith("nothing that is stated as unsure moves the tightest limit")
    assert sure.improvements == ()


def test_of_limits_passed_the_larger_share_counts_however_unsure_they_are(tmp_path: Path) -> None:
    """Half a kilogram of 40 and nine tenths of one of 889.6: the latter is more of its own U."""
    sure = with_a_bag(
        tmp_path,
        "40.5 +/- 0.1 kg",
        load={"front seats": "80 +/- 0.1 kg", "baggage": "40.5 +/- 0.1 kg"},
        masses={"max_takeoff": "889.6 kg"},
    )
    passed = {each.where: each.limit.margin for each in sure.budgets if each.limit.margin < 0}
    assert passed == {"load": pytest.approx(-0.5), "ramp": pytest.approx(-0.9)} | {
        where: pytest.approx(-0.9) for where in passed if where not in ("load", "ramp")
    }
    assert (sure.weakest.where, sure.weakest.limit.margin) == ("load", pytest.approx(-0.5))
    assert "uncertainty cannot improve that (100 % of it from 'baggage')" in sure.sentence


def test_a_limit_at_the_datum_is_as_far_as_any_other(tmp_path: Path) -> None:
    """Of nothing no share can be told: two metres from it are not near."""
    load = {"front seats": "80 kg", "baggage": "39.6 kg"}
    sure = with_a_bag(tmp_path, "", load=load, envelopes=edges("0 m", "5 m"))
    assert (sure.weakest.where, sure.weakest.limit.limit) == ("load", 40.0)
    assert sure.sentence.startswith("no uncertainties stated")


def test_the_same_fuel_at_the_book_figure_weighs_and_lies_otherwise(tmp_path: Path) -> None:
    """90 L after taxi in a tank at 2.20 m, with 780 kg at 2.0103 m: at 0.70 kg/L and as the book has it."""
    trip = [{"phase": "taxi", "fuel": "10 L"}, {"phase": "cruise", "fuel": "20 L"}]
    fixed = {"grade": "avgas-100LL", "density": {"fixed": "700 kg/m3"}, "tanks": {"main": "100 L"}}
    book = sureness(planned(tmp_path, trip=trip, fuel=fixed)).book
    assert book.book_density == GRADES["avgas-100LL"].standard_density != 700.0
    here, there = (
        (1400 + 168 + 0.090 * rho * 2.20) / (780 + 0.090 * rho) for rho in (700.0, book.book_density)
    )
    assert book.cg == pytest.approx(here - there, rel=1e-9)
    assert book.mass == pytest.approx(0.1 * (700.0 - book.book_density))
    assert book.endurance == 0.0
    warm = sureness(planned(tmp_path, fuel=fixed | {"temperature": "35 degC"})).book
    # a fuel of 0.7 kg/L expands by about an eighth of a percent a degree
    assert warm.book_density == pytest.approx(book.book_density * (1 - 20 * 0.00125), rel=0.004)
    assert warm.book_density < book.book_density - 10


def test_behind_a_density_of_the_grade_stands_which_batch_the_fuel_is_of(tmp_path: Path) -> None:
    standard = {
        "grade": "avgas-100LL",
        "temperature": "15 degC",
        "density": {"standard": True},
        "tanks": {"main": "100 L"},
    }
    budgets = sureness(planned(tmp_path, fuel=standard, load={"front seats": "80 +/- 3 kg"})).budgets
    causes = {share.cause for each in budgets for share in each.shares}
    assert causes == {BATCH, "front seats"}
