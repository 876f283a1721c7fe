"""The closed form of the burn against brute force: a hundred thousand points with numpy, an independent
integration of the tanks.

The brute force burns the fuel in equal steps of volume with its own bookkeeping (cumulative sums, linear
interpolation of the arm table), and evaluates every margin from mass and moment. It knows nothing of pieces,
quadratics or roots.

Tolerances. The engine must never be above the sampled minimum (beyond rounding, 1e-11 m), as the samples are
points of the burn. It may be below it only by what happens between two samples: |h'| is under 0.05 m/kg for
these aircraft (arms within 4 m of the CG, over at least 400 kg, limit slopes under 2 mm/kg), and a step is at
most 250 kg / 1e5 = 2.5 g: 1.3e-4 m at a kink; at a smooth minimum far less. Crossings agree to two steps.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.flight.burn import Stretch, bounds, crossings, least_margin, stretches
from planner.flight.fuel import FuelTank, Leg, burn_down
from planner.flight.limits import Limit
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, EdgeKind, Envelope
from tests.sizes import examples

POINTS = 100_000
ROUNDING = 1e-11  # m
KINDS: tuple[EdgeKind, ...] = ("linear in cg", "linear in moment")


@dataclass(frozen=True)
class Setting:
    zero_fuel: Total
    tanks: tuple[FuelTank, ...]
    volumes: tuple[float, ...]
    order: tuple[tuple[str, ...], ...]
    legs: tuple[Leg, ...]
    envelope: Envelope
    density: float


def _points(
    draw: st.DrawFn, low: float, high: float, slope: float, first: float
) -> tuple[tuple[float, float], ...]:
    """A broken line from `low` to `high` that starts near `first` and climbs or falls no faster than `slope`
    per unit.
    """
    inner = draw(st.lists(st.floats(0.05, 0.95), max_size=3, unique_by=lambda x: round(x, 2)))
    xs = [low, *(low + (high - low) * round(x, 2) for x in sorted(inner)), high]
    ys = [first]
    for a, b in itertools.pairwise(xs):
        ys.append(ys[-1] + draw(st.floats(-slope, slope)) * (b - a))
    return tuple(zip(xs, ys, strict=True))


@st.composite
def settings_of_a_burn(draw: st.DrawFn) -> Setting:
    count = draw(st.integers(1, 3))
    names = ("left", "right", "aux")[:count]
    tanks = []
    for name in names:
        capacity, unusable = draw(st.floats(0.02, 0.1)), draw(st.floats(0.0, 0.005))
        arm = draw(st.floats(1.0, 4.0))
        points = _points(draw, 0.0, capacity, 3.0, arm) if draw(st.booleans()) else ((0.0, arm),)
        tanks.append(
            FuelTank(
                name=name,
                capacity=capacity,
                unusable=unusable,
                arm_points=points,
                lateral_arm=draw(st.floats(-2.0, 2.0)),
            )
        )
    volumes = tuple(draw(st.floats(0.0, 1.0)) * tank.usable_capacity for tank in tanks)
    grouped = draw(st.booleans())
    order = (names,) if grouped else tuple((name,) for name in draw(st.permutations(names)))
    legs = []
    for number in range(draw(st.integers(1, 4))):
        named = tuple(draw(st.lists(st.sampled_from(names), max_size=count, unique=True)))
        legs.append(
            Leg(
                phase=f"leg {number}",
                stage="trip",
                volume=draw(st.floats(0.0, 0.08)),
                flow=draw(st.sampled_from([0.0, 1e-5])),
                tanks=named,
            )
        )
    legs.append(Leg("rest", "reserve", sum(volumes), 1e-5))
    mass = draw(st.floats(500.0, 900.0))
    cg = draw(st.floats(2.0, 2.6))
    kind = draw(st.sampled_from(KINDS))
    forward = Edge(_points(draw, 450.0, 1100.0, 4e-4, 2.1), kind)
    aft = Edge(_points(draw, 480.0, 1080.0, 4e-4, 2.45), kind)
    total = Total(mass, mass * cg, draw(st.floats(-30.0, 30.0)))
    return Setting(
        total,
        tuple(tanks),
        volumes,
        order,
        tuple(legs),
        Envelope(forward, aft),
        draw(st.floats(690.0, 800.0)),
    )


def _margins(
    setting: Setting, bound: Limit, masses: np.ndarray, moments: np.ndarray, lateral: np.ndarray
) -> np.ndarray:
    if bound.axis == "lateral":
        limit = np.full_like(masses, bound.pieces[0].q)
        return (limit - lateral / masses) if bound.upper else (lateral / masses - limit)
    edge = setting.envelope.aft if bound.upper else setting.envelope.forward
    at, arm = np.array([p[0] for p in edge.points]), np.array([p[1] for p in edge.points])
    limit = (
        np.interp(masses, at, arm)
        if edge.kind == "linear in cg"
        else np.interp(masses, at, at * arm) / np.clip(masses, at[0], at[-1])
    )
    return (limit - moments / masses) if bound.upper else (moments / masses - limit)


def _brute(setting: Setting) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Mass, moment and lateral moment at equal steps of burnt volume, drawn from the tanks by simple
    bookkeeping.
    """
    names = [tank.name for tank in setting.tanks]
    left = dict(zip(names, setting.volumes, strict=True))
    corners = [tuple(left[name] for name in names)]
    for leg in setting.legs:
        want = leg.volume
        for group in [leg.tanks] if leg.tanks else setting.order:
            while want > 1e-9 and (live := [name for name in group if left[name] > 1e-9]):
                each = min(want / len(live), *(left[name] for name in live))
                for name in live:
                    left[name] = max(left[name] - each, 0.0)
                want -= each * len(live)
                corners.append(tuple(left[name] for name in names))
    path = np.array(corners)
    burnt = path[0].sum() - path.sum(axis=1)
    at = np.union1d(np.linspace(0.0, burnt[-1], POINTS), burnt)
    volumes = np.stack([np.interp(at, burnt, path[:, index]) for index in range(len(names))])
    moments, lateral = (
        np.full_like(at, setting.zero_fuel.moment),
        np.full_like(at, setting.zero_fuel.lateral_moment),
    )
    for tank, volume in zip(setting.tanks, volumes, strict=True):
        xs, ys = [p[0] for p in tank.arm_points], [p[1] for p in tank.arm_points]
        whole = volume + tank.unusable
        moments += setting.density * (
            whole * np.interp(whole, xs, ys) - tank.unusable * np.interp(tank.unusable, xs, ys)
        )
        lateral += setting.density * volume * tank.lateral_arm
    return setting.zero_fuel.mass + setting.density * volumes.sum(axis=0), moments, lateral


