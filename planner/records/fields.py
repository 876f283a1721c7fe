"""The vocabulary of records: quantities, tables of quantities, and the turning of refusals into placed
findings.

pydantic walks the record and collects everything that is wrong at once; this module tells it how to read
a quantity and turns its errors into findings with line, column and a way to mend them.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from itertools import pairwise
from typing import Annotated, Any, Final, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, ValidationError
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from planner.quantities.errors import Finding, InputRefused, closest
from planner.quantities.units import Dimension, Quantity, needed_words, read_quantity
from planner.records.document import Document
from planner.records.placed import in_order


class Record(BaseModel):
    """A part of a file: frozen once read; a key it does not know is refused."""

    # Built on first use: only the record at the top of a file needs a validator of its own.
    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True)


class ReadBy:
    """A field read by one function alone; pydantic's own also works out what it would be without."""

    def __init__(self, func: Callable[[Any], Any]) -> None:
        self.func = func

    def __get_pydantic_core_schema__(self, _source: Any, _handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.func)


R = TypeVar("R", bound=Record)

MAX_ROWS: Final = 500
VERSION: Final = 1  # of every kind of file
# a line read off a graph goes through zero to this share of its highest moment: common practice
LINE_READING: Final = 0.02


def refusal(code: str, message: str, needed: str = "", hint: str = "") -> PydanticCustomError:
    """A refusal that pydantic collects together with all others."""
    return PydanticCustomError(
        "finding", "{message}", {"code": code, "message": message, "needed": needed, "hint": hint}
    )


def finding_of(refused: PydanticCustomError) -> Finding:
    """What `refusal` was made of, for a reader that pydantic does not call."""
    return Finding(**refused.context or {})


def as_refusal(refused: InputRefused) -> PydanticCustomError:
    """The first finding of a reader that is no field's, as pydantic collects it."""
    first = refused.findings[0]
    return refusal(first.code, first.message, first.needed, first.hint)


def _read(value: Any, *dimensions: Dimension) -> Quantity:
    if value is None:
        raise refusal("value-empty", "nothing is given here", needed_words(dimensions))
    if isinstance(value, Quantity):  # given by a program, already read
        if value.dimension not in dimensions:
            raise refusal(
                "quantity-wrong-dimension", f"'{value.text}' is a {value.dimension}", needed_words(dimensions)
            )
        return value
    try:
        return read_quantity(value, *dimensions)
    except InputRefused as refused:
        raise as_refusal(refused) from None


def quantity(
    *dimensions: Dimension, low: float | None = None, low_words: str = "", printed: bool = False
) -> ReadBy:
    """A validator that reads one quantity of the given dimensions, not below `low` [SI]; `printed` where
    papers write % of the chord.
    """

    def validate(value: Any) -> Quantity:
        read = _read(value, *dimensions)
        if low is not None and read.value < low:
            raise refusal("quantity-too-small", f"'{read.text}' is too small here", f"needed {low_words}")
        return read

    validate.dimensions = dimensions  # type: ignore[attr-defined]  # read by the schema for editors
    validate.printed = printed  # type: ignore[attr-defined]
    return ReadBy(validate)


_MASS = quantity("mass", low=0.0, low_words="a mass of zero or more")
Mass = Annotated[Quantity, _MASS]
Length = Annotated[Quantity, quantity("length")]
# The same, for places where papers print an arm in % of the chord: made a length before (`papers`), told
# apart for the schema.
_ARM = quantity("length", printed=True)
Arm = Annotated[Quantity, _ARM]
Moment = Annotated[Quantity, quantity("moment")]
Volume = Annotated[Quantity, quantity("volume", low=0.0, low_words="a volume of zero or more")]
FuelAmount = Annotated[Quantity, quantity("volume", "mass", low=0.0, low_words="an amount of zero or more")]
Flow = Annotated[Quantity, quantity("volume flow", "mass flow", low=0.0, low_words="a flow of zero or more")]
Duration = Annotated[Quantity, quantity("time", low=0.0, low_words="a time of zero or more")]
Temperature = Annotated[Quantity, quantity("temperature")]
Density = Annotated[Quantity, quantity("density")]
FuelOrShare = Annotated[
    Quantity, quantity("volume", "mass", "time", "ratio", low=0.0, low_words="zero or more")
]

