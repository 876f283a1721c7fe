"""Verdicts: three states, exact zero, and no uncertainty counted twice."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from planner.flight.envelope import LimitResult, Verdict, edge_limit, judge, result, verdict, worst
from planner.flight.limits import Limit, of_centre, of_envelope
from planner.quantities.effects import FUEL_DENSITY, Effect, Gradient, contributions, expanded
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, Envelope

FORWARD = Edge(((600.0, 2.150), (820.0, 2.150), (1085.0, 2.270)), "linear in cg")
AFT = Edge(((600.0, 2.370), (1085.0, 2.370)), "linear in cg")


@pytest.mark.parametrize(
    ("margin", "uncertainty", "expected"),
    [
        (1.0, 0.0, "inside"),
        (1.0, 0.999, "inside"),
        (1.0, 1.0, "not shown inside"),
        (1.0, 2.0, "not shown inside"),
        (0.0, 0.0, "inside"),  # at the limit, and nothing about it is unsure
        (-0.0, 0.0, "inside"),
        (0.0, 0.1, "not shown inside"),
        (-1e-15, 0.0, "outside"),
        (-1.0, 5.0, "outside"),  # uncertainty never improves an outside
        (-1.0, math.inf, "outside"),
    ],
)
def test_three_states(margin: float, uncertainty: float, expected: Verdict) -> None:
    assert verdict(margin, uncertainty) == expected


def test_the_worst_counts() -> None:
    assert worst(["inside", "outside", "not shown inside"]) == "outside"
    assert worst(["inside", "not shown inside"]) == "not shown inside"
    assert worst([]) == "inside"


def heaviest(total: Total, effects: list[Effect]) -> LimitResult:
    limit = Limit(
        id="x", place="takeoff", quantity="mass", name="maximum take-off mass", dimension="mass", bound=1085.0
    )
    return judge(limit, total, effects)


def edge_of(edge: Edge, aft: bool) -> Limit:
    return of_centre(Envelope(edge, edge), None, "takeoff")[aft]


def test_a_sum_that_is_the_limit_up_to_rounding_has_a_margin_of_exactly_zero() -> None:
    for mass in (1085.0, math.nextafter(1085.0, 0), math.nextafter(1085.0, 2000), 1085.0 + 1e-10):
        limit = heaviest(Total(mass, 2400.0), [])
        assert limit.margin == 0.0
        assert limit.verdict == "inside"


def test_a_real_gram_over_is_outside() -> None:
    assert heaviest(Total(1085.001, 2400.0), []).verdict == "outside"


def test_the_density_is_raised_once_for_a_mass_limit() -> None:
    # 144 L whose density has u = 5 kg/m3: mass counted at rho + U is 1.44 kg more; nothing of it in
    # U(margin).
    effects = [Effect(FUEL_DENSITY, 0.144 * 5, 0.144 * 5 * 2.41), Effect("front seats", 2.0, 4.33)]
    limit = heaviest(Total(1080.0, 2500.0), effects)
    assert limit.value == pytest.approx(1081.44)
    assert limit.margin == pytest.approx(3.56)
    assert limit.uncertainty == pytest.approx(4.0)  # 2 x 2 kg of the person alone
    assert limit.verdict == "not shown inside"
    assert dict(limit.causes) == {"front seats": 2.0}
    # With only the density uncertain, 3.56 kg left is inside: counted twice it would have been 5 - 2 x 1.44
    # with U again on top.
    assert heaviest(Total(1083.0, 2500.0), effects[:1]).verdict == "inside"


def test_a_cg_limit_does_count_the_density() -> None:
    effects = [Effect(FUEL_DENSITY, 0.144 * 5, 0.144 * 5 * 2.41)]
    limit = edge_limit(edge_of(AFT, True), Total(1000.0, 2300.0), effects)
    assert limit.uncertainty == pytest.approx(2 * 0.72 * (2.41 - 2.30) / 1000, rel=1e-12)


def test_the_cg_margin_against_both_edges() -> None:
    sum_ = Total(952.5, 952.5 * 2.25)
    assert edge_limit(edge_of(FORWARD, False), sum_, []).margin == pytest.approx(0.04, abs=1e-12)
    assert edge_limit(edge_of(AFT, True), sum_, []).margin == pytest.approx(0.12, abs=1e-12)


@pytest.mark.parametrize("kind", ["linear in cg", "linear in moment"])
def test_the_gradient_of_a_margin_is_its_derivative(kind: str) -> None:
    # An effect of one kg or of one kg.m must change the margin as recomputing it does.
    edge = Edge(FORWARD.points, kind)  # type: ignore[arg-type]
    base = Total(950.0, 950.0 * 2.26)
    for step in (Effect("x", 1e-3, 0.0), Effect("x", 0.0, 1e-3), Effect("x", 1e-3, 3e-3)):
        limit = edge_limit(edge_of(edge, False), base, [step])
        after = edge_limit(edge_of(edge, False), Total(base.mass + step.mass, base.moment + step.moment), [])
        assert limit.causes[0][1] == pytest.approx(
            after.margin - limit.margin, abs=1e-11
        )  # second order: (1e-3/950)^2
        assert limit.uncertainty == pytest.approx(2 * abs(after.margin - limit.margin), abs=3e-11)


def test_effects_of_one_cause_add_before_they_are_squared() -> None:
    effects = [Effect("a", 3.0, 0.0), Effect("a", -3.0, 0.0), Effect("b", 4.0, 0.0)]
    assert contributions(effects, Gradient(mass=1.0)) == {"a": 0.0, "b": 4.0}
    assert expanded(contributions(effects, Gradient(mass=1.0)).items()) == 8.0
    assert (
        expanded(contributions([Effect("a", 3.0, 0.0), Effect("b", 4.0, 0.0)], Gradient(mass=1.0)).items())
        == 10.0
    )


def test_lateral_limits_left_is_negative() -> None:
    total, effects = Total(1000.0, 2300.0, 30.0), [Effect("x", 0.0, 0.0, 5.0)]
    left, right = (
        judge(limit, total, effects)
        for limit in of_centre(Envelope(FORWARD, AFT), (-0.05, 0.05), "takeoff")[2:]
    )
    assert (left.margin, right.margin) == (pytest.approx(0.08), pytest.approx(0.02))
    assert right.uncertainty == pytest.approx(2 * 5 / 1000)
    assert right.verdict == "inside"


def test_the_least_mass_of_the_envelope_is_a_limit_too() -> None:
    here = Total(590.0, 590 * 2.2)
    limits = of_envelope(Envelope(FORWARD, AFT), None, "takeoff")
    names = {limit.name: judge(limit, here, []) for limit in limits}
    assert names["least mass of the envelope"].verdict == "outside"
    assert set(names) == {"forward limit", "aft limit", "least mass of the envelope"}


def test_lower_and_upper_limits() -> None:
    limit = Limit(id="x", place="takeoff", quantity="mass", name="x", dimension="mass", bound=5.0)
    assert result(limit, 3.0, [], Gradient(mass=1.0)).margin == 2.0
    assert result(replace(limit, upper=False), 3.0, [], Gradient(mass=1.0)).margin == -2.0
