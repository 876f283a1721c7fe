"""The petroleum tables' groups, borders and range; the published values are in tests/reference."""

from __future__ import annotations

import math

import pytest

from planner.density import petroleum
from planner.density.basis import DensityUsed, from_15c
from planner.density.petroleum import (
    PRODUCTS,
    density_15c_from,
    density_at,
    model_uncertainty,
    product_of,
    thermal_expansion,
    volume_correction_factor,
)
from planner.facts.grades import GRADES
from planner.quantities.errors import OutOfRange

BORDERS = (770.25, 787.75, 838.75)


@pytest.mark.parametrize(
    ("density", "name"),
    [
        (653.0, "gasoline"),
        (770.0, "gasoline"),
        (770.25, "gasoline"),
        (770.2500001, "transition"),
        (770.5, "transition"),
        (787.5, "transition"),
        (787.75, "transition"),
        (787.8, "jet fuel and kerosine"),
        (788.0, "jet fuel and kerosine"),
        (838.5, "jet fuel and kerosine"),
        (838.76, "fuel oil"),
        (1075.0, "fuel oil"),
    ],
)
def test_gaps_are_split_at_their_middle(density: float, name: str) -> None:
    assert product_of(density).name == name


@pytest.mark.parametrize("density", [652.999, 1075.001, 0.72, 0.0, -710.0, math.nan, math.inf])
def test_density_outside_the_tables_is_refused(density: float) -> None:
    for function in (
        product_of,
        thermal_expansion,
        lambda d: density_at(d, 20.0),
        lambda d: density_15c_from(d, 15.0),
    ):
        with pytest.raises(OutOfRange):
            function(density)


@pytest.mark.parametrize(
    ("density", "temperature"),
    [(720.0, -50.1), (720.0, 95.1), (800.0, 95.1), (900.0, 150.1), (900.0, -50.1), (720.0, math.nan)],
)
def test_temperature_outside_is_refused(density: float, temperature: float) -> None:
    for function in (volume_correction_factor, density_at):
        with pytest.raises(OutOfRange):
            function(density, temperature)


@pytest.mark.parametrize(
    ("observed", "temperature"),
    [(720.0, -50.1), (650.0, 95.1), (700.0, 95.1), (850.0, 150.1), (850.0, math.nan)],
)
def test_observed_temperature_outside_is_refused(observed: float, temperature: float) -> None:
    # the temperature is what is wrong, whatever it would make of the density
    with pytest.raises(OutOfRange, match=r"^temperature"):
        density_15c_from(observed, temperature)


def test_only_fuel_oil_may_be_hot() -> None:
    # 800 kg/m3 observed at 100 degC is a fuel oil of about 856 kg/m3 at 15 degC, for which 100 degC is in
    # range.
    assert 839 < density_15c_from(800.0, 100.0) < 870


def test_an_observed_density_no_product_answers() -> None:
    lowest, highest = density_at(653.0, 35.0), density_at(1075.0, 35.0)
    assert density_15c_from(lowest, 35.0) == pytest.approx(653.0, abs=1e-8)
    assert density_15c_from(highest, 35.0) == pytest.approx(1075.0, abs=1e-8)
    for observed in (lowest - 0.01, highest + 0.01):
        with pytest.raises(OutOfRange):
            density_15c_from(observed, 35.0)


def test_base_temperature_changes_nothing() -> None:
    for product in PRODUCTS:
        assert volume_correction_factor(product.lowest, 15.0) == 1.0
        assert density_15c_from(product.highest, 15.0) == pytest.approx(product.highest, abs=1e-10)
        assert model_uncertainty(product.lowest, 0.0) == 0.0


@pytest.mark.parametrize("border", BORDERS)
def test_step_at_a_border_is_as_small_as_stated(border: float) -> None:
    assert abs(thermal_expansion(border + 1e-9) - thermal_expansion(border)) < 2e-6
    for temperature in (-50.0, 95.0):
        assert abs(density_at(border + 1e-9, temperature) - density_at(border, temperature)) < 0.13


