"""Checks of a flight against aircraft, grade and rule set, a function each; codes are in docs/findings.md."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from itertools import chain
from typing import Final

from planner.facts.grades import GRADES
from planner.facts.rules import RULES
from planner.facts.standard_masses import HEAVIEST_PERSON, LIGHTEST_PILOT
from planner.quantities.errors import Finding, closest
from planner.quantities.sentences import Figure, say, span_of
from planner.quantities.units import Quantity
from planner.records.aircraft.checks import too_many
from planner.records.aircraft.mass_record import record_notices
from planner.records.aircraft.record import Aircraft
from planner.records.aircraft.unit_families import mixed, unlikely
from planner.records.document import Document, Location
from planner.records.flight.record import Flight, FurtherLeg, Phase
from planner.records.placed import Located, found, in_order, notice, place_all, unknown

SHORTEST_PHASE: Final = 30.0  # s; below it a unit has slipped: common practice, no published source
GROUND: Final = "taxi"


def names_known(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """category-unknown, rules-unknown, station-unknown, tank-unknown: a name neither the profile nor the rule
    list has.
    """
    owner, stations, tanks = aircraft.name, aircraft.stations, aircraft.tanks
    yield from unknown(
        ("category",), [flight.category], aircraft.envelopes, "category-unknown", "category", owner
    )
    if flight.rules not in RULES:
        longer = [key for key in RULES if key.startswith(f"{flight.rules}-")]
        hint = f"did you mean '{' or '.join(longer)}'?" if longer else closest(flight.rules, RULES)
        message = f"'{flight.rules}' is not a rule set"
        yield found(("rules",), "rules-unknown", message, "see 'planner fuel --rules'", hint)
    yield from unknown(("load",), flight.load, stations, "station-unknown", "station", owner)
    yield from unknown(("fuel", "tanks"), flight.fuel.tanks, tanks, "tank-unknown", "tank", owner)
    for tank in tanks if flight.fuel.source is None else ():
        if tank not in flight.fuel.tanks:
            message = f"tank '{tank}' is not mentioned"
            hint = f"write '{tank}: 0 L' if it is empty"
            yield found(("fuel", "tanks"), "tank-unmentioned", message, "needed every tank", hint)


def seats_filled(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """load-too-many: more people than seats; load-implausible: a mass that is not a person's."""
    for name, masses in flight.load.items():
        station = aircraft.stations.get(name)
        if station is None:
            continue
        yield from too_many(("load", name), len(masses), station)
        for index, mass in enumerate(masses):
            if station.kind == "seats" and len(masses) > 1 and mass.value > HEAVIEST_PERSON:
                message = f"'{mass.text}' is not plausible for one person"
                yield found(
                    ("load", name, index), "load-implausible", message, hint="check the unit (lb or kg)"
                )


