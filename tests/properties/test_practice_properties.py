"""Hundreds of problems of every topic: each has one right answer, plausible figures, and a solution that
agrees with what the page prints.

The check does not trust the problem's own facts: it reads the printed tables again and adds them up with
plain arithmetic.
"""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from planner.quantities.units import Display, UnitSystem, read_quantity
from planner.records.store import load_aircraft, profile_ids
from planner.school.craft import Craft, craft_of
from planner.school.dice import Pen
from planner.school.lab import Lab
from planner.school.marking.mark import mark_problem
from planner.school.marking.writing import agrees
from planner.school.problem import LEVELS, Answers, NotSettable, Problem
from planner.school.problems.bench import BottleFacts, WeighingFacts
from planner.school.problems.correction import CorrectionFacts
from planner.school.problems.examined.in_flight import BurnFacts, CheckFacts
from planner.school.problems.examined.jacks import JackFacts
from planner.school.problems.examined.room_for_both import PayloadFacts
from planner.school.problems.examined.sideways import LateralFacts
from planner.school.problems.fuel_amounts import DensityFacts, FuelMassFacts, UnitFacts
from planner.school.problems.fuel_plan import FuelPlanFacts
from planner.school.problems.graphs.envelope_paper import PaperFacts
from planner.school.problems.graphs.loading_graph import GraphFacts
from planner.school.problems.graphs.tables import TableFacts
from planner.school.problems.landing import LandingFacts
from planner.school.problems.loads import LoadFacts
from planner.school.problems.moving import ShiftFacts
from planner.school.problems.room import RoomFacts
from planner.school.topics import TOPICS, set_one, set_problems
from tests.sizes import examples

ROOT = Path(__file__).resolve().parents[2]
SEEDS = examples(40)  # eight hundred in the long run, `python -m tests.long examples`
# Exact factors, written here once more: a slip in the program's table would show.
SI = {
    "kg": 1.0,
    "lb": 0.45359237,
    "m": 1.0,
    "in": 0.0254,
    "L": 1e-3,
    "USgal": 3.785411784e-3,
    "impgal": 4.54609e-3,
    "mL": 1e-6,
}
SI |= {
    "kg/L": 1000.0,
    "lb/USgal": 0.45359237 / 3.785411784e-3,
    "lb/impgal": 0.45359237 / 4.54609e-3,
    "g": 1e-3,
}


def craft(name: str, system: UnitSystem = "metric") -> Craft:
    return craft_of(load_aircraft(name), Pen(Display(system)))


def si(text: str) -> float:
    digits, unit = text.split(" ", 1)
    return float(digits) * SI[unit]


def printed_mass(text: str) -> float:
    """`82 kg`, `82 kg + 75 kg`, `104 L at 0.720 kg/L` [kg]."""
    if " at " in text:
        volume, density = text.split(" at ")
        return si(volume) * si(density)
    return math.fsum(si(part) for part in text.split(" + "))


def printed_load(problem: Problem) -> tuple[float, float]:
    """Mass and moment of the printed loading [kg, kg.m]."""
    table = next(table for table in problem.tables if table.heads == ("item", "mass", "arm"))
    rows = [(printed_mass(mass), si(arm)) for _, mass, arm in table.rows]
    assert all(mass > 0 for mass, _ in rows)
    return math.fsum(mass for mass, _ in rows), math.fsum(mass * arm for mass, arm in rows)


def printed_limit(problem: Problem, side: str, mass: float) -> float:
    """The limit [m] at a mass, on straight lines of CG between the printed points (only for charts of CG)."""
    table = next(table for table in problem.tables if table.heads[0] == "limit" and len(table.heads) == 3)
    points = [(si(at), si(arm)) for name, at, arm in table.rows if name == side]
    if mass <= points[0][0] or mass >= points[-1][0]:
        return points[0][1] if mass <= points[0][0] else points[-1][1]
    for (m1, a1), (m2, a2) in pairwise(points):
        if m1 <= mass <= m2:
            return a1 + (a2 - a1) * (mass - m1) / (m2 - m1)
    raise AssertionError("the points do not ascend")


