"""The order in which fuel is burnt, and what is unsure about every tank on the way: of one flight, or of a
block of loadings.
"""

from __future__ import annotations

import itertools
import math
import operator
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import reduce
from typing import Final, Literal, TypeAlias

from planner.flight.fuel.tank import FuelTank
from planner.quantities import many
from planner.quantities.frozen import frozen
from planner.quantities.many import Some, Test, greater, settled, summed, where

Stage = Literal["taxi", "trip", "alternate", "reserve", "taxi in"]
# A microlitre: below it a tank is empty. Sums of litres carry rounding of about 1e-16 m3.
EMPTY: Final = 1e-9  # m3
# cause -> what one standard uncertainty of it does to a volume [m3]: a figure, or a block of one per loading
Changes: TypeAlias = Mapping[str, Some]
_NOTHING: Final[Changes] = {}
ROUNDING: Final = 1e-15  # m3; below it a change is rounding


def combined(first: Changes, second: Changes, factor: float = 1.0) -> Changes:
    """first + factor x second, cause by cause, without what is rounding [m3]. Source: [jcgm-100] 5.1.2, first
    order.
    """
    if not second:
        return first
    result = dict(first)
    for cause, change in second.items():
        result[cause] = result.get(cause, 0.0) + factor * change
    return _beyond_rounding(result)


def _beyond_rounding(changes: Changes) -> Changes:
    return {cause: each for cause, each in changes.items() if not many.is_one(each) or abs(each) > ROUNDING}


@frozen
class Leg:
    """A draw on the tanks: `volume` [m3] at `flow` [m3/s] (0 where no time is known); `tanks` named by the
    pilot, or empty.

    `changes` is what the causes of uncertainty do to the volume [m3]. A leg of the stage `reserve` takes all
    that is left. The volume is one figure, or a block of one per loading.
    """

    phase: str
    stage: Stage
    volume: Some
    flow: float
    tanks: tuple[str, ...] = ()
    changes: Changes = field(default_factory=dict)


@frozen
class Draw:
    """A stretch of the burn with constant shares: from `start` volumes [m3], `shares` per tank (sum 1),
    `volume` [m3] at `flow` [m3/s].

    `changes` per tank is what every cause does to its volume at the start, `drawn` to what is taken out of it
    [m3]: a stretch that a tank's running dry ends takes out what that tank held, and one that a phase ends
    what the phase burns. Every figure is single, or a block of one per loading (the volume 0 where a loading
    has no such stretch).
    """

    phase: str
    stage: Stage
    start: tuple[Some, ...]
    shares: tuple[Some, ...]
    volume: Some
    flow: float
    changes: tuple[Changes, ...] = ()
    drawn: tuple[Changes, ...] = ()

    @property
    def end(self) -> tuple[Some, ...]:
        """Usable volumes [m3] per tank at the end."""
        return self.after(self.volume)

    @property
    def end_changes(self) -> tuple[Changes, ...]:
        """What every cause does to the volume of each tank at the end [m3]."""
        return self.changes_after(self.volume)

    def after(self, burnt: Some) -> tuple[Some, ...]:
        """Usable volumes [m3] per tank when this much of the stretch is burnt [m3]."""
        return tuple(
            v if isinstance(share, float) and not share else greater(v - share * burnt, 0.0)
            for v, share in zip(self.start, self.shares, strict=True)
        )

    def changes_after(self, burnt: Some) -> tuple[Changes, ...]:
        """What every cause does to each tank's volume [m3] where the same part of the stretch is burnt as
        this much [m3] is of its own volume.
        """
        if not any(self.drawn):
            return self.changes
        part = many.over(burnt, self.volume)
        return tuple(combined(each, out, -part) for each, out in zip(self.changes, self.drawn, strict=True))

    def parts(self, tanks: Sequence[FuelTank]) -> Iterator[Draw]:
        """The same draw, cut where the volume in one of the `tanks` passes a point of its arm table."""
        cuts = [
            many.between(0.0, many.over(start - volume, share), self.volume)
            for tank, start, share, end in zip(tanks, self.start, self.shares, self.end, strict=True)
            for volume in tank.breaks()
            if many.anywhere((end < volume) & (volume < start))
        ]
        if not cuts:
            yield self
            return
        for low, high in itertools.pairwise([0.0 * self.volume, *many.ascending(cuts), self.volume]):
            if many.anywhere(high > low):
                share = many.over(high - low, self.volume)
                yield replace(
                    self,
                    start=self.after(low),
                    volume=high - low,
                    changes=self.changes_after(low),
                    drawn=tuple(combined(_NOTHING, out, share) for out in self.drawn),
                )

    @property
    def duration(self) -> Some:
        """Time [s]; 0 where the flow is not known."""
        return self.volume / self.flow if self.flow else 0.0


NOTHING_DRAWN: Final = Draw("", "trip", (), (), 0.0, 0.0)  # a mass falls, and no fuel is asked about
# Usable volumes [m3] per tank, and what every cause of uncertainty does to each.
Held: TypeAlias = tuple[Sequence[Some], Sequence[Changes]]
# cause -> usable volumes [m3] with less and with more of it
Off: TypeAlias = Mapping[str, tuple[Sequence[Some], Sequence[Some]]]


