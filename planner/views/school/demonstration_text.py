"""A demonstration for people and as JSON: its question, the numbers, the picture, and the lesson."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.school.demonstrations.list_of import DEMONSTRATIONS, Demonstration
from planner.school.lab import Shown
from planner.views.blocks import Column, Page, Picture, Row
from planner.views.chart import chart
from planner.views.flight.flight_json import flight_json
from planner.views.school.practice_text import render_cautions
from planner.views.school.practice_words import cautions

_LABEL = "Rows marked OUTSIDE show what is beyond a limit. They are shown to be corrected, and never flown."


def render_list(page: Page) -> None:
    """The demonstrations with their questions."""
    rows = [Row((each.name, each.question)) for each in DEMONSTRATIONS.values()]
    page.table([Column("name", figures=False), Column("question", figures=False)], rows)
    page.line()
    page.paragraph("planner demonstrate NAME shows one, --on PROFILE on another aircraft.")


def render_shown(
    page: Page, demonstration: Demonstration, aircraft: Aircraft, shown: Shown, display: Display
) -> None:
    """One demonstration, worked out on one aircraft."""
    page.paragraph(f"{demonstration.question} ({aircraft.name})", "bold", first="", rest="")
    render_cautions(page, aircraft.invented)
    page.heading("What comes out")
    if not shown.holds:
        page.paragraph(
            "The lesson of this demonstration was not found to hold on this aircraft.", "bold yellow"
        )
    for text in shown.found:
        page.paragraph(text)
    page.line()
    columns = [
        Column(head, figures=index > 0 and not head.startswith("verdict"))
        for index, head in enumerate(shown.table.heads)
    ]
    outside = [any("OUTSIDE" in cell for cell in row) for row in shown.table.rows]
    page.table(
        columns,
        [
            Row(row, style="bold red" if beyond else "")
            for row, beyond in zip(shown.table.rows, outside, strict=True)
        ],
    )
    if any(outside):
        page.paragraph(_LABEL, "bold red")
    if shown.plan is not None:
        plan = shown.plan
        page.heading("CG against mass")
        page.add(Picture(lambda width, unicode: chart(plan, display, width, unicode)))
    page.heading("Lesson")
    page.paragraph(shown.lesson, "bold")
    if shown.correction:
        page.paragraph(f"Correction: {shown.correction}")
    page.bullets(shown.notes, "dim")


def list_json() -> dict[str, Any]:
    """The demonstrations with their questions."""
    rows = [
        {"name": each.name, "question": each.question, "aircraft": each.aircraft}
        for each in DEMONSTRATIONS.values()
    ]
    return {"schema": "planner/demonstrations/1", "cautions": list(cautions(True)), "demonstrations": rows}


def shown_json(demonstration: Demonstration, aircraft: Aircraft, shown: Shown) -> dict[str, Any]:
    """One demonstration; `figures` are in the units their keys end in."""
    return {
        "schema": "planner/demonstration/1",
        "invented": aircraft.invented,
        "cautions": list(cautions(aircraft.invented)),
        "name": demonstration.name,
        "question": demonstration.question,
        "aircraft": aircraft.name,
        "holds": shown.holds,
        "found": list(shown.found),
        "table": {"heads": list(shown.table.heads), "rows": [list(row) for row in shown.table.rows]},
        "figures": dict(shown.figures),
        "lesson": shown.lesson,
        "correction": shown.correction,
        "notes": list(shown.notes),
        "flight": flight_json(shown.plan) if shown.plan is not None else None,
    }


def render_all(page: Page, shown: Sequence[tuple[Demonstration, Aircraft, Shown]]) -> None:
    """Every demonstration on one aircraft, in a line each: whether its lesson holds there."""
    rows = [
        Row((each.name, "holds" if found.holds else "does not", found.found[0])) for each, _, found in shown
    ]
    page.table(
        [
            Column("demonstration", figures=False),
            Column("lesson", figures=False),
            Column("what comes out", figures=False),
        ],
        rows,
    )
