"""The states and the path of a flight: mass, moment, lateral moment and fuel from the ramp to no usable
fuel.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.oracle.burn import drained, stepped
from tests.oracle.model import Aloft

Array = NDArray[np.float64]

PARTS = 6  # into which the draws cut every part of the burn, besides where a tank runs dry


@dataclass(frozen=True)
class Path:
    """Places along the burn: arrays [places x flights]; `part` numbers the piece of the burn a place lies in
    or ends.
    """

    mass: Array
    moment: Array
    side: Array
    fuel: Array
    airborne: NDArray[np.bool_]
    part: NDArray[np.int64]
    ends: NDArray[np.bool_]  # a place that ends its part: the same share of the burn in every draw

    @property
    def cg(self) -> Array:
        """CG [m]."""
        return self.moment / self.mass


State = tuple[Any, Any, Any, Any]


class _Log:
    def __init__(self, aloft: Aloft) -> None:
        self.aloft, self.rows = aloft, [[], [], [], []]  # type: ignore[var-annotated]
        self.airborne: list[bool] = []
        self.part: list[int] = []
        self.ends: list[bool] = []

    def add(self, volumes: list[Any], airborne: bool, part: int, end: bool) -> None:
        for row, value in zip(self.rows, self.aloft.total(volumes), strict=True):
            row.append(self.aloft.reader.spread(value))
        self.airborne.append(airborne)
        self.part.append(part)
        self.ends.append(end)

    def path(self) -> Path:
        mass, moment, side, fuel = (np.stack(row) for row in self.rows)
        return Path(
            mass, moment, side, fuel, np.array(self.airborne), np.array(self.part), np.array(self.ends)
        )


def states_of(aloft: Aloft) -> dict[str, State]:
    """Ramp, take-off (after taxi), landing (after the trip) and zero fuel."""
    read = aloft.reader
    volumes = [read.spread(tank.usable) for tank in aloft.tanks]
    found = {"ramp": aloft.total(volumes)}
    for kind, state in (("taxi", "takeoff"), ("trip", "landing")):
        for burn in aloft.burns:
            if burn.kind == kind:
                *_, volumes = drained(volumes, read.spread(burn.volume), aloft.order(burn))
        found[state] = aloft.total(volumes)
    found["zero fuel"] = aloft.total([0.0 * volume for volume in volumes])
    return {name: tuple(read.spread(value) for value in state) for name, state in found.items()}  # type: ignore[misc]


def drawn_path(aloft: Aloft) -> Path:
    """The path of many flights at once, at the ends of small parts and wherever a tank runs dry in one of
    them.
    """
    read, log = aloft.reader, _Log(aloft)
    volumes = [read.spread(tank.usable) for tank in aloft.tanks]
    log.add(volumes, False, 0, True)
    part, flown = 0, False
    for burn in aloft.burns:
        if burn.airborne and not flown:
            flown = True
            log.add(volumes, True, part, True)
        whole = (
            sum(volumes) if np.ndim(burn.volume) == 0 and np.isinf(burn.volume) else read.spread(burn.volume)
        )
        for _ in range(PARTS):
            part += 1
            rounds = list(drained(volumes, whole / PARTS * (1 + 1e-12), aloft.order(burn)))
            volumes = rounds[-1]
            for each in rounds[:-1]:
                log.add(each, burn.airborne, part, False)
            log.add(volumes, burn.airborne, part, True)
    log.add([0.0 * volume for volume in volumes], True, part, False)
    return log.path()


def stepped_path(aloft: Aloft, step: float) -> Path:
    """The path of the one nominal flight in small steps; the parts are those of `drawn_path`."""
    volumes = [float(np.asarray(tank.usable).reshape(-1)[0]) for tank in aloft.tanks]
    kept, airborne, parts = [list(volumes)], [False], [0]
    part, flown = 0, False
    for burn in aloft.burns:
        if burn.airborne and not flown:
            flown = True
            kept.append(list(volumes))
            airborne.append(True)
            parts.append(part)
        amount = float(np.asarray(burn.volume).reshape(-1)[0])
        amount = sum(volumes) if np.isinf(amount) else amount
        at_part = sum(volumes)
        for now in stepped(volumes, amount, aloft.order(burn), step):
            kept.append(now)
            airborne.append(burn.airborne)
            share = (at_part - sum(now)) / amount if amount > 0 else 1.0
            parts.append(part + min(max(int(np.ceil(share * PARTS - 1e-9)), 1), PARTS))
        part += PARTS
    columns = [np.array(column) for column in np.array(kept).T]
    mass, moment, side, fuel = (np.broadcast_to(value, (len(kept),)) for value in aloft.total(columns))
    everywhere = np.ones(len(kept), dtype=bool)
    return Path(mass, moment, side, fuel, np.array(airborne), np.array(parts), everywhere)
