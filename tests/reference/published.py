"""The published cases as the program computes them: once, and when the first test asks, so that a fault is
that test's.
"""

from __future__ import annotations

from functools import cache

from planner.sureness.verify_cases import CaseResult, run_cases


@cache
def results(source: str = "") -> dict[str, CaseResult]:
    """Those of one source by id, or all."""
    if not source:
        return {result.case.id: result for result in run_cases()}
    return {name: result for name, result in results().items() if result.case.source == source}
