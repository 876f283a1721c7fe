"""What to change, or what room is left, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planner.facts.standard_masses import HEAVIEST_SOUGHT
from planner.plan.results import Plan
from planner.quantities.units import Dimension, Display
from planner.search.remedies import CardRow, Headroom, Remedies, Remedy, Room, Step
from planner.views.blocks import Filled, Page, Shows
from planner.views.columns import Column
from planner.views.flight.flight_text import begin, end
from planner.views.limit_words import VERDICT_STYLES
from planner.views.remedy import remedy_words as words
from planner.views.words import verdict_sentence

SHOWN: Final = 12  # of each number of changes
_KIND_WORDS: Final = {
    "measure": "measuring better",
    "swap": "changing seats",
    "reseat": "changing seats",
    "move": "carrying a bag elsewhere",
    "fuel off": "taking fuel out",
    "fuel on": "more fuel",
    "category": "another category",
    "ballast": "ballast",
    "limit": "leaving a bag",
    "fuel stop": "a landing for fuel",
    "leave person": "leaving somebody",
}


def render_remedies(found: Remedies, room: Headroom | None, display: Display, console: Shows) -> None:
    """Print what to change in a flight, or the room it has where it is inside; the cautions stand first and
    last.

    Parameters: `found` and, for a plan that is inside, its `room` [SI]; `display` the reader's units;
    `console`.
    """
    plan, page = found.case.plan, Page(console)
    begin(page, plan, "What room is left" if plan.verdict == "inside" else "What to change")
    page.panel("The flight as it stands", [verdict_sentence(plan, display)], VERDICT_STYLES[plan.verdict])
    if room is not None:
        _room(page, plan, room, display)
    else:
        _found(page, found, display)
    page.findings(plan.findings, display)
    end(page, plan)


def _found(page: Page, found: Remedies, display: Display) -> None:
    if not found.found:
        page.heading("Nothing found")
        tried = words.tried_words(found, display)
        page.paragraph(f"Nothing that was tried brings this flight inside every limit. {tried}")
        page.paragraph("Change more than that: fewer people, another day, another aircraft.")
    _list(page, "One change that is enough", found.singles, display)
    _list(page, "Two changes that are enough together", found.pairs, display)
    # Of a kind that helps somewhere it would only confuse to hear where it does not; --json tells all.
    helps = {remedy.steps[0].kind for remedy in found.singles}
    useless = [item for item in words.nearest(found.impossible) if item.step.kind not in helps]
    if useless:
        page.heading("What does not help alone")
        for item in useless:
            page.bullets([f"{_KIND_WORDS[item.step.kind]}: {words.impossible_words(item, display)}"])
    page.heading("How this was found")
    if found.found:
        page.paragraph(words.AGAIN_NOTE)
        page.paragraph(words.ORDER_NOTE)
        page.paragraph(words.tried_words(found, display))
    page.paragraph(words.PILOT_NOTE)


def _list(page: Page, title: str, remedies: Sequence[Remedy], display: Display) -> None:
    if not remedies:
        return
    page.heading(title)
    for number, remedy in enumerate(remedies[:SHOWN], 1):
        indent = " " * (len(f"{number}. ") + 2)
        first, *others = (_edged(step, display) for step in remedy.steps)
        asked = "; and ".join([first, *(each[0].lower() + each[1:] for each in others)])
        page.paragraph(f"{number}. {asked}.", "bold green", rest=indent)
        for line in words.stop_words(remedy.stop, display) if remedy.stop is not None else ():
            page.paragraph(line, first=indent, rest=indent)
        page.paragraph(f"Then: {words.result_words(remedy, display)}.", first=indent, rest=indent)
        rooms = [words.room_words(step, display) for step in remedy.steps]
        for room in filter(None, [*rooms, words.uneven_words(remedy, display)]):
            page.paragraph(room, first=indent, rest=indent)
        page.paragraph(f"Asks: {remedy.cost}.", first=indent, rest=indent)
    if len(remedies) > SHOWN:
        page.paragraph(f"{len(remedies) - SHOWN} more in --json.")


def _edged(step: Step, display: Display) -> str:
    edge = words.exact_words(step, display)
    return words.step_words(step, display) + (f" ({edge})" if edge else "")


def _room(page: Page, plan: Plan, room: Headroom, display: Display) -> None:
    page.heading("Room left")
    page.paragraph(
        "Each figure alone, all others as planned. The rounded ones were planned again and are inside; the"
        " edges are not rounded."
    )
    tables: tuple[tuple[str, Sequence[Room], Dimension], ...] = (
        ("fuel aboard, usable", room.fuel, "volume"),
        ("one person", room.people, "mass"),
        ("one compartment", room.bags, "mass"),
    )
    for title, rooms, of in tables:
        if rooms:
            plain = f"planned: {of} | least: {of} | most: {of}"
            table = Filled(display, f"{title}: words | {plain} | lower edge: {of}.1 | upper edge: {of}.1")
            for each in rooms:
                table.add(each.what, each.now, each.least, each.most, each.exact.low, each.exact.high)
            page.line()
            page.add(table.made())
    if any(each.exact.high == HEAVIEST_SOUGHT for each in room.people):
        page.paragraph(f"Nobody heavier than {display.text(HEAVIEST_SOUGHT, 'mass')} was looked for.")
    _card(page, plan, room.card, display)


def _card(page: Page, plan: Plan, rows: Sequence[CardRow], display: Display) -> None:
    if not rows:
        return
    page.heading("Card for the last minute")
    page.paragraph(
        "One change at a time to the load as planned: one more bag of known mass in one compartment, or two"
        " people equally heavy on one row of seats."
    )
    table = Filled(
        display,
        "usable fuel: volume",
        *(Column(f"one more bag:\n{name}", of="mass") for name, _ in rows[0].bags),
        *(Column(f"the two on\n{name}", of="mass") for name, _ in rows[0].pairs),
        ": words",
    )
    for row in rows:
        most = ("none" if value is None else value for _, value in (*row.bags, *row.pairs))
        table.add(row.fuel, *most, row.note)
    page.add(table.made("card"))
    page.paragraph(
        f"No more than these, together for the two; the {plan.flight.category} category and this trip only."
        " Anything else: plan again."
    )
