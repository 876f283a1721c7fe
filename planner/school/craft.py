"""The figures of a profile as a problem prints them: rounded once, and then exact, so that paper and program
start from the same page.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from planner.facts.grades import GRADES, Grade
from planner.flight.fuel import FuelTank
from planner.flight.limits import greatest_mass
from planner.flight.loading import empty_aircraft, tanks_of
from planner.quantities.polygon import Edge, Envelope
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft, CategoryEnvelope
from planner.records.fields import Rows
from planner.school.dice import Pen
from planner.school.problem import NotSettable, PrintedFigure


@dataclass(frozen=True, slots=True)
class PrintedStation:
    """A station: `arm` and `limit` as printed."""

    name: str
    kind: str
    seats: int
    arm: PrintedFigure
    limit: PrintedFigure | None


@dataclass(frozen=True, slots=True)
class Category:
    """A category with its envelope from the printed points; `top` is the take-off limit that holds in it."""

    name: str
    envelope: Envelope
    forward: tuple[tuple[PrintedFigure, PrintedFigure], ...]
    aft: tuple[tuple[PrintedFigure, PrintedFigure], ...]
    kind: str
    top: PrintedFigure
    forbids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Craft:
    """A profile in printed figures. `empty` is (mass, arm); `fluids` (name, mass, arm) are what the basic
    empty mass leaves out; every tank is filled alike.
    """

    name: str
    invented: bool
    datum: str
    pen: Pen
    empty: tuple[PrintedFigure, PrintedFigure]
    includes: tuple[str, ...]
    fluids: tuple[tuple[str, PrintedFigure, PrintedFigure], ...]
    places: tuple[PrintedStation, ...]
    combined: tuple[tuple[str, tuple[str, ...], PrintedFigure], ...]
    tanks: tuple[FuelTank, ...]
    feed: tuple[tuple[str, ...], ...]
    usable: float
    unusable: float
    grade: Grade
    categories: tuple[Category, ...]
    top: PrintedFigure
    ramp: PrintedFigure | None
    landing: PrintedFigure | None
    zero_fuel: PrintedFigure | None
    chord: tuple[PrintedFigure, PrintedFigure] | None
    flows: dict[str, PrintedFigure]
    possible: dict[tuple[str, str], bool] = field(
        default_factory=dict, compare=False
    )  # what random loadings can be, once known

    @property
    def seats(self) -> tuple[PrintedStation, ...]:
        """Stations with seats, front one first."""
        return tuple(
            sorted(
                (place for place in self.places if place.kind == "seats"), key=lambda place: place.arm.value
            )
        )

    @property
    def holds(self) -> tuple[PrintedStation, ...]:
        """Stations for baggage and other load."""
        return tuple(place for place in self.places if place.kind != "seats")

    @property
    def unusable_included(self) -> bool:
        """Whether the basic empty mass holds the unusable fuel."""
        return "unusable fuel" in self.includes

    def fuel_arm(self, volume: float) -> float:
        """Arm [m] of so much usable fuel [m3], every tank filled to the same share."""
        share = volume / self.usable
        moment = math.fsum(tank.volume_moment(tank.usable_capacity * share) for tank in self.tanks)
        return moment / volume


def _category(name: str, record: CategoryEnvelope, aircraft: Aircraft, pen: Pen) -> Category:
    def side(rows: Rows) -> tuple[tuple[PrintedFigure, PrintedFigure], ...]:
        return tuple((pen.figure(m.value, "mass", 0), pen.figure(a.value, "length")) for m, a in rows)

    forward, aft = side(record.forward), side(record.aft)
    edges = [Edge(tuple((m.value, a.value) for m, a in points), record.edges) for points in (forward, aft)]
    top = pen.figure(greatest_mass(aircraft, name, "takeoff"), "mass", 0)
    return Category(
        name=name,
        envelope=Envelope(edges[0], edges[1]),
        forward=forward,
        aft=aft,
        kind=record.edges,
        top=top,
        forbids=tuple(record.forbids),
    )


def craft_of(aircraft: Aircraft, pen: Pen) -> Craft:
    """The profile in printed figures.

    Parameters: `aircraft`; `pen` for the reader's units. Returns a Craft, SI inside.
    Raises NotSettable where a profile has neither a seat nor a known fuel grade, so that no problem can be
    told of it.
    """
    grade = next((GRADES[name] for name in aircraft.fuel_grades if name in GRADES), None)
    if grade is None:
        raise NotSettable("the profile names no fuel grade of the list, and a problem needs its density")
    if not any(station.kind == "seats" for station in aircraft.stations.values()):
        raise NotSettable("the profile has no station with seats, and nobody could fly it")
    empty, masses = aircraft.basic_empty, aircraft.masses

    def mass(quantity: Quantity | None) -> PrintedFigure | None:
        return pen.figure(quantity.value, "mass", 0) if quantity is not None else None

    places = [
        PrintedStation(
            name=name,
            kind=each.kind,
            seats=each.seats,
            arm=pen.figure(each.arm.value, "length"),
            limit=mass(each.max),
        )
        for name, each in aircraft.stations.items()
    ]
    tanks = tanks_of(aircraft)
    flows = {
        phase: pen.figure(
            flow.value if flow.dimension == "volume flow" else flow.value / grade.standard_density,
            "volume flow",
        )
        for phase, flow in aircraft.burn.items()
    }
    chord = aircraft.mean_aerodynamic_chord
    return Craft(
        name=aircraft.name,
        invented=aircraft.invented,
        datum=aircraft.datum,
        pen=pen,
        empty=(pen.figure(empty.mass.value, "mass"), pen.figure(empty.arm_value(), "length")),
        includes=tuple(empty.includes),
        fluids=tuple(
            (item.name, pen.figure(item.mass, "mass", 1), pen.figure(item.arm, "length"))
            for item in empty_aircraft(aircraft, grade.standard_density).items[1:]
            if item.mass > 0
        ),
        places=tuple(places),
        combined=tuple(
            (each.name, tuple(each.stations), pen.figure(each.max.value, "mass", 0))
            for each in aircraft.combined_limits
        ),
        tanks=tanks,
        feed=aircraft.feed_order(),
        usable=math.fsum(tank.usable_capacity for tank in tanks),
        unusable=math.fsum(tank.unusable for tank in tanks),
        grade=grade,
        categories=tuple(_category(name, each, aircraft, pen) for name, each in aircraft.envelopes.items()),
        top=pen.figure(masses.max_takeoff.value, "mass", 0),
        ramp=mass(masses.max_ramp),
        landing=mass(masses.max_landing),
        zero_fuel=mass(masses.max_zero_fuel),
        chord=(
            (pen.figure(chord.leading_edge.value, "length"), pen.figure(chord.length.value, "length"))
            if chord is not None
            else None
        ),
        flows=flows,
    )
