"""The sheet on a telephone: nothing lies beyond the edge of a screen of 390 px, and every figure has its head."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planner.quantities.units import Display, UnitSystem
from planner.records.store import load_flight_file
from planner.search.varied import case_of
from planner.views.sheet.sheet import sheet_of, written

ROOT = Path(__file__).resolve().parents[2]
WIDE = 390
# Everything that can be seen and ends beyond the screen; what scrolls inside a box ends beyond it too.
BEYOND = """[...document.querySelectorAll('body *')].filter(each => {
  const box = each.getBoundingClientRect();
  return !each.closest('thead') && box.width > 0 && (box.right > innerWidth + 0.5 || box.left < -0.5);
}).map(each => each.tagName + ' ' + each.textContent.slice(0, 40)).join('; ')"""
UNNAMED = """[...document.querySelectorAll('.wide td')].filter(each =>
  each.textContent && getComputedStyle(each, '::before').content.length < 4).length"""


def shown(name: str, folder: Path, system: UnitSystem = "metric") -> Path:
    plan = case_of(*load_flight_file(ROOT / f"docs/flights/{name}.yaml")).plan
    made = folder / f"{name}.html"
    made.write_bytes(written(sheet_of(plan, Display(system)), ".html", "a4")[0])
    return made


def test_the_measure_sees_what_lies_beyond_the_edge(page: Callable[..., Any], tmp_path: Path) -> None:
    made = tmp_path / "wide.html"
    made.write_text("<body><p style='width: 500px'>too wide</p>", encoding="utf-8")
    narrow = page(WIDE, 844)
    narrow.go(made.as_uri())
    assert "too wide" in narrow.run(BEYOND)


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("name", ["demo", "twin-ifr", "helicopter-lateral", "short-of-fuel"])
def test_no_column_lies_off_the_edge(
    name: str, system: UnitSystem, page: Callable[..., Any], tmp_path: Path
) -> None:
    narrow = page(WIDE, 844)
    narrow.go(shown(name, tmp_path, system).as_uri())
    assert narrow.run("innerWidth") == WIDE
    assert narrow.run("document.documentElement.scrollWidth") <= WIDE
    assert narrow.run(BEYOND) == ""
    assert narrow.run("document.querySelectorAll('.wide td').length") > 40
    assert narrow.run(UNNAMED) == 0
