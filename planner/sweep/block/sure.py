"""Standard uncertainties of the inputs for a whole column of loadings.

As `planner.quantities.effects`: one standard uncertainty of an input moves mass and moments by a step; steps
with one cause add before they are squared. A step is one figure where every loading shares it, or an array
where it depends on the loading.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np

from planner.flight.envelope import FARTHEST, edge_u, of_edge_margin
from planner.flight.fuel import Changes, Held, Off
from planner.quantities.effects import COVERAGE, FUEL_DENSITY, Effect, Gradient, contributions, merged
from planner.quantities.many import Some, greatest, least, size, some_of
from planner.sweep.block.edges import Array, EdgeRows, Rows
from planner.sweep.block.model import SweepModel


class Steps:
    """What one standard uncertainty of each cause does to the states of a block; one of the `effects` per
    cause and side.
    """

    def __init__(self, effects: Sequence[Effect]) -> None:
        self.effects = merged(effects)

    @cached_property
    def of_mass(self) -> Some:
        """Expanded uncertainty of the mass [kg]."""
        return self.expanded(Gradient(mass=1.0))

    def expanded(self, gradient: Gradient, density: Some = 1.0) -> Some:
        """Expanded uncertainty, k = 2, of a figure with this gradient; `density` 0 leaves the fuel's density
        out of a row.
        """
        squares: Some = 0.0
        for cause, change in contributions(self.effects, gradient).items():
            square = change * change
            squares = squares + (square * density if cause == FUEL_DENSITY else square)
        return COVERAGE * np.sqrt(squares)

    def with_effects(self, effects: Sequence[Effect]) -> Steps:
        """The same with what a massless moment change is unsure by."""
        return Steps((*self.effects, *effects)) if effects else self

    def at(self, rows: Rows) -> Steps:
        """Those of some rows."""
        return Steps(some_of(self.effects, rows))

    def levers(self, values: Mapping[str, Array]) -> dict[str, float]:
        """No row has a U above these: of its mass [kg], and of its CG along and across [m] at a sure mass, of
        which `values` holds what there is by the quantity of a limit.
        """
        found = {}
        for quantity, value in values.items():
            low, high, divisor = least(value), greatest(value), least(values["mass"])
            if quantity == "mass":
                low = high = divisor = 1.0
            sizes: dict[str, float] = {}
            for each in self.effects:
                moment = {"mass": 0.0, "cg": each.moment, "lateral": each.lateral_moment}[quantity]
                lever = size((high + low) / 2 * each.mass - moment) + (high - low) / 2 * size(each.mass)
                sizes[each.cause] = sizes.get(each.cause, 0.0) + lever
            found[quantity] = COVERAGE * math.hypot(*sizes.values()) / divisor
        return found

    def edge(self, edge: EdgeRows, sign: float, mass: Array, cg: Array, along: bool = False) -> Some:
        """U of the margin to an edge [m], as `planner.flight.envelope.edge_limit` has it: beyond a corner
        within reach the less sure side counts.
        """
        own = self.expanded(of_edge_margin(sign, mass, cg, edge.slope(mass)))
        reach = np.maximum(FARTHEST / COVERAGE * self.of_mass, 1e-9 * mass)
        at = np.flatnonzero(np.any([np.abs(mass - corner) <= reach for corner in edge.masses], axis=0))
        if not at.size:
            return own
        own, m = np.broadcast_to(own, mass.shape).copy(), mass[at]
        known = edge.at(m), edge.slope(m)
        own[at] = edge_u(edge.pieces, sign, m, cg[at], known, some_of(self.effects, at), along)[0]
        return own


class BlockSureness:
    """The steps of a block of loadings; `loads` in SI, shape (n, k), and the usable `full` volumes [m3] they
    begin with.
    """

    def __init__(self, model: SweepModel, loads: Array, full: Sequence[Array]) -> None:
        self.model, self.loads, self.full = model, loads, full
        base = list(model.effects)
        for index, column in enumerate(model.columns):
            if column.arm_u:
                base.append(Effect(column.arm_cause, 0.0, loads[:, index] * column.arm_u))
            if column.side_u:
                base.append(Effect(column.side_cause, 0.0, 0.0, loads[:, index] * column.side_u))
        self.base = merged(base)

    def at(self, rows: Rows) -> BlockSureness:
        """Those of some rows."""
        return BlockSureness(self.model, self.loads[rows], some_of(self.full, rows))

    def start(self) -> list[Changes]:
        """What every cause does to each tank's volume before the burn [m3]."""
        relative = self.model.density_u / self.model.density
        return [
            {cause: change for cause, change in changes.items() if cause != FUEL_DENSITY}
            | ({FUEL_DENSITY: -relative * volume} if known and relative else {})
            for volume, changes, known in zip(self.full, self.model.changes, self.model.by_mass, strict=True)
        ]

    def with_fuel(self, held: Held, off: Off | None = None) -> Steps:
        """With what is in the tanks at a place; `off` is what every cause leaves there with less and with
        more of it, where the burn bends.
        """
        return Steps(self.model.flight.effects_with(*held, off, self.base))
