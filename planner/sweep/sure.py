"""Standard uncertainties of the inputs for a whole column of loadings.

As `planner.effects`: one standard uncertainty of an input moves mass and moments by a step; steps with one cause add before
they are squared. A step is one figure where every loading shares it, or an array where it depends on the loading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.effects import COVERAGE, FUEL_DENSITY, Effect, tank_lateral_arm, unusable_in
from planner.fuel import EMPTY
from planner.polygon import Piece
from planner.sweep.along import Place, Some
from planner.sweep.edges import Array, EdgeRows
from planner.sweep.fuelrows import ChangeRows, marginal_arm_rows, volume_moment_rows
from planner.sweep.model import SweepModel


@dataclass(frozen=True, slots=True)
class Steps:
    """What one standard uncertainty of each cause does to a state: (mass [kg], moment [kg.m], lateral moment [kg.m]) per cause."""

    by_cause: dict[str, tuple[Some, Some, Some]]

    def expanded(self, mass: Some, moment: Some, lateral: Some = 0.0, density: Some = 1.0) -> Some:
        """Expanded uncertainty, k = 2, of a figure with this gradient per kg and per kg.m; `density` 0 leaves the fuel's density out of a row."""
        squares: Some = 0.0
        for cause, (dm, dx, dy) in self.by_cause.items():
            change = mass * dm + moment * dx
            if not isinstance(lateral, float) or lateral:
                change = change + lateral * dy
            squares = squares + change * change * (density if cause == FUEL_DENSITY else 1.0)
        return COVERAGE * np.sqrt(squares)

    def heavier(self) -> Some:
        """How much heavier one standard uncertainty of the density makes the fuel [kg]; below zero where it makes it lighter."""
        return self.by_cause.get(FUEL_DENSITY, (0.0, 0.0, 0.0))[0]

    def with_effects(self, effects: Sequence[Effect]) -> Steps:
        """The same with what a massless moment change is unsure by."""
        result = dict(self.by_cause)
        for effect in effects:
            add(result, effect.cause, (effect.mass, effect.moment, effect.lateral_moment))
        return Steps(result)

    def edge(self, edge: EdgeRows, sign: float, mass: Array, cg: Array, along: bool = False) -> Some:
        """U of the margin to an edge [m], as `planner.envelope.edge_limit` has it: beyond a corner within reach the less sure side counts."""
        own = COVERAGE * np.sqrt(self._variance(sign * (cg / mass + edge.slope(mass)), -sign / mass))
        reach = COVERAGE * np.sqrt(self._variance(1.0, 0.0)) + 1e-9 * mass
        near = np.zeros(len(mass), dtype=np.bool_)
        for corner in edge.masses:
            near |= np.abs(mass - corner) <= reach
        if not near.any():
            return own
        at = np.flatnonzero(near)
        own = np.broadcast_to(own, mass.shape).copy()
        some = Steps({cause: (_rows(dm, at), _rows(dx, at), _rows(dy, at)) for cause, (dm, dx, dy) in self.by_cause.items()})
        m, x = mass[at], cg[at]
        margin = sign * (edge.at(m) - x)
        lost = np.zeros(len(at))
        for piece in edge.pieces:
            within = (piece.high >= m - reach[at]) & (piece.low <= m + reach[at])
            if within.any():
                step = sign * (piece.p / m + piece.q + piece.r * m - x) - margin
                lost = np.where(within, np.maximum(lost, some._lost(piece, sign, m, x, along) - step), lost)
        own[at] = lost
        return own

    def _lost(self, piece: Piece, sign: float, mass: Array, cg: Array, along: bool) -> Array:
        """As `planner.envelope._loss`, for one piece and every row."""
        by_mass, by_moment = sign * (cg / mass - piece.p / (mass * mass) + piece.r), -sign / mass
        whole = np.broadcast_to(self._variance(by_mass, by_moment), mass.shape)
        variance = np.broadcast_to(self._variance(1.0, 0.0), mass.shape)
        shared: Some = 0.0
        for dm, dx, _ in self.by_cause.values():
            shared = shared + (by_mass * dm + by_moment * dx) * dm
        shared = np.broadcast_to(shared, mass.shape)
        root = np.sqrt(whole)
        known = (whole > 0) & (variance > 0)
        worst = np.divide(-COVERAGE * shared, root, out=np.zeros_like(mass), where=known)
        off = np.clip(worst, piece.low - mass, piece.high - mass)
        ratio = np.divide(off, variance, out=np.zeros_like(mass), where=known)
        across = np.maximum(whole - shared * np.divide(shared, variance, out=np.zeros_like(mass), where=known), 0.0)
        bent = -shared * ratio + np.sqrt(np.maximum(COVERAGE**2 - off * ratio, 0.0) * across)
        clamped = known & (off != worst)
        if along:
            clamped &= (piece.low > mass * (1 + 1e-9)) | (piece.high < mass * (1 - 1e-9))
        return np.asarray(np.where(clamped, bent, COVERAGE * root))

    def _variance(self, mass: Some, moment: Some) -> Some:
        squares: Some = 0.0
        for dm, dx, _ in self.by_cause.values():
            change = mass * dm + moment * dx
            squares = squares + change * change
        return squares


