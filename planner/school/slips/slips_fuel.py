"""Slips with units, densities and volumes of fuel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Any, Final

from planner.quantities.units import IMPERIAL_GALLON, LITRE, POUND, UNITS, US_GALLON
from planner.school.problems.fuel_amounts import DensityFacts, FuelMassFacts, UnitFacts
from planner.school.problems.fuel_plan import FuelPlanFacts
from planner.school.problems.graphs.tables import TableFacts
from planner.school.problems.loads import LoadFacts, LoadLine
from planner.school.slips.register import Wrong, altered, slip
from planner.school.slips.slips_load import DIVIDED

# kg/m3
JET_FIGURES: Final = {"6.7 lb/USgal": 6.7 * POUND / US_GALLON, "0.79 kg/L": 790.0}
BOOK_FIGURES: Final = {"6.0 lb/USgal": 6.0 * POUND / US_GALLON, "0.72 kg/L": 720.0, "0.71 kg/L": 710.0}


def _scaled(facts: Any, key: str, factor: float) -> Wrong:
    return "", {key: facts.answers()[key] * factor}


def _gallons(meant: str, taken: str, facts: UnitFacts | FuelMassFacts | FuelPlanFacts) -> Iterator[Wrong]:
    """The same number read in the other gallon, wherever that gallon is written."""
    ratio = (IMPERIAL_GALLON / US_GALLON) ** (1 if taken == "impgal" else -1)
    if isinstance(facts, UnitFacts):
        if (
            meant in facts.unit and facts.unit.replace(meant, taken) != facts.wanted
        ):  # that would be no conversion at all
            yield "", replace(facts, unit=facts.unit.replace(meant, taken))
        if taken in facts.wanted:  # worked out in the other gallon and written down in this one
            down = 1.0 if facts.wanted.startswith("lb/") else -1.0
            yield _scaled(facts, "converted", ratio**down if meant not in facts.unit else 1.0)
    elif isinstance(facts, FuelMassFacts):
        if facts.unit == meant:
            yield "the volume", replace(facts, unit=taken)
        if facts.density_unit == f"lb/{meant}":
            yield "the density", replace(facts, density_unit=f"lb/{taken}")
    elif facts.foreign == f"{meant}/h":
        yield "the cruise flow", facts.reflowed(ratio)


for _name, _meant, _taken in (("imperial-as-us", "impgal", "USgal"), ("us-as-imperial", "USgal", "impgal")):
    slip(_name).of(UnitFacts, FuelMassFacts, FuelPlanFacts)(partial(_gallons, _meant, _taken))


@slip("litres-times-pounds").of(FuelMassFacts)
def _litres_times_pounds(facts: FuelMassFacts) -> Iterator[Wrong]:
    if facts.wanted == "mass":
        litres = facts.number * UNITS[facts.unit].factor / LITRE
        for each in [6.0] if facts.density_unit == "kg/L" else [6.0, facts.density_number]:
            yield f"{each:g} lb for each litre", {"mass": litres * each * POUND}


@slip("pounds-as-kilograms").of(UnitFacts, FuelMassFacts, DensityFacts)
def _pounds(facts: UnitFacts | FuelMassFacts | DensityFacts) -> Iterator[Wrong]:
    if isinstance(facts, UnitFacts):
        pounds = "lb" in facts.unit + facts.wanted and {facts.unit, facts.wanted} != {"lb", "kg"}
        key = "converted" if pounds else ""
    elif isinstance(facts, DensityFacts):
        key = "mass" if facts.volume else ""
    else:
        key = facts.wanted
    if key:
        yield _scaled(facts, key, POUND)
        yield _scaled(facts, key, 1 / POUND)


slip("not-converted").change(UnitFacts, unit=lambda facts: facts.wanted)


@slip("inverse-factor").of(UnitFacts)
def _inverse(facts: UnitFacts) -> Iterator[Wrong]:
    if UNITS[facts.unit].dimension != "temperature":
        yield "", {"converted": facts.number * UNITS[facts.wanted].factor ** 2 / UNITS[facts.unit].factor}


@DIVIDED.of(FuelMassFacts)
def _divided(facts: FuelMassFacts) -> Iterator[Wrong]:
    amount = facts.number * UNITS[facts.unit].factor
    if facts.wanted == "mass":
        yield "", {"mass": amount / LITRE / (facts.density / 1000)}
        own = facts.number / facts.density_number * UNITS[facts.answer_unit].factor
        yield "the printed numbers", {"mass": own}
    else:
        yield "", {"volume": amount * facts.density / 1000 * LITRE}


@slip("thirty-two").of(UnitFacts)
def _thirty_two(facts: UnitFacts) -> Iterator[Wrong]:
    if facts.unit == "degF":
        yield "left out", {"converted": facts.number * 5 / 9}
        yield "after the factor", {"converted": facts.number * 5 / 9 - 32}
    elif facts.unit == "degC":
        yield "left out", {"converted": facts.number}  # in degF, 9/5 of the number alone
        yield "before the factor", {"converted": (facts.number + 32) - 32 * 5 / 9}


for _name, _figures in (("jet-for-avgas", JET_FIGURES), ("standard-density", BOOK_FIGURES)):
    _named = slip(_name)

    @_named.of(FuelMassFacts)
    def _other(facts: FuelMassFacts, figures: dict[str, float] = _figures) -> Iterator[Wrong]:
        for words, density in figures.items() if not facts.jet else ():
            yield words, replace(facts, density_number=density / UNITS[facts.density_unit].factor)

    @_named.of_loading
    def _other_load(load: LoadFacts, figures: dict[str, float] = _figures) -> Iterator[Wrong]:
        if any(0 < line.density < 770.0 for line in load.lines):
            for words, density in figures.items():
                dense = (replace(line, density=density) if line.volume else line for line in load.lines)
                yield words, replace(load, lines=tuple(dense))


slip("temperature-sign").change(
    DensityFacts, known_at=lambda facts: 30.0 - facts.known_at, wanted_at=lambda facts: 30.0 - facts.wanted_at
)


@slip("from-another-temperature").of(DensityFacts)
def _from_another(facts: DensityFacts) -> Iterator[Wrong]:
    for reference in (0.0, 20.0):
        known, wanted = (t if t == 15.0 else t + 15.0 - reference for t in (facts.known_at, facts.wanted_at))
        yield f"from {reference:g} degC", replace(facts, known_at=known, wanted_at=wanted)


slip("no-temperature-correction").change(DensityFacts, known_at=15.0, wanted_at=15.0)


@DIVIDED.of(DensityFacts)
def _divided_mass(facts: DensityFacts) -> Iterator[Wrong]:
    if facts.volume:
        yield "", {"mass": facts.volume / LITRE / (facts.answers()["density"] / 1000)}


def _unusable(facts: FuelMassFacts) -> float:
    """The unusable fuel in the unit of the number."""
    return facts.unusable / UNITS[facts.unit].factor


slip("unusable-as-usable").change(FuelMassFacts, total=False).change(
    FuelPlanFacts, aboard=lambda facts: facts.aboard + facts.unusable
).change(TableFacts, less=0.0)
slip("unusable-off-twice").change(FuelPlanFacts, aboard=lambda facts: facts.aboard - facts.unusable).change(
    FuelMassFacts, number=lambda facts: facts.number - _unusable(facts)
)


@(
    slip("unusable-added")
    .change(FuelMassFacts, number=lambda facts: facts.number + (0.0 if facts.total else _unusable(facts)))
    .of_loading
)
def _added_to_load(load: LoadFacts) -> Iterator[Wrong]:
    def more(line: LoadLine) -> LoadLine:
        return replace(line, volume=line.volume + load.unusable) if line.volume else line

    if load.unusable:
        yield "", altered(load, more)
