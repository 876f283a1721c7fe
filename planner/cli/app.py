"""The tree of commands. Command modules import the engine only when they run, so that `--help` stays quick."""

from __future__ import annotations

import typer

from planner.cli import aircraft, density, flight, fuel, ledger, remedy, sheet, sweep, verify

app = typer.Typer(
    name="planner",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help=(
        "Fuel volume to mass, mass and balance from engine start to shutdown, and how sure that is.\n\n"
        "It does not replace the approved flight manual, the current weighing report or an instructor.\n\n"
        "Exit code: 0 shown inside all limits, 1 not, 2 bad input. FILE may be - for standard input.\n\n"
        "Example: planner flight docs/flights/demo.yaml"
    ),
)
app.command("flight")(flight.flight)
app.add_typer(density.app, name="density")
app.command("fuel")(fuel.fuel)
app.add_typer(aircraft.app, name="aircraft")
app.add_typer(ledger.app, name="ledger")
app.command("remedy")(remedy.remedy)
app.command("sheet")(sheet.sheet)
app.command("sweep")(sweep.sweep)
app.command("verify")(verify.verify)
