"""Problems on how much may still be loaded: of all mass limits the smallest room is the room there is."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from planner.quantities.frozen import frozen
from planner.school.craft import Craft, Place
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, NotSettable, PrintedTable, Working, amount
from planner.school.problems.balance import heading, load_table
from planner.school.problems.loads import LoadFacts, draw_load, where

_ROOM_TRIES: Final = 24


@frozen
class RoomFacts:
    """How much more may go to one station. Masses [kg].

    `ramp` mass now, `taxi` and `trip` fuel; `limits` by name, those the profile gives; `loaded` is what
    counts against those of the station and of its sum already.
    """

    ramp: float
    taxi: float
    trip: float
    limits: tuple[tuple[str, float], ...]
    loaded: tuple[float, float]
    limit_for_ramp: bool = False

    def rooms(self) -> dict[str, float]:
        """Room under every limit [kg]."""
        takeoff, (station, combined) = self.ramp - self.taxi, self.loaded
        counted = {
            "take-off mass": self.ramp if self.limit_for_ramp else takeoff,
            "ramp mass": self.ramp,
            "landing mass": takeoff - self.trip,
            "station": station,
            "combined": combined,
        }
        return {name: most - counted[name] for name, most in self.limits}

    def answers(self) -> Answers:
        """room [kg] under the limit that decides, and which one. Source: [common-practice]."""
        rooms = self.rooms()
        decides = min(rooms, key=lambda name: rooms[name])
        return {"room": rooms[decides], "decides": decides}


def set_room(craft: Craft, dice: Dice, level: int) -> Draft:
    """How much more a station may take, and which decides: its limits, ramp, take-off or landing mass."""
    category = craft.categories[0]
    forbids = category.record.forbids
    holds = [place for place in craft.holds if place[1].max is not None and place[0] not in forbids]
    if not holds:
        raise NotSettable("no station for baggage has a limit in the profile")
    place = dice.pick(holds)
    pen, masses, bounds = craft.pen, craft.aircraft.masses, craft.bounds[category.name]
    name, own = place[0], place[1].max
    assert own is not None  # chosen so above
    combined = next(iter(craft.sums(name)), None)
    shared = combined.stations if combined is not None else ()
    known = {
        "take-off mass": bounds["takeoff"],
        "ramp mass": bounds["ramp"] if masses.max_ramp is not None else None,
        "landing mass": bounds["landing"] if masses.max_landing is not None and level >= 3 else None,
        "station": own.value,
        "combined": combined.max.value if combined is not None else None,
    }
    limits = tuple((limit, most) for limit, most in known.items() if most is not None)
    # So that not every problem ends at the floor's limit.
    wanted = dice.pick(tuple(known))
    for attempt in range(_ROOM_TRIES):
        load = draw_load(craft, dice, fuel=(0.3, 1.0))
        if wanted.endswith("mass"):
            load = _heavier(craft, dice, load, place)
        fuel = load.of_kind("fuel")[0]
        taxi = pen.figure(dice.between(0.01, 0.03) * craft.usable, "volume")
        share = (0.1, 0.3) if wanted == "landing mass" else (0.3, 0.7)
        trip = pen.figure(dice.between(*share) * fuel.volume, "volume")
        if trip.value + taxi.value >= fuel.volume or taxi.value <= 0:
            continue
        loads = {line.name: line.kg for line in load.lines}
        facts = RoomFacts(
            ramp=load.sum().mass,
            taxi=taxi.value * fuel.density,
            trip=trip.value * fuel.density,
            limits=limits,
            loaded=(loads.get(name, 0.0), sum(loads.get(each, 0.0) for each in shared)),
        )
        rooms = facts.rooms()
        least, next_one = sorted(rooms.values())[:2]
        # Two limits that leave nearly the same room would make "which decides" a matter of rounding.
        clear = least > 1.0 and next_one - least > 0.5
        if clear and (facts.answers()["decides"] == wanted or attempt >= _ROOM_TRIES // 2):
            break
    else:
        raise NotSettable("no random loading left room at a baggage station")
    right = facts.answers()
    asked = f"how much more may be put on '{name}', by mass limits alone"
    room = amount(pen, "room", asked, "mass", 0.1, 0.1, "down")
    decides = Ask("decides", "which limit decides?", choices=tuple(rooms))
    told = {"station": f"station '{name}'", "combined": f"combined, {' and '.join(shared)}"}
    printed = tuple(
        (told.get(limit, limit), pen.mass(most) if limit == "station" else pen.text(most, "mass", 0))
        for limit, most in limits
    )
    steps = Working()
    steps.add("usable fuel", fuel.worked(pen), "faa-h-8083-30")
    steps.add("ramp mass", f"the sum of all lines: {pen.mass(facts.ramp)}")
    takeoff = facts.ramp - facts.taxi
    burn = f"{pen.mass(facts.ramp)} - {taxi.text} x {fuel.density_text}"
    steps.add("take-off mass", f"{burn} = {pen.mass(takeoff)}")
    flown = ""
    if "landing mass" in rooms:
        burn, flown = f"{pen.mass(takeoff)} - {trip.text} x {fuel.density_text}", f", the trip {trip.text}"
        steps.add("landing mass", f"{burn} = {pen.mass(takeoff - facts.trip)}")
    for limit, value in rooms.items():
        steps.add(f"room under the {limit} limit", pen.mass(value, 1))
    decided = f"{right['decides']}: {room.text(right['room'])}"
    steps.add("the least of them decides", decided, "common-practice")
    words = (
        heading(craft).replace("is loaded as below", "stands on the ramp loaded as below"),
        f"Taxi takes {taxi.text}{flown}. Fuel burnt has the density given.",
        "The CG is checked afterwards; here only masses are asked for.",
    )
    tables = (load_table(load.lines), PrintedTable(("limit", "at most"), printed))
    asks = (room, decides) if level >= 2 else (room,)
    return Draft(question=words, tables=tables, asks=asks, facts=facts, solution=steps)


def _heavier(craft: Craft, dice: Dice, load: LoadFacts, place: Place) -> LoadFacts:
    """The loading with fuel up to nearly the mass limit, so that it may decide, where the tanks allow it."""
    most = place[1].max
    assert most is not None  # chosen by the caller
    old = load.of_kind("fuel")[0]
    dry = load.sum().mass - old.kg
    target = load.flown.top.value - dice.between(0.1, 0.8) * most.value
    volume = craft.pen.figure((target - dry) / old.density, "volume")
    if not 0.25 * craft.usable < volume.value <= craft.usable:
        return load
    arm = craft.pen.figure(craft.fuel_arm(volume.value), "length")
    fuel = replace(old, volume=volume.value, volume_text=volume.text, arm=arm.value, arm_text=arm.text)
    fuller = replace(load, lines=tuple(fuel if line is old else line for line in load.lines))
    return fuller if where(load.flown, fuller.sum()) == "inside" else load
