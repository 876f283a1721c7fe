"""What a flight leaves to its aircraft, settled: marks of a tank as volumes, standard masses applied."""

from __future__ import annotations

from planner.quantities.errors import closest
from planner.quantities.units import Quantity, read_quantity
from planner.records.aircraft.record import ENDS, Aircraft
from planner.records.flight.load_items import settle
from planner.records.flight.record import Flight, TankContent
from planner.records.placed import Located, found


def settle_marks(flight: Flight, aircraft: Aircraft) -> tuple[Flight, list[Located]]:
    """The flight with `full`, `empty` and named marks of a tank as usable fuel, and tank-mark where the tank
    has no such mark.
    """
    tanks, wrong = dict(flight.fuel.tanks), []
    for name, content in flight.fuel.tanks.items():
        tank = aircraft.tanks.get(name)
        if content.mark is None or tank is None:
            continue
        level = tank.marks.get(content.mark)
        if content.mark in ENDS:
            level = read_quantity(tank.end(content.mark), "volume")
        if level is None:
            known = closest(content.mark, (*ENDS, *tank.marks))
            message = f"tank '{name}' has no mark '{content.mark}'"
            wrong.append(
                found(
                    ("fuel", "tanks", name),
                    "tank-mark",
                    message,
                    "needed an amount such as '31 L', or a mark",
                    known,
                )
            )
            level = read_quantity(tank.end("empty"), "volume")
        tanks[name] = TankContent(usable=level)
    return flight.model_copy(update={"fuel": flight.fuel.model_copy(update={"tanks": tanks})}), wrong


def settle_load(flight: Flight, aircraft: Aircraft) -> tuple[Flight, list[Located]]:
    """The flight with pads, default uncertainties and standard masses applied, and load-no-standard where
    there is none.
    """
    passengers = sum(station.seats for station in aircraft.stations.values()) - 1
    settled: dict[str, tuple[Quantity, ...]] = {}
    wrong: list[Located] = []
    for name, masses in flight.load.items():
        kind = aircraft.stations[name].kind if name in aircraft.stations else "seats"
        try:
            settled[name] = tuple(settle(mass, kind, passengers) for mass in masses)
        except KeyError:
            settled[name] = masses
            message = f"there is no standard mass for '{name}' in an aircraft of {passengers + 1} seats"
            wrong.append(
                found(
                    ("load", name),
                    "load-no-standard",
                    message,
                    "needed a mass that is weighed, stated or guessed",
                )
            )
    return flight.model_copy(update={"load": settled}), wrong
