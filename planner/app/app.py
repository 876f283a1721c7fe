"""The tree of commands. A command's module is imported when it is called for, and its engine when it runs:
`--help` and a plan stay quick.
"""

from __future__ import annotations

from importlib import import_module
from typing import Annotated, Any, Final

import typer

# name -> (module of planner.app, what in it is the command), in the order of the help.
COMMANDS: Final[dict[str, tuple[str, str]]] = {
    "flight": ("flight.flight", "flight"),
    "density": ("bench.density", "app"),
    "fuel": ("bench.fuel", "fuel"),
    "aircraft": ("desk.aircraft", "app"),
    "ledger": ("desk.ledger", "app"),
    "practise": ("school.practise", "practise"),
    "mark": ("school.mark", "mark"),
    "demonstrate": ("school.demonstrate", "demonstrate"),
    "compare": ("flight.compare", "compare"),
    "remedy": ("flight.remedy", "remedy"),
    "sheet": ("flight.sheet", "sheet"),
    "card": ("flight.card", "card"),
    "board": ("flight.board", "board"),
    "page": ("flight.page", "page"),
    "sweep": ("flight.sweep", "sweep"),
    "formats": ("desk.formats", "formats"),
    "where": ("desk.keeping", "where"),
    "keep": ("desk.keeping", "keep"),
    "restore": ("desk.keeping", "restore"),
    "verify": ("school.verify", "verify"),
    "people": ("people", "app"),
}
HELP: Final = (
    "Fuel volume to mass, mass and balance from engine start to shutdown, and how sure that is.\n\n"
    "It does not replace the approved flight manual, the current weighing report or an instructor.\n\n"
    "Exit code: 0 shown inside all limits, 1 not, 2 bad input, 3 a fault of the program. FILE may be - for"
    " standard input.\n\n"
    "Example: planner flight docs/flights/demo.yaml"
)


def build(first_word: str = "") -> typer.Typer:
    """The command line: only the command `first_word` names, or all of them where it names none (help, a
    slip).

    Turning a dozen commands into parsers takes longer than a plan, so only the one called for is turned.
    """
    whole = typer.Typer(
        name="planner",
        no_args_is_help=True,
        # Shells ask with no word at all: a command that runs does not pay for what completes it.
        add_completion=first_word not in COMMANDS,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )

    @whole.callback(help=HELP)
    def planner(  # a callback keeps a single command from becoming the whole program
        version: Annotated[
            bool,
            typer.Option("--version", help="Show the version and stop.", callback=_version, is_eager=True),
        ] = False,
    ) -> None: ...

    for name in [first_word] if first_word in COMMANDS else COMMANDS:
        module, attribute = COMMANDS[name]
        found = getattr(import_module(f"planner.app.{module}"), attribute)
        if isinstance(found, typer.Typer):
            whole.add_typer(found, name=name)
        else:
            whole.command(name)(found)
    return whole


def _version(wanted: bool) -> None:
    """The version of what is installed."""
    if wanted:
        from importlib.metadata import version  # late: looks through everything installed

        typer.echo(f"planner {version('planner')}")
        raise typer.Exit()


def __getattr__(name: str) -> Any:
    """`app`, the whole command line, made when it is asked for."""
    if name == "app":
        return build()
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
