"""Problems on the trade-off of payload and fuel, with the zero-fuel limit."""

from __future__ import annotations

from planner.quantities.frozen import frozen
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, NotSettable, Working, amount

_LIMITS = ("take-off", "landing", "zero fuel", "tanks")


@frozen
class PayloadFacts:
    """Masses [kg] of a flight: `limits` by name; `fuel` at take-off, `trip` of it burnt; or a `payload` and
    the `tank_mass` that full tanks hold.
    """

    empty: float
    limits: tuple[tuple[str, float], ...]
    trip: float
    fuel: float = 0.0
    payload: float = 0.0
    tank_mass: float = 0.0

    def rooms(self) -> dict[str, float]:
        """What each limit leaves: payload where the fuel is known, else fuel at take-off."""
        known = self.fuel or self.payload
        left = {
            "take-off": lambda most: most - self.empty - known,
            "landing": lambda most: most - self.empty - known + self.trip,
            "zero fuel": lambda most: most - self.empty - (0.0 if self.fuel else self.payload),
        }
        found = {name: left[name](most) for name, most in self.limits}
        if not self.fuel:
            found.pop("zero fuel", None)  # it bounds the payload, not the fuel
            found["tanks"] = self.tank_mass
        return found

    def answers(self) -> Answers:
        """most [kg] of payload or fuel, and the limit that decides. Source: [faa-h-8083-1b] ch. 5."""
        rooms = self.rooms()
        limit = min(rooms, key=lambda name: rooms[name])
        return {"most": rooms[limit], "limit": limit}


def set_payload(craft: Craft, dice: Dice, level: int) -> Draft:
    """Greatest payload for the fuel given, or (from level 3, by chance) greatest fuel for the payload."""
    pen, bounds = craft.pen, craft.bounds[craft.categories[0].name]
    empty = pen.figure(craft.without_load(), "mass")
    names = [("take-off", "takeoff"), ("landing", "landing"), ("zero fuel", "zero fuel")]
    limits = [(name, pen.figure(bounds[key], "mass", 0)) for name, key in names if key in bounds]
    if level == 1:
        limits = limits[:1]
    room = limits[0][1].value - empty.value
    full = craft.usable * craft.grade.standard_density
    for _ in range(200):
        both = level >= 3 and dice.chance(0.5)
        fuel = pen.figure(dice.between(0.3, 1.0) * min(full, 0.8 * room), "mass", 0)
        payload = pen.figure(dice.between(0.3, 0.85) * room, "mass", 0)
        share, aboard = dice.between(0.3, 0.7), min(full, room - payload.value) if both else fuel.value
        trip = pen.figure(share * aboard, "mass", 0)
        tanks = pen.figure(full, "mass", 0)
        facts = PayloadFacts(
            empty=empty.value,
            limits=tuple((name, each.value) for name, each in limits),
            trip=trip.value,
            fuel=0.0 if both else fuel.value,
            payload=payload.value if both else 0.0,
            tank_mass=tanks.value,
        )
        rooms = sorted(facts.rooms().values())
        zero = dict(facts.limits).get("zero fuel", 1e9)
        apart = len(rooms) == 1 or rooms[1] - rooms[0] > 3.0
        if rooms[0] > 20 and apart and trip.value > 5 and empty.value + facts.payload < zero - 3:
            break
    else:
        raise NotSettable("no payload and fuel lay clearly enough under one limit")
    right = facts.answers()
    what = "fuel at take-off" if both else "payload (people and baggage)"
    most = amount(pen, "most", f"the greatest {what}", "mass", 1.0, slack=1.0, direction="down")
    choices = tuple(name for name in _LIMITS if name in facts.rooms())
    asks = (most,) if len(choices) == 1 else (most, Ask("limit", "which limit decides?", choices=choices))
    given = f"a payload of {payload.text}" if both else f"{fuel.text} of fuel at take-off"
    told = [
        f"{craft.aircraft.name} weighs {empty.text} without fuel and load, and is to carry {given}."
        f" The trip burns {trip.text}.",
        "Limits: " + ", ".join(f"{name} mass {each.text}" for name, each in limits) + ".",
    ]
    if both:
        told.append(f"Full tanks hold {tanks.text}.")
    known = payload.text if both else fuel.text
    steps = Working()
    for name, each in limits:
        left = pen.mass(facts.rooms()[name]) if name in facts.rooms() else ""
        if name == "take-off":
            steps.add("by the take-off mass", f"{each.text} - {empty.text} - {known} = {left}")
        elif name == "landing":
            steps.add("by the landing mass", f"{each.text} + {trip.text} - {empty.text} - {known} = {left}")
        elif both:
            rest = pen.mass(each.value - empty.value)
            steps.add("zero fuel", f"{each.text} - {empty.text} = {rest}: the payload is within it")
        else:
            steps.add("by the zero-fuel mass", f"{each.text} - {empty.text} = {left}")
    if both:
        steps.add("by the tanks", tanks.text)
    steps.add("the least of them", f"{right['limit']}: {most.text(right['most'])}", "faa-h-8083-1b")
    return Draft(question=told, asks=asks, facts=facts, solution=steps)
