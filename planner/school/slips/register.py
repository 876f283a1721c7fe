"""Slips: the ways a computation goes wrong that leave a number behind by which they are known.

Each slip is a change of the facts of a problem: a figure of the flight, a constant, a line. The same
computation then gives the answers somebody would write who made it. Marking compares a wrong answer with all
of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import field, replace
from importlib import import_module
from typing import Any, Final, TypeAlias, TypeVar

from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.units import POUND
from planner.school.problem import Answers, Facts
from planner.school.problems.correction import CorrectionFacts
from planner.school.problems.examined.sideways import LateralFacts
from planner.school.problems.graphs.loading_graph import GraphFacts
from planner.school.problems.landing import LandingFacts
from planner.school.problems.loads import LoadFacts, LoadLine
from planner.school.slips.slip_words import WORDS

# Where exactly (or nothing), and the facts or answers with the slip in them.
Wrong: TypeAlias = tuple[str, "Facts | Answers"]
Work: TypeAlias = Callable[[Any], Iterator[Wrong]]
W = TypeVar("W", bound=Work)
L = TypeVar("L", LoadFacts, GraphFacts, LateralFacts)


@frozen
class Slip:
    """A slip: its name, what was done, what to do instead, and how it is made with each kind of facts.

    A `general` one is named only where no particular one leads to the same answer.
    """

    name: str
    title: str
    cure: str
    general: bool = False
    works: list[tuple[type, Work]] = field(default_factory=list, compare=False, repr=False)

    def of(self, *kinds: type) -> Callable[[W], W]:
        """Enter a way in which it is made with these kinds of facts."""

        def enter(work: W) -> W:
            self.works.extend((kind, work) for kind in kinds)
            return work

        return enter

    def of_loading(self, work: W) -> W:
        """Enter a way it is made in adding up a loading: all that is asked, or before a burn or a cure."""

        def inside(facts: Any) -> Iterator[Wrong]:
            for where, load in work(facts.load):
                yield where, replace(facts, load=load)

        self.of(LandingFacts, CorrectionFacts)(inside)
        return self.of(LoadFacts)(work)

    def change(self, kind: type, where: str = "", *, even: bool = False, **changes: Any) -> Slip:
        """Made by nothing but these changes of the facts, where they change anything (or `even` where not); a
        function of the facts says what comes in the place of a figure.
        """

        def changed(facts: Any) -> Iterator[Wrong]:
            found = {key: each(facts) if callable(each) else each for key, each in changes.items()}
            wrong = replace(facts, **found)
            if even or wrong != facts:
                yield where, wrong

        self.of(kind)(changed)
        return self


SLIPS: Final[dict[str, Slip]] = {}


def slip(name: str, general: bool = False) -> Slip:
    """A new slip in the list, in the words of `slip_words`."""
    assert name not in SLIPS, name
    SLIPS[name] = Slip(name, *WORDS[name], general)
    return SLIPS[name]


def altered(load: LoadFacts, change: Callable[[LoadLine], LoadLine]) -> LoadFacts:
    """A loading with every line changed."""
    return replace(load, lines=tuple(change(line) for line in load.lines))


def one_altered(load: L, which: LoadLine, **changes: Any) -> L:
    """Facts with one of their lines changed."""
    lines = tuple(replace(line, **changes) if line is which else line for line in load.lines)
    return replace(load, lines=lines)


def one_less(facts: L, which: LoadLine) -> L:
    """Facts without one of their lines."""
    return replace(facts, lines=tuple(line for line in facts.lines if line is not which))


def all_with(each: Iterable[Any], **changes: Any) -> tuple[Any, ...]:
    """Records, each with these changes."""
    return tuple(replace(one, **changes) for one in each)


def without(limit: str) -> Callable[[Any], tuple[tuple[str, float], ...]]:
    """The limits of facts but this one."""
    return lambda facts: tuple(each for each in facts.limits if each[0] != limit)


def number_as_mass(text: str) -> float:
    """The number of a printed volume taken for a mass [kg]: litres for kilograms, gallons for pounds."""
    number, unit = text.split()
    return float(number) * (1.0 if unit == "L" else POUND)


@frozen
class Trace:
    """The answers [SI] a slip leads to; `where` says which line or figure it was made with, or nothing."""

    slip: Slip
    where: str
    answers: Answers


def load_all() -> None:
    """Make every module of slips known; importing one enters its slips."""
    for name in ("slips_bench", "slips_fuel", "slips_limits", "slips_load", "slips_plan", "slips_read"):
        import_module(f"planner.school.slips.{name}")


def traces(facts: Facts) -> tuple[Trace, ...]:
    """Every slip that can be made with these facts, recomputed. Sources: those of the right computation."""
    load_all()
    chosen = getattr(facts, "chosen", None)
    if chosen is not None:  # answers to choose from: the slips are those of the problem behind them
        return tuple(Trace(each.slip, each.where, chosen(each.answers)) for each in traces(facts.inner))  # type: ignore[attr-defined]
    found = []
    for each in SLIPS.values():
        try:
            for _, work in filter(lambda way: isinstance(facts, way[0]), each.works):
                for where, wrong in work(facts):
                    answers = wrong if isinstance(wrong, dict) else wrong.answers()
                    found.append(Trace(each, where, answers))
        except (OutOfRange, ZeroDivisionError):  # the slip leads to no number at all: nobody wrote one down
            continue
    return tuple(found)
