"""Published cases put through the engine: our figure beside the printed one.

Inputs stand as they were printed, in pounds, inches and US gallons, and become SI at this edge; the result
goes back into the printed unit. A case without a computation, or the reverse, is an error here, so the list
cannot silently shrink.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from planner.data.published import PUBLISHED, PublishedCase
from planner.density.air import mass_from_reading, moist_air_density
from planner.density.petroleum import volume_correction_factor
from planner.density.water import water_density
from planner.moments import Item, Total, add, ballast_mass, cg_after_shift, mass_to_shift, on_datum, percent_mac, remove, round_up, total
from planner.units import INCH, POUND, UNITS, in_unit
from planner.weighing import ScalePoint, weigh


@dataclass(frozen=True, slots=True)
class CaseResult:
    """One case computed: `ours` and `difference` (ours - published) in the case's unit, `within` its tolerance."""

    case: PublishedCase
    ours: float
    difference: float
    within: bool


def _item(name: str, pounds: float, inches: float) -> Item:
    return Item(name, pounds * POUND, inches * INCH)


def _loaded(pounds: float, inches: float) -> Total:
    return total([_item("aircraft", pounds, inches)])


def _mass(result: Total) -> float:
    return in_unit(result.mass, "lb")


def _moment(result: Total) -> float:
    return in_unit(result.moment, "lb.in")


def _cg(result: Total) -> float:
    return in_unit(result.centre_of_gravity, "in")


def _fuel(gallons: float, pounds_per_gallon: float, inches: float) -> Item:
    volume = gallons * UNITS["USgal"].factor
    return Item("fuel", volume * pounds_per_gallon * UNITS["lb/USgal"].factor, inches * INCH)


def _computational() -> dict[str, float]:
    loaded = total(
        [_item("empty", 2100, 78.3), _item("front", 340, 85), _item("rear", 350, 121), _fuel(75, 6, 75), _item("baggage", 80, 150)],
    )
    return {"phak-mass": _mass(loaded), "phak-cg": _cg(loaded)}


def _zero_fuel() -> dict[str, float]:
    # The printed columns are mass and moment; the arm is their quotient.
    rows = [(3230, 292315), (335, 29815), (350, 44100), (200, 31400), (100, 1000), (25, 4575)]
    zero_fuel = total([_item("row", pounds, moment / pounds) for pounds, moment in rows])
    ramp = add(zero_fuel, _item("fuel", 822, 113))
    takeoff = remove(ramp, _item("taxi fuel", 24, 113))
    landing = remove(takeoff, _item("trip fuel", 450, 113))
    return {
        "phak-zero-fuel-mass": _mass(zero_fuel),
        "phak-zero-fuel-moment": _moment(zero_fuel),
        "phak-zero-fuel-cg": _cg(zero_fuel),
        "phak-ramp-mass": _mass(ramp),
        "phak-takeoff-mass": _mass(takeoff),
        "phak-takeoff-cg": _cg(takeoff),
        "phak-landing-mass": _mass(landing),
        "phak-landing-cg": _cg(landing),
    }


def _shifts() -> dict[str, float]:
    before = Total(8000 * POUND, 616000 * POUND * INCH)
    shift = mass_to_shift(_loaded(7800, 81.5), 80.5 * INCH, 150 * INCH, 30 * INCH)
    return {
        "phak-shift-before": _cg(before),
        "phak-shift-after": in_unit(cg_after_shift(before, 100 * POUND, 30 * INCH, 150 * INCH), "in"),
        "phak-shift-wanted": in_unit(shift, "lb"),
        "phak-test-item-shift": in_unit(cg_after_shift(_loaded(4800, 98), 90 * POUND, 145 * INCH, 45 * INCH), "in"),
        "phak-addition": _cg(add(_loaded(6860, 80), _item("added", 140, 150))),
        "phak-removal": _cg(remove(_loaded(6100, 80), _item("removed", 100, 150))),
    }


def _datums() -> dict[str, float]:
    def on_scales(main: float, other: float, distance: float) -> Total:
        points = (ScalePoint("mains", main * POUND, 0.0, 0.0), ScalePoint("nose or tail", other * POUND, 0.0, distance * INCH))
        return weigh(points).scale_total

    nose_wheel = on_scales(2006 - 340, 340, -78)
    tail_wheel = on_scales(1218 - 67, 67, 222)
    return {
        "datum-at-mains": _cg(nose_wheel),
        "datum-ahead": _cg(on_datum(nose_wheel, -128 * INCH)),
        "datum-behind": _cg(on_datum(nose_wheel, 75 * INCH)),
        "tailwheel-ahead": _cg(on_datum(tail_wheel, -7.5 * INCH)),
        "tailwheel-behind": _cg(on_datum(tail_wheel, 80 * INCH)),
    }


