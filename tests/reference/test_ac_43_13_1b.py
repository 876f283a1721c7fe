"""AC 43.13-1B ch. 10: adverse loadings, minimum fuel, most passengers, most baggage (all read in a faithful
copy; figs 10-5, 10-6, 10-12 not read).

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program; then half of the last printed digit for CGs, none for masses;
the moment rows were cut to whole numbers there, which makes their sums up to 1 low.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from planner.facts.published import PUBLISHED
from planner.flight.extremes import assume, extremes
from planner.logbook.mass.hung import negligible_change
from planner.quantities.units import INCH, POUND, US_GALLON
from planner.records.store import load_aircraft_file
from tests.reference.published import results

SOURCE = "ac-43.13-1b"

CASES = {
    # 1169 @ 10.6, oil 17 @ -49, pilot 170 @ 16, fuel 83 @ 22
    "forward-mass": (1439, Fraction(1169 + 17 + 170 + 83)),
    "forward-moment": (16104, 1169 * Fraction("10.6") - 17 * 49 + 170 * 16 + 83 * 22),
    "forward-cg": (11.2, (1169 * Fraction("10.6") - 17 * 49 + 170 * 16 + 83 * 22) / 1439),
    # the same without the minimum fuel; rear seats 340 @ 48, fuel 240 @ 22, baggage 100 @ 75.5
    "aft-mass": (2036, Fraction(1169 + 17 + 170 + 340 + 240 + 100)),
    "aft-moment": (
        43428,
        1169 * Fraction("10.6") - 17 * 49 + 170 * 16 + 340 * 48 + 240 * 22 + 100 * Fraction("75.5"),
    ),
    "aft-cg": (
        21.33,
        (1169 * Fraction("10.6") - 17 * 49 + 170 * 16 + 340 * 48 + 240 * 22 + 100 * Fraction("75.5")) / 2036,
    ),
    # 10-2p: 1/12 USgal for each of 165 hp, at 6 lb/USgal
    "minimum-fuel-mass": (82.5, Fraction(165, 12) * 6),
    # fig. 10-13: a second person in front, two behind, 39 USgal, no baggage; the fuel is what is left up to
    # 2100 lb
    "passengers-mass": (2100, Fraction(1169 + 17 + 170 + 170 + 340 + 234)),
    "passengers-moment": (38466, 1169 * Fraction("10.6") - 17 * 49 + 340 * 16 + 340 * 48 + 234 * 22),
    "passengers-fuel": (39, Fraction(2100 - 1169 - 17 - 170 - 170 - 340, 6)),
    # fig. 10-14: one in front, one behind, 40 USgal, 100 lb of baggage
    "baggage-mass": (2036, Fraction(1169 + 17 + 170 + 170 + 170 + 240 + 100)),
    "baggage-moment": (
        37988,
        1169 * Fraction("10.6") - 17 * 49 + 340 * 16 + 170 * 48 + 240 * 22 + 100 * Fraction("75.5"),
    ),
    "baggage-cg": (
        18.7,
        (1169 * Fraction("10.6") - 17 * 49 + 340 * 16 + 170 * 48 + 240 * 22 + 100 * Fraction("75.5")) / 2036,
    ),
}


def test_every_case_of_the_source_is_checked() -> None:
    assert results(SOURCE).keys() == CASES.keys()


@pytest.mark.parametrize("name", CASES)
def test_published_case(name: str) -> None:
    printed, unrounded = CASES[name]
    result = results(SOURCE)[name]
    assert result.case.published == printed
    assert result.ours == pytest.approx(
        float(unrounded), rel=1e-12
    )  # only conversion lb, in -> kg, m and back lies between
    assert result.within, f"{result.ours} against {printed} +/- {result.case.tolerance}: {result.case.reason}"


def test_the_figures_own_limits_hold() -> None:
    # Printed beside the figures: forward limit 8.5 in, aft limit 21.9 in.
    assert results(SOURCE)["forward-cg"].ours > 8.5
    assert results(SOURCE)["aft-cg"].ours < 21.9


def test_a_cut_moment_is_never_above_ours() -> None:
    for name in ("forward-moment", "aft-moment", "passengers-moment", "baggage-moment"):
        assert 0 <= results(SOURCE)[name].difference < 1


def test_the_misprint_is_not_believed() -> None:
    # Fig. 10-13 (read, page 10-17) prints 38466 / 2100 = 18.6, although its own totals divide to 18.317: no
    # case holds that figure.
    assert results(SOURCE)["passengers-moment"].ours / results(SOURCE)[
        "passengers-mass"
    ].ours == pytest.approx(38466 / 2100, abs=0.0005)
    assert round(38466 / 2100, 3) == 18.317
    assert not any(case.source == SOURCE and case.published == 18.6 for case in PUBLISHED)


# The aircraft of figs 10-10 and 10-11 as a profile. The 17 lb of oil are 17 / 7.5 USgal; the printed 240 lb
# of fuel fill the tank.
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
    assert {item.name for item in aft.items} == {
        "basic empty mass",
        "oil",
        "pilot",
        "least fuel main",
        "baggage",
        "rear seats",
        "fuel main",
    }


@pytest.mark.parametrize(
    ("changed", "empty", "negligible"),
    [
        (1.0, 4999.0, True),
        (1.001, 4999.0, False),
        (0.0, 1169.0, True),
        (1.0, 5000.0, None),
        (0.1, 9000.0, None),
    ],
)
def test_what_is_negligible(changed: float, empty: float, negligible: bool | None) -> None:
    # 10-2c (read): 1 lb or less for an aircraft below 5000 lb; the figures for heavier ones were not read.
    assert negligible_change(changed * POUND, empty * POUND) is negligible
