"""A flight of several legs: each leg's record as a flight of its own, and checks of what its file adds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.document import Document, Location
from planner.records.flight.checks import phases_known, seats_filled
from planner.records.flight.record import Flight
from planner.records.flight.settling import settle_load
from planner.records.placed import Located, unknown

if TYPE_CHECKING:
    from planner.records.store import Loaded

T = TypeVar("T")


def leg_flight(
    flight: Loaded[Flight], aircraft: Loaded[Aircraft], number: int, tanks: Mapping[str, Quantity]
) -> Loaded[Flight]:
    """The leg `number` (from 0, of those that follow) as a flight: its trip and alternate, its usable fuel;
    all else as the file has it.

    What a leg loads stays aboard until a later one names the station again. Raises InputRefused.
    """
    legs = flight.document.value["legs"][: number + 1]
    own = legs[number]
    changes: dict[Location, object] = {
        ("legs",): None,
        ("title",): own["name"],
        ("trip",): own["trip"],
        ("alternate",): own.get("alternate"),
    }
    changes |= {
        ("load", station): entries for leg in legs for station, entries in (leg.get("load") or {}).items()
    }
    changes |= {("fuel", "tanks", name): usable for name, usable in tanks.items()}
    marked = replace(flight, document=leg_document(flight.document, number))
    # The notices of the file are told with its first leg.
    return replace(marked.with_(changes, aircraft), notices=())


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
    return replace(document, marks=marks, varied=varied, kept=None)


def check_legs(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """load-no-standard, station-unknown, tank-unknown, and what is checked of any trip and load."""
    for number, leg in enumerate(flight.legs):
        here = ("legs", number)
        record, unsettled = settle_load(
            flight.model_copy(update={"load": leg.load, "trip": leg.trip, "alternate": leg.alternate}),
            aircraft,
        )
        yield from (((*here, *location), finding) for location, finding in unsettled)
        known = aircraft.stations
        yield from unknown((*here, "load"), leg.load, known, "station-unknown", "station", aircraft.name)
        tanks = aircraft.tanks
        yield from unknown((*here, "uplift"), leg.uplift, tanks, "tank-unknown", "tank", aircraft.name)
        for check in (seats_filled, phases_known):
            yield from (((*here, *location), finding) for location, finding in check(record, aircraft))
