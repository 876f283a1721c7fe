"""Contrast, names and structure of board and sheet, in light and dark, by the published rules of WCAG 2.2.

Source: W3C, Web Content Accessibility Guidelines 2.2, "relative luminance" and "contrast ratio"
(definitions), success criteria 1.4.3 (text 4.5 : 1, large text 3 : 1), 1.4.11 (parts of controls and pictures
3 : 1), 1.3.1, 1.4.10, 2.4.7, 3.1.1, 4.1.2.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planner.quantities.units import Display
from planner.records.store import load_flight_file
from planner.search.varied import case_of
from planner.views.sheet.sheet import sheet_of, written

ROOT = Path(__file__).resolve().parents[2]

# Every text with its colour, the colour behind it, its size [px] and weight.
TEXTS = """(() => {
  const solid = (colour) => { const c = colour.match(/[\\d.]+/g).map(Number); return c.length < 4 || c[3] === 1 ? c.slice(0, 3) : null; };
  const behind = (e) => { for (; e; e = e.parentElement) { const c = solid(getComputedStyle(e).backgroundColor); if (c) return c; } return [255, 255, 255]; };
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    const holder = node.parentElement, text = node.textContent.trim();
    if (!text || holder.closest('script,style,.unseen,.skip,[hidden]') || holder.disabled) continue;
    const style = getComputedStyle(holder), svg = holder instanceof SVGElement;
    if (style.visibility !== 'visible' || style.display === 'none') continue;
    const bold = +style.fontWeight >= 700, size = parseFloat(style.fontSize);
    found.push({ text, fore: solid(svg ? style.fill : style.color), back: behind(holder), size, bold, svg });
  }
  return found;
})()"""


def luminance(colour: list[float]) -> float:
    """Relative luminance of an sRGB colour (0 to 255), WCAG 2.2 definitions."""
    linear = [c / 12.92 if (c := each / 255) <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for each in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: list[float], other: list[float]) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_formula_gives_the_published_ends() -> None:
    """WCAG 2.2: ratios range from 1 to 21. #767676 on white is the known grey just above 4.5 (common
    practice).
    """
    assert contrast([0, 0, 0], [255, 255, 255]) == pytest.approx(21.0)
    assert contrast([90, 90, 90], [90, 90, 90]) == pytest.approx(1.0)
    assert contrast([0x76] * 3, [255] * 3) == pytest.approx(4.54, abs=0.01)
    assert contrast([0x77] * 3, [255] * 3) < 4.5


def weak(texts: list[dict[str, Any]]) -> list[str]:
    """Texts below their ratio; large is 24 px, or 18.66 px in bold."""
    found = []
    for each in texts:
        assert each["fore"] is not None, each
        large = not each["svg"] and (each["size"] >= 24 or (each["bold"] and each["size"] >= 18.66))
        ratio = contrast(each["fore"], each["back"])
        if ratio < (3.0 if large else 4.5):
            found.append(f"{each['text'][:40]!r}: {ratio:.2f}")
    return found


def test_the_check_sees_weak_text(page: Callable[..., Any]) -> None:
    shown = page()
    shown.go("data:text/html,<p style='color:%23999'>too faint</p><p>fine</p>")
    assert weak(shown.run(TEXTS)) == ["'too faint': 2.85"]


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("flight", ["demo", "not-shown-inside", "short-of-fuel"])
def test_every_text_of_the_board_is_readable(flight: str, dark: bool, opened: Callable[..., Any]) -> None:
    _, shown = opened(flight)
    shown.media(dark=dark)
    texts = shown.run(TEXTS)
    assert len(texts) > 100
    assert weak(texts) == []
    backs = {tuple(each["back"]) for each in texts}
    assert any(sum(back) < 200 for back in backs) if dark else any(sum(back) > 700 for back in backs)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_parts_of_controls_and_lines_of_the_picture_stand_out(dark: bool, opened: Callable[..., Any]) -> None:
    _, shown = opened("fuel-ahead-of-cg")
    shown.media(dark=dark)
    numbers = "match(/[\\d.]+/g).slice(0,3).map(Number)"
    paper = shown.run(f"getComputedStyle(document.body).backgroundColor.{numbers}")
    edge = shown.run(
        f"getComputedStyle(document.querySelector('input[type=number]')).borderTopColor.{numbers}"
    )
    assert contrast(edge, paper) >= 3.0
    thick = (
        "[...document.querySelectorAll('#drawn"
        " path')].map(e=>getComputedStyle(e)).filter(s=>s.stroke!=='none'&&parseFloat(s.strokeWidth)>0.3)"
    )
    lines = shown.run(f"{thick}.map(s=>s.stroke.{numbers})")
    assert len(lines) >= 3
    assert all(contrast(line, paper) >= 3.0 for line in lines)


def test_every_control_has_a_name_and_a_state_of_its_own(opened: Callable[..., Any]) -> None:
    _, shown = opened("demo")
    shown.call("Accessibility.enable")
    nodes = shown.call("Accessibility.getFullAXTree")["nodes"]
    named: dict[str, list[str]] = {}
    for node in nodes:
        if not node.get("ignored"):
            named.setdefault(node["role"]["value"], []).append(node.get("name", {}).get("value", ""))
    for role, least in (("slider", 10), ("spinbutton", 10), ("button", 4)):
        names = named[role]
        assert len(names) >= least
        assert all(names), f"a {role} without a name"
        assert len(set(names)) == len(names), f"two of role {role} with one name"
    assert "front seats 1, kg, slider" in named["slider"]
    for role in ("main", "banner", "complementary", "status", "heading", "table", "image"):
        assert named.get(role), f"nothing has the role {role}"
    assert all(named["image"])
    assert shown.run("document.documentElement.lang") == "en"
    assert "Thornlea T4" in shown.run("document.title")
    assert shown.run(
        "[...document.querySelectorAll('[id]')].length === new"
        " Set([...document.querySelectorAll('[id]')].map(e=>e.id)).size"
    )
    assert shown.run("[...document.querySelectorAll('th')].every(e=>e.scope)")


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("flight", ["demo", "full-tanks"])
def test_the_sheet_is_readable_fetches_nothing_and_bends_to_a_telephone(
    flight: str, dark: bool, page: Callable[..., Any], tmp_path: Path
) -> None:
    case = case_of(*load_flight_file(ROOT / f"docs/flights/{flight}.yaml"))
    path = tmp_path / "sheet.html"
    path.write_bytes(written(sheet_of(case.plan, Display()), ".html", "a4")[0])
    shown = page(390, 844)
    shown.media(dark=dark)
    shown.go(path.as_uri())
    assert weak(shown.run(TEXTS)) == []
    assert shown.run("document.documentElement.scrollWidth") <= 390
    assert shown.requested() == [path.as_uri()]
    assert shown.complaints() == []
    assert shown.run("document.scripts.length") == 0
    back = shown.run("getComputedStyle(document.body).backgroundColor")
    assert back == ("rgb(18, 18, 18)" if dark else "rgb(255, 255, 255)")
