"""Problems on how much may still be loaded: every mass limit holds at once, and the smallest room is the room
there is.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from planner.quantities.frozen import frozen
from planner.quantities.units import Quantity
from planner.records.aircraft.record import CombinedLimit
from planner.school.craft import Craft, Place
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, NotSettable, PrintedTable, Working, amount
from planner.school.problems.balance import heading, load_table
from planner.school.problems.loads import LoadFacts, draw_load, where

_ROOM_TRIES: Final = 24


@frozen
class RoomFacts:
    """How much may still go to one station. Masses [kg].

    `takeoff` and `ramp` masses now, their limits, `landing` mass and its limit; `station` and `combined`
    limits with the load already counted against them. A limit the profile does not give is None.
    """

    ramp: float
    taxi: float
    trip: float
    max_ramp: float | None
    max_takeoff: float
    max_landing: float | None
    station: tuple[float, float] | None
    combined: tuple[float, float] | None
    limit_for_ramp: bool = False

    def rooms(self) -> dict[str, float]:
        """Room under every limit [kg]."""
        takeoff = self.ramp - self.taxi
        found = {"take-off mass": self.max_takeoff - (self.ramp if self.limit_for_ramp else takeoff)}
        if self.max_ramp is not None:
            found["ramp mass"] = self.max_ramp - self.ramp
        if self.max_landing is not None:
            found["landing mass"] = self.max_landing - (takeoff - self.trip)
        if self.station is not None:
            found["station"] = self.station[1] - self.station[0]
        if self.combined is not None:
            found["combined"] = self.combined[1] - self.combined[0]
        return found

    def answers(self) -> Answers:
        """room [kg] under the limit that decides, and which one. Source: [common-practice]."""
        rooms = self.rooms()
        decides = min(rooms, key=lambda name: rooms[name])
        return {"room": rooms[decides], "decides": decides}


def set_room(craft: Craft, dice: Dice, level: int) -> Draft:
    """How much more may be loaded at a station, and which limit decides: combined limits, ramp, take-off and
    landing mass.
    """
    category = craft.categories[0]
    forbids = category.record.forbids
    holds = [place for place in craft.holds if place[1].max is not None and place[0] not in forbids]
    if not holds:
        raise NotSettable("no station for baggage has a limit in the profile")
    place = dice.pick(holds)
    pen, masses, bounds = craft.pen, craft.aircraft.masses, craft.bounds[category.name]
    name, own = place[0], place[1].max
    assert own is not None  # chosen so above
    # So that not every problem ends at the floor's limit.
    wanted = dice.pick(("take-off mass", "ramp mass", "landing mass", "station", "combined"))
    for attempt in range(_ROOM_TRIES):
        load = draw_load(craft, dice, fuel=(0.3, 1.0))
        if wanted.endswith("mass"):
            load = _heavier(craft, dice, load, place)
        here = load.sum()
        density, aboard = load.of_kind("fuel")[0].density, load.of_kind("fuel")[0].volume
        taxi = pen.figure(dice.between(0.01, 0.03) * craft.usable, "volume")
        share = (0.1, 0.3) if wanted == "landing mass" else (0.3, 0.7)
        trip = pen.figure(dice.between(*share) * aboard, "volume")
        if trip.value + taxi.value >= aboard or taxi.value <= 0:
            continue
        loads = {line.name: line.kg for line in load.lines}
        combined = next((each for each in craft.aircraft.combined_limits if name in each.stations), None)
        summed = None
        if combined is not None:
            summed = (sum(loads.get(each, 0.0) for each in combined.stations), combined.max.value)
        facts = RoomFacts(
            ramp=here.mass,
            taxi=taxi.value * density,
            trip=trip.value * density,
            max_ramp=bounds["ramp"] if masses.max_ramp is not None else None,
            max_takeoff=bounds["takeoff"],
            max_landing=bounds["landing"] if masses.max_landing is not None and level >= 3 else None,
            station=(loads.get(name, 0.0), own.value),
            combined=summed,
        )
        ordered = sorted(facts.rooms().values())
        # Two limits that leave nearly the same room would make "which decides" a matter of rounding.
        clear = ordered[0] > 1.0 and (len(ordered) < 2 or ordered[1] - ordered[0] > 0.5)
        if clear and (facts.answers()["decides"] == wanted or attempt >= _ROOM_TRIES // 2):
            return _room_problem(craft, level, load, facts, name, (taxi, trip), combined)
    raise NotSettable("no random loading left room at a baggage station")


def _heavier(craft: Craft, dice: Dice, load: LoadFacts, place: Place) -> LoadFacts:
    """The loading with fuel up to nearly the mass limit, so that this and not the floor may decide; unchanged
    where the tanks are too small for it.
    """
    most = place[1].max
    assert most is not None and load.category is not None  # noqa: PT018 - both chosen by the caller
    old = load.of_kind("fuel")[0]
    dry = load.sum().mass - old.kg
    target = load.category.top.value - dice.between(0.1, 0.8) * most.value
    volume = craft.pen.figure((target - dry) / old.density, "volume")
    if not 0.25 * craft.usable < volume.value <= craft.usable:
        return load
    arm = craft.pen.figure(craft.fuel_arm(volume.value), "length")
    fuel = replace(old, volume=volume.value, volume_text=volume.text, arm=arm.value, arm_text=arm.text)
    fuller = replace(load, lines=tuple(fuel if line is old else line for line in load.lines))
    return fuller if where(load.category, fuller.sum()) == "inside" else load


def _room_problem(
    craft: Craft,
    level: int,
    load: LoadFacts,
    facts: RoomFacts,
    station: str,
    burnt: tuple[Quantity, Quantity],
    combined: CombinedLimit | None,
) -> Draft:
    pen, (taxi, trip) = craft.pen, burnt
    right = facts.answers()
    words = f"how much more may be put on '{station}', by mass limits alone"
    room = amount(pen, "room", words, "mass", 0.1, 0.1, "down")
    decides = Ask("decides", "which limit decides?", choices=tuple(facts.rooms()))
    fuel = load.of_kind("fuel")[0]
    limits = [("take-off mass", craft.categories[0].top.text)]
    bounds = (("ramp mass", facts.max_ramp), ("landing mass", facts.max_landing))
    limits += [(name, pen.text(bound, "mass", 0)) for name, bound in bounds if bound is not None]
    assert facts.station is not None  # a station with a limit was chosen
    limits.append((f"station '{station}'", pen.mass(facts.station[1])))
    if combined is not None:
        limits.append((f"combined, {' and '.join(combined.stations)}", combined.max.text))
    fuel_mass = f"{fuel.volume_text} x {fuel.density_text} = {pen.mass(fuel.kg, 1)}"
    steps = Working()
    steps.add("usable fuel", fuel_mass, "faa-h-8083-30")
    steps.add("ramp mass", f"the sum of all lines: {pen.mass(facts.ramp)}")
    takeoff = facts.ramp - facts.taxi
    burn = f"{pen.mass(facts.ramp)} - {taxi.text} x {fuel.density_text}"
    steps.add("take-off mass", f"{burn} = {pen.mass(takeoff)}")
    flown = ""
    if facts.max_landing is not None:
        burn, flown = f"{pen.mass(takeoff)} - {trip.text} x {fuel.density_text}", f", the trip {trip.text}"
        steps.add("landing mass", f"{burn} = {pen.mass(takeoff - facts.trip)}")
    for name, value in facts.rooms().items():
        steps.add(f"room under the {name} limit", pen.mass(value, 1))
    least = f"{right['decides']}: {room.text(right['room'])}"
    steps.add("the least of them decides", least, "common-practice")
    told = f"Taxi takes {taxi.text}{flown}. Fuel burnt has the density given."
    return Draft(
        question=(
            heading(craft).replace("is loaded as below", "stands on the ramp loaded as below"),
            told,
            "The CG is checked afterwards; here only masses are asked for.",
        ),
        tables=(load_table(load.lines), PrintedTable(("limit", "at most"), tuple(limits))),
        asks=(room, decides) if level >= 2 else (room,),
        facts=facts,
        solution=steps,
    )
