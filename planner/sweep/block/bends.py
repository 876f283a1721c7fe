"""What is left in the tanks where an unsure figure may bend the burn: flown again a little less and a little
more.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from planner.flight.fuel import EMPTY
from planner.quantities.effects import FAR
from planner.sweep.block.along import Place
from planner.sweep.block.edges import Array
from planner.sweep.block.fuelrows import Burning, ChangeRows, OffRows
from planner.sweep.block.model import SweepModel


def off_course(
    model: SweepModel, full: Sequence[Array], start: Sequence[ChangeRows], places: Sequence[Place]
) -> dict[str, OffRows]:
    """As `planner.flight.doubt.off_course`, for the rows in which a tank runs dry before landing or may;
    the others as they are carried along.
    """
    bent = np.zeros(len(full[0]), dtype=np.bool_)
    for before, after in pairwise(places):
        for first, second, changes in zip(before.volumes, after.volumes, after.changes, strict=True):
            u = np.sqrt(sum((change * change for change in changes.values()), start=np.zeros_like(second)))
            bent |= (first > EMPTY) & (second <= np.maximum(EMPTY, FAR * u))
    rows = np.flatnonzero(bent)
    causes = dict.fromkeys(cause for each in (*start, *(leg.changes for leg in model.legs)) for cause in each)
    if not rows.size or not causes:
        return {}
    found: dict[str, OffRows] = {"takeoff": {}, "landing": {}}
    for cause in causes:
        ends: dict[str, list[list[Array]]] = {"takeoff": [], "landing": []}
        for sign in (-FAR, FAR):
            volumes = [
                np.maximum(v[rows] + sign * np.broadcast_to(each.get(cause, 0.0), v.shape)[rows], 0.0)
                for v, each in zip(full, start, strict=True)
            ]
            burning = Burning(model, volumes)
            for stage, name in (("taxi", "takeoff"), ("trip", "landing")):
                for leg in model.legs:
                    if leg.stage == stage:
                        for _ in burning.leg(
                            leg, max(leg.volume + sign * leg.changes.get(cause, 0.0), 0.0), go_on=True
                        ):
                            pass
                ends[name].append([each.copy() for each in burning.volumes])
        for (name, (less, more)), place in zip(ends.items(), places[1:], strict=True):
            sides = []
            for sign, flown in ((-FAR, less), (FAR, more)):
                side = [
                    volume + sign * (each.get(cause, 0.0) + 0.0 * volume)
                    for volume, each in zip(place.volumes, place.changes, strict=True)
                ]
                for into, volume in zip(side, flown, strict=True):
                    into[rows] = volume
                sides.append(side)
            found[name][cause] = (sides[0], sides[1])
    return found
