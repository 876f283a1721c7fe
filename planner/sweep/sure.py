"""Standard uncertainties of the inputs for a whole column of loadings.

As `planner.effects`: one standard uncertainty of an input moves mass and moments by a step; steps with one cause add before
they are squared. A step is one figure where every loading shares it, or an array where it depends on the loading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from planner.effects import COVERAGE, FUEL_DENSITY, fuel_in
from planner.fuel import EMPTY
from planner.sweep.edges import Array
from planner.sweep.fuelrows import marginal_arm_rows, volume_moment_rows
from planner.sweep.model import SweepModel

Some: TypeAlias = "float | Array"


@dataclass(frozen=True, slots=True)
class Steps:
    """What one standard uncertainty of each cause does to a state: (mass [kg], moment [kg.m], lateral moment [kg.m]) per cause."""

    by_cause: dict[str, tuple[Some, Some, Some]]

    def expanded(self, mass: Some, moment: Some, lateral: Some = 0.0, density: bool = True) -> Some:
        """Expanded uncertainty, k = 2, of a figure with this gradient per kg and per kg.m; without the fuel's density where `density` is False."""
        squares: Some = 0.0
        for cause, (dm, dx, dy) in self.by_cause.items():
            if density or cause != FUEL_DENSITY:
                change = mass * dm + moment * dx
                if not isinstance(lateral, float) or lateral:
                    change = change + lateral * dy
                squares = squares + change * change
        return COVERAGE * np.sqrt(squares)

    def raised_mass(self) -> Some:
        """How much heavier the fuel may be at its density plus U [kg]; never below zero."""
        step = self.by_cause.get(FUEL_DENSITY, (0.0, 0.0, 0.0))[0]
        return np.maximum(COVERAGE * step, 0.0)


class Sureness:
    """The steps of a block of loadings; `loads` in SI, shape (n, k), and the usable `full` volumes [m3] they begin with."""

    def __init__(self, model: SweepModel, loads: Array, full: Sequence[Array]) -> None:
        self.model = model
        self.full = full
        self.base: dict[str, tuple[Some, Some, Some]] = {}
        for effect in model.effects:
            self._add(self.base, effect.cause, (effect.mass, effect.moment, effect.lateral_moment))
        for index, column in enumerate(model.columns):
            if column.arm_u:
                self._add(self.base, column.arm_cause, (0.0, loads[:, index] * column.arm_u, 0.0))

    @staticmethod
    def _add(into: dict[str, tuple[Some, Some, Some]], cause: str, step: tuple[Some, Some, Some]) -> None:
        old = into.get(cause)
        into[cause] = step if old is None else (old[0] + step[0], old[1] + step[1], old[2] + step[2])

    def empty(self) -> Steps:
        """Without usable fuel."""
        return Steps(self.base)

    def with_fuel(self, volumes: Sequence[Array], burnt: Sequence[tuple[str, float]] = ()) -> Steps:
        """With these usable `volumes` [m3] in the tanks; `burnt` causes with u [m3] lie between the filling and this state."""
        model, rho = self.model, self.model.density
        result = dict(self.base)
        some = (np.sum(volumes, axis=0) > EMPTY).astype(np.float64)  # what rounding leaves in an empty tank is not uncertain fuel
        if model.density_u:
            mass, moment, lateral = np.zeros_like(some), np.zeros_like(some), np.zeros_like(some)
            for tank, volume, full, known in zip(model.tanks, volumes, self.full, model.by_mass, strict=True):
                differs = volume - full if known else volume
                mass += differs
                moment += volume_moment_rows(tank, volume) - (volume_moment_rows(tank, full) if known else 0.0)
                lateral += tank.lateral_arm * differs
            scale = model.density_u * some
            self._add(result, FUEL_DENSITY, (scale * mass, scale * moment, scale * lateral))
        steps = [(fuel_in(tank.name), u, index) for index, (tank, u) in enumerate(zip(model.tanks, model.tank_u, strict=True)) if u]
        if not steps and not burnt:
            return Steps(result)
        live = np.argmax(volumes, axis=0)
        arms = np.stack([marginal_arm_rows(tank, volume) for tank, volume in zip(model.tanks, volumes, strict=True)])
        sides = np.array([tank.lateral_arm for tank in model.tanks])
        rows = np.arange(len(some))
        for cause, u, index in [*steps, *((cause, -u, -1) for cause, u in burnt)]:
            # A tank already emptied leaves its error in the tank the burn then went on from.
            at = live if index < 0 else np.where(volumes[index] > EMPTY, index, live)
            mass = rho * u * some
            self._add(result, cause, (mass, mass * arms[at, rows], mass * sides[at]))
        return Steps(result)
