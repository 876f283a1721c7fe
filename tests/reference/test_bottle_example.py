"""A bench example, common practice, no published source.

Bottle marked 50 cm3, 20 degC: empty 23.11 g, with avgas 59.70 g, with water 74.00 g. By the marked volume,
without the
air: avgas 0.7318 g/cm3, and the water 1.0178 g/cm3, which water does not have; relative to the water about
0.718.
"""

from __future__ import annotations

import pytest

from planner.density.bench.bottle import WaterCheck, weigh
from planner.density.bench.readings import BottleReadings
from planner.density.bench.steps.formulas import density_from_volume
from planner.density.budget import Estimate
from planner.facts.grades import GRADES

GRAM = 1e-3


def bench(**changes: object) -> BottleReadings:
    known: dict[str, object] = {
        "empty": Estimate(23.11 * GRAM, 0.01 * GRAM),
        "sample": Estimate(59.70 * GRAM, 0.01 * GRAM),
        "sample_temperature": Estimate(20.0, 0.5),
        "water": Estimate(74.00 * GRAM, 0.01 * GRAM),
        "water_temperature": Estimate(20.0, 0.5),
        "nominal_volume": 50e-6,
    }
    return BottleReadings(**(known | changes))  # type: ignore[arg-type]  # keywords of mixed types, checked by the call itself


def test_marked_volume_without_air() -> None:
    # Four printed decimals of g/cm3: exact quotients 0.73180 and 1.01780.
    assert density_from_volume((59.70 - 23.11) * GRAM, 50e-6, 0.0, 0.0, 20.0) == pytest.approx(
        731.8, abs=0.05
    )
    assert density_from_volume((74.00 - 23.11) * GRAM, 50e-6, 0.0, 0.0, 20.0) == pytest.approx(
        1017.8, abs=0.05
    )


def test_relative_to_water() -> None:
    result = weigh(bench(), GRADES["avgas-100LL"])
    # 36.59/50.89 x (998.2067 - 1.2) + 1.2 = 718.0496 kg/m3; "about 0.718".
    assert result.volume_from == "water"
    assert result.density.value == pytest.approx(718.0496, abs=5e-4)
    assert result.no_buoyancy_density == pytest.approx(36.59 / 50.89 * 998.20675, abs=1e-3)
    # What the bottle really holds: 50.89 g x 0.99985/0.9970067 = 51.035 mL, 2 % more than it says.
    assert result.volume_20c.result.value == pytest.approx(51.035e-6, abs=1e-9)


def test_the_water_gives_the_marked_volume_away() -> None:
    result = weigh(bench(), GRADES["avgas-100LL"])
    assert isinstance(result.water_check, WaterCheck)
    # With the air 50.89 x 0.99985/50 + 1.2 = 1018.847; the true 998.207.
    assert result.water_check.difference == pytest.approx(1018.847 - 998.207, abs=2e-3)
    assert "bench-water-not-density" in {notice.code for notice in result.notices}
    # No false alarm for a bottle that holds what it says: water 73.02 g less buoyancy.
    honest = weigh(
        bench(
            water=Estimate((23.11 + 49.858) * GRAM, 0.01 * GRAM),
            sample=Estimate((23.11 + 35.85) * GRAM, 0.01 * GRAM),
        )
    )
    assert "bench-water-not-density" not in {notice.code for notice in honest.notices}


def test_marked_volume_alone_is_taken_and_shouted_about() -> None:
    result = weigh(bench(water=None, water_temperature=None), GRADES["avgas-100LL"])
    codes = {notice.code for notice in result.notices}
    assert result.volume_from == "nominal volume"
    assert {"bench-nominal-volume-only", "bench-uncertainty-large"} <= codes
    # 1 % standard uncertainty of the volume is 1 % of the density (less the air): 7.32 kg/m3.
    assert result.density.u == pytest.approx(0.01 * (result.density.value - 1.2), rel=1e-3)
    assert result.budget.line("nominal volume").share > 0.99


def test_an_invented_bottle_worked_by_hand() -> None:
    """Empty 27.41 g, water 77.21, sample 63.15, 20 degC, air 1.20 kg/m3 (common practice, no published
    source).
    """
    result = weigh(
        bench(
            empty=Estimate(27.41 * GRAM, 0.01 * GRAM),
            sample=Estimate(63.15 * GRAM, 0.01 * GRAM),
            water=Estimate(77.21 * GRAM, 0.01 * GRAM),
            sample_temperature=Estimate(20.0),
            water_temperature=Estimate(20.0),
            air_density=Estimate(1.2, 0.01),
            water_spread=0.06,
        )
    )
    assert result.volume_20c.result.value == pytest.approx(49.942e-6, abs=5e-10)
    assert result.density.value == pytest.approx(716.72, abs=0.005)
    assert result.no_buoyancy_density == pytest.approx(716.38, abs=0.005)
    # By hand, f = (S - E)/(W - E) (rho_w - rho_a) + rho_a differentiated on the raw readings, per gram.
    head, slope = 998.20675 - 1.2, 35.74 / 49.80
    by_hand = {"sample": head / 49.80, "water": -slope * head / 49.80, "empty": (slope - 1) * head / 49.80}
    for name, value in by_hand.items():
        assert result.budget.line(name).sensitivity * GRAM == pytest.approx(value, rel=1e-6)
    assert result.budget.line("water purity").sensitivity == pytest.approx(slope, rel=1e-6)
    assert result.budget.line("air density").sensitivity == pytest.approx(1 - slope, rel=1e-6)
    assert result.density.u == pytest.approx(0.25648, abs=5e-6)
