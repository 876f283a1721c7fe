"""For which figures of one variable a flight is inside every limit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from planner.flight.loading import masses_of
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.quantities.moments import Total, total
from planner.quantities.units import Quantity
from planner.search.solve import Change, Family, Interval, critical_points, inside_intervals
from planner.search.trying import INSIDE, Asked, Trial, trials
from planner.search.varied import Case, Variable


def family_of(plan: Plan, variable: Variable) -> Family:
    """The burn of a plan as a function of a variable: its change is the difference of two loadings."""
    model = plan.model

    def loaded(value: float) -> tuple[float, float, float]:
        written = {
            str(place[-1]): cast(tuple[Quantity, ...], masses or ())
            for place, masses in variable.write(plan.flight, value).items()
        }
        sums = total(model.loaded(masses_of({**plan.flight.load, **written})).items)
        return sums.mass, sums.moment, sums.lateral_moment

    zero, change = model.zero_fuel, Change(volumes=variable.volumes)
    if variable.dimension == "mass":
        # Two values inside the range: at its ends an entry may vanish from the file.
        width = variable.high - variable.low
        low, high = variable.low + width * 0.25, variable.low + width * 0.75
        first, second = loaded(low), loaded(high)
        per = [(two - one) / (high - low) for one, two in zip(first, second, strict=True)]
        zero = Total(*(one - slope * low for one, slope in zip(first, per, strict=True)))
        change = Change(per[0], per[1], per[2])
    return Family(
        zero_fuel=zero,
        tanks=tuple(each.tank for each in model.tanks),
        volumes=tuple(model.full[0]),
        order=model.order,
        legs=tuple(leg for leg in plan.fuel.legs if leg.stage != "taxi in"),
        density=model.density.density,
        change=change,
    )


def solve(case: Case, variable: Variable) -> tuple[Interval, ...]:
    """The values of a variable [kg, or m3] for which the plan is shown inside every limit, as exact
    intervals.

    Parameters: `case`; `variable`. Returns ascending Intervals, none where no value does. A flight that is
    refused at a value counts as not inside there. Source: `planner.search.solve`; [jcgm-100] 6.2 for U.
    """
    if variable.high <= variable.low:
        return ()
    plan = case.plan
    trial = trials(case, variable)
    if _hopeless(trial, variable):
        return ()
    shifts = [each.moment for each in plan.model.variants if each.names]
    critical = [
        point
        for one in (plan, case.heavier)
        if one is not None
        for point in critical_points(
            family_of(one, variable), variable.low, variable.high, plan.model.at("burn"), shifts
        )
    ]

    return inside_intervals(variable.low, variable.high, critical, trial)


def around(case: Case, variable: Variable, value: float) -> Interval | None:
    """The interval of `solve` that a value [kg, or m3] lies in; None where it lies in none."""
    return next((found for found in solve(case, variable) if value in found), None)


def _hopeless(trial: Trial, variable: Variable) -> bool:
    """Whether some mass or load limit is passed at both ends of a range; its margin is a straight line in the
    variable, so no value keeps it.
    """
    edge = (variable.high - variable.low) * INSIDE
    try:
        passed = _passed(trial(variable.low + edge))
        return bool(passed and passed & _passed(trial(variable.high - edge)))
    except InputRefused:
        return False


def _passed(limits: Sequence[Asked]) -> set[str]:
    """Mass and load limits that are passed; those all along the burn are asked where they are tightest, which
    is not one place.
    """
    return {
        each.name for each in limits if each.linear and each.result.place != "burn" and each.result.margin < 0
    }
