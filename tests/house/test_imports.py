"""A plain plan loads no library it does not need: what is slow to import is imported where it is used. And
what is imported anywhere is declared in pyproject.toml, what is declared there imported.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from functools import cache
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SLOW = ("pint", "numpy", "scipy", "uncertainties", "shapely", "pandas", "matplotlib")

CODE = """
import os, sys
os._exit = sys.exit  # a plan ends at once; here something is still to be said
sys.argv = ["planner", *{arguments!r}]
from planner.__main__ import main
try:
    main()
except SystemExit as stopped:
    code = stopped.code
print("code", code or 0, file=sys.stderr)
print("loaded", *sorted(name for name in sys.modules if "." not in name), file=sys.stderr)
"""


@cache
def loaded(*arguments: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", CODE.format(arguments=arguments)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
    )
    lines = done.stderr.splitlines()
    assert "code 0" in lines, done.stderr
    names = next(line for line in lines if line.startswith("loaded ")).split()[1:]
    assert "planner" in names
    return set(names)


@pytest.mark.parametrize(
    "arguments",
    [
        ("flight", "docs/flights/demo.yaml"),
        ("flight", "docs/flights/demo.yaml", "--working", "--units", "us"),
        ("flight", "docs/flights/demo.yaml", "--json"),
    ],
    ids=["plain", "working", "json"],
)
def test_a_plan_loads_no_slow_library(arguments: tuple[str, ...]) -> None:
    # pydantic asks for `email` to say that it has no plugins; fuel that is stated asks no ledger.
    assert not loaded(*arguments) & {*SLOW, "email", "sqlite3"}


def test_json_loads_no_terminal_library() -> None:
    assert "rich" not in loaded("flight", "docs/flights/demo.yaml", "--json")


def test_help_loads_neither_records_nor_terminal() -> None:
    assert not loaded("--help") & {*SLOW, "rich", "pydantic", "yaml"}


def test_the_check_would_see_a_slow_library() -> None:
    """`furlong` is no unit of the short list, so pint is loaded: the list of loaded modules is not blind."""
    assert "pint" in loaded("density", "correct", "0.7102 gram/centimeter**3")


PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
CALLED = {"pytest-xdist", "ruff", "mypy", "types-pyyaml"}  # run by their names or by pytest, never imported
OWN = {"planner", "tests"}


def plain(name: str) -> str:
    """A distribution's name as the index compares it."""
    return re.sub(r"[-_.]+", "-", re.match(r"[\w.-]+", name)[0]).lower()  # type: ignore[index]  # every name matches


def declared(*extras: str) -> set[str]:
    lines = PROJECT["dependencies"] + [
        each for extra in extras for each in PROJECT["optional-dependencies"][extra]
    ]
    return {plain(each) for each in lines} - OWN


@cache
def imported(top: str) -> dict[str, set[str]]:
    """Every distribution that a file below `top` imports from directly, with those files."""
    found: dict[str, set[str]] = {}
    belongs = packages_distributions()
    for path in (ROOT / top).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names = [each.name for each in node.names]
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                names = [node.module]
            else:
                continue
            for name in {each.partition(".")[0] for each in names} - set(sys.stdlib_module_names) - OWN:
                found.setdefault(plain(belongs.get(name, [name])[0]), set()).add(str(path.relative_to(ROOT)))
    return found


@pytest.mark.parametrize("top", ["planner", "tests"])
def test_what_is_imported_is_declared(top: str) -> None:
    """A library that only comes along with another may stay away with that one's next version."""
    extras = [
        each for each in PROJECT["optional-dependencies"] if top == "tests" or each not in ("test", "dev")
    ]
    found = imported(top)
    assert {"numpy", "pyyaml"} <= found.keys(), "the walk sees imports, and names their distributions"
    missing = {name: sorted(files) for name, files in found.items() if name not in declared(*extras)}
    assert not missing, f"name it in pyproject.toml, with the lowest version that was run: {missing}"


def test_what_is_declared_is_imported() -> None:
    used = imported("planner").keys() | imported("tests").keys() | CALLED
    idle = declared(*PROJECT["optional-dependencies"]) - used
    assert not idle, f"nothing imports it: take it out of pyproject.toml: {idle}"
