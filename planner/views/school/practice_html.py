"""A class sheet and its key as one file of HTML each, without scripts, that prints on A4 and US Letter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planner.school.grid import GridPaper
from planner.school.problem import PrintedTable, Problem
from planner.school.topics import ProblemSet
from planner.views.pictures.svg import clean
from planner.views.school.grid_picture import grid_svg
from planner.views.school.practice_words import ask_labels, asked, cautions, sources, title, told_outside

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


def question_of(problem: Problem, number: int) -> list[str]:
    """The parts of a question: title, text, tables, drawings."""
    parts = [f"<h2>{number}. {clean(title(problem))}</h2>"]
    if label := told_outside(problem):
        parts.append(f'<p class="outside">{clean(label)}</p>')
    parts += [f"<p>{clean(text)}</p>" for text in problem.question]
    parts += [_table(table) for table in problem.tables]
    return parts + [_figure(grid) for grid in problem.grids]


def _sheet_problem(problem: Problem, number: int, labels: Sequence[str]) -> str:
    parts = question_of(problem, number)
    asks = "".join(
        f"<li><span>{label}) {clean(asked(ask, ask.rounding))}</span><span></span></li>"
        for label, ask in zip(labels, problem.asks, strict=True)
    )
    return "<section>" + "".join(parts) + f'<div class="room"></div><ol class="asks">{asks}</ol></section>'


def solution_of(problem: Problem, labels: Sequence[str]) -> str:
    """The solution: line by line, answers, drawings with the readings, sources, and what it is good for."""
    right = problem.right()
    outside = f'<p class="outside">{clean(problem.outside)}</p>' if problem.outside else ""
    steps = "".join(f"<li>{clean(step.words)}: {clean(step.working)}</li>" for step in problem.solution)
    answers = "".join(
        f'<li class="answer">{label}) {clean(asked(ask, ask.text(right[ask.key])))}</li>'
        for label, ask in zip(labels, problem.asks, strict=True)
    )
    cited = "".join(f"<li>Formula: {clean(source)}</li>" for source in sources(problem))
    return (
        f'{outside}<ol class="solution">{steps}{answers}</ol>{"".join(map(_figure, problem.key_grids))}'
        f'<ol class="solution small">{cited}</ol><p class="small">{clean(problem.lesson)}</p>'
    )


def _key_problem(problem: Problem, number: int, labels: Sequence[str]) -> str:
    return f"<section><h2>{number}. {clean(title(problem))}</h2>{solution_of(problem, labels)}</section>"


_HOW: Final = (
    '<p class="small">Write every answer with its unit, rounded as asked, and keep more figures on the way.'
    " Show your working.</p>"
)
_WHO: Final = '<div class="names"><p>name</p><p>date</p><p>points</p></div>'


def _bodies(found: ProblemSet, *, key: bool) -> str:
    """The problems of a set one after the other, or their solutions."""
    labels, made = ask_labels(found.problems), _key_problem if key else _sheet_problem
    return "".join(made(problem, index + 1, labels[index]) for index, problem in enumerate(found.problems))


def _cautions(found: ProblemSet) -> str:
    invented = found.problems[0].aircraft.invented
    return "".join(f'<p class="caution">CAUTION: {clean(text)}</p>' for text in cautions(invented))


def page_of(title_text: str, parts: Sequence[tuple[str, str, ProblemSet]], *, key: bool) -> str:
    """A file of several papers or keys: (heading, line under it, problems) of each, the cautions on every
    one.
    """
    who = "" if key else _WHO + _HOW
    papers = "".join(
        f'<article><h1>{clean(heading)}</h1><p class="small">{clean(line)}</p>{_cautions(found)}{who}'
        f"{_bodies(found, key=key)}</article>"
        for heading, line, found in parts
    )
    return file_of(title_text, papers)


def file_of(name: str, inner: str, style: str = "", policy: str = "") -> str:
    """A whole file: its title, what is in it, further rules of style, and what it may do."""
    only = f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n' if policy else ""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'{only}<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{clean(name)}</title>\n<style>{_STYLE}{style}</style>\n</head>\n<body>\n<main>\n{inner}</main>\n"
        "</body>\n</html>\n"
    )


def sheet_html(found: ProblemSet, heading: str, foot: tuple[str, str], *, key: bool) -> str:
    """The class sheet: problems with room to work and lines for the answers; or its key: solutions line by
    line, answers, sources. At the `foot` what its code is called, and the code.
    """
    called, code = map(clean, foot)
    who, how = ("", "") if key else (_WHO, _HOW)
    told, last = _cautions(found), f'<p class="small">{called}: <code>{code}</code></p>'
    body = _bodies(found, key=key)
    return file_of(heading, f"<h1>{clean(heading)}</h1>\n{who}{told}{how}\n{body}\n{last}\n{told}")
