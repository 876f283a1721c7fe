"""Slips at the bench: scales, fluids, and the density bottle; and those of the written answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.school.problems.bench import BottleFacts, WeighingFacts
from planner.school.problems.examined.jacks import JackFacts
from planner.school.slips.register import Wrong, number_as_mass, slip


def _counted(facts: WeighingFacts, name: str, *, added: bool) -> Iterator[Wrong]:
    """What stood on the scales and is printed: counted again, or taken off."""
    for item in facts.aboard:
        if item.name == name and item.mass and added:
            yield "added", replace(facts, added=(*facts.added, item))
        elif item.name == name and item.mass:
            yield "taken off", replace(facts, removed=(*facts.removed, item))


@slip("tare").of(WeighingFacts)
def _tare(facts: WeighingFacts) -> Iterator[Wrong]:
    if any(point.tare for point in facts.points):
        yield "left out", replace(facts, points=tuple(replace(point, tare=0.0) for point in facts.points))
        added = tuple(replace(point, reading=point.reading + 2 * point.tare) for point in facts.points)
        yield "added", replace(facts, points=added)


@slip("fuel-on-scales").of(WeighingFacts)
def _fuel_on_scales(facts: WeighingFacts) -> Iterator[Wrong]:
    if facts.removed:
        yield "", replace(facts, removed=())
        at_datum = tuple(replace(item, arm=0.0) for item in facts.removed)
        yield "its moment left in", replace(facts, removed=at_datum)


@slip("scales-litres").of(WeighingFacts)
def _scales_litres(facts: WeighingFacts) -> Iterator[Wrong]:
    if facts.fuel is not None:
        mass = number_as_mass(facts.fuel.text)
        yield "", replace(facts, removed=tuple(replace(item, mass=mass) for item in facts.removed))


@slip("oil-twice").of(WeighingFacts)
def _oil_twice(facts: WeighingFacts) -> Iterator[Wrong]:
    yield from _counted(facts, "oil", added=True)


@slip("oil-not-at-all").of(WeighingFacts)
def _no_oil(facts: WeighingFacts) -> Iterator[Wrong]:
    if facts.added:
        yield "", replace(facts, added=())
    yield from _counted(facts, "oil", added=False)


@slip("unusable-weighed-twice").of(WeighingFacts)
def _unusable_twice(facts: WeighingFacts) -> Iterator[Wrong]:
    yield from _counted(facts, "unusable fuel", added=True)
    yield from _counted(facts, "unusable fuel", added=False)


@slip("scale-arms").of(WeighingFacts)
def _scale_arms(facts: WeighingFacts) -> Iterator[Wrong]:
    main, third = facts.points[0].arm, facts.points[-1].arm
    points = (replace(point, arm=third if point.arm == main else main) for point in facts.points)
    yield "", replace(facts, points=tuple(points))


@slip("one-main").of(WeighingFacts)
def one_main(facts: WeighingFacts | JackFacts) -> Iterator[Wrong]:
    """One scale left out, each in turn. Source: [common-practice]."""
    for gone in facts.points:
        yield gone.name, replace(facts, points=tuple(point for point in facts.points if point is not gone))


@slip("nominal-volume").of(BottleFacts)
def _nominal(facts: BottleFacts) -> Iterator[Wrong]:
    yield "", replace(facts, volume=facts.nominal)
    yield "and no buoyancy", {"density": (facts.sample - facts.empty) / facts.nominal}


@slip("no-buoyancy").of(BottleFacts)
def _no_buoyancy(facts: BottleFacts) -> Iterator[Wrong]:
    yield "", replace(facts, air=0.0)
    if not facts.volume:
        yield "subtracted and not added back", {"density": facts.ratio * (facts.water_density - facts.air)}


@slip("ratio-upside-down").of(BottleFacts)
def _upside_down(facts: BottleFacts) -> Iterator[Wrong]:
    if not facts.volume:
        yield "", {"density": (facts.water_density - facts.air) / facts.ratio + facts.air}


slip("bottle-not-subtracted").change(BottleFacts, empty=0.0)
slip("water-is-one").change(BottleFacts, water_density=1000.0)


# The figures are right; what is wrong stands behind them, so that only the written answer shows it.
slip("no-unit")
slip("wrong-unit")
