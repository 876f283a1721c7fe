"""The density of a liquid from weighings of one bottle, formula by formula."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Literal

from planner.density.air import WEIGHT_DENSITY
from planner.density.bench.glass import glass_volume
from planner.density.water import water_density


def volume_from_water(
    net_reading: float, water: float, air: float, expansion: float, temperature: float
) -> float:
    """Volume of a bottle at 20 degC from a weighing with water.

    V20 = W (1 - rho_a/8000) / (rho_w - rho_a) / [1 + gamma (t - 20)]

    Parameters: `net_reading` W, full minus empty [kg]; `water` rho_w, `air` rho_a [kg/m3]; `expansion` gamma
    [1/K]; `temperature` of the water [degC]. Returns V20 [m3].
    Range: water 0 to 40 degC.
    Source: [iso-4787]; [iso-3507].
    """
    return (
        net_reading * (1 - air / WEIGHT_DENSITY) / (water - air) / glass_volume(1.0, expansion, temperature)
    )


def density_from_volume(
    net_reading: float, volume_20c: float, air: float, expansion: float, temperature: float
) -> float:
    """Density of a liquid that fills a bottle of known volume.

    rho = W (1 - rho_a/8000) / (V20 [1 + gamma (t - 20)]) + rho_a

    Parameters: `net_reading` W, full minus empty [kg]; `volume_20c` V20 [m3]; `air` rho_a [kg/m3];
    `expansion` gamma [1/K]; `temperature` t of the liquid [degC]. Returns density at t [kg/m3].
    Range: any liquid.
    Source: [iso-3838]; [astm-d1217].
    """
    return net_reading * (1 - air / WEIGHT_DENSITY) / glass_volume(volume_20c, expansion, temperature) + air


def density_relative_to_water(
    sample: float, water: float, water_rho: float, air: float, growth: float = 1.0
) -> float:
    """Density of a liquid from the net readings of the same bottle with it and with water; the balance's
    scale cancels.

    rho = (W_s/W_w) (rho_w - rho_a) [1 + gamma (t_w - 20)]/[1 + gamma (t_s - 20)] + rho_a

    Parameters: `sample` W_s, `water` W_w, net readings [kg]; `water_rho`, `air` [kg/m3]; `growth` the
    quotient in square brackets [1], 1 at equal temperatures. Returns density [kg/m3].
    Range: water 0 to 40 degC.
    Source: [iso-3838]; [astm-d1217].
    """
    return sample / water * (water_rho - air) * growth + air


def _water_at(values: Mapping[str, float]) -> float:
    # beyond the table's ends by no more than the differentiation's own step
    return (
        water_density(min(max(values["water temperature"] + values["thermometer"], 0.0), 40.0))
        + values["water purity"]
    )


def _net(values: Mapping[str, float], full: str) -> float:
    return (values[full] - values["empty"]) * values["balance"]


def volume_model(by: VolumeFrom) -> Callable[[Mapping[str, float]], float]:
    """The volume [m3] as a function of the raw readings by name, for their effects and for draws."""
    if by != "water":
        return lambda values: values[by]
    return lambda values: volume_from_water(
        _net(values, "water"),
        _water_at(values),
        values["air density"],
        values["glass expansion"],
        values["water temperature"] + values["thermometer"],
    )


def density_model(by: VolumeFrom) -> Callable[[Mapping[str, float]], float]:
    """The density [kg/m3] as a function of the raw readings by name, for their effects and for draws."""
    volume = volume_model(by)
    return lambda values: density_from_volume(
        _net(values, "sample"),
        volume(values),
        values["air density"],
        values["glass expansion"],
        values["sample temperature"] + values["thermometer"],
    )


VolumeFrom = Literal["water", "known volume", "nominal volume"]
