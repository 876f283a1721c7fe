"""The quantities of a flight that a sweep leaves open."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from planner.quantities.errors import closest
from planner.quantities.files import refused
from planner.quantities.frozen import frozen
from planner.quantities.units import Unit, find_unit
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight

FUEL = "fuel"


@frozen
class Target:
    """A quantity of the flight left open: a whole `station`, one `seat` of it (from 0), one `tank`, or all
    usable fuel; in `unit`.
    """

    name: str
    kind: Literal["station", "seat", "tank", "fuel"]
    unit: Unit
    station: str = ""
    seat: int = -1
    tank: str = ""

    @property
    def by_mass(self) -> bool:
        """Fuel given by mass."""
        return self.kind in ("tank", "fuel") and self.unit.dimension == "mass"

    def factor(self, density: float) -> float:
        """What one of `unit` is in the sweep's own kg or m3; `density` [kg/m3] of the fuel. Source: volume =
        mass / density.
        """
        return self.unit.factor / density if self.by_mass else self.unit.factor


def find_target(flight: Flight, aircraft: Aircraft, name: str, unit: str) -> Target:
    """The quantity of that name in that unit.

    `STATION`, `STATION 2` for its second seat, `fuel` for all usable fuel, `fuel TANK` for one tank.
    Raises InputRefused: sweep-unknown, sweep-seats, quantity-wrong-dimension and what `find_unit` refuses.
    """
    read = find_unit(unit, "needed a unit such as kg, lb, L or USgal")
    target = _named(flight, aircraft, name, read)
    of_fuel = target.kind in ("tank", "fuel")
    if read.dimension not in (("volume", "mass") if of_fuel else ("mass",)):
        needed = "needed a volume such as '31 L', or a mass" if of_fuel else "needed a mass such as '82 kg'"
        message = f"'{name}' is given in {unit}, a {read.dimension}"
        raise refused("", "quantity-wrong-dimension", message, needed)
    return target


def _named(flight: Flight, aircraft: Aircraft, name: str, unit: Unit) -> Target:
    if name in aircraft.stations:
        return Target(name, "station", unit, station=name)
    if name == FUEL:
        return Target(name, "fuel", unit)
    if name.startswith(f"{FUEL} ") and (tank := name.removeprefix(f"{FUEL} ")) in aircraft.tanks:
        return Target(name, "tank", unit, tank=tank)
    seat = re.fullmatch(r"(.+) (\d{1,2})", name)
    if seat and seat[1] in aircraft.stations:
        given = len(flight.load.get(seat[1], ()))
        if not 1 <= int(seat[2]) <= given or given < 2:
            message = f"the flight gives {given} figure{'' if given == 1 else 's'} for '{seat[1]}'"
            needed = f"needed one figure per seat in the flight file to vary '{name}'"
            raise refused("", "sweep-seats", message, needed, f"or vary '{seat[1]}'")
        return Target(name, "seat", unit, station=seat[1], seat=int(seat[2]) - 1)
    known = [*aircraft.stations, FUEL, *(f"{FUEL} {tank}" for tank in aircraft.tanks)]
    hint = f"did you mean '{FUEL} {name}'?" if name in aircraft.tanks else closest(name, known)
    message = f"{aircraft.name} has nothing called '{name}' to vary"
    raise refused("", "sweep-unknown", message, "needed a station, 'fuel' or 'fuel TANK'", hint)


def conflicts(targets: Sequence[Target]) -> list[str]:
    """Names of quantities that set what one before them sets already."""

    def meet(target: Target, other: Target) -> bool:
        if target.kind == other.kind and (target.seat, target.tank) != (other.seat, other.tank):
            return False
        both_fuel = {target.kind, other.kind} <= {"tank", "fuel"}
        return both_fuel or (bool(target.station) and target.station == other.station)

    return [
        target.name
        for index, target in enumerate(targets)
        if any(meet(target, other) for other in targets[:index])
    ]
