"""`planner formats`: the kinds of files, and a schema that an editor can read."""

from __future__ import annotations

import json

import jsonschema
import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.quantities.errors import InputRefused
from planner.records.schema import KINDS


def test_it_lists_every_kind() -> None:
    done = CliRunner().invoke(app, ["formats"])
    assert done.exit_code == 0
    for kind, form in KINDS.items():
        assert f"begins with '{form.key}: 1'" in done.stdout
        assert f"\n{kind} " in f"\n{done.stdout}"


def test_its_json_lists_every_kind() -> None:
    listed = json.loads(CliRunner().invoke(app, ["formats", "--json"]).stdout)
    assert listed["schema"] == "planner/formats/1"
    assert [each["kind"] for each in listed["formats"]] == list(KINDS)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("more", [[], ["--json"]])
def test_it_writes_a_schema(kind: str, more: list[str]) -> None:
    done = CliRunner().invoke(app, ["formats", "--schema", kind, *more])
    schema = json.loads(done.stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert KINDS[kind].key in schema["required"]


def test_an_unknown_kind_is_refused_with_the_near_one() -> None:
    done = CliRunner().invoke(app, ["formats", "--schema", "flihgt"])
    assert isinstance(done.exception, InputRefused)
    assert "did you mean 'flight'?" in str(done.exception)
