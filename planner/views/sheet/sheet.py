"""The sheet to print: the blocks of a flight's report, with what is filled in by hand beside the aircraft and
the card for changes at the last minute.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

from planner.facts.standard_masses import HEAVIEST_SOUGHT
from planner.plan.results import Plan
from planner.quantities.effects import seat_label
from planner.quantities.errors import Finding
from planner.quantities.sentences import joined, said
from planner.quantities.units import Display
from planner.search.remedies.headroom import Headroom, Room
from planner.views.blocks import Block, Page, Sheet, Signatures, Table
from planner.views.flight.burn_text import render_burn, render_limits, render_states
from planner.views.flight.flight_json import flight_json
from planner.views.flight.flight_text import (
    begin,
    end,
    render_before_start,
    render_density,
    render_items,
    render_verdict,
)
from planner.views.flight.fuel_text import render_aboard, render_final_reserve, render_required
from planner.views.html import document
from planner.views.paper import FULL_SIZE, LARGEST, MARGIN, PAPERS, Paper, paper
from planner.views.records.changed_text import render_changed
from planner.views.words import about, included

SIGNATURES: Final = (
    "Checked against the flight manual and the weighing report by (name)",
    "Date and time",
    "Signature of the pilot in command",
)
UNSIGNED: Final = "This program checks nothing for the pilot and signs nothing."
_LINE: Final = 1.17  # height of a line with what stands between lines, in type sizes
_LETTER: Final = 0.42  # mean width of a letter


def sheet_of(
    plan: Plan,
    display: Display,
    room: Headroom | None = None,
    leg: str = "",
    beside: Sequence[str] = (),
    changed: Sequence[str] = (),
    uplift: float | None = None,
) -> Sheet:
    """The sheet of a plan, in the reader's units; the same plan gives the same sheet on any day.

    Parameters: `plan` [SI]; `display`; `room` for changes at the last minute, None where the plan is not
    inside; `leg` in words where the flight has several, `beside` what is to be noticed about the others;
    `changed` what is not as in the flight file, told first; `uplift` [m3] the least fuel
    put in that makes it inside. Raises: nothing.
    """
    head, flow, foot = Page(), Page(), Page()
    render_changed(head, changed)
    begin(head, plan, "")
    render_verdict(head, plan, display)
    for render in (
        render_states,
        render_limits,
        render_items,
        render_required,
        render_final_reserve,
        render_aboard,
        render_burn,
        render_density,
    ):
        render(flow, plan, display)
    render_changes(flow, plan, room, display, uplift)
    render_before_start(flow, plan)
    flow.heading("Where the figures come from")
    empty = plan.aircraft.basic_empty
    flow.paragraph(f"Aircraft: {plan.aircraft.source}")
    reference = f" ({empty.reference})" if empty.reference else ""
    flow.paragraph(f"Mass record: {empty.version_id}{reference}; includes {included(empty)}")
    foot.notices([*beside, *(_notice(finding, display) for finding in plan.findings)], "bold yellow")
    end(foot, plan)
    foot.add(Signatures(SIGNATURES))
    foot.paragraph(UNSIGNED, "dim")
    digest = str(flight_json(plan)["digest"])
    return Sheet(
        title=f"Mass, balance and fuel: {about(plan, leg)}",
        tied=f"{plan.flight.date or 'date ______________'}   digest {digest}",
        digest=digest,
        head=head.blocks,
        flow=flow.blocks,
        foot=foot.blocks,
    )


def _notice(finding: Finding, display: Display) -> str:
    """A notice with the name of the thing it is about; the place in a file says nothing on paper."""
    thing = finding.where.rpartition(" > ")[2]
    text = said(joined("; ", (finding.message, finding.hint)), display)
    return f"{thing}: {text}" if thing else text


def written(sheet: Sheet, ending: str, on: Paper, style: str = "") -> tuple[bytes, float]:
    """The sheet as the bytes of a file, and the share of the full type size one page of it needs.

    Parameters: `ending` .html, .svg or .pdf; `on` which paper. Raises InputRefused where the typesetter is
    missing.
    """
    if ending == ".html":
        scale = _fits(sheet, on)
        size = f"@page {{ size: {'A4' if on == 'a4' else on}; margin: {MARGIN:g}mm; }}"
        printed = f"{size}\n@media print {{ html {{ font-size: {FULL_SIZE * scale:.3f}mm; }} }}\n{style}"
        return document(sheet, printed).encode(), scale
    form: Literal["pdf", "svg"] = "svg" if ending == ".svg" else "pdf"
    return paper(sheet, on, form)


def _fits(sheet: Sheet, on: Paper) -> float:
    """The type for printing from a browser, which cannot try sizes: counted from lines of mean letters."""
    wide, high = (side - 2 * MARGIN for side in PAPERS[on])
    scale = LARGEST
    while scale > 0.2:
        size = FULL_SIZE * scale
        across = sum(_lines(block, wide / size / _LETTER) for block in (*sheet.head, *sheet.foot)) + 4
        column = sum(_lines(block, (wide / 2 - 3) / size / _LETTER) for block in sheet.flow) / 2 * 1.06
        if (across + column) * _LINE * size <= high:
            break
        scale -= 0.02
    return scale


def _lines(block: Block, letters: float) -> float:
    """Lines that a block takes where that many letters stand in one."""

    def texts(*each: str) -> float:
        return sum(max(len(text) // letters + 1, 1) for text in each)

    if isinstance(block, Table):
        deep = max(len(column.head) for column in block.columns)
        return (
            0.4
            + 0.9 * deep
            + sum(texts("".join(row.cells) + "  " * len(row.cells)) for row in block.rows)
            + texts(*(note for _, note in block.notes))
        )
    for name, more in (("beside", 2.2), ("texts", 0.1), ("text", 0.2)):
        if hasattr(block, name):
            every = (*getattr(block, "texts", ()), *getattr(block, "beside", ())) or (
                getattr(block, "text", ""),
            )
            return texts(*every) + more
    return 4.5 if isinstance(block, Signatures) else 0.2 * letters + 3


TITLE: Final = "Last-minute changes"
MOST_ROWS: Final = 12
_ALONE: Final = (
    "Each alone, with all else as planned, and every limit then shown inside. For more than one change plan"
    " again."
)
_NONE: Final = (
    "This plan is not shown inside every limit, so there is no room for a change: plan again (planner remedy"
    " FILE shows what to change)."
)
NO_LIMIT: Final = "no limit in the profile"
_WRITTEN: Final = "by hand ____________"


def render_changes(
    page: Page, plan: Plan, room: Headroom | None, display: Display, uplift: float | None = None
) -> None:
    """The card as a table with room to write: least and most of every load and of the fuel.

    Parameters: `plan`; `room` as `planner.search.remedies.headroom` found it, or None where the plan is not
    inside; `display`; `uplift` [m3] the least fuel put in that makes it inside.
    Raises: nothing. Where there are too many lines those with the least room stay.
    """
    page.heading(TITLE)
    columns = "only this changes: words | now | least | most"
    blank = (_WRITTEN, "______", "______", "______")
    if room is None or plan.verdict != "inside":
        page.table(columns, [blank], "changes")
        page.paragraph(_NONE)
        if uplift is not None:
            amount = display.text(uplift, "volume")
            page.paragraph(
                f"With all else as planned it takes at least {amount} more, shared over the tanks alike, and"
                " every limit is then shown inside.",
                "bold",
            )
        return
    found = [*room.people, *room.bags]
    left_out = len(found) - MOST_ROWS
    if left_out > 0:
        kept = sorted(found, key=lambda each: each.most - each.now)[:MOST_ROWS]
        found = [each for each in found if each in kept]
    seat = plan.aircraft.pilot_seat()
    pilot = seat_label(*seat, len(plan.flight.load.get(seat[0], ()))) if seat else ""
    rows = [_row(each, display, each.what == pilot) for each in (*found, *room.fuel)]
    page.table(columns, [*rows, blank], "changes")
    page.paragraph(_ALONE if left_out <= 0 else f"{_ALONE} {left_out} lines with more room are left out.")


def _row(room: Room, display: Display, pilot: bool) -> tuple[str, ...]:
    """One line; every figure carries its unit, as masses and fuel stand below each other. Where the profile
    limits nothing this is said: an end of the search is no limit, nor is a seat `pilot` flies from empty.
    """
    fuel = room.kind == "fuel"
    now, least, most = (
        display.text(value, "volume" if fuel else "mass") for value in (room.now, room.least, room.most)
    )
    if not fuel and room.exact.high >= HEAVIEST_SOUGHT - 1e-6:
        most = NO_LIMIT
    if pilot and room.exact.low <= 0.0:
        least = NO_LIMIT
    return f"fuel: {room.what}" if fuel else room.what, now, least, most
