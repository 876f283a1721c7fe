"""Density of a petroleum product against temperature: the generalised products of the petroleum tables, 15
degC base.

The tables' fit is for a whole group of products, not for one fuel; `model_uncertainty` says what that costs.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

from planner.facts.grades import GASOLINE
from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, book, say, span_of

BASE_TEMPERATURE: Final = 15.0  # degC
COLDEST: Final = -50.0  # degC
# relative standard uncertainty per REFERENCE_SPAN: of leaded avgas, jet fuel, anything unknown; then of an
# unleaded alkylate avgas, furthest from the gasolines the fit was made of
GENERIC_FIT: Final = 0.001
UNLEADED_FIT: Final = 0.002
REFERENCE_SPAN: Final = 25.0  # K of correction the two figures above are stated for


@frozen
class Product:
    """One group of the petroleum tables: `alpha = k0/rho15**2 + k1/rho15 + constant` between two densities at
    15 degC.

    `lowest`, `highest` [kg/m3] are the printed borders; `warmest` [degC] the upper temperature this program
    accepts.
    """

    name: str
    lowest: float
    highest: float
    k0: float
    k1: float
    constant: float
    warmest: float

    def alpha(self, density_15c: float) -> float:
        """The group's thermal expansion [1/K] at 15 degC."""
        return (self.k0 / density_15c + self.k1) / density_15c + self.constant

    def density_at(self, density_15c: float, temperature: float) -> float:
        """The group's density [kg/m3] at `temperature` [degC]."""
        return density_15c * _factor(self.alpha(density_15c), temperature)

    def slope(self, density_15c: float, temperature: float) -> float:
        """How much the density at `temperature` [degC] changes per change of that at 15 degC [1], exactly."""
        dt = temperature - BASE_TEMPERATURE
        alpha = self.alpha(density_15c)
        rate = -(2 * self.k0 / density_15c + self.k1) / density_15c  # rho d(alpha)/d(rho)
        return _factor(alpha, temperature) * (1 - rate * dt * (1 + 1.6 * alpha * dt))

    def slope_in_temperature(self, density_15c: float, temperature: float) -> float:
        """How much the density changes per kelvin at `temperature` [degC], exactly [kg/m3/K]; negative: rho15
        dVCF/dt.
        """
        alpha, dt = self.alpha(density_15c), temperature - BASE_TEMPERATURE
        return -alpha * (1 + 1.6 * alpha * dt) * self.density_at(density_15c, temperature)

    def density_15c_from(self, observed_density: float, temperature: float) -> float:
        """The inverse of `density_at` on the group's own curve, continued past its borders [kg/m3]."""
        density = observed_density
        # The slope stays between 0.5 and 1.7 over the accepted range: Newton needs about five steps.
        for _ in range(50):
            away = self.density_at(density, temperature) - observed_density
            step = away / self.slope(density, temperature)
            density -= step
            if abs(step) < 1e-10:
                break
        return density


# API MPMS 11.1 / ASTM D1250 Table 54B, kg/m3 and K; the transition group is A + B/rho**2.
PRODUCTS: Final[tuple[Product, ...]] = (
    Product("gasoline", 653.0, 770.0, *GASOLINE, 0.0, 95.0),
    Product("transition", 770.5, 787.5, 2680.3206, 0.0, -0.00336312, 95.0),
    Product("jet fuel and kerosine", 788.0, 838.5, 594.5418, 0.0, 0.0, 95.0),
    Product("fuel oil", 839.0, 1075.0, 186.9696, 0.4862, 0.0, 150.0),
)
LOWEST: Final = PRODUCTS[0].lowest
HIGHEST: Final = PRODUCTS[-1].highest
_TABLES: Final = span_of(LOWEST, HIGHEST, "density")
# The tables step by 0.5 kg/m3, so a density between two groups was rounded to the nearer one; a density
# exactly half-way goes to the lower group.
BORDERS: Final = tuple((below.highest + above.lowest) / 2 for below, above in pairwise(PRODUCTS))


def _factor(alpha: float, temperature: float) -> float:
    step = alpha * (temperature - BASE_TEMPERATURE)
    return math.exp(-step * (1 + 0.8 * step))


def product_of(density_15c: float) -> Product:
    """The group a density at 15 degC belongs to.

    The printed groups leave gaps of 0.5 kg/m3 (770.0 to 770.5 and so on), because the tables are entered
    with a density rounded to 0.5. Here each gap is split at its middle, and the middle itself belongs to
    the lower group.

    Parameters: `density_15c` [kg/m3]. Returns the Product.
    Range: 653.0 to 1075.0 kg/m3 (both included).
    Raises: OutOfRange outside it (also for NaN).
    Source: [measurement-canada-54b] Table 54B; [astm-d1250].
    """
    if not LOWEST <= density_15c <= HIGHEST:
        words = "density at 15 degC {} is outside the petroleum tables' {}"
        raise OutOfRange(say(words, Figure(density_15c, "density"), _TABLES))
    return PRODUCTS[sum(density_15c > border for border in BORDERS)]


