"""Figures as papers print them, made into those of the record.

Arms in % of the chord, envelopes as mass against moment, loading-graph lines, index units. It happens in the
values of the file before the record is read; what can not be made into a plain figure is left as it stands,
so that its own field refuses it with its place.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.units import (
    GREATEST,
    NUMBER,
    Converted,
    Dimension,
    Quantity,
    find_unit,
    last_digit,
    read_quantity,
    unit_name,
)
from planner.records.document import Location
from planner.records.placed import Located, notice

_MAC: Final = rf"\s*({NUMBER})(?:\s*(?:\+/-|±)\s*({NUMBER}))?\s*%\s*MAC\s*"
_INDEX: Final = rf"\s*({NUMBER})\s*index\s*"
_ARMS: Final = ("arm", "centre_of_gravity", "from_arm", "to_arm")
_EDGES: Final = ("forward", "aft")


def _read(value: Any, *dimensions: Dimension) -> Quantity | None:
    """The quantity, or None where it can not be read."""
    try:
        return read_quantity(value, *dimensions)
    except InputRefused:
        return None


def _plain(value: float, u: float, dimension: Dimension, unit: str, step: float = 0.0) -> Quantity:
    """A figure made by us, written as in a file; `step` [SI] is that of the figure it comes from."""
    if not abs(value) <= GREATEST:  # the field that reads it refuses it as too large
        return Quantity(0.0, 0.0, "ratio", f"{value:g} {unit}")
    factor = find_unit(unit).factor
    spread = f" +/- {u / factor:.6g}" if u else ""
    return Converted(
        value=value, u=u, dimension=dimension, text=f"{value / factor:.6g}{spread} {unit}", step=step
    )


def _length_of(moment: str) -> str:
    """The unit of length in a unit of moment."""
    return next((name for name in ("mm", "cm", "in", "ft", "m") if re.search(rf"\b{name}\b", moment)), "m")


@frozen
class _Papers:
    """A profile's chord (leading edge, length [m]) and index (arm [m], divisor [kg.m], constant)."""

    chord: tuple[float, float, str] | None
    index: tuple[float, float, float, str] | None

    def arm(self, value: Any) -> Any:
        """An arm in % of the chord as a length."""
        match = re.fullmatch(_MAC, value) if isinstance(value, str) and self.chord else None
        if match is None or self.chord is None:
            return value
        edge, length, unit = self.chord
        share, u = float(match[1]) / 100, float(match[2] or 0) / 100
        return _plain(edge + share * length, u * length, "length", unit, last_digit(match[1]) / 100 * length)

    def moment(self, value: Any, mass: Any, whole: bool = True) -> Any:
        """A moment in index units as one; `whole` for a sum, which has the constant in it."""
        match = re.fullmatch(_INDEX, value) if isinstance(value, str) and self.index else None
        weight = _read(mass, "mass")
        if match is None or weight is None or self.index is None:
            return value
        reference, divisor, constant, unit = self.index
        moment = (float(match[1]) - (constant if whole else 0.0)) * divisor + weight.value * reference
        return _plain(moment, 0.0, "moment", unit, last_digit(match[1]) * divisor)

    def edge(self, row: Any) -> Any:
        """A row of an envelope: a mass with its arm, from an arm in % of the chord or from a moment."""
        if not isinstance(row, list) or len(row) != 2:
            return row
        mass, second = _read(row[0], "mass"), self.moment(self.arm(row[1]), row[0])
        moment = _moment(second)
        if moment is None or mass is None or not mass.value:
            return [row[0], second]
        return [row[0], _plain(moment.value / mass.value, 0.0, "length", _length_of(unit_name(moment)))]

    def line(self, rows: Any) -> Quantity:
        """The arm of a loading-graph line: the slope between its two points."""
        points = []
        for row in rows if isinstance(rows, list) else []:
            pair = row if isinstance(row, list) and len(row) == 2 else (None, None)
            points.append((_read(pair[0], "mass"), _moment(self.moment(pair[1], pair[0], whole=False))))
        if len(points) == 2 and all(mass and moment for mass, moment in points):
            (low, first), (high, second) = points
            assert low and high and first and second  # noqa: PT018 - the condition above, for the type checker
            if high.value > low.value:
                slope = (second.value - first.value) / (high.value - low.value)
                return _plain(slope, 0.0, "length", _length_of(unit_name(second)))
        return Quantity(0.0, 0.0, "length", "0 m")  # the line itself is refused by its own field

    def made(self, value: Any, key: str = "") -> Any:
        """The values below a key with every printed figure made plain."""
        if key in _ARMS:
            if isinstance(value, list):
                return [
                    [row[0], self.arm(row[1])] if isinstance(row, list) and len(row) == 2 else row
                    for row in value
                ]
            return self.arm(value)
        if key in _EDGES and isinstance(value, list):
            return [self.edge(row) for row in value]
        if isinstance(value, list):
            return [self.made(each) for each in value]
        if not isinstance(value, dict):
            return value
        result = {name: self.made(each, str(name)) for name, each in value.items()}
        if "moment" in result:
            result["moment"] = self.moment(result["moment"], result.get("mass"))
        if "loading_line" in result:
            result.setdefault("arm", self.line(result["loading_line"]))
            result["loading_line"] = self._plain_line(result["loading_line"])
        return result

    def _plain_line(self, rows: Any) -> Any:
        whole = isinstance(rows, list) and all(isinstance(row, list) and len(row) == 2 for row in rows)
        return [[row[0], self.moment(row[1], row[0], whole=False)] for row in rows] if whole else rows


