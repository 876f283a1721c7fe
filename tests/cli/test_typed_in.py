"""Two invented handbook pages, one in pounds, inches, US gallons and moments/1000, one metric, typed in with
slips: each is named before a verdict, by the check of the profile and by every flight of it.

A slip that stays inside what is believable shows only in a sample loading that uses the figure; those have
the code `example-differs`. What no check can see is said in docs/your-aircraft.md.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.app.given.asking import Dialogue
from planner.quantities.errors import InputRefused
from planner.records.questions import questions

AMERICAN = """Cressmere Redshank
Invented. Handbook page 6-7; weighing report 4 of 2026-01-20
us
front face of the firewall
avgas-100LL
1392 lb
52.9 lb.in/1000
2026-01-20
both
front seats
seats
2
36.0 in

rear seats
seats
2
70.5

baggage
baggage
94.0
100 lb

left
20 USgal
1.0
46.5 in
right
20 USgal
1.0
46.5

2200 lb
2207
2100

normal
arm
1400 lb at 34.0 in
1900 lb at 34.0
2200 at 37.5

1400 at 46.0
2200 at 46.0


1.5 USgal/h
10.5 USgal/h
8.0 USgal/h
6.0 USgal/h
11.0 USgal/h
left sump, right sump, strainer
sample loading, page 6-7

340 lb
150
40
38 USgal
6.0 lb/USgal
2150 lb
90.1 lb.in/1000
yes
"""
METRIC = """Holtwold Sedge
Invented. Handbook page 31; weighing report of 2026-02-03
metric
propeller flange
avgas-UL91
512 kg
943.1 kg.m
2026-02-03
both
seats
seats
2
1.900 m

baggage
baggage
2.600 m
20 kg

main
100 L
3 L
2.150 m

750 kg

720 kg

normal
arm
480 kg at 1.800 m
750 kg at 1.860 m

480 kg at 2.020 m
750 kg at 2.020 m


6 L/h
24 L/h
18 L/h
14 L/h
25 L/h
gascolator, tank sump
weighing report, example

