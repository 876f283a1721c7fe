"""Every slip is known by the number it leaves behind: an answer worked out with it is given its name back."""

from __future__ import annotations

from collections import defaultdict
from functools import cache

import pytest

from planner.quantities.units import Display, UnitSystem
from planner.records.store import load_aircraft
from planner.school.craft import craft_of
from planner.school.dice import Dice, Pen
from planner.school.marking.mark import mark_problem
from planner.school.marking.writing import agrees
from planner.school.problem import Ask, NotSettable, Problem
from planner.school.slips.register import SLIPS, Trace, load_all, traces
from planner.school.topics import TOPICS, set_one
from tests.sizes import examples

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
    others = ("payload", "burn-past")  # a zero-fuel limit, and a CG that fuel moves past a limit
    for name, topics in (
        ("thornlea-t4", tuple(TOPICS)),
        ("saltmere-samphire", tuple(TOPICS)),
        ("corvedale-sextet", others),
        ("thornlea-t4b", others),
    ):
        for system in SYSTEMS:
            place = craft_of(load_aircraft(name), Pen(Display(system)))
            for topic in topics:
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


def names(problem: Problem, given: dict[str, str]) -> set[str]:
    return {each.slip.name for mark in mark_problem(problem, given) for each in mark.slips}


@pytest.mark.parametrize("name", sorted(SLIPS.keys() - BY_WRITING))
def test_a_slip_gets_its_name_back(name: str) -> None:
    """Not every time: a figure that others lead to as well, or that chance may hit, is only called likely."""
    cases = bank()[name]
    assert cases, "no problem in the bank is spoilt by this slip"
    assert any(names(problem, written(problem, trace)) == {name} for problem, trace in cases)
    for problem, trace in cases[:6]:
        marks = mark_problem(problem, written(problem, trace))
        found = {each.slip.name for mark in marks for each in (*mark.slips, *mark.likely)}
        assert SLIPS[name].general or name in found or len(found) > 2, (problem.topic, trace.where, found)


def test_nine_made_slips_of_ten_are_named_as_what_they_were() -> None:
    dice = Dice("made slips")
    made = [dice.pick(bank()[dice.pick(sorted(bank()))]) for _ in range(examples(300))]
    named = sum(names(problem, written(problem, trace)) == {trace.slip.name} for problem, trace in made)
    assert named >= 0.9 * len(made)


@pytest.mark.parametrize("everything", [False, True])
@pytest.mark.parametrize("spread", [(0.9, 1.1), (0.3, 3.0)])
def test_random_wrong_numbers_get_no_name(everything: bool, spread: tuple[float, float]) -> None:
    """One figure of a problem, or all of them, wrong at random: near the right one or anywhere."""
    dice = Dice("random numbers", everything, *spread)
    problems = list({id(problem): problem for cases in bank().values() for problem, _ in cases}.values())
    wrong = named = 0
    for problem in (dice.pick(problems) for _ in range(examples(300))):
        right = problem.right()
        asks = [ask for ask in problem.asks if not ask.choices]
        given = {ask.key: ask.text(right[ask.key]) for ask in problem.asks}
        for ask in asks if everything else [dice.pick(asks)]:
            value = right[ask.key]
            assert isinstance(value, float)
            given[ask.key] = f"{ask.in_unit(value) * dice.between(*spread):.{ask.decimals}f} {ask.unit}"
        marks = [
            mark
            for mark in mark_problem(problem, given)
            if mark.result in ("slip", "carried on", "not recognised")
        ]
        wrong += len(marks)
        named += sum(bool(mark.slips) for mark in marks)
    assert wrong > 200
    assert named <= 0.02 * wrong


def fuel_mass() -> Problem:
    """62 kg or so of fuel asked for in kg."""
    return set_one(craft_of(load_aircraft("thornlea-t4"), Pen(Display("metric"))), "fuel-mass", 1, 5)


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
        assert each.works or each.name in BY_WRITING
