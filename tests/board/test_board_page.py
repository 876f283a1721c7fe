"""The board as a person uses it, in a real browser: mouse, keyboard, screen reader, projector, telephone."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planner.app.board.serve import Board
from planner.plan import plan_file
from planner.views.flight.flight_json import flight_json

ROOT = Path(__file__).resolve().parents[2]
Opened = Callable[..., tuple[Board, Any]]

WORD = "document.getElementById('word').textContent"
DIGEST = "document.getElementById('digest').textContent"


def control(page: Any, label: str) -> str:
    """The id of the control with that label."""
    named = f"[...document.querySelectorAll('label')].find(e=>e.textContent==={json.dumps(label)})"
    found = page.run(f"{named}?.htmlFor.replace('-box','')")
    assert found, f"no control '{label}'"
    return str(found)


def box(page: Any, selector: str) -> dict[str, float]:
    found: dict[str, float] = page.run(
        f"document.querySelector({json.dumps(selector)}).getBoundingClientRect().toJSON()"
    )
    return found


def type_figure(page: Any, label: str, text: str) -> None:
    """A figure typed into the box of a control, from the keyboard, and left."""
    name = control(page, label)
    page.run(f"(()=>{{const b=document.getElementById('{name}-box'); b.focus(); b.select()}})()")
    page.call("Input.insertText", {"text": text})
    page.key("Tab", 9)


def slide(page: Any, name: str, *values: float) -> None:
    """A slider moved over these values and let go."""
    events = "".join(f"s.value={value}; s.dispatchEvent(new Event('input'));" for value in values)
    page.run(
        f"(()=>{{const s=document.getElementById('{name}-slider'); {events} s.dispatchEvent(new"
        " Event('change'))})()"
    )


def settled_digest(page: Any) -> str:
    """The digest once the figures are at rest; while a slider moves there is none."""
    page.wait(f"{DIGEST} !== '…' && !asking && !waiting")
    return str(page.run(DIGEST))


def test_it_shows_what_the_command_computes(opened: Opened) -> None:
    board, page = opened("demo")
    plan = flight_json(plan_file(ROOT / "docs/flights/demo.yaml"))
    assert page.run(WORD) == "INSIDE"
    assert page.run(DIGEST) == plan["digest"]
    masses = page.run("[...document.querySelectorAll('#states tbody tr')].map(r=>r.cells[1].textContent)")
    assert [float(each) for each in masses] == pytest.approx(
        [state["mass_kg"] for state in plan["states"]], abs=0.05
    )
    assert page.complaints() == []
    assert page.requested()
    assert all(each.startswith(board.url) for each in page.requested())


def test_moving_a_slider_with_the_mouse_turns_the_verdict_and_the_picture_follows(opened: Opened) -> None:
    _, page = opened("demo")
    name = control(page, "baggage")
    before = page.run("document.querySelector('#drawn svg').outerHTML")
    place = box(page, f"#{name}-slider")
    middle = place["y"] + place["height"] / 2
    page.drag((place["x"] + place["width"] * 0.27, middle), (place["x"] + place["width"] * 0.95, middle))
    page.wait(f"{WORD} === 'OUTSIDE'")
    page.wait("!asking && !waiting")
    mass = page.run(f"document.getElementById('{name}-box').valueAsNumber")
    assert mass > 40
    assert "aft limit" in page.run("document.getElementById('words').textContent").lower()
    after = page.run("document.querySelector('#drawn svg').outerHTML")
    assert after != before
    # The burn lies beyond the aft limit now: its dashed line is drawn, in the colour that says so.
    assert "#d55e00" in after
    assert "#d55e00" not in before
    assert (
        page.run("document.querySelector('#states tbody tr').cells[1].textContent")
        == f"{1047.3 - 15 + mass:.1f}"
    )
    assert page.run("document.querySelector('#states tbody tr').className") == "alarm"
    assert page.complaints() == []


def test_the_fuel_plan_follows_the_tanks(opened: Opened) -> None:
    _, page = opened("demo")
    type_figure(page, "left tank", "20")
    page.wait(f"{WORD} === 'OUTSIDE'")
    rows = dict(
        page.run(
            "[...document.querySelectorAll('#fuel tbody tr')].map(r=>[r.cells[0].textContent,"
            " r.cells[1].textContent])"
        )
    )
    assert rows["aboard, usable"] == "51.0"
    assert rows["SHORTAGE"] == "7.0"


def test_density_and_temperature_change_the_mass_of_the_fuel(opened: Opened) -> None:
    _, page = opened("demo")
    type_figure(page, "density at 15 degC", "0.735")
    page.wait(f"{DIGEST} && document.getElementById('changed').textContent.includes('0.735')")
    heavy = float(
        page.run(
            "[...document.querySelectorAll('#fuel tbody tr')].find(r=>r.cells[0].textContent==='aboard,"
            " usable').cells[2].textContent"
        )
    )
    type_figure(page, "temperature of the fuel", "-10")
    page.wait("document.getElementById('changed').textContent.includes('-10')")
    cold = float(
        page.run(
            "[...document.querySelectorAll('#fuel tbody tr')].find(r=>r.cells[0].textContent==='aboard,"
            " usable').cells[2].textContent"
        )
    )
    # The density of avgas changes by about 0.00085 kg/L per kelvin (common practice, no published source).
    assert heavy == pytest.approx(62 * (0.735 - 7 * 0.00085), abs=0.15)
    assert cold - heavy == pytest.approx(62 * 0.00085 * 32, abs=0.25)


def test_the_keyboard_alone_is_enough(opened: Opened) -> None:
    _, page = opened("demo")
    reached = []
    for _ in range(60):
        page.key("Tab", 9)
        reached.append(page.run("document.activeElement.id || document.activeElement.className"))
        if reached[-1] == "stop":
            break
    sliders = page.run(
        "[...document.querySelectorAll('input:not(:disabled),button:not(:disabled)')].map(e=>e.id)"
    )
    assert set(sliders) <= set(reached)
    assert reached[0] == "skip"
    name = control(page, "shelf")
    page.run(f"document.getElementById('{name}-slider').focus()")
    for _ in range(30):
        page.key("ArrowRight", 39)
    page.wait(f"{WORD} === 'OUTSIDE'")
    assert page.run(f"document.getElementById('{name}-box').valueAsNumber") == 15
    outline = page.run(f"getComputedStyle(document.getElementById('{name}-slider')).outlineStyle")
    assert outline == "solid", "the focus is seen"


def test_undo_reset_and_what_was_changed(opened: Opened) -> None:
    _, page = opened("demo")
    start = settled_digest(page)
    type_figure(page, "baggage", "20")
    page.wait("document.getElementById('changed').textContent.includes('20 kg')")
    one = settled_digest(page)
    type_figure(page, "rear seats 1", "90")
    page.wait("document.getElementById('changed').textContent.includes('90 kg')")
    listed = page.run("[...document.querySelectorAll('#changed li')].map(e=>e.textContent)")
    assert sorted(listed) == ["baggage: 15 kg → 20 kg", "rear seats 1: 78 kg → 90 kg"]
    page.run("document.getElementById('undo').click()")
    page.wait(f"{DIGEST} === {json.dumps(one)}")
    page.run("document.getElementById('undo').click()")
    page.wait(f"{DIGEST} === {json.dumps(start)}")
    assert page.run("document.getElementById('undo').disabled")
    assert page.run("document.getElementById('changed').textContent") == "nothing yet"
    type_figure(page, "baggage", "33")
    page.wait("document.getElementById('changed').textContent.includes('33 kg')")
    page.run("document.getElementById('reset').click()")
    page.wait(f"{DIGEST} === {json.dumps(start)}")
    page.run("document.getElementById('undo').click()")
    page.wait("document.getElementById('changed').textContent.includes('33 kg')")


@pytest.mark.parametrize("flight", ["demo", "not-shown-inside", "measured-density", "tailwheel", "twin-ifr"])
def test_what_is_saved_is_what_was_shown(flight: str, opened: Opened, browser: Any, tmp_path: Path) -> None:
    browser.call("Browser.setDownloadBehavior", {"behavior": "allow", "downloadPath": str(tmp_path)})
    _, page = opened(flight)
    label = page.run("document.querySelector('.control label').textContent")
    type_figure(page, label, "7")
    page.wait("document.getElementById('changed').textContent.includes('7 kg')")
    page.wait("!asking && !waiting")
    page.run("document.getElementById('save').click()")
    until = time.monotonic() + 10
    while not (found := list(tmp_path.glob("*.yaml"))):
        assert time.monotonic() < until, page.complaints()
        time.sleep(0.05)
    assert [each.name for each in found] == [f"{flight}-changed.yaml"]
    text = found[0].read_text(encoding="utf-8")
    assert text.startswith(f"# Made on the board from {flight}.yaml; moved there: ")
    assert "invented" in text, "the comments of the file are kept"
    for sheet in (ROOT / "docs/flights").glob("*.yaml"):
        if sheet.name.startswith(("bottle", "hydrometer")):
            (tmp_path / sheet.name).write_bytes(sheet.read_bytes())
    again = flight_json(plan_file(found[0]))
    shown = page.run("[...document.querySelectorAll('#states tbody tr')].map(r=>r.cells[1].textContent)")
    assert [f"{state['mass_kg']:.1f}" for state in again["states"]] == shown
    assert again["verdict"].upper() == page.run(WORD)


def test_a_figure_out_of_range_shows_no_verdict(opened: Opened) -> None:
    _, page = opened("demo")
    type_figure(page, "left tank", "500")
    assert page.run(WORD) == "NOT COMPUTED"
    assert page.run("document.getElementById('results').className") == "stale"
    assert "from 0 to 72 L" in page.run("document.getElementById('words').textContent")
    assert (
        page.run(f"document.getElementById('{control(page, 'left tank')}-box').getAttribute('aria-invalid')")
        == "true"
    )
    type_figure(page, "left tank", "30")
    page.wait(f"{WORD} === 'INSIDE'")
    assert page.run("document.getElementById('results').className") == ""


def test_no_verdict_while_any_box_holds_no_figure(opened: Opened) -> None:
    """Also when another figure is moved meanwhile, or an answer was still on its way: a verdict would be of
    figures that are not on the page.
    """
    _, page = opened("demo")
    left, bag = control(page, "left tank"), control(page, "baggage")
    slide(page, bag, 16)
    type_figure(page, "left tank", "")
    page.run(
        f"document.getElementById('{left}-box').focus(); document.getElementById('{left}-box').select();"
        " document.execCommand('delete')"
    )
    slide(page, bag, 17)
    page.wait("!asking && !waiting")
    assert page.run(WORD) == "NOT COMPUTED"
    assert "left tank" in page.run("document.getElementById('words').textContent")
    slide(page, left, 30)
    page.wait(f"{WORD} === 'NOT SHOWN INSIDE'")
    assert page.run("document.getElementById('results').className") == ""


def test_a_slider_moved_away_and_back_leaves_the_digest_as_it_was(opened: Opened) -> None:
    _, page = opened("demo")
    before = settled_digest(page)
    name = control(page, "baggage")
    slide(page, name, 20, 15)
    assert settled_digest(page) == before
    assert page.run("document.getElementById('undo').disabled"), (
        "nothing was changed, so there is nothing to take back"
    )


def test_what_the_program_refuses_shows_no_verdict(opened: Opened) -> None:
    """A density no avgas has: inside the slider's range, refused by the checks every file goes through."""
    _, page = opened("demo")
    type_figure(page, "density at 15 degC", "0.81")
    page.wait(f"{WORD} === 'NOT COMPUTED'")
    assert "contradicts the declared" in page.run("document.getElementById('words').textContent")


