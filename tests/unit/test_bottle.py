"""The density bottle: shared inputs, budgets against two oracles, refusals and notices."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from uncertainties import ufloat, umath

from planner.density.bench.agreement import grade_notices
from planner.density.bench.bottle import BottleResult, WaterCheck, weigh
from planner.density.bench.readings import BottleReadings, check
from planner.density.bench.steps.formulas import (
    density_from_volume,
    density_relative_to_water,
    volume_from_water,
)
from planner.density.budget import Budget, Estimate, Missing
from planner.facts.grades import GRADES
from planner.quantities.errors import InputRefused

GRAM = 1e-3
AVGAS = GRADES["avgas-100LL"]
FULL = BottleReadings(
    empty=Estimate(27.41 * GRAM, 0.012 * GRAM),
    sample=Estimate(63.15 * GRAM, 0.010 * GRAM),
    sample_temperature=Estimate(23.5, 0.4),
    water=Estimate(77.21 * GRAM, 0.011 * GRAM),
    water_temperature=Estimate(21.0, 0.3),
    nominal_volume=50e-6,
    glass_expansion=Estimate(27e-6, 3e-6),
    air_density=Estimate(1.19, 0.02),
    water_spread=0.03,
    u_thermometer=0.2,
    u_balance=3e-4,
)


def codes(result: BottleResult) -> set[str]:
    assert all(notice.severity == "notice" and notice.hint and notice.needed for notice in result.notices)
    return {notice.code for notice in result.notices}


def tanaka(t: object) -> object:
    """Metrologia 38, 301, spelt once more so that the oracles do not lean on the code under test."""
    return 999.97495 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))  # type: ignore[operator]  # floats, arrays, ufloats


def spelt_out(r: BottleReadings, draw: object, exp: object, centre: object) -> tuple[object, object, object]:
    """V20, density and density at 15 degC in one straight run, for any number type; `draw` makes one
    input.
    """
    e, s, w = draw(r.empty), draw(r.sample), draw(r.water)  # type: ignore[operator]
    ts, tw, common = (
        draw(r.sample_temperature),
        draw(r.water_temperature),
        draw(Estimate(0.0, r.u_thermometer)),
    )  # type: ignore[operator]
    air, gamma, purity = draw(r.air_density), draw(r.glass_expansion), draw(Estimate(0.0, r.water_spread))  # type: ignore[operator]
    scale = draw(Estimate(1.0, r.u_balance))  # type: ignore[operator]
    ts, tw = ts + common, tw + common
    v20 = scale * (w - e) * (1 - air / 8000) / (tanaka(tw) + purity - air) / (1 + gamma * (tw - 20))
    rho = scale * (s - e) * (1 - air / 8000) / (v20 * (1 + gamma * (ts - 20))) + air

    def forward(rho15: float, t: object) -> object:  # gasoline group throughout
        step = (346.4228 / rho15 + 0.4388) / rho15 * (t - 15)  # type: ignore[operator]
        return rho15 * exp(-step * (1 + 0.8 * step))  # type: ignore[operator]

    # Solved by bisection on the central values; one Newton step from there carries the spread of both inputs.
    at, target = r.sample_temperature.value, centre(rho)  # type: ignore[operator]
    low, high = 653.0, 770.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if centre(forward(middle, at)) < target else (low, middle)  # type: ignore[operator]
    slope = (centre(forward(low + 0.01, at)) - centre(forward(low - 0.01, at))) / 0.02  # type: ignore[operator]
    rho15 = low + (rho - forward(low, ts)) / slope
    return v20, rho, rho15


def test_budget_against_the_uncertainties_package() -> None:
    result = weigh(FULL, AVGAS)
    v20, rho, rho15 = spelt_out(
        FULL, lambda e: ufloat(e.value, e.u), umath.exp, lambda x: getattr(x, "nominal_value", x)
    )
    assert result.volume_20c.result.value == pytest.approx(v20.nominal_value, rel=1e-12)
    assert result.volume_20c.result.u == pytest.approx(v20.std_dev, rel=1e-7)
    assert result.density.value == pytest.approx(rho.nominal_value, rel=1e-12)
    assert result.density.u == pytest.approx(rho.std_dev, rel=1e-7)
    assert isinstance(result.density_15c, Estimate)
    assert result.density_15c.value == pytest.approx(rho15.nominal_value, abs=1e-8)
    model = 0.001 * rho15.nominal_value * 8.5 / 25  # 0.1 % per 25 K of the 8.5 K moved
    assert result.density_15c.u == pytest.approx(math.hypot(rho15.std_dev, model), rel=1e-6)
    assert isinstance(result.budget_15c, Budget)
    table = result.budget_15c.line("petroleum table")
    assert (table.source.value, table.source.u) == (0.0, pytest.approx(model, rel=1e-9))
    assert table.sensitivity == pytest.approx(1.0, rel=1e-6), "what the table is off by adds"


def test_budget_against_monte_carlo() -> None:
    result = weigh(FULL, AVGAS)
    rng = np.random.default_rng(20461)
    count = 200_000
    v20, rho, rho15 = spelt_out(FULL, lambda e: rng.normal(e.value, e.u, count), np.exp, np.mean)
    # The relative standard error of a standard deviation from n draws is 1/sqrt(2 n) = 0.0016; five of them.
    assert result.volume_20c.result.u == pytest.approx(float(np.std(v20)), rel=0.008)
    assert result.density.u == pytest.approx(float(np.std(rho)), rel=0.008)
    assert isinstance(result.density_15c, Estimate)
    model = 0.001 * result.density_15c.value * 8.5 / 25
    assert result.density_15c.u == pytest.approx(math.hypot(float(np.std(rho15)), model), rel=0.008)
    assert result.density.value == pytest.approx(
        float(np.mean(rho)), abs=5 * result.density.u / math.sqrt(count)
    )


def test_a_shared_scale_error_cancels_against_water_but_not_against_a_known_volume() -> None:
    relative = weigh(FULL).budget
    assert relative.line("balance").contribution < 1e-6
    known = weigh(
        replace(FULL, water=None, water_temperature=None, known_volume=Estimate(49.94e-6, 0.01e-6))
    ).budget
    # 3e-4 of the density less the air.
    assert known.line("balance").contribution == pytest.approx(3e-4 * (known.result.value - 1.19), rel=1e-6)
    assert known.line("balance").sensitivity == pytest.approx(known.result.value - 1.19, rel=1e-6)


def test_the_empty_bottle_counts_once_with_its_sign() -> None:
    result = weigh(replace(FULL, sample_temperature=FULL.water_temperature or FULL.sample_temperature))
    lines = {name: result.budget.line(name).sensitivity for name in ("empty", "sample", "water")}
    # A bias on all three readings alike changes neither net mass.
    assert math.fsum(lines.values()) == pytest.approx(0.0, abs=1e-6 * lines["sample"])


@pytest.mark.parametrize("budget_name", ["budget", "budget_15c", "volume_20c"])
def test_shares_make_up_the_whole(budget_name: str) -> None:
    budget = getattr(weigh(FULL, AVGAS), budget_name)
    assert isinstance(budget, Budget)
    assert math.fsum(line.share for line in budget.lines) == pytest.approx(1.0, abs=1e-12)
    assert math.hypot(*(line.contribution for line in budget.lines)) == pytest.approx(
        budget.result.u, rel=1e-12
    )
    assert [line.contribution for line in budget.lines] == sorted(
        (line.contribution for line in budget.lines), reverse=True
    )
    with pytest.raises(KeyError):
        budget.line("moon")


def test_both_paths_to_a_density_agree() -> None:
    net_s, net_w, air, gamma, t_s, t_w = 35.74 * GRAM, 49.80 * GRAM, 1.19, 27e-6, 23.5, 21.0
    water = float(tanaka(t_w))  # type: ignore[arg-type]
    by_volume = density_from_volume(net_s, volume_from_water(net_w, water, air, gamma, t_w), air, gamma, t_s)
    growth = (1 + gamma * (t_w - 20)) / (1 + gamma * (t_s - 20))
    assert density_relative_to_water(net_s, net_w, water, air, growth) == pytest.approx(by_volume, rel=1e-14)
    # at one temperature the bottle has not grown
    by_volume = density_from_volume(net_s, volume_from_water(net_w, water, air, gamma, t_w), air, gamma, t_w)
    assert density_relative_to_water(net_s, net_w, water, air) == pytest.approx(by_volume, rel=1e-14)


def test_effects_are_what_leaving_them_out_changes() -> None:
    result = weigh(FULL, AVGAS)
    assert result.no_buoyancy_density + result.buoyancy_effect == pytest.approx(
        result.density.value, rel=1e-14
    )
    # Air: rho_a (1 - rho/rho_w); glass: the bottle grew by 27e-6 x 2.5 K since the water was weighed.
    assert result.buoyancy_effect == pytest.approx(1.19 * (1 - result.density.value / 997.99), abs=1e-3)
    assert result.glass_effect == pytest.approx(-result.density.value * 27e-6 * 2.5, rel=2e-3)
    # In air of nearly 1.2 kg/m3 the conventional mass of the contents is the reading itself.
    assert result.sample_conventional_mass == pytest.approx(35.74 * GRAM, rel=2e-5)
    assert result.sample_mass == pytest.approx(
        35.74 * GRAM * (1 - 1.19 / 8000) / (1 - 1.19 / result.density.value), rel=1e-9
    )


def test_missing_figures_carry_a_reason() -> None:
    result = weigh(replace(FULL, nominal_volume=None))
    assert isinstance(result.nominal_density, Missing)
    assert isinstance(result.water_check, Missing)
    assert "marked" in result.nominal_density.reason
    no_water = weigh(replace(FULL, water=None, water_temperature=None))
    assert isinstance(no_water.water_check, Missing)
    assert "water" in no_water.water_check.reason
    salt = weigh(replace(FULL, petroleum=False))
    assert isinstance(salt.density_15c, Missing)
    assert isinstance(salt.budget_15c, Missing)
    too_light = weigh(replace(FULL, sample=Estimate(55.0 * GRAM)), AVGAS)
    assert isinstance(too_light.density_15c, Missing)
    assert "653" in too_light.density_15c.reason
    assert "bench-not-compared" in codes(too_light)


def sample_of(density: float) -> Estimate:
    """A sample reading that makes FULL a liquid of about that density at its 23.5 degC."""
    return Estimate(27.41 * GRAM + (density - 1.19) * 49.95e-6, 0.01 * GRAM)


@pytest.mark.parametrize(
    ("density", "grade", "expected"),
    [
        (705.0, "avgas-100LL", set()),
        (728.0, "avgas-100LL", {"bench-sample-outside-band"}),  # 735.7 at 15 degC
        (680.0, "avgas-100LL", {"bench-sample-outside-band"}),
        (733.0, "avgas-100LL", {"bench-jet-like"}),  # 740.7
        (793.0, "avgas-100LL", {"bench-jet-like"}),
        (793.0, "jet-A1", set()),
        (712.0, "jet-A1", {"bench-gasoline-like"}),
        (840.0, "jet-A1", {"bench-sample-outside-band"}),
        (745.0, "motor-gasoline-EN228", set()),
        (705.0, "motor-gasoline-EN228", {"bench-sample-outside-band"}),
    ],
)
def test_declared_grade(density: float, grade: str, expected: set[str]) -> None:
    assert codes(weigh(replace(FULL, sample=sample_of(density)), GRADES[grade])) == expected


@pytest.mark.parametrize(
    ("density", "grade", "expected"),
    [
        (775.0, "jet-A1", set()),
        (774.999, "jet-A1", {"bench-gasoline-like"}),
        (740.0, "avgas-100LL", {"bench-sample-outside-band"}),
        (740.001, "avgas-100LL", {"bench-jet-like"}),
        (735.0, "avgas-100LL", set()),
        (735.001, "avgas-100LL", {"bench-sample-outside-band"}),
        (690.0, "avgas-100LL", set()),
        (689.999, "avgas-100LL", {"bench-sample-outside-band"}),
        (840.0, "jet-A1", set()),
        (840.001, "jet-A1", {"bench-sample-outside-band"}),
        (760.0, "motor-gasoline-EN228", set()),
        (800.0, "motor-gasoline-EN228", {"bench-sample-outside-band"}),
    ],
)
def test_only_beyond_its_border_is_a_grade_contradicted(
    density: float, grade: str, expected: set[str]
) -> None:
    """775 kg/m3 is the least of jet fuel (MIL-HDBK-1022A) and of it; 740 kg/m3 is common practice."""
    assert {each.code for each in grade_notices(Estimate(density, 1.0), GRADES[grade])} == expected


def test_notices_of_the_bench() -> None:
    assert codes(weigh(FULL, AVGAS)) == set()
    warm = replace(FULL, sample_temperature=Estimate(24.5, 0.4))
    assert codes(weigh(warm, AVGAS)) == {"bench-temperature-mismatch"}
    swapped = weigh(replace(FULL, sample=FULL.water, water=FULL.sample))  # type: ignore[arg-type]  # FULL.water is there
    assert "bench-heavier-than-water" in codes(swapped)
    assert "bench-water-not-density" in codes(swapped)
    coarse = weigh(replace(FULL, sample=Estimate(63.15 * GRAM, 0.1 * GRAM)))
    assert codes(coarse) == {"bench-uncertainty-large"}
    assert coarse.notices[0].where == "sample"
    short = weigh(replace(FULL, nominal_volume=52e-6))
    assert codes(short) == {"bench-water-not-density"}
    assert isinstance(short.water_check, WaterCheck)
    assert short.water_check.difference < 0
    assert codes(weigh(replace(FULL, nominal_volume=52e-6, u_nominal_volume=3e-6))) == set()


def test_unleaded_avgas_is_trusted_less() -> None:
    leaded, unleaded = weigh(FULL, AVGAS).density_15c, weigh(FULL, GRADES["avgas-UL91"]).density_15c
    assert isinstance(leaded, Estimate)
    assert isinstance(unleaded, Estimate)
    assert unleaded.value == leaded.value
    assert unleaded.u**2 - leaded.u**2 == pytest.approx(3 * (0.001 * leaded.value * 8.5 / 25) ** 2, rel=1e-3)


@pytest.mark.parametrize(
    ("change", "code", "where"),
    [
        ({"sample": Estimate(27.0 * GRAM)}, "bench-nothing-in-bottle", "sample"),
        ({"water": Estimate(27.41 * GRAM)}, "bench-nothing-in-bottle", "water"),
        ({"empty": Estimate(0.0)}, "bench-empty-bottle", "empty"),
        ({"water_temperature": None}, "bench-water-temperature", "water_temperature"),
        ({"water_temperature": Estimate(68.0)}, "bench-water-temperature", "water_temperature"),
        ({"sample_temperature": Estimate(120.0)}, "bench-sample-temperature", "sample_temperature"),
        ({"air_density": Estimate(0.0012)}, "bench-air-density", "air_density"),
        ({"glass_expansion": Estimate(9.9)}, "bench-glass", "glass_expansion"),
        ({"known_volume": Estimate(0.0)}, "bench-no-volume", "known_volume"),
        ({"nominal_volume": 0.0}, "bench-no-volume", "nominal_volume"),
        ({"nominal_volume": -50e-6}, "bench-not-finite", "nominal_volume"),
        ({"sample": Estimate(math.nan)}, "bench-not-finite", "sample"),
        ({"sample": Estimate(0.06, -1e-5)}, "bench-not-finite", "sample"),
        ({"u_thermometer": math.inf}, "bench-not-finite", "u_thermometer"),
        ({"water": None, "water_temperature": None, "nominal_volume": None}, "bench-no-volume", "water"),
    ],
)
def test_unusable_readings_are_refused(change: dict[str, object], code: str, where: str) -> None:
    broken = replace(FULL, **change)  # type: ignore[arg-type]  # keywords of mixed types
    assert [(finding.code, finding.where, finding.severity) for finding in check(broken)] == [
        (code, where, "refused")
    ]
    with pytest.raises(InputRefused) as caught:
        weigh(broken)
    assert caught.value.findings == check(broken)


def test_all_findings_at_once() -> None:
    broken = replace(FULL, sample=Estimate(0.01), air_density=Estimate(9.0), water_temperature=None)
    assert {finding.where for finding in check(broken)} == {"sample", "air_density", "water_temperature"}


def test_where_the_notices_begin() -> None:
    # 1.5 % off the marked volume is past its one standard uncertainty of 1 %, 0.7 % is not.
    assert codes(weigh(replace(FULL, nominal_volume=50.7e-6))) == {"bench-water-not-density"}
    assert codes(weigh(replace(FULL, nominal_volume=50.3e-6))) == set()
    # 0.07 g on the sample gives U = 2.9 kg/m3, 0.4 %: still of use.
    assert codes(weigh(replace(FULL, sample=Estimate(63.15 * GRAM, 0.07 * GRAM)))) == set()


def test_salt_water_may_be_heavier_than_water() -> None:
    salt = replace(FULL, sample=Estimate(78.5 * GRAM, 0.01 * GRAM))
    assert "bench-heavier-than-water" in codes(weigh(salt))
    assert codes(weigh(replace(salt, petroleum=False))) == set()


@pytest.mark.parametrize(
    ("name", "temperature"), [("water", -0.5), ("water", 40.0), ("sample", -60.0), ("sample", 95.5)]
)
def test_both_ends_of_the_temperatures(name: str, temperature: float) -> None:
    broken = replace(FULL, **{f"{name}_temperature": Estimate(temperature)})  # type: ignore[arg-type]  # keywords of mixed types
    assert [finding.code for finding in check(broken)] == [f"bench-{name}-temperature"]


@pytest.mark.parametrize("at", [1e-5, 0.4, 39.6, 40 - 1e-5])
def test_water_may_be_as_cold_and_as_warm_as_its_table_reaches(at: float) -> None:
    """What one thermometer does is found by a step past the table's end, and is nearly one-sided there."""
    water = Estimate(at, 0.3)
    result = weigh(replace(FULL, water_temperature=water))
    net = (77.21 - 27.41) * GRAM * (1 - 1.19 / 8000)
    volume = net / (float(tanaka(at)) - 1.19) / (1 + 27e-6 * (at - 20))  # type: ignore[arg-type]
    assert result.volume_20c.result.value == pytest.approx(volume, rel=1e-12)
    assert result.volume_20c.line("water temperature").contribution > 0


