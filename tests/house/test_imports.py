"""A plain plan loads no library it does not need: what is slow to import is imported where it is used."""

from __future__ import annotations

import subprocess
import sys
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
    assert not loaded(*arguments) & {*SLOW, "email"}  # pydantic asks for it to say that it has no plugins


def test_json_loads_no_terminal_library() -> None:
    assert "rich" not in loaded("flight", "docs/flights/demo.yaml", "--json")


def test_help_loads_neither_records_nor_terminal() -> None:
    assert not loaded("--help") & {*SLOW, "rich", "pydantic", "yaml"}


def test_the_check_would_see_a_slow_library() -> None:
    """`furlong` is no unit of the short list, so pint is loaded: the list of loaded modules is not blind."""
    assert "pint" in loaded("density", "correct", "0.7102 gram/centimeter**3")
