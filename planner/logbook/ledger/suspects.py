"""Which entries cannot be right: what could have gone wrong with each is tried, and what makes all the others
agree is named, with its cure.

Nothing is taken out of the ledger here: a suspect stays until a correction settles it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

from planner.logbook.ledger import entries as made
from planner.logbook.ledger.account import Account, AccountPoint, account
from planner.logbook.ledger.balance import stages
from planner.logbook.ledger.entries import READINGS, SUPPLIES, Stored
from planner.logbook.ledger.explanations import Guess, described, guesses, twice
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, Sentence, joined, say
from planner.records.aircraft.record import Aircraft

CRITICAL: Final = 3.29  # normalised residual that chance passes once in a thousand: [baarda-1968]
CLOSE: Final = (
    4.6  # two explanations whose scores differ by less, a ratio of ten to one, cannot be told apart
)
WINDOW: Final = 20  # entries before and after that an explanation is tried on
NEAR: Final = 8  # entries about one after which the tanks would hold what they cannot
MOST: Final = 40  # suspects named at once
_LOOK: Final = "see which of them is wrong, and correct it"


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


def _worth_trying(found: Account, entries: Sequence[Stored]) -> list[int]:
    """Places in `entries` whose entry could be behind the worst of what does not fit."""
    worst = max((abs(value) for value in found.normalised.values()), default=0.0)
    beyond = [number for number, _ in found.beyond]
    places: list[int] = []
    if worst > CRITICAL:
        least = max(0.3 * worst, 1.5)
        centre = next(
            place for place, each in enumerate(entries) if abs(found.normalised.get(each.number, 0)) == worst
        )
        places = [
            place
            for place, each in enumerate(entries)
            if abs(place - centre) <= WINDOW
            and (
                abs(found.normalised.get(each.number, 0.0)) >= least
                or (each.entry.kind in SUPPLIES and abs(place - centre) <= NEAR)
            )
        ]
    elif beyond:
        end = next(place for place, each in enumerate(entries) if each.number == beyond[0])
        places = list(range(max(end - NEAR, 0), min(end + NEAR, len(entries))))
    return places


def _best(
    aircraft: Aircraft, entries: Sequence[Stored], taken: Sequence[Guess], found: Account
) -> tuple[list[tuple[float, Guess]], float]:
    """Explanations with their scores, cheapest first, and the score as things stand; [] where all fits."""
    places = _worth_trying(found, entries)
    if not places:
        return [], 0.0
    gaps = [guess.gap for guess in taken if guess.gap]
    used = {number for guess in taken for number in guess.numbers}
    part = entries[max(places[0] - WINDOW, 0) : places[-1] + WINDOW + 1]
    before = account(aircraft, part, gaps).score
    tried: list[tuple[float, Guess]] = []
    seen: set[tuple[int, ...]] = set()
    for place in places:
        freed = before
        for guess in guesses(aircraft, entries[place], entries):
            if guess.numbers and (guess.numbers in seen or used.intersection(guess.numbers)):
                continue  # a gauge that stands still comes up at each of its readings
            if guess.code in ("ledger-unit", "ledger-not-here") and freed > before - CRITICAL**2:
                continue  # where the figure itself, left free, mends nothing, no other figure does
            if guess.gap and (guess.gap in gaps or not place):
                continue
            fitted = account(aircraft, guess.applied(part), [*gaps, guess.gap] if guess.gap else gaps).score
            tried.append((fitted + guess.cost, guess))
            if guess.code == "ledger-suspect":
                freed = min(freed, fitted)
            elif guess.code == "ledger-stuck":
                seen.add(guess.numbers)
    return sorted(tried, key=lambda each: each[0]), before


def suspects(aircraft: Aircraft, entries: Sequence[Stored]) -> tuple[Suspect, ...]:
    """The entries that cannot be right, each with what is the matter and its cure.

    Movements written down twice come first. Then the entries are adjusted together; while the greatest
    normalised residual is beyond 3.29, or a tank would hold what it cannot, each explanation is tried on the
    entries about it - another tank, another unit, a gauge that stands still, one written down twice,
    something forgotten, the figure itself - and the one that leaves the smallest score is taken. What
    explains it about as well is named beside it.

    Parameters: `aircraft`; `entries` that count, in order of time. Returns Suspects in order of time.
    Range: errors well beyond the stated uncertainties; a small one is not told from chance.
    Source: [baarda-1968]; the costs and the order of the explanations are this program's.
    """
    kept, found = list(entries), list[Suspect]()
    found += _to_come(entries)
    for first, second, why in twice(entries):
        kept = [each for each in kept if each.number != second.number]
        words = f"{described(second)} is no. {first.number} once more: {why}"
        found.append(_suspect("ledger-twice", (second,), (), words, _void(second.number)))
    by_number = {each.number: each for each in entries}
    taken: list[tuple[Guess, tuple[Guess, ...]]] = []
    while len(taken) < MOST:
        now = _adjusted(aircraft, kept, [guess for guess, _ in taken])
        changed = _changed(kept, [guess for guess, _ in taken])
        tried, before = _best(aircraft, changed, [guess for guess, _ in taken], now)
        if not tried:
            break
        score, best = tried[0]
        rivals = _rivals(best, [guess for each, guess in tried[1:] if each - score < CLOSE])
        if before - score < CRITICAL**2 - best.cost:
            if now.beyond:
                at = by_number[now.beyond[0][0]]
                words = f"after {described(at)} the tanks would hold what they cannot"
                others = _entries((best, *rivals), by_number)
                words += f"; it could be {', '.join(map(described, others))}" if others else ""
                found.append(_suspect("ledger-impossible", (at,), others, words, _LOOK, missing=True))
            break
        taken.append((best, rivals))
    taken = _needed(aircraft, kept, taken)
    after = _adjusted(aircraft, kept, [guess for guess, _ in taken])
    found += [_told(guess, rivals, by_number, after) for guess, rivals in taken]
    return tuple(sorted(_since(aircraft, entries, found), key=lambda each: each.at))


def _changed(entries: Sequence[Stored], taken: Sequence[Guess]) -> list[Stored]:
    kept = list(entries)
    for guess in taken:
        kept = guess.applied(kept)
    return kept


def _adjusted(aircraft: Aircraft, entries: Sequence[Stored], taken: Sequence[Guess]) -> Account:
    return account(aircraft, _changed(entries, taken), [guess.gap for guess in taken if guess.gap])


def _needed(
    aircraft: Aircraft, entries: Sequence[Stored], taken: Sequence[tuple[Guess, tuple[Guess, ...]]]
) -> list[tuple[Guess, tuple[Guess, ...]]]:
    """Explanations that are still needed once all are there: an early one may have stood in for a later."""
    kept = list(taken)
    for each in taken:
        rest = [other for other in kept if other is not each]
        with_it = _adjusted(aircraft, entries, [guess for guess, _ in kept]).score
        without = _adjusted(aircraft, entries, [guess for guess, _ in rest]).score
        if without - with_it < CRITICAL**2 - each[0].cost:
            kept = rest
    return kept


def _rivals(best: Guess, close: Sequence[Guess]) -> tuple[Guess, ...]:
    """What explains it about as well as the best: other entries, each once, and something forgotten, once."""
    known = set(best.numbers) or {0}
    kept = []
    for guess in close:
        if not known.intersection(guess.numbers or (0,)):
            known.update(guess.numbers or (0,))
            kept.append(guess)
    return tuple(kept)


def _told(best: Guess, rivals: tuple[Guess, ...], by_number: Mapping[int, Stored], after: Account) -> Suspect:
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
        cure = _void(best.numbers[0])
    elif best.code == "ledger-stuck":
        cure = "have the gauge seen to; void its readings"
    else:
        given = "--tank ... --note 'why'" if best.code == "ledger-tank-wrong" else "--note 'why' ..."
        cure = f"look it up, then: planner ledger correct {best.numbers[0]} {given}"
    others = _entries(rivals, by_number)
    gaps = [described(by_number[guess.gap]) for guess in rivals if guess.gap]
    if rivals:
        parts = [joined(": ", (names, words)) if names else words, *map(described, others)]
        parts += [f"something is missing before {gap}" for gap in gaps]
        words, cure = joined("; or ", parts), f"{_LOOK}; if it is the first of them, {cure}"
        words = joined("", ("one of these is wrong, and the entries do not say which: ", words))
    elif best.code == "ledger-stuck":
        words = f"the gauge has not moved while fuel did: {names}"
    elif accused:
        words = joined(" does not fit the other entries: ", (names, words))
    at = by_number[best.gap].entry.at if best.gap else ""
    return _suspect(code, accused, others, words, cure, at=at, missing=bool(gaps))


def _entries(guesses: Sequence[Guess], by_number: Mapping[int, Stored]) -> tuple[Stored, ...]:
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


def _void(number: int) -> str:
    return f"if so: planner ledger correct {number} --void --note 'why'"


def _suspect(
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


def _since(aircraft: Aircraft, entries: Sequence[Stored], found: Sequence[Suspect]) -> Iterator[Suspect]:
    """Each with whether a level or a start that is not itself under suspicion has settled it since."""
    doubtful = {number for each in found for number in each.numbers}
    sound = [each for each in entries if each.number not in doubtful]
    last = ""
    for stage in stages(aircraft, sound):
        known = stage.movement is not None and stage.movement.level is not None
        if known or any(each.entry.start for each in stage.readings):
            last = stage.at
    for each in found:
        yield replace(each, settled=each.at < last)


def _to_come(entries: Sequence[Stored]) -> Iterator[Suspect]:
    """Entries of a time that is still to come: an import may bring them."""
    moment = made.now()
    for each in entries:
        if each.entry.at > moment:
            words = f"{described(each)} is still to come"
            cure = f"planner ledger correct {each.number} --at ... --note 'wrong date'"
            yield _suspect("ledger-future", (each,), (), words, cure)


def late(aircraft: Aircraft, entries: Sequence[Stored]) -> tuple[Finding, ...]:
    """ledger-late: entries written down after a known level or a start, of a time before it: they change
    nothing that comes after it, so a wrong time would go unseen.

    Parameters: `entries` that count, in order of time. Returns notices. A correction is not one.
    """
    known = [
        (stage.at, max(each.entry.recorded for each in stage.movement.entries))
        for stage in stages(aircraft, entries)
        if stage.movement is not None and stage.movement.level is not None
    ]
    return tuple(
        Finding(
            "ledger-late",
            f"{described(each)} is of before the known level of {settled[:10]} and was written later",
            hint=f"if its time is wrong: planner ledger correct {each.number} --at ... --note 'wrong time'",
            severity="notice",
        ).at("ledger", 1, 1)
        for each in entries
        if not each.entry.supersedes
        for settled, written in known[-1:]
        if each.entry.at < settled and each.entry.recorded > written
    )


def unsettled(found: Sequence[Suspect]) -> tuple[Suspect, ...]:
    """Those that nothing has settled since."""
    return tuple(each for each in found if not each.settled)
