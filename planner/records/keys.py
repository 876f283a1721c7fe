"""The keys by which a flight or a profile is varied: those of the file, dotted, or the name of a station,
seat, tank or phase.

A full key goes down the file: `fuel.density.at_15C`, `trip.3.time` (lists count from 1),
`legs.1.load.baggage`. What is named by the user may stand alone: `baggage`, `rear seats 2`, `left`, `cruise`;
and `fuel`, `tanks`, `load` before a key of theirs may be left out:
`temperature`, `density.at_15C`, `fuel.left`. Behind the kind of the file (`flight.extra`, `profile.name`) a
key is never a name.
"""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Annotated, Any, Final, Union, get_args, get_origin

from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen
from planner.records.aircraft.record import Aircraft
from planner.records.document import Location
from planner.records.fields import Record
from planner.records.flight.load_items import LoadRecord
from planner.records.flight.record import Flight

# By which keys an item of a list may be called instead of its number.
_NAMED_BY: Final = ("name", "phase")


def inner(annotation: Any) -> Any:
    """A type without its validators and without `| None`."""
    while True:
        if get_origin(annotation) is Annotated:
            annotation = get_args(annotation)[0]
        elif get_origin(annotation) in (Union, types.UnionType):
            annotation = next(each for each in get_args(annotation) if each is not type(None))
        else:
            return annotation


def key_of(model: type[Record], name: str) -> str:
    """A field's key as it stands in the file."""
    return model.model_fields[name].alias or name


@cache
def model_at(model: type[Record], location: Location) -> type[Record] | None:
    """The record at a location of a file of `model`; None where it is a figure, a list or nothing."""
    found: Any = model
    for part in location:
        if isinstance(found, type) and issubclass(found, Record):
            fields = found.model_fields
            name = next((each for each in fields if (fields[each].alias or each) == part), None)
            found = None if name is None else inner(fields[name].annotation)
        else:
            held = get_args(found)
            found = inner(held[-1 if get_origin(found) is dict else 0]) if held else None
    return found if isinstance(found, type) and issubclass(found, Record) else None


def seats_of(aircraft: Aircraft, station: str, given: Any) -> int:
    """How many figures of a station have a number: one per seat, or as many as the file gives."""
    seats = aircraft.stations[station].seats if station in aircraft.stations else 0
    return max(seats if seats > 1 else 0, len(given) if isinstance(given, list) else 0)


@frozen
class Keys:
    """Every key of one file: `spelt` gives the locations a key may mean."""

    kind: str
    spelt: dict[str, list[Location]]
    names: tuple[str, ...]

    def find(self, key: str) -> Location | Finding:
        """The one location a key means, or key-unknown, key-ambiguous."""
        meant = self.spelt.get(key.strip(), [])
        if len(meant) == 1:
            return meant[0]
        if meant:
            full = " and ".join(f"'{self.name(each)}'" for each in meant)
            return Finding("key-ambiguous", f"'{key}' may mean {full}", "needed one of them, in full")
        near = " or ".join(f"'{each}'" for each in self.near(key))
        # Nothing near: the user's own names help more than two hundred keys.
        hint = (
            f"did you mean {near}?"
            if near
            else f"known: {', '.join(self.names)}, and the keys of docs/formats.md"
        )
        return Finding("key-unknown", f"'{key}' is nothing that can be set in this {self.kind}", hint=hint)

    def near(self, key: str) -> list[str]:
        """At most three keys spelt much like one that is not known, each for something else."""
        from difflib import get_close_matches  # late: only needed once something is wrong

        found: dict[Location, str] = {}
        for each in get_close_matches(key, self.spelt, n=12):
            found.setdefault(self.spelt[each][0], each)
        return list(found.values())[:3]

    def name(self, location: Location) -> str:
        """The key of a location that means nothing else."""
        full = ".".join(str(part + 1) if isinstance(part, int) else part for part in location)
        return full if len(self.spelt.get(full, ())) == 1 else f"{self.kind}.{full}"


