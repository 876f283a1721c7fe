"""The search: the smallest single changes that bring a flight inside, then pairs, and why the others do
not.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from planner.flight.envelope import LimitResult, Verdict
from planner.flight.limits import ENOUGH, identity
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.moments import round_down
from planner.search.remedies.figures import METRIC, Rounding, Try, smallest, step_of, tries
from planner.search.remedies.pairs import Sought, pairs_of
from planner.search.remedies.places import better_measured, discrete, landed, swaps
from planner.search.remedies.steps import Kind, Remedy, Step, rank
from planner.search.remedies.stop import fuel_stop
from planner.search.varied import Case, silent


@frozen
class Impossible:
    """A change that does not cure: the most of it, or the nearest it comes, and the limits not shown then,
    worst first; or a plain `reason`.
    """

    step: Step
    failing: tuple[LimitResult, ...]
    reason: str = ""
    worse: bool = False

    @property
    def short(self) -> float:
        """Fuel missing then, or less than its U [m3]; 0 where there is enough."""
        return next((each.uncertainty - each.margin for each in self.failing if each.id == ENOUGH), 0.0)


@frozen
class Remedies:
    """What was found for a flight: ranked `singles` and `pairs`, and what is `impossible` with its reason.

    `tried` is how many single changes were, figures rounded to `steps`; `sought` what was tried two at a
    time, or a reason why nothing was.
    """

    case: Case
    singles: tuple[Remedy, ...]
    pairs: tuple[Remedy, ...]
    impossible: tuple[Impossible, ...]
    tried: int
    sought: Sought | str
    steps: Rounding

    @property
    def pairs_sought(self) -> bool:
        """Whether two changes together were looked for."""
        return isinstance(self.sought, Sought)

    @property
    def verdict(self) -> Verdict:
        """The flight as it stands."""
        return self.case.plan.verdict

    @property
    def found(self) -> tuple[Remedy, ...]:
        """Every remedy, in the order of offering."""
        return (*self.singles, *self.pairs)


def remedies(
    case: Case,
    with_pairs: bool = False,
    steps: Rounding = METRIC,
    progress: Callable[[int, int], None] = silent,
) -> Remedies:
    """Everything that brings the flight inside by one change, or by two where one does not do (or
    `with_pairs` asks for them).

    One does not do where it leaves somebody behind, or has next to no room.

    Every remedy is planned again before it is offered, so none breaks another limit: a station's, a combined
    one, the category's, a tank's, the fuel required. Order: see `planner.search.remedies.steps.rank`. Seats
    are changed only between people given seat by seat; who sits on the pilot's seat stays there.

    Parameters: `case`; `with_pairs`; `steps` to which figures are rounded; `progress` called with (done, of
    how many). Returns Remedies; none where the plan is inside already. Source: every limit as in
    `planner.plan`.
    """
    singles: list[Remedy] = []
    pairs: list[Remedy] = []
    impossible: list[Impossible] = []
    sought: Sought | str = "the flight is inside as it stands"
    tried = 0
    if case.plan.verdict != "inside":
        singles, impossible, tried = _singles(case, steps)
        sought = "one change is enough"
        if with_pairs or all(each.steps[0].kind == "leave person" or each.narrow for each in singles):
            pairs, sought = pairs_of(case, singles, steps, progress)
    return Remedies(
        case=case,
        singles=tuple(sorted(singles, key=rank)),
        pairs=tuple(sorted(pairs, key=rank)),
        impossible=tuple(impossible),
        tried=tried,
        sought=sought,
        steps=steps,
    )


def _singles(case: Case, steps: Rounding) -> tuple[list[Remedy], list[Impossible], int]:
    tried = 0
    found: list[Remedy] = []
    impossible: list[Impossible] = []
    for remedy in discrete(case):
        tried += 1
        if remedy.plan.verdict == "inside":
            found.append(remedy)
        elif remedy.steps[0].kind in ("category", "leave person"):
            impossible.append(_why(case.plan, remedy))
    if case.plan.verdict == "not shown inside":
        measured = list(better_measured(case))
        tried += len(measured)
        shown = [remedy for remedy in measured if remedy.plan.verdict == "inside"]
        # Of those that do, the ones with the fewest things to measure.
        fewest = min((remedy.steps[0].things for remedy in shown), default=0)
        found += [remedy for remedy in shown if remedy.steps[0].things == fewest]
        impossible += [_why(case.plan, measured[-1])] if measured and not shown else []
    for attempt in tries(case.plan, steps):
        tried += 1
        if (smallest_one := smallest(case, attempt)) is not None:
            found.append(smallest_one)
        elif (why := _most_of(case, attempt)) is not None:
            impossible.append(why)
    if not any(remedy.steps[0].kind in ("fuel off", "fuel on") and not remedy.narrow for remedy in found):
        tried += 1
        stop = fuel_stop(case, steps.fuel)
        if isinstance(stop, str):
            impossible.append(Impossible(Step("fuel stop", ""), (), stop))
        else:
            found.append(landed(stop, steps.fuel))
    impossible += _missing(
        case.plan, {*(each.steps[0].kind for each in found), *(each.step.kind for each in impossible)}
    )
    return _without_worse(found), impossible, tried


def _without_worse(found: list[Remedy]) -> list[Remedy]:
    """Of one kind of change to one thing, the least."""
    best: dict[tuple[str, str, str], Remedy] = {}
    for remedy in found:
        step = remedy.steps[0]
        key = (step.kind, step.subject, step.to)
        if key not in best or rank(remedy) < rank(best[key]):
            best[key] = remedy
    return list(best.values())


def failing(plan: Plan) -> tuple[LimitResult, ...]:
    """Every limit of a plan that is not shown, each at its worst place, worst first."""
    worst: dict[tuple[str, ...], LimitResult] = {}
    for limit in plan.limits():
        key = (*identity(limit.id, limit.place), limit.variant)
        if limit.verdict != "inside" and (key not in worst or limit.margin < worst[key].margin - 1e-9):
            worst[key] = limit
    return tuple(sorted(worst.values(), key=lambda limit: limit.margin / max(abs(limit.limit), 1e-9)))


def _why(before: Plan, remedy: Remedy) -> Impossible:
    plan = remedy.plan
    return Impossible(remedy.steps[0], failing(plan), worse=_distance(plan) > _distance(before) + 1e-9)


def _most_of(case: Case, attempt: Try) -> Impossible | None:
    """What still fails with the most of a change: fuel off as far as the fuel required allows, all of a bag,
    a full tank.
    """
    variable = attempt.variable
    value = variable.low if attempt.downwards else round_down(variable.high * (1 - 1e-6), attempt.step)
    if attempt.kind == "fuel off":
        spare = case.plan.fuel.surplus - case.plan.fuel.uncertainty
        value = max(value, -round_down(max(spare - 1e-9, 0.0), attempt.step))
        if value == 0.0:
            return Impossible(
                Step("fuel off", attempt.subject, dimension="volume"),
                (),
                "there is no fuel to spare: what is aboard is needed",
            )
    step = replace(step_of(case.plan, attempt, value, value), tanks=())
    try:
        return _why(case.plan, Remedy((step,), case.at(variable, value)))
    except InputRefused as refused:
        return Impossible(replace(step, now=0.0), (), refused.findings[0].message)


def _missing(plan: Plan, seen: set[Kind]) -> list[Impossible]:
    """Kinds of change that this flight offers no chance for at all, with the reason."""
    stations = plan.aircraft.stations
    bags = [
        name
        for name, masses in plan.flight.load.items()
        if stations[name].kind != "seats" and any(mass.value for mass in masses)
    ]
    reasons: list[tuple[Kind, str]] = []
    if "fuel on" not in seen:
        reasons.append(("fuel on", "the tanks are full"))
    if "category" not in seen and len(plan.aircraft.envelopes) == 1:
        reasons.append(("category", "the profile has one category"))
    if "limit" not in seen and not bags:
        reasons.append(("limit", "nothing but people is aboard"))
    if not any(kind in seen for kind in ("swap", "reseat")):
        reasons.append(("swap", _no_swap(plan)))
    return [Impossible(Step(kind, ""), (), reason) for kind, reason in reasons]


def _no_swap(plan: Plan) -> str:
    options = list(swaps(plan))
    if options:
        return (
            f"none of the {len(options)} other ways to seat them is inside"
            if len(options) > 1
            else "the one other way to seat them is not inside"
        )
    return "no two people given seat by seat can change places (the pilot stays)"


def _distance(plan: Plan) -> float:
    """How far a plan is from inside: the sum of what is missing, each as a share of its limit."""
    return sum(
        max(limit.uncertainty - limit.margin, 0.0) / max(abs(limit.limit), 1e-9) for limit in failing(plan)
    )
