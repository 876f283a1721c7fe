"""One state of the aircraft against every limit: value, limit, margin, its uncertainty, verdict."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final, Literal, TypeAlias

from planner.flight.limits import Group, Limit, Place
from planner.quantities import many
from planner.quantities.effects import COVERAGE, FUEL_DENSITY, Effect, Gradient, contributions, expanded
from planner.quantities.frozen import frozen
from planner.quantities.many import Some, Test, greater, over, root, summed, where
from planner.quantities.moments import Total
from planner.quantities.polygon import Piece
from planner.quantities.units import Dimension

Verdict = Literal["inside", "not shown inside", "outside"]
ORDER: Final[tuple[Verdict, ...]] = ("inside", "not shown inside", "outside")
# Rounding noise of a sum of a few dozen masses; a margin smaller than this share of its limit is zero.
NOISE: Final = 1e-12
# standard uncertainties of the mass within which a corner of an edge still shows in the spread of the margin
FARTHEST: Final = 6.0

Causes: TypeAlias = tuple[tuple[str, float], ...]
_Effects: TypeAlias = Sequence[Effect]
_Pieces: TypeAlias = Sequence[Piece]


def verdict(margin: float, uncertainty: float) -> Verdict:
    """`inside` when margin > U, `not shown inside` when 0 <= margin <= U, `outside` when margin < 0.

    A margin of exactly zero is `inside` where nothing about it is unsure: a locker may be loaded to its
    limit. Uncertainty never turns an `outside` into anything better. Both in one unit; U is expanded, k = 2.
    Source: [jcgm-100] 6.2 for U; the three states are this program's rule.
    """
    if margin < 0:
        return "outside"
    return "inside" if margin > uncertainty or uncertainty == 0.0 else "not shown inside"


def without_noise(margin: float, bound: float, value: float) -> float:
    """The margin between a bound and a value, all [same unit]; zero where it is only rounding.
    Source: [common-practice] rounding noise is no exceedance.
    """
    return 0.0 if abs(margin) <= NOISE * max(abs(bound), abs(value)) else margin


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """The worst of several verdicts; `inside` for none."""
    return max(verdicts, key=ORDER.index, default="inside")


@frozen
class Doubt:
    """A place of the burn, `fuel` left [m3], where a margin is larger than the least one and yet not larger
    than its own U.
    """

    margin: float
    uncertainty: float
    fuel: float


@frozen
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
    limit: Limit,
    value: float,
    effects: Sequence[Effect],
    gradient: Gradient,
    without: frozenset[str] = frozenset(),
) -> LimitResult:
    """The check of one figure against a bound that is a number, with its `gradient`; causes `without` do not
    count.
    """
    bound = limit.at()
    margin = without_noise(limit.margin(value), bound, value)
    found = contributions(effects, gradient).items()
    causes = tuple((cause, change) for cause, change in found if change and cause not in without)
    return _shown(limit, value, bound, margin, expanded(causes), causes)


def _shown(
    limit: Limit, value: float, bound: float, margin: float, uncertainty: float, causes: Causes
) -> LimitResult:
    return LimitResult(
        name=limit.name,
        dimension=limit.dimension,
        value=value,
        limit=bound,
        margin=margin,
        uncertainty=uncertainty,
        verdict=verdict(margin, uncertainty),
        causes=causes,
        id=limit.id,
        group=limit.group,
        place=limit.place,
    )


def judge(limit: Limit, total: Total, effects: Sequence[Effect], along: bool = False) -> LimitResult:
    """One state against a limit on its mass or its CG.

    A greatest mass takes the fuel at its density plus U, so that the density is not counted again in the
    margin's uncertainty; where a greater density makes the state lighter (fuel loaded by mass and burnt by
    volume), nothing is raised and the density stays in U. The lateral CG is y = L/m with gradient 1/m per
    kg.m of lateral moment and -y/m per kg. The edges of the envelope are as `edge_limit` has them.

    Parameters: `limit` of the register; `total` mass [kg] and moments [kg.m]; `effects` of the state; `along`
    for a place of the burn. Returns a LimitResult in SI.
    Source: [jcgm-100] 6.2; the rule of using rho + U is this program's; [faa-h-8083-1b] (rotorcraft chapter)
    across.
    """
    if limit.quantity == "cg":
        return edge_limit(limit, total, effects, along)
    if limit.quantity == "lateral":
        cg = total.lateral_centre_of_gravity
        return result(limit, cg, effects, of_lateral_cg(total.mass, cg))
    raised = heavier(limit, effects)
    without = frozenset({FUEL_DENSITY}) if raised else frozenset[str]()
    return result(limit, total.mass + COVERAGE * raised, effects, Gradient(mass=1.0), without)


def heavier(limit: Limit, effects: Sequence[Effect]) -> Some:
    """How much heavier one standard uncertainty of the fuel's density makes a state that is held against a
    greatest mass [kg]; zero where it makes it lighter.

    Parameters: `limit` on the mass; `effects` of one state, or of a block. Source: as `judge`.
    """
    of_density = (each for each in effects if each.cause == FUEL_DENSITY) if limit.upper else ()
    return greater(contributions(of_density, Gradient(mass=1.0)).get(FUEL_DENSITY, 0.0), 0.0)


def of_lateral_cg(mass: Some, cg: Some) -> Gradient:
    """How a lateral CG [m] changes with mass and lateral moment. Source: as `judge`."""
    return Gradient(mass=-cg / mass, lateral_moment=1.0 / mass)


def of_edge_margin(sign: float, mass: Some, cg: Some, slope: Some) -> Gradient:
    """How the margin to an edge of this `slope` [m/kg] changes; `sign` 1 if aft. Source: as `edge_limit`."""
    return Gradient(mass=sign * (cg / mass + slope), moment=-sign / mass)


def edge_limit(limit: Limit, total: Total, effects: Sequence[Effect], along: bool = False) -> LimitResult:
    """The CG against one edge at this mass.

    margin = +-(f(m) - M/m); its gradient is -+1/m per kg.m and +-(M/m2 + f'(m)) per kg. U is what the margin
    may lose within k standard uncertainties: k |gradient| on a straight edge. Where the mass itself is unsure
    by so much that it may lie beyond a corner of the edge, it is the most that any piece within reach may
    take, or k times the margin's standard deviation over the whole edge, if that is more. For a place of the
    burn (`along`) the pieces that hold there count whole: an unsure burn passes the same mass a little
    earlier or later, so a corner never shields it.
    Parameters: `limit` on the CG; `total` mass [kg] and moment [kg.m]; `effects`. Result in m.
    Source: [faa-h-8083-1b] ch. 5; [jcgm-100] 5.1; the worst case within an ellipsoid of k = 2 is this
    program's rule.
    """
    edge = limit.edge
    mass, cg, sign = total.mass, total.centre_of_gravity, 1.0 if limit.upper else -1.0
    own = edge.piece_at(mass)
    margin = sign * (own.arm(mass) - cg)
    at_mass = own.arm(mass), own.slope(mass)
    uncertainty, changes = edge_u(edge.pieces(), sign, mass, cg, at_mass, effects, along)
    # For the forward edge the value is above its limit, so both signs turn.
    causes = tuple((cause, -sign * change) for cause, change in changes.items() if change)
    return _shown(limit, cg, at_mass[0], without_noise(margin, at_mass[0], cg), uncertainty, causes)


def edge_u(
    pieces: _Pieces, sign: float, mass: Some, cg: Some, own: tuple[Some, Some], effects: _Effects, along: bool
) -> tuple[Some, dict[str, Some]]:
    """U of the margin to an edge [m], and its change per cause on the piece that takes most.

    Parameters: the `pieces` of the edge; `sign` 1 for the aft edge; `mass` [kg] and `cg` [m] of one state, or
    of a block; `own` limiting arm [m] and slope [m/kg] at that mass; `effects`; `along` for a place of the
    burn. Source: as `edge_limit`.
    """
    margin, u_mass = sign * (own[0] - cg), root(_moments(effects, {})[0])
    reach, near = COVERAGE * u_mass + 1e-9 * mass, FARTHEST * u_mass
    uncertainty: Some = 0.0
    causes: dict[str, Some] = {}
    corner: Test = False
    for piece in pieces:
        corner = corner | (abs(piece.low - mass) < near)
        within = (piece.high >= mass - reach) & (piece.low <= mass + reach)
        if many.anywhere(within):
            lost, changes = _lost_on(piece, sign, mass, cg, margin, effects, along)
            if not causes or many.anywhere(within & (lost > uncertainty)):
                causes = changes
            uncertainty = where(within, greater(lost, uncertainty), uncertainty)
    if many.anywhere(corner):
        uncertainty = greater(uncertainty, COVERAGE * _spread(pieces, mass, cg, effects, *own))
    return uncertainty, causes


def _lost_on(
    piece: Piece, sign: float, mass: Some, cg: Some, margin: Some, effects: _Effects, along: bool
) -> tuple[Some, dict[str, Some]]:
    """What a margin [m] may lose within k standard uncertainties on one piece of an edge, and its change per
    cause.
    """
    changes = contributions(effects, of_edge_margin(sign, mass, cg, piece.slope(mass)))
    low, high = piece.low - mass, piece.high - mass  # how far off the mass may be on this piece
    if along:
        holds = (low <= 1e-9 * mass) & (high >= -1e-9 * mass)
        low, high = where(holds, -math.inf, low), where(holds, math.inf, high)
    variance, shared, squares = _moments(effects, changes)
    own = root(squares)
    at_worst = over(-COVERAGE * shared, own)  # how far off the mass is where the margin is least
    off = many.between(low, at_worst, high)
    # Among inputs at the distance k the mass is off by t where their remaining freedom is sqrt(k2 - t2/u_m2).
    across = greater(squares - over(shared * shared, variance), 0.0)
    bent = root(greater(COVERAGE**2 - over(off * off, variance), 0.0) * across) - over(shared * off, variance)
    lost = where((off != at_worst) & (variance > 0) & (own > 0), bent, COVERAGE * own)
    return lost - (sign * (piece.arm(mass) - cg) - margin), changes


def _moments(effects: Sequence[Effect], changes: Mapping[str, Some]) -> tuple[Some, Some, Some]:
    """Variance of the mass [kg2], its covariance with a figure of these `changes`, and its variance."""
    masses = contributions(effects, Gradient(mass=1.0))
    variance = summed(change * change for change in masses.values())
    shared = summed(change * masses.get(cause, 0.0) for cause, change in changes.items())
    return variance, shared, summed(change * change for change in changes.values())


def _spread(pieces: _Pieces, mass: Some, cg: Some, effects: _Effects, own_arm: Some, own_slope: Some) -> Some:
    """Standard deviation of the margin [m] where the edge bends within the spread of the mass: exact for a
    normal mass, off by t, and pieces straight in t; nothing where the mass is sure. [jcgm-100] 4.3
    """
    changes = contributions(effects, of_edge_margin(-1.0, mass, cg, own_slope))
    variance, shared, squares = _moments(effects, changes)
    shared = over(shared, variance)
    u, known = root(variance), variance > 0
    safe = where(known, u, 1.0)
    first: Some = 0.0
    second: Some = 0.0
    parts = [_normal_below((end - mass) / safe) for end in (pieces[0].low, *(each.high for each in pieces))]
    for piece, low, high in zip(pieces, parts, parts[1:], strict=False):
        # The value above its limit where the mass is off by t, on this piece: level + slope t.
        slope = shared + own_slope - piece.slope(mass)
        level = own_arm - piece.arm(mass)
        weight, mean, square = (above - below for above, below in zip(high, low, strict=True))
        first = first + level * weight + slope * u * mean
        second = (
            second + level * level * weight + 2 * level * slope * u * mean + slope * slope * variance * square
        )
    across = greater(squares - shared * shared * variance, 0.0)
    return where(known, root(greater(second - first * first, 0.0) + across), 0.0)


def _normal_below(end: Some) -> tuple[Some, Some, Some]:
    """Weight (less a half), first and second moment of a standard normal number below an end [1]."""
    weight, density = many.erf(end / math.sqrt(2)) / 2, many.power(-end * end / 2) / math.sqrt(2 * math.pi)
    return weight, -density, weight - where(abs(end) < math.inf, end, 0.0) * density
