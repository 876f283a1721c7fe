"""Adverse loadings against random loadings and a linear programme; the published pair is in
tests/reference.
"""

from __future__ import annotations

import math
import random

import pytest
from scipy.optimize import linprog

from planner.flight.extremes import Assumptions, assume, extremes
from planner.quantities.errors import OutOfRange
from planner.records.aircraft.record import Aircraft
from planner.records.store import load_aircraft, profile_ids

CASES = [(each, category) for each in profile_ids() for category in load_aircraft(each).record.envelopes]


def _room(
    aircraft: Aircraft, category: str, assumed: Assumptions
) -> tuple[list[tuple[str, float, float]], float, float]:
    """(name, most that may be added, arm) of every place, and mass and moment of what is always aboard:
    written from the profile alone.
    """
    empty = aircraft.basic_empty
    mass, moment = empty.mass.value, empty.mass.value * empty.arm_value()
    pilot = aircraft.stations[assumed.pilot_station]
    mass, moment = mass + assumed.occupant, moment + assumed.occupant * pilot.arm.value
    places = []
    for name, station in aircraft.stations.items():
        if name in aircraft.envelopes[category].forbids:
            continue
        own = assumed.occupant if name == assumed.pilot_station else 0.0
        most = station.max.value - own if station.max is not None else math.inf
        most = min(most, station.seats * assumed.occupant - own) if station.kind == "seats" else most
        places.append((name, most, station.arm.value))
    return places, mass, moment


def _top(aircraft: Aircraft, category: str) -> float:
    own = aircraft.envelopes[category].max_takeoff
    return min(aircraft.masses.max_takeoff.value, own.value if own is not None else math.inf)


@pytest.mark.parametrize(("name", "category"), CASES)
def test_no_random_loading_is_more_adverse(name: str, category: str) -> None:
    aircraft = load_aircraft(name).record
    assumed = assume(aircraft)
    pair, _ = extremes(aircraft, category, assumed)
    places, mass, moment = _room(aircraft, category, assumed)
    envelope, top = aircraft.envelopes[category].envelope(), _top(aircraft, category)
    tanks = [
        (tank.usable * assumed.density, [arm for _, arm in tank.arm_points()])
        for tank in aircraft.tanks.values()
    ]
    rng = random.Random(f"{name} {category}")
    for _ in range(600):
        loads = {
            place: rng.choice((0.0, 1.0, rng.random())) * most if math.isfinite(most) else 0.0
            for place, most, _ in places
        }
        if any(
            sum(loads.get(each, 0.0) for each in limit.stations) > limit.max.value
            for limit in aircraft.combined_limits
        ):
            continue
        fuel = [rng.choice((0.0, 1.0, rng.random())) * most for most, _ in tanks]
        if sum(fuel) < assumed.minimum_fuel * assumed.density or any(len(arms) > 1 for _, arms in tanks):
            # full tanks hold the least fuel wherever the feed order leaves it, and need no arm table
            fuel = [most for most, _ in tanks]
        fuel_moment = sum(
            (
                assumed.density * (tank.capacity.value * arms[-1] - tank.unusable.value * arms[0])
                if len(arms) > 1
                else part * arms[0]
            )
            for part, (_, arms), tank in zip(fuel, tanks, aircraft.tanks.values(), strict=True)
        )
        now = mass + sum(loads.values()) + sum(fuel)
        if now > top:
            continue
        if any(part < low - 1e-9 for part, low in zip(fuel, _least(aircraft, assumed), strict=True)):
            continue
        cg = (moment + sum(loads[place] * arm for place, _, arm in places) + fuel_moment) / now
        assert cg - envelope.forward.arm(now) >= pair[0].limit.margin - 1e-9
        assert envelope.aft.arm(now) - cg >= pair[1].limit.margin - 1e-9


def _least(aircraft: Aircraft, assumed: Assumptions) -> list[float]:
    pair, _ = extremes(aircraft, next(iter(aircraft.envelopes)), assumed)
    held = {item.name: item.mass for item in pair[0].items}
    return [held.get(f"least fuel {name}", 0.0) for name in aircraft.tanks]


