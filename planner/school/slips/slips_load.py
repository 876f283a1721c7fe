"""Slips in adding up a loading: signs, arms, scales, records, and rounding on the way."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Final

from planner.quantities.units import LITRE, POUND, UNITS
from planner.school.problem import Facts
from planner.school.problems.correction import CorrectionFacts
from planner.school.problems.fuel_amounts import FuelMassFacts, UnitFacts
from planner.school.problems.fuel_plan import FuelPlanFacts
from planner.school.problems.loads import LoadFacts, LoadLine
from planner.school.problems.moving import LandingFacts
from planner.school.slips.register import Wrong, slip

Back = Callable[[LoadFacts], Facts]
# kg: FAA-H-8083-30 ch. 4; NCC.POL.105 for up to five seats; a round figure of classrooms
STANDARD_PERSON: Final = {
    "170 lb each": 170 * POUND,
    "104 kg each": 104.0,
    "86 kg each": 86.0,
    "77 kg each": 77.0,
}
_COARSE_MOMENT: Final = (1.0, 10.0, 100 * POUND * 0.0254, 1000 * POUND * 0.0254)  # kg.m
_COARSE_CG: Final = (0.01, 0.0254, 0.1)  # m


def loads_in(facts: Facts) -> Iterator[tuple[LoadFacts, Back]]:
    """The loading inside any facts, and how to put an altered one back."""
    if isinstance(facts, LoadFacts):
        yield facts, lambda load: load
    elif isinstance(facts, (LandingFacts, CorrectionFacts)):
        yield facts.load, lambda load: replace(facts, load=load)


def _hung(line: LoadLine, kind: str, arm: float) -> LoadLine:
    """The line at another arm [m] where it is of that kind."""
    return replace(line, arm=arm) if line.kind == kind else line


def _taken_as(line: LoadLine, each: float) -> LoadLine:
    """The line with `each` [kg] for every person on it."""
    return replace(line, mass=each * len(line.people)) if line.people else line


def _altered(load: LoadFacts, change: Callable[[LoadLine], LoadLine]) -> LoadFacts:
    return replace(load, lines=tuple(change(line) for line in load.lines))


@slip(
    "sign-of-arm",
    "the sign of an arm lost",
    "Ahead of the datum arms and moments are negative; they are subtracted.",
)
def sign_of_arm(facts: Facts) -> Iterator[Wrong]:
    """Negative arms as positive: one of them, or all."""
    for load, back in loads_in(facts):
        negative = [line for line in load.lines if line.arm < 0]
        for each in negative:
            yield (
                each.name,
                back(
                    replace(
                        load,
                        lines=tuple(
                            replace(line, arm=-line.arm) if line is each else line for line in load.lines
                        ),
                    )
                ),
            )
        if len(negative) > 1:
            yield "all of them", back(_altered(load, lambda line: replace(line, arm=abs(line.arm))))


@slip(
    "scale",
    "a factor of 10, 100 or 1000 lost: the scale of a moment, or the decimal point",
    "Note the scale in the heading of the column, and put it back before dividing.",
)
def scale(facts: Facts) -> Iterator[Wrong]:
    """Any figure by a power of ten."""
    for key, value in facts.answers().items():
        if isinstance(value, float) and value:
            for power in (10.0, 100.0, 1000.0):
                yield f"{power:g} times too much", {key: value * power}
                yield f"{power:g} times too little", {key: value / power}


@slip(
    "baggage-at-rear-seats",
    "baggage taken at the arm of the rear seats",
    "Each station has an arm of its own; behind the rear seats a kilogram counts for more.",
)
def baggage_at_rear_seats(facts: Facts) -> Iterator[Wrong]:
    """Baggage with the arm of the rearmost seats that are printed."""
    for load, back in loads_in(facts):
        seats = load.of_kind("seats")
        if seats and load.of_kind("baggage"):
            rear = max(line.arm for line in seats)
            yield "", back(_altered(load, partial(_hung, kind="baggage", arm=rear)))


@slip(
    "mean-of-arms",
    "arms averaged instead of moments added",
    "The CG is the sum of the moments over the sum of the masses: heavy items count for more.",
)
def mean_of_arms(facts: Facts) -> Iterator[Wrong]:
    """The plain mean of the arms, or at landing of the take-off CG and the fuel's arm."""
    for load, back in loads_in(facts):
        if len(load.lines) > 1:
            yield "the mean of all arms", back(replace(load, average="arms"))
    if isinstance(facts, LandingFacts):
        takeoff, landing = facts.states()
        yield (
            "the mean of two CGs",
            {"landing_cg": (takeoff.centre_of_gravity + facts.trip[1]) / 2, "landing_mass": landing.mass},
        )


