"""A flight or a profile with a few values changed, checked again by the same checks as a file.

A change is made in the values of the file and these are read anew: there is one way from values to a record.
What can only be said in one of several ways (the density, what is in a tank, an empty arm or moment) gives up
the other ways when one of them is set.

A user names what to change by keys; what is found wrong then stands at the `KEY=VALUE`. The program itself
names exact locations:
what is found then stands at the line of the file that it would stand at without the change.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final, TypeVar

from planner.quantities.errors import Finding, InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.units import Quantity, read_quantity
from planner.records.aircraft.mass_record import BasicEmpty
from planner.records.aircraft.record import ENDS, Aircraft, Station, Tank
from planner.records.document import Changes, Document, Location, at, parse, plain_value, put, where_words
from planner.records.fields import Record
from planner.records.flight.record import DensitySpec, Flight, Fuel, Phase, TankContent
from planner.records.keys import Keys, keys_of, model_at, seats_of

R = TypeVar("R")

_TANKS: Final = ("fuel", "tanks")


def _one_of(*keys: str) -> dict[str, tuple[str, ...]]:
    """Keys of which each takes the others out."""
    return {key: tuple(each for each in keys if each != key) for key in keys}


_WAYS: Final = ("at_15C", "standard", "fixed", "bottle", "hydrometer")
_LINE: Final = _one_of("arm", "loading_line")
# Setting a key takes these out of the same record: they say the same thing in another way.
_REPLACES: Final[dict[type[Record], dict[str, tuple[str, ...]]]] = {
    # A figure that was changed is no longer that of the certificate.
    DensitySpec: {
        **{way: (*others, "measured", "at", "certificate") for way, others in _one_of(*_WAYS).items()},
        **dict.fromkeys(("measured", "at"), (*_WAYS, "certificate")),
    },
    TankContent: _one_of("usable", "total", "dipstick", "mark"),
    Fuel: {"tanks": ("from", "ledger"), "from": ("tanks",), "ledger": ("tanks",)},
    BasicEmpty: _one_of("arm", "moment"),
    Station: _one_of("lateral_arm", "lateral_arms") | _LINE,
    Tank: _LINE,
}


@frozen
class _Change:
    """One thing to set: where, to what (None takes it out), and the `KEY=VALUE` that asked for it, if any."""

    location: Location
    value: Any
    option: str


def varied(
    document: Document,
    model: type[Record],
    changes: Changes,
    aircraft: Aircraft,
    read: Callable[[Document], R],
) -> R:
    """The record of `document` with `changes` made, as `read` reads and checks it.

    Parameters: `model`, a flight's or a profile's; `changes`, key -> value, in any order: a whole is set
    before its parts (`fuel: full` before `fuel.left: 20 L`). A value is the text a file would have after the
    colon, or a Quantity, or a list or mapping of these, or None to take it out; `full` and `empty` say what
    is in a tank, or under `fuel` in all. In place of a key an exact location may stand, its value as the
    file's own. `aircraft`, whose names the keys use. Raises InputRefused with every finding at once.
    """
    by_key = _by_key(changes)
    made = [_Change(key, value, "") for key, value in changes.items() if not isinstance(key, str)]
    wrong: list[Finding] = []
    if by_key:
        more, wrong = _made(keys_of(model, document.value, aircraft), by_key, aircraft)
        made += more
    return _checked(document, made, wrong, aircraft if model is Flight else None, read)


def aircraft_set(document: Document, changes: Changes, aircraft: Aircraft) -> tuple[str, Document] | None:
    """The name of another aircraft that is set in a flight, and the document it is set in, or None: the names
    beside it are those of that aircraft.
    """
    if by_key := _by_key(changes):
        found = keys_of(Flight, document.value, aircraft)
        for key in by_key:
            if found.find(key) == ("aircraft",):
                option = _option(key, by_key[key])
                return str(_value(by_key[key])), replace(document, varied={("aircraft",): option})
    return None


def _by_key(changes: Changes) -> dict[str, object]:
    """What is changed by keys, not by locations."""
    return {key: value for key, value in changes.items() if isinstance(key, str)}


def _option(key: str, given: object) -> str:
    return f"{key.strip()}={given.text if isinstance(given, Quantity) else given}"


def _made(
    keys: Keys, changes: Mapping[str, object], aircraft: Aircraft
) -> tuple[list[_Change], list[Finding]]:
    """The changes, each whole before its parts, and what is wrong with their keys and values."""
    asked: dict[Location, str] = {}
    made: list[_Change] = []
    wrong: list[Finding] = []
    for key, given in changes.items():
        option = _option(key, given)
        location = keys.find(key)
        if isinstance(location, Finding):
            wrong.append(location.at(option, 0, 0))
            continue
        if location in asked:
            message = f"'{asked[location]}' sets the same"
            wrong.append(Finding("option-conflict", message, "needed one of the two").at(option, 0, 0))
            continue
        asked[location] = option
        try:
            value = _value(given)
            if keys.kind == "flight":
                made += _of_flight(location, value, option, aircraft)
            else:
                made.append(_Change(location, value, option))
        except InputRefused as refused:
            wrong += [finding.at(option, 0, 0, where_words(location)) for finding in refused.findings]
    # `fuel: full` stands for each tank, and `fuel.left` beside it is the more special wish.
    made.sort(key=lambda each: (len(each.location), asked.get(each.location) == each.option))
    return made, wrong


def _value(given: object) -> Any:
    """A value as the YAML reader would give it; a Quantity as its text where that reads back the same."""
    if isinstance(given, Quantity):
        if type(given) is not Quantity:
            return given  # a mass with its evidence
        try:
            same = read_quantity(given.text, given.dimension) == given
        except InputRefused:
            same = False
        return given.text if same else given
    if isinstance(given, Mapping):
        return {str(key): _value_within(each) for key, each in given.items()}
    if isinstance(given, Sequence) and not isinstance(given, str):
        return [_value_within(each) for each in given]
    if not isinstance(given, str):
        return given
    text = given.strip()
    if text[:1] not in ("[", "{", "'", '"'):
        return plain_value(text)
    document = parse(f"value: {text}\n", "")
    if list(document.value) != ["value"]:
        raise InputRefused(
            [Finding("yaml-syntax", "more than one value is given", "needed one value, as after a colon")]
        )
    return document.value["value"]


def _value_within(given: object) -> Any:
    return given if isinstance(given, str) else _value(given)


def _of_flight(location: Location, value: Any, option: str, aircraft: Aircraft) -> list[_Change]:
    """What a change of a flight sets: `full` and `empty` become amounts, `fuel` stands for every tank."""

    def amount(tank: str) -> Any:
        return aircraft.tanks[tank].end(value) if value in ENDS else value

    if location in (("fuel",), _TANKS) and not isinstance(value, dict):
        if value not in ENDS and len(aircraft.tanks) > 1:
            example = "', '".join(f"fuel.{tank}=..." for tank in aircraft.tanks)
            message = "this does not say how much is in which tank"
            needed = f"needed 'full' or 'empty', or tank by tank: '{example}'"
            raise InputRefused([Finding("fuel-which-tank", message, needed)])
        return [_Change((*_TANKS, tank), amount(tank), option) for tank in aircraft.tanks]
    of_one = location[:2] == _TANKS and len(location) > 2 and location[3:] in ((), ("usable",))
    return [_Change(location, amount(str(location[2])) if of_one else value, option)]


def _phase(old: Any, value: Any) -> Any:
    """A phase with another time or amount; the old one's time or amount goes, all else of it stays."""
    if isinstance(value, dict):
        return {"phase": old["phase"], **value} if isinstance(old, dict) and "phase" in old else value
    if not isinstance(old, dict):
        return value
    read = value if isinstance(value, Quantity) else read_quantity(value, "time", "volume", "mass")
    key = "time" if read.dimension == "time" else "fuel"
    return {**{name: each for name, each in old.items() if name not in ("time", "fuel")}, key: value}


