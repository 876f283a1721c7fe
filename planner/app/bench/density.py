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
    in_range,
    print_json,
    quantity,
    refuse_option,
)
from planner.app.given.options import helped

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
@helped(
    at="The temperature it holds at.",
    to="The temperature wanted.",
    grade="The fuel grade; its standard density where none is given.",
    unleaded="An unleaded avgas: the generalised table fits it less well.",
    table="A table and a curve of the density against temperature.",
)
def correct(
    density: Annotated[
        str | None, typer.Argument(help="The density, such as '0.7102 kg/L'.", metavar="[DENSITY]")
    ] = None,
    at: str = "15 degC",
    to: str = "15 degC",
    grade: str | None = None,
    unleaded: bool = False,
    table: bool = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Correct a fuel density for temperature by the petroleum tables: density at 15 degC, at the temperature
    wanted, and the volume correction factor.

    Example: planner density correct '0.7102 kg/L' --at '21 degC' --to '-5 degC'
    """
    shown = display(units)
    known = chosen_grade(grade) if grade is not None else None
    stated = quantity(density, "DENSITY", "density")
    warm, wanted = quantity(at, "--at", "temperature"), quantity(to, "--to", "temperature")
    if stated is not None:
        value, u, what = stated.value, stated.u, f"{stated.text} at {warm.text}"
    elif known is not None:
        if at != "15 degC":
            message = "a standard density holds at 15 degC"
            raise refuse_option("--at", "option-conflict", message, "needed a DENSITY with --at")
        value, u = known.standard_density, 0.0
        what = f"{known.name}, the standard figure {value:.1f} kg/m3 at 15 degC, not a batch"
    else:
        needed = "needed a density such as '0.7102 kg/L', or --grade"
        raise refuse_option("DENSITY", "option-missing", "no density is given", needed)
    trust_less = unleaded or (known is not None and known.unleaded and known.kind == "avgas")
    needed = "needed a density and temperatures inside the petroleum tables"
    with in_range("DENSITY", "density-out-of-range", needed):
        if table:
            from planner.views.bench.density_text import density_table, render_table, table_json

            found = density_table(value, u, warm.value, warm.u, known, trust_less, what, stated is not None)
            print_json(table_json(found)) if json else render_table(found, console())
        else:
            from planner.density.correct import correct as corrected
            from planner.views.bench.density_text import correction_json, render_correction

            result = corrected(value, u, warm.value, warm.u, wanted.value, trust_less)
            print_json(correction_json(result)) if json else render_correction(result, shown, console())