def test_three_kelvin_between_sample_and_water_are_still_one_temperature() -> None:
    for at, expected in ((24.0, set()), (24.01, {"bench-temperature-mismatch"}), (18.0, set())):
        assert codes(weigh(replace(FULL, sample_temperature=Estimate(at, 0.4)), AVGAS)) == expected


def test_the_sample_s_temperature_is_as_sure_as_reading_and_thermometer_together() -> None:
    assert weigh(FULL).u_temperature == pytest.approx(math.hypot(0.4, 0.2))


def test_what_the_marked_volume_would_have_made_of_sample_and_water() -> None:
    """By hand: the net reading over 50 mL of glass at the liquid's temperature, and the air it displaced."""
    result = weigh(FULL, AVGAS)
    assert isinstance(result.nominal_density, Estimate)
    assert isinstance(result.water_check, WaterCheck)
    for found, net, at in (
        (result.nominal_density, 63.15 - 27.41, 23.5),
        (result.water_check.from_nominal_volume, 77.21 - 27.41, 21.0),
    ):
        by_hand = net * GRAM * (1 - 1.19 / 8000) / (50e-6 * (1 + 27e-6 * (at - 20))) + 1.19
        assert found.value == pytest.approx(by_hand, rel=1e-12)
        # 1 % of the mark governs: the two readings of 0.012 and 0.011 g add 0.03 %.
        assert found.u == pytest.approx(0.01 * by_hand, rel=3e-3)
    assert result.water_check.tabulated == pytest.approx(float(tanaka(21.0)), rel=1e-12)  # type: ignore[arg-type]
    assert result.water_check.difference == pytest.approx(
        result.water_check.from_nominal_volume.value - float(tanaka(21.0)),  # type: ignore[arg-type]
        abs=1e-9,
    )


