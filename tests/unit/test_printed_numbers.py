"""Whatever a solution uses is printed.

Every number left of an equals sign stands in the question, in a table or in an earlier line, or is a constant
with a name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from planner.quantities.units import Display, UnitSystem
from planner.records.store import load_aircraft, profile_ids
from planner.school.craft import craft_of
from planner.school.dice import Pen
from planner.school.problem import LEVELS, NotSettable, Problem
from planner.school.topics import TOPICS, set_one
from tests.sizes import examples, in_turn, stride

# Constants of arithmetic: of the formulas as they are named, minutes in an hour, per cent, the scale of degF,
# base temperatures.
NAMED = {1.0, 2.0, 60.0, 100.0, 5.0, 9.0, 32.0, 15.0, 20.0, 8000.0, 0.8}
NUMBER = re.compile(r"(?<![\w.])[-+]?\d+(?:\.\d+)?(?![\w.])")


def numbers(text: str) -> list[tuple[float, float]]:
    """(number, half a step of it) wherever one stands in a text."""
    return [(abs(float(each)), 0.5 * 10.0 ** -len(each.partition(".")[2])) for each in NUMBER.findall(text)]


def unprinted(problem: Problem) -> Iterator[str]:
    cells = [cell for table in problem.tables for row in table.rows for cell in row]
    known = [
        each
        for text in (*problem.question, *cells, *(ask.words for ask in problem.asks))
        for each in numbers(text)
    ]
    for step in problem.solution:
        for part in re.split(r"[;:,] ", step.working):
            left = part.split("=", 1)[0] if "=" in part else ""
            for number, half in numbers(left):
                there = any(abs(number - other) <= half + of + 1e-9 for other, of in known)
                if not there and number not in NAMED:
                    yield f"{problem.topic} {problem.level}: {number} in '{step.words}: {step.working}'"
            known += numbers(part)


@pytest.mark.parametrize(
    ("name", "system"), in_turn(sorted(profile_ids())[:: stride(2)], ["metric", "us", "uk"])
)
def test_every_number_of_a_solution_is_printed(name: str, system: UnitSystem) -> None:
    craft = craft_of(load_aircraft(name), Pen(Display(system)))
    found = []
    first = ("metric", "us", "uk").index(system)  # other problems in every system
    for topic in TOPICS:
        for level in LEVELS:
            for seed in range(first, first + examples(1)):
                try:
                    problem = set_one(craft, topic, level, seed)
                except NotSettable:
                    continue
                found += unprinted(problem)
    assert not found, "\n".join(found[:20])
