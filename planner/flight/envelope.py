"""One state of the aircraft against every limit: value, limit, margin, its uncertainty, verdict."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from planner.flight.limits import AFT, FORWARD, GREATEST, LEAST, LEFT, RIGHT, Group, Place
from planner.quantities.effects import COVERAGE, FUEL_DENSITY, Effect, Gradient, contributions, expanded
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, Envelope
from planner.quantities.units import Dimension

Verdict = Literal["inside", "not shown inside", "outside"]
ORDER: Final[tuple[Verdict, ...]] = ("inside", "not shown inside", "outside")
# Rounding noise of a sum of a few dozen masses; a margin smaller than this share of its limit is zero.
NOISE: Final = 1e-12
# standard uncertainties of the mass within which a corner of an edge still shows in the spread of the margin
FARTHEST: Final = 6.0

Causes: TypeAlias = tuple[tuple[str, float], ...]


def verdict(margin: float, uncertainty: float) -> Verdict:
    """`inside` when margin > U, `not shown inside` when 0 <= margin <= U, `outside` when margin < 0.

    A margin of exactly zero is `inside` where nothing about it is unsure: a locker may be loaded to its
    limit. Uncertainty never turns an `outside` into anything better. Parameters in one unit; U is expanded, k
    = 2.
    Source: [jcgm-100] 6.2 for U; the three states are this program's rule.
    """
    if margin < 0:
        return "outside"
    return "inside" if margin > uncertainty or uncertainty == 0.0 else "not shown inside"


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """The worst of several verdicts; `inside` for none."""
    return max(verdicts, key=ORDER.index, default="inside")


@dataclass(frozen=True, slots=True)
class Doubt:
    """A place of the burn, `fuel` left [m3], where a margin is larger than the least one and yet not larger
    than its own U.
    """

    margin: float
    uncertainty: float
    fuel: float


@dataclass(frozen=True, slots=True)
class LimitResult:
    """A limit checked: all figures in SI of `dimension`; `uncertainty` is expanded (k = 2); `causes` cause ->
    signed change for one u.

    `id`, `group` and `place` are those of `planner.flight.limits`, by which every reader finds it.
    A limit of the whole burn is shown where its margin is least; its verdict is the worst of the burn, with
    the place in `doubt` if another.
    """

    name: str
    dimension: Dimension
    value: float
    limit: float
    margin: float
    uncertainty: float
    verdict: Verdict
    causes: tuple[tuple[str, float], ...] = ()
    doubt: Doubt | None = None
    id: str = ""
    group: Group = "load"
    place: Place = "load"
    base: str = ""
    variant: str = ""

    @property
    def title(self) -> str:
        """Its name without the place where it is asked: the limit, and the moment changes it is asked
        with.
        """
        return (self.base or self.name) + self.variant

    @property
    def tightest(self) -> tuple[float, float]:
        """Margin and U where they are nearest to each other: those of the doubt, if there is one."""
        return (
            (self.margin, self.uncertainty)
            if self.doubt is None
            else (self.doubt.margin, self.doubt.uncertainty)
        )


def result(
    name: str,
    dimension: Dimension,
    value: float,
    limit: float,
    upper: bool,
    effects: Sequence[Effect],
    gradient: Gradient,
    without: frozenset[str] = frozenset(),
    *,
    id: str,  # noqa: A002 - the id of a limit is called so everywhere
    group: Group,
) -> LimitResult:
    """The check of one figure: margin = limit - value for an upper limit, value - limit for a lower one."""
    margin = limit - value if upper else value - limit
    if abs(margin) <= NOISE * max(abs(limit), abs(value)):
        margin = 0.0
    causes = tuple(
        (cause, change)
        for cause, change in contributions(effects, gradient).items()
        if change and cause not in without
    )
    uncertainty = expanded(causes)
    return LimitResult(
        name=name,
        dimension=dimension,
        value=value,
        limit=limit,
        margin=margin,
        uncertainty=uncertainty,
        verdict=verdict(margin, uncertainty),
        causes=causes,
        id=id,
        group=group,
    )


def mass_limit(name: str, total: Total, limit: float, effects: Sequence[Effect]) -> LimitResult:
    """A greatest mass. The fuel is taken at its density plus U, so the density is not counted again in the
    margin's uncertainty.

    value = m + k u_m(density); parameters in kg. Where a greater density makes the state lighter (fuel loaded
    by mass and burnt by volume), nothing is raised and the density stays in U.
    Source: [jcgm-100] 6.2; the rule of using rho + U is this program's.
    """
    by_density = contributions(
        (each for each in effects if each.cause == FUEL_DENSITY), Gradient(mass=1.0)
    ).get(FUEL_DENSITY, 0.0)
    if by_density <= 0:
        return result(
            name, "mass", total.mass, limit, True, effects, Gradient(mass=1.0), id=GREATEST, group="mass"
        )
    raised, without = total.mass + COVERAGE * by_density, frozenset({FUEL_DENSITY})
    return result(
        name, "mass", raised, limit, True, effects, Gradient(mass=1.0), without, id=GREATEST, group="mass"
    )


def edge_limit(
    name: str, edge: Edge, total: Total, effects: Sequence[Effect], aft: bool, along: bool = False
) -> LimitResult:
    """The CG against one edge at this mass.

    margin = +-(f(m) - M/m); its gradient is -+1/m per kg.m and +-(M/m2 + f'(m)) per kg. U is what the margin
    may lose within k standard uncertainties: k |gradient| on a straight edge. Where the mass itself is unsure
    by so much that it may lie beyond a corner of the edge, it is the most that any piece of the edge within
    reach may take (`_loss`), or k times the margin's standard deviation over the whole edge (`_spread`), if
    that is more. For a place of the burn (`along`) the pieces that hold there count whole: an unsure burn
    passes the same mass a little earlier or later, so a corner never shields it.
    Parameters: `edge`; `total` mass [kg] and moment [kg.m]; `effects`; `aft` True for the aft edge. Result in
    m.
    Source: [faa-h-8083-1b] ch. 5; [jcgm-100] 5.1; the worst case within an ellipsoid of k = 2 is this
    program's rule.
    """
    mass, cg, sign = total.mass, total.centre_of_gravity, 1.0 if aft else -1.0
    own = edge.piece_at(mass)
    margin = sign * (own.arm(mass) - cg)
    u_mass = math.hypot(*contributions(effects, Gradient(mass=1.0)).values())
    reach = COVERAGE * u_mass + 1e-9 * mass
    uncertainty = 0.0
    causes: Causes = ()
    for piece in edge.pieces():
        if piece.high < mass - reach or piece.low > mass + reach:
            continue
        # The gradient of the margin: for the forward edge the value is above its limit, so both signs turn.
        changes = contributions(
            effects, Gradient(mass=sign * (cg / mass + piece.slope(mass)), moment=-sign / mass)
        )
        whole = along and piece.low - 1e-9 * mass <= mass <= piece.high + 1e-9 * mass
        span = (-math.inf, math.inf) if whole else (piece.low - mass, piece.high - mass)
        lost = _loss(effects, changes, *span) - (sign * (piece.arm(mass) - cg) - margin)
        if lost > uncertainty or not causes:
            uncertainty, causes = (
                max(lost, 0.0),
                tuple((cause, -sign * change) for cause, change in changes.items() if change),
            )
    if u_mass and any(abs(point - mass) < FARTHEST * u_mass for point, _ in edge.points):
        uncertainty = max(uncertainty, COVERAGE * _spread(edge, mass, cg, effects))
    if abs(margin) <= NOISE * max(abs(own.arm(mass)), abs(cg)):
        margin = 0.0
    which: tuple[str, Group] = (AFT, "aft") if aft else (FORWARD, "forward")
    shown = verdict(margin, uncertainty)
    return LimitResult(
        name=name,
        dimension="length",
        value=cg,
        limit=own.arm(mass),
        margin=margin,
        uncertainty=uncertainty,
        verdict=shown,
        causes=causes,
        id=which[0],
        group=which[1],
    )


def _spread(edge: Edge, mass: float, cg: float, effects: Sequence[Effect]) -> float:
    """Standard deviation of the margin [m] where the edge bends within the spread of the mass: exact for a
    normal mass and straight pieces.

    The mass is off by t, normal with u_m; the margin is straight in t on every piece and in all that is
    independent of t.
    """
    own = edge.piece_at(mass)
    changes = contributions(effects, Gradient(mass=-(cg / mass + own.slope(mass)), moment=1.0 / mass))
    masses = contributions(effects, Gradient(mass=1.0))
    variance = math.fsum(each * each for each in masses.values())
    shared = math.fsum(change * masses.get(cause, 0.0) for cause, change in changes.items()) / variance
    across = math.fsum(change * change for change in changes.values()) - shared * shared * variance
    u = math.sqrt(variance)
    first = second = 0.0
    for piece in edge.pieces():
        # The value above its limit where the mass is off by t, on this piece: level + slope t.
        slope = shared + own.slope(mass) - piece.slope(mass)
        level = own.arm(mass) - piece.arm(mass)
        low, high = (piece.low - mass) / u, (piece.high - mass) / u
        weight, mean, square = _normal_part(low, high)
        first += level * weight + slope * u * mean
        second += level * level * weight + 2 * level * slope * u * mean + slope * slope * variance * square
    return math.sqrt(max(second - first * first, 0.0) + max(across, 0.0))


def _normal_part(low: float, high: float) -> tuple[float, float, float]:
    """Weight, first and second moment of a standard normal number between two ends [1]."""

    def density(x: float) -> float:
        return math.exp(-x * x / 2) / math.sqrt(2 * math.pi) if math.isfinite(x) else 0.0

    weight = (math.erf(high / math.sqrt(2)) - math.erf(low / math.sqrt(2))) / 2
    mean = density(low) - density(high)
    square = (
        weight
        + (low * density(low) if math.isfinite(low) else 0.0)
        - (high * density(high) if math.isfinite(high) else 0.0)
    )
    return weight, mean, square


def _loss(effects: Sequence[Effect], changes: Mapping[str, float], low: float, high: float) -> float:
    """The most a margin with these `changes` per cause may lose within k standard uncertainties, where the
    mass stays `low` to `high` [kg] off.

    Among inputs at the distance k the mass is off by t at most where their remaining freedom is sqrt(k2 -
    t2/u_m2).
    """
    whole = COVERAGE * math.hypot(*changes.values())
    masses = contributions(effects, Gradient(mass=1.0))
    variance = math.fsum(each * each for each in masses.values())
    if not whole or not variance:
        return whole
    along = math.fsum(change * masses.get(cause, 0.0) for cause, change in changes.items())
    at_worst = -COVERAGE * along / (whole / COVERAGE)  # how far off the mass is where the margin is least
    if low <= at_worst <= high:
        return whole
    off = low if at_worst < low else high
    across = max((whole / COVERAGE) ** 2 - along * along / variance, 0.0)
    return -along * off / variance + math.sqrt(max(COVERAGE**2 - off * off / variance, 0.0) * across)


def lateral_limits(
    left: float, right: float, total: Total, effects: Sequence[Effect]
) -> tuple[LimitResult, LimitResult]:
    """The lateral CG [m] between a left (negative) and a right limit [m].

    y = L/m with gradient 1/m per kg.m of lateral moment and -y/m per kg. Source: [faa-h-8083-1b] (rotorcraft
    chapter).
    """
    cg = total.lateral_centre_of_gravity
    gradient = Gradient(mass=-cg / total.mass, lateral_moment=1.0 / total.mass)
    return (
        result("lateral limit, left", "length", cg, left, False, effects, gradient, id=LEFT, group="lateral"),
        result(
            "lateral limit, right", "length", cg, right, True, effects, gradient, id=RIGHT, group="lateral"
        ),
    )


def centre_limits(
    envelope: Envelope, lateral: tuple[float, float] | None, total: Total, effects: Sequence[Effect]
) -> tuple[LimitResult, ...]:
    """Every CG limit of one state, and the least mass for which the envelope is drawn.

    Parameters: `envelope`; `lateral` limits (left, right) [m] or None where the profile has none; `total`;
    `effects`.
    Source: as `edge_limit`.
    """
    found = [
        edge_limit("forward limit", envelope.forward, total, effects, aft=False),
        edge_limit("aft limit", envelope.aft, total, effects, aft=True),
        result(
            "least mass of the envelope",
            "mass",
            total.mass,
            envelope.least_mass,
            False,
            effects,
            Gradient(mass=1.0),
            id=LEAST,
            group="mass",
        ),
    ]
    if lateral is not None:
        found.extend(lateral_limits(*lateral, total, effects))
    return tuple(found)
