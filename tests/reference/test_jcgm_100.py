"""JCGM 100, annex G, table G.2: Student's t for a coverage of 95 % (from memory), and scipy as the oracle."""

from __future__ import annotations

import pytest
import scipy

from planner.density.line import coverage_factor, two_sided_chance


@pytest.mark.parametrize(
    ("degrees_of_freedom", "printed"),
    [
        (1, 12.71),
        (2, 4.30),
        (3, 3.18),
        (4, 2.78),
        (5, 2.57),
        (6, 2.45),
        (7, 2.36),
        (8, 2.31),
        (9, 2.26),
        (10, 2.23),
        (20, 2.09),
        (50, 2.01),
    ],
)
def test_table_g2(degrees_of_freedom: int, printed: float) -> None:
    # Two decimals: half of the last; 2.3646 (7) and 2.3060 (8) unrounded.
    assert coverage_factor(degrees_of_freedom) == pytest.approx(printed, abs=5.1e-3)
    assert coverage_factor(degrees_of_freedom) == pytest.approx(
        float(scipy.stats.t.ppf(0.975, degrees_of_freedom)), rel=1e-9
    )


@pytest.mark.parametrize("degrees_of_freedom", [*range(1, 13), 33, 100])
def test_chance_against_scipy(degrees_of_freedom: int) -> None:
    for t in (0.0, 0.1, -0.5, 1.0, 2.0, -3.0, 5.0, 40.0):
        assert two_sided_chance(t, degrees_of_freedom) == pytest.approx(
            2 * float(scipy.stats.t.sf(abs(t), degrees_of_freedom)), abs=1e-13
        )


def test_refused() -> None:
    with pytest.raises(ValueError, match="degrees of freedom"):
        two_sided_chance(1.0, 0)
    with pytest.raises(ValueError, match="probability"):
        coverage_factor(3, 1.0)