def _path(setting: Setting) -> tuple[Stretch, ...]:
    draws, _ = burn_down([tank.name for tank in setting.tanks], setting.volumes, setting.order, setting.legs)
    return stretches(setting.zero_fuel, setting.tanks, setting.density, draws)


@settings(max_examples=examples(120), deadline=None)
@given(settings_of_a_burn())
def test_least_margin_and_crossings_against_brute_force(setting: Setting) -> None:
    path = _path(setting)
    if not path:
        assert sum(setting.volumes) < 1e-6
        return
    masses, moments, lateral = _brute(setting)
    step = float(np.max(-np.diff(masses)))
    for bound in bounds(setting.envelope, (-0.03, 0.03)):
        sampled = _margins(setting, bound, masses, moments, lateral)
        least = least_margin(path, bound)
        assert least is not None
        assert least.margin <= sampled.min() + ROUNDING
        slope = float(np.max(np.abs(np.diff(sampled)) / np.maximum(-np.diff(masses), 1e-9)))
        assert least.margin >= sampled.min() - max(min(slope, 0.05) * step, ROUNDING)
        # The place it names really has that margin.
        point = least.point
        here = _margins(
            setting,
            bound,
            *(np.array([x]) for x in (point.total.mass, point.total.moment, point.total.lateral_moment)),
        )[0]
        assert abs(here - least.margin) < 1e-9  # moments of some 2000 kg.m rebuilt from a polynomial in mass
        _compare_crossings(path, bound, masses, sampled, step)


