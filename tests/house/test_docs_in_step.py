"""Pages that the program makes are as it would make them now; pages written by hand name everything they
must.
"""

from __future__ import annotations

import html
import importlib
import json
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

import planner.records
from planner.app.app import app
from planner.app.reference import page as commands_page
from planner.density.bench.bench_results import float_sheet, weigh_sheet
from planner.plan import plan_file
from planner.quantities.units import UNITS
from planner.records.document import read
from planner.records.fields import Record
from planner.records.sheets.bench import BottleSheet, HydrometerSheet, load_sheet
from planner.records.sheets.change_sheet import load_change
from planner.records.sheets.weighing_sheet import load_worksheet
from planner.records.store import load_aircraft_file, load_flight_file
from planner.sureness.verify_cases import run_cases
from planner.views.records.verify_text import validation_page

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"


def text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def test_commands_page() -> None:
    assert text(DOCS / "commands.md") == commands_page(), "python -m planner.app.reference > docs/commands.md"


NUMBER = re.compile(r"[+-]?\d+\.?\d*(?:e[+-]?\d+)?")


def test_validation_page() -> None:
    """Every word equal; figures within 1e-7, as the last bits of a difference depend on the processor."""
    written, made = text(DOCS / "validation.md"), validation_page(run_cases())
    assert NUMBER.sub("#", written) == NUMBER.sub("#", made), (
        "python -m planner.views.records.validation_page > docs/validation.md"
    )
    assert [float(each) for each in NUMBER.findall(written)] == pytest.approx(
        [float(each) for each in NUMBER.findall(made)], rel=1e-6, abs=1e-7
    )


def test_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    """The words of the picture are those of the report; how rich draws them may differ between its
    versions.
    """
    from planner.views.sheet.picture import shown

    monkeypatch.chdir(ROOT)
    drawn = "".join(
        html.unescape(each).replace("\xa0", " ")
        for each in re.findall(r"<text[^>]*>([^<]*)</text>", text(DOCS / "picture.svg"))
    )
    words = [re.sub(r"\s+", "", line.plain) for line in shown()]
    assert len(words) > 40
    squeezed = re.sub(r"\s+", "", drawn)
    place = 0
    for line in words:
        found = squeezed.find(line, place)
        assert found >= 0, f"python -m planner.views.sheet.picture > docs/picture.svg ({line!r} is not drawn)"
        place = found + len(line)


def test_the_picture_fetches_nothing() -> None:
    assert "http" not in re.sub(r'xmlns="[^"]*"|<!--.*?-->', "", text(DOCS / "picture.svg"))


def flights() -> list[Path]:
    """The flights among the example records."""
    return [
        path
        for path in sorted((DOCS / "flights").glob("*.yaml"))
        if re.search(r"^flight: 1", text(path), re.MULTILINE)
    ]


def keys(value: Any) -> Iterator[str]:
    """JSON keys that the program names; keys of `tanks`, `causes` and dips are the user's own names."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield key
            if key == "tanks":
                for tank in inner.values():
                    yield from keys(tank)
            elif key not in ("causes", "final_reserve_dips_m"):
                yield from keys(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from keys(inner)


def examples() -> list[str]:
    return re.findall(r"^```yaml\n(.*?)^```", text(DOCS / "formats.md"), re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def json_keys(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    """Every key that `planner flight --json` writes for the example flights, with all it can add."""
    written = (
        tmp_path_factory.mktemp("formats") / "flight.yaml"
    )  # the page's own flight has masses with evidence
    written.write_text(next(each for each in examples() if each.startswith("flight:")), encoding="utf-8")
    used: set[str] = set()
    for path in [*flights(), written]:
        done = CliRunner().invoke(app, ["flight", str(path), "--json", "--working", "--draws", "200"])
        assert done.exit_code in (0, 1), done.output
        used |= set(keys(json.loads(done.stdout)))
    return used


def test_nomenclature_lists_every_json_key(json_keys: set[str]) -> None:
    listed = set(re.findall(r"`([a-z0-9_]+)`", text(DOCS / "nomenclature.md")))
    assert len(json_keys) > 60
    assert not (json_keys - listed), f"list these in docs/nomenclature.md: {sorted(json_keys - listed)}"


def test_nomenclature_keys_are_still_used(json_keys: set[str]) -> None:
    """The last column of its wide tables, and the first of its narrow one, hold keys of `planner flight
    --json`: none may be left over.
    """
    rows = [
        line.strip("|").split("|")
        for line in text(DOCS / "nomenclature.md").splitlines()
        if line.startswith("| ")
    ]
    named = {
        key
        for cells in rows
        for key in re.findall(r"`([a-z0-9_]+)`", cells[-1] if len(cells) == 4 else cells[0])
    }
    assert len(named) > 60
    assert not (named - json_keys), f"no report uses these: {sorted(named - json_keys)}"


def read_and_check(kind: str, path: Path) -> None:
    """Read a record of any kind as its command would; raises InputRefused where it is not right."""
    if kind == "profile":
        assert load_aircraft_file(path).notices == ()
    elif kind == "flight":
        assert load_flight_file(path)[0].notices == ()
        assert plan_file(path).verdict in ("inside", "not shown inside", "outside")
    elif kind == "bottle":
        assert 700 < weigh_sheet(load_sheet(read(path), BottleSheet)).result.density.value < 900
    elif kind == "hydrometer":
        float_sheet(load_sheet(read(path), HydrometerSheet))
    elif kind == "weighing":
        load_worksheet(path)
    elif kind == "change":
        load_change(path)
    else:
        raise AssertionError(f"no test reads a record of kind {kind!r}")


@pytest.mark.parametrize("example", examples(), ids=[each.split(":", 1)[0] for each in examples()])
def test_every_example_of_the_formats_page_is_read_and_checked(example: str, tmp_path: Path) -> None:
    path = tmp_path / "example.yaml"
    path.write_text(example, encoding="utf-8")
    read_and_check(example.split(":", 1)[0], path)


def records() -> list[type[Record]]:
    """Every part of a file that planner/records/ reads."""
    for module in pkgutil.iter_modules(planner.records.__path__):
        importlib.import_module(f"planner.records.{module.name}")

    def below(model: type[Record]) -> list[type[Record]]:
        return [each for child in model.__subclasses__() for each in (child, *below(child))]

    return [each for each in below(Record) if each.__module__.startswith("planner.")]


def test_the_formats_page_shows_every_key_of_every_record() -> None:
    page = text(DOCS / "formats.md")
    names = {name for record in records() for name in record.model_fields}
    assert {"capacity", "leading_edge", "at_15C", "dipstick"} <= names
    assert not [name for name in sorted(names) if not re.search(rf"\b{name}\b", page)]


def test_the_formats_page_lists_every_unit() -> None:
    page = text(DOCS / "formats.md")
    assert not [name for name in UNITS if f"`{name}`" not in page]


def test_links_between_pages_lead_somewhere() -> None:
    pages = [*DOCS.glob("*.md"), ROOT / "README.md", ROOT / "DEVELOPERS.md"]
    for page in pages:
        for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", text(page)):
            assert (page.parent / target).exists(), f"{page.name} points to {target}"


def test_the_read_me_has_two_commands_of_one_line_each() -> None:
    blocks = re.findall(r"^```(\w*)\n(.*?)^```", text(ROOT / "README.md"), re.MULTILINE | re.DOTALL)
    assert [language for language, _ in blocks] == ["sh", "sh"]
    assert all(block.count("\n") == 1 for _, block in blocks)
    assert "planner flight docs/flights/demo.yaml" in blocks[0][1]
    assert "pytest" in blocks[1][1]
