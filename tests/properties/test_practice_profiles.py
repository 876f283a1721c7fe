"""Profiles unlike those that come with the program: whatever can be set is right, and whatever cannot says
why.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from planner.quantities.units import Display
from planner.records.store import load_aircraft_file
from planner.school.craft import craft_of
from planner.school.demonstrations.list_of import DEMONSTRATIONS
from planner.school.dice import Pen
from planner.school.lab import Lab
from planner.school.marking.mark import mark_problem
from planner.school.problem import NotSettable
from planner.school.problems.loads import LoadFacts
from planner.school.topics import TOPICS, set_one
from tests.sizes import examples

ROOT = Path(__file__).resolve().parents[2]
# Without their samples, which name what the variants take away.
TEASEL, T4 = (
    (ROOT / f"aircraft_profiles/{name}.yaml")
    .read_text(encoding="utf-8")
    .partition("\n# The sample loadings")[0]
    + "\n"
    for name in ("hazelbrook-teasel", "thornlea-t4")
)


def without(text: str, *patterns: str) -> str:
    for pattern in patterns:
        changed = re.sub(pattern, "", text, flags=re.MULTILINE)
        assert changed != text, pattern
        text = changed
    return text


VARIANTS = {
    "no baggage place": without(TEASEL, r"^  baggage: .*\n"),
    "one seat": (
        TEASEL.replace("seats: 2,", "seats: 1,").replace(
            "lateral_arms: [-0.26 m, 0.26 m]", "lateral_arms: [0 m]"
        )
    ),
    "only a holding flow": re.sub(
        r"^burn: .*$", "burn: {taxi: 6 L/h, holding: 12 L/h}", TEASEL, flags=re.MULTILINE
    ),
    "no landing, ramp or chord": without(
        TEASEL.replace(
            "{max_ramp: 602 kg, max_takeoff: 600 kg, max_landing: 600 kg}", "{max_takeoff: 600 kg}"
        ),
        r"^mean_aerodynamic_chord.*\n",
    ),
    "oil and unusable fuel left out of the basic empty mass": (
        TEASEL.replace("includes: [full oil, unusable fuel]", "includes: []")
        + "oil: {volume: 3 L, arm: -0.400 m}\n"
    ),
    "motor gasoline": re.sub(
        r"^fuel_grades: .*$", "fuel_grades: [motor-gasoline-EN228]", TEASEL, flags=re.MULTILINE
    ),
    "another chart": T4.replace("edges: linear in cg", "edges: linear in moment"),
    "no limits on baggage": T4.replace(", max: 40 kg", "").replace(", max: 10 kg", ""),
    "hardly any room": TEASEL.replace(
        "max_ramp: 602 kg, max_takeoff: 600 kg, max_landing: 600 kg", "max_takeoff: 480 kg"
    ),
}


@pytest.mark.parametrize("name", VARIANTS)
def test_problems_are_right_or_refused_with_a_reason(name: str, tmp_path: Path) -> None:
    path = tmp_path / "own.yaml"
    loaded = load_aircraft_file(path, VARIANTS[name])
    crafts = [craft_of(loaded, Pen(Display("metric"))), craft_of(loaded, Pen(Display("us")))]
    settable = 0
    for number, topic in enumerate(TOPICS):
        for seed in range(examples(3)):  # the levels and systems in turn
            try:
                problem = set_one(crafts[(number + seed) % 2], topic, 1 + (number + seed) % 5, seed)
            except NotSettable as reason:
                assert len(str(reason)) > 20  # noqa: PT017 - both ways out are right, and each is checked
                continue
            settable += 1
            right = problem.right()
            assert all(isinstance(value, str) or math.isfinite(value) for value in right.values())
            marks = mark_problem(problem, {ask.key: ask.text(right[ask.key]) for ask in problem.asks})
            assert {mark.result for mark in marks} == {"right"}, (topic, seed)
    assert settable >= 8 * examples(3)


def test_fluids_the_record_leaves_out_stand_in_the_loading(tmp_path: Path) -> None:
    loaded = load_aircraft_file(
        tmp_path / "own.yaml", VARIANTS["oil and unusable fuel left out of the basic empty mass"]
    )
    problem = set_one(craft_of(loaded, Pen(Display())), "moments", 2, 1)
    assert isinstance(problem.facts, LoadFacts)
    names = [row[0] for row in problem.tables[0].rows]
    assert names[:3] == ["basic empty mass", "oil", "unusable fuel main"]
    assert "includes" not in problem.question[0]
    assert problem.facts.unusable == 0.0


@pytest.mark.parametrize("name", VARIANTS)
def test_demonstrations_run_or_say_why_not(name: str, tmp_path: Path) -> None:
    loaded = load_aircraft_file(tmp_path / "own.yaml", VARIANTS[name])
    for each in DEMONSTRATIONS.values():
        try:
            lab = Lab(loaded)
            shown = each.work(lab, lab.pen)
        except NotSettable as reason:
            assert len(str(reason)) > 20  # noqa: PT017 - both ways out are right, and each is checked
            continue
        assert shown.found[0]
        assert shown.table.rows
