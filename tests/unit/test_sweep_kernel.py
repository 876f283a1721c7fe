"""The kernel of a sweep: edges by lines or by look-up, margins of a block, inside as an independent library
sees it, memory.
"""

from __future__ import annotations

import math
import tracemalloc
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.flight.burn import Stretch, bounds, nearest, stretches
from planner.flight.doubt import _control
from planner.flight.fuel import FuelTank, Leg, burn_down
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, Envelope
from planner.sweep.block import GREATEST_BLOCK, Kernel, spread
from planner.sweep.block.edges import EdgeRows
from planner.sweep.block.fuelrows import held_where, joined

FORWARD = Edge(((600.0, 2.15), (820.0, 2.15), (1085.0, 2.27)), "linear in cg")
AFT = Edge(((600.0, 2.37), (1085.0, 2.37)), "linear in cg")
ARMS = (2.165, 2.165, 3.005, 3.005, 3.63, 4.05, 2.41, 2.41)
FIXED = Total(688.4, 688.4 * 2.235)


def arms_of(edge: Edge, aft: bool, masses: np.ndarray) -> np.ndarray:
    rows = EdgeRows(edge, aft)
    return rows.arm(masses, np.empty_like(masses), np.empty_like(masses))


@st.composite
def edges(draw: st.DrawFn) -> Edge:
    masses = sorted(draw(st.lists(st.integers(300, 3000), min_size=2, max_size=6, unique=True)))
    arms = [draw(st.integers(-3000, 6000)) / 1000 for _ in masses]
    return Edge(
        tuple(zip(map(float, masses), arms, strict=True)),
        draw(st.sampled_from(["linear in cg", "linear in moment"])),
    )


@settings(max_examples=300, deadline=None)
@given(edge=edges(), aft=st.booleans())
def test_any_edge_is_that_of_one_loading(edge: Edge, aft: bool) -> None:
    points = [mass for mass, _ in edge.points]
    between = [low + (high - low) * share for low, high in pairwise(points) for share in (0.01, 0.5, 0.93)]
    masses = np.array([points[0] * 0.3, *points, *between, points[-1] * 2])
    assert arms_of(edge, aft, masses) == pytest.approx(
        np.array([edge.arm(mass) for mass in masses]), rel=0, abs=1e-11
    )


@pytest.mark.parametrize(
    ("edge", "aft", "by_lines"),
    [
        (FORWARD, False, True),
        (AFT, True, True),
        (Edge(((640.0, 2.64), (860.0, 2.64), (1134.0, 2.56)), "linear in cg"), True, True),
        # Rising, then level: the greatest of its lines, capped at the arm of the last point.
        (Edge(((600.0, 2.15), (820.0, 2.20), (1085.0, 2.20)), "linear in cg"), False, True),
        # Bent the wrong way: the greatest of the lines would be ahead of or behind the edge.
        (Edge(((600.0, 2.15), (820.0, 2.20), (1085.0, 2.21)), "linear in cg"), False, False),
        (FORWARD, True, False),
        (Edge(((420.0, 0.18), (520.0, 0.18), (680.0, 0.29)), "linear in moment"), False, True),
        (Edge(((420.0, 0.47), (680.0, 0.47)), "linear in moment"), True, True),
    ],
)
def test_lines_are_used_where_the_edge_bends_one_way(edge: Edge, aft: bool, by_lines: bool) -> None:
    assert EdgeRows(edge, aft).by_lines is by_lines


def test_the_choice_is_exact_where_rounding_would_blur_it() -> None:
    # Three points on one line in decimal are not on one line in binary: the corner of 1e-17 m decides, and
    # either way the arm is right.
    edge = Edge(((500.0, 2.1), (600.0, 2.2), (700.0, 2.3)), "linear in cg")
    slopes = [
        (Fraction(a2) - Fraction(a1)) / (Fraction(m2) - Fraction(m1))
        for (m1, a1), (m2, a2) in pairwise(edge.points)
    ]
    assert EdgeRows(edge, False).by_lines is (slopes[0] <= slopes[1])
    masses = np.linspace(400.0, 800.0, 81)
    assert arms_of(edge, False, masses) == pytest.approx(
        np.array([edge.arm(mass) for mass in masses]), rel=0, abs=1e-13
    )


def test_inside_is_what_shapely_says() -> None:
    """Independent library: shapely.contains_xy on the outline as a polygon, away from its border."""
    envelope = Envelope(FORWARD, AFT)
    kernel = Kernel([1.0] * 8, ARMS, [0.0] * 8, FIXED, envelope, rows=2048)
    mass, moment, _ = kernel.totals(np.random.default_rng(7).random((2048, 8)) * 70)
    found = kernel.margins(mass, moment)
    least = np.minimum(np.minimum(found.forward, found.aft), 1085.0 - found.mass)
    clear = np.abs(least) > 1e-9
    expected = shapely.contains_xy(shapely.Polygon(envelope.outline()), found.cg, found.mass)
    assert np.array_equal((least >= 0)[clear], expected[clear])
    assert 0.05 < expected.mean() < 0.95


def test_the_lateral_moment_is_followed_where_it_counts() -> None:
    loads = np.array([[100.0, 100.0], [200.0, 0.0], [0.0, 200.0]])
    for lateral, expected in ((True, [0.0, -60.0, 60.0]), (False, 0.0)):
        kernel = Kernel([1.0, 1.0], [2.2, 2.2], [-0.3, 0.3], FIXED, Envelope(FORWARD, AFT), lateral)
        side = kernel.totals(loads)[2]
        assert side == pytest.approx(np.array(expected), abs=1e-12)


