"""What says how much fuel there was: a source, what moved between two of them, and when two disagree."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, Literal

from planner.logbook.ledger.entries import Entry, Stored, full
from planner.quantities.effects import COVERAGE
from planner.quantities.frozen import frozen
from planner.records.aircraft.record import Aircraft

SourceName = Literal["log", "dip", "gauge", "ticket"]
SOURCE_ORDER: Final[tuple[SourceName, ...]] = ("log", "dip", "gauge", "ticket")


@frozen
class FuelSource:
    """What one source says of the usable fuel aboard: `volume`, `u` [m3], and how it came to it.

    `since` is when its quantity was known: later for a reading taken here than for one carried forward over
    the movements since, whose part of u is `own_u` and, by the flow that all computed burns share, `shared_u`
    [m3].
    """

    name: SourceName
    volume: float
    u: float
    basis: str
    own_u: float = 0.0
    shared_u: float = 0.0
    since: str = ""
    fresh: bool = True


@frozen
class Movement:
    """A flight, or uplifts and drains one after the other: `change` of the fuel aboard [m3], its parts' u
    [m3].

    `shared_u` is that part of u which all computed burns share, as they rest on one flow. `level` is (usable
    fuel, u) [m3] known to be aboard afterwards, or None.
    """

    kind: Literal["flight", "supply"]
    entries: tuple[Stored, ...]
    change: float
    own_u: float
    shared_u: float
    level: tuple[float, float] | None

    @property
    def at(self) -> str:
        """When it ended."""
        return self.entries[-1].entry.at

    @property
    def duration(self) -> float:
        """Time flown [s]."""
        return math.fsum(each.entry.duration for each in self.entries)


@frozen
class Stage:
    """The time between two movements: the movement it begins with (None for the first), the readings in it,
    what every source says.

    `missing` says why a source that was begun is not complete. `split` is the log's own share of each tank
    [m3].
    """

    movement: Movement | None
    readings: tuple[Stored, ...]
    sources: tuple[FuelSource, ...]
    missing: tuple[str, ...]
    split: tuple[float, ...]

    def source(self, name: SourceName) -> FuelSource | None:
        """The source of that name, or None where it says nothing here."""
        return next((each for each in self.sources if each.name == name), None)

    @property
    def at(self) -> str:
        """When it began, or when its first reading was taken."""
        begun = [self.movement.at] if self.movement is not None else []
        return next(iter((*begun, *(each.entry.at for each in self.readings))), "")


def movement_of(aircraft: Aircraft, entries: Sequence[Stored]) -> Movement:
    """A flight, or uplifts and drains one after the other, as one movement."""
    first = entries[0].entry
    flown = first.kind == "flight"
    return Movement(
        kind="flight" if flown else "supply",
        entries=tuple(entries),
        change=math.fsum(each.entry.volume * (1 if each.entry.kind == "uplift" else -1) for each in entries),
        own_u=0.0 if flown and first.computed else math.hypot(*(each.entry.u for each in entries)),
        shared_u=first.u if flown and first.computed else 0.0,
        level=None if flown else _level(aircraft, entries),
    )


def _level(aircraft: Aircraft, entries: Sequence[Stored]) -> tuple[float, float] | None:
    """The level known after uplifts and drains, where it is known of every tank; a later change without a
    level ends the knowledge.
    """
    known: dict[str, tuple[Entry, float]] = {}
    for each in entries:
        entry = each.entry
        for name in [entry.tank] if entry.tank else list(aircraft.tanks):
            known.pop(name, None)
            if entry.leaves >= 0:
                known[name] = (entry, full(aircraft, name) / full(aircraft, entry.tank))
    if len(known) < len(aircraft.tanks):
        return None
    # how much of each entry's level still holds: one entry is one error, whatever tanks it is about
    shares: dict[str, float] = {}
    for entry, share in known.values():
        shares[entry.uid] = shares.get(entry.uid, 0.0) + share
    by_uid = {entry.uid: entry for entry, _ in known.values()}
    return (
        math.fsum(by_uid[uid].leaves * share for uid, share in shares.items()),
        math.hypot(*(by_uid[uid].u_leaves * share for uid, share in shares.items())),
    )


def differ(one: FuelSource, other: FuelSource) -> bool:
    """Whether two sources differ by more than their uncertainties allow: |a - b| > 2 u(a - b).

    What both have been carried over since the later of them was known is in both and cancels, so that a
    disagreement does not fade as the uncertainties of both grow: u(a - b)^2 = u_a^2 + u_b^2 - 2 cov.
    Parameters in m3. Source: [jcgm-100] 5.2.2 and 6.2, an expanded uncertainty of the difference with k = 2.
    """
    together = min(one.own_u, other.own_u) ** 2 + one.shared_u * other.shared_u
    return abs(one.volume - other.volume) > COVERAGE * math.sqrt(
        max(one.u**2 + other.u**2 - 2 * together, 0.0)
    )
