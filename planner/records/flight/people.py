"""People and bags by name: `people.yaml` beside the flight or in the user's data folder, and names in a load.

A name stands for the mass of that file as a figure would stand in the flight; the flight keeps the name, so
that a mass put right is right in every flight.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Final

from pydantic_core import PydanticCustomError

from planner.quantities.errors import Finding, InputRefused
from planner.quantities.files import data_folder
from planner.quantities.frozen import frozen
from planner.quantities.units import UNITS, Quantity
from planner.records.document import Document, Location, all_or_refuse, put, read
from planner.records.fields import finding_of, read_date, read_mass, refusal
from planner.records.flight.load_items import LoadMass, known_by

FILE: Final = "people.yaml"
HEAD: Final = "people"
NAME: Final = re.compile(r"[^\W\d_][\w .'-]{0,58}[\w.]")
NAME_WORDS: Final = "needed a name: letters first, then letters, digits, spaces, points, apostrophes, hyphens"
# days; common practice, no published source: people and what they carry change with the year
OLD: Final = 365


@frozen
class Person:
    """A person or a bag: the `mass` [kg] as written, the day it is `of` (None where the file does not say),
    and the file it stands in.
    """

    name: str
    mass: Quantity
    of: date | None
    path: Path

    def age_words(self, today: date) -> str:
        """Why the mass should be looked at again; empty where it is of the last year."""
        if self.of is None:
            return f"the mass of '{self.name}' has no date"
        days = (today - self.of).days
        return f"the mass of '{self.name}' is {days} days old" if days > OLD else ""


def people_beside(folder: Path) -> dict[str, Person]:
    """Everybody known to flights of a folder: its own `people.yaml` first, then that of the user's data
    folder. Raises InputRefused with every finding of both.
    """
    found: dict[str, Person] = {}
    wrong: list[Finding] = []
    for path in dict.fromkeys((folder / FILE, data_folder() / FILE)):
        try:
            found = {**people_in(path), **found} if path.is_file() else found
        except InputRefused as refused:
            wrong += refused.findings
    if wrong:
        raise InputRefused(wrong)
    return found


def people_in(path: Path) -> dict[str, Person]:
    """Everybody in one file. Raises InputRefused with every finding."""
    document = read(path)
    if document.value is None:
        return {}
    if not isinstance(document.value, dict):
        needed = "needed lines such as 'Ana Lark: 78 kg'"
        raise document.refused((), "file-wrong-kind", "this is not a people file", needed)
    found: dict[str, Person] = {}
    findings: list[Finding] = []
    for name, given in document.value.items():
        if name == HEAD:
            if given != 1 or isinstance(given, bool):
                wrong = Finding(
                    "file-version", f"people version {given!r} is not known", "needed 'people: 1'"
                )
                findings.append(document.place(wrong, (HEAD,)))
            continue
        if not NAME.fullmatch(name):
            wrong = Finding("person-name", f"'{name}' can not be written in a load", NAME_WORDS)
            findings.append(document.place(wrong, (name,), key=True))
            continue
        try:
            found[name] = _person(name, given, path)
        except PydanticCustomError as refused:
            findings.append(document.place(finding_of(refused), (name,)))
    all_or_refuse(findings)
    return found


def _person(name: str, given: Any, path: Path) -> Person:
    """`78 +/- 2 kg`, or `{mass: 78 +/- 2 kg, date: 2026-05-01}`."""
    if not isinstance(given, dict):
        return Person(name, read_mass(given), None, path)
    if set(given) - {"mass", "date"} or "mass" not in given:
        raise refusal("person-entry", "this is no mass", "needed '78 kg', or {mass: 78 kg, date: 2026-05-01}")
    return Person(name, read_mass(given["mass"]), read_date(given["date"]) if "date" in given else None, path)


def with_people(document: Document) -> tuple[Document, tuple[Finding, ...]]:
    """The document with masses for the names in its loads, and a notice for each that is old; itself where
    nobody is named. Raises InputRefused with every name nobody has.
    """
    named = list(_names(document.value))
    if not named:
        return document, ()
    kept, path = document.kept if document.kept is not None else {}, document.folder / FILE
    people: Mapping[str, Person] = kept.get(path) or people_beside(document.folder)
    kept[path] = people
    tree, wrong, notices = document.value, [], []
    for place, name in named:
        person = people.get(name)
        if person is None:
            message = f"'{name}' is neither a mass nor anybody in {FILE}"
            finding = Finding(
                "person-unknown",
                message,
                "needed 'number unit', or a name that is there",
                _near(name, people),
            )
            wrong.append(document.place(finding, place))
            continue
        words = person.age_words(_day(document))
        if words:
            hint = f"weigh again, then: planner people add '{name}' MASS --replace"
            finding = Finding("person-old", words, "usual: not above a year", hint, severity="notice")
            notices.append(document.place(finding, place))
        tree = put(tree, place, _as_mass(person))
    if wrong:
        raise InputRefused(wrong)
    return replace(document, value=tree), tuple(dict.fromkeys(notices))


def _names(value: Any) -> Iterator[tuple[Location, str]]:
    """Every entry of a load that begins with a letter and does not end in a unit, as no mass does."""
    if not isinstance(value, dict):
        return
    further = value.get("legs")
    loads: list[tuple[Location, Any]] = [(("load",), value.get("load"))]
    if isinstance(further, list):
        loads += [
            (("legs", at, "load"), leg.get("load")) for at, leg in enumerate(further) if isinstance(leg, dict)
        ]
    for place, load in loads:
        for station, given in load.items() if isinstance(load, dict) else ():
            entries = enumerate(given) if isinstance(given, list) else [(None, given)]
            for seat, entry in entries:
                if isinstance(entry, str) and NAME.fullmatch(entry) and entry.split()[-1] not in UNITS:
                    yield (*place, station, *([] if seat is None else [seat])), entry


def _as_mass(person: Person) -> LoadMass:
    """The mass as it stands in the file, with whose it is behind it: no pad, no other uncertainty."""
    day = f"of {person.of}" if person.of else "without a date"
    return known_by(person.mass, "stated", 0.0, basis=f"{person.name}, {FILE}, {day}")


def _near(name: str, people: Mapping[str, Person]) -> str:
    """The names that are near, or how to make one known."""
    from difflib import get_close_matches  # late: only once something is wrong

    spelt = {each.casefold(): each for each in people}
    near = [spelt[each] for each in get_close_matches(name.casefold(), spelt, n=3, cutoff=0.5)]
    near += [each for each in people if name.casefold() in each.casefold().split() and each not in near]
    if near:
        return f"did you mean {' or '.join(repr(each) for each in near)}?"
    return f"to make it known: planner people add '{name}' '78 +/- 2 kg'"


def _day(document: Document) -> date:
    """The day of the flight, or today where it does not say."""
    try:
        return read_date(document.value.get("date"))
    except PydanticCustomError:
        return date.today()
