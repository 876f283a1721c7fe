"""`planner flight`: the main job."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli.common import INSIDE, NOT_INSIDE, Json, Units, console, display, print_json


def flight(
    file: Annotated[str, typer.Argument(help="The flight file, or - for standard input.", metavar="FILE")],
    working: Annotated[bool, typer.Option("--working", help="Also print every line of arithmetic with its figures, as on paper.")] = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Plan a flight: density, fuel, mass and balance in every state and through the whole burn.

    Example: planner flight docs/flights/demo.yaml --working
    """
    from planner.plan import plan_file

    shown = display(units)
    plan = plan_file(file)
    if json:
        from planner.report.flight_json import flight_json
        from planner.report.working import working as lines

        result = flight_json(plan)
        if working:
            result["working"] = lines(plan, shown)
        print_json(result)
    else:
        from planner.report.flight_text import render_flight

        out = console()
        render_flight(plan, shown, out, with_working=working)
    raise typer.Exit(INSIDE if plan.verdict == "inside" else NOT_INSIDE)
