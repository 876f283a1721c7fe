"""Slips: the ways a computation goes wrong that leave a number behind by which they are known.

Each slip is one function. It takes the facts of a problem and gives the answers somebody would write who made
it; nothing where the slip cannot be made there. Marking compares a wrong answer with all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias

from planner.quantities.errors import OutOfRange
from planner.school.problem import Answers, Facts

# Where exactly (or nothing), and the facts or answers with the slip in them.
Wrong: TypeAlias = tuple[str, "Facts | Answers"]
Work: TypeAlias = Callable[[Facts], Iterator[Wrong]]


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip: its name, what was done, what to do instead, and the recomputation.

    A `general` one is named only where no particular one leads to the same answer.
    """

    name: str
    title: str
    cure: str
    work: Work
    general: bool = False


SLIPS: Final[dict[str, Slip]] = {}


def slip(name: str, title: str, cure: str, general: bool = False) -> Callable[[Work], Work]:
    """Enter a function into the list of slips."""

    def enter(work: Work) -> Work:
        assert name not in SLIPS, name
        SLIPS[name] = Slip(name=name, title=title, cure=cure, work=work, general=general)
        return work

    return enter


@dataclass(frozen=True, slots=True)
class Trace:
    """The answers [SI] a slip leads to; `where` says which line or figure it was made with, or nothing."""

    slip: Slip
    where: str
    answers: Answers


def load_all() -> None:
    """Make every module of slips known; importing one enters its slips."""
    from planner.school.slips import (
        slips_bench,  # noqa: F401 - imported for what they enter
    )


def traces(facts: Facts) -> tuple[Trace, ...]:
    """Every slip that can be made with these facts, recomputed. Sources are those of the right
    computation.
    """
    load_all()
    found = []
    for each in SLIPS.values():
        try:
            for where, wrong in each.work(facts):
                found.append(Trace(each, where, wrong if isinstance(wrong, dict) else wrong.answers()))
        except (OutOfRange, ZeroDivisionError):  # the slip leads to no number at all: nobody wrote one down
            continue
    return tuple(found)
