"""Changes that are not a figure: who sits where, who stays, another category, and knowing the figures
better.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import combinations

from planner.plan.results import Plan
from planner.quantities.effects import FUEL_DENSITY, fuel_in, seat_label
from planner.quantities.errors import InputRefused
from planner.quantities.units import Quantity
from planner.records.document import Changes, Location
from planner.search.remedies.figures import PRACTICAL_FUEL
from planner.search.remedies.room import open_places
from planner.search.remedies.steps import Remedy, Step
from planner.search.remedies.stop import Stop, fuel_stop
from planner.search.varied import Case, kilograms_of, seated, tank_of, usable, with_masses
from planner.sureness.sureness import measurements


def people(plan: Plan) -> list[tuple[str, int]]:
    """Who may change seats: everyone given seat by seat but the pilot."""
    found = []
    for name, station in plan.aircraft.stations.items():
        masses = plan.flight.load.get(name, ())
        if station.kind == "seats" and (len(masses) > 1 or station.seats == 1):
            found += [(name, index) for index, mass in enumerate(masses) if mass.value > 0]
    pilot = pilot_of(plan)
    return [each for each in found if each != pilot]


def pilot_of(plan: Plan) -> tuple[str, int] | None:
    """Who sits on the pilot's seat; where nobody does, the first person of the first station with seats."""
    row, number = plan.aircraft.pilot_seat() or ("", 0)
    seated_there = [
        (name, index)
        for name, station in plan.aircraft.stations.items()
        for index, mass in enumerate(plan.flight.load.get(name, ()))
        if station.kind == "seats" and mass.value > 0
    ]
    here = (row, 0 if len(plan.flight.load.get(row, ())) == 1 else number)
    return here if here in seated_there else next(iter(seated_there), None)


def label(plan: Plan, station: str, index: int) -> str:
    """A person as the plan's own lines name them."""
    return seat_label(station, index, len(plan.flight.load[station]))


def swaps(plan: Plan) -> Iterator[tuple[Step, dict[Location, object]]]:
    """Every exchange of two people and every person to a free seat, where arms or sides differ."""
    movable = people(plan)
    load = plan.flight.load
    sideways = plan.aircraft.lateral is not None
    for (name, i), (other, j) in combinations(movable, 2):
        one, two = load[name][i], load[other][j]
        if one.value == two.value or (name == other and not sideways):
            continue
        masses = {station: list(load[station]) for station in (name, other)}
        masses[name][i], masses[other][j] = two, one
        changes = {
            place: row
            for station, entries in masses.items()
            for place, row in with_masses(station, entries).items()
        }
        yield Step("swap", label(plan, name, i), label(plan, other, j), one.value, now=two.value), changes
    seats = {to: plan.aircraft.stations[to].seats for to in open_places(plan)}
    for name, i in movable:
        for to, count in seats.items():
            if count and to != name:
                row = seated(load.get(to, ()), count, load[name][i])
                step = Step("reseat", label(plan, name, i), to, load[name][i].value)
                yield step, {**_unseated(plan, name, i), **with_masses(to, row)}


def _unseated(plan: Plan, station: str, index: int) -> dict[Location, object]:
    """One seat empty; who sits beside it stays on their own side."""
    masses = plan.flight.load[station]
    return with_masses(station, [*masses[:index], kilograms_of(0.0), *masses[index + 1 :]])


def left_out(plan: Plan) -> Iterator[tuple[Step, dict[Location, object]]]:
    """Every flight without one of its passengers."""
    for name, i in people(plan):
        yield (
            Step("leave person", label(plan, name, i), now=plan.flight.load[name][i].value),
            _unseated(plan, name, i),
        )


def categories(plan: Plan) -> Iterator[tuple[Step, dict[Location, object]]]:
    """The same flight in every other category of the profile."""
    for name in plan.aircraft.envelopes:
        if name != plan.flight.category:
            yield Step("category", plan.flight.category, name), {("category",): name}


def planned(case: Case, step: Step, changes: Changes) -> Remedy | None:
    """The change made and planned again, whatever comes of it; None where the flight is refused."""
    try:
        return Remedy((step,), case.with_(changes))
    except InputRefused:
        return None


def discrete(case: Case) -> Iterator[Remedy]:
    """Every change that is no figure - seats, category, one passenger fewer - planned again, whatever comes
    of it.
    """
    for step, changes in (*swaps(case.plan), *categories(case.plan), *left_out(case.plan)):
        if (remedy := planned(case, step, changes)) is not None:
            yield remedy


def landed(stop: Stop, step: float) -> Remedy:
    """A landing for fuel as a remedy; its room is the narrower window of fuel, narrow below a `step` [m3] in
    all its tanks.
    """
    tanks = len(stop.before.plan.fuel.tanks)
    room = stop.room
    aboard = stop.before.plan.fuel.aboard
    change = Step(
        kind="fuel stop",
        subject="",
        value=aboard,
        exact=stop.windows[0].low,
        dimension="volume",
        low=room.low,
        high=room.high,
        practical=max(PRACTICAL_FUEL, step * tanks),
    )
    return Remedy((change,), stop.before, stop)


def landing(case: Case, step: float) -> Remedy | None:
    """A landing for fuel that has both parts inside, its fuel in `step` [m3]; None where there is none."""
    stop = fuel_stop(case, step)
    return None if isinstance(stop, str) else landed(stop, step)


def better_measured(case: Case) -> Iterator[Remedy]:
    """The flight with inputs known as well as a careful measurement gives them: one, then two at a time, up
    to all; the figures stay as they are.
    """
    found = list(measurements(case.plan))
    for size in range(1, len(found) + 1):
        for chosen in combinations(found, size):
            what = ", ".join(words for words, _ in chosen)
            try:
                known = _known_better(
                    case, {cause: factor for _, each in chosen for cause, factor in each.items()}
                )
                yield Remedy((Step("measure", what, things=len(chosen)),), known)
            except InputRefused:
                continue


def _known_better(case: Case, factors: Mapping[str, float]) -> Case:
    flight, changes = case.plan.flight, dict[Location, object]()
    for name, masses in flight.load.items():
        labels = [label(case.plan, name, index) for index in range(len(masses))]
        if any(each in factors for each in labels):
            better = [
                replace(mass, u=mass.u * factors.get(each, 1.0))
                for each, mass in zip(labels, masses, strict=True)
            ]
            changes |= with_masses(name, better)
    for tank in case.plan.fuel.tanks:
        if (factor := factors.get(fuel_in(tank.tank.name))) is not None:
            changes[tank_of(tank.tank.name)] = usable(tank.volume, tank.u * factor)
    if FUEL_DENSITY in factors:
        used = case.plan.density
        better_known = Quantity(
            used.density, used.u * factors[FUEL_DENSITY], "density", f"{used.density:.10g} kg/m3"
        )
        changes["fuel", "density"] = {"fixed": better_known}
    return case.with_(changes, case.aircraft.with_(_weighed(case, factors)))


def _weighed(case: Case, factors: Mapping[str, float]) -> dict[Location, object]:
    empty, found = case.plan.aircraft.basic_empty, dict[Location, object]()
    for key in ("mass", "arm", "moment"):
        old: Quantity | None = getattr(empty, key)
        factor = factors.get(f"basic empty {key}")
        if old is not None and factor is not None:
            found["basic_empty", key] = replace(old, u=old.u * factor)
    return found
