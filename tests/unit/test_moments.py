"""Moments: refusals, edges and rounding; published figures are in tests/reference."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

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
    moment_changed,
    moved,
    percent_mac,
    remove,
    round_down,
    round_up,
    total,
)

LOADED = Total(1000.0, 2300.0, 10.0)  # CG 2.3 m
NOTHING = Total(0.0, 0.0)


def test_total_of_two_items_by_hand() -> None:
    # 80 kg at 2.165 m, 0.28 m left, and 15 kg at 3.63 m on the centre line.
    result = total([Item("seat", 80.0, 2.165, -0.28), Item("bag", 15.0, 3.63)])
    assert result.mass == 95.0
    assert result.moment == pytest.approx(173.2 + 54.45, rel=1e-15)
    assert result.lateral_moment == pytest.approx(-22.4, rel=1e-15)
    assert result.centre_of_gravity == pytest.approx(227.65 / 95, rel=1e-15)
    assert result.lateral_centre_of_gravity == pytest.approx(-22.4 / 95, rel=1e-15)


def test_the_cg_is_not_the_mean_of_the_arms() -> None:
    # 100 kg at 1 m and 300 kg at 3 m: 1000/400 = 2.5 m, while the mean of the arms is 2.
    assert total([Item("a", 100.0, 1.0), Item("b", 300.0, 3.0)]).centre_of_gravity == 2.5


def test_no_items_is_a_total_without_a_cg() -> None:
    assert total([]) == NOTHING
    with pytest.raises(OutOfRange, match="above zero"):
        _ = total([]).centre_of_gravity
    with pytest.raises(OutOfRange, match="above zero"):
        _ = total([]).lateral_centre_of_gravity


def test_a_sum_that_plain_addition_gets_wrong() -> None:
    # 1e16 + 1 - 1e16 is 0 with plain floats.
    items = [Item("huge", 1e16, 1.0), Item("small", 1.0, 1.0), Item("huge back", -1e16, 1.0)]
    assert total(items).mass == 1.0


def test_a_mass_at_the_datum_moves_the_cg_but_adds_no_moment() -> None:
    result = add(LOADED, Item("at the datum", 150.0, 0.0))
    assert result.moment == 2300.0
    assert result.centre_of_gravity == pytest.approx(2.0, rel=1e-15)


def test_an_arm_ahead_of_the_datum_is_negative() -> None:
    assert add(LOADED, Item("nose ballast", 10.0, -1.0)).moment == 2290.0


def test_a_massless_moment_change() -> None:
    # 8.2 kg.m on 1000 kg is 8.2 mm.
    changed = moment_changed(LOADED, 8.2)
    assert changed.mass == 1000.0
    assert changed.centre_of_gravity == pytest.approx(2.3082, rel=1e-15)


def test_moving_leaves_mass_and_lateral_moment() -> None:
    # 20 kg over 1.465 m in 1000 kg is 29.3 mm forward.
    after = moved(LOADED, 20.0, 3.63, 2.165)
    assert (after.mass, after.lateral_moment) == (1000.0, 10.0)
    assert after.centre_of_gravity == pytest.approx(2.2707, rel=1e-14)
    assert cg_after_shift(LOADED, 20.0, 3.63, 2.165) == after.centre_of_gravity


def test_a_worked_example_of_a_ballast_arm() -> None:
    # Author unknown, second-hand copy (common practice, no published source): 2222 kg at 6.13 m, 136 kg of
    # ballast, CG 6.28 m -> 8.73 m. Unrounded 6.28 + 2222 x 0.15 / 136 = 8.73074; half of the last printed
    # digit is 0.005.
    arm = ballast_arm(Total(2222.0, 2222.0 * 6.13), 6.28, 136.0)
    assert arm == pytest.approx(8.73, abs=0.005)
    assert arm == pytest.approx(6.28 + 2222 * 0.15 / 136, rel=1e-12)


def test_a_worked_example_of_draining_to_the_maximum() -> None:
    # Author unknown, second-hand copy (common practice, no published source): 110 lb over at 6 lb/USgal ->
    # 18.4 USgal. Unrounded 18.333: the nearer 18.3 would leave the aircraft 0.2 lb over.
    assert round_up(110 / 6, 0.1) == 18.4
    assert 18.3 * 6 < 110 <= 18.4 * 6


def test_nothing_to_do_needs_no_mass() -> None:
    assert mass_to_shift(LOADED, 2.3, 3.0, 2.0) == pytest.approx(0.0, abs=1e-9)
    assert ballast_mass(LOADED, 2.3, 4.0) == pytest.approx(0.0, abs=1e-9)


def test_percent_mac_at_the_ends_of_the_chord() -> None:
    assert percent_mac(2.02, 2.02, 1.48) == 0.0
    assert percent_mac(2.02 + 1.48, 2.02, 1.48) == pytest.approx(100.0, rel=1e-14)
    assert percent_mac(1.872, 2.02, 1.48) == pytest.approx(-10.0, rel=1e-12)
    assert cg_from_percent_mac(25.0, 2.02, 1.48) == pytest.approx(2.39, rel=1e-15)


REFUSED: dict[str, tuple[Callable[[], object], str]] = {
    "NaN mass": (lambda: total([Item("x", math.nan, 1.0)]), "finite"),
    "infinite arm": (lambda: total([Item("x", 1.0, math.inf)]), "finite"),
    "infinities that cancel": (
        lambda: total([Item("x", math.inf, 1.0), Item("y", -math.inf, 1.0)]),
        "finite",
    ),
    "infinite lateral arm": (lambda: total([Item("x", 1.0, 1.0, math.inf)]), "finite"),
    "sum beyond any float": (lambda: add(Total(1e308, 0.0), Item("x", 1e308, 0.0)), "finite"),
    "more removed than there is": (lambda: remove(LOADED, Item("x", 1000.1, 2.0)), "removed"),
    "more moved than there is": (lambda: moved(LOADED, 1000.1, 1.0, 2.0), "moved"),
    "a negative mass moved": (lambda: moved(LOADED, -1.0, 1.0, 2.0), "moved"),
    "a NaN moved": (lambda: moved(LOADED, math.nan, 1.0, 2.0), "moved"),
    "moved to NaN": (lambda: moved(LOADED, 1.0, 1.0, math.nan), "finite"),
    "shift on the spot": (lambda: mass_to_shift(LOADED, 2.2, 3.0, 3.0), "same arm"),
    "shift the wrong way": (lambda: mass_to_shift(LOADED, 2.2, 2.0, 3.0), "away from the target"),
    "shift of more than is aboard": (lambda: mass_to_shift(LOADED, 0.3, 3.0, 2.0), "aboard"),
    "shift of nothing": (lambda: mass_to_shift(NOTHING, 2.2, 3.0, 2.0), "above zero"),
    "shift to NaN": (lambda: mass_to_shift(LOADED, math.nan, 3.0, 2.0), "finite"),
    "ballast on the target": (lambda: ballast_mass(LOADED, 2.4, 2.4), "on the target"),
    "ballast on the wrong side": (lambda: ballast_mass(LOADED, 2.4, 1.0), "away from the target"),
    "ballast for nothing": (lambda: ballast_mass(NOTHING, 2.4, 4.0), "above zero"),
    "no ballast placed": (lambda: ballast_arm(LOADED, 2.4, 0.0), "above zero"),
    "NaN ballast placed": (lambda: ballast_arm(LOADED, 2.4, math.nan), "above zero"),
    "ballast arm for nothing": (lambda: ballast_arm(NOTHING, 2.4, 10.0), "above zero"),
    "chord of zero": (lambda: percent_mac(2.3, 2.0, 0.0), "above zero"),
    "chord below zero, inverse": (lambda: cg_from_percent_mac(25.0, 2.0, -1.0), "above zero"),
    "NaN CG": (lambda: percent_mac(math.nan, 2.0, 1.0), "finite"),
    "step of zero": (lambda: round_up(1.0, 0.0), "steps of 0"),
    "step below zero": (lambda: round_down(1.0, -0.1), "steps of -0.1"),
    "NaN rounded": (lambda: round_up(math.nan, 0.1), "steps of 0.1"),
    "quotient beyond any float": (lambda: round_up(1e308, 1e-10), "finite"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str) -> None:
    attempt, reason = REFUSED[name]
    with pytest.raises(OutOfRange, match=reason):
        attempt()


@pytest.mark.parametrize(
    ("value", "step", "up", "down"),
    [
        (0.1 + 0.2, 0.1, 0.3, 0.3),  # 0.30000000000000004 is 0.3
        (0.3 - 1e-17, 0.1, 0.3, 0.3),
        (7.6964, 0.1, 7.7, 7.6),
        (18.3333, 0.1, 18.4, 18.3),
        (2.0, 0.5, 2.0, 2.0),
        (-0.05, 0.1, 0.0, -0.1),
        (0.0, 0.1, 0.0, 0.0),
        (1.0001, 0.25, 1.25, 1.0),
        (1e6 + 0.011, 0.01, 1000000.02, 1000000.01),
        (1e6 + 5e-4, 1.0, 1e6, 1e6),
        (1e6 + 2e-3, 1.0, 1e6 + 1, 1e6),
        (0.7e-9, 1.0, 0.0, 0.0),
        (1.5e-9, 1.0, 1.0, 0.0),
        (3.0000001, 1.0, 4.0, 3.0),  # one part in 10^7 is a real excess, not noise
    ],
)
def test_rounding(value: float, step: float, up: float, down: float) -> None:
    assert round_up(value, step) == up
    assert round_down(value, step) == down


def test_putting_in_and_taking_out_by_hand() -> None:
    bag = Item("bag", 20.0, 3.0, -0.5)  # 60 kg.m, and 10 kg.m to the left
    assert add(LOADED, bag) == Total(1020.0, 2360.0, 0.0)
    assert remove(LOADED, bag) == Total(980.0, 2240.0, 20.0)
    assert add(LOADED, bag, bag) == Total(1040.0, 2420.0, -10.0)
    assert remove(LOADED, Item("all of it", 1000.0, 2.3, 0.01)) == Total(0.0, 0.0, 0.0)
    assert moved(LOADED, 0.5, 1.0, 3.0) == Total(1000.0, 2301.0, 10.0)
    assert moved(LOADED, 0.0, 1.0, 3.0) == LOADED
    assert moved(LOADED, 1000.0, 1.0, 3.0) == Total(1000.0, 4300.0, 10.0)


@pytest.mark.parametrize("mass", [0.5, 1.0, 1e6])
def test_what_rounding_leaves_over_is_not_more_than_there_is(mass: float) -> None:
    """A part in 10^9, of a kilogram at least, is noise of the sum; more is mass that is not there."""
    noise = 1e-9 * max(1.0, mass)
    held = Total(mass, 2.0 * mass)
    assert remove(held, Item("x", mass + 0.7 * noise, 2.0)).mass == pytest.approx(0.0, abs=noise)
    with pytest.raises(OutOfRange):
        remove(held, Item("x", mass + 1.5 * noise, 2.0))
    assert moved(held, mass * (1 + 0.7e-9), 1.0, 2.0).mass == mass
    with pytest.raises(OutOfRange):
        moved(held, mass * (1 + 1.5e-9), 1.0, 2.0)
    with pytest.raises(OutOfRange):
        moved(held, -1e-12, 1.0, 2.0)


def test_the_whole_mass_may_have_to_move_and_no_more() -> None:
    """1000 kg from 2.3 m to 1.3 m over a lever of 1 m is all of it; a part in 10^9 is noise."""
    for target in (1.3, 1.3 - 0.7e-9):
        assert mass_to_shift(LOADED, target, 3.0, 2.0) == pytest.approx(1000.0)
    with pytest.raises(OutOfRange, match="aboard"):
        mass_to_shift(LOADED, 1.3 - 1.5e-9, 3.0, 2.0)
    assert mass_to_shift(LOADED, 2.2, 4.0, 2.0) == pytest.approx(50.0)  # 100 kg.m over 2 m


def test_a_mass_is_never_less_than_nothing() -> None:
    assert mass_to_shift(LOADED, 2.3 - 1e-13, 2.0, 3.0) == 0.0
    assert ballast_mass(LOADED, 2.3 - 1e-13, 3.3) == 0.0
    with pytest.raises(OutOfRange, match="away from the target"):
        mass_to_shift(LOADED, 2.3 - 1e-11, 2.0, 3.0)


def test_a_little_ballast_and_a_short_chord_are_enough() -> None:
    assert ballast_arm(LOADED, 2.31, 0.5) == pytest.approx(2.31 + 1000 * 0.01 / 0.5)
    assert percent_mac(2.3, 2.0, 0.9) == pytest.approx(100 / 3)
    assert cg_from_percent_mac(100 / 3, 2.0, 0.9) == pytest.approx(2.3)
