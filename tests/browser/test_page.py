"""The page opened from a file in a real browser, as on a telephone: what it shows, refuses and keeps."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from planner.facts.cautions import INVENTED, PLAN
from planner.plan import plan_file
from planner.quantities.units import Display
from planner.records.store import load_aircraft, load_flight_file, profile_ids
from planner.search.varied import case_of
from planner.views.page.building import page_of
from planner.views.page.opening import opening_of

ROOT = Path(__file__).resolve().parents[2]
LATER, NOW = date(2999, 1, 1), date(2026, 11, 28)
# Contrast of every piece of text against what lies behind it, as the web's guidelines define it; the least.
CONTRAST = r"""(() => {
  const rgb = (text) => text.match(/[\d.]+/g).map(Number);
  const light = ([r, g, b]) => [r, g, b].map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
    .reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0);
  const behind = (node) => { for (; node; node = node.parentElement) { const c = rgb(getComputedStyle(node).backgroundColor); if (c.length < 4 || c[3] > 0) return c; } return [255, 255, 255]; };
  return [...document.querySelectorAll("body *")].filter((n) => n.checkVisibility() && !n.closest("script") && [...n.childNodes].some((t) => t.nodeType === 3 && t.textContent.trim()))
    .map((n) => { const style = getComputedStyle(n), on = n.closest("svg") ? rgb(style.fill) : rgb(style.color); const [a, b] = [light(on), light(behind(n))].sort((x, y) => y - x); return [(a + 0.05) / (b + 0.05), n.tagName + n.id]; })
    .filter(([, name]) => !/disabled/.test(name)).sort((a, b) => a[0] - b[0])[0];
})()"""


def demo(*changes: tuple[str, str]) -> Any:
    """The data of the demo flight, its aircraft, and the flight for a page."""
    flight, _ = load_flight_file(ROOT / "docs/flights/demo.yaml")
    flight = flight.with_(dict(changes))
    assert flight.aircraft is not None
    case = case_of(flight, flight.aircraft)
    opening = opening_of(case, Display())
    return opening.flight, case.plan.aircraft, opening


@pytest.fixture
def opened(page: Callable[..., Any], tmp_path: Path) -> Callable[..., Any]:
    """The demo flight's page, opened from a file with the network off."""

    def new(
        wide: int = 390, high: int = 844, until: date = LATER, spoil: bool = False, address: str = ""
    ) -> Any:
        _, aircraft, opening = demo()
        text = page_of([("thornlea-t4", aircraft)], until, NOW, opening).text
        if spoil:
            text = text.replace('"moment_kg_m":', '"moment_kg_m": ', 1)
        file = tmp_path / "page.html"
        file.write_text(text, encoding="utf-8")
        shown = page(wide, high)
        offline = {"offline": True, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0}
        shown.call("Network.emulateNetworkConditions", offline)
        shown.go(f"file://{file}{address}")
        if not spoil:
            shown.wait("document.documentElement.dataset.ready")
        return shown

    return new


def verdict(shown: Any) -> str:
    return str(shown.run("document.getElementById('words').textContent"))


def typed(shown: Any, label: str, value: str) -> None:
    """A figure typed into the field of that label."""
    shown.run(f"""(() => {{
      const label = [...document.querySelectorAll("#inputs label")].find((each) => each.textContent === {json.dumps(label)});
      const input = document.getElementById(label.htmlFor);
      input.value = {json.dumps(value)};
      input.dispatchEvent(new Event("input", {{ bubbles: true }}));
    }})()""")


def held(shown: Any) -> Any:
    """The flight that the address carries, once the page has put it there."""
    shown.run("new Promise((done) => setTimeout(done, 150))")
    return json.loads(shown.run("decodeURIComponent(location.hash.slice(1))"))