def _checked(
    document: Document,
    made: Sequence[_Change],
    wrong: list[Finding],
    plane: Aircraft | None,
    read: Callable[[Document], R],
) -> R:
    """The record with the changes made; what is wrong with them is told beside findings of keys."""
    tree, options = document.value, dict(document.varied)
    for change in made:
        try:
            tree = _with_change(tree, change, made, plane)
        except InputRefused as refused:
            where = where_words(change.location)
            placed = [document.place(finding, change.location) for finding in refused.findings]
            wrong += (
                [finding.at(change.option, 0, 0, where) for finding in placed] if change.option else placed
            )
            continue
        options = {
            held: each for held, each in options.items() if held[: len(change.location)] != change.location
        }
        if change.option:
            options[change.location] = change.option
    try:
        result = read(replace(document, value=tree, varied=options))
    except InputRefused as refused:
        if not wrong:
            raise
        asked = {change.option for change in made}
        raise InputRefused([*wrong, *(each for each in refused.findings if each.path in asked)]) from None
    if wrong:
        raise InputRefused(wrong)
    return result


def _with_change(tree: Any, change: _Change, made: Sequence[_Change], plane: Aircraft | None) -> Any:
    location, model = change.location, Aircraft if plane is None else Flight
    for length in range(len(location)):
        here, key = location[:length], location[length]
        for other in _REPLACES.get(model_at(model, here) or Record, {}).get(str(key), ()):
            set_too = any(each.location[: length + 1] == (*here, other) for each in made)
            holder = at(tree, here)
            if isinstance(holder, dict) and other in holder and not set_too:
                tree = put(tree, here, {name: each for name, each in holder.items() if name != other})
    # A seat is (..., "load", station, number): the row is written out, so that every figure keeps its seat.
    where = next(
        (
            at_
            for at_ in range(2, len(location))
            if location[at_ - 2] == "load" and isinstance(location[at_], int)
        ),
        0,
    )
    # The program knows which figure of the row it means; of what a user means only seats have a number.
    if plane is not None and where and (change.option or at(tree, location[: where + 1]) is None):
        row = location[:where]
        seats = {
            each.location[where]
            for each in made
            if each.location[:where] == row and len(each.location) > where
        }
        tree = put(tree, row, _row(plane, str(row[-1]), at(tree, row), len(seats)))
    value = change.value
    if change.option and value is not None and model_at(model, location) is Phase:
        value = _phase(at(tree, location), value)
    return put(tree, location, value)


def _row(aircraft: Aircraft, station: str, given: Any, changed: int) -> list[Any]:
    """The figures of a row, one per seat. Raises InputRefused where one figure stands for the whole row:
    nobody knows whose it is.
    """
    entries: list[Any] = []
    for entry in given if isinstance(given, list) else [] if given is None else [given]:
        people = entry.get("people", 1) if isinstance(entry, dict) else 1
        if isinstance(people, int) and 1 < people <= 50:
            entries += [{name: each for name, each in entry.items() if name != "people"}] * people
        else:
            entries.append(entry)
    seats = seats_of(aircraft, station, given)
    if len(entries) == 1 and seats > 1 and changed < seats and not _nothing(entries[0]):
        shown = entries[0].text if isinstance(entries[0], Quantity) else entries[0]
        message = f"the flight gives one figure, {shown}, for all {seats} seats of '{station}'"
        hint = f"set them all: '{station}=[..., ...]'"
        raise InputRefused([Finding("load-one-figure", message, "needed one per seat", hint)])
    return [*entries, *["0 kg"] * (seats - len(entries))]


def _nothing(entry: Any) -> bool:
    try:
        return (entry if isinstance(entry, Quantity) else read_quantity(entry, "mass")).value == 0
    except InputRefused:
        return False
