"""From a profile and a flight's load to items on arms, with what is sure about each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from planner.effects import Effect, seat_label
from planner.moments import Item
from planner.profile.aircraft import Aircraft, Station
from planner.units import POUND, US_GALLON, Quantity

# Used only where a basic empty mass leaves the oil out: 7.5 lb per US gallon, [faa-h-8083-30] ch. 4.
OIL_DENSITY: Final = 7.5 * POUND / US_GALLON  # kg/m3


@dataclass(frozen=True, slots=True)
class StationLoad:
    """The load on one station [kg] and the limit it is held to [kg], or the reason there is none."""

    station: str
    mass: float
    u: float
    limit: float | str


@dataclass(frozen=True, slots=True)
class Loading:
    """Everything aboard but usable fuel: `items` (basic empty mass first), the effects of their uncertainties, station loads."""

    items: tuple[Item, ...]
    effects: tuple[Effect, ...]
    stations: tuple[StationLoad, ...]


def _lateral(station: Station, seat: int, masses: int) -> float:
    """The lateral arm of one mass; a single figure for several seats sits at their mean."""
    if station.lateral_arm is not None:
        return station.lateral_arm.value
    if not station.lateral_arms:
        return 0.0
    arms = [arm.value for arm in station.lateral_arms]
    return arms[seat] if masses > 1 or len(arms) == 1 else sum(arms) / len(arms)


def _basic_empty(aircraft: Aircraft) -> tuple[Item, list[Effect]]:
    empty = aircraft.basic_empty
    mass, arm, lateral = empty.mass.value, empty.arm_value(), empty.lateral_arm.value
    effects = []
    if empty.mass.u:
        # A stated arm is independent of the mass, so the moment moves with it; a stated moment is not touched.
        moment = empty.mass.u * arm if empty.arm is not None else 0.0
        effects.append(Effect("basic empty mass", empty.mass.u, moment, empty.mass.u * lateral))
    if empty.arm is not None and empty.arm.u:
        effects.append(Effect("basic empty arm", 0.0, mass * empty.arm.u))
    if empty.moment is not None and empty.moment.u:
        effects.append(Effect("basic empty moment", 0.0, empty.moment.u))
    if empty.lateral_arm.u:
        effects.append(Effect("basic empty lateral arm", 0.0, 0.0, mass * empty.lateral_arm.u))
    return Item("basic empty mass", mass, arm, lateral), effects


def _fluids(aircraft: Aircraft, density: float) -> list[Item]:
    """Oil and unusable fuel, where the basic empty mass does not include them."""
    items = []
    if "full oil" not in aircraft.basic_empty.includes and aircraft.oil is not None:
        items.append(Item("oil", aircraft.oil.volume.value * OIL_DENSITY, aircraft.oil.arm.value))
    if "unusable fuel" not in aircraft.basic_empty.includes:
        for name, tank in aircraft.tanks.items():
            volume = tank.unusable.value
            points = tank.arm_points()
            arm = next((a for v, a in points if v >= volume), points[-1][1])
            items.append(Item(f"unusable fuel {name}", volume * density, arm, tank.lateral_arm.value))
    return items


def load_aircraft(aircraft: Aircraft, load: dict[str, tuple[Quantity, ...]], density: float) -> Loading:
    """Items and station loads of a flight.

    Each mass given for a station becomes an item at the station's arm, seat by seat where several are given.

    Parameters: `aircraft`; `load` station -> masses [kg]; `density` of the fuel [kg/m3], for unusable fuel
    that the basic empty mass leaves out. Returns a Loading.
    Raises: nothing; the load has passed the checks of `planner.profile.checks`.
    Source: [common-practice] computational method; [faa-h-8083-1b] ch. 5.
    """
    empty, effects = _basic_empty(aircraft)
    items, stations = [empty, *_fluids(aircraft, density)], []
    for name, masses in load.items():
        station = aircraft.stations[name]
        for seat, mass in enumerate(masses):
            label = seat_label(name, seat, len(masses))
            lateral = _lateral(station, seat, len(masses))
            items.append(Item(label, mass.value, station.arm.value, lateral))
            if mass.u:
                effects.append(Effect(label, mass.u, mass.u * station.arm.value, mass.u * lateral))
        total = sum(mass.value for mass in masses)
        if station.arm.u and total:
            effects.append(Effect(f"{name} arm", 0.0, total * station.arm.u))
        limit: float | str = station.max.value if station.max is not None else "no limit in the profile"
        stations.append(StationLoad(name, total, _sum_u(masses), limit))
    return Loading(tuple(items), tuple(effects), tuple(stations))


def _sum_u(masses: Sequence[Quantity]) -> float:
    """Standard uncertainty [kg] of a sum of independently known masses."""
    return math.hypot(*(mass.u for mass in masses))
