"""Loadings beside each other as plain JSON data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from planner.flight.envelope import LimitResult
from planner.plan.comparing import ComparedLimit, ComparedLoading, compared_limits, worst_compared
from planner.quantities.units import SI_UNIT, Display
from planner.views.flight.compare.compare_text import EXIT_CODE, letter
from planner.views.flight.flight_json import flight_json
from planner.views.keyed import keyed
from planner.views.limit_words import margin_json
from planner.views.words import deciding

SCHEMA: Final = "planner/compare/1"
NOT_ASKED: Final = "not asked: nothing is on that station, or the profile has no such limit"


def compared_json(loadings: Sequence[ComparedLoading]) -> dict[str, Any]:
    """The loadings as JSON data, schema `planner/compare/1`: each with its whole plan as in
    `planner/flight/1`, and every limit with its margin in each and the difference to the first.

    A margin stands in the unit named beside it; where a limit is not asked the reason stands in its place.
    Parameters: `loadings` as planned [SI]. Returns a dict of str, float, list and dict only.
    """
    return {
        "schema": SCHEMA,
        "verdict": worst_compared(loadings),
        "exit_code": EXIT_CODE,
        "loadings": [_loading(at, each) for at, each in enumerate(loadings)],
        "limits": [_limit(each) for each in compared_limits([each.plan for each in loadings])],
    }


def _loading(at: int, each: ComparedLoading) -> dict[str, Any]:
    decides = [
        keyed(spot, "id=limit.id place=limit.place name=base", **margin_json(spot.limit))
        for spot in deciding(each.plan, Display())
    ]
    return {
        "letter": letter(at),
        "file": each.file,
        "leg": each.name,
        "changed": list(each.json),
        "decides": decides,
        "plan": flight_json(each.plan),
    }


def _check(check: LimitResult | None) -> dict[str, Any] | str:
    return NOT_ASKED if check is None else margin_json(check)


def _limit(each: ComparedLimit) -> dict[str, Any]:
    limit = each.limit
    changes = [each.change(at) for at in range(1, len(each.checks))]
    return keyed(
        limit,
        "id place name",
        name=limit.base or limit.name,
        unit=SI_UNIT[limit.dimension],
        checks=[_check(check) for check in each.checks],
        differences=[NOT_ASKED if change is None else change for change in changes],
    )
