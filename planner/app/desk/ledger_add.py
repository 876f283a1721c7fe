"""`planner ledger add` and `planner ledger correct`: what goes into the fuel log."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any, Final

import typer

from planner.app.common import Json, Units, chosen_grade, display, group, note, print_json, quantity
from planner.app.desk.ledger_given import LedgerFile, Of, opened_ledger
from planner.app.given.options import helped, options_of_both, taking, text_option

if TYPE_CHECKING:
    from planner.logbook.ledger.entries import Entry
    from planner.logbook.ledger.kept.store import Ledger
    from planner.records.aircraft.record import Aircraft

app = group(
    "Add an entry. None is ever changed or deleted; see 'planner ledger correct'.\n\n"
    "Example: planner ledger add flight --aircraft thornlea-t4 --time '1 h 5 min'"
)

_TOLD: Final = {
    "at": "When, in UTC, such as '2026-06-01 10:30'; now if not given.",
    "note": "Anything worth keeping with the entry.",
    "tank": "The tank; needed where the aircraft has several.",
    "start": "Start the log anew from this reading.",
    "reading": "On the stick, such as '11.5 cm', or litres if marked so; on a gauge, usable litres.",
    "stick": "The id marked on the stick.",
    "volume": "How much, such as '57 L' or '57 +/- 0.5 L'.",
    "leaves": "What is known to be in the tank afterwards: full, empty, or usable litres.",
    "ticket": "Number of the delivery ticket.",
    "grade": "The grade, as read from the ticket.",
    "time": "Time with the engine running, such as '1 h 5 min'.",
    "burnt": "Burn, where it was measured.",
    "flow": "Mean flow for the time; the profile's cruise flow if not given.",
    "planned": "The burn that was planned.",
}


def _keep(record: Aircraft, ledger: Ledger, entry: Entry, as_json: bool, units: str) -> None:
    from planner.logbook.ledger.entries import Stored

    shown = display(units, record)
    (number,) = ledger.add([entry])
    if as_json:
        from planner.views.records.ledger_text import entry_json

        print_json(entry_json(record, Stored(number, entry)))
    usable = " usable" if entry.kind in ("dip", "gauge") else ""
    figures = f"{shown.text(entry.volume, 'volume')}{usable}, U {shown.text(2 * entry.u, 'volume')}"
    made = f"taken out; {entry.note}" if entry.void else f"{entry.text} = {figures}"
    told = f"no. {number}: {entry.kind} {entry.tank or record.name}, {made}; in {ledger.path}"
    note(told)
    _warn(record, ledger, number, entry)


def _warn(record: Aircraft, ledger: Ledger, number: int, entry: Entry) -> None:
    """What this entry brings to light is told at once, while the ticket is still at hand; the entry stays."""
    from planner.facts.grades import GRADES
    from planner.logbook.ledger.balance import stages
    from planner.logbook.ledger.entries import effective, full
    from planner.logbook.ledger.suspects import late, suspects, unsettled
    from planner.quantities.sentences import Figure, say

    alive = effective(ledger.entries())
    told = [each.finding() for each in unsettled(suspects(record, alive))]
    told += [each for each in late(record, alive) if f"no. {number} " in each.message]
    for stage in stages(record, alive)[-1:] if not told else ():
        log, last = stage.source("log"), alive[-1]
        beyond = -log.volume if log is not None and last.entry.kind == "flight" else 0.0
        words = "the flight is longer than the fuel of the log, by {}"
        if log is not None and last.entry.kind == "uplift":
            beyond, words = log.volume - full(record, ""), "the uplift is {} beyond the space of the log"
        if last.number == number and beyond > 0:
            message = say(f"no. {number}: {words}, within its uncertainty", Figure(beyond, "volume"))
            note(f"NOTICE: {message}; dip every tank")
    for each in told:
        note(f"NOTICE: {each.message}; {each.hint}", "yellow")
    if entry.grade and not entry.void and entry.grade not in record.fuel_grades:
        name = GRADES[entry.grade].name if entry.grade in GRADES else entry.grade
        words = f"CAUTION: {record.name} may not use {name}. Do not fly; drain it and ask the supplier and an"
        note(f"{words} engineer.", "bold red")


Making = Callable[["Aircraft", str, str], "Entry"]  # of the aircraft's record, when, and the note


def _entry(own: Callable[..., Making]) -> Callable[..., None]:
    """A command that adds what `own` makes. Only then is the ledger opened: a refused entry leaves no file
    behind.
    """

    def add(
        aircraft: Of,
        at: str | None = None,
        note: str = "",
        file: LedgerFile = None,
        json: Json = False,
        units: Units = "metric",
        **given: Any,
    ) -> None:
        from planner.logbook.ledger.entries import moment
        from planner.records.store import load_aircraft

        make = own(**given)
        entry = make(load_aircraft(aircraft).record, moment(at), note)
        with opened_ledger(aircraft, file, create=True) as (record, ledger):
            _keep(record, ledger, entry, json, units)

    return options_of_both(helped(**_TOLD)(add), helped(**_TOLD)(own))


@app.command()
@_entry
def dip(reading: str, stick: str, tank: str = "", start: bool = False) -> Making:
    """Add a dip. The stick must be the one the profile names for that tank; a stick of another aircraft is
    refused.

    Example: planner ledger add dip --aircraft thornlea-t4 --tank left --stick T4-L --reading '11.5 cm'
    """
    from planner.logbook.ledger import entries

    read = quantity(reading, "--reading", "length", "volume")
    return lambda record, at, note: entries.dip(record, at, tank, stick, read, note, start)


@app.command()
@_entry
def gauge(reading: str, tank: str = "", start: bool = False) -> Making:
    """Add a gauge reading in usable fuel: of one tank, or of all where no tank is named.

    Example: planner ledger add gauge --aircraft thornlea-t4 --reading '60 L'
    """
    from planner.logbook.ledger import entries

    read = quantity(reading, "--reading", "volume")
    return lambda record, at, note: entries.gauge(record, at, tank, read, note, start)


@app.command()
@_entry
def uplift(volume: str, tank: str = "", leaves: str = "", ticket: str = "", grade: str = "") -> Making:
    """Add fuel put in, by its ticket. Filled to the brim, say --leaves full: then the ticket also tells what
    was there before.

    Example: planner ledger add uplift --aircraft thornlea-t4 --tank left --volume '41 L' --leaves full --ticket A-8812 --grade avgas-100LL
    """  # noqa: E501 - an example is one line to copy
    from planner.logbook.ledger import entries
    from planner.quantities.options import read_level

    amount = quantity(volume, "--volume", "volume")
    if grade:
        chosen_grade(grade)
    level = read_level(leaves)
    return lambda record, at, note: entries.supply(
        record, "uplift", at, tank, amount, level, ticket, grade, note
    )


@app.command()
@_entry
def drain(volume: str, tank: str = "", leaves: str = "") -> Making:
    """Add fuel let out. Drained to the unusable fuel, say --leaves empty: then the drained volume tells what
    was there before.

    Example: planner ledger add drain --aircraft thornlea-t4 --volume '10 L' --leaves empty
    """
    from planner.logbook.ledger import entries
    from planner.quantities.options import read_level

    amount, level = quantity(volume, "--volume", "volume"), read_level(leaves)
    return lambda record, at, note: entries.supply(record, "drain", at, tank, amount, level, note=note)


@app.command()
@_entry
def flight(
    time: str | None = None, burnt: str | None = None, flow: str | None = None, planned: str | None = None
) -> Making:
    """Add a flight: its burn is the one measured, or time x flow, known to 10 %.

    Example: planner ledger add flight --aircraft thornlea-t4 --time '1 h 5 min' --planned '38 L'
    """
    from planner.logbook.ledger import entries

    figures = (
        quantity(time, "--time", "time"),
        quantity(burnt, "--burnt", "volume"),
        quantity(flow, "--flow", "volume flow"),
        quantity(planned, "--planned", "volume"),
    )
    return lambda record, at, note: entries.flight(record, at, *figures, note)


_RIGHT: Final = {
    "reading": "The right reading of a dip or gauge.",
    "volume": "The right volume of an uplift or drain.",
    "leaves": "The right level afterwards: full, empty or usable litres.",
    "tank": "The right tank.",
    "stick": "The right stick.",
    "time": "The right time of a flight.",
    "burnt": "The right burn of a flight.",
    "flow": "The right flow of a flight.",
    "planned": "The right planned burn of a flight.",
}


@taking("void", [text_option(name, words, default=None) for name, words in _RIGHT.items()])
@helped(void="Take the entry out without another in its stead.", at=_TOLD["at"])
def correct(
    number: Annotated[int, typer.Argument(help="The number of the entry, as listed.", metavar="NUMBER")],
    aircraft: Of,
    note: Annotated[str, typer.Option("--note", help="Why it is corrected.")],
    void: bool = False,
    at: str | None = None,
    file: LedgerFile = None,
    json: Json = False,
    units: Units = "metric",
    **given: str | None,
) -> None:
    """Correct an entry by a new one that takes its place. The old one stays in the ledger, marked.

    Example: planner ledger correct 3 --aircraft thornlea-t4 --reading '12.5 cm' --note 'read upside down'
    """
    from planner.logbook.ledger.correcting import corrected

    told = {key: value for key, value in {**given, "at": at}.items() if value is not None}
    with opened_ledger(aircraft, file, create=False) as (record, ledger):
        entry = corrected(record, ledger.entries(), number, told, void, note)
        _keep(record, ledger, entry, json, units)
