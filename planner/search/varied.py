"""One quantity of a flight left open, and the values of it for which the plan is shown inside every limit.

A `Variable` knows its range and how to write a value into the flight file; everything else is read off the
flight
itself: what the quantity does to mass and moment is the difference of two loadings, so no rule of loading is
written down twice, and every limit that is checked is the one of `plan_flight`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from planner.flight.burn import bounds
from planner.flight.fuel import Leg
from planner.flight.loading import load_aircraft, variants
from planner.plan import plan_flight
from planner.plan.from_ledger import resolve, with_heavier
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.quantities.moments import total
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight, TankContent
from planner.records.store import Loaded
from planner.search.solve import Change, Check, Family, Interval, critical_points, inside_intervals


@dataclass(frozen=True, slots=True)
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

    def with_flight(self, record: Flight, aircraft: Aircraft | None = None) -> Case:
        """The same case with another flight record (and aircraft record), planned. Raises InputRefused as
        `plan_flight` does.
        """
        flight = Loaded(record, self.flight.document, self.flight.notices)
        loaded = (
            self.aircraft
            if aircraft is None
            else Loaded(aircraft, self.aircraft.document, self.aircraft.notices)
        )
        return _case(flight, loaded, self.more)


def case_of(flight: Loaded[Flight], aircraft: Loaded[Aircraft], more: tuple[float, ...] = ()) -> Case:
    """Plan a flight and keep what it was planned from; `more` [m3] per tank that may be aboard besides.
    Raises InputRefused.
    """
    if flight.document.kept is None:
        flight = replace(flight, document=replace(flight.document, kept={}))
    if flight.record.fuel.source is None:
        return _case(flight, aircraft, more)
    low, high = resolve(flight, aircraft)
    if high is None:
        return _case(low, aircraft, ())
    volumes = [[each.volume for each in plan_flight(one, aircraft).fuel.tanks] for one in (low, high)]
    return _case(low, aircraft, tuple(most - least for least, most in zip(*volumes, strict=True)))


def _case(flight: Loaded[Flight], aircraft: Loaded[Aircraft], more: tuple[float, ...]) -> Case:
    plan = plan_flight(flight, aircraft)
    if not more:
        return Case(flight, aircraft, plan)
    contents = dict(flight.record.fuel.tanks)
    for each, extra in zip(plan.fuel.tanks, more, strict=True):
        contents[each.tank.name] = _usable(min(each.volume + extra, each.tank.usable_capacity), each.u)
    record = flight.record.model_copy(
        update={"fuel": flight.record.fuel.model_copy(update={"tanks": contents})}
    )
    heavier = plan_flight(Loaded(record, flight.document, ()), aircraft)
    return Case(
        flight=flight, aircraft=aircraft, plan=with_heavier(plan, heavier), more=more, heavier=heavier
    )


def _usable(volume: float, u: float) -> TankContent:
    """Usable fuel [m3] as a flight holds it."""
    return TankContent(usable=Quantity(volume, u, "volume", f"{volume * 1e3:.10g} L"))


@dataclass(frozen=True, slots=True)
class Variable:
    """A quantity left open: `what` in words, its `now`, `low` and `high` [kg, or m3 of fuel], and `write`,
    which puts a value into a flight.
    """

    what: str
    dimension: Literal["mass", "volume"]
    now: float
    low: float
    high: float
    write: Callable[[Flight, float], Flight]
    # Fuel put into the tanks per m3 of the variable; empty for a mass.
    volumes: tuple[float, ...] = ()


def mass_text(kilograms: float) -> str:
    """A mass [kg] as a flight file would state it."""
    return f"{kilograms:.10g} kg"


def kilograms_of(value: float, u: float = 0.0) -> Quantity:
    """A mass and its standard uncertainty [kg] as a flight holds it."""
    return Quantity(value, u, "mass", mass_text(value))


def with_masses(flight: Flight, station: str, masses: Sequence[Quantity]) -> Flight:
    """The flight with these masses on a station; a station left without any is no longer named."""
    load = {**flight.load, station: tuple(masses)}
    return flight.model_copy(update={"load": {name: entries for name, entries in load.items() if entries}})


def item_mass(plan: Plan, station: str, index: int, high: float) -> Variable:
    """The mass of one thing or person aboard, from nothing to `high` [kg]; its uncertainty stays as
    stated.
    """
    entries = plan.flight.load[station]

    def write(flight: Flight, value: float) -> Flight:
        old = flight.load[station]
        new = replace(old[index], value=value, text=mass_text(value))
        return with_masses(flight, station, [*old[:index], new, *old[index + 1 :]])

    label = station if len(entries) == 1 else f"{station} {index + 1}"
    return Variable(what=label, dimension="mass", now=entries[index].value, low=0.0, high=high, write=write)


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

    def write(flight: Flight, value: float) -> Flight:
        return (
            with_masses(flight, station, seated(flight.load.get(station, ()), seats, kilograms_of(value)))
            if value
            else flight
        )

    return Variable(what=f"added to {station}", dimension="mass", now=0.0, low=0.0, high=high, write=write)


def moved_mass(plan: Plan, station: str, index: int, to: str) -> Variable:
    """Part of one thing aboard carried to another station, weighed as it is carried, from nothing to all of
    it [kg].
    """
    entry = plan.flight.load[station][index]

    def write(flight: Flight, value: float) -> Flight:
        old = flight.load[station]
        if value >= entry.value:  # all of it: what was known of it goes with it
            emptied = with_masses(flight, station, [*old[:index], *old[index + 1 :]])
            return with_masses(emptied, to, [*emptied.load.get(to, ()), entry])
        rest = replace(old[index], value=entry.value - value, text=mass_text(entry.value - value))
        lighter = with_masses(flight, station, [*old[:index], rest, *old[index + 1 :]])
        return with_masses(lighter, to, [*lighter.load.get(to, ()), kilograms_of(value)]) if value else flight

    return Variable(
        what=f"moved from {station} to {to}",
        dimension="mass",
        now=0.0,
        low=0.0,
        high=entry.value,
        write=write,
    )


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

    def write(flight: Flight, value: float) -> Flight:
        contents = dict(flight.fuel.tanks)
        for each, part in parts:
            volume = min(max(each.volume + part * value, 0.0), each.tank.usable_capacity)
            contents[each.tank.name] = _usable(volume, each.u)
        return flight.model_copy(update={"fuel": flight.fuel.model_copy(update={"tanks": contents})})

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


def legs_of(plan: Plan) -> tuple[Leg, ...]:
    """What the plan burns, in order: taxi, trip and alternate, without the last leg that burns what is
    left.
    """
    return tuple(leg for leg in plan.fuel.legs if leg.stage != "taxi in")


def family_of(plan: Plan, variable: Variable) -> Family:
    """The burn of a plan as a function of a variable: its change is the difference of two loadings."""

    def loaded(value: float) -> tuple[float, float, float]:
        sums = total(
            load_aircraft(plan.aircraft, variable.write(plan.flight, value).load, plan.density.density).items
        )
        return sums.mass, sums.moment, sums.lateral_moment

    if variable.dimension == "volume":
        zero, change = total(plan.loading.items), Change(volumes=variable.volumes)
    else:
        # Two values inside the range: at its ends an entry may vanish from the file.
        low, high = (
            variable.low + (variable.high - variable.low) * 0.25,
            variable.low + (variable.high - variable.low) * 0.75,
        )
        first, second = loaded(low), loaded(high)
        per = [(two - one) / (high - low) for one, two in zip(first, second, strict=True)]
        base = [one - slope * low for one, slope in zip(first, per, strict=True)]
        zero, change = (
            replace(plan.state("zero fuel").total, mass=base[0], moment=base[1], lateral_moment=base[2]),
            Change(per[0], per[1], per[2]),
        )
    return Family(
        zero_fuel=zero,
        tanks=tuple(each.tank for each in plan.fuel.tanks),
        volumes=tuple(each.volume for each in plan.fuel.tanks),
        order=plan.aircraft.feed_order(),
        legs=legs_of(plan),
        density=plan.density.density,
        change=change,
    )


def checks_of(case: Case) -> tuple[Check, ...]:
    """Every limit of a case by a name of its own, the fuel included; margins and U in SI."""
    plan = case.plan
    found = [Check("fuel", plan.fuel.surplus, plan.fuel.uncertainty, True), *_checks(plan)]
    if case.heavier is not None:
        found += [replace(each, name=f"heavier: {each.name}") for each in _checks(case.heavier)]
    return tuple(found)


def _checks(plan: Plan) -> tuple[Check, ...]:
    found = [Check(f"load: {each.name}", each.margin, each.uncertainty, True) for each in plan.load_limits]
    for state in plan.states:
        found += [
            Check(f"{state.name}: {each.name}", each.margin, each.uncertainty, each.dimension == "mass")
            for each in state.limits
        ]
    found += [Check(f"burn: {each.name}", *each.tightest, False) for each in plan.burn.limits]
    return tuple(found)


def solve(case: Case, variable: Variable) -> tuple[Interval, ...]:
    """The values of a variable [kg, or m3] for which the plan is shown inside every limit, as exact
    intervals.

    Parameters: `case`; `variable`. Returns ascending Intervals, none where no value does. A flight that is
    refused at a value counts as not inside there. Source: `planner.search.solve`; [jcgm-100] 6.2 for U.
    """
    if variable.high <= variable.low:
        return ()
    plan = case.plan
    lateral = (
        None
        if plan.aircraft.lateral is None
        else (plan.aircraft.lateral.left.value, plan.aircraft.lateral.right.value)
    )
    shifts = [each.moment for each in variants(plan.aircraft) if each.names]
    critical = [
        point
        for one in (plan, case.heavier)
        if one is not None
        for point in critical_points(
            family_of(one, variable), variable.low, variable.high, bounds(plan.envelope, lateral), shifts
        )
    ]

    def check(value: float) -> Sequence[Check]:
        try:
            return checks_of(case.with_flight(variable.write(plan.flight, value)))
        except InputRefused as refused:
            return (Check(f"refused: {refused.findings[0].code}", -1.0, 0.0, False),)

    return inside_intervals(variable.low, variable.high, critical, check)
