"""`planner mark`: the answers of a class or of one learner, marked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.app.common import Json, exit_code, page, print_json, refuse_option
from planner.app.given.options import helped

if TYPE_CHECKING:
    from planner.school.marking.sheetcode import SheetCode
    from planner.school.topics import ProblemSet


@helped(
    solutions="Also print every solution, line by line.",
    aircraft="Id or path of the profile, where it lies neither with the program nor beside the sheet.",
    keep="Keep the progress of every learner on this machine.",
)
def mark(
    sheet: Annotated[
        Path,
        typer.Argument(
            help="The sheet or page of 'planner practise', its code, or the file of a test.", metavar="SHEET"
        ),
    ],
    answers: Annotated[
        str,
        typer.Argument(
            help="The answers of a class or of one learner (YAML or CSV), or - for standard input.",
            metavar="ANSWERS",
        ),
    ],
    solutions: bool = False,
    aircraft: str = "",
    keep: bool = False,
    json: Json = False,
) -> None:
    """Mark the answers of a class to a sheet: every learner, every answer with its slip, and what the class
    got wrong most.

    The units are those of the sheet. Exit code 1 where an answer is not right.

    Example: planner mark docs/practise/sheet.txt docs/practise/answers.yaml
    """
    from planner.school.marking.sheetcode import problems_of, read_code

    if _is_test(sheet):
        raise typer.Exit(mark_test(str(sheet), answers, json=json, solutions=solutions, keep=keep))
    code = read_code(sheet)
    found = problems_of(code, sheet, aircraft)
    raise typer.Exit(mark_file(found, code, answers, None, json, solutions, keep=keep))


def _is_test(sheet: Path) -> bool:
    """Whether what is to be marked is the file of a mock test, by its first key."""
    try:
        with open(sheet, encoding="utf-8", errors="replace") as stream:
            return any(line.startswith("test:") for line in stream.readlines(64 * 1024))
    except (OSError, ValueError):
        return False


def mark_file(
    found: ProblemSet,
    code: SheetCode,
    path: str,
    learner: str | None,
    json: bool,
    solutions: bool,
    *,
    single: bool = False,
    keep: bool = False,
) -> int:
    """Mark a file of answers; kept under the learner's name where asked for."""
    from planner.school.marking import learners
    from planner.school.marking.answers import ONE, read_answers
    from planner.school.marking.mark import mark_problem

    given = read_answers(path, found.problems)
    if single and len(given) > 1:
        message, needed = (
            f"{len(given)} learners in one file",
            "needed one; for a class: planner mark SHEET ANSWERS",
        )
        raise refuse_option("--answers", "answers-several", message, needed)
    marked = {
        name: [mark_problem(problem, answers.get(index, {})) for index, problem in enumerate(found.problems)]
        for name, answers in given.items()
    }
    for name, every in marked.items():
        who = learner or (name if keep and name != ONE else None)
        if who is not None:
            learners.keep(who, code.seed, learners.numbered(found.problems, every), once=keep)
    if json:
        from planner.views.school.practice_json import set_json

        print_json(set_json(found, str(code), code.seed, solved=solutions or single, marked=marked))
    else:
        from planner.views.school.practice_text import render_cautions, render_class

        shows = page()
        render_cautions(shows, found.problems[0].aircraft.invented)
        render_class(shows, found.problems, marked, solutions or single)
    right = all(each.result == "right" for every in marked.values() for marks in every for each in marks)
    return exit_code(right)


def mark_test(path: str, answers: str, *, json: bool, solutions: bool, keep: bool) -> int:
    """Mark a class's test: every learner's answers against the paper of their own seed."""
    from planner.app.school.prompt import set_of
    from planner.school.marking import learners
    from planner.school.marking.answers import ONE, names_in, read_answers
    from planner.school.marking.mark import mark_problem
    from planner.school.marking.mock import read_test, report, seed_of
    from planner.views.school import practice_text as text
    from planner.views.school.practice_paper import render_report, report_json
    from planner.views.school.practice_words import ask_labels

    test = read_test(path)
    shows = page()
    passed: list[bool] = []
    data = []
    for name in names_in(answers):  # the labels of a paper depend on its problems: each against its own
        found = set_of(test, name)
        mine = read_answers(answers, found.problems, only=name)[name]
        marks = [mark_problem(each, mine.get(n, {})) for n, each in enumerate(found.problems)]
        result = report(test, found.problems, marks)
        passed.append(result.passed)
        if keep and name != ONE:
            learners.keep(name, seed_of(test, name), learners.numbered(found.problems, marks), once=True)
        if json:
            data.append(report_json(name, result))
            continue
        shows.heading(name or "answers")
        labels = ask_labels(found.problems)
        for index, each in enumerate(marks):
            text.render_marks(shows, each, labels[index])
            if solutions:
                text.render_solution(shows, found.problems[index], labels[index])
        render_report(shows, test, result, None, name)
    if json:
        print_json({"schema": "planner/test-marks/1", "title": test.title, "learners": data})
    return exit_code(bool(passed) and all(passed))