@slip("rounded-early", "rounded on the way", "Keep the figures of every line, and round the result once.")
def rounded_early(facts: Facts) -> Iterator[Wrong]:
    """Moments, CG, factors or lines cut to too few figures before they are used."""
    for load, back in loads_in(facts):
        for step in _COARSE_MOMENT:
            yield "the moments", back(replace(load, moment_step=step))
        for step in _COARSE_CG:
            yield "the CG", back(replace(load, cg_step=step))
    if isinstance(facts, UnitFacts) and UNITS[facts.unit].dimension != "temperature":
        ratio = UNITS[facts.unit].factor / UNITS[facts.wanted].factor
        for figures in (1, 2, 3):
            yield (
                "the factor",
                {"converted": facts.number * _figures(ratio, figures) * UNITS[facts.wanted].factor},
            )
            yield (
                "the factor",
                {"converted": facts.number / _figures(1 / ratio, figures) * UNITS[facts.wanted].factor},
            )
    if isinstance(facts, FuelMassFacts):
        for figures in (1, 2):
            yield "the density", replace(facts, density_number=_figures(facts.density_number, figures))
    if isinstance(facts, FuelPlanFacts):
        for litres in (1.0, 5.0):
            volumes = [round(line.volume / (litres * LITRE)) * litres * LITRE for line in facts.lines()]
            yield "every line", {"required": math.fsum(volumes), "surplus": facts.aboard - math.fsum(volumes)}


def _figures(value: float, figures: int) -> float:
    return float(f"{value:.{figures}g}")


def _empty(load: LoadFacts, mass: float, arm: float) -> LoadFacts:
    return _altered(load, lambda line: replace(line, mass=mass, arm=arm) if line.kind == "empty" else line)


@slip(
    "superseded-empty",
    "the superseded basic empty mass used",
    "Only the current record counts; mark the old one and put it away.",
)
def superseded_empty(facts: Facts) -> Iterator[Wrong]:
    """The older record printed beside the current one."""
    for load, back in loads_in(facts):
        if load.old_empty is not None:
            yield "", back(_empty(load, *load.old_empty))


@slip(
    "example-aircraft",
    "the manual's example aircraft used",
    "The example is of another aircraft: take the figures of the record of this one.",
)
def example_aircraft(facts: Facts) -> Iterator[Wrong]:
    """The empty mass of the example."""
    for load, back in loads_in(facts):
        if load.example_empty is not None:
            yield "", back(_empty(load, *load.example_empty))


@slip(
    "standard-people",
    "standard masses used where the people were weighed",
    "Few people do not even out: with known masses, use them.",
)
def standard_people(facts: Facts) -> Iterator[Wrong]:
    """A standard mass for each person."""
    for load, back in loads_in(facts):
        for words, standard in STANDARD_PERSON.items():
            yield words, back(_altered(load, partial(_taken_as, each=standard)))


@slip(
    "litres-as-kilograms",
    "litres of fuel taken for kilograms",
    "Volume times density is mass: a litre of avgas is about 0.72 kg.",
)
def litres_as_kilograms(facts: Facts) -> Iterator[Wrong]:
    """The number of litres (or gallons) as a mass; drained kilograms as litres."""
    for load, back in loads_in(facts):
        if any(line.volume for line in load.lines):
            yield (
                "",
                back(_altered(load, lambda line: replace(line, density=1 / LITRE) if line.volume else line)),
            )
    if isinstance(facts, FuelMassFacts) and facts.wanted == "mass":
        yield "", {"mass": facts.number * UNITS[facts.unit].factor / LITRE}
    if isinstance(facts, CorrectionFacts) and facts.cure == "drain":
        yield "", {"drained": facts.amount() * LITRE}


@slip(
    "item-left-out", "an item left out of the sum", "Tick every line of the loading as it goes into the sum."
)
def item_left_out(facts: Facts) -> Iterator[Wrong]:
    """The sum without one line."""
    for load, back in loads_in(facts):
        if len(load.lines) > 2:
            for each in load.lines[1:]:
                if not (each.volume and isinstance(facts, CorrectionFacts)):
                    yield (
                        each.name,
                        back(replace(load, lines=tuple(line for line in load.lines if line is not each))),
                    )


@slip(
    "one-person",
    "only one of several people on a row counted",
    "The row's mass is the sum of everyone on it.",
)
def one_person(facts: Facts) -> Iterator[Wrong]:
    """One person of a row."""
    for load, back in loads_in(facts):
        for each in load.lines:
            for person in dict.fromkeys(each.people) if len(each.people) > 1 else ():
                yield (
                    each.name,
                    back(
                        replace(
                            load,
                            lines=tuple(
                                replace(line, mass=person) if line is each else line for line in load.lines
                            ),
                        )
                    ),
                )
