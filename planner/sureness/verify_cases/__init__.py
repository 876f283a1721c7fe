"""Published cases put through the engine: our figure beside the printed one.

A loading is written as a profile and a flight and planned, an alteration is a change of the mass record, a
weighing a worksheet: the files and the way a user's own take. Inputs stand as they were printed and the
result goes back into the printed unit. A case without a computation, or the reverse, is an error here, so the
list cannot silently shrink.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from planner.facts.published import PUBLISHED, PublishedCase
from planner.quantities.frozen import frozen
from planner.sureness.verify_cases import handbooks, knowledge_tests, properties


@frozen
class CaseResult:
    """One case computed: `ours` and `difference` (ours - published) in the case's unit, `within` its
    tolerance.
    """

    case: PublishedCase
    ours: float
    difference: float
    within: bool


_COMPUTATIONS: Final[tuple[Callable[[], dict[str, float]], ...]] = (
    handbooks.computational,
    handbooks.zero_fuel,
    handbooks.shifts,
    handbooks.datums,
    handbooks.weighing,
    handbooks.handbook_1,
    handbooks.twin,
    handbooks.circular,
    handbooks.time_in_tanks,
    handbooks.ballast_place,
    knowledge_tests.helicopters,
    knowledge_tests.drained,
    knowledge_tests.tables,
    knowledge_tests.graph,
    knowledge_tests.burn,
    knowledge_tests.most_added,
    knowledge_tests.glider,
    knowledge_tests.alterations,
    knowledge_tests.ballast,
    knowledge_tests.weighings,
    knowledge_tests.chord,
    properties.densities,
    properties.air,
)


def run_cases() -> tuple[CaseResult, ...]:
    """Every published case through the engine.

    Equation: difference = ours - published; within = |difference| <= tolerance, plus float noise of 1e-12
    of the figure. Returns one CaseResult per row of `planner.facts.published.PUBLISHED`, in its order, in its
    unit. Raises LookupError where a case has no computation or a computation no case: a fault of the program.
    Source: the row's own source and clause.
    """
    ours: dict[str, float] = {}
    for compute in _COMPUTATIONS:
        ours |= compute()
    unpaired = sorted(ours.keys() ^ {case.id for case in PUBLISHED})
    if unpaired:
        raise LookupError(f"published case and computation do not pair: {', '.join(unpaired)}")
    return tuple(_compared(case, ours[case.id]) for case in PUBLISHED)


def _compared(case: PublishedCase, ours: float) -> CaseResult:
    difference = ours - case.published
    return CaseResult(case, ours, difference, abs(difference) <= case.tolerance + 1e-12 * abs(case.published))
