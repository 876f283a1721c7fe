"""A sample that loses mass while it is weighed: timed readings carried back to the moment the stopper closed.

The straight line corrects the mass only. The light ends leave first, so what is left is a denser liquid than
what was sampled, and no regression repairs that.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import median
from typing import Final

from planner.density.budget import Estimate
from planner.density.line import (
    FEWEST,
    ROUNDING,
    StraightLine,
    coverage_factor,
    curvature_chance,
    straight_line,
    two_sided_chance,
)
from planner.quantities.errors import Finding, InputRefused, Severity
from planner.quantities.frozen import frozen
from planner.quantities.sentences import percent

SIGNIFICANCE: Final = 0.05  # chance of calling a straight line bent, and of calling a steady mass falling


@frozen
class ClosedReading:
    """The reading [kg] the balance would have shown at `closed_at` [s], the fitted `line` (kg against s), the
    `loss` [kg] from then to the last reading, the chance `p_bent` behind calling it straight, and notices."""

    reading: Estimate
    line: StraightLine
    closed_at: float
    loss: float
    p_bent: float
    notices: tuple[Finding, ...]

    @property
    def expanded(self) -> float:
        """Half-width [kg] that covers 95 %, by Student's t for the few readings there are."""
        return coverage_factor(self.line.degrees_of_freedom) * self.reading.u


def reading_when_closed(
    times: Sequence[float], readings: Sequence[float], closed_at: float = 0.0, resolution: float = 0.0
) -> ClosedReading:
    """The balance reading at the moment the stopper closed, by a straight line through timed readings.

    m(x0) = mean(y) + b (x0 - mean(x)), s(m) = s sqrt(1/n + (x0 - mean(x))^2/Sxx)

    Refused where the readings bend (the quadratic term significant at 5 %), where the closing lies further
    before the first reading than the readings themselves last, or where it lies after the last.

    Parameters: `times` [s], rising; `readings` [kg]; `closed_at` [s]; `resolution` of the balance [kg], whose
    rounding, resolution/sqrt(12), is the least scatter believed.
    Returns the ClosedReading; notices `bench-evaporating` (the mass falls significantly),
    `bench-reading-drop` (one step falls out of line: a drip, a wipe, a draught).
    Range: 4 readings or more, at three different times.
    Raises: InputRefused with all that is wrong.
    Source: [nist-strd-norris] for the line; the limits are this program's, [common-practice].
    """
    if found := tuple(_refusals(times, readings, closed_at, resolution)):
        raise InputRefused(found)
    least = max(resolution / math.sqrt(12), ROUNDING * max(abs(value) for value in readings))
    p_bent = curvature_chance(times, readings, least)
    if p_bent < SIGNIFICANCE:
        chance = f"a chance of {percent(p_bent)} if they did"
        message = f"the readings do not fall along a straight line ({chance})"
        hint = "close the bottle tighter, let it settle, weigh again"
        raise InputRefused([_finding("bench-evaporation-curved", message, "needed a steady loss", hint)])
    line = straight_line(times, readings, least)
    closed = line.at(closed_at)
    notices: list[Finding] = []
    t = line.slope.value / line.slope.u
    if t < 0 and two_sided_chance(t, line.degrees_of_freedom) < 2 * SIGNIFICANCE:
        loss = f"{-line.slope.value * 6e7:.3g} mg/min"
        message = f"the sample loses {loss}; the light ends leave first, so the density reads high"
        needed, hint = "a bottle that holds its mass", "close it at once and weigh a fresh, cool sample"
        notices.append(_finding("bench-evaporating", message, needed, hint, "notice"))
    for number in _drops(times, readings, line.slope.value, resolution):
        dropped = f"{(readings[number - 1] - readings[number]) * 1e6:.3g} mg"
        message = f"reading {number + 1} dropped by {dropped} at once"
        needed, hint = "readings that change evenly", "was something spilt, wiped or blown? Start again"
        notices.append(_finding("bench-reading-drop", message, needed, hint, "notice"))
    return ClosedReading(
        reading=closed,
        line=line,
        closed_at=closed_at,
        loss=closed.value - line.at(times[-1]).value,
        p_bent=p_bent,
        notices=tuple(notices),
    )


def _drops(times: Sequence[float], readings: Sequence[float], slope: float, resolution: float) -> list[int]:
    """Steps out of line by over 3 resolutions and 6 times the typical step's departure from the median."""
    # strict=False: the lists of neighbours are one shorter on purpose
    steps = [
        (b - a) - slope * (u - t)
        for a, b, t, u in zip(readings, readings[1:], times, times[1:], strict=False)
    ]
    middle = median(steps)
    usual = median(abs(step - middle) for step in steps)
    least = max(3 * resolution, 6 * usual, 1e3 * ROUNDING * max(abs(value) for value in readings))
    return [number + 1 for number, step in enumerate(steps) if middle - step > least]


def _refusals(
    times: Sequence[float], readings: Sequence[float], closed_at: float, resolution: float
) -> Iterator[Finding]:
    if not all(math.isfinite(value) for value in (*times, *readings, closed_at, resolution)):
        message = "a time or a reading is not a finite number"
        yield _finding("bench-not-finite", message, "needed finite numbers")
        return
    if len(times) != len(readings):
        message = f"{len(times)} times and {len(readings)} readings"
        yield _finding("bench-evaporation-few", message, "needed one time for each reading")
        return
    if len(times) < FEWEST:
        message = f"{len(times)} readings cannot show whether the loss is steady"
        hint = "keep weighing, one reading a minute"
        yield _finding("bench-evaporation-few", message, f"needed {FEWEST} or more", hint)
        return
    span = f"{times[-1] - times[0]:g} s"
    if any(later <= earlier for earlier, later in pairwise(times)):
        message = "the times do not rise from reading to reading"
        needed = "needed the readings in order, each with its own time"
        yield _finding("bench-evaporation-times", message, needed)
    elif not 2 * times[0] - times[-1] <= closed_at <= times[-1]:
        before = f"{times[0] - closed_at:g} s before the first reading"
        message = f"the stopper closed {before}, and the readings last {span}"
        needed = f"needed a closing no more than {span} before the first and not after the last reading"
        hint = "weigh for longer, or start sooner after closing"
        yield _finding("bench-evaporation-too-far", message, needed, hint)
    if min(readings) <= 0:
        needed = "needed readings of the filled bottle"
        yield _finding("bench-nothing-in-bottle", "a reading is not above 0", needed)
    if resolution < 0:
        yield _finding("bench-not-finite", f"resolution {resolution!r}", "needed 0 or more")


def _finding(code: str, message: str, needed: str, hint: str = "", severity: Severity = "refused") -> Finding:
    return Finding(code, message, needed, hint, "readings", severity=severity)
