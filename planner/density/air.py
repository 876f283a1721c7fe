"""Density of the air around a balance, and what its buoyancy does to a reading.

A balance is adjusted with weights of 8000 kg/m3 in air of 1.2 kg/m3; a light liquid displaces far more air
than those weights did, so its reading is about 0.15 % too small.
"""

from __future__ import annotations

import math
from typing import Final

from planner.density.budget import Estimate
from planner.density.ranges import within
from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, say
from planner.quantities.units import STANDARD_GRAVITY

WEIGHT_DENSITY: Final = 8000.0  # kg/m3, conventional density of adjustment weights, OIML D 28
CONVENTIONAL_AIR: Final = 1.2  # kg/m3, conventional air density, OIML D 28

# Primary constants of the ICAO standard atmosphere's lowest layer (Doc 7488); from memory.
_SEA_LEVEL_PRESSURE: Final = 101325.0  # Pa
_SEA_LEVEL_TEMPERATURE: Final = 288.15  # K
_LAPSE: Final = 0.0065  # K/m
_GAS_CONSTANT: Final = 287.05287  # J/(kg K)
_EXPONENT: Final = STANDARD_GRAVITY / (_GAS_CONSTANT * _LAPSE)
_TROPOPAUSE: Final = 11000.0  # m
_LOWEST_ALTITUDE: Final = -2000.0  # m

_FORMULA_SPREAD: Final = 2e-4  # relative, 900-1100 hPa, 10-30 degC, up to 80 %: OIML R 111-1 E.3
# relative, the rest of the range accepted here: bounded against a reference library in the tests
_WIDER_SPREAD: Final = 3e-3
_UNKNOWN_HUMIDITY: Final = Estimate(0.5, 0.5 / math.sqrt(3))  # anything between dry and saturated
_UNKNOWN_WEATHER: Final = 1000.0  # Pa, standard uncertainty of a pressure taken from altitude alone


def moist_air_density(temperature: float, pressure: float, humidity: float) -> float:
    """Density of moist air.

    rho = (0.34848 p - 0.009 h exp(0.061 t)) / (273.15 + t), p in hPa, h in %

    Parameters: `temperature` [degC]; `pressure` at the place, not reduced to sea level [Pa]; `humidity`
    relative [1]. Returns density [kg/m3], within 2e-4 of it between 900 and 1100 hPa, 10 and 30 degC, up to
    80 %.
    Range: -10 to 40 degC, 600 to 1100 hPa, 0 to 1; 3e-3 at its hot, thin and damp corner.
    Raises: OutOfRange outside it.
    Source: [oiml-r111] E.3.
    """
    within("air temperature", temperature, -10, 40, "temperature")
    within("air pressure", pressure, 60_000, 110_000, "pressure")
    if not 0 <= humidity <= 1:
        raise OutOfRange(f"relative humidity {humidity:.6g} is outside 0 to 1")
    vapour = 0.009 * humidity * 100 * math.exp(0.061 * temperature)
    return (0.34848 * pressure / 100 - vapour) / (273.15 + temperature)


def pressure_at_altitude(altitude: float, sea_level_pressure: float = _SEA_LEVEL_PRESSURE) -> float:
    """Pressure at an altitude in the ICAO standard atmosphere, also for an altimeter setting (QNH) other than
    standard.

    p = p0 (1 - L H / T0)^(g / (R L)); with a QNH the altitude is counted from where the standard atmosphere
    has that pressure, as an altimeter does.

    Parameters: `altitude` geopotential [m]; `sea_level_pressure` QNH [Pa].
    Returns pressure [Pa].
    Range: -2000 to 11 000 m, QNH 87 to 108.5 kPa.
    Raises: OutOfRange outside either.
    Source: [common-practice] the ICAO standard atmosphere (Doc 7488), constants from memory.
    """
    within("sea-level pressure", sea_level_pressure, 87_000, 108_500, "pressure")
    within("altitude", altitude, _LOWEST_ALTITUDE, _TROPOPAUSE, "length")
    lapsed = _LAPSE * altitude / _SEA_LEVEL_TEMPERATURE
    ratio = (sea_level_pressure / _SEA_LEVEL_PRESSURE) ** (1 / _EXPONENT) - lapsed
    return float(_SEA_LEVEL_PRESSURE * ratio**_EXPONENT)


