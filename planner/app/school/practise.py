"""`planner practise`: problems set, asked, or written for a class."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from planner.app.common import INSIDE, Json, Units, display, print_json, refuse_option
from planner.app.common import page as new_page
from planner.app.given.options import helped

if TYPE_CHECKING:
    from planner.quantities.units import Display
    from planner.school.marking.sheetcode import SheetCode
    from planner.school.topics import ProblemSet

_MOST: Final = 100
_LARGEST_SEED: Final = 10**9


@helped(
    aircraft="Id or path of the profile the problems are set from.",
    topic="A topic of --topics; may be given several times. All where left out.",
    level="1 (one step) to 5 (as in an examination).",
    seed="The same seed gives the same problems; a new one is drawn, and told, where left out.",
    count="How many problems.",
    answers=("A file of answers to mark; with --sheet, the key to write.", "FILE"),
    sheet=("Write a class sheet (.html, .txt or .pdf) instead of asking; it must not exist.", "FILE"),
    page=("Write the problems as one page for a phone (.html), marked there, offline.", "FILE"),
    solutions="Print problems with their solutions and ask nothing.",
    choices="Answers to choose from, the wrong ones from likely slips.",
    test=("Sit the mock test of a file; with --sheet, papers for --class.", "FILE"),
    learner=("Keep progress on this machine under this name.", "NAME"),
    progress="Show what is kept about the learner, or about everyone, and stop.",
    forget=("Erase everything kept about this learner, and stop.", "NAME"),
    topics="List the topics and stop.",
)
def practise(
    aircraft: str = "thornlea-t4",
    topic: list[str] | None = None,
    level: int = 2,
    seed: int | None = None,
    count: int = 5,
    answers: str | None = None,
    sheet: Path | None = None,
    page: Path | None = None,
    solutions: bool = False,
    choices: bool = False,
    test: str | None = None,
    names: Annotated[
        str, typer.Option("--class", help="Learners of --test --sheet, commas between.", metavar="NAMES")
    ] = "",
    learner: str | None = None,
    progress: bool = False,
    forget: str | None = None,
    topics: bool = False,
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
        if page is not None:
            told = "a mock test is sat at the prompt or on paper, not on a page"
            raise refuse_option("--page", "practise-sheet-kind", told, "needed --sheet, or no --test")
        raise typer.Exit(_test(test, names, learner, sheet, answers))
    chosen = topic or (_due(learner, count) if learner is not None and seed is None else [])
    found, code = _set(aircraft, chosen, level, seed, count, shown, choices)
    if learner is not None:
        from planner.school.marking.learners import checked_name

        learner = checked_name(learner)
    if sheet is not None or page is not None:
        from planner.app.school.papers import write_sheets

        write_sheets(found, code, sheet, Path(answers) if answers is not None else None, page, json)
        return
    if answers is not None:
        from planner.app.school.mark import mark_file

        raise typer.Exit(mark_file(found, code, answers, learner, json, solutions, single=True))
    if json:
        from planner.views.school.practice_json import set_json

        print_json(set_json(found, str(code), code.seed, solved=True))
        return
    from planner.app.school.prompt import session

    raise typer.Exit(session(found, code.seed, level, learner, solutions))


def _list_topics(json: bool) -> None:
    if json:
        from planner.views.school.practice_json import topics_json

        print_json(topics_json())
        return
    from planner.views.school.practice_text import render_topics

    render_topics(new_page())


def _kept(forget: str | None, learner: str | None, json: bool) -> None:
    """Show or erase what is kept about learners."""
    from planner.school.marking import learners
    from planner.views.school.practice_json import progress_json

    if forget is not None:
        gone = learners.forget(forget)
        if json:
            print_json({"schema": "planner/forgotten/1", "learner": forget, "answers": gone})
            return
        told = f"Everything kept about '{forget}' is erased: {gone} answers."
        new_page().paragraph(told, first="", rest="")
        return
    kept = [learners.progress(name) for name in ([learner] if learner is not None else learners.names())]
    if json:
        print_json(progress_json(kept))
        return
    from planner.views.school.practice_text import render_progress

    page = new_page()
    for each in kept:
        render_progress(page, each)
    if not kept:
        told = "Nothing is kept about anyone. 'planner practise --learner NAME' begins."
        page.paragraph(told, first="", rest="")
    told = f"Kept in {learners.learners_path()}, on this machine only; --forget NAME erases."
    page.paragraph(told, "dim", first="", rest="")


def _set(
    aircraft: str, names: list[str], level: int, seed: int | None, count: int, shown: Display, choices: bool
) -> tuple[ProblemSet, SheetCode]:
    """The set asked for; every option that is wrong is told at once."""
    from planner.app.school.prompt import settable
    from planner.quantities.errors import Finding, InputRefused, closest
    from planner.records.store import load_aircraft
    from planner.school.marking.sheetcode import code_of
    from planner.school.problem import LEVELS
    from planner.school.topics import TOPICS, set_problems

    wrong = [
        Finding("topic-unknown", f"'{name}' is not a topic", hint=closest(name, TOPICS)).at("--topic", 1, 1)
        for name in names
        if name not in TOPICS
    ]
    for option, value, told, low, high in (
        ("--level", level, f"level {level}", LEVELS[0], LEVELS[-1]),
        ("--count", count, f"{count} problems", 1, _MOST),
        ("--seed", seed, f"seed {seed}", 0, _LARGEST_SEED),
    ):
        if value is not None and not low <= value <= high:
            wrong.append(Finding("practise-range", told, f"needed {low} to {high}").at(option, 1, 1))
    if wrong:
        raise InputRefused(wrong)
    used = secrets.randbelow(10**6) if seed is None else seed
    # In one order, so that a code need not keep it.
    chosen = tuple(name for name in TOPICS if name in names) or tuple(TOPICS)
    told, needed = f"no problem can be set from '{aircraft}'", "needed another topic, level or profile"
    with settable("--topic", "practise-not-settable", told, needed):
        found = set_problems(load_aircraft(aircraft), shown, chosen, level, used, count, choices=choices)
    return found, code_of(found, chosen, level, used, count, shown.system, choices)


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
    from planner.app.school.papers import write_papers
    from planner.app.school.prompt import sit
    from planner.school.marking.learners import checked_name

    if sheet is None:
        return sit(path, checked_name(learner or "learner"), kept=learner is not None)
    several = [each for each in names.split(",") if each.strip()] or [learner or "learner"]
    every = list(dict.fromkeys(map(checked_name, several)))
    write_papers(path, every, sheet, Path(answers) if answers else None)
    return INSIDE
