"""The schemas for editors: they hold for every file that comes with the program, and fail what an editor
should mark.
"""

from __future__ import annotations

import importlib
import pkgutil
import re
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import planner.records
from planner.quantities.errors import InputRefused
from planner.quantities.units import UNITS
from planner.records.document import parse, read
from planner.records.fields import Record, validate
from planner.records.key_words import ANYWHERE, OF_RECORD
from planner.records.keys import key_of
from planner.records.schema import KINDS, meaning_of, schema_of

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("aircraft_profiles", "docs/flights", "docs/weighings", "docs/changes")
FILES = [path for folder in FOLDERS for path in sorted((ROOT / folder).glob("*.yaml"))]
KIND_OF = {form.key: kind for kind, form in KINDS.items()}
EXAMPLES = re.findall(
    r"^```yaml\n(.*?)^```", (ROOT / "docs/formats.md").read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL
)


@cache
def checker(kind: str) -> jsonschema.Draft202012Validator:
    schema = schema_of(kind)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def kind_of(value: dict[str, Any]) -> str:
    return next(KIND_OF[key] for key in value if key in KIND_OF and isinstance(value[key], int))


@pytest.mark.parametrize("path", FILES, ids=[f"{path.parent.name}/{path.stem}" for path in FILES])
def test_every_shipped_file_is_valid(path: Path) -> None:
    value = read(path).value
    assert [each.message for each in checker(kind_of(value)).iter_errors(value)] == []


@pytest.mark.parametrize("text", EXAMPLES, ids=[each.split(":", 1)[0] for each in EXAMPLES])
def test_every_example_of_the_formats_page_is_valid(text: str) -> None:
    value = parse(text, "").value
    assert [each.message for each in checker(kind_of(value)).iter_errors(value)] == []


def test_every_kind_is_among_the_shipped_files() -> None:
    assert {kind_of(read(path).value) for path in FILES} == KINDS.keys()


def changed(kind: str, where: tuple[str | int, ...], value: Any) -> Any:
    """A shipped file of that kind with one value replaced."""
    whole = next(value for value in (read(path).value for path in FILES) if kind_of(value) == kind)
    *way, last = where
    place = whole
    for part in way:
        place = place[part]
    place[last] = value
    return whole


SLIPS: list[tuple[str, tuple[str | int, ...], Any]] = [
    ("aircraft", ("datums",), "x"),
    ("aircraft", ("masses", "max_takeof"), "1085 kg"),
    ("aircraft", ("masses", "max_takeoff"), 1085),
    ("aircraft", ("masses", "max_takeoff"), "1085"),
    ("aircraft", ("masses", "max_takeoff"), "1,085 kg"),
    ("aircraft", ("masses", "max_takeoff"), "1085 L"),
    ("aircraft", ("stations",), ["front seats"]),
    ("aircraft", ("invented",), "yes"),
    ("aircraft", ("profile",), 2),
    ("aircraft", ("basic_empty", "date"), "14.3.2026"),
    ("aircraft", ("basic_empty", "includes"), ["oil"]),
    ("flight", ("lod",), {}),
    ("flight", ("load", "front seats"), 80),
    ("flight", ("load", "front seats"), ["80 kg", 70]),
    ("flight", ("load", "front seats"), [{"mass": "78 kg", "how": "felt"}]),
    ("flight", ("load", "front seats"), [{"mas": "78 kg", "how": "stated"}]),
    ("flight", ("fuel", "tanks"), ["31 L", "31 L"]),
    ("flight", ("fuel", "density"), "0.72 kg/L"),
    ("flight", ("fuel", "source"), "ledger"),
    ("flight", ("fuel", "temperature"), "22 kg"),
    ("flight", ("trip",), []),
    ("flight", ("trip", 0), {"phase": "taxi", "fuel": 4}),
    ("flight", ("trip", 0), {"fuel": "4 L"}),
    ("bottle", ("empty",), 27.4),
    ("bottle", ("empty",), {"readings": [["30 s"], ["60 s", "1 g"]]}),
    ("bottle", ("glas",), "borosilicate"),
    ("hydrometer", ("glass_correction",), "no"),
    ("hydrometer", ("id",), 7),
    ("weighing", ("fluids",), {"oil": {"kind": "water", "aboard": "1 L", "in_result": "1 L", "arm": "1 m"}}),
    ("weighing", ("scale", "uncertainty"), 0.05),
    ("change", ("added",), {"radio": {"mass": "2 kg"}}),
    ("change", ("added",), {"radio": {"mass": 2, "arm": "1 m"}}),
]


