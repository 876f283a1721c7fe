"""The moment along a stretch: the polynomial against mass x arm, for one flight and for a block of them."""

from __future__ import annotations

import numpy as np
import pytest

from planner.flight.curve import across, at_mass, lengthwise
from planner.flight.fuel import FuelTank

DENSITY, BURNT = 700.0, 0.030  # kg/m3; m3
TANKS = (
    FuelTank("main", 0.2, 0.004, ((0.0, 2.0), (0.2, 2.4)), -0.5),
    FuelTank("wing", 0.1, 0.0, ((0.0, 2.8),), 1.5),
    FuelTank("tail", 0.1, 0.0, ((0.0, 4.0), (0.1, 3.9)), 0.0),
)
VOLUMES, SHARES = (0.100, 0.060, 0.050), (0.25, 0.75, 0.0)
WITHOUT = (800.0, 1700.0, 12.0)  # kg, kg.m, kg.m without usable fuel
SIDES = tuple(tank.lateral_arm for tank in TANKS)


def by_hand(burnt: float) -> tuple[float, float, float]:
    """Mass, moment and lateral moment with the arm of each tank's whole contents, less that of its unusable
    fuel.
    """
    mass, moment, side = WITHOUT
    for tank, volume, share in zip(TANKS, VOLUMES, SHARES, strict=True):
        left = volume - share * burnt
        (v0, a0), (v1, a1) = tank.arm_points[0], tank.arm_points[-1]
        slope = (a1 - a0) / (v1 - v0) if v1 > v0 else 0.0
        whole, rest = left + tank.unusable, tank.unusable
        mass += DENSITY * left
        moment += DENSITY * (whole * (a0 + slope * whole) - rest * (a0 + slope * rest))
        side += DENSITY * left * tank.lateral_arm
    return mass, moment, side


@pytest.mark.parametrize("part", [0.0, 0.4, 1.0])
def test_one_flight(part: float) -> None:
    start = by_hand(0.0)[0]
    mass, moment, side = by_hand(part * BURNT)
    along = lengthwise(WITHOUT[1], start, TANKS, DENSITY, VOLUMES, SHARES, BURNT)
    assert at_mass(along, mass) == pytest.approx(moment, rel=1e-12)
    sideways = across(WITHOUT[2], start, DENSITY, VOLUMES, SHARES, SIDES)
    assert at_mass(sideways, mass) == pytest.approx(side, rel=1e-12)
    assert sideways[2] == 0.0


def test_a_block_says_the_same_row_by_row() -> None:
    rows = np.ones(3)
    start = by_hand(0.0)[0] * rows
    volumes, shares = [volume * rows for volume in VOLUMES], [share * rows for share in SHARES]
    along = lengthwise(WITHOUT[1] * rows, start, TANKS, DENSITY, volumes, shares, BURNT * rows)
    expected = lengthwise(WITHOUT[1], start[0], TANKS, DENSITY, VOLUMES, SHARES, BURNT)
    for ours, one in zip(along, expected, strict=True):
        assert ours == pytest.approx(one * rows, rel=1e-12)


def test_an_arm_that_is_off_counts_with_what_lies_there() -> None:
    """The wing tank's arm 0.02 m further aft: 0.02 m x density x what is in it, all along the stretch."""
    start = by_hand(0.0)[0]
    offs = [(), [(TANKS[1].only(0), 0.02)], ()]
    plain = lengthwise(WITHOUT[1], start, TANKS, DENSITY, VOLUMES, SHARES, BURNT)
    off = lengthwise(WITHOUT[1], start, TANKS, DENSITY, VOLUMES, SHARES, BURNT, offs)
    for burnt in (0.0, BURNT):
        mass, left = by_hand(burnt)[0], VOLUMES[1] - SHARES[1] * burnt
        assert at_mass(off, mass) - at_mass(plain, mass) == pytest.approx(0.02 * DENSITY * left, rel=1e-9)
