"""Checks of what a profile says about uncertainty and about moment changes that exclude each other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.document import Location
from planner.records.fields import Record
from planner.records.placed import Located, found, notice, unknown


def exclusive_known(aircraft: Aircraft) -> Iterator[Located]:
    """moment-change-unknown: a moment change that excludes others but is not in the profile;
    moment-change-alone: one that excludes nothing.
    """
    for index, names in enumerate(aircraft.exclusive_moment_changes):
        here: Location = ("exclusive_moment_changes", index)
        yield from unknown(here, names, aircraft.moment_changes, "moment-change-unknown", "moment change")
        if len(set(names)) < 2:
            needed = "needed two or more, such as [[flaps up, flaps down]]"
            yield found(here, "moment-change-alone", "one name excludes nothing", needed)


def figures_of(part: Any, location: Location = ()) -> Iterator[tuple[Location, Quantity]]:
    """Every figure the file gives in a record, with its place; superseded records are left out."""
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


# What the engine takes as exact: limits, capacities, edges, and the first column of tables.
_EXACT: Final = ("combined_limits", "balance", "masses", "envelopes", "lateral", "mean_aerodynamic_chord")
_EXACT_PARTS: Final = {"stations": ("max", "min", "area", "max_per_area"), "tanks": ("capacity", "max")}


def _is_exact(location: Location) -> bool:
    group, key = str(location[0]), location[2] if len(location) > 2 else ""
    return (
        group in _EXACT
        or key in _EXACT_PARTS.get(group, ())
        or ((group, key) in (("tanks", "arm"), ("dipsticks", "table")) and location[-1] == 0)
    )


def exact_figures(aircraft: Aircraft) -> Iterator[Located]:
    """uncertainty-unused: a `+/-` on a limit, edge, capacity, or mark of a table, which count as exact."""
    told: set[Location] = set()
    for location, quantity in figures_of(aircraft):
        place = location[:3]
        if quantity.u and place not in told and _is_exact(location):
            told.add(place)
            message = (
                f"the '+/-' of '{quantity.text}' is not used: limits, edges, capacities and tables count as"
                " exact"
            )
            hint = "write the safe side of it, without '+/-'"
            yield notice(place, "uncertainty-unused", message, hint=hint)