def test_when_the_program_has_stopped_the_page_says_so(opened: Opened) -> None:
    board, page = opened("demo")
    board.stop()
    time.sleep(0.5)
    name = control(page, "baggage")
    page.run(
        f"(()=>{{const s=document.getElementById('{name}-slider'); s.value=30; s.dispatchEvent(new"
        " Event('input'))})()"
    )
    page.wait(f"{WORD} === 'NO ANSWER'")
    assert page.run("document.getElementById('results').className") == "stale"


def test_the_page_says_how_to_stop_the_program_and_can_stop_it(opened: Opened) -> None:
    board, page = opened("demo")
    assert "Ctrl-C" in page.run("document.querySelector('footer').textContent")
    page.run("window.confirm = () => true")
    page.run("document.getElementById('stop').click()")
    page.wait(f"{WORD} === 'STOPPED'")
    until = time.monotonic() + 5
    while not board.server.should_exit:
        assert time.monotonic() < until
        time.sleep(0.02)


def test_a_screen_reader_is_told_the_verdict_once_a_movement_has_ended(opened: Opened) -> None:
    _, page = opened("demo")
    assert page.run("document.getElementById('said').getAttribute('aria-live')") == "polite"
    page.run(
        "window.told = []; window.said = document.getElementById('said'); window.seen = new"
        " MutationObserver(() => told.push(said.textContent))"
    )
    page.run("seen.observe(said, {childList: true, characterData: true, subtree: true})")
    page.wait("document.getElementById('said').textContent.startsWith('INSIDE')")
    name = control(page, "baggage")
    for value in range(16, 36):
        page.run(
            f"(()=>{{const s=document.getElementById('{name}-slider'); s.value={value}; s.dispatchEvent(new"
            " Event('input'))})()"
        )
    page.wait("document.getElementById('said').textContent.startsWith('OUTSIDE')")
    assert len([each for each in page.run("told") if each.startswith("OUTSIDE")]) == 1


