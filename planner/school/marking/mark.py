"""One problem marked: every answer by its method."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final, Literal

from planner.quantities.frozen import frozen
from planner.school.marking.naming import Named, causes, is_right, usable_traces
from planner.school.marking.writing import Written, agrees, coarse, read_written
from planner.school.problem import Ask, Problem
from planner.school.slips.register import SLIPS, load_all, traces

Result = Literal[
    "right",
    "too few figures",
    "no unit",
    "wrong unit",
    "carried on",
    "slip",
    "not recognised",
    "unreadable",
    "blank",
]
# Of a result; nothing for the others, and for one that is no longer known.
_POINTS: Final[dict[Result, float]] = {
    "right": 1.0,
    "too few figures": 0.5,
    "no unit": 0.5,
    "carried on": 0.5,
}
HINT: Final = 0.25  # of a point for each step of the solution that was asked for


@frozen
class Mark:
    """One answer marked. `right` is the answer as it should be written.

    `slips` are named on evidence; where there is none, `likely` ones lead to the figure too, as others may.
    """

    ask: Ask
    written: str
    right: str
    result: Result
    slips: tuple[Named, ...] = ()
    told: str = ""
    likely: tuple[Named, ...] = ()
    hints: int = 0

    @property
    def points(self) -> float:
        """0, a half or 1, less what hints have cost."""
        return points_of(self.result, self.hints)


def points_of(result: Result, hints: int) -> float:
    """Points of an answer, less what `hints` have cost."""
    return max(_POINTS.get(result, 0.0) - HINT * hints, 0.0)


def ranked(slips: Iterable[str]) -> tuple[tuple[str, int], ...]:
    """Names of slips with their counts, the most frequent first."""
    return tuple(sorted(Counter(slips).items(), key=lambda each: (-each[1], each[0])))


def mark_problem(problem: Problem, answers: Mapping[str, str]) -> tuple[Mark, ...]:
    """Mark the answers to one problem.

    A wrong answer is compared with what every slip leads to, and a slip is named where there is evidence for
    it and none for another. The same slip found again in a later answer of the problem counts as carried on.
    Parameters: `problem`; `answers`, key of an ask -> as written (missing: blank). Returns a Mark per ask, in
    order.
    Source: [common-practice].
    """
    load_all()
    right = problem.right()
    written = {ask.key: read_written(ask, answers.get(ask.key, "")) for ask in problem.asks}
    numbers = {key: each.value if each.value is not None else each.bare for key, each in written.items()}
    given = {key: value for key, value in numbers.items() if value is not None}
    answered = [ask for ask in problem.asks if ask.key in given]
    wrong = [ask.key for ask in answered if not is_right(ask, given[ask.key], right[ask.key])]
    usable = usable_traces(problem, traces(problem.facts)) if wrong else {}
    marks: list[Mark] = []
    named_before: set[str] = set()
    for ask in problem.asks:
        mark = _mark(ask, written[ask.key], right[ask.key])
        if mark.result == "not recognised":
            named, likely = causes(problem, ask, given, wrong, usable[ask.key])
            result: Result = "slip" if named else "not recognised"
            if named and named_before & {each.slip.name for each in named}:
                result = "carried on"
                named = tuple(each for each in named if each.slip.name in named_before)
            named_before |= {each.slip.name for each in named}
            mark = replace(mark, result=result, slips=named, likely=likely)
        marks.append(mark)
    return tuple(marks)


def _mark(ask: Ask, written: Written, right: float | str) -> Mark:
    """The mark that needs no slip of arithmetic; a figure that is wrong is not recognised yet."""

    def made(result: Result, told: str = "", slip: str = "") -> Mark:
        return Mark(
            ask=ask,
            written=written.text,
            right=ask.text(right),
            result=result,
            slips=(Named(SLIPS[slip], ""),) if slip else (),
            told=told or written.told,
        )

    if written.fault in ("blank", "unreadable"):
        return made(written.fault)
    value = written.value if written.value is not None else written.bare
    assert value is not None  # only the two faults above leave no value
    if is_right(ask, value, right):
        if written.fault in ("no unit", "wrong unit"):
            return made(written.fault, slip=written.fault.replace(" ", "-"))
        return made("right")
    if isinstance(value, str) or isinstance(right, str) or written.fault:
        return made("not recognised")
    if written.bare is not None and value != written.bare and agrees(ask, written.bare, right):
        return made("wrong unit", f"the number is right in {ask.unit}", "wrong-unit")
    rough = coarse(ask, right, written.coarseness)
    if rough is not None and rough[0] <= value <= rough[1]:
        return made("too few figures", f"asked for {ask.rounding}")
    return made("not recognised")
