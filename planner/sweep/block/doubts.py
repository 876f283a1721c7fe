"""Where an unsure figure may bend the burn: flown again a little less and a little more. And where along the
burn a margin is not larger than its U, although the least margin is: as `planner.flight.doubt` finds both.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.doubt import DEPTH
from planner.flight.fuel import EMPTY
from planner.quantities.effects import COVERAGE, FAR, SIDES, steps
from planner.quantities.many import Some, some_of
from planner.sweep.block.along import Place, Reach, Span, Watch
from planner.sweep.block.edges import Array
from planner.sweep.block.fuelrows import Burning, ChangeRows, OffRows
from planner.sweep.block.model import SweepModel
from planner.sweep.block.sure import BlockSureness

# The control points of a cubic (Bernstein's form) from four of its values at equal distances.
_CONTROL: Final = np.array([[6, 0, 0, 0], [-5, 18, -9, 2], [2, -9, 18, -5], [0, 0, 0, 6]]) / 6


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


def doubtful(sure: BlockSureness, watch: Watch, span: Span, reach: Reach) -> NDArray[np.bool_]:
    """Rows in which a margin of one reach of a limit is not larger than its U: found or ruled out by halving,
    as by `planner.flight.doubt.doubtful_point`.
    """
    found = np.zeros(len(reach.high), dtype=np.bool_)
    effects, by_mass = [], []
    nodes: list[Some] = [reach.high + (reach.low - reach.high) * third / 3 for third in range(4)]
    sign, across = (1.0 if watch.upper else -1.0), watch.axis == "lateral"
    for mass in nodes:
        shifted = () if watch.shift is None else watch.shift.effects
        effects.append((*sure.with_fuel(span.place(mass)).effects, *shifted))
        moment = (reach.piece.arm(mass) - sign * reach.margin(mass)) * mass
        by_mass.append(reach.piece.r * mass * mass - reach.piece.p + moment)
    bends = any(each.side for node in effects for each in node)
    for side in SIDES if bends else SIDES[:1]:
        moved = [steps(node, side) for node in effects]
        cubics = np.zeros((len(set().union(*moved)), 4, len(found)))
        for cubic, cause in zip(cubics, dict.fromkeys(name for node in moved for name in node), strict=True):
            for value, mass, by, node in zip(cubic, nodes, by_mass, moved, strict=True):
                of_mass, of_moment, of_side = node.get(cause, (0.0, 0.0, 0.0))
                value[:] = by * of_mass - mass * (of_side if across else of_moment)
        found |= _in_doubt(reach, _CONTROL @ cubics)
    return found & reach.some


def _in_doubt(reach: Reach, control: Array) -> NDArray[np.bool_]:
    """Rows with a margin not larger than k times the length of all `control`led cubics over the mass
    squared.
    """
    found = np.zeros(len(reach.high), dtype=np.bool_)
    rows, low, high = np.arange(len(found)), reach.low, reach.high
    for depth in range(DEPTH + 1):
        own: Reach = some_of(reach, rows)
        norms = COVERAGE * np.sqrt(np.square(control).sum(axis=0))
        at_high, at_low = own.margin(high), own.margin(low)
        least = np.minimum(np.minimum(at_high, at_low), own.margin(np.clip(own.level(), low, high)))
        near = least <= norms.max(axis=0) / (low * low)
        hit = near & ((at_high <= norms[0] / (high * high)) | (at_low <= norms[3] / (low * low)))
        found[rows[hit | near if depth == DEPTH else hit]] = True
        left = near & ~found[rows]
        if not left.any():
            break
        rows, low, high, control = rows[left], low[left], high[left], control[:, :, left]
        middle = (high + low) / 2
        b0, b1, b2, b3 = (control[:, at] for at in range(4))
        p, q, r = (b0 + b1) / 2, (b1 + b2) / 2, (b2 + b3) / 2
        s, t = (p + q) / 2, (q + r) / 2
        m = (s + t) / 2
        control = np.concatenate([np.stack([b0, p, s, m], axis=1), np.stack([m, t, r, b3], axis=1)], axis=2)
        rows, low, high = np.tile(rows, 2), np.concatenate([middle, low]), np.concatenate([high, middle])
    return found
