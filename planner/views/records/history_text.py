"""The mass records of an aircraft, older ones too: what changed, who, when, and the path of the CG."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.facts.cautions import PREPARED
from planner.logbook.mass.history import Held
from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.views.blocks import Column, Filled, Page, Picture, Shows, in_figures, in_words
from planner.views.keyed import keyed
from planner.views.records.row_chart import ChartRow, row_chart


def _path(held: Sequence[Held], shown: Display) -> Picture:
    """One line a record: `o` its CG, `*` that of the record in use, `-` its U, all to one scale."""
    rows = [
        ChartRow(
            label=str(each.record.date),
            value=each.total.centre_of_gravity,
            half=each.u.cg,
            sign="o" if each.until else "*",
            style="" if each.until else "bold",
        )
        for each in held
    ]
    lows, highs = zip(*(row.ends for row in rows), strict=True)
    left, right = (shown.text(end, "length") for end in (min(lows), max(highs)))
    scale = (
        f"CG from {left} at the left to {right} at the right: o a record, * the one in use, - its U (k = 2)."
    )
    return row_chart(rows, scale, "the path of the centre of gravity")


def render_history(aircraft: Aircraft, held: Sequence[Held], shown: Display, console: Shows) -> None:
    """A table of the records, oldest first, what made each of them, and the path of the CG."""
    page = Page(console)
    page.title(f"Mass records of {aircraft.name}")
    page.caution([PREPARED], invented=aircraft.invented)
    page.heading("Records, oldest first")
    masses, lengths = in_figures("mass", "U", of="mass", extra=1), in_figures("CG", "U", of="length")
    table = Filled(shown, *in_words("record"), *masses, *lengths, Column("since\nweighing %"))
    for each in held:
        by = f", {each.by}" if each.by else ""
        note = (
            f"{each.record.established}: {each.what}{by}; {f'until {each.until}' if each.until else 'in use'}"
        )
        figures = (each.total.mass, each.u.mass, each.total.centre_of_gravity, each.u.cg)
        since = f"{100 * each.mass_since / each.weighing.mass.value:+.2f}"
        style = "" if each.until else "bold"
        table.add(each.record.version_id, *figures, since, style=style, note=note)
    page.add(table.made())
    page.heading("Path of the CG")
    page.add(_path(held, shown))
    page.paragraph(
        "U is the expanded uncertainty (k = 2, about 95 %); a record without one says nothing of how sure"
        " it is."
    )


def history_json(aircraft: Aircraft, held: Sequence[Held]) -> dict[str, Any]:
    """The same in SI; schema `planner/history/1`."""
    rows = [
        keyed(
            each,
            "version=record.version_id date=record.date established=record.established"
            " reference=record.reference mass_kg=total.mass mass_expanded_uncertainty_kg=u.mass"
            " cg_m=total.centre_of_gravity cg_expanded_uncertainty_m=u.cg what by until"
            " weighing=weighing.version_id mass_since_weighing_kg=mass_since cg_since_weighing_m=cg_since",
            by=each.by or "not stated",
            until=str(each.until or "in use"),
        )
        for each in held
    ]
    return {"schema": "planner/history/1", "aircraft": aircraft.name, "caution": PREPARED, "records": rows}