def saturation_pressure(temperature: float) -> float:
    """Pressure of water vapour over liquid water with which air is saturated.

    p = exp(A T^2 + B T + C + D / T) Pa, T = 273.15 + t

    Parameters: `temperature` [degC]. Returns pressure [Pa].
    Range: 0 to 60 degC, over liquid water.
    Raises: OutOfRange outside it.
    Source: [cipm-2007] A = 1.2378847e-5, B = -1.9121316e-2, C = 33.93711047, D = -6343.1645.
    """
    within("air temperature", temperature, 0, 60, "temperature")
    kelvin = 273.15 + temperature
    return math.exp(1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6343.1645 / kelvin)


def vapour_density(temperature: float, humidity: float) -> float:
    """Mass of water vapour in a volume of air.

    rho = h p_s / (R_w T), R_w = 461.5 J/(kg K) the gas constant over the molar mass of water

    Parameters: `temperature` [degC]; `humidity` relative [1]. Returns density [kg/m3].
    Range and Raises: as saturation_pressure.
    Source: [cipm-2007] R = 8.314472 J/(mol K), M = 18.01528e-3 kg/mol.
    """
    return humidity * saturation_pressure(temperature) * 18.01528e-3 / (8.314472 * (273.15 + temperature))


@frozen
class AirConditions:
    """What is known of the air: `temperature` [degC], `pressure` [Pa] or `altitude` [m], `humidity` [1]."""

    temperature: Estimate
    pressure: Estimate | None = None
    altitude: float | None = None
    humidity: Estimate | None = None


def air_density(conditions: AirConditions) -> Estimate:
    """Density of the air with its standard uncertainty, from whatever is known of it.

    `moist_air_density`; pressure from altitude by `pressure_at_altitude` where it was not read (u 10 hPa for
    the weather), humidity 50 % +/- 29 % where unknown.

    Parameters: `conditions`. Returns the Estimate [kg/m3].
    Range and errors: OutOfRange as the two functions; ValueError where neither pressure nor altitude is
    known.
    Source: [oiml-r111] E.3; uncertainties of the defaults: [common-practice].
    """
    if conditions.pressure is not None:
        pressure = conditions.pressure
    elif conditions.altitude is not None:
        pressure = Estimate(pressure_at_altitude(conditions.altitude), _UNKNOWN_WEATHER)
    else:
        raise ValueError("neither pressure nor altitude is known")
    humidity = conditions.humidity or _UNKNOWN_HUMIDITY
    t, p, h = conditions.temperature.value, pressure.value, humidity.value
    value = moist_air_density(t, p, h)
    kelvin = 273.15 + t
    vapour = 0.009 * 100 * math.exp(0.061 * t) / kelvin  # density lost per unit of relative humidity
    inner = p >= 90_000 and 10 <= t <= 30 and h <= 0.8
    u = math.hypot(
        (value / kelvin + 0.061 * vapour * h) * conditions.temperature.u,
        0.34848 / 100 / kelvin * pressure.u,
        vapour * humidity.u,
        value * (_FORMULA_SPREAD if inner else _WIDER_SPREAD),
    )
    return Estimate(value, u)


def mass_from_reading(reading: float, density: float, air: float) -> float:
    """Mass of a body from a balance reading: m = W (1 - rho_a/8000) / (1 - rho_a/rho).

    Parameters: `reading` W [kg]; `density` rho of the body, `air` rho_a [kg/m3]. Returns mass [kg].
    Range: `density` above `air`.
    Raises: OutOfRange otherwise.
    Source: [oiml-d28]; [oiml-r111].
    """
    if not density > air:
        both = (Figure(each, "density", 1) for each in (density, air))
        raise OutOfRange(say("a body of {} would float in air of {}", *both))
    return reading * (1 - air / WEIGHT_DENSITY) / (1 - air / density)


def conventional_mass(mass: float, density: float) -> float:
    """Conventional mass, what a weight of 8000 kg/m3 would have to be to balance the body in air of 1.2
    kg/m3.

    m_c = m (1 - 1.2/rho) / (1 - 1.2/8000)

    Parameters: `mass` [kg]; `density` rho of the body [kg/m3]. Returns conventional mass [kg].
    Range: `density` above 1.2 kg/m3.
    Raises: OutOfRange otherwise.
    Source: [oiml-d28] definition.
    """
    if not density > CONVENTIONAL_AIR:
        both = (Figure(each, "density", 1) for each in (density, CONVENTIONAL_AIR))
        raise OutOfRange(say("density {} is not above {}", *both))
    return mass * (1 - CONVENTIONAL_AIR / density) / (1 - CONVENTIONAL_AIR / WEIGHT_DENSITY)
