"""Properties of the density floor that hold for any readings."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from planner.density.bench.bottle import weigh
from planner.density.bench.comparing import compare_with_batch, fraction_in_mixture, mixture_density
from planner.density.bench.readings import BottleReadings
from planner.density.bench.steps.formulas import density_from_volume, volume_from_water
from planner.density.budget import Estimate
from planner.density.line import straight_line
from planner.density.petroleum import density_15c_from, density_at
from planner.density.water import water_density

densities = st.floats(653.0, 1075.0)
temperatures = st.floats(-50.0, 95.0)
room = st.floats(5.0, 35.0)


@given(densities, temperatures)
def test_petroleum_round_trip(density: float, temperature: float) -> None:
    observed = density_at(density, temperature)
    back = density_15c_from(observed, temperature)
    assert density_at(back, temperature) == pytest.approx(observed, abs=1e-8)
    # Within a quarter of a unit of a border two densities may give one observation.
    near = min(abs(density - border) for border in (770.25, 787.75, 838.75))
    assert back == pytest.approx(density, abs=1e-8 if near > 0.25 else 0.13)


@given(densities, temperatures, temperatures)
def test_warmer_is_lighter(density: float, first: float, second: float) -> None:
    assume(abs(first - second) > 1e-6)
    assert (density_at(density, first) > density_at(density, second)) == (first < second)


@given(st.floats(653.0, 1074.0), st.floats(0.3, 50.0), temperatures)
def test_heavier_stays_heavier(density: float, more: float, temperature: float) -> None:
    # 0.3 kg/m3 is past the largest overlap of two groups' curves.
    heavier = min(density + more, 1075.0)
    assert density_at(heavier, temperature) > density_at(density, temperature)


@given(st.floats(4.1, 39.9), st.floats(0.001, 1.0))
def test_water_above_four_degrees_is_lighter_when_warmer(temperature: float, step: float) -> None:
    assume(temperature + step <= 40.0)
    assert water_density(temperature + step) < water_density(temperature)


@st.composite
def bottles(draw: st.DrawFn) -> BottleReadings:
    volume, density = draw(st.floats(8e-6, 200e-6)), draw(st.floats(660.0, 760.0))
    empty = draw(st.floats(0.005, 0.2))
    t_s, t_w = draw(room), draw(room)
    grams = 1e-6
    return BottleReadings(
        empty=Estimate(empty, 5 * grams),
        sample=Estimate(empty + density * volume, 6 * grams),
        sample_temperature=Estimate(t_s, 0.3),
        water=Estimate(empty + 997.0 * volume, 7 * grams),
        water_temperature=Estimate(t_w, 0.4),
        glass_expansion=Estimate(draw(st.floats(0.0, 3e-5)), 1e-6),
        air_density=Estimate(draw(st.floats(0.9, 1.3)), 0.01),
    )


def scaled(readings: BottleReadings, factor: float) -> BottleReadings:
    def times(entry: Estimate) -> Estimate:
        return Estimate(entry.value * factor, entry.u * factor)

    assert readings.water is not None
    return replace(
        readings, empty=times(readings.empty), sample=times(readings.sample), water=times(readings.water)
    )


@settings(max_examples=50)
@given(bottles(), st.floats(0.5, 2.0))
def test_the_balance_s_scale_does_not_matter_against_water(readings: BottleReadings, factor: float) -> None:
    once, again = weigh(readings), weigh(scaled(readings, factor))
    assert again.density.value == pytest.approx(once.density.value, rel=1e-12)
    assert again.density.u == pytest.approx(once.density.u, rel=1e-6)
    assert again.volume_20c.result.value == pytest.approx(factor * once.volume_20c.result.value, rel=1e-12)


@settings(max_examples=50)
@given(bottles(), st.floats(1e-5, 1e-3))
def test_more_sample_is_denser_and_more_water_makes_it_lighter(readings: BottleReadings, more: float) -> None:
    assert readings.water is not None
    base = weigh(readings).density.value
    assert weigh(replace(readings, sample=Estimate(readings.sample.value + more))).density.value > base
    assert weigh(replace(readings, water=Estimate(readings.water.value + more))).density.value < base


@settings(max_examples=50)
@given(bottles(), st.floats(1.01, 3.0))
def test_uncertainty_scales_with_its_inputs(readings: BottleReadings, factor: float) -> None:
    names = (
        "empty",
        "sample",
        "sample_temperature",
        "water",
        "water_temperature",
        "glass_expansion",
        "air_density",
    )
    wider = {
        name: Estimate(getattr(readings, name).value, factor * getattr(readings, name).u) for name in names
    }
    widened = weigh(replace(readings, **wider, water_spread=factor * readings.water_spread))
    assert widened.density.u == pytest.approx(factor * weigh(readings).density.u, rel=1e-5)


@given(densities, st.floats(5e-6, 1e-3), room, st.floats(0.9, 1.3), st.floats(0.0, 3e-5))
def test_volume_and_density_undo_each_other(
    density: float, volume: float, temperature: float, air: float, gamma: float
) -> None:
    net = volume * (1 + gamma * (temperature - 20)) * (density - air) / (1 - air / 8000)
    assert density_from_volume(net, volume, air, gamma, temperature) == pytest.approx(density, rel=1e-13)
    assert volume_from_water(net, density, air, gamma, temperature) == pytest.approx(volume, rel=1e-13)


@given(st.floats(650.0, 770.0), st.floats(775.0, 840.0), st.floats(0.0, 1.0))
def test_mixing_round_trip(avgas: float, jet: float, fraction: float) -> None:
    assert fraction_in_mixture(avgas, jet, mixture_density(avgas, jet, fraction) - avgas) == pytest.approx(
        fraction, abs=1e-9
    )


@given(st.floats(680.0, 740.0), st.floats(680.0, 740.0), st.floats(0.01, 5.0), st.floats(0.0, 5.0))
def test_comparing_is_symmetric(first: float, second: float, u_first: float, u_second: float) -> None:
    one = compare_with_batch(Estimate(first, u_first), Estimate(second, u_second))
    other = compare_with_batch(Estimate(second, u_second), Estimate(first, u_first))
    assert one.consistent == other.consistent
    assert one.difference.value == -other.difference.value
    assert one.difference.u == other.difference.u


@given(
    st.lists(st.floats(-1e3, 1e3), min_size=4, max_size=20, unique=True),
    st.floats(-10, 10),
    st.floats(-1e3, 1e3),
    st.floats(-500, 500),
)
def test_a_line_shifted_in_time_is_the_same_line(
    x: list[float], slope: float, intercept: float, shift: float
) -> None:
    assume(max(x) - min(x) > 1.0)
    y = [intercept + slope * value + (0.5 if number % 2 else -0.5) for number, value in enumerate(x)]
    line, moved = straight_line(x, y), straight_line([value + shift for value in x], y)
    assert moved.at(shift).value == pytest.approx(line.intercept.value, abs=1e-6, rel=1e-6)
    assert moved.at(shift).u == pytest.approx(line.intercept.u, rel=1e-6)
