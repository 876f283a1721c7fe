"""`planner where`, `planner keep`, `planner restore`: the place of all that is kept, put away and back."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.app.common import Json, console, ended, note, print_json


def where(json: Json = False) -> None:
    """Tell the one folder in which everything of yours is kept, and what lies there. The environment variable
    PLANNER_DATA moves it.

    Example: planner where
    """
    from planner.logbook.keeping import stores
    from planner.quantities.files import DATA_VARIABLE, data_folder

    folder = data_folder().absolute()
    held = [(path.relative_to(folder).as_posix(), path.stat().st_size) for path in stores(folder)]
    if json:
        files = [{"name": name, "bytes": size} for name, size in held]
        schema = "planner/where/1"
        print_json({"schema": schema, "folder": str(folder), "variable": DATA_VARIABLE, "files": files})
        return
    out = console()
    out.print(str(folder), soft_wrap=True, highlight=False)
    for name, size in held:
        out.print(f"  {name}: {size} bytes", soft_wrap=True, highlight=False)
    if not held:
        out.print("  nothing is kept here yet")
    out.print(f"The environment variable {DATA_VARIABLE} names another folder.")


def keep(
    out: Annotated[Path, typer.Argument(help="The file to write; it must not exist.", metavar="OUT.zip")],
    json: Json = False,
) -> None:
    """Put everything that is kept - fuel ledgers, bottles, learners - into one file. An existing file is
    never overwritten.

    Example: planner keep planner-data.zip
    """
    from planner.logbook import keeping
    from planner.quantities.files import data_folder

    names = keeping.keep(data_folder().absolute(), out)
    if json:
        print_json({"schema": "planner/keep/1", "file": str(out), "names": list(names)})
    note(f"{out}: {len(names)} files kept")


def restore(
    source: Annotated[Path, typer.Argument(help="A file that 'planner keep' wrote.", metavar="FILE.zip")],
    json: Json = False,
) -> None:
    """Bring back what such a file holds: what is missing is added, a ledger gets the entries it has not, and
    nothing that is there is overwritten. Exit code 1 when a file that differs was left as it is.

    Example: planner restore planner-data.zip
    """
    from planner.logbook import keeping
    from planner.quantities.files import data_folder

    found = keeping.restore(source, data_folder().absolute())
    words = {"added": "added", "same": "was there", "kept": "DIFFERS, and stays as it is"}
    if json:
        files = [{"name": each.name, "outcome": each.outcome, "entries": each.entries} for each in found]
        print_json({"schema": "planner/restore/1", "files": files})
    for each in found:
        note(f"{each.name}: {words.get(each.outcome, f'{each.entries} entries added')}")
    raise ended(not any(each.outcome == "kept" for each in found))
