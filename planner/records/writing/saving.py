"""A changed flight as a file: the text it came from with only what was changed, paths found from there."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from planner.quantities.files import write_new
from planner.records.document import Location, at, put
from planner.records.flight.record import Flight
from planner.records.store import Loaded, find_profile
from planner.records.writing.rewriting import rewritten

# What names another file from the folder of the flight.
_FILES: Final[tuple[Location, ...]] = (
    ("fuel", "density", "bottle"),
    ("fuel", "density", "hydrometer"),
    ("fuel", "ledger"),
)


def saved(flight: Loaded[Flight], out: Path, head: str) -> None:
    """Write a flight to a new file, with comment lines `head` above it; comments of the file it came from
    stay.

    Paths in it are written anew where it lies in another folder. Raises InputRefused where `out` exists or
    cannot be written.
    """
    here, there = flight.document.folder, out.resolve().parent
    tree = flight.document.value
    if here != there:
        profile = find_profile(flight.record.aircraft, here)
        if profile is not None and find_profile(flight.record.aircraft, there) != profile:
            tree = put(tree, ("aircraft",), _from(there, profile))
        for location in _FILES:
            if isinstance(name := at(tree, location), str):
                tree = put(tree, location, _from(there, here / name))
    write_new(out, (head + rewritten(flight.document.text, tree)).encode())


def _from(folder: Path, path: Path) -> str:
    """A path as it is found from a folder; in full where there is no way between them (another disk)."""
    try:
        return Path(os.path.relpath(path.resolve(), folder)).as_posix()
    except ValueError:
        return path.resolve().as_posix()
