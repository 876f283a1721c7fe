"""The whole burn: two good ends do not prove the middle."""

from __future__ import annotations

import itertools

import pytest

from planner.flight.burn import bounds, crossings, least_margin, mass_crossing, shifted, stretches
from planner.flight.fuel import FuelTank, Leg, burn_down
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, Envelope

DENSITY = 720.0
WIDE = Edge(((500.0, 1.0), (2000.0, 1.0)), "linear in cg")


def _counter_example() -> tuple[Total, FuelTank, Envelope]:
    """185 kg of fuel burnt from 1085 kg to 900 kg, both ends 0.1 mm ahead of an aft limit that is straight in
    CG.

    The aft limit runs from 2.34 m at 900 kg to 2.40 m at 1085 kg. CG 2.3399 m at 900 kg and 2.3999 m at 1085
    kg put the fuel at (1085 x 2.3999 - 900 x 2.3399) / 185 = 2.69179 m.
    """
    arm = (1085 * 2.3999 - 900 * 2.3399) / 185
    tank = FuelTank(
        name="main", capacity=185 / DENSITY, unusable=0.0, arm_points=((0.0, arm),), lateral_arm=0.0
    )
    return (
        Total(900.0, 900.0 * 2.3399),
        tank,
        Envelope(WIDE, Edge(((900.0, 2.34), (1085.0, 2.40)), "linear in cg")),
    )


def test_ends_inside_middle_outside() -> None:
    zero_fuel, tank, envelope = _counter_example()
    draws, _ = burn_down(["main"], [tank.capacity], [("main",)], [Leg("cruise", "trip", tank.capacity, 1e-5)])
    path = stretches(zero_fuel, [tank], DENSITY, draws)
    aft = bounds(envelope, None)[1]
    for mass in (1085.0, 900.0):
        assert envelope.aft.arm(mass) - path[0].total_at(mass).centre_of_gravity == pytest.approx(
            1e-4, abs=1e-12
        )
    # By hand at the middle: M = (1085 x 2.3999 + 900 x 2.3399) / 2 = 2354.90075 kg.m at 992.5 kg -> 2.372696
    # m against 2.37 m.
    middle = envelope.aft.arm(992.5) - path[0].total_at(992.5).centre_of_gravity
    assert middle == pytest.approx(2.37 - 2354.90075 / 992.5, abs=1e-12)
    assert round(middle * 1000, 1) == -2.7
    least = least_margin(path, aft)
    assert least is not None
    # Nowhere in 20 001 sampled masses is the margin less, and the least of them is the engine's to the
    # sampling step.
    sampled = min(
        envelope.aft.arm(m) - path[0].total_at(m).centre_of_gravity
        for m in (900 + 185 * i / 20_000 for i in range(20_001))
    )
    assert least.margin <= sampled + 1e-15
    assert least.margin == pytest.approx(sampled, abs=1e-10)
    assert -0.0028 < least.margin < -0.0026
    # h(m) = A/m + B + C m is symmetric in ratio: least where m = sqrt(A/C), just below the arithmetic middle.
    assert 980 < least.point.total.mass < 992.5
    assert [each.direction for each in crossings(path, aft)] == ["out", "in"]


def test_the_same_ends_on_a_chart_of_moment_stay_inside() -> None:
    zero_fuel, tank, envelope = _counter_example()
    draws, _ = burn_down(["main"], [tank.capacity], [("main",)], [Leg("cruise", "trip", tank.capacity, 1e-5)])
    path = stretches(zero_fuel, [tank], DENSITY, draws)
    by_moment = Envelope(WIDE, Edge(envelope.aft.points, "linear in moment"))
    aft = bounds(by_moment, None)[1]
    least = least_margin(path, aft)
    assert least is not None
    assert least.margin == pytest.approx(
        1e-4, abs=1e-12
    )  # two straight lines in moment: the margin in moment is straight too
    assert crossings(path, aft) == ()


def test_the_stretches_join_without_a_gap() -> None:
    tanks = [
        FuelTank(name="aux", capacity=0.05, unusable=0.001, arm_points=((0.0, 2.0),), lateral_arm=0.3),
        FuelTank(
            name="main",
            capacity=0.12,
            unusable=0.002,
            arm_points=((0.0, 2.3), (0.04, 2.35), (0.12, 2.5)),
            lateral_arm=-0.2,
        ),
    ]
    legs = [
        Leg("taxi", "taxi", 0.004, 1e-6),
        Leg("climb", "trip", 0.03, 1e-5),
        Leg("cruise", "trip", 0.09, 8e-6),
    ]
    draws, _ = burn_down(["aux", "main"], [0.04, 0.1], [("aux",), ("main",)], legs)
    path = stretches(Total(800.0, 1800.0, 3.0), tanks, DENSITY, draws, takeoff_time=4000.0)
    assert path[0].time == -4000.0
    assert next(s for s in path if s.stage == "trip").time == pytest.approx(0.0, abs=1e-9)
    for before, after in itertools.pairwise(path):
        assert before.end == pytest.approx(after.start, abs=1e-10)
        for left, right in zip(
            (
                before.total_at(before.end).moment,
                before.total_at(before.end).lateral_moment,
                before.point_at(before.end).time,
            ),
            (after.total_at(after.start).moment, after.total_at(after.start).lateral_moment, after.time),
            strict=True,
        ):
            assert left == pytest.approx(right, abs=1e-8)
    # The arm table's point at 40 L in the tank (38 L usable) starts a stretch of its own.
    assert any(s.volumes[1] == pytest.approx(0.038) for s in path)
    last = path[-1]
    burnt = 0.124
    assert last.end == pytest.approx(800 + DENSITY * (0.14 - burnt))
    left = last.draw.end[1]
    moment = 1800 + DENSITY * tanks[1].volume_moment(left)
    assert last.total_at(last.end).moment == pytest.approx(moment, abs=1e-9)


def test_a_massless_moment_moves_every_point() -> None:
    zero_fuel, tank, _ = _counter_example()
    draws, _ = burn_down(["main"], [tank.capacity], [("main",)], [Leg("cruise", "trip", 0.1, 0.0)])
    path = stretches(zero_fuel, [tank], DENSITY, draws)
    moved = shifted(path, 8.2)
    for mass in (path[0].start, path[0].end):
        assert moved[0].total_at(mass).moment - path[0].total_at(mass).moment == pytest.approx(8.2)
        assert moved[0].total_at(mass).mass == path[0].total_at(mass).mass


def test_falling_through_a_mass_limit() -> None:
    zero_fuel, tank, _ = _counter_example()
    legs = [Leg("climb", "trip", 0.05, 1e-5), Leg("cruise", "trip", 0.1, 1e-5)]
    draws, _ = burn_down(["main"], [tank.capacity], [("main",)], legs)
    path = stretches(zero_fuel, [tank], DENSITY, draws)
    (crossing,) = mass_crossing(path, "maximum landing mass", 1030.0)
    assert crossing.direction == "in"
    assert crossing.point.phase == "cruise"
    assert crossing.point.time == pytest.approx((1085 - 1030) / DENSITY / 1e-5)
    at_the_joint = mass_crossing(path, "maximum landing mass", path[0].end)
    assert len(at_the_joint) == 1
    assert mass_crossing(path, "maximum landing mass", 1200.0) == ()
    assert mass_crossing(path, "least mass", 1000.0, upper=False)[0].direction == "out"


def test_no_burn_has_no_least_margin() -> None:
    assert least_margin((), bounds(_counter_example()[2], None)[0]) is None
