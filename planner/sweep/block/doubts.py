"""Where an unsure figure may bend the burn of a row: flown again a little less and a little more. And where
along the burn a margin is not larger than its U, although the least margin is: as `planner.flight.doubt`
finds both.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from planner.flight import doubt
from planner.flight.burn import Reach
from planner.flight.doubt import DEPTH, At, cubics, halved, nodes, places
from planner.flight.fuel import Draw, Held, Off, Stage
from planner.flight.limits import Limit
from planner.flight.loading import Variant
from planner.quantities.effects import FAR, SIDES, steps
from planner.quantities.many import some_of
from planner.sweep.block.edges import Array
from planner.sweep.block.model import SweepModel
from planner.sweep.block.sure import BlockSureness


def off_course(model: SweepModel, full: Held, draws: Sequence[Draw]) -> dict[Stage, Off]:
    """As `planner.flight.doubt.off_course`, for the rows in which a tank runs dry before landing or may;
    the others as they are carried along.
    """
    rows = np.flatnonzero(doubt.may_bend(draws))
    if not rows.size:
        return {}
    names, (full_volumes, unsure) = [tank.name for tank in model.tanks], some_of(full, rows)
    again = doubt.off_course(names, full_volumes, model.flight.order, model.legs, unsure)
    held = places(full, draws, {})
    ends: dict[Stage, At] = {"taxi": held["takeoff"], "trip": held["landing"]}
    found: dict[Stage, dict[str, tuple[list[Array], list[Array]]]] = {stage: {} for stage in ends}
    for stage, (volumes, changes, _) in ends.items():
        for cause, flown in again[stage].items():
            less, more = (
                [volume + sign * each.get(cause, 0.0) for volume, each in zip(volumes, changes, strict=True)]
                for sign in (-FAR, FAR)
            )
            for into, volume in zip((*less, *more), itertools.chain(*flown), strict=True):
                into[rows] = volume
            found[stage][cause] = less, more
    return dict(found)


def doubtful(sure: BlockSureness, variant: Variant, bound: Limit, reach: Reach) -> NDArray[np.bool_]:
    """Rows in which a margin of one reach of a limit is not larger than its U: found or ruled out by halving,
    as by `planner.flight.doubt.doubtful_point`.
    """
    found = np.zeros(len(reach.high), dtype=np.bool_)
    masses = nodes(reach)
    effects = [(*sure.with_fuel(reach.stretch.held_at(mass)).effects, *variant.effects) for mass in masses]
    bends = any(each.side for node in effects for each in node)
    for side in SIDES if bends else SIDES[:1]:
        each = cubics(reach, bound, masses, [steps(node, side) for node in effects])
        control = np.empty((len(masses), len(each), len(found)))  # without a cause, U is nothing
        for cause, cubic in enumerate(each):
            for place, value in enumerate(cubic):
                control[place, cause] = value
        found |= _in_doubt(reach, control)
    return np.asarray(found & reach.some)


def _in_doubt(reach: Reach, control: Array) -> NDArray[np.bool_]:
    """Rows with a margin not larger than its U, of which `control` has the cubics."""
    found = np.zeros(len(reach.high), dtype=np.bool_)
    rows, low, high = np.arange(len(found)), reach.low, reach.high
    for depth in range(DEPTH + 1):
        lengths = np.sqrt(np.square(control).sum(axis=1))
        over, noise = doubt.excess(some_of(reach.curve, rows), high, low, lengths)
        hit = (over[0] <= 0.0) | (over[3] <= 0.0)
        near = hit | (np.minimum.reduce(over) <= noise)
        found[rows[hit | near if depth == DEPTH else hit]] = True
        left = near & ~found[rows]
        if not left.any():
            break
        rows, low, high = rows[left], low[left], high[left]
        middle = (high + low) / 2
        first, second = halved(tuple(control[:, :, left]))
        control = np.concatenate([np.stack(first), np.stack(second)], axis=2)
        rows, low, high = np.tile(rows, 2), np.concatenate([middle, low]), np.concatenate([high, middle])
    return found
