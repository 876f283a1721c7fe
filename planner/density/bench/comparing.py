"""A measured density against the density the supplier declared for the batch.

Agreement shows only that nothing heavy enough to be seen is in the fuel; `least_jet_fuel` says how much that
is.
"""

from __future__ import annotations

import math

from planner.density.budget import Estimate, Missing
from planner.facts.grades import GRADES
from planner.quantities.errors import Finding, OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, say

_JET_LIGHTEST, _JET_HEAVIEST = GRADES["jet-A1"].band


@frozen
class JetFraction:
    """Volume fraction [1] of jet fuel of the lightest and of the heaviest kind the specification allows."""

    of_lightest: float
    of_heaviest: float


@frozen
class Comparison:
    """Sample against batch at 15 degC: the difference and its uncertainty [kg/m3], whether it stays within U
    (k = 2), the same in words; the least share of jet fuel such a comparison can show, and the share that
    would explain the difference found, each a Missing where the question has no answer.
    """

    sample: Estimate
    batch: Estimate
    difference: Estimate
    consistent: bool
    statement: str
    least_jet_fuel: JetFraction | Missing
    explained_by: JetFraction | Missing


def mixture_density(first: float, second: float, fraction: float) -> float:
    """Density of a mixture whose volumes add: rho = (1 - f) rho1 + f rho2.

    Parameters: `first`, `second` [kg/m3], both at the same temperature; `fraction` f, by volume, of the
    second [1]. Returns density [kg/m3]. The shrinkage of two hydrocarbons on mixing is neglected.
    Range: f of 0 to 1.
    Raises: OutOfRange outside it.
    Source: [common-practice] additive volumes.
    """
    if not 0 <= fraction <= 1:
        raise OutOfRange(f"volume fraction {fraction!r} is outside 0 to 1")
    return first + fraction * (second - first)


def fraction_in_mixture(first: float, second: float, change: float) -> float:
    """Volume fraction of the second liquid that moves the density of the first by `change`: f = change/(rho2
    - rho1).

    Parameters: `first`, `second`, `change` [kg/m3]. Returns f [1], above 1 where no mixture reaches so far.
    Range: second above first.
    Raises: OutOfRange otherwise.
    Source: [common-practice] additive volumes.
    """
    if not second > first:
        both = (Figure(each, "density") for each in (second, first))
        raise OutOfRange(say("the second liquid, {}, is not heavier than the first, {}", *both))
    return change / (second - first)


def _jet(batch: float, change: float, too_much: str) -> JetFraction | Missing:
    if not batch < _JET_LIGHTEST:
        return Missing("the batch itself is as heavy as jet fuel: density cannot tell them apart")
    light, heavy = (fraction_in_mixture(batch, jet, change) for jet in (_JET_LIGHTEST, _JET_HEAVIEST))
    if heavy > 1:
        return Missing(too_much)
    return JetFraction(min(light, 1.0), heavy)


def compare_with_batch(sample: Estimate, batch: Estimate) -> Comparison:
    """Whether a sample's density agrees with the declared batch, and what that could and could not have
    shown.

    d = rho_sample - rho_batch, u(d) = sqrt(u_sample^2 + u_batch^2), U = 2 u(d); the least share of jet fuel a
    difference could show is U/(rho_jet - rho_batch), volumes added.

    Parameters: `sample`, `batch` [kg/m3] at 15 degC, with independent standard uncertainties.
    Returns the Comparison; `consistent` never means more than that the difference is within U.
    Range: any densities; the shares of jet fuel only for a batch lighter than 775 kg/m3.
    Raises: ValueError where neither uncertainty is above 0, or a figure is not finite.
    Source: [jcgm-100] 5.1.2; jet fuel's densities [mil-hdbk-1022a].
    """
    numbers = (sample.value, sample.u, batch.value, batch.u)
    if not all(map(math.isfinite, numbers)) or min(sample.u, batch.u) < 0:
        raise ValueError("densities and uncertainties must be finite, uncertainties not negative")
    difference = Estimate(sample.value - batch.value, math.hypot(sample.u, batch.u))
    if not difference.u > 0:
        raise ValueError("a comparison needs the uncertainty of at least one of the two densities")
    consistent = abs(difference.value) <= difference.expanded
    within = say("± {}", Figure(difference.expanded, "density"))
    if consistent:
        statement = say("consistent with the declared batch within {}", within)
    else:
        by = Figure(difference.value, "density", sign=True)
        statement = say("differs from the declared batch by {}, more than {}", by, within)
    least = _jet(batch.value, difference.expanded, "even pure jet fuel would stay within the uncertainty")
    explained: JetFraction | Missing
    if consistent:
        explained = Missing("no difference beyond the uncertainty was found")
    elif difference.value < 0:
        explained = Missing("the sample is lighter than the batch: jet fuel would make it heavier")
    else:
        explained = _jet(
            batch.value, difference.value, "the sample is heavier than any mixture with jet fuel"
        )
    return Comparison(
        sample=sample,
        batch=batch,
        difference=difference,
        consistent=consistent,
        statement=statement,
        least_jet_fuel=least,
        explained_by=explained,
    )


def empty_change(now: Estimate, then: Estimate, on: str) -> Finding | None:
    """A notice where the empty bottle does not weigh what it weighed at its calibration.

    d = m - m_then, u(d) = sqrt(u^2 + u_then^2), told where |d| > 2 u(d)

    Parameters: `now`, `then` [kg]; `on` the day of the calibration. Returns the Finding, or None within U.
    Source: [jcgm-100] 5.1.2.
    """
    difference = Estimate(now.value - then.value, math.hypot(now.u, then.u))
    if abs(difference.value) <= difference.expanded:
        return None
    word = "lighter" if difference.value < 0 else "heavier"
    message = (
        f"the empty bottle is {abs(difference.value) * 1e3:.3f} g {word} than at its calibration of {on},"
        f" more than U {difference.expanded * 1e3:.3f} g"
    )
    hint = "chipped, another stopper, or not dry: weigh it with water again before you rely on its volume"
    return Finding(
        "bench-empty-changed", message, "a bottle that weighs what it weighed then", hint, severity="notice"
    )
