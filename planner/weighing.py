"""From scale readings to the basic empty mass, and whether later changes call for a new record.

Masses in kg, arms in m from the datum, moments in kg.m. The figures are prepared here; a licensed person
signs the weighing report.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from planner.errors import OutOfRange
from planner.moments import Item, Total, add, remove, total

# AMC1 CAT.POL.MAB.100(b): the record is revised once cumulative changes exceed this share.
REVISION_SHARE: Final = 0.005  # of the maximum landing mass; likewise of the mean aerodynamic chord


@dataclass(frozen=True, slots=True)
class ScalePoint:
    """One scale under the levelled aircraft.

    `reading` [kg] as shown, `tare` [kg] of chocks, jacks or pads standing on it, `arm` and `lateral_arm`
    [m] of the point where the aircraft rests, measured at that weighing.
    """

    name: str
    reading: float
    tare: float
    arm: float
    lateral_arm: float = 0.0

    @property
    def reaction(self) -> float:
        """`reading - tare` [kg]."""
        return self.reading - self.tare


@dataclass(frozen=True, slots=True)
class WeighingStep:
    """One line of the working: what went in (or, negative `mass`, came out) and the `running` total after it.

    `mass` [kg], `arm` [m], `moment` [kg.m].
    """

    name: str
    mass: float
    arm: float
    moment: float
    running: Total


@dataclass(frozen=True, slots=True)
class Weighing:
    """Result of a weighing: `scale_total` as it stood on the scales, `basic_empty` after the corrections, every step."""

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
    for count, item in enumerate(on_scales, start=1):
        steps.append(WeighingStep(item.name, item.mass, item.arm, item.moment, total(on_scales[:count])))
    scale_total = running = total(on_scales)
    for item in out:
        running = remove(running, item)
        steps.append(WeighingStep(item.name, -item.mass, item.arm, -item.moment, running))
    for item in into:
        running = add(running, item)
        steps.append(WeighingStep(item.name, item.mass, item.arm, item.moment, running))
    # One sum over everything rather than the running one, so that the order of the corrections leaves no trace.
    basic_empty = total([*on_scales, *(Item(item.name, -item.mass, item.arm, item.lateral_arm) for item in out), *into])
    if not basic_empty.mass > 0:
        raise OutOfRange(f"the scales and corrections leave {basic_empty.mass:g} kg; a basic empty mass is above zero")
    return Weighing(scale_total, basic_empty, tuple(steps))


def _check(scales: tuple[ScalePoint, ...], corrections: tuple[Item, ...]) -> None:
    if not scales:
        raise OutOfRange("no scale point; at least one reading is needed")
    names = [point.name for point in scales]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise OutOfRange(f"scale point named twice: {', '.join(twice)}")
    for point in scales:
        if not (math.isfinite(point.reading) and math.isfinite(point.tare) and point.tare >= 0):
            raise OutOfRange(f"{point.name}: reading {point.reading:g} kg and tare {point.tare:g} kg must be finite and the tare not below zero")
        if point.reaction < 0:
            raise OutOfRange(f"{point.name}: the reading of {point.reading:g} kg is below its tare of {point.tare:g} kg")
    for item in corrections:
        if not item.mass >= 0:
            raise OutOfRange(f"{item.name}: {item.mass:g} kg; list it as removed or as added, with a mass not below zero")


@dataclass(frozen=True, slots=True)
class RecordChange:
    """How far an aircraft has drifted from its weighing record.

    `mass` [kg] and `cg` [m] are the changes; `mass_share` [1] is of the maximum landing mass, `chord_share` [1]
    of the mean aerodynamic chord (None where no chord is known: `reason` says so); `revise` is true once
    either share exceeds `REVISION_SHARE`.
    """

    mass: float
    cg: float
    mass_share: float
    chord_share: float | None
    revise: bool
    reason: str


def record_change(recorded: Total, now: Total, max_landing_mass: float, chord: float | None = None) -> RecordChange:
    """Whether cumulative changes since the last record call for a new one.

    Equation: |now.mass - recorded.mass| / max_landing_mass > 0.005, or |now.CG - recorded.CG| / chord > 0.005.
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
    beyond = [f"mass changed by {mass_share:.2%} of the maximum landing mass"] if mass_share > REVISION_SHARE else []
    if chord_share is not None and chord_share > REVISION_SHARE:
        beyond.append(f"CG moved by {chord_share:.2%} of the mean aerodynamic chord")
    reason = "; ".join(beyond) or f"within {REVISION_SHARE:.1%}"
    if chord_share is None:
        reason += "; no mean aerodynamic chord in the profile, so the CG was not tested"
    return RecordChange(mass, cg, mass_share, chord_share, bool(beyond), reason)
