"""The plan on a terminal: nothing cut, nothing broken, cautions first and last, and arithmetic that a reader
can check.
"""

from __future__ import annotations

import dataclasses
import io
import math
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from rich.cells import cell_len

from planner.plan import Plan, plan_file
from planner.quantities.units import Display, UnitSystem
from planner.views.flight.flight_text import render_flight
from planner.views.flight.working import working
from planner.views.pictures.chart import OUTSIDE_SIGN, ROWS, chart
from planner.views.terminal import Screen
from planner.views.words import amount, spots
from tests.sizes import in_turn

ROOT = Path(__file__).resolve().parents[2]
FLIGHTS = [
    path
    for path in sorted((ROOT / "docs/flights").glob("*.yaml"))
    if re.search(r"^flight: 1$", path.read_text(encoding="utf-8"), re.MULTILINE)
]
WIDTHS = (60, 80, 120)
SYSTEMS: tuple[UnitSystem, ...] = ("metric", "us", "uk")
HEADINGS = (
    "VERDICT",
    "STATES",
    "FUEL",
    "BEFORE ENGINE START",
    "FUEL DENSITY USED",
    "FUEL ABOARD",
    "FUEL REQUIRED",
    "FINAL RESERVE",
    "MASSES, ARMS AND MOMENTS",
    "LIMITS",
    "CG AGAINST MASS",
)

_PRINTED: dict[tuple[str, str, int, str, bool], str] = {}


def printed(plan: Plan, width: int, system: UnitSystem = "metric", with_working: bool = False) -> str:
    """What a pipe of that width would receive; one flight is printed once for all tests."""
    key = (plan.flight_path, plan.aircraft.name, width, system, with_working)
    if key not in _PRINTED:
        stream = io.StringIO()
        render_flight(plan, Display(system), Screen(file=stream, width=width), with_working=with_working)
        _PRINTED[key] = stream.getvalue()
    return _PRINTED[key]


def flat(text: str) -> str:
    """The text with its line breaks as single spaces and without frames, so that a sentence is found wherever
    it was wrapped.
    """
    return " ".join(re.sub("[\u2500-\u257f]", " ", text).split())


def place(text: str, heading: str) -> int:
    """Where a section begins, be it under a heading or in a panel."""
    found = re.search(rf"^[\u2500-\u257f ]*{re.escape(heading)}[\u2500-\u257f ]*$", text, re.MULTILINE)
    assert found is not None, heading
    return found.start()


@pytest.fixture(scope="module", params=FLIGHTS, ids=[path.stem for path in FLIGHTS])
def plan(request: pytest.FixtureRequest) -> Plan:
    return plan_file(request.param)


def pages(plan: Plan) -> Iterator[tuple[int, UnitSystem, str]]:
    """Every width with a system of units, one after the other from flight to flight, and the whole report."""
    first = [path.stem for path in FLIGHTS].index(Path(plan.flight_path).stem) % len(SYSTEMS)
    for width, system in in_turn(WIDTHS, [*SYSTEMS[first:], *SYSTEMS[:first]]):
        yield width, system, printed(plan, width, system, with_working=True)


def test_no_line_is_too_long_and_nothing_is_cut(plan: Plan) -> None:
    for width, system, text in pages(plan):
        too_long = [line for line in text.splitlines() if cell_len(line) > width]
        assert not too_long, (width, system)
        assert "…" not in text
        assert "..." not in text
        assert "\x1b" not in text, "a pipe gets plain text"
        assert not [line for line in text.splitlines() if line != line.rstrip()]


@pytest.mark.parametrize("width", WIDTHS)
def test_the_order_of_the_report(plan: Plan, width: int) -> None:
    text = printed(plan, width)
    places = [place(text, heading) for heading in HEADINGS]
    assert places == sorted(places)
    assert text.splitlines()[0].startswith("Mass, balance and fuel plan:")
    head, tail = flat(text[: places[0]]), flat(text[place(text, "CAUTIONS") :])
    assert plan.aircraft.name in head
    assert "INVENTED demonstration data" in head
    assert "CAUTION " in head
    assert "The approved flight manual and the current weighing report govern" in head
    assert "Never fly with them." in tail
    assert "In doubt an instructor or a licensed engineer decides, not this program." in tail
    assert verdict_last(tail).endswith("check the current text.")


