"""A burn is in doubt exactly where some place of it has a margin not larger than its U: against margins moved
by hand at hundreds of places.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from planner.flight.burn import Point, Stretch, bounds, stretches
from planner.flight.doubt import doubtful_point
from planner.flight.fuel import FuelTank, Leg, burn_down
from planner.flight.limits import Limit
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, Envelope

DENSITY = 720.0
TANKS = (
    FuelTank(
        name="left",
        capacity=0.080,
        unusable=0.003,
        arm_points=((0.0, 2.20), (0.030, 2.34), (0.080, 2.31)),
        lateral_arm=-0.9,
    ),
    FuelTank(name="right", capacity=0.080, unusable=0.003, arm_points=((0.0, 2.60),), lateral_arm=1.3),
)
MASSES = (600.0, 760.0, 830.0, 1300.0)
Steps = dict[str, tuple[float, float, float]]


def steps_at(point: Point, size: float) -> Steps:
    """An unsure empty mass, an unsure arm, an unsure lateral arm, and a fuel 1 % heavier or lighter than
    thought.
    """
    fuel = DENSITY * sum(point.volumes)
    along = sum(
        DENSITY * volume * tank.arm(volume) for tank, volume in zip(TANKS, point.volumes, strict=True)
    )
    across = sum(
        DENSITY * volume * tank.lateral_arm for tank, volume in zip(TANKS, point.volumes, strict=True)
    )
    found = {
        "mass": (2.0, 4.4, 0.1),
        "arm": (0.0, 3.0, 0.0),
        "lateral arm": (0.0, 0.0, 2.0),
        "density": (0.01 * fuel, 0.01 * along, 0.01 * across),
    }
    return {cause: (size * dm, size * dx, size * dy) for cause, (dm, dx, dy) in found.items()}


def margin(
    bound: Limit, envelope: Envelope, lateral: tuple[float, float], mass: float, moment: float, side: float
) -> float:
    if bound.axis == "lateral":
        return lateral[1] - side / mass if bound.upper else side / mass - lateral[0]
    edge = envelope.aft if bound.upper else envelope.forward
    return (edge.arm(mass) - moment / mass) * (1 if bound.upper else -1)


def slack(
    path: Sequence[Stretch], bound: Limit, envelope: Envelope, lateral: tuple[float, float], size: float
) -> float:
    """The least of margin less U, by moving each cause a thousandth of its step both ways at many places
    between the corners.
    """
    least = float("inf")
    corners = [mass for mass, _ in (*envelope.forward.points, *envelope.aft.points)]
    for stretch in path:
        if stretch.start - stretch.end < 1e-6:
            continue
        evenly = [
            stretch.start + (stretch.end - stretch.start) * float(share)
            for share in np.linspace(0.0, 1.0, 61)
        ]
        # A corner has a U of each side: looked at a few hundredths of a kilogram off it.
        beside = [
            corner + off
            for corner in corners
            for off in (-0.03, 0.03)
            if stretch.end < corner + off < stretch.start
        ]
        for mass in (*evenly, *beside):
            if min(abs(mass - corner) for corner in corners) < 0.01:
                continue
            total = stretch.total_at(mass)
            point = Point(phase="", fuel=0.0, time=0.0, total=total, volumes=stretch.point_at(mass).volumes)
            squares = 0.0
            for dm, dx, dy in steps_at(point, size).values():
                up, down = (
                    margin(
                        bound,
                        envelope,
                        lateral,
                        mass + h * dm,
                        total.moment + h * dx,
                        total.lateral_moment + h * dy,
                    )
                    for h in (1e-3, -1e-3)
                )
                squares += ((up - down) / 2e-3) ** 2
            own = margin(bound, envelope, lateral, mass, total.moment, total.lateral_moment)
            least = min(least, own - 2.0 * squares**0.5)
    return least


@settings(max_examples=60, deadline=None)
@given(
    zero=st.floats(640.0, 900.0),
    arm=st.floats(2.2, 2.5),
    left=st.floats(0.005, 0.075),
    right=st.floats(0.005, 0.075),
    arms=st.tuples(*(st.floats(-0.15, 0.15) for _ in MASSES)),
    kind=st.sampled_from(["linear in cg", "linear in moment"]),
    which=st.sampled_from(range(4)),
    size=st.floats(0.2, 3.0),
    order=st.sampled_from([(("left", "right"),), (("left",), ("right",)), (("right",), ("left",))]),
)
def test_in_doubt_exactly_where_a_margin_is_not_larger_than_its_u(
    zero: float,
    arm: float,
    left: float,
    right: float,
    arms: tuple[float, ...],
    kind: str,
    which: int,
    size: float,
    order: tuple[tuple[str, ...], ...],
) -> None:
    empty = Total(zero, zero * arm, 6.0)
    draws, _ = burn_down(
        ["left", "right"], [left, right], order, [Leg("reserve", "reserve", left + right, 0.0)]
    )
    path = stretches(empty, TANKS, DENSITY, draws)

    def limits(moved: float) -> tuple[Envelope, tuple[float, float]]:
        forward = Edge(tuple((m, 2.0 + a - moved) for m, a in zip(MASSES, arms, strict=True)), kind)  # type: ignore[arg-type]
        aft = Edge(tuple((m, 2.9 + a + moved) for m, a in zip(MASSES, arms, strict=True)), kind)  # type: ignore[arg-type]
        return Envelope(forward, aft), (-0.3 - moved, 0.3 + moved)

    envelope, lateral = limits(0.0)
    bound = bounds(envelope, lateral)[which]
    least = slack(path, bound, envelope, lateral, size)
    assume(np.isfinite(least))
    # All the limits of a side moved alike move every margin alike and no uncertainty: so the doubt can be set
    # to begin where it is wanted.
    for wanted in (5e-4, -5e-4):
        envelope, lateral = limits(wanted - least)
        found = doubtful_point(path, bounds(envelope, lateral)[which], lambda point: steps_at(point, size))
        if wanted < 0:
            assert found is not None
            again = slack(
                [each for each in path if each.start + 1e-9 >= found.total.mass >= each.end - 1e-9],
                bound,
                envelope,
                lateral,
                size,
            )
            assert again < 1e-6
        else:
            assert found is None


@settings(max_examples=40, deadline=None)
@given(
    zero=st.floats(640.0, 900.0),
    slope=st.floats(1.0, 3.0),
    at=st.one_of(st.floats(0.999, 0.9999), st.floats(0.0001, 0.001), st.floats(0.001, 0.999)),
    u=st.floats(0.1, 5.0),
)
def test_a_margin_that_grazes_its_u_is_told_from_one_that_just_does_not(
    zero: float, slope: float, at: float, u: float
) -> None:
    """By hand: fuel of one tank whose arm is 2 m + slope times its volume v, an empty CG as far ahead of the
    limit L as asked: the margin in moment is parabolic in v, least where v = (L - 2 m) / (2 slope).
    """
    full = 0.080
    tank = FuelTank(
        name="one",
        capacity=full,
        unusable=0.0,
        arm_points=((0.0, 2.0), (full, 2.0 + slope * full)),
        lateral_arm=0.0,
    )
    limit = 2.0 + 2 * slope * at * full
    edges = [Edge(((1.0, cg), (2000.0, cg)), "linear in cg") for cg in (limit, limit + 5.0)]
    forward = next(each for each in bounds(Envelope(*edges), None) if not each.upper)
    draws, _ = burn_down(["one"], [full], (("one",),), [Leg("reserve", "reserve", full, 0.0)])
    for beyond in (1e-8, -1e-8):  # kg.m of moment
        least = DENSITY * slope * (at * full) ** 2 + 2 * u + beyond
        path = stretches(Total(zero, zero * limit + least, 0.0), (tank,), DENSITY, draws)
        found = doubtful_point(path, forward, lambda _: {"moment": (0.0, u, 0.0)})
        assert (found is None) == (beyond > 0)
    level = Total(zero, zero * limit + least + 1e-8, 0.0)  # the same but for rounding, which counts as doubt
    path = stretches(level, (tank,), DENSITY, draws)
    doubtful_point(path, forward, lambda _: {"moment": (0.0, u, 0.0)})