def thermal_expansion(density_15c: float) -> float:
    """Cubic thermal expansion of a petroleum product at 15 degC.

    alpha = k0/rho15**2 + k1/rho15, in the transition group A + B/rho15**2.

    Parameters: `density_15c` [kg/m3]. Returns alpha [1/K].
    Range: 653.0 to 1075.0 kg/m3. At a border between two groups alpha jumps by up to 2e-6 1/K, as in the
    tables.
    Raises: OutOfRange outside it.
    Source: [api-mpms-11.1] Table 54B; [astm-d1250].
    """
    return product_of(density_15c).alpha(density_15c)


def _check_temperature(product: Product, temperature: float) -> None:
    if not COLDEST <= temperature <= product.warmest:
        words = "temperature {} is outside {}, the range accepted for {}"
        accepted = span_of(COLDEST, product.warmest, "temperature")
        raise OutOfRange(say(words, book(temperature, "temperature"), accepted, product.name))


def volume_correction_factor(density_15c: float, temperature: float) -> float:
    """Volume at 15 degC over volume at `temperature`, equally density there over density at 15 degC.

    VCF = exp[-alpha dt (1 + 0.8 alpha dt)], dt = t - 15 degC. Nothing is rounded on the way.

    Parameters: `density_15c` [kg/m3]; `temperature` [degC]. Returns VCF [1].
    Range: 653.0 to 1075.0 kg/m3; -50 to 95 degC, for fuel oil -50 to 150 degC.
    Raises: OutOfRange outside either.
    Source: [api-mpms-11.1] Table 54B; [measurement-canada-54b].
    """
    product = product_of(density_15c)
    _check_temperature(product, temperature)
    return _factor(product.alpha(density_15c), temperature)


def density_at(density_15c: float, temperature: float) -> float:
    """Density of a petroleum product at a temperature: rho_t = rho15 VCF.

    Parameters: `density_15c` [kg/m3]; `temperature` [degC]. Returns density [kg/m3].
    Range and errors: as `volume_correction_factor`.
    Source: [api-mpms-11.1] Table 54B.
    """
    return density_15c * volume_correction_factor(density_15c, temperature)


def density_15c_from(observed_density: float, temperature: float) -> float:
    """Density at 15 degC of a product whose density was observed at another temperature.

    Solves rho15 VCF(rho15, t) = observed inside each group by Newton steps to 1e-9 kg/m3. alpha jumps at a
    group's border (by at most 0.13 kg/m3 of density at the range's ends), so near one there can be two
    answers, and the lower group's is given, or none, and the border itself is given.

    Parameters: `observed_density` [kg/m3] true density at `temperature` [degC] (glass already corrected).
    Returns density at 15 degC [kg/m3].
    Range: results of 653.0 to 1075.0 kg/m3; -50 to 95 degC, for fuel oil -50 to 150 degC.
    Raises: OutOfRange where no density in the range answers.
    Source: [api-mpms-11.1] Table 53B (the inverse of Table 54B).
    """
    if not COLDEST <= temperature <= PRODUCTS[-1].warmest:
        _check_temperature(PRODUCTS[-1], temperature)
    edges = (LOWEST, *BORDERS, HIGHEST)
    low = PRODUCTS[0].density_at(LOWEST, temperature) - 1e-9
    if not low <= observed_density <= PRODUCTS[-1].density_at(HIGHEST, temperature) + 1e-9:
        words = "density {} at {} has no density at 15 degC in the range of {}"
        observed = (Figure(observed_density, "density"), book(temperature, "temperature"))
        raise OutOfRange(say(words, *observed, _TABLES))
    for product, (low, high) in zip(PRODUCTS, pairwise(edges), strict=True):
        if observed_density <= product.density_at(high, temperature) + 1e-9:
            _check_temperature(product, temperature)
            # an observation in the gap between two groups' curves comes out below `low`: the border is the
            # nearest answer
            return min(max(product.density_15c_from(observed_density, temperature), low), high)
    return HIGHEST


def model_uncertainty(density_15c: float, away: float, unleaded: bool = False) -> float:
    """Standard uncertainty of a density moved over `away` kelvin with the generalised fit.

    u = k rho15 |away|/25, k = 0.001 (leaded avgas, jet fuel, unknown) or 0.002 (unleaded alkylate avgas):
    how far a real fuel strays from the fit of its group, proportional to the correction made.

    Parameters: `density_15c` [kg/m3]; `away` [K]; `unleaded` true for an unleaded alkylate avgas.
    Returns u [kg/m3], zero where nothing is moved.
    Range: between two temperatures of `volume_correction_factor`.
    Source: [common-practice]: an estimate of this program, no published figure.
    """
    return (UNLEADED_FIT if unleaded else GENERIC_FIT) * density_15c * abs(away) / REFERENCE_SPAN