def close(given: object, expected: float, relative: float = 1e-9) -> None:
    assert isinstance(given, float)
    assert given == pytest.approx(expected, rel=relative, abs=1e-9)


def check_load(problem: Problem, facts: LoadFacts, right: Answers) -> None:
    if problem.topic == "mac" and problem.level == 1:
        assert facts.chord is not None
        close(right["mac"], (facts.lines[0].arm - facts.chord[0]) / facts.chord[1])
        return
    mass, moment = printed_load(problem)
    close(right["mass"], mass)
    close(right["moment"], moment)
    close(right["cg"], moment / mass)
    if problem.topic == "index":
        close(right["index"], moment / facts.divisor)
    if facts.chord is not None:
        close(right["mac"], (moment / mass - facts.chord[0]) / facts.chord[1])
    if (
        problem.topic == "envelope"
        and facts.category is not None
        and facts.category.record.edges == "linear in cg"
    ):
        forward, aft = (printed_limit(problem, side, mass) for side in ("forward", "aft"))
        assert right["verdict"] == (
            "inside" if forward <= moment / mass <= aft and mass <= facts.category.top.value else "outside"
        )
        close(right["limit"], forward if facts.side == "forward" else aft)
        close(right["margin"], moment / mass - forward if facts.side == "forward" else aft - moment / mass)
        # The word never hangs on rounding: whoever rounds the CG as asked comes to the same one.
        assert min(abs(moment / mass - forward), abs(aft - moment / mass)) > 0.0035
    if problem.topic != "envelope" and facts.category is not None:
        assert right["verdict"] == "inside"
    assert bool(problem.outside) == (right.get("verdict") == "outside")


def check_units(problem: Problem, facts: UnitFacts, right: Answers) -> None:
    # The same quantity through the other reading of the same text: number and unit as a record would hold
    # them.
    quantity = read_quantity(
        f"{facts.number} {facts.unit}", *([problem.asks[0].dimension] if problem.asks[0].dimension else [])
    )
    close(right["converted"], quantity.value)
    if facts.unit in SI and facts.wanted in SI:
        close(problem.asks[0].in_unit(quantity.value), facts.number * SI[facts.unit] / SI[facts.wanted])


def check_density(problem: Problem, facts: DensityFacts, right: Answers) -> None:
    given = re.search(r"a = (0\.\d+) per degC", " ".join(problem.question))
    assert given is not None
    there = facts.known_at if facts.wanted_at == 15.0 else facts.wanted_at
    step = float(given[1]) * (there - 15)
    factor = math.exp(-step * (1 + 0.8 * step))
    expected = facts.density / factor if facts.wanted_at == 15.0 else facts.density * factor
    close(right["density"], expected, 3e-5)  # the printed expansion has six decimals
    assert 640 < expected < 880


def check_fuel_mass(_problem: Problem, facts: FuelMassFacts, right: Answers) -> None:
    amount, density = facts.number * SI[facts.unit], facts.density_number * SI[facts.density_unit]
    if facts.wanted == "volume":
        close(right["volume"], amount / density)
        return
    close(right["mass"], (amount - (facts.unusable if facts.total else 0.0)) * density)
    assert 640 < density < 880


def check_room(problem: Problem, facts: RoomFacts, right: Answers) -> None:
    close(facts.ramp, printed_load(problem)[0])
    assert right["room"] > 1.0
    more, most = right["room"], dict(facts.limits)
    # With just that much more nothing is passed, with a little more something is.
    kept = [
        facts.ramp - facts.taxi + more <= most["take-off mass"] + 1e-9,
        "ramp mass" not in most or facts.ramp + more <= most["ramp mass"] + 1e-9,
    ]
    assert all(kept)
    assert sorted(facts.rooms().values())[0] == more


