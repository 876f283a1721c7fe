"""The library's public names: few, all there, and loaded only when asked for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import planner

ROOT = Path(__file__).resolve().parents[2]


def test_there_are_few_of_them() -> None:
    assert len(planner.__all__) <= 25
    assert len(set(planner.__all__)) == len(planner.__all__)


@pytest.mark.parametrize("name", planner.__all__)
def test_each_is_what_its_home_calls_it(name: str) -> None:
    value = getattr(planner, name)
    home = sys.modules[planner._HOME[name]]
    assert value is getattr(home, name)


def test_the_two_lists_agree() -> None:
    assert sorted(planner._HOME) == sorted(planner.__all__) == dir(planner)


def test_any_other_name_is_refused() -> None:
    with pytest.raises(AttributeError, match="nothing_of_that_name"):
        getattr(planner, "nothing_of_that_name")  # noqa: B009 - as an attribute the type checker would refuse it first


def test_importing_the_package_loads_nothing_else() -> None:
    code = "import sys, planner; print(sorted(name for name in sys.modules if name.startswith(('planner.', 'pydantic', 'typer', 'rich', 'yaml'))))"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert shown.stdout.strip() == "[]"


def test_the_types_are_published() -> None:
    assert (Path(planner.__file__).parent / "py.typed").is_file()