def test_a_volume_comes_from_water_before_a_calibration_and_from_that_before_the_mark() -> None:
    all_three = replace(FULL, known_volume=Estimate(49.9e-6, 1e-8))
    without = replace(all_three, water=None, water_temperature=None)
    marked = replace(without, known_volume=None)
    found = [weigh(each, AVGAS) for each in (all_three, without, marked)]
    assert [each.volume_from for each in found] == ["water", "known volume", "nominal volume"]
    assert found[1].volume_20c.result == Estimate(pytest.approx(49.9e-6), pytest.approx(1e-8))
    assert found[2].volume_20c.result == Estimate(pytest.approx(50e-6), pytest.approx(5e-7))
    assert ["bench-nominal-volume-only" in codes(each) for each in found] == [False, False, True]


@pytest.mark.parametrize(
    ("change", "code", "message", "needed", "hint"),
    [
        (
            {"water": None, "water_temperature": None},
            "bench-nominal-volume-only",
            "its 1 % standard uncertainty governs the result",
            "a weighing with water",
            "fill the same bottle",
        ),
        (
            {"nominal_volume": 52e-6},
            "bench-water-not-density",
            "the water would have 958.7 kg/m3, and water has 998.0 kg/m3",
            "one of the two to agree",
            "the marked volume is not what the bottle holds",
        ),
        (
            {"sample_temperature": Estimate(24.5, 0.4)},
            "bench-temperature-mismatch",
            "sample and water were 3.5 K apart",
            "temperatures within 3 K",
            "let both stand",
        ),
        (
            {"sample": Estimate(78.5 * GRAM, 0.01 * GRAM)},
            "bench-heavier-than-water",
            "the sample is heavier than the water",
            "lighter than water",
            "were the two readings swapped?",
        ),
        (
            {"sample": Estimate(63.15 * GRAM, 0.1 * GRAM)},
            "bench-uncertainty-large",
            "± 4.0 kg/m3 only, 99 % of it by 'sample'",
            "± 3.6 kg/m3 to tell two batches apart",
            "improve that one reading first",
        ),
        (
            {"petroleum": False},
            "bench-not-compared",
            "not compared with Avgas 100LL",
            "a density at 15 degC",
            "not a petroleum product",
        ),
    ],
)
def test_a_notice_says_what_is_wrong_what_was_needed_and_how_to_mend_it(
    change: dict[str, object], code: str, message: str, needed: str, hint: str
) -> None:
    """By hand: 49.80 g (1 - 1.19/8000)/52 mL (1 - 27e-6) + 1.19 is 958.7 kg/m3; 0.1 g of sample are 2.01 kg/m3,
    0.011 g of water 0.16 and 0.012 g of the bottle 0.07, so 99 % of the square; 0.5 % of 717 is 3.6.
    """
    found = weigh(replace(FULL, **change), AVGAS).notices  # type: ignore[arg-type]  # keywords of mixed types
    (notice,) = [each for each in found if each.code == code]
    assert message in notice.message
    assert needed in notice.needed
    assert hint in notice.hint


def test_a_temperature_of_water_that_was_not_weighed_says_nothing() -> None:
    found = weigh(replace(FULL, water=None, sample_temperature=Estimate(30.0, 0.4)), AVGAS)
    assert isinstance(found.water_check, Missing)
    assert "bench-temperature-mismatch" not in codes(found)


def test_a_sample_as_heavy_as_water_is_not_heavier() -> None:
    assert "bench-heavier-than-water" not in codes(weigh(replace(FULL, sample=Estimate(77.21 * GRAM))))
