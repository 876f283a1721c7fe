"""`planner aircraft`: the profiles."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.app.common import (
    BAD_INPUT,
    INSIDE,
    AircraftName,
    Json,
    Units,
    console,
    display,
    group,
    must_be_new,
    note,
    page,
    print_json,
    refuse_option,
)
from planner.app.desk import desk
from planner.app.given.options import helped

app = group(
    "Aircraft profiles: list, show, check, start a new one; weighings and changes to the mass"
    " record.\n\nExample: planner aircraft list"
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
def show(aircraft: AircraftName, json: Json = False, units: Units = "metric") -> None:
    """Show a profile: masses, stations, tanks, envelopes, flows and where its figures come from.

    Example: planner aircraft show thornlea-t4
    """
    from planner.records.store import load_aircraft
    from planner.views.records.aircraft_text import profile_json, render_profile

    loaded = load_aircraft(aircraft)
    shown = display(units, loaded.record)
    print_json(profile_json(loaded)) if json else render_profile(loaded, shown, console())


@app.command()
@helped(
    extremes="Show the most forward and the most aft loading of one aircraft instead.",
    occupant="For --extremes: mass in every seat; 170 lb if not given.",
    pilot="For --extremes: the pilot's station; the first one with seats if not given.",
    least_fuel="For --extremes: such as '20 L'; 30 min at the highest flow if not given.",
)
def check(
    files: Annotated[list[str], typer.Argument(help="Ids or paths of profiles.", metavar="AIRCRAFT...")],
    extremes: bool = False,
    occupant: str | None = None,
    pilot: str = "",
    least_fuel: str | None = None,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Check profiles and say everything that is wrong at once. Exit code 0 when all can be used, 2 when not.

    The sample loadings under `examples:` are reckoned anew and shown, printed against ours; one that differs
    is exit code 2.

    With --extremes the exit code is 0 when both adverse loadings of every category are inside, 1 when not.

    Example: planner aircraft check thornlea-t4
    """
    from datetime import date

    from planner.plan.examples import Reckoned, examples_differ, examples_of
    from planner.quantities.errors import Finding, InputRefused
    from planner.quantities.sentences import finding_line
    from planner.records.aircraft.believable import drains_missing, examples_missing
    from planner.records.aircraft.mass_record import record_notices
    from planner.records.aircraft.record import Aircraft
    from planner.records.placed import place_all
    from planner.records.store import load_aircraft
    from planner.views.records.aircraft_text import examples_blocks, examples_json

    if extremes:
        if len(files) != 1:
            message = f"{len(files)} profiles are given"
            raise refuse_option("--extremes", "option-conflict", message, "needed one profile")
        raise typer.Exit(desk.check_extremes(files[0], occupant, pilot, least_fuel, json, units))
    findings: list[Finding] = []
    records: dict[str, Aircraft] = {}
    fine: list[str] = []
    unlike: list[str] = []
    samples: dict[str, tuple[Reckoned, ...]] = {}
    for name in files:
        try:
            loaded = load_aircraft(name)
            record = loaded.record
            told = record_notices(record.basic_empty, record.superseded, record.weigh_every, date.today())
            findings += (*loaded.notices, *(loaded.document.place(each, ("basic_empty",)) for each in told))
            of_papers = (*drains_missing(record), *examples_missing(record))
            findings += (*place_all(loaded.document, of_papers), *examples_differ(loaded))
            records[name] = record
            samples[name] = examples_of(record)
            (fine if all(each.agrees for each in samples[name]) else unlike).append(name)
        except InputRefused as refused:
            findings += refused.findings
    if json:
        reckoned_anew = {name: examples_json(each) for name, each in samples.items()}
        listed = [finding.as_json() for finding in findings]
        data = {"usable": fine, "findings": listed, "examples": reckoned_anew}
        print_json({"schema": "planner/findings/1", **data})
    else:
        out, shown = console(), display(units, next(iter(records.values()), None))
        for name, reckoned in samples.items():
            examples_blocks(name, reckoned, display(units, records[name]), page())
        for finding in findings:
            out.print(f"{finding.severity}: {finding_line(finding, shown)}", soft_wrap=True)
        for name in fine:
            right = "only the approved manual can say whether its figures are right"
            out.print(f"{name}: readable and consistent; {right}", soft_wrap=True)
        for name in unlike:
            wrong = "it does not give the sample of its own papers"
            out.print(f"{name}: NOT SHOWN RIGHT: {wrong}", soft_wrap=True)
    raise typer.Exit(INSIDE if len(fine) == len(files) else BAD_INPUT)


@app.command()
@helped(
    blank="Ask nothing: write a commented skeleton to fill in.",
    back=("What to type for one step back.", "WORD"),
)
def new(
    file: Annotated[Path, typer.Argument(help="The file to write; it must not exist.", metavar="FILE.yaml")],
    blank: bool = False,
    back: str = "<",
) -> None:
    """Ask for a new profile, figure by figure in the order of a handbook page, write it with comments, and
    check it.

    A number alone takes the unit used last; ? tells what is meant; Enter leaves out what may be left out.
    Answers may be piped in, one a line. An existing file is never overwritten. Exit code 2 where the new
    profile can not be used yet.

    Example: planner aircraft new my-aircraft.yaml --blank
    """
    from planner.quantities.files import write_new

    must_be_new(file)
    if blank:
        from planner.records.aircraft.skeleton import SKELETON

        write_new(file, SKELETON.encode())
        then = f"planner aircraft check {file}"
        return note(f"{file} written. Fill in every figure from the approved manual, then: {then}")
    from planner.app.given.asking import Dialogue, Ended, from_standard_input
    from planner.records.questions import questions

    note(f"? tells what is meant, {back} goes one step back, Enter leaves out. Write the unit once: 1466 lb.")
    try:
        text = Dialogue(questions, note, from_standard_input, back).run()
    except Ended as ended:
        message = f"the answers ended before '{ended}'; nothing was written"
        raise refuse_option(str(file), "answers-ended", message, "needed every answer") from None
    write_new(file, text.encode())
    note(f"{file} written. Read it once against the manual; what it says:")
    check([str(file)], False, None, "", None, False, "")
    return None


app.command("weigh")(desk.weigh)
app.command("amend")(desk.amend)
app.command("history")(desk.history)
