"""What stands in the aircraft besides its empty mass."""

from __future__ import annotations

import pytest

from planner.flight.loading import empty_aircraft
from planner.quantities.effects import unusable_in
from planner.quantities.units import Quantity
from planner.records.store import load_aircraft


def test_what_is_unusable_and_no_part_of_the_empty_mass_is_weighed_with_its_doubt() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    unusable = Quantity(value=0.004, u=0.0005, dimension="volume", text="4 +/- 0.5 L")
    left = aircraft.tanks["left"].model_copy(update={"unusable": unusable})
    empty = aircraft.basic_empty.model_copy(update={"includes": ("full oil",)})
    tanks = {**aircraft.tanks, "left": left}
    made = empty_aircraft(aircraft.model_copy(update={"basic_empty": empty, "tanks": tanks}), 720.0)
    (doubt,) = (each for each in made.effects if each.cause == unusable_in("left"))
    # 0.5 L x 0.72 kg/L = 0.36 kg at 2.410 m and 1.10 m to the left.
    assert (doubt.mass, doubt.moment, doubt.lateral_moment) == pytest.approx(
        (0.36, 0.36 * 2.41, -0.36 * 1.10)
    )
