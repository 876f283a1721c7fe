"""A worked example of a ballast arm, quoted by a third party (second-hand).

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.reference.published import results

SOURCE = "ballast-arm-item"

CASES = {
    # 2222 kg @ 6.13 m; 136 kg that bring the CG to 6.28 m
    "ballast-arm": (8.73, Fraction("6.28") + 2222 * (Fraction("6.28") - Fraction("6.13")) / 136)
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
