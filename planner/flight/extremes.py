"""The most forward and the most aft loading an aircraft can be given within its limits: the adverse-loading
check.

The published procedure loads everything that lies ahead of the forward limit to the full and everything
behind it to the least, and the other way round for the aft limit. Where limits change with mass that choice
changes with mass too, so here, for every total mass from the lightest loading to the take-off limit, the load
with the least (or greatest) moment is built by filling the outermost places first, and the least margin over
all these masses is found in closed form. For constant limits a loading outside is found exactly when the
published procedure finds one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise
from typing import Final

from planner.facts.grades import GRADES
from planner.flight.burn import Stretch, bounds, least_margin
from planner.flight.envelope import LimitResult, edge_limit
from planner.flight.limits import greatest_takeoff_mass
from planner.flight.loading import burnt_off, empty_aircraft, tanks_of, variants
from planner.quantities.effects import Effect
from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item, Total, moment_changed, total
from planner.quantities.sentences import Figure, say
from planner.quantities.units import POUND
from planner.records.aircraft.record import Aircraft

OCCUPANT: Final = 170 * POUND  # kg, FAA-H-8083-30 ch. 4; the figure AC 43.13-1B ch. 10 loads seats with
# s at the highest flow of the profile; common practice, no published source
MINIMUM_FUEL_TIME: Final = 1800.0
_POWER_ORDER: Final = ("maximum continuous", "climb", "cruise")
_NOTHING: Final = 1e-9  # kg


@frozen
class Assumptions:
    """What the adverse loadings assume: `occupant` [kg] in every seat, the pilot's station, the least fuel
    [m3], its density [kg/m3]; `notes` say why.
    """

    occupant: float
    pilot_station: str
    minimum_fuel: float
    density: float
    notes: tuple[str, ...]


@frozen
class Extreme:
    """The most adverse loading against one limit: its `items` (basic empty mass first), totals, and the limit
    checked.

    `moment_change` names the massless change that makes it worst, '' for none; `change` is its moment [kg.m],
    in the total.
    """

    side: str
    items: tuple[Item, ...]
    total: Total
    limit: LimitResult
    moment_change: str
    change: float


@frozen
class Adverse:
    """Both adverse loadings of a category with what they assume in words; none, and the `reason`, where there
    are none.
    """

    category: str
    pair: tuple[Extreme, ...] = ()
    notes: tuple[str, ...] = ()
    reason: str = ""


@frozen
class RoomAtStation:
    """Room for load: up to `room` [kg] at `arm` [m], sharing the combined limits numbered in `limits`."""

    name: str
    room: float
    arm: float
    limits: tuple[int, ...] = ()


def assume(
    aircraft: Aircraft,
    occupant: float | None = None,
    pilot_station: str = "",
    minimum_fuel: float | None = None,
) -> Assumptions:
    """Assumptions for an aircraft, those not given filled in and explained.

    Defaults: 170 lb for each occupant; the pilot where the profile says, else at the first station with
    seats; as the least fuel 30 minutes at the highest of the profile's flows; the standard density of the
    profile's first grade.
    Parameters: `occupant` [kg]; `pilot_station`, a name; `minimum_fuel` [m3]. Returns
    Assumptions in SI. Raises OutOfRange where the pilot's station has no seats, or the least fuel is more
    than the tanks hold.
    Source: [ac-43.13-1b] ch. 10 for the method and the occupant; [common-practice] for the least fuel: the
    circular counts 1/12 USgal for each horsepower, and a profile knows no horsepower.
    """
    seats = [name for name, station in aircraft.stations.items() if station.kind == "seats"]
    seat = aircraft.pilot_seat()
    pilot = pilot_station or (seat[0] if seat is not None else "")
    if pilot not in seats:
        raise OutOfRange(f"'{pilot}' is no station with seats; known: {', '.join(seats) or 'none'}")
    rho = GRADES[aircraft.fuel_grades[0]].standard_density
    notes = [
        f"pilot at '{pilot}'"
        + ("" if pilot_station or aircraft.pilot else ", the first station with seats in the profile"),
        "170 lb in every seat, as the published procedure has it"
        if occupant is None
        else "every seat with the same mass",
    ]
    usable = math.fsum(tank.usable for tank in aircraft.tanks.values())
    if minimum_fuel is None:
        phase = next((each for each in _POWER_ORDER if each in aircraft.burn), next(iter(aircraft.burn)))
        flow = aircraft.burn[phase]
        volume_flow = flow.value if flow.dimension == "volume flow" else flow.value / rho
        minimum_fuel = min(MINIMUM_FUEL_TIME * volume_flow, usable)
        notes.append(f"least fuel: 30 min at the {phase} flow")
    if minimum_fuel > usable * (1 + 1e-9):
        words = "a least fuel of {} is more than the {} the tanks hold"
        raise OutOfRange(say(words, Figure(minimum_fuel, "volume"), Figure(usable, "volume")))
    return Assumptions(
        occupant=OCCUPANT if occupant is None else occupant,
        pilot_station=pilot,
        minimum_fuel=minimum_fuel,
        density=rho,
        notes=tuple(notes),
    )


def _least_fuel(aircraft: Aircraft, assumed: Assumptions) -> tuple[list[Item], list[RoomAtStation]]:
    """The least fuel where the feed order leaves it, and the room above it in every tank."""
    tanks = tanks_of(aircraft)
    full = [tank.usable_capacity for tank in tanks]
    left = burnt_off(aircraft, full, math.fsum(full) - assumed.minimum_fuel)
    items, places = [], []
    for tank, low, high in zip(tanks, left, full, strict=True):
        moment = tank.volume_moment(low)
        if low > 0:
            items.append(
                Item(f"least fuel {tank.name}", low * assumed.density, moment / low, tank.lateral_arm)
            )
        # Between two points of an arm table the fuel is one piece at its mean arm; piece by piece, so no
        # loading is missed that is more adverse.
        cuts = [low, *(cut for cut in tank.breaks() if low < cut < high), high]
        for start, end in pairwise(cuts):
            if end - start > 0:
                arm = (tank.volume_moment(end) - tank.volume_moment(start)) / (end - start)
                places.append(RoomAtStation(f"fuel {tank.name}", (end - start) * assumed.density, arm))
    return items, places


def _places(
    aircraft: Aircraft, category: str, assumed: Assumptions
) -> tuple[list[RoomAtStation], tuple[str, ...]]:
    """Seats and baggage that may be loaded besides the pilot, and the stations that no limit allows to load
    to the full.
    """
    places, unlimited = [], []
    for name, station in aircraft.allowed(category).items():
        limits = tuple(index for index, each in enumerate(aircraft.combined_limits) if name in each.stations)
        pilot = assumed.occupant if name == assumed.pilot_station else 0.0
        top = station.max.value - pilot if station.max is not None else math.inf
        room = min(top, station.seats * assumed.occupant - pilot) if station.kind == "seats" else top
        if math.isinf(room):
            if not limits:
                unlimited.append(name)
                continue
            room = min(aircraft.combined_limits[index].max.value for index in limits)
        if room > _NOTHING:
            places.append(RoomAtStation(name, room, station.arm.value, limits))
    return places, tuple(unlimited)


def _filled(places: Iterable[RoomAtStation], left: dict[int, float]) -> list[RoomAtStation]:
    """Places in the order given, each with the room its combined limits still leave."""
    filled = []
    for place in places:
        room = min([place.room, *(left[index] for index in place.limits)])
        for index in place.limits:
            left[index] -= room
        if room > _NOTHING:
            filled.append(RoomAtStation(place.name, room, place.arm))
    return filled


def extremes(
    aircraft: Aircraft, category: str, assumed: Assumptions
) -> tuple[tuple[Extreme, Extreme], tuple[str, ...]]:
    """The most forward and the most aft loading of a category, and the assumptions in words.

    For a total mass m the least moment is got by filling the places with the smallest arms first; the margin
    M(m)/m - f(m) is A/m + B + C m between two places or two points of the edge, and its least value is taken
    over all m up to the take-off mass of the category, with and without each massless moment change. The aft
    side is the mirror image. A maximum zero-fuel mass is not applied, which can only make the loadings more
    adverse.
    Parameters: `category`, a name in the profile; `assumed` as made by `assume`. Returns the two Extremes
    [kg, m, kg.m] and notes.
    Range: exact where combined limits do not overlap; a close bound otherwise.
    Raises OutOfRange where the lightest loading is above the take-off mass.
    Source: [ac-43.13-1b] ch. 10, figs 10-10 and 10-11; [faa-h-8083-1b] ch. 2.
    """
    loading = empty_aircraft(aircraft, assumed.density)
    seat = aircraft.stations[assumed.pilot_station]
    fuel, tanks = _least_fuel(aircraft, assumed)
    base = [*loading.items, Item("pilot", assumed.occupant, seat.arm.value), *fuel]
    places, unlimited = _places(aircraft, category, assumed)
    top = greatest_takeoff_mass(aircraft, category)
    if (lightest := total(base).mass) > top * (1 + 1e-12):
        words = "the lightest loading, {}, is above the take-off mass of {}"
        raise OutOfRange(say(words, Figure(lightest, "mass"), Figure(top, "mass")))
    pilot = assumed.pilot_station
    left = {
        index: each.max.value - assumed.occupant * (pilot in each.stations)
        for index, each in enumerate(aircraft.combined_limits)
    }
    found = []
    for side, aft in (("forward", False), ("aft", True)):
        order = sorted([*places, *tanks], key=lambda each: -each.arm if aft else each.arm)
        filled = _filled(order, dict(left))
        changes = [
            (" + ".join(one.names), one.moment) for one in variants(aircraft) if one.only in ("", side)
        ]
        each = [
            _extreme(aircraft, category, side, base, filled, top, loading.effects, change)
            for change in changes
        ]
        found.append(min(each, key=lambda extreme: extreme.limit.margin))
    notes = [*assumed.notes, say("{} take-off mass not above {}", category, Figure(top, "mass"))]
    if unlimited:
        notes.append(f"left empty, as the profile gives no limit: {', '.join(unlimited)}")
    return (found[0], found[1]), tuple(notes)


def _extreme(
    aircraft: Aircraft,
    category: str,
    side: str,
    base: list[Item],
    filled: list[RoomAtStation],
    top: float,
    effects: tuple[Effect, ...],
    change: tuple[str, float],
) -> Extreme:
    bound = next(each for each in bounds(aircraft.envelopes[category].envelope(), None) if each.group == side)
    running = moment_changed(total(base), change[1])
    path, start = [], running
    for place in filled:
        mass = min(place.room, top - running.mass)
        if mass <= _NOTHING:
            break
        offset = running.moment - place.arm * running.mass
        path.append(Stretch(start=running.mass + mass, end=running.mass, moment=(offset, place.arm, 0.0)))
        running = Total(running.mass + mass, running.moment + mass * place.arm)
    worst, heaviest = least_margin(path, bound), start.mass
    if worst is not None and worst.margin < edge_limit(bound, start, effects).margin:
        heaviest = worst.point.total.mass
    loaded = (
        Item(place.name, min(stretch.start, heaviest) - stretch.end, place.arm)
        for place, stretch in zip(filled, path, strict=False)
    )
    items = (*base, *(item for item in loaded if item.mass > _NOTHING))
    reached = moment_changed(total(items), change[1])
    return Extreme(side, items, reached, edge_limit(bound, reached, effects), *change)


def every_category(aircraft: Aircraft, assumed: Assumptions) -> tuple[Adverse, ...]:
    """Both adverse loadings of every category, as `extremes` finds them.

    Parameters: as `extremes`. Returns one Adverse for each category; a category without loadings says why.
    Source: as `extremes`.
    """
    found = []
    for category in aircraft.envelopes:
        try:
            found.append(Adverse(category, *extremes(aircraft, category, assumed)))
        except OutOfRange as error:
            found.append(Adverse(category, reason=error.words))
    return tuple(found)
