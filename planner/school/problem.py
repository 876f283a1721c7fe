"""What a problem is: a question in printed figures, what is asked, how it is rounded, and its solution."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields
from typing import Any, Final, Literal, Protocol, TypeAlias

from planner.quantities.frozen import frozen
from planner.quantities.moments import round_down, round_up
from planner.quantities.units import UNITS, Dimension
from planner.records.aircraft.record import Aircraft
from planner.school.dice import Pen, written
from planner.school.grid import GridPaper

# What is asked, by key: a figure in SI (or a plain number), or one of the words to choose from.
Answers: TypeAlias = dict[str, Any]
Direction = Literal["nearest", "up", "down"]
LEVELS: Final = (1, 2, 3, 4, 5)
# How an answer is rounded to a step: in words, and done.
_WAYS: Final[dict[Direction, tuple[str, Callable[[float, float], float]]]] = {
    "nearest": ("to the nearest", lambda value, step: round(value / step) * step),
    "up": ("rounded up to a step of", round_up),
    "down": ("rounded down to a step of", round_down),
}


class NotSettable(Exception):
    """A topic the profile has no figures for, or too little room; the text says why."""


class Facts(Protocol):
    """Everything one problem is computed from, in SI; a slip computes the same with one thing wrong."""

    def answers(self) -> Answers:
        """Every figure that may be asked, unrounded."""
        ...


@frozen
class Ask:
    """One thing asked: an amount of `dimension` rounded to `step` in `unit`, a plain number, or one of
    `choices`.

    `slack` [in `unit`] is what rounding on the way may cost an answer worked out on paper as the question
    tells.
    """

    key: str
    words: str
    dimension: Dimension | None = None
    unit: str = ""
    step: float = 1.0
    slack: float = 0.0
    direction: Direction = "nearest"
    choices: tuple[str, ...] = ()
    exact_unit: bool = False  # the unit itself is what is asked for
    by_eye: bool = False  # read off a drawing

    def in_unit(self, value: float) -> float:
        """A value [SI] in the unit asked for; a plain number stays as it is."""
        return (value - UNITS[self.unit].offset) / UNITS[self.unit].factor if self.unit else value

    def rounded(self, value: float) -> float:
        """A value [SI] as the answer is to be given, in the unit asked for."""
        return _WAYS[self.direction][1](self.in_unit(value), self.step)

    def text(self, value: float | str) -> str:
        """The answer as it is to be written."""
        return value if isinstance(value, str) else written(self.rounded(value), self.decimals, self.unit)

    @property
    def decimals(self) -> int:
        """Decimals of an answer rounded to `step`."""
        return len(f"{self.step:.6f}".rstrip("0").partition(".")[2])

    @property
    def rounding(self) -> str:
        """The rounding in words, for the question."""
        if self.choices and self.choices[0].startswith("a) "):
            return "choose " + "; ".join(self.choices)
        if self.choices:
            return "write " + " or ".join(self.choices)
        if self.by_eye and not self.unit:
            return "read to half a small square"
        return f"{_WAYS[self.direction][0]} {self.step:.{self.decimals}f} {self.unit}".rstrip()


def amount(
    pen: Pen,
    key: str,
    words: str,
    dimension: Dimension,
    step: float,
    slack: float = 0.0,
    direction: Direction = "nearest",
    unit: str = "",
) -> Ask:
    """An amount asked for, in the reader's unit where no other is named; the rest as in Ask."""
    unit = unit or pen.unit(dimension)
    return Ask(
        key=key, words=words, dimension=dimension, unit=unit, step=step, slack=slack, direction=direction
    )


def duration(key: str, words: str, slack: float, direction: Direction = "nearest") -> Ask:
    """A time asked for in whole minutes; the rest as in Ask."""
    return Ask(key=key, words=words, dimension="time", unit="min", step=1.0, slack=slack, direction=direction)


@frozen
class SolutionLine:
    """One line of the solution: what is worked out, the figures, and the key of its formula's source."""

    words: str
    working: str
    source: str = ""


@frozen
class PrintedTable:
    """A table of the question: heads and rows, the first column words, the others figures."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Working(list[SolutionLine]):
    """A solution while it is written."""

    def add(self, words: str, working: str, source: str = "") -> None:
        """One line more."""
        self.append(SolutionLine(words, working, source))


@frozen(kw_only=True)
class Draft:
    """A problem as its topic sets it. `facts` gives the answers; `outside` says that a figure in it lies
    beyond a limit; `grids` are its drawings, `key_grids` the same with the readings drawn in.
    """

    question: Sequence[str]
    asks: Sequence[Ask]
    facts: Facts
    solution: Sequence[SolutionLine]
    tables: Sequence[PrintedTable] = ()
    outside: str = ""
    grids: tuple[GridPaper, ...] = ()
    key_grids: tuple[GridPaper, ...] = ()

    def posed(self, topic: str, level: int, aircraft: Aircraft, lesson: str) -> Problem:
        """The problem of a level and an aircraft."""
        drafted: dict[str, Any] = {each.name: getattr(self, each.name) for each in fields(self)}
        drafted |= {key: tuple(each) for key, each in drafted.items() if isinstance(each, list)}
        return Problem(topic=topic, level=level, aircraft=aircraft, lesson=lesson, **drafted)


@frozen(kw_only=True)
class Problem(Draft):
    """One problem; `lesson` is what it is good for."""

    topic: str
    level: int
    aircraft: Aircraft
    lesson: str

    def right(self) -> Answers:
        """The right answers to what is asked, unrounded [SI]."""
        found = self.facts.answers()
        return {ask.key: found[ask.key] for ask in self.asks}
