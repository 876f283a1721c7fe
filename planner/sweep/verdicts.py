"""Every limit of a whole flight for a block of loadings: load, four states, the whole burn, fuel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.effects import COVERAGE
from planner.fuel import EMPTY
from planner.sweep.along import Watch, follow, spans, watches
from planner.sweep.edges import Array
from planner.sweep.fuelrows import Burning, volume_moment_rows, volumes_of
from planner.sweep.kernel import Kernel, Margins
from planner.sweep.model import GROUPS, Group, StateLimit, SweepModel
from planner.sweep.sure import Some, Steps, Sureness

INSIDE, NOT_SHOWN, OUTSIDE = 0, 1, 2
ROWS: Final = 8192  # of a block: a whole flight keeps some hundred arrays of it at hand
_SAME: Final = 1e-9  # two margins closer than this, in SI, are the same place of the flight


@dataclass(frozen=True, slots=True)
class BlockResult:
    """A block judged. Arrays of shape (n,), or (7, n) with one row per group of limits in the order of GROUPS.

    `verdict`: 0 inside, 1 not shown inside, 2 outside; the same per group in `verdicts`. `margins`: the least of each group
    [kg, m or m3], infinite where the group has no limit; `uncertainties`: the expanded uncertainty (k = 2) of that margin,
    the greatest where several are the least.
    Masses [kg] and CGs [m] per state, shape (4, n): ramp, take-off, landing, zero fuel. `fuel` usable aboard [m3].
    """

    verdict: NDArray[np.int8]
    verdicts: NDArray[np.int8]
    margins: Array
    uncertainties: Array
    masses: Array
    cgs: Array
    fuel: Array


class _Tally:
    """Keeps the least margin and the worst verdict of every group."""

    def __init__(self, rows: int, noise: float) -> None:
        self.noise = noise
        self.margins = np.full((len(GROUPS), rows), np.inf)
        self.uncertainties = np.zeros((len(GROUPS), rows))
        self.verdicts = np.zeros((len(GROUPS), rows), dtype=np.int8)

    def add(self, group: Group, margin: Array, uncertainty: Some, scale: Some) -> None:
        """A limit checked: `margin` of every row (infinite where it does not apply), its U, and the limit itself as `scale` of rounding."""
        at = GROUPS.index(group)
        margin = np.where(np.abs(margin) <= self.noise * np.abs(scale), 0.0, margin)
        found = (margin <= uncertainty).astype(np.int8) + (margin < 0)
        np.maximum(self.verdicts[at], found, out=self.verdicts[at])
        before = self.margins[at].copy()
        np.minimum(self.margins[at], margin, out=self.margins[at])
        # The same place of a flight may be checked as a state and on the burn: rounding must not choose between their uncertainties.
        finite = np.isfinite(margin)
        less = finite & (margin < before - _SAME)
        same = finite & ~less & (margin <= before + _SAME)
        np.copyto(self.uncertainties[at], uncertainty, where=less)
        np.copyto(self.uncertainties[at], np.maximum(self.uncertainties[at], uncertainty), where=same)


class Sweeper:
    """Judges loadings of one flight, a block at a time.

    Parameters: `model`; `rows` of a block, not above 32 768. Every limit of `planner flight` is checked, so a loading is inside here
    exactly where the plan of that flight is. Source: [faa-h-8083-1b] ch. 5 computational method; [jcgm-100] 5.1.2, 6.2.1.
    """

    def __init__(self, model: SweepModel, rows: int = ROWS) -> None:
        self.model, self.rows = model, rows
        loads = [column.kind == "mass" for column in model.columns]
        self.kernel = Kernel(
            [1.0 if load else 0.0 for load in loads],
            [column.arm for column in model.columns],
            [column.lateral_arm for column in model.columns],
            model.fixed,
            model.envelope,
            model.states[-1].limit,
            model.lateral,
            rows,
        )
        swept = [column.kind != "mass" for column in model.columns]
        self._uncertain = bool(
            model.effects
            or any(column.arm_u for column in model.columns)
            or (model.density_u and (any(swept) or any(model.volumes)))
            or any(model.tank_u)
            or any(burnt for state in model.states for burnt in state.burnt)
        )

    def judge(self, loads: Array) -> BlockResult:
        """Judge one block, shape (n, k) in the order of the model's columns [kg, m3]: n not above the block's rows, no figure below zero."""
        model, n = self.model, len(loads)
        full = volumes_of(model, loads)
        sure = Sureness(model, loads, full) if self._uncertain else None
        tally = _Tally(n, model.noise)
        self._loads(tally, loads)
        mass, moment, side = (None if each is None else each.copy() for each in self.kernel.totals(loads))
        assert mass is not None
        assert moment is not None
        zero_fuel = (mass, moment, side)
        burning = Burning(model, full)
        watched = watches(model, n, sure is not None)
        at_state = [full]
        for stage in ("taxi", "trip", "after"):
            for leg in model.legs:
                if (leg.stage if leg.stage in ("taxi", "trip") else "after") == stage:
                    volume: Some = np.sum(full, axis=0) if leg.stage == "reserve" else leg.volume
                    for draw in burning.leg(leg, volume):
                        for span in spans(model, zero_fuel, draw):
                            for watch in watched:
                                follow(model, watch, span)
            if stage != "after":
                at_state.append(burning.volumes)
        at_state.append([np.zeros(n) for _ in full])
        masses, cgs = np.empty((4, n)), np.empty((4, n))
        for index, (state, volumes) in enumerate(zip(model.states, at_state, strict=True)):
            steps = None if sure is None else (sure.empty() if state.name == "zero fuel" else sure.with_fuel(volumes, state.burnt))
            margins = self._state(tally, state, zero_fuel, volumes, steps)
            masses[index], cgs[index] = margins.mass, margins.cg
        for watch in watched:
            self._burn(tally, watch, None if sure is None else sure.with_fuel(watch.volumes))
        fuel = np.sum(full, axis=0)
        surplus = fuel - model.required
        surplus[np.abs(surplus) < EMPTY] = 0.0
        tally.add("fuel", surplus, COVERAGE * float(np.hypot.reduce([*model.tank_u, model.required_u])), 0.0)
        tally.add("tank", np.where(burning.missing > 0, -burning.missing, np.inf), 0.0, 0.0)
        return BlockResult(tally.verdicts.max(axis=0), tally.verdicts, tally.margins, tally.uncertainties, masses, cgs, fuel)

    def _loads(self, tally: _Tally, loads: Array) -> None:
        for limit in self.model.load_limits:
            load = limit.fixed + np.sum(loads[:, list(limit.columns)], axis=1)
            margin = limit.limit - load
            tally.add("load", np.where(load > 0, margin, np.inf) if limit.forbids else margin, COVERAGE * limit.u, limit.limit)

    def _state(
        self, tally: _Tally, state: StateLimit, zero_fuel: tuple[Array, Array, Array | None], volumes: Sequence[Array], steps: Steps | None
    ) -> Margins:
        model, rho = self.model, self.model.density
        mass, moment, side = zero_fuel
        if state.name != "zero fuel":
            mass = mass + rho * np.sum(volumes, axis=0)
            moment = moment + rho * np.sum([volume_moment_rows(tank, each) for tank, each in zip(model.tanks, volumes, strict=True)], axis=0)
            if side is not None:
                side = side + rho * np.sum([tank.lateral_arm * each for tank, each in zip(model.tanks, volumes, strict=True)], axis=0)
        found = self.kernel.margins(mass, moment, side, state.limit)
        if np.isfinite(state.limit):
            margin = found.mass_margin if steps is None else found.mass_margin - steps.raised_mass()
            tally.add("mass", margin, 0.0 if steps is None else steps.expanded(1.0, 0.0, density=False), state.limit)
        tally.add("mass", mass - model.envelope.least_mass, 0.0 if steps is None else steps.expanded(1.0, 0.0), model.envelope.least_mass)
        for group, margin, edge in (("forward", found.forward, self.kernel.forward), ("aft", found.aft, self.kernel.aft)):
            u: Some = 0.0 if steps is None else steps.expanded(-(found.cg / mass + edge.slope(mass)), 1.0 / mass)
            tally.add(group, margin, u, found.cg)  # type: ignore[arg-type]  # both are Groups
        if model.lateral is not None and side is not None:
            across = side / mass
            u = 0.0 if steps is None else steps.expanded(-across / mass, 0.0, 1.0 / mass)
            tally.add("lateral", across - model.lateral[0], u, model.lateral[0])
            tally.add("lateral", model.lateral[1] - across, u, model.lateral[1])
        return found

    def _burn(self, tally: _Tally, watch: Watch, steps: Steps | None) -> None:
        """The least margin of the whole burn with the uncertainty at that very place."""
        u: Some = 0.0
        if steps is not None:
            finite = np.where(np.isfinite(watch.margin), watch.margin, 0.0)
            cg = watch.arm - finite if watch.upper else watch.arm + finite
            across = watch.axis == "lateral"
            slope, by_moment = (0.0, 0.0) if across else (watch.slope, 1.0 / watch.mass)
            u = steps.expanded(-(cg / watch.mass + slope), by_moment, 1.0 / watch.mass if across else 0.0)
        tally.add(watch.group, watch.margin, u, watch.arm)
