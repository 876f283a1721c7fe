"""Slips at the bench: scales, fluids, and the density bottle; and those of the written answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.logbook.mass.hung import ScalePoint
from planner.quantities.moments import Item
from planner.school.problems.bench import BottleFacts, WeighingFacts
from planner.school.problems.examined.jacks import JackFacts
from planner.school.slips.register import Wrong, all_with, number_as_mass, slip


def _aboard(facts: WeighingFacts, name: str) -> tuple[Item, ...]:
    """What stood on the scales and is printed."""
    return tuple(item for item in facts.aboard if item.name == name and item.mass)


def _untared(facts: WeighingFacts | JackFacts) -> tuple[ScalePoint, ...]:
    return all_with(facts.points, tare=0.0)


def _tare_added(facts: WeighingFacts) -> tuple[ScalePoint, ...]:
    return tuple(replace(point, reading=point.reading + 2 * point.tare) for point in facts.points)


slip("tare").change(WeighingFacts, "left out", points=_untared).change(
    WeighingFacts, "added", points=_tare_added
).change(JackFacts, "left out", even=True, points=_untared)
slip("fuel-on-scales").change(WeighingFacts, removed=()).change(
    WeighingFacts, "its moment left in", removed=lambda facts: all_with(facts.removed, arm=0.0)
)


@slip("scales-litres").of(WeighingFacts)
def _scales_litres(facts: WeighingFacts) -> Iterator[Wrong]:
    if facts.fuel is not None:
        yield "", replace(facts, removed=all_with(facts.removed, mass=number_as_mass(facts.fuel.text)))


slip("oil-twice").change(WeighingFacts, "added", added=lambda facts: (*facts.added, *_aboard(facts, "oil")))
slip("oil-not-at-all").change(WeighingFacts, added=()).change(
    WeighingFacts, "taken off", removed=lambda facts: (*facts.removed, *_aboard(facts, "oil"))
)
slip("unusable-weighed-twice").change(
    WeighingFacts, "added", added=lambda facts: (*facts.added, *_aboard(facts, "unusable fuel"))
).change(WeighingFacts, "taken off", removed=lambda facts: (*facts.removed, *_aboard(facts, "unusable fuel")))


@slip("scale-arms").of(WeighingFacts)
def _scale_arms(facts: WeighingFacts) -> Iterator[Wrong]:
    main, third = facts.points[0].arm, facts.points[-1].arm
    points = (replace(point, arm=third if point.arm == main else main) for point in facts.points)
    yield "", replace(facts, points=tuple(points))


@slip("one-main").of(WeighingFacts, JackFacts)
def _one_main(facts: WeighingFacts | JackFacts) -> Iterator[Wrong]:
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
