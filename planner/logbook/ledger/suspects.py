"""Which entries cannot be right: what could have gone wrong with each is tried, and what makes all the others
agree is named, with its cure.

Nothing is taken out of the ledger here: a suspect stays until a correction settles it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from typing import Final

from planner.logbook.ledger import entries as made
from planner.logbook.ledger.account import FREE, Account, account
from planner.logbook.ledger.balance import stages
from planner.logbook.ledger.entries import READINGS, SUPPLIES, Entry, Stored, full
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, Sentence, joined, say
from planner.quantities.units import IMPERIAL_GALLON, LITRE, US_GALLON, Quantity, read_quantity
from planner.records.aircraft.record import Aircraft

CRITICAL: Final = 3.29  # normalised residual that chance passes once in a thousand: [baarda-1968]
CLOSE: Final = (
    4.6  # two explanations whose scores differ by less, a ratio of ten to one, cannot be told apart
)
SAME: Final = (
    3600.0  # s; two deliveries of one volume into one tank within an hour are one written down twice
)
DELIVERY: Final = 7200.0  # s; one ticket may fill several tanks, one after the other
WINDOW: Final = 20  # entries before and after that an explanation is tried on
NEAR: Final = 8  # entries about one after which the tanks would hold what they cannot
MOST: Final = 40  # suspects named at once
_GALLON, _IMPERIAL = US_GALLON / LITRE, IMPERIAL_GALLON / LITRE
_KILOGRAM, _INCH = 1 / 0.72, 2.54  # L/kg of avgas, roughly; cm
SLIPS: Final = (
    ("US gallons taken for litres", _GALLON),
    ("litres taken for US gallons", 1 / _GALLON),
    ("imperial gallons taken for litres", _IMPERIAL),
    ("litres taken for imperial gallons", 1 / _IMPERIAL),
    ("kilograms taken for litres", _KILOGRAM),
    ("litres taken for kilograms", 1 / _KILOGRAM),
    ("a decimal point one place too far left", 10.0),
    ("a decimal point one place too far right", 0.1),
)
_LENGTHS: Final = (("inches taken for centimetres", _INCH), ("centimetres taken for inches", 1 / _INCH))


@frozen
class Suspect:
    """Entries that cannot be right: `numbers` are the accused, `others` those that could be it as well;
    `words` says what is the matter, `cure` what to do; `at` is the time of the last of them.

    `settled` says that a known level or a reading marked as the start has come since; `moves` that the log
    itself is wrong by it, and not only a reading beside it.
    """

    code: str
    numbers: tuple[int, ...]
    others: tuple[int, ...]
    words: str | Sentence
    cure: str
    at: str
    settled: bool = False
    moves: bool = True

    def finding(self) -> Finding:
        """As a notice."""
        since = "; settled since" if self.settled else ""
        others = ", ".join(f"no. {number}" for number in self.others)
        message = joined("", (self.words, f"; it could also be {others}" if others else "", since))
        return Finding(self.code, message, hint=self.cure, severity="notice").at("ledger", 1, 1)


@frozen
class _Guess:
    """One explanation: `numbers` accused, the entries as they would then be, and what it costs to believe."""

    code: str
    numbers: tuple[int, ...]
    cost: float
    words: str
    out: tuple[int, ...] = ()
    instead: Entry | None = None
    gap: int = 0

    def applied(self, entries: Sequence[Stored]) -> list[Stored]:
        kept = [each for each in entries if each.number not in self.out]
        new = self.instead
        if new is None:
            return kept
        return [Stored(each.number, new) if each.number == self.numbers[0] else each for each in kept]


def _seconds(entry: Entry) -> float:
    return datetime.fromisoformat(entry.at.replace("Z", "+00:00")).timestamp()


def _described(stored: Stored) -> str:
    entry = stored.entry
    tank = f" {entry.tank}" if entry.tank else ""
    return f"no. {stored.number} ({entry.at[:10]} {entry.kind}{tank} {entry.text})"


def twice(entries: Sequence[Stored]) -> tuple[tuple[Stored, Stored, str], ...]:
    """Movements written down twice: (the first, the second, why). A ticket may fill several tanks in turn.

    Parameters: `entries` that count, in order of time. Source: [common-practice].
    """
    found, doubles = [], set[int]()
    supplies = [each for each in entries if each.entry.kind in (*SUPPLIES, "flight")]
    for place, one in enumerate(supplies):
        for other in supplies[place + 1 :]:
            if one.number in doubles or other.number in doubles or one.entry.kind != other.entry.kind:
                continue
            why = _why_twice(one.entry, other.entry)
            if why:
                first, second = sorted((one, other), key=lambda each: each.number)
                doubles.add(second.number)
                found.append((first, second, why))
    return tuple(found)


def _why_twice(one: Entry, other: Entry) -> str:
    apart = _seconds(other) - _seconds(one)
    if one.kind == "flight":
        # A flight is entered at its end: a later one cannot have begun before it, but for rounding.
        return "they overlap in time" if 0 < other.duration - apart > 60 and one.duration else ""
    same_tank = not one.tank or not other.tank or one.tank == other.tank
    if one.ticket and one.ticket == other.ticket and (same_tank or apart > DELIVERY):
        return f"both have ticket {one.ticket}"
    distinct = one.ticket and other.ticket and one.ticket != other.ticket
    if one.tank == other.tank and apart <= SAME and one.volume == other.volume and not distinct:
        return "same tank, time and volume"
    return ""


def _remade(aircraft: Aircraft, entry: Entry, factor: float) -> Entry | None:
    """The entry with its figure times `factor`, where such a figure is possible at all."""
    length = entry.kind == "dip" and read_quantity(entry.text, "length", "volume").dimension == "length"
    if not length:
        volume = entry.volume * factor
        whole = full(aircraft, entry.tank)
        if volume > whole * 1.01:
            return None
        u = max(entry.u * factor, entry.u if entry.kind in READINGS else 0.0)
        return replace(entry, volume=volume, u=u, duration=entry.duration * factor)
    read = read_quantity(entry.text, "length")
    slipped = Quantity(read.value * factor, read.u * factor, "length", entry.text)
    try:
        return made.dip(aircraft, entry.at, entry.tank, entry.stick, slipped, start=entry.start)
    except InputRefused:
        return None


def _guesses(aircraft: Aircraft, stored: Stored, entries: Sequence[Stored]) -> Iterator[_Guess]:
    """What could have gone wrong with one entry, the most telling first."""
    entry, of = stored.entry, (stored.number,)
    if entry.kind != "flight" and entry.tank:
        for name in aircraft.tanks:
            moved = replace(entry, tank=name)
            if name != entry.tank and entry.volume <= full(aircraft, name) * 1.01:
                yield _Guess("ledger-tank-wrong", of, 1.0, f"it fits tank {name}", instead=moved)
    if entry.kind == "gauge":
        same = [each for each in entries if each.entry.kind == "gauge" and each.entry.tank == entry.tank]
        run = _run(same, stored)
        if len(run) > 2:
            numbers = tuple(each.number for each in run[1:])
            yield _Guess("ledger-stuck", numbers, 1.0, "the gauge has not moved", out=numbers)
    if entry.kind in READINGS:
        yield _Guess("ledger-suspect", of, 5.0, "the reading", out=of)
    else:
        free = replace(entry, u=FREE * full(aircraft, entry.tank))
        yield _Guess("ledger-suspect", of, 5.0, "the volume", instead=free)
        if entry.leaves >= 0:
            unknown = replace(entry, leaves=-1.0, u_leaves=0.0)
            yield _Guess("ledger-suspect", of, 5.0, "the level it left", instead=unknown)
    length = entry.kind == "dip" and not entry.text.rstrip().endswith(("L", "l", "gal"))
    slips = () if entry.kind == "flight" and entry.computed else _LENGTHS if length else SLIPS
    for name, factor in slips:
        if "kilo" in name and entry.kind in READINGS:
            continue
        slipped = _remade(aircraft, entry, factor)
        if slipped is not None:
            yield _Guess(
                "ledger-unit", of, 4.0 if "kilo" in name else 2.0, f"it fits {name}", instead=slipped
            )
    if entry.kind in SUPPLIES and entry.leaves < 0:
        yield _Guess("ledger-not-here", of, 6.0, "as if it had not been", out=of)
    if entry.kind in READINGS or entry.leaves >= 0:
        yield _Guess("ledger-forgotten", (), 5.0, "something before it", gap=stored.number)


def _run(same: Sequence[Stored], stored: Stored) -> list[Stored]:
    """The readings one after the other that all say what this one says."""
    place = next(index for index, each in enumerate(same) if each.number == stored.number)
    first = last = place
    while first and same[first - 1].entry.volume == stored.entry.volume:
        first -= 1
    while last + 1 < len(same) and same[last + 1].entry.volume == stored.entry.volume:
        last += 1
    return list(same[first : last + 1])


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
    aircraft: Aircraft, entries: Sequence[Stored], taken: Sequence[_Guess], found: Account
) -> tuple[list[tuple[float, _Guess]], float]:
    """Explanations with their scores, cheapest first, and the score as things stand; [] where all fits."""
    places = _worth_trying(found, entries)
    if not places:
        return [], 0.0
    gaps = [guess.gap for guess in taken if guess.gap]
    used = {number for guess in taken for number in guess.numbers}
    part = entries[max(places[0] - WINDOW, 0) : places[-1] + WINDOW + 1]
    before = account(aircraft, part, gaps).score
    tried: list[tuple[float, _Guess]] = []
    seen: set[tuple[int, ...]] = set()
    for place in places:
        freed = before
        for guess in _guesses(aircraft, entries[place], entries):
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
        words = f"{_described(second)} is no. {first.number} once more: {why}"
        found.append(_suspect("ledger-twice", (second,), (), words, _void(second.number)))
    by_number = {each.number: each for each in entries}
    taken: list[tuple[_Guess, tuple[int, ...]]] = []
    while len(taken) < MOST:
        now = _adjusted(aircraft, kept, [guess for guess, _ in taken])
        changed = _changed(kept, [guess for guess, _ in taken])
        tried, before = _best(aircraft, changed, [guess for guess, _ in taken], now)
        if not tried:
            break
        score, best = tried[0]
        close = [guess for each, guess in tried[1:] if each - score < CLOSE]
        others = dict.fromkeys(number for guess in close for number in guess.numbers)
        if before - score < CRITICAL**2 - best.cost:
            if now.beyond:
                at = by_number[now.beyond[0][0]]
                words = f"after {_described(at)} the tanks would hold what they cannot"
                cure = "see which of them is wrong, and correct it"
                found.append(_suspect("ledger-impossible", (at,), tuple(others), words, cure))
            break
        taken.append((best, tuple(others)))
    taken = _needed(aircraft, kept, taken)
    after = _adjusted(aircraft, kept, [guess for guess, _ in taken])
    found += [_told(guess, by_number, others, after) for guess, others in taken]
    return tuple(sorted(_since(aircraft, entries, found), key=lambda each: each.at))


def _changed(entries: Sequence[Stored], taken: Sequence[_Guess]) -> list[Stored]:
    kept = list(entries)
    for guess in taken:
        kept = guess.applied(kept)
    return kept


def _adjusted(aircraft: Aircraft, entries: Sequence[Stored], taken: Sequence[_Guess]) -> Account:
    return account(aircraft, _changed(entries, taken), [guess.gap for guess in taken if guess.gap])


def _needed(
    aircraft: Aircraft, entries: Sequence[Stored], taken: Sequence[tuple[_Guess, tuple[int, ...]]]
) -> list[tuple[_Guess, tuple[int, ...]]]:
    """Explanations that are still needed once all are there: an early one may have stood in for a later."""
    kept = list(taken)
    for each in taken:
        rest = [other for other in kept if other is not each]
        with_it = _adjusted(aircraft, entries, [guess for guess, _ in kept]).score
        without = _adjusted(aircraft, entries, [guess for guess, _ in rest]).score
        if without - with_it < CRITICAL**2 - each[0].cost:
            kept = rest
    return kept


def _told(best: _Guess, by_number: dict[int, Stored], others: tuple[int, ...], after: Account) -> Suspect:
    points = {
        point.stored.number: (before, point) for before, point in pairwise((None, *after.points)) if point
    }
    words: str | Sentence
    if best.gap:
        entry = by_number[best.gap]
        before, point = points[best.gap]
        change = point.total - before.total if before is not None else 0.0
        rises = change > 0
        what = "an uplift" if rises else "a flight or a drain"
        words = say(
            "before {} " + f"{what} is missing, about {{}} (U {{}})",
            _described(entry),
            Figure(abs(change), "volume"),
            Figure(2 * math.hypot(point.u_total, before.u_total if before else 0.0), "volume"),
        )
        cure = f"enter it with its time: planner ledger add {'uplift' if rises else 'flight'} ... --at ..."
        code = "ledger-rises" if rises else "ledger-forgotten"
        return _suspect(code, (), others, words, cure, entry.entry.at)
    accused = [by_number[number] for number in best.numbers]
    names = ", ".join(_described(each) for each in accused)
    cure = f"look it up, then: planner ledger correct {best.numbers[0]} --note 'why' ..."
    words = f"{names} does not fit the other entries: {best.words}"
    if best.code == "ledger-not-here":
        words = f"{names} does not fit the other entries; without it they agree"
        cure = _void(best.numbers[0])
    elif best.code == "ledger-suspect" and accused[0].entry.kind not in READINGS:
        before, point = points[best.numbers[0]]
        change = abs(point.total - before.total) if before is not None else point.total
        words = say(
            f"{names} does not fit the other entries: by them {best.words} is {{}}", Figure(change, "volume")
        )
    elif best.code == "ledger-tank-wrong":
        cure = f"look it up, then: planner ledger correct {best.numbers[0]} --tank ... --note 'why'"
    elif best.code == "ledger-stuck":
        words = f"the gauge has not moved while fuel did: {names}"
        cure = "have the gauge seen to; void its readings"
    return _suspect(best.code, tuple(accused), others, words, cure)


def _void(number: int) -> str:
    return f"if so: planner ledger correct {number} --void --note 'why'"


def _suspect(
    code: str,
    accused: tuple[Stored, ...],
    others: tuple[int, ...],
    words: str | Sentence,
    cure: str,
    at: str = "",
) -> Suspect:
    numbers = tuple(each.number for each in accused)
    last = max((each.entry.at for each in accused), default=at)
    rest = tuple(number for number in others if number not in numbers)
    moves = not accused or any(each.entry.kind not in READINGS or each.entry.start for each in accused)
    return Suspect(code=code, numbers=numbers, others=rest, words=words, cure=cure, at=last, moves=moves)


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
            words = f"{_described(each)} is still to come"
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
            f"{_described(each)} is of before the known level of {settled[:10]} and was written later",
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