def held_after(draws: Sequence[Draw], stage: str, start: Held) -> Held:
    """What is in the tanks after the last draw of a stage; `start` where it has none. Source: as
    `burn_down`.
    """
    return next(((draw.end, draw.end_changes) for draw in reversed(draws) if draw.stage == stage), start)


@frozen
class Shortage:
    """A leg, by its `number` among those given, the fuel does not cover: `missing` [m3]. Where it names
    tanks, others may hold fuel.
    """

    leg: Leg
    number: int
    missing: Some


def burn_down(
    names: Sequence[str],
    volumes: Sequence[Some],
    order: Sequence[Sequence[str]],
    legs: Sequence[Leg],
    changes: Sequence[Changes] = (),
    go_on: bool = False,
) -> tuple[tuple[Draw, ...], tuple[Shortage, ...]]:
    """Draw the legs from the tanks, stretch by stretch, and carry along what is unsure about every tank.

    The tanks of a group drain at equal rates until one is empty, then the rest of the group goes on; groups
    are emptied in order. A leg that names tanks draws on these only, or then goes on in the feed order
    (`go_on`). An unsure amount burnt leaves its error in the tanks it was drawn from; an unsure tank that
    runs dry passes its error on to what the burn then draws on.

    Parameters: tank `names`; usable `volumes` [m3] per tank; feed `order`, groups of names; `legs`; `changes`
    per tank, cause -> change of its volume for one standard uncertainty [m3]. Volumes and changes are single,
    or blocks of one per loading.
    Returns the stretches in time order and the legs that ran short. Volume is conserved in every stretch.
    Source: [common-practice]; an aircraft's own fuel system may differ, and its manual governs. [jcgm-100]
    5.1.2.
    """
    index = {name: position for position, name in enumerate(names)}
    current = tuple(volumes)
    unsure: tuple[Changes, ...] = tuple(changes) or (_NOTHING,) * len(current)
    draws: list[Draw] = []
    shortages: list[Shortage] = []
    for number, leg in enumerate(legs):
        rest = leg.stage == "reserve"
        left, wanted = (math.inf if rest else leg.volume), leg.changes
        for group in [leg.tanks, *(order if go_on else ())] if leg.tanks else order:
            members = [index[name] for name in group]
            while True:  # each pass ends the leg or empties a tank
                live = {i: settled((current[i] > EMPTY) & (left > EMPTY)) for i in members}
                going = settled(reduce(operator.or_, live.values()))
                if not many.anywhere(going):
                    break
                # Where nothing is drawn any share will do: that of the others, and all have one.
                sharing = {i: settled(where(going, on, True)) for i, on in live.items()}
                share = 1.0 / summed(where(on, 1.0, 0.0) for on in sharing.values())
                least = reduce(many.lesser, (where(on, current[i], math.inf) for i, on in live.items()))
                dry = settled(least / share < left)
                volume = where(going, where(dry, least / share, left), 0.0)
                drawn: tuple[Changes, ...] = (_NOTHING,) * len(current)
                if wanted or any(unsure[i] for i in members):
                    emptied = {i: settled(on & dry & (current[i] <= least + EMPTY)) for i, on in live.items()}
                    drawn = _drawn(live, going, dry, emptied, share, unsure, wanted)
                shares = tuple(
                    where(sharing[i], share, 0.0) if i in live else 0.0 for i in range(len(current))
                )
                draw = Draw(
                    phase=leg.phase,
                    stage=leg.stage,
                    start=current,
                    shares=shares,
                    volume=volume,
                    flow=leg.flow,
                    changes=unsure,
                    drawn=drawn,
                )
                draws.append(draw)
                current, unsure = draw.end, draw.end_changes
                left = left - volume
                for i in live:
                    wanted = combined(wanted, drawn[i], -1.0)
        if not rest and many.anywhere(left > EMPTY):
            shortages.append(Shortage(leg, number, where(left > EMPTY, left, 0.0)))
    return tuple(draws), tuple(shortages)


def _drawn(
    live: Mapping[int, Test],
    going: Test,
    dry: Test,
    emptied: Mapping[int, Test],
    share: Some,
    unsure: Sequence[Changes],
    wanted: Changes,
) -> tuple[Changes, ...]:
    """What every cause does to what one pass takes out of each tank [m3], of which those `emptied` run
    dry.
    """
    together = greater(summed(where(each, 1.0, 0.0) for each in emptied.values()), 1.0)
    result: list[dict[str, Some]] = [{} for _ in unsure]
    for cause in dict.fromkeys([*wanted, *(cause for i in live for cause in unsure[i])]):
        own = {i: unsure[i].get(cause, 0.0) for i in live}
        # What a tank already empty may still hold, or lacked, is drawn first.
        first = {i: where(on, 0.0, where(going, own[i], 0.0)) for i, on in live.items()}
        # Tanks that run dry together give what each held; the others as much as these, since they drain
        # alike.
        of_dry = summed(where(emptied[i], own[i], 0.0) for i in live) / together
        phase = share * (wanted.get(cause, 0.0) - summed(first.values()))
        alike = where(dry, of_dry, phase)
        for i, on in live.items():
            result[i][cause] = where(on, where(emptied[i], own[i], alike), first[i])
    return tuple(map(_beyond_rounding, result))
