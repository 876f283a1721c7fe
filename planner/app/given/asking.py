"""The dialogue of `planner aircraft new`: figure by figure, one step back, what a word means, the unit
remembered.

Prompts go to stderr and answers come from standard input, so that a file of answers may be piped in.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from planner.app.streams import heard
from planner.quantities.errors import InputRefused, closest
from planner.quantities.sentences import Figure
from planner.quantities.units import Dimension, Display, Quantity, read_quantity, unit_name
from planner.records.questions import Asking, Question

_NUMBER_ALONE: Final = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(\s*(\+/-|±)\s*(\d+\.?\d*|\.\d+))?")


class Ended(Exception):
    """The answers ended before the questions did; says at which."""


class Refused(Exception):
    """An answer that can not be taken; says why, and what would do."""


@dataclass(slots=True)
class Dialogue:
    """Asks the questions of a generator. `tell` shows a line, `hear` gives the next answer, None at the
    end.
    """

    asking: Callable[[], Asking]
    tell: Callable[[str], None]
    hear: Callable[[str], str | None]
    back: str = "<"
    units: dict[Dimension, str] = field(default_factory=dict)

    def run(self) -> str:
        """The text the answers make. Raises Ended."""
        answers: list[str] = []
        while True:
            # One step back is the same questions again with one answer less.
            script = self.asking()
            question = next(script)
            try:
                for answer in answers:
                    question = script.send(answer)
            except StopIteration as done:
                return str(done.value)
            answer_now = self._one(question)
            if answer_now is not None:
                answers.append(answer_now)
            elif answers:
                answers.pop()
            else:
                self.tell("  this is the first question")

    def _one(self, question: Question) -> str | None:
        """An answer that fits, as the file has it; None for one step back."""
        while True:
            said = self.hear(f"{question.words}{self._hint(question)}: ")
            if said is None:
                raise Ended(question.words)
            said = said.strip()
            if said == self.back:
                return None
            if said == "?":
                self.tell(f"  {question.meaning}")
            elif not said and question.optional:
                return ""
            elif not said:
                self.tell(f"  needed here: {question.meaning}")
            else:
                try:
                    return self._read(question, said)
                except Refused as refused:
                    self.tell(f"  {refused}")

    def _hint(self, question: Question) -> str:
        """What may be typed: the choices, or the unit a bare number would have."""
        if question.choices:
            return f" ({', '.join(question.choices)})"
        known = [self.units[each] for each in question.dimensions or question.pair if each in self.units]
        between = " or " if question.dimensions else " at "
        return f" [{between.join(dict.fromkeys(known))}]" if known else ""

    def _read(self, question: Question, said: str) -> str:
        if question.choices:
            if said.lower() not in question.choices:
                near = closest(said.lower(), question.choices)
                raise Refused(f"'{said}' is none of {', '.join(question.choices)}; {near}")
            return question.choices[said.lower()]
        if question.pair and (" at " in said or not question.dimensions):
            first, found, second = said.partition(" at ")
            if not found:
                raise Refused(f"'{said}' is not two figures joined by 'at'; {question.meaning}")
            mass, other = self._figure(first, question.pair[:1]), self._figure(second, question.pair[1:])
            self.tell(f"  understood: {_shown(mass)} at {_shown(other)}")
            return f"[{mass.text}, {other.text}]"
        if question.dimensions:
            figure = self._figure(said, question.dimensions)
            self.tell(f"  understood: {_shown(figure)}")
            return figure.text
        if not re.fullmatch(question.pattern, said) or not said.isprintable():
            raise Refused(f"'{said}' does not fit; {question.needed or question.meaning}")
        return said

    def _figure(self, said: str, dimensions: tuple[Dimension, ...]) -> Quantity:
        """A figure; a bare number has the unit used last for the only kind that was used. Raises Refused."""
        said = said.strip()
        known = [self.units[each] for each in dimensions if each in self.units]
        if _NUMBER_ALONE.fullmatch(said):
            if len(known) > 1:
                raise Refused(f"'{said}' may be {' or '.join(known)}: write the unit")
            said = f"{said} {known[0]}" if known else said
        try:
            figure = read_quantity(said, *dimensions)
        except InputRefused as refused:
            first = refused.findings[0]
            raise Refused(
                "; ".join(str(part) for part in (first.message, first.needed, first.hint) if part)
            ) from None
        self.units[figure.dimension] = unit_name(figure)
        return figure


def _shown(figure: Quantity) -> str:
    """A figure as it was read, with what it is in SI units beside it where it was written in others."""
    metric = Figure(figure.value, figure.dimension).shown(Display())
    return figure.text if unit_name(figure) in metric.split(" ") else f"{figure.text} = {metric}"


def from_standard_input(prompt: str) -> str | None:
    """The next line of standard input after a prompt on stderr; None at its end."""
    line = heard(prompt, sys.stderr)
    return line.rstrip("\r\n") if line else None
