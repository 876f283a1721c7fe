"""One density taken from one temperature to another, with every step kept for showing."""

from __future__ import annotations

import math

from planner.density.basis import carried
from planner.density.petroleum import (
    model_uncertainty,
    product_of,
    thermal_expansion,
    volume_correction_factor,
)
from planner.quantities.frozen import frozen


@frozen
class DensityCorrection:
    """A correction: densities and u [kg/m3], temperatures [degC], alpha [1/K], product group, factors [1]."""

    stated: float
    at: float
    at_15c: float
    to: float
    result: float
    u: float
    alpha: float
    group: str
    factor_at: float
    factor_to: float


def correct(
    stated: float, u: float, at: float, u_at: float, to: float, unleaded: bool = False
) -> DensityCorrection:
    """Density at `to` from a density `stated` at `at`: rho15 from stated = rho15 VCF(at), then rho15 VCF(to).

    Parameters: `stated`, `u` [kg/m3]; `at`, `u_at`, `to` [degC]; `unleaded` for an unleaded avgas.
    Range: 653 to 1075 kg/m3 at 15 degC, -50 to 95 degC. Raises OutOfRange outside it.
    Returns a Correction whose u joins the figure's, the temperature's and the generalised product's over `to
    - at`.
    Source: [api-mpms-11.1] Tables 53B, 54B; [jcgm-100] 5.1.2.
    """
    at_15c, result, by_figure, by_at = carried(stated, u, at, u_at, to)
    total = math.hypot(by_figure, by_at, model_uncertainty(at_15c, to - at, unleaded))
    factors = volume_correction_factor(at_15c, at), volume_correction_factor(at_15c, to)
    return DensityCorrection(
        stated, at, at_15c, to, result, total, thermal_expansion(at_15c), product_of(at_15c).name, *factors
    )
