"""How glass grows with temperature: the bottle that holds the liquid and the hydrometer that floats in it."""

from __future__ import annotations

from typing import Final

BASE_TEMPERATURE: Final = 20.0  # degC, at which the volume of laboratory glassware is stated
BOROSILICATE: Final = 9.9e-6  # 1/K, cubic expansion of borosilicate glass 3.3; from memory
SODA_LIME: Final = 27e-6  # 1/K, cubic expansion of soda-lime glass; from memory
# relative standard uncertainty of either; common practice, no published source
EXPANSION_UNCERTAINTY: Final = 0.05


def glass_volume(volume_20c: float, expansion: float, temperature: float) -> float:
    """Volume held by a glass vessel at a temperature: V = V20 [1 + gamma (t - 20)].

    Parameters: `volume_20c` [m3]; `expansion` gamma, cubic [1/K]; `temperature` [degC].
    Returns volume [m3].
    Range: ordinary room and outdoor temperatures, where gamma is constant.
    Source: [iso-4787] temperature correction of volumetric glassware.
    """
    return volume_20c * (1 + expansion * (temperature - BASE_TEMPERATURE))


def hydrometer_glass_factor(temperature: float, reference_temperature: float) -> float:
    """What a glass hydrometer's reading is multiplied by because its own glass is not at the scale's
    temperature.

    1 - 2.3e-5 dt - 2e-8 dt^2, dt = t - t_ref: warmer glass floats higher and reads too much.

    Parameters: `temperature` of hydrometer and liquid, `reference_temperature` of the scale [degC].
    Returns factor [1]. Never apply it where the table used with the hydrometer already contains it.
    Range: the range of the petroleum tables.
    Source: [astm-d1250] hydrometer correction.
    """
    step = temperature - reference_temperature
    return 1 - 2.3e-5 * step - 2e-8 * step * step
