"""Multiple choice: the right answer among those that slips on this very problem lead to."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from planner.quantities.frozen import frozen
from planner.school.dice import Dice
from planner.school.marking.writing import agrees
from planner.school.problem import Answers, Ask, Facts, Problem
from planner.school.slips.register import traces

MOST: Final = 4
_LEAST: Final = 3
_FAR: Final = 4.0
_LETTERS: Final = "abcd"


@frozen
class ChoiceFacts:
    """The facts of a problem whose figures are chosen from texts: key -> (the figure's ask, texts)."""

    inner: Facts
    offered: tuple[tuple[str, Ask, tuple[str, ...]], ...]

    def answers(self) -> Answers:
        """The right answers, each as the text to choose."""
        return self.chosen(self.inner.answers())

    def chosen(self, found: Answers) -> Answers:
        """Answers as texts to choose; a figure that is not among them is left out."""
        result: Answers = dict(found)
        for key, ask, texts in self.offered:
            value = result.pop(key, None)
            if value is not None:
                text = next((each for each in texts if each[3:] == ask.text(value)), None)
                if text is not None:
                    result[key] = text
        return result


def with_choices(problem: Problem, *key: object) -> Problem:
    """The problem with three or four answers to choose from wherever slips lead to as many; other questions
    stay as they are. The same key gives the same order.
    """
    right, found = problem.right(), traces(problem.facts)
    asks, offered = [], []
    for ask in problem.asks:
        value = right[ask.key]
        if isinstance(value, str):
            asks.append(ask)
            continue
        dice = Dice("choices", *key, ask.key)
        texts = [ask.text(value)]
        for trace in dice.mixed(found):
            wrong = trace.answers.get(ask.key)
            if isinstance(wrong, str) or wrong is None or agrees(ask, ask.rounded(wrong), value):
                continue
            if value and not 1 / _FAR < wrong / value < _FAR:  # nobody would choose it
                continue
            if ask.text(wrong) not in texts and len(texts) < MOST:
                texts.append(ask.text(wrong))
        if len(texts) < _LEAST:
            asks.append(ask)
            continue
        lettered = tuple(f"{_LETTERS[n]}) {text}" for n, text in enumerate(dice.mixed(texts)))
        offered.append((ask.key, ask, lettered))
        asks.append(Ask(key=ask.key, words=ask.words, choices=lettered))
    if not offered:
        return problem
    return replace(problem, asks=tuple(asks), facts=ChoiceFacts(problem.facts, tuple(offered)))
