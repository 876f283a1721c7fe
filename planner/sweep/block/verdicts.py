"""Every limit of a whole flight for a block of loadings: load, four states, the whole burn, fuel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import reduce
from typing import Final

import numpy as np

from planner.flight.burn import Stretch, joined, nearest, reaches, stretches
from planner.flight.doubt import places
from planner.flight.envelope import NOISE, heavier, of_lateral_cg
from planner.flight.fuel import EMPTY, Held, burn_down
from planner.flight.limits import Limit, Place
from planner.flight.loading import Variant
from planner.quantities.effects import COVERAGE, Gradient
from planner.quantities.many import Some, some_of
from planner.quantities.moments import Total
from planner.sweep.block.doubts import doubtful, off_course
from planner.sweep.block.edges import Array
from planner.sweep.block.fuelrows import held_where, volumes_of
from planner.sweep.block.kernel import Kernel, Margins
from planner.sweep.block.model import SweepModel
from planner.sweep.block.sure import BlockSureness, Steps
from planner.sweep.block.tally import BlockResult, Tally

ROWS: Final = 8192  # of a block: a whole flight keeps some hundred arrays of it at hand
_KEPT: Final = 2**21  # figures, more than those arrays hold together


class Sweeper:
    """Judges loadings of one flight, a block at a time.

    Parameters: `model`; `rows` of a block, not above 32 768. Every limit of `planner flight` is checked, so a
    loading is inside here exactly where the plan of that flight is. Source: [faa-h-8083-1b] ch. 5
    computational method; [jcgm-100] 5.1.2, 6.2.1.
    """

    def __init__(self, model: SweepModel, rows: int = ROWS) -> None:
        self.model, self.rows = model, rows
        loads = [column.kind == "mass" for column in model.columns]
        self.kernel = Kernel(
            [1.0 if load else 0.0 for load in loads],
            [column.arm for column in model.columns],
            [column.lateral_arm for column in model.columns],
            model.fixed,
            model.flight.envelope,
            model.flight.lateral is not None,
            rows,
        )
        # Freed at once: from then on the C library keeps what a block frees at hand for the next one, instead
        # of giving it back and asking for it anew, page by page.
        np.empty(_KEPT)
        self._names = [tank.name for tank in model.tanks]
        swept = [column.kind != "mass" for column in model.columns]
        self._uncertain = bool(
            model.effects
            or any(column.arm_u or column.side_u for column in model.columns)
            or (model.density_u and (any(swept) or any(model.volumes)))
            or any(model.changes)
            or any(tank.arm_us or tank.lateral_u or tank.unusable_u for tank in model.tanks)
            or any(leg.changes for leg in model.legs)
            or any(variant.effects for variant in model.flight.variants)
        )
        self._legs = model.legs if self._uncertain else [replace(leg, changes={}) for leg in model.legs]

    def judge(self, loads: Array) -> BlockResult:
        """Judge one block, shape (n, k) in the order of the model's columns [kg, m3]: n not above the block's
        rows, no figure below zero.
        """
        model, n = self.model, len(loads)
        full = volumes_of(model, loads)
        sure = BlockSureness(model, loads, full) if self._uncertain else None
        tally = Tally(n, NOISE)
        self._loads(tally, loads)
        totals: list[Some] = [0.0 if each is None else each.copy() for each in self.kernel.totals(loads)]
        zero_fuel = Total(*totals)
        held: Held = full, () if sure is None else sure.start()
        draws, short = burn_down(self._names, full, model.flight.order, self._legs, held[1])
        path = stretches(zero_fuel, model.tanks, model.density, draws)
        for limit in model.fuel_limits:
            self._fuel_limit(tally, limit, (full, held[1] or [{}] * len(full)))
            if limit.place == "burn":
                for draw in draws:
                    self._fuel_limit(tally, limit, (draw.end, draw.end_changes))
        masses, cgs = np.empty((4, n)), np.empty((4, n))
        off = {} if sure is None else off_course(model, held, draws)
        for index, (state, (volumes, changes, bent)) in enumerate(places(held, draws, off).items()):
            steps = None if sure is None else sure.with_fuel((volumes, changes), bent)
            margins = self._state(tally, state, zero_fuel, volumes, steps)
            masses[index], cgs[index] = margins.mass, margins.cg
        for variant, bound, stretches_ in model.flight.asked_along(path):
            self._burn(tally, variant, bound, stretches_, sure)
        if sure is not None:
            self._doubts(tally, loads, full, path)
        fuel = np.sum(full, axis=0)
        surplus = fuel - model.required
        surplus[np.abs(surplus) < EMPTY] = 0.0
        tally.add("fuel", surplus, self._surplus_u(full), 0.0)
        missing = reduce(np.maximum, (each.missing for each in short if each.leg.tanks), np.zeros(n))
        tally.add("tank", np.where(missing > 0, -missing, np.inf), 0.0, 0.0)
        return BlockResult(
            verdict=tally.verdicts.max(axis=0),
            verdicts=tally.verdicts,
            margins=tally.margins,
            uncertainties=tally.uncertainties,
            masses=masses,
            cgs=cgs,
            fuel=fuel,
        )

    def _surplus_u(self, full: Sequence[Array]) -> Some:
        """Expanded uncertainty of aboard less required [m3], as `planner.plan.fuelling` has it."""
        model = self.model
        known = float(np.hypot.reduce([0.0, *model.surplus_changes.values()]))
        if not model.density_u or not any(model.by_mass):
            return COVERAGE * known
        beyond = np.maximum(
            np.sum([each for each, by in zip(full, model.by_mass, strict=True) if by], axis=0)
            - model.required_by_mass,
            0.0,
        )
        return np.asarray(COVERAGE * np.hypot(known, beyond * (model.density_u / model.density)))

    def _doubts(self, tally: Tally, loads: Array, full: Sequence[Array], path: Sequence[Stretch]) -> None:
        """Look along the whole burn of those loadings whose least margin is near its U: elsewhere the margin
        may be larger and U larger still.
        """
        for group, close in tally.near().items():
            rows = np.flatnonzero(close)
            if rows.size:
                sure = BlockSureness(self.model, loads[rows], some_of(full, rows))
                for variant, bound, stretches_ in self.model.flight.asked_along(path):
                    if bound.group == group:
                        for reach in reaches(some_of(joined(stretches_), rows), bound):
                            tally.doubt(group, rows[doubtful(sure, variant, bound, reach)])

    def _loads(self, tally: Tally, loads: Array) -> None:
        for each in self.model.load_limits:
            load = np.full(len(loads), each.fixed)
            for index, weight in each.columns:
                load += weight * loads[:, index]
            margin = each.limit.margin(load)
            tally.add(
                "load",
                np.where(load > 0, margin, np.inf) if each.limit.forbids else margin,
                COVERAGE * each.u,
                each.limit.at(),
            )

    def _fuel_limit(self, tally: Tally, limit: Limit, held: Held) -> None:
        """A limit of the register on fuel, with what is in the tanks at a place of every row."""
        value, effects = self.model.flight.held(limit, *held)
        tally.add(limit.group, limit.margin(value), Steps(effects).of_mass, limit.at())

    def _state(
        self, tally: Tally, state: Place, zero_fuel: Total, volumes: Sequence[Some], steps: Steps | None
    ) -> Margins:
        fuel = self.model.flight.of_fuel(volumes, self.model.density)
        found = self.kernel.margins(zero_fuel.mass + fuel[0], zero_fuel.moment + fuel[1])
        for limit in self.model.flight.at(state):
            self._judge(tally, limit, found, zero_fuel.lateral_moment + fuel[2], steps)
        return found

    def _judge(self, tally: Tally, limit: Limit, found: Margins, side: Some, steps: Steps | None) -> None:
        """A limit on mass or CG in one state, as `planner.flight.envelope.judge`, for every row."""
        mass, u, sign = found.mass, 0.0, 1.0 if limit.upper else -1.0
        if limit.quantity == "cg":
            margin, edge = (
                (found.aft, self.kernel.aft) if limit.upper else (found.forward, self.kernel.forward)
            )
            tally.add(
                limit.group, margin, u if steps is None else steps.edge(edge, sign, mass, found.cg), found.cg
            )
        elif limit.quantity == "lateral":
            across = side / mass
            lateral = u if steps is None else steps.expanded(of_lateral_cg(mass, across))
            tally.add(limit.group, limit.margin(across), lateral, limit.at())
        elif steps is None:
            tally.add(limit.group, limit.margin(mass), u, limit.at())
        else:
            # Fuel at its density plus U against a greatest mass; where that makes the state lighter, the
            # density stays in U.
            raised = heavier(limit, steps.effects)
            u_mass = steps.expanded(Gradient(mass=1.0), density=np.equal(raised, 0.0))
            tally.add(limit.group, limit.margin(mass + COVERAGE * raised), u_mass, limit.at())

    def _burn(
        self,
        tally: Tally,
        variant: Variant,
        bound: Limit,
        path: Sequence[Stretch],
        sure: BlockSureness | None,
    ) -> None:
        """The least margin of the whole burn with the uncertainty at that very place."""
        path, sign = joined(path), 1.0 if bound.upper else -1.0
        margin, mass, _ = np.broadcast_arrays(*nearest(path, bound), tally.margins[0])
        edge = self.kernel.aft if bound.upper else self.kernel.forward
        arm = bound.at() if bound.axis == "lateral" else edge.at(mass)
        u: Some = 0.0
        if sure is not None:
            steps = sure.with_fuel(held_where(path, mass, len(self.model.tanks)))
            cg = arm - sign * np.where(np.isfinite(margin), margin, 0.0)
            if bound.axis == "lateral":
                u = steps.expanded(of_lateral_cg(mass, cg))
            else:
                u = steps.with_effects(variant.effects).edge(edge, sign, mass, cg, along=True)
        tally.add(bound.group, margin, u, arm)
