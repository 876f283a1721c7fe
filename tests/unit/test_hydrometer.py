"""The hydrometer: glass, meniscus, reference temperature, and a budget in which the temperature counts
once.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from planner.density.bench.glass import hydrometer_glass_factor
from planner.density.bench.hydrometer import HydrometerReading, read
from planner.density.budget import Estimate
from planner.density.petroleum import density_15c_from
from planner.facts.grades import GRADES
from planner.quantities.errors import InputRefused, OutOfRange

TAKEN = HydrometerReading(Estimate(712.0, 0.5), Estimate(28.0, 0.5))


def test_at_the_reference_temperature_the_scale_is_the_density() -> None:
    result = read(replace(TAKEN, temperature=Estimate(15.0, 0.0)))
    assert result.density == Estimate(712.0, pytest.approx(0.5, rel=1e-9))
    assert result.density_15c.value == pytest.approx(712.0, abs=1e-9)
    assert result.glass_effect == 0.0
    assert result.density_15c.u == pytest.approx(0.5, rel=1e-6)


def test_glass_correction_by_hand() -> None:
    # 28 degC against 15: 1 - 2.3e-5 x 13 - 2e-8 x 169 = 0.99969762.
    assert hydrometer_glass_factor(28.0, 15.0) == pytest.approx(0.99969762, rel=1e-12)
    result = read(TAKEN)
    assert result.density.value == pytest.approx(712.0 * 0.99969762, rel=1e-12)
    assert result.glass_effect == pytest.approx(-712.0 * 0.00030238, rel=1e-9)
    assert result.density_15c.value == density_15c_from(result.density.value, 28.0)


def test_glass_left_alone_where_the_table_holds_it() -> None:
    result = read(replace(TAKEN, glass_correction=False))
    assert result.density.value == 712.0
    assert result.glass_effect == 0.0


def test_a_scale_at_20_degrees() -> None:
    result = read(replace(TAKEN, reference_temperature=20.0))
    # 8 K from 20 degC: 1 - 1.84e-4 - 1.28e-6.
    assert result.density.value == pytest.approx(712.0 * (1 - 1.84e-4 - 1.28e-6), rel=1e-12)
    assert result.density.value > read(TAKEN).density.value


def test_meniscus_is_added() -> None:
    result = read(replace(TAKEN, meniscus=Estimate(0.6, 0.2)))
    assert result.density.value == pytest.approx(712.6 * 0.99969762, rel=1e-12)
    assert result.budget_15c.line("meniscus").contribution == pytest.approx(
        result.budget_15c.line("reading").contribution * 0.4, rel=1e-6
    )


def test_temperature_counts_once_through_glass_and_liquid() -> None:
    result = read(TAKEN)
    moved = (
        read(replace(TAKEN, temperature=Estimate(28.1))).density_15c.value
        - read(replace(TAKEN, temperature=Estimate(27.9))).density_15c.value
    ) / 0.2
    assert result.budget_15c.line("temperature").sensitivity == pytest.approx(moved, rel=1e-4)
    # The liquid alone would give about + 0.91 per kelvin, its glass takes off 0.016.
    assert 0.8 < moved < 0.95
    model = 0.001 * result.density_15c.value * 13 / 25
    assert result.budget_15c.line("petroleum table").contribution == pytest.approx(model, rel=1e-6)
    assert result.density_15c.u == pytest.approx(
        math.hypot(*(line.contribution for line in result.budget_15c.lines)), rel=1e-12
    )
    assert read(TAKEN, GRADES["avgas-UL91"]).budget_15c.line("petroleum table").contribution == pytest.approx(
        2 * model, rel=1e-6
    )


def test_notices() -> None:
    assert read(TAKEN, GRADES["avgas-100LL"]).notices == ()
    assert [
        notice.code
        for notice in read(replace(TAKEN, temperature=Estimate(41.0)), GRADES["avgas-100LL"]).notices
    ] == ["bench-sample-outside-band", "bench-far-from-15c"]
    jet = read(replace(TAKEN, reading=Estimate(790.0, 0.5)), GRADES["avgas-100LL"])
    assert [(notice.code, notice.severity) for notice in jet.notices] == [("bench-jet-like", "notice")]


@pytest.mark.parametrize(
    "change",
    [
        {"reading": Estimate(math.nan)},
        {"temperature": Estimate(20.0, -0.1)},
        {"meniscus": Estimate(0.0, math.inf)},
        {"reference_temperature": math.nan},
    ],
)
def test_no_figures(change: dict[str, object]) -> None:
    with pytest.raises(InputRefused):
        read(replace(TAKEN, **change))  # type: ignore[arg-type]  # keywords of mixed types


@pytest.mark.parametrize(
    "taken", [replace(TAKEN, reading=Estimate(0.712)), replace(TAKEN, temperature=Estimate(200.0))]
)
def test_outside_the_tables(taken: HydrometerReading) -> None:
    with pytest.raises(OutOfRange):
        read(taken)


@pytest.mark.parametrize(
    ("temperature", "far"), [(40.0, False), (40.01, True), (-10.0, False), (-10.01, True), (39.2, False)]
)
def test_a_sample_is_far_from_15_degrees_beyond_25_kelvin(temperature: float, far: bool) -> None:
    found = read(replace(TAKEN, temperature=Estimate(temperature, 0.5)))
    assert [notice.code for notice in found.notices] == ["bench-far-from-15c"] * far


def test_what_is_known_of_a_reading_is_known_of_the_result() -> None:
    result = read(replace(TAKEN, meniscus=Estimate(0.6, 0.2)))
    assert (result.temperature, result.u_temperature) == (28.0, 0.5)
    # reading and meniscus add; the glass takes off what 13 K make of it, not what was added
    assert result.glass_effect == pytest.approx(-712.6 * 0.00030238, rel=1e-9)
    table = result.budget_15c.line("petroleum table")
    assert (table.source.value, table.sensitivity) == (0.0, pytest.approx(1.0, rel=1e-6))
    # the density there: 0.5 and 0.2 kg/m3 and the glass's 0.5 K of 2.3e-5 + 2 x 2e-8 x 13 per kelvin
    glass = 712.6 * (2.3e-5 + 4e-8 * 13) * 0.5
    assert result.density.u == pytest.approx(math.hypot(0.5 * 0.9997, 0.2 * 0.9997, glass), rel=1e-4)


def test_a_reading_without_any_uncertainty_is_a_reading() -> None:
    sure = HydrometerReading(Estimate(712.0), Estimate(15.0))
    assert read(sure).density_15c == Estimate(pytest.approx(712.0), 0.0)
