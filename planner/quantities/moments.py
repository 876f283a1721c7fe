"""Masses on arms: totals, centre of gravity, and what shifting, adding or removing a mass does to it.

Everything is in SI: masses in kg, arms and CGs in m from the datum (positive aft; lateral positive to the
right), moments in kg.m. Nothing is rounded on the way; `round_up` and `round_down` are for the last
figure, where the safe side is known.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Final

from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen

# Two arms nearer than this are the same place: a lever of a nanometre only amplifies rounding.
_SAME_PLACE: Final = 1e-9  # m
# Relative noise of a few dozen float operations; anything smaller is not a real difference.
_NOISE: Final = 1e-9


@frozen
class Item:
    """One mass: `name`, `mass` [kg], `arm` [m from the datum], `lateral_arm` [m, right positive]."""

    name: str
    mass: float
    arm: float
    lateral_arm: float = 0.0

    @property
    def moment(self) -> float:
        """`mass * arm` [kg.m]."""
        return self.mass * self.arm

    @property
    def lateral_moment(self) -> float:
        """`mass * lateral_arm` [kg.m]."""
        return self.mass * self.lateral_arm


@frozen
class Total:
    """A sum of items: `mass` [kg], `moment` and `lateral_moment` [kg.m] about datum and centre line."""

    mass: float
    moment: float
    lateral_moment: float = 0.0

    @property
    def centre_of_gravity(self) -> float:
        """`moment / mass` [m from the datum]; raises OutOfRange where the mass is not above zero."""
        return self.moment / self._divisor()

    @property
    def lateral_centre_of_gravity(self) -> float:
        """`lateral_moment / mass` [m from the centre line]; OutOfRange where the mass is not above zero."""
        return self.lateral_moment / self._divisor()

    def _divisor(self) -> float:
        if not self.mass > 0:
            message = f"a mass of {self.mass:g} kg has no centre of gravity; the total must be above zero"
            raise OutOfRange(message)
        return self.mass


def _plus(before: Total, mass: float, moment: float, lateral_moment: float = 0.0) -> Total:
    """`before` with so much more, all of it finite."""
    figures = (before.mass + mass, before.moment + moment, before.lateral_moment + lateral_moment)
    _all_finite(*figures)
    return Total(*figures)


def total(items: Iterable[Item]) -> Total:
    """Sum of items: mass = sum(m), moment = sum(m * arm), lateral moment = sum(m * lateral arm).

    Each sum is the correctly rounded one, so the order of the items cannot change a digit.
    Parameters: `items`, any number (none gives a zero total).
    Returns a Total [kg, kg.m, kg.m]. Valid for any finite values.
    Raises OutOfRange for NaN or infinity.
    Source: [faa-h-8083-1b] ch. 2, the law of the lever.
    """
    rows = tuple(items)
    masses = [row.mass for row in rows]
    moments = [row.moment for row in rows]
    lateral = [row.lateral_moment for row in rows]
    _all_finite(*masses, *moments, *lateral)  # fsum itself raises a plain ValueError on inf - inf
    return Total(math.fsum(masses), math.fsum(moments), math.fsum(lateral))


def add(before: Total, *items: Item) -> Total:
    """`before` with the items put in.

    Equation: mass + sum(m), moment + sum(m * arm), likewise sideways. Parameters: `before` [kg, kg.m],
    `items`. Returns a Total. Raises OutOfRange for NaN or infinity.
    Source: [faa-h-8083-25] weight and balance chapter, adding or removing weight.
    """
    extra = total(items)
    return _plus(before, extra.mass, extra.moment, extra.lateral_moment)


def remove(before: Total, *items: Item) -> Total:
    """`before` with the items taken out.

    Equation: mass - sum(m), moment - sum(m * arm), likewise sideways. Parameters: `before` [kg, kg.m],
    `items`. Returns a Total. Raises OutOfRange for NaN or infinity and where more mass would be
    taken out than there is.
    Source: [faa-h-8083-25] weight and balance chapter, adding or removing weight.
    """
    less = total(items)
    if before.mass - less.mass < -_NOISE * max(1.0, abs(before.mass)):
        raise OutOfRange(f"{less.mass:g} kg cannot be removed from {before.mass:g} kg")
    return _plus(before, -less.mass, -less.moment, -less.lateral_moment)


def moment_changed(before: Total, moment: float) -> Total:
    """`before` with a massless change of `moment` [kg.m] added: retracting a landing gear, for one.

    Equation: moment' = moment + change. Returns a Total. Raises OutOfRange for NaN or infinity.
    Source: [common-practice].
    """
    return _plus(before, 0.0, moment)


def moved(before: Total, mass: float, from_arm: float, to_arm: float) -> Total:
    """`before` after `mass` has been carried from one arm to another.

    Equation: moment' = moment + mass * (to_arm - from_arm); the mass stays.
    Parameters: `before` [kg, kg.m], `mass` [kg, 0 to the whole mass], `from_arm`, `to_arm` [m].
    Returns a Total. Raises OutOfRange where more would be carried than there is, or less than nothing.
    Source: [faa-h-8083-1b] ch. 2, shifting a weight.
    """
    if not 0 <= mass <= before.mass * (1 + _NOISE):
        raise OutOfRange(f"{mass:g} kg cannot be moved within {before.mass:g} kg")
    return _plus(before, 0.0, mass * (to_arm - from_arm))


def cg_after_shift(before: Total, mass: float, from_arm: float, to_arm: float) -> float:
    """CG once `mass` has been carried from one arm to another.

    Equation: CG' = CG + mass * (to_arm - from_arm) / total mass.
    Parameters as for `moved` [kg, m]. Returns the CG [m]. Raises OutOfRange as `moved` does.
    Source: [faa-h-8083-25] weight and balance chapter, weight shift formula.
    """
    return moved(before, mass, from_arm, to_arm).centre_of_gravity


def _refuse_negative(mass: float, what: str) -> float:
    if mass < -_NOISE:
        raise OutOfRange(f"{what} would pull the CG away from the target; turn the direction round")
    return max(mass, 0.0)


def _moment_short(before: Total, target_cg: float) -> float:
    """Moment [kg.m] wanting at the target, `mass * (target - CG)`; refuses a total that has no CG."""
    return before.mass * (target_cg - before.centre_of_gravity)


def mass_to_shift(before: Total, target_cg: float, from_arm: float, to_arm: float) -> float:
    """Mass that has to be carried from one arm to another to bring the CG onto a target.

    Equation: mass = total mass * (target - CG) / (to_arm - from_arm).
    Parameters: `before` [kg, kg.m], `target_cg`, `from_arm`, `to_arm` [m].
    Returns the mass [kg], unrounded, from 0 to the whole mass.
    Raises OutOfRange where the total is zero, the two arms coincide, the move goes the wrong way, or no such
    mass is aboard.
    Source: [faa-h-8083-25] weight and balance chapter, weight shift formula.
    """
    lever = to_arm - from_arm
    if abs(lever) < _SAME_PLACE:
        raise OutOfRange(f"moving a mass from {from_arm:g} m to the same arm changes nothing")
    needed = _refuse_negative(
        _moment_short(before, target_cg) / lever, f"a move from {from_arm:g} m to {to_arm:g} m"
    )
    if needed > before.mass * (1 + _NOISE):
        raise OutOfRange(
            f"{needed:g} kg would have to move and only {before.mass:g} kg is aboard; use a longer move"
        )
    return _finite(needed)


def ballast_mass(before: Total, target_cg: float, ballast_arm: float) -> float:
    """Ballast at a given arm that brings the CG onto a target.

    Equation: ballast = total mass * (target - CG) / (ballast_arm - target). The ballast itself raises the
    total mass: the caller checks the mass limits again.
    Parameters: `before` [kg, kg.m], `target_cg`, `ballast_arm` [m].
    Returns the mass [kg], unrounded, at least 0; round it up with `round_up` before it is made.
    Raises OutOfRange where the total is zero, the arm is the target itself or lies on its wrong side.
    Source: [faa-h-8083-1b] permanent ballast; [ac-43.13-1b] ch. 10.
    """
    lever = ballast_arm - target_cg
    if abs(lever) < _SAME_PLACE:
        raise OutOfRange(f"ballast on the target of {target_cg:g} m cannot move the CG onto it")
    return _finite(
        _refuse_negative(_moment_short(before, target_cg) / lever, f"ballast at {ballast_arm:g} m")
    )


def ballast_arm(before: Total, target_cg: float, ballast_mass: float) -> float:
    """Arm at which a given ballast brings the CG onto a target.

    Equation: arm = target + total mass * (target - CG) / ballast.
    Parameters: `before` [kg, kg.m], `target_cg` [m], `ballast_mass` [kg, above 0].
    Returns the arm [m from the datum]; whether the airframe has a place there is not known here.
    Raises OutOfRange where the total or the ballast is not above zero.
    Source: [faa-h-8083-1b] ch. 2, the lever solved for an arm.
    """
    if not ballast_mass > 0:
        raise OutOfRange(f"ballast of {ballast_mass:g} kg cannot move the CG; a mass above zero is needed")
    return _finite(target_cg + _moment_short(before, target_cg) / ballast_mass)


def _all_finite(*figures: float) -> None:
    if not all(map(math.isfinite, figures)):
        raise OutOfRange("a mass or an arm is not a finite number")


def _finite(value: float) -> float:
    _all_finite(value)
    return value


def _chord(length: float) -> float:
    if not (length > 0 and math.isfinite(length)):
        raise OutOfRange(f"a mean aerodynamic chord of {length:g} m cannot be; a length above zero is needed")
    return length


def percent_mac(cg: float, leading_edge: float, length: float) -> float:
    """CG as a percentage of the mean aerodynamic chord (MAC).

    Equation: 100 * (cg - leading_edge) / length.
    Parameters: `cg` and `leading_edge` of the MAC [m from the datum], `length` of the MAC [m, above 0].
    Returns the percentage [%]; below 0 or above 100 where the CG lies off the chord.
    Raises OutOfRange for a length that is not above zero.
    Source: [faa-h-8083-1] percent MAC.
    """
    return 100 * (_finite(cg) - leading_edge) / _chord(length)


def cg_from_percent_mac(percent: float, leading_edge: float, length: float) -> float:
    """CG from its percentage of the mean aerodynamic chord (MAC); the inverse of `percent_mac`.

    Equation: leading_edge + percent / 100 * length.
    Parameters: `percent` [%], `leading_edge` [m from the datum], `length` [m, above 0]. Returns the CG [m].
    Raises OutOfRange for a length that is not above zero.
    Source: [faa-h-8083-1] percent MAC.
    """
    return _finite(leading_edge + percent / 100 * _chord(length))


def round_up(value: float, step: float) -> float:
    """The next multiple of `step` at or above `value`: for ballast, fuel to drain, fuel required.

    A value within one part in 10^9 of a multiple is that multiple, so 0.1 + 0.2 stays 0.3.
    Parameters: `value`, `step` [same unit, step above 0]. Returns the multiple, as the nearest float to it.
    Raises OutOfRange for a step that is not above zero, NaN or infinity.
    Source: [common-practice].
    """
    return _multiple(value, step, math.ceil)


def round_down(value: float, step: float) -> float:
    """The next multiple of `step` at or below `value`: for mass that may still be loaded, endurance.

    Noise, parameters, result and errors as for `round_up`.
    Source: [common-practice].
    """
    return _multiple(value, step, math.floor)


def _multiple(value: float, step: float, cut: Callable[[float], int]) -> float:
    if not (step > 0 and math.isfinite(step) and math.isfinite(value)):
        raise OutOfRange(f"{value:g} cannot be rounded to steps of {step:g}")
    steps = value / step
    _finite(steps)
    nearest = round(steps)
    count = nearest if abs(steps - nearest) <= _NOISE * max(1.0, abs(steps)) else cut(steps)
    from decimal import Decimal  # late: costs 3 ms to import and most plans round nothing here

    return float(count * Decimal(repr(float(step))))  # in decimal, so that 3 steps of 0.1 print as 0.3
