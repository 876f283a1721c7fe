"""Where there is room aboard: stations, seats and tanks that may take more."""

from __future__ import annotations

import math
from typing import Final

from planner.flight.limits import greatest_takeoff_mass
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


def room_on(plan: Plan, station: str, origin: str = "") -> float:
    """Mass [kg] a station can still take by every limit on the load, coming aboard or from `origin`: what
    counts alike on both is not touched. On a seat no more than is handled by hand; where nothing limits it,
    what the take-off limit leaves. Source: the profile's own limits.
    """
    masses = {name: [mass.value for mass in row] for name, row in plan.flight.load.items()}
    room: list[float] = [
        limit.margin(limit.of_load(masses)) / more
        for limit in plan.model.limits
        if limit.upper and (more := limit.weight(station) - limit.weight(origin)) > 0
    ]
    if plan.aircraft.stations[station].kind == "seats":
        room.append(SEAT_MOST)
    elif not room:
        most = greatest_takeoff_mass(plan.aircraft, plan.flight.category)
        room.append(math.inf if origin else most - plan.state("zero fuel").total.mass)
    return max(min(room), 0.0)


def open_places(plan: Plan) -> tuple[str, ...]:
    """Stations that may take ballast or a bag: not forbidden by the category; of seats only those with one
    free.
    """
    return tuple(
        name
        for name, station in plan.aircraft.allowed(plan.flight.category).items()
        if station.kind != "seats" or (taken(plan, name) < station.seats and not undivided(plan, name))
    )


def taken(plan: Plan, station: str) -> int:
    """How many entries of a station are more than nothing."""
    return sum(mass.value > 0 for mass in plan.flight.load.get(station, ()))


def undivided(plan: Plan, row: str) -> bool:
    """One figure for several seats: who sits where is not known, so nobody can be moved, nor anything put
    beside it.
    """
    masses = plan.flight.load.get(row, ())
    return plan.aircraft.stations[row].seats > 1 and len(masses) == 1 and masses[0].value > 0


SEAT_MOST: Final = 120.0  # kg of ballast on one seat; more is no longer handled by hand
