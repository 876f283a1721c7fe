"""Every limit of a whole flight for a block of loadings: load, four states, the whole burn, fuel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from planner.flight.envelope import NOISE, heavier, of_lateral_cg
from planner.flight.fuel import EMPTY
from planner.flight.limits import STATES, Limit
from planner.flight.limits import Place as Where
from planner.quantities.effects import COVERAGE, Gradient
from planner.quantities.many import Some, some_of
from planner.sweep.block.along import Place, Span, Watch, follow, place_of, reaches, spans, watches
from planner.sweep.block.doubts import doubtful, off_course
from planner.sweep.block.edges import Array
from planner.sweep.block.fuelrows import Burning, volumes_of
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
            model.lateral is not None,
            rows,
        )
        # Freed at once: from then on the C library keeps what a block frees at hand for the next one, instead
        # of giving it back and asking for it anew, page by page.
        np.empty(_KEPT)
        swept = [column.kind != "mass" for column in model.columns]
        self._uncertain = bool(
            model.effects
            or any(column.arm_u or column.side_u for column in model.columns)
            or (model.density_u and (any(swept) or any(model.volumes)))
            or any(model.changes)
            or any(tank.arm_us or tank.lateral_u or tank.unusable_u for tank in model.tanks)
            or any(leg.changes for leg in model.legs)
            or any(shift.effects for shift in model.shifts)
        )

    def judge(self, loads: Array) -> BlockResult:
        """Judge one block, shape (n, k) in the order of the model's columns [kg, m3]: n not above the block's
        rows, no figure below zero.
        """
        model, n = self.model, len(loads)
        full = volumes_of(model, loads)
        sure = BlockSureness(model, loads, full) if self._uncertain else None
        tally = Tally(n, NOISE)
        self._loads(tally, loads)
        mass, moment, side = (None if each is None else each.copy() for each in self.kernel.totals(loads))
        assert mass is not None
        assert moment is not None
        zero_fuel = (mass, moment, side)
        burning = Burning(model, full, sure.start() if sure is not None else ())
        watched, path = watches(model, n), list[Span]()
        at_state = [Place(full, [dict(each) for each in burning.changes])]
        for limit in model.fuel_limits:
            self._fuel_limit(tally, limit, at_state[0])
        for stage in ("taxi", "trip", "after"):
            for span in self._spans(burning, zero_fuel, stage):
                for watch in watched:
                    follow(watch, span, len(path))
                path.append(span)
                for limit in model.fuel_limits:
                    if limit.place == "burn":
                        self._fuel_limit(tally, limit, span.place(span.end))
            if stage != "after":
                at_state.append(Place(burning.volumes, [dict(each) for each in burning.changes]))
        at_state.append(Place([np.zeros(n) for _ in full], [{} for _ in full]))
        masses, cgs = np.empty((4, n)), np.empty((4, n))
        off = {} if sure is None else off_course(model, full, sure.start(), at_state[:3])
        for index, (state, place) in enumerate(zip(STATES, at_state, strict=True)):
            steps = (
                None
                if sure is None
                else (sure.empty() if state == "zero fuel" else sure.with_fuel(place, off.get(state)))
            )
            margins = self._state(tally, state, zero_fuel, place.volumes, steps)
            masses[index], cgs[index] = margins.mass, margins.cg
        for watch in watched:
            self._burn(
                tally, watch, None if sure is None else sure.with_fuel(place_of(watch, path, len(full)))
            )
        if sure is not None:
            self._doubts(tally, loads, full, path, watched)
        fuel = np.sum(full, axis=0)
        surplus = fuel - model.required
        surplus[np.abs(surplus) < EMPTY] = 0.0
        tally.add("fuel", surplus, self._surplus_u(full), 0.0)
        tally.add("tank", np.where(burning.missing > 0, -burning.missing, np.inf), 0.0, 0.0)
        return BlockResult(
            verdict=tally.verdicts.max(axis=0),
            verdicts=tally.verdicts,
            margins=tally.margins,
            uncertainties=tally.uncertainties,
            masses=masses,
            cgs=cgs,
            fuel=fuel,
        )

    def _spans(
        self, burning: Burning, zero_fuel: tuple[Array, Array, Array | None], stage: str
    ) -> Iterator[Span]:
        """The burn of one stage: taxi, trip, or what comes after."""
        for leg in self.model.legs:
            if (leg.stage if leg.stage in ("taxi", "trip") else "after") == stage:
                for draw in burning.leg(leg, leg.volume, leg.changes if self._uncertain else None):
                    yield from spans(self.model, zero_fuel, draw, self.model.density)

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

    def _doubts(
        self,
        tally: Tally,
        loads: Array,
        full: Sequence[Array],
        path: Sequence[Span],
        watched: Sequence[Watch],
    ) -> None:
        """Look along the whole burn of those loadings whose least margin is near its U: elsewhere the margin
        may be larger and U larger still.
        """
        for group, close in tally.near().items():
            rows = np.flatnonzero(close)
            if rows.size:
                sure = BlockSureness(self.model, loads[rows], some_of(full, rows))
                for span in (some_of(each, rows) for each in path):
                    for watch in watched:
                        for reach in reaches(watch, span) if watch.group == group else ():
                            tally.doubt(group, rows[doubtful(sure, watch, span, reach)])

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

    def _fuel_limit(self, tally: Tally, limit: Limit, place: Place) -> None:
        """A limit of the register on fuel, with what is in the tanks at a place of every row."""
        value, effects = self.model.flight.held(limit, place.volumes, place.changes)
        tally.add(limit.group, limit.margin(value), Steps(effects).of_mass, limit.at())

    def _state(
        self,
        tally: Tally,
        state: Where,
        zero_fuel: tuple[Array, Array, Array | None],
        volumes: Sequence[Array],
        steps: Steps | None,
    ) -> Margins:
        model = self.model
        mass, moment, side = zero_fuel
        if state != "zero fuel":
            fuel = model.flight.of_fuel(volumes, model.density)
            mass, moment, side = mass + fuel[0], moment + fuel[1], None if side is None else side + fuel[2]
        found = self.kernel.margins(mass, moment)
        for limit in model.flight.at(state):
            self._judge(tally, limit, found, side, steps)
        return found

    def _judge(
        self, tally: Tally, limit: Limit, found: Margins, side: Array | None, steps: Steps | None
    ) -> None:
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
            assert side is not None  # where there are lateral limits, the lateral moment is followed
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

    def _burn(self, tally: Tally, watch: Watch, steps: Steps | None) -> None:
        """The least margin of the whole burn with the uncertainty at that very place."""
        u: Some = 0.0
        if steps is not None:
            finite = np.where(np.isfinite(watch.margin), watch.margin, 0.0)
            sign = 1.0 if watch.upper else -1.0
            cg = watch.arm - sign * finite
            if watch.axis == "lateral":
                u = steps.expanded(of_lateral_cg(watch.mass, cg))
            else:
                with_shift = steps if watch.shift is None else steps.with_effects(watch.shift.effects)
                u = with_shift.edge(
                    self.kernel.aft if watch.upper else self.kernel.forward, sign, watch.mass, cg, along=True
                )
        tally.add(watch.group, watch.margin, u, watch.arm)
