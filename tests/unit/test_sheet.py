"""The printed sheet: what stands on it, that it stays on the page, that it is tied to its data, and that no
file is ever lost.
"""

from __future__ import annotations

import json
import math
import re
import sys
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from functools import cache
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from planner.app.flight.sheet import write
from planner.facts.cautions import INVENTED, PLAN
from planner.plan import plan_file
from planner.plan.results import Plan
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import InputRefused
from planner.quantities.units import Display, UnitSystem
from planner.records.store import load_flight_file
from planner.search.remedies import headroom
from planner.search.varied import case_of
from planner.views.blocks import Bullets, Panel, Paragraph, Row, Sheet, Table, found
from planner.views.flight.digest import canonical, digest
from planner.views.flight.flight_json import flight_json
from planner.views.flight.flight_text import render_flight
from planner.views.html import row_kind
from planner.views.paper import PAPERS, SMALLEST, Paper
from planner.views.pictures.envelope_picture import ellipse
from planner.views.pictures.svg import Drawing
from planner.views.sheet.sheet import SIGNATURES, sheet_of, written
from planner.views.words import cautions
from tests.cli.forked import run
from tests.sizes import in_turn, stride

ROOT = Path(__file__).resolve().parents[2]
FLIGHTS = [
    "demo",
    "not-shown-inside",
    "full-tanks",
    "twin-ifr",
    "turboprop",
    "tailwheel",
    "helicopter-lateral",
    "short-of-fuel",
    "middle-of-the-flight",
]


@cache  # to find the room takes seconds
def made(name: str, system: UnitSystem = "metric") -> tuple[Plan, Sheet, Display]:
    plan, display = plan_file(ROOT / f"docs/flights/{name}.yaml"), Display(system)
    return plan, sheet_of(plan, display), display


def test_the_digest_is_that_of_the_json_and_survives_being_written_down() -> None:
    plan, sheet, _ = made("demo")
    data = flight_json(plan)
    assert sheet.digest == data["digest"] == digest(data)
    assert digest(json.loads(json.dumps(data, indent=7))) == data["digest"]
    assert digest(dict(reversed(data.items()))) == data["digest"]
    assert digest({**data, "certainty": {"anything": 1}, "working": []}) == data["digest"]
    assert re.fullmatch(r"[0-9a-f]{4}(-[0-9a-f]{4}){2}", sheet.digest)


def test_the_digest_does_not_hang_on_the_folder_and_does_on_every_figure() -> None:
    data = flight_json(plan_file(ROOT / "docs/flights/demo.yaml"))
    moved = json.loads(json.dumps(data).replace(str(ROOT), "/elsewhere"))
    assert digest(moved) == data["digest"]
    for path in (
        ("fuel", "aboard_l"),
        ("states", 0, "mass_kg"),
        ("burn", "least_margin", "margin"),
        ("density", "kg_per_m3"),
    ):
        other: Any = json.loads(json.dumps(data))
        holder = other
        for part in path[:-1]:
            holder = holder[part]
        holder[path[-1]] *= 1.00001
        assert digest(other) != data["digest"], path
        holder[path[-1]] /= 1.00001 * (1 + 1e-15)
        assert digest(other) == data["digest"], "the last bits of arithmetic do not count"
    assert digest({**data, "verdict": "outside"}) != data["digest"]


def test_the_canonical_form_is_plain_json_in_order() -> None:
    assert (
        canonical({"b": [1.23456789e-3, -0.0, 1e-17], "a": {"path": "/x/y.yaml", "n": None}, "digest": "x"})
        == b'{"a":{"n":null,"path":"y.yaml"},"b":[0.001234568,0.0,0.0]}'
    )


@pytest.mark.parametrize("name", FLIGHTS)
def test_everything_a_pilot_needs_stands_on_it(name: str) -> None:
    plan, sheet, _ = made(name)
    text = unescape(written(sheet, ".html", "a4")[0].decode())
    assert found(sheet.blocks, Panel, "verdict").texts[0].lower().startswith(plan.verdict)
    assert [
        row_kind(row)
        for row in found(sheet.blocks, Table, "required").rows
        if row.cells[0] == "final reserve"
    ] == ["bold"]
    assert {"Caution", "Verdict", "Final reserve", "Cautions"} == {
        block.title for block in sheet.blocks if isinstance(block, Panel)
    }
    empty = plan.aircraft.basic_empty.version_id
    for each in (
        *PLAN,
        INVENTED,
        *cautions(plan),
        plan.density.source,
        plan.rule.citation,
        plan.rule.read,
        empty,
        sheet.digest,
        *SIGNATURES,
    ):
        assert each in text
    assert all(drain in text for drain in plan.aircraft.drains)
    assert len(found(sheet.blocks, Table, "states").rows) == 4
    alarms = [
        row
        for block in sheet.blocks
        if isinstance(block, Table)
        for row in block.rows
        if row_kind(row) == "alarm"
    ]
    assert bool(alarms) == (plan.verdict != "inside")
    outside = [limit for limit in plan.limits() if limit.verdict == "outside"]
    assert bool(outside) <= any("OUTSIDE" in cell for row in alarms for cell in row.cells)


