"""Papers as they are printed: each form of a figure gives the same record as the plain one."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest

from planner.plan import plan_file
from planner.plan.examples import examples_of
from planner.quantities.errors import InputRefused
from planner.quantities.units import INCH, POUND, US_GALLON, read_quantity
from planner.records.document import parse
from planner.records.schema import schema_of
from planner.records.store import load_aircraft_file

PLAIN = """\
profile: 1
name: Brackwater Plover
invented: true
source: Invented
datum: firewall
fuel_grades: [avgas-100LL]
mean_aerodynamic_chord: {leading_edge: 26 in, length: 60 in}
index: {reference_arm: 40 in, divisor: 1000 lb.in, constant: 50}
basic_empty: {mass: 1500 lb, moment: 57000 lb.in, date: 2026-02-11, includes: [full oil, unusable fuel]}
stations:
  front seats: {kind: seats, seats: 2, arm: 37 in}
  rear seats: {kind: seats, seats: 2, arm: 73 in}
tanks:
  left: {capacity: 21.5 USgal, unusable: 1.5 USgal, arm: 47 in, marks: {tabs: 12 USgal}}
  right: {capacity: 21.5 USgal, unusable: 1.5 USgal, arm: 47 in}
masses: {max_takeoff: 2300 lb}
envelopes:
  normal:
    edges: linear in moment
    forward: [[1500 lb, 35 in], [2000 lb, 35 in], [2300 lb, 38 in]]
    aft: [[1500 lb, 47 in], [2300 lb, 47 in]]
burn: {taxi: 2 USgal/h, cruise: 8 USgal/h}
examples:
  - {name: a, load: {front seats: 340 lb}, fuel: 24 USgal, density: 6.0 lb/USgal, mass: 1984 lb, moment: 76.3 lb.in/1000}
"""
FLIGHT = """\
flight: 1
aircraft: profile.yaml
category: normal
rules: us-vfr-day
load: {front seats: [170 lb, 160 lb]}
fuel:
  grade: avgas-100LL
  density: {fixed: 6.0 lb/USgal}
  tanks: {left: 20 USgal, right: 12 USgal}
trip:
  - {phase: taxi, fuel: 1 USgal}
  - {phase: cruise, time: 1 h}
