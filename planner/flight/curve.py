"""The moment along a stretch of the burn as a polynomial in the mass: of one flight, or of a block of them.

While the shares of the tanks are constant, what is left in a tank is a straight line of what is burnt, and
the mass is one too; so the moment is straight in the mass, or quadratic where a tank's arm changes with its
volume.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, TypeAlias

from planner.flight.fuel import FuelTank
from planner.quantities.many import Some, greater, is_nothing, over

TINY: Final = 1e-300
Curve: TypeAlias = tuple[Some, Some, Some]  # (a, b, c) of a + b m + c m2 [kg.m, m, m/kg]
# How far the arms of one tank are off: per stated arm the tank with 1 m there and 0 m elsewhere, and how much
# [m].
Offs: TypeAlias = Sequence[tuple[FuelTank, Some]]


def lengthwise(
    without: Some,
    start: Some,
    tanks: Sequence[FuelTank],
    density: Some,
    volumes: Sequence[Some],
    shares: Sequence[Some],
    length: Some,
    offs: Sequence[Offs] = (),
) -> Curve:
    """The moment while the mass falls from `start` [kg].

    Parameters: moment `without` usable fuel [kg.m]; `density` [kg/m3]; usable `volumes` [m3] of the `tanks`
    at the start and their `shares` [1] of the `length` [m3] burnt; `offs` how far the arms of each tank are
    off. Range: every tank on one straight line of its arm table. Source: [common-practice] moment = density x
    volume x arm, exact for such a line.
    """
    m0, m1, m2 = without, 0.0, 0.0
    for tank, volume, share, off in zip(tanks, volumes, shares, offs or [()] * len(tanks), strict=True):
        for shape, scale in ((tank, 1.0), *off):
            rho = density * scale
            m0 = m0 + rho * shape.volume_moment(volume)
            if is_nothing(share):
                continue
            if len(shape.arm_points) == 1:
                m1 = m1 - rho * shape.arm_points[0][1] * share
                continue
            # With arm a(w) = alpha + beta w, w = w0 - share x, the slope at x = 0 is alpha + 2 beta w0.
            high, low = volume + shape.unusable, greater(volume - share * length, 0.0) + shape.unusable
            arm = shape.arm(high)
            beta = over(arm - shape.arm(low), high - low)
            m1 = m1 - rho * share * (arm + beta * high)
            m2 = m2 + rho * beta * share * share
    return _in_mass(m0, m1, m2, start, density)


def across(
    without: Some,
    start: Some,
    density: Some,
    volumes: Sequence[Some],
    shares: Sequence[Some],
    sides: Sequence[Some],
) -> Curve:
    """The lateral moment along the same stretch, `without` usable fuel [kg.m]; `sides` [m] are the lateral
    arms of the tanks, other parameters as `lengthwise`. Source: [faa-h-8083-1b], lateral moment = mass x
    lateral arm.
    """
    y0, y1 = without, 0.0
    for side, volume, share in zip(sides, volumes, shares, strict=True):
        if is_nothing(side):
            continue
        y0 = y0 + density * side * volume
        y1 = y1 - density * side * share
    return _in_mass(y0, y1, 0.0, start, density)


def at_mass(curve: Curve, mass: Some) -> Some:
    """The value of a curve [kg.m] at a mass [kg]. Source: a + b m + c m2."""
    a, b, c = curve
    return a + (b + c * mass) * mass


def quadratic_roots(a: float, b: float, c: float) -> tuple[float, ...]:
    """Real roots of a + b p + c p2, ascending, by the form that does not cancel; none where all coefficients
    vanish.

    A discriminant that is negative by rounding alone counts as zero, so that a touching root is not lost.
    Parameters in any one unit, result in [same unit as p]. Source: [common-practice].
    """
    if abs(c) < TINY:
        return (-a / b,) if abs(b) > TINY else ()
    discriminant = b * b - 4 * a * c
    if discriminant < -1e-14 * max(b * b, abs(4 * a * c)):
        return ()
    q = -(b + math.copysign(math.sqrt(max(discriminant, 0.0)), b)) / 2
    return tuple(sorted({q / c, a / q} if q else {0.0}))


def _in_mass(x0: Some, x1: Some, x2: Some, start: Some, density: Some) -> Curve:
    """A quadratic in burnt volume x, `x0 + x1 x + x2 x2`, as one in mass with x = (start - m) / density."""
    b1 = x1 / density
    if is_nothing(x2):
        return x0 + b1 * start, -b1, 0.0
    c2 = x2 / density**2
    return x0 + b1 * start + c2 * start * start, -b1 - 2 * c2 * start, c2
