"""A European examination item on the mean aerodynamic chord, as worked on a public pilots' forum
(second-hand).

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.reference.published import results

SOURCE = "european-mass-exam"

LEADING, LENGTH = Fraction("625.6"), Fraction("760.1") - Fraction("625.6")
CG = Fraction(41000 * 663 + 2500 * 360, 43500)

CASES = {
    # MAC 134.5 in from 625.6; 41 000 kg @ 663, 2500 kg @ 360
    "chord-before": (27.8, 100 * (663 - LEADING) / LENGTH),
    "chord-mass": (43500, Fraction(41000 + 2500)),
    "chord-cg": (645.59, CG),
    "chord-after": (14.86, 100 * (CG - LEADING) / LENGTH),
    "chord-15": (645.78, LEADING + 15 * LENGTH / 100),
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
    )  # conversions lb, in -> kg, m and back lie between
    assert result.within, f"{result.ours} against {printed} +/- {result.case.tolerance}: {result.case.reason}"
