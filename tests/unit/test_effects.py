"""What one standard uncertainty of an input does: names, one cause counted once, and sides that differ."""

from __future__ import annotations

import math

import pytest

from planner.quantities.effects import (
    FAR,
    Effect,
    Gradient,
    contributions,
    expanded,
    fuel_in,
    merged,
    seat_label,
    seat_labels,
    steps,
    stick_row,
    tank_arm,
    tank_lateral_arm,
    unusable_in,
)


def test_an_input_is_named_once_and_counted_from_one_by_people() -> None:
    assert seat_label("rear seats", 0, 1) == "rear seats"
    assert seat_labels("rear seats", 1) == ["rear seats"]
    assert seat_labels("rear seats", 2) == ["rear seats 1", "rear seats 2"]
    assert tank_arm("left") == "left tank arm"
    assert [tank_arm("left", point) for point in (0, 1)] == [
        "left tank arm, point 1",
        "left tank arm, point 2",
    ]
    assert [stick_row("left", row) for row in (0, 1)] == ["left dipstick, row 1", "left dipstick, row 2"]
    assert fuel_in("left") == "fuel in left tank"
    assert unusable_in("left") == "unusable fuel in left tank"
    assert tank_lateral_arm("left") == "left tank lateral arm"


def test_a_cause_is_followed_a_little_beyond_the_k_of_u() -> None:
    """k = 2 (JCGM 100 6.2.1); to three standard uncertainties, as tails count too."""
    assert FAR == 3.0


def test_what_one_cause_does_adds_and_each_side_stays_by_itself() -> None:
    """By hand: 1 + 20 kg, 2 + 30 kg.m, 3 + 40 kg.m of cause a; its side 'less' and cause b are others."""
    a, more_of_a = Effect("a", 1.0, 2.0, 3.0), Effect("a", 20.0, 30.0, 40.0)
    side, b = Effect("a", 0.5, 0.6, 0.7, "less"), Effect("b", 7.0, 8.0, 9.0)
    assert set(merged([a, side, b, more_of_a])) == {Effect("a", 21.0, 32.0, 43.0), side, b}
    assert merged([]) == ()
    assert steps([a, side, b, more_of_a]) == {"a": (21.0, 32.0, 43.0), "b": (7.0, 8.0, 9.0)}
    assert steps([a, side, b], "less") == {"a": (1.5, 2.6, 3.7), "b": (7.0, 8.0, 9.0)}
    assert steps([side], "at") == {}


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("greatest", ["at", "less", "more"])
def test_of_a_cause_with_sides_the_greatest_change_counts(greatest: str, sign: float) -> None:
    """2 kg whatever happens; 1 kg more at the state and on either side, but 3 kg on one of them."""
    effects = [Effect("a", sign * 2.0, 0.0)]
    for side in ("at", "less", "more"):
        effects.append(Effect("a", sign * (3.0 if side == greatest else 1.0), 0.0, 0.0, side))  # type: ignore[arg-type]
    assert contributions(effects, Gradient(mass=1.0)) == {"a": sign * 5.0}
    # two parts of one side add before the sides are compared, and another cause has no say
    effects += [Effect("a", sign * 9.0, 0.0, 0.0, "more"), Effect("b", 4.0, 0.0)]
    found = contributions(effects, Gradient(mass=1.0))
    assert found == {"a": sign * (14.0 if greatest == "more" else 12.0), "b": 4.0}


def test_a_figure_feels_only_what_it_depends_on() -> None:
    effect = Effect("a", 2.0, 3.0, 5.0)
    assert Gradient().along(effect) == 0.0
    assert Gradient(mass=7.0).along(effect) == 14.0
    assert Gradient(moment=7.0).along(effect) == 21.0
    assert Gradient(lateral_moment=7.0).along(effect) == 35.0
    assert Gradient(mass=1.0).along(Effect("a", 2.0, 3.0)) == 2.0
    assert Gradient(lateral_moment=7.0).along(Effect("a", 2.0, 3.0)) == 0.0, "no lateral moment unless said"


def test_u_is_twice_the_root_of_the_squares() -> None:
    """JCGM 100 5.1.2 and 6.2.1, by hand: 2 sqrt(9 + 16 + 144) = 26."""
    assert expanded([("a", 3.0), ("b", -4.0), ("c", 12.0)]) == pytest.approx(26.0)
    assert expanded([]) == 0.0
    assert math.isclose(expanded([("a", -1.0)]), 2.0)
