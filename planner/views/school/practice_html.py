"""A class sheet and its key as one file each: HTML without scripts that prints on A4 and US Letter, or plain
text.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Final

from planner.school.grid import GridPaper
from planner.school.problem import PrintedTable, Problem
from planner.school.topics import ProblemSet
from planner.views.blocks import Page
from planner.views.school.grid_picture import grid_svg
from planner.views.school.practice_text import render_problem, render_solution
from planner.views.school.practice_words import ask_labels, asked, cautions, sources, title, told_outside
from planner.views.svg import clean

TEXT_WIDTH: Final = 80  # characters: fits both papers in a common type
# No size is set for the page: the printer's own paper, A4 or Letter, with a margin that both have.
_STYLE: Final = """
@page { margin: 14mm 16mm; }
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #111;
  font: 10.5pt/1.32 Helvetica, Arial, "Liberation Sans", sans-serif; }
main { max-width: 178mm; margin: 0 auto; padding: 6mm 4mm; }
h1 { font-size: 1.45em; margin: 0 0 0.2em; }
h2 { font-size: 1.08em; margin: 0 0 0.25em; border-bottom: 0.5pt solid; }
p { margin: 0.2em 0; }
.names { display: grid; grid-template-columns: 2fr 1fr 1fr; gap: 1.2em; margin: 1.6em 0 0.6em; }
.names p { border-top: 0.5pt solid; padding-top: 0.15em; font-size: 0.85em; }
.caution { border: 0.8pt solid; padding: 0.15em 0.5em; margin: 0.4em 0; font-size: 0.9em; }
.outside { font-weight: bold; border: 1.2pt solid; padding: 0.15em 0.5em; }
section { break-inside: avoid; margin: 1.1em 0 0; }
table { border-collapse: collapse; margin: 0.4em 0; }
th, td { text-align: right; font-weight: normal; padding: 0.06em 0 0.06em 1.4em; vertical-align: bottom; }
th, td { font-variant-numeric: tabular-nums; white-space: nowrap; }
thead th { border-bottom: 0.5pt solid; font-size: 0.9em; font-weight: bold; }
th:first-child, td:first-child { text-align: left; padding-left: 0; white-space: normal; }
ol { list-style: none; margin: 0.3em 0; padding: 0; }
.asks li { display: grid; grid-template-columns: minmax(0, 1fr) 42mm; gap: 1em;
  align-items: end; padding-top: 0.5em; }
.asks li > :last-child { border-bottom: 0.5pt dotted; min-height: 1.3em; }
.room { min-height: 26mm; }
figure { margin: 0.4em 0; overflow-x: auto; }
figure svg { display: block; width: 100%; min-width: 120mm; height: auto; }
figcaption { font-size: 0.85em; }
.solution li { padding-left: 1.2em; text-indent: -1.2em; }
.answer { font-weight: bold; }
.small { font-size: 0.85em; }
code { font-size: 0.85em; overflow-wrap: anywhere; }
@media screen and (max-width: 40em) { .wide { overflow-x: auto; }
  .names, .asks li { grid-template-columns: minmax(0, 1fr); } }
