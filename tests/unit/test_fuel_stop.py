"""A landing for fuel, by hand on a loading where only the mass and the tanks decide: where it may lie, where
it has the most room, and what each part then carries.

Each part taxies 2 L and 1 L after landing and keeps 16.5 L (30 min at 33 L/h); the second climbs again.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from planner.search.remedies.places import landed
from planner.search.remedies.stop import Stop, _time, fuel_stop, fuel_window, least_fuelled
from planner.search.solve import Interval
from planner.search.varied import Case
from tests.unit.test_closer import BY_MASS, RHO
from tests.unit.test_remedies_kept import case

KEPT = 2 + 1 + 16.5  # L
EMPTY, MOST = 688.4, 1085.0  # kg
LITRE = 1e-3
NEAR = 1.01e-4  # of the trip: how near an edge is looked for


def flight_of(folder: Path, air: str, people: float = 160.0, litres: float = 144.0) -> Case:
    """Taxi, what is flown, and taxi after landing, with so many kilograms aboard besides the fuel."""
    trip = f"[{{phase: taxi, fuel: 2 L}}, {air}, {{phase: taxi, fuel: 1 L}}]"
    seat = people / 4
    load = f"{{front seats: [{seat} kg, {seat} kg], rear seats: [{seat} kg, {seat} kg]}}"
    return case(folder, load, litres, trip, BY_MASS)


def carried(litres: float) -> float:
    """People [kg] with which the aircraft carries just so much fuel."""
    return MOST - EMPTY - litres * RHO


def stop_of(flight: Case) -> Stop:
    found = fuel_stop(flight, LITRE)
    assert isinstance(found, Stop), found
    return found


CLIMB, CRUISE = "{phase: climb, time: 12 min}", "{phase: cruise, time: 3 h}"  # 8.4 L and 99 L


def test_the_landing_lies_where_neither_part_is_too_heavy(tmp_path: Path) -> None:
    """80.3 L may be carried. The first part needs 19.5 L and what it burns, the second 8.4 L more for its
    climb; each gets whole litres, so 80 L at the most.
    """
    stop = stop_of(flight_of(tmp_path, f"{CLIMB}, {CRUISE}", carried(80.3)))
    trip = 8.4 + 99.0
    earliest, latest = 1 - (80 - KEPT - 8.4) / trip, (80 - KEPT) / trip
    assert (stop.earliest, stop.latest) == (
        pytest.approx(earliest, abs=NEAR),
        pytest.approx(latest, abs=NEAR),
    )
    assert stop.earliest >= earliest
    assert stop.latest <= latest
    # In the middle both parts burn the same.
    assert stop.chosen == pytest.approx((earliest + latest) / 2, abs=NEAR)
    burnt = [stop.chosen * trip, 8.4 + (1 - stop.chosen) * trip]
    for part, window, burn in zip((stop.before, stop.after), stop.windows, burnt, strict=True):
        assert part.plan.fuel.aboard * 1e3 == pytest.approx(math.ceil(KEPT + burn))
        assert (window.low * 1e3, window.high * 1e3) == pytest.approx((KEPT + burn, 80.3), abs=1e-6)
    assert (stop.room.high - stop.room.low) * 1e3 == pytest.approx(80.3 - KEPT - max(burnt), abs=1e-6)
    # Twelve minutes of climb, the rest at 33 L/h.
    for seconds, share in zip(stop.times, (stop.earliest, stop.latest, stop.chosen), strict=True):
        assert seconds == pytest.approx(720 + (share * trip - 8.4) / 33 * 3600)
    left = math.ceil(KEPT + burnt[0]) - 2 - burnt[0] - 1
    assert stop.put_in * 1e3 == pytest.approx(math.ceil(KEPT + burnt[1]) - left)
    (step,) = landed(stop, LITRE).steps
    assert (step.value, step.exact) == (stop.before.plan.fuel.aboard, stop.windows[0].low)
    assert (step.low, step.high, step.practical) == (stop.room.low, stop.room.high, pytest.approx(2e-3))
    assert landed(stop, 1e-4).steps[0].practical == 1e-3, "never below a litre"


@pytest.mark.parametrize(("climb", "place"), [(10, 0.5), (50, 0.7), (90, 0.9)])
def test_a_long_climb_that_is_flown_again_has_the_landing_later(
    tmp_path: Path, climb: int, place: float
) -> None:
    """Of 100 L flown the climb takes most: both parts burn alike where half the trip and half of the second
    climb are behind, 0.55, 0.75 and 0.95 of it; looked at are the middle, 0.7 and 0.9, and the room is what 144 L
    of tanks leave the longer part.
    """
    air = f"{{phase: climb, fuel: {climb} L}}, {{phase: cruise, fuel: {100 - climb} L}}"
    stop = stop_of(flight_of(tmp_path, air))
    latest = 1.0
    earliest = max(0.0, 1 - (144 - KEPT - climb) / 100)  # one full tank is 124.5 L of burn
    assert (stop.earliest, stop.latest) == pytest.approx((earliest, latest), abs=2 * NEAR)
    assert (stop.chosen - stop.earliest) / (stop.latest - stop.earliest) == pytest.approx(place)

    def room(share: float) -> float:
        again = climb + (100 * (1 - share))
        return 144 - KEPT - max(100 * share, again)

    looked = [stop.earliest + (stop.latest - stop.earliest) * each for each in (0.1, 0.3, 0.5, 0.7, 0.9)]
    assert (stop.room.high - stop.room.low) * 1e3 == pytest.approx(max(map(room, looked)), abs=1e-6)


def test_a_phase_that_is_unsure_has_the_landing_before_the_middle(tmp_path: Path) -> None:
    """Of 100 L the first 20 are +/- 15 L, U = 30 L: behind them the first part has to carry those besides, and both
    parts ask alike after 35 L.
    """
    air = "{phase: cruise, fuel: 20 +/- 15 L}, {phase: cruise, fuel: 80 L}"
    stop = stop_of(flight_of(tmp_path, air))

    def room(place: float) -> float:
        share = stop.earliest + (stop.latest - stop.earliest) * place
        first = 100 * share + 30 * min(share / 0.2, 1)
        return 144 - KEPT - max(first, 100 * (1 - share) + 30 * max(1 - share / 0.2, 0))

    best = max((0.1, 0.3, 0.5, 0.7, 0.9), key=room)
    assert best == 0.3
    assert (stop.chosen - stop.earliest) / (stop.latest - stop.earliest) == pytest.approx(best)
    assert (stop.room.high - stop.room.low) * 1e3 == pytest.approx(room(best), abs=1e-5)
    first, second = stop.windows
    assert first.low * 1e3 == pytest.approx(KEPT + 100 * stop.chosen + 30, abs=1e-5)
    assert second.low * 1e3 == pytest.approx(KEPT + 100 * (1 - stop.chosen), abs=1e-5)


@pytest.mark.parametrize(
    ("carries", "climb", "reason"),
    [
        (19.0, 8, "even the shortest first part is not inside with the fuel it needs"),
        (60.0, 50, "even the shortest second part is not inside with the fuel it needs"),
        (70.0, 8, "one landing is not enough"),
        (80.0, 8, ""),
    ],
)
def test_why_there_is_no_landing(tmp_path: Path, carries: float, climb: int, reason: str) -> None:
    """19.5 L are kept by either part; 50 L of climb flown again are 69.5 L; of 100 L in two parts with 8 L of climb
    more one has 54 L, 73.5 L with what is kept.
    """
    air = f"{{phase: climb, fuel: {climb} L}}, {{phase: cruise, fuel: {100 - climb} L}}"
    found = fuel_stop(flight_of(tmp_path, air, carried(carries)), LITRE)
    if reason:
        assert isinstance(found, str)
        assert found.startswith(reason)
    else:
        assert isinstance(found, Stop)


def test_how_long_a_share_of_the_trip_takes(tmp_path: Path) -> None:
    """12 min are 8.4 L, an hour 33 L, and of the last 20 L nobody knows the time, as no flow is stated."""
    air = "{phase: climb, time: 12 min}, {phase: cruise, time: 1 h}, {phase: descent, fuel: 20 L}"
    load = "{front seats: [80 kg, 75 kg]}"
    plan = case(tmp_path, load, 144, f"[{air}]", BY_MASS.replace("descent: 24 L/h, ", "")).plan
    for burnt, minutes in ((0.0, 0.0), (4.2, 6.0), (8.4, 12.0), (8.4 + 16.5, 42.0), (8.4 + 33.0, 72.0)):
        assert _time(plan, burnt / 61.4 - 1e-12) / 60 == pytest.approx(minutes, abs=1e-6)
    assert math.isnan(_time(plan, 45 / 61.4))


def test_the_least_fuel_is_whole_steps_and_never_more_than_the_tanks_hold(tmp_path: Path) -> None:
    flight = flight_of(tmp_path, "{phase: cruise, fuel: 60.2 L}")
    for step, litres in ((1e-3, 80.0), (5e-3, 80.0), (11e-3, 88.0), (70e-3, 140.0), (72e-3, 144.0)):
        found = least_fuelled(flight, {}, step)
        assert found is not None
        assert [each.volume * 1e3 for each in found.plan.fuel.tanks] == pytest.approx([litres / 2] * 2)
    assert least_fuelled(flight, {}, 79e-3) is None, "158 L"
    changed = least_fuelled(flight, {("load", "baggage"): None, ("load", "shelf"): None}, 1e-3)
    assert changed is not None
    longer = flight.plan.flight.trip[1].model_copy(
        update={"fuel": replace(flight.plan.flight.trip[0].fuel, value=0.1)}  # type: ignore[type-var]
    )
    more = least_fuelled(flight, {("trip",): [longer]}, 1e-3)
    assert more is not None
    assert more.plan.fuel.aboard * 1e3 == pytest.approx(117), "100 L and 16.5 L"


def test_tanks_of_two_sizes_are_filled_to_the_same_share(tmp_path: Path) -> None:
    """72 L and 36 L usable: two thirds of the 90 L needed in the large one."""
    small = BY_MASS.replace("right: {capacity: 76 L, unusable: 4 L", "right: {capacity: 40 L, unusable: 4 L")
    small = small[: small.index("dipsticks:")]
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 40, "[{phase: cruise, fuel: 73.2 L}]", small)
    found = least_fuelled(flight, {}, 1e-3)
    assert found is not None
    assert [each.volume * 1e3 for each in found.plan.fuel.tanks] == pytest.approx([60.0, 30.0])
    window = fuel_window(found)
    assert (window.low * 1e3, window.high * 1e3) == pytest.approx((89.7, 108.0))


def test_what_is_put_in_is_never_less_than_nothing_and_the_room_is_the_narrower(tmp_path: Path) -> None:
    short = flight_of(tmp_path, "{phase: cruise, fuel: 10 L}", litres=60)
    stop = Stop(
        earliest=0.1,
        latest=0.9,
        chosen=0.5,
        times=(1.0, 2.0, 3.0),
        before=short,  # 60 - 13 = 47 L are left
        after=flight_of(tmp_path, "{phase: cruise, fuel: 10 L}", litres=40),
        windows=(Interval(0.01, 0.05), Interval(0.03, 0.06)),
    )
    assert stop.put_in == 0.0
    assert replace(stop, after=short).put_in * 1e3 == pytest.approx(13.0)
    assert stop.room == Interval(0.03, 0.06)
    assert replace(stop, windows=stop.windows[::-1]).room == Interval(0.03, 0.06)
