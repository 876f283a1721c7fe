"""The tree of commands. A command's module is imported when it is called for, and its engine when it runs:
`--help` and a plan stay quick.
"""

from __future__ import annotations

from importlib import import_module
from inspect import cleandoc
from typing import Annotated, Any, Final

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_command, get_group

# name -> (module of planner.app, what in it is the command), in the order of the help.
COMMANDS: Final[dict[str, tuple[str, str]]] = {
    "flight": ("flight.flight", "flight"),
    "fuel": ("bench.fuel", "fuel"),
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
    "density": ("bench.density", "app"),
    "aircraft": ("desk.aircraft", "app"),
    "ledger": ("desk.ledger", "app"),
    "people": ("people", "app"),
}
HELP: Final = (
    "Fuel volume to mass, mass and balance from engine start to shutdown, and how sure that is.\n\n"
    "It does not replace the approved flight manual, the current weighing report or an instructor.\n\n"
    "Exit code: 0 shown inside all limits, 1 not, 2 bad input, 3 a fault of the program. FILE may be - for"
    " standard input.\n\n"
    "Example: planner flight docs/flights/demo.yaml"
)


_WHOLE: Final = 10_000  # characters: a first sentence is wrapped beside its command, never cut


class _Listed(TyperGroup):
    """A group whose help gives the whole first sentence of every command."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        found = [(name, self.commands[name]) for name in self.list_commands(ctx)]
        with formatter.section("Commands"):
            formatter.write_dl([(name, each.get_short_help_str(_WHOLE)) for name, each in found])


class _Named(TyperCommand):
    """A command by its name: what it says of itself is read when a help or a shell asks for it."""

    def get_short_help_str(self, limit: int = 45) -> str:
        found = _found(str(self.name))
        self.help = cleandoc((found.info.help if isinstance(found, typer.Typer) else found.__doc__) or "")
        return super().get_short_help_str(limit)


class _Commands(_Listed):
    """All commands by name, each made a parser when it is called: two dozen take longer than a plan."""

    def __init__(self, **attributes: Any) -> None:
        super().__init__(**attributes | {"commands": {name: _Named(name) for name in COMMANDS}})

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        if args[0] in COMMANDS:
            self.commands[args[0]] = parser(args[0])
        return super().resolve_command(ctx, args)


def _found(name: str) -> Any:
    """What a command runs, or the group of what it holds."""
    module, attribute = COMMANDS[name]
    return getattr(import_module(f"planner.app.{module}"), attribute)


def parser(name: str) -> Any:
    """The parser of a command."""
    found = _found(name)
    if isinstance(found, typer.Typer):
        found.info.name, found.info.cls = name, _Listed
        return get_group(found)
    alone = typer.Typer(add_completion=False, rich_markup_mode=None)
    alone.command(name)(found)
    return get_command(alone)


def build(first_word: str = "") -> typer.Typer:
    """The command line, for words that begin with `first_word`."""
    whole = typer.Typer(
        name="planner",
        cls=_Commands,
        no_args_is_help=True,
        # Shells ask with no word at all: a command that runs does not pay for what completes it.
        add_completion=first_word not in COMMANDS,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )

    @whole.callback(help=HELP)
    def planner(
        version: Annotated[
            bool,
            typer.Option("--version", help="Show the version and stop.", callback=_version, is_eager=True),
        ] = False,
    ) -> None: ...

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
