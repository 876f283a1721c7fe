"""Write docs/commands.md from the command line itself: `python -m planner.app.reference >
docs/commands.md`.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Iterator
from typing import Any

import typer

from planner.app.app import COMMANDS, app, parser

EXAMPLE = "Example: "


def commands() -> Iterator[tuple[str, Any]]:
    """Every command with its full name (`planner density correct`), groups before what they hold."""

    def walk(name: str, command: Any) -> Iterator[tuple[str, Any]]:
        yield name, command
        for child, inner in getattr(command, "commands", {}).items():
            yield from walk(f"{name} {child}", inner)

    whole: Any = typer.main.get_command(app)
    whole.commands = {name: parser(name) for name in COMMANDS}
    yield from walk("planner", whole)


def help_text(command: Any) -> tuple[str, list[str]]:
    """(what it does, its examples) out of a command's help."""
    lines = inspect.cleandoc(command.help or "").splitlines()
    examples = [line.removeprefix(EXAMPLE).strip() for line in lines if line.startswith(EXAMPLE)]
    return "\n".join(line for line in lines if not line.startswith(EXAMPLE)).strip(), examples


def _rows(command: Any) -> list[str]:
    rows = []
    for param in command.params:
        if param.param_type_name == "argument":
            name = param.metavar or param.name.upper()
            given = "required" if param.required else "optional"
        else:
            name = ", ".join(param.opts)
            # A flag and an option that may be left out have no default worth printing.
            given = f"`{param.default}`" if isinstance(param.default, str) else "optional"
        rows.append(f"| `{name}` | {given} | {param.help or ''} |")
    return rows


def page() -> str:
    """docs/commands.md; a test holds the file to it."""
    lines = [
        "# Commands",
        "",
        (
            "Made by `python -m planner.app.reference`; do not edit. `python -m planner` is the same as"
            " `planner`."
        ),
        "",
    ]
    for name, command in commands():
        words, examples = help_text(command)
        lines += [f"## {name}", "", words, ""]
        rows = [] if hasattr(command, "commands") else _rows(command)
        if rows:
            lines += ["| what | default | meaning |", "|---|---|---|", *rows, ""]
        lines += ["```sh", *examples, "```", ""]
    lines += [
        "## Exit codes",
        "",
        "| code | meaning |",
        "|---|---|",
        "| 0 | done; for `flight`: shown inside all limits; for `verify`: all cases within tolerance |",
        (
            "| 1 | `flight`: not shown inside, or outside; `verify`: a case missed; "
            "`practise`, `mark`: an answer is not right; `demonstrate`: the lesson was not found to hold; "
            "`density bottle`, `density hydrometer`: the density contradicts the declared grade or batch |"
        ),
        "| 2 | bad input: nothing was computed; every finding is told at once ([findings](findings.md)) |",
        "",
    ]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write(page())