def test_it_asks_for_nothing_and_complains_of_nothing(opened: Callable[..., Any]) -> None:
    shown = opened()
    assert verdict(shown) == "Inside all limits"
    assert [each for each in shown.requested() if not each.startswith(("file:", "data:"))] == []
    assert shown.complaints() == []
    assert shown.run("document.documentElement.scrollWidth") <= 390


def test_seven_aircraft_stay_small() -> None:
    text = page_of([(each, load_aircraft(each).record) for each in profile_ids()], LATER, NOW).text
    assert len(profile_ids()) == 7
    assert len(text.encode()) <= 150_000
    assert not re.search(r"(?:src|href)=[\"']?(?!data:)[a-z]+:", text)


def test_a_figure_changes_the_verdict_and_undo_brings_it_back(opened: Callable[..., Any]) -> None:
    shown = opened()
    typed(shown, "baggage", "60")
    assert verdict(shown) == "Outside"
    assert "baggage limit" in shown.run("document.getElementById('decides').textContent")
    assert "was 15 kg" in shown.run("document.getElementById('inputs').textContent")
    shown.run("document.getElementById('undo').click()")
    assert verdict(shown) == "Inside all limits"


def test_figures_that_follow_the_verdict_are_marked_until_they_do(opened: Callable[..., Any]) -> None:
    shown = opened()
    shown.wait("document.querySelector('#room table')")
    marked = "[...document.querySelectorAll('h2')].map((each) => getComputedStyle(each, '::after').content).filter((each) => each !== 'none')"
    assert shown.run(marked) == []
    typed(shown, "baggage", "25")
    before = shown.run(marked)
    assert len(before) == 5
    assert all("of the figures before" in each for each in before)
    shown.wait(f"!{marked}.length")
    assert "+15.0" in shown.run("document.getElementById('limits').textContent")


@pytest.mark.parametrize(
    ("label", "value"),
    [("baggage", "many"), ("baggage", "-3"), ("baggage", ""), ("left tank, usable", "200"), ("Density", "7")],
)
def test_bad_input_is_marked_and_nothing_is_planned(
    opened: Callable[..., Any], label: str, value: str
) -> None:
    shown = opened()
    typed(shown, label, value)
    assert verdict(shown) == "Not planned"
    assert shown.run("document.querySelectorAll('.field.bad [aria-invalid=true]').length") >= 1
    assert shown.run("document.getElementById('states').textContent") == "–"


def test_a_flight_with_a_field_that_is_no_number_is_not_saved(opened: Callable[..., Any]) -> None:
    shown = opened()
    shown.run("globalThis.saved = 0; HTMLAnchorElement.prototype.click = () => { saved++; }")
    typed(shown, "baggage", "many")
    shown.run("document.getElementById('save').click()")
    assert shown.run("saved") == 0
    typed(shown, "baggage", "12")
    shown.run("document.getElementById('save').click()")
    assert shown.run("saved") == 1


def test_a_nearly_full_tank_is_told_to_vent(opened: Callable[..., Any]) -> None:
    shown = opened()
    shown.run(
        "[...document.querySelectorAll('#inputs button')].find((each) => each.ariaLabel === 'left tank full').click()"
    )
    held(shown)
    assert "left tank is so full" in shown.run("document.getElementById('notices').textContent")


MORE = "document.querySelector('[aria-label=\"more baggage\"]')"