def verdict_last(text: str) -> str:
    """What stands before the verdict that ends a report, after the last of the cautions."""
    before, _, verdict = text.rpartition(" VERDICT ")
    assert verdict.startswith(("INSIDE every limit checked; ", "NOT SHOWN INSIDE: ", "OUTSIDE: "))
    return before


def test_cautions_stay_last_with_the_working(plan: Plan) -> None:
    text = printed(plan, 80, with_working=True)
    assert place(text, "WORKING") < place(text, "CAUTIONS")
    assert verdict_last(flat(text)).endswith("check the current text.")


@pytest.mark.parametrize("width", WIDTHS)
def test_the_verdict_is_told_in_words(plan: Plan, width: int) -> None:
    text = flat(printed(plan, width))
    start = {
        "inside": "INSIDE every limit checked",
        "not shown inside": "NOT SHOWN INSIDE: no limit is passed",
        "outside": "OUTSIDE: ",
    }[plan.verdict]
    verdict = text[text.index("VERDICT ") + 8 : text.index("FUEL DENSITY USED")]
    assert verdict.startswith(start)
    for spot in spots(plan, Display()):
        if spot.limit.verdict == "outside":
            assert spot.base in verdict
    if plan.fuel.verdict == "outside":
        assert f"fuel {amount(plan.fuel.surplus, 'volume', Display())} short of what is required" in verdict
        assert "SHORTAGE: " in text
    else:
        assert "Surplus: " in text
        assert "SHORTAGE" not in text


def test_every_limit_is_shown_with_margin_uncertainty_and_word(plan: Plan) -> None:
    """On whichever line a figure stands, it stands there whole, with its unit."""
    for _, system, text in pages(plan):
        display = Display(system)
        section = text[text.index("\nLIMITS\n") : text.index("\nTHE WHOLE BURN")]
        words = flat(section)
        limits = [*plan.load_limits, *(each for state in plan.states for each in state.limits)]
        for limit in limits:
            margin = amount(limit.margin, limit.dimension, display, sign=True)
            line = next(line for line in section.splitlines() if margin in line)
            assert display.text(limit.value, limit.dimension) in section
            assert display.text(limit.limit, limit.dimension) in section
            assert amount(limit.uncertainty, limit.dimension, display) in section
            assert re.search(rf"(?<![\d.]){re.escape(margin)}(?!\w)", line), line
        outside = sum(limit.verdict == "outside" for limit in limits)
        assert len(re.findall(r"\bOUTSIDE\b", words)) == outside
        assert "density plus U" in words


@pytest.mark.parametrize("width", WIDTHS)
def test_the_final_reserve_stands_in_four_forms(plan: Plan, width: int) -> None:
    text = printed(plan, width)
    section = text[place(text, "FINAL RESERVE") : place(text, "MASSES, ARMS AND MOMENTS")]
    reserve, display = plan.fuel.final_reserve, Display()
    mass = reserve.volume * plan.density.density
    assert (
        f"{float(reserve.time) / 60:.1f} min = {display.text(reserve.volume, 'volume')} = {mass:.1f} kg"
        in section
    )
    words = flat(section)
    dips = [dip for _, dip in plan.fuel.reserve_dips if isinstance(dip, float)]
    assert "dip" in words
    for dip in dips:
        # A reading not to fall below is rounded up: a tenth of a centimetre too low is fuel that is not
        # there.
        assert f"{math.ceil(dip * 1000 - 1e-6) / 10:.1f} cm" in words
    if not dips:
        assert "none, no dip table" in words


@pytest.mark.parametrize("width", WIDTHS)
def test_density_rule_and_endurance_are_cited(plan: Plan, width: int) -> None:
    text = flat(printed(plan, width))
    assert (
        f"{plan.density.density / 1000:.4f} kg/L ({plan.density.density * 231 * 0.0254**3 / 0.45359237:.3f}"
        " lb/USgal)" in text
    )
    assert f"U {2 * plan.density.u / 1000:.4f} kg/L (k = 2)" in text
    assert plan.rule.citation in text
    assert f"taken down {plan.rule.read} ({plan.rule.tag})" in text
    assert "check the current text" in text
    assert "Endurance: " in text
    assert ("real batches lie between" in text) is bool(plan.flight.fuel.density.standard)


