"""What could have gone wrong with an entry of the ledger: each explanation, and what it costs to believe."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final

from planner.logbook.ledger import entries as made
from planner.logbook.ledger.account import FREE
from planner.logbook.ledger.entries import READINGS, SUPPLIES, Entry, Stored, full
from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.units import IMPERIAL_GALLON, LITRE, US_GALLON, Quantity, read_quantity
from planner.records.aircraft.record import Aircraft

# s; two deliveries of one volume into one tank within an hour are one written down twice
SAME: Final = 3600.0
DELIVERY: Final = 7200.0  # s; one ticket may fill several tanks, one after the other
ANYTHING: Final = 5.0  # what it costs to believe that a figure is just wrong, or something was forgotten
BESIDE: Final = 1.0  # more, where something forgotten would be beside a movement that may itself be wrong
ANOTHER_TANK: Final = 1.5  # more, for each further tank in which something forgotten is free to differ
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
class Guess:
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


def described(stored: Stored) -> str:
    """An entry as a notice names it."""
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


def _seconds(entry: Entry) -> float:
    return datetime.fromisoformat(entry.at.replace("Z", "+00:00")).timestamp()


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


def guesses(aircraft: Aircraft, stored: Stored, entries: Sequence[Stored]) -> Iterator[Guess]:
    """What could have gone wrong with one entry, the most telling first."""
    entry, of = stored.entry, (stored.number,)
    if entry.kind != "flight" and entry.tank:
        for name in aircraft.tanks:
            moved = replace(entry, tank=name)
            if name != entry.tank and entry.volume <= full(aircraft, name) * 1.01:
                yield Guess("ledger-tank-wrong", of, 1.0, f"it fits tank {name}", instead=moved)
    if entry.kind == "gauge":
        same = [each for each in entries if each.entry.kind == "gauge" and each.entry.tank == entry.tank]
        run = _run(same, stored)
        if len(run) > 2:
            numbers = tuple(each.number for each in run[1:])
            yield Guess("ledger-stuck", numbers, 1.0, "the gauge has not moved", out=numbers)
    if entry.kind in READINGS:
        yield Guess("ledger-suspect", of, ANYTHING, "the reading", out=of)
    else:
        free = replace(entry, u=FREE * full(aircraft, entry.tank))
        yield Guess("ledger-suspect", of, ANYTHING, "the volume", instead=free)
        if entry.leaves >= 0:
            unknown = replace(entry, leaves=-1.0, u_leaves=0.0)
            yield Guess("ledger-suspect", of, ANYTHING, "the level it left", instead=unknown)
    length = entry.kind == "dip" and not entry.text.rstrip().endswith(("L", "l", "gal"))
    slips = () if entry.kind == "flight" and entry.computed else _LENGTHS if length else SLIPS
    for name, factor in slips:
        if "kilo" in name and entry.kind in READINGS:
            continue
        slipped = _remade(aircraft, entry, factor)
        if slipped is not None:
            yield Guess("ledger-unit", of, 4.0 if "kilo" in name else 2.0, f"it fits {name}", instead=slipped)
    if entry.kind in SUPPLIES and entry.leaves < 0:
        yield Guess("ledger-not-here", of, 6.0, "as if it had not been", out=of)
    beside = 0.0 if entry.kind in READINGS or entry.leaves >= 0 else BESIDE
    dear = ANYTHING + ANOTHER_TANK * (len(aircraft.tanks) - 1) + beside
    yield Guess("ledger-forgotten", (), dear, "something before it", gap=stored.number)


def _run(same: Sequence[Stored], stored: Stored) -> list[Stored]:
    """The readings one after the other that all say what this one says."""
    place = next(index for index, each in enumerate(same) if each.number == stored.number)
    first = last = place
    while first and same[first - 1].entry.volume == stored.entry.volume:
        first -= 1
    while last + 1 < len(same) and same[last + 1].entry.volume == stored.entry.volume:
        last += 1
    return list(same[first : last + 1])