def pilot_aboard(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """load-no-pilot: nobody, or hardly anybody, on the pilot's seat: a forgotten line or a lost digit."""
    seat = aircraft.pilot_seat()
    if seat is None:
        return
    row, number = seat
    masses = flight.load.get(row, ())
    # One figure for a whole row says nothing of who sits where.
    held = masses[0].value if len(masses) == 1 else masses[number].value if number < len(masses) else 0.0
    if held < LIGHTEST_PILOT:
        which = "first seat" if not number else f"seat {number + 1}"
        message = say("the {} of '{}' holds {}", which, row, Figure(held, "mass"))
        location: Location = ("load", row) if masses else ("load",) if flight.load else ()
        needed, hint = "an aircraft flies with a pilot aboard", "check the load; a station not named is empty"
        yield notice(location, "load-no-pilot", message, needed, hint)


def amounts_agree(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """phase-amount: a phase with both a time and an amount of fuel that are far from the profile's flow."""
    for index, phase in enumerate(flight.trip):
        flow = phase.flow or aircraft.burn.get(phase.phase)
        if (
            phase.time is None
            or phase.fuel is None
            or flow is None
            or flow.dimension.partition(" ")[0] != phase.fuel.dimension
        ):
            continue
        expected = phase.time.value * flow.value
        if abs(phase.fuel.value - expected) > 0.1 * expected:
            message = (
                f"'{phase.fuel.text}' counts, though {phase.time.text} at {flow.text} would burn another"
                " amount"
            )
            needed, hint = "they differ by more than a tenth", "delete one of 'time:' and 'fuel:'"
            yield notice(("trip", index, "fuel"), "phase-amount", message, needed, hint)


def load_in_one_unit(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:  # noqa: ARG001 - as every check
    """unit-mixed: a mass in kg among masses in lb, or the reverse. A standard mass has no unit."""
    masses: list[tuple[Location, Quantity]] = []
    for name, entries in flight.load.items():
        row = len(entries) > 1
        masses += [(("load", name, at) if row else ("load", name), each) for at, each in enumerate(entries)]
    yield from mixed(masses, "check the unit (lb or kg)")


def phases_of(flight: Flight | FurtherLeg, here: Location = ()) -> list[tuple[Location, Phase]]:
    """Every phase of a flight or a further leg with its place: the trip, then the one to the alternate."""
    trip = [((*here, "trip", index), phase) for index, phase in enumerate(flight.trip)]
    return [*trip, *([((*here, "alternate"), flight.alternate)] if flight.alternate is not None else [])]


def phases_burn(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """phase-no-burn: time passes and nothing is burned; phase-unlikely: far too small a flow, or seconds."""
    further = [phases_of(leg, ("legs", number)) for number, leg in enumerate(flight.legs)]
    for here, phase in (*phases_of(flight), *chain.from_iterable(further)):
        airborne, time = phase.phase != GROUND, phase.time
        nothing = next(
            (key for key in ("fuel", "flow") if (each := getattr(phase, key)) is not None and not each.value),
            "",
        )
        if nothing and (airborne or time is not None):
            message = f"'{phase.phase}' burns nothing: '{getattr(phase, nothing).text}'"
            needed, hint = (
                "an engine that runs burns fuel",
                "take the figure from the manual, or delete the line",
            )
            if time is not None and time.value:
                yield found((*here, nothing), "phase-no-burn", message, needed, hint)
            else:  # no time is stated: hard to believe, and the amount is the pilot's to state
                yield unlikely((*here, nothing), "phase-unlikely", message, needed, hint)
            continue
        if airborne and phase.fuel is None and time is not None and time.value < SHORTEST_PHASE:
            message = f"'{phase.phase}' lasts {time.text}"
            yield unlikely((*here, "time"), "phase-unlikely", message, "usual: minutes", "check s, min and h")
        own, flow = aircraft.burn.get(phase.phase), phase.flow
        if (
            own is not None
            and flow is not None
            and own.dimension == flow.dimension
            and flow.value < own.value / 3
        ):
            message = f"'{flow.text}' is far below the {own.text} of the profile for '{phase.phase}'"
            needed = "usual: near the profile's flow"
            yield unlikely((*here, "flow"), "phase-unlikely", message, needed, "check the unit and digits")


def dates_in_order(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """record-future: a mass record that is younger than the flight planned with it."""
    day = flight.date or date.today()
    if day < aircraft.basic_empty.date:
        when = f"the flight is on {day}" if flight.date else f"today is {day}"
        message = f"{when}, and the mass record is of {aircraft.basic_empty.date}"
        where = ("date",) if flight.date else ("aircraft",)
        needed = "needed the record that held on the day"
        yield notice(where, "record-future", message, needed, "check both dates")


def grade_allowed(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """grade-unknown; grade-not-allowed: a grade the aircraft may not use."""
    grade = flight.fuel.grade
    yield from unknown(("fuel", "grade"), [grade], GRADES, "grade-unknown", "known fuel grade")
    if grade in GRADES and grade not in aircraft.fuel_grades:
        message = f"{aircraft.name} may not use {GRADES[grade].name}"
        needed = f"its profile allows {', '.join(aircraft.fuel_grades)}"
        yield found(("fuel", "grade"), "grade-not-allowed", message, needed, "do not fly with it")


def temperature_known(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:  # noqa: ARG001 - every check has the same two arguments
    """temperature-missing: a density that needs the fuel's temperature; temperature-implausible."""
    fuel = flight.fuel
    if fuel.temperature is None:
        if fuel.density.fixed is None:
            message, needed = "the fuel's temperature is missing", "needed 'temperature: 22 degC'"
            yield found(("fuel",), "temperature-missing", message, needed, "or a fixed density")
    elif not -50 <= fuel.temperature.value <= 60:
        message = say("fuel at {} is not plausible", Figure(fuel.temperature.value, "temperature"))
        needed = say("needed {}", span_of(-50, 60, "temperature"))
        yield found(("fuel", "temperature"), "temperature-implausible", message, needed, "check degC or degF")


def phases_known(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """phase-no-flow: a timed phase the profile has no flow for; tank-unknown: a phase on a tank that is not
    there.
    """
    for location, phase in phases_of(flight):
        if phase.fuel is None and phase.flow is None and phase.phase not in aircraft.burn:
            message = f"the profile has no flow for '{phase.phase}'"
            needed = f"known: {', '.join(aircraft.burn)}"
            yield found((*location, "phase"), "phase-no-flow", message, needed, "or state 'fuel:' or 'flow:'")
        here = (*location, "tank")
        yield from unknown(here, phase.tank, aircraft.tanks, "tank-unknown", "tank", aircraft.name)
    if all(phase.phase == GROUND for phase in flight.trip):
        yield found(("trip",), "trip-no-flight", "the trip only taxies", "needed a phase in the air")
    airborne = [index for index, phase in enumerate(flight.trip) if phase.phase != GROUND]
    for index, phase in enumerate(flight.trip):
        if phase.phase == GROUND and airborne and airborne[0] < index < airborne[-1]:
            message = "taxi between two phases of flight"
            yield found(("trip", index), "taxi-in-the-air", message, "taxi first or last", "plan two flights")


def reserve_answerable(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """reserve-no-flow: no flow at the rule's speed; reserve-below-rule: an own reserve below the rule;
    contingency-kind.
    """
    rule = RULES.get(flight.rules)
    if rule is None:
        return
    if rule.basis not in aircraft.burn:
        message = (
            f"{rule.key} counts its reserve at {rule.basis_words} and the profile has no '{rule.basis}' flow"
        )
        needed = f"needed 'burn: {{{rule.basis}: ...}}' in the profile"
        yield found(("rules",), "reserve-no-flow", message, needed, "take it from the manual")
    if flight.final_reserve is not None and flight.final_reserve.value < rule.final_reserve:
        message = f"'{flight.final_reserve.text}' is below the {rule.final_reserve / 60:g} min of {rule.key}"
        needed = "your own minimum may be higher, never lower"
        yield found(("final_reserve",), "reserve-below-rule", message, needed, "delete the line")
    share = flight.contingency
    if share is not None and share.dimension == "ratio" and share.value > 1:
        message = f"'{share.text}' is more than the trip itself"
        yield found(("contingency",), "contingency-kind", message, "needed a share such as 5 %")
    if share is not None and share.dimension == "time" and "cruise" not in aircraft.burn:
        message = "contingency as a time needs a cruise flow"
        yield found(("contingency",), "phase-no-flow", message, "needed 'burn: {cruise: ...}' in the profile")
    if rule.alternate_required and flight.alternate is None:
        message = f"{rule.key} counts an alternate and the flight names none"
        needed = "unless the rule's weather exception applies"
        yield notice((), "alternate-missing", message, needed, "add 'alternate:'")


def record_current(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """record-superseded, record-unknown: the flight names another record; and what is to be said of its age
    on that day (or today).
    """
    current = aircraft.basic_empty
    for told in record_notices(
        current, aircraft.superseded, aircraft.weigh_every, flight.date or date.today()
    ):
        yield ("aircraft",), told
    if not flight.record or flight.record == current.version_id:
        return
    old = next((each for each in aircraft.superseded if each.version == flight.record), None)
    if old is not None:
        message = (
            f"planned with the mass record {old.version}, replaced on {old.superseded_on}; now computed with"
            f" {current.version_id}"
        )
        yield notice(("record",), "record-superseded", message, hint=f"what changed: {old.change}")
    else:
        message = f"{aircraft.name} has no mass record '{flight.record}'; computed with {current.version_id}"
        yield notice(
            ("record",), "record-unknown", message, "needed the id a plan showed", "check the profile"
        )


FLIGHT_CHECKS: Final[tuple[Callable[[Flight, Aircraft], Iterator[Located]], ...]] = (
    names_known,
    seats_filled,
    pilot_aboard,
    load_in_one_unit,
    amounts_agree,
    phases_burn,
    dates_in_order,
    grade_allowed,
    temperature_known,
    phases_known,
    reserve_answerable,
    record_current,
)


def check_flight(flight: Flight, aircraft: Aircraft, document: Document) -> tuple[Finding, ...]:
    """Every finding of every check, in the order of the file."""
    located = [item for check in FLIGHT_CHECKS for item in check(flight, aircraft)]
    return in_order(place_all(document, located))
