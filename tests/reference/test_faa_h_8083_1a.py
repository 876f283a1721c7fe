"""FAA-H-8083-1A ch. 3: the CG of a weighed aircraft for any datum.

Nose-wheel figures read in the source; the tail-wheel answers from memory, their inputs read.

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program; then half of the last printed digit (0.1 in).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.reference.published import results

SOURCE = "faa-h-8083-1a"

CASES = {
    # nose 340 lb, 78 in ahead of the mains, 2006 lb altogether
    "datum-at-mains": (-13.2, Fraction(-340 * 78, 2006)),
    "datum-ahead": (114.8, 128 + Fraction(-340 * 78, 2006)),
    "datum-behind": (-88.2, -75 + Fraction(-340 * 78, 2006)),
    # tail 67 lb, 222 in behind the mains, 1218 lb altogether
    "tailwheel-ahead": (19.7, Fraction("7.5") + Fraction(67 * 222, 1218)),
    "tailwheel-behind": (-67.8, -80 + Fraction(67 * 222, 1218)),
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


def test_the_cg_is_one_place_whatever_the_datum() -> None:
    at_mains = results(SOURCE)["datum-at-mains"].ours
    assert results(SOURCE)["datum-ahead"].ours - 128 == pytest.approx(at_mains, abs=1e-9)
    assert results(SOURCE)["datum-behind"].ours + 75 == pytest.approx(at_mains, abs=1e-9)
