"""Virtual bottles: readings made from the densities of pure liquids, turned back into densities by our
formulas.

Forward: CoolProp's reference equations for n-heptane, n-octane and water (IAPWS-95), its humid air, and the
balance of forces written out. Published at 25 degC (J. Chem. Eng. Data, 2014, abstract, read in the source):
n-heptane 679.61, 2,2,4-trimethylpentane 687.70 kg/m3; the latter has no equation in CoolProp and enters by
that figure.
"""

from __future__ import annotations

import pytest

from planner.density.air import moist_air_density
from planner.density.bench.bottle import weigh
from planner.density.bench.readings import BottleReadings
from planner.density.budget import Estimate, Missing

V20 = 49.9137e-6  # m3
GAMMA = 9.9e-6  # 1/K


def fluid(name: str, temperature: float) -> float:
    from CoolProp.CoolProp import PropsSI  # late: a second to load, in every process of the run

    return float(PropsSI("D", "T", temperature + 273.15, "P", 101325, name))


def indication(density: float, temperature: float, air: float) -> float:
    """What the balance shows for the contents: the pan's force is (rho - rho_a) V g, and steel weights make
    the scale.
    """
    volume = V20 * (1 + GAMMA * (temperature - 20))
    force_over_g = density * volume - air * volume
    return force_over_g / (1 - air / 8000)


def virtual(
    density: float,
    sample_temperature: float,
    water_temperature: float,
    petroleum: bool = True,
    known: bool = False,
) -> BottleReadings:
    from CoolProp.HumidAirProp import HAPropsSI

    true_air = 1 / HAPropsSI("Vha", "T", 293.15, "P", 99_000, "R", 0.4)
    empty = 0.02811
    with_water = Estimate(empty + indication(fluid("Water", water_temperature), water_temperature, true_air))
    return BottleReadings(
        empty=Estimate(empty),
        sample=Estimate(empty + indication(density, sample_temperature, true_air)),
        sample_temperature=Estimate(sample_temperature),
        water=None if known else with_water,
        water_temperature=None if known else Estimate(water_temperature),
        known_volume=Estimate(V20) if known else None,
        air_density=Estimate(moist_air_density(20.0, 99_000.0, 0.4)),
        glass_expansion=Estimate(GAMMA),
        petroleum=petroleum,
    )


@pytest.mark.parametrize(
    "temperatures", [(25.0, 25.0), (20.0, 20.0), (15.0, 15.0), (10.0, 25.0), (30.0, 18.0)]
)
@pytest.mark.parametrize("liquid", ["n-Heptane", "n-Octane"])
def test_pure_liquids_come_back(liquid: str, temperatures: tuple[float, float]) -> None:
    density = fluid(liquid, temperatures[0])
    result = weigh(virtual(density, *temperatures))
    # The two water equations differ by up to 0.0007 kg/m3 up to 30 degC, and 0.7 of that is left here.
    assert result.density.value == pytest.approx(density, abs=0.001)
    assert result.volume_20c.result.value == pytest.approx(V20, rel=1.2e-6)


@pytest.mark.parametrize("published", [679.61, 687.70])
def test_published_liquids_at_25_degrees(published: float) -> None:
    assert weigh(virtual(published, 25.0, 25.0)).density.value == pytest.approx(published, abs=0.001)
    # A bottle of known volume has no water in it: only the air's 2e-4 is left.
    assert weigh(virtual(published, 25.0, 25.0, known=True)).density.value == pytest.approx(
        published, abs=3e-4
    )


def test_coolprop_agrees_with_the_published_heptane() -> None:
    # 679.598 against 679.61: the reference equation is stated to 0.05 % (from memory), 0.34 kg/m3.
    assert fluid("n-Heptane", 25.0) == pytest.approx(679.61, abs=0.34)


def test_leaving_out_the_air_costs_what_it_should() -> None:
    result = weigh(virtual(679.61, 25.0, 25.0))
    # Air enters as rho_a (1 - rho/rho_w) = 1.17 (1 - 0.6816) = 0.374 kg/m3.
    air = result.readings.air_density.value
    assert result.buoyancy_effect == pytest.approx(air * (1 - 679.61 / fluid("Water", 25.0)), abs=0.001)


def test_what_is_no_petroleum_product_is_not_moved_to_15_degrees() -> None:
    result = weigh(virtual(fluid("Water", 25.0), 25.0, 25.0, petroleum=False))
    assert isinstance(result.density_15c, Missing)
    assert "not a petroleum product" in result.density_15c.reason
    assert result.density.value == pytest.approx(fluid("Water", 25.0), abs=0.0015)
