"""Checks of what a profile says about uncertainty and about moment changes that exclude each other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.document import Location
from planner.records.fields import Record
from planner.records.placed import Located, found, unknown


def exclusive_known(aircraft: Aircraft) -> Iterator[Located]:
    """moment-change-unknown: a moment change that excludes others but is not in the profile;
    moment-change-alone: one that excludes nothing.
    """
    for index, names in enumerate(aircraft.exclusive_moment_changes):
        here: Location = ("exclusive_moment_changes", index)
        excluded = ((here, name) for name in names)
        yield from unknown(excluded, aircraft.moment_changes, "moment-change-unknown", "moment change")
        if len(set(names)) < 2:
            yield found(
                here,
                "moment-change-alone",
                "one name excludes nothing",
                "needed two or more, such as [[flaps up, flaps down]]",
            )


def figures_of(part: Any, location: Location = ()) -> Iterator[tuple[Location, Quantity]]:
    """Every figure the file gives in a record, with its place; superseded records are history and left
    out.
    """
    if isinstance(part, Quantity):
        yield location, part
    elif isinstance(part, Record):
        for name in type(part).model_fields:  # what was set is a set: in another order in every run
            if name in part.model_fields_set and name != "superseded":
                yield from figures_of(getattr(part, name), (*location, name))
    elif isinstance(part, dict):
        for name, each in part.items():
            yield from figures_of(each, (*location, name))
    elif isinstance(part, tuple):
        for index, each in enumerate(part):
            yield from figures_of(each, (*location, index))


def _exact(aircraft: Aircraft) -> Iterator[tuple[Location, Quantity]]:
    """Every figure of a profile that the engine takes as exact: limits, capacities, tables and edges."""
    for name, station in aircraft.stations.items():
        for key in ("max", "min", "area", "max_per_area"):
            if (limit := getattr(station, key)) is not None:
                yield ("stations", name, key), limit
    for index, combined in enumerate(aircraft.combined_limits):
        yield ("combined_limits", index, "max"), combined.max
    for index, balance in enumerate(aircraft.balance):
        yield ("balance", index, "max"), balance.max
    for name, tank in aircraft.tanks.items():
        yield ("tanks", name, "capacity"), tank.capacity
        if tank.max is not None:
            yield ("tanks", name, "max"), tank.max
        for row in tank.arm if not isinstance(tank.arm, Quantity) else ():
            yield ("tanks", name, "arm"), row[0]
    for key in ("max_takeoff", "max_ramp", "max_landing", "max_zero_fuel"):
        if (mass := getattr(aircraft.masses, key)) is not None:
            yield ("masses", key), mass
    for name, category in aircraft.envelopes.items():
        for side in ("forward", "aft"):
            yield from ((("envelopes", name, side), each) for row in getattr(category, side) for each in row)
        for key in ("max_takeoff", "max_payload"):
            if (top := getattr(category, key)) is not None:
                yield ("envelopes", name, key), top
    for name, stick in aircraft.dipsticks.items():
        yield from ((("dipsticks", name, "table"), mark) for mark, _ in stick.table)
    if aircraft.lateral is not None:
        yield from ((("lateral", side), getattr(aircraft.lateral, side)) for side in ("left", "right"))
    if (chord := aircraft.mean_aerodynamic_chord) is not None:
        yield from (
            (("mean_aerodynamic_chord", key), getattr(chord, key)) for key in ("leading_edge", "length")
        )


def exact_figures(aircraft: Aircraft) -> Iterator[Located]:
    """uncertainty-unused: a `+/-` on a limit, an edge, a capacity, or a mark of a table, which count as
    exact.
    """
    told: set[Location] = set()
    for location, quantity in _exact(aircraft):
        if quantity.u and location not in told:
            told.add(location)
            message = (
                f"the '+/-' of '{quantity.text}' is not used: limits, edges, capacities and tables count as"
                " exact"
            )
            yield found(
                location,
                "uncertainty-unused",
                message,
                hint="write the safe side of it, without '+/-'",
                severity="notice",
            )
