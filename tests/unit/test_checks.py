"""Every finding of the profile checks, the flight checks and the plan is produced, at the line that is wrong.

A case is a good file with one edit. The line expected is that of the edited text, unless the case names
another.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import NamedTuple

import pytest

from planner.plan import plan_file
from planner.quantities.errors import Finding, InputRefused

ROOT = Path(__file__).parents[2]
PROFILE = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
FLIGHT = (
    (ROOT / "docs/flights/demo.yaml")
    .read_text(encoding="utf-8")
    .replace("aircraft: thornlea-t4 ", "aircraft: profile.yaml ")
)


class Case(NamedTuple):
    """`old` becomes `new` in the profile or the flight; `code` is found on the line where `at` (default:
    `new`) stands.
    """

    code: str
    old: str
    new: str
    at: str = ""
    severity: str = "refused"


RIGHT = "right: {capacity: 76 L, unusable: 4 L, arm: 2.410 m"
RIGHT_TABLE = "right: {capacity: 76 L, unusable: 4 L, arm: "
SHELF = "  shelf: {kind: baggage, arm: 4.050 m, max: 10 kg}"

PROFILE_CASES = (
    Case("arm-implausible", "arm: 3.005 m", "arm: 3005 m"),
    Case("arm-implausible", "arm: 2.235 +/- 0.004 m", "arm: 2235 m"),
    Case("arm-implausible", "lateral_arms: [-0.28 m", "lateral_arms: [-28 m"),
    Case("arm-implausible", "arm: 2.410 m, lateral_arm: 1.10 m", "arm: 2.410 m, lateral_arm: 110 m"),
    Case("arm-implausible", "[1085 kg, 2.370 m]", "[1085 kg, 237 m]"),
    Case("tank-unusable", "right: {capacity: 76 L, unusable: 4 L", "right: {capacity: 76 L, unusable: 76 L"),
    Case("tank-arm-table", RIGHT, RIGHT_TABLE + "[[0 L, 2.40 m], [70 L, 2.42 m]]"),
    Case("tank-arm-table", RIGHT, RIGHT_TABLE + "[[9 L, 2.40 m], [76 L, 2.42 m]]"),
    Case("feed-order", "feed: together", "feed: [left, rigth, right]"),
    Case("feed-order", "feed: together", "feed: [left, right, left]"),
    Case("feed-order", "feed: together", "feed: [left]"),
    Case("feed-order", "feed: together", "feed: sideways"),
    Case("feed-order", "feed: together", "feed: [[1, 2]]"),
    Case(
        "envelope-crossing",
        "aft: [[600 kg, 2.370 m], [1085 kg, 2.370 m]]",
        "aft: [[600 kg, 2.370 m], [1085 kg, 2.237 m]]",
        at="edges: linear in cg",
    ),
    Case(
        "envelope-span",
        "aft: [[600 kg, 2.370 m], [1085 kg, 2.370 m]]",
        "aft: [[1085 kg, 2.370 m], [1086 kg, 2.370 m]]",
        at="edges: linear in cg",
    ),
    Case("station-unknown", "forbids: [rear seats, baggage, shelf]", "forbids: [rear seat, baggage, shelf]"),
    Case("station-unknown", "stations: [baggage, shelf]", "stations: [bagage, shelf]"),
    Case("masses-order", "max_ramp: 1088 kg", "max_ramp: 1078 kg"),
    Case("masses-order", "max_landing: 1040 kg", "max_landing: 1090 kg"),
    Case("masses-order", "max_landing: 1040 kg", "max_zero_fuel: 1090 kg"),
    Case("masses-order", "mass: 688.4 +/- 2 kg", "mass: 1688.4 kg"),
    Case("masses-order", "max_takeoff: 900 kg", "max_takeoff: 1900 kg"),
    Case(
        "envelope-short",
        "aft: [[600 kg, 2.370 m], [1085 kg, 2.370 m]]",
        "aft: [[600 kg, 2.370 m], [1080 kg, 2.370 m]]",
        "edges: linear in cg",
        "notice",
    ),
    Case("tank-unknown", "right: {id: T4-R", "rihgt: {id: T4-R"),
    Case("grade-unknown", "fuel_grades: [avgas-100LL, avgas-UL91]", "fuel_grades: [avgas-100LL, avgas-UL19]"),
    Case(
        "dip-table-range",
        "reads: total, table: [[0 cm, 0 L], [5 cm, 14 L]",
        "reads: usable, table: [[0 cm, 0 L], [5 cm, 14 L]",
    ),
    Case("oil-unrecorded", "includes: [full oil, unusable fuel]", "includes: [unusable fuel]"),
    Case("oil-twice", "drains: [left", "oil: {volume: 7.6 L, arm: 1.1 m}\ndrains: [left", at="oil: {volume"),
    Case("tank-mark", RIGHT, RIGHT.replace("arm:", "marks: {tabs: 73 L}, arm:")),
    Case("load-too-many", "rear seats: [70 kg, 70 kg]", "rear seats: [70 kg, 70 kg, 70 kg]"),
    Case("flow-zero", "cruise: 33 L/h", "cruise: 0 L/h"),
    Case("lateral-order", "left: -0.05 m, right: 0.05 m", "left: 0.05 m, right: -0.05 m"),
    Case("chord-length", "length: 1.480 m", "length: 0 m"),
    Case("station-no-limit", SHELF, SHELF + "\n  bin: {kind: baggage, arm: 3 m}", "bin:", "notice"),
)

FLIGHT_CASES = (
    Case("category-unknown", "category: normal", "category: acrobatic"),
    Case("rules-unknown", "rules: us-vfr-day", "rules: us-vfr-dusk"),
    Case("station-unknown", "  rear seats:", "  rear seat:"),
    Case("tank-unknown", "tanks: {left: 31 L, right: 31 L}", "tanks: {left: 31 L, right: 31 L, centre: 5 L}"),
    Case("tank-unmentioned", "tanks: {left: 31 L, right: 31 L}", "tanks: {left: 31 L}"),
    Case("load-too-many", "rear seats: [78 kg, 72 kg]", "rear seats: [78 kg, 72 kg, 70 kg]"),
    Case("load-implausible", "rear seats: [78 kg, 72 kg]", "rear seats: [780 kg, 72 kg]"),
    Case("load-no-pilot", "front seats: [80 kg, 70 kg]", "front seats: [8 kg, 70 kg]", severity="notice"),
    Case("phase-no-burn", "time: 20 min, tank: left", "time: 20 min, flow: 0 L/h, tank: left"),
    Case(
        "phase-amount",
        "{phase: cruise, time: 20 min, tank: left}",
        "{phase: cruise, time: 20 min, fuel: 3 L, tank: left}",
        severity="notice",
    ),
    Case(
        "record-future",
        "category: normal",
        "date: 2026-03-01\ncategory: normal",
        "date: 2026-03-01",
        "notice",
    ),
    Case("load-no-standard", "baggage: 15 kg", "baggage: {how: standard}"),
    Case("grade-unknown", "grade: avgas-100LL", "grade: avgas-100XL"),
    Case("grade-not-allowed", "grade: avgas-100LL", "grade: jet-A1"),
    Case("temperature-missing", "  temperature: 22 degC ", "  # ", at="grade: avgas-100LL"),
    Case("temperature-implausible", "temperature: 22 degC", "temperature: 72 degC"),
    Case("phase-no-flow", "{phase: climb,", "{phase: aerobatics,"),
    Case("phase-no-flow", "alternate: {phase: cruise", "alternate: {phase: loiter"),
    Case("tank-unknown", "time: 15 min, tank: right}", "time: 15 min, tank: rihgt}"),
    Case("taxi-in-the-air", "{phase: cruise, time: 20 min, tank: left}", "{phase: taxi, fuel: 1 L}"),
    Case(
        "reserve-below-rule",
        "contingency: 5 %",
        "final_reserve: 20 min\ncontingency: 5 %",
        at="final_reserve:",
    ),
    Case("contingency-kind", "contingency: 5 %", "contingency: 150 %"),
    Case(
        "alternate-missing",
        "alternate: {phase: cruise, time: 10 min}",
        "# rules: us-ifr",
        "flight: 1",
        "notice",
    ),
    Case("density-implausible", "at_15C: 0.715 kg/L", "at_15C: 7.15 kg/L"),
    Case("density-out-of-range", "at_15C: 0.715 kg/L", "at_15C: 0.651 kg/L"),
    Case("density-not-grade", "at_15C: 0.715 kg/L", "at_15C: 0.790 kg/L"),
    Case(
        "density-fixed-exact",
        "density: {at_15C: 0.715 kg/L}",
        "density: {fixed: 0.715 kg/L}",
        "density:",
        "notice",
    ),
    Case("density-outside-band", "at_15C: 0.715 kg/L", "at_15C: 0.738 kg/L", severity="notice"),
    Case("dip-off-table", "left: 31 L, right: 31 L", "left: {dipstick: 25 cm}, right: 31 L"),
    Case("tank-below-unusable", "left: 31 L, right: 31 L", "left: {total: 3 L}, right: 31 L"),
    Case("tank-overfilled", "left: 31 L, right: 31 L", "left: 31 USgal, right: 31 L"),
    Case("fuel-may-vent", "left: 31 L, right: 31 L", "left: 71.5 L, right: 31 L", severity="notice"),
    Case("phase-longer-than-tank", "time: 15 min, tank: right}", "time: 95 min, tank: right}"),
    Case(
        "phase-longer-than-tank", "time: 15 min, tank: right}", "time: 45 min, tank: left}"
    ),  # the second cruise on 'left', not the first
    Case(
        "phase-longer-than-tank", "{phase: cruise, time: 10 min}", "{phase: cruise, time: 60 min, tank: left}"
    ),
    Case(
        "legs-follow",
        "discretionary: 3 L",
        "legs: [{name: back, trip: [{phase: cruise, time: 5 min}]}]\ndiscretionary: 3 L",
        "{name: back",
        "notice",
    ),
    Case("immediate-return", "discretionary: 3 L", "discretionary: 3.0 L", "flight: 1", "notice"),
    Case("aircraft-not-found", "aircraft: profile.yaml", "aircraft: profil.yaml"),
    Case(
        "aircraft-not-found", "aircraft: profile.yaml", "aircraft: " + "a" * 300
    ),  # longer than a file name may be
)


def _findings(folder: Path, flight: str, profile: str = PROFILE) -> tuple[Finding, ...]:
    (folder / "profile.yaml").write_text(profile, encoding="utf-8")
    (folder / "flight.yaml").write_text(flight, encoding="utf-8")
    try:
        return plan_file(folder / "flight.yaml").findings
    except InputRefused as refused:
        return refused.findings


def _edited(text: str, case: Case) -> tuple[str, int]:
    assert text.count(case.old) >= 1, case.old
    # The first place only: the profile repeats some texts for the second category.
    edited = text.replace(case.old, case.new, 1)
    if case.at:
        return edited, edited[: edited.index(case.at)].count("\n") + 1
    place = text.index(case.old)
    return edited, text[:place].count("\n") + 1


def _check(findings: tuple[Finding, ...], case: Case, file: str, line: int) -> None:
    hits = [each for each in findings if each.code == case.code]
    assert hits, [str(each) for each in findings]
    assert (Path(hits[0].path).name, hits[0].line, hits[0].severity) == (file, line, case.severity), str(
        hits[0]
    )
    if case.severity == "refused":
        assert {each.code for each in findings if each.severity == "refused"} == {case.code}, (
            "one mistake, one kind of finding"
        )


@pytest.mark.parametrize("case", PROFILE_CASES, ids=lambda case: f"{case.code}-{case.new[:30]}")
def test_a_mistake_in_the_profile(case: Case, tmp_path: Path) -> None:
    profile, line = _edited(PROFILE, case)
    if case.code in {"envelope-crossing", "envelope-span", "envelope-short"}:
        profile = profile[: profile.index("  utility:")] + profile[profile.index("lateral: {") :]
    _check(_findings(tmp_path, FLIGHT, profile), case, "profile.yaml", line)


@pytest.mark.parametrize("case", FLIGHT_CASES, ids=lambda case: f"{case.code}-{case.new[:30]}")
def test_a_mistake_in_the_flight(case: Case, tmp_path: Path) -> None:
    flight = (
        FLIGHT.replace("rules: us-vfr-day", "rules: us-ifr") if case.code == "alternate-missing" else FLIGHT
    )
    flight, line = _edited(flight, case)
    _check(_findings(tmp_path, flight), case, "flight.yaml", line)


def test_a_dip_without_a_stick(tmp_path: Path) -> None:
    profile = PROFILE[: PROFILE.index("dipsticks:")]
    flight = FLIGHT.replace("left: 31 L, right", "left: {dipstick: 10 cm}, right")
    findings = _findings(tmp_path, flight, profile)
    line = flight[: flight.index("{dipstick")].count("\n") + 1
    assert [(each.code, each.line) for each in findings] == [("dip-no-table", line)]


def test_a_rule_whose_flow_the_profile_lacks(tmp_path: Path) -> None:
    flight = FLIGHT.replace("rules: us-vfr-day", "rules: eu-vfr-day")
    findings = _findings(tmp_path, flight, PROFILE.replace(", holding: 25 L/h", ""))
    line = flight[: flight.index("rules:")].count("\n") + 1
    assert [(each.code, each.line) for each in findings] == [("reserve-no-flow", line)]


def test_contingency_as_a_time_needs_a_cruise_flow(tmp_path: Path) -> None:
    flight = FLIGHT.replace("rules: us-vfr-day", "rules: eu-vfr-day").replace(
        "contingency: 5 %", "contingency: 5 min"
    )
    flight = flight.replace("phase: cruise", "phase: holding")
    findings = _findings(tmp_path, flight, PROFILE.replace(" cruise: 33 L/h,", ""))
    line = flight[: flight.index("contingency:")].count("\n") + 1
    assert [(each.code, each.line) for each in findings] == [("phase-no-flow", line)]


def test_a_trip_that_only_taxies(tmp_path: Path) -> None:
    flight = FLIGHT[: FLIGHT.index("  - {phase: climb")] + FLIGHT[FLIGHT.index("alternate:") :]
    findings = _findings(tmp_path, flight)
    line = flight[: flight.index("- {phase: taxi")].count("\n") + 1  # a list begins at its first entry
    assert [(each.code, each.line) for each in findings] == [("trip-no-flight", line)]


def test_load_where_the_category_forbids_it(tmp_path: Path) -> None:
    flight = FLIGHT.replace("category: normal", "category: utility")
    hits = [each for each in _findings(tmp_path, flight) if each.code == "station-forbidden"]
    lines = [flight[: flight.index(text)].count("\n") + 1 for text in ("rear seats: [", "baggage: 15")]
    assert [(each.line, each.severity) for each in hits] == [(line, "notice") for line in lines]


def test_all_mistakes_are_told_at_once_in_the_order_of_the_file(tmp_path: Path) -> None:
    flight = FLIGHT.replace("category: normal", "category: acrobatic").replace(
        "grade: avgas-100LL", "grade: jet-A1"
    )
    flight = flight.replace("contingency: 5 %", "contingency: 150 %")
    findings = _findings(tmp_path, flight)
    assert [each.code for each in findings] == ["category-unknown", "grade-not-allowed", "contingency-kind"]
    assert [each.line for each in findings] == sorted(each.line for each in findings)


def test_a_wrong_density_and_a_tank_too_full_are_told_at_once(tmp_path: Path) -> None:
    flight = FLIGHT.replace("at_15C: 0.715 kg/L", "at_15C: 0.790 kg/L")
    flight = flight.replace("left: 31 L, right: 31 L", "left: 310 L, right: 311 L")
    codes = [each.code for each in _findings(tmp_path, flight)]
    assert codes == ["density-not-grade", "tank-overfilled", "tank-overfilled"]


def test_a_good_flight_has_nothing_refused(tmp_path: Path) -> None:
    assert [each.code for each in _findings(tmp_path, FLIGHT)] == ["immediate-return"]


def test_no_code_of_these_modules_is_left_out() -> None:
    names = (
        "records/aircraft/checks",
        "records/flight/checks",
        "plan/__init__",
        "plan/inputs",
        "plan/fuelling",
        "plan/states",
    )
    modules = [ROOT / "planner" / f"{name}.py" for name in names]
    # Of what is called so the argument with hyphens and no blank is the code, however the text is quoted.
    written = {
        code.value
        for path in modules
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(call, ast.Call) and getattr(call.func, "id", "") in ("found", "notice", "Finding")
        for code in call.args
        if isinstance(code, ast.Constant)
        and re.fullmatch(r"[a-z]+(-[a-z0-9]+)+", str(code.value))
        # not the findings of the kept records, which no flight file alone can bring about
        and not code.value.startswith("record-")
    }
    produced = {case.code for case in (*PROFILE_CASES, *FLIGHT_CASES)} | {
        "dip-no-table",
        "reserve-no-flow",
        "station-forbidden",
        "trip-no-flight",
    }
    assert len(written) > 30
    assert written <= produced, written - produced