def test_crossings_say_which_way(plan: Plan) -> None:
    text = flat(printed(plan, 120))
    for each in plan.burn.crossings:
        assert (
            f"{'leaves' if each.direction == 'out' else 'comes inside'}: {each.limit}, with"
            f" {each.point.fuel * 1000:.1f} L of fuel left" in text
        )
    assert ("No limit is crossed during the burn." in text) is not bool(plan.burn.crossings)


def test_uncertainties_that_are_not_stated_are_said_to_be_so() -> None:
    said = {
        path.stem: flat(printed(plan_file(path), 80))
        for path in FLIGHTS
        if path.stem in ("middle-of-the-flight", "helicopter", "demo")
    }
    assert "No uncertainties stated: every U is zero" in said["middle-of-the-flight"]
    assert "No uncertainties stated: it holds only this program's own estimate" in said["helicopter"]
    assert "No uncertainties stated" not in said["demo"]


def test_a_margin_is_never_rounded_to_nothing() -> None:
    metric, us = Display(), Display("us")
    assert amount(-1e-6, "length", metric, sign=True) == "-0.0010 mm"
    assert amount(-1e-6, "length", us, sign=True) == "-0.000039 in"
    assert amount(0.0, "length", metric, sign=True) == "0.0 mm"
    assert amount(0.0074, "length", metric, sign=True) == "+7.4 mm"
    assert amount(1e-6, "length", metric) == "<0.1 mm"
    assert amount(1e-6, "mass", us) == "<0.1 lb"
    assert amount(-0.0091, "volume", metric) == "9.1 L"


def test_colour_only_adds_to_the_words() -> None:
    """With NO_COLOR a terminal gets no colour (SGR 30 to 37, 90 to 97); without it the same characters,
    coloured.
    """
    plan = plan_file(ROOT / "docs/flights/seat-order.yaml")

    def on_terminal(no_color: bool) -> str:
        stream = io.StringIO()
        render_flight(
            plan,
            Display(),
            Screen(
                file=stream,
                width=80,
                force_terminal=True,
                color_system="standard",
                no_color=no_color,
                legacy_windows=False,
            ),
        )
        return stream.getvalue()

    sgr = re.compile(r"\x1b\[([\d;]*)m")

    def colours(text: str) -> set[int]:
        return {
            int(code)
            for group in sgr.findall(text)
            for code in group.split(";")
            if code and (30 <= int(code) <= 37 or 90 <= int(code) <= 97)
        }

    assert colours(on_terminal(no_color=True)) == set()
    assert 31 in colours(on_terminal(no_color=False))
    assert (
        sgr.sub("", on_terminal(no_color=False))
        == sgr.sub("", on_terminal(no_color=True))
        == printed(plan, 80)
    )


def test_an_encoding_without_braille_gets_plain_signs(plan: Plan) -> None:
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding="ascii")
    render_flight(plan, Display(), Screen(file=stream, width=80), with_working=True)
    stream.flush()
    text = raw.getvalue().decode("ascii")
    assert "?" not in text
    assert "CG AGAINST MASS" in text


def test_names_from_a_file_reach_the_terminal_as_plain_text() -> None:
    plan = plan_file(ROOT / "docs/flights/demo.yaml")
    hostile = plan.aircraft.model_copy(update={"name": "[bold]T\x1b[31m4\u202e[/bold]"})
    text = printed(dataclasses.replace(plan, aircraft=hostile), 80)
    assert "[bold]T?[31m4?[/bold]" in text
    assert "\x1b" not in text


@pytest.mark.parametrize(("width", "braille"), in_turn(WIDTHS, [True, False]))
def test_the_diagram(plan: Plan, width: int, braille: bool) -> None:
    lines = ["".join(text for text, _ in parts) for parts in chart(plan, Display(), width, braille)[0]]
    body = lines[1 : 1 + ROWS]
    assert len(lines) == ROWS + 3
    drawing = "\n".join(line.split("|" if "|" in line else "+", 1)[1] for line in body)
    for letter in "RTLZ":
        assert drawing.count(letter) == 1, letter
    assert (max(drawing) >= "\u2800") is braille
    # Falling mass: the ramp is not below take-off, nor landing above it, nor zero fuel above landing.
    rows = {
        letter: next(i for i, line in enumerate(drawing.splitlines()) if letter in line) for letter in "RTLZ"
    }
    assert rows["R"] <= rows["T"] <= rows["L"] <= rows["Z"]
    # `x` is drawn just where the checks of the burn say that a forward or aft limit is passed.
    outside = any(
        limit.group != "lateral" and not least.limit.endswith(")") and least.margin < -1e-6
        for least, limit in zip(plan.burn.least, plan.burn.limits, strict=True)
    )
    assert (OUTSIDE_SIGN in drawing) is outside