@pytest.mark.parametrize("border", BORDERS)
@pytest.mark.parametrize("temperature", [-50.0, -20.0, 0.0, 14.0, 16.0, 30.0, 60.0, 95.0])
def test_round_trip_across_a_border(border: float, temperature: float) -> None:
    step = abs(density_at(border + 1e-9, temperature) - density_at(border, temperature))
    for offset in (-0.3, -0.1, -0.01, -1e-6, 0.0, 1e-6, 0.01, 0.1, 0.3):
        observed = density_at(border + offset, temperature)
        back = density_15c_from(observed, temperature)
        # Where two densities answer, the lower group's is taken: it still gives the observation back.
        assert density_at(back, temperature) == pytest.approx(observed, abs=1e-9)
        assert abs(back - border - offset) <= max(1e-9, 1.2 * step)
        if temperature < 15:  # no overlap on the cold side: the round trip is exact
            assert back == pytest.approx(border + offset, abs=1e-9)


def test_an_observation_between_two_curves_gives_the_border() -> None:
    # On the cold side the upper group's curve starts above the end of the lower one's.
    low, high = density_at(787.75, -30.0), density_at(787.75 + 1e-9, -30.0)
    assert high - low > 0.05
    assert density_15c_from((low + high) / 2, -30.0) == 787.75


def test_slope_against_a_difference() -> None:
    for product in PRODUCTS:
        for density in (product.lowest, (product.lowest + product.highest) / 2, product.highest):
            for temperature in (-50.0, 0.0, 40.0, 95.0):
                wide = (
                    product.density_at(density + 0.01, temperature)
                    - product.density_at(density - 0.01, temperature)
                ) / 0.02
                assert product.slope(density, temperature) == pytest.approx(wide, abs=1e-8)
                assert 0.5 < product.slope(density, temperature) < 1.7


@pytest.mark.parametrize(("unleaded", "expected"), [(False, 0.72), (True, 1.44)])
def test_trust_in_the_fit(unleaded: bool, expected: float) -> None:
    # 0.1 % or 0.2 % of 720 kg/m3 for 25 K either way (common practice, no published source).
    assert model_uncertainty(720.0, 25.0, unleaded) == pytest.approx(expected, rel=1e-12)
    assert model_uncertainty(720.0, -25.0, unleaded) == pytest.approx(expected, rel=1e-12)


def test_borders_lie_midway() -> None:
    assert petroleum.BORDERS == BORDERS


@pytest.mark.parametrize("temperature", [-20.0, 40.0])
@pytest.mark.parametrize("border", BORDERS)
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_figure_that_reaches_over_a_border_counts_with_the_other_group(
    border: float, side: float, temperature: float
) -> None:
    # 1 kg/m3 from the border, u of 2: the far end of the figure is of the other group.
    centre, u = border + side, 2.0

    def made(u: float) -> DensityUsed:
        return from_15c(centre, u, temperature, 0.0, GRADES["avgas-100LL"], "", "")

    by_figure = math.sqrt(made(u).u ** 2 - made(0.0).u ** 2)
    own = product_of(centre).slope(centre, temperature) * u
    far = abs(density_at(centre - side * u, temperature) - density_at(centre, temperature))
    assert product_of(centre - side * u) is not product_of(centre)
    assert by_figure == pytest.approx(max(own, far), rel=1e-9)


@pytest.mark.parametrize("temperature", [-20.0, 15.0, 35.0])
def test_slope_in_temperature_against_a_difference(temperature: float) -> None:
    for density in (700.0, 720.0, 780.0, 800.0, 850.0):
        product = product_of(density)
        off = [product.density_at(density, temperature + step) for step in (-1e-3, 1e-3)]
        assert product.slope_in_temperature(density, temperature) == pytest.approx(
            (off[1] - off[0]) / 2e-3, rel=1e-6
        )


def test_the_ends_of_the_temperatures_are_in_the_range() -> None:
    for density, warmest in ((720.0, 95.0), (780.0, 95.0), (800.0, 95.0), (900.0, 150.0)):
        for end in (-50.0, warmest):
            observed = density_at(density, end)
            assert density_15c_from(observed, end) == pytest.approx(density, abs=1e-8)
