"""Where along the burn a CG margin is not larger than its uncertainty, although no margin is below zero.

Over a span of the burn the margin is `h(m) = A/m + B + C m`. One standard uncertainty of a cause changes mass
and moment by steps that are polynomials in the mass, so that its change of the margin, times m2, is a cubic:
`P(m) = +-[(r m2 - p + M) dm - m dM]`. In Bernstein's form a cubic is a mean of its control values, and the
length of a mean of vectors is at most the mean of their lengths: so m2 U is at most the cubic whose control
values are the lengths of those of all causes. Where those of m2 h, a cubic, too, are all greater, so is the
margin all along the span; halving the span brings both as near as wanted. Nothing is sampled.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Final, TypeAlias

from planner.flight.burn import Point, Reach, Stretch, reaches
from planner.flight.curve import Curve, at_mass
from planner.flight.fuel import EMPTY, Changes, Draw, Held, Leg, Off, Stage, burn_down, held_after
from planner.flight.limits import Limit, Place
from planner.quantities.effects import COVERAGE, FAR
from planner.quantities.many import Some, Test, greater, root, summed

# cause -> what one standard uncertainty of it does to mass [kg], moment and lateral moment [kg.m]
Steps: TypeAlias = Mapping[str, tuple[Some, Some, Some]]
StepsAt: TypeAlias = Callable[[Point], Steps]
Cubic: TypeAlias = tuple[Some, Some, Some, Some]  # its four control values

_NOISE: Final = 1e-14  # of m2 h: what rounding leaves of it
DEPTH: Final = 24  # halvings after which margin and U are the same to rounding, which counts as doubt


def doubtful_point(path: Sequence[Stretch], bound: Limit, steps_at: StepsAt) -> Point | None:
    """The first place of the burn where a margin against `bound` is not larger than its U (k = 2); None where
    there is none.

    Parameters: `path` of stretches on which no margin is below zero; `bound`; `steps_at`, the steps of every
    cause at a place.
    Range: arms that are straight lines of the volume, edges linear in CG or in moment.
    Source: closed form derived in the module's heading; [jcgm-100] 6.2 for U.
    """
    for reach in reaches(path, bound):
        masses = nodes(reach)
        at = [steps_at(reach.stretch.point_at(mass)) for mass in masses]
        doubtful = _doubt(reach.curve, reach.high, reach.low, cubics(reach, bound, masses, at), DEPTH)
        if doubtful is not None:
            return reach.stretch.point_at(doubtful)
    return None


def nodes(reach: Reach) -> list[Some]:
    """Four masses [kg] at equal distances over a part of the burn. Source: as `doubtful_point`."""
    return [reach.high + (reach.low - reach.high) * third / 3 for third in range(4)]


def cubics(reach: Reach, bound: Limit, masses: Sequence[Some], at: Sequence[Steps]) -> tuple[Cubic, ...]:
    """m2 times the change of the margin over a part of the burn, by every cause: the control values of a
    cubic.

    Parameters: the `masses` of its `nodes` [kg], and `at` each the steps of every cause; single, or of a
    block. Source: as `doubtful_point`.
    """
    across, piece, values = bound.axis == "lateral", reach.piece, []
    curve = reach.stretch.lateral if across else reach.stretch.moment
    for mass, steps in zip(masses, at, strict=True):
        by_mass = piece.r * mass * mass - piece.p + at_mass(curve, mass)
        values.append({cause: by_mass * s[0] - mass * s[2 if across else 1] for cause, s in steps.items()})
    causes = dict.fromkeys(cause for each in values for cause in each)
    return tuple(_control(*(each.get(cause, 0.0) for each in values)) for cause in causes)


def _control(p0: Some, p1: Some, p2: Some, p3: Some) -> Cubic:
    """Control values of the cubic through four values at equal distances."""
    return p0, (-5 * p0 + 18 * p1 - 9 * p2 + 2 * p3) / 6, (2 * p0 - 9 * p1 + 18 * p2 - 5 * p3) / 6, p3


def _doubt(curve: Curve, high: float, low: float, control: tuple[Cubic, ...], depth: int) -> float | None:
    """A mass between `high` and `low` where the margin is not larger than U, by halving until it is found or
    ruled out.
    """
    lengths = [math.hypot(*(each[k] for each in control)) for k in range(4)]
    over, noise = excess(curve, high, low, lengths)
    if over[0] <= 0.0:
        return high
    if over[3] <= 0.0:
        return low
    if min(over) > noise:
        return None
    middle = (high + low) / 2
    if depth == 0:
        return middle
    halves = [halved(each) for each in control]
    return _doubt(curve, high, middle, tuple(first for first, _ in halves), depth - 1) or _doubt(
        curve, middle, low, tuple(second for _, second in halves), depth - 1
    )


def excess(curve: Curve, high: Some, low: Some, lengths: Sequence[Some]) -> tuple[Cubic, Some]:
    """m2 (h - U) is at least the cubic of these control values; and what rounding leaves of them.

    Parameters: the `curve` of the margin h; masses `high` and `low` [kg]; `lengths` of the vectors of all
    causes at the control values of theirs [kg2 m]; single, or of a block.
    Source: as `doubtful_point`; the cubic m2 h by its polar form at the ends.
    """
    a, b, c = curve
    middle = high + low
    margins = (
        high * (a + high * (b + c * high)),
        (a * (middle + high) + b * high * (middle + low)) / 3 + c * high * high * low,
        (a * (middle + low) + b * low * (middle + high)) / 3 + c * high * low * low,
        low * (a + low * (b + c * low)),
    )
    m0, m1, m2, m3 = (m - COVERAGE * length for m, length in zip(margins, lengths, strict=True))
    return (m0, m1, m2, m3), _NOISE * (abs(a) + (abs(b) + abs(c) * high) * high) * high


def halved(control: Cubic) -> tuple[Cubic, Cubic]:
    """The control values of both halves of a cubic (de Casteljau)."""
    b0, b1, b2, b3 = control
    p, q, r = (b0 + b1) / 2, (b1 + b2) / 2, (b2 + b3) / 2
    s, t = (p + q) / 2, (q + r) / 2
    middle = (s + t) / 2
    return (b0, p, s, middle), (middle, t, r, b3)


def may_bend(draws: Sequence[Draw]) -> Test:
    """Whether a tank runs dry before landing, or may within what is unsure about it: then the burn is not
    straight in its causes. One that runs dry at a sure moment may not, if the rest of its leg is unsure.

    Parameters: `draws` as given by `planner.flight.fuel.burn_down`. Source: as `off_course`.
    """
    flown = [draw for draw in draws if draw.stage in ("taxi", "trip")]
    bent: Test = False
    if any(any(draw.changes) or any(draw.drawn) for draw in flown):
        for draw in flown:
            for before, after, unsure in zip(draw.start, draw.end, draw.end_changes, strict=True):
                reach = FAR * root(summed(change * change for change in unsure.values()))
                bent = bent | (before > EMPTY) & (after <= greater(reach, EMPTY))
    return bent


def off_course(
    names: Sequence[str],
    volumes: Sequence[Some],
    order: Sequence[Sequence[str]],
    legs: Sequence[Leg],
    changes: Sequence[Changes],
) -> dict[Stage, Off]:
    """The volumes left after taxi and after the trip with every cause `FAR` standard uncertainties less and
    more.

    What `burn_down` carries along holds as long as the tanks run dry in the same order; this flies the burn
    again where they may not. Parameters as for `burn_down`, those of the `legs` before landing. Returns
    stage -> cause -> volumes per tank [m3].
    Source: [jcgm-100] 5.1.3 note 2: where a figure bends, its change is taken over the interval.
    """
    flown = [leg for leg in legs if leg.stage in ("taxi", "trip")]
    found: dict[Stage, dict[str, tuple[Sequence[Some], Sequence[Some]]]] = {"taxi": {}, "trip": {}}
    for cause in dict.fromkeys(
        cause for each in (*changes, *(leg.changes for leg in flown)) for cause in each
    ):
        ends: dict[Stage, list[Sequence[Some]]] = {"taxi": [], "trip": []}
        for sign in (-FAR, FAR):
            at: Held = (
                [
                    greater(v + sign * each.get(cause, 0.0), 0.0)
                    for v, each in zip(volumes, changes, strict=True)
                ],
                (),
            )
            changed = [
                replace(leg, volume=greater(leg.volume + sign * leg.changes.get(cause, 0.0), 0.0), changes={})
                for leg in flown
            ]
            draws, _ = burn_down(names, at[0], order, changed, go_on=True)
            for stage, each in ends.items():
                at = held_after(draws, stage, at)
                each.append(at[0])
        for stage, (less, more) in ends.items():
            found[stage][cause] = (less, more)
    return dict(found)


# What is in the tanks in a state, and what it is with less and with more of a cause where the burn bends.
At: TypeAlias = tuple[Sequence[Some], Sequence[Changes], Off | None]


def places(full: Held, draws: Sequence[Draw], off: Mapping[Stage, Off]) -> dict[Place, At]:
    """The fuel of every state: usable volumes [m3], what every cause does to each, and what it does where the
    burn bends.

    Parameters: what is in the `full` tanks before the burn; its `draws`; `off` as
    `off_course` has it. Where the fuel runs out before landing, the landing state is
    that without usable fuel (the fuel plan says so). Source: as `planner.flight.fuel.burn_down`.
    """
    takeoff = held_after(draws, "taxi", full)
    return {
        "ramp": (*full, None),
        "takeoff": (*takeoff, off.get("taxi")),
        "landing": (*held_after(draws, "trip", takeoff), off.get("trip")),
        "zero fuel": (tuple(0.0 for _ in full[0]), (), None),
    }
