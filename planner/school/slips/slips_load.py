"""Slips in adding up a loading: signs, arms, scales, records, and rounding on the way."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import combinations
from typing import Any, Final

from planner.quantities.units import LITRE, POUND, UNITS, in_unit
from planner.school.problems.correction import CorrectionFacts
from planner.school.problems.examined.in_flight import BurnFacts
from planner.school.problems.examined.sideways import LateralFacts
from planner.school.problems.fuel_amounts import FuelMassFacts, UnitFacts
from planner.school.problems.fuel_plan import FuelPlanFacts
from planner.school.problems.graphs.loading_graph import GraphFacts
from planner.school.problems.graphs.tables import TableFacts
from planner.school.problems.landing import LandingFacts
from planner.school.problems.loads import LoadFacts
from planner.school.slips.register import Wrong, altered, number_as_mass, one_altered, one_less, slip

# A standard person, kg: FAA-H-8083-30 ch. 4; NCC.POL.105 for up to five seats; a round figure of classrooms
PERSON: Final = {"170 lb": 170 * POUND, "104 kg": 104.0, "86 kg": 86.0, "77 kg": 77.0}
_COARSE_MOMENT: Final = (1.0, 10.0, 100 * POUND * 0.0254, 1000 * POUND * 0.0254)  # kg.m
_COARSE_CG: Final = (0.01, 0.0254, 0.1)  # m


@slip("sign-of-arm").of_loading
def _sign_of_arm(load: LoadFacts) -> Iterator[Wrong]:
    negative = [line for line in load.lines if line.arm < 0]
    for each in negative:
        yield each.name, one_altered(load, each, arm=-each.arm)
    if len(negative) > 1:
        yield "all of them", altered(load, lambda line: replace(line, arm=abs(line.arm)))


@slip("scale").of(object)
def _scale(facts: Any) -> Iterator[Wrong]:
    for key, value in facts.answers().items():
        if isinstance(value, float) and value:
            for power in (10.0, 100.0, 1000.0):
                yield f"{power:g} times too much", {key: value * power}
                yield f"{power:g} times too little", {key: value / power}


@slip("baggage-at-rear-seats").of_loading
def _baggage(load: LoadFacts) -> Iterator[Wrong]:
    seats = load.of_kind("seats")
    if seats and load.of_kind("baggage"):
        rear = max(line.arm for line in seats)
        yield "", altered(load, lambda line: replace(line, arm=rear) if line.kind == "baggage" else line)


@slip("rows-swapped").of_loading
def _rows_swapped(load: LoadFacts) -> Iterator[Wrong]:
    loose = [line for line in load.lines if line.kind in ("seats", "baggage", "other") and not line.volume]
    for one, other in combinations(loose, 2):
        moved = one_altered(one_altered(load, one, mass=other.mass), other, mass=one.mass)
        yield f"{one.name} and {other.name}", moved


_MEAN = slip("mean-of-arms")


@_MEAN.of_loading
def _mean_of_arms(load: LoadFacts) -> Iterator[Wrong]:
    if len(load.lines) > 1:
        mean = math.fsum(line.arm for line in load.lines) / len(load.lines)
        yield "the mean of all arms", replace(load, cg_is=mean)


@_MEAN.of(LandingFacts)
def _mean_of_cgs(facts: LandingFacts) -> Iterator[Wrong]:
    takeoff, landing = facts.states()
    mean = (takeoff.centre_of_gravity + facts.trip[1]) / 2
    yield "the mean of two CGs", {"landing_cg": mean, "landing_mass": landing.mass}


@slip("cg-upside-down").of_loading
def _upside_down(load: LoadFacts) -> Iterator[Wrong]:
    scale = UNITS[(load.lines[0].arm_text or "m").split()[-1]].factor
    yield "", replace(load, cg_is=scale * scale / load.sum().centre_of_gravity)


@slip("over-empty-mass").of_loading
def _over_empty(load: LoadFacts) -> Iterator[Wrong]:
    empty = load.of_kind("empty")
    if empty and len(load.lines) > 1:
        yield "", replace(load, cg_is=load.sum().moment / empty[0].kg)


_EARLY = slip("rounded-early")


@_EARLY.of_loading
def _rounded_sums(load: LoadFacts) -> Iterator[Wrong]:
    for step in _COARSE_MOMENT:
        yield "the moments", replace(load, moment_step=step)
    for step in _COARSE_CG:
        yield "the CG", replace(load, cg_step=step)


@_EARLY.of(UnitFacts)
def _rounded_factor(facts: UnitFacts) -> Iterator[Wrong]:
    if UNITS[facts.unit].dimension != "temperature":
        scale = UNITS[facts.wanted].factor
        ratio = UNITS[facts.unit].factor / scale
        factors = {each for n in (1, 2, 3) for each in (_figures(ratio, n), 1 / _figures(1 / ratio, n))}
        for factor in sorted(factors - {1.0}):
            yield "the factor", {"converted": facts.number * factor * scale}


@_EARLY.of(FuelMassFacts)
def _rounded_density(facts: FuelMassFacts) -> Iterator[Wrong]:
    for figures in (1, 2):
        yield "the density", replace(facts, density_number=_figures(facts.density_number, figures))


@_EARLY.of(FuelPlanFacts)
def _rounded_lines(facts: FuelPlanFacts) -> Iterator[Wrong]:
    for litres in (1.0, 5.0):
        required = math.fsum(round(line.volume / (litres * LITRE)) * litres * LITRE for line in facts.lines())
        yield "every line", {"required": required, "surplus": facts.aboard - required}


def _figures(value: float, figures: int) -> float:
    return float(f"{value:.{figures}g}")


def _with_empty(record: str, load: LoadFacts) -> Iterator[Wrong]:
    if (other := getattr(load, record)) is not None:
        yield "", one_altered(load, load.of_kind("empty")[0], mass=other[0], arm=other[1])


for _name, _record in (("superseded-empty", "old_empty"), ("example-aircraft", "example_empty")):
    slip(_name).of_loading(partial(_with_empty, _record))


@slip("standard-people").of_loading
def _standard_people(load: LoadFacts) -> Iterator[Wrong]:
    for words, each in PERSON.items():
        lines = (replace(line, mass=each * len(line.people)) if line.people else line for line in load.lines)
        yield f"{words} each", replace(load, lines=tuple(lines))


_LITRES = slip("litres-as-kilograms").change(BurnFacts, density=1000.0)


@_LITRES.of_loading
def _fuel_as_mass(load: LoadFacts) -> Iterator[Wrong]:
    for line in load.lines:
        if line.volume:
            yield "", one_altered(load, line, density=number_as_mass(line.volume_text) / line.volume)


@_LITRES.of(LandingFacts)
def _burn_as_mass(facts: LandingFacts) -> Iterator[Wrong]:
    fuel = facts.load.of_kind("fuel")[0]
    burnt = replace(facts, density=number_as_mass(fuel.volume_text) / fuel.volume)
    yield "of the fuel burnt", burnt
    for _, load in _fuel_as_mass(facts.load):
        assert isinstance(load, LoadFacts)
        yield "everywhere", replace(burnt, load=load)


@_LITRES.of(FuelMassFacts)
def _number_as_it_stood(facts: FuelMassFacts) -> Iterator[Wrong]:
    if facts.wanted == "mass":
        yield "", {"mass": facts.number * UNITS[facts.unit].factor / LITRE}
        yield "the number as it stood", {"mass": facts.number * UNITS[facts.answer_unit].factor}
    else:
        yield "the number as it stood", {"volume": facts.number * UNITS[facts.answer_unit].factor}


@_LITRES.of(CorrectionFacts)
def _drained_mass(facts: CorrectionFacts) -> Iterator[Wrong]:
    if facts.cure == "drain":
        fuel = facts.load.of_kind("fuel")[0]
        unit = UNITS[fuel.volume_text.split()[1]]
        mass = in_unit(facts.amount(), "kg" if unit.name == "L" else "lb")
        yield "", {"drained": mass * unit.factor}


DIVIDED: Final = slip("divided-by-density")


@DIVIDED.of(TableFacts)
def _divided_dip(facts: TableFacts) -> Iterator[Wrong]:
    if facts.factor != 1.0:
        yield "", {"mass": facts.answers()["volume"] / (facts.factor / 1000) * 1000}


@DIVIDED.of(BurnFacts)
def _divided_burn(facts: BurnFacts) -> Iterator[Wrong]:
    burnt = facts.answers()["burnt"]
    yield "", {"burnt": burnt, "time": burnt * (facts.density / 1000) * 1e-3 / facts.flow}


@DIVIDED.of_loading
def _divided(load: LoadFacts) -> Iterator[Wrong]:
    for line in load.lines:
        if line.volume:
            ratio = line.kg / number_as_mass(line.volume_text)  # the number of the density as printed
            yield "", one_altered(load, line, density=line.density / ratio**2)


_ITEM = slip("item-left-out")


@_ITEM.of(LateralFacts)
def _row_left_out(facts: LateralFacts) -> Iterator[Wrong]:
    for line in facts.lines[1:]:
        yield line.name, one_less(facts, line)


@_ITEM.of(GraphFacts)
def _reading_left_out(facts: GraphFacts) -> Iterator[Wrong]:
    for line in facts.lines if len(facts.lines) > 1 else ():
        kept = one_less(facts, line).answers()
        yield line.name, {key: kept[key] for key in ("mass", "total", "cg", "verdict")}


@_ITEM.of_loading
def _left_out(load: LoadFacts) -> Iterator[Wrong]:
    for each in load.lines[1:] if len(load.lines) > 2 else ():
        yield each.name, one_less(load, each)


@slip("one-person").of_loading
def _one_person(load: LoadFacts) -> Iterator[Wrong]:
    for each in load.lines:
        for person in dict.fromkeys(each.people) if len(each.people) > 1 else ():
            yield each.name, one_altered(load, each, mass=person)
