"""Slips at the bench: scales, fluids, and the density bottle; and those of the written answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.quantities.moments import Item
from planner.school.problem import Facts
from planner.school.problems.bench import BottleFacts, WeighingFacts
from planner.school.slips.register import Wrong, slip


@slip("tare", "tare not subtracted", "Chocks, jacks and pads stand on the scale too: reading less tare.")
def tare(facts: Facts) -> Iterator[Wrong]:
    """Readings as they stand, or with the tare added."""
    if isinstance(facts, WeighingFacts) and any(point.tare for point in facts.points):
        yield "left out", replace(facts, points=tuple(replace(point, tare=0.0) for point in facts.points))
        yield (
            "added",
            replace(
                facts,
                points=tuple(
                    replace(point, reading=point.reading + 2 * point.tare) for point in facts.points
                ),
            ),
        )


@slip(
    "fuel-on-scales",
    "fuel that stood on the scales not taken off",
    "The basic empty mass has no usable fuel: subtract its mass and its moment.",
)
def fuel_on_scales(facts: Facts) -> Iterator[Wrong]:
    """Usable fuel left in, or only its mass taken off."""
    if isinstance(facts, WeighingFacts) and facts.removed:
        yield "", replace(facts, removed=())
        yield (
            "its moment left in",
            replace(facts, removed=tuple(Item(item.name, item.mass, 0.0) for item in facts.removed)),
        )


@slip("oil-twice", "oil counted twice", "Oil that was on the scales is in the reading already.")
def oil_twice(facts: Facts) -> Iterator[Wrong]:
    """Oil aboard added again."""
    if isinstance(facts, WeighingFacts):
        for item in facts.aboard:
            if item.name == "oil":
                yield "", replace(facts, added=(*facts.added, item))


@slip(
    "oil-not-at-all",
    "oil not counted at all",
    "The basic empty mass includes full oil: what was drained is added.",
)
def oil_not_at_all(facts: Facts) -> Iterator[Wrong]:
    """Drained oil not added, or oil aboard taken off."""
    if isinstance(facts, WeighingFacts):
        kept = tuple(item for item in facts.added if item.name != "oil")
        if kept != facts.added:
            yield "", replace(facts, added=kept)
        for item in facts.aboard:
            if item.name == "oil":
                yield "", replace(facts, removed=(*facts.removed, item))


@slip(
    "unusable-weighed-twice",
    "unusable fuel added to a reading that held it, or taken off",
    "It was in the tanks on the scales and belongs to the basic empty mass: leave it.",
)
def unusable_weighed_twice(facts: Facts) -> Iterator[Wrong]:
    """Unusable fuel aboard added again or removed."""
    if isinstance(facts, WeighingFacts):
        for item in facts.aboard:
            if item.name == "unusable fuel" and item.mass:
                yield "added", replace(facts, added=(*facts.added, item))
                yield "taken off", replace(facts, removed=(*facts.removed, item))


@slip(
    "scale-arms", "the arms of two scale points exchanged", "Each reading goes with the arm of its own point."
)
def scale_arms(facts: Facts) -> Iterator[Wrong]:
    """Main and nose (or tail) arms exchanged."""
    if isinstance(facts, WeighingFacts):
        main, third = facts.points[0].arm, facts.points[-1].arm
        yield (
            "",
            replace(
                facts,
                points=tuple(
                    replace(point, arm=third if point.arm == main else main) for point in facts.points
                ),
            ),
        )


@slip(
    "nominal-volume",
    "the volume marked on the bottle used",
    "What is marked is a name, not a measurement: use the water, or the calibration.",
)
def nominal_volume(facts: Facts) -> Iterator[Wrong]:
    """Net reading over the marked volume, with and without buoyancy."""
    if isinstance(facts, BottleFacts):
        yield "", replace(facts, volume=facts.nominal)
        yield "and no buoyancy", {"density": (facts.sample - facts.empty) / facts.nominal}


@slip(
    "no-buoyancy",
    "buoyancy of the air left out",
    "A balance in air reads a light liquid too low: add the air's density back as the formula has it.",
)
def no_buoyancy(facts: Facts) -> Iterator[Wrong]:
    """Readings taken for masses."""
    if isinstance(facts, BottleFacts):
        yield "", replace(facts, air=0.0)
        if not facts.volume:
            net, water = facts.sample - facts.empty, facts.water - facts.empty
            yield (
                "subtracted and not added back",
                {"density": net / water * (facts.water_density - facts.air)},
            )


@slip(
    "bottle-not-subtracted",
    "the empty bottle not subtracted",
    "Full less empty is what the liquid weighs, for water and sample alike.",
)
def bottle_not_subtracted(facts: Facts) -> Iterator[Wrong]:
    """Glass weighed as liquid."""
    if isinstance(facts, BottleFacts):
        yield "", replace(facts, empty=0.0)


@slip(
    "water-is-one",
    "water taken as exactly 1000 kg/m3",
    "Water has 1000 kg/m3 only near 4 degC: use the figure for its temperature.",
)
def water_is_one(facts: Facts) -> Iterator[Wrong]:
    """Water of 1000 kg/m3."""
    if isinstance(facts, BottleFacts) and not facts.volume:
        yield "", replace(facts, water_density=1000.0)


@slip(
    "no-unit",
    "the number is right and has no unit",
    "A figure without a unit is not an answer: the next reader has to guess.",
)
def no_unit(facts: Facts) -> Iterator[Wrong]:
    """The right figures; the unit is missing in writing, so only the written answer shows it."""
    yield "", facts.answers()


@slip(
    "wrong-unit",
    "the number is right and its unit is not",
    "Write the unit the figure was worked out in, and the one that was asked for.",
)
def wrong_unit(facts: Facts) -> Iterator[Wrong]:
    """The right figures; the unit is wrong in writing, so only the written answer shows it."""
    yield "", facts.answers()
