"""From scale readings to the basic empty mass, and whether later changes call for a new record.

Masses in kg, arms in m from the datum, moments in kg.m. The figures are prepared here; a licensed person
signs the weighing report.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

from planner.quantities.effects import Effect, Gradient, contributions, expanded
from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item, Total, add, remove, total
from planner.quantities.sentences import book, say
from planner.quantities.units import POUND

# AMC1 CAT.POL.MAB.100(b): the record is revised once cumulative changes exceed this share.
REVISION_SHARE: Final = 0.005  # of the maximum landing mass; likewise of the mean aerodynamic chord
# AC 43.13-1B 10-2c: up to this much is negligible where the empty mass is below the second figure.
NEGLIGIBLE: Final = 1 * POUND
NEGLIGIBLE_BELOW: Final = 5000 * POUND


@frozen
class ScalePoint:
    """One scale under the levelled aircraft.

    `reading` [kg] as shown, `tare` [kg] of chocks, jacks or pads standing on it, `arm` and `lateral_arm`
    [m] of the point where the aircraft rests, measured at that weighing; `arm_name` where several points
    share one arm.
    """

    name: str
    reading: float
    tare: float
    arm: float
    lateral_arm: float = 0.0
    arm_name: str = ""

    @property
    def reaction(self) -> float:
        """`reading - tare` [kg]."""
        return self.reading - self.tare


@frozen
class WeighingStep:
    """One line of the working: what went in (or, with a negative mass, came out) and the `running` total
    after it.
    """

    item: Item
    running: Total


@frozen
class Weighing:
    """Result of a weighing: `scale_total` as it stood on the scales, `basic_empty` after the corrections,
    every step.
    """

    scale_total: Total
    basic_empty: Total
    steps: tuple[WeighingStep, ...]


def weigh(points: Iterable[ScalePoint], removed: Iterable[Item] = (), added: Iterable[Item] = ()) -> Weighing:
    """Basic empty mass and moment from scale readings.

    Equation: mass = sum(reading - tare) - sum(removed) + sum(added); moment = the same sum with each mass
    times its arm; arm = moment / mass.
    Parameters: `points`, one per scale, any number [kg, m]; `removed`, what stood on the scales and does not
    belong to the basic empty mass (usable fuel, tools, ballast of the weighing) [kg, m]; `added`, what
    belongs to it and was not aboard (unusable fuel after a full drain, oil, a missing seat) [kg, m].
    Returns a Weighing. Valid for an aircraft levelled as its manual tells; the attitude is not known here.
    Raises OutOfRange for no point, a reading below its tare, a name used twice, a removed or added mass below
    zero, NaN or infinity, and where nothing above zero is left.
    Source: [faa-h-8083-30] ch. 4, fig. 4-20; [faa-h-8083-1a] ch. 3.
    """
    scales = tuple(points)
    out, into = tuple(removed), tuple(added)
    _check(scales, (*out, *into))
    steps: list[WeighingStep] = []
    on_scales = [Item(point.name, point.reaction, point.arm, point.lateral_arm) for point in scales]
    running = Total(0.0, 0.0)
    taken = [Item(item.name, -item.mass, item.arm, item.lateral_arm) for item in out]
    for item in on_scales:
        running = add(running, item)
        steps.append(WeighingStep(item, running))
    for item, step in zip(out, taken, strict=True):
        running = remove(running, item)
        steps.append(WeighingStep(step, running))
    for item in into:
        running = add(running, item)
        steps.append(WeighingStep(item, running))
    scale_total = total(on_scales)
    # One sum over everything rather than the running one, so that the order of the corrections leaves no
    # trace.
    basic_empty = total([*on_scales, *taken, *into])
    if not basic_empty.mass > 0:
        raise OutOfRange(
            say(
                "the scales and corrections leave {}; a basic empty mass is above zero",
                book(basic_empty.mass, "mass"),
            )
        )
    return Weighing(scale_total, basic_empty, tuple(steps))


def _check(scales: tuple[ScalePoint, ...], corrections: tuple[Item, ...]) -> None:
    if not scales:
        raise OutOfRange("no scale point; at least one reading is needed")
    names = [point.name for point in scales]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise OutOfRange(f"scale point named twice: {', '.join(twice)}")
    for point in scales:
        figures = (point.name, book(point.reading, "mass"), book(point.tare, "mass"))
        if not (math.isfinite(point.reading) and math.isfinite(point.tare) and point.tare >= 0):
            raise OutOfRange(
                say("{}: reading {} and tare {} must be finite and the tare not below zero", *figures)
            )
        if point.reaction < 0:
            raise OutOfRange(say("{}: the reading of {} is below its tare of {}", *figures))
    for item in corrections:
        if not item.mass >= 0:
            words = "{}: {}; list it as removed or as added, with a mass not below zero"
            raise OutOfRange(say(words, item.name, book(item.mass, "mass")))


@frozen
class MassLine(Item):
    """A reading, correction or change with how well it is known: standard uncertainties of its mass [kg] and
    arms [m].

    `mass` [kg] is what the line adds (negative: takes away) at `arm` and `lateral_arm` [m]. Two lines with
    the same `mass_cause` or `arm_cause` rest on one measurement, so that their errors are one error. `basis`:
    how it came about.
    """

    u_mass: float = 0.0
    u_arm: float = 0.0
    u_lateral_arm: float = 0.0
    mass_cause: str = ""
    arm_cause: str = ""
    basis: str = ""


def line_effects(lines: Iterable[MassLine]) -> tuple[Effect, ...]:
    """What one standard uncertainty of every measurement does to mass and moments.

    Equation: a mass error e at the arm a changes mass by e and moment by e a; an arm error d under the mass m
    changes the moment by m d. Errors with one cause add with their signs.
    Parameters: `lines` [kg, m]. Returns Effects, one per line and kind of error. Valid to first order.
    Source: [jcgm-100] 5.1.2 and 5.2.2, correlation expressed by shared inputs (F.1.2.3).
    """
    effects: list[Effect] = []
    for each in lines:
        if each.u_mass:
            cause, u = each.mass_cause or each.name, each.u_mass
            effects.append(Effect(cause, u, u * each.arm, u * each.lateral_arm))
        if each.u_arm:
            effects.append(Effect(each.arm_cause or f"{each.name} arm", 0.0, each.mass * each.u_arm))
        if each.u_lateral_arm:
            effects.append(Effect(f"{each.name} lateral arm", 0.0, 0.0, each.mass * each.u_lateral_arm))
    return tuple(effects)


def scale_effects(
    points: Iterable[ScalePoint], share: float = 0.0, offset: float = 0.0
) -> tuple[Effect, ...]:
    """What one standard uncertainty of the one scale under all points does.

    Equation: a share s of every reading changes each reaction by s (reading - tare), the tare having been
    weighed on that scale too; an offset o changes each by o. Either is one error, so the changes of all
    points add before squaring.
    Parameters: `points` [kg, m]; `share` [1]; `offset` [kg]. Returns at most two Effects.
    Source: [jcgm-100] 5.2.2 and F.1.2.3.
    """
    scales = tuple(points)
    effects = []
    for cause, steps in (
        ("scale, share of the reading", [share * point.reaction for point in scales]),
        ("scale, offset", [offset] * len(scales)),
    ):
        if any(steps):
            moments = math.fsum(step * point.arm for step, point in zip(steps, scales, strict=True))
            lateral = math.fsum(step * point.lateral_arm for step, point in zip(steps, scales, strict=True))
            effects.append(Effect(cause, math.fsum(steps), moments, lateral))
    return tuple(effects)


@frozen
class TotalUncertainty:
    """Expanded uncertainties (k = 2) of a total: `mass` [kg], `moment` [kg.m], `cg` and `lateral_cg` [m];
    `causes` name, u of mass [kg], of CG [m].
    """

    mass: float
    moment: float
    cg: float
    lateral_cg: float
    causes: tuple[tuple[str, float, float], ...]


def total_uncertainty(result: Total, effects: Iterable[Effect]) -> TotalUncertainty:
    """Expanded uncertainty of a mass, its moment and its CGs.

    Equation: U(y) = 2 sqrt(sum over causes of (dy/dm em + dy/dM eM)^2) with CG = M/m, dCG/dm = -CG/m, dCG/dM
    = 1/m.
    Parameters: `result` [kg, kg.m, mass above 0]; `effects` of one standard uncertainty of every cause.
    Returns a TotalUncertainty. Raises OutOfRange for a total without mass.
    Source: [jcgm-100] 5.1.2, 6.2.1.
    """
    steps = tuple(effects)
    of_mass, of_moment = Gradient(mass=1.0), Gradient(moment=1.0)
    of_cg = Gradient(mass=-result.centre_of_gravity / result.mass, moment=1 / result.mass)
    of_lateral = Gradient(
        mass=-result.lateral_centre_of_gravity / result.mass, lateral_moment=1 / result.mass
    )
    cg = contributions(steps, of_cg)
    causes = sorted(
        ((cause, abs(mass), abs(cg[cause])) for cause, mass in contributions(steps, of_mass).items()),
        key=lambda each: -each[2],
    )
    mass, moment, centre, lateral = (
        expanded(contributions(steps, gradient).items())
        for gradient in (of_mass, of_moment, of_cg, of_lateral)
    )
    return TotalUncertainty(mass=mass, moment=moment, cg=centre, lateral_cg=lateral, causes=tuple(causes))


def negligible_change(changed_mass: float, empty_mass: float) -> bool | None:
    """Whether an equipment change is small enough to be called negligible.

    Rule: not more than 1 lb (0.454 kg) where the empty mass is below 5000 lb (2268 kg).
    Parameters: `changed_mass` [kg], everything that was put in, taken out or moved, added up without signs,
    so that two large changes that cancel are not called small; `empty_mass` [kg]. Returns None where the
    empty mass is above the rule's range: the figure for heavier aircraft was not read.
    Source: [ac-43.13-1b] 10-2c.
    """
    if empty_mass >= NEGLIGIBLE_BELOW:
        return None
    return changed_mass <= NEGLIGIBLE * (1 + 1e-12)


@frozen
class RecordChange:
    """How far an aircraft has drifted from its weighing record.

    `mass` [kg] and `cg` [m] are the changes; `mass_share` [1] is of the maximum landing mass, `chord_share`
    [1] of the mean aerodynamic chord (None where no chord is known: `reason` says so); `revise` is true once
    either share exceeds `REVISION_SHARE`.
    """

    mass: float
    cg: float
    mass_share: float
    chord_share: float | None
    revise: bool
    reason: str


def record_change(
    recorded: Total, now: Total, max_landing_mass: float, chord: float | None = None
) -> RecordChange:
    """Whether cumulative changes since the last record call for a new one.

    Equation: |now.mass - recorded.mass| / max_landing_mass > 0.005, or |now.CG - recorded.CG| / chord >
    0.005.
    Parameters: `recorded`, `now` [kg, kg.m]; `max_landing_mass` [kg, above 0]; `chord`, length of the mean
    aerodynamic chord [m, above 0] or None where the profile has none.
    Returns a RecordChange. A rule for commercial operators, good practice for anyone else.
    Raises OutOfRange for a limit or chord that is not above zero, or a total without mass.
    Source: [amc1-cat-pol-mab-100] (b).
    """
    if not (max_landing_mass > 0 and (chord is None or chord > 0)):
        raise OutOfRange("the maximum landing mass and the mean aerodynamic chord must be above zero")
    mass = now.mass - recorded.mass
    cg = now.centre_of_gravity - recorded.centre_of_gravity
    mass_share = abs(mass) / max_landing_mass
    chord_share = None if chord is None else abs(cg) / chord
    beyond = (
        [f"mass changed by {mass_share:.2%} of the maximum landing mass"]
        if mass_share > REVISION_SHARE
        else []
    )
    if chord_share is not None and chord_share > REVISION_SHARE:
        beyond.append(f"CG moved by {chord_share:.2%} of the mean aerodynamic chord")
    reason = "; ".join(beyond) or f"within {REVISION_SHARE:.1%}"
    if chord_share is None:
        reason += "; no mean aerodynamic chord in the profile, so the CG was not tested"
    return RecordChange(
        mass=mass, cg=cg, mass_share=mass_share, chord_share=chord_share, revise=bool(beyond), reason=reason
    )
