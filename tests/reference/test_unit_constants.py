"""Unit constants: NIST SP 811 appendix B, and pint as an independent table for every unit the program knows.

Exact definitions are compared to 1e-12 (a few float roundings). The one exception is the inch of mercury: SP
811 B.8 prints 3.386 389 E+03, seven digits, so it may differ from the value pint derives from the
conventional millimetre of mercury by half of the last digit, 0.0005 / 3386.389 = 1.5e-7.
"""

from __future__ import annotations

import pint
import pytest

from planner.quantities.units import (
    IMPERIAL_GALLON,
    INCH,
    INCH_OF_MERCURY,
    POUND,
    SI_UNIT,
    STANDARD_GRAVITY,
    UNITS,
    US_GALLON,
    find_unit,
    in_unit,
    read_quantity,
)

# SP 811 B.6, B.8: exact by definition (from memory of the appendix; the second witness is pint below).
EXACT = {
    "pound, kg": (POUND, 0.45359237),
    "inch, m": (INCH, 0.0254),
    "foot, m": (UNITS["ft"].factor, 0.3048),
    "US gallon (231 cubic inches), m3": (US_GALLON, 3.785411784e-3),
    "US quart, m3": (UNITS["USqt"].factor, 0.946352946e-3),
    "imperial gallon, m3": (IMPERIAL_GALLON, 4.54609e-3),
    "standard gravity, m/s2": (STANDARD_GRAVITY, 9.80665),
}

HALF_OF_THE_SEVENTH_DIGIT = 0.0005 / 3386.389

PINT_NAME = {
    "L": "liter", "mL": "milliliter", "m3": "meter**3", "USgal": "US_liquid_gallon", "impgal": "imperial_gallon", "USqt": "US_liquid_quart",
    "kg/m3": "kilogram/meter**3", "kg/L": "kilogram/liter", "g/cm3": "gram/centimeter**3", "g/mL": "gram/milliliter",
    "lb/USgal": "pound/US_liquid_gallon", "lb/impgal": "pound/imperial_gallon", "lb/L": "pound/liter",
    "L/h": "liter/hour", "USgal/h": "US_liquid_gallon/hour", "impgal/h": "imperial_gallon/hour", "kg/h": "kilogram/hour", "lb/h": "pound/hour",
    "kg.m": "kilogram*meter", "kg.mm": "kilogram*millimeter", "lb.in": "pound*inch", "lb.ft": "pound*foot",
    "Pa": "pascal", "hPa": "hectopascal", "inHg": "inch_Hg", "degC": "degree_Celsius", "degF": "degree_Fahrenheit", "K": "kelvin", "%": "percent",
    "m": "meter", "cm": "centimeter", "mm": "millimeter", "in": "inch", "ft": "foot", "kg": "kilogram", "g": "gram", "lb": "pound",
    "m2": "meter**2", "cm2": "centimeter**2", "in2": "inch**2", "ft2": "foot**2", "kg/m2": "kilogram/meter**2", "lb/ft2": "pound/foot**2",
    "s": "second", "min": "minute", "h": "hour",
}  # fmt: skip
PINT_SI = {
    "m": "meter", "kg": "kilogram", "m3": "meter**3", "kg/m3": "kilogram/meter**3", "degC": "degree_Celsius", "s": "second",
    "m3/s": "meter**3/second", "kg/s": "kilogram/second", "kg.m": "kilogram*meter", "Pa": "pascal", "1": "dimensionless",
    "m2": "meter**2", "kg/m2": "kilogram/meter**2",
}  # fmt: skip


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize("name", EXACT)
def test_exact_definition(name: str) -> None:
    ours, defined = EXACT[name]
    assert ours == pytest.approx(defined, rel=1e-15)


def test_inch_of_mercury_as_printed() -> None:
    assert INCH_OF_MERCURY == 3386.389  # SP 811 B.8, inch of mercury, conventional


def test_no_unit_is_left_out() -> None:
    assert PINT_NAME.keys() == UNITS.keys()


@pytest.mark.parametrize("name", UNITS)
@pytest.mark.parametrize("number", [1.0, 37.5, -12.25])
def test_equal_to_pint(registry: pint.UnitRegistry[float], name: str, number: float) -> None:
    unit = UNITS[name]
    theirs = registry.Quantity(number, PINT_NAME[name]).to(PINT_SI[SI_UNIT[unit.dimension]]).magnitude
    tolerance = HALF_OF_THE_SEVENTH_DIGIT if name == "inHg" else 1e-12
    assert unit.factor * number + unit.offset == pytest.approx(
        theirs, rel=tolerance, abs=1e-12 if unit.offset else 0.0
    )


@pytest.mark.parametrize("name", sorted(UNITS.keys() - {"%"}))
def test_there_and_back(name: str) -> None:
    unit = UNITS[name]
    assert in_unit(read_quantity(f"37.5 {name}", unit.dimension).value, name) == pytest.approx(
        37.5, rel=1e-12
    )


@pytest.mark.parametrize(
    ("name", "si"), [("yard", 0.9144), ("stone", 14 * 0.45359237), ("US_pint", 3.785411784e-3 / 8)]
)
def test_other_units_come_from_pint(name: str, si: float) -> None:
    # 3 ft, 14 lb and an eighth of a US gallon, by definition.
    assert find_unit(name).factor == pytest.approx(si, rel=1e-12)
