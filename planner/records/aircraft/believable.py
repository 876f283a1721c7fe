"""What a profile says that is legal but hard to believe: notices for a second look, each with its cure.

The bounds are common practice for aeroplanes and helicopters that private pilots fly; where one is
published, its source stands by it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from planner.facts.grades import GRADES
from planner.quantities.sentences import Figure, book, say, span_of
from planner.quantities.units import HOUR, Quantity
from planner.records.aircraft.believable_shape import SHAPES, range_of
from planner.records.aircraft.record import Aircraft
from planner.records.aircraft.unit_families import mixed, unlikely
from planner.records.aircraft.unsure_checks import figures_of
from planner.records.document import Location
from planner.records.placed import Located

SHORTEST, LONGEST = 1.0 * HOUR, 12.0 * HOUR  # s, on full tanks at the cruise flow
ONE_PERSON: Final = 77.0  # kg, 170 lb: the standard person of [faa-h-8083-1b]
HEAVIEST: Final = 8618.0  # kg, 19,000 lb: the greatest take-off mass of the normal category, 14 CFR 23.2005
FARTHER: Final = 5.0  # how many times as far from the datum as any other arm is no longer believed
LEAST_SHARE: Final = 0.7  # of the take-off mass: landing and zero-fuel limits
MOST_ALLOWANCE: Final = 1.03  # of the take-off mass, on the ramp: fuel for start and taxi
BAGGAGE_SHARE: Final = 0.6  # of the useful load, in one place for baggage
FLOW_FACTOR: Final = 3.0  # between the cruise flow and any other in the air under power
MOST_UNUSABLE: Final = 0.25  # of a tank


def _full(aircraft: Aircraft) -> float:
    """Mass of the usable fuel of full tanks [kg], of the first grade at its standard density."""
    return sum(tank.usable for tank in aircraft.tanks.values()) * _density(aircraft)


def _density(aircraft: Aircraft) -> float:
    return max(
        (GRADES[each].standard_density for each in aircraft.fuel_grades if each in GRADES), default=800.0
    )


def empty_centre(aircraft: Aircraft) -> Iterator[Located]:
    """centre-unlikely: the empty aircraft balances far outside its own envelope."""
    low, high = range_of(aircraft)
    arm, room = aircraft.basic_empty.arm_value(), (high - low) / 4
    if not low - room <= arm <= high + room:
        words = "the empty aircraft balances at {}, the envelope is {}"
        message = say(words, Figure(arm, "length"), span_of(low, high, "length"))
        key = "arm" if aircraft.basic_empty.arm is not None else "moment"
        needed = "usual: inside, or a quarter of its width beyond"
        hint = "check mass, arm, moment and their units"
        yield unlikely(("basic_empty", key), "centre-unlikely", message, needed, hint)


def arms_alike(aircraft: Aircraft) -> Iterator[Located]:
    """arm-unlikely: one arm much further from the datum than all others, or alone on the other side of it."""
    arms: list[tuple[Location, float]] = [(("basic_empty",), aircraft.basic_empty.arm_value())]
    arms += [(("stations", name, "arm"), each.arm.value) for name, each in aircraft.stations.items()]
    for name, tank in aircraft.tanks.items():
        arms += [(("tanks", name, "arm"), max((arm for _, arm in tank.arm_points()), key=abs))]
    for location, arm in arms:
        others = [each for where, each in arms if where != location]
        if len(others) < 2:
            continue
        most = max(abs(each) for each in others)
        if abs(arm) > FARTHER * most:
            words = "an arm of {}, where no other is further than {} from the datum"
            message = say(words, Figure(arm, "length"), Figure(most, "length"))
            yield unlikely(location, "arm-unlikely", message, "usual: of the size of its neighbours")
        alone = all(each * arm < 0 for each in others)
        if alone and abs(arm) > sum(map(abs, others)) / len(others) / 2:
            side = "ahead of" if arm < 0 else "behind"
            message = say("an arm of {} is the only one {} the datum", Figure(arm, "length", sign=True), side)
            needed = "ahead of the datum is negative, aft of it positive"
            yield unlikely(location, "arm-unlikely", message, needed, "check the sign")


def flows_believable(aircraft: Aircraft) -> Iterator[Located]:
    """endurance-unlikely: full tanks last under one hour or over twelve; flow-order: contradicting flows."""
    burn, density = aircraft.burn, _density(aircraft)
    flows = {
        name: each.value * (density if each.dimension == "volume flow" else 1.0)
        for name, each in burn.items()
    }
    if "cruise" in flows and flows["cruise"] > 0:
        hours = _full(aircraft) / flows["cruise"]
        if not SHORTEST <= hours <= LONGEST:
            message = f"full tanks last {hours / HOUR:.2g} h at the cruise flow '{burn['cruise'].text}'"
            needed = f"usual: {SHORTEST / HOUR:g} to {LONGEST / HOUR:g} h"
            hint = "check flow and capacities: litres, gallons, per hour"
            yield unlikely(("burn", "cruise"), "endurance-unlikely", message, needed, hint)
    order = (
        ("taxi", "cruise"),
        ("holding", "maximum continuous"),
        ("cruise", "maximum continuous"),
        ("descent", "maximum continuous"),
        ("cruise", "climb"),
    )
    for less, more in order:
        if less in flows and more in flows and flows[less] > flows[more] * (1 + 1e-9):
            message = f"'{less}' burns {burn[less].text}, more than '{more}' with {burn[more].text}"
            needed = f"usual: {less} below {more}"
            yield unlikely(("burn", less), "flow-order", message, needed, "check both flows")
    for name in ("climb", "holding", "maximum continuous"):
        cruise = flows.get("cruise", 0.0)
        if cruise and name in flows and not cruise / FLOW_FACTOR <= flows[name] <= cruise * FLOW_FACTOR:
            message = f"'{name}' burns {burn[name].text} beside a cruise with {burn['cruise'].text}"
            needed = f"usual: within a factor of {FLOW_FACTOR:g}"
            yield unlikely(("burn", name), "flow-order", message, needed, "check both flows")
    by_mass = [name for name, each in burn.items() if each.dimension == "mass flow"]
    if 0 < len(by_mass) < len(burn):
        message = f"some flows are by volume and {', '.join(by_mass)} by mass"
        needed = "usual: one kind of flow in a manual"
        yield unlikely(("burn", by_mass[0]), "flow-order", message, needed, "check their units")


def masses_believable(aircraft: Aircraft) -> Iterator[Located]:
    """useful-load-unlikely, fuel-unlikely, size-unlikely: masses that do not make an aircraft."""
    empty, top = aircraft.basic_empty.mass.value, aircraft.masses.max_takeoff.value
    useful = top - empty
    here: Location = ("masses", "max_takeoff")
    if useful < ONE_PERSON:
        message = say(
            "only {} are left between basic empty mass and maximum take-off mass", Figure(useful, "mass")
        )
        needed = say("usual: more than one person, {}", book(ONE_PERSON, "mass"))
        yield unlikely(here, "useful-load-unlikely", message, needed, "check both masses and their units")
    elif useful > empty:
        words = "a useful load of {} is more than the basic empty mass of {}"
        message = say(words, Figure(useful, "mass"), Figure(empty, "mass"))
        hint = "check both masses and their units (kg or lb)"
        yield unlikely(here, "useful-load-unlikely", message, "usual: less", hint)
    if top > HEAVIEST:
        message = say("a take-off mass of {} is no light aircraft's", Figure(top, "mass"))
        needed = say("usual: not above {}", book(HEAVIEST, "mass"))
        yield unlikely(here, "size-unlikely", message, needed, "check number and unit")
    if (full := _full(aircraft)) > useful:
        words = "full tanks weigh {}, more than the useful load of {}"
        message = say(words, Figure(full, "mass"), Figure(useful, "mass"))
        hint = "check the capacities: litres or gallons, and that no tank is twice there"
        yield unlikely(("tanks",), "fuel-unlikely", message, "usual: less", hint)
    for name, station in aircraft.stations.items():
        share = BAGGAGE_SHARE if station.kind == "baggage" else 1.0
        if station.max is not None and station.max.value > share * useful:
            words = "'{}' may hold {}, of a useful load of {}"
            message = say(words, name, station.max.text, Figure(useful, "mass"))
            usual = f"usual: less than {100 * share:.0f} % of it"
            yield unlikely(("stations", name, "max"), "station-unlikely", message, usual)
    yield from _limits_believable(aircraft)


def _limits_believable(aircraft: Aircraft) -> Iterator[Located]:
    """mass-limit-unlikely: a mass limit far from that of take-off, or below empty mass and pilot."""
    masses, empty = aircraft.masses, aircraft.basic_empty.mass.value
    top = masses.max_takeoff.value
    least, most = max(LEAST_SHARE * top, empty + ONE_PERSON), MOST_ALLOWANCE * top
    for key in ("max_ramp", "max_landing", "max_zero_fuel"):
        figure: Quantity | None = getattr(masses, key)
        if figure is not None and not least <= figure.value <= most:
            message = f"{key} of {figure.text} beside a take-off mass of {masses.max_takeoff.text}"
            needed = say("usual: {}", span_of(least, most, "mass"))
            yield unlikely(("masses", key), "mass-limit-unlikely", message, needed)


def tanks_believable(aircraft: Aircraft) -> Iterator[Located]:
    """tank-unlikely: one tank takes the centre of gravity through the envelope, or is mostly unusable."""
    low, high = range_of(aircraft)
    top, density = aircraft.masses.max_takeoff.value, _density(aircraft)
    for name, tank in aircraft.tanks.items():
        arm = max((arm for _, arm in tank.arm_points()), key=lambda each: max(low - each, each - high))
        shift = tank.usable * density * max(low - arm, arm - high, 0.0) / top
        if shift > high - low:
            words = "full, it moves the centre of gravity by {}, the envelope is {} wide"
            message: str = say(words, Figure(shift, "length"), Figure(high - low, "length"))
            needed, hint = "usual: a small part of the envelope", "check arm and capacity with their units"
            yield unlikely(("tanks", name, "arm"), "tank-unlikely", message, needed, hint)
        if tank.unusable.value > MOST_UNUSABLE * tank.capacity.value:
            message = f"{tank.unusable.text} of {tank.capacity.text} would be unusable"
            needed, hint = "usual: a few per cent", "check both figures"
            yield unlikely(("tanks", name, "unusable"), "tank-unlikely", message, needed, hint)


def units_alike(aircraft: Aircraft) -> Iterator[Located]:
    """unit-mixed: a figure in another family of units than the others of its kind. Sticks count apart."""
    yield from mixed(
        [each for each in figures_of(aircraft) if each[0][0] not in ("dipsticks", "examples", "marks")]
    )


def examples_missing(aircraft: Aircraft) -> Iterator[Located]:
    """example-missing: nothing in the profile proves it against the aircraft's papers."""
    if not aircraft.examples:
        message = "no sample loading of the papers under 'examples:': nothing shows these figures to be right"
        hint = "copy one of the manual or weighing report: loads, fuel, and the mass and moment it prints"
        yield unlikely((), "example-missing", message, "needed one or more", hint)


def drains_missing(aircraft: Aircraft) -> Iterator[Located]:
    """drains-missing: what is to be drained before engine start can not be named."""
    if not aircraft.drains:
        message = "no drain points under 'drains:': the look before engine start can not name them"
        yield unlikely((), "drains-missing", message, "needed every low point and the filter, by name")


BELIEVABLE: Final[tuple[Callable[[Aircraft], Iterator[Located]], ...]] = (
    empty_centre,
    arms_alike,
    flows_believable,
    masses_believable,
    tanks_believable,
    *SHAPES,
    units_alike,
)
