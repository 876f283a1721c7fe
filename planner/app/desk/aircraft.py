"""`planner aircraft`: the profiles."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.app.common import BAD_INPUT, INSIDE, Json, Units, console, display, print_json, refuse_option
from planner.app.desk import desk

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help=(
        "Aircraft profiles: list, show, check, start a new one; weighings and changes to the mass"
        " record.\n\nExample: planner aircraft list"
    ),
)


@app.command("list")
def list_(json: Json = False) -> None:
    """List the profiles that come with the program. All are invented, for practice.

    Example: planner aircraft list
    """
    from planner.records.store import load_aircraft, profile_ids
    from planner.views.records import aircraft_text

    loaded = [(each, load_aircraft(each).record) for each in profile_ids()]
    print_json(aircraft_text.list_json(loaded)) if json else aircraft_text.render_list(loaded, console())


@app.command()
def show(
    aircraft: Annotated[str, typer.Argument(help="Id or path of a profile.", metavar="AIRCRAFT")],
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Show a profile: masses, stations, tanks, envelopes, flows and where its figures come from.

    Example: planner aircraft show thornlea-t4
    """
    from planner.records.store import load_aircraft
    from planner.views.records import aircraft_text

    shown, loaded = display(units), load_aircraft(aircraft)
    if json:
        print_json(aircraft_text.profile_json(loaded))
    else:
        aircraft_text.render_profile(loaded, shown, console())


@app.command()
def check(
    files: Annotated[list[str], typer.Argument(help="Ids or paths of profiles.", metavar="AIRCRAFT...")],
    extremes: Annotated[
        bool,
        typer.Option(
            "--extremes", help="Show the most forward and the most aft loading of one aircraft instead."
        ),
    ] = False,
    occupant: Annotated[
        str | None, typer.Option(help="For --extremes: mass in every seat; 170 lb if not given.")
    ] = None,
    pilot: Annotated[
        str, typer.Option(help="For --extremes: the pilot's station; the first one with seats if not given.")
    ] = "",
    least_fuel: Annotated[
        str | None,
        typer.Option(
            "--least-fuel", help="For --extremes: such as '20 L'; 30 min at the highest flow if not given."
        ),
    ] = None,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Check profiles and say everything that is wrong at once. Exit code 0 when all can be used, 2 when not.

    With --extremes the exit code is 0 when both adverse loadings of every category are inside, 1 when not.

    Example: planner aircraft check thornlea-t4
    """
    from datetime import date

    from planner.quantities.errors import Finding, InputRefused
    from planner.records.aircraft.mass_record import record_notices
    from planner.records.store import load_aircraft

    if extremes:
        if len(files) != 1:
            raise refuse_option(
                "--extremes", "option-conflict", f"{len(files)} profiles are given", "needed one profile"
            )
        raise typer.Exit(desk.check_extremes(files[0], occupant, pilot, least_fuel, json, units))
    findings: list[Finding] = []
    fine: list[str] = []
    for name in files:
        try:
            loaded = load_aircraft(name)
            record = loaded.record
            told = record_notices(record.basic_empty, record.superseded, record.weigh_every, date.today())
            findings += (*loaded.notices, *(loaded.document.place(each, ("basic_empty",)) for each in told))
            fine.append(name)
        except InputRefused as refused:
            findings += refused.findings
    if json:
        print_json(
            {
                "schema": "planner/findings/1",
                "usable": fine,
                "findings": [finding.as_json() for finding in findings],
            }
        )
    else:
        out = console()
        for finding in findings:
            out.print(f"{finding.severity}: {finding}", soft_wrap=True)
        for name in fine:
            out.print(
                f"{name}: readable and consistent; only the approved manual can say whether its figures are"
                " right",
                soft_wrap=True,
            )
    raise typer.Exit(INSIDE if len(fine) == len(files) else BAD_INPUT)


@app.command()
def new(
    file: Annotated[Path, typer.Argument(help="The file to write; it must not exist.", metavar="FILE.yaml")],
) -> None:
    """Write a commented skeleton of a profile to fill in from the approved manual. An existing file is never
    overwritten.

    Example: planner aircraft new my-aircraft.yaml
    """
    from planner.records.aircraft.skeleton import SKELETON

    try:
        # "x" makes the operating system itself refuse an existing file, so no other process can slip one in
        # between.
        with open(file, "x", encoding="utf-8") as stream:
            stream.write(SKELETON)
    except FileExistsError:
        raise refuse_option(
            str(file), "file-exists", "the file exists and is not overwritten", "needed a new name"
        ) from None
    except OSError as error:
        raise refuse_option(
            str(file),
            "file-unwritable",
            f"cannot be written: {error.strerror}",
            "needed a folder you may write to",
        ) from None
    console(stderr=True).print(
        f"{file} written. Fill in every figure from the approved manual, then: planner aircraft check {file}",
        soft_wrap=True,
    )


app.command("weigh")(desk.weigh)
app.command("amend")(desk.amend)
app.command("history")(desk.history)