article + article { break-before: page; margin-top: 2em; }
@media print { figure { overflow: visible; } main { max-width: none; padding: 0; } }
"""


def _table(table: PrintedTable) -> str:
    heads = "".join(f'<th scope="col">{clean(head)}</th>' for head in table.heads)
    rows = "".join(
        "<tr>" + "".join(f"<td>{clean(cell)}</td>" for cell in row) + "</tr>" for row in table.rows
    )
    return f'<div class="wide"><table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'


def _figure(grid: GridPaper) -> str:
    return f"<figure>{grid_svg(grid)}<figcaption>{clean(grid.title)}</figcaption></figure>"


def _question(problem: Problem, number: int) -> list[str]:
    parts = [f"<h2>{number}. {clean(title(problem))}</h2>"]
    if label := told_outside(problem):
        parts.append(f'<p class="outside">{clean(label)}</p>')
    parts += [f"<p>{clean(text)}</p>" for text in problem.question]
    parts += [_table(table) for table in problem.tables]
    return parts + [_figure(grid) for grid in problem.grids]


def _sheet_problem(problem: Problem, number: int, labels: Sequence[str]) -> str:
    parts = _question(problem, number)
    asks = "".join(
        f"<li><span>{label}) {clean(asked(ask, ask.rounding))}</span><span></span></li>"
        for label, ask in zip(labels, problem.asks, strict=True)
    )
    return "<section>" + "".join(parts) + f'<div class="room"></div><ol class="asks">{asks}</ol></section>'


def _key_problem(problem: Problem, number: int, labels: Sequence[str]) -> str:
    right = problem.right()
    parts = [f"<h2>{number}. {clean(title(problem))}</h2>"]
    if problem.outside:
        parts.append(f'<p class="outside">{clean(problem.outside)}</p>')
    steps = "".join(f"<li>{clean(step.words)}: {clean(step.working)}</li>" for step in problem.solution)
    answers = "".join(
        f'<li class="answer">{label}) {clean(asked(ask, ask.text(right[ask.key])))}</li>'
        for label, ask in zip(labels, problem.asks, strict=True)
    )
    cited = "".join(f"<li>Formula: {clean(source)}</li>" for source in sources(problem))
    parts += [
        f'<ol class="solution">{steps}{answers}</ol>',
        *(_figure(grid) for grid in problem.key_grids),
        f'<ol class="solution small">{cited}</ol>',
        f'<p class="small">{clean(problem.lesson)}</p>',
    ]
    return "<section>" + "".join(parts) + "</section>"


_HOW: Final = (
    '<p class="small">Write every answer with its unit, rounded as asked, and keep more figures on the way.'
    " Show your working.</p>"
)
_WHO: Final = '<div class="names"><p>name</p><p>date</p><p>points</p></div>'


def bodies(found: ProblemSet, *, key: bool) -> str:
    """The problems of a set one after the other, or their solutions."""
    labels, made = ask_labels(found.problems), _key_problem if key else _sheet_problem
    body = "".join(made(problem, index + 1, labels[index]) for index, problem in enumerate(found.problems))
    return body if key else _WHO + _HOW + body


def page_of(title_text: str, invented: bool, parts: Sequence[tuple[str, str, str]]) -> str:
    """A file of several papers: (heading, line under it, markup) of each, the cautions on every one."""
    told = "".join(f'<p class="caution">CAUTION: {clean(text)}</p>' for text in cautions(invented))
    papers = "".join(
        f'<article><h1>{clean(heading)}</h1><p class="small">{clean(line)}</p>{told}{body}</article>'
        for heading, line, body in parts
    )
    return _file(title_text, papers)


def _file(name: str, inner: str) -> str:
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<meta name="viewport"'
        ' content="width=device-width, initial-scale=1">\n'
        f"<title>{clean(name)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<main>\n{inner}</main>\n"
        "</body>\n</html>\n"
    )


def _page(found: ProblemSet, code: str, key: bool) -> str:
    first = found.problems[0]
    name = f"{'Key to the problems' if key else 'Problems'}: {first.aircraft.name}, level {first.level}"
    told = "".join(
        f'<p class="caution">CAUTION: {clean(text)}</p>' for text in cautions(first.aircraft.invented)
    )
    who, how = ("", "") if key else (_WHO, _HOW)
    body = bodies(found, key=key).removeprefix(who + how)
    foot = f'<p class="small">{"Key of the sheet" if key else "Sheet code"}: <code>{clean(code)}</code></p>'
    return _file(name, f"<h1>{clean(name)}</h1>\n{who}{told}{how}\n{body}\n{foot}\n{told}")


def sheet_html(found: ProblemSet, code: str) -> str:
    """The class sheet: problems with room to work and lines for the answers; the code at its foot sets them
    again for marking.
    """
    return _page(found, code, key=False)


def key_html(found: ProblemSet, code: str) -> str:
    """The key: solutions line by line, answers, sources."""
    return _page(found, code, key=True)


def sheet_text(found: ProblemSet, code: str) -> str:
    """The class sheet as plain text."""
    return _text(found, code, key=False)


def key_text(found: ProblemSet, code: str) -> str:
    """The key as plain text."""
    return _text(found, code, key=True)


def _text(found: ProblemSet, code: str, key: bool) -> str:
    from planner.views.terminal import Screen  # late: only for plain text

    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n")
    page = Page(Screen(file=stream, width=TEXT_WIDTH, color_system=None, highlight=False))
    first, labels = found.problems[0], ask_labels(found.problems)
    page.paragraph(
        f"{'Key to the problems' if key else 'Problems'}: {first.aircraft.name}, level {first.level}",
        first="",
        rest="",
    )
    for text in cautions(first.aircraft.invented):
        page.paragraph(f"CAUTION: {text}", first="", rest=" " * 9)
    if not key:
        page.line()
        page.line("name ______________________________   date ______________   points ______")
    for index, problem in enumerate(found.problems):
        if key:
            page.heading(f"Problem {index + 1}: {title(problem)}")
            render_solution(page, problem, labels[index])
        else:
            render_problem(page, found.problems, index)
            for label in labels[index]:
                page.line()
                page.line(f"  {label}) ________________________")
    page.line()
    page.paragraph(f"{'Key of the sheet' if key else 'Sheet code'}: {code}", first="", rest="")
    stream.flush()
    stream.seek(0)
    return stream.read()