@pytest.mark.parametrize(
    ("kind", "where", "value"),
    SLIPS,
    ids=[f"{kind} {'.'.join(map(str, where))}={value}" for kind, where, value in SLIPS],
)
def test_a_slip_fails_in_the_schema_and_in_the_program(
    kind: str, where: tuple[str | int, ...], value: Any
) -> None:
    """Never stricter than the program: what the schema fails, the record refuses too."""
    whole = changed(kind, where, value)
    assert not checker(kind).is_valid(whole)
    document = parse("a: 1\n", "")
    document.value = whole
    with pytest.raises(InputRefused):
        validate(document, KINDS[kind].record, KINDS[kind].key)


WRITTEN = [
    "82 kg",
    "82kg",
    " 82  kg ",
    "8.2e1 kg",
    ".5 kg",
    "+3 kg",
    "82 +/- 2 kg",
    "82 ± 2 kg",
    "3 stone",
    "2 slug",
    "8 N*s**2/m",
]
WRITTEN += ["1 h 5 min", "82", "kg", "82 +/- kg", "8 2 kg", "82 kg 3", "nan kg", "1,085 kg"]


@pytest.mark.parametrize("text", [*WRITTEN, *(f"5 {unit}" for unit in UNITS)])
def test_a_quantity_is_judged_as_the_program_does(text: str) -> None:
    """A mass: among units of the table and pint's, with and without a spread."""
    whole = changed("flight", ("load", "front seats"), text)
    document = parse("a: 1\n", "")
    document.value = whole
    try:
        validate(document, KINDS["flight"].record, "flight")
        fits = True
    except InputRefused:
        fits = False
    assert checker("flight").is_valid(whole) == fits


def test_a_quantity_names_its_dimension_and_its_units() -> None:
    words = schema_of("aircraft")["$defs"]["Masses"]["properties"]["max_takeoff"]["description"]
    assert (
        words
        == "Greatest take-off mass. Mass with its unit (kg, g, lb); '+/-' before the unit for a standard"
        " uncertainty."
    )
    assert "from" in schema_of("flight")["$defs"]["Fuel"]["properties"]


def records() -> set[type[Record]]:
    for module in pkgutil.iter_modules(planner.records.__path__):
        importlib.import_module(f"planner.records.{module.name}")

    def below(model: type[Record]) -> set[type[Record]]:
        return {each for child in model.__subclasses__() for each in (child, *below(child))}

    return {each for each in below(Record) if each.__module__.startswith("planner.records.")}


def test_every_key_of_every_record_is_described_and_none_that_is_not_there() -> None:
    used: set[tuple[str, str]] = set()
    for model in records():
        for name in model.model_fields:
            assert meaning_of(model, key_of(model, name)), (
                f"describe '{name}' of {model.__name__} in planner/records/key_words.py"
            )
            used.add((model.__name__, key_of(model, name)))
    assert {(record, key) for record, keys in OF_RECORD.items() for key in keys} <= used
    assert ANYWHERE.keys() <= {key for _, key in used}


def test_a_record_says_what_it_is_in_one_whole_sentence() -> None:
    """An editor shows the first line of it."""
    assert not [
        each for each in records() if "\n" in str(each.__doc__) or not str(each.__doc__).endswith(".")
    ]
