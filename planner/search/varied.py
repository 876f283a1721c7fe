"""One quantity of a flight left open, and the values of it for which the plan is shown inside every limit.

A `Variable` knows its range and what it changes in the flight file; everything else is read off the flight
itself: what the quantity does to mass and moment is the difference of two loadings, so no rule of loading is
written down twice, and every limit that is checked is the one of `plan_flight`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal

from planner.facts.standard_masses import HEAVIEST_PERSON
from planner.flight.model import Model
from planner.plan import plan_flight
from planner.plan.from_ledger import resolve, with_heavier
from planner.plan.results import Plan
from planner.quantities.effects import seat_label
from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.document import Changes, Location
from planner.records.flight.record import Flight
from planner.records.store import Loaded


@frozen
class Case:
    """A flight with its aircraft and the plan made of them; fuel is stated tank by tank.

    Where a ledger says the tanks may hold more, `more` [m3] per tank, `heavier` is the plan with that and
    counts as well.
    """

    flight: Loaded[Flight]
    aircraft: Loaded[Aircraft]
    plan: Plan
    more: tuple[float, ...] = ()
    heavier: Plan | None = None

    def with_(self, changes: Changes, aircraft: Loaded[Aircraft] | None = None) -> Case:
        """The same case with changes as `Loaded.with_` takes them, planned. Raises InputRefused as that and
        `plan_flight` do.
        """
        plane = aircraft or self.aircraft
        return _case(self.flight.with_(changes, plane), plane, self.more)

    def at(self, variable: Variable, value: float) -> Case:
        """The same case with a variable at a value [kg, or m3], planned. Raises InputRefused."""
        return self.with_(variable.write(self.plan.flight, value))

    def kept(self, variable: Variable, value: float) -> Case | None:
        """As `at`; None where that is refused or not inside."""
        try:
            changed = self.at(variable, value)
        except InputRefused:
            return None
        return changed if changed.plan.verdict == "inside" else None


def case_of(flight: Loaded[Flight], aircraft: Loaded[Aircraft], more: tuple[float, ...] = ()) -> Case:
    """Plan a flight and keep what it was planned from; `more` [m3] per tank that may be aboard besides.
    Raises InputRefused.
    """
    if flight.document.kept is None:
        flight = replace(flight, document=replace(flight.document, kept={}))
    low, high = resolve(flight, aircraft)
    if high is None:
        return _case(low, aircraft, more)
    volumes = [[each.volume for each in plan_flight(one, aircraft).fuel.tanks] for one in (low, high)]
    return _case(low, aircraft, tuple(most - least for least, most in zip(*volumes, strict=True)))


def _case(flight: Loaded[Flight], aircraft: Loaded[Aircraft], more: tuple[float, ...]) -> Case:
    plan = plan_flight(flight, aircraft)
    if not more:
        return Case(flight, aircraft, plan)
    changes = fuller(plan.model, more)
    heavier = plan_flight(flight.with_(changes, aircraft), aircraft)
    return Case(
        flight=flight, aircraft=aircraft, plan=with_heavier(plan, heavier), more=more, heavier=heavier
    )


def fuller(model: Model, more: Sequence[float]) -> dict[Location, object]:
    """The change that puts `more` [m3] into each tank, as far as it holds it."""
    return {
        tank_of(each.tank.name): usable(min(each.volume + extra, each.tank.usable_capacity), each.u)
        for each, extra in zip(model.tanks, more, strict=True)
    }


def silent(done: int, of: int) -> None:
    """What is told how many are done, of how many, where nobody waits."""
    assert 0 <= done <= of


def tank_of(name: str) -> Location:
    """Where a flight says what is in a tank."""
    return "fuel", "tanks", name


def usable(volume: float, u: float) -> Quantity:
    """Usable fuel and its standard uncertainty [m3] as a flight holds it."""
    return Quantity(volume, u, "volume", f"{volume * 1e3:.10g} L")


@frozen
class Variable:
    """A quantity left open: `what` in words, its `now`, `low` and `high` [kg, or m3 of fuel], and `write`:
    what a value changes in a flight.
    """

    what: str
    dimension: Literal["mass", "volume"]
    now: float
    low: float
    high: float
    write: Callable[[Flight, float], dict[Location, object]]
    # Fuel put into the tanks per m3 of the variable; empty for a mass.
    volumes: tuple[float, ...] = ()


def mass_text(kilograms: float) -> str:
    """A mass [kg] as a flight file would state it."""
    return f"{kilograms:.10g} kg"


def kilograms_of(value: float) -> Quantity:
    """A mass [kg] as a flight holds it, weighed."""
    return Quantity(value, 0.0, "mass", mass_text(value))


def with_masses(station: str, masses: Sequence[Quantity]) -> dict[Location, object]:
    """The change that puts these masses on a station; a station left without any is no longer named."""
    return {("load", station): list(masses) or None}


def item_mass(plan: Plan, station: str, index: int, high: float) -> Variable:
    """The mass of one thing or person aboard, from nothing to `high` [kg]; its uncertainty stays as
    stated.
    """
    entries = plan.flight.load[station]

    def write(flight: Flight, value: float) -> dict[Location, object]:
        old = flight.load[station]
        new = replace(old[index], value=value, text=mass_text(value))
        return with_masses(station, [*old[:index], new, *old[index + 1 :]])

    label = seat_label(station, index, len(entries))
    one = plan.aircraft.stations[station].kind == "seats" and len(entries) > 1
    most = min(high, HEAVIEST_PERSON) if one else high
    return Variable(label, "mass", now=entries[index].value, low=0.0, high=most, write=write)


def seated(masses: Sequence[Quantity], seats: int, more: Quantity) -> tuple[Quantity, ...]:
    """The masses of a station with one more on its first free seat; an empty seat between or beside others
    stands as 0 kg, as sides differ.
    """
    row = [*masses, *[kilograms_of(0.0)] * (seats - len(masses))]
    free = next((index for index, mass in enumerate(row) if mass.value == 0), None)
    return (*row[:free], more, *row[free + 1 :]) if free is not None else (*masses, more)


def added_mass(station: str, high: float, seats: int = 0) -> Variable:
    """Something put on a station beside what is there (ballast, one more bag), weighed, from nothing to
    `high` [kg]; on one of its `seats`, if any.
    """

    def write(flight: Flight, value: float) -> dict[Location, object]:
        return (
            with_masses(station, seated(flight.load.get(station, ()), seats, kilograms_of(value)))
            if value
            else {}
        )

    most = min(high, HEAVIEST_PERSON) if seats > 1 else high
    return Variable(f"added to {station}", "mass", now=0.0, low=0.0, high=most, write=write)


def moved_mass(plan: Plan, station: str, index: int, to: str) -> Variable:
    """Part of one thing aboard carried to another station, weighed as it is carried, from nothing to all of
    it [kg].
    """
    entry = plan.flight.load[station][index]

    def write(flight: Flight, value: float) -> dict[Location, object]:
        old, there = flight.load[station], flight.load.get(to, ())
        if value >= entry.value:  # all of it: what was known of it goes with it
            return {
                **with_masses(station, [*old[:index], *old[index + 1 :]]),
                **with_masses(to, [*there, entry]),
            }
        rest = replace(old[index], value=entry.value - value, text=mass_text(entry.value - value))
        lighter = with_masses(station, [*old[:index], rest, *old[index + 1 :]])
        return {**lighter, **with_masses(to, [*there, kilograms_of(value)])} if value else {}

    what = f"moved from {station} to {to}"
    return Variable(what, "mass", now=0.0, low=0.0, high=entry.value, write=write)


def fuel_change(plan: Plan, tanks: Sequence[str], weights: Sequence[float] = ()) -> Variable:
    """Fuel put in (positive) or taken out (negative) [m3 in all], shared over `tanks` alike or by
    `weights`.
    """
    shares = (
        [weight / math.fsum(weights) for weight in weights] if weights else [1.0 / len(tanks)] * len(tanks)
    )
    share = dict(zip(tanks, shares, strict=True))
    parts = [(each, share[each.tank.name]) for each in plan.fuel.tanks if share.get(each.tank.name, 0.0) > 0]
    low = max(-each.volume / part for each, part in parts)
    high = min(each.space / part for each, part in parts)

    def write(flight: Flight, value: float) -> dict[Location, object]:  # noqa: ARG001 - what is in the tanks stands in the plan
        return {
            tank_of(each.tank.name): usable(
                min(max(each.volume + part * value, 0.0), each.tank.usable_capacity), each.u
            )
            for each, part in parts
        }

    name = "all tanks" if len(tanks) == len(plan.fuel.tanks) and len(tanks) > 1 else " and ".join(tanks)
    return Variable(
        what=name,
        dimension="volume",
        now=0.0,
        low=low,
        high=high,
        write=write,
        volumes=tuple(share.get(each.tank.name, 0.0) for each in plan.fuel.tanks),
    )
