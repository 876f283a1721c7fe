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
from typing import Literal

from planner.flight.loading import burnt_off
from planner.logbook.ledger.entries import READINGS, Entry, Stored, full, tanks_known
from planner.logbook.ledger.sources import (
    SOURCE_ORDER,
    FuelSource,
    Movement,
    SourceName,
    Stage,
    differ,
    movement_of,
)
from planner.records.aircraft.record import Aircraft


@dataclass(slots=True)
class _Moved:
    """What movements come to [m3]: volumes add; computed burns share one flow, so their u add before
    squaring.
    """

    volume: float = 0.0
    own_u: float = 0.0
    shared_u: float = 0.0
    flights: int = 0

    def over(self, movement: Movement) -> None:
        self.volume += movement.change
        self.own_u = math.hypot(self.own_u, movement.own_u)
        self.shared_u += movement.shared_u
        self.flights += movement.kind == "flight"

    def counted(self) -> str:
        return f"{self.flights} flight{'s' if self.flights > 1 else ''}" if self.flights else ""


@dataclass(slots=True, kw_only=True)
class _Carried(_Moved):
    """A complete reading on its way: as it was read, and what movements since have added."""

    read: FuelSource

    def source(self) -> FuelSource:
        read = self.read
        return FuelSource(
            name=read.name,
            volume=read.volume + self.volume,
            u=math.hypot(read.u, self.own_u, self.shared_u),
            basis=f"of {read.since[:10]}, carried forward over {self.counted() or 'what moved since'}",
            own_u=self.own_u,
            shared_u=self.shared_u,
            since=read.since,
            fresh=False,
        )


@dataclass(slots=True)
class _Raw:
    movement: Movement | None
    readings: list[Stored] = field(default_factory=list)


@dataclass(slots=True, kw_only=True)
class _Log(_Moved):
    """The log as it runs, from a quantity `known_u` is the u of; a share per tank follows the feed order."""

    tanks: list[float]
    basis: str
    since: str
    known_u: float

    @classmethod
    def begun(cls, volume: float, u: float, tanks: list[float], basis: str, since: str) -> _Log:
        """A log as it starts, from a known quantity."""
        return cls(volume=volume, own_u=u, tanks=tanks, basis=basis, since=since, known_u=u)

    @property
    def u(self) -> float:
        return math.hypot(self.own_u, self.shared_u)


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
            stages[-1].movement = movement_of(aircraft, [*last.entries, each])
        else:
            stages.append(_Raw(movement_of(aircraft, [each])))
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


def _carry(aircraft: Aircraft, log: _Log | None, movement: Movement) -> _Log | None:
    """The log after a movement; a known level begins it."""
    if movement.level is not None:
        volume, u = movement.level
        known = f"known level on {movement.at[:10]}"
        return _Log.begun(volume, u, _spread(aircraft, volume), known, movement.at)
    if log is None:
        return None
    log.over(movement)
    if movement.kind == "flight":
        log.tanks = list(burnt_off(aircraft, [max(each, 0.0) for each in log.tanks], -movement.change))
        return log
    for each in movement.entries:
        sign = 1 if each.entry.kind == "uplift" else -1
        parts = (
            _spread(aircraft, each.entry.volume)
            if not each.entry.tank
            else [each.entry.volume * (name == each.entry.tank) for name in aircraft.tanks]
        )
        log.tanks = [max(held + sign * part, 0.0) for held, part in zip(log.tanks, parts, strict=True)]
    return log


def _ticket(stages: Sequence[_Raw], index: int) -> FuelSource | None:
    """What the next known level says of this stage, carried back over the movements between."""
    moved = _Moved()
    for later in stages[index + 1 :]:
        movement = later.movement
        assert movement is not None  # only the first stage has none
        flights = moved.counted()
        moved.over(movement)
        if movement.level is not None:
            level, u = movement.level
            over = f", carried back over {flights}" if flights else ""
            known = f"known level on {movement.at[:10]}{over}"
            return FuelSource(
                "ticket", level - moved.volume, math.hypot(u, moved.own_u, moved.shared_u), known
            )
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
            log = _carry(aircraft, log, stage.movement)
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
                    tanks = list(per_tank.values()) or _spread(aircraft, source.volume)
                    words = f"{kind} on {stage.readings[0].entry.at[:10]}"
                    fresh = _Log.begun(source.volume, source.u, tanks, words, source.since)
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
            each.name: _Carried(read=each)
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
