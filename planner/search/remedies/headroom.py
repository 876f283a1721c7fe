"""What room a flight that is inside still has: fuel, load, people, bags, and a card for changes at the last
minute.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from planner.facts.standard_masses import HEAVIEST_SOUGHT
from planner.flight.envelope import NOISE
from planner.quantities.frozen import frozen
from planner.quantities.moments import round_down, round_up
from planner.records.document import Location
from planner.records.flight.record import Flight
from planner.search.remedies.figures import METRIC, Rounding
from planner.search.remedies.room import open_places, room_on, taken
from planner.search.solve import Interval
from planner.search.solved import around, solve
from planner.search.varied import (
    Case,
    Variable,
    added_mass,
    fuel_change,
    item_mass,
    kilograms_of,
    silent,
    with_masses,
)


@frozen
class Room:
    """How far one quantity may go: `now`, the exact `limits` around it, and both ends rounded to the safe
    side [kg, or m3 of usable fuel].
    """

    what: str
    kind: str
    now: float
    exact: Interval
    least: float
    most: float


@frozen
class CardRow:
    """With this usable `fuel` [m3]: the largest extra bag per compartment and the heaviest pair per row of
    seats [kg]; None where none is inside.
    """

    fuel: float
    note: str
    bags: tuple[tuple[str, float | None], ...]
    pairs: tuple[tuple[str, float | None], ...]


@frozen
class Headroom:
    """The room a plan leaves: fuel (tanks filled together and each alone), people, bags, and the card."""

    fuel: tuple[Room, ...]
    people: tuple[Room, ...]
    bags: tuple[Room, ...]
    card: tuple[CardRow, ...]


def headroom(case: Case, steps: Rounding = METRIC, progress: Callable[[int, int], None] = silent) -> Headroom:
    """The room left around a plan that is inside, every quantity alone with all others as planned.

    Parameters: `case`, inside; `steps` to which figures are rounded; `progress` called with (done, of how
    many). Returns exact ends [kg, or m3] and those rounded to the safe side, planned again. Source:
    `planner.search.solve`; every limit as in `planner.plan`.
    """
    plan = case.plan
    names = list(plan.aircraft.tanks)
    groups = [names, *([name] for name in names)] if len(names) > 1 else [names]
    filled = ((fuel_change(plan, group), steps.fuel * len(group)) for group in groups)
    fuel = [room for variable, step in filled if (room := _room(case, variable, step))]
    progress(1, 3)
    stations = plan.aircraft.stations
    asked: list[tuple[str, Variable]] = []
    for name, masses in plan.flight.load.items():
        several = stations[name].seats if len(masses) == 1 else 1
        for index, mass in enumerate(masses):
            seats = stations[name].kind == "seats"
            if mass.value:
                top = HEAVIEST_SOUGHT * several if seats else mass.value + room_on(plan, name)
                asked.append((name, item_mass(plan, name, index, top)))
    for name in open_places(plan):
        seats = stations[name].kind == "seats"
        if seats or not taken(plan, name):
            more = added_mass(name, HEAVIEST_SOUGHT if seats else room_on(plan, name), stations[name].seats)
            asked.append((name, replace(more, what=f"{name}, free seat" if seats else name)))
    people: list[Room] = []
    bags: list[Room] = []
    for name, variable in asked:
        seats = stations[name].kind == "seats"
        if room := _room(case, variable, steps.person if seats else steps.load):
            (people if seats else bags).append(room)
    progress(2, 3)
    return Headroom(tuple(fuel), tuple(people), tuple(bags), card(case, fuel[0] if fuel else None, steps))


def least_uplift(case: Case, steps: Rounding = METRIC) -> float | None:
    """The least fuel put in, shared over all tanks alike, that makes a plan which is not inside one that is
    [m3], rounded up to what a pump gives and planned again; None where no amount does.

    Parameters: `case`; `steps`. Raises: nothing. Source: `planner.search.solve`.
    """
    variable = fuel_change(case.plan, list(case.plan.aircraft.tanks))
    step = steps.fuel * len(case.plan.fuel.tanks)
    for found in solve(case, variable):
        least = round_up(max(found.low, 0.0), step)
        for candidate in (least, least + step):
            if 0.0 < candidate <= found.high and case.kept(variable, candidate):
                return candidate
    return None


def _room(case: Case, variable: Variable, step: float) -> Room | None:
    """The room around the present value, of fuel all that is in its tanks; None where that is not inside."""
    found = around(case, variable, variable.now)
    if found is None:
        return None
    tanks = zip(case.plan.fuel.tanks, variable.volumes, strict=False)
    base = sum((each.volume for each, share in tanks if share), 0.0)
    return Room(
        what=variable.what,
        kind="fuel" if variable.dimension == "volume" else "mass",
        now=base + variable.now,
        exact=Interval(base + found.low, base + found.high),
        least=_safe(case, variable, found.low, step, base, True),
        most=_safe(case, variable, found.high, step, base, False),
    )


def _safe(case: Case, variable: Variable, end: float, step: float, base: float, upwards: bool) -> float:
    """An end rounded away from the limit and planned again, `base` [kg, or m3] above the variable; one step
    more where it is still on it. The present value where no step lies between.
    """
    value = round_up(base + end, step) if upwards else round_down(base + end, step)
    for candidate in (value, value + (step if upwards else -step)):
        here = candidate - base
        away = here <= variable.now if upwards else here >= variable.now
        if away and variable.low - NOISE <= here <= variable.high + NOISE and case.kept(variable, here):
            return candidate
    return base + variable.now


def card(case: Case, fuel: Room | None, steps: Rounding) -> tuple[CardRow, ...]:
    """Rows for the last minute: the least fuel that is enough, the fuel planned, and steps up to the most
    that is inside.

    In every row the load is the flight's own: a bag is one more than planned, weighed; a pair sits on seats
    that hold two, both equally heavy.
    Parameters: `case`; `fuel` the room of all tanks together, or None where it has none. Masses in kg, fuel
    in m3; `steps`. Source: as `headroom`.
    """
    plan = case.plan
    aboard = plan.fuel.aboard
    amounts = {aboard: "as planned"}
    if fuel is not None:
        amounts.setdefault(fuel.least, "the least that is enough")
        amounts.setdefault(fuel.most, "the most with this load")
        amounts.setdefault(round_down((fuel.least + fuel.most) / 2, steps.fuel * len(plan.fuel.tanks)), "")
    change = fuel_change(plan, list(plan.aircraft.tanks))
    rows = sorted(amounts.items())
    return tuple(_row(case.at(change, volume - aboard), volume, note, steps) for volume, note in rows)


def _row(case: Case, volume: float, note: str, steps: Rounding) -> CardRow:
    plan = case.plan
    bags: list[tuple[str, float | None]] = []
    pairs: list[tuple[str, float | None]] = []
    for name, station in plan.aircraft.stations.items():
        if station.kind == "seats":
            if station.seats == 2:
                pairs.append((name, _most(case, _pair(name), steps.person)))
        elif name in plan.aircraft.allowed(plan.flight.category):
            # With nothing more it is the plan itself.
            least = 0.0 if plan.verdict == "inside" else None
            bags.append((name, _most(case, added_mass(name, room_on(plan, name)), steps.load, least)))
    return CardRow(volume, note, tuple(bags), tuple(pairs))


def _pair(station: str) -> Variable:
    def write(flight: Flight, value: float) -> dict[Location, object]:  # noqa: ARG001 - whoever sits there makes way
        return with_masses(station, [kilograms_of(value / 2), kilograms_of(value / 2)])

    return Variable(station, "mass", now=0.0, low=0.0, high=2 * HEAVIEST_SOUGHT, write=write)


def _most(case: Case, variable: Variable, step: float, least: float | None = None) -> float | None:
    """The greatest value that is inside, rounded down and planned again; `least` where none is."""
    for found in reversed(solve(case, variable)):
        value = round_down(found.high, step)
        for candidate in (value, value - step):
            if candidate in found and case.kept(variable, candidate):
                return candidate
    return least
