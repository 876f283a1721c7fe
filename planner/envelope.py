"""One state of the aircraft against every limit: value, limit, margin, its uncertainty, verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from planner.effects import COVERAGE, FUEL_DENSITY, Effect, Gradient, contributions, expanded
from planner.moments import Total
from planner.polygon import Edge, Envelope
from planner.units import Dimension

Verdict = Literal["inside", "not shown inside", "outside"]
ORDER: Final[tuple[Verdict, ...]] = ("inside", "not shown inside", "outside")
# Rounding noise of a sum of a few dozen masses; a margin smaller than this share of its limit is zero.
NOISE: Final = 1e-12


def verdict(margin: float, uncertainty: float) -> Verdict:
    """`inside` when margin > U, `not shown inside` when 0 <= margin <= U, `outside` when margin < 0.

    Uncertainty never turns an `outside` into anything better. Parameters in one unit; U is expanded, k = 2.
    Source: [jcgm-100] 6.2 for U; the three states are this program's rule.
    """
    if margin < 0:
        return "outside"
    return "inside" if margin > uncertainty else "not shown inside"


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """The worst of several verdicts; `inside` for none."""
    return max(verdicts, key=ORDER.index, default="inside")


@dataclass(frozen=True, slots=True)
class LimitResult:
    """A limit checked: all figures in SI of `dimension`; `uncertainty` is expanded (k = 2); `causes` cause -> signed change for one u."""

    name: str
    dimension: Dimension
    value: float
    limit: float
    margin: float
    uncertainty: float
    verdict: Verdict
    causes: tuple[tuple[str, float], ...] = ()


def result(
    name: str,
    dimension: Dimension,
    value: float,
    limit: float,
    upper: bool,
    effects: Sequence[Effect],
    gradient: Gradient,
    without: frozenset[str] = frozenset(),
) -> LimitResult:
    """The check of one figure: margin = limit - value for an upper limit, value - limit for a lower one."""
    margin = limit - value if upper else value - limit
    if abs(margin) <= NOISE * max(abs(limit), abs(value)):
        margin = 0.0
    causes = tuple((cause, change) for cause, change in contributions(effects, gradient).items() if change and cause not in without)
    uncertainty = expanded(causes)
    return LimitResult(name, dimension, value, limit, margin, uncertainty, verdict(margin, uncertainty), causes)


def mass_limit(name: str, total: Total, limit: float, effects: Sequence[Effect]) -> LimitResult:
    """A greatest mass. The fuel is taken at its density plus U, so the density is not counted again in the margin's uncertainty.

    value = m + k u_m(density); parameters in kg. Source: [jcgm-100] 6.2; the rule of using rho + U is this program's.
    """
    raised = COVERAGE * sum(effect.mass for effect in effects if effect.cause == FUEL_DENSITY)
    return result(name, "mass", total.mass + max(raised, 0.0), limit, True, effects, Gradient(mass=1.0), frozenset({FUEL_DENSITY}))


def edge_limit(name: str, edge: Edge, total: Total, effects: Sequence[Effect], aft: bool) -> LimitResult:
    """The CG against one edge at this mass.

    margin = +-(M/m - f(m)); its gradient is +-1/m per kg.m and -+(M/m2 + f'(m)) per kg.
    Parameters: `edge`; `total` mass [kg] and moment [kg.m]; `effects`; `aft` True for the aft edge. Result in m.
    Source: [faa-h-8083-1b] ch. 5; [jcgm-100] 5.1.
    """
    mass, cg = total.mass, total.centre_of_gravity
    checks = [
        result(name, "length", cg, piece.arm(mass), aft, effects, Gradient(mass=-(cg / mass + piece.slope(mass)), moment=1.0 / mass))
        for piece in edge.pieces_at(mass)
    ]
    # On a corner of the edge the limit is the same from both sides but its slope is not: the less sure side counts.
    return max(checks, key=lambda check: check.uncertainty)


def lateral_limits(left: float, right: float, total: Total, effects: Sequence[Effect]) -> tuple[LimitResult, LimitResult]:
    """The lateral CG [m] between a left (negative) and a right limit [m].

    y = L/m with gradient 1/m per kg.m of lateral moment and -y/m per kg. Source: [faa-h-8083-1b] (rotorcraft chapter).
    """
    cg = total.lateral_centre_of_gravity
    gradient = Gradient(mass=-cg / total.mass, lateral_moment=1.0 / total.mass)
    return (
        result("lateral limit, left", "length", cg, left, False, effects, gradient),
        result("lateral limit, right", "length", cg, right, True, effects, gradient),
    )


def centre_limits(envelope: Envelope, lateral: tuple[float, float] | None, total: Total, effects: Sequence[Effect]) -> tuple[LimitResult, ...]:
    """Every CG limit of one state, and the least mass for which the envelope is drawn.

    Parameters: `envelope`; `lateral` limits (left, right) [m] or None where the profile has none; `total`; `effects`.
    Source: as `edge_limit`.
    """
    found = [
        edge_limit("forward limit", envelope.forward, total, effects, aft=False),
        edge_limit("aft limit", envelope.aft, total, effects, aft=True),
        result("least mass of the envelope", "mass", total.mass, envelope.least_mass, False, effects, Gradient(mass=1.0)),
    ]
    if lateral is not None:
        found.extend(lateral_limits(*lateral, total, effects))
    return tuple(found)
