"""Fuel in tanks for a whole column of loadings: what they begin with, and what is there at a place of the
burn of each. The burn itself is that of `planner.flight.burn`, in as few stretches as a block needs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from planner.flight.burn import Stretch
from planner.flight.fuel import Held
from planner.quantities.many import is_one, some_of
from planner.sweep.block.edges import Array, Rows
from planner.sweep.block.model import SweepModel, spread


def volumes_of(model: SweepModel, loads: Array) -> list[Array]:
    """Usable fuel [m3] per tank of every row, shape (n,) each: the flight's own where no column says
    otherwise.
    """
    result = [np.full(len(loads), volume) for volume in model.volumes]
    for column, figures in zip(model.columns, loads.T, strict=True):
        if column.kind == "tank":
            result[column.tank] = figures.copy()
        elif column.kind == "fuel":
            points = spread(model.volumes, tuple(tank.usable_capacity for tank in model.tanks))
            each = zip(*(volumes for _, volumes in points), strict=True)
            totals = [total for total, _ in points]
            result = [np.interp(figures, totals, volumes) for volumes in each]
    return result


def joined(path: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """The same burn in fewer stretches: one that goes on as that before it ended is part of that, if all
    loadings do and nothing about the fuel is unsure. What phase it is and when is that of the first part.
    """
    found: list[Stretch] = []
    for each in path:
        if found and _rates(each) and _rates(each) == _rates(found[-1]):
            found[-1] = replace(found[-1], end=each.end)
        else:
            found.append(each)
    return tuple(found)


def _rates(stretch: Stretch) -> tuple[float, ...]:
    """How tanks and moments change along a stretch; nothing where that hangs on the loading or is unsure."""
    rates = (*stretch.draw.shares, *stretch.moment[1:], *stretch.lateral[1:])
    return rates if all(map(is_one, rates)) and not stretch.unsure else ()


def held_where(path: Sequence[Stretch], rows: Rows, mass: Array, tanks: int) -> Held:
    """What is in the tanks of some rows where their mass [kg] is reached; nothing where that is nowhere on
    the path.
    """
    volumes = [np.zeros(len(mass)) for _ in range(tanks)]
    changes: list[dict[str, Array]] = [{} for _ in range(tanks)]
    ahead = np.ones(len(mass), dtype=np.bool_)
    for stretch in path:
        here = np.flatnonzero(ahead & (mass >= some_of(stretch.end, rows)))
        if here.size:
            ahead[here] = False
            mine = rows if here.size == len(mass) else here if isinstance(rows, slice) else rows[here]
            held, unsure = stretch.held_at(mass[here], mine)
            for tank in range(tanks):
                volumes[tank][here] = held[tank]
                for cause, change in unsure[tank].items():
                    changes[tank].setdefault(cause, np.zeros(len(mass)))[here] = change
    return volumes, changes
