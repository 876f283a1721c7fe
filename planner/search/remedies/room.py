"""Where there is room aboard: stations, seats and tanks that may take more."""

from __future__ import annotations

import math
from typing import Final

from planner.plan.results import Plan
from planner.search.remedies.steps import twin_tanks


def tank_groups(plan: Plan) -> tuple[tuple[str, ...], ...]:
    """Tanks that are filled together: each alone, a left and right pair, and all."""
    names = tuple(plan.aircraft.tanks)
    groups: dict[tuple[str, ...], None] = {}
    if len(names) > 1:
        groups[names] = None
    groups |= dict.fromkeys(twin_tanks(plan.aircraft))
    return (*groups, *((name,) for name in names))


def room_on(plan: Plan, station: str) -> float:
    """Mass [kg] a station can still take: what its limit leaves, or the take-off limit where it has none.
    Source: the profile's own limits.
    """
    record = plan.aircraft.stations[station]
    aboard = sum(mass.value for mass in plan.flight.load.get(station, ()))
    room = [record.max.value - aboard] if record.max is not None else []
    for combined in plan.aircraft.combined_limits:
        if station in combined.stations:
            room.append(
                combined.max.value
                - sum(mass.value for name in combined.stations for mass in plan.flight.load.get(name, ()))
            )
    if not room:
        room.append(
            SEAT_MOST
            if record.kind == "seats"
            else plan.aircraft.masses.max_takeoff.value - plan.state("zero fuel").total.mass
        )
    return max(min(room), 0.0)


def room_moved(plan: Plan, to: str, origin: str) -> float:
    """Room [kg] on a station for what comes from another: a combined limit on both is not touched by it."""
    record = plan.aircraft.stations[to]
    aboard = sum(mass.value for mass in plan.flight.load.get(to, ()))
    own = max(record.max.value - aboard, 0.0) if record.max is not None else math.inf
    shared = any(
        origin in combined.stations and to in combined.stations for combined in plan.aircraft.combined_limits
    )
    return own if shared else min(own, room_on(plan, to))


def open_places(plan: Plan) -> tuple[str, ...]:
    """Stations that may take ballast or a bag: not forbidden by the category; of seats only those with one
    free.
    """
    forbidden = plan.aircraft.envelopes[plan.flight.category].forbids
    return tuple(
        name
        for name, station in plan.aircraft.stations.items()
        if name not in forbidden
        and (station.kind != "seats" or taken(plan, name) < station.seats)
        and not _undivided(plan, name)
    )


def taken(plan: Plan, station: str) -> int:
    """How many entries of a station are more than nothing."""
    return sum(mass.value > 0 for mass in plan.flight.load.get(station, ()))


def _undivided(plan: Plan, station: str) -> bool:
    """One figure for several seats: who sits where is not known, so nothing can be put beside it."""
    record = plan.aircraft.stations[station]
    return record.kind == "seats" and record.seats > 1 and len(plan.flight.load.get(station, ())) == 1


SEAT_MOST: Final = 120.0  # kg of ballast on one seat; more is no longer handled by hand