def keys_of(model: type[Record], tree: dict[str, Any], aircraft: Aircraft) -> Keys:
    """Every key of a flight or a profile.

    Parameters: `model` Flight or Aircraft; `tree` the file's values; `aircraft` whose stations and tanks a
    flight may name.
    """
    kind = "flight" if model is Flight else "profile"
    spelt: dict[str, list[Location]] = {}
    for location in _walk(model, tree, (), aircraft if model is Flight else None):
        if location in ((), (kind,)):
            continue
        for each in dict.fromkeys(_spellings(kind, tree, location)):
            spelt.setdefault(each, []).append(location)
    names = (
        *aircraft.stations,
        *aircraft.tanks,
        *(key_of(model, name) for name in model.model_fields if name != kind),
    )
    return Keys(kind, spelt, tuple(dict.fromkeys(names)))


def _walk(annotation: Any, value: Any, location: Location, aircraft: Aircraft | None) -> Iterator[Location]:
    """Every location that is in the file or could be."""
    annotation = inner(annotation)
    yield location
    held = value if isinstance(value, dict) else {}
    if isinstance(annotation, type) and issubclass(annotation, Record):
        for name, field in annotation.model_fields.items():
            key = key_of(annotation, name)
            yield from _walk(field.annotation, held.get(key), (*location, key), aircraft)
        return
    arguments = get_args(annotation)
    if get_origin(annotation) is dict:
        loads, of_key = location[-1:] == ("load",), dict[Location, Iterable[str]]()
        if aircraft is not None:
            of_key = {("load",): aircraft.stations, ("tanks",): aircraft.tanks, ("uplift",): aircraft.tanks}
        for key in dict.fromkeys((*held, *of_key.get(location[-1:], ()))):
            yield from _walk(arguments[1], held.get(key), (*location, key), aircraft)
            if loads and aircraft is not None:
                yield from _seats(held.get(key), (*location, key), aircraft)
    elif (
        get_origin(annotation) is tuple
        and isinstance(inner(arguments[0]), type)
        and issubclass(inner(arguments[0]), Record)
    ):
        for index, item in enumerate(value if isinstance(value, list) else []):
            yield from _walk(arguments[0], item, (*location, index), aircraft)


def _seats(value: Any, location: Location, aircraft: Aircraft) -> Iterator[Location]:
    for seat in range(seats_of(aircraft, str(location[-1]), value)):
        entry = value[seat] if isinstance(value, list) and seat < len(value) else None
        if isinstance(entry, dict):
            yield from _walk(LoadRecord, entry, (*location, seat), aircraft)
        else:
            yield (*location, seat)


def _spellings(kind: str, tree: Any, location: Location) -> Iterator[str]:
    """The keys that may mean a location, the full one first."""
    full, *named = _dotted(tree, location)
    yield full
    yield f"{kind}.{full}"
    yield from named
    head, _, rest = full.partition(".")
    if head == "load" and isinstance(location[-1], int):
        seat = f"{location[1]} {location[-1] + 1}"  # `rear seats 2`
        yield from (f"load.{seat}", seat)
    if head == "trip":  # `2.time` would be a riddle: without `trip` before it a phase goes by its name alone
        yield from (each.partition(".")[2] for each in named)
    elif rest and head in (("load", "fuel") if kind == "flight" else ("stations", "tanks")):
        yield rest
    if kind == "flight" and location[:2] == ("fuel", "tanks") and len(location) > 2:
        tank = rest.partition(".")[2]
        yield from (tank, f"fuel.{tank}", f"fuel {tank}")


def _dotted(tree: Any, location: Location) -> list[str]:
    """A location as a dotted key, its items of lists by number; then with some or all of them by name, where
    they have one.
    """
    found, value = [""], tree
    for part in location:
        there = (
            part in value
            if isinstance(value, dict)
            else isinstance(value, list) and isinstance(part, int) and part < len(value)
        )
        value = value[part] if there else None
        ways = [str(part + 1) if isinstance(part, int) else part]
        if isinstance(part, int) and isinstance(value, dict):
            ways += [value[key] for key in _NAMED_BY if isinstance(value.get(key), str) and value[key]]
        found = [f"{before}.{way}" if before else way for before in found for way in ways]
    return found
