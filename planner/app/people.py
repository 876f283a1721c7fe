"""`planner people`: masses of people and bags by name, for use in any flight."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.app.common import (
    Json,
    Units,
    console,
    display,
    group,
    page,
    print_json,
    refuse_option,
    stated_day,
)
from planner.app.given.options import helped

app = group(
    "Masses of people and bags by name, so that a flight may say 'front seats: [Ana Lark, 70 kg]'. Kept"
    " on this machine only.\n\nExample: planner people list"
)
Where = Annotated[
    Path | None,
    typer.Option(
        "--file", help="The people.yaml meant; that of your data folder where left out.", metavar="FILE"
    ),
]


def _file(chosen: Path | None) -> Path:
    from planner.quantities.files import data_folder
    from planner.records.flight.people import FILE

    return chosen if chosen is not None else data_folder() / FILE


@app.command()
@helped(replace="Put a new mass in the place of a known one, kept as a comment.")
def add(
    name: Annotated[str, typer.Argument(help="The name a flight will use.", metavar="NAME")],
    mass: Annotated[
        str, typer.Argument(help="As weighed, dressed for the flight: '78 +/- 2 kg'.", metavar="MASS")
    ],
    day: Annotated[str, typer.Option("--date", help="The day the mass is of; today where left out.")] = "",
    replace: bool = False,
    file: Where = None,
    json: Json = False,
) -> None:
    """Keep a mass under a name.

    Example: planner people add 'Ben Wren' '85 +/- 2 kg'
    """
    from datetime import date

    from planner.records.writing.people_file import add_person

    path = _file(file)
    needed, wrong = "needed year-month-day such as 2026-03-14", f"'{day}' is not a date"
    of = stated_day("--date", day, "date-unreadable", needed, wrong) if day else date.today()
    before = add_person(path, name, mass, of, replace)
    if json:
        print_json(
            {"schema": "planner/people/1", "name": name, "mass": mass, "date": str(of), "file": str(path)}
        )
        return
    was = f", was {before}, which stays as a comment" if before else ""
    console().print(f"{name}: {mass}, of {of}{was}. In {path}.", soft_wrap=True)


@app.command("list")
def list_(json: Json = False, units: Units = "metric") -> None:
    """List everybody a flight in this folder may name, and whose mass is older than a year.

    Example: planner people list
    """
    from datetime import date

    from planner.records.flight.people import people_beside
    from planner.views.blocks import Filled

    shown, today = display(units), date.today()
    people = sorted(people_beside(Path.cwd()).values(), key=lambda each: each.name.casefold())
    if json:
        listed = [
            {
                "name": each.name,
                "mass_kg": each.mass.value,
                "u_kg": each.mass.u,
                "date": str(each.of or "not stated"),
                "file": str(each.path),
            }
            for each in people
        ]
        print_json({"schema": "planner/people/1", "people": listed})
        return
    shows = page()
    if not people:
        shows.paragraph(f"Nobody is known. Kept in {_file(None)} by: planner people add NAME MASS", first="")
        return
    table = Filled(shown, "name: words | mass: mass | u: mass | of | file: words")
    for each in people:
        table.add(each.name, each.mass.value, each.mass.u, str(each.of or "no date"), str(each.path))
    shows.add(table.made("people"))
    shows.notices([f"{words}: weigh again" for each in people if (words := each.age_words(today))])


@app.command()
def forget(
    name: Annotated[str, typer.Argument(help="The name to forget.", metavar="NAME")],
    file: Where = None,
    json: Json = False,
) -> None:
    """Erase a name with its mass and what is kept of older ones.

    Example: planner people forget 'Ana Lark'
    """
    from planner.records.flight.people import people_in
    from planner.records.writing.people_file import forget_person

    path = _file(file)
    if not forget_person(path, name):
        from planner.quantities.errors import closest

        hint = closest(name, people_in(path) if path.is_file() else {})
        message = f"nobody of this name in {path}"
        raise refuse_option(name, "person-unknown", message, "needed a name that is there", hint)
    if json:
        print_json({"schema": "planner/forgotten/1", "name": name, "file": str(path)})
    else:
        console().print(f"{name} is forgotten in {path}.", soft_wrap=True)
