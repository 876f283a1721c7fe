"""`planner density`: grades, the correction of a density for temperature, and samples measured at the
bench.
"""

from __future__ import annotations

from typing import Annotated

import typer

from planner.app.bench import bench, bottles
from planner.app.common import (
    Json,
    Units,
    chosen_grade,
    console,
    display,
    group,
    print_json,
    quantity,
    refuse_option,
)

app = group(
    "Fuel density: grades, correction for temperature, and samples measured at the bench.\n\nExample:"
    " planner density grades"
)

app.command("bottle")(bench.bottle)
app.command("hydrometer")(bench.hydrometer)
app.command("bottles")(bottles.bottles)


@app.command()
def grades(json: Json = False, units: Units = "metric") -> None:
    """List fuel grades with their standard density, usual band, dye and sources.

    Example: planner density grades --units us
    """
    from planner.views.bench import density_text

    shown = display(units)
    print_json(density_text.grades_json()) if json else density_text.render_grades(shown, console())


@app.command()
def correct(
    density: Annotated[
        str | None, typer.Argument(help="The density, such as '0.7102 kg/L'.", metavar="[DENSITY]")
    ] = None,
    at: Annotated[str, typer.Option("--at", help="The temperature it holds at.")] = "15 degC",
    to: Annotated[str, typer.Option("--to", help="The temperature wanted.")] = "15 degC",
    grade: Annotated[
        str | None, typer.Option("--grade", help="The fuel grade; its standard density where none is given.")
    ] = None,
    unleaded: Annotated[
        bool, typer.Option("--unleaded", help="An unleaded avgas: the generalised table fits it less well.")
    ] = False,
    table: Annotated[
        bool, typer.Option("--table", help="A table and a curve of the density against temperature.")
    ] = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Correct a fuel density for temperature by the petroleum tables: density at 15 degC, at the temperature
    wanted, and the volume correction factor.

    Example: planner density correct '0.7102 kg/L' --at '21 degC' --to '-5 degC'
    """
    from planner.quantities.errors import OutOfRange

    shown = display(units)
    known = chosen_grade(grade) if grade is not None else None
    stated = quantity(density, "DENSITY", "density")
    warm, wanted = quantity(at, "--at", "temperature"), quantity(to, "--to", "temperature")
    if stated is not None:
        value, u, what = stated.value, stated.u, f"{stated.text} at {warm.text}"
    elif known is not None:
        if at != "15 degC":
            raise refuse_option(
                "--at", "option-conflict", "a standard density holds at 15 degC", "needed a DENSITY with --at"
            )
        value, u, what = (
            known.standard_density,
            0.0,
            f"{known.name}, the standard figure {known.standard_density:.1f} kg/m3 at 15 degC, not a batch",
        )
    else:
        raise refuse_option(
            "DENSITY",
            "option-missing",
            "no density is given",
            "needed a density such as '0.7102 kg/L', or --grade",
        )
    trust_less = unleaded or (known is not None and known.unleaded and known.kind == "avgas")
    try:
        if table:
            from planner.views.bench.density_text import density_table, render_table, table_json

            found = density_table(value, u, warm.value, warm.u, known, trust_less, what, stated is not None)
            print_json(table_json(found)) if json else render_table(found, console())
        else:
            from planner.density.correct import correct as corrected
            from planner.views.bench import density_text

            result = corrected(value, u, warm.value, warm.u, wanted.value, trust_less)
            if json:
                print_json(density_text.correction_json(result))
            else:
                density_text.render_correction(result, shown, console())
    except OutOfRange as error:
        raise refuse_option(
            "DENSITY",
            "density-out-of-range",
            error.words,
            "needed a density and temperatures inside the petroleum tables",
        ) from None
