"""The words of problems, solutions and marks, shared by terminal, sheet and JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from planner.facts.cautions import INVENTED, PLAN_SHORT
from planner.facts.sources import SOURCES
from planner.school.marking.answers import labels
from planner.school.marking.mark import Mark, Result
from planner.school.problem import Ask, Problem
from planner.school.topics import TOPICS

PRACTICE: Final = (
    "Practice only: no problem, answer or mark here is a flight plan, and being right in class does not clear"
    " an aircraft to fly."
)
RESULT_WORDS: Final[dict[Result, str]] = {
    "right": "right",
    "too few figures": "right, with too few figures",
    "no unit": "right number, no unit",
    "wrong unit": "right number, wrong unit",
    "carried on": "wrong by the same slip, carried on",
    "slip": "wrong",
    "not recognised": "wrong, slip not recognised",
    "unreadable": "cannot be read",
    "blank": "no answer",
}


def cautions(invented: bool) -> tuple[str, ...]:
    """What stands on everything about practice."""
    return ((INVENTED,) if invented else ()) + (PRACTICE, PLAN_SHORT)


def title(problem: Problem) -> str:
    """Topic and level in words."""
    words = TOPICS[problem.topic].words
    return f"{words[0].upper()}{words[1:]}, level {problem.level}"


def told_outside(problem: Problem) -> str:
    """The label of a figure beyond a limit where the question itself says so; elsewhere it would give the
    answer away.
    """
    return problem.outside if problem.topic == "correction" else ""


def ask_labels(problems: Sequence[Problem]) -> list[list[str]]:
    """The printed label of every ask, problem by problem."""
    found: list[list[str]] = [[] for _ in problems]
    for label, (index, _) in labels(tuple(problems)).items():
        found[index].append(label)
    return found


def asked(ask: Ask, then: str) -> str:
    """What is asked, followed by its rounding or its answer."""
    return f"{ask.words} {then}" if ask.words.endswith("?") else f"{ask.words}: {then}"


def sources(problem: Problem) -> tuple[str, ...]:
    """The published sources of a solution's formulas, each once."""
    return cited(step.source for step in problem.solution if step.source)


def cited(keys: Iterable[str]) -> tuple[str, ...]:
    """Sources as a student needs them, each once: how the formula was read, not what else is in the book."""
    found = []
    for source in (SOURCES[key] for key in dict.fromkeys(keys)):
        known = source.tag != "no published source"
        clause = f", {source.clause.split(';')[0]} ({source.tag})" if known else f", {source.tag}"
        found.append(source.title + clause)
    return tuple(found)


def slip_words(mark: Mark) -> str:
    """The slip that leads to an answer, or the several that do, with what to do instead."""
    if mark.likely:
        return f"likely places: {'; '.join(str(each) for each in mark.likely)}."
    if not mark.slips:
        return ""
    if mark.result == "carried on":
        return f"{mark.slips[0].slip.title}."
    if len(mark.slips) == 1:
        return f"{mark.slips[0]}. {mark.slips[0].slip.cure}"
    return "several slips lead to this figure: " + "; ".join(f"{each}" for each in mark.slips) + "."


def points(marks: Sequence[Mark]) -> tuple[float, int]:
    """Points earned, and how many there were."""
    return sum(mark.points for mark in marks), len(marks)


def share(earned: float, of: int) -> str:
    """`7.5 of 9 points`."""
    return f"{earned:g} of {of} point{'s' if of != 1 else ''}"