def _moment(value: Any) -> Quantity | None:
    read = value if isinstance(value, Quantity) else _read(value, "moment")
    return read if read is not None and read.dimension == "moment" else None


def as_printed(tree: Mapping[str, Any]) -> dict[str, Any]:
    """The values of a profile with what is written as papers print it made into plain figures.

    CG = leading edge + share x chord; arm = moment / mass; arm = slope of a loading line; moment = (index -
    constant) x divisor + mass x reference arm. Source: [faa-h-8083-1b] ch. 5 (moment index, loading graph),
    ch. 3 (% MAC).
    """
    chord, index = tree.get("mean_aerodynamic_chord"), tree.get("index")
    of_chord = of_index = None
    if isinstance(chord, dict):
        edge, length = _read(chord.get("leading_edge"), "length"), _read(chord.get("length"), "length")
        if edge and length:
            of_chord = (edge.value, length.value, unit_name(length))
    if isinstance(index, dict):
        reference, divisor = (
            _read(index.get("reference_arm"), "length"),
            _read(index.get("divisor"), "moment"),
        )
        constant = index.get("constant", 0.0)
        if reference and divisor and isinstance(constant, (int, float)):
            unit = re.sub(r"/\d+$", "", unit_name(divisor))
            of_index = (reference.value, divisor.value, float(constant), unit)
    papers = _Papers(of_chord, of_index)
    return {
        key: value if key in ("mean_aerodynamic_chord", "index") else papers.made(value, str(key))
        for key, value in tree.items()
    }


def edges_as_drawn(tree: Mapping[str, Any]) -> Iterator[Located]:
    """edges-kind: an envelope written as moments whose lines are said to be straight in CG."""
    envelopes = tree.get("envelopes")
    for name, category in envelopes.items() if isinstance(envelopes, dict) else ():
        rows = [row for side in _EDGES for row in category.get(side) or ()]
        moments = [row for row in rows if _read(row[1], "moment") or re.fullmatch(_INDEX, str(row[1]))]
        if moments and category.get("edges") == "linear in cg":
            message = "the points are moments, the lines between them are said to be straight in CG"
            needed = "usual: a chart of mass against moment is 'linear in moment'"
            location: Location = ("envelopes", name, "edges")
            yield notice(
                location, "edges-kind", message, needed, "look at the axes of the manual's own chart"
            )