Area = Annotated[Quantity, quantity("area", low=1e-4, low_words="a square centimetre or more")]
FloorLoad = Annotated[Quantity, quantity("floor load", low=0.0, low_words="a load of zero or more")]

NO_ARM: Final = Quantity(0.0, 0.0, "length", "0 m")
Included = tuple[Literal["full oil", "unusable fuel"], ...]
Rows = tuple[tuple[Quantity, Quantity], ...]


def _table(value: Any, first: Dimension, second: Dimension, least: int) -> Rows:
    needed = f"needed rows [[{first}, {second}], ...]"
    if not isinstance(value, list) or len(value) < least:
        raise refusal("table-shape", "not a table", f"{needed}, at least {least}")
    if len(value) > MAX_ROWS:
        raise refusal("table-shape", f"{len(value)} rows", f"at most {MAX_ROWS}")
    rows = []
    for number, row in enumerate(value, 1):
        if not isinstance(row, list) or len(row) != 2:
            raise refusal("table-shape", f"row {number} is not a pair", needed)
        pair = _read(row[0], first), _read(row[1], second)
        if any(each.value < 0 for each in pair if each.dimension in ("mass", "volume")):
            message = f"row {number} has a negative {first if pair[0].value < 0 else second}"
            raise refusal("quantity-too-small", message, "needed zero or more")
        rows.append(pair)
    for number, (above, below) in enumerate(pairwise(rows), 2):
        if below[0].value <= above[0].value:
            message = f"row {number} ({below[0].text}) does not come after row {number - 1} ({above[0].text})"
            raise refusal("table-not-ascending", message, "the first column must ascend")
    return tuple(rows)


def edge_rows(value: Any) -> Rows:
    """An edge of an envelope: mass against arm."""
    return _table(value, "mass", "length", 2)


def line_rows(value: Any) -> Rows:
    """Two points of a loading-graph line, mass against moment; the line goes through zero."""
    rows = _table(value, "mass", "moment", 2)
    if len(rows) > 2:
        message = f"{len(rows)} points for a straight line"
        raise refusal("table-shape", message, "needed two, such as [[0 kg, 0 kg.m], [100 kg, 216 kg.m]]")
    (low, first), (high, second) = rows
    slope = (second.value - first.value) / (high.value - low.value)
    if abs(second.value - slope * high.value) > LINE_READING * max(abs(first.value), abs(second.value)):
        message = "the line through these points does not go through zero"
        raise refusal(
            "loading-line", message, "no mass has no moment", "read the two points again, far apart"
        )
    return rows


def timed_rows(value: Any) -> Rows:
    """Readings of a balance against time."""
    return _table(value, "time", "mass", 2)


def arm_or_table(value: Any) -> Quantity | Rows:
    """An arm, or a table of arms against volume."""
    return _table(value, "volume", "length", 2) if isinstance(value, list) else _read(value, "length")


def dip_table(value: Any) -> Rows:
    """Marks of a stick against volume; both columns ascend."""
    rows = _table(value, "length", "volume", 2)
    for number, (above, below) in enumerate(pairwise(rows), 2):
        if below[1].value <= above[1].value:
            message = f"row {number} ({below[1].text}) is not more than row {number - 1}"
            raise refusal("table-not-ascending", message, "a dip table must ascend in both columns")
    return rows


def read_mass(value: Any) -> Quantity:
    """One mass as a field of type `Mass` would read it, for validators that read lists of their own."""
    read: Quantity = _MASS.func(value)
    return read


LineRows = Annotated[Rows, ReadBy(line_rows)]
EdgeRows = Annotated[Rows, ReadBy(edge_rows)]
TankArm = Annotated[Quantity | Rows, ReadBy(arm_or_table)]
DipRows = Annotated[Rows, ReadBy(dip_table)]
TimedRows = Annotated[Rows, ReadBy(timed_rows)]