@pytest.mark.parametrize("side", ["forward", "aft"])
def test_against_a_linear_programme(side: str) -> None:
    # For one total mass the most adverse CG is a linear programme; the least of its margins over a grid of
    # masses cannot be below ours, and the grid of 0.5 kg comes within 0.1 mm of it (the margin changes by
    # less than 0.2 mm/kg here). scipy's solver is the oracle.
    aircraft = load_aircraft("thornlea-t4").record
    assumed = assume(aircraft)
    pair, _ = extremes(aircraft, "normal", assumed)
    ours = pair[0] if side == "forward" else pair[1]
    places, mass, moment = _room(aircraft, "normal", assumed)
    least = _least(aircraft, assumed)
    names = [place for place, _, _ in places]
    bounds = [(0.0, most) for _, most, _ in places]
    arms = [arm for _, _, arm in places]
    for tank, low in zip(aircraft.tanks.values(), least, strict=True):
        bounds.append((low, tank.usable * assumed.density))
        arms.append(tank.arm_points()[0][1])
    rows = [
        [1.0 if name in limit.stations else 0.0 for name in names] + [0.0] * len(least)
        for limit in aircraft.combined_limits
    ]
    envelope, best = aircraft.envelopes["normal"].envelope(), math.inf
    sign = 1.0 if side == "forward" else -1.0
    low_mass, high_mass = mass + sum(least), _top(aircraft, "normal")
    total = low_mass
    while total <= high_mass:
        solved = linprog([sign * arm for arm in arms], A_ub=rows, b_ub=[limit.max.value for limit in aircraft.combined_limits],
                         A_eq=[[1.0] * len(arms)], b_eq=[total - mass], bounds=bounds)  # fmt: skip
        if solved.status == 0:
            cg = (moment + sign * solved.fun) / total
            margin = cg - envelope.forward.arm(total) if side == "forward" else envelope.aft.arm(total) - cg
            best = min(best, margin)
        total += 0.5
    assert ours.limit.margin <= best + 1e-9
    assert ours.limit.margin == pytest.approx(best, abs=1e-4)


def test_the_items_are_the_loading() -> None:
    for name, category in CASES:
        aircraft = load_aircraft(name).record
        for each in extremes(aircraft, category, assume(aircraft))[0]:
            assert sum(item.mass for item in each.items) == pytest.approx(each.total.mass, rel=1e-12)
            assert sum(item.moment for item in each.items) + each.change == pytest.approx(
                each.total.moment, rel=1e-12
            )
            assert each.limit.value == pytest.approx(each.total.centre_of_gravity, rel=1e-12)
            assert each.total.mass <= _top(aircraft, category) * (1 + 1e-12)
            assert not any(item.name in aircraft.envelopes[category].forbids for item in each.items)


def test_combined_limits_and_the_pilots_seat_are_kept() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    aft = extremes(aircraft, "normal", assume(aircraft, occupant=80.0))[0][1]
    loads = {item.name: item.mass for item in aft.items}
    assert loads["shelf"] == 10.0  # the longest lever first, to its own limit
    assert loads["baggage"] == 35.0  # what the combined 45 kg leave
    assert loads["pilot"] == 80.0
    assert "front seats" not in loads  # a passenger in front would bring the CG forward
    solo_rear = load_aircraft("saltmere-samphire").record
    assert (
        extremes(solo_rear, "normal", assume(solo_rear, pilot_station="rear seat"))[0][1].items[1].arm == 1.1
    )


def test_what_cannot_be_assumed() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    with pytest.raises(OutOfRange, match="no station with seats"):
        assume(aircraft, pilot_station="baggage")
    with pytest.raises(OutOfRange, match="more than"):
        assume(aircraft, minimum_fuel=1.0)
    with pytest.raises(OutOfRange, match="above the take-off mass"):
        extremes(aircraft, "utility", assume(aircraft, occupant=240.0))


def test_a_moment_change_that_makes_it_worse_is_counted() -> None:
    aircraft = load_aircraft("ashgrove-tamarisk").record
    (forward, aft), _ = extremes(aircraft, "normal", assume(aircraft))
    lever = aircraft.moment_changes["gear up"].value
    assert lever > 0
    assert (forward.moment_change, aft.moment_change) == ("", "gear up")
    down = aircraft.model_copy(update={"moment_changes": {}})
    without = extremes(down, "normal", assume(down))[0][1]
    # near the same mass the CG moves by lever / mass; the worst mass may shift a little, and only to the
    # worse
    assert without.limit.margin - aft.limit.margin >= lever / without.total.mass - 1e-12
    assert without.limit.margin - aft.limit.margin == pytest.approx(lever / without.total.mass, rel=0.2)


def test_a_pilot_nobody_named_is_told_of() -> None:
    """The sailplane's profile says where its pilot sits, the four-seater's does not."""
    guessed = "first station with seats"
    for name, station, told in (
        ("thornlea-t4", "", True),
        ("thornlea-t4", "front seats", False),
        ("saltmere-samphire", "", False),
        ("saltmere-samphire", "front seat", False),
    ):
        notes = assume(load_aircraft(name).record, pilot_station=station).notes
        assert any(guessed in note for note in notes) is told, (name, station)
