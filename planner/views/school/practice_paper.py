"""Papers and keys in every form: HTML, plain text, and PDF where the typesetter is installed; the report of a
mock test.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from planner.quantities.frozen import frozen
from planner.school.marking.mock import Report, TestFile
from planner.school.slips.register import SLIPS, load_all
from planner.school.topics import TOPICS, ProblemSet
from planner.views.blocks import Block, Page
from planner.views.keyed import keyed
from planner.views.school.practice_html import page_of, sheet_html
from planner.views.school.practice_text import render_problem, render_solution
from planner.views.school.practice_words import ask_labels, cautions, title

FORMS: Final = (".html", ".txt", ".pdf")
TEXT_WIDTH: Final = 80  # characters: fits both papers in a common type


@frozen
class PracticePaper:
    """Problems as a paper or as its key: heading, the line under it, and the line at the foot."""

    heading: str
    told: str
    found: ProblemSet
    foot: str = ""


def sheet_of(found: ProblemSet, code: str, form: str, *, key: bool) -> bytes:
    """A class sheet, or its key, as a file of one of FORMS; the code at its foot sets the problems again for
    marking. Raises InputRefused where a PDF is wanted and there is no typesetter.
    """
    first = found.problems[0]
    heading = f"{'Key to the problems' if key else 'Problems'}: {first.aircraft.name}, level {first.level}"
    foot = ("Key of the sheet" if key else "Sheet code", code)
    if form == ".html":
        return sheet_html(found, heading, foot, key=key).encode()
    return _file(heading, [PracticePaper(heading, "", found, ": ".join(foot))], form, key)


def papers_of(title_text: str, papers: Sequence[PracticePaper], form: str, *, key: bool) -> bytes:
    """Several papers, or their keys, as one file of one of FORMS, each on pages of its own. Raises as
    sheet_of.
    """
    if form == ".html":
        parts = [(each.heading, each.told, each.found) for each in papers]
        return page_of(title_text, parts, key=key).encode()
    return _file(title_text, papers, form, key)


def _file(title_text: str, papers: Sequence[PracticePaper], form: str, key: bool) -> bytes:
    parts = [_blocks(each, key) for each in papers]
    if form == ".pdf":
        from planner.views.paper import pages

        return pages(title_text, parts)
    from planner.views.terminal import as_text  # late: only for plain text

    return "\f".join(as_text(part, TEXT_WIDTH) for part in parts).encode()


def _blocks(paper: PracticePaper, key: bool) -> list[Block]:
    page, problems = Page(), paper.found.problems
    labels = ask_labels(problems)
    for text in filter(None, (paper.heading, paper.told)):
        page.paragraph(text, first="", rest="")
    for text in cautions(problems[0].aircraft.invented):
        page.paragraph(f"CAUTION: {text}", first="", rest=" " * 9)
    if not key:
        page.line()
        page.line("name ______________________________   date ______________   points ______")
    for index, problem in enumerate(problems):
        if key:
            page.heading(f"Problem {index + 1}: {title(problem)}")
            render_solution(page, problem, labels[index])
        else:
            render_problem(page, problems, index)
            for label in labels[index]:
                page.line()
                page.line(f"  {label}) ________________________")
    page.line()
    if paper.foot:
        page.paragraph(paper.foot, first="", rest="")
    return page.blocks


def render_report(page: Page, test: TestFile, found: Report, seconds: float | None, name: str) -> None:
    """Points by topic, the slips, and whether the pass mark was reached."""
    load_all()
    page.heading(f"{test.title}: {name}" if name else test.title)
    rows = [
        (TOPICS[topic].words, f"{points:.2f}", str(of), f"{100 * points / of:.0f}")
        for topic, points, of in sorted(found.topics, key=lambda each: each[1] / each[2])
    ]
    page.table("topic: words | points | of | share [%]", rows)
    for slip, count in found.slips[:6]:
        page.paragraph(f"{count} x {SLIPS[slip].title}. {SLIPS[slip].cure}", first="  ", rest="      ")
    took = f" in {seconds / 60:.1f} of {test.minutes} min" if seconds is not None else ""
    word = "reached" if found.passed else "not reached"
    page.paragraph(
        f"{found.points:.2f} of {found.of} points ({found.share:.0f} %){took}: the pass mark of"
        f" {test.pass_percent:g} % is {word}. A practice test only: it grants nothing.",
        "bold", first="", rest="",
    )  # fmt: skip


def report_json(name: str, found: Report) -> dict[str, Any]:
    """A learner's report."""
    topics = [{"topic": topic, "points": points, "of": of} for topic, points, of in found.topics]
    told = "learner points of share_percent=share passed"
    return keyed(found, told, learner=name, topics=topics, slips=dict(found.slips))


def papers_file(test: TestFile, papers: Sequence[tuple[str, ProblemSet]], form: str, *, key: bool) -> bytes:
    """Everybody's paper, or everybody's key, in one file of one of FORMS."""
    told = f"{test.minutes} min; {test.pass_percent:g} % to pass. A practice test only: it grants nothing."
    word = "Key" if key else "Paper"
    every = [PracticePaper(f"{word} of {name}: {test.title}", told, found) for name, found in papers]
    return papers_of(f"{test.title}, {'keys' if key else 'papers'}", every, form, key=key)
