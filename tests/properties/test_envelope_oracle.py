"""Envelopes with straight lines in CG are polygons: shapely, a general-purpose geometry library, must agree
about inside and about distance.
"""

from __future__ import annotations

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from planner.flight.envelope import LimitResult, judge
from planner.flight.limits import of_envelope
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, Envelope
from tests.sizes import examples

# A micrometre or a milligram from the line either answer is right: shapely's own predicates are exact only
# for the rounded corners.
NEAR = 1e-6


@st.composite
def envelopes(draw: st.DrawFn) -> Envelope:
    def edge(low: float, high: float) -> Edge:
        masses = [
            600.0,
            *sorted(draw(st.lists(st.floats(620.0, 1060.0), max_size=3, unique_by=lambda m: round(m / 10)))),
            1085.0,
        ]
        return Edge(tuple((mass, draw(st.floats(low, high))) for mass in masses), "linear in cg")

    return Envelope(edge(2.10, 2.25), edge(2.30, 2.45))


def _polygon(envelope: Envelope) -> Polygon:
    return Polygon(
        [
            *((arm, mass) for mass, arm in envelope.forward.points),
            *((arm, mass) for mass, arm in reversed(envelope.aft.points)),
        ]
    )


def limits_of(envelope: Envelope, total: Total) -> list[LimitResult]:
    return [judge(limit, total, []) for limit in of_envelope(envelope, None, "takeoff")]


@settings(max_examples=examples(120), deadline=None)
@given(envelopes(), st.floats(550.0, 1085.0), st.floats(2.0, 2.55))
def test_inside_is_inside_the_polygon(envelope: Envelope, mass: float, cg: float) -> None:
    polygon = _polygon(envelope)
    assert polygon.is_valid
    point = Point(cg, mass)
    assume(polygon.boundary.distance(point) > NEAR)
    inside = all(limit.verdict == "inside" for limit in limits_of(envelope, Total(mass, mass * cg)))
    assert inside == polygon.contains(point)


@settings(max_examples=examples(120), deadline=None)
@given(envelopes(), st.floats(601.0, 1084.0), st.floats(2.0, 2.55))
def test_the_margin_is_the_distance_along_the_line_of_equal_mass(
    envelope: Envelope, mass: float, cg: float
) -> None:
    polygon = _polygon(envelope)
    row = LineString([(0.0, mass), (5.0, mass)]).intersection(polygon)
    forward, _, aft, _ = row.bounds
    limits = {limit.name: limit for limit in limits_of(envelope, Total(mass, mass * cg))}
    # shapely intersects in doubles: 1e-12 of coordinates near 1000.
    assert abs(limits["forward limit"].margin - (cg - forward)) < 1e-9
    assert abs(limits["aft limit"].margin - (aft - cg)) < 1e-9


@settings(max_examples=examples(80), deadline=None)
@given(envelopes())
def test_the_outline_is_the_polygon(envelope: Envelope) -> None:
    outline = Polygon(envelope.outline())
    assert outline.is_valid
    assert outline.symmetric_difference(_polygon(envelope)).area < 1e-9 * outline.area
    assert envelope.crossing_masses() == ()


@settings(max_examples=examples(120), deadline=None)
@given(envelopes(), st.floats(601.0, 1084.0), st.floats(2.0, 2.55))
def test_no_point_is_further_from_the_outline_than_its_margin_says(
    envelope: Envelope, mass: float, cg: float
) -> None:
    # In a plane where one metre of arm counts like one kilogram, the nearest point of the outline is never
    # further than along the row.
    distance = _polygon(envelope).exterior.distance(Point(cg, mass))
    margins = [
        limit.margin for limit in limits_of(envelope, Total(mass, mass * cg)) if limit.dimension == "length"
    ]
    assert distance <= min(abs(margin) for margin in margins) + 1e-9
