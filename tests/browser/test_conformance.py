"""The page's figures are the program's: random flights through both, and a check that the check can fail."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planner.plan import plan_flight
from planner.records.store import load_flight_file
from planner.views.page.model_json import aircraft_json, shared_json
from tests.browser import conformance

ROOT = Path(__file__).resolve().parents[2]
# The example flights of the documentation.
DEMOS = [
    path
    for path in sorted((ROOT / "docs/flights").glob("*.yaml"))
    if "\nflight: 1" in path.read_text(encoding="utf-8")
]


@pytest.mark.parametrize("first", range(0, 200, 50))
def test_random_flights_agree(page: Callable[..., Any], first: int) -> None:
    """Every margin, U and verdict within 1e-9 of the program's."""
    tally = conformance.run(page(), seed=1, first=first, count=50)
    assert not tally.differences, "\n".join(tally.differences[:20])
    assert tally.flights >= 40
    assert tally.limits > 20 * tally.flights


@pytest.mark.parametrize("key", ["coverage", "far", "farthest"])
def test_the_comparison_sees_a_changed_constant(
    page: Callable[..., Any], monkeypatch: pytest.MonkeyPatch, key: str
) -> None:
    """A millionth more of a constant, or a bend followed half as far, is found."""
    changed = shared_json()
    changed["constants"][key] *= 1 + 1e-6 if key == "coverage" else 0.5
    monkeypatch.setattr(conformance, "shared_json", lambda: changed)
    tally = conformance.run(page(), seed=1, first=0, count=60)
    assert tally.differences


def test_the_example_flights_agree(page: Callable[..., Any]) -> None:
    """The flights of the documentation on their profiles, as far as the page offers what they use."""
    shown, cases, plans = page(), [], []
    shown.run(conformance.script())
    for path in DEMOS:
        flight, aircraft = load_flight_file(path)
        data = json.loads(json.dumps(flight.document.value, default=str))
        if any(word in json.dumps(data) for word in ('"bottle"', '"hydrometer"', '"from"', '"legs"')):
            continue
        cases.append([aircraft_json(aircraft.record, "case"), data])
        plans.append((path, plan_flight(flight, aircraft)))
    assert len(plans) > 8
    answers = shown.run(f"answers({json.dumps(shared_json())}, {json.dumps(cases)})")
    tally = conformance.Tally()
    for number, ((_, plan), answer) in enumerate(zip(plans, answers, strict=True)):
        conformance.compare(number, plan, answer, tally)
    assert not tally.differences, "\n".join(tally.differences[:20])
    assert tally.flights > 8


# Loads moved place by place through one evaluator, which keeps what they do not change, and through a new one each.
MOVED = """((shared, cases) => {
  const kept = [makeReader(shared), makeEvaluator(shared)], told = [];
  const ask = ([reader, evaluator], aircraft, data) => {
    const { flight } = reader.read(aircraft, data), plan = evaluator.evaluate(aircraft, flight);
    return [flight.fuel, JSON.stringify([plan.limits, plan.states, plan.verdict, plan.burn.crossings.map((each) => each.fuel)])];
  };
  for (const [aircraft, data] of cases) {
    let before = null, load = data.load || {};
    for (let step = 0; step < 4; step++) {
      const name = Object.keys(load)[step % Object.keys(load).length];
      const moved = JSON.parse(JSON.stringify(load[name]), (key, each) => typeof each === "string" ? each.replace(/^[\\d.]+/, (mass) => Number(mass) + step) : each);
      load = { ...load, [name]: moved };
      const [fuel, ours] = ask(kept, aircraft, { ...data, load }), [, anew] = ask([makeReader(shared), makeEvaluator(shared)], aircraft, { ...data, load });
      told.push([fuel === before, ours === anew]);
      before = fuel;
    }
  }
  return told;
})"""


def test_a_load_that_moves_is_planned_as_if_anew(page: Callable[..., Any]) -> None:
    shown = page()
    shown.run(conformance.script())
    drawn = [conformance.drawn(5, number) for number in range(30)]
    cases = [each[:2] for each in drawn if not isinstance(each, str) and each[2] is not None]
    told = shown.run(f"{MOVED}({json.dumps(shared_json())}, {json.dumps(cases)})")
    assert sum(kept for kept, _ in told) == 3 * len(cases) > 30
    assert all(alike for _, alike in told)


def test_the_scripts_are_typed() -> None:
    """`tsc --checkJs` finds nothing, where this machine has it."""
    checker = shutil.which("tsc")
    if checker is None:
        pytest.skip("no tsc on this machine")
    files = sorted(map(str, conformance.ASSETS.glob("*.js")))
    options = ["--checkJs", "--allowJs", "--noEmit", "--strict", "--target", "es2022", "--lib", "es2022,dom"]
    done = subprocess.run([checker, *options, *files], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_the_evaluator_stays_short() -> None:
    """Below 700 lines, comments and all."""
    text = (conformance.ASSETS / "evaluator.js").read_text(encoding="utf-8")
    assert len(text.splitlines()) < 700