def test_a_page_too_narrow_for_the_diagram_says_so() -> None:
    text = printed(plan_file(ROOT / "docs/flights/demo.yaml"), 30)
    assert "too narrow for the diagram" in flat(text)
    assert max(cell_len(line) for line in text.splitlines()) <= 30


# --- the working: its arithmetic is done again from the figures as printed ---

NUMBER = r"([+-]?\d+(?:\.\d+)?)"


def half_step(text: str) -> float:
    """The most by which a printed figure can differ from the one computed with."""
    return 0.5 * 10.0 ** -len(text.partition(".")[2])


def product_agrees(a: str, b: str, product: str) -> bool:
    slack = half_step(a) * abs(float(b)) + half_step(b) * abs(float(a)) + half_step(product)
    return math.isclose(float(a) * float(b), float(product), abs_tol=slack * 1.001)


def quotient_agrees(a: str, b: str, quotient: str) -> bool:
    slack = (half_step(a) + half_step(b) * abs(float(quotient))) / abs(float(b)) + half_step(quotient)
    return math.isclose(float(a) / float(b), float(quotient), abs_tol=slack * 1.001)


def section(lines: list[str], title: str) -> list[str]:
    start = next(i for i, line in enumerate(lines) if line.startswith(title))
    body = []
    for line in lines[start + 1 :]:
        if not line:
            break
        body.append(line)
    return body


def test_every_product_of_the_working_is_right(plan: Plan) -> None:
    lines = working(plan, Display())
    products = [
        m.groups() for line in lines for m in re.finditer(rf"{NUMBER} kg x {NUMBER} m = {NUMBER} kg\.m", line)
    ]
    masses = [
        m.groups() for line in lines for m in re.finditer(rf"{NUMBER} L x {NUMBER} kg/L = {NUMBER} kg", line)
    ]
    assert len(products) >= len(plan.loading.items) + 3 * len(plan.fuel.tanks)
    assert len(masses) == len(plan.fuel.tanks)
    assert not [each for each in products + masses if not product_agrees(*each)]


def test_every_cg_of_the_working_is_moment_over_mass(plan: Plan) -> None:
    lines = working(plan, Display())
    quotients = [
        m.groups()
        for line in lines
        for m in re.finditer(rf"CG = {NUMBER} kg\.m / {NUMBER} kg = {NUMBER} m", line)
    ]
    assert len(quotients) == 4 * (2 if plan.aircraft.lateral is not None else 1)
    assert not [each for each in quotients if not quotient_agrees(*each)]


def test_the_sums_of_the_working_add_up(plan: Plan) -> None:
    lines = working(plan, Display())
    for title in ("Zero fuel", "Ramp", "Take-off", "Landing"):
        body = section(lines, title)
        end = next(i for i, line in enumerate(body) if line.strip().startswith("sum:"))
        parts = [re.search(rf"{NUMBER} kg(?:,| x {NUMBER} m =) {NUMBER} kg\.m", line) for line in body[:end]]
        total = re.search(rf"sum: {NUMBER} kg, {NUMBER} kg\.m", body[end])
        assert total is not None
        assert all(parts)
        assert sum(float(part[1]) for part in parts if part) == pytest.approx(
            float(total[1]), abs=0.001 * (len(parts) + 1)
        )
        assert sum(float(part[3]) for part in parts if part) == pytest.approx(
            float(total[2]), abs=0.001 * (len(parts) + 1)
        )


