"""`planner formats`: the kinds of files, and a schema of each for editors."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.app.common import Json, console, print_json, unknown


def formats(
    schema: Annotated[
        str, typer.Option("--schema", help="Write the JSON Schema of this kind of file.", metavar="KIND")
    ] = "",
    json: Json = False,
) -> None:
    """List the kinds of files the program reads, or write the JSON Schema (draft 2020-12) of one, by which an
    editor checks it as you type.

    How to point an editor at it is in docs/formats.md.

    Example: planner formats

    Example: planner formats --schema flight
    """
    from planner.records.fields import VERSION
    from planner.records.schema import KINDS, schema_of

    if schema:
        if schema not in KINDS:
            needed = f"needed one of {', '.join(KINDS)}"
            raise unknown("--schema", "format-unknown", schema, "a kind of file", KINDS, needed)
        print_json(schema_of(schema))
    elif json:
        kinds = [
            {"kind": kind, "first_key": form.key, "version": VERSION, "what": form.words}
            for kind, form in KINDS.items()
        ]
        print_json({"schema": "planner/formats/1", "formats": kinds})
    else:
        out = console()
        for kind, form in KINDS.items():
            out.print(
                f"{kind:<{max(map(len, KINDS))}}  {form.words}; begins with '{form.key}: {VERSION}'",
                soft_wrap=True,
            )
        out.print("\nThe schema of one for your editor: planner formats --schema KIND", soft_wrap=True)