def _weighing() -> dict[str, float]:
    def point(name: str, reading: float, tare: float, arm: float) -> ScalePoint:
        return ScalePoint(name, reading * POUND, tare * POUND, arm * INCH)

    scales = (point("left", 650, 5, 70), point("right", 640, 5, 70), point("nose", 225, 2.5, -30))
    empty = weigh(scales, removed=[_fuel(30, 5.9, 95)], added=[_item("unusable fuel", 6, 98)]).basic_empty
    return {"weighing-mass": _mass(empty), "weighing-cg": _cg(empty)}


def _handbook_1() -> dict[str, float]:
    ballast = ballast_mass(_loaded(1876, 32.2), 33 * INCH, 228 * INCH)
    return {
        "percent-mac": percent_mac(42.47 * INCH, 20.1 * INCH, 61.6 * INCH),
        "lever": _cg(total([_item("A", 100, 0), _item("B", 200, 80), _item("C", 200, 100)])),
        "ballast": round_up(in_unit(ballast, "lb"), 0.1),
    }


def _extremes() -> dict[str, float]:
    always = [_item("empty", 1169, 10.6), _item("oil", 17, -49), _item("pilot", 170, 16)]
    forward = total([*always, _item("minimum fuel", 83, 22)])
    aft = total([*always, _item("rear seats", 340, 48), _item("full fuel", 240, 22), _item("baggage", 100, 75.5)])
    # One twelfth of a US gallon for each horsepower of maximum continuous power.
    minimum = _fuel(165 / 12, 6, 22)
    return {
        "forward-mass": _mass(forward),
        "forward-moment": _moment(forward),
        "forward-cg": _cg(forward),
        "aft-mass": _mass(aft),
        "aft-moment": _moment(aft),
        "aft-cg": _cg(aft),
        "minimum-fuel-volume": in_unit(minimum.mass / (6 * UNITS["lb/USgal"].factor), "USgal"),
        "minimum-fuel-mass": in_unit(minimum.mass, "lb"),
    }


def _time_in_tanks() -> dict[str, float]:
    seconds = 38 * UNITS["USgal"].factor / (8 * UNITS["USgal/h"].factor) * 3 / 4
    return {"time-in-tanks": in_unit(seconds, "h")}


def _densities() -> dict[str, float]:
    canada = [(710, (-40.0, -38.9, -35.0, -24.9, -20.0)), (800, (-40.0, -35.0, -20.0))]
    factors = {f"mc54b-{density:g}@{t:g}": volume_correction_factor(density, t) for density, column in canada for t in column}
    examples = [(839.0, 32.5), (889.0, 115.55), (777.5, 9.0), (819.0, 26.75)]
    factors |= {f"d1250-{density:g}@{t:g}": volume_correction_factor(density, t) for density, t in examples}
    water = {f"tanaka-{t:g}": water_density(t) for t in (10.0, 15.0, 20.0, 25.0, 30.0)}
    return factors | water | {"masui-16": water_density(16.0)}


def _air() -> dict[str, float]:
    mercury = 133.322387415  # Pa per mmHg, NIST SP 811 App. B.8

    def microlitres_per_milligram(temperature: float, pressure: float, humidity: float) -> float:
        air = moist_air_density(temperature, pressure, humidity)
        return 1000 * mass_from_reading(1.0, water_density(temperature), air) / water_density(temperature)

    return {
        "air-oiml": moist_air_density(20.0, 101325.0, 0.5),
        "air-nist-1": moist_air_density(22.3, 748.1 * mercury, 0.37),
        "air-nist-2": moist_air_density(23.4, 612.3 * mercury, 0.23),
        "z-factor-1": microlitres_per_milligram(19.72, 98400.0, 0.647),
        "z-factor-2": microlitres_per_milligram(18.75, 98600.0, 0.5929),
    }


_COMPUTATIONS: Final[tuple[Callable[[], dict[str, float]], ...]] = (
    _computational,
    _zero_fuel,
    _shifts,
    _datums,
    _weighing,
    _handbook_1,
    _extremes,
    _time_in_tanks,
    _densities,
    _air,
)


def run_cases() -> tuple[CaseResult, ...]:
    """Every published case through the engine.

    Equation: difference = ours - published; within = |difference| <= tolerance, plus float noise of 1e-12
    of the figure. Returns one CaseResult per row of `planner.data.published.PUBLISHED`, in its order, in its
    unit. Raises LookupError where a case has no computation or a computation no case: a fault of the program.
    Source: the row's own source and clause.
    """
    ours: dict[str, float] = {}
    for compute in _COMPUTATIONS:
        ours |= compute()
    unpaired = sorted(ours.keys() ^ {case.id for case in PUBLISHED})
    if unpaired:
        raise LookupError(f"published case and computation do not pair: {', '.join(unpaired)}")
    return tuple(_compared(case, ours[case.id]) for case in PUBLISHED)


def _compared(case: PublishedCase, ours: float) -> CaseResult:
    difference = ours - case.published
    return CaseResult(case, ours, difference, abs(difference) <= case.tolerance + 1e-12 * abs(case.published))
