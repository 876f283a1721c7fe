"""The aircraft of a problem: an ordinary profile whose figures are those the page prints, read and checked
anew.

The profile is varied once, every figure rounded as it will be printed. From there on paper and program start
from the same page.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property
from typing import Final, Literal

from planner.facts.grades import GRADES
from planner.flight.envelope import without_noise
from planner.flight.fuel import Draw, Leg, burn_down
from planner.flight.limits import GREATEST, Limit, mass_bounds, of_envelope, register
from planner.flight.loading import empty_aircraft, tanks_of
from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, Envelope
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft, CategoryEnvelope, CombinedLimit, Station
from planner.records.store import Loaded
from planner.school.dice import Pen
from planner.school.problem import NotSettable

Place = tuple[str, Station]
Side = Literal["forward", "aft"]
# What problems there are: 2 added topics and mended questions, 3 draws a loading whose burn comes to a limit.
EDITION: Final = 3


@frozen
class Category:
    """A category with its envelope; `top` is the greatest take-off mass that holds in it, as printed;
    `limits` on what is aboard and on the take-off, not across.
    """

    name: str
    record: CategoryEnvelope
    envelope: Envelope
    top: Quantity
    limits: tuple[Limit, ...] = field(compare=False, repr=False)

    def drawn(self, envelope: Envelope) -> Category:
        """The category with another envelope, whose limits are others, too."""
        own = {(each.id, each.place): each for each in of_envelope(envelope, None, "takeoff")}
        limits = tuple(own.get((each.id, each.place), each) for each in self.limits)
        return replace(self, envelope=envelope, limits=limits)

    def edge(self, side: Side) -> Edge:
        """The CG limit of one side."""
        return self.envelope.forward if side == "forward" else self.envelope.aft

    def word(self, here: Total) -> str:
        """Whether every limit of a take-off in this category is kept: `inside` or `outside`."""
        return "inside" if min(self.margins(here).values()) >= 0 else "outside"

    def margins(self, here: Total, top: float | None = None) -> dict[str, float]:
        """The margins alone, by id [kg, m]: thousands of loadings are tried for a problem. `top` is another
        greatest mass [kg] than that of take-off.
        """
        found = {}
        for each in self.limits:
            if each.place == "takeoff":
                limit = replace(each, bound=top) if top is not None and each.id == GREATEST else each
                value = here.centre_of_gravity if limit.quantity == "cg" else here.mass
                bound = limit.at(here.mass)
                found[limit.id] = without_noise(bound - value if limit.upper else value - bound, bound, value)
        return found


class Craft:
    """A profile for the classroom: its fuel, tanks, seats, baggage places and categories.

    Raises NotSettable where it has neither a seat nor a known fuel grade, so that no problem can be told of
    it.
    """

    def __init__(self, loaded: Loaded[Aircraft], pen: Pen, edition: int = EDITION) -> None:
        self.loaded, self.aircraft, self.pen, self.edition = loaded, loaded.record, pen, edition
        aircraft = loaded.record
        grade = next((GRADES[name] for name in aircraft.fuel_grades if name in GRADES), None)
        if grade is None:
            raise NotSettable("the profile names no fuel grade of the list, and a problem needs its density")
        if not any(station.kind == "seats" for station in aircraft.stations.values()):
            raise NotSettable("the profile has no station with seats, and nobody could fly it")
        self.grade = grade
        self.tanks = tanks_of(aircraft)
        self.usable = math.fsum(tank.usable_capacity for tank in self.tanks)
        self.unusable = math.fsum(tank.unusable for tank in self.tanks)
        self.bounds = {
            name: {each.place: each.at() for each in mass_bounds(aircraft, name)}
            for name in aircraft.envelopes
        }
        self.categories = tuple(
            Category(
                name=name,
                record=each,
                envelope=each.envelope(),
                # As it is, in printed words: a profile with rounded figures has exactly what they say.
                top=Quantity(bound := self.bounds[name]["takeoff"], 0.0, "mass", pen.text(bound, "mass", 0)),
                limits=tuple(
                    limit
                    for limit in register(aircraft, name)
                    if limit.place in ("load", "takeoff") and limit.quantity != "lateral"
                ),
            )
            for name, each in aircraft.envelopes.items()
        )
        self.possible: dict[tuple[str, str], bool] = {}  # what random loadings can be, once known

    @cached_property
    def seats(self) -> list[Place]:
        """Stations with seats, front one first."""
        rows = [(name, each) for name, each in self.aircraft.stations.items() if each.kind == "seats"]
        return sorted(rows, key=lambda row: row[1].arm.value)

    @cached_property
    def holds(self) -> list[Place]:
        """Stations for baggage and other load."""
        return [(name, each) for name, each in self.aircraft.stations.items() if each.kind != "seats"]

    def sums(self, name: str) -> list[CombinedLimit]:
        """The combined limits that a station counts to."""
        return [each for each in self.aircraft.combined_limits if name in each.stations]

    @property
    def empty(self) -> tuple[Quantity, Quantity]:
        """Mass and arm of the basic empty mass."""
        arm = self.aircraft.basic_empty.arm
        assert arm is not None  # a rounded record states its arm
        return self.aircraft.basic_empty.mass, arm

    @cached_property
    def fluids(self) -> tuple[tuple[str, Quantity, Quantity], ...]:
        """(name, mass, arm) of what the basic empty mass leaves out."""
        return tuple(
            (item.name, self.pen.figure(item.mass, "mass", 1), self.pen.figure(item.arm, "length"))
            for item in empty_aircraft(self.aircraft, self.grade.standard_density).items[1:]
            if item.mass > 0
        )

    def without_load(self) -> float:
        """Mass [kg] of the aircraft without usable fuel and load, its fluids in."""
        return self.empty[0].value + math.fsum(mass.value for _, mass, _ in self.fluids)

    def volumes(self, fuel: float) -> list[float]:
        """So much usable fuel [m3], every tank filled to the same share."""
        return [tank.usable_capacity * fuel / self.usable for tank in self.tanks]

    def fuel_arm(self, volume: float) -> float:
        """Arm [m] of so much usable fuel [m3], every tank filled to the same share."""
        return self.volume_moment(self.volumes(volume)) / volume

    def volume_moment(self, volumes: Sequence[float]) -> float:
        """Usable fuel per tank [m3] times its arm, in all [m4]."""
        return math.fsum(tank.volume_moment(each) for tank, each in zip(self.tanks, volumes, strict=True))

    def draws(self, fuel: float, legs: Sequence[Leg] = ()) -> tuple[Draw, ...]:
        """So much usable fuel [m3], every tank filled to the same share, burnt by the feed order: in these
        legs, or the whole of it.
        """
        names, whole = [tank.name for tank in self.tanks], [Leg("cruise", "trip", fuel, 0.0)]
        return burn_down(names, self.volumes(fuel), self.aircraft.feed_order(), legs or whole)[0]


def craft_of(loaded: Loaded[Aircraft], pen: Pen, edition: int = EDITION) -> Craft:
    """The profile in printed figures.

    Parameters: `loaded` profile; `pen` for the reader's units; `edition`, an earlier one for its
    questions. Returns a Craft, SI inside. Raises NotSettable as Craft does, and where the figures no longer
    make a profile once they are rounded.
    """
    plain = Craft(loaded, pen)
    try:
        return Craft(loaded.with_(_printed(plain)), pen, edition)
    except InputRefused as refused:
        raise NotSettable(
            f"the profile's figures, rounded as a problem prints them, say: {refused.findings[0].message}"
        ) from None


def _printed(craft: Craft) -> Mapping[str, object]:
    """Every figure a problem prints, as it prints it."""
    aircraft, pen = craft.aircraft, craft.pen
    empty, masses, chord = aircraft.basic_empty, aircraft.masses, aircraft.mean_aerodynamic_chord
    found: dict[str, object] = {
        "basic_empty.mass": pen.text(empty.mass.value, "mass"),
        "basic_empty.arm": pen.text(empty.arm_value(), "length"),
    }

    def mass(key: str, quantity: Quantity | None) -> None:
        if quantity is not None:
            found[key] = pen.text(quantity.value, "mass", 0)

    for key in type(masses).model_fields:
        mass(f"masses.{key}", getattr(masses, key))
    for name, station in aircraft.stations.items():
        found[f"stations.{name}.arm"] = pen.text(station.arm.value, "length")
        mass(f"stations.{name}.max", station.max)
    for number, limit in enumerate(aircraft.combined_limits, 1):
        mass(f"combined_limits.{number}.max", limit.max)
    for name, category in aircraft.envelopes.items():
        mass(f"envelopes.{name}.max_takeoff", category.max_takeoff)
        for side in ("forward", "aft"):
            rows = getattr(category, side)
            found[f"envelopes.{name}.{side}"] = [
                [pen.text(m.value, "mass", 0), pen.text(a.value, "length")] for m, a in rows
            ]
    for phase, flow in aircraft.burn.items():
        volume = flow.value if flow.dimension == "volume flow" else flow.value / craft.grade.standard_density
        found[f"burn.{phase}"] = pen.text(volume, "volume flow")
    if chord is not None:
        for key in ("leading_edge", "length"):
            found[f"mean_aerodynamic_chord.{key}"] = pen.text(getattr(chord, key).value, "length")
    return found
