"""Weighing: working, refusals and the revision rule; the published weighing is in tests/reference."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from planner.logbook.mass.hung import (
    MassLine,
    ScalePoint,
    line_effects,
    record_change,
    scale_effects,
    total_uncertainty,
    weigh,
)
from planner.quantities.effects import Effect
from planner.quantities.errors import OutOfRange
from planner.quantities.moments import Item, Total

# Invented: 3 points, 250 + 255 kg at 2.5 m, 200 kg at 1.0 m.
LEFT = ScalePoint(name="left", reading=252.0, tare=2.0, arm=2.5, lateral_arm=-1.2)
RIGHT = ScalePoint(name="right", reading=257.0, tare=2.0, arm=2.5, lateral_arm=1.2)
NOSE = ScalePoint("nose", 201.0, 1.0, 1.0)
POINTS = (LEFT, RIGHT, NOSE)
FUEL = Item("usable fuel", 45.0, 2.41)
SEAT = Item("missing seat", 9.0, 3.0)


def test_reactions_without_corrections() -> None:
    result = weigh(POINTS)
    assert result.scale_total == result.basic_empty
    assert result.scale_total.mass == 705.0
    assert result.scale_total.moment == 505 * 2.5 + 200
    assert result.scale_total.lateral_moment == pytest.approx(
        1.2 * 5, rel=1e-14
    )  # the right side is 5 kg heavier


def test_corrections_and_every_step_of_the_working() -> None:
    result = weigh(POINTS, removed=[FUEL], added=[SEAT])
    assert result.basic_empty.mass == 705 - 45 + 9
    assert result.basic_empty.moment == pytest.approx(1462.5 - 45 * 2.41 + 27, rel=1e-15)
    assert [step.item.name for step in result.steps] == [
        "left",
        "right",
        "nose",
        "usable fuel",
        "missing seat",
    ]
    assert [step.item.mass for step in result.steps] == [250, 255, 200, -45, 9]
    assert [step.running.mass for step in result.steps] == [250, 505, 705, 660, 669]
    assert sum(step.item.moment for step in result.steps) == pytest.approx(
        result.basic_empty.moment, rel=1e-14
    )
    assert result.steps[2].running == result.scale_total
    assert result.steps[-1].running.moment == pytest.approx(result.basic_empty.moment, rel=1e-14)


def test_the_order_of_scales_and_corrections_leaves_no_trace() -> None:
    tools = Item("tools", 3.3, 3.63)
    forwards = weigh(POINTS, [FUEL, tools], [SEAT]).basic_empty
    assert weigh(POINTS[::-1], [tools, FUEL], [SEAT]).basic_empty == forwards


@pytest.mark.parametrize("count", [1, 2, 4, 7])
def test_any_number_of_points(count: int) -> None:
    points = [ScalePoint(f"jack {number}", 100.0, 0.0, float(number)) for number in range(count)]
    result = weigh(points).scale_total
    assert result.mass == 100.0 * count
    assert result.centre_of_gravity == pytest.approx((count - 1) / 2)


def test_a_tare_left_in_shows() -> None:
    # What forgetting 5 kg of chocks costs: 5 kg, and the CG pulled towards them; not silently equal.
    with_tare = weigh([LEFT, RIGHT, ScalePoint("nose", 201.0, 0.0, 1.0)]).basic_empty
    assert with_tare.mass - weigh(POINTS).basic_empty.mass == 1.0
    assert with_tare.centre_of_gravity < weigh(POINTS).basic_empty.centre_of_gravity


REFUSED: dict[str, tuple[Callable[[], object], str]] = {
    "no scale": (lambda: weigh([]), "no scale point"),
    "one name twice": (lambda: weigh([LEFT, LEFT]), "named twice: left"),
    "reading below the tare": (
        lambda: weigh([ScalePoint("nose", 1.0, 2.0, 0.0)]),
        "nose: the reading of 1 kg is below its tare",
    ),
    "tare below zero": (lambda: weigh([ScalePoint("nose", 1.0, -2.0, 0.0)]), "nose: .*tare"),
    "NaN reading": (lambda: weigh([ScalePoint("nose", math.nan, 0.0, 0.0)]), "nose: .*finite"),
    "infinite arm": (lambda: weigh([ScalePoint("nose", 1.0, 0.0, math.inf)]), "finite"),
    "removed below zero": (lambda: weigh(POINTS, removed=[Item("fuel", -1.0, 2.0)]), "fuel: -1 kg"),
    "added NaN": (lambda: weigh(POINTS, added=[Item("oil", math.nan, 2.0)]), "oil: nan kg"),
    "more removed than weighed": (
        lambda: weigh(POINTS, removed=[Item("fuel", 706.0, 2.0)]),
        "cannot be removed",
    ),
    "nothing left": (
        lambda: weigh([ScalePoint("jack", 5.0, 0.0, 1.0)], removed=[Item("jack", 5.0, 1.0)]),
        "leave 0 kg",
    ),
    "landing mass of zero": (
        lambda: record_change(Total(700.0, 1600.0), Total(700.0, 1600.0), 0.0),
        "above zero",
    ),
    "chord of zero": (
        lambda: record_change(Total(700.0, 1600.0), Total(700.0, 1600.0), 1040.0, 0.0),
        "above zero",
    ),
    "NaN landing mass": (
        lambda: record_change(Total(700.0, 1600.0), Total(700.0, 1600.0), math.nan),
        "above zero",
    ),
    "record without mass": (
        lambda: record_change(Total(0.0, 0.0), Total(700.0, 1600.0), 1040.0),
        "above zero",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str) -> None:
    attempt, reason = REFUSED[name]
    with pytest.raises(OutOfRange, match=reason):
        attempt()


# AMC1 CAT.POL.MAB.100(b), read: revise beyond 0.5 % of the maximum landing mass or 0.5 % of the MAC. With
# 1040 kg that is 5.2 kg, with a chord of 1.48 m 7.4 mm.
RECORDED = Total(700.0, 700.0 * 2.2)


@pytest.mark.parametrize(
    ("mass", "cg", "revise"),
    [
        (0.0, 0.0, False),
        (5.19, 0.0, False),
        (5.21, 0.0, True),
        (-5.21, 0.0, True),
        (0.0, 0.00739, False),
        (0.0, 0.00741, True),
        (0.0, -0.00741, True),
        (5.21, 0.00741, True),
    ],
)
def test_when_the_record_is_to_be_revised(mass: float, cg: float, revise: bool) -> None:
    now = Total(700.0 + mass, (700.0 + mass) * (2.2 + cg))
    change = record_change(RECORDED, now, 1040.0, 1.48)
    assert change.revise is revise
    assert change.mass == pytest.approx(mass, abs=1e-9)
    assert change.cg == pytest.approx(cg, abs=1e-12)
    assert change.mass_share == pytest.approx(abs(mass) / 1040, abs=1e-12)
    assert change.chord_share == pytest.approx(abs(cg) / 1.48, abs=1e-12)
    assert ("landing mass" in change.reason) is (abs(mass) > 5.2)
    assert ("CG moved" in change.reason) is (abs(cg) > 0.0074)


def test_without_a_chord_the_gap_is_said() -> None:
    change = record_change(RECORDED, Total(700.0, 700.0 * 2.3), 1040.0)
    assert change.chord_share is None
    assert not change.revise
    assert "not tested" in change.reason


@pytest.mark.parametrize(
    ("mass", "moment", "revise"), [(5.0, 0.0, False), (0.0, 5.0, False), (5.01, 0.0, True), (0.0, 5.01, True)]
)
def test_a_change_of_exactly_half_a_per_cent_does_not_exceed_it(
    mass: float, moment: float, revise: bool
) -> None:
    """AMC1 CAT.POL.MAB.100(b): 5 kg of 1000 kg, and 5 mm of a chord of 1 m about the datum."""
    change = record_change(Total(1000.0, 0.0), Total(1000.0 + mass, moment), 1000.0, 1.0)
    assert change.revise is revise
    assert change.reason.startswith("within 0.5%") is not revise


def test_a_scale_may_stand_empty_and_a_correction_be_nothing() -> None:
    empty = ScalePoint("tail", 2.0, 2.0, 6.0)
    assert weigh([*POINTS, empty], [Item("no fuel", 0.0, 2.0)]).basic_empty == weigh(POINTS).basic_empty
    with pytest.raises(OutOfRange, match="above zero"):
        weigh([empty])
    (share,) = scale_effects([*POINTS, empty], share=0.001)
    assert share.mass == pytest.approx(0.705), "what shows nothing is off by nothing, the others still are"


def test_what_a_line_of_the_working_is_unsure_by() -> None:
    """By hand: 45 kg taken away at 2.41 m and 0.1 m to the right; what shares a cause goes by its name."""
    line = MassLine("fuel", -45.0, 2.41, 0.1, u_mass=0.7, u_arm=0.005, u_lateral_arm=0.01)
    assert line_effects([line, MassLine("sure", 9.0, 3.0)]) == (
        Effect("fuel", 0.7, 0.7 * 2.41, 0.7 * 0.1),
        Effect("fuel arm", 0.0, -45.0 * 0.005),
        Effect("fuel lateral arm", 0.0, 0.0, -45.0 * 0.01),
    )
    shared = MassLine("left", 250.0, 2.5, u_mass=0.3, u_arm=0.002, mass_cause="scale", arm_cause="axle")
    assert line_effects([shared]) == (Effect("scale", 0.3, 0.75), Effect("axle", 0.0, 0.5))


def test_one_scale_under_both_sides_pulls_to_the_heavier() -> None:
    """250 kg at 1.2 m to the left and 255 kg as far to the right: 0.1 % of it is 0.006 kg.m to the right."""
    share, offset = scale_effects(POINTS, share=0.001, offset=0.5)
    assert (share.cause, offset.cause) == ("scale, share of the reading", "scale, offset")
    assert (share.mass, share.moment, share.lateral_moment) == pytest.approx((0.705, 1.4625, 0.006))
    assert (offset.mass, offset.moment, offset.lateral_moment) == pytest.approx((1.5, 3.0, 0.0))
    alone = scale_effects([LEFT], offset=0.5)[0]
    assert alone.lateral_moment == pytest.approx(-0.6)


def test_how_sure_mass_and_centre_are_by_hand() -> None:
    """1000 kg at 2.3 m and 10 mm right. Cause a: 2 kg, 5 and 1 kg.m; cause b: 3 and 4 kg.m."""
    effects = [Effect("a", 2.0, 5.0, 1.0), Effect("b", 0.0, 3.0, 4.0)]
    found = total_uncertainty(Total(1000.0, 2300.0, 10.0), effects)
    assert (found.mass, found.moment) == pytest.approx((4.0, 2 * math.hypot(5, 3)))
    assert found.cg == pytest.approx(2 * math.hypot(5 - 2.3 * 2, 3) / 1000)
    assert found.lateral_cg == pytest.approx(2 * math.hypot(1 - 0.01 * 2, 4) / 1000)
    assert found.causes == (("b", 0.0, pytest.approx(0.003)), ("a", 2.0, pytest.approx(0.0004)))


def test_what_is_taken_out_or_put_in_beside_the_centre_line_moves_it_there() -> None:
    """The right side is 5 kg heavier at 1.2 m: 6 kg.m; 10 kg at 0.5 m left out of it, 4 kg at 0.25 m right in."""
    result = weigh(POINTS, [Item("bag", 10.0, 3.0, -0.5)], [Item("lamp", 4.0, 1.0, 0.25)])
    assert result.basic_empty.lateral_moment == pytest.approx(6.0 + 5.0 + 1.0)
    assert [step.running.lateral_moment for step in result.steps] == pytest.approx(
        [-300.0, 6.0, 6.0, 11.0, 12.0]
    )
    assert weigh([ScalePoint("model", 0.5, 0.0, 1.0)]).basic_empty == Total(0.5, 0.5)


def test_a_tare_is_never_below_zero() -> None:
    with pytest.raises(OutOfRange, match="tare not below zero"):
        weigh([ScalePoint("nose", 201.0, -0.5, 1.0)])


def test_a_chord_may_be_shorter_than_a_metre() -> None:
    """5 mm of 0.9 m is 0.56 %: more than the half per cent."""
    change = record_change(Total(1000.0, 0.0), Total(1000.0, 5.0), 1000.0, 0.9)
    assert (change.chord_share, change.revise) == (pytest.approx(0.005 / 0.9), True)
