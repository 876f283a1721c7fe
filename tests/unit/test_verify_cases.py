"""The published cases as a whole: all run, all within, none able to pass without being computed."""

from __future__ import annotations

import math

import pytest

from planner import verify_cases
from planner.data.published import PUBLISHED
from planner.density.petroleum import thermal_expansion
from planner.sources import SOURCES
from planner.units import UNITS
from planner.verify_cases import run_cases

RESULTS = {result.case.id: result for result in run_cases()}


def test_ids_are_unique_and_every_case_ran() -> None:
    assert len(RESULTS) == len(PUBLISHED)
    assert [result.case for result in run_cases()] == list(PUBLISHED)


@pytest.mark.parametrize("name", RESULTS)
def test_within_its_tolerance(name: str) -> None:
    result = RESULTS[name]
    assert result.within, f"{result.ours} against {result.case.published} +/- {result.case.tolerance}: {result.case.reason}"
    assert result.difference == result.ours - result.case.published


@pytest.mark.parametrize("case", PUBLISHED, ids=lambda case: case.id)
def test_a_row_says_where_it_comes_from(case: verify_cases.PublishedCase) -> None:
    assert case.source in SOURCES
    assert case.unit == "1" or case.unit in UNITS
    assert case.clause
    assert case.what
    assert case.reason
    # Half of the last of three printed digits is at most 0.5 % of a figure; anything wider would need another reason.
    assert 0 < case.tolerance <= 0.005 * abs(case.published)


def test_no_source_rests_on_memory_unsaid() -> None:
    tags = {case.id: case.tag for case in PUBLISHED}
    assert tags["percent-mac"] == "from memory"
    assert tags["aft-cg"] == "read in the source"


def test_a_wrong_engine_figure_is_not_within() -> None:
    case = RESULTS["phak-cg"].case
    assert verify_cases._compared(case, case.published + case.tolerance).within
    assert not verify_cases._compared(case, case.published + 1.01 * case.tolerance).within
    assert not verify_cases._compared(case, math.nan).within


def test_a_case_without_computation_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(verify_cases, "_COMPUTATIONS", verify_cases._COMPUTATIONS[1:])
    with pytest.raises(LookupError, match="phak-cg, phak-mass"):
        run_cases()


def test_a_computation_without_case_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(verify_cases, "_COMPUTATIONS", (*verify_cases._COMPUTATIONS, lambda: {"stray": 1.0}))
    with pytest.raises(LookupError, match="stray"):
        run_cases()


@pytest.mark.parametrize(
    ("density", "temperature", "printed", "decimals"),
    [(839.0, 32.5, 0.98515, 5), (889.0, 115.55, 0.91966, 5), (777.5, 9.0, 1.006412, 6), (819.0, 26.75, 0.989552, 6)],
)
def test_the_printed_examples_follow_from_a_rounded_alpha(density: float, temperature: float, printed: float, decimals: int) -> None:
    # Why the D1250 rows have a tolerance above half of a digit: with alpha rounded to seven decimals as the printed
    # procedure has it (from memory), each printed factor comes out, either rounded or cut.
    step = round(thermal_expansion(density), 7) * (temperature - 15)
    factor = math.exp(-step * (1 + 0.8 * step))
    cut = math.floor(factor * 10**decimals) / 10**decimals
    assert printed in (round(factor, decimals), cut)