def _compare_crossings(
    path: tuple[Stretch, ...], bound: Limit, masses: np.ndarray, sampled: np.ndarray, step: float
) -> None:
    found = crossings(path, bound)
    # Sign changes between samples that are clearly off zero; a margin within rounding of zero has no sign.
    clear = np.flatnonzero(np.abs(sampled) > 1e-9)
    signs = np.sign(sampled[clear])
    changes = np.flatnonzero(signs[1:] != signs[:-1])
    theirs = [(masses[clear[i]], masses[clear[i + 1]], "in" if signs[i + 1] > 0 else "out") for i in changes]
    # Each sampled change is found by the engine, within the two samples it lies between.
    for high, low, direction in theirs:
        near = [
            c for c in found if low - step <= c.point.total.mass <= high + step and c.direction == direction
        ]
        assert near, (bound.name, high, low, direction, found)
    # The engine may find pairs that dip outside between two samples, never an odd number more, and never a
    # slow one the samples miss.
    assert (len(found) - len(theirs)) % 2 == 0
    for crossing in found:
        index = int(np.argmin(np.abs(masses - crossing.point.total.mass)))
        assert np.min(np.abs(sampled[max(index - 2, 0) : index + 3])) <= 0.05 * 2 * step
    assert all(a.direction != b.direction for a, b in itertools.pairwise(found))
    assert all(a.point.total.mass >= b.point.total.mass - ROUNDING for a, b in itertools.pairwise(found))


@settings(max_examples=examples(80), deadline=None)
@given(
    st.floats(600.0, 1000.0),
    st.floats(50.0, 300.0),
    st.floats(1.5, 3.0),
    st.floats(1e-4, 6e-4),
    st.floats(-2e-4, 2e-4),
    st.floats(-2e-4, 2e-4),
    st.booleans(),
)
def test_a_minimum_between_the_ends(
    dry: float, fuel: float, limit: float, slope: float, at_end: float, at_start: float, upper: bool
) -> None:
    """A loading with given small margins at both ends of a slanting limit: the least one lies between, where
    the derivative is zero.
    """
    # The sign turns the picture round: an aft limit that runs aft with mass, or a forward limit that runs
    # forward with it.
    sign = 1.0 if upper else -1.0
    wet = dry + fuel
    low, high = limit, limit + sign * slope * fuel
    start_cg, end_cg = high - sign * at_start, low - sign * at_end
    tank = FuelTank(
        name="main",
        capacity=fuel / 720.0,
        unusable=0.0,
        arm_points=((0.0, (wet * start_cg - dry * end_cg) / fuel),),
        lateral_arm=0.0,
    )
    edge, far = (
        Edge(((dry, low), (wet, high)), "linear in cg"),
        Edge(((dry, limit - sign * 9.0), (wet, limit - sign * 9.0)), "linear in cg"),
    )
    envelope = Envelope(far, edge) if upper else Envelope(edge, far)
    draws, _ = burn_down(["main"], [tank.capacity], [("main",)], [Leg("all", "trip", tank.capacity, 1e-5)])
    path = stretches(Total(dry, dry * end_cg), [tank], 720.0, draws)
    bound = bounds(envelope, None)[1 if upper else 0]
    least = least_margin(path, bound)
    assert least is not None
    masses = np.linspace(dry, wet, POINTS)
    sampled = sign * (
        low
        + (high - low) * (masses - dry) / fuel
        - (dry * end_cg + tank.arm_points[0][1] * (masses - dry)) / masses
    )
    # At a smooth minimum two samples miss it by at most h''/2 (step/2)^2 = slope/600 (1.5e-3 kg)^2 = 2e-12 m;
    # the rest is rounding.
    assert abs(least.margin - sampled.min()) < ROUNDING
    inner = np.min(sampled) < min(sampled[0], sampled[-1]) - 1e-6
    if inner:
        assert dry < least.point.total.mass < wet
    if inner and at_end > 1e-6 and at_start > 1e-6 and least.margin < -1e-6:
        assert [crossing.direction for crossing in crossings(path, bound)] == ["out", "in"]


@settings(max_examples=examples(40), deadline=None)
@given(settings_of_a_burn())
def test_the_path_is_unbroken_and_burns_every_drop(setting: Setting) -> None:
    path = _path(setting)
    if not path:
        return
    assert abs(path[0].start - (setting.zero_fuel.mass + setting.density * sum(setting.volumes))) < 1e-9
    assert (
        abs(path[-1].end - setting.zero_fuel.mass) < setting.density * 3e-9
    )  # a microlitre in each of three tanks counts as none
    for before, after in itertools.pairwise(path):
        assert abs(before.end - after.start) < setting.density * 3e-9
        assert (
            abs(before.total_at(before.end).moment - after.total_at(after.start).moment) < 1e-5
        )  # the same microlitres at 4 m and 800 kg/m3
    end = path[-1].total_at(path[-1].end)
    assert abs(end.moment - setting.zero_fuel.moment) < 1e-5
    assert abs(end.lateral_moment - setting.zero_fuel.lateral_moment) < 1e-5
