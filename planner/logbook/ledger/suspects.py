"""Which entries cannot be right: what could have gone wrong with each is tried, and what makes all the others
agree is named, with its cure.

Nothing is taken out of the ledger here: a suspect stays until a correction settles it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from planner.logbook.ledger import entries as made
from planner.logbook.ledger.account import Account, account
from planner.logbook.ledger.balance import stages
from planner.logbook.ledger.doubt.explanations import Guess, described, guesses, twice
from planner.logbook.ledger.doubt.telling import LOOK, Suspect, entries_of, rivals_of, suspect, told, void
from planner.logbook.ledger.entries import SUPPLIES, Stored
from planner.quantities.errors import Finding
from planner.records.aircraft.record import Aircraft

CRITICAL: Final = 3.29  # normalised residual that chance passes once in a thousand: [baarda-1968]
# two explanations whose scores differ by less, a ratio of ten to one, cannot be told apart
CLOSE: Final = 4.6
WINDOW: Final = 20  # entries before and after that an explanation is tried on
NEAR: Final = 8  # entries about one after which the tanks would hold what they cannot
MOST: Final = 40  # suspects named at once


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
    aircraft: Aircraft, entries: Sequence[Stored], taken: Collection[Guess], found: Account
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


def suspects(
    aircraft: Aircraft, entries: Sequence[Stored], whole: Account | None = None
) -> tuple[Suspect, ...]:
    """The entries that cannot be right, each with what is the matter and its cure.

    Movements written down twice come first. Then the entries are adjusted together; while the greatest
    normalised residual is beyond 3.29, or a tank would hold what it cannot, each explanation is tried on the
    entries about it - another tank, another unit, a gauge that stands still, one written down twice,
    something forgotten, the figure itself - and the one that leaves the smallest score is taken. What
    explains it about as well is named beside it.

    Parameters: `aircraft`; `entries` that count, in order of time; `whole`, all of them adjusted, where the
    caller has it. Returns Suspects in order of time.
    Range: errors well beyond the stated uncertainties; a small one is not told from chance.
    Source: [baarda-1968]; the costs and the order of the explanations are this program's.
    """
    kept, found = list(entries), list[Suspect]()
    found += _to_come(entries)
    for first, second, why in twice(entries):
        kept = [each for each in kept if each.number != second.number]
        words = f"{described(second)} is no. {first.number} once more: {why}"
        found.append(suspect("ledger-twice", (second,), (), words, void(second.number)))
    by_number = {each.number: each for each in entries}
    taken: dict[Guess, tuple[Guess, ...]] = {}  # and what explains it about as well
    while len(taken) < MOST:
        untouched = not taken and len(kept) == len(entries)
        now = whole if whole is not None and untouched else _adjusted(aircraft, kept, taken)
        tried, before = _best(aircraft, _changed(kept, taken), taken, now)
        if not tried:
            break
        score, best = tried[0]
        rivals = rivals_of(best, [guess for each, guess in tried[1:] if each - score < CLOSE])
        if before - score < CRITICAL**2 - best.cost:
            if now.beyond:
                at = by_number[now.beyond[0][0]]
                words = f"after {described(at)} the tanks would hold what they cannot"
                others = entries_of((best, *rivals), by_number)
                words += f"; it could be {', '.join(map(described, others))}" if others else ""
                found.append(suspect("ledger-impossible", (at,), others, words, LOOK, missing=True))
            break
        taken[best] = rivals
    if taken:
        taken = _needed(aircraft, kept, taken)
        after = _adjusted(aircraft, kept, taken)
        found += [told(guess, rivals, by_number, after) for guess, rivals in taken.items()]
    return tuple(sorted(_since(aircraft, entries, found), key=lambda each: each.at))


def _changed(entries: Sequence[Stored], taken: Iterable[Guess]) -> list[Stored]:
    kept = list(entries)
    for guess in taken:
        kept = guess.applied(kept)
    return kept


def _adjusted(aircraft: Aircraft, entries: Sequence[Stored], taken: Collection[Guess]) -> Account:
    return account(aircraft, _changed(entries, taken), [guess.gap for guess in taken if guess.gap])


def _needed(
    aircraft: Aircraft, entries: Sequence[Stored], taken: Mapping[Guess, tuple[Guess, ...]]
) -> dict[Guess, tuple[Guess, ...]]:
    """Explanations that are still needed once all are there: an early one may have stood in for a later."""
    kept = dict(taken)
    for each in taken:
        rest = {guess: rivals for guess, rivals in kept.items() if guess is not each}
        with_it, without = (_adjusted(aircraft, entries, held).score for held in (kept, rest))
        if without - with_it < CRITICAL**2 - each.cost:
            kept = rest
    return kept


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
            yield suspect("ledger-future", (each,), (), words, cure)


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
