"""No unit that means one thing in the US and another in Britain gets through, however it is spelt: every unit
pint knows is walked.
"""

from __future__ import annotations

import re

import pytest

from planner.quantities.errors import InputRefused
from planner.quantities.units import UNITS, find_unit, read_quantity

pint = pytest.importorskip("pint")
REGISTRY = pint.UnitRegistry()
CUSTOMARY = {
    name
    for group in ("USCSLiquidVolume", "USCSDryVolume", "USCSVolumeOther")
    for name in REGISTRY.get_group(group, False).members
}
# Every name, alias and symbol that pint reads, with the unit it stands for.
NAMES = sorted(name for name in REGISTRY._units if re.fullmatch(r"[A-Za-zµ°_]+", name))


def root(name: str) -> str:
    return REGISTRY.get_name(name) if name in REGISTRY._units else ""


def accepted(spelt: str) -> bool:
    try:
        find_unit(spelt)
    except InputRefused:
        return False
    return True


def test_every_customary_volume_must_say_which_in_every_disguise() -> None:
    customary = [name for name in NAMES if root(name) in CUSTOMARY and name not in UNITS]
    assert {
        "gallon",
        "gal",
        "quart",
        "qt",
        "pint",
        "pt",
        "cup",
        "gill",
        "fluid_ounce",
        "floz",
        "bbl",
        "barrel",
    } <= {*customary}
    through = []
    for name in customary:
        disguises = (
            name,
            f"{name}/h",
            f"{name}/hr",
            f"{name}/min",
            f"{name}**1",
            f"lb/{name}",
            f"kg/{name}",
            f"kilo{name}",
            f"{name}*m/m",
        )
        through += [each for each in disguises if accepted(each) and not name.startswith("US")]
    assert not through


def test_what_is_accepted_of_a_volume_is_metric_cubic_or_says_which() -> None:
    """The other way round: of every unit pint knows, one that measures a volume and is accepted has no second
    meaning.
    """
    read = {
        name
        for name in NAMES
        if name not in UNITS and accepted(name) and find_unit(name).dimension == "volume"
    }
    one_meaning = {
        "acre_foot",
        "stere",
        "lambda",
        "cubic_centimeter",
        "cubic_inch",
        "cubic_foot",
        "cubic_yard",
        "liter",
        "microliter",
    }
    assert {root(name) for name in read if not re.match(r"US|imperial|UK", name)} <= one_meaning
    assert len(read) > 5


def test_masses_with_two_meanings_are_refused() -> None:
    assert not any(accepted(each) for each in ("ounce", "oz", "ton", "ton/h", "hundredweight", "dram"))


@pytest.mark.parametrize(
    "attack",
    ["gal/hr", "gallon/h", "gallons/h", "gal/min", "lb/gallon", "pound/gal", "quart/h", "qt/h", "pint", "pt"],
)
def test_the_attacks_that_got_through(attack: str) -> None:
    assert not accepted(attack)


CURES = [
    ("31 Liter", "volume", "write L"),
    ("31 LITRES", "volume", "write L"),
    ("1538 mkg", "moment", "write kg.m"),
    ("1538 lb-in", "moment", "write lb.in"),
    ("180 lbs", "mass", "write lb"),
    ("180 Lbs", "mass", "write lb"),
    ("20 gallons", "volume", "write USgal (3.785 L) or impgal (4.546 L)"),
    ("20 US gal", "volume", "write USgal"),
    ("21 °C", "temperature", "write degC"),
]


@pytest.mark.parametrize(("text", "dimension", "cure"), CURES)
def test_common_spellings_get_the_cure(text: str, dimension: str, cure: str) -> None:
    with pytest.raises(InputRefused) as refused:
        read_quantity(text, dimension)  # type: ignore[arg-type]  # a dimension of the list above
    assert refused.value.findings[0].hint == cure


def test_a_refusal_lists_the_units_of_the_dimension_asked_for() -> None:
    with pytest.raises(InputRefused) as refused:
        read_quantity("82 zorkmid", "mass")
    assert refused.value.findings[0].hint == "known: g, kg, lb"
    with pytest.raises(InputRefused) as refused:
        read_quantity("82 zorkmid", "volume flow", "mass flow")
    assert refused.value.findings[0].hint == "known: L/h, USgal/h, impgal/h, kg/h, lb/h"
