"""A sample that loses mass while it is weighed: timed readings carried back to the moment the stopper closed.

The straight line corrects the mass only. The light ends leave first, so what is left is a denser liquid than
what was sampled, and no regression repairs that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import median
from typing import Final

from planner.density.budget import Estimate
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.sentences import percent

FEWEST: Final = 4  # readings: a parabola leaves one degree of freedom to judge it by
SIGNIFICANCE: Final = 0.05  # chance of calling a straight line bent, and of calling a steady mass falling
_ROUNDING: Final = 1e-12  # relative scatter below which readings lie on the line but for the arithmetic


@frozen
class StraightLine:
    """Least-squares line y = intercept + slope x: the coefficients with their standard errors, the residual
    standard deviation `scatter` with `degrees_of_freedom`, and what `at` needs: the means and the sum of
    squares of x.
    """

    intercept: Estimate
    slope: Estimate
    scatter: float
    degrees_of_freedom: int
    mean_x: float
    mean_y: float
    sum_squares: float

    def at(self, x: float) -> Estimate:
        """The line's own value at `x` and its standard error s sqrt(1/n + (x - mean)^2/Sxx), in y's unit."""
        away = x - self.mean_x
        share = 1 / (self.degrees_of_freedom + 2) + away * away / self.sum_squares
        return Estimate(self.mean_y + self.slope.value * away, self.scatter * math.sqrt(share))


def straight_line(x: Sequence[float], y: Sequence[float], least_scatter: float = 0.0) -> StraightLine:
    """Ordinary least-squares straight line with standard errors.

    b = Sxy/Sxx, a = mean(y) - b mean(x), s^2 = sum r^2/(n - 2), s(b) = s/sqrt(Sxx), s(a) = s sqrt(1/n +
    mean(x)^2/Sxx)

    Parameters: `x`, `y` of equal length n; `least_scatter`, in y's unit, below which s is not believed.
    Returns the StraightLine.
    Range: n of 3 or more, at least two different x.
    Raises: ValueError otherwise.
    Source: [nist-strd-norris] certifies these figures; the standard formulas of linear regression.
    """
    n = len(x)
    if n != len(y) or n < 3:
        raise ValueError(f"{n} x and {len(y)} y values; needed at least 3 of each")
    mean_x, mean_y = math.fsum(x) / n, math.fsum(y) / n
    away = [value - mean_x for value in x]
    sum_squares = math.fsum(d * d for d in away)
    if not sum_squares > 0:
        raise ValueError("all x are equal")
    slope = math.fsum(d * (value - mean_y) for d, value in zip(away, y, strict=True)) / sum_squares
    residual = math.fsum((value - mean_y - slope * d) ** 2 for d, value in zip(away, y, strict=True))
    scatter = max(math.sqrt(residual / (n - 2)), least_scatter)
    intercept = Estimate(mean_y - slope * mean_x, scatter * math.sqrt(1 / n + mean_x * mean_x / sum_squares))
    return StraightLine(
        intercept=intercept,
        slope=Estimate(slope, scatter / math.sqrt(sum_squares)),
        scatter=scatter,
        degrees_of_freedom=n - 2,
        mean_x=mean_x,
        mean_y=mean_y,
        sum_squares=sum_squares,
    )


def two_sided_chance(t: float, degrees_of_freedom: int) -> float:
    """Chance that a Student t of so many degrees of freedom lies further from zero than `t`.

    The finite trigonometric series for whole degrees of freedom, theta = arctan(|t|/sqrt(nu)).

    Parameters: `t` [1]; `degrees_of_freedom` nu, 1 or more. Returns probability [1].
    Range: absolute rounding error about 1e-14, so tiny chances are not resolved.
    Raises: ValueError for nu below 1.
    Source: [jcgm-100] annex G names the distribution; the series is textbook (Abramowitz and Stegun 26.7.3,
    26.7.4), from memory.
    """
    nu = degrees_of_freedom
    if nu < 1:
        raise ValueError(f"{nu} degrees of freedom")
    theta = math.atan2(abs(t), math.sqrt(nu))
    sine, cosine = math.sin(theta), math.cos(theta)
    term = cosine if nu % 2 else 1.0
    total = term if nu > 1 else 0.0
    for k in range(3 if nu % 2 else 2, nu - 1, 2):
        term *= cosine * cosine * (k - 1) / k
        total += term
    inside = 2 / math.pi * (theta + sine * total) if nu % 2 else sine * total
    return max(0.0, 1.0 - inside)


def coverage_factor(degrees_of_freedom: int, probability: float = 0.95) -> float:
    """The factor k with which a standard error of few degrees of freedom covers `probability`.

    Inverts `two_sided_chance` by bisection.

    Parameters: `degrees_of_freedom`, 1 or more; `probability` [1] above 0, at most 0.99. Returns k [1].
    Raises: ValueError outside either.
    Source: [jcgm-100] annex G, table G.2.
    """
    if not 0 < probability <= 0.99:
        raise ValueError(f"probability {probability!r}")
    low, high = 0.0, 100.0  # 63.7 is the largest in the range, at one degree of freedom
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (
            (middle, high)
            if two_sided_chance(middle, degrees_of_freedom) > 1 - probability
            else (low, middle)
        )
    return (low + high) / 2


def curvature_chance(x: Sequence[float], y: Sequence[float], least_scatter: float = 0.0) -> float:
    """Chance of so strong a bend if the readings truly lay on a straight line.

    A quadratic made orthogonal to the line, q = d^2 - (sum d^3/Sxx) d - Sxx/n, has the coefficient
    c = sum q y/sum q^2, and t = c sqrt(sum q^2)/s with n - 3 degrees of freedom.

    Parameters: `x`, `y` of equal length n; `least_scatter` below which s is not believed. Returns probability
    [1].
    Range: n of 4 or more, at least three different x.
    Raises: ValueError otherwise.
    Source: [common-practice] the t test of the quadratic term of a least-squares fit.
    """
    n = len(x)
    if n < FEWEST:
        raise ValueError(f"{n} readings; needed {FEWEST}")
    line = straight_line(x, y)
    away = [value - line.mean_x for value in x]
    skew = math.fsum(d**3 for d in away) / line.sum_squares
    bend = [d * d - skew * d - line.sum_squares / n for d in away]
    weight = math.fsum(q * q for q in bend)
    if not weight > _ROUNDING * math.fsum(d**4 for d in away):
        raise ValueError("fewer than three different x")
    residuals = [value - line.mean_y - line.slope.value * d for d, value in zip(away, y, strict=True)]
    bent = math.fsum(q * r for q, r in zip(bend, residuals, strict=True)) / weight
    left = math.fsum((r - bent * q) ** 2 for q, r in zip(bend, residuals, strict=True))
    scatter = max(math.sqrt(left / (n - 3)), least_scatter, _ROUNDING * max(abs(value) for value in y))
    return two_sided_chance(bent * math.sqrt(weight) / scatter, n - 3) if scatter else 1.0


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
    found = _refusals(times, readings, closed_at, resolution)
    if found:
        raise InputRefused(found)
    least = max(resolution / math.sqrt(12), _ROUNDING * max(abs(value) for value in readings))
    p_bent = curvature_chance(times, readings, least)
    if p_bent < SIGNIFICANCE:
        message = (
            f"the readings do not fall along a straight line (a chance of {percent(p_bent)} if they did)"
        )
        raise InputRefused(
            [
                _finding(
                    "bench-evaporation-curved",
                    message,
                    "needed a steady loss",
                    "close the bottle tighter, let it settle, weigh again",
                )
            ]
        )
    line = straight_line(times, readings, least)
    closed = line.at(closed_at)
    notices: list[Finding] = []
    t = line.slope.value / line.slope.u
    if t < 0 and two_sided_chance(t, line.degrees_of_freedom) < 2 * SIGNIFICANCE:
        message = (
            f"the sample loses {-line.slope.value * 6e7:.3g} mg/min; the light ends leave first, so the"
            " density reads high"
        )
        notices.append(
            _finding(
                "bench-evaporating",
                message,
                "a bottle that holds its mass",
                "close it at once and weigh a fresh, cool sample",
                notice=True,
            )
        )
    for number in _drops(times, readings, line.slope.value, resolution):
        message = (
            f"reading {number + 1} dropped by {(readings[number - 1] - readings[number]) * 1e6:.3g} mg at"
            " once"
        )
        notices.append(
            _finding(
                "bench-reading-drop",
                message,
                "readings that change evenly",
                "was something spilt, wiped or blown? Start again",
                notice=True,
            )
        )
    return ClosedReading(
        reading=closed,
        line=line,
        closed_at=closed_at,
        loss=closed.value - line.at(times[-1]).value,
        p_bent=p_bent,
        notices=tuple(notices),
    )


def _drops(times: Sequence[float], readings: Sequence[float], slope: float, resolution: float) -> list[int]:
    """Steps that fall out of line by more than 3 resolutions and 6 times the typical step's departure from
    the median.
    """
    # strict=False: the lists of neighbours are one shorter on purpose
    steps = [
        (b - a) - slope * (u - t)
        for a, b, t, u in zip(readings, readings[1:], times, times[1:], strict=False)
    ]
    middle = median(steps)
    usual = median(abs(step - middle) for step in steps)
    least = max(3 * resolution, 6 * usual, 1e3 * _ROUNDING * max(abs(value) for value in readings))
    return [number + 1 for number, step in enumerate(steps) if middle - step > least]


def _refusals(
    times: Sequence[float], readings: Sequence[float], closed_at: float, resolution: float
) -> list[Finding]:
    if not all(math.isfinite(value) for value in (*times, *readings, closed_at, resolution)):
        return [
            _finding(
                "bench-not-finite", "a time or a reading is not a finite number", "needed finite numbers"
            )
        ]
    if len(times) != len(readings):
        return [
            _finding(
                "bench-evaporation-few",
                f"{len(times)} times and {len(readings)} readings",
                "needed one time for each reading",
            )
        ]
    if len(times) < FEWEST:
        hint = "keep weighing, one reading a minute"
        return [
            _finding(
                "bench-evaporation-few",
                f"{len(times)} readings cannot show whether the loss is steady",
                f"needed {FEWEST} or more",
                hint,
            )
        ]
    found: list[Finding] = []
    if any(later <= earlier for earlier, later in pairwise(times)):
        needed = "needed the readings in order, each with its own time"
        found.append(
            _finding("bench-evaporation-times", "the times do not rise from reading to reading", needed)
        )
    elif not 2 * times[0] - times[-1] <= closed_at <= times[-1]:
        span = times[-1] - times[0]
        message = (
            f"the stopper closed {times[0] - closed_at:g} s before the first reading, and the readings last"
            f" {span:g} s"
        )
        needed = f"needed a closing no more than {span:g} s before the first and not after the last reading"
        found.append(
            _finding(
                "bench-evaporation-too-far",
                message,
                needed,
                "weigh for longer, or start sooner after closing",
            )
        )
    if min(readings) <= 0:
        found.append(
            _finding(
                "bench-nothing-in-bottle", "a reading is not above 0", "needed readings of the filled bottle"
            )
        )
    if resolution < 0:
        found.append(_finding("bench-not-finite", f"resolution {resolution!r}", "needed 0 or more"))
    return found


def _finding(code: str, message: str, needed: str, hint: str = "", notice: bool = False) -> Finding:
    return Finding(
        code=code,
        message=message,
        needed=needed,
        hint=hint,
        where="readings",
        severity="notice" if notice else "refused",
    )