def check_fuel_plan(problem: Problem, facts: FuelPlanFacts, right: Answers) -> None:
    trip = math.fsum(time * flow for _, time, flow in facts.phases)
    reserve = facts.rule.final_reserve * dict(facts.flows)[facts.rule.basis]
    alternate = facts.alternate[0] * facts.alternate[1] if facts.alternate is not None else 0.0
    required = facts.taxi + trip * (1 + facts.contingency) + alternate + reserve
    for key, value in (
        ("trip", trip),
        ("reserve", reserve),
        ("required", required),
        ("surplus", facts.aboard - required),
    ):
        close(right[key], value)
    assert right["enough"] == ("enough" if facts.aboard >= required else "not enough")
    assert bool(problem.outside) == (facts.aboard < required)


def check_landing(problem: Problem, facts: LandingFacts, right: Answers) -> None:
    mass, moment = printed_load(problem)
    for volume, arm in (facts.taxi, facts.trip):
        mass, moment = mass - volume * facts.density, moment - volume * facts.density * arm
    close(right["landing_mass"], mass)
    close(right["landing_cg"], moment / mass)
    assert facts.load.answers()["verdict"] == "inside"


def check_shift(_problem: Problem, facts: ShiftFacts, right: Answers) -> None:
    moment, mass, wanted = facts.mass * facts.cg, facts.mass, facts.target
    if facts.kind == "new cg":
        moment, wanted = moment + facts.moved * (facts.to_arm - facts.from_arm), right["cg"]
    elif facts.kind == "mass to move":
        moment += right["moved"] * (facts.to_arm - facts.from_arm)
        assert 0 < right["moved"] <= 46
    elif facts.kind == "ballast":
        moment, mass = moment + right["ballast"] * facts.to_arm, mass + right["ballast"]
        assert 0 < right["ballast"] <= 46
    else:
        moment, mass = moment + facts.moved * right["arm"], mass + facts.moved
    close(moment / mass, float(wanted))


def check_correction(problem: Problem, facts: CorrectionFacts, right: Answers) -> None:
    category = facts.load.category
    assert category is not None
    close(facts.load.sum().mass, printed_load(problem)[0])
    assert category.word(facts.load.sum()) == "outside"
    assert problem.outside
    # Just enough: the rounded amount is inside, and clearly less than the exact one is not.
    assert category.word(facts.after(facts.rounded())) == "inside"
    assert category.word(facts.after(facts.amount() * 0.98)) == "outside"
    assert 0 < facts.rounded() <= facts.available
    fuel = next(line for line in facts.load.lines if line.kind == "fuel")
    less = [facts.load.sum().mass - fuel.kg * share / 20 for share in range(21)]
    moments = [facts.load.sum().moment - fuel.moment * share / 20 for share in range(21)]
    forward, aft = category.envelope.forward.arm, category.envelope.aft.arm
    some = any(
        forward(m) + 1e-4 < moment / m < aft(m) - 1e-4 and m <= category.top.value
        for m, moment in zip(less, moments, strict=True)
    )
    assert not some or right["fuel"] == "yes" or facts.cure == "drain"


def check_weighing(problem: Problem, facts: WeighingFacts, right: Answers) -> None:
    mass = moment = 0.0
    for _, reading, tare, arm in problem.tables[0].rows:
        reaction = si(reading) - (0.0 if tare == "none" else si(tare))
        assert reaction > 0
        mass, moment = mass + reaction, moment + reaction * si(arm)
    for items, sign in ((facts.removed, -1), (facts.added, 1)):
        mass += sign * math.fsum(item.mass for item in items)
        moment += sign * math.fsum(item.mass * item.arm for item in items)
    close(right["mass"], mass)
    close(right["cg"], moment / mass)


