"""`planner aircraft weigh` and `planner aircraft amend`: the records desk."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.app.common import (
    AircraftName,
    Json,
    Units,
    Working,
    console,
    display,
    exit_code,
    in_range,
    note,
    print_json,
    quantity,
)
from planner.app.given.options import helped


@helped(out="Write a printable record to this file; it must not exist.")
def weigh(
    worksheet: Annotated[
        str,
        typer.Argument(help="The worksheet of the weighing, or - for standard input.", metavar="WORKSHEET"),
    ],
    working: Working = False,
    out: Path | None = None,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Work out a weighing: reactions, corrections, basic empty mass, CG and moment, each step shown and each
    result with its uncertainty.

    The figures are prepared for a licensed person, who checks and signs; blank lines for that stand on the
    printed record.

    Example: planner aircraft weigh docs/weighings/thornlea-t4.yaml --working
    """
    from planner.logbook.mass.weigh import work_out
    from planner.records.sheets.weighing_sheet import load_worksheet
    from planner.views.records import weighing_text

    shown = display(units)
    worked = work_out(load_worksheet(worksheet))
    if out is not None:
        from planner.quantities.files import write_new

        write_new(out, weighing_text.record_text(worked, shown).encode())
    if json:
        print_json(weighing_text.weighing_json(worked, shown, working))
    else:
        weighing_text.render(worked, shown, console(), working)
    if out is not None:
        note(f"{out} written: print it for the licensed person to check and sign.")


@helped(dry_run="Show what would change and write nothing.")
def amend(
    profile: Annotated[
        str,
        typer.Argument(
            help="Path of your profile. One that comes with the program is never changed: --dry-run only.",
            metavar="PROFILE",
        ),
    ],
    change: Annotated[
        str,
        typer.Argument(help="The file that says what changed, or - for standard input.", metavar="CHANGE"),
    ],
    dry_run: bool = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Carry the mass record of a profile on: equipment put in, taken out or moved, or a new weighing.

    Shows the new basic empty mass and CG, the drift since the last weighing, and both adverse loadings before
    and after. The profile is changed in place, only where it must be; the old record stays in it, marked and
    dated.

    Example: planner aircraft amend thornlea-t4 docs/changes/new-radio.yaml --dry-run
    """
    from planner.logbook.mass.amend import amend as carry_on
    from planner.records.sheets.change_sheet import load_change
    from planner.views.records import amend_text

    shown = display(units)
    done = carry_on(profile, load_change(change), write=not dry_run)
    if json:
        print_json(amend_text.amendment_json(done, not dry_run))
    else:
        amend_text.render_amendment(done, shown, console(), not dry_run)
    told = "nothing written (--dry-run); the record would be" if dry_run else f"{done.path}: now record"
    note(f"{told} {done.after.version_id}")


def history(aircraft: AircraftName, json: Json = False, units: Units = "metric") -> None:
    """List the mass records of a profile, older ones too: what changed, who, when, how far from the weighing,
    and the path of the CG.

    Example: planner aircraft history thornlea-t4
    """
    from planner.logbook.mass.history import history as records
    from planner.records.store import load_aircraft
    from planner.views.records.amend_text import history_json, render_history

    shown, record = display(units), load_aircraft(aircraft).record
    held = records(record)
    print_json(history_json(record, held)) if json else render_history(record, held, shown, console())


def check_extremes(
    aircraft: str, occupant: str | None, pilot: str, minimum_fuel: str | None, as_json: bool, units: str
) -> int:
    """Both adverse loadings of every category of an aircraft, shown. Returns the exit code."""
    from planner.flight.extremes import assume, every_category
    from planner.records.store import load_aircraft
    from planner.views.records import amend_text

    record = load_aircraft(aircraft).record
    shown = display(units, record)
    mass, fuel = (
        None if read is None else read.value
        for read in (
            quantity(occupant, "--occupant", "mass"),
            quantity(minimum_fuel, "--least-fuel", "volume"),
        )
    )
    with in_range(
        "--extremes", "extremes-impossible", "needed a station with seats, and fuel the tanks hold"
    ):
        assumed = assume(record, mass, pilot, fuel)
    checked = every_category(record, assumed)
    if as_json:
        print_json(amend_text.extremes_json(record, assumed, checked))
    else:
        amend_text.render_extremes(record, assumed, checked, shown, console())
    limits = [each.limit for found in checked for each in found.pair]
    shown_inside = not any(found.reason for found in checked) and all(
        each.verdict == "inside" for each in limits
    )
    return exit_code(shown_inside)
