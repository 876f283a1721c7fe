"""Docstrings of the engine say what a reader needs to check a figure: units of what goes in, and a source
that exists.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from planner.facts.sources import SOURCES

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "planner"
ENGINE = (
    "quantities/moments",
    "quantities/polygon",
    "quantities/effects",
    "density",
    "logbook/mass/hung",
    "flight",
    "sureness/certainty",
    "search/solve",
    "sweep",
    "plan",
)

# "[kg/m3]", "[1]", "[degC]", "[m from the datum]": a bracket that begins with a unit, or says that units are
# shared.
UNIT_WORD = r"(?:kg|m|m2|m3|L|s|h|min|Pa|hPa|K|degC|SI|1|%|same unit|dimensionless)"
UNIT = re.compile(rf"\[{UNIT_WORD}(?:[ ,;/.*\]])|\bin (?:{UNIT_WORD})\b|'s unit\b|\bin the unit of\b")
KEY = re.compile(r"\[([a-z0-9]+(?:[-.][a-z0-9.]+)+)\]")
# These look like keys and are not.
NOT_KEYS = {"kg.m", "m3.s"}
# Arithmetic that holds in whatever one unit its caller has; what it computes there is documented and sourced
# by the caller.
ANY_UNIT = {
    "envelope.verdict": "a margin beside its uncertainty, of any dimension",
    "envelope.result": "a figure beside its limit; the result names the dimension",
}


def engine_files() -> list[Path]:
    return [
        path
        for name in ENGINE
        for path in (
            [PACKAGE / f"{name}.py"]
            if (PACKAGE / f"{name}.py").is_file()
            else sorted((PACKAGE / name).rglob("*.py"))
        )
    ]


def functions(path: Path) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Public functions and methods of a module, as (qualified name, node); overloads and nested functions
    left out.
    """
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            yield node.name, node
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from (
                (f"{node.name}.{each.name}", each) for each in node.body if isinstance(each, ast.FunctionDef)
            )


@cache
def public() -> list[tuple[Path, str, ast.FunctionDef]]:
    return [
        (path, name, node)
        for path in engine_files()
        for name, node in functions(path)
        if not any(part.startswith("_") for part in name.split("."))
        and not any(isinstance(each, ast.Name) and each.id == "overload" for each in node.decorator_list)
    ]


def takes_floats(node: ast.FunctionDef) -> bool:
    arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    return any(
        each.annotation is not None and re.match(r"float\b", ast.unparse(each.annotation))
        for each in arguments
    )


def test_every_public_function_and_method_of_the_engine_says_what_it_does() -> None:
    assert not [f"{path.name}: {name}" for path, name, node in public() if not ast.get_docstring(node)]


def test_a_function_of_figures_names_units_and_its_source() -> None:
    wrong = []
    for path, name, node in public():
        # A method's figures are described once, with its class.
        if "." in name or f"{path.stem}.{name}" in ANY_UNIT or not takes_floats(node):
            continue
        text = ast.get_docstring(node) or ""
        if re.search(r"\bas (?:for |in )?`", text):  # "as for `moved`": the same parameters, described there
            continue
        if not UNIT.search(text):
            wrong.append(f"{path.name}: {name} takes figures and names no unit")
        if node.returns is not None and ast.unparse(node.returns) == "float" and "ource" not in text:
            wrong.append(f"{path.name}: {name} computes a figure and names no source")
    assert not wrong


def test_every_exception_is_a_function_that_is_there() -> None:
    assert ANY_UNIT.keys() <= {f"{path.stem}.{name}" for path, name, _ in public()}


def documented_keys() -> list[tuple[str, str]]:
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)):
                text = ast.get_docstring(node) or ""
                found += [(path.name, key) for key in KEY.findall(text) if key not in NOT_KEYS]
    return found


def test_every_source_named_in_a_docstring_is_in_the_list() -> None:
    keys = documented_keys()
    assert len(keys) > 50, "the pattern no longer finds the keys it is meant to check"
    unknown = sorted({(where, key) for where, key in keys if key not in SOURCES})
    assert not unknown, f"add these to planner/facts/sources.py or correct them: {unknown}"


def test_every_module_and_public_class_says_what_it_is() -> None:
    for path in sorted(PACKAGE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        assert ast.get_docstring(tree), path
        for node in tree.body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                assert ast.get_docstring(node), f"{path}: {node.name}"
