"""The log of an aircraft's fuel, from one known level on, and every other source that says how much there
was.

Between two movements of fuel (a flight, or an uplift or drain) the tanks hold one quantity, and up to four
sources give
it: the log carried forward from the last known level; the dips; the gauges; and the ticket: an uplift or
drain that ends at a known level tells what was there before. Where flights lie between, that level is carried
back over them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from planner.flight.fuel import Leg, burn_down
from planner.logbook.ledger.entries import READINGS, Entry, Stored, full, tanks_known
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
        return (
            self.movement.at
            if self.movement is not None
            else self.readings[0].entry.at
            if self.readings
            else ""
        )


@dataclass(slots=True)
class _Carried:
    """A complete reading on its way: as it was read, and what movements since have added."""

    read: FuelSource
    change: float = 0.0
    own_u: float = 0.0
    shared_u: float = 0.0
    flights: int = 0

    def over(self, movement: Movement) -> None:
        self.change += movement.change
        self.own_u = math.hypot(self.own_u, movement.own_u)
        self.shared_u += movement.shared_u
        self.flights += movement.kind == "flight"

    def source(self) -> FuelSource:
        read = self.read
        flights = (
            f"{self.flights} flight{'s' if self.flights > 1 else ''}" if self.flights else "what moved since"
        )
        return FuelSource(
            name=read.name,
            volume=read.volume + self.change,
            u=math.hypot(read.u, self.own_u, self.shared_u),
            basis=f"of {read.since[:10]}, carried forward over {flights}",
            own_u=self.own_u,
            shared_u=self.shared_u,
            since=read.since,
            fresh=False,
        )


@dataclass(slots=True)
class _Raw:
    movement: Movement | None
    readings: list[Stored] = field(default_factory=list)


@dataclass(slots=True)
class _Log:
    """The log as it runs: total and parts of its u [m3], and a share per tank that follows the feed order."""

    volume: float
    own_u: float
    shared_u: float
    tanks: list[float]
    basis: str
    since: str = ""
    known_u: float = 0.0

    @property
    def u(self) -> float:
        return math.hypot(self.own_u, self.shared_u)


def _movement(aircraft: Aircraft, entries: Sequence[Stored]) -> Movement:
    if entries[0].entry.kind == "flight":
        flown = entries[0].entry
        own, shared = (0.0, flown.u) if flown.computed else (flown.u, 0.0)
        return Movement(
            kind="flight",
            entries=tuple(entries),
            change=-flown.volume,
            own_u=own,
            shared_u=shared,
            level=None,
        )
    change = math.fsum(each.entry.volume * (1 if each.entry.kind == "uplift" else -1) for each in entries)
    return Movement(
        kind="supply",
        entries=tuple(entries),
        change=change,
        own_u=math.hypot(*(each.entry.u for each in entries)),
        shared_u=0.0,
        level=_level(aircraft, entries),
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
    shares: dict[
        str, float
    ] = {}  # how much of each entry's level still holds: one entry is one error, whatever tanks it is about
    for entry, share in known.values():
        shares[entry.uid] = shares.get(entry.uid, 0.0) + share
    by_uid = {entry.uid: entry for entry, _ in known.values()}
    return (
        math.fsum(by_uid[uid].leaves * share for uid, share in shares.items()),
        math.hypot(*(by_uid[uid].u_leaves * share for uid, share in shares.items())),
    )


def _raw_stages(aircraft: Aircraft, entries: Sequence[Stored]) -> list[_Raw]:
    """Entries in order of time, cut at every movement; uplifts and drains with nothing between them are one,
    until they end at a known level.
    """
    stages = [_Raw(None)]
    for each in entries:
        last = stages[-1].movement
        if each.entry.kind in READINGS:
            stages[-1].readings.append(each)
        elif (
            each.entry.kind != "flight"
            and last is not None
            and last.kind == "supply"
            and last.level is None
            and not stages[-1].readings
        ):
            stages[-1].movement = _movement(aircraft, [*last.entries, each])
        else:
            stages.append(_Raw(_movement(aircraft, [each])))
    return stages


def _reading(
    aircraft: Aircraft, readings: Sequence[Stored], kind: Literal["dip", "gauge"]
) -> tuple[FuelSource | None, dict[str, float], str, bool]:
    """The last reading of every tank added up: (source, per tank, why it is not complete, whether the log
    starts here).
    """
    latest: dict[str, Entry] = {}
    for each in readings:
        if each.entry.kind == kind:
            if each.entry.tank == "":
                latest = {"": each.entry}
            else:
                latest.pop("", None)
                latest[each.entry.tank] = each.entry
    if not latest:
        return None, {}, "", False
    absent = [name for name in aircraft.tanks if name not in latest] if "" not in latest else []
    if absent:
        return None, {}, f"{kind}: no reading of {', '.join(absent)}", False
    volume = math.fsum(entry.volume for entry in latest.values())
    words = ", ".join(f"{entry.tank + ' ' if entry.tank else ''}{entry.text}" for entry in latest.values())
    per_tank = {} if "" in latest else {name: latest[name].volume for name in aircraft.tanks}
    u = math.hypot(*(entry.u for entry in latest.values()))
    source = FuelSource(kind, volume, u, words, since=max(entry.at for entry in latest.values()))
    return source, per_tank, "", any(entry.start for entry in latest.values())


def _spread(aircraft: Aircraft, volume: float) -> list[float]:
    """A total over the tanks by their usable capacity [m3]."""
    return [volume * tank.usable / full(aircraft, "") for tank in aircraft.tanks.values()]


def _carry(aircraft: Aircraft, log: _Log, movement: Movement) -> _Log:
    """The log after a movement: volumes add; computed burns share one flow, so their u add before
    squaring.
    """
    if movement.level is not None:
        volume, u = movement.level
        return _Log(
            volume=volume,
            own_u=u,
            shared_u=0.0,
            tanks=_spread(aircraft, volume),
            basis=f"known level on {movement.at[:10]}",
            since=movement.at,
            known_u=u,
        )
    tanks = list(log.tanks)
    names = list(aircraft.tanks)
    if movement.kind == "flight":
        draws, _ = burn_down(
            names,
            [max(each, 0.0) for each in tanks],
            aircraft.feed_order(),
            [Leg("flight", "trip", -movement.change, 0.0)],
        )
        tanks = list(draws[-1].end) if draws else tanks
    else:
        for each in movement.entries:
            sign = 1 if each.entry.kind == "uplift" else -1
            parts = (
                _spread(aircraft, each.entry.volume)
                if not each.entry.tank
                else [each.entry.volume * (name == each.entry.tank) for name in names]
            )
            tanks = [max(held + sign * part, 0.0) for held, part in zip(tanks, parts, strict=True)]
    return _Log(
        volume=log.volume + movement.change,
        own_u=math.hypot(log.own_u, movement.own_u),
        shared_u=log.shared_u + movement.shared_u,
        tanks=tanks,
        basis=log.basis,
        since=log.since,
        known_u=log.known_u,
    )


def _ticket(stages: Sequence[_Raw], index: int) -> FuelSource | None:
    """What the next known level says of this stage, carried back over the movements between."""
    change = own = shared = 0.0
    flights = 0
    for later in stages[index + 1 :]:
        movement = later.movement
        assert movement is not None  # only the first stage has none
        change += movement.change
        own, shared = math.hypot(own, movement.own_u), shared + movement.shared_u
        if movement.level is not None:
            level, u = movement.level
            over = f", carried back over {flights} flight{'s' if flights > 1 else ''}" if flights else ""
            return FuelSource(
                "ticket",
                level - change,
                math.hypot(u, own, shared),
                f"known level on {movement.at[:10]}{over}",
            )
        flights += movement.kind == "flight"
    return None


def _still_carried(carried: dict[SourceName, _Carried], fresh: Sequence[FuelSource]) -> list[FuelSource]:
    """The readings carried to here; one that the log agrees against with a dip or a ticket is settled and
    goes.
    """
    by_name = {each.name: each for each in fresh}
    for name in [name for name in carried if name in by_name]:
        del carried[name]
    found = {name: each.source() for name, each in carried.items()}
    log = by_name.get("log")
    for witness in (by_name.get("dip"), by_name.get("ticket")):
        if witness is not None and log is not None and not differ(witness, log):
            for name in [name for name, each in found.items() if differ(each, witness)]:
                del found[name], carried[name]
    return list(found.values())


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


def stages(aircraft: Aircraft, entries: Sequence[Stored]) -> tuple[Stage, ...]:
    """The ledger as stages between movements, with what every source says of each.

    The log starts at the first complete reading, or at a known level, and starts anew at every known level
    and at every reading marked so; it adds uplifts and takes burns and drains off. A complete reading is
    carried forward in the same way, beside the log, until one of its kind, a known level or a start takes its
    place, or a dip of every tank agrees with the log against it. Sources are kept apart
    here; `planner.logbook.ledger.agree` sets them against each other.

    Parameters: `aircraft`; `entries` that count, in order of time (see `effective`). Returns Stages [m3],
    oldest first. Raises InputRefused for an entry about a tank the profile does not have.
    Range: uncertainties add as of independent causes, those of computed burns as of one.
    Source: [common-practice]; [jcgm-100] 5.1.2 and 5.2.2; [aaib-g-bwev] for the log that was right where the
    dips were not.
    """
    tanks_known(aircraft, entries)
    raw = _raw_stages(aircraft, entries)
    log: _Log | None = None
    carried: dict[SourceName, _Carried] = {}
    result = []
    for index, stage in enumerate(raw):
        if stage.movement is not None:
            if stage.movement.level is not None:
                carried = {}
            for each in carried.values():
                each.over(stage.movement)
            if log is not None:
                log = _carry(aircraft, log, stage.movement)
            elif stage.movement.level is not None:
                log = _carry(
                    aircraft, _Log(volume=0.0, own_u=0.0, shared_u=0.0, tanks=[], basis=""), stage.movement
                )
        sources: list[FuelSource] = []
        missing: list[str] = []
        fresh: _Log | None = None
        for kind in ("dip", "gauge"):
            source, per_tank, gap, start = _reading(aircraft, stage.readings, kind)
            missing += [gap] if gap else []
            if source is not None:
                sources.append(source)
                carried = {} if start else carried
                if start or (log is None and fresh is None):
                    fresh = _Log(
                        volume=source.volume,
                        own_u=source.u,
                        shared_u=0.0,
                        tanks=list(per_tank.values()) or _spread(aircraft, source.volume),
                        basis=f"{kind} on {stage.readings[0].entry.at[:10]}",
                        since=source.since,
                        known_u=source.u,
                    )
        shown = log
        if fresh is not None:
            log = fresh
            missing.append(f"the log starts here, from the {fresh.basis.split(' ')[0]}")
        if shown is not None:
            grown = math.sqrt(max(shown.own_u**2 - shown.known_u**2, 0.0))
            sources.append(
                FuelSource(
                    name="log",
                    volume=shown.volume,
                    u=shown.u,
                    basis=f"from the {shown.basis}",
                    own_u=grown,
                    shared_u=shown.shared_u,
                    since=shown.since,
                )
            )
        ticket = _ticket(raw, index)
        sources += [ticket] if ticket is not None else []
        sources += _still_carried(carried, sources)
        carried |= {
            each.name: _Carried(each)
            for each in sources
            if each.name in READINGS and each.fresh and (fresh is None or fresh.since != each.since)
        }
        ordered = tuple(sorted(sources, key=lambda each: SOURCE_ORDER.index(each.name)))
        current = log or shown
        result.append(
            Stage(
                movement=stage.movement,
                readings=tuple(stage.readings),
                sources=ordered,
                missing=tuple(missing),
                split=tuple(current.tanks) if current is not None else (),
            )
        )
    return tuple(each for each in result if each.movement is not None or each.readings)
