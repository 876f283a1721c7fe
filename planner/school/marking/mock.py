"""A mock test: a mixed paper by the shares an instructor sets in a file, one seed for each learner."""

from __future__ import annotations

import hashlib
from typing import Annotated, Literal

from pydantic import Field

from planner.quantities.errors import Finding, closest
from planner.quantities.frozen import frozen
from planner.quantities.units import Display
from planner.records.document import all_or_refuse, read
from planner.records.fields import Record, validate
from planner.records.store import load_aircraft
from planner.school.craft import craft_of
from planner.school.dice import Dice, Pen
from planner.school.marking.mark import Mark, ranked
from planner.school.problem import NotSettable, Problem
from planner.school.topics import TOPICS, ProblemSet, none_of, set_one, together


class TestFile(Record):
    """`test: 1`, a title, shares by topic, and how the test is sat: `sitting: one` or `paused`."""

    __test__ = False  # no test of this program's own, whatever its name begins with

    test: Literal[1]
    title: str = Field(default="Mock test", min_length=1, max_length=80)
    aircraft: str = "thornlea-t4"
    units: Literal["metric", "us", "uk"] = "metric"
    level: int = Field(default=3, ge=1, le=5, strict=True)
    questions: int = Field(default=20, ge=1, le=100, strict=True)
    minutes: int = Field(default=60, ge=1, le=600, strict=True)
    pass_percent: float = Field(default=75.0, gt=0, le=100)
    choices: bool = Field(default=False, strict=True)
    sitting: Literal["one", "paused"] = "one"
    seed: int = Field(default=1, ge=0, le=10**9, strict=True)
    shares: dict[str, Annotated[float, Field(gt=0, le=1000)]] = Field(default_factory=dict)


def read_test(path: str) -> TestFile:
    """The test in a file. Raises InputRefused with everything that is wrong in it."""
    document = read(path)
    record = validate(document, TestFile, "test")
    odd = [name for name in record.shares if name not in TOPICS]
    told = (Finding("topic-unknown", f"'{name}' is not a topic", hint=closest(name, TOPICS)) for name in odd)
    placed = zip(told, odd, strict=True)
    all_or_refuse(document.place(each, ("shares", name), key=True) for each, name in placed)
    return record


def questions_by_topic(shares: dict[str, float], questions: int) -> dict[str, int]:
    """How many questions each topic gets: its share of the shares, the largest remainders rounded up.

    Parameters: `shares` by topic, above 0; `questions` in all. Returns counts that add up to `questions`.
    Source: [common-practice] largest remainders.
    """
    total = sum(shares.values())
    exact = {name: share / total * questions for name, share in shares.items()}
    counts = {name: int(value) for name, value in exact.items()}
    by_rest = sorted(exact, key=lambda name: (counts[name] - exact[name], list(exact).index(name)))
    for name in by_rest[: questions - sum(counts.values())]:
        counts[name] += 1
    return counts


def seed_of(test: TestFile, learner: str) -> int:
    """The learner's own seed: neighbours have other figures."""
    text = f"{test.seed}/{' '.join(learner.lower().split())}"
    return int(hashlib.sha256(text.encode()).hexdigest()[:8], 16) % 10**9


def set_test(test: TestFile, learner: str) -> ProblemSet:
    """The learner's paper: the same file and name give the same one, on any machine.

    Parameters: `test`; `learner`, a name. Returns a ProblemSet in an order drawn for the learner. A topic the
    profile has no figures for is left out and its share goes to the others.
    Raises NotSettable where none is left.
    """
    # As when its papers may have been printed: nothing in a test file says which problems those were.
    craft = craft_of(load_aircraft(test.aircraft), Pen(Display(test.units)), edition=2)
    shares = test.shares or dict.fromkeys(TOPICS, 1.0)
    left_out: dict[str, str] = {}
    for name in shares:
        try:
            set_one(craft, name, test.level, "can it be set")
        except NotSettable as reason:
            left_out[name] = str(reason)
            none_of(left_out, shares)
    shares = {name: share for name, share in shares.items() if name not in left_out}
    seed = seed_of(test, learner)
    order = Dice("order", seed).mixed(
        [name for name, count in questions_by_topic(shares, test.questions).items() for _ in range(count)]
    )
    problems: list[Problem] = []
    for number, name in enumerate(order):
        try:
            problems.append(set_one(craft, name, test.level, seed, number))
        except NotSettable:
            problems.append(set_one(craft, name, test.level, seed, number, "again"))
    return together(problems, left_out, seed, choices=test.choices)


@frozen
class Report:
    """A test that was sat: points by topic, slips with their counts, and whether the mark was reached."""

    points: float
    of: int
    share: float
    passed: bool
    topics: tuple[tuple[str, float, int], ...]
    slips: tuple[tuple[str, int], ...]


def report(test: TestFile, problems: tuple[Problem, ...], marks: list[tuple[Mark, ...]]) -> Report:
    """The report of a test. Every problem counts the same, whatever it asks; not answered is wrong."""
    by_topic: dict[str, list[float]] = {}
    slips: list[str] = []
    for number, problem in enumerate(problems):
        mine = marks[number] if number < len(marks) else ()
        earned = sum(each.points for each in mine) / len(problem.asks)
        by_topic.setdefault(problem.topic, []).append(earned)
        slips += {each.slip.name for mark in mine for each in mark.slips}
    points = sum(map(sum, by_topic.values()))
    share = 100 * points / len(problems)
    return Report(
        points=points,
        of=len(problems),
        share=share,
        passed=share >= test.pass_percent - 1e-9,
        topics=tuple((name, sum(each), len(each)) for name, each in by_topic.items()),
        slips=ranked(slips),
    )