def test_the_sheet_and_the_terminal_show_the_same_blocks() -> None:
    """One content: every table and panel that both show is equal, cell by cell."""
    plan, sheet, display = made("demo")
    told = render_flight(plan, display)
    shared = {block.id for block in told if isinstance(block, Table)} & {
        block.id for block in sheet.blocks if isinstance(block, Table)
    }
    assert shared == {"states", "limits", "items", "required", "aboard", "burn"}
    assert all(found(told, Table, each) == found(sheet.blocks, Table, each) for each in shared)
    assert [each for each in told if isinstance(each, Panel)][:2] == [
        each for each in sheet.blocks if isinstance(each, Panel)
    ][:2]


def test_the_figures_are_those_of_the_plan_in_the_reader_s_units() -> None:
    plan, sheet, _ = made("demo", "us")
    ramp = found(sheet.blocks, Table, "states").rows[0].cells
    # 1 lb = 0.45359237 kg, 1 in = 0.0254 m, 1 USgal = 231 in3 (NIST SP 811 App. B).
    assert float(ramp[1]) == pytest.approx(plan.states[0].total.mass / 0.45359237, abs=0.05)
    assert float(ramp[2]) == pytest.approx(plan.states[0].total.centre_of_gravity / 0.0254, abs=0.005)
    assert float(ramp[-2]) == pytest.approx(62 / 3.785411784, abs=0.05)
    total = sum(
        float(row.cells[1])
        for row in found(sheet.blocks, Table, "items").rows
        if not row.style and row.cells[4]
    )
    assert total == pytest.approx(plan.states[0].total.mass / 0.45359237, abs=0.5)


