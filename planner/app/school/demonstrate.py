"""`planner demonstrate`: lessons of loading, worked out live."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.app.common import INSIDE, NOT_INSIDE, Json, Units, console, display, print_json, refuse_option

if TYPE_CHECKING:
    from planner.quantities.units import Display
    from planner.records.aircraft.record import Aircraft
    from planner.school.demonstrations.list_of import Demonstration
    from planner.school.lab import Shown


def demonstrate(
    name: Annotated[
        str | None, typer.Argument(help="A demonstration; all are listed where left out.", metavar="[NAME]")
    ] = None,
    on: Annotated[
        str | None,
        typer.Option(
            "--on",
            help="Id or path of another profile; without NAME, all demonstrations on it in a line each.",
        ),
    ] = None,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Demonstrate a lesson of loading with live figures: the question, the numbers, the picture, the lesson
    and the correction.

    On another profile the program searches whether the lesson holds there, and says so where it does not
    (exit code 1).

    Example: planner demonstrate full-fuel-or-seats

    Example: planner demonstrate --on hazelbrook-teasel
    """
    from planner.school.demonstrations.list_of import DEMONSTRATIONS
    from planner.views.blocks import Page
    from planner.views.school import demonstration_text as report

    shown = display(units)
    if name is None and on is None:
        print_json(report.list_json()) if json else report.render_list(Page(console()))
        return
    if name is not None and name not in DEMONSTRATIONS:
        from planner.quantities.errors import closest

        raise refuse_option(
            "NAME",
            "demonstration-unknown",
            f"'{name}' is not a demonstration",
            hint=closest(name, DEMONSTRATIONS),
        )
    chosen = [DEMONSTRATIONS[name]] if name is not None else list(DEMONSTRATIONS.values())
    results = [_demonstrated(each, on, shown) for each in chosen]
    if json:
        data = [report.shown_json(*each) for each in results]
        print_json(
            data[0]
            if name is not None
            else {
                "schema": "planner/demonstrations-on/1",
                "cautions": data[0]["cautions"],
                "demonstrations": data,
            }
        )
    elif name is not None:
        report.render_shown(Page(console()), *results[0], shown)
    else:
        from planner.views.school.practice_text import render_cautions

        page = Page(console())
        page.paragraph(f"Demonstrations on {results[0][1].name}", "bold", first="", rest="")
        render_cautions(page, results[0][1].invented)
        report.render_all(page, results)
    raise typer.Exit(INSIDE if name is None or results[0][2].holds else NOT_INSIDE)


def _demonstrated(
    demonstration: Demonstration, on: str | None, shown: Display
) -> tuple[Demonstration, Aircraft, Shown]:
    from planner.records.store import load_aircraft
    from planner.school.problem import NotSettable

    loaded = load_aircraft(on or demonstration.aircraft)
    try:
        return demonstration, loaded.record, demonstration.show(loaded, shown)
    except NotSettable as reason:
        message = f"'{demonstration.name}' cannot be worked out on this profile: {reason}"
        raise refuse_option("--on", "demonstration-not-possible", message, "needed another profile") from None