def test_a_column_may_be_fuel_or_may_not_count() -> None:
    kernel = Kernel([720.0, 0.0], [2.41, 9.9], [0.0, 0.0], FIXED, Envelope(FORWARD, AFT))
    mass, moment, _ = kernel.totals(np.array([[0.1, 5.0]]))
    assert mass[0] == pytest.approx(688.4 + 72.0)
    assert moment[0] == pytest.approx(688.4 * 2.235 + 72.0 * 2.41)


@pytest.mark.parametrize("rows", [0, GREATEST_BLOCK + 1])
def test_a_block_is_bounded(rows: int) -> None:
    with pytest.raises(ValueError, match="a block has 1 to"):
        Kernel([1.0], [1.0], [0.0], FIXED, Envelope(FORWARD, AFT), rows=rows)


def test_more_than_a_block_is_refused() -> None:
    kernel = Kernel([1.0], [2.2], [0.0], FIXED, Envelope(FORWARD, AFT), rows=4)
    with pytest.raises(ValueError, match="5 loadings in a block of 4"):
        kernel.totals(np.zeros((5, 1)))


def test_a_million_loadings_need_no_more_memory_than_a_block() -> None:
    kernel = Kernel([1.0] * 8, ARMS, [0.0] * 8, FIXED, Envelope(FORWARD, AFT))
    loads = np.random.default_rng(3).random((kernel.rows, 8)) * 80

    def forward_of_aft() -> int:
        return int(np.count_nonzero(kernel.margins(*kernel.totals(loads)[:2]).aft >= 0))

    forward_of_aft()
    tracemalloc.start()
    try:
        inside = sum(forward_of_aft() for _ in range(1_000_000 // kernel.rows + 1))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert inside > 0
    assert peak < 100_000  # bytes: nothing of the size of a block (128 kB for one column) is made anew


@settings(max_examples=200, deadline=None)
@given(
    tanks=st.lists(st.tuples(st.integers(0, 100), st.integers(1, 100)), min_size=1, max_size=4),
    share=st.floats(0, 1),
)
def test_fuel_shared_among_tanks_is_all_there_and_fits(tanks: list[tuple[int, int]], share: float) -> None:
    volumes, capacities = tuple(min(v, c) / 1e3 for v, c in tanks), tuple(c / 1e3 for _, c in tanks)
    points = spread(volumes, capacities)
    total = share * sum(capacities)
    placed = [
        float(np.interp(total, [t for t, _ in points], [each[i] for _, each in points]))
        for i in range(len(tanks))
    ]
    assert sum(placed) == pytest.approx(total, abs=1e-12)
    assert all(-1e-15 <= each <= capacity + 1e-12 for each, capacity in zip(placed, capacities, strict=True))
    if sum(volumes) > 0:
        own = [
            float(np.interp(sum(volumes), [t for t, _ in points], [each[i] for _, each in points]))
            for i in range(len(tanks))
        ]
        assert own == pytest.approx(
            list(volumes), abs=1e-12
        )  # the flight's own total lies as the flight has it


def test_control_points_of_a_cubic_give_it_back() -> None:
    for cubic in (np.poly1d([1.0]), np.poly1d([2.0, 0.0]), np.poly1d([1.0, -3.0, 0.5, 0.2])):
        points = np.array(_control(*cubic(np.array([0, 1, 2, 3]) / 3)))
        for t in (0.0, 0.25, 0.6, 1.0):
            bernstein = [math.comb(3, k) * t**k * (1 - t) ** (3 - k) for k in range(4)]
            assert points @ bernstein == pytest.approx(cubic(t), abs=1e-12)


def test_a_burn_that_goes_on_alike_is_one_stretch_with_the_same_fuel_and_margins() -> None:
    tanks = [
        FuelTank(name, 0.08, 0.0, ((0.0, arm),), side) for name, arm, side in (("l", 2.3, -1), ("r", 2.5, 1))
    ]
    full = [np.array([0.060, 0.050]), np.array([0.060, 0.055])]
    legs = [
        Leg("taxi", "taxi", 0.004, 0.0),
        Leg("climb", "trip", 0.010, 0.0),
        Leg("cruise", "trip", 0.008, 0.0, ("l",)),
        Leg("holding", "reserve", 0.0, 0.0),
    ]
    empty = Total(np.array([700.0, 720.0]), np.array([1600.0, 1650.0]))  # type: ignore[arg-type]
    (bound, *_) = bounds(Envelope(FORWARD, AFT), None)

    def flown(unsure: dict[str, float]) -> tuple[Stretch, ...]:
        draws, _ = burn_down(["l", "r"], full, [["l", "r"]], legs, [unsure, {}])
        return stretches(empty, tanks, 720.0, draws)

    path, whole = flown({}), slice(None)
    together = joined(path)
    assert [each.draw.phase for each in together] == [
        "taxi",
        "cruise",
        *(each.draw.phase for each in path[3:]),
    ]
    assert len(joined(flown({"dip": 0.001}))) == len(path)
    for mass in (path[0].start, (path[0].end + path[1].end) / 2, path[2].end, path[-1].end + 1.0):
        for one, other in zip(
            held_where(path, whole, mass, 2)[0], held_where(together, whole, mass, 2)[0], strict=True
        ):
            assert one == pytest.approx(other, abs=1e-15)
    for one, other in zip(nearest(path, bound), nearest(together, bound), strict=True):
        assert one == pytest.approx(other, rel=1e-12)