def test_the_fuel_of_the_working_is_time_times_flow_and_adds_up(plan: Plan) -> None:
    body = section(working(plan, Display()), "Fuel required")
    flows = [
        m.groups() for line in body for m in re.finditer(rf"{NUMBER} min x {NUMBER} L/h = {NUMBER} L", line)
    ]
    assert flows
    for minutes, flow, volume in flows:
        slack = float(minutes) / 60 * half_step(flow) + half_step(volume)
        assert float(minutes) / 60 * float(flow) == pytest.approx(float(volume), abs=slack * 1.001)
    end = next(i for i, line in enumerate(body) if line.strip().startswith("sum:"))
    volumes = [re.search(rf"{NUMBER} L \((?:.*)\)$|= {NUMBER} L(?: \(.*\))?$", line) for line in body[:end]]
    assert all(volumes)
    required = re.search(rf"sum: required {NUMBER} L", body[end])
    assert required is not None
    shown = [float(each[2] or each[1]) for each in volumes if each]
    assert sum(shown) == pytest.approx(float(required[1]), abs=0.0005 * (len(shown) + 1) * 1.001)
    surplus = re.search(rf"= {NUMBER} L - {NUMBER} L = {NUMBER} L", body[end + 1])
    assert surplus is not None
    assert float(surplus[1]) - float(surplus[2]) == pytest.approx(float(surplus[3]), abs=0.0016)


def test_the_density_of_the_working_follows_its_own_formula(plan: Plan) -> None:
    text = "\n".join(section(working(plan, Display()), "Density of the fuel"))
    if plan.flight.fuel.density.fixed is not None:
        assert "fixed figure, no temperature correction" in text
        assert f"density used = {plan.density.density:.3f} kg/m3" in text
        return
    alpha = re.search(rf"= {NUMBER} per K", text)
    dt = re.search(rf"dt = .* = {NUMBER} K", text)
    density = re.search(rf"density in the tank = {NUMBER} kg/m3 x {NUMBER} = {NUMBER} kg/m3", text)
    assert alpha is not None
    assert dt is not None
    assert density is not None
    step = float(alpha[1]) * float(dt[1])
    # alpha is printed to 1e-7 per K, which moves the factor by less than 1e-7 per kelvin of difference.
    assert math.exp(-step * (1 + 0.8 * step)) == pytest.approx(
        float(density[2]), abs=1e-7 * (abs(float(dt[1])) + 1)
    )
    assert product_agrees(*density.groups())


def test_the_endurance_of_the_working_adds_up(plan: Plan) -> None:
    body = section(working(plan, Display()), "Endurance")
    parts = [re.search(rf"{NUMBER} L / {NUMBER} L/h = {NUMBER} min", line) for line in body[:-1]]
    assert all(parts)
    for part in parts:
        assert part is not None
        slack = 60 * (half_step(part[1]) + half_step(part[2]) * float(part[1]) / float(part[2])) / float(
            part[2]
        ) + half_step(part[3])
        assert float(part[1]) / float(part[2]) * 60 == pytest.approx(float(part[3]), abs=slack * 1.001)
    total = re.search(rf"endurance {NUMBER} min", body[-1])
    assert total is not None
    assert sum(float(part[3]) for part in parts if part) == pytest.approx(
        float(total[1]), abs=0.05 * (len(parts) + 1) * 1.001
    )


def test_the_margins_of_the_working_are_differences(plan: Plan) -> None:
    body = section(working(plan, Display()), "Margins")
    lengths = [
        m.groups()
        for line in body
        for m in re.finditer(rf": \(?{NUMBER} m\)? - \(?{NUMBER} m\)? = {NUMBER} mm;", line)
    ]
    masses = [
        m.groups() for line in body for m in re.finditer(rf": {NUMBER} kg - {NUMBER} kg = {NUMBER} kg;", line)
    ]
    raised = [
        m.groups()
        for line in body
        for m in re.finditer(rf": {NUMBER} kg - \({NUMBER} kg \+ {NUMBER} kg .*?\) = {NUMBER} kg;", line)
    ]
    assert len(lengths) + len(masses) + len(raised) == len(plan.limits()) - 1 == len(body) - 1
    assert not [
        each for each in lengths if abs(float(each[0]) - float(each[1]) - float(each[2]) / 1000) > 0.00016
    ]
    assert not [each for each in masses if abs(float(each[0]) - float(each[1]) - float(each[2])) > 0.16]
    assert not [
        each
        for each in raised
        if abs(float(each[0]) - float(each[1]) - float(each[2]) - float(each[3])) > 0.11
    ]


def test_the_working_carries_the_cautions_and_says_that_it_is_rounded(plan: Plan) -> None:
    lines = working(plan, Display())
    assert lines[0].startswith("Invented demonstration data")
    assert "govern" in lines[1]
    assert "shown are rounded, computed unrounded" in lines[2]
