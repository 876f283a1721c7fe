"""Every slip is known by the number it leaves behind: an answer worked out with it is given its name back."""

from __future__ import annotations

from collections import defaultdict
from functools import cache

import pytest

from planner.quantities.units import Display, UnitSystem
from planner.records.store import load_aircraft
from planner.school.craft import craft_of
from planner.school.dice import Pen
from planner.school.marking.mark import agrees, mark_problem
from planner.school.problem import Ask, NotSettable, Problem
from planner.school.slips.register import SLIPS, Trace, load_all, traces
from planner.school.topics import TOPICS, set_one

load_all()
BY_WRITING = {"no-unit", "wrong-unit"}  # known by what stands behind the number, not by the number
SYSTEMS: tuple[UnitSystem, ...] = ("metric", "us")


def is_wrong(ask: Ask, value: float | str, right: float | str) -> bool:
    if isinstance(value, str) or isinstance(right, str):
        return value != right
    return not agrees(ask, ask.rounded(value), right)


@cache
def bank() -> dict[str, list[tuple[Problem, Trace]]]:
    """Problems in which each slip leads to another answer."""
    found: dict[str, list[tuple[Problem, Trace]]] = defaultdict(list)
    for name in ("thornlea-t4", "saltmere-samphire"):
        for system in SYSTEMS:
            place = craft_of(load_aircraft(name).record, Pen(Display(system)))
            for topic in TOPICS:
                for seed in range(
                    60 if topic == "room" else 10
                ):  # which limit decides is drawn, and each has slips of its own
                    try:
                        problem = set_one(place, topic, 1 + seed % 5, seed)
                    except NotSettable:
                        continue
                    right = problem.right()
                    for trace in traces(problem.facts):
                        if any(
                            ask.key in trace.answers and is_wrong(ask, trace.answers[ask.key], right[ask.key])
                            for ask in problem.asks
                        ):
                            found[trace.slip.name].append((problem, trace))
    return found


def written(problem: Problem, trace: Trace) -> dict[str, str]:
    """The answers of somebody who made the slip and nothing else wrong."""
    right = problem.right()
    return {ask.key: ask.text(trace.answers.get(ask.key, right[ask.key])) for ask in problem.asks}


@pytest.mark.parametrize("name", sorted(SLIPS.keys() - BY_WRITING))
def test_a_slip_gets_its_name_back(name: str) -> None:
    cases = bank()[name]
    assert cases, "no problem in the bank is spoilt by this slip"
    for problem, trace in cases[:6]:
        marks = mark_problem(problem, written(problem, trace))
        named = {each.slip.name for mark in marks for each in mark.slips}
        general = SLIPS[name].general
        if not general:
            assert name in named, (problem.topic, trace.where, named)
    if SLIPS[name].general:  # a general slip gives way to a particular one, but not every time
        assert any(
            name
            in {
                each.slip.name
                for mark in mark_problem(problem, written(problem, trace))
                for each in mark.slips
            }
            for problem, trace in cases
        )


def test_the_name_is_the_only_one_nearly_always() -> None:
    alone = total = 0
    for name, cases in bank().items():
        for problem, trace in cases[:4]:
            named = {
                each.slip.name
                for mark in mark_problem(problem, written(problem, trace))
                for each in mark.slips
            }
            total += 1
            alone += named == {name}
    assert alone / total > 0.8


def fuel_mass() -> Problem:
    """62 kg or so of fuel asked for in kg."""
    return set_one(craft_of(load_aircraft("thornlea-t4").record, Pen(Display("metric"))), "fuel-mass", 1, 5)


def test_the_right_number_without_a_unit() -> None:
    problem = fuel_mass()
    due = problem.asks[0].text(problem.right()["mass"])
    mark = mark_problem(problem, {"mass": due.split()[0]})[0]
    assert (mark.result, mark.points, [each.slip.name for each in mark.slips]) == (
        "no unit",
        0.5,
        ["no-unit"],
    )


@pytest.mark.parametrize("unit", ["lb", "L", "kgs", "m"])
def test_the_right_number_with_a_wrong_unit(unit: str) -> None:
    problem = fuel_mass()
    due = problem.asks[0].text(problem.right()["mass"])
    mark = mark_problem(problem, {"mass": f"{due.split()[0]} {unit}"})[0]
    assert (mark.result, mark.points, [each.slip.name for each in mark.slips]) == (
        "wrong unit",
        0.0,
        ["wrong-unit"],
    )


def test_an_unknown_number_is_not_guessed() -> None:
    problem = fuel_mass()
    value = problem.right()["mass"]
    assert isinstance(value, float)
    for factor in (1.2713, 0.8317, 3.333):
        mark = mark_problem(problem, {"mass": f"{value * factor:.2f} kg"})[0]
        assert (mark.result, mark.slips) == ("not recognised", ())


def test_every_slip_says_what_was_done_and_what_to_do() -> None:
    assert len(SLIPS) > 50
    for each in SLIPS.values():
        assert len(each.title) > 10
        assert len(each.cure) > 30
        assert each.work.__doc__
