"""A mock test in words: its report by topic with the slips, and the papers and keys of a class."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.school.marking.mock import Report, TestFile
from planner.school.slips.register import SLIPS, load_all
from planner.school.topics import TOPICS, ProblemSet
from planner.views.blocks import Column, Page, Row
from planner.views.keyed import keyed
from planner.views.school.practice_paper import PracticePaper, papers_of


def render_report(page: Page, test: TestFile, found: Report, seconds: float | None, name: str) -> None:
    """Points by topic, the slips, and whether the pass mark was reached."""
    load_all()
    page.heading(f"{test.title}: {name}" if name else test.title)
    rows = [
        Row((TOPICS[topic].words, f"{points:.2f}", str(of), f"{100 * points / of:.0f}"))
        for topic, points, of in sorted(found.topics, key=lambda each: each[1] / each[2])
    ]
    page.table([Column("topic", figures=False), Column("points"), Column("of"), Column("share", "%")], rows)
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
