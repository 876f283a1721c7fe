"""A flight of several legs: the record of each leg as a flight of its own, and the checks of what its file
adds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeVar

from planner.quantities.errors import closest
from planner.records.aircraft.record import Aircraft
from planner.records.document import Document, Location
from planner.records.flight.checks import phases_known, seats_filled
from planner.records.flight.record import Flight, FurtherLeg
from planner.records.placed import Located, found
from planner.records.store import settle_load

T = TypeVar("T")


def leg_record(flight: Flight, leg: FurtherLeg) -> Flight:
    """A leg as a flight: the file's load with the leg's own stations loaded anew, its trip and its alternate;
    all else as the file has it.
    """
    load = {**flight.load, **leg.load}
    return flight.model_copy(
        update={"title": leg.name, "load": load, "trip": leg.trip, "alternate": leg.alternate, "legs": ()}
    )


def leg_records(flight: Flight) -> tuple[Flight, ...]:
    """Every leg as a flight, in order; what a leg loads stays aboard until a later one names the station
    again.
    """
    records = [flight.model_copy(update={"legs": ()})]
    for leg in flight.legs:
        records.append(leg_record(records[-1], leg))
    return tuple(records)


def leg_document(document: Document, number: int) -> Document:
    """The marks of a file as the leg `number` (from 0, of those that follow) sees them: its own trip and
    load, its uplift for its tanks.
    """
    here = ("legs", number)

    def seen(held: Mapping[Location, T]) -> dict[Location, T]:
        own: dict[Location, T] = {}
        for location, what in held.items():
            if location[:2] == here and len(location) > 2:
                inner = location[2:]
                own[("fuel", "tanks", *inner[1:]) if inner[0] == "uplift" else inner] = what
        return {**held, **own}

    # What was varied in the first leg is not what this leg states for itself: a trip and an alternate are
    # each leg's own.
    marks, varied = seen(document.marks), seen(document.varied)
    for location in document.varied:
        stated = location[:1] in (("trip",), ("alternate",)) or (
            location[:1] == ("load",) and here + location[:2] in document.marks
        )
        if stated and here + location not in document.varied:
            del varied[location]
    return Document(
        path=document.path,
        value=document.value,
        marks=marks,
        key_marks=document.key_marks,
        text=document.text,
        varied=varied,
    )


def settle_legs(flight: Flight, aircraft: Aircraft) -> tuple[Flight, list[Located]]:
    """The legs with pads, default uncertainties and standard masses applied to their loads."""
    legs: list[FurtherLeg] = []
    wrong: list[Located] = []
    for number, leg in enumerate(flight.legs):
        settled, unsettled = settle_load(flight.model_copy(update={"load": leg.load}), aircraft)
        legs.append(leg.model_copy(update={"load": settled.load}))
        wrong += [(("legs", number, *location), finding) for location, finding in unsettled]
    return flight.model_copy(update={"legs": tuple(legs)}), wrong


def check_legs(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """station-unknown, tank-unknown, and what is checked of any trip and load."""
    for number, leg in enumerate(flight.legs):
        here = ("legs", number)
        for station in leg.load:
            if station not in aircraft.stations:
                message = f"{aircraft.name} has no station '{station}'"
                yield found(
                    (*here, "load", station),
                    "station-unknown",
                    message,
                    hint=closest(station, aircraft.stations),
                )
        for tank in leg.uplift:
            if tank not in aircraft.tanks:
                yield found(
                    (*here, "uplift", tank),
                    "tank-unknown",
                    f"{aircraft.name} has no tank '{tank}'",
                    hint=closest(tank, aircraft.tanks),
                )
        record = flight.model_copy(update={"load": leg.load, "trip": leg.trip, "alternate": leg.alternate})
        for check in (seats_filled, phases_known):
            yield from (((*here, *location), finding) for location, finding in check(record, aircraft))


def legs_follow(flight: Flight) -> Iterator[Located]:
    """legs-follow: for commands that plan the first leg only."""
    count = len(flight.legs)
    message = f"{count} more leg{'s follow' if count > 1 else ' follows'}; this is the first"
    yield found(("legs",), "legs-follow", message, hint="'planner flight' plans all legs", severity="notice")