def check_bottle(problem: Problem, facts: BottleFacts, right: Answers) -> None:
    rows = {name: si(text) for name, text in problem.tables[0].rows}
    liquid = next(name for name in rows if name not in ("empty and dry", "with distilled water"))
    net = rows[liquid] - rows["empty and dry"]
    if facts.volume:
        grown = facts.volume * (1 + 9.9e-6 * (facts.temperature - 20))
        close(right["density"], net * (1 - 1.2 / 8000) / grown + 1.2, 1e-7)
    else:
        wet = rows["with distilled water"] - rows["empty and dry"]
        close(right["density"], net / wet * (facts.water_density - 1.2) + 1.2)
    assert 770 < right["density"] < 1090


def check_loading_graph(problem: Problem, facts: GraphFacts, right: Answers) -> None:
    """Every line of the drawing is straight from nothing, and gives the reading at the printed mass."""
    grid = problem.grids[0]
    lines = {line.name: line.points for line in grid.lines}
    unit = grid.up.words.split(", ")[1]
    for number, (name, text) in enumerate(problem.tables[0].rows, 1):
        (x0, y0), (x1, y1) = lines[name]
        assert (x0, y0) == (0, 0)
        assert grid.across.low - 1e-9 <= x1 <= grid.across.high + 1e-9
        mass = printed_mass(text) / SI[unit]
        close(right[f"reading{number}"], x1 / y1 * mass, 1e-6)
        assert mass <= y1 * 1.001  # the load lies on the paper
    for ask in problem.asks:
        if ask.by_eye and not ask.unit:  # half a small square for each reading in it, not more
            count = 1 if ask.key.startswith("reading") else len(facts.lines)
            assert ask.step / 2 + ask.slack == pytest.approx(count * grid.across.square / 2)


def check_envelope_paper(problem: Problem, facts: PaperFacts, right: Answers) -> None:
    """The limit is where the drawn outline has the printed mass, and the word is on which side the
    point lies.
    """
    grid = problem.grids[0]
    mass_text = problem.tables[0].rows[0][1]
    mass = float(mass_text.split()[0])
    outline = (*grid.lines[0].points, grid.lines[0].points[0])
    cuts = [
        x1 + (x2 - x1) * (mass - y1) / (y2 - y1)
        for (x1, y1), (x2, y2) in pairwise(outline)
        if min(y1, y2) <= mass <= max(y1, y2) and y1 != y2
    ]
    due = min(cuts) if facts.side == "forward" else max(cuts)
    assert abs(right["limit"] - due) < grid.across.square / 4
    x = float(problem.tables[0].rows[1][1].split()[0])
    inside = min(cuts) <= x <= max(cuts) and si(mass_text) <= facts.category.top.value
    assert problem.right()["verdict"] == ("inside" if inside else "outside")
    assert min(abs(x - cut) for cut in cuts) > grid.across.square / 2  # an eye sees it


def check_tables(problem: Problem, facts: TableFacts, right: Answers) -> None:
    """Interpolated again from the printed rows."""
    total = 0.0
    for number, (table, (_, _, at)) in enumerate(zip(problem.tables, facts.looked_up, strict=True), 1):
        rows = [(float(x), float(y)) for x, y in table.rows]
        (x1, y1), (x2, y2) = next((a, b) for a, b in pairwise(rows) if a[0] <= at <= b[0])
        due = y1 + (y2 - y1) * (at - x1) / (x2 - x1)
        assert f"{at:g} " in " ".join(problem.question)
        close(right[f"reading{number}"], due)
        total += due
    if problem.topic == "dip-table":
        volume = (total - facts.less) * facts.unit
        close(right["volume"], volume)
        close(right["mass"], volume * facts.factor)
    else:
        close(right["total"], total)


def check_lateral(problem: Problem, _facts: LateralFacts, right: Answers) -> None:
    rows = [(si(mass), si(arm)) for _, mass, arm in problem.tables[0].rows]
    mass, moment = math.fsum(m for m, _ in rows), math.fsum(m * a for m, a in rows)
    close(right["cg"], moment / mass)
    if "moved" in right:  # carried over, the sum is on the middle line
        way = rows[2][1] - rows[1][1]
        close(abs(moment) - right["moved"] * way, 0.0)


