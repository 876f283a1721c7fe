"""`planner demonstrate`: lessons of loading, worked out live."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.app.common import Json, Units, display, ended, page, print_json, refuse_option, unknown
from planner.app.given.options import helped

if TYPE_CHECKING:
    from planner.quantities.units import Display
    from planner.school.demonstrations.list_of import Demonstration
    from planner.views.school.demonstration_text import Worked


@helped(
    on="Id or path of another profile; without NAME, all demonstrations on it in a line each.",
    working="Give every line of the working.",
    sheet=("Write a handout for a class, without the answers (.html, new).", "FILE"),
    answers=("With --sheet: the same handout with the answers (.html, new).", "FILE"),
)
def demonstrate(
    name: Annotated[
        str | None, typer.Argument(help="A demonstration; all are listed where left out.", metavar="[NAME]")
    ] = None,
    on: str | None = None,
    working: bool = False,
    sheet: Path | None = None,
    answers: Path | None = None,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Demonstrate a lesson of loading with live figures: the question, the loadings side by side, what comes
    out, the pictures, the lesson and the correction.

    On another profile the program searches whether the lesson holds there, and says so where it does not
    (exit code 1).

    Example: planner demonstrate full-fuel-or-seats

    Example: planner demonstrate overnight --working

    Example: planner demonstrate --on hazelbrook-teasel
    """
    from planner.school.demonstrations.list_of import DEMONSTRATIONS
    from planner.views.school import demonstration_text as report

    shown = display(units)
    if name is None and on is None:
        print_json(report.list_json()) if json else report.render_list(page())
        return
    if name is not None and name not in DEMONSTRATIONS:
        raise unknown("NAME", "demonstration-unknown", name, "a demonstration", DEMONSTRATIONS)
    chosen = [DEMONSTRATIONS[name]] if name is not None else list(DEMONSTRATIONS.values())
    results = [_demonstrated(each, on, shown) for each in chosen]
    if sheet is not None or answers is not None:
        _write(results, sheet, answers, shown, one=name is not None)
        return
    if json:
        data = [report.shown_json(each, shown) for each in results]
        several = {"cautions": data[0]["cautions"], "demonstrations": data}
        print_json(data[0] if name is not None else {"schema": "planner/demonstrations-on/1", **several})
    elif name is not None:
        report.render_shown(page(), results[0], shown, working=working)
    else:
        from planner.views.school.practice_text import render_cautions

        shows = page()
        shows.paragraph(f"Demonstrations on {results[0][1].aircraft.name}", "bold", first="", rest="")
        render_cautions(shows, results[0][1].aircraft.invented)
        report.render_all(shows, results)
    raise ended(name is None or results[0][2].holds)


def _write(
    results: list[Worked], sheet: Path | None, answers: Path | None, shown: Display, *, one: bool
) -> None:
    """The handout without and with its answers; neither overwrites anything."""
    from planner.app.school.papers import write_both
    from planner.views.school.demonstration_text import handout

    if sheet is None or not one:
        message = "a handout is made of one demonstration, with --sheet"
        raise refuse_option("--sheet", "practise-sheet-kind", message, "needed a NAME and --sheet FILE.html")
    files = write_both(
        sheet, answers, (".html",), lambda _form, key: handout(results[0], shown, answers=key).encode()
    )
    for path, key in files:
        words = "with the answers" if key else "for the class"
        page().paragraph(f"{path}: the handout {words}.", first="", rest="  ")


def _demonstrated(demonstration: Demonstration, on: str | None, shown: Display) -> Worked:
    from planner.app.school.prompt import settable
    from planner.records.store import load_aircraft
    from planner.school.lab import Lab

    loaded = load_aircraft(on or demonstration.aircraft)
    told = f"'{demonstration.name}' cannot be worked out on this profile"
    with settable("--on", "demonstration-not-possible", told, "needed another profile"):
        lab = Lab(loaded, display=shown)
        return demonstration, lab, demonstration.work(lab, lab.pen)
