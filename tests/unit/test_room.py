"""Where there is room aboard, by hand: baggage takes 40 kg, the shelf 10 kg, both together 45 kg."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from planner.search.remedies.room import open_places, room_on, tank_groups
from tests.unit.test_remedies_kept import PROFILE, case


def test_a_station_takes_what_the_least_of_its_limits_leaves(tmp_path: Path) -> None:
    plan = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: [4 kg, 34 kg], shelf: 2 kg}", 60).plan
    assert (room_on(plan, "baggage"), room_on(plan, "shelf")) == (2.0, 5.0)
    assert room_on(plan, "shelf", "baggage") == 8.0, "a limit on both is not touched by what stays in both"
    assert room_on(plan, "shelf", "front seats") == 5.0
    assert room_on(plan, "baggage", "shelf") == 2.0
    assert room_on(plan, "rear seats") == 120.0, "what is handled by hand"
    over = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: 42 kg}", 60).plan
    assert (room_on(over, "baggage"), room_on(over, "baggage", "shelf")) == (0.0, 0.0)
    without = replace(plan, model=replace(plan.model, limits=()))
    assert room_on(without, "shelf") == pytest.approx(1085 - plan.state("zero fuel").total.mass)
    assert room_on(without, "shelf", "baggage") == math.inf, "what is aboard already weighs no more elsewhere"


@pytest.mark.parametrize(
    ("old", "new", "aboard", "moved"),
    [
        (
            "baggage, arm: 3.630 m, max",
            "baggage, arm: 3.630 m, area: 0.5 m2, max_per_area: 60 kg/m2, max",
            26,
            26,
        ),
        ("  normal:\n", "  normal:\n    max_payload: 170 kg\n", 11, 36),
    ],
)
def test_a_floor_load_and_a_payload_leave_room_as_any_limit_does(
    tmp_path: Path, old: str, new: str, aboard: float, moved: float
) -> None:
    """0.5 m2 at 60 kg/m2 hold 30 kg, 4 are there; of a payload of 170 kg, 159 are aboard wherever they lie."""
    load = "{front seats: [80 kg, 75 kg], baggage: 4 kg}"
    plan = case(tmp_path, load, 60, profile=PROFILE.replace(old, new)).plan
    assert room_on(plan, "baggage") == pytest.approx(aboard)
    assert room_on(plan, "baggage", "front seats") == pytest.approx(moved)


def test_ballast_goes_where_a_seat_is_free(tmp_path: Path) -> None:
    for load, expected in (
        ("{front seats: [80 kg, 75 kg]}", ("rear seats", "baggage", "shelf")),
        ("{front seats: [80 kg, 0 kg]}", ("front seats", "rear seats", "baggage", "shelf")),
        ("{front seats: [80 kg, 75 kg], rear seats: 60 kg}", ("baggage", "shelf")),
        ("{front seats: [80 kg, 75 kg], rear seats: 0 kg}", ("rear seats", "baggage", "shelf")),
        ("{front seats: [80 kg, 75 kg], rear seats: [60 kg, 0 kg]}", ("rear seats", "baggage", "shelf")),
    ):
        assert open_places(case(tmp_path, load, 60).plan) == expected


def test_tanks_are_filled_together_or_alone(tmp_path: Path) -> None:
    plan = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 60).plan
    assert tank_groups(plan) == (("left", "right"), ("left",), ("right",))
