"""A demonstration for people and as JSON: its question, the loadings side by side, what comes out, every
picture, and the lesson.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from planner.quantities.moments import Total
from planner.quantities.units import Display, in_unit
from planner.records.aircraft.record import Aircraft
from planner.school.demonstrations.demos_limits import envelope_grid
from planner.school.demonstrations.list_of import DEMONSTRATIONS, Demonstration
from planner.school.grid import GridPaper
from planner.school.lab import Lab, Shown, ShownCase
from planner.school.problems.limits import envelope_tables, envelope_words
from planner.views.blocks import Page, Row, Sheet
from planner.views.columns import Column, in_figures
from planner.views.flight.burn_text import plan_picture
from planner.views.flight.flight_json import flight_json
from planner.views.keyed import keyed
from planner.views.school.grid_picture import grid_block
from planner.views.school.practice_text import render_cautions, render_table
from planner.views.school.practice_words import cautions, cited

_LABEL = "Rows marked OUTSIDE show what is beyond a limit. They are shown to be corrected, and never flown."
Worked = tuple[Demonstration, Lab, Shown]


def render_list(page: Page) -> None:
    """The demonstrations with their questions."""
    rows = [(each.name, each.question) for each in DEMONSTRATIONS.values()]
    page.table("name: words | question: words", rows)
    page.line()
    page.paragraph("planner demonstrate NAME shows one, --on PROFILE on another aircraft.")


def items(lab: Lab, case: ShownCase) -> Iterator[tuple[str, str, float, float]]:
    """(name, what is there, mass [kg], arm [m]) of every line of a loading."""
    show = lab.pen.display
    for item in lab.items:
        yield item.name, show.text(item.mass, "mass"), item.mass, item.arm
    for name, station in lab.aircraft.stations.items():
        if masses := case.load.get(name):
            parts = " + ".join(show.text(each, "mass") for each in masses)
            yield name, parts, math.fsum(masses), station.arm.value
    for tank, volume in zip(lab.tanks, case.volumes, strict=True):
        if volume > 0:
            words = f"{show.text(volume, 'volume')} at {show.text(lab.density, 'density')}"
            yield f"fuel, {tank.name}", words, volume * lab.density, tank.volume_moment(volume) / volume


def total_of(lab: Lab, case: ShownCase) -> Total:
    """Mass and moment of a case, as the demonstration has them."""
    return lab.state(case.load, case.volumes)


def render_loading(
    page: Page, lab: Lab, cases: Sequence[ShownCase], show: Display, *, blank: bool = False
) -> None:
    """Who and what lies where, a case beside the other; `blank` leaves the sums to be worked out."""
    page.heading("The loading" if len(cases) == 1 else "The loadings, side by side")
    lines = [{name: (words, arm) for name, words, _, arm in items(lab, case)} for case in cases]
    rows = []
    for name in dict.fromkeys(name for each in lines for name in each):
        arms = {show.text(each[name][1], "length") for each in lines if name in each}
        here = [each[name][0] if name in each else "-" for each in lines]
        rows.append(Row((name, arms.pop() if len(arms) == 1 else "with its level", *here)))
    if not blank:
        totals = [total_of(lab, case) for case in cases]
        masses = (show.text(here.mass, "mass") for here in totals)
        places = (show.text(here.centre_of_gravity, "length") for here in totals)
        rows += [Row(("total mass", "", *masses), "bold"), Row(("CG", "", *places), "bold")]
    page.table(("item: words | arm", *in_figures(*(case.words for case in cases))), rows)


def working_lines(lab: Lab, case: ShownCase, show: Display) -> Iterator[str]:
    """Every line of a case: mass times arm, the sums, the CG, and the limits at this mass."""
    for name, words, mass, arm in items(lab, case):
        first = f"{words} = {show.text(mass, 'mass', extra=1)}; " if " + " in words or " at " in words else ""
        first = first.replace(" at ", " x ")
        moment = show.text(mass * arm, "moment")
        yield f"{name}: {first}{show.text(mass, 'mass', extra=1)} x {show.text(arm, 'length')} = {moment}"
    here = total_of(lab, case)
    total, moment = show.text(here.mass, "mass", extra=1), show.text(here.moment, "moment")
    yield f"sums: mass {total}, moment {moment}"
    yield f"CG: {moment} / {total} = {show.text(here.centre_of_gravity, 'length', extra=1)}"
    forward, aft = lab.envelope.forward.arm(here.mass), lab.envelope.aft.arm(here.mass)
    limits = f"forward {show.text(forward, 'length')}, aft {show.text(aft, 'length')}"
    yield f"limits at this mass: {limits}; at most {show.text(lab.top, 'mass')}: {lab.word(here)}"


def case_grid(lab: Lab, cases: Sequence[ShownCase], show: Display, *, blank: bool = False) -> GridPaper:
    """The envelope on grid paper with a letter for every case; `blank` leaves the points to be plotted."""
    grid = envelope_grid(lab, lab.pen)
    letters = "; ".join(f"{'ABCDEFG'[n]} {case.words}" for n, case in enumerate(cases))
    across, up, shown = grid.across, grid.up, []
    for letter, case in zip("ABCDEFG", cases, strict=False):
        here = total_of(lab, case)
        x, y = in_unit(here.centre_of_gravity, show.unit("length")), in_unit(here.mass, show.unit("mass"))
        if across.low <= x <= across.high and up.low <= y <= up.high:
            shown.append((letter, x, y))
    title = f"Plot {letters}" if blank else f"The envelope with {letters}"
    return GridPaper(title, across, up, grid.lines, () if blank else tuple(shown))


def render_shown(page: Page, worked: Worked, show: Display, *, working: bool = False) -> None:
    """One demonstration, worked out on one aircraft; `working` gives every line."""
    demonstration, lab, shown = worked
    page.paragraph(f"{demonstration.question} ({lab.aircraft.name})", "bold", first="", rest="")
    render_cautions(page, lab.aircraft.invented)
    if shown.cases:
        render_loading(page, lab, shown.cases, show)
    page.heading("What comes out")
    if not shown.holds:
        page.paragraph(
            "The lesson of this demonstration was not found to hold on this aircraft.", "bold yellow"
        )
    for text in shown.found:
        page.paragraph(text)
    page.line()
    heads = enumerate(shown.table.heads)
    columns = [Column(head, figures=n > 0 and not head.startswith("verdict")) for n, head in heads]
    outside = [row for row in shown.table.rows if any("OUTSIDE" in cell for cell in row)]
    rows = [Row(row, style="bold red" if row in outside else "") for row in shown.table.rows]
    page.table(columns, rows)
    if outside:
        page.paragraph(_LABEL, "bold red")
    if working:
        page.heading("Working")
        for case in shown.cases:
            page.paragraph(case.words, "bold")
            page.bullets(tuple(working_lines(lab, case, show)))
        page.bullets(shown.working)
    if shown.plan is not None:
        page.heading("CG against mass")
        page.add(plan_picture(shown.plan, show, "CG against mass"))
    if len(shown.cases) > 1:
        page.heading("The cases on the envelope")
        page.add(grid_block(case_grid(lab, shown.cases, show)))
    for grid in shown.grids:
        page.heading("On grid paper")
        page.add(grid_block(grid))
    page.heading("Lesson")
    page.paragraph(shown.lesson, "bold")
    if shown.correction:
        page.paragraph(f"Correction: {shown.correction}")
    page.bullets((*shown.notes, *(f"Source: {each}" for each in cited(shown.sources))), "dim")


def render_task(page: Page, worked: Worked, show: Display) -> None:
    """The same as a task for a class: the loadings without their sums, the paper without the points, room to
    write.
    """
    demonstration, lab, shown = worked
    render_cautions(page, lab.aircraft.invented)
    page.paragraph(demonstration.question, "bold", first="", rest="")
    page.line("What do you expect? ______________________________________________")
    if shown.cases:
        render_loading(page, lab, shown.cases, show, blank=True)
        asked = ("total mass", "total moment", "CG", "forward limit", "aft limit", "inside or outside?")
        blank = [(words, *["__________"] * len(shown.cases)) for words in asked]
        page.heading("Work out")
        page.table(("what: words", *in_figures(*(case.words for case in shown.cases))), blank)
        page.paragraph(f"Greatest take-off mass {show.text(lab.top, 'mass')}. Moment is mass times arm.")
        render_table(page, envelope_tables(lab.category))
        page.paragraph(envelope_words(lab.category))
        page.heading("Plot")
        page.add(grid_block(case_grid(lab, shown.cases, show, blank=True)))
    else:
        page.heading("Work out")
        blank = [(row[0], *["__________"] * (len(row) - 1)) for row in shown.table.rows]
        page.table([Column(head, figures=n > 0) for n, head in enumerate(shown.table.heads)], blank)
        page.bullets(shown.notes)
        for grid in shown.grids:
            page.heading("On grid paper")
            page.add(grid_block(grid))
    page.heading("Lesson")
    for _ in range(3):
        page.line("_" * 60)


def handout(worked: Worked, show: Display, *, answers: bool) -> str:
    """A handout as one file of HTML, with the answers or without."""
    from planner.views.html import document

    page, (demonstration, lab, _) = Page(), worked
    if answers:
        render_shown(page, worked, show, working=True)
    else:
        render_task(page, worked, show)
    title = f"{demonstration.question} ({'answers' if answers else 'for the class'})"
    style = (
        ":root { color-scheme: light; --ink: #111; --paper: #fff; --faint: #595959; } .flow { columns: 1; }"
        " main { max-width: 190mm; } @page { margin: 14mm 16mm; } figure { max-width: 178mm; }"
        " @media print { .flow { columns: 1; } }"
    )
    return document(Sheet(title=title, tied=lab.aircraft.name, flow=page.blocks), style)


def list_json() -> dict[str, Any]:
    """The demonstrations with their questions."""
    rows = [keyed(each, "name question aircraft") for each in DEMONSTRATIONS.values()]
    return {"schema": "planner/demonstrations/1", "cautions": list(cautions(True)), "demonstrations": rows}


def _case_json(lab: Lab, case: ShownCase) -> dict[str, Any]:
    here = total_of(lab, case)
    rows = [{"item": name, "mass_kg": mass, "arm_m": arm} for name, _, mass, arm in items(lab, case)]
    total = keyed(here, "mass_kg=mass moment_kg_m=moment cg_m=centre_of_gravity")
    return {"case": case.words, "items": rows, "total": total}


def shown_json(worked: Worked, show: Display) -> dict[str, Any]:
    """One demonstration; `figures` are in the units their keys end in."""
    demonstration, lab, shown = worked
    aircraft: Aircraft = lab.aircraft
    lines = [each for case in shown.cases for each in working_lines(lab, case, show)]
    return {
        "schema": "planner/demonstration/1",
        "invented": aircraft.invented,
        "cautions": list(cautions(aircraft.invented)),
        "name": demonstration.name,
        "question": demonstration.question,
        "aircraft": aircraft.name,
        **keyed(shown, "holds found table figures", table=keyed(shown.table, "heads rows")),
        "cases": [_case_json(lab, case) for case in shown.cases],
        "working": [*lines, *shown.working],
        **keyed(shown, "lesson correction notes"),
        "sources": list(cited(shown.sources)),
        "flight": flight_json(shown.plan) if shown.plan is not None else None,
    }


def render_all(page: Page, worked: Sequence[Worked]) -> None:
    """Every demonstration on one aircraft, in a line each: whether its lesson holds there."""
    rows = [(each.name, "holds" if found.holds else "does not", found.found[0]) for each, _, found in worked]
    page.table("demonstration: words | lesson: words | what comes out: words", rows)
