"""Problems, solutions, marks and progress on a page of text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Final

from planner.school.marking.learners import LearnerProgress
from planner.school.marking.mark import Mark
from planner.school.problem import PrintedTable, Problem
from planner.school.slips.register import SLIPS, load_all
from planner.school.topics import TOPICS, ProblemSet
from planner.views.blocks import Page, Row
from planner.views.columns import Column
from planner.views.school import practice_words as words
from planner.views.school.grid_picture import grid_block

_MARK_STYLE: Final = {
    "right": "green",
    "slip": "red",
    "not recognised": "red",
    "carried on": "yellow",
    "blank": "dim",
}


def render_cautions(page: Page, invented: bool) -> None:
    """The cautions that stand on every page of practice."""
    page.panel("Caution", words.cautions(invented), "bold yellow")


def render_head(page: Page, found: ProblemSet, seed: int, level: int) -> None:
    """What the set is, how to get it again, and what was left out."""
    first, count = found.problems[0], len(found.problems)
    many = f"{count} problem{'s' if count > 1 else ''}"
    page.paragraph(f"{many} on {first.aircraft.name}, level {level}, seed {seed}", "bold", first="", rest="")
    render_cautions(page, first.aircraft.invented)
    for topic, reason in found.left_out:
        page.paragraph(f"Left out: {TOPICS[topic].words}; {reason}.", "dim", first="", rest="  ")


def render_table(page: Page, table: PrintedTable) -> None:
    """One table of a question."""
    columns = [Column(head, figures=index > 0) for index, head in enumerate(table.heads)]
    page.table(columns, table.rows)


def render_problem(page: Page, problems: Sequence[Problem], index: int) -> None:
    """One problem with its questions."""
    problem = problems[index]
    page.heading(f"Problem {index + 1}: {words.title(problem)}")
    if label := words.told_outside(problem):
        page.paragraph(label, "bold red")
    for text in problem.question:
        page.paragraph(text)
    for table in problem.tables:
        page.line()
        render_table(page, table)
    for grid in problem.grids:
        page.line()
        page.add(grid_block(grid))
    page.line()
    for label, ask in zip(words.ask_labels(problems)[index], problem.asks, strict=True):
        page.paragraph(f"{label}) {words.asked(ask, ask.rounding)}", "bold", first="  ", rest="     ")


def render_solution(page: Page, problem: Problem, labels: Sequence[str]) -> None:
    """The solution line by line, its sources, and what it is good for."""
    page.line()
    page.paragraph("Solution", "bold cyan")
    if problem.outside:
        page.paragraph(problem.outside, "bold red")
    right = problem.right()
    for step in problem.solution:
        page.paragraph(f"{step.words}: {step.working}", first="  ", rest="      ")
    for label, ask in zip(labels, problem.asks, strict=True):
        page.paragraph(
            f"{label}) {words.asked(ask, ask.text(right[ask.key]))}", "bold", first="  ", rest="     "
        )
    for grid in problem.key_grids:
        page.line()
        page.add(grid_block(grid))
    for source in words.sources(problem):
        page.paragraph(f"Formula: {source}", "dim", first="  ", rest="      ")
    page.paragraph(problem.lesson, "italic")


def render_marks(page: Page, marks: Sequence[Mark], labels: Sequence[str]) -> None:
    """Every answer beside the right one, with the slip that leads to it."""
    for label, mark in zip(labels, marks, strict=True):
        written = f"'{mark.written}'" if mark.written else "-"
        text = f"{label}) {written}: {words.RESULT_WORDS[mark.result]}"
        if mark.result != "right":
            text += f"; it is {mark.right}"
        page.paragraph(text, _MARK_STYLE.get(mark.result, "yellow"), first="  ", rest="     ")
        for more in (words.slip_words(mark), mark.told):
            if more:
                page.paragraph(more, first="     ", rest="     ")


def render_score(page: Page, every: Sequence[Sequence[Mark]]) -> None:
    """Points over all problems answered."""
    flat = [mark for marks in every for mark in marks]
    page.line()
    page.paragraph(f"{words.share(*words.points(flat))}.", "bold", first="", rest="")


def render_class(
    page: Page, problems: Sequence[Problem], marked: Mapping[str, Sequence[Sequence[Mark]]], solutions: bool
) -> None:
    """A class: every learner's marks, then what went wrong most, then (if wanted) the solutions."""
    labels = words.ask_labels(problems)
    for name, every in marked.items():
        score = words.share(*words.points([mark for marks in every for mark in marks]))
        page.heading(f"{name or 'answers'}: {score}")
        for index, marks in enumerate(every):
            render_marks(page, marks, labels[index])
    if len(marked) > 1:
        _summary(page, problems, marked, labels)
    if solutions:
        for index, problem in enumerate(problems):
            page.heading(f"Problem {index + 1}: {words.title(problem)}")
            render_solution(page, problem, labels[index])


def _summary(
    page: Page,
    problems: Sequence[Problem],
    marked: Mapping[str, Sequence[Sequence[Mark]]],
    labels: Sequence[Sequence[str]],
) -> None:
    page.heading("The class")
    rows: list[tuple[str, ...]] = []
    slips: dict[str, int] = {}
    for index, problem in enumerate(problems):
        for place, label in enumerate(labels[index]):
            marks = [every[index][place] for every in marked.values()]
            right = sum(mark.result == "right" for mark in marks)
            rows.append((f"{label}) {problem.asks[place].words}", str(right), str(len(marks))))
        # A slip counts once for each learner and problem, however far it was carried.
        for every in marked.values():
            for name in {each.slip.name for mark in every[index] for each in mark.slips}:
                slips[name] = slips.get(name, 0) + 1
    page.table("asked: words | right | of", rows)
    for name, count in sorted(slips.items(), key=lambda each: (-each[1], each[0]))[:5]:
        page.paragraph(f"{count} x {SLIPS[name].title}. {SLIPS[name].cure}", first="  ", rest="      ")


def render_progress(page: Page, kept: LearnerProgress) -> None:
    """What is kept about a learner, and what to do next."""
    page.paragraph(f"Progress of {kept.name}", "bold", first="", rest="")
    if not kept.topics:
        page.paragraph("Nothing answered yet.")
        return
    load_all()
    rows = []
    for each in kept.topics:
        slips = ", ".join(
            f"{count} x {SLIPS[name].title if name in SLIPS else name}" for name, count in each.slips[:3]
        )
        name = TOPICS[each.topic].words if each.topic in TOPICS else each.topic
        percent = f"{100 * each.points / each.asked:.0f}"
        cells = (name, str(each.asked), f"{each.points:g}", percent, str(each.level), each.last)
        rows.append(Row(cells, note=slips))
    page.table("topic: words | answers | points | share [%] | level | last", rows)
    today = datetime.now(UTC).date()
    page.paragraph(
        f"Next: planner practise --topic {kept.due(tuple(TOPICS), today)[0]} --learner '{kept.name}'"
    )
    left = kept.left(tuple(TOPICS))
    page.paragraph(f"Left to learn: {', '.join(TOPICS[each].words for each in left) or 'nothing'}.", "dim")


def render_topics(page: Page) -> None:
    """The topics by name."""
    page.table("topic: words | what: words", [(topic.name, topic.words) for topic in TOPICS.values()])