def pages(pdf: bytes) -> list[tuple[int, int]]:
    """The size of every page in points."""
    boxes = re.findall(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", pdf)
    return [(round(float(wide)), round(float(high))) for wide, high in boxes]


@pytest.mark.parametrize(("name", "paper"), in_turn(FLIGHTS[:: stride(3)], list(PAPERS)))
def test_the_fixed_page_keeps_to_its_paper(name: str, paper: Paper) -> None:
    """ISO 216 A4 and ANSI Y14.1 A in points; the type stays near full size."""
    size: dict[Paper, tuple[int, int]] = {"a4": (595, 842), "letter": (612, 792)}
    made_pdf, scale = written(made(name, "metric" if paper == "a4" else "us")[1], ".pdf", paper)
    assert pages(made_pdf) == [size[paper]]
    assert scale > 0.7


def test_a_page_too_full_is_shrunk_and_told_by_its_scale() -> None:
    _, sheet, _ = made("tailwheel")
    columns = found(sheet.blocks, Table, "changes").columns
    many = Table(columns, tuple(Row((f"change {i}", "1", "2", "3")) for i in range(120)))
    full = replace(sheet, flow=[*sheet.flow, many])
    made_pdf, scale = written(full, ".pdf", "a4")
    assert scale < SMALLEST
    assert pages(made_pdf) == [(595, 842)]
    assert "change 119" in written(full, ".html", "a4")[0].decode()


def test_names_are_text_and_never_markup() -> None:
    _, sheet, _ = made("demo")
    odd = replace(
        sheet,
        title="</svg><script>alert(1)</script> & \x07",
        flow=[Bullets(("<b>bowl</b>", '#strong[x] "quoted" & one'))],
    )
    markup = written(odd, ".html", "a4")[0].decode()
    assert "<script" not in markup
    assert "<b>" not in markup
    assert "\x07" not in markup
    assert "&lt;b&gt;bowl" in markup
    drawn = written(odd, ".svg", "a4")[0].decode()
    assert "<script" not in drawn
    ElementTree.fromstring(drawn)
    assert written(odd, ".pdf", "a4")[0].startswith(b"%PDF-")


@pytest.mark.parametrize("name", ["demo", "full-tanks"])
def test_html_has_no_script_and_fetches_nothing(name: str) -> None:
    text = written(made(name)[1], ".html", "letter")[0].decode()
    assert "<script" not in text
    assert not re.search(r"\b(?:src|href)=|url\(|@import", text)
    assert "@page { size: letter;" in text
    assert "prefers-color-scheme: dark" in text


def test_the_pdf_is_one_page_with_text_and_the_same_bytes_every_time() -> None:
    _, sheet, display = made("demo")
    made_pdf = written(sheet, ".pdf", "a4")[0]
    assert made_pdf.startswith(b"%PDF-")
    assert written(sheet_of(plan_file(ROOT / "docs/flights/demo.yaml"), display), ".pdf", "a4")[0] == made_pdf
    assert b"CreationDate" not in made_pdf
    assert pages(made_pdf) == [(595, 842)]


@pytest.mark.parametrize(("name", "own"), [("Thörnlea ± Ω Жук", True), ("雲雀", False), ("ალუბალი", False)])
def test_letters_beyond_the_typesetter_s_own_fonts_are_asked_of_the_computer(
    name: str, own: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, sheet, _ = made("demo")
    asked: dict[str, Any] = {}

    class Typesetter:
        @staticmethod
        def compile(_: Any, **options: Any) -> bytes:
            asked.update(options)
            return b"%PDF"

        @staticmethod
        def query(_: Any, selector: str, **options: Any) -> str:
            assert selector == "<scale>"
            assert options["ignore_system_fonts"] is asked["ignore_system_fonts"]
            return "1.0"

    monkeypatch.setitem(sys.modules, "typst", Typesetter)
    written(replace(sheet, title=name), ".pdf", "a4")
    assert asked["ignore_system_fonts"] is own


def test_without_the_typesetter_the_way_to_it_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    _, sheet, _ = made("demo")
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(InputRefused) as refused:
        written(sheet, ".pdf", "a4")
    assert "pip install 'typst" in str(refused.value)

    class Old:
        @staticmethod
        def compile(path: str) -> bytes:
            return path.encode()

    monkeypatch.setitem(sys.modules, "typst", Old)
    with pytest.raises(InputRefused, match="too old"):
        written(sheet, ".pdf", "a4")


def test_an_ellipse_reaches_u_to_either_side() -> None:
    """Its half height is U of the mass, its half width U of the CG: the aft edge of this aircraft is upright,
    so its margin has the CG's own U.
    """
    plan = plan_file(ROOT / "docs/flights/not-shown-inside.yaml")
    for state in plan.states:
        points = ellipse(state)
        limits = {limit.name: limit for limit in state.limits}
        half_wide = (max(arm for arm, _ in points) - min(arm for arm, _ in points)) / 2
        half_high = (max(mass for _, mass in points) - min(mass for _, mass in points)) / 2
        assert half_wide == pytest.approx(limits["aft limit"].uncertainty, rel=1e-9)
        assert half_high == pytest.approx(
            limits["least mass of the envelope"].uncertainty, rel=0.005
        )  # a polygon's corners lie beside the top
    assert COVERAGE == 2.0


def test_an_ellipse_leans_as_the_inputs_do() -> None:
    """Mass added behind the CG moves it aft: the correlation of mass and CG is that of draws made with
    another generator.
    """
    plan = plan_file(ROOT / "docs/flights/not-shown-inside.yaml")
    state = plan.state("zero fuel")
    points = ellipse(state)
    centre, mass = state.total.centre_of_gravity, state.total.mass
    shared = sum((arm - centre) * (m - mass) for arm, m in points)
    spread = math.sqrt(
        sum((arm - centre) ** 2 for arm, _ in points) * sum((m - mass) ** 2 for _, m in points)
    )
    # By hand: cov(m, cg) = sum u2 (a - cg) / m over everything whose mass is unsure.
    causes = {
        "basic empty mass": (2.0, 2.235),
        "front": (5.0 * math.sqrt(2), 2.165),
        "rear": (5.0 * math.sqrt(2), 3.005),
        "baggage": (3.0, 3.63),
    }
    covariance = sum(u * u * (arm - centre) / mass for u, arm in causes.values())
    u_mass = math.sqrt(sum(u * u for u, _ in causes.values()))
    u_arm = math.sqrt(
        sum((u * (arm - centre) / mass) ** 2 for u, arm in causes.values()) + (0.004 * 688.4 / mass) ** 2
    )
    assert shared / spread == pytest.approx(covariance / u_mass / u_arm, abs=0.01)


def test_last_minute_changes_hold_when_they_are_made(tmp_path: Path) -> None:
    """Each line's most is inside when planned as a flight of its own, and a little more than the next step is
    not.
    """
    case = case_of(*load_flight_file(ROOT / "docs/flights/helicopter.yaml"))
    sheet = sheet_of(case.plan, Display(), headroom(case))
    rows = {row.cells[0]: row.cells for row in found(sheet.blocks, Table, "changes").rows}
    most = float(rows["right locker"][3].split()[0])
    flight = (ROOT / "docs/flights/helicopter.yaml").read_text(encoding="utf-8")

    def verdict(kilograms: float, folder: Path) -> str:
        path = folder / "changed.yaml"
        path.write_text(
            flight.replace("  left locker: 8 kg", f"  left locker: 8 kg\n  right locker: {kilograms} kg"),
            encoding="utf-8",
        )
        return plan_file(path).verdict

    assert verdict(most, tmp_path) == "inside"
    assert verdict(most + 1.0, tmp_path) != "inside"
    assert any("plan again" in block.text for block in sheet.blocks if isinstance(block, Paragraph))


def test_a_plan_that_is_not_inside_has_no_room() -> None:
    _, sheet, _ = made("full-tanks")
    assert len(found(sheet.blocks, Table, "changes").rows) == 1
    assert any("no room" in block.text for block in sheet.blocks if isinstance(block, Paragraph))


def test_drawings_escape_and_round() -> None:
    drawing = Drawing()
    drawing.text(1 / 3, -0.001, "<&>", 2.0, bold=True)
    drawing.rect(0, 0, 1, 1, fill='"')
    assert (
        drawing.markup()
        == '<text x="0.33" y="0" font-size="2" fill="currentColor" font-weight="bold">&lt;&amp;&gt;</text>\n'
        '<rect x="0" y="0" width="1" height="1" fill="&quot;" stroke="currentColor"/>'
    )


def test_a_file_is_never_lost(tmp_path: Path) -> None:
    path = tmp_path / "sheet.html"
    assert write(path, b"one", False) == ""
    with pytest.raises(InputRefused, match="--replace"):
        write(path, b"two", False)
    assert path.read_bytes() == b"one"
    assert write(path, b"one", True) == "", "the same bytes need no copy"
    assert write(path, b"two", True) == str(tmp_path / "sheet.html.bak")
    assert write(path, b"three", True) == str(tmp_path / "sheet.html.bak2")
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == {
        "sheet.html": b"three",
        "sheet.html.bak": b"one",
        "sheet.html.bak2": b"two",
    }
    (tmp_path / "folder.html").mkdir()
    with pytest.raises(InputRefused):
        write(tmp_path / "folder.html", b"x", True)
    assert write(tmp_path / "new.html", b"x", True) == ""


def test_the_command_writes_the_same_bytes_twice_and_says_the_verdict_by_its_code(tmp_path: Path) -> None:
    flight = str(ROOT / "docs/flights/fuel-ahead-of-cg.yaml")
    for name, real in (("a.svg", True), ("b.svg", False)):
        done = run("sheet", flight, name, folder=tmp_path, real=real)
        assert done.returncode == 1, done.stderr
        assert "OUTSIDE" in done.stdout
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    again = run("sheet", flight, "a.svg", folder=tmp_path)
    assert again.returncode == 2
    assert "--replace" in again.stderr
    for wrong in (("x.doc",), ("x.html", "--paper", "a3"), ("x.html", "--units", "si")):
        done = run("sheet", flight, *wrong, folder=tmp_path)
        assert done.returncode == 2
        assert "Traceback" not in done.stderr
    assert sorted(each.name for each in tmp_path.iterdir()) == ["a.svg", "b.svg"]


def test_a_flight_of_several_legs_has_a_sheet_for_each(tmp_path: Path) -> None:
    flight = str(ROOT / "docs/flights/three-legs.yaml")
    assert run("sheet", flight, "x.svg", folder=tmp_path).returncode == 2
    assert run("sheet", flight, "x.svg", "--leg", "4", folder=tmp_path).returncode == 2
    assert (
        run("sheet", str(ROOT / "docs/flights/demo.yaml"), "x.svg", "--leg", "2", folder=tmp_path).returncode
        == 2
    )
    assert not list(tmp_path.iterdir())
    first, third = (
        run("sheet", flight, "1.html", "--leg", "1", folder=tmp_path),
        run("sheet", flight, "3.html", "--leg", "3", folder=tmp_path),
    )
    assert (first.returncode, third.returncode) == (0, 1)
    text = (tmp_path / "1.html").read_text(encoding="utf-8")
    assert "leg 1 of 3" in text
    assert "leg 3 of this flight, Aldercombe home: OUTSIDE" in text, (
        "a sheet that says inside names the leg that is not"
    )
