"""`people.yaml` changed: one line per person, comments and all others as they were, whole at every moment."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Final

from planner.quantities.errors import Finding, InputRefused
from planner.quantities.files import locked, refused, replace, write_new
from planner.records.document import parse
from planner.records.fields import finding_of, read_mass
from planner.records.flight.people import HEAD, NAME, NAME_WORDS, people_in

_START: Final = (
    f"{HEAD}: 1\n# Who and what is carried, by the name a flight may use. Kept on this machine only.\n"
)


def add_person(path: Path, name: str, mass: str, day: date, may_replace: bool) -> str:
    """Write a person's mass down; returns the one that was there, kept as a comment, or nothing.

    Parameters: `path` of the file, which need not exist; `name`; `mass` as text with its unit; `day` it is
    of; `may_replace` a mass already known. Raises InputRefused where name or mass can not be read, or the
    person is known.
    """
    if not NAME.fullmatch(name) or name == HEAD:
        raise InputRefused(
            [Finding("person-name", f"'{name}' can not be written in a load", NAME_WORDS).at(name, 0, 0)]
        )
    line = f"{name}: {{mass: {_written(mass)}, date: {day}}}\n"
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        write_new(path, f"{_START}{line}".encode())
        return ""
    with locked(path):
        data = path.read_bytes()
        known = people_in(path).get(name)
        if known is not None and not may_replace:
            message = f"'{name}' is known with {known.mass.text}"
            raise refused(path, "person-known", message, "needed --replace for a new mass")
        before, own, after = _cut(data.decode(), path, name)
        kept = "".join(f"# until {day}: {each}" for each in own)
        end = "" if not before or before.endswith("\n") else "\n"
        replace(path, f"{before}{end}{kept}{line}{after}".encode(), data)
    return known.mass.text if known else ""


def forget_person(path: Path, name: str) -> bool:
    """Take a person out of a file, with what is kept of older masses; whether anybody was there. Raises
    InputRefused.
    """
    if not path.is_file():
        return False
    with locked(path):
        data = path.read_bytes()
        if name not in people_in(path):
            return False
        before, _, after = _cut(data.decode(), path, name)
        older = f": {name}:"
        kept = [
            each
            for each in (*before.splitlines(keepends=True), *after.splitlines(keepends=True))
            if not (each.startswith("# until ") and older in each)
        ]
        replace(path, "".join(kept).encode(), data)
    return True


def _cut(text: str, path: Path, name: str) -> tuple[str, list[str], str]:
    """The text before a person, the lines that are theirs, and the text after; all before where nobody is."""
    lines = text.splitlines(keepends=True)
    marks = parse(text, str(path)).key_marks
    starts = sorted(line for place, (line, _) in marks.items() if len(place) == 1)
    if (name,) not in marks:
        return text, [], ""
    first = marks[(name,)][0] - 1
    last = next((each - 1 for each in starts if each - 1 > first), len(lines))
    # Comments and empty lines after the entry are not the person's.
    while last > first + 1 and (not lines[last - 1].strip() or lines[last - 1].lstrip().startswith("#")):
        last -= 1
    own = [each if each.endswith("\n") else f"{each}\n" for each in lines[first:last]]
    return "".join(lines[:first]), own, "".join(lines[last:])


def _written(mass: str) -> str:
    """A mass as it was typed, once it is known to be one. Raises InputRefused."""
    from pydantic_core import PydanticCustomError

    try:
        return read_mass(mass).text
    except PydanticCustomError as error:
        raise InputRefused([finding_of(error).at(mass, 0, 0)]) from None
