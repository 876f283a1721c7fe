"""The worksheet of a weighing: scales, points, fluids and equipment as the aircraft stood, and what is taken
out or put in.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any, Final, Literal

from pydantic import Field, model_validator

from planner.quantities.errors import InputRefused, closest
from planner.quantities.units import Quantity, read_quantity
from planner.records.aircraft.checks import PLAUSIBLE_ARM, implausible_arm
from planner.records.document import all_or_refuse, read
from planner.records.fields import (
    NO_ARM,
    Day,
    Density,
    FuelAmount,
    Included,
    Length,
    Mass,
    ReadBy,
    Record,
    as_refusal,
    quantity,
    refusal,
    validate,
)
from planner.records.placed import Located, found, notice, place_all
from planner.records.store import Loaded

NO_MASS: Final = Quantity(0.0, 0.0, "mass", "0 kg")

Label = Annotated[str, Field(min_length=1, max_length=80)]
Words = Annotated[str, Field(min_length=1, max_length=1000)]
# A scale's doubt: a share of every reading, or the same mass on every reading.
ScaleDoubt = Annotated[Quantity, quantity("ratio", "mass", low=0.0, low_words="zero or more")]


def arm_or_name(value: Any) -> Quantity | str:
    """An arm, or the name of one of the sheet's `arms:` that several points share."""
    if isinstance(value, str) and value.strip() and not any(sign.isdigit() for sign in value):
        return value
    try:
        return read_quantity(value, "length")
    except InputRefused as wrong:
        raise as_refusal(wrong) from None


PointArm = Annotated[Quantity | str, ReadBy(arm_or_name)]


class Scale(Record):
    """The scale under every point: which, when calibrated, and the uncertainty its readings share."""

    id: Label
    calibrated: Day | None = None
    next_due: Day | None = None
    certificate: str = ""
    uncertainty: ScaleDoubt | None = None


class Weigher(Record):
    """Who weighed, and under which approval or licence."""

    name: Label
    approval: str = ""


class WeighingPoint(Record):
    """A wheel, jack or pad on a scale: what it showed, what of it is not aircraft, where it stands."""

    reading: Mass
    tare: Mass = NO_MASS
    arm: PointArm
    lateral_arm: Length = NO_ARM


class Fluid(Record):
    """A fluid: how much was `aboard` on the scales and belongs `in_result`, by mass or volume."""

    kind: Literal["usable fuel", "unusable fuel", "oil", "other"]
    aboard: FuelAmount
    in_result: FuelAmount
    density: Density | None = None
    arm: Length
    lateral_arm: Length = NO_ARM

    @model_validator(mode="after")
    def _whole(self) -> Fluid:
        by_volume = any(each.dimension == "volume" and each.value for each in (self.aboard, self.in_result))
        if by_volume and self.density is None:
            needed = "needed 'density:' at the temperature it had, or a mass"
            raise refusal("weighing-density", "a volume without the density of the fluid", needed)
        if self.density is not None and not 400 <= self.density.value <= 2000:
            message = f"'{self.density.text}' is no fluid of an aircraft"
            raise refusal("weighing-density", message, "needed 400 to 2000 kg/m3", "check the unit")
        if self.kind == "usable fuel" and self.in_result.value:
            message = "usable fuel does not belong to a basic empty mass"
            raise refusal("weighing-fluid", message, "needed 'in_result: 0 L'")
        return self


class Thing(Record):
    """A solid thing with its mass and place."""

    mass: Mass
    arm: Length
    lateral_arm: Length = NO_ARM


class WeighingSheet(Record):
    """One weighing as it was done."""

    weighing: Literal[1]
    aircraft: Label
    date: Day
    place: Label
    weigher: Weigher
    scale: Scale
    attitude: Words
    configuration: Words
    equipment: tuple[str, ...] = ()
    notes: str = ""
    datum: str = ""
    next_due: Day | None = None
    arms: dict[str, Length] = Field(default_factory=dict)
    points: dict[str, WeighingPoint] = Field(min_length=1)
    fluids: dict[str, Fluid]
    includes: Included
    removed: dict[str, Thing] = Field(default_factory=dict)
    added: dict[str, Thing] = Field(default_factory=dict)

    def point_arm(self, point: WeighingPoint) -> tuple[Quantity, str]:
        """The arm of a point, and the name under which it is shared, or ''."""
        return (point.arm, "") if isinstance(point.arm, Quantity) else (self.arms[point.arm], point.arm)


