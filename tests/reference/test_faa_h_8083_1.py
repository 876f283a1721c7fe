"""FAA-H-8083-1: percent of the mean aerodynamic chord. From memory, so the inverse is checked by algebra as
well.

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program; then half of the last printed digit (0.1 %).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from planner.quantities.moments import cg_from_percent_mac
from planner.quantities.units import INCH
from tests.reference.published import results

SOURCE = "faa-h-8083-1"

CASES = {
    # 100 (42.47 - 20.1) / 61.6
    "percent-mac": (36.3, 100 * (Fraction("42.47") - Fraction("20.1")) / Fraction("61.6"))
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


def test_the_share_leads_back_to_the_cg() -> None:
    # Printed to 0.1 %, so back to half of that, 0.05 % of 61.6 in = 0.031 in.
    assert cg_from_percent_mac(36.3, 20.1 * INCH, 61.6 * INCH) / INCH == pytest.approx(42.47, abs=0.031)
