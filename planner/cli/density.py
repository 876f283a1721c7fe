"""`planner density`: grades, the correction of a density for temperature, and samples measured at the bench."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli import bench
from planner.cli.common import Json, Units, console, display, print_json, quantity, refuse_option

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Fuel density: grades, correction for temperature, and samples measured at the bench.\n\nExample: planner density grades",
)

app.command("bottle")(bench.bottle)
app.command("hydrometer")(bench.hydrometer)
app.command("bottles")(bench.bottles)


@app.command()
def grades(json: Json = False, units: Units = "metric") -> None:
    """List fuel grades with their standard density, usual band, dye and sources.

    Example: planner density grades --units us
    """
    from planner.report import density_text

    shown = display(units)
    print_json(density_text.grades_json()) if json else density_text.render_grades(shown, console())


@app.command()
def correct(
    density: Annotated[str, typer.Argument(help="The density, such as '0.7102 kg/L'.", metavar="DENSITY")],
    at: Annotated[str, typer.Option("--at", help="The temperature it holds at.")] = "15 degC",
    to: Annotated[str, typer.Option("--to", help="The temperature wanted.")] = "15 degC",
    unleaded: Annotated[bool, typer.Option("--unleaded", help="An unleaded avgas: the generalised table fits it less well.")] = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Correct a fuel density for temperature by the petroleum tables: density at 15 degC, at the temperature wanted, and the volume correction factor.

    Example: planner density correct '0.7102 kg/L' --at '21 degC' --to '-5 degC'
    """
    from planner.density.correct import correct as corrected
    from planner.errors import OutOfRange
    from planner.report import density_text

    shown = display(units)
    stated = quantity(density, "DENSITY", "density")
    warm, wanted = quantity(at, "--at", "temperature"), quantity(to, "--to", "temperature")
    assert stated is not None
    assert warm is not None
    assert wanted is not None
    try:
        result = corrected(stated.value, stated.u, warm.value, warm.u, wanted.value, unleaded)
    except OutOfRange as error:
        raise refuse_option("DENSITY", "density-out-of-range", str(error), "needed a density and temperatures inside the petroleum tables") from None
    print_json(density_text.correction_json(result)) if json else density_text.render_correction(result, shown, console())
