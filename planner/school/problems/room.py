"""Problems on how much may still be loaded: every mass limit holds at once, and the smallest room is the room
there is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from planner.school.craft import Craft, PrintedStation
from planner.school.dice import Dice
from planner.school.problem import (
    Answers,
    Ask,
    NotSettable,
    PrintedFigure,
    PrintedTable,
    Problem,
    SolutionLine,
)
from planner.school.problems.balance import heading, load_table
from planner.school.problems.loads import LoadFacts, draw_load, where

_ROOM_TRIES: Final = 24


@dataclass(frozen=True, slots=True)
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


def set_room(craft: Craft, dice: Dice, level: int) -> Problem:
    """How much more may be loaded at a station, and which limit decides: combined limits, ramp, take-off and
    landing mass.
    """
    holds = [
        place
        for place in craft.holds
        if place.limit is not None and place.name not in craft.categories[0].forbids
    ]
    if not holds:
        raise NotSettable("no station for baggage has a limit in the profile")
    place = dice.pick(holds)
    pen = craft.pen
    wanted = dice.pick(
        ("take-off mass", "ramp mass", "landing mass", "station", "combined")
    )  # so that not every problem ends at the floor's limit
    for attempt in range(_ROOM_TRIES):
        load = draw_load(craft, dice, fuel=(0.3, 1.0))
        if wanted.endswith("mass"):
            load = _heavier(craft, dice, load, place)
        here = load.sum()
        density = next(line.density for line in load.lines if line.kind == "fuel")
        aboard = next(line.volume for line in load.lines if line.kind == "fuel")
        taxi = pen.figure(dice.between(0.01, 0.03) * craft.usable, "volume")
        trip = pen.figure(
            (dice.between(0.1, 0.3) if wanted == "landing mass" else dice.between(0.3, 0.7)) * aboard,
            "volume",
        )
        if trip.value + taxi.value >= aboard or taxi.value <= 0:
            continue
        loads = {line.name: line.kg for line in load.lines}
        combined = next((each for each in craft.combined if place.name in each[1]), None)
        own = place.limit
        assert own is not None  # chosen so above
        facts = RoomFacts(
            ramp=here.mass,
            taxi=taxi.value * density,
            trip=trip.value * density,
            max_ramp=craft.ramp.value if craft.ramp is not None else None,
            max_takeoff=craft.categories[0].top.value,
            max_landing=craft.landing.value if craft.landing is not None and level >= 3 else None,
            station=(loads.get(place.name, 0.0), own.value),
            combined=(
                (sum(loads.get(name, 0.0) for name in combined[1]), combined[2].value)
                if combined is not None
                else None
            ),
        )
        ordered = sorted(facts.rooms().values())
        # Two limits that leave nearly the same room would make "which decides" a matter of rounding.
        clear = ordered[0] > 1.0 and (len(ordered) < 2 or ordered[1] - ordered[0] > 0.5)
        if clear and (facts.answers()["decides"] == wanted or attempt >= _ROOM_TRIES // 2):
            return _room_problem(craft, level, load, facts, place.name, (taxi, trip), combined)
    raise NotSettable("no random loading left room at a baggage station")


def _heavier(craft: Craft, dice: Dice, load: LoadFacts, place: PrintedStation) -> LoadFacts:
    """The loading with fuel up to nearly the mass limit, so that this and not the floor may decide; unchanged
    where the tanks are too small for it.
    """
    assert place.limit is not None and load.category is not None  # noqa: PT018 - both chosen by the caller
    old = load.of_kind("fuel")[0]
    dry = load.sum().mass - old.kg
    target = load.category.top.value - dice.between(0.1, 0.8) * place.limit.value
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
    burnt: tuple[PrintedFigure, PrintedFigure],
    combined: tuple[str, tuple[str, ...], PrintedFigure] | None,
) -> Problem:
    pen, (taxi, trip) = craft.pen, burnt
    unit = pen.unit("mass")
    right = facts.answers()
    room = Ask(
        key="room",
        words=f"how much more may be put on '{station}', by mass limits alone",
        dimension="mass",
        unit=unit,
        step=0.1,
        slack=0.1,
        direction="down",
    )
    decides = Ask("decides", "which limit decides?", choices=tuple(facts.rooms()))
    fuel = next(line for line in load.lines if line.kind == "fuel")
    limits = [("take-off mass", craft.categories[0].top.text)]
    limits += [("ramp mass", craft.ramp.text)] if craft.ramp is not None else []
    limits += (
        [("landing mass", craft.landing.text)]
        if facts.max_landing is not None and craft.landing is not None
        else []
    )
    assert facts.station is not None  # a station with a limit was chosen
    limits.append((f"station '{station}'", pen.show(facts.station[1], "mass")))
    if combined is not None:
        limits.append((f"combined, {' and '.join(combined[1])}", combined[2].text))
    fuel_mass = f"{fuel.volume_text} x {fuel.density_text} = {pen.show(fuel.kg, 'mass', 1)}"
    steps = [
        SolutionLine("usable fuel", fuel_mass, "faa-h-8083-30"),
        SolutionLine("ramp mass", f"the sum of all lines: {pen.show(facts.ramp, 'mass')}"),
    ]
    takeoff = facts.ramp - facts.taxi
    steps.append(
        SolutionLine(
            "take-off mass",
            f"{pen.show(facts.ramp, 'mass')} - {taxi.text} x {fuel.density_text} ="
            f" {pen.show(takeoff, 'mass')}",
        )
    )
    if facts.max_landing is not None:
        steps.append(
            SolutionLine(
                "landing mass",
                f"{pen.show(takeoff, 'mass')} - {trip.text} x {fuel.density_text} ="
                f" {pen.show(takeoff - facts.trip, 'mass')}",
            )
        )
    steps += [
        SolutionLine(f"room under the {name} limit", pen.show(value, "mass", 1))
        for name, value in facts.rooms().items()
    ]
    steps.append(
        SolutionLine(
            "the least of them decides", f"{right['decides']}: {room.text(right['room'])}", "common-practice"
        )
    )
    told = (
        f"Taxi takes {taxi.text}"
        + (f", the trip {trip.text}" if facts.max_landing is not None else "")
        + ". Fuel burnt has the density given."
    )
    return Problem(
        topic="room",
        level=level,
        aircraft=craft.name,
        invented=craft.invented,
        question=(
            heading(craft).replace("is loaded as below", "stands on the ramp loaded as below"),
            told,
            "The CG is checked afterwards; here only masses are asked for.",
        ),
        tables=(load_table(load.lines), PrintedTable(("limit", "at most"), tuple(limits))),
        asks=(room, decides) if level >= 2 else (room,),
        facts=facts,
        solution=tuple(steps),
        lesson=(
            "Every limit holds at once: the smallest room is the room there is. The ramp has its own limit,"
            " and taxi fuel is gone at take-off."
        ),
    )
