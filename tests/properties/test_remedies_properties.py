"""Whatever the load: what is offered is inside when planned again, and the solved intervals are what a fine
grid finds.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from planner.plan import plan_flight
from planner.quantities.errors import InputRefused
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import Loaded, load_flight_file
from planner.search.remedies import headroom, remedies
from planner.search.remedies.room import open_places, room_on
from planner.search.solved import solve
from planner.search.varied import Case, Variable, added_mass, case_of, fuel_change, item_mass
from tests.sizes import examples

ROOT = Path(__file__).parents[2]
FLIGHTS = (
    "demo",
    "not-shown-inside",
    "full-tanks",
    "seat-order",
    "fuel-ahead-of-cg",
    "middle-of-the-flight",
    "short-of-fuel",
    "utility",
    "tailwheel",
    "helicopter-lateral",
)
# A solved end is known to 1e-12 of its size; a value nearer to it than this says nothing.
NEAR = 1e-8


@cache
def files(name: str) -> tuple[Loaded[Flight], Loaded[Aircraft]]:
    return load_flight_file(ROOT / f"docs/flights/{name}.yaml")


# What is drawn, in plain figures: the flight, a factor per mass in turn, a factor on uncertainties, how full
# the tanks are between empty and full.
Drawn = tuple[str, list[float], float, float]


def drawn_of(flights: Sequence[str]) -> st.SearchStrategy[Drawn]:
    return st.tuples(
        st.sampled_from(flights),
        st.lists(st.floats(0.5, 1.6), min_size=8, max_size=8),
        st.sampled_from([0.0, 1.0, 2.0]),
        st.floats(0.0, 1.0),
    )


cases = drawn_of(FLIGHTS)


def case_from(drawn: Drawn) -> Case:
    """A demonstration flight with every mass and every tank changed, stated uncertainties kept, doubled or
    taken away.
    """
    name, factors, unsure, full = drawn
    flight, aircraft = files(name)
    turn = iter(factors)
    load = {
        station: [Quantity(mass.value * next(turn), mass.u * unsure, "mass", "drawn") for mass in masses]
        for station, masses in flight.record.load.items()
    }
    try:
        case = case_of(flight.with_({("load",): load}), aircraft)
        change = fuel_change(case.plan, list(aircraft.record.tanks))
        return case.at(change, change.low * (1 - full) + change.high * full)
    except InputRefused:
        assume(False)
        raise


def headroom_holds_what_is_planned(case: Case) -> None:
    room = headroom(case)
    assert room.card
    for each in (*room.fuel, *room.people, *room.bags):
        assert each.exact.low - NEAR <= each.least <= each.now + NEAR
        assert each.now - NEAR <= each.most <= each.exact.high + NEAR


@pytest.mark.parametrize("flights", [FLIGHTS[::2], FLIGHTS[1::2]], ids=", ".join)
@settings(max_examples=examples(1), deadline=None)
@given(st.data())
def test_every_remedy_planned_again_is_inside_with_its_room(
    flights: tuple[str, ...], data: st.DataObject
) -> None:
    case = case_from(data.draw(drawn_of(flights)))
    found = remedies(case)
    if case.plan.verdict == "inside":
        assert not found.found
        headroom_holds_what_is_planned(case)
        return
    for remedy in found.found[:1]:
        headroom_holds_what_is_planned(remedy.case)
    for remedy in found.found:
        for part in [remedy.case] if remedy.stop is None else [remedy.stop.before, remedy.stop.after]:
            again = plan_flight(part.flight, part.aircraft)
            assert again.verdict == "inside"
            assert again.fuel.surplus >= 0
        assert remedy.left_behind >= 0
        for step in remedy.steps:
            # Rounded to the side away from the edge.
            if step.kind in ("limit", "fuel off"):
                assert step.value <= step.exact + NEAR
            elif step.kind in ("move", "ballast", "fuel on"):
                assert step.value >= step.exact - NEAR
    assert all(item.reason or item.failing or item.short > 0 for item in found.impossible)


def variables(case: Case) -> list[Variable]:
    plan = case.plan
    found = [
        fuel_change(plan, list(plan.aircraft.tanks)),
        fuel_change(plan, [next(iter(plan.aircraft.tanks))]),
    ]
    found += [item_mass(plan, name, 0, 2 * masses[0].value + 20) for name, masses in plan.flight.load.items()]
    found += [
        added_mass(name, room_on(plan, name) + 20, plan.aircraft.stations[name].seats)
        for name in open_places(plan)
    ]
    return found


def one_of(case: Case, which: int) -> Variable:
    options = variables(case)
    return options[which % len(options)]


@settings(max_examples=examples(10), deadline=None)
@given(cases, st.integers(0, 9))
def test_solved_intervals_are_what_a_grid_finds(drawn: Drawn, which: int) -> None:
    case = case_from(drawn)
    variable = one_of(case, which)
    assume(variable.high - variable.low > 1e-3)
    found = solve(case, variable)
    ends = [end for interval in found for end in (interval.low, interval.high)]
    for value in np.linspace(variable.low, variable.high, 61)[1:-1]:
        if any(abs(value - end) < NEAR for end in ends):
            continue
        try:
            inside = case.at(variable, float(value)).plan.verdict == "inside"
        except InputRefused:
            inside = False
        assert inside == any(interval.low < value < interval.high for interval in found), (
            variable.what,
            value,
        )


@settings(max_examples=examples(20), deadline=None)
@given(cases, st.integers(0, 9))
def test_either_side_of_a_solved_end_differs(drawn: Drawn, which: int) -> None:
    case = case_from(drawn)
    variable = one_of(case, which)

    def inside(value: float) -> bool:
        try:
            return case.at(variable, value).plan.verdict == "inside"
        except InputRefused:
            return False

    # A millionth of a kilogram, or ten microlitres of fuel (the plan counts less than one as nothing): far
    # below anything weighed.
    step = 1e-6 if variable.dimension == "mass" else 1e-8
    for interval in solve(case, variable):
        assume(interval.high - interval.low > 4 * step)
        if interval.low > variable.low + 2 * step:
            assert (inside(interval.low - step), inside(interval.low + step)) == (False, True)
        if interval.high < variable.high - 2 * step:
            assert (inside(interval.high - step), inside(interval.high + step)) == (True, False)
