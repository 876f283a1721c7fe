"""`planner practise --test`: a mock test at the prompt, and papers with their keys for a class."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

from planner.app.common import INSIDE, NOT_INSIDE, console, print_json, refuse_option

if TYPE_CHECKING:
    from planner.school.marking.mark import Mark
    from planner.school.marking.mock import TestFile
    from planner.school.topics import ProblemSet


def _set(test: TestFile, learner: str) -> ProblemSet:
    from planner.school.marking.mock import set_test
    from planner.school.problem import NotSettable

    try:
        return set_test(test, learner)
    except NotSettable as reason:
        message = f"no test can be set: {reason}"
        raise refuse_option("--test", "practise-not-settable", message, "needed other topics") from None


def sit(path: str, learner: str, *, kept: bool) -> int:
    """Sit a test at the prompt. Time is shown at every problem and kept; with `sitting: paused` the end of
    input pauses it. No mark, hint or solution is told before the end.
    """
    from planner.app.school.practise import asked_one
    from planner.school.marking import learners, sittings
    from planner.school.marking.mark import mark_problem
    from planner.school.marking.mock import read_test, report, seed_of
    from planner.views.blocks import Page
    from planner.views.school import practice_text as text
    from planner.views.school.mock_text import render_report
    from planner.views.school.practice_words import ask_labels

    test = read_test(path)
    found, page = _set(test, learner), Page(console())
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
        rows = [
            (n, problem, mine)
            for n, (problem, mine) in enumerate(zip(found.problems, marks, strict=False), 1)
        ]
        learners.keep(learner, seed_of(test, learner), rows)
    sittings.erase(learner, found.check)
    result = report(test, found.problems, marks)
    for index, mine in enumerate(marks):
        page.heading(f"Problem {index + 1}")
        text.render_marks(page, mine, labels[index])
    render_report(page, test, result, min(used(), limit), learner)
    return INSIDE if result.passed else NOT_INSIDE


def write_papers(path: str, names: list[str], sheet: Path, key: Path | None) -> None:
    """A paper for every learner in one file, each on pages of its own, and all keys in another."""
    from planner.quantities.files import write_new
    from planner.school.marking.mock import read_test
    from planner.views.blocks import Page
    from planner.views.school.mock_text import papers_html

    test = read_test(path)
    papers = [(name, _set(test, name)) for name in names]
    files = [(sheet, False)] + ([(key, True)] if key is not None else [])
    for file, _ in files:
        if file.suffix.lower() != ".html" or file.exists():
            message = f"'{file}' is not .html, or exists and is not overwritten"
            raise refuse_option("--sheet", "practise-sheet-kind", message, "needed a new name, .html")
    if key is not None and key.resolve() == sheet.resolve():
        raise refuse_option("--answers", "file-exists", "papers and keys are one file", "needed two names")
    page = Page(console())
    for file, keys in files:
        write_new(file, papers_html(test, papers, key=keys).encode())
        words = "keys" if keys else "papers"
        page.paragraph(f"{file}: the {words} of {len(papers)} learners.", first="", rest="  ")
    page.paragraph(f"To mark them: planner mark {path} ANSWERS.csv", first="", rest="  ")


def mark_test(path: str, answers: str, *, json: bool, solutions: bool, keep: bool) -> int:
    """Mark a class's test: every learner's answers against the paper of their own seed."""
    from planner.school.marking import learners
    from planner.school.marking.answers import ONE, names_in, read_answers
    from planner.school.marking.mark import mark_problem
    from planner.school.marking.mock import read_test, report, seed_of
    from planner.views.blocks import Page
    from planner.views.school import practice_text as text
    from planner.views.school.mock_text import render_report, report_json
    from planner.views.school.practice_words import ask_labels

    test = read_test(path)
    page = Page(console())
    passed: list[bool] = []
    data = []
    for name in names_in(answers):  # the labels of a paper depend on its problems: each against its own
        found = _set(test, name)
        mine = read_answers(answers, found.problems, only=name)[name]
        marks = [mark_problem(each, mine.get(n, {})) for n, each in enumerate(found.problems)]
        result = report(test, found.problems, marks)
        passed.append(result.passed)
        if keep and name != ONE:
            rows = [(n, each, marks[n - 1]) for n, each in enumerate(found.problems, 1)]
            learners.keep(name, seed_of(test, name), rows, once=True)
        if json:
            data.append(report_json(name, result))
            continue
        page.heading(name or "answers")
        labels = ask_labels(found.problems)
        for index, each in enumerate(marks):
            text.render_marks(page, each, labels[index])
            if solutions:
                text.render_solution(page, found.problems[index], labels[index])
        render_report(page, test, result, None, name)
    if json:
        print_json({"schema": "planner/test-marks/1", "title": test.title, "learners": data})
    return INSIDE if passed and all(passed) else NOT_INSIDE