"""
# The plain figure, and the same one as papers print it.
SAME = [
    ("moment: 57000 lb.in", "moment: 57.0 lb.in/1000"),
    ("moment: 57000 lb.in", "moment: 570 lb.in/100"),
    ("moment: 57000 lb.in", "moment: 4.75 lb.ft/1000"),
    ("moment: 57000 lb.in", "moment: 47 index"),  # (57000 - 1500 x 40) / 1000 + 50
    ("moment: 57000 lb.in", "arm: 20 % MAC"),
    ("moment: 57000 lb.in", "arm: 20%MAC"),
    ("seats: 2, arm: 37 in", "seats: 2, loading_line: [[0 lb, 0 lb.in/1000], [400 lb, 14.8 lb.in/1000]]"),
    ("seats: 2, arm: 73 in", "seats: 2, loading_line: [[0 lb, 0 index], [400 lb, 13.2 index]]"),
    (
        "unusable: 1.5 USgal, arm: 47 in}",
        "unusable: 1.5 USgal, loading_line: [[0 lb, 0 lb.in], [100 lb, 4700 lb.in]]}",
    ),
    ("unusable: 1.5 USgal, arm: 47 in}", "unusable: 1.5 USgal, arm: 35 % MAC}"),
    ("[2300 lb, 38 in]", "[2300 lb, 87.4 lb.in/1000]"),
    ("[2300 lb, 38 in]", "[2300 lb, 20 % MAC]"),
    ("[2300 lb, 38 in]", "[2300 lb, 45.4 index]"),
    ("aft: [[1500 lb, 47 in], [2300 lb, 47 in]]", "aft: [[1500 lb, 70500 lb.in], [2300 lb, 35 % MAC]]"),
]


def figures(folder: Path, profile: str, flight: str = FLIGHT) -> list[float]:
    """Everything of a plan that could move: masses, moments, margins."""
    (folder / "profile.yaml").write_text(profile, encoding="utf-8")
    (folder / "flight.yaml").write_text(flight, encoding="utf-8")
    plan = plan_file(folder / "flight.yaml")
    assert {each.code for each in plan.findings} <= {"density-fixed-exact"}, plan.findings
    states = [each for state in plan.states for each in (state.total.mass, state.total.moment)]
    return [*states, *(limit.margin for state in plan.states for limit in state.limits)]


@pytest.mark.parametrize(("plain", "printed"), SAME, ids=[printed for _, printed in SAME])
def test_the_printed_form_gives_the_same_plan(plain: str, printed: str, tmp_path: Path) -> None:
    assert plain in PLAIN
    text = PLAIN.replace(plain, printed)
    assert figures(tmp_path, text) == pytest.approx(figures(tmp_path, PLAIN), rel=1e-12, abs=1e-9)
    jsonschema.Draft202012Validator(schema_of("aircraft")).validate(parse(text, "").value)


def test_a_moment_of_a_table_heading_is_read_as_what_it_means() -> None:
    read = read_quantity("127.1 lb.in/1000", "moment")
    assert read.value == pytest.approx(127.1e3 * POUND * INCH, rel=1e-15)
    assert read_quantity("1.5 kg.m/100", "moment").value == pytest.approx(150, rel=1e-15)
    for text in ("12 lb/1000", "12 kg.m/3", "12 lb.in/1000/10", "12 /1000"):
        with pytest.raises(InputRefused):
            read_quantity(text, "moment")


REFUSED = [
    (
        "arm: 37 in",
        "arm: 20 % MAC",
        "mean_aerodynamic_chord: {leading_edge: 26 in, length: 60 in}\n",
        "chord-missing",
    ),
    (
        "moment: 57000 lb.in",
        "moment: 47 index",
        "index: {reference_arm: 40 in, divisor: 1000 lb.in, constant: 50}\n",
        "index-undefined",
    ),
    ("arm: 37 in", "arm: 37 in, loading_line: [[0 lb, 0 lb.in], [400 lb, 14800 lb.in]]", "", "arm-twice"),
    ("arm: 37 in", "loading_line: [[0 lb, 1000 lb.in], [400 lb, 14800 lb.in]]", "", "loading-line"),
    ("arm: 37 in", "loading_line: [[0 lb, 0 lb.in]]", "", "table-shape"),
    ("divisor: 1000 lb.in", "divisor: 0 lb.in", "", "quantity-too-small"),
    ("tabs: 12 USgal", "tabs: 22 USgal", "", "tank-mark"),
    ("tabs: 12 USgal", "full: 12 USgal", "", "tank-mark"),
]


@pytest.mark.parametrize(("old", "new", "without", "code"), REFUSED, ids=[each[3] for each in REFUSED])
def test_what_is_not_defined_is_refused(old: str, new: str, without: str, code: str, tmp_path: Path) -> None:
    path = tmp_path / "profile.yaml"
    path.write_text(PLAIN.replace(old, new).replace(without, ""), encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        load_aircraft_file(path)
    assert [each.code for each in refused.value.findings] == [code]


def test_points_as_moments_with_lines_straight_in_cg_get_a_notice(tmp_path: Path) -> None:
    path = tmp_path / "profile.yaml"
    text = PLAIN.replace("[2300 lb, 38 in]", "[2300 lb, 87.4 lb.in/1000]").replace(
        "linear in moment", "linear in cg"
    )
    path.write_text(text, encoding="utf-8")
    assert [each.code for each in load_aircraft_file(path).notices] == ["edges-kind"]


def test_a_sample_printed_in_other_forms_is_held_to_their_digits(tmp_path: Path) -> None:
    path = tmp_path / "profile.yaml"
    for old, new in (
        ("moment: 76.3 lb.in/1000", "moment: 46.9 index"),
        ("moment: 76.3 lb.in/1000", "centre_of_gravity: 20.8 % MAC"),
    ):
        path.write_text(PLAIN.replace(old, new), encoding="utf-8")
        (made,) = examples_of(load_aircraft_file(path).record)
        assert made.agrees, made
        path.write_text(
            PLAIN.replace(old, new.replace("46.9", "47.9").replace("20.8", "21.8")), encoding="utf-8"
        )
        assert not examples_of(load_aircraft_file(path).record)[0].agrees


def test_full_empty_and_marks_of_a_tank(tmp_path: Path) -> None:
    plain = figures(tmp_path, PLAIN)
    marked = FLIGHT.replace("{left: 20 USgal, right: 12 USgal}", "{left: full, right: 12 USgal}")
    assert figures(tmp_path, PLAIN, marked) == pytest.approx(plain, rel=1e-12)
    marked = FLIGHT.replace("{left: 20 USgal, right: 12 USgal}", "{left: tabs, right: full}")
    figures(tmp_path, PLAIN, marked)
    tanks = plan_file(tmp_path / "flight.yaml").states[0].volumes
    assert tanks == pytest.approx((12 * US_GALLON, 20 * US_GALLON))
    figures(tmp_path, PLAIN, FLIGHT.replace("right: 12 USgal", "right: empty"))
    jsonschema.Draft202012Validator(schema_of("flight")).validate(parse(marked, "").value)


def test_a_mark_the_tank_has_not_is_refused_with_those_it_has(tmp_path: Path) -> None:
    with pytest.raises(InputRefused) as refused:
        figures(tmp_path, PLAIN, FLIGHT.replace("left: 20 USgal", "left: tab"))
    (only,) = refused.value.findings
    assert only.code == "tank-mark"
    assert "did you mean 'tabs'?" in only.hint
    assert only.where == "fuel > tanks > left"


def test_holding_may_be_left_out_until_a_rule_needs_it(tmp_path: Path) -> None:
    figures(tmp_path, PLAIN)  # us-vfr-day counts at cruise
    with pytest.raises(InputRefused) as refused:
        figures(tmp_path, PLAIN, FLIGHT.replace("us-vfr-day", "eu-vfr-day"))
    assert [each.code for each in refused.value.findings] == ["reserve-no-flow"]


def test_a_printed_form_gives_way_to_another_when_it_is_varied(tmp_path: Path) -> None:
    path = tmp_path / "profile.yaml"
    path.write_text(
        PLAIN.replace("arm: 37 in", "loading_line: [[0 lb, 0 lb.in], [400 lb, 14800 lb.in]]"),
        encoding="utf-8",
    )
    loaded = load_aircraft_file(path)
    assert loaded.record.stations["front seats"].arm.value == pytest.approx(37 * INCH)
    varied = loaded.with_({"stations.front seats.arm": "38 in"}).record.stations["front seats"]
    assert varied.arm.value == pytest.approx(38 * INCH)
    assert varied.loading_line is None


ABSURD = [
    ("[2300 lb, 38 in]", "[2300 lb, 1e300 % MAC]"),
    ("[2300 lb, 38 in]", "[2300 lb, 1e300 index]"),
    ("forward: [[1500 lb, 35 in]", "forward: [[1e-300 lb, 52 lb.in]"),
    ("arm: 37 in", "arm: 1e300 % MAC"),
    ("moment: 57000 lb.in", "moment: 1e300 index"),
    ("arm: 37 in", "loading_line: [[0 lb, 0 lb.in], [1e-300 lb, 14800 lb.in]]"),
    ("mass: 1984 lb, moment: 76.3", "basic_empty: {mass: 0 lb, arm: 1 in}, mass: 1984 lb, moment: 76.3"),
    ("density: 6.0 lb/USgal", "density: 0 lb/USgal"),
    ("fuel: 24 USgal", "fuel: 2400 USgal"),
    ("{mass: 1500 lb, moment: 57000 lb.in", "{mass: 0 lb, moment: 57 index"),
]


@pytest.mark.parametrize(("old", "new"), ABSURD, ids=[new for _, new in ABSURD])
def test_absurd_figures_are_refused_and_nothing_breaks(old: str, new: str, tmp_path: Path) -> None:
    assert old in PLAIN
    path = tmp_path / "profile.yaml"
    path.write_text(PLAIN.replace(old, new), encoding="utf-8")
    with pytest.raises(InputRefused):
        load_aircraft_file(path)