def read_date(value: Any) -> date:
    """A day written year-month-day."""
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value):
        try:
            return date.fromisoformat(value)
        except ValueError:
            pass
    raise refusal("date-unreadable", f"{value!r} is not a date", "needed year-month-day such as 2026-03-14")


Day = Annotated[date, ReadBy(read_date)]


def read_names(value: Any) -> tuple[str, ...]:
    """One name, or a list of names."""
    if isinstance(value, str):
        return (value,)
    if isinstance(value, list) and value and all(isinstance(each, str) for each in value):
        return tuple(value)
    raise refusal(
        "name-expected", f"{value!r} is not a name or a list of names", "needed one name, or [name, name]"
    )


Names = Annotated[tuple[str, ...], ReadBy(read_names)]


_SIMPLE: Final[dict[str, Callable[[dict[str, Any]], str]]] = {
    "string_type": lambda _: "needed text",
    "bool_type": lambda _: "needed true or false",
    "bool_parsing": lambda _: "needed true or false",
    "float_type": lambda _: "needed a number",
    "int_type": lambda _: "needed a whole number",
    "int_parsing": lambda _: "needed a whole number",
    "dict_type": lambda _: "needed 'key: value' lines",
    "model_type": lambda _: "needed 'key: value' lines",
    "list_type": lambda _: "needed a list",
    "tuple_type": lambda _: "needed a list",
    "literal_error": lambda context: f"needed {context.get('expected', '')}",
    "greater_than_equal": lambda context: f"needed {context.get('ge')} or more",
    "less_than_equal": lambda context: f"needed {context.get('le')} or less",
    "too_short": lambda context: f"needed at least {context.get('min_length')}",
}


def _finding(error: Any, model: type[Record]) -> tuple[Finding, bool]:
    kind, location, context = error["type"], error["loc"], error.get("ctx", {})
    if kind == "finding":
        return Finding(**context), False
    if kind == "extra_forbidden":
        from planner.records.keys import model_at  # late: it knows every record

        beside = model_at(model, tuple(location[:-1]))
        hint = closest(str(location[-1]), beside.model_fields if beside is not None else ())
        return Finding("key-unknown", f"'{location[-1]}' is not a key here", hint=hint), True
    if kind == "missing":
        return Finding("key-missing", f"'{location[-1]}' is missing", f"needed '{location[-1]}:'"), False
    needed = _SIMPLE[kind](context) if kind in _SIMPLE else str(error["msg"])
    if error.get("input") is None:
        return Finding("value-empty", "nothing is given here", needed), False
    shown = repr(error["input"])
    message = f"{shown if len(shown) < 60 else shown[:57] + '...'} does not fit here"
    return Finding("value-wrong-kind", message, needed), False


def validate(document: Document, model: type[R], key: str) -> R:
    """The record of type `model` in `document`, where `key` must say the version this program reads.

    Raises InputRefused with every finding at once, in the order of the file.
    """
    if not isinstance(document.value, dict) or key not in document.value:
        got = "it is not a list of keys"
        if isinstance(document.value, dict):
            got = f"its keys are {', '.join(map(str, list(document.value)[:6]))}"
        needed = f"needed '{key}: {VERSION}' at the top"
        raise document.refused((), "file-wrong-kind", f"this is not a {key} file: {got}", needed)
    if type(document.value[key]) is not int or document.value[key] != VERSION:  # 'true' equals 1 in Python
        message = f"{key} version {document.value[key]!r} is not known"
        needed = f"this program reads '{key}: {VERSION}'"
        raise document.refused((key,), "file-version", message, needed, "update the program")
    try:
        return model.model_validate(document.value)
    except ValidationError as errors:
        placed = []
        for error in errors.errors(include_url=False):
            finding, at_key = _finding(error, model)
            placed.append(document.place(finding, error["loc"], at_key))
        raise InputRefused(in_order(placed)) from None
