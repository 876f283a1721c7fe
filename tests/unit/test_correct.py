"""A density carried from one temperature to another: against the tables' equation spelt once more, and each
uncertainty against what the figure itself does.
"""

from __future__ import annotations

import math

import pytest

from planner.density.basis import DensityUsed, choose, fixed, from_15c, from_measurement
from planner.density.correct import correct
from planner.facts.grades import GRADES
from planner.quantities.units import Quantity

AVGAS, UNLEADED, ETHANOL = (GRADES[name] for name in ("avgas-100LL", "avgas-UL91", "motor-gasoline-EN228"))


def factor(density_15c: float, temperature: float) -> float:
    """API MPMS 11.1 Table 54B, the gasolines."""
    step = (346.4228 / density_15c + 0.4388) / density_15c * (temperature - 15)
    return math.exp(-step * (1 + 0.8 * step))


@pytest.mark.parametrize(("at", "to"), [(25.0, 15.0), (5.0, 30.0), (-40.0, -30.0), (35.0, 35.0)])
def test_a_density_is_carried_over_15_degrees(at: float, to: float) -> None:
    stated = 720.0 * factor(720.0, at)
    found = correct(stated, 0.5, at, 0.3, to)
    assert (found.stated, found.at, found.to, found.group) == (stated, at, to, "gasoline")
    assert found.at_15c == pytest.approx(720.0, abs=1e-8)
    assert found.result == pytest.approx(720.0 * factor(720.0, to), rel=1e-10)
    assert found.alpha == pytest.approx(346.4228 / 720**2 + 0.4388 / 720, rel=1e-10)
    assert (found.factor_at, found.factor_to) == pytest.approx((factor(720.0, at), factor(720.0, to)))


@pytest.mark.parametrize(("at", "to"), [(25.0, 15.0), (5.0, 30.0), (10.0, 0.0)])
def test_each_cause_of_a_correction_counts_once(at: float, to: float) -> None:
    stated = 720.0 * factor(720.0, at)

    def alone(u: float, u_at: float) -> float:
        model = correct(stated, 0.0, at, 0.0, to).u
        return math.sqrt(correct(stated, u, at, u_at, to).u ** 2 - model**2)

    # to first order in the way gone: what the figure and the temperature move the result by
    ends = [correct(stated + step, 0, at, 0, to).result for step in (-0.5, 0.5)]
    assert alone(0.5, 0.0) == pytest.approx((ends[1] - ends[0]) / 2, rel=0.06)
    ends = [correct(stated, 0, at + step, 0, to).result for step in (-0.3, 0.3)]
    assert alone(0.0, 0.3) == pytest.approx((ends[1] - ends[0]) / 2, rel=0.06)
    # 0.1 % per 25 K of the way, 0.2 % for an unleaded avgas (common practice, no published source)
    assert correct(stated, 0, at, 0, to).u == pytest.approx(0.001 * 720 * abs(to - at) / 25, rel=1e-9)
    assert correct(stated, 0, at, 0, to, True).u == pytest.approx(0.002 * 720 * abs(to - at) / 25, rel=1e-9)


@pytest.mark.parametrize("temperature", [-20.0, 15.0, 35.0])
@pytest.mark.parametrize("density", [700.0, 800.0])
def test_a_density_at_15_degrees_is_as_sure_in_the_tank_as_its_causes(
    density: float, temperature: float
) -> None:
    def made(
        u: float, u_temperature: float, density: float = density, at: float = temperature
    ) -> DensityUsed:
        return from_15c(density, u, at, u_temperature, AVGAS, "a method", "a source")

    model = 0.001 * density * abs(temperature - 15) / 25
    assert made(0.0, 0.0).u == pytest.approx(model, rel=1e-12)
    by_figure = (made(0, 0, density + 0.5).density - made(0, 0, density - 0.5).density) / 2
    by_temperature = (made(0, 0, at=temperature - 0.3).density - made(0, 0, at=temperature + 0.3).density) / 2
    for u, u_temperature, expected in ((0.5, 0.0, by_figure), (0.0, 0.3, by_temperature)):
        assert made(u, u_temperature).u == pytest.approx(math.hypot(expected, model), rel=1e-4)
    assert made(0.5, 0.3).u == pytest.approx(math.hypot(by_figure, by_temperature, model), rel=1e-4)
    assert made(0.5, 0.3).correction_factor == pytest.approx(made(0, 0).density / density, rel=1e-12)
    assert (made(0.5, 0.3).method, made(0.5, 0.3).source) == ("a method", "a source")


