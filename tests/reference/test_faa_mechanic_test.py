"""FAA general mechanic test, items on mass and balance, as quoted with their answers on study pages
(second-hand).

Of the item on potable water the answer is from memory.

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.reference.published import results

SOURCE = "faa-mechanic-test"

# A record that is carried on by items is written anew, with three decimals of a pound and two of a
# pound-inch.
COARSE = 2e-7
FIRST = 1500 * Fraction("28.4") - 24 * Fraction("68.5") + 28 * 73 + 30 * Fraction("70.5") + 25 * 85
SECOND = Fraction("101673.78") - 30 * 71 + 97 * 71 + 20 * 71 + 30 * 94
TRICYCLE = 2 * 753 * Fraction("97.375") + 22 * Fraction("9.875")

CASES = {
    # 1500 @ 28.4; out 24 @ 68.5; in 28 @ 73, 30 @ 70.5, 25 @ 85
    "alter-1500-mass": (1559, Fraction(1500 - 24 + 28 + 30 + 25)),
    "alter-1500-moment": (47240, FIRST),
    "alter-1500-cg": (30.30, FIRST / 1559),
    # 2886 lb with 101 673.78 lb.in; out 30 @ 71; in 97 @ 71, 20 @ 71, 30 @ 94
    "alter-2886-mass": (3003, Fraction(2886 - 30 + 97 + 20 + 30)),
    "alter-2886-moment": (110670.78, SECOND),
    "alter-2886-cg": (36.85, SECOND / 3003),
    "alter-2886-shift": (1.62, SECOND / 3003 - Fraction("101673.78") / 2886),
    # 2100 @ 32.5; out 36 @ 73; in 17 @ 77, 35 @ 74.5, 35 @ 95
    "alter-2100-mass": (2151, Fraction(2100 - 36 + 17 + 35 + 35)),
    "alter-2100-moment": (
        72863.5,
        2100 * Fraction("32.5") - 36 * 73 + 17 * 77 + 35 * Fraction("74.5") + 35 * 95,
    ),
    # 4954 @ 30.5, limit 32.0, ballast at 162
    "ballast-4954": (57.16, 4954 * (32 - Fraction("30.5")) / (162 - 32)),
    # mains 753 each, 87.5 behind the nose wheel at 9.875 with 22 lb
    "tricycle-mass": (1528, Fraction(753 * 2 + 22)),
    "tricycle-moment": (146864, TRICYCLE),
    "tricycle-cg": (96.11, TRICYCLE / 1528),
    # 5862 lb with 885 957 lb.in, 20 lb of water at 84 taken out
    "water-cg": (151.365, Fraction(885957 - 20 * 84, 5862 - 20)),
}


def test_every_case_of_the_source_is_checked() -> None:
    assert results(SOURCE).keys() == CASES.keys()


@pytest.mark.parametrize("name", CASES)
def test_published_case(name: str) -> None:
    printed, unrounded = CASES[name]
    result = results(SOURCE)[name]
    assert result.case.published == printed
    assert result.ours == pytest.approx(
        float(unrounded), rel=COARSE
    )  # conversions lb, in -> kg, m and back lie between
    assert result.within, f"{result.ours} against {printed} +/- {result.case.tolerance}: {result.case.reason}"
