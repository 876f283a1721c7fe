"""`planner remedy`: what to change, or what room is left."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.app.common import Json, Units, console, display, ended, exit_code, print_json
from planner.app.flight.sheet import room_of
from planner.app.given.changing import File, ReadFlight, Save, Set, read_flight
from planner.app.given.options import helped
from planner.app.progress import Progress

if TYPE_CHECKING:
    from planner.quantities.units import Display
    from planner.search.remedies import Remedies
    from planner.search.remedies.figures import Rounding
    from planner.search.varied import Case


@helped(pairs="Also look for two changes together where one is enough.")
def remedy(
    file: File,
    settings: Set = None,
    save: Save = "",
    pairs: bool = False,
    among: Annotated[
        str,
        typer.Option(
            "--across",
            help=(
                "In place of that: which aircraft of this folder of profiles can carry the load on this trip."
            ),
            metavar="DIR",
        ),
    ] = "",
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Find the smallest changes that bring a flight inside every limit; for one that is inside, the room it
    has left.

    Exit code: 0 only where the flight is inside as it stands, 1 otherwise, also when a remedy is found. With
    --across: 0 where at least one of the aircraft can.

    Example: planner remedy docs/flights/full-tanks.yaml

    Example: planner remedy docs/flights/demo.yaml --units us

    Example: planner remedy docs/flights/demo.yaml --across aircraft_profiles

    Example: planner remedy docs/flights/demo.yaml --set 'baggage=45 kg'
    """
    from planner.search.remedies.figures import STEPS
    from planner.search.varied import case_of

    read = read_flight(file, settings, save)
    shown = display(units, read.aircraft.record)
    steps = STEPS[shown.system]  # what is shown is what was planned again
    case = case_of(read.flight, read.aircraft)
    if among:
        raise typer.Exit(_across(case, among, read, json, shown))
    found = _search(case, pairs, steps)
    room = room_of(case, steps) if case.plan.verdict == "inside" else None
    if json:
        from planner.views.remedy.remedy_json import remedies_json

        print_json(remedies_json(found, room) | read.json)
    else:
        from planner.views.remedy.remedy_text import render_remedies

        screen = console()
        read.show(screen)
        render_remedies(found, room, shown, screen)
    raise ended(case.plan.verdict == "inside")


def _search(case: Case, pairs: bool, steps: Rounding) -> Remedies:
    """The search, with a progress bar on stderr once it takes longer than a second."""
    from planner.search.remedies import remedies

    with Progress("looking", 100) as progress:
        return remedies(case, pairs, steps, lambda done, of: progress.at(done * 100 // of))


def _across(case: Case, folder: str, read: ReadFlight, json: bool, shown: Display) -> int:
    from pathlib import Path

    from planner.records.store import profile_folder
    from planner.search.remedies.across import across, profiles_in
    from planner.views.remedy.across_text import across_json, render_across

    # The profiles that come with the program answer to their folder's name wherever the program is installed.
    path = profile_folder() if folder == profile_folder().name and not Path(folder).is_dir() else Path(folder)
    paths = profiles_in(path)
    with Progress("looking", len(paths)) as progress:
        found = across(case, paths, progress.at)
    if json:
        print_json(across_json(case.plan, found) | read.json)
    else:
        screen = console()
        read.show(screen)
        render_across(case.plan, found, shown, screen)
    return exit_code(any(each.possible for each in found))
