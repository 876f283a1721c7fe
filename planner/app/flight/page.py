"""`planner page`: one file that plans a flight in any browser, offline, for one aircraft or a club's."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.app.common import INSIDE, Json, console, print_json, refuse_option

if TYPE_CHECKING:
    from collections.abc import Sequence

    from planner.records.aircraft.record import Aircraft


def page(
    names: Annotated[
        list[str],
        typer.Argument(
            help="Aircraft, by id or profile, and last the file to write (.html).", metavar="AIRCRAFT... OUT"
        ),
    ],
    valid_until: Annotated[
        str,
        typer.Option(
            "--valid-until",
            help="Day after which the page asks whether the mass record still holds; else the next due.",
            metavar="YYYY-MM-DD",
        ),
    ] = "",
    replace: Annotated[
        bool, typer.Option("--replace", help="Where OUT exists, keep it as OUT.bak and write the new one.")
    ] = False,
    json: Json = False,
) -> None:
    """Write a page that plans a flight on a telephone or a wall, from a file, with no network and no program.

    It holds the compiled aircraft and reckons what `planner flight` does: states, the whole burn, fuel and
    reserve, U and verdict. A digest over the model refuses a changed byte. It saves a flight that this
    program reads.

    Example: planner page thornlea-t4 thornlea.html --valid-until 2027-03-14

    Example: planner page thornlea-t4 corvedale-sextet club.html --valid-until 2027-03-14
    """
    from planner.app.flight.sheet import write
    from planner.facts.cautions import PLAN_SHORT
    from planner.records.store import load_aircraft
    from planner.views.page.building import page_of

    *wanted, out = names
    if not wanted or Path(out).suffix.lower() != ".html":
        raise refuse_option(
            "OUT",
            "page-format",
            f"'{out}' is not a page to write",
            "needed one aircraft or more, then a file that ends in .html",
        )
    if twice := next((name for name in wanted if wanted.count(name) > 1), ""):
        raise refuse_option(
            "AIRCRAFT", "page-twice", f"'{twice}' is named twice", "needed each aircraft once"
        )
    aircraft = [(name, load_aircraft(name).record) for name in wanted]
    until, today = _until(valid_until, [each for _, each in aircraft]), date.today()
    made = page_of(aircraft, until, today)
    data = made.text.encode()
    kept = write(Path(out), data, replace)
    if json:
        told = {
            "out": out,
            "aircraft": wanted,
            "bytes": len(data),
            "kept": kept,
            "digest": made.digest,
            "valid_until": str(until),
        }
        print_json({"schema": "planner/page/1", **told, "caution": PLAN_SHORT})
    else:
        screen = console()
        # A path is not broken, so that it can be copied.
        screen.print(
            f"Written: {out}, {len(data) / 1000:.0f} kB, holds until {until}, digest {made.digest[:16]}.",
            soft_wrap=True,
        )
        if kept:
            screen.print(f"The file that was there is now {kept}.", soft_wrap=True)
        screen.print(f"CAUTION: {PLAN_SHORT}")
    raise typer.Exit(INSIDE)


def _until(stated: str, aircraft: Sequence[Aircraft]) -> date:
    """The last day the page holds: as stated, else the first mass record that falls due, else as asked at the
    keyboard.
    """
    due = [each.basic_empty.next_due for each in aircraft if each.basic_empty.next_due is not None]
    if not stated and len(due) == len(aircraft):
        return min(due)
    if not stated and sys.stdin.isatty():
        stated = typer.prompt("Last day on which the mass record holds (YYYY-MM-DD)")
    try:
        return date.fromisoformat(stated)
    except ValueError:
        wrong = f"'{stated}' is no day" if stated else "no mass record says when it is next due"
        raise refuse_option(
            "--valid-until",
            "page-valid-until",
            wrong,
            "needed the last day on which the record holds",
            "write --valid-until 2027-03-14",
        ) from None
