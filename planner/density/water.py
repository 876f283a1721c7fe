"""Density of water, the liquid a density bottle is calibrated with."""

from __future__ import annotations

from typing import Final

from planner.density.ranges import within

COLDEST: Final = 0.0  # degC
WARMEST: Final = 40.0  # degC
# Standard uncertainty of everyday distilled or demineralised water: dissolved air alone is worth 0.003 kg/m3,
# the rest allows for what else is dissolved. Common practice, no published source.
WATER_UNCERTAINTY: Final = 0.02  # kg/m3

_A1: Final = -3.983035  # degC, minus the temperature of greatest density
_A2: Final = 301.797  # degC
_A3: Final = 522528.9  # degC2
_A4: Final = 69.34881  # degC
_A5: Final = 999.974950  # kg/m3, the greatest density


def water_density(temperature: float) -> float:
    """Density of air-free pure water at 101 325 Pa.

    rho = a5 [1 - (t + a1)^2 (t + a2) / (a3 (t + a4))]

    Parameters: `temperature` [degC]. Returns density [kg/m3], standard uncertainty below 0.001 kg/m3.
    Range: 0 to 40 degC.
    Raises: OutOfRange outside it.
    Source: [tanaka-2001] the recommended table's equation, Metrologia 38, 301.
    """
    within("water temperature", temperature, COLDEST, WARMEST, "temperature")
    shift = temperature + _A1
    return _A5 * (1 - shift * shift * (temperature + _A2) / (_A3 * (temperature + _A4)))
