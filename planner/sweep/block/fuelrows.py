"""Fuel in tanks for a whole column of loadings: what they begin with, and what is there at a place of the
burn of each. The burn itself is that of `planner.flight.fuel`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.flight.burn import Stretch
from planner.flight.fuel import Held
from planner.quantities.many import some_of
from planner.sweep.block.edges import Array
from planner.sweep.block.model import SweepModel, spread


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


def held_where(path: Sequence[Stretch], mass: Array, tanks: int) -> Held:
    """What is in the tanks of every row where its mass [kg] is reached; nothing where that is nowhere on the
    path.
    """
    volumes = [np.zeros(len(mass)) for _ in range(tanks)]
    changes: list[dict[str, Array]] = [{} for _ in range(tanks)]
    ahead = np.ones(len(mass), dtype=np.bool_)
    for stretch in path:
        here = ahead & (mass >= stretch.end)
        rows = np.flatnonzero(here)
        if rows.size:
            ahead &= ~here
            held, unsure = some_of(stretch, rows).held_at(mass[rows])
            for tank in range(tanks):
                volumes[tank][rows] = held[tank]
                for cause, change in unsure[tank].items():
                    changes[tank].setdefault(cause, np.zeros(len(mass)))[rows] = change
    return volumes, changes
