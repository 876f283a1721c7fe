"""Problems, marks and progress as JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from planner.quantities.units import SI_UNIT
from planner.school.grid import GridPaper
from planner.school.marking.learners import LearnerProgress
from planner.school.marking.mark import Mark
from planner.school.marking.naming import Named
from planner.school.problem import Problem
from planner.school.topics import TOPICS, ProblemSet
from planner.views.keyed import keyed
from planner.views.school.practice_words import ask_labels, cautions, points, sources


def _grid(grid: GridPaper) -> dict[str, Any]:
    """A drawing: its scales and lines in the printed units."""
    axes = {
        name: keyed(axis, "shows=words low high square")
        for name, axis in (("across", grid.across), ("up", grid.up))
    }
    lines = [keyed(line, "name points") for line in grid.lines]
    return {"title": grid.title, **axes, "lines": lines}


def _problem(problem: Problem, number: int, labels: Sequence[str], solved: bool) -> dict[str, Any]:
    right = problem.right()
    asks = []
    for label, ask in zip(labels, problem.asks, strict=True):
        entry = keyed(ask, "label key asked=words rounding unit choices", label=label)
        if solved:
            entry |= {
                "answer": ask.text(right[ask.key]),
                "unrounded": right[ask.key],
                "unrounded_unit": SI_UNIT[ask.dimension] if ask.dimension else "",
            }
        asks.append(entry)
    result = keyed(
        problem,
        "number topic level aircraft=aircraft.name question tables grids",
        number=number,
        tables=[keyed(each, "heads rows") for each in problem.tables],
        grids=[_grid(grid) for grid in problem.grids],
        asks=asks,
    )
    if solved:
        steps = [keyed(each, "what=words working source") for each in problem.solution]
        result |= {"outside": problem.outside, "solution": steps, "sources": list(sources(problem))}
        result["lesson"] = problem.lesson
    return result


def marks_json(marks: Sequence[Mark], labels: Sequence[str]) -> list[dict[str, Any]]:
    """Marks of one problem."""

    def named(each: Named) -> dict[str, Any]:
        return keyed(each, "name=slip.name title=slip.title where")

    return [
        keyed(
            mark,
            "label written right result points slips likely note=told",
            label=label,
            slips=[named(each) | {"cure": each.slip.cure} for each in mark.slips],
            likely=[named(each) for each in mark.likely],
        )
        for label, mark in zip(labels, marks, strict=True)
    ]


def set_json(
    found: ProblemSet,
    code: str,
    seed: int,
    solved: bool,
    marked: Mapping[str, Sequence[Sequence[Mark]]] | None = None,
) -> dict[str, Any]:
    """A set of problems, with solutions where `solved`, and with marks of every learner where there are
    answers.
    """
    labels, invented = ask_labels(found.problems), found.problems[0].aircraft.invented
    result: dict[str, Any] = {
        "schema": "planner/practice/1",
        "invented": invented,
        "cautions": list(cautions(invented)),
        "seed": seed,
        "code": code,
        "left_out": [{"topic": topic, "reason": reason} for topic, reason in found.left_out],
        "problems": [_problem(each, n + 1, labels[n], solved) for n, each in enumerate(found.problems)],
    }
    if marked is not None:
        result["learners"] = [_learner(name, every, labels) for name, every in marked.items()]
    return result


def _learner(name: str, every: Sequence[Sequence[Mark]], labels: Sequence[Sequence[str]]) -> dict[str, Any]:
    earned, of = points([mark for marks in every for mark in marks])
    flat = [entry for index, marks in enumerate(every) for entry in marks_json(marks, labels[index])]
    return {"name": name, "points": earned, "of": of, "marks": flat}


def progress_json(kept: Sequence[LearnerProgress]) -> dict[str, Any]:
    """What is kept about learners."""
    told = "topic answers=asked points level last"
    rows = [
        {
            "name": each.name,
            "next_topic": each.due(tuple(TOPICS), datetime.now(UTC).date())[0],
            "left_to_learn": each.left(tuple(TOPICS)),
            "topics": [keyed(of, told, slips=dict(of.slips)) for of in each.topics],
        }
        for each in kept
    ]
    return {"schema": "planner/progress/1", "cautions": list(cautions(False)), "learners": rows}


def topics_json() -> dict[str, Any]:
    """The topics by name."""
    return {
        "schema": "planner/topics/1",
        "cautions": list(cautions(False)),
        "topics": [keyed(each, "topic=name words") for each in TOPICS.values()],
    }
