"""Papers and keys in every form: HTML, plain text, and PDF where the typesetter is installed."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Final

from planner.quantities.frozen import frozen
from planner.school.topics import ProblemSet
from planner.views.blocks import Block, Page
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
    return "\f".join(map(_text, parts)).encode()


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


def _text(blocks: Sequence[Block]) -> str:
    from planner.views.terminal import Screen  # late: only for plain text

    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n")
    page = Page(Screen(file=stream, width=TEXT_WIDTH, color_system=None, highlight=False))
    for block in blocks:
        page.add(block)
    stream.flush()
    stream.seek(0)
    return stream.read()
