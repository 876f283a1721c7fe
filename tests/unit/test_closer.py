"""Two figures together, by hand on a loading where only the mass decides: the first is made as small as
leaves the second its room.

The invented four-seater with a CG range nothing passes, 688.4 kg empty and 1085 kg at most; 304.996 kg of people, a
bag of 30 kg and 144 L at 0.72 kg/L are 42.076 kg too much. What may go is the bag and the fuel the trip leaves.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planner.search.remedies.closer import _Two, closer
from planner.search.remedies.figures import METRIC, Key, Rounding, Try, key_of, smallest, step_of, tries
from planner.search.remedies.steps import Remedy
from planner.search.varied import Case
from tests.unit.test_remedies_kept import PROFILE, case

RHO, OVER = 0.72, 42.076  # kg/L, kg
RESERVE = 16.5  # L: 30 min at 33 L/h
BY_MASS = re.sub(r" lateral: \{.*\}", "", re.sub(r"(?m)^lateral:.*$", "", PROFILE))
BY_MASS = re.sub(r"forward: \[\[600 kg, .*", "forward: [[600 kg, 0.5 m], [1085 kg, 0.5 m]]", BY_MASS)
BY_MASS = re.sub(r"aft: \[\[600 kg, .*", "aft: [[600 kg, 4.5 m], [1085 kg, 4.5 m]]", BY_MASS)
BY_MASS = BY_MASS[: BY_MASS.index("# The sample loadings")].replace("max_ramp: 1088 kg, ", "")

BAG: Key = ("limit", "baggage", "")
FUEL: Key = ("fuel off", "all tanks", "")
FINE = Rounding(load=0.01, person=1.0, fuel=1e-3)


def heavy(folder: Path, spare: float, bag: float = 30.0, rear: float = 64.996) -> Case:
    """With so much fuel [L] more than the trip and its reserve need."""
    trip = f"[{{phase: cruise, fuel: {144 - RESERVE - spare:.10g} L}}]"
    load = f"{{front seats: [85 kg, 85 kg], rear seats: [70 kg, {rear} kg], baggage: {bag} kg}}"
    return case(folder, load, 144, trip, BY_MASS)


def attempt_at(flight: Case, key: Key, steps: Rounding) -> Try:
    return next(each for each in tries(flight.plan, steps) if key_of(each) == key)


def two_of(flight: Case, key: Key, value: float, second: Key, steps: Rounding) -> tuple[Remedy, Try]:
    """A pair as the search finds it: the first figure set to a value, the second the smallest that then does."""
    first = attempt_at(flight, key, steps)
    left = Remedy((step_of(flight.plan, first, value, value),), flight.at(first.variable, value))
    then = smallest(left.case, attempt_at(left.case, second, steps))
    assert then is not None
    return left.then(then), first


def test_the_fuel_taken_off_is_no_more_than_the_bag_as_it_is_asks_for(tmp_path: Path) -> None:
    flight = heavy(tmp_path, spare=27.5)
    # 26 L out are 18.72 kg: of the bag 6.644 kg may stay, 6.5 to the half kilogram. With those the fuel has to go
    # down by (42.076 - 23.5) / 0.72 = 25.8 L: 26 it stays, down to the 27.5 L not needed.
    pair, first = two_of(flight, FUEL, -0.026, BAG, METRIC)
    closed = closer(flight, pair, first, METRIC)
    assert closed is not None
    off, bag = closed.steps
    edge = -(OVER - 23.5) / RHO
    assert (off.value * 1e3, off.exact * 1e3) == pytest.approx((-26.0, edge), abs=1e-6)
    assert (off.low * 1e3, off.high * 1e3) == pytest.approx((-27.5, edge), abs=1e-6)
    assert off.tanks == (("left", pytest.approx(-0.013)), ("right", pytest.approx(-0.013)))
    assert off.practical == pytest.approx(2e-3)
    assert (bag.value, bag.exact, bag.low, bag.high) == pytest.approx((6.5, 6.644, 0.0, 6.644), abs=1e-6)
    assert closed.plan.fuel.aboard * 1e3 == pytest.approx(144 - 26)
    assert closed.plan.flight.load["baggage"][0].value == 6.5


# Litres to spare, and then the bag [kg]; None where no part of the way leaves the fuel the two litres of room
# that make it no narrow figure.
PARTS = ((28.2, 6.64), (27.8, 6.38), (27.5, 6.12), (27.1, 5.86), (26.7, None))


@pytest.mark.parametrize(("spare", "expected"), PARTS)
def test_the_first_goes_only_so_near_as_leaves_the_second_its_room(
    tmp_path: Path, spare: float, expected: float | None
) -> None:
    """With 5.60 kg of the bag 24.55 L have to go out, 26 in whole litres a tank. 26 L would allow 6.644 kg, and then
    the fuel has only what lies between 26 L and what may be spared; half a kilogram less of the bag is 0.69 L
    more. Tried are the edge and one, two and three quarters of the way back to 5.60 kg.
    """
    flight = heavy(tmp_path, spare)
    pair, first = two_of(flight, BAG, 5.60, FUEL, FINE)
    assert not pair.narrow
    assert pair.steps[1].value * 1e3 == pytest.approx(-26.0)
    closed = closer(flight, pair, first, FINE)
    assert closed is not None
    bag, off = closed.steps
    value = 5.60 if expected is None else expected
    assert bag.value == pytest.approx(value, abs=1e-9)
    assert (bag.low, bag.high, bag.practical) == pytest.approx((0.0, 6.644, 1.0), abs=1e-6)
    assert bag.exact == pytest.approx(5.60 if expected is None else 6.644, abs=1e-6)
    needed = (OVER - (30.0 - bag.value)) / RHO
    assert off.value * 1e3 == pytest.approx(-26.0)
    assert (off.low * 1e3, off.high * 1e3) == pytest.approx((-spare, -needed), abs=1e-6)
    assert not closed.narrow
    assert closed.plan.flight.load["baggage"][0].value == bag.value


def test_a_narrow_pair_may_stay_narrow(tmp_path: Path) -> None:
    """26.1 L to spare: what is out is narrow whatever part of the bag is left, so the most of it may stay."""
    flight = heavy(tmp_path, 26.1)
    pair, first = two_of(flight, BAG, 5.60, FUEL, FINE)
    assert pair.narrow
    closed = closer(flight, pair, first, FINE)
    assert closed is not None
    assert closed.steps[0].value == pytest.approx(6.64, abs=1e-9)


@pytest.mark.parametrize("first_key", [BAG, FUEL])
def test_where_the_second_alone_does_it_there_is_no_pair(tmp_path: Path, first_key: Key) -> None:
    """17.08 kg too much are 24 L of fuel, or the bag at 12.5 kg: what goes besides is no part of it."""
    flight = heavy(tmp_path, 30.0, rear=40.0)
    second = FUEL if first_key == BAG else BAG
    first = attempt_at(flight, first_key, METRIC)
    enough = smallest(flight, attempt_at(flight, second, METRIC))
    assert enough is not None
    less = 25.0 if first_key == BAG else -0.010
    one = Remedy((step_of(flight.plan, first, less, less),), flight.at(first.variable, less))
    assert closer(flight, one.then(enough), first, METRIC) is None


@pytest.mark.parametrize(
    ("bag", "nearest"),
    # What is there, and what the first is set to: less than half a step from what is there is no change, and the
    # next of the parts is taken.
    [(9.2, 8.5), (9.3, 9.0)],
)
def test_less_than_half_a_step_is_no_change(tmp_path: Path, bag: float, nearest: float) -> None:
    """The people are so heavy that 24 L out and all but 0.1 kg of the bag do: rounded down, 9.0 kg. That is 0.2 kg
    below a bag of 9.2 kg. From 8.0 kg on a quarter of the way back is 8.825 kg.
    """
    over = 24 * RHO + 0.1
    rear = 64.996 + over - OVER + 30.0 - bag
    flight = heavy(tmp_path, 30.0, bag=bag, rear=round(rear, 6))
    pair, first = two_of(flight, BAG, 8.0, FUEL, METRIC)
    assert pair.steps[1].value * 1e3 == pytest.approx(-24.0)
    closed = closer(flight, pair, first, METRIC)
    assert closed is not None
    assert (closed.steps[0].value, closed.steps[0].exact) == pytest.approx((nearest, bag - 0.1), abs=1e-6)


def test_no_more_is_carried_elsewhere_than_is_there(tmp_path: Path) -> None:
    """A bag made lighter, and 5 kg of it on the shelf: of a bag of 4 kg there are no 5 kg."""
    flight = case(tmp_path, "{front seats: [85 kg, 85 kg], baggage: 12 kg}", 60, profile=BY_MASS)
    second: Key = ("move", "baggage", "shelf")
    two = _Two(case=flight, first=attempt_at(flight, BAG, METRIC), second=second, value=5.0, steps=METRIC)
    assert [two.inside(bag) for bag in (12.0, 5.5, 5.0, 4.5, 0.0)] == [True, True, True, False, False]
    assert two.at(0.0) is None, "nothing is left to be carried"
    assert two.at(13.0) is not None
    found = two.at(6.0)
    assert found is not None
    assert found[0].plan.flight.load["baggage"][0].value == 6.0
    assert (key_of(found[1]), found[1].variable.high) == (second, 6.0)
