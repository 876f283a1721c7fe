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
    code = (
        "import sys, planner; print(sorted(name for name in sys.modules if name.startswith(('planner.',"
        " 'pydantic', 'typer', 'rich', 'yaml'))))"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert shown.stdout.strip() == "[]"


def test_reading_and_planning_loads_no_numpy() -> None:
    """The heavy library comes with the first sweep or chance, not before; a notebook's view of a plan needs
    none.
    """
    code = (
        "import sys, planner; plan = planner.read_flight('docs/flights/demo.yaml').plan({'baggage': '10"
        " kg'}); plan._repr_html_(); repr(plan.fuel); print('numpy' in sys.modules, 'rich' in sys.modules,"
        " 'pint' in sys.modules); plan.flight.sweep({'baggage': (0, 20, 2, 'kg')}); print('numpy' in"
        " sys.modules)"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert shown.stdout.split() == ["False", "False", "False", "True"]


def test_no_name_is_hidden_by_a_part_of_the_package() -> None:
    """`import planner.plan` binds `plan` on the package: a function of that name would work once and then be
    a module.
    """
    parts = {path.stem for path in Path(planner.__file__).parent.iterdir()}
    assert not parts & set(planner.__all__)
    assert {"plan", "sweep", "search"} <= parts


def test_the_types_are_published() -> None:
    assert (Path(planner.__file__).parent / "py.typed").is_file()
