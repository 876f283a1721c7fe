"""The card for changes at the last minute: how far each figure may go while all others stay as planned."""

from __future__ import annotations

from typing import Final

from planner.facts.standard_masses import HEAVIEST_SOUGHT
from planner.plan.results import Plan
from planner.quantities.effects import seat_label
from planner.quantities.units import Display
from planner.search.remedies.headroom import Headroom, Room
from planner.views.blocks import Page, Row, in_figures, in_words

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
    columns = (*in_words("only this changes"), *in_figures("now", "least", "most"))
    blank = Row((_WRITTEN, "______", "______", "______"))
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


def _row(room: Room, display: Display, pilot: bool) -> Row:
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
    return Row((f"fuel: {room.what}" if fuel else room.what, now, least, most))
