"""A straight line through readings, how sure its ends are, and whether the readings bend."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from planner.density.budget import Estimate
from planner.quantities.frozen import frozen


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
    if not weight > ROUNDING * math.fsum(d**4 for d in away):
        raise ValueError("fewer than three different x")
    residuals = [value - line.mean_y - line.slope.value * d for d, value in zip(away, y, strict=True)]
    bent = math.fsum(q * r for q, r in zip(bend, residuals, strict=True)) / weight
    left = math.fsum((r - bent * q) ** 2 for q, r in zip(bend, residuals, strict=True))
    scatter = max(math.sqrt(left / (n - 3)), least_scatter, ROUNDING * max(abs(value) for value in y))
    return two_sided_chance(bent * math.sqrt(weight) / scatter, n - 3) if scatter else 1.0


FEWEST: Final = 4  # readings: a parabola leaves one degree of freedom to judge it by


ROUNDING: Final = 1e-12  # relative scatter below which readings lie on the line but for the arithmetic