# What the record must say of each fluid, so that nobody later adds it twice or not at all.
_STATED: Final = {"usable fuel": "usable fuel", "unusable fuel": "unusable fuel", "oil": "full oil"}


def _fluids(sheet: WeighingSheet) -> Iterator[Located]:
    """weighing-fluid: a fluid nobody mentions; one that contradicts `includes:`."""
    for kind, word in _STATED.items():
        named = [(name, fluid) for name, fluid in sheet.fluids.items() if fluid.kind == kind]
        if not named:
            message = f"nothing is said of the {kind}"
            needed = f"needed a fluid of 'kind: {kind}'"
            yield found(("fluids",), "weighing-fluid", message, needed, "'aboard: 0 L' where there was none")
        held = any(fluid.in_result.value for _, fluid in named)
        if named and kind != "usable fuel" and held != (word in sheet.includes):
            state = "some of it belongs" if held else "none of it belongs"
            message = f"'{word}' contradicts the fluids: {state} in the result"
            yield found(("includes",), "weighing-fluid", message, "needed the same in both places")


def _points(sheet: WeighingSheet) -> Iterator[Located]:
    """arm-name-unknown, arm-implausible, weighing-reading: places and readings that cannot be."""
    for name, point in sheet.points.items():
        here = ("points", name)
        if isinstance(point.arm, str) and point.arm not in sheet.arms:
            hint = closest(point.arm, sheet.arms) or "write the arm itself, or add it to 'arms:'"
            message = f"'{point.arm}' is not one of the sheet's arms"
            yield found((*here, "arm"), "arm-name-unknown", message, "needed an arm such as '1.2 m'", hint)
            continue
        if abs(sheet.point_arm(point)[0].value) > PLAUSIBLE_ARM:
            yield implausible_arm((*here, "arm"), "the arm is not plausible")
        if point.reading.value < point.tare.value:
            message = f"'{point.reading.text}' is less than its tare '{point.tare.text}'"
            yield found(here, "weighing-reading", message, "the reading includes the tare")
    for group in ("fluids", "removed", "added"):
        for name, item in getattr(sheet, group).items():
            if abs(item.arm.value) > PLAUSIBLE_ARM:
                yield implausible_arm((group, name, "arm"), f"an arm of {item.arm.text} is not plausible")


def _dates(sheet: WeighingSheet) -> Iterator[Located]:
    """weighing-scale-overdue: a scale past its calibration; weighing-dates: dates that run backwards."""
    scale = sheet.scale
    if scale.next_due is not None and scale.next_due < sheet.date:
        message = f"the scale's calibration ran out on {scale.next_due}, before the weighing"
        hint = "weigh with a scale that is in date"
        yield notice(("scale", "next_due"), "weighing-scale-overdue", message, hint=hint)
    if scale.calibrated is not None and scale.calibrated > sheet.date:
        message = f"calibrated on {scale.calibrated}, after the weighing on {sheet.date}"
        yield found(("scale", "calibrated"), "weighing-dates", message, hint="check the dates")
    if sheet.next_due is not None and sheet.next_due <= sheet.date:
        yield found(
            ("next_due",), "weighing-dates", "the next weighing is due before this one", "needed a later day"
        )


def load_worksheet(path: Path | str) -> Loaded[WeighingSheet]:
    """Read and check a worksheet. Raises InputRefused with every finding."""
    document = read(path)
    sheet = validate(document, WeighingSheet, "weighing")
    located = [item for check in (_points, _fluids, _dates) for item in check(sheet)]
    return Loaded(sheet, document, all_or_refuse(place_all(document, located)))
