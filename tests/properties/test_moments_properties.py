"""Laws that hold for any loading, checked with generated ones."""

from __future__ import annotations

import random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from planner.logbook.mass.hung import ScalePoint, weigh
from planner.quantities.errors import OutOfRange
from planner.quantities.moments import (
    Item,
    Total,
    add,
    ballast_arm,
    ballast_mass,
    cg_after_shift,
    cg_from_percent_mac,
    mass_to_shift,
    moved,
    percent_mac,
    remove,
    round_down,
    round_up,
    total,
)
from planner.quantities.units import UNITS, in_unit

# Any light aircraft, any datum: masses to 3 t, arms within 10 m of the datum.
masses = st.floats(0.01, 3000.0)
arms = st.floats(-10.0, 10.0)
items = st.lists(st.builds(Item, st.just("x"), masses, arms, arms), min_size=1, max_size=12)
cgs = st.floats(-5.0, 5.0)


def _of(mass: float, cg: float) -> Total:
    return Total(mass, mass * cg)


@given(items, st.integers(0, 2**32))
def test_order_changes_no_digit(rows: list[Item], seed: int) -> None:
    shuffled = rows[:]
    random.Random(seed).shuffle(shuffled)
    assert total(shuffled) == total(rows)


@given(items)
def test_the_cg_lies_between_the_arms(rows: list[Item]) -> None:
    cg = total(rows).centre_of_gravity
    assert min(row.arm for row in rows) - 1e-12 <= cg <= max(row.arm for row in rows) + 1e-12


@given(items, st.sampled_from(["lb", "g"]), st.sampled_from(["in", "ft", "mm"]))
def test_the_unit_system_changes_nothing(rows: list[Item], mass_unit: str, length_unit: str) -> None:
    # The loading written on paper in other units, summed on that paper, then converted.
    paper = [(in_unit(row.mass, mass_unit), in_unit(row.arm, length_unit)) for row in rows]
    there = total([Item("x", mass, arm) for mass, arm in paper])
    here = total(rows)
    assert there.mass * UNITS[mass_unit].factor == pytest.approx(here.mass, rel=1e-12)
    assert there.centre_of_gravity * UNITS[length_unit].factor == pytest.approx(
        here.centre_of_gravity, rel=1e-12, abs=1e-12
    )


@given(items, items)
def test_what_is_added_and_removed_leaves_nothing(rows: list[Item], others: list[Item]) -> None:
    before = total(rows)
    after = remove(add(before, *others), *others)
    assert after.mass == pytest.approx(before.mass, abs=1e-10)
    assert after.moment == pytest.approx(before.moment, abs=1e-9)
    assert after.lateral_moment == pytest.approx(before.lateral_moment, abs=1e-9)


@given(items, items)
def test_adding_is_summing(rows: list[Item], others: list[Item]) -> None:
    stepwise, at_once = add(total(rows), *others), total([*rows, *others])
    assert stepwise.mass == pytest.approx(at_once.mass, rel=1e-14)
    assert stepwise.moment == pytest.approx(at_once.moment, rel=1e-12, abs=1e-10)


@given(masses, cgs, arms, arms, st.floats(0.0, 1.0))
def test_a_solved_shift_sits_on_the_target(
    mass: float, cg: float, from_arm: float, to_arm: float, share: float
) -> None:
    assume(abs(to_arm - from_arm) > 0.01)
    before = _of(mass, cg)
    target = cg_after_shift(before, share * mass, from_arm, to_arm)  # so the target can be reached
    solved = mass_to_shift(before, target, from_arm, to_arm)
    assert solved == pytest.approx(share * mass, abs=1e-9 * mass)
    assert moved(before, min(solved, mass), from_arm, to_arm).centre_of_gravity == pytest.approx(
        target, abs=1e-11
    )