@pytest.mark.parametrize(("at", "temperature"), [(22.0, -10.0), (-10.0, 22.0), (30.0, 20.0), (20.0, 20.0)])
@pytest.mark.parametrize("grade", [AVGAS, UNLEADED, ETHANOL], ids=lambda grade: grade.id)
def test_a_measured_density_is_as_sure_in_the_tank_as_its_causes(
    at: float, temperature: float, grade: object
) -> None:
    kind = GRADES[grade.id]  # type: ignore[attr-defined]

    def made(*u: float, state: tuple[float, float, float] = (725.0, at, temperature)) -> DensityUsed:
        measured, there, tank = state
        one, two, three = u or (0.0, 0.0, 0.0)
        return from_measurement(measured, one, there, two, tank, three, kind, "a source")

    # 0.1 % (0.2 %, unleaded) of the density at 15 degC for 25 K of the way, and what ethanol may do over it
    rho15, away = made().at_15c, abs(temperature - at)
    assert isinstance(rho15, float)
    share = 0.002 if kind.unleaded else 0.001
    model = math.hypot(share * rho15 * away / 25, kind.u_ethanol_per_kelvin * away)
    assert made().u == pytest.approx(model, rel=1e-9, abs=1e-12)
    for number, u in enumerate((0.5, 0.3, 0.2)):
        ends = [
            made(
                state=(
                    725.0 + way * u * (number == 0),
                    at + way * u * (number == 1),
                    temperature + way * u * (number == 2),
                )
            ).density
            for way in (-1, 1)
        ]
        alone = [u * (number == each) for each in range(3)]
        assert made(*alone).u == pytest.approx(math.hypot((ends[1] - ends[0]) / 2, model), rel=1e-3)
    whole = math.hypot(
        *(
            math.sqrt(max(made(*each).u ** 2 - model**2, 0))
            for each in ((0.5, 0, 0), (0, 0.3, 0), (0, 0, 0.2))
        ),
        model,
    )
    assert made(0.5, 0.3, 0.2).u == pytest.approx(whole, rel=1e-9)
    assert made().correction_factor == pytest.approx(made().density / rho15, rel=1e-12)


def quantity(value: float, u: float, dimension: str) -> Quantity:
    return Quantity(value, u, dimension, "")  # type: ignore[arg-type]  # one of the dimensions


def test_whichever_figure_is_given_is_the_one_used() -> None:
    tank, at = quantity(5.0, 0.5, "temperature"), quantity(22.0, 0.2, "temperature")
    density = quantity(721.0, 0.4, "density")

    def chosen(**given: Quantity | None) -> DensityUsed:
        return choose(AVGAS, given.pop("temperature", tank), source="a source", **given)

    assert chosen(fixed_value=density, at_15c=density) == fixed(721.0, 0.4, "a source")
    assert chosen(fixed_value=density, temperature=None) == fixed(721.0, 0.4, "a source")
    measured = chosen(measured=density, at=at, at_15c=quantity(999.0, 0.0, "density"))
    assert measured == from_measurement(721.0, 0.4, 22.0, 0.2, 5.0, 0.5, AVGAS, "a source")
    stated = chosen(at_15c=density)
    assert chosen(at_15c=density, at=at) == stated, "a temperature of no reading"
    assert (stated.density, stated.u, stated.at_15c) == pytest.approx(
        (721.0 * factor(721.0, 5.0), from_15c(721.0, 0.4, 5.0, 0.5, AVGAS, "", "").u, 721.0)
    )
    # 6 lb/USgal (FAA-H-8083-30 ch. 4) within a sixth of the band from 690 to 735 kg/m3
    standard = chosen()
    assert standard.at_15c == pytest.approx(6 * 0.45359237 / 3.785411784e-3)
    assert standard.u == from_15c(AVGAS.standard_density, 45 / 6, 5.0, 0.5, AVGAS, "", "").u
    with pytest.raises(ValueError, match="temperature"):
        chosen(at_15c=density, temperature=None)


def test_from_one_end_of_the_tables_to_the_other() -> None:
    """Both temperatures are in the range; how far they lie apart is no reason to refuse."""
    for at, to in ((95.0, -50.0), (-50.0, 95.0)):
        stated = 720.0 * factor(720.0, at)
        assert correct(stated, 0.5, at, 0.3, to).result == pytest.approx(720.0 * factor(720.0, to), rel=1e-9)
        used = from_measurement(stated, 0.5, at, 0.3, to, 0.3, AVGAS, "a source")
        assert used.density == pytest.approx(720.0 * factor(720.0, to), rel=1e-9)
        assert used.u > 0.001 * 720 * 145 / 25
