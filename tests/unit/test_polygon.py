"""Envelope edges: what a straight line on the manual's chart means between its points."""

from __future__ import annotations

import itertools
import math
import random
from fractions import Fraction

import pytest

from planner.quantities.polygon import Edge, EdgeKind, Envelope

FORWARD = ((600.0, 2.150), (820.0, 2.150), (1085.0, 2.270))
AFT = ((600.0, 2.370), (1085.0, 2.370))
KINDS: tuple[EdgeKind, ...] = ("linear in cg", "linear in moment")


def test_the_two_charts_differ_between_the_points() -> None:
    # Half way between 820 kg @ 2.150 m and 1085 kg @ 2.270 m: the mean of the arms, or the mean of the
    # moments over the mean mass.
    mass = 952.5
    assert Edge(FORWARD, "linear in cg").arm(mass) == pytest.approx(2.2100, abs=1e-12)
    by_hand = (Fraction(820) * Fraction("2.150") + Fraction(1085) * Fraction("2.270")) / 2 / Fraction("952.5")
    assert round(float(by_hand), 4) == 2.2183
    assert Edge(FORWARD, "linear in moment").arm(mass) == pytest.approx(float(by_hand), abs=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_both_charts_agree_at_every_point(kind: EdgeKind) -> None:
    edge = Edge(FORWARD, kind)
    for mass, arm in FORWARD:
        assert edge.arm(mass) == pytest.approx(arm, abs=1e-12)
        assert edge.arm(math.nextafter(mass, 0)) == pytest.approx(arm, abs=1e-9)  # continuous from below too


@pytest.mark.parametrize("kind", KINDS)
def test_beyond_the_ends_the_limit_is_held(kind: EdgeKind) -> None:
    edge = Edge(FORWARD, kind)
    assert edge.arm(300.0) == edge.arm(600.0) == 2.150
    assert edge.arm(1200.0) == 2.270
    pieces = edge.pieces()
    assert pieces[0].low == 0.0
    assert pieces[-1].high == math.inf
    assert all(a.high == b.low for a, b in itertools.pairwise(pieces))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("mass", [700.0, 900.0, 1000.0, 1084.0, 1300.0])
def test_the_slope_is_the_derivative(kind: EdgeKind, mass: float) -> None:
    edge = Edge(FORWARD, kind)
    step = 1e-3  # kg: truncation ~ 1e-13, rounding ~ 1e-13 / 1e-3
    assert edge.piece_at(mass).slope(mass) == pytest.approx(
        (edge.arm(mass + step) - edge.arm(mass - step)) / (2 * step), abs=1e-9
    )


def test_the_width_of_the_demonstration_envelope() -> None:
    envelope = Envelope(Edge(FORWARD, "linear in cg"), Edge(AFT, "linear in cg"))
    for mass, width in ((600, 0.220), (820, 0.220), (1085, 0.100)):
        assert envelope.aft.arm(mass) - envelope.forward.arm(mass) == pytest.approx(width, abs=1e-12)
    assert (envelope.least_mass, envelope.greatest_mass) == (600.0, 1085.0)
    assert envelope.crossing_masses() == ()


def test_edges_over_different_masses_share_the_overlap() -> None:
    envelope = Envelope(Edge(((650.0, 2.1), (1000.0, 2.1)), "linear in cg"), Edge(AFT, "linear in cg"))
    assert (envelope.least_mass, envelope.greatest_mass) == (650.0, 1000.0)


def test_swapped_sides_are_seen_at_a_point() -> None:
    assert Envelope(Edge(AFT, "linear in cg"), Edge(FORWARD, "linear in cg")).crossing_masses()[0] == 600.0


def test_edges_that_cross_only_between_the_points_are_seen() -> None:
    # Lines in moment bulge: at 500 and 1500 kg the forward arm is ahead, at the middle 1000 kg it is not.
    forward = Edge(
        ((500.0, 1.0), (1500.0, 2.0)), "linear in moment"
    )  # arm(1000) = (500 + 3000) / 2 / 1000 = 1.75
    aft = Edge(((500.0, 1.01), (1500.0, 2.01)), "linear in cg")  # arm(1000) = 1.51
    (mass,) = Envelope(forward, aft).crossing_masses()
    assert 500.0 < mass < 1500.0
    assert forward.arm(mass) > aft.arm(mass)


@pytest.mark.parametrize("kind", KINDS)
def test_the_outline_is_closed_ground(kind: EdgeKind) -> None:
    envelope = Envelope(Edge(FORWARD, kind), Edge(AFT, kind))
    outline = envelope.outline(steps=8)
    assert outline[0] == (2.150, 600.0)
    assert outline[-1] == (2.370, 600.0)
    for arm, mass in outline:
        assert arm == pytest.approx(envelope.forward.arm(mass), abs=1e-12) or arm == pytest.approx(
            envelope.aft.arm(mass), abs=1e-12
        )
    assert max(mass for _, mass in outline) == 1085.0


@pytest.mark.parametrize("kind", ["linear in cg", "linear in moment"])
def test_an_edge_may_be_drawn_from_nothing(kind: EdgeKind) -> None:
    """A line of moments from 0 kg goes through zero: its arm is one and the same down to nothing."""
    assert Edge(((0.0, 2.0), (1000.0, 2.0)), kind).arm(0.0) == 2.0


def test_the_outline_is_the_polygon_of_the_manual_with_points_between_where_asked() -> None:
    envelope = Envelope(Edge(FORWARD, "linear in cg"), Edge(AFT, "linear in cg"))
    corners = [(2.150, 600.0), (2.150, 820.0), (2.270, 1085.0), (2.370, 1085.0), (2.370, 600.0)]
    assert envelope.outline() == tuple((pytest.approx(arm), mass) for arm, mass in corners)
    halves = [(2.150, 600.0), (2.150, 710.0), (2.150, 820.0), (2.210, 952.5), (2.270, 1085.0)]
    halves += [(2.370, 1085.0), (2.370, 842.5), (2.370, 600.0)]
    assert envelope.outline(steps=2) == tuple((pytest.approx(arm), mass) for arm, mass in halves)


def test_only_where_both_edges_are_drawn_is_there_an_envelope() -> None:
    short = Edge(((650.0, 2.2), (700.0, 2.2), (1000.0, 2.3)), "linear in cg")
    for envelope in (
        Envelope(short, Edge(AFT, "linear in cg")),
        Envelope(Edge(tuple((mass, arm - 0.3) for mass, arm in AFT), "linear in cg"), short),
    ):
        assert (envelope.least_mass, envelope.greatest_mass) == (650.0, 1000.0)
        assert envelope.masses() == [650.0, 700.0, 1000.0]
        assert {mass for _, mass in envelope.outline()} == {650.0, 700.0, 1000.0}
    assert Envelope(short, Edge(AFT, "linear in cg")).masses(Edge(AFT, "linear in cg")) == []


def test_edges_that_touch_leave_no_room() -> None:
    touching = ((600.0, 2.150), (1085.0, 2.370))
    assert Envelope(Edge(touching, "linear in cg"), Edge(AFT, "linear in cg")).crossing_masses() == (1085.0,)


def test_edges_cross_where_a_fine_grid_sees_them_cross() -> None:
    """Edges near each other, each of either kind: what is found against a look at every fourth kilogram."""
    rng = random.Random(17)
    seen = 0
    for _ in range(100):
        forward = tuple((mass, rng.uniform(1.0, 3.0)) for mass in (500.0, rng.uniform(700, 900), 1500.0))
        aft = tuple((mass, arm + rng.choice((0.002, 0.02, 0.2))) for mass, arm in forward)
        envelope = Envelope(Edge(forward, rng.choice(KINDS)), Edge(aft, rng.choice(KINDS)))
        room = min(envelope.aft.arm(mass) - envelope.forward.arm(mass) for mass in range(500, 1501, 4))
        if abs(room) < 1e-4:
            continue  # nearer than the grid can tell
        found = envelope.crossing_masses()
        assert bool(found) == (room < 0)
        assert all(envelope.forward.arm(mass) >= envelope.aft.arm(mass) for mass in found)
        assert all(500 < mass < 1500 for mass in found)
        seen += bool(found)
    assert 20 < seen < 80
