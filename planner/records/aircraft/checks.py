"""Checks of one profile that no single field can make, a function each; codes are in docs/findings.md."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Final

from planner.facts.grades import GRADES
from planner.quantities.errors import Finding, closest
from planner.quantities.polygon import Envelope
from planner.quantities.sentences import book, say, span_of
from planner.records.aircraft.believable import BELIEVABLE
from planner.records.aircraft.papers import edges_as_drawn
from planner.records.aircraft.record import ENDS, Aircraft, Station
from planner.records.aircraft.unsure_checks import exact_figures, exclusive_known, figures_of
from planner.records.document import Document, Location
from planner.records.placed import Located, found, in_order, notice, place_all, unknown

# A light aircraft is metres long: an arm beyond this is a slipped unit (mm read as m, in as ft).
ROUNDED: Final = 1.005  # how much more than full the rounded amount of a sample may come to
PLAUSIBLE_ARM: Final = 30.0  # m
PLAUSIBLE_LATERAL: Final = 12.0  # m
_LATERAL: Final = (("lateral_arm",), ("lateral_arms",))


def arms_plausible(aircraft: Aircraft) -> Iterator[Located]:
    """arm-implausible: an arm so long that a unit must have slipped."""
    arms: list[tuple[Location, float]] = [(("basic_empty", "arm"), aircraft.basic_empty.arm_value())]
    for location, figure in figures_of(aircraft):
        if figure.dimension == "length" and location[0] in ("stations", "tanks", "envelopes"):
            arms.append((location[:3] if location[0] == "tanks" else location[:4], figure.value))
    for location, arm in arms:
        limit = PLAUSIBLE_LATERAL if location[2:3] in _LATERAL else PLAUSIBLE_ARM
        if abs(arm) > limit:
            message = say("an arm of {} is not plausible", book(arm, "length"))
            yield implausible_arm(location, message, limit)


def implausible_arm(location: Location, message: str, limit: float = PLAUSIBLE_ARM) -> Located:
    """arm-implausible, in a profile or on a sheet."""
    needed = say("needed within {} of the datum", book(limit, "length"))
    return found(location, "arm-implausible", message, needed, "check the unit")


def tanks_sound(aircraft: Aircraft) -> Iterator[Located]:
    """tank-unusable: no usable fuel; tank-arm-table: an arm table that does not cover the tank."""
    for name, tank in aircraft.tanks.items():
        if tank.unusable.value >= tank.capacity.value:
            message = f"unusable {tank.unusable.text} is not less than the capacity {tank.capacity.text}"
            yield found(
                ("tanks", name, "unusable"), "tank-unusable", message, "capacity includes the unusable fuel"
            )
        for mark, level in tank.marks.items():
            if mark in ENDS or level.value > tank.usable * (1 + 1e-9):
                message = (
                    f"'{mark}' is full or empty in itself"
                    if mark in ENDS
                    else f"'{mark}' is more than is usable"
                )
                needed = "needed a name of your own and the usable fuel at that mark"
                hint = "full and empty are known of themselves"
                yield found(("tanks", name, "marks", mark), "tank-mark", message, needed, hint)
        points = tank.arm_points()
        if len(points) > 1 and (
            points[0][0] > tank.unusable.value or points[-1][0] < tank.capacity.value * (1 - 1e-9)
        ):
            message = say("the arm table covers {}", span_of(points[0][0], points[-1][0], "volume"))
            needed = "needed from the unusable fuel to the capacity (litres in the tank)"
            yield found(("tanks", name, "arm"), "tank-arm-table", message, needed)


def feed_complete(aircraft: Aircraft) -> Iterator[Located]:
    """feed-order: a feed order that names an unknown tank, one twice, or leaves one out."""
    named = [name for group in aircraft.feed_order() for name in group]
    for name in named:
        if name not in aircraft.tanks:
            yield found(
                ("feed",), "feed-order", f"'{name}' is not a tank", hint=closest(name, aircraft.tanks)
            )
        elif named.count(name) > 1:
            yield found(("feed",), "feed-order", f"tank '{name}' is named more than once", "each tank once")
    for name in aircraft.tanks:
        if name not in named:
            yield found(
                ("feed",), "feed-order", f"tank '{name}' is missing from the feed order", "every tank once"
            )


def envelopes_sound(aircraft: Aircraft) -> Iterator[Located]:
    """envelope-crossing: forward limit not ahead of aft limit; envelope-span: edges without a common mass
    range; envelope-forbids: unknown station.
    """
    for name, category in aircraft.envelopes.items():
        here: Location = ("envelopes", name)
        envelope: Envelope = category.envelope()
        if envelope.least_mass >= envelope.greatest_mass:
            message = "forward and aft limits share no range of mass"
            yield found(here, "envelope-span", message, "needed edges over the same masses")
        elif crossing := envelope.crossing_masses():
            message = say("the forward limit is not ahead of the aft limit at {}", book(crossing[0], "mass"))
            hint = "check for swapped sides or a slipped digit"
            yield found(here, "envelope-crossing", message, "needed forward < aft at every mass", hint)
        for index, station in enumerate(category.forbids):
            place = (*here, "forbids", index)
            yield from unknown(place, [station], aircraft.stations, "station-unknown", "station")


def masses_ordered(aircraft: Aircraft) -> Iterator[Located]:
    """masses-order: mass limits out of their natural order; envelope-short: an envelope not drawn up to the
    take-off mass.
    """
    masses = aircraft.masses
    top = masses.max_takeoff.value
    if masses.max_ramp is not None and masses.max_ramp.value < top:
        message = "maximum ramp mass is below maximum take-off mass"
        yield found(("masses", "max_ramp"), "masses-order", message, "needed ramp >= take-off")
    for key in ("max_landing", "max_zero_fuel"):
        limit = getattr(masses, key)
        if limit is not None and limit.value > top:
            message, needed = f"{key} is above maximum take-off mass", "needed not more than max_takeoff"
            yield found(("masses", key), "masses-order", message, needed)
    if aircraft.basic_empty.mass.value >= top:
        message = "basic empty mass is not below maximum take-off mass"
        yield found(("basic_empty", "mass"), "masses-order", message, hint="check the unit of both")
    for name, category in aircraft.envelopes.items():
        greatest = min(top, category.max_takeoff.value) if category.max_takeoff is not None else top
        if category.max_takeoff is not None and category.max_takeoff.value > top:
            message = "the category's take-off mass is above the aircraft's"
            yield found(("envelopes", name, "max_takeoff"), "masses-order", message, "needed not more")
        envelope = category.envelope()
        if envelope.greatest_mass < greatest * (1 - 1e-9):
            words = "the envelope ends at {}, below the take-off limit {}"
            message = say(words, book(envelope.greatest_mass, "mass"), book(greatest, "mass"))
            needed = "no take-off mass above it counts as inside"
            yield notice(("envelopes", name), "envelope-short", message, needed, "draw it up to the limit")


def references_known(aircraft: Aircraft) -> Iterator[Located]:
    """station-unknown, tank-unknown, grade-unknown: a name that no other part of the profile or the grade
    list has.
    """
    for index, limit in enumerate(aircraft.combined_limits):
        here: Location = ("combined_limits", index, "stations")
        yield from unknown(here, limit.stations, aircraft.stations, "station-unknown", "station")
    if aircraft.pilot and aircraft.pilot_seat() is None:
        rows = [name for name, station in aircraft.stations.items() if station.seats]
        message = f"'{aircraft.pilot}' is not a seat of the profile"
        needed = "needed a station with seats, or one seat: 'front seats 2'"
        yield found(("pilot",), "station-unknown", message, needed, closest(aircraft.pilot, rows))
    for index, balance in enumerate(aircraft.balance):
        here = ("balance", index, "between")
        yield from unknown(here, balance.between, aircraft.tanks, "tank-unknown", "tank")
    yield from unknown(("dipsticks",), aircraft.dipsticks, aircraft.tanks, "tank-unknown", "tank")
    for index, grade in enumerate(aircraft.fuel_grades):
        yield from unknown(("fuel_grades", index), [grade], GRADES, "grade-unknown", "known fuel grade")


def too_many(location: Location, masses: int, station: Station) -> Iterator[Located]:
    """load-too-many: more people than seats."""
    if station.kind == "seats" and masses > station.seats:
        message = f"{masses} masses for {station.seats} seat{'s' if station.seats > 1 else ''}"
        yield found(location, "load-too-many", message, "one figure per seat, or one for the station")


def examples_fit(aircraft: Aircraft) -> Iterator[Located]:
    """category-, station-, tank-unknown, load-too-many: a sample that does not fit the profile."""
    for index, example in enumerate(aircraft.examples):
        here: Location = ("examples", index)
        for name, masses in example.load.items():
            station = aircraft.stations.get(name)
            if station is not None:
                yield from too_many((*here, "load", name), len(masses), station)
        density = example.density.value if example.density is not None else math.inf
        for name, amount in example.fuel.items():
            rooms = [tank.usable for key, tank in aircraft.tanks.items() if name in ("", key)]
            room = sum(rooms)
            volume = amount.value / density if amount.dimension == "mass" else amount.value
            if rooms and min(rooms) > 0 and volume > room * ROUNDED:
                message = say("{} usable does not fit: {} is all", amount.text, book(room, "volume"))
                yield found((*here, "fuel", name) if name else (*here, "fuel"), "tank-overfilled", message)
        for key, names, known, word in (
            ("category", {example.category: ()}, aircraft.envelopes, "category"),
            ("load", example.load, aircraft.stations, "station"),
            ("fuel", example.fuel, aircraft.tanks, "tank"),
        ):
            asked = {name: () for name in names if name}
            yield from unknown((*here, key), asked, known, f"{word}-unknown", f"{word} of the profile")


def dip_tables_fit(aircraft: Aircraft) -> Iterator[Located]:
    """dip-table-range: a dip table that reads more than its tank holds."""
    for name, stick in aircraft.dipsticks.items():
        tank = aircraft.tanks.get(name)
        if tank is None:
            continue
        most = tank.capacity.value if stick.reads == "total" else tank.usable
        if stick.table[-1][1].value > most * (1 + 1e-6):
            words = "the table reads up to {}, more than the tank's {}"
            message = say(words, stick.table[-1][1].text, book(most, "volume"))
            hint = "check 'reads:' (total or usable) and the stick's tank"
            yield found(("dipsticks", name, "table"), "dip-table-range", message, hint=hint)


def fluids_recorded(aircraft: Aircraft) -> Iterator[Located]:
    """oil-unrecorded: a basic empty mass without oil and no oil to add; oil-twice: oil given although it is
    included.
    """
    included = "full oil" in aircraft.basic_empty.includes
    if not included and aircraft.oil is None:
        message = "the basic empty mass does not include full oil and the profile has no 'oil:'"
        needed = "needed 'full oil' in includes, or 'oil: {volume: 7.6 L, arm: 1.1 m}'"
        yield found(("basic_empty", "includes"), "oil-unrecorded", message, needed)
    if included and aircraft.oil is not None:
        message = "oil is given although the basic empty mass includes it"
        yield found(("oil",), "oil-twice", message, "oil counts once", "delete one of the two")


def flows_positive(aircraft: Aircraft) -> Iterator[Located]:
    """flow-zero: a phase burns nothing; lateral-order: lateral limits the wrong way round; chord-length."""
    for phase, flow in aircraft.burn.items():
        if flow.value <= 0:
            yield found(("burn", phase), "flow-zero", f"'{phase}' burns nothing", "needed a flow above zero")
    if aircraft.lateral is not None and aircraft.lateral.left.value >= aircraft.lateral.right.value:
        message = "the left limit is not to the left of the right limit"
        yield found(("lateral",), "lateral-order", message, "left is negative")
    if aircraft.mean_aerodynamic_chord is not None and aircraft.mean_aerodynamic_chord.length.value < 0.001:
        needed = "needed more than a millimetre"
        yield found(("mean_aerodynamic_chord", "length"), "chord-length", "the chord has no length", needed)


def limits_given(aircraft: Aircraft) -> Iterator[Located]:
    """station-no-limit: a baggage station without a limit."""
    for name, station in aircraft.stations.items():
        if (
            station.kind == "baggage"
            and station.max is None
            and not any(name in limit.stations for limit in aircraft.combined_limits)
        ):
            message, needed = f"'{name}' has no limit", "a baggage station has one in its manual"
            yield notice(("stations", name), "station-no-limit", message, needed, "add 'max:'")


def records_in_order(aircraft: Aircraft) -> Iterator[Located]:
    """record-superseded: the mass record in use was replaced; record-altered: a replaced one was changed
    since; record-order: dates run backwards.
    """
    current = aircraft.basic_empty
    for index, old in enumerate(aircraft.superseded):
        here: Location = ("superseded", index)
        if old.version == current.version_id:
            message = f"the mass record in use, {old.version}, was replaced on {old.superseded_on}"
            needed, hint = "needed the record that replaced it", "bring the newer record back"
            yield notice(("basic_empty",), "record-superseded", message, needed, hint)
        if old.version != old.version_id:
            message = f"the replaced record {old.version} no longer holds the figures it had"
            yield notice(
                here, "record-altered", message, "records are kept as they were", "restore it from a copy"
            )
        if old.superseded_on < old.date or current.date < old.date:
            message = (
                f"the record {old.version} is newer than the one in use, or was replaced before its own date"
            )
            yield notice(here, "record-order", message, hint="check the dates")


AIRCRAFT_CHECKS: Final[tuple[Callable[[Aircraft], Iterator[Located]], ...]] = (
    arms_plausible,
    tanks_sound,
    feed_complete,
    envelopes_sound,
    masses_ordered,
    references_known,
    examples_fit,
    dip_tables_fit,
    fluids_recorded,
    flows_positive,
    limits_given,
    records_in_order,
    exclusive_known,
    exact_figures,
)


def check_aircraft(aircraft: Aircraft, document: Document) -> tuple[Finding, ...]:
    """Every finding of every check, in the order of the file."""
    located = [item for check in AIRCRAFT_CHECKS for item in check(aircraft)]
    located += edges_as_drawn(document.value)
    if all(finding.severity == "notice" for _, finding in located):  # what is refused needs no second opinion
        located += [item for check in BELIEVABLE for item in check(aircraft)]
    return in_order(place_all(document, located))
