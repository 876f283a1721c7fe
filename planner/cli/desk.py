"""`planner aircraft weigh` and `planner aircraft amend`: the records desk."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.common import Json, Units, console, display, print_json


def weigh(
    worksheet: Annotated[str, typer.Argument(help="The worksheet of the weighing, or - for standard input.", metavar="WORKSHEET")],
    working: Annotated[bool, typer.Option("--working", help="Also print every line of arithmetic with its figures, as on paper.")] = False,
    out: Annotated[Path | None, typer.Option("--out", help="Write a printable record to this file; it must not exist.")] = None,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Work out a weighing: reactions, corrections, basic empty mass, CG and moment, each step shown and each result with its uncertainty.

    The figures are prepared for a licensed person, who checks and signs; blank lines for that stand on the printed record.

    Example: planner aircraft weigh docs/weighings/thornlea-t4.yaml --working
    """
    from planner.desk.weighing import work_out
    from planner.profile.weighing_sheet import load_worksheet
    from planner.report import weighing_text

    shown = display(units)
    worked = work_out(load_worksheet(worksheet))
    if out is not None:
        from planner.files import write_new

        write_new(out, weighing_text.record_text(worked, shown).encode())
    if json:
        print_json(weighing_text.weighing_json(worked, shown, working))
    else:
        weighing_text.render(worked, shown, console(), working)
    if out is not None:
        console(stderr=True).print(f"{out} written: print it for the licensed person to check and sign.", soft_wrap=True)
