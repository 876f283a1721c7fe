"""What the bench takes to its very ends, and what lies just beyond: the ends are those its own refusals
name.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from planner.density.bench.readings import NOMINAL_SPREAD, BottleReadings, check
from planner.density.bench.steps.plausible import implausible
from planner.density.budget import Estimate

READ = BottleReadings(
    empty=Estimate(0.027, 1e-5),
    sample=Estimate(0.063, 1e-5),
    sample_temperature=Estimate(18.0, 0.3),
    water=Estimate(0.077, 1e-5),
    water_temperature=Estimate(18.0, 0.3),
)


def refused(**change: object) -> list[tuple[str, str]]:
    return [(finding.code, finding.where) for finding in check(replace(READ, **change))]  # type: ignore[arg-type]


def test_these_readings_are_usable() -> None:
    assert refused() == []


# Water is a liquid above 0 degC and its density formula ends at 40 degC (Tanaka 2001); the other ends are
# common practice.
@pytest.mark.parametrize(
    ("name", "low", "high"), [("water_temperature", 0.0, 40.0), ("sample_temperature", -50.0, 95.0)]
)
def test_a_temperature_lies_between_its_ends(name: str, low: float, high: float) -> None:
    code = f"bench-{name.replace('_', '-')}"
    for inside in (math.nextafter(low, high), math.nextafter(high, low)):
        assert refused(**{name: Estimate(inside, 0.1)}) == []
    for outside in (low, high, low - 0.5, high + 0.5):
        assert refused(**{name: Estimate(outside, 0.1)}) == [(code, name)]


@pytest.mark.parametrize(
    ("name", "code", "low", "high"),
    [("air_density", "bench-air-density", 0.5, 1.5), ("glass_expansion", "bench-glass", 0.0, 1e-3)],
)
def test_air_and_glass_may_be_what_their_ends_say(name: str, code: str, low: float, high: float) -> None:
    for inside in (low, high):
        assert refused(**{name: Estimate(inside, 0.0)}) == []
    for outside in (math.nextafter(low, -1.0), math.nextafter(high, 2.0)):
        assert refused(**{name: Estimate(outside, 0.0)}) == [(code, name)]


@pytest.mark.parametrize(
    "name", ["nominal_volume", "u_nominal_volume", "water_spread", "u_thermometer", "u_balance"]
)
def test_an_uncertainty_may_be_nothing_but_not_less(name: str) -> None:
    assert ("bench-not-finite", name) not in refused(**{name: 0.0})
    for wrong in (-1e-12, math.nan, math.inf):
        assert refused(**{name: wrong}) == [("bench-not-finite", name)]


@pytest.mark.parametrize(
    "name",
    [
        "empty",
        "sample",
        "sample_temperature",
        "water",
        "water_temperature",
        "known_volume",
        "glass_expansion",
        "air_density",
    ],
)
def test_a_reading_and_its_uncertainty_are_numbers(name: str) -> None:
    good = getattr(READ, name) or Estimate(50e-6, 0.0)
    assert refused(**{name: Estimate(good.value, 0.0)}) == []
    for wrong in (Estimate(good.value, -1e-12), Estimate(math.nan, 0.0), Estimate(good.value, math.inf)):
        assert refused(**{name: wrong}) == [("bench-not-finite", name)]


def test_a_bottle_and_what_is_in_it_weigh_something() -> None:
    assert ("bench-empty-bottle", "empty") in refused(empty=Estimate(0.0, 0.0))
    assert refused(sample=Estimate(READ.empty.value, 0.0)) == [("bench-nothing-in-bottle", "sample")]
    assert refused(water=Estimate(READ.empty.value, 0.0)) == [("bench-nothing-in-bottle", "water")]


def test_a_volume_must_come_from_somewhere_and_hold_something() -> None:
    none = {"water": None, "water_temperature": None}
    assert refused(**none) == [("bench-no-volume", "water")]
    assert refused(**none, nominal_volume=50e-6) == []
    assert refused(**none, known_volume=Estimate(50e-6, 0.0)) == []
    assert refused(**none, nominal_volume=0.0) == [("bench-no-volume", "nominal_volume")]
    assert refused(known_volume=Estimate(0.0, 0.0)) == [("bench-no-volume", "known_volume")]
    assert refused(water_temperature=None) == [("bench-water-temperature", "water_temperature")]


def test_a_marked_volume_is_worth_one_per_cent_unless_it_is_stated() -> None:
    """1 % for a merely marked bottle: common practice, no published source."""
    assert NOMINAL_SPREAD == 0.01
    marked = replace(READ, nominal_volume=50e-6).nominal()
    assert marked is not None
    assert (marked.value, marked.u) == pytest.approx((50e-6, 0.5e-6), rel=1e-15)
    stated = replace(READ, nominal_volume=50e-6, u_nominal_volume=2e-6).nominal()
    assert stated is not None
    assert stated.u == 2e-6
    assert READ.nominal() is None


def implausible_in(**change: object) -> list[tuple[str, str]]:
    changed = replace(READ, **change)  # type: ignore[arg-type]  # keywords of mixed types
    return [(finding.code, finding.where) for finding in implausible(changed)]


# What follows is this program's, common practice, and said so in its refusals: 1 mL to 10 L, 300 to
# 3000 kg/m3, uncertainties of at most 10 % and 10 K.
@pytest.mark.parametrize("name", ["nominal_volume", "known_volume"])
def test_a_density_bottle_holds_from_a_millilitre_to_ten_litres(name: str) -> None:
    for litres, told in ((0.00099, True), (0.001, False), (10.0, False), (10.1, True)):
        volume = litres * 1e-3
        given = volume if name == "nominal_volume" else Estimate(volume, 0.0)
        assert implausible_in(**{name: given}) == ([("bench-volume-implausible", name)] if told else [])


@pytest.mark.parametrize("name", ["empty", "sample", "water", "known_volume", "nominal_volume", "u_balance"])
def test_what_is_unsure_by_more_than_a_tenth_measures_nothing(name: str) -> None:
    exactly = [(0.1, False)] if name == "u_balance" else []  # the others are quotients, and rounded
    for share, told in ((0.099, False), *exactly, (0.101, True)):
        change: dict[str, object] = {name: share}
        if name == "nominal_volume":
            change = {name: 50e-6, "u_nominal_volume": share * 50e-6}
        elif name != "u_balance":
            value = (getattr(READ, name) or Estimate(50e-6)).value
            change = {name: Estimate(value, share * value)}
        assert implausible_in(**change) == ([("bench-uncertainty-implausible", name)] if told else [])


@pytest.mark.parametrize("name", ["u_thermometer", "sample_temperature", "water_temperature"])
def test_a_temperature_unsure_by_more_than_ten_kelvin_measures_nothing(name: str) -> None:
    for kelvin, told in ((10.0, False), (10.1, True)):
        given = kelvin if name == "u_thermometer" else Estimate(18.0, kelvin)
        assert implausible_in(**{name: given}) == ([("bench-uncertainty-implausible", name)] if told else [])


@pytest.mark.parametrize("density", [299.8, 300.2, 2999.5, 3000.5])
def test_no_liquid_of_the_bench_is_lighter_or_heavier_than_its_ends(density: float) -> None:
    """50 mL by whichever way its volume is known: 49.9 g of water are 50 mL of 998 kg/m3; it counts before a
    calibration, and that before a mark.
    """
    told = [] if 300 <= density <= 3000 else [("bench-density-implausible", "sample")]
    sample, none = Estimate(READ.empty.value + density * 50e-6), {"water": None, "water_temperature": None}
    wrong = Estimate(50e-5)
    for volume in (
        {"water": Estimate(READ.empty.value + 0.0499), "known_volume": wrong, "nominal_volume": 50e-5},
        {**none, "known_volume": Estimate(50e-6), "nominal_volume": 50e-5},
        {**none, "nominal_volume": 50e-6},
    ):
        assert implausible_in(sample=sample, **volume) == told


def test_a_tared_bottle_at_zero_is_no_share_of_anything() -> None:
    tared = {"empty": Estimate(0.0, 1e-5), "sample": Estimate(0.036), "water": Estimate(0.05)}
    assert implausible_in(tared=True, **tared) == []
    assert refused(tared=True, **tared) == []
    assert refused(tared=True, **tared | {"sample": Estimate(0.0)}) == [("bench-nothing-in-bottle", "sample")]


def test_what_is_not_said_of_readings_is_no_error_of_theirs() -> None:
    assert (READ.u_thermometer, READ.u_balance, READ.known_volume) == (0.0, 0.0, None)
    assert READ.air_density == Estimate(1.2, 0.05), "of a low aerodrome"
    assert READ.water_spread == 0.02  # kg/m3, common practice, no published source
    assert READ.glass_expansion == Estimate(9.9e-6, pytest.approx(0.05 * 9.9e-6))
    assert (READ.petroleum, READ.tared) == (True, False)


def test_a_temperature_refused_is_told_with_the_ends_it_had_to_lie_between() -> None:
    (finding,) = check(replace(READ, sample_temperature=Estimate(120.0, 0.3)))
    assert finding.message.startswith("120 degC is no temperature")
    assert finding.needed == "needed between -50 degC and 95 degC"
