"""Every limit of a whole flight for a block of loadings: load, four states, the whole burn, fuel."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial, reduce
from typing import Final

import numpy as np

from planner.flight.burn import Stretch, nearest, reaches, stretches
from planner.flight.doubt import places
from planner.flight.envelope import heavier, of_lateral_cg
from planner.flight.fuel import EMPTY, Held, burn_down
from planner.flight.limits import Limit, Place
from planner.flight.loading import Variant
from planner.quantities import many
from planner.quantities.effects import COVERAGE, Gradient
from planner.quantities.many import Some, some_of
from planner.quantities.moments import Total
from planner.sweep.block.doubts import doubtful, off_course
from planner.sweep.block.edges import Array, Rows
from planner.sweep.block.fuelrows import held_where, joined, volumes_of
from planner.sweep.block.kernel import Kernel
from planner.sweep.block.model import SweepModel
from planner.sweep.block.sure import BlockSureness, Steps
from planner.sweep.block.tally import BlockResult, Tally

ROWS: Final = 12288  # of a block: a whole flight keeps some hundred arrays of it at hand, 96 kB each
# times U of the states: U all along a burn; on one that is a single line U is not greater than at its ends
_NEAR: Final = 4.0
_KEPT: Final = 2**21  # figures, more than all arrays of a block hold together


class Sweeper:
    """Judges loadings of one flight, a block at a time.

    Parameters: `model`; `rows` of a block, not above 32 768. Every limit of `planner flight` is checked, so a
    loading is inside here exactly where the plan of that flight is. Source: [faa-h-8083-1b] ch. 5
    computational method; [jcgm-100] 5.1.2, 6.2.1.
    """

    def __init__(self, model: SweepModel, rows: int = ROWS) -> None:
        self.model, self.rows = model, rows
        self.kernel = Kernel(
            [float(column.kind == "mass") for column in model.columns],
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
        self._massless = [effect for variant in model.flight.variants for effect in variant.effects]
        self._names = [tank.name for tank in model.tanks]

    def judge(self, loads: Array) -> BlockResult:
        """Judge one block, shape (n, k) in the order of the model's columns [kg, m3]: n not above the block's
        rows, no figure below zero.
        """
        model, n = self.model, len(loads)
        full = volumes_of(model, loads)
        sure = BlockSureness(model, loads, full)
        tally = Tally(n)
        self._loads(tally, loads)
        totals: list[Some] = [
            each if many.is_one(each) else each.copy() for each in self.kernel.totals(loads)
        ]
        zero_fuel = Total(*totals)
        held: Held = full, sure.start()
        draws, short = burn_down(self._names, full, model.flight.order, model.legs, held[1])
        path = stretches(zero_fuel, model.tanks, model.density, draws)
        for limit in model.fuel_limits:
            self._fuel_limit(tally, limit, held)
            if limit.place == "burn":
                for draw in draws:
                    self._fuel_limit(tally, limit, (draw.end, draw.end_changes))
        along = [(variant, bound, joined(way)) for variant, bound, way in model.flight.asked_along(path)]
        for variant, bound, way in along:
            self._burn(tally, variant, bound, way, sure)
        masses, cgs = np.empty((4, n)), np.empty((4, n))
        off = off_course(model, held, draws)
        for index, (state, (volumes, changes, bent)) in enumerate(places(held, draws, off).items()):
            steps = sure.with_fuel((volumes, changes), bent)
            masses[index], cgs[index] = self._state(tally, state, zero_fuel, volumes, steps)
        fuel = np.sum(full, axis=0)
        surplus = fuel - model.required
        surplus[np.abs(surplus) < EMPTY] = 0.0
        tally.add("fuel", surplus, self._surplus_u(full), 0.0)
        missing = reduce(np.maximum, (each.missing for each in short if each.leg.tanks), np.zeros(n))
        tally.add("tank", np.where(missing > 0, -missing, np.inf), 0.0, 0.0)
        straight = all(many.is_nothing(each.moment[2]) and not each.unsure for each in path)
        for group, rows in tally.settle(1.0 if straight and len(joined(path)) == 1 else _NEAR):
            # The margin of these may be larger elsewhere along the burn, and U larger still.
            there = sure.at(rows)
            for variant, bound, way in along:
                if bound.group == group:
                    for reach in reaches(some_of(way, rows), bound):
                        tally.doubt(group, rows[doubtful(there, variant, bound, reach)])
        verdicts = tally.verdicts
        return BlockResult(
            verdict=verdicts.max(axis=0),
            verdicts=verdicts,
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
        self, tally: Tally, state: Place, zero_fuel: Total, volumes: Sequence[Some], steps: Steps
    ) -> tuple[Array, Array]:
        """Every limit on mass and CG in one state, as `planner.flight.envelope.judge`, for every row; its
        mass and CG.
        """
        of_fuel = self.model.flight.of_fuel(volumes, self.model.density)
        mass = zero_fuel.mass + of_fuel[0]
        found = self.kernel.margins(mass, zero_fuel.moment + of_fuel[1])
        values = {"mass": mass, "cg": found.cg.copy()}
        if self.kernel.lateral:
            values["lateral"] = (zero_fuel.lateral_moment + of_fuel[2]) / mass
        levers = steps.with_effects(self._massless).levers(values)

        def asked(limit: Limit, rows: Rows) -> Some:
            return self._u(limit, steps.at(rows), mass[rows], values[limit.quantity][rows])

        for limit in self.model.flight.at(state):
            edge, most = self.kernel.edges.get(limit.group), levers[limit.quantity]
            if edge is not None:
                margin = (found.aft if limit.upper else found.forward).copy()
                # On another piece within reach it may be less by both slopes; one more for a curved one.
                most += 4.0 * edge.steepest * levers["mass"]
            else:  # fuel at its density plus U against a greatest mass
                raised = heavier(limit, steps.effects) if limit.quantity == "mass" else 0.0
                margin = limit.margin(values[limit.quantity] + COVERAGE * raised)
            u = partial(asked, limit) if steps.effects else 0.0
            tally.add(limit.group, margin, u, edge.scale if edge else limit.at(), most)
        return mass, values["cg"]

    def _burn(
        self, tally: Tally, variant: Variant, bound: Limit, path: Sequence[Stretch], sure: BlockSureness
    ) -> None:
        """The least margin of the whole burn with the uncertainty at that very place."""
        margin, mass, _ = np.broadcast_arrays(*nearest(path, bound), tally.margins[0])
        edge, tanks = self.kernel.edges.get(bound.group), len(self.model.tanks)

        def u(rows: Rows) -> Some:
            m = mass[rows]
            steps = sure.at(rows).with_fuel(held_where(path, rows, m, tanks))
            arm = edge.at(m) if edge else bound.at()
            value = arm - margin[rows] if bound.upper else arm + margin[rows]
            return self._u(bound, steps.with_effects(variant.effects), m, value, along=True)

        tally.add(bound.group, margin, u, edge.scale if edge else bound.at())

    def _u(self, limit: Limit, steps: Steps, mass: Array, value: Array, along: bool = False) -> Some:
        """U of the margin to a limit on mass or CG where that is the `value`."""
        edge = self.kernel.edges.get(limit.group)
        if edge is not None:
            return steps.edge(edge, 1.0 if limit.upper else -1.0, mass, value, along)
        if limit.quantity == "lateral":
            return steps.expanded(of_lateral_cg(mass, value))
        # Where the fuel's density makes the state lighter it stays in U.
        return steps.expanded(Gradient(mass=1.0), density=np.equal(heavier(limit, steps.effects), 0.0))
