"""The room around a flight that is inside, by hand on a loading where only the mass and the tanks decide.

688.4 kg empty, 1085 kg at most, 0.72 kg/L; 76.5 L are needed (60 L and 30 min at 33 L/h) and 144 L fit in; baggage
takes 40 kg, the shelf 10 kg, both 45 kg.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.search.remedies import Headroom, Room, headroom
from planner.search.remedies.figures import AMERICAN, METRIC
from planner.search.remedies.headroom import card, least_uplift
from planner.search.varied import Case
from tests.unit.test_closer import BY_MASS
from tests.unit.test_remedies_kept import case

TRIP = "[{phase: cruise, fuel: 60 L}]"
EMPTY, MOST, RHO = 688.4, 1085.0, 0.72


def flight_of(folder: Path, load: str, litres: float) -> Case:
    return case(folder, load, litres, TRIP, BY_MASS)


def rows(rooms: tuple[Room, ...], per: float = 1.0) -> dict[str, list[float]]:
    return {
        each.what: [
            figure * per for figure in (each.now, each.exact.low, each.exact.high, each.least, each.most)
        ]
        for each in rooms
    }


def told(flight: Case) -> Headroom:
    said: list[tuple[int, int]] = []
    found = headroom(flight, METRIC, lambda done, of: said.append((done, of)))
    assert said == [(1, 3), (2, 3)], "fuel, then people and bags; the card is the rest"
    return found


def test_every_room_is_what_the_mass_or_the_place_leaves(tmp_path: Path) -> None:
    """688.4 + 230.2 + 70 + 12.4 kg and 100 L are 1073 kg: 12 kg may come."""
    flight = flight_of(
        tmp_path, "{front seats: [120 kg, 110.2 kg], rear seats: [0 kg, 70 kg], baggage: 12.4 kg}", 100
    )
    found = told(flight)
    # 12 kg are 16.667 L; of 50 L in one tank 23.5 L are not needed.
    assert rows(found.fuel, 1e3) == {
        "all tanks": pytest.approx([100, 76.5, 100 + 12 / RHO, 78, 116], abs=1e-6),
        "left": pytest.approx([50, 26.5, 50 + 12 / RHO, 27, 66], abs=1e-6),
        "right": pytest.approx([50, 26.5, 50 + 12 / RHO, 27, 66], abs=1e-6),
    }
    assert {each.kind for each in found.fuel} == {"fuel"}
    assert rows(found.people) == {
        "front seats 1": pytest.approx([120, 0, 132, 0, 132], abs=1e-6),
        "front seats 2": pytest.approx([110.2, 0, 122.2, 0, 122], abs=1e-6),
        "rear seats 2": pytest.approx([70, 0, 82, 0, 82], abs=1e-6),
        "rear seats, free seat": pytest.approx([0, 0, 12, 0, 12], abs=1e-6),
    }
    # Beside the bag of 12.4 kg nothing more is asked about; the shelf is free.
    assert rows(found.bags) == {
        "baggage": pytest.approx([12.4, 0, 24.4, 0, 24], abs=1e-6),
        "shelf": pytest.approx([0, 0, 10, 0, 10], abs=1e-6),
    }
    assert {each.kind for each in (*found.people, *found.bags)} == {"mass"}


def test_nobody_is_looked_for_beyond_200_kg_and_two_together_beyond_400(tmp_path: Path) -> None:
    """A light aircraft full of room: what is sought of a person ends at 200 kg, of a row given as one figure at
    that for every seat.
    """
    free = BY_MASS.replace("1085 kg", "2085 kg").replace("[600 kg, 0.5", "[300 kg, 0.5")
    free = free.replace("[600 kg, 4.5", "[300 kg, 4.5")
    flight = case(tmp_path, "{front seats: 150 kg, rear seats: [70 kg, 0 kg]}", 100, TRIP, free)
    assert rows(headroom(flight).people) == {
        "front seats": [150, 0, 400, 0, 400],
        "rear seats 1": [70, 0, 200, 0, 200],
        "rear seats, free seat": [0, 0, 200, 0, 200],
    }


def test_a_row_of_the_card_is_what_is_left_with_that_fuel(tmp_path: Path) -> None:
    """The flight's own load is 1001 kg without fuel: 1085 kg less that and the fuel is what a bag may have, and a
    pair besides what sits there.
    """
    flight = flight_of(
        tmp_path, "{front seats: [120 kg, 110.2 kg], rear seats: [0 kg, 70 kg], baggage: 12.4 kg}", 100
    )
    found = headroom(flight)
    assert [(row.fuel * 1e3, row.note) for row in found.card] == [
        (pytest.approx(78), "the least that is enough"),
        (pytest.approx(96), ""),  # half way between 78 and 116 is 97, to whole litres in each tank
        (pytest.approx(100), "as planned"),
        (pytest.approx(116), "the most with this load"),
    ]
    for row in found.card:
        left = MOST - 1001 - row.fuel * 1e3 * RHO
        assert dict(row.bags) == {
            "baggage": pytest.approx((min(left, 27.6) + 1e-9) // 0.5 * 0.5),
            "shelf": pytest.approx((min(left, 10.0) + 1e-9) // 0.5 * 0.5),
        }
        assert dict(row.pairs) == {
            "front seats": pytest.approx((left + 230.2 + 1e-9) // 1),
            "rear seats": pytest.approx((left + 70 + 1e-9) // 1),
        }


def test_a_flight_that_is_outside_has_a_row_as_planned_and_no_bag_in_it(tmp_path: Path) -> None:
    """30 kg too much with the fuel planned: no bag is inside, but two lighter people in front are."""
    flight = flight_of(
        tmp_path, "{front seats: [120 kg, 110 kg], rear seats: [50 kg, 74.6 kg]}", 100
    )  # 1043 kg and 72 kg
    assert flight.plan.verdict == "outside"
    (row,) = card(flight, None, METRIC)
    assert (row.fuel * 1e3, row.note) == (pytest.approx(100), "as planned")
    assert row.bags == (("baggage", None), ("shelf", None))
    assert row.pairs == (("front seats", 200.0), ("rear seats", 94.0))


def test_what_a_category_forbids_has_no_column(tmp_path: Path) -> None:
    flight = flight_of(tmp_path, "{front seats: [80 kg, 0 kg]}", 78).with_({"category": "utility"})
    assert flight.plan.verdict == "inside"
    found = headroom(flight)
    assert not found.bags
    assert [each.what for each in found.people] == ["front seats 1", "front seats, free seat"]
    assert {row.bags for row in found.card} == {()}


@pytest.mark.parametrize(
    ("litres", "people", "expected"),
    [
        (60, 160, 18.0),  # 16.5 L short; a litre per tank
        (60.5, 160, 16.0),  # 16 L exactly, and nothing is unsure
        (60, 318.4, 18.0),  # 78 L and 1006.8 kg are 1062.96 kg
        (60, 340, 18.0),
        (60, 342, None),  # 1030.4 kg leave 54.6 kg: 75.8 L
        (60, 341, 16.5),  # 1029.4 kg leave 77.2 L: 16.5 to 17.2 L, and no two litres between
    ],
)
def test_the_least_uplift_is_what_is_missing_in_litres_a_tank(
    tmp_path: Path, litres: float, people: float, expected: float | None
) -> None:
    flight = flight_of(tmp_path, f"{{front seats: [{people / 2} kg, {people / 2} kg]}}", litres)
    found = least_uplift(flight)
    if expected is None or expected == 16.5:
        assert found is None
    else:
        assert found is not None
        assert found * 1e3 == pytest.approx(expected)


def test_american_uplifts_are_half_gallons_a_tank(tmp_path: Path) -> None:
    """16.5 L are 4.36 gallons: 5 in whole ones, half of each in each tank; 3.785411784 L are one [nist-sp-811]."""
    flight = flight_of(tmp_path, "{front seats: [80 kg, 80 kg]}", 60)
    found = least_uplift(flight, AMERICAN)
    assert found is not None
    assert found * 1e3 == pytest.approx(5 * 3.785411784)


def test_an_edge_on_a_whole_step_that_is_unsure_is_one_step_off(tmp_path: Path) -> None:
    """1021 kg and 62.5 L are 1066 kg, of which one person is +/- 2 kg: 19 kg less U of 4 kg may come, 15 kg, and at
    just those it is not shown. 25.5 +/- 1 L and 16.5 L are 42 L, and U is 2 L: 44 L are just not enough.
    """
    load = "{front seats: [120 +/- 2 kg, 130.5 kg], rear seats: [0 kg, 70 kg], baggage: 12 kg}"
    trip = "[{phase: cruise, fuel: 25.5 +/- 1 L}]"
    exact = BY_MASS.replace("688.4 +/- 2 kg", "688.5 kg")
    flight = case(tmp_path, load, 62.5, trip, exact)
    found = headroom(flight)
    assert rows(found.bags)["baggage"] == pytest.approx([12, 0, 27, 0, 26.5], abs=1e-6)
    assert rows(found.people)["rear seats 2"] == pytest.approx([70, 0, 85, 0, 84], abs=1e-6)
    assert rows(found.fuel[:1], 1e3)["all tanks"] == pytest.approx(
        [62.5, 44, 62.5 + 15 / RHO, 46, 82], abs=1e-6
    )
    planned = next(row for row in found.card if row.note == "as planned")
    assert dict(planned.bags) == {"baggage": pytest.approx(14.5), "shelf": pytest.approx(10.0)}
    assert dict(planned.pairs)["rear seats"] == pytest.approx(84.0)
    # From 40 L on it is 4 L to the edge, and 6 in whole litres a tank.
    assert least_uplift(case(tmp_path, load, 40, trip, exact)) == pytest.approx(0.006)
