"""JSON Schema of every kind of file, made from the record models by pydantic, for editors that check YAML as
it is typed.

A schema knows the form: keys, lists, and that a quantity is text with a unit of the right kind. What needs
more than one key, another file, or a look at a figure is left to the program's own checks.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, Final

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from planner.quantities.frozen import frozen
from planner.quantities.units import UNITS, Dimension, Quantity, example_of
from planner.records import fields
from planner.records.aircraft import example, mass_record
from planner.records.aircraft.record import Aircraft
from planner.records.fields import Record
from planner.records.flight import load_items
from planner.records.flight import record as flight
from planner.records.key_words import ANYWHERE, OF_RECORD
from planner.records.keys import key_of
from planner.records.sheets import bench, weighing_sheet
from planner.records.sheets.change_sheet import ChangeSheet

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


@frozen
class FileForm:
    """A kind of file: the record it holds, in words what it is, and the key that says the version."""

    record: type[Record]
    words: str
    key: str


KINDS: Final[dict[str, FileForm]] = {
    "aircraft": FileForm(Aircraft, "an aircraft profile", "profile"),
    "flight": FileForm(flight.Flight, "a flight", "flight"),
    "bottle": FileForm(bench.BottleSheet, "a density bottle weighed", "bottle"),
    "hydrometer": FileForm(bench.HydrometerSheet, "a hydrometer floated", "hydrometer"),
    "weighing": FileForm(weighing_sheet.WeighingSheet, "an aircraft on its scales", "weighing"),
    "change": FileForm(ChangeSheet, "a change of an aircraft's mass record", "change"),
}

_NUMBER = r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?"
_SPREAD = rf"(\s*(\+/-|±)\s*{_NUMBER})?"
_TERM = r"[A-Za-zµ°_]+[23]?((\*\*|\^)-?[1-4])?"
_UNIT = rf"(%|{_TERM}(\s*[*/.]\s*{_TERM}){{0,4}})(/10{{1,4}})?\s*"
_TIME: Final = rf"^\s*{_NUMBER}\s*h\s*[0-9]+\.?[0-9]*\s*min\s*$"
_NAME: Final = {"type": "string"}
_NAMES: Final = {"anyOf": [_NAME, {"type": "array", "items": _NAME, "minItems": 1}]}


def quantity_schema(*dimensions: Dimension) -> JsonSchemaValue:
    """Text with a unit; its words name the dimensions and some units of each."""
    words = " or ".join(dimensions)
    units = ", ".join(name for name, unit in UNITS.items() if unit.dimension in dimensions)
    # Units are not listed, as pint knows more of them than the table; those of the table that measure
    # something else are.
    others = "|".join(re.escape(name) for name, unit in UNITS.items() if unit.dimension not in dimensions)
    pattern = rf"^\s*{_NUMBER}{_SPREAD}\s*(?!({others})\s*$){_UNIT}$"
    pattern = f"{pattern}|{_TIME}" if "time" in dimensions else pattern
    pattern = rf"{pattern}|^\s*{_NUMBER}\s*index\s*$" if "moment" in dimensions else pattern
    description = (
        f"{words[:1].upper()}{words[1:]} with its unit ({units}); '+/-' before the unit for a standard"
        " uncertainty"
    )
    return {
        "type": "string",
        "pattern": pattern,
        "description": description,
        "examples": [example_of(each) for each in dimensions],
    }


def _printed(made: JsonSchemaValue) -> JsonSchemaValue:
    """An arm as papers print it: also in % of the chord."""
    return {**made, "pattern": f"{made['pattern']}|^\\s*{_NUMBER}{_SPREAD}\\s*%\\s*MAC\\s*$"}


def _table(first: Dimension, *second: Dimension) -> JsonSchemaValue:
    column = quantity_schema(*second)
    pair = [quantity_schema(first), _printed(column) if "moment" in second else column]
    row = {"type": "array", "prefixItems": pair, "minItems": 2, "maxItems": 2, "items": False}
    return {"type": "array", "items": row, "minItems": 2, "maxItems": fields.MAX_ROWS}


def _text(pattern: str, *examples: str) -> JsonSchemaValue:
    made: JsonSchemaValue = {"type": "string", "pattern": pattern}
    return {**made, "examples": list(examples)} if examples else made


# What a validator of ours reads, as a schema; a quantity's validator carries its dimensions.
_READ_BY: Final[dict[Callable[..., Any], Callable[[], JsonSchemaValue]]] = {
    fields.edge_rows: lambda: _table("mass", "length", "moment"),
    fields.line_rows: lambda: _table("mass", "moment"),
    example.read_masses: lambda: {
        "anyOf": [quantity_schema("mass"), {"type": "array", "items": quantity_schema("mass")}]
    },
    example.tanks_or_all: lambda: {
        "anyOf": [
            quantity_schema("volume", "mass"),
            {"type": "object", "additionalProperties": quantity_schema("volume", "mass")},
        ]
    },
    fields.timed_rows: lambda: _table("time", "mass"),
    fields.dip_table: lambda: _table("length", "volume"),
    fields.arm_or_table: lambda: {"anyOf": [_printed(quantity_schema("length")), _table("volume", "length")]},
    fields.read_date: lambda: _text(r"^\d{4}-\d{2}-\d{2}$", "2026-03-14"),
    fields.read_names: lambda: dict(_NAMES),
    bench.read_difference: lambda: quantity_schema("temperature"),
    bench.read_label: lambda: {"type": "string", "minLength": 1, "maxLength": 60, "pattern": r"\S"},
    mass_record.read_months: lambda: _text("^[1-9][0-9]{0,2} (months?|years?)$", "48 months"),
    weighing_sheet.arm_or_name: lambda: {
        "anyOf": [quantity_schema("length"), _text(r"^[^0-9]*[^0-9\s][^0-9]*$")]
    },
}


class _Schema(GenerateJsonSchema):
    """pydantic's own generator, told what our validators read and how our keys are described."""

    def function_plain_schema(self, schema: Any) -> JsonSchemaValue:
        function = schema["function"]["function"]
        if dimensions := getattr(function, "dimensions", ()):
            made = quantity_schema(*dimensions)
            return _printed(made) if getattr(function, "printed", False) else made
        if function is load_items.read_entries:
            load_items.LoadRecord.model_rebuild()
            record = self.generate_inner(load_items.LoadRecord.__pydantic_core_schema__)
            ways = [quantity_schema("mass"), record]
            return {"anyOf": [*ways, {"type": "array", "items": {"anyOf": ways}}]}
        return _READ_BY[function]()

    def model_schema(self, schema: Any) -> JsonSchemaValue:
        model: type[Record] = schema["cls"]
        made = super().model_schema(schema)
        made.pop("title", None)
        if model.__doc__:
            made["description"] = model.__doc__.splitlines()[0]
        for name in model.model_fields:
            key = key_of(model, name)
            held = made["properties"][key]
            made["properties"][key] = {**held, "description": _words(model, key, held)}
        if model is flight.TankContent:
            return {"anyOf": [quantity_schema("volume", "mass"), _text(r"^[^\d]+$"), made]}
        if "loading_line" in model.model_fields:  # the line says the arm
            made["required"] = [each for each in made["required"] if each != "arm"]
            made["anyOf"] = [{"required": ["arm"]}, {"required": ["loading_line"]}]
        return {"anyOf": [quantity_schema("mass"), made]} if model is bench.Reading else made

    def default_schema(self, schema: Any) -> JsonSchemaValue:
        made = self.generate_inner(schema["schema"])
        default = schema.get("default")
        if isinstance(default, Quantity):
            return {**made, "default": default.text}
        # An empty default says no more than that the key may be left out.
        return (
            {**made, "default": default} if isinstance(default, (str, bool, int)) and default != "" else made
        )

    def field_title_should_be_set(self, schema: Any) -> bool:  # noqa: ARG002 - pydantic's own signature
        return False


def _words(model: type[Record], key: str, made: JsonSchemaValue) -> str:
    ways = (made, *made.get("anyOf", ()))
    of_quantity = next(
        (each["description"] for each in ways if "pattern" in each and "description" in each), ""
    )
    meaning = meaning_of(model, key)
    return f"{meaning}. {of_quantity}." if of_quantity else meaning


def meaning_of(model: type[Record], key: str) -> str:
    """What a key of a record means: its own words, those of the record it is made from, or those it has
    everywhere. Raises KeyError.
    """
    for form in KINDS.values():
        if form.record is model and form.key == key:
            return f"Version of this format: {fields.VERSION}"
    for each in model.__mro__:
        if key in OF_RECORD.get(each.__name__, {}):
            return OF_RECORD[each.__name__][key]
    return ANYWHERE[key]


def schema_of(kind: str) -> JsonSchemaValue:
    """The JSON Schema (draft 2020-12) of one kind of file, a key of `KINDS`."""
    form = KINDS[kind]
    made = form.record.model_json_schema(schema_generator=_Schema)
    return {"$schema": DIALECT, "title": f"planner: {form.words}", **made}