def check_payload(_problem: Problem, facts: PayloadFacts, right: Answers) -> None:
    """Just that much keeps every limit, a kilogram more passes one."""

    def kept(more: float) -> bool:
        fuel, payload = (facts.fuel, more) if facts.fuel else (more, facts.payload)
        limits = dict(facts.limits)
        takeoff = facts.empty + fuel + payload
        return (
            takeoff <= limits.get("take-off", math.inf) + 1e-9
            and takeoff - facts.trip <= limits.get("landing", math.inf) + 1e-9
            and facts.empty + payload <= limits.get("zero fuel", math.inf) + 1e-9
            and (bool(facts.fuel) or fuel <= facts.tank_mass + 1e-9)
        )

    assert kept(right["most"])
    assert not kept(right["most"] + 1.0)


def check_jacks(problem: Problem, facts: JackFacts, right: Answers) -> None:
    mass = moment = 0.0
    for name, reading, tare, arm in problem.tables[0].rows:
        net = (si(reading) - (0.0 if tare == "none" else si(tare))) * (-1 if "held down" in name else 1)
        mass, moment = mass + net, moment + net * si(arm)
    close(right["mass"], mass)
    close(right["cg"], moment / mass + facts.reference)


def check_burn_past(_problem: Problem, facts: BurnFacts, right: Answers) -> None:
    """When so much is burnt the state is on the limit."""
    burnt = right["burnt"]
    if facts.cg_limit:
        left = facts.mass - burnt
        close((facts.mass * facts.cg - burnt * facts.arm) / left, facts.cg_limit)
    else:
        close(facts.mass - burnt, facts.limit)
    close(right["time"] * facts.flow * facts.density, burnt)
    assert 0 < burnt < facts.aboard * facts.density


def check_fuel_check(_problem: Problem, facts: CheckFacts, right: Answers) -> None:
    rate = (facts.start - facts.gauge) / facts.elapsed
    close(right["flow"], rate)
    close(right["endurance"] * rate, facts.gauge)
    close(right["arrival"] + rate * facts.to_go, facts.gauge)
    go = right["arrival"] >= facts.reserve
    assert right["word"] == ("go on" if go else "divert")


CHECKS: dict[type, Callable[[Problem, Any, Answers], None]] = {
    LoadFacts: check_load,
    UnitFacts: check_units,
    DensityFacts: check_density,
    FuelMassFacts: check_fuel_mass,
    RoomFacts: check_room,
    FuelPlanFacts: check_fuel_plan,
    LandingFacts: check_landing,
    ShiftFacts: check_shift,
    CorrectionFacts: check_correction,
    WeighingFacts: check_weighing,
    BottleFacts: check_bottle,
    GraphFacts: check_loading_graph,
    PaperFacts: check_envelope_paper,
    TableFacts: check_tables,
    LateralFacts: check_lateral,
    PayloadFacts: check_payload,
    JackFacts: check_jacks,
    BurnFacts: check_burn_past,
    CheckFacts: check_fuel_check,
}
_ODD = re.compile(r"\bnan\b|\binf\b|(?<![\w.])-0(?:\.0+)?(?![\d.])|None|\{|\}")


def check(problem: Problem) -> None:
    right = problem.right()
    assert problem.asks
    assert problem.solution
    text = [
        *problem.question,
        *(cell for table in problem.tables for row in table.rows for cell in row),
        *(step.working for step in problem.solution),
    ]
    assert not [each for each in text if _ODD.search(each)]
    for ask in problem.asks:
        value = right[ask.key]
        if isinstance(value, str):
            assert value in ask.choices
            continue
        assert math.isfinite(value)
        due = float(ask.text(value).split(" ")[0])
        assert agrees(ask, due, value)  # the answer as printed in the key is right
        assert not agrees(ask, due + 3 * ask.step + 3 * ask.slack, value)  # and another figure is not
    CHECKS[type(problem.facts)](problem, problem.facts, problem.facts.answers())


