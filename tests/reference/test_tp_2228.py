"""Transport Canada TP 2228 (read): plan on three quarters of the time in the tanks.

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program; then none, as 38 / 8 x 3/4 has no rounding in it.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from planner.quantities.units import clock, read_quantity
from tests.reference.published import results

SOURCE = "tp-2228"

CASES = {"time-in-tanks": (3.5625, Fraction(38, 8) * Fraction(3, 4))}


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


def test_the_same_from_text() -> None:
    usable = read_quantity("38 USgal", "volume").value
    burn = read_quantity("8 USgal/h", "volume flow").value
    assert clock(usable / burn * 0.75) == "3 h 33 min"  # 213.75 min, cut


def test_a_gallon_is_not_a_gallon() -> None:
    # The same tanks at the same flow, the flow taken as imperial gallons: 4.54609 / 3.785411784 shorter.
    usable = read_quantity("38 USgal", "volume").value
    burn = read_quantity("8 impgal/h", "volume flow").value
    assert usable / burn * 0.75 / 3600 == pytest.approx(3.5625 * 3.785411784 / 4.54609, rel=1e-12)