def touched(shown: Any, *ways: tuple[int, int]) -> None:
    """A finger on the step of the baggage, dragged through these places from its middle, and lifted."""
    shown.call("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 1})
    shown.run(f"{MORE}.scrollIntoView({{block: 'center'}})")
    x, y = shown.run(
        f"(({{ x, y, width, height }}) => [x + width / 2, y + height / 2])({MORE}.getBoundingClientRect())"
    )
    for kind, (right, down) in (("touchStart", (0, 0)), *(("touchMove", way) for way in ways)):
        shown.call(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x + right, "y": y + down}]}
        )
    shown.call("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_a_finger_steps_a_figure(opened: Callable[..., Any]) -> None:
    shown = opened()
    touched(shown)
    shown.wait("document.getElementById('inputs').textContent.includes('was 15 kg')")
    field = f"{MORE}.parentNode"
    above = f"{field}.querySelector('.above')"
    seen = f"[{above}.hidden ? '' : {above}.textContent, {field}.querySelector('input').value]"
    assert shown.run(seen)[0] == "16"
    assert held(shown)["load"]["baggage"] == "16 kg"
    # The field takes the figure over when the finger rests, and shows itself to who types.
    assert shown.run(seen) == ["16", "16"]
    shown.run(f"{field}.querySelector('input').focus()")
    assert shown.run(seen) == ["", "16"]
    typed(shown, "baggage", "17")
    assert held(shown)["load"]["baggage"] == "17 kg"


def test_a_finger_that_scrolls_or_goes_astray_steps_nothing(opened: Callable[..., Any]) -> None:
    shown = opened()
    touched(shown, *((0, -20 * step) for step in range(1, 8)))
    touched(shown, *((-20 * step, 0) for step in range(1, 8)))
    touched(shown, (4, 4))  # a thumb is not a needle
    shown.wait("document.getElementById('inputs').textContent.includes('was 15 kg')")
    assert held(shown)["load"]["baggage"] == "16 kg"


def test_keys_and_a_mouse_step_a_figure(opened: Callable[..., Any]) -> None:
    shown = opened()
    shown.run(f"{MORE}.focus()")
    shown.key("Enter", 13, "\r")
    shown.run(f"{MORE}.click()")
    assert held(shown)["load"]["baggage"] == "17 kg"


@pytest.mark.parametrize(("wide", "high"), [(360, 740), (1920, 1080)])
def test_nothing_in_the_picture_is_cut(opened: Callable[..., Any], wide: int, high: int) -> None:
    """Neither a figure of an axis nor a letter, wherever the dots have moved, on a wall either. (The box of a
    text is higher than its letters are.)
    """
    shown = opened(wide, high)
    if wide == 1920:
        shown.run("document.getElementById('wall').click()")
    cut = (
        "[...document.querySelectorAll('#picture text, #picture polygon')].map((each) => [each.getBBox(), each.tagName])"
        ".filter(([{ x, y, width, height }, tag]) => x < 0 || y < (tag === 'text' ? -30 : 0) || x + width > 3600"
        " || y + height > 2600).length"
    )
    for _ in range(12):
        shown.run(f"for (let i = 0; i < 4; i++) {MORE}.click()")
        assert shown.run(cut) == 0


def test_an_old_record_hides_the_verdict_until_confirmed(opened: Callable[..., Any]) -> None:
    shown = opened(until=date(2020, 1, 1))
    assert verdict(shown) == "Record out of date"
    assert shown.run("document.getElementById('picture').textContent") == "–"
    shown.run("document.getElementById('confirm').click()")
    assert verdict(shown) == "Inside all limits"


def test_a_changed_byte_of_the_model_is_refused(opened: Callable[..., Any]) -> None:
    shown = opened(spoil=True)
    assert verdict(shown) == "Refused"
    assert shown.run("document.getElementById('inputs')") is None


def test_the_saved_flight_is_the_programs(opened: Callable[..., Any], tmp_path: Path) -> None:
    """What the page saves and its address carries is planned by the program to the same verdict."""
    shown = opened()
    typed(shown, "rear seats, seat 2", "90")
    path = tmp_path / "flight.json"
    path.write_text(json.dumps(held(shown), indent=1), encoding="utf-8")
    plan = plan_file(path)
    words = {"inside": "Inside all limits", "outside": "Outside", "not shown inside": "Not shown inside"}
    assert words[plan.verdict] == verdict(shown)


def test_a_link_carries_the_loading_and_is_checked(opened: Callable[..., Any], tmp_path: Path) -> None:
    del tmp_path
    data, *_ = demo()
    data["load"]["baggage"] = "2 kg"
    good = opened(address="#" + json.dumps(data).replace("%", "%25").replace(" ", "%20"))
    assert held(good)["load"]["baggage"] == "2 kg"
    data["load"]["baggage"] = "<b>2</b>"
    bad = opened(address="#" + json.dumps(data).replace("%", "%25").replace(" ", "%20"))
    assert verdict(bad) == "Not opened"
    assert held(bad)["load"]["baggage"] == "15 kg"


def test_every_caution_is_a_tap_away_and_small(opened: Callable[..., Any]) -> None:
    shown = opened()
    assert shown.run("document.querySelector('footer').offsetHeight") <= 0.125 * 844
    assert INVENTED in shown.run("document.getElementById('cautions').textContent")
    shown.run("document.getElementById('cautions').click()")
    told = shown.run("document.getElementById('all').innerText")
    assert all(each in told for each in PLAN)


@pytest.mark.parametrize("dark", [False, True])
def test_letters_stand_out(opened: Callable[..., Any], dark: bool) -> None:
    shown = opened()
    shown.media(dark=dark)
    least, where = shown.run(CONTRAST)
    assert least >= 4.5, where


def test_keys_alone_reach_the_fields_and_fingers_hit_them(opened: Callable[..., Any]) -> None:
    shown = opened()
    for _ in range(4):
        shown.key("Tab", 9)
    assert shown.run("document.activeElement.id") != ""
    small = "[...document.querySelectorAll('#inputs button, #inputs input[type=text], select')].filter((each) => each.offsetHeight < 44).length"
    assert shown.run(small) == 0
    assert (
        shown.run(
            "document.querySelectorAll('#inputs input[type=text]:not([inputmode=decimal], [aria-label=name])').length"
        )
        == 0
    )


def test_it_prints_on_one_page(opened: Callable[..., Any]) -> None:
    assert len(re.findall(rb"/Type\s*/Page[^s]", opened().pdf())) == 1


@pytest.mark.parametrize(("wide", "high"), [(360, 740), (1280, 800), (1920, 1080)])
def test_the_verdict_stays_in_sight(opened: Callable[..., Any], wide: int, high: int) -> None:
    shown = opened(wide, high)
    if wide == 1920:
        assert shown.run("parseFloat(getComputedStyle(document.getElementById('words')).fontSize)") > 80
    shown.run("window.scrollTo(0, 600)")
    top, bottom = shown.run(
        "(() => { const b = document.getElementById('verdict').getBoundingClientRect(); return [b.top, b.bottom]; })()"
    )
    assert top >= 0
    assert bottom <= high
    assert shown.run("document.documentElement.scrollWidth") <= wide


def test_every_aircraft_starts_planned_as_the_program_plans_it(
    page: Callable[..., Any], tmp_path: Path
) -> None:
    """The first flight of each aircraft on a club's page, saved, is one the program reads and judges alike."""
    text = page_of([(each, load_aircraft(each).record) for each in profile_ids()], LATER, NOW).text
    (tmp_path / "club.html").write_text(text, encoding="utf-8")
    shown = page()
    shown.go(f"file://{tmp_path / 'club.html'}")
    shown.wait("document.documentElement.dataset.ready")
    words = {"inside": "Inside all limits", "outside": "Outside", "not shown inside": "Not shown inside"}
    for number in range(len(profile_ids())):
        shown.run(f"""(() => {{ const pick = document.querySelector("#inputs select");
          pick.value = "{number}"; pick.dispatchEvent(new Event("change")); }})()""")
        data = held(shown)
        assert data["aircraft"] == profile_ids()[number]
        path = tmp_path / f"{number}.json"
        path.write_text(json.dumps(data), encoding="utf-8")
        assert verdict(shown) == words[plan_file(path).verdict]
    assert shown.complaints() == []
