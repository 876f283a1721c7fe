"""`planner practise` and `planner mark`: the classroom."""

from __future__ import annotations

import secrets
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from planner.app.common import INSIDE, NOT_INSIDE, Json, Units, console, display, print_json, refuse_option

if TYPE_CHECKING:
    from planner.quantities.units import Display
    from planner.school.marking.mark import Mark
    from planner.school.marking.sheetcode import SheetCode
    from planner.school.problem import Problem
    from planner.school.topics import ProblemSet
    from planner.views.blocks import Page

DEFAULT_AIRCRAFT: Final = "thornlea-t4"
QUIT: Final = "q"
_MOST: Final = 100
_LARGEST_SEED: Final = 10**9

Learner = Annotated[
    str | None, typer.Option(help="Keep progress on this machine under this name.", metavar="NAME")
]


def practise(
    aircraft: Annotated[
        str, typer.Option(help="Id or path of the profile the problems are set from.")
    ] = DEFAULT_AIRCRAFT,
    topic: Annotated[
        list[str] | None,
        typer.Option(help="A topic of --topics; may be given several times. All where left out."),
    ] = None,
    level: Annotated[int, typer.Option(help="1 (one step) to 5 (as in an examination).")] = 2,
    seed: Annotated[
        int | None,
        typer.Option(
            help="The same seed gives the same problems; a new one is drawn, and told, where left out."
        ),
    ] = None,
    count: Annotated[int, typer.Option(help="How many problems.")] = 5,
    answers: Annotated[
        str | None,
        typer.Option(help="A file of answers to mark; with --sheet, the key to write.", metavar="FILE"),
    ] = None,
    sheet: Annotated[
        Path | None,
        typer.Option(
            help="Write a class sheet (.html or .txt) instead of asking; it must not exist.", metavar="FILE"
        ),
    ] = None,
    solutions: Annotated[
        bool, typer.Option("--solutions", help="Print problems with their solutions and ask nothing.")
    ] = False,
    choices: Annotated[
        bool, typer.Option("--choices", help="Answers to choose from, the wrong ones from likely slips.")
    ] = False,
    test: Annotated[
        str | None,
        typer.Option(help="Sit the mock test of a file; with --sheet, papers for --class.", metavar="FILE"),
    ] = None,
    names: Annotated[
        str, typer.Option("--class", help="Learners of --test --sheet, commas between.", metavar="NAMES")
    ] = "",
    learner: Learner = None,
    progress: Annotated[
        bool,
        typer.Option("--progress", help="Show what is kept about the learner, or about everyone, and stop."),
    ] = False,
    forget: Annotated[
        str | None, typer.Option(help="Erase everything kept about this learner, and stop.", metavar="NAME")
    ] = None,
    topics: Annotated[bool, typer.Option("--topics", help="List the topics and stop.")] = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Practise: problems from any profile, answered at the prompt or in a file, marked with the slip that was
    made, and solved.

    Exit code 1 where an answer is not right. With --json nothing is asked: problems come with their
    solutions.

    Example: planner practise --aircraft thornlea-t4 --topic moments --topic envelope --level 3 --seed 7 --count 2 --solutions

    Example: planner practise --seed 7 --count 4 --sheet class.html --answers key.html

    Example: planner practise --test docs/practise/test.yaml --class 'Ana Lark, Ben Wick' --sheet papers.html --answers keys.html
    """  # noqa: E501 - an example is one line to copy
    shown = display(units)
    if topics:
        _list_topics(json)
        return
    if forget is not None or progress:
        _kept(forget, learner, json)
        return
    if test is not None:
        raise typer.Exit(_test(test, names, learner, sheet, answers))
    chosen = topic or (_due(learner, count) if learner is not None and seed is None else [])
    found, code, used = _set(aircraft, chosen, level, seed, count, shown, choices=choices)
    if learner is not None:
        from planner.school.marking.learners import checked_name

        learner = checked_name(learner)
    if sheet is not None:
        _write_sheets(found, code, sheet, answers, json, used)
        return
    if answers is not None:
        raise typer.Exit(_mark_file(found, code, answers, learner, json, used, solutions, single=True))
    if json:
        from planner.views.school.practice_json import set_json

        print_json(set_json(found, str(code), used, solved=True))
        return
    raise typer.Exit(_session(found, used, level, learner, solutions))


def mark(
    sheet: Annotated[
        Path,
        typer.Argument(
            help="The sheet of 'planner practise --sheet', its code, or the file of a test.", metavar="SHEET"
        ),
    ],
    answers: Annotated[
        str,
        typer.Argument(
            help="The answers of a class or of one learner (YAML or CSV), or - for standard input.",
            metavar="ANSWERS",
        ),
    ],
    solutions: Annotated[
        bool, typer.Option("--solutions", help="Also print every solution, line by line.")
    ] = False,
    aircraft: Annotated[
        str,
        typer.Option(
            help="Id or path of the profile, where it lies neither with the program nor beside the sheet."
        ),
    ] = "",
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep the progress of every learner on this machine.")
    ] = False,
    json: Json = False,
) -> None:
    """Mark the answers of a class to a sheet: every learner, every answer with its slip, and what the class
    got wrong most.

    The units are those of the sheet. Exit code 1 where an answer is not right.

    Example: planner mark docs/practise/sheet.txt docs/practise/answers.yaml
    """
    from planner.school.marking.sheetcode import problems_of, read_code

    if _is_test(sheet):
        from planner.app.school.mock import mark_test

        raise typer.Exit(mark_test(str(sheet), answers, json=json, solutions=solutions, keep=keep))
    code = read_code(sheet)
    found = problems_of(code, sheet, aircraft)
    raise typer.Exit(_mark_file(found, code, answers, None, json, code.seed, solutions, keep=keep))


def _is_test(sheet: Path) -> bool:
    """Whether what is to be marked is the file of a mock test, by its first key."""
    try:
        with open(sheet, encoding="utf-8", errors="replace") as stream:
            return any(line.startswith("test:") for line in stream.readlines(64 * 1024))
    except (OSError, ValueError):
        return False


def _page() -> Page:
    from planner.views.blocks import Page

    return Page(console())


def _list_topics(json: bool) -> None:
    if json:
        from planner.views.school.practice_json import topics_json

        print_json(topics_json())
        return
    from planner.views.school.practice_text import render_topics

    render_topics(_page())


def _kept(forget: str | None, learner: str | None, json: bool) -> None:
    """Show or erase what is kept about learners."""
    from planner.school.marking import learners
    from planner.views.school.practice_json import progress_json

    if forget is not None:
        gone = learners.forget(forget)
        if json:
            print_json({"schema": "planner/forgotten/1", "learner": forget, "answers": gone})
        else:
            _page().paragraph(
                f"Everything kept about '{forget}' is erased: {gone} answers.", first="", rest=""
            )
        return
    kept = [learners.progress(name) for name in ([learner] if learner is not None else learners.names())]
    if json:
        print_json(progress_json(kept))
        return
    from planner.views.school.practice_text import render_progress

    page = _page()
    for each in kept:
        render_progress(page, each)
    if not kept:
        page.paragraph(
            "Nothing is kept about anyone. 'planner practise --learner NAME' begins.", first="", rest=""
        )
    page.paragraph(
        f"Kept in {learners.learners_path()}, on this machine only; --forget NAME erases.",
        "dim",
        first="",
        rest="",
    )


def _set(
    aircraft: str,
    names: list[str],
    level: int,
    seed: int | None,
    count: int,
    shown: Display,
    *,
    choices: bool = False,
) -> tuple[ProblemSet, SheetCode, int]:
    """The set asked for; every option that is wrong is told at once."""
    from planner.quantities.errors import Finding, InputRefused, closest
    from planner.records.store import load_aircraft
    from planner.school.marking.sheetcode import code_of
    from planner.school.problem import LEVELS, NotSettable
    from planner.school.topics import TOPICS, set_problems

    wrong = [
        Finding("topic-unknown", f"'{name}' is not a topic", hint=closest(name, TOPICS)).at("--topic", 1, 1)
        for name in names
        if name not in TOPICS
    ]
    if level not in LEVELS:
        wrong.append(Finding("practise-range", f"level {level}", "needed 1 to 5").at("--level", 1, 1))
    if not 1 <= count <= _MOST:
        wrong.append(
            Finding("practise-range", f"{count} problems", f"needed 1 to {_MOST}").at("--count", 1, 1)
        )
    if seed is not None and not 0 <= seed <= _LARGEST_SEED:
        wrong.append(
            Finding("practise-range", f"seed {seed}", f"needed 0 to {_LARGEST_SEED}").at("--seed", 1, 1)
        )
    if wrong:
        raise InputRefused(wrong)
    used = secrets.randbelow(10**6) if seed is None else seed
    chosen = tuple(name for name in TOPICS if name in names) or tuple(
        TOPICS
    )  # in one order, so that a code need not keep it
    try:
        found = set_problems(load_aircraft(aircraft), shown, chosen, level, used, count, choices=choices)
    except NotSettable as reason:
        message = f"no problem can be set from '{aircraft}': {reason}"
        raise refuse_option(
            "--topic", "practise-not-settable", message, "needed another topic, level or profile"
        ) from None
    return found, code_of(found, chosen, level, used, count, shown.system, choices), used


def _due(learner: str, count: int) -> list[str]:
    """What should come next for a learner of whom something is kept: the topics that are most due."""
    from datetime import UTC, datetime

    from planner.school.marking.learners import checked_name, names, progress
    from planner.school.topics import TOPICS

    name = checked_name(learner)
    if name not in names():
        return []
    return progress(name).due(tuple(TOPICS), datetime.now(UTC).date())[: max(count, 1)]


def _test(path: str, names: str, learner: str | None, sheet: Path | None, answers: str | None) -> int:
    """Sit a mock test, or write its papers."""
    from planner.app.school.mock import sit, write_papers
    from planner.school.marking.learners import checked_name

    if sheet is None:
        return sit(path, checked_name(learner or "learner"), kept=learner is not None)
    several = [checked_name(each) for each in names.split(",") if each.strip()] or [
        checked_name(learner or "learner")
    ]
    write_papers(path, list(dict.fromkeys(several)), sheet, Path(answers) if answers else None)
    return INSIDE


def _write_sheets(
    found: ProblemSet, code: SheetCode, sheet: Path, key: str | None, json: bool, seed: int
) -> None:
    """The class sheet, and its key where one is wanted; neither overwrites anything."""
    from planner.quantities.files import write_new
    from planner.views.school import practice_html as made

    both = [(sheet, "sheet")] + ([(Path(key), "key")] if key is not None else [])
    for path, _ in both:
        if path.suffix.lower() not in (".html", ".txt"):
            option = "--sheet" if path == sheet else "--answers"
            raise refuse_option(
                option,
                "practise-sheet-kind",
                f"'{path}' is neither .html nor .txt",
                "needed a name that ends in one of them",
            )
        if path.exists():
            raise refuse_option(
                str(path), "file-exists", "the file exists and is not overwritten", "needed a new name"
            )
    if key is not None and Path(key).resolve() == sheet.resolve():
        raise refuse_option("--answers", "file-exists", "sheet and key are the same file", "needed two names")
    for path, kind in both:
        html = path.suffix.lower() == ".html"
        text = {
            ("sheet", True): made.sheet_html,
            ("sheet", False): made.sheet_text,
            ("key", True): made.key_html,
            ("key", False): made.key_text,
        }[(kind, html)](found, str(code))
        write_new(path, text.encode())
    if json:
        from planner.views.school.practice_json import set_json

        print_json(
            set_json(found, str(code), seed, solved=True) | {"written": [str(path) for path, _ in both]}
        )
        return
    page = _page()
    for path, kind in both:
        page.paragraph(
            f"{path}: the {kind}, {len(found.problems)} problems, seed {seed}.", first="", rest="  "
        )
    page.paragraph(
        f"To mark a class: planner mark {sheet} ANSWERS.yaml (see docs/practise.md)", first="", rest="  "
    )


def _mark_file(
    found: ProblemSet,
    code: SheetCode,
    path: str,
    learner: str | None,
    json: bool,
    seed: int,
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
        raise refuse_option(
            "--answers",
            "answers-several",
            f"{len(given)} learners in one file",
            "needed one; for a class: planner mark SHEET ANSWERS",
        )
    marked = {
        name: [mark_problem(problem, answers.get(index, {})) for index, problem in enumerate(found.problems)]
        for name, answers in given.items()
    }
    for name, every in marked.items():
        who = learner or (name if keep and name != ONE else None)
        if who is not None:
            numbered = [
                (number, *each) for number, each in enumerate(zip(found.problems, every, strict=True), 1)
            ]
            learners.keep(who, seed, numbered, once=keep)
    if json:
        from planner.views.school.practice_json import set_json

        print_json(set_json(found, str(code), seed, solved=solutions or single, marked=marked))
    else:
        from planner.views.school.practice_text import render_cautions, render_class

        page = _page()
        render_cautions(page, found.problems[0].aircraft.invented)
        render_class(page, found.problems, marked, solutions or single)
    return (
        INSIDE
        if all(each.result == "right" for every in marked.values() for marks in every for each in marks)
        else NOT_INSIDE
    )


def _session(found: ProblemSet, seed: int, level: int, learner: str | None, solutions: bool) -> int:
    """Problems one after the other: asked, marked, solved; kept after each, so that stopping loses
    nothing.
    """
    from planner.school.marking import learners
    from planner.school.marking.mark import mark_problem
    from planner.views.school import practice_text as text
    from planner.views.school.practice_words import ask_labels

    page = _page()
    text.render_head(page, found, seed, level)
    if not solutions:
        page.paragraph(
            "An empty line leaves a question out; ? gives the next step of the solution and costs a quarter"
            " of that question's point; q, or the end of input (Ctrl-D), ends the session.",
            "dim",
            first="",
            rest="",
        )
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
        page.paragraph(
            "No answers were given. --solutions prints the solutions, --answers FILE marks a file.",
            first="",
            rest="",
        )
    return (
        INSIDE if every and all(each.result == "right" for marks in every for each in marks) else NOT_INSIDE
    )


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
            sys.stdout.write(f"  {label}) {example} > ")
            sys.stdout.flush()
            line = sys.stdin.readline()
            if not sys.stdin.isatty():
                sys.stdout.write(f"{line.rstrip()}\n")  # a terminal shows what is typed, a pipe does not
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
