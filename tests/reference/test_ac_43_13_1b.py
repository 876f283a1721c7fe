"""AC 43.13-1B ch. 10: the two adverse loadings and the minimum fuel (all read in the source).

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program; then half of the last printed digit for CGs, none for masses;
the moment rows were cut to whole numbers there, which makes their sums up to 1 low.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from planner.data.published import PUBLISHED
from planner.extremes import assume, extremes
from planner.moments import Item, total
from planner.profile.store import load_aircraft_file
from planner.units import INCH, POUND, US_GALLON
from planner.verify_cases import run_cases
from planner.weighing import negligible_change

SOURCE = "ac-43.13-1b"
RESULTS = {result.case.id: result for result in run_cases() if result.case.source == SOURCE}

CASES = {
    # 1169 @ 10.6, oil 17 @ -49, pilot 170 @ 16, fuel 83 @ 22
    "forward-mass": (1439, Fraction(1169 + 17 + 170 + 83)),
    "forward-moment": (16104, 1169 * Fraction("10.6") - 17 * 49 + 170 * 16 + 83 * 22),
    "forward-cg": (11.2, (1169 * Fraction("10.6") - 17 * 49 + 170 * 16 + 83 * 22) / 1439),
    # the same without the minimum fuel; rear seats 340 @ 48, fuel 240 @ 22, baggage 100 @ 75.5
    "aft-mass": (2036, Fraction(1169 + 17 + 170 + 340 + 240 + 100)),
    "aft-moment": (43428, 1169 * Fraction("10.6") - 17 * 49 + 170 * 16 + 340 * 48 + 240 * 22 + 100 * Fraction("75.5")),
    "aft-cg": (21.33, (1169 * Fraction("10.6") - 17 * 49 + 170 * 16 + 340 * 48 + 240 * 22 + 100 * Fraction("75.5")) / 2036),
    # 10-2p: 1/12 USgal for each of 165 hp, at 6 lb/USgal
    "minimum-fuel-volume": (13.75, Fraction(165, 12)),
    "minimum-fuel-mass": (82.5, Fraction(165, 12) * 6),
}


def test_every_case_of_the_source_is_checked() -> None:
    assert RESULTS.keys() == CASES.keys()


@pytest.mark.parametrize("name", CASES)
def test_published_case(name: str) -> None:
    printed, unrounded = CASES[name]
    result = RESULTS[name]
    assert result.case.published == printed
    assert result.ours == pytest.approx(float(unrounded), rel=1e-12)  # only conversion lb, in -> kg, m and back lies between
    assert result.within, f"{result.ours} against {printed} +/- {result.case.tolerance}: {result.case.reason}"


def test_the_figures_own_limits_hold() -> None:
    # Printed beside the figures: forward limit 8.5 in, aft limit 21.9 in.
    assert RESULTS["forward-cg"].ours > 8.5
    assert RESULTS["aft-cg"].ours < 21.9


def test_a_cut_moment_is_never_above_ours() -> None:
    for name in ("forward-moment", "aft-moment"):
        assert 0 <= RESULTS[name].difference < 1


def test_the_misprint_is_not_believed() -> None:
    # Fig. 10-13 prints 18.6 although its own totals divide to 18.317 (the totals were read). Its rows were not kept; four
    # occupants, oil and 39 USgal of fuel, no baggage, are the loading that gives both 2100 lb and 18.317.
    rows = [("empty", 1169, 10.6), ("oil", 17, -49), ("front", 340, 16), ("rear", 340, 48), ("fuel", 234, 22)]
    loaded = total([Item(name, pounds * POUND, arm * INCH) for name, pounds, arm in rows])
    assert loaded.mass / POUND == pytest.approx(2100, rel=1e-12)
    cg = loaded.centre_of_gravity / INCH
    assert cg == pytest.approx(18.317, abs=0.0005)
    assert abs(cg - 18.6) > 0.25
    assert not any(case.source == SOURCE and (case.published == 18.6 or "10-13" in case.clause) for case in PUBLISHED)


# The aircraft of figs 10-10 and 10-11 as a profile. The 17 lb of oil are 17 / 7.5 USgal; the printed 240 lb of fuel fill the tank.
PROFILE = """
profile: 1
name: circular's example
source: AC 43.13-1B figs 10-10 and 10-11
datum: as in the figures
fuel_grades: [avgas-100LL]
basic_empty: {mass: 1169 lb, arm: 10.6 in, date: 2026-01-01, includes: [unusable fuel]}
oil: {volume: 2.266666666666667 USgal, arm: -49 in}
stations:
  front seats: {kind: seats, seats: 2, arm: 16 in}
  rear seats: {kind: seats, seats: 2, arm: 48 in}
  baggage: {kind: baggage, arm: 75.5 in, max: 100 lb}
tanks: {main: {capacity: 40 USgal, unusable: 0 USgal, arm: 22 in}}
masses: {max_takeoff: 2100 lb}
envelopes:
  normal: {edges: linear in cg, forward: [[1000 lb, 8.5 in], [2100 lb, 8.5 in]], aft: [[1000 lb, 21.9 in], [2100 lb, 21.9 in]]}
burn: {cruise: 9 USgal/h}
"""


def test_both_adverse_loadings_are_found_from_the_profile() -> None:
    # Nothing tells the program which loadings these are: it has to find the very two that the figures print.
    aircraft = load_aircraft_file("circular.yaml", PROFILE).record
    (forward, aft), _ = extremes(aircraft, "normal", assume(aircraft, minimum_fuel=83 / 6 * US_GALLON))
    assert forward.total.mass / POUND == pytest.approx(1439, rel=1e-9)
    assert forward.total.centre_of_gravity / INCH == pytest.approx(float(CASES["forward-cg"][1]), rel=1e-9)
    assert aft.total.mass / POUND == pytest.approx(2036, rel=1e-9)
    assert aft.total.centre_of_gravity / INCH == pytest.approx(float(CASES["aft-cg"][1]), rel=1e-9)
    assert forward.limit.verdict == aft.limit.verdict == "inside"
    assert forward.limit.margin / INCH == pytest.approx(float(CASES["forward-cg"][1]) - 8.5, rel=1e-9)
    assert aft.limit.margin / INCH == pytest.approx(21.9 - float(CASES["aft-cg"][1]), rel=1e-9)
    assert {item.name for item in aft.items} == {"basic empty mass", "oil", "pilot", "least fuel main", "baggage", "rear seats", "fuel main"}


@pytest.mark.parametrize(
    ("changed", "empty", "negligible"),
    [(1.0, 4999.0, True), (1.001, 4999.0, False), (0.0, 1169.0, True), (1.0, 5000.0, None), (0.1, 9000.0, None)],
)
def test_what_is_negligible(changed: float, empty: float, negligible: bool | None) -> None:
    # 10-2c (read): 1 lb or less for an aircraft below 5000 lb; the figures for heavier ones were not read.
    assert negligible_change(changed * POUND, empty * POUND) is negligible
