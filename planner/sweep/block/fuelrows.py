"""Fuel in tanks for a whole column of loadings: volumes, moments, and the burn drawn from them.

The arithmetic is that of `planner.flight.fuel`, step by step, so that a sweep and a plan agree to the last
digits.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.flight.fuel import EMPTY, Leg, Stage
from planner.quantities.frozen import frozen
from planner.sweep.block.edges import Array
from planner.sweep.block.model import SweepModel, spread

# cause -> usable volumes [m3] per tank with less and with more of it, of every row
OffRows: TypeAlias = "dict[str, tuple[list[Array], list[Array]]]"
ChangeRows: TypeAlias = dict[str, Array]  # cause -> change of a volume [m3] of every row


def volumes_of(model: SweepModel, loads: Array) -> list[Array]:
    """Usable fuel [m3] per tank of every row, shape (n,) each: the flight's own where no column says
    otherwise.
    """
    result = [np.full(len(loads), volume) for volume in model.volumes]
    for index, column in enumerate(model.columns):
        if column.kind == "tank":
            result[column.tank] = loads[:, index].copy()
        elif column.kind == "fuel":
            points = spread(model.volumes, tuple(tank.usable_capacity for tank in model.tanks))
            totals = [total for total, _ in points]
            result = [
                np.interp(loads[:, index], totals, [each[tank] for _, each in points])
                for tank in range(len(model.tanks))
            ]
    return result


@frozen
class DrawRows:
    """A stretch of the burn of every row with constant shares: `start` volumes [m3] and `shares` per tank,
    `volume` [m3] (0 where a row has none).

    `changes` per tank at the start and `drawn` of what is taken out of it, per cause of uncertainty [m3], as
    in `planner.flight.fuel.Draw`.
    """

    stage: Stage
    start: list[Array]
    shares: list[Array]
    volume: Array
    changes: list[ChangeRows]
    drawn: list[ChangeRows]


class Burning:
    """The burn of a block, leg by leg. `volumes` [m3] are what is left; `missing` [m3] what a leg with named
    tanks could not get.

    `changes` per tank is what every cause of uncertainty does to what is left [m3]; without causes nothing is
    spent on them.
    """

    def __init__(self, model: SweepModel, volumes: list[Array], changes: Sequence[ChangeRows] = ()) -> None:
        self.model = model
        self.volumes = [each.copy() for each in volumes]
        self.missing = np.zeros_like(volumes[0])
        self.changes: list[ChangeRows] = [dict(each) for each in changes] or [{} for _ in volumes]
        self._index = {tank.name: position for position, tank in enumerate(model.tanks)}

    def leg(
        self,
        leg: Leg,
        volume: float | Array,
        changes: Mapping[str, float | Array] | None = None,
        go_on: bool = False,
    ) -> Iterator[DrawRows]:
        """Draw one leg of `volume` [m3], unsure by `changes`, from the tanks it names, or in feed order; the
        tanks of a group at equal rates.

        The reserve takes all that is left, so that its own volume does not count. With `go_on` a leg that
        names tanks then draws on the others.
        """
        rest = leg.stage == "reserve"
        left = np.full_like(self.missing, np.inf if rest else volume)
        wanted: ChangeRows = {cause: np.full_like(left, change) for cause, change in (changes or {}).items()}
        for group in (
            [leg.tanks, *(self.model.flight.order if go_on else ())] if leg.tanks else self.model.flight.order
        ):
            members = [self._index[name] for name in group]
            for _ in range(len(group) + 1):  # each pass ends the leg or empties a tank
                live = {i: (self.volumes[i] > EMPTY) & (left > EMPTY) for i in members}
                count = np.sum([*live.values()], axis=0)
                some = count > 0
                if not some.any():
                    break
                share = 1.0 / np.maximum(count, 1)
                held = np.stack([np.where(on, self.volumes[i], np.inf) for i, on in live.items()])
                least = held.min(axis=0)
                dry = some & (least / share < left)
                drawn = np.where(some, np.where(dry, least / share, left), 0.0)
                shares = [
                    np.where(live[i], share, 0.0) if i in live else np.zeros_like(share)
                    for i in range(len(self.volumes))
                ]
                unsure = bool(wanted) or any(self.changes[i] for i in members)
                out = self._drawn(live, held, dry, share, wanted) if unsure else [{} for _ in self.volumes]
                yield DrawRows(
                    stage=leg.stage,
                    start=self.volumes,
                    shares=shares,
                    volume=drawn,
                    changes=[dict(each) for each in self.changes],
                    drawn=out,
                )
                self.volumes = [
                    np.maximum(each - shares[i] * drawn, 0.0) if i in live else each
                    for i, each in enumerate(self.volumes)
                ]
                for i in live:
                    for cause, change in out[i].items():
                        self.changes[i][cause] = self.changes[i].get(cause, 0.0) - change
                        wanted[cause] = wanted.get(cause, 0.0) - change
                left = left - drawn
        if leg.tanks and not rest:
            np.maximum(self.missing, np.where(left > EMPTY, left, 0.0), out=self.missing)

    def _drawn(
        self,
        live: Mapping[int, NDArray[np.bool_]],
        held: Array,
        dry: NDArray[np.bool_],
        share: Array,
        wanted: ChangeRows,
    ) -> list[ChangeRows]:
        """What every cause does to what is taken out of each tank, as in `planner.flight.fuel.burn_down`."""
        least = held.min(axis=0) + EMPTY
        emptied = {
            i: on & dry & (volume <= least) for (i, on), volume in zip(live.items(), held, strict=True)
        }
        together = np.maximum(np.sum([*emptied.values()], axis=0), 1)
        going = np.any([*live.values()], axis=0)
        result: list[ChangeRows] = [{} for _ in self.volumes]
        for cause in dict.fromkeys([*wanted, *(cause for i in live for cause in self.changes[i])]):
            own = {i: np.broadcast_to(self.changes[i].get(cause, 0.0), share.shape) for i in live}
            # What a tank already empty may still hold, or lacked, is drawn first.
            first = {i: np.where(going & ~on, own[i], 0.0) for i, on in live.items()}
            of_dry = np.sum([np.where(emptied[i], own[i], 0.0) for i in live], axis=0) / together
            alike = np.where(
                dry, of_dry, share * (wanted.get(cause, 0.0) - np.sum([*first.values()], axis=0))
            )
            for i, on in live.items():
                result[i][cause] = np.where(on, np.where(emptied[i], own[i], alike), first[i])
        return result