def _rows(figure: Some, at: NDArray[np.intp]) -> Some:
    """Some rows of a figure; itself where all rows share it."""
    return figure[at] if isinstance(figure, np.ndarray) and figure.ndim else figure


def add(into: dict[str, tuple[Some, Some, Some]], cause: str, step: tuple[Some, Some, Some]) -> None:
    """Add a step of one cause to those there are [kg, kg.m, kg.m]. Source: [jcgm-100] F.1.2.3."""
    old = into.get(cause)
    into[cause] = step if old is None else (old[0] + step[0], old[1] + step[1], old[2] + step[2])


class Sureness:
    """The steps of a block of loadings; `loads` in SI, shape (n, k), and the usable `full` volumes [m3] they begin with."""

    def __init__(self, model: SweepModel, loads: Array, full: Sequence[Array]) -> None:
        self.model, self.full = model, full
        self.base: dict[str, tuple[Some, Some, Some]] = {}
        for effect in model.effects:
            add(self.base, effect.cause, (effect.mass, effect.moment, effect.lateral_moment))
        for index, column in enumerate(model.columns):
            if column.arm_u:
                add(self.base, column.arm_cause, (0.0, loads[:, index] * column.arm_u, 0.0))
            if column.side_u:
                add(self.base, column.side_cause, (0.0, 0.0, loads[:, index] * column.side_u))

    def start(self) -> list[ChangeRows]:
        """What every cause does to each tank's volume before the burn [m3]."""
        model = self.model
        relative = model.density_u / model.density
        result: list[ChangeRows] = []
        for volume, changes, known in zip(self.full, model.changes, model.by_mass, strict=True):
            rows = {cause: np.full_like(volume, change) for cause, change in changes.items() if cause != FUEL_DENSITY}
            if known and relative:
                rows[FUEL_DENSITY] = -relative * volume
            result.append(rows)
        return result

    def empty(self) -> Steps:
        """Without usable fuel."""
        return Steps(self.base)

    def with_fuel(self, place: Place) -> Steps:
        """With what is in the tanks at a place."""
        model, rho, volumes = self.model, self.model.density, place.volumes
        result = dict(self.base)
        if model.density_u:
            # What rounding leaves in an empty tank is not uncertain fuel.
            u = model.density_u * (np.sum(volumes, axis=0) > EMPTY)
            mass = u * np.sum(volumes, axis=0)
            moment = u * np.sum([volume_moment_rows(tank, each) for tank, each in zip(model.tanks, volumes, strict=True)], axis=0)
            side = u * np.sum([tank.lateral_arm * each for tank, each in zip(model.tanks, volumes, strict=True)], axis=0)
            add(result, FUEL_DENSITY, (mass, moment, side))
        for tank, volume, changes in zip(model.tanks, volumes, place.changes, strict=True):
            if changes:
                arm = marginal_arm_rows(tank, volume)
                for cause, change in changes.items():
                    add(result, cause, (rho * change, rho * change * arm, rho * change * tank.lateral_arm))
            for index, u in enumerate(tank.arm_us):
                if u:
                    add(result, tank.arm_cause(index), (0.0, rho * u * volume_moment_rows(tank.only(index), volume), 0.0))
            if tank.unusable_u and len(tank.arm_points) > 1:
                higher = marginal_arm_rows(tank, volume) - tank.marginal_arm(0.0)
                add(result, unusable_in(tank.name), (0.0, rho * tank.unusable_u * higher * (volume > 0), 0.0))
            if tank.lateral_u:
                add(result, tank_lateral_arm(tank.name), (0.0, 0.0, rho * volume * tank.lateral_u))
        return Steps(result)
