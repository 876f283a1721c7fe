"""The density a plan uses, from whichever figure the pilot has, at the temperature of the fuel aboard."""

from __future__ import annotations

import math
from typing import Final

from planner.density.petroleum import (
    BASE_TEMPERATURE,
    HIGHEST,
    LOWEST,
    Product,
    density_15c_from,
    density_at,
    model_uncertainty,
    product_of,
    volume_correction_factor,
)
from planner.facts.grades import Grade
from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, book, say
from planner.quantities.units import Quantity

STANDARD_METHOD: Final = "standard figure at 15 degC, corrected to the tank"


@frozen
class DensityUsed:
    """A density with its origin.

    `density` and standard uncertainty `u` [kg/m3] at `temperature` [degC] (a reason where the temperature is
    not known); `at_15c` [kg/m3], or the reason it is not known; `method` in a few words; `source` of the
    figure; `findings`, the notices that come with it.
    """

    density: float
    u: float
    at_15c: float | str
    temperature: float | str
    method: str
    source: str
    correction_factor: float = 1.0
    findings: tuple[Finding, ...] = ()


def from_15c(
    density_15c: float,
    u: float,
    temperature: float,
    u_temperature: float,
    grade: Grade,
    method: str,
    source: str,
) -> DensityUsed:
    """Density at the fuel's temperature from a density at 15 degC: rho = rho15 VCF(rho15, t).

    The uncertainty joins that of the figure (times d rho/d rho15), of the temperature (times d rho/d t), both
    by the derivative of the whole correction, and of the generalised product itself.

    Parameters: `density_15c`, `u` [kg/m3]; `temperature`, `u_temperature` [degC]; `grade`; `method`, `source`
    in words. Range and errors: as `planner.density.petroleum.volume_correction_factor` (OutOfRange).
    Source: [api-mpms-11.1] Table 54B; [jcgm-100] 5.1.2.
    """
    factor = volume_correction_factor(density_15c, temperature)
    density = density_15c * factor
    product = product_of(density_15c)
    by_figure = _by_figure(product, density_15c, u, temperature)
    by_temperature = product.slope_in_temperature(density_15c, temperature) * u_temperature
    by_model = _model(density_15c, temperature - BASE_TEMPERATURE, grade)
    return DensityUsed(
        density=density,
        u=math.hypot(by_figure, by_temperature, by_model),
        at_15c=density_15c,
        temperature=temperature,
        method=method,
        source=source,
        correction_factor=factor,
    )


def _by_figure(product: Product, density_15c: float, u: float, temperature: float) -> float:
    """What u of a density at 15 degC makes of that at `temperature`; where it reaches into another group of
    the tables, the less sure side counts.
    """
    found = u * product.slope(density_15c, temperature)
    for end in (density_15c - u, density_15c + u):
        if LOWEST <= end <= HIGHEST and product_of(end) is not product:
            found = max(
                found, abs(density_at(end, temperature) - product.density_at(density_15c, temperature))
            )
    return found


def _model(density_15c: float, away: float, grade: Grade) -> float:
    """How unsure the tables are over so many kelvin [kg/m3], and what they do not cover of the fuel."""
    ethanol = grade.u_ethanol_per_kelvin * away
    return math.hypot(model_uncertainty(density_15c, away, grade.unleaded), ethanol)


def carried(
    measured: float, u: float, at: float, u_at: float, to: float
) -> tuple[float, float, float, float]:
    """A density measured at one temperature carried to another: rho15 from measured = rho15 VCF(at), then
    rho15 VCF(to).

    Parameters: `measured`, `u` [kg/m3]; `at`, `u_at`, `to` [degC]. Returns density at 15 degC and at `to`,
    and what u and u_at make unsure of the latter [kg/m3].
    Range and errors: as `planner.density.petroleum.density_15c_from` (OutOfRange).
    Source: [api-mpms-11.1] Tables 53B, 54B; [jcgm-100] 5.1.2.
    """
    density_15c = density_15c_from(measured, at)
    density, product = density_at(density_15c, to), product_of(density_15c)
    from_figure = product.slope(density_15c, to) / product.slope(density_15c, at)
    by_at = from_figure * product.slope_in_temperature(density_15c, at) * u_at
    return density_15c, density, u * from_figure, by_at


def from_measurement(
    measured: float,
    u: float,
    at: float,
    u_at: float,
    temperature: float,
    u_temperature: float,
    grade: Grade,
    source: str,
) -> DensityUsed:
    """Density at the fuel's temperature from a density measured at another.

    rho15 is found by inverting rho15 VCF = measured, and corrected again to the tank; the generalised product
    is only trusted less over the difference of the two temperatures, since the measurement itself fixes the
    level.

    Parameters: `measured`, `u` [kg/m3] at `at`, `u_at` [degC]; `temperature`, `u_temperature` [degC] of the
    tank. Range and errors: as `planner.density.petroleum.density_15c_from` (OutOfRange).
    Source: [api-mpms-11.1] Tables 53B, 54B; [jcgm-100] 5.1.2.
    """
    density_15c, density, by_figure, by_at = carried(measured, u, at, u_at, temperature)
    by_temperature = product_of(density_15c).slope_in_temperature(density_15c, temperature) * u_temperature
    # The trust is per kelvin of correction, so measuring at the tank's own temperature leaves none of it.
    by_model = _model(density_15c, temperature - at, grade)
    total = math.hypot(by_figure, by_at, by_temperature, by_model)
    method = say(
        "measured {} at {}, corrected to the tank", Figure(measured, "density"), book(at, "temperature")
    )
    return DensityUsed(
        density=density,
        u=total,
        at_15c=density_15c,
        temperature=temperature,
        method=method,
        source=source,
        correction_factor=density / density_15c,
    )


def fixed(density: float, u: float, source: str) -> DensityUsed:
    """A density taken as it stands, whatever the temperature.

    Parameters: `density`, `u` [kg/m3]. Returns it unchanged, with the reason why nothing is known at 15 degC.
    Source: [common-practice].
    """
    unknown = "not known: the figure is fixed, not tied to a temperature"
    return DensityUsed(
        density=density,
        u=u,
        at_15c=unknown,
        temperature=unknown,
        method="fixed figure, no temperature correction",
        source=source,
    )


def choose(
    grade: Grade,
    temperature: Quantity | None,
    *,
    at_15c: Quantity | None = None,
    measured: Quantity | None = None,
    at: Quantity | None = None,
    fixed_value: Quantity | None = None,
    source: str,
) -> DensityUsed:
    """The density from whichever one figure is given; with none, the standard figure of the grade.

    Parameters: `grade`; `temperature` [degC] of the fuel, needed unless the density is fixed; `at_15c`,
    `measured` at `at`, or `fixed_value` [kg/m3]; `source` in words. Returns a DensityUsed.
    Raises OutOfRange outside the petroleum tables; ValueError where a temperature is missing (checked at the
    edge).
    Source: as the function it hands over to.
    """
    if fixed_value is not None:
        return fixed(fixed_value.value, fixed_value.u, source)
    if temperature is None:
        raise ValueError("a density that is not fixed needs the temperature of the fuel")
    t, u_t = temperature.value, temperature.u
    if measured is not None and at is not None:
        return from_measurement(measured.value, measured.u, at.value, at.u, t, u_t, grade, source)
    if at_15c is not None:
        return from_15c(
            at_15c.value, at_15c.u, t, u_t, grade, "stated at 15 degC, corrected to the tank", source
        )
    whose = f"standard figure for {grade.name}, not this batch"
    return from_15c(grade.standard_density, grade.batch_u, t, u_t, grade, STANDARD_METHOD, whose)