160 kg
12 kg
60 L
0.72 kg/L
727.2 kg
1371.2 kg.m
yes
"""
# In the file, as an editor leaves it: what stood there, what was typed, the finding that names it.
AMERICAN_SLIPS = [
    ("arm: 70.5 in", "arm: 75.0 in", "example-differs"),
    ("arm: 70.5 in", "arm: 7.05 in", "arm-unlikely"),
    ("arm: 70.5 in", "arm: 705 in", "arm-unlikely"),
    ("arm: 94.0 in, max: 100 lb", "arm: 100 in, max: 94.0 lb", "example-differs"),
    ("[2200 lb, 37.5 in]", "[37.5 lb, 2200 in]", "table-not-ascending"),
    ("left: {capacity: 20 USgal", "left: {capacity: 20 L", "tank-overfilled"),
    ("mass: 1392 lb", "mass: 1392 kg", "masses-order"),
    ("arm: 94.0 in", "arm: -94.0 in", "arm-unlikely"),
    ("arm: 36.0 in", "arm: -36.0 in", "arm-unlikely"),
    (
        "forward: [[1400 lb, 34.0 in], [1900 lb, 34.0 in], [2200 lb, 37.5 in]]\n    aft: [[1400 lb, 46.0 in], [2200 lb, 46.0 in]]",
        "aft: [[1400 lb, 34.0 in], [1900 lb, 34.0 in], [2200 lb, 37.5 in]]\n    forward: [[1400 lb, 46.0 in], [2200 lb, 46.0 in]]",
        "envelope-crossing",
    ),
    (
        "[1900 lb, 34.0 in], [2200 lb, 37.5 in]",
        "[2200 lb, 37.5 in], [1900 lb, 34.0 in]",
        "table-not-ascending",
    ),
    (
        "[[1400 lb, 34.0 in], [1900 lb, 34.0 in], [2200 lb, 37.5 in]]",
        "[[1400 lb, 37.5 in], [1900 lb, 34.0 in], [2200 lb, 34.0 in]]",
        "envelope-unlikely",
    ),
    (
        "left: {capacity: 20 USgal, unusable: 1.0",
        "left: {capacity: 20 USgal, unusable: 21.0",
        "tank-unusable",
    ),
    ("left: {capacity: 20 USgal, unusable: 1.0", "left: {capacity: 1.0 USgal, unusable: 20", "tank-unusable"),
    ("moment: 52.9 lb.in/1000, date", "moment: 52.9 lb.in, date", "centre-unlikely"),
    ("moment: 52.9 lb.in/1000, date", "moment: 52.9 lb.in/100, date", "centre-unlikely"),
    ("moment: 52.9 lb.in/1000, date", "moment: 59.2 lb.in/1000, date", "example-differs"),
    ("cruise: 8.0 USgal/h", "cruise: 8.0 USgal/min", "quantity-unknown-unit"),
    ("cruise: 8.0 USgal/h", "cruise: 0.13 USgal/h", "flow-order"),
    ("cruise: 8.0 USgal/h", "cruise: 8.0 L/h", "unit-mixed"),
    ("cruise: 8.0 USgal/h", "cruise: 80 USgal/h", "flow-order"),
    ("max_landing: 2100 lb", "max_landing: 2300 lb", "masses-order"),
    ("max_landing: 2100 lb", "max_landing: 210 lb", "mass-limit-unlikely"),
    ("max_landing: 2100 lb", "max_landing: 1200 lb", "mass-limit-unlikely"),
    ("max_takeoff: 2200 lb", "max_takeoff: 2200 kg", "masses-order"),
    ("max_takeoff: 2200 lb", "max_takeoff: 2020 lb", "masses-order"),
    ("max_ramp: 2207 lb", "max_ramp: 2720 lb", "mass-limit-unlikely"),
    ("max_ramp: 2207 lb", "max_ramp: 22070 lb", "mass-limit-unlikely"),
    ("max: 100 lb", "max: 1000 lb", "station-unlikely"),
    ("max: 100 lb", "max: 10 lb", "example-differs"),
    ("[2200 lb, 46.0 in]", "[2200 lb, 64.0 in]", "envelope-unlikely"),
    ("[2200 lb, 46.0 in]", "[220 lb, 46.0 in]", "table-not-ascending"),
    ("[1400 lb, 46.0 in]", "[1400 lb, 4.6 in]", "envelope-crossing"),
    ("[1900 lb, 34.0 in]", "[1900 lb, 43.0 in]", "envelope-unlikely"),
    ("[1900 lb, 34.0 in]", "[9100 lb, 34.0 in]", "table-not-ascending"),
    ("holding: 6.0 USgal/h", "holding: 60 USgal/h", "flow-order"),
    ("holding: 6.0 USgal/h", "holding: 0.6 USgal/h", "flow-order"),
    ("taxi: 1.5 USgal/h", "taxi: 15 USgal/h", "flow-order"),
    ("climb: 10.5 USgal/h", "climb: 1.05 USgal/h", "flow-order"),
    ("climb: 10.5 USgal/h", "climb: 105 USgal/h", "flow-order"),
    (
        "right: {capacity: 20 USgal, unusable: 1.0 USgal, arm: 46.5 in",
        "right: {capacity: 20 USgal, unusable: 1.0 USgal, arm: 64.5 in",
        "tank-unlikely",
    ),
    ("right: {capacity: 20 USgal", "right: {capacity: 200 USgal", "fuel-unlikely"),
    ("right: {capacity: 20 USgal", "right: {capacity: 2.0 USgal", "tank-overfilled"),
    (
        "front seats: {kind: seats, seats: 2, arm: 36.0 in}\n  rear seats: {kind: seats, seats: 2, arm: 70.5 in}",
        "front seats: {kind: seats, seats: 2, arm: 70.5 in}\n  rear seats: {kind: seats, seats: 2, arm: 36.0 in}",
        "arm-unlikely",
    ),
    ("mass: 1392 lb", "mass: 1932 lb", "centre-unlikely"),
    ("mass: 1392 lb", "mass: 139.2 lb", "centre-unlikely"),
    ("date: 2026-01-20, includes", "date: 2062-01-20, includes", "record-ahead"),
]
METRIC_SLIPS = [
    ("arm: 2.600 m", "arm: 2.060 m", "example-differs"),
    ("arm: 1.900 m", "arm: 190 m", "arm-implausible"),
    ("arm: 1.900 m", "arm: 1.090 m", "example-differs"),
    ("arm: 1.900 m", "arm: -1.900 m", "arm-unlikely"),
    ("arm: 2.600 m", "arm: -2.600 m", "arm-unlikely"),
    ("arm: 2.150 m", "arm: -2.150 m", "tank-unlikely"),
    ("arm: 2.150 m", "arm: 2.150 in", "unit-mixed"),
    ("arm: 2.600 m, max: 20 kg", "arm: 20 m, max: 2.600 kg", "arm-unlikely"),
    ("[750 kg, 1.860 m]", "[1.860 kg, 750 m]", "table-not-ascending"),
    ("capacity: 100 L", "capacity: 100 USgal", "unit-mixed"),
    ("capacity: 100 L", "capacity: 10 L", "tank-overfilled"),
    ("capacity: 100 L", "capacity: 100 mL", "tank-unusable"),
    ("mass: 512 kg", "mass: 512 lb", "unit-mixed"),
    (
        "forward: [[480 kg, 1.800 m], [750 kg, 1.860 m]]\n    aft: [[480 kg, 2.020 m], [750 kg, 2.020 m]]",
        "aft: [[480 kg, 1.800 m], [750 kg, 1.860 m]]\n    forward: [[480 kg, 2.020 m], [750 kg, 2.020 m]]",
        "envelope-crossing",
    ),
    ("[480 kg, 1.800 m], [750 kg, 1.860 m]", "[750 kg, 1.860 m], [480 kg, 1.800 m]", "table-not-ascending"),
    ("unusable: 3 L", "unusable: 103 L", "tank-unusable"),
    ("unusable: 3 L", "unusable: 30 L", "tank-unlikely"),
    ("moment: 943.1 kg.m, date", "moment: 9431 kg.m, date", "centre-unlikely"),
    ("moment: 943.1 kg.m, date", "moment: 943.1 kg.cm, date", "quantity-unknown-unit"),
    ("moment: 943.1 kg.m, date", "moment: 94.31 kg.m, date", "centre-unlikely"),
    ("moment: 943.1 kg.m, date", "moment: 943.1 lb.in, date", "centre-unlikely"),
    ("cruise: 18 L/h", "cruise: 18 L/min", "flow-order"),
    ("cruise: 18 L/h", "cruise: 0.3 L/h", "flow-order"),
    ("cruise: 18 L/h", "cruise: 18 USgal/h", "unit-mixed"),
    ("max_landing: 720 kg", "max_landing: 770 kg", "masses-order"),
    ("max_landing: 720 kg", "max_landing: 720 lb", "unit-mixed"),
    ("max_takeoff: 750 kg", "max_takeoff: 705 kg", "masses-order"),
    ("max_takeoff: 750 kg", "max_takeoff: 750 lb", "masses-order"),
    ("max: 20 kg", "max: 200 kg", "station-unlikely"),
    ("max: 20 kg", "max: 20 lb", "unit-mixed"),
    ("[750 kg, 2.020 m]]", "[750 kg, 2.200 m]]", "envelope-unlikely"),
    ("[480 kg, 1.800 m]", "[480 kg, 1.080 m]", "envelope-unlikely"),
    ("[480 kg, 1.800 m]", "[480 lb, 1.800 m]", "unit-mixed"),
    ("holding: 14 L/h", "holding: 41 L/h", "flow-order"),
]
# At the questions of `planner aircraft new`: what was answered in place of what.
AMERICAN_ANSWERS = [
    ("70.5", "75.0", "example-differs"),
    ("94.0\n100 lb", "100\n94.0 lb", "example-differs"),
    ("20 USgal\n1.0\n46.5 in", "20 L\n1.0\n46.5 in", "tank-overfilled"),
    ("1392 lb", "1392 kg", "masses-order"),
    ("94.0\n", "-94.0\n", "arm-unlikely"),
    (
        "1400 lb at 34.0 in\n1900 lb at 34.0\n2200 at 37.5",
        "1400 lb at 37.5 in\n1900 lb at 34.0\n2200 at 34.0",
        "envelope-unlikely",
    ),
    ("20 USgal\n1.0\n46.5 in", "20 USgal\n21.0\n46.5 in", "tank-unusable"),
    ("52.9 lb.in/1000", "52.9 lb.in", "centre-unlikely"),
    ("8.0 USgal/h", "0.13 USgal/h", "endurance-unlikely"),
    ("2100\n", "2300\n", "masses-order"),
]
METRIC_ANSWERS = [
    ("2.600 m\n20 kg", "2.060 m\n20 kg", "example-differs"),
    ("2.600 m\n20 kg", "20 m\n2.600 kg", "arm-unlikely"),
    ("100 L", "100 USgal", "unit-mixed"),
    ("512 kg", "512 lb", "unit-mixed"),
    ("1.900 m", "-1.900 m", "arm-unlikely"),
    ("480 kg at 1.800 m\n750 kg at 1.860 m", "750 kg at 1.860 m\n480 kg at 1.800 m", "table-not-ascending"),
    ("3 L\n", "103 L\n", "tank-unusable"),
    ("943.1 kg.m", "9431 kg.m", "centre-unlikely"),
    ("18 L/h", "18 L/min", "endurance-unlikely"),
    ("720 kg\n", "770 kg\n", "masses-order"),
]
FLIGHT = """flight: 1
aircraft: typed.yaml
category: normal
rules: us-vfr-day
date: 2026-05-01
load: {{{first}: 150 lb}}
fuel: {{grade: {grade}, density: {{fixed: 0.72 kg/L}}, tanks: {tanks}}}
trip: [{{phase: cruise, fuel: 10 L}}]
"""


def typed(answers: str) -> str:
    """The file that the dialogue writes."""
    lines = iter(answers.splitlines())
    return Dialogue(questions, lambda _: None, lambda _: next(lines, None)).run()


def named(text: str, folder: Path) -> list[tuple[str, int]]:
    """Code and line of everything that `planner aircraft check` says of the file."""
    path = folder / "typed.yaml"
    path.write_text(text, encoding="utf-8")
    done = CliRunner().invoke(app, ["aircraft", "check", str(path), "--json"])
    return [(each["code"], each["line"]) for each in json.loads(done.stdout)["findings"]]


PAGES = {
    "american": (AMERICAN, AMERICAN_SLIPS, AMERICAN_ANSWERS),
    "metric": (METRIC, METRIC_SLIPS, METRIC_ANSWERS),
}


@pytest.mark.parametrize("page", PAGES)
def test_a_page_typed_in_right_is_not_accused(page: str, tmp_path: Path) -> None:
    assert named(typed(PAGES[page][0]), tmp_path) == []


@pytest.mark.parametrize("page", PAGES)
def test_every_slip_of_an_editor_is_named(page: str, tmp_path: Path) -> None:
    answers, slips, _ = PAGES[page]
    right, missed = typed(answers), []
    for old, new, code in slips:
        assert right.count(old) == 1, old
        if code not in {each for each, _ in named(right.replace(old, new), tmp_path)}:
            missed.append((new, code))
    assert len(slips) >= 30
    assert not missed


@pytest.mark.parametrize("page", PAGES)
def test_every_slip_at_the_questions_is_named(page: str, tmp_path: Path) -> None:
    answers, _, slips = PAGES[page]
    missed = []
    for old, new, code in slips:
        made = typed(answers.replace(old, new, 1))
        if code not in {each for each, _ in named(made, tmp_path)}:
            missed.append((new, code))
    assert len(slips) == 10
    assert not missed


@pytest.mark.parametrize("page", PAGES)
def test_a_flight_of_it_says_so_before_its_verdict_is_trusted(page: str, tmp_path: Path) -> None:
    """Whoever skips the check is told by the plan: refused, or a notice, never a bare verdict."""
    answers, _, slips = PAGES[page]
    grade = answers.splitlines()[4]
    tanks = "{left: 4 USgal, right: 4 USgal}" if page == "american" else "{main: 40 L}"
    first = "front seats" if page == "american" else "seats"
    flight = FLIGHT.format(first=first, grade=grade, tanks=tanks)
    (tmp_path / "flight.yaml").write_text(flight, encoding="utf-8")
    for old, new, code in slips:
        (tmp_path / "typed.yaml").write_text(typed(answers.replace(old, new, 1)), encoding="utf-8")
        done = CliRunner().invoke(app, ["flight", str(tmp_path / "flight.yaml"), "--json"])
        refused = isinstance(done.exception, InputRefused)
        findings = done.exception.findings if refused else json.loads(done.stdout)["findings"]
        codes = {each.code if refused else each["code"] for each in findings}
        assert code in codes, (new, codes)


def test_a_slip_stands_at_its_own_line(tmp_path: Path) -> None:
    """Where the figure itself is not believable, its line is named, or that of the figure it disagrees with, and not only the sample's."""
    right, elsewhere = typed(AMERICAN), []
    for old, new, code in AMERICAN_SLIPS:
        line = right[: right.index(old)].count("\n") + 1
        found = named(right.replace(old, new), tmp_path)
        of_sample = ("example-differs", "tank-overfilled")  # what its fuel no longer fits into
        if code not in of_sample and not any(abs(where - line) <= 2 for _, where in found):
            elsewhere.append((new, line, found))
    assert not elsewhere
