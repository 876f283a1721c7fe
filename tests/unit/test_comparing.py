"""Sample against declared batch: what is said, and what it could not have seen."""

from __future__ import annotations

import math
import re

import pytest

from planner.density.bench.comparing import (
    JetFraction,
    compare_with_batch,
    empty_change,
    fraction_in_mixture,
    mixture_density,
)
from planner.density.budget import Estimate, Missing
from planner.quantities.errors import OutOfRange

BATCH = Estimate(715.0, 0.3)


def test_five_percent_jet_moves_avgas_by_four_and_a_half() -> None:
    # 0.05 x (800 - 710) kg/m3 (common practice, no published source).
    assert mixture_density(710.0, 800.0, 0.05) - 710.0 == pytest.approx(4.5, abs=1e-9)
    assert fraction_in_mixture(710.0, 800.0, 4.5) == pytest.approx(0.05, rel=1e-12)


def test_consistent() -> None:
    found = compare_with_batch(Estimate(715.9, 0.4), BATCH)
    # U = 2 hypot(0.4, 0.3) = 1.0.
    assert found.difference.value == pytest.approx(0.9)
    assert found.difference.expanded == pytest.approx(1.0)
    assert found.consistent
    assert found.statement == "consistent with the declared batch within ± 1.0 kg/m3"
    assert isinstance(found.explained_by, Missing)
    # 1.0 of the 60 kg/m3 to the lightest jet fuel, of the 125 to the heaviest.
    assert isinstance(found.least_jet_fuel, JetFraction)
    assert found.least_jet_fuel.of_lightest == pytest.approx(1.0 / 60)
    assert found.least_jet_fuel.of_heaviest == pytest.approx(1.0 / 125)


@pytest.mark.parametrize(
    ("value", "consistent"),
    [(716.0 - 1e-9, True), (716.0 + 1e-6, False), (714.0 + 1e-9, True), (714.0 - 1e-6, False)],
)
def test_the_edge_on_both_sides(value: float, consistent: bool) -> None:
    assert compare_with_batch(Estimate(value, 0.4), BATCH).consistent is consistent


def test_heavier() -> None:
    found = compare_with_batch(Estimate(720.0, 0.4), BATCH)
    assert found.statement == "differs from the declared batch by +5.0 kg/m3, more than ± 1.0 kg/m3"
    assert isinstance(found.explained_by, JetFraction)
    assert found.explained_by.of_lightest == pytest.approx(5 / 60)
    # The mixture the answer speaks of has the density that was found.
    assert mixture_density(715.0, 840.0, found.explained_by.of_heaviest) == pytest.approx(720.0)


def test_lighter() -> None:
    found = compare_with_batch(Estimate(712.0, 0.4), BATCH)
    assert found.statement.startswith("differs from the declared batch by -3.0 kg/m3")
    assert isinstance(found.explained_by, Missing)
    assert "lighter" in found.explained_by.reason


def test_questions_without_an_answer() -> None:
    jet = compare_with_batch(Estimate(801.0, 0.4), Estimate(800.0, 0.3))
    assert isinstance(jet.least_jet_fuel, Missing)
    lightest = compare_with_batch(Estimate(776.0, 0.4), Estimate(775.0, 0.3))
    assert isinstance(lightest.least_jet_fuel, Missing), "as heavy as the lightest jet fuel"
    blind = compare_with_batch(Estimate(715.0, 80.0), BATCH)
    assert isinstance(blind.least_jet_fuel, Missing)
    half_blind = compare_with_batch(Estimate(715.0, 40.0), BATCH)
    assert isinstance(half_blind.least_jet_fuel, JetFraction)
    assert half_blind.least_jet_fuel.of_lightest == 1.0
    water = compare_with_batch(Estimate(998.0, 0.4), BATCH)
    assert isinstance(water.explained_by, Missing)
    assert "heavier than any" in water.explained_by.reason


def test_no_comparison_clears_a_fuel() -> None:
    for value in (700.0, 715.0, 715.9, 730.0, 800.0):
        statement = compare_with_batch(Estimate(value, 0.4), BATCH).statement
        assert not re.search(
            r"\b(ok|okay|clean|identified|pure|uncontaminated|safe|pass(ed)?)\b", statement, re.IGNORECASE
        )


def test_refused() -> None:
    for sample, batch in (
        (Estimate(715.0), Estimate(715.0)),
        (Estimate(math.nan, 1.0), BATCH),
        (Estimate(715.0, -1.0), BATCH),
        (BATCH, Estimate(1.0, math.inf)),
        (Estimate(715.0, math.inf), BATCH),
        (BATCH, Estimate(math.nan, 1.0)),
        (BATCH, Estimate(715.0, -0.1)),
    ):
        with pytest.raises(ValueError, match="uncertaint"):
            compare_with_batch(sample, batch)
    with pytest.raises(OutOfRange):
        mixture_density(710.0, 800.0, 1.01)
    with pytest.raises(OutOfRange):
        fraction_in_mixture(800.0, 800.0, 1.0)


def test_a_fraction_is_of_nothing_to_the_whole() -> None:
    assert (mixture_density(710.0, 800.0, 0.0), mixture_density(710.0, 800.0, 1.0)) == (710.0, 800.0)
    for fraction in (-1e-9, 1 + 1e-9):
        with pytest.raises(OutOfRange):
            mixture_density(710.0, 800.0, fraction)
    with pytest.raises(OutOfRange):
        fraction_in_mixture(801.0, 800.0, 1.0)


def test_a_sample_as_heavy_as_the_heaviest_jet_fuel_may_be_all_of_it() -> None:
    """840 kg/m3 is the most of jet fuel: MIL-HDBK-1022A."""
    heaviest = compare_with_batch(Estimate(840.0, 0.4), BATCH).explained_by
    assert heaviest == JetFraction(1.0, pytest.approx(1.0))
    assert isinstance(compare_with_batch(Estimate(840.1, 0.4), BATCH).explained_by, Missing)
    just_light = compare_with_batch(Estimate(780.0, 0.4), Estimate(774.9, 0.3)).least_jet_fuel
    assert isinstance(just_light, JetFraction)


def test_one_of_two_densities_may_be_sure() -> None:
    for sample, batch in ((Estimate(715.5, 0.3), Estimate(715.0)), (Estimate(715.5), Estimate(715.0, 0.3))):
        found = compare_with_batch(sample, batch)
        assert (found.sample, found.batch, found.difference.u) == (sample, batch, 0.3)
        assert found.consistent, "0.5 is within U = 0.6"
    heavier = compare_with_batch(Estimate(715.7, 0.3), Estimate(715.0))
    lighter = compare_with_batch(Estimate(714.3, 0.3), Estimate(715.0))
    assert [each.consistent for each in (heavier, lighter)] == [False, False]
    assert isinstance(heavier.explained_by, JetFraction)
    assert isinstance(lighter.explained_by, Missing)


def test_a_difference_of_exactly_u_is_within_it() -> None:
    assert compare_with_batch(Estimate(716.0, 0.4), Estimate(715.0, 0.3)).consistent
    assert compare_with_batch(Estimate(714.0, 0.4), Estimate(715.0, 0.3)).consistent
    assert empty_change(Estimate(6.0, 0.4), Estimate(5.0, 0.3), "2026-01-10") is None
    assert empty_change(Estimate(6.01, 0.4), Estimate(5.0, 0.3), "2026-01-10") is not None
