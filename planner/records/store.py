"""Where records are found: profiles by id or path, flights by path; read, validated and checked."""

from __future__ import annotations

import re
from dataclasses import field
from pathlib import Path
from typing import Any, Final, Generic, TypeVar, cast

from planner.quantities.errors import Finding, InputRefused, closest
from planner.quantities.frozen import frozen
from planner.records.aircraft.checks import check_aircraft
from planner.records.aircraft.record import Aircraft
from planner.records.document import Changes, Document, all_or_refuse, parse, read
from planner.records.fields import Record, validate
from planner.records.flight.checks import check_flight
from planner.records.flight.people import with_people
from planner.records.flight.record import Flight
from planner.records.flight.settling import settle_load, settle_marks
from planner.records.placed import place_all

R = TypeVar("R", bound=Record)

_PACKAGE: Final = Path(__file__).resolve().parent.parent


@frozen
class Loaded(Generic[R]):
    """A record with the document it came from and the notices found in it; a flight also has the `aircraft`
    it was checked against.

    `read` is the record as `document` gives it: another record in its place has left its document behind and
    can not be varied. `worked_out` is what others have made of this record and need not make again.
    """

    record: R
    document: Document
    notices: tuple[Finding, ...] = ()
    aircraft: Loaded[Aircraft] | None = None
    read: R | None = field(default=None, repr=False, compare=False)
    worked_out: dict[str, Any] = field(default_factory=dict, init=False, repr=False, compare=False)

    def with_(self, changes: Changes, aircraft: Loaded[Aircraft] | None = None) -> Loaded[R]:
        """A flight or profile with `changes` made, checked again; this one stays as it is. See
        `planner.records.varying`.

        Parameters: `changes`, key or location -> value as a file would state it, or a Quantity, None to take
        it out; `aircraft` to check a flight against in place of its own. Raises InputRefused with every
        finding at once, each at the `KEY=VALUE` it came from; ValueError for a record that was changed
        without its document.
        """
        # late: most plans are of files as they stand
        from planner.records.varying import aircraft_set, varied

        if self.read is None or self.read is not self.record:
            raise ValueError("this record was changed without its document: vary the one that was read")
        if not changes and (aircraft is None or aircraft is self.aircraft):
            return self
        if isinstance(self.record, Aircraft):
            return cast(Loaded[R], varied(self.document, Aircraft, changes, self.record, aircraft_in))
        plane = aircraft or self.aircraft
        if plane is None:
            raise TypeError(f"a {type(self.record).__name__} can not be varied")
        if aircraft is None and (other := aircraft_set(self.document, changes, plane.record)) is not None:
            plane = aircraft_named(*other)
        flight = varied(
            self.document, Flight, changes, plane.record, lambda document: flight_in(document, plane)
        )
        return cast(Loaded[R], flight)


def profile_folder() -> Path:
    """The folder of the program's own profiles: in the installed package, or beside it in a checkout."""
    installed = _PACKAGE / "aircraft_profiles"
    return installed if installed.is_dir() else _PACKAGE.parent / "aircraft_profiles"


def profile_ids() -> tuple[str, ...]:
    """Ids of the profiles that come with the program."""
    return tuple(sorted(path.stem for path in profile_folder().glob("*.yaml")))


def load_aircraft_file(path: Path | str, text: str | None = None) -> Loaded[Aircraft]:
    """Read and check a profile file (or its `text`). Raises InputRefused with every finding."""
    document = read(path) if text is None else parse(text, str(path))
    return aircraft_in(document)


def aircraft_in(document: Document) -> Loaded[Aircraft]:
    """The profile in a document already read, checked. Raises InputRefused with every finding."""
    record = validate(document, Aircraft, "profile")
    return Loaded(record, document, all_or_refuse(check_aircraft(record, document)), read=record)


def find_profile(name: str, beside: Path) -> Path | None:
    """The file of a profile: an id that comes with the program, or a path relative to `beside`."""
    paths = [beside / name, beside / f"{name}.yaml"]
    if re.fullmatch(r"[a-z0-9][a-z0-9-]*", name):
        paths.insert(0, profile_folder() / f"{name}.yaml")
    for path in paths:
        try:
            if path.is_file():
                return path
        except OSError:  # a name too long, or a folder that may not be entered: nothing to be found there
            continue
    return None


def load_aircraft(name: str) -> Loaded[Aircraft]:
    """A profile by id or path as typed on the command line. Raises InputRefused."""
    path = find_profile(name, Path.cwd())
    if path is None:
        raise InputRefused([_no_profile(name, "an id of 'planner aircraft list' or a path").at(name, 1, 1)])
    return load_aircraft_file(path)


def _no_profile(name: str, needed: str) -> Finding:
    hint = closest(name, profile_ids())
    return Finding("aircraft-not-found", f"no profile '{name}'", f"needed {needed}", hint)


def load_flight_file(path: Path | str) -> tuple[Loaded[Flight], Loaded[Aircraft]]:
    """A flight and its aircraft, checked against each other. Raises InputRefused with all findings."""
    loaded = flight_in(read(path))
    assert loaded.aircraft is not None  # every flight is checked against one
    return loaded, loaded.aircraft


def flight_in(document: Document, aircraft: Loaded[Aircraft] | None = None) -> Loaded[Flight]:
    """The flight in a document already read, settled and checked against its aircraft, or against the
    `aircraft` given.

    Raises InputRefused with every finding of both.
    """
    known, old = with_people(document)
    flight = validate(known, Flight, "flight")
    aircraft = aircraft or aircraft_named(flight.aircraft, document)
    flight, unsettled = settle_load(flight, aircraft.record)
    flight, unmarked = settle_marks(flight, aircraft.record)
    unsettled += unmarked
    if flight.legs:
        from planner.records.flight.legs import check_legs  # late: most flights have one leg

        unsettled += check_legs(flight, aircraft.record)
    notices = all_or_refuse(
        (*old, *place_all(document, unsettled), *check_flight(flight, aircraft.record, document))
    )
    return Loaded(record=flight, document=document, notices=notices, aircraft=aircraft, read=flight)


def aircraft_named(name: str, document: Document) -> Loaded[Aircraft]:
    """The aircraft that the flight in `document` names: an id, or a path from there. Raises InputRefused."""
    profile = find_profile(name, document.folder)
    if profile is None:
        missing = _no_profile(name, "an id or a path from this file")
        raise InputRefused([document.place(missing, ("aircraft",))])
    return load_aircraft_file(profile)