@given(masses, cgs, cgs, arms, arms)
def test_a_shift_is_solved_or_refused(
    mass: float, cg: float, target: float, from_arm: float, to_arm: float
) -> None:
    before = _of(mass, cg)
    reachable = (target - cg) * (to_arm - from_arm) >= 0 and abs(target - cg) <= abs(to_arm - from_arm)
    try:
        solved = mass_to_shift(before, target, from_arm, to_arm)
    except OutOfRange:
        assert (
            not reachable
            or abs(to_arm - from_arm) < 1e-6
            or abs(abs(target - cg) - abs(to_arm - from_arm)) < 1e-6
        )
    else:
        assert cg_after_shift(before, min(solved, mass), from_arm, to_arm) == pytest.approx(target, abs=1e-6)


@given(masses, cgs, cgs, arms)
def test_solved_ballast_sits_on_the_target(mass: float, cg: float, target: float, arm: float) -> None:
    assume(abs(arm - target) > 0.01)
    before = _of(mass, cg)
    wanted = mass * (target - cg) / (arm - target)
    assume(
        wanted >= 0 or wanted < -1e-6
    )  # below a milligram the wrong side is float noise, and either answer is right
    if wanted < 0:
        with pytest.raises(OutOfRange):
            ballast_mass(before, target, arm)
        return
    ballast = ballast_mass(before, target, arm)
    assert ballast >= 0
    assert add(before, Item("ballast", ballast, arm)).centre_of_gravity == pytest.approx(target, abs=1e-6)
    assume(ballast > 0.01)
    assert ballast_arm(before, target, ballast) == pytest.approx(arm, abs=1e-6)


@given(cgs, cgs, st.floats(0.2, 5.0))
def test_percent_mac_and_back(cg: float, leading_edge: float, length: float) -> None:
    assert cg_from_percent_mac(percent_mac(cg, leading_edge, length), leading_edge, length) == pytest.approx(
        cg, abs=1e-12
    )


@given(st.floats(-1e6, 1e6), st.sampled_from([0.01, 0.05, 0.1, 0.25, 0.5, 1.0, 5.0]))
def test_rounding_keeps_to_its_side(value: float, step: float) -> None:
    up, down = round_up(value, step), round_down(value, step)
    noise = 2e-9 * max(step, abs(value))
    assert value - noise <= up < value + step + noise
    assert value - step - noise < down <= value + noise
    assert round_up(up, step) == up
    assert round_down(down, step) == down
    assert round_up(-value, step) == -down


@given(st.integers(-10_000, 10_000), st.sampled_from([0.01, 0.05, 0.1, 0.25, 0.5]))
def test_a_multiple_is_kept_whatever_sum_it_came_from(count: int, step: float) -> None:
    summed = sum([step] * abs(count % 500)) * (1 if count >= 0 else -1)
    assert round_up(summed, step) == round_down(summed, step) == pytest.approx(summed, rel=1e-9)


@given(st.lists(st.tuples(st.floats(0.0, 50.0), masses, arms), min_size=1, max_size=6), items)
def test_a_weighing_is_the_total_of_what_is_left(
    scales: list[tuple[float, float, float]], loose: list[Item]
) -> None:
    # The empty aircraft on the scales, plus loose things aboard it, weighed and corrected, gives the empty
    # aircraft back.
    points = [
        ScalePoint(str(number), tare + mass, tare, arm) for number, (tare, mass, arm) in enumerate(scales)
    ]
    empty = total([Item("reaction", point.reaction, point.arm) for point in points])
    aboard = weigh(
        [
            *points,
            *(
                ScalePoint(
                    name=f"loose {number}",
                    reading=row.mass,
                    tare=0.0,
                    arm=row.arm,
                    lateral_arm=row.lateral_arm,
                )
                for number, row in enumerate(loose)
            ),
        ],
        removed=loose,
    )
    assert aboard.basic_empty.mass == pytest.approx(empty.mass, rel=1e-12)
    assert aboard.basic_empty.moment == pytest.approx(empty.moment, rel=1e-12, abs=1e-10)
    assert aboard.basic_empty.lateral_moment == pytest.approx(0.0, abs=1e-9)
    assert aboard.steps[-1].running.mass == pytest.approx(empty.mass, abs=1e-9)