@pytest.mark.parametrize("topic", TOPICS)
def test_problems_of_a_topic(topic: str) -> None:
    place = craft("thornlea-t4")
    for seed in range(SEEDS):
        check(set_one(place, topic, 1 + seed % 5, seed))


@pytest.mark.parametrize("name", profile_ids())
def test_problems_of_every_profile_in_every_system_of_units(name: str) -> None:
    settable = set()
    places = [craft(name, system) for system in ("metric", "us", "uk")]
    for number, topic in enumerate(TOPICS):
        for seed in range(examples(3)):  # the systems once, the levels in turn
            try:
                problem = set_one(places[(number + seed) % 3], topic, LEVELS[(number + seed) % 5], seed)
            except NotSettable:
                continue
            settable.add(topic)
            check(problem)
    assert len(settable) >= 13


def test_the_right_answers_of_a_set_are_all_marked_right() -> None:
    for seed in range(examples(10)):
        found = set_problems(
            load_aircraft("corvedale-sextet"), Display("us"), tuple(TOPICS), 1 + seed % 5, seed, 15
        )
        for problem in found.problems:
            right = problem.right()
            marks = mark_problem(problem, {ask.key: ask.text(right[ask.key]) for ask in problem.asks})
            assert [mark.result for mark in marks] == ["right"] * len(marks), (problem.topic, seed)


@pytest.mark.parametrize("system", ["metric", "us", "uk"])
@pytest.mark.parametrize("name", profile_ids())
def test_a_problem_is_an_ordinary_flight(name: str, system: UnitSystem) -> None:
    """The rounded profile with its tanks at the printed arm, planned with the printed loading: `planner
    flight` comes to the same answers.
    """
    place = craft(name, system)
    checked = 0
    for seed in range(12):
        try:
            problem = set_one(place, "envelope", 1 + seed % 2, seed)  # levels flown in the first category
        except NotSettable:
            continue
        facts, right = problem.facts, problem.facts.answers()
        assert isinstance(facts, LoadFacts)
        fuel = facts.of_kind("fuel")[0]
        loaded = place.loaded.with_({f"tanks.{tank}.arm": fuel.arm_text for tank in place.aircraft.tanks})
        load = {
            line.name: line.people or (line.mass,)
            for line in facts.lines
            if line.name in place.aircraft.stations
        }
        plan = Lab(loaded, fuel.density).plan(load, fuel.volume)
        state, limits = plan.state("ramp"), {each.id: each for each in plan.state("ramp").limits}
        close(right["mass"], state.total.mass)
        close(right["cg"], state.total.centre_of_gravity)
        close(right["margin"], limits[f"cg/{facts.side}"].margin, 1e-7)
        close(right["limit"], limits[f"cg/{facts.side}"].limit)
        within = [limits[each].margin >= 0 for each in ("cg/forward", "cg/aft", "mass/least")]
        top = next(each.limit for each in plan.state("takeoff").limits if each.id == "mass/greatest")
        assert (right["verdict"] == "inside") == (all(within) and state.total.mass <= top + 1e-9)
        checked += 1
    assert checked >= 6


def test_the_same_seed_gives_the_same_problems_in_another_process() -> None:
    """Python's own hash of text differs from run to run: the digest must not."""
    code = (
        "from planner.school.topics import *; from planner.records.store import load_aircraft; from"
        " planner.quantities.units import Display;print(set_problems(load_aircraft('thornlea-t4'),"
        " Display('metric'), tuple(TOPICS), 4, 17, 15).check)"
    )
    runs = set()
    for hash_seed in ("0", "1", "4711"):
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            cwd=ROOT,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(ROOT)},
        )
        runs.add(done.stdout)
    assert len(runs) == 1
    other = set_problems(load_aircraft("thornlea-t4"), Display("metric"), tuple(TOPICS), 4, 18, 15).check
    assert other not in runs.pop()
