"""The hydrometer: a reading at the temperature of the sample to a density at 15 degC with its uncertainty."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from planner.density.bench.agreement import grade_notices
from planner.density.bench.glass import hydrometer_glass_factor
from planner.density.budget import Budget, Estimate, Input, propagate
from planner.density.petroleum import BASE_TEMPERATURE, density_15c_from, model_uncertainty, product_of
from planner.facts.grades import Grade
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.frozen import frozen

FAR_FROM_BASE: Final = 25.0  # K beyond which the table's own spread is worth a word
NO_MENISCUS: Final = Estimate(0.0)  # kg/m3, read at the level surface


@frozen
class HydrometerReading:
    """What was read: `reading` [kg/m3] on the scale, `temperature` [degC] of the sample and the hydrometer in
    it.

    `reference_temperature` [degC] at which the scale is right. `glass_correction` true where the glass has
    still to be corrected for, false where the table or the scale used already contains it. `meniscus` [kg/m3]
    is added where the scale was read at the top of the liquid's rim but is made to be read at the level
    surface.
    """

    reading: Estimate
    temperature: Estimate
    reference_temperature: float = BASE_TEMPERATURE
    glass_correction: bool = True
    meniscus: Estimate = NO_MENISCUS


@frozen
class HydrometerResult:
    """Density [kg/m3] of the sample at its temperature and at 15 degC, the change made by the glass [kg/m3],
    the budget of the density at 15 degC, and notices.
    """

    reading: HydrometerReading
    density: Estimate
    density_15c: Estimate
    glass_effect: float
    budget_15c: Budget
    notices: tuple[Finding, ...]

    @property
    def temperature(self) -> float:
        """The temperature of the sample [degC]."""
        return self.reading.temperature.value

    @property
    def u_temperature(self) -> float:
        """The standard uncertainty of that temperature [K]."""
        return self.reading.temperature.u


def _density(values: Mapping[str, float], taken: HydrometerReading) -> float:
    shown = values["reading"] + values["meniscus"]
    if not taken.glass_correction:
        return shown
    return shown * hydrometer_glass_factor(values["temperature"], taken.reference_temperature)


def read(taken: HydrometerReading, grade: Grade | None = None) -> HydrometerResult:
    """Density at 15 degC from a hydrometer reading.

    rho_t = (reading + meniscus) [1 - 2.3e-5 dt - 2e-8 dt^2], dt = t - t_ref, then rho15 from the petroleum
    tables. The temperature acts twice, on glass and liquid, and is counted once.

    Parameters: `taken`; `grade` declared, for the notices and the trust in the table, None where none was.
    Returns the HydrometerResult.
    Range: density at 15 degC 653 to 1075 kg/m3; -50 to 95 degC.
    Raises: InputRefused for figures that are none; OutOfRange outside the range.
    Source: [astm-d1250] hydrometer correction; [api-mpms-11.1] Table 53B; [jcgm-100] 5.1.2.
    """
    entries = [
        Input("reading", taken.reading.value, taken.reading.u, "kg/m3"),
        Input("temperature", taken.temperature.value, taken.temperature.u, "degC"),
        Input("meniscus", taken.meniscus.value, taken.meniscus.u, "kg/m3"),
    ]
    numbers = [taken.reference_temperature, *(number for each in entries for number in (each.value, each.u))]
    if not all(map(math.isfinite, numbers)) or min(each.u for each in entries) < 0:
        message, needed = (
            "a reading is not a finite number",
            "needed finite numbers and uncertainties of 0 or more",
        )
        raise InputRefused([Finding("bench-not-finite", message, needed, where="hydrometer")])
    temperature = taken.temperature.value
    away = temperature - BASE_TEMPERATURE
    density = propagate(lambda values: _density(values, taken), entries).result
    at_15c = density_15c_from(density.value, temperature)
    product = product_of(at_15c)
    spread = model_uncertainty(at_15c, away, grade is not None and grade.unleaded)
    moved = propagate(
        lambda values: (
            product.density_15c_from(_density(values, taken), values["temperature"])
            + values["petroleum table"]
        ),
        [*entries, Input("petroleum table", 0.0, spread, "kg/m3")],
    )
    result_15c = Estimate(at_15c, moved.result.u)
    notices = grade_notices(result_15c, grade, "hydrometer") if grade is not None else ()
    if abs(away) > FAR_FROM_BASE:
        message = f"the sample is {abs(away):.0f} K from 15 degC, and the table is a fit for fuels in general"
        needed, hint = "a sample nearer 15 degC", "shade or warm it"
        far = Finding("bench-far-from-15c", message, needed, hint, "temperature", severity="notice")
        notices = (*notices, far)
    return HydrometerResult(
        reading=taken,
        density=density,
        density_15c=result_15c,
        glass_effect=density.value - taken.reading.value - taken.meniscus.value,
        budget_15c=Budget(result_15c, moved.lines),
        notices=notices,
    )
