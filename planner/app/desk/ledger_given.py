"""What every command of `planner ledger` takes, and the ledger it opens."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from planner.app.common import Json, Units, display
from planner.app.given.options import options_of_both
from planner.quantities.frozen import frozen

if TYPE_CHECKING:
    from planner.logbook.ledger.entries import Stored
    from planner.logbook.ledger.kept.store import Ledger
    from planner.quantities.units import Display
    from planner.records.aircraft.record import Aircraft

Of = Annotated[str, typer.Option("--aircraft", help="Id or path of the aircraft's profile.")]
LedgerFile = Annotated[
    Path | None, typer.Option("--file", help="The ledger's file; if not given, one in your data folder.")
]


@contextmanager
def opened_ledger(aircraft: str, file: Path | None, create: bool) -> Iterator[tuple[Aircraft, Ledger]]:
    from planner.logbook.ledger.kept.store import ledger_path, opened
    from planner.records.store import load_aircraft

    record = load_aircraft(aircraft).record
    with opened(file or ledger_path(record.name), record.name, create) as ledger:
        yield record, ledger


def held_in(aircraft: str, file: Path | None) -> tuple[Aircraft, tuple[Stored, ...]]:
    """The aircraft's record and every entry of its ledger."""
    with opened_ledger(aircraft, file, create=False) as (record, ledger):
        return record, ledger.entries()


@frozen
class HeldLedger:
    """What a ledger holds for a command that tells of it; `alive` are the entries that count."""

    record: Aircraft
    entries: tuple[Stored, ...]
    alive: tuple[Stored, ...]
    display: Display
    json: bool


def reading(own: Callable[..., None]) -> Callable[..., None]:
    """A command that tells what the ledger of one aircraft holds."""

    def read(
        aircraft: Of, file: LedgerFile = None, json: Json = False, units: Units = "metric", **given: Any
    ) -> None:
        from planner.logbook.ledger.entries import effective

        record, entries = held_in(aircraft, file)
        held = HeldLedger(
            record=record,
            entries=entries,
            alive=effective(entries),
            display=display(units, record),
            json=json,
        )
        own(held, **given)

    return options_of_both(read, own)
