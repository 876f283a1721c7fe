"""The ledger as one set of equations: what was in every tank after every entry, by all entries together.

Every reading, uplift, drain and burn is an observation of it, weighted by its own uncertainty; the aircraft's
real flow is one of the unknowns, so that the ledger learns it as it goes.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

from planner.flight.loading import burnt_off
from planner.logbook.ledger.adjusting import Adjusted, Observation, adjust
from planner.logbook.ledger.entries import FLOW_SHARE, LEAST_U, READINGS, Entry, Stored, full
from planner.quantities.frozen import frozen
from planner.records.aircraft.record import Aircraft

FLIGHT_SHARE: Final = 0.08  # of a computed burn, from flight to flight: common practice, no published source
# of a burn, between tanks that drain together: common practice, no published source
TOGETHER_SHARE: Final = 0.10
# of a burn, between tanks taken one after the other: any split is as likely as another, [jcgm-100] 4.3.7
ANY_SHARE: Final = 1 / math.sqrt(12)
BEYOND: Final = 3.0  # u past full or empty: a balance that cannot be, by chance once in 740
FREE: Final = 10.0  # times the full tanks: the u of a quantity that nothing is known of


@frozen
class AccountPoint:
    """The fuel after one entry: per tank and in all, `volumes`, `us`, `total`, `u_total` [m3]."""

    stored: Stored
    volumes: tuple[float, ...]
    us: tuple[float, ...]
    total: float
    u_total: float


@frozen
class Account:
    """All entries adjusted: a Point each; the greatest normalised residual of each entry by its number; the
    aircraft's `flow` with its u [m3/s], None where no flight has a time; `score`, the weighted sum of squares
    with what lies beyond the tanks.
    """

    points: tuple[AccountPoint, ...]
    normalised: Mapping[int, float]
    flow: tuple[float, float] | None
    score: float
    beyond: tuple[tuple[int, float], ...]


class _Model:
    """Observations as they gather: one unknown for each tank each time its content changes."""

    def __init__(self, aircraft: Aircraft) -> None:
        self.aircraft = aircraft
        self.names = list(aircraft.tanks)
        self.full = [tank.usable for tank in aircraft.tanks.values()]
        self.rows: list[Observation] = []
        self.unknowns = 1 + len(self.names)  # the factor of the flow first, moved to the end by `solved`
        self.now = list(range(1, self.unknowns))
        self.held = [volume / 2 for volume in self.full]  # for the split of a burn only
        self.path: list[tuple[int, ...]] = []
        self.burns: list[tuple[int, int, int]] = []  # a flight, and a tank before and after it
        for index, volume in zip(self.now, self.full, strict=True):
            self.row(((index, 1.0),), volume / 2, volume / math.sqrt(12))

    def row(self, terms: tuple[tuple[int, float], ...], value: float, u: float, of: int = 0) -> None:
        self.rows.append(Observation(terms, value, u, of))

    def fresh(self, tanks: Sequence[int]) -> tuple[list[int], list[int]]:
        before = [self.now[tank] for tank in tanks]
        for tank in tanks:
            self.now[tank] = self.unknowns
            self.unknowns += 1
        return before, [self.now[tank] for tank in tanks]

    def tanks(self, name: str) -> list[int]:
        return [self.names.index(name)] if name else list(range(len(self.names)))

    def level(self, entry: Entry, tanks: Sequence[int], volume: float, u: float, of: int) -> None:
        """The tanks hold `volume` together; full or empty is known of each of them."""
        most = full(self.aircraft, entry.tank)
        if len(tanks) > 1 and (volume <= 0 or abs(volume - most) < LEAST_U) and entry.kind not in READINGS:
            for tank in tanks:
                level = self.full[tank] if volume > 0 else 0.0
                self.row(((self.now[tank], 1.0),), level, u / math.sqrt(len(tanks)), of)
                self.held[tank] = level
            return
        self.row(tuple((self.now[tank], 1.0) for tank in tanks), volume, u, of)
        present = math.fsum(self.held[tank] for tank in tanks)
        for tank in tanks:
            share = self.held[tank] / present if present > 0 else self.full[tank] / most
            self.held[tank] = volume * share

    def add(self, stored: Stored) -> None:
        entry, of = stored.entry, stored.number
        tanks = self.tanks("" if entry.kind == "flight" else entry.tank)
        if entry.kind in READINGS:
            self.level(entry, tanks, entry.volume, entry.u, of)
        elif entry.kind == "flight":
            self.flight(entry, of)
        else:
            sign = 1.0 if entry.kind == "uplift" else -1.0
            before, after = self.fresh(tanks)
            change = (*((index, 1.0) for index in after), *((index, -1.0) for index in before))
            self.row(change, sign * entry.volume, entry.u, of)
            most = full(self.aircraft, entry.tank)
            for place, tank in enumerate(tanks):
                part = sign * entry.volume * self.full[tank] / most
                if len(tanks) > 1:  # how it went into several tanks is not written down
                    self.row(((after[place], 1.0), (before[place], -1.0)), part, entry.volume)
                self.held[tank] = min(max(self.held[tank] + part, 0.0), self.full[tank])
            if entry.leaves >= 0:
                self.level(entry, tanks, entry.leaves, entry.u_leaves, of)
        self.path.append(tuple(self.now))

    def flight(self, entry: Entry, of: int) -> None:
        tanks = self.tanks("")
        ends = list(burnt_off(self.aircraft, self.held, min(entry.volume, math.fsum(self.held))))
        drawn = [max(start - end, 0.0) for start, end in zip(self.held, ends, strict=True)]
        total = math.fsum(drawn)
        before, after = self.fresh(tanks)
        burn = (*((index, 1.0) for index in before), *((index, -1.0) for index in after))
        self.burns += [(of, *each) for each in zip(before, after, strict=True)]
        if entry.computed:
            own = max(FLIGHT_SHARE * entry.volume, LEAST_U)
            own = max(own, entry.u - FLOW_SHARE * entry.volume)  # one made free stays so
            self.row((*burn, (0, -entry.volume)), 0.0, own, of)
        else:
            self.row(burn, entry.volume, entry.u, of)
        together = len(self.aircraft.feed_order()) == 1
        apart = max((TOGETHER_SHARE if together else ANY_SHARE) * entry.volume, entry.u, LEAST_U)
        for place in range(len(tanks)) if len(tanks) > 1 else ():
            share = drawn[place] / total if total > 0 else self.full[place] / math.fsum(self.full)
            terms = [(index, -share) for index in before] + [(index, share) for index in after]
            terms[place] = (before[place], 1 - share)
            terms[len(tanks) + place] = (after[place], share - 1)
            self.row(tuple(terms), 0.0, apart, of)
        self.held = ends

    def gap(self) -> None:
        """Anything may have happened here: each tank is free to hold what it may."""
        for tank in self.tanks(""):
            before, after = self.fresh([tank])
            self.row(((after[0], 1.0), (before[0], -1.0)), 0.0, FREE * self.full[tank])

    def solved(self) -> Adjusted:
        """The factor of the flow stands in every flight: it is eliminated last, and every Point needs the
        covariances of its tanks.
        """
        last = self.unknowns - 1

        def moved(index: int) -> int:
            return last if index == 0 else index - 1

        rows = [
            Observation(
                tuple((moved(index), factor) for index, factor in row.terms), row.value, row.u, row.of
            )
            for row in (*self.rows, Observation(((0, 1.0),), 1.0, FLOW_SHARE))
        ]
        # No news of its own, but it keeps the tanks of one moment in one equation.
        rows += [
            Observation(tuple((index - 1, 1.0) for index in path), 0.0, 1e6)
            for path in dict.fromkeys(self.path)
            if len(path) > 1
        ]
        return adjust(rows, self.unknowns)


def account(aircraft: Aircraft, entries: Sequence[Stored], gaps: Collection[int] = ()) -> Account:
    """All entries of a ledger adjusted together.

    Unknowns: every tank's content after every change of it, and the factor between the flow the burns were
    computed with and the real one. Observations: each reading, each volume, each known level, each burn; the
    split of a burn over tanks follows the feed order, loosely.

    Parameters: `aircraft`; `entries` that count, in order of time [m3]; `gaps`, numbers of entries
    before which something was forgotten. Returns an Account in SI. Range: as many tanks as the profile has.
    Source: [jcgm-100] 4.3.7 for a quantity known only within bounds; see `adjust`.
    """
    model = _Model(aircraft)
    for each in entries:
        if each.number in gaps:
            model.gap()
        model.add(each)
    found = model.solved()
    points = []
    for stored, path in zip(entries, model.path, strict=True):
        indices = [index - 1 for index in path]
        points.append(
            AccountPoint(
                stored=stored,
                volumes=tuple(found.values[index] for index in indices),
                us=tuple(math.sqrt(max(found.covariance(index, index), 0.0)) for index in indices),
                total=math.fsum(found.values[index] for index in indices),
                u_total=found.u([(index, 1.0) for index in indices]),
            )
        )
    normalised: dict[int, float] = {}
    for row, value in zip(model.rows, found.normalised, strict=False):
        if row.of and abs(value) >= abs(normalised.get(row.of, 0.0)):
            normalised[row.of] = value
    beyond = tuple(_beyond(points, model.full)) + tuple(_filled_in_flight(found, model.burns))
    factor, u = found.values[-1], math.sqrt(found.covariance(model.unknowns - 1, model.unknowns - 1))
    return Account(
        points=tuple(points),
        normalised=normalised,
        flow=_flow(points, factor, u),
        score=found.score + math.fsum(past**2 for _, past in beyond),
        beyond=beyond,
    )


def _flow(points: Sequence[AccountPoint], factor: float, u_factor: float) -> tuple[float, float] | None:
    """The aircraft's own flow and its u [m3/s]: the factor times the mean flow that flights were computed
    with, else the mean of those measured, as adjusted.
    """
    flown = [
        (start, end)
        for start, end in zip((None, *points), points, strict=False)
        if end.stored.entry.kind == "flight" and end.stored.entry.duration
    ]
    computed = [end.stored.entry for _, end in flown if end.stored.entry.computed]
    if computed:
        hours = math.fsum(entry.duration for entry in computed)
        mean = math.fsum(entry.volume for entry in computed) / hours
        return factor * mean, u_factor * mean
    measured = [(start.total - end.total, end.stored.entry) for start, end in flown if start is not None]
    if not measured:
        return None
    hours = math.fsum(entry.duration for _, entry in measured)
    spread = math.hypot(*(part for burn, entry in measured for part in (entry.u, FLIGHT_SHARE * burn)))
    return math.fsum(burn for burn, _ in measured) / hours, spread / hours


def _beyond(points: Sequence[AccountPoint], most: Sequence[float]) -> Iterator[tuple[int, float]]:
    """Entries after which a tank would hold more than it can, or less than nothing, by how many u."""
    for point in points:
        checks = [*zip(point.volumes, point.us, most, strict=True)]
        past = max(max(volume - full_, -volume) / max(u, LEAST_U) for volume, u, full_ in checks)
        if past > BEYOND:
            yield point.stored.number, past


def _filled_in_flight(found: Adjusted, burns: Sequence[tuple[int, int, int]]) -> Iterator[tuple[int, float]]:
    """Flights over which a tank would have gained fuel, by how many u."""
    for of, before, after in burns:
        gained = found.values[after - 1] - found.values[before - 1]
        if gained > 0:
            past = gained / max(found.u(((after - 1, 1.0), (before - 1, -1.0))), LEAST_U)
            if past > BEYOND:
                yield of, past
