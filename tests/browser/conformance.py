"""The page's evaluator beside the program: the same random flights through both, every figure compared.

`python -m tests.browser.conformance --count 2000` from the root of the repository is the long run.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from planner.plan import plan_flight
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.records.store import load_flight_file
from planner.views.page.model_json import aircraft_json, shared_json
from tests.oracle.settle import finished

ASSETS = Path(__file__).resolve().parents[2] / "planner/views/page"
ENGINE = ("numbers.js", "tanks.js", "burn.js", "evaluator.js", "reading.js")
CLOSE = 1e-9  # relative: what the page promises
ROUNDING = 2e-14  # of the figures a margin is the difference of: what no order of summing can promise
# The evaluator's answer, cut to what is compared.
HARNESS = """
globalThis.answers = (shared, cases) => {
  const reader = makeReader(shared), evaluator = makeEvaluator(shared);
  const limit = (l) => [l.id, l.place, l.variant, l.value, l.limit, l.margin, l.U, l.verdict,
    l.doubt && [l.doubt.margin, l.doubt.U, l.doubt.fuel]];
  return cases.map(([aircraft, data]) => {
    const { flight, findings } = reader.read(aircraft, data);
    const refused = findings.filter((each) => each.severity !== "notice");
    if (refused.length) return { refused: refused.map((each) => each.what) };
    try {
      const plan = evaluator.evaluate(aircraft, flight), fuel = plan.fuel;
      const told = reader.notices(aircraft, flight, plan).filter((each) => each.severity !== "notice");
      if (told.length) return { refused: told.map((each) => each.what) };
      return {
        verdict: plan.verdict, vents: plan.vents.length, density: [plan.density.density, plan.density.u],
        limits: plan.limits.map(limit), crossings: plan.burn.crossings.map((c) => [c.name, c.direction, c.point.fuel, c.point.time]),
        states: plan.states.map((s) => [s.name, s.total.mass, s.total.moment, s.total.lateral, s.fuel]),
        fuel: [fuel.aboard, fuel.required, fuel.surplus, fuel.U, fuel.endurance], fuelVerdict: fuel.verdict,
        lines: fuel.lines.map((l) => [l.kind, l.name, l.volume, l.time]),
      };
    } catch (error) {
      if (error instanceof evaluator.Refused) return { refused: [error.message] };
      return { error: String(error.stack) };
    }
  });
};
"""


@dataclass
class Tally:
    """What a run met: flights compared, flights not drawn or refused by both, verdicts, differences."""

    flights: int = 0
    undrawn: int = 0
    refused: int = 0
    limits: int = 0
    crossings: int = 0
    verdicts: Counter[str] = field(default_factory=Counter)
    worst: float = 0.0
    differences: list[str] = field(default_factory=list)


def script() -> str:
    """Evaluator, reader and harness as one script, none of it on a page."""
    files = [(ASSETS / name).read_text(encoding="utf-8") for name in ENGINE]
    lasting = "globalThis.makeEvaluator = makeEvaluator; globalThis.makeReader = makeReader;"
    return f"(() => {{ {''.join(files)} {lasting} {HARNESS} }})(); true"


@lru_cache(maxsize=100)  # a test compares the same ones again, with something changed
def drawn(seed: int, number: int) -> tuple[Any, Any, Plan | None] | Literal["undrawn", "refused"]:
    """(aircraft, flight data, plan or None where the program refuses) of a random flight."""
    case = finished(seed, number)
    if case is None:
        return "undrawn"
    with tempfile.TemporaryDirectory() as folder:
        try:
            flight, aircraft = load_flight_file(case.write(Path(folder) / str(number)))
        except InputRefused:
            return "refused"
    try:
        plan = plan_flight(flight, aircraft)
    except InputRefused:
        plan = None
    return aircraft_json(aircraft.record, "case"), case.flight, plan


def compare(number: int, plan: Plan | None, answer: dict[str, Any], tally: Tally) -> None:
    """One flight: everything the page says of it against the plan."""

    def differ(what: str, ours: Any, theirs: Any) -> None:
        tally.differences.append(f"flight {number}: {what}: program {ours!r}, page {theirs!r}")

    def close(what: str, ours: float, theirs: float, scale: float = 0.0) -> None:
        off = abs(ours - theirs)
        if off > CLOSE * max(abs(ours), abs(theirs)) and off > ROUNDING * scale:
            differ(what, ours, theirs)
        elif ours:
            tally.worst = max(tally.worst, off / abs(ours) if off > ROUNDING * scale else 0.0)

    if "error" in answer:
        return differ("error", "", answer["error"])
    if "refused" in answer or plan is None:
        if ("refused" in answer) != (plan is None):
            differ("refused", "a plan" if plan else "refused", answer.get("refused", "a plan"))
        tally.refused += 1
        return None
    tally.flights += 1
    tally.verdicts[plan.verdict] += 1
    if plan.verdict != answer["verdict"]:
        differ("verdict", plan.verdict, answer["verdict"])
    vents = sum(each.code == "fuel-may-vent" for each in plan.findings)
    if vents != answer["vents"]:
        differ("tanks that may vent", vents, answer["vents"])
    close("density", plan.density.density, answer["density"][0])
    close("u of density", plan.density.u, answer["density"][1])
    for state, (name, *figures) in zip(plan.states, answer["states"], strict=True):
        ours = (state.total.mass, state.total.moment, state.total.lateral_moment, state.fuel)
        for what, mine, theirs in zip(("mass", "moment", "lateral", "fuel"), ours, figures, strict=True):
            close(f"{name} {what}", mine, theirs, state.total.mass)
    limits = plan.limits()[:-1]  # the fuel has figures of its own in the answer
    if len(limits) != len(answer["limits"]):
        return differ("limits", len(limits), len(answer["limits"]))
    for limit, theirs in zip(limits, answer["limits"], strict=True):
        tally.limits += 1
        identity, place, variant, value, bound, margin, uncertainty, verdict, doubt = theirs
        where = f"{limit.id} {limit.place}{limit.variant}"
        if (limit.id, limit.place, limit.variant, limit.verdict) != (identity, place, variant, verdict):
            differ(where, limit.verdict, f"{identity} {place}{variant} {verdict}")
        scale = max(abs(limit.value), abs(limit.limit), 1.0)
        close(f"{where} value", limit.value, value, scale)
        close(f"{where} limit", limit.limit, bound, scale)
        close(f"{where} margin", limit.margin, margin, scale)
        # Fuel stated by mass has one whatever its density: effects that cancel leave a last digit or none.
        close(f"{where} U", limit.uncertainty, uncertainty, 1.0)
        if (limit.doubt is None) != (doubt is None):
            differ(f"{where} doubt", limit.doubt, doubt)
        elif limit.doubt is not None:
            for what, mine, other in zip(
                ("margin", "U", "fuel"),
                (limit.doubt.margin, limit.doubt.uncertainty, limit.doubt.fuel),
                doubt,
                strict=True,
            ):
                close(f"{where} doubt {what}", mine, other, scale)
    crossed = [(each.limit, each.direction) for each in plan.burn.crossings]
    if crossed != [tuple(each[:2]) for each in answer["crossings"]]:
        return differ("crossings", crossed, answer["crossings"])
    tally.crossings += len(crossed)
    for each, (name, _, left, after) in zip(plan.burn.crossings, answer["crossings"], strict=True):
        close(f"{name} crossed with fuel left", each.point.fuel, left, 1.0)
        close(f"{name} crossed after", each.point.time, after, 1e4)
    fuel = plan.fuel
    names, figures = ("aboard", "required", "surplus", "U of surplus", "endurance"), answer["fuel"]
    for what, mine, other in zip(
        names,
        (fuel.aboard, fuel.required, fuel.surplus, fuel.uncertainty, fuel.endurance),
        figures,
        strict=True,
    ):
        close(what, mine, other, 1.0)
    if fuel.verdict != answer["fuelVerdict"]:
        differ("fuel verdict", fuel.verdict, answer["fuelVerdict"])
    if [line.name for line in fuel.lines] != [line[1] for line in answer["lines"]]:
        return differ("lines", [line.name for line in fuel.lines], answer["lines"])
    for line, other in zip(fuel.lines, answer["lines"], strict=True):
        close(f"line {line.name}", line.volume, other[2], 1e-3)
    return None


def run(page: Any, seed: int, first: int, count: int, batch: int = 50) -> Tally:
    """Random flights through both; `page` of a browser runs the evaluator."""
    tally, waiting = Tally(), []
    page.run(script())

    def flush() -> None:
        if not waiting:
            return
        cases = json.dumps([[aircraft, data] for _, aircraft, data, _ in waiting])
        answers = page.run(f"answers({json.dumps(shared_json())}, {cases})")
        for (number, _, _, plan), answer in zip(waiting, answers, strict=True):
            compare(number, plan, answer, tally)
        waiting.clear()

    for number in range(first, first + count):
        each = drawn(seed, number)
        if each == "undrawn":
            tally.undrawn += 1
        elif each == "refused":
            tally.refused += 1
        else:
            waiting.append((number, *each))
        if len(waiting) >= batch:
            flush()
    flush()
    return tally


def main() -> int:
    """The long run; exit code 1 where anything differs."""
    from tests.browser.browser import Browser

    parser = argparse.ArgumentParser(prog="python -m tests.browser.conformance", description=__doc__)
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0)
    wanted = parser.parse_args()
    with Browser() as browser:
        tally = run(browser.page(), wanted.seed, wanted.first, wanted.count)
    sys.stdout.write("".join(f"{line}\n" for line in tally.differences[:40]))
    sys.stdout.write(
        f"{tally.flights} flights, {tally.limits} limits and {tally.crossings} crossings compared, {tally.refused} refused by both,"
        f" {tally.undrawn} not drawn; verdicts {dict(tally.verdicts)}; largest relative difference"
        f" {tally.worst:.1e}; {len(tally.differences)} differences\n"
    )
    return 1 if tally.differences or not tally.flights else 0


if __name__ == "__main__":
    raise SystemExit(main())
