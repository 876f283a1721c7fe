"""Figures in another family of units than others of their kind: litres beside gallons, cm among inches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from planner.quantities.frozen import frozen
from planner.quantities.units import UNITS, Dimension, Quantity, in_unit, unit_name
from planner.records.document import Location
from planner.records.placed import Located, notice

CHECK: Final = "look at the manual again: digit, unit and sign"


def unlikely(where: Location, code: str, message: str, needed: str = "", hint: str = CHECK) -> Located:
    """A notice of what is legal and hard to believe."""
    return notice(where, code, message, needed, hint)


@frozen
class _Written:
    """A figure as it stands in the file: where, what kind of unit, in which family of units."""

    location: Location
    figure: Quantity
    kind: Dimension
    family: str
    unit: str


_KINDS: Final[dict[str, Dimension]] = {
    "length": "length",
    "mass": "mass",
    "volume": "volume",
    "volume flow": "volume",
    "mass flow": "mass",
}
_FEW: Final = 3


def family_of(unit: str) -> str:
    """Which family a unit belongs to: metric, US, imperial, or the inches and pounds these two share."""
    for sign, family in (("USgal", "US gallons"), ("USqt", "US gallons"), ("impgal", "imperial gallons")):
        if sign in unit:
            return family
    return "inches and pounds" if unit.partition("/")[0] in ("in", "ft", "lb") else "metric units"


def mixed(
    figures: Sequence[tuple[Location, Quantity]], hint: str = "check the unit; write them alike"
) -> Iterator[Located]:
    """unit-mixed for any figures: the few among the many, each with its worth in the unit of the many."""
    written = []
    for location, figure in figures:
        unit, kind = unit_name(figure), _KINDS.get(figure.dimension)
        if kind is not None and unit in UNITS and figure.value:
            written.append(
                _Written(location=location, figure=figure, kind=kind, family=family_of(unit), unit=unit)
            )
    for kind in dict.fromkeys(each.kind for each in written):
        same = [each for each in written if each.kind == kind]
        families = sorted(
            dict.fromkeys(each.family for each in same),  # a set has another order every time
            key=lambda family: sum(each.family == family for each in same),
        )
        for family in families[:-1]:
            few = [each for each in same if each.family == family]
            many = [each for each in same if each.family == families[-1]]
            for one in few[:_FEW]:
                alike = [each.unit for each in many if each.figure.dimension == one.figure.dimension]
                unit = max(alike, key=alike.count) if alike else ""
                worth = f", which is {in_unit(one.figure.value, unit):.4g} {unit}" if unit else ""
                rest = f", one of {len(few)}" if len(few) > _FEW else ""
                message = f"'{one.figure.text}'{worth}{rest} stands among {len(many)} in {families[-1]}"
                needed = "usual: one family of units for one kind of figure"
                yield unlikely(one.location, "unit-mixed", message, needed, hint)