@pytest.mark.parametrize(("wide", "high"), [(1280, 800), (1920, 1080), (1024, 768), (390, 844)])
def test_cautions_and_verdict_stay_in_view(wide: int, high: int, opened: Opened) -> None:
    _, page = opened("demo", wide=wide, high=high)
    for _ in range(2):
        for selector in ("#cautions li", "#word"):
            place = box(page, selector)
            assert 0 <= place["top"] < place["bottom"] <= high, f"{selector} at {wide} x {high}"
        place = box(page, "#cautions li")
        assert page.run(
            f"document.elementFromPoint({place['left'] + 20}, {place['top'] + 4}).closest('#cautions') !=="
            " null"
        ), "nothing lies over the cautions"
        page.run("(()=>{document.getElementById('results').scrollTop = 1e6; window.scrollTo(0, 1e6)})()")
    assert page.run("document.documentElement.scrollWidth") <= wide, "nothing sticks out sideways"
    assert page.run("document.querySelectorAll('#cautions li').length") == 6


@pytest.mark.parametrize(
    ("flight", "units"),
    [("twin-ifr", "us"), ("turboprop", "metric"), ("helicopter", "uk"), ("local-solo", "metric")],
)
def test_other_aircraft_and_units(flight: str, units: str, opened: Opened) -> None:
    _, page = opened(flight, units)
    plan = plan_file(ROOT / f"docs/flights/{flight}.yaml")
    assert page.run(WORD).lower() == plan.verdict
    stations = sum(
        len(plan.flight.load.get(name, ())) or (station.seats or 1)
        for name, station in plan.aircraft.stations.items()
    )
    assert page.run("document.querySelectorAll('.control').length") == stations + len(plan.fuel.tanks) + 2
    assert page.run("document.documentElement.scrollWidth") <= 1280
    outside = page.run(
        "[...document.querySelectorAll('.control >"
        " span')].filter(e=>e.scrollWidth>e.clientWidth).map(e=>e.textContent)"
    )
    assert outside == []
    assert page.complaints() == []
