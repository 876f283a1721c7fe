"""Problems at the prompt: a session of practise, and a mock test."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from planner.app.common import INSIDE, NOT_INSIDE, exit_code, refuse_option
from planner.app.common import page as new_page
from planner.app.streams import heard

if TYPE_CHECKING:
    from planner.school.marking.mark import Mark
    from planner.school.marking.mock import TestFile
    from planner.school.problem import Problem
    from planner.school.topics import ProblemSet

QUIT: Final = "q"
_HOW: Final = (
    "An empty line leaves a question out; ? gives the next step of the solution and costs a quarter of that"
    " question's point; q, or the end of input (Ctrl-D), ends the session."
)


@contextmanager
def settable(option: str, code: str, told: str, needed: str) -> Iterator[None]:
    """What cannot be set from a profile is refused at an option, with the reason behind what is told."""
    from planner.school.problem import NotSettable

    try:
        yield
    except NotSettable as reason:
        raise refuse_option(option, code, f"{told}: {reason}", needed) from None


def set_of(test: TestFile, learner: str) -> ProblemSet:
    """The learner's paper; refused where none can be set."""
    from planner.school.marking.mock import set_test

    with settable("--test", "practise-not-settable", "no test can be set", "needed other topics"):
        return set_test(test, learner)


def sit(path: str, learner: str, *, kept: bool) -> int:
    """Sit a test at the prompt. Time is shown at every problem and kept; with `sitting: paused` the end of
    input pauses it. No mark, hint or solution is told before the end.
    """
    from planner.school.marking import learners, sittings
    from planner.school.marking.mark import mark_problem
    from planner.school.marking.mock import read_test, report, seed_of
    from planner.views.school import practice_text as text
    from planner.views.school.practice_paper import render_report
    from planner.views.school.practice_words import ask_labels

    test = read_test(path)
    found, page = set_of(test, learner), new_page()
    before = sittings.load(learner, found.check)
    given, started = list(before.given), time.monotonic()
    text.render_head(page, found, seed_of(test, learner), test.level)
    limit, paused = test.minutes * 60.0, test.sitting == "paused"
    way = "Ctrl-D pauses it, the same command goes on" if paused else "it is sat in one; Ctrl-D ends it"
    page.paragraph(
        f"{test.title}: {len(found.problems)} problems, {test.minutes} min, {test.pass_percent:g} % to pass;"
        f" {way}. An empty line leaves a question out.",
        first="", rest="",
    )  # fmt: skip
    labels = ask_labels(found.problems)

    def used() -> float:
        return before.seconds + time.monotonic() - started

    ended = False
    for index in range(len(given), len(found.problems)):
        if used() >= limit:
            break
        page.line()
        page.paragraph(f"Time used {used() / 60:.0f} of {test.minutes} min.", "dim", first="", rest="")
        text.render_problem(page, found.problems, index)
        answers, ended = asked_one(found.problems[index], labels[index])
        if used() > limit:
            page.paragraph("The time was over before this problem was answered: it does not count.", "yellow")
            break
        if ended and not (answers and not paused):
            break
        given.append(answers)
        if paused:
            sittings.keep(learner, found.check, sittings.Sitting(used(), tuple(given)))
        if ended:
            break
    if paused and ended and len(given) < len(found.problems) and used() < limit:
        sittings.keep(learner, found.check, sittings.Sitting(used(), tuple(given)))
        page.paragraph(f"Paused after {len(given)} problems and {used() / 60:.1f} min.", first="", rest="")
        return NOT_INSIDE
    marks: list[tuple[Mark, ...]] = [
        mark_problem(problem, answers) for problem, answers in zip(found.problems, given, strict=False)
    ]
    if kept:
        learners.keep(learner, seed_of(test, learner), learners.numbered(found.problems, marks))
    sittings.erase(learner, found.check)
    result = report(test, found.problems, marks)
    for index, mine in enumerate(marks):
        page.heading(f"Problem {index + 1}")
        text.render_marks(page, mine, labels[index])
    render_report(page, test, result, min(used(), limit), learner)
    return exit_code(result.passed)


def session(found: ProblemSet, seed: int, level: int, learner: str | None, solutions: bool) -> int:
    """Problems one after the other: asked, marked, solved; kept after each, so that stopping loses
    nothing.
    """
    from planner.school.marking import learners
    from planner.school.marking.mark import mark_problem
    from planner.views.school import practice_text as text
    from planner.views.school.practice_words import ask_labels

    page = new_page()
    text.render_head(page, found, seed, level)
    if not solutions:
        page.paragraph(_HOW, "dim", first="", rest="")
    every: list[tuple[Mark, ...]] = []
    labels = ask_labels(found.problems)
    for index, problem in enumerate(found.problems):
        text.render_problem(page, found.problems, index)
        if solutions:
            text.render_solution(page, problem, labels[index])
            continue
        hints: dict[str, int] = {}
        given, ended = asked_one(problem, labels[index], hints)
        if ended and not given:
            break
        marks = tuple(
            replace(each, hints=hints.get(each.ask.key, 0)) for each in mark_problem(problem, given)
        )
        every.append(marks)
        page.line()
        text.render_marks(page, marks, labels[index])
        if learner is not None:
            learners.keep(learner, seed, [(index + 1, problem, marks)])
        text.render_solution(page, problem, labels[index])
        if ended:
            break
    if solutions:
        return INSIDE
    if every:
        text.render_score(page, every)
    else:
        told = "No answers were given. --solutions prints the solutions, --answers FILE marks a file."
        page.paragraph(told, first="", rest="")
    right = bool(every) and all(each.result == "right" for marks in every for each in marks)
    return exit_code(right)


def asked_one(
    problem: Problem, labels: list[str], hints: dict[str, int] | None = None
) -> tuple[dict[str, str], bool]:
    """The answers typed, and whether the learner or the input has ended. An empty line leaves a question out;
    what cannot be read is asked again; `?` gives the next step where `hints` counts them by the key of the
    question.
    """
    from planner.school.marking.writing import read_written

    given: dict[str, str] = {}
    for label, ask in zip(labels, problem.asks, strict=True):
        example = "/".join(ask.choices) if ask.choices else f"number{' and unit' if ask.unit else ''}"
        while True:
            line = heard(f"  {label}) {example} > ", sys.stdout)
            if not line or line.strip().lower() == QUIT:
                return given, True
            if hints is not None and line.strip() == "?":
                told = sum(hints.values())
                if told < len(problem.solution):
                    step = problem.solution[told]
                    hints[ask.key] = hints.get(ask.key, 0) + 1
                    sys.stdout.write(f"     step {told + 1}: {step.words}: {step.working}\n")
                else:
                    sys.stdout.write("     there is no further step\n")
                continue
            written = read_written(ask, line)
            if written.fault != "unreadable":
                break
            sys.stdout.write(f"     cannot be read: {written.told}\n")  # a slip of the keyboard is not marked
        if written.fault != "blank":
            given[ask.key] = line.strip()
    return given, False
