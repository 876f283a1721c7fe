"""`planner board`: one flight on the wall of a classroom or the briefing table, in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.app.common import Json, Units, console, display, print_json
from planner.app.flight.page import ValidUntil, show_written, told_of, until, written
from planner.app.flight.sheet import Leg, Replace, leg_of
from planner.app.given.changing import File, Save, Set, read_flight


def board(
    file: File,
    settings: Set = None,
    save: Save = "",
    leg: Leg = 0,
    out: Annotated[
        str,
        typer.Option(
            "--out", help="The page to write; else one of your own data folder.", metavar="OUT.html"
        ),
    ] = "",
    valid_until: ValidUntil = "",
    replace: Replace = False,
    open_page: Annotated[bool, typer.Option("--open", help="Open the page in the browser.")] = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Write the page of `planner page` for the wall, with this flight: move loads, fuel, temperature and
    density, and see verdict, picture and fuel plan follow.

    It needs no network and no program once it is written. The flight file is not changed; the page saves a
    new one. Without --out the page of a flight takes the place of that flight's last one.

    Example: planner board docs/flights/demo.yaml --units us

    Example: planner board docs/flights/demo.yaml --set 'baggage=30 kg' --out board.html
    """
    from datetime import date

    from planner.views.page.building import page_of
    from planner.views.page.opening import opening_of

    read = read_flight(file, settings, save)
    case, words, beside = leg_of(read, leg)
    aircraft = case.plan.aircraft
    shown, today = display(units, aircraft), date.today()
    holds = until(valid_until, [aircraft], today)
    opening = opening_of(case, shown, [*filter(None, [words]), *beside, *read.words])
    made = page_of([(case.flight.record.aircraft, aircraft)], holds, today, opening, shown.system)
    path = Path(out) if out else _own(file)
    kept = written(path, made, replace if out else None)
    told = {"verdict": case.plan.verdict, **told_of(path, made, holds, kept)}
    if json:
        print_json({"schema": "planner/board/2", **told, **read.json})
    else:
        screen = console()
        read.show(screen)
        show_written(screen, told)
    if open_page:
        import webbrowser

        webbrowser.open(path.resolve().as_uri())


def _own(file: str) -> Path:
    """The page of a flight among the user's own data: one for each file, however often it is shown."""
    from hashlib import sha256

    from planner.logbook.keeping import BOARDS
    from planner.quantities.files import data_folder

    folder = data_folder() / BOARDS
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)  # it holds who sits where
    place = sha256(str(Path(file).resolve()).encode()).hexdigest()[:8]
    return folder / f"{Path(file).stem.strip('-') or 'flight'}-{place}.html"
