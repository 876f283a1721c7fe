"""What is told of an explanation: the entries that cannot be right, or that one of several is not."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

from planner.logbook.ledger.account import Account, AccountPoint
from planner.logbook.ledger.doubt.explanations import Guess, described
from planner.logbook.ledger.entries import READINGS, Stored
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, Sentence, joined, say

LOOK: Final = "see which of them is wrong, and correct it"


@frozen
class Suspect:
    """Entries that cannot be right: `numbers` are the accused, `others` those that could be it as well, so
    that only one of all these is wrong; `words` says what is the matter, `cure` what to do; `at` is the time
    of the last of them. With `missing`, something may as well be missing among them.

    `settled` says that a known level or a reading marked as the start has come since; `moves` that the log
    itself is wrong by it, and not only a reading beside it.
    """

    code: str
    numbers: tuple[int, ...]
    others: tuple[int, ...]
    words: str | Sentence
    cure: str
    at: str
    missing: bool = False
    settled: bool = False
    moves: bool = True

    @property
    def sure(self) -> bool:
        """Whether nothing explains it about as well: one of several is wrong where it is not."""
        return not self.others and not self.missing

    def finding(self) -> Finding:
        """As a notice."""
        message = joined("", (self.words, "; settled since" if self.settled else ""))
        return Finding(self.code, message, hint=self.cure, severity="notice").at("ledger", 1, 1)


def rivals_of(best: Guess, close: Sequence[Guess]) -> tuple[Guess, ...]:
    """What explains it about as well as the best: other entries, each once, and something forgotten, once."""
    known = set(best.numbers) or {0}
    kept = []
    for guess in close:
        if not known.intersection(guess.numbers or (0,)):
            known.update(guess.numbers or (0,))
            kept.append(guess)
    return tuple(kept)


def told(best: Guess, rivals: tuple[Guess, ...], by_number: Mapping[int, Stored], after: Account) -> Suspect:
    """The best explanation as a suspect; where others are about as good, as one of several."""
    accused = tuple(by_number[number] for number in best.numbers)
    names = ", ".join(described(each) for each in accused)
    points = {
        point.stored.number: (before, point) for before, point in pairwise((None, *after.points)) if point
    }
    code, words = best.code, _reason(best, accused, points)
    if best.gap:
        before, point = points[best.gap]
        rises = point.total > (before.total if before is not None else 0.0)
        code = "ledger-rises" if rises else "ledger-forgotten"
        cure = f"enter it with its time: planner ledger add {'uplift' if rises else 'flight'} ... --at ..."
    elif best.code == "ledger-not-here":
        cure = void(best.numbers[0])
    elif best.code == "ledger-stuck":
        cure = "have the gauge seen to; void its readings"
    else:
        given = "--tank ... --note 'why'" if best.code == "ledger-tank-wrong" else "--note 'why' ..."
        cure = f"look it up, then: planner ledger correct {best.numbers[0]} {given}"
    others = entries_of(rivals, by_number)
    spoken = {*best.numbers, *(each.number for each in others)}
    gaps = [
        f"no. {guess.gap}" if guess.gap in spoken else described(by_number[guess.gap])
        for guess in rivals
        if guess.gap
    ]
    if rivals:
        parts = [joined(": ", (names, words)) if names else words, *map(described, others)]
        parts += [f"something is missing before {gap}" for gap in gaps]
        words, cure = joined("; or ", parts), f"{LOOK}; if it is the first of them, {cure}"
        words = joined("", ("one of these is wrong, and the entries do not say which: ", words))
    elif best.code == "ledger-stuck":
        words = f"the gauge has not moved while fuel did: {names}"
    elif accused:
        words = joined(" does not fit the other entries: ", (names, words))
    at = by_number[best.gap].entry.at if best.gap else ""
    return suspect(code, accused, others, words, cure, at=at, missing=bool(gaps))


def entries_of(guesses: Sequence[Guess], by_number: Mapping[int, Stored]) -> tuple[Stored, ...]:
    """The entries that explanations are about, each once."""
    return tuple(by_number[number] for number in dict.fromkeys(n for each in guesses for n in each.numbers))


def _reason(
    best: Guess, accused: Sequence[Stored], points: Mapping[int, tuple[AccountPoint | None, AccountPoint]]
) -> str | Sentence:
    """What an explanation says is wrong."""
    before, point = points.get(best.gap or best.numbers[0], (None, None))
    if point is None:
        return best.words  # a reading that was left out
    change = point.total - before.total if before is not None else point.total
    if best.gap:
        what = "an uplift" if change > 0 else "a flight or a drain"
        return say(
            "before {} " + f"{what} is missing, about {{}} (U {{}})",
            described(point.stored),
            Figure(abs(change), "volume"),
            Figure(COVERAGE * math.hypot(point.u_total, before.u_total if before else 0.0), "volume"),
        )
    if best.code == "ledger-suspect" and accused[0].entry.kind not in READINGS:
        return say(f"by them {best.words} is {{}}", Figure(abs(change), "volume"))
    return best.words


def void(number: int) -> str:
    return f"if so: planner ledger correct {number} --void --note 'why'"


def suspect(
    code: str,
    accused: tuple[Stored, ...],
    others: tuple[Stored, ...],
    words: str | Sentence,
    cure: str,
    at: str = "",
    missing: bool = False,
) -> Suspect:
    # The log itself is in doubt unless all that is accused are readings beside it: whether such a reading is
    # wrong or something is missing before it, the lesser of log and reading is not more than there is.
    beside = all(each.entry.kind in READINGS and not each.entry.start for each in (*accused, *others))
    return Suspect(
        code=code,
        numbers=tuple(each.number for each in accused),
        others=tuple(each.number for each in others if each not in accused),
        words=words,
        cure=cure,
        at=max((each.entry.at for each in accused), default=at),
        missing=missing,
        moves=not accused or not beside,
    )
