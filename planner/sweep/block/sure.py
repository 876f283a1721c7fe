"""Standard uncertainties of the inputs for a whole column of loadings.

As `planner.quantities.effects`: one standard uncertainty of an input moves mass and moments by a step; steps
with one cause add before they are squared. A step is one figure where every loading shares it, or an array
where it depends on the loading.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.flight.envelope import FARTHEST
from planner.flight.fuel import EMPTY, FuelTank
from planner.quantities.effects import COVERAGE, FAR, FUEL_DENSITY, Effect, tank_lateral_arm, unusable_in
from planner.quantities.polygon import Piece
from planner.sweep.block.along import Place, Some
from planner.sweep.block.edges import Array, EdgeRows
from planner.sweep.block.fuelrows import ChangeRows, OffRows, marginal_arm_rows, volume_moment_rows
from planner.sweep.block.model import SweepModel

Step: TypeAlias = "tuple[Some, Some, Some]"


@dataclass(frozen=True, slots=True)
class Steps:
    """What one standard uncertainty of each cause does to a state: (mass [kg], moment [kg.m], lateral moment
    [kg.m]) per cause.

    `sides` are the steps that differ towards less and more, as in `planner.quantities.effects.Effect`: at the
    state, less, more; or nothing.
    """

    by_cause: dict[str, Step]
    sides: tuple[dict[str, Step], ...] = ()

    def changes(self, mass: Some, moment: Some, lateral: Some = 0.0) -> dict[str, Some]:
        """The change of a figure with this gradient per kg and per kg.m, per cause; of the sides the greatest
        counts.
        """
        across = not isinstance(lateral, float) or lateral != 0.0
        one_sided = not isinstance(moment, float) or moment != 0.0

        def change(step: Step) -> Some:
            found = mass * step[0]
            if one_sided:
                found = found + moment * step[1]
            return found + lateral * step[2] if across else found

        result = {cause: change(step) for cause, step in self.by_cause.items()}
        for cause in dict.fromkeys(cause for side in self.sides for cause in side):
            common = result.get(cause, 0.0)
            best: Some = common + change(self.sides[0][cause])
            for side in self.sides[1:]:
                other = common + change(side[cause])
                best = np.where(np.abs(other) > np.abs(best), other, best)
            result[cause] = best
        return result

    def expanded(self, mass: Some, moment: Some, lateral: Some = 0.0, density: Some = 1.0) -> Some:
        """Expanded uncertainty, k = 2, of a figure with this gradient per kg and per kg.m; `density` 0 leaves
        the fuel's density out of a row.
        """
        squares: Some = 0.0
        for cause, change in self.changes(mass, moment, lateral).items():
            squares = squares + change * change * (density if cause == FUEL_DENSITY else 1.0)
        return COVERAGE * np.sqrt(squares)

    def heavier(self) -> Some:
        """How much heavier one standard uncertainty of the density makes the fuel [kg]; below zero where it
        makes it lighter.
        """
        return self.changes(1.0, 0.0).get(FUEL_DENSITY, 0.0)

    def with_effects(self, effects: Sequence[Effect]) -> Steps:
        """The same with what a massless moment change is unsure by."""
        result = dict(self.by_cause)
        for effect in effects:
            add(result, effect.cause, (effect.mass, effect.moment, effect.lateral_moment))
        return Steps(result, self.sides)

    def rows(self, at: NDArray[np.intp]) -> Steps:
        """The same for some rows."""

        def picked(by_cause: dict[str, Step]) -> dict[str, Step]:
            return {
                cause: (_rows(dm, at), _rows(dx, at), _rows(dy, at))
                for cause, (dm, dx, dy) in by_cause.items()
            }

        return Steps(picked(self.by_cause), tuple(picked(side) for side in self.sides))

    def edge(self, edge: EdgeRows, sign: float, mass: Array, cg: Array, along: bool = False) -> Some:
        """U of the margin to an edge [m], as `planner.flight.envelope.edge_limit` has it: beyond a corner
        within reach the less sure side counts.
        """
        own = COVERAGE * np.sqrt(self._variance(sign * (cg / mass + edge.slope(mass)), -sign / mass))
        u_mass = np.broadcast_to(np.sqrt(self._variance(1.0, 0.0)), mass.shape)
        near = np.zeros(len(mass), dtype=np.bool_)
        for corner in edge.masses:
            near |= np.abs(mass - corner) <= np.maximum(FARTHEST * u_mass, 1e-9 * mass)
        if not near.any():
            return own
        at = np.flatnonzero(near)
        own = np.broadcast_to(own, mass.shape).copy()
        some, m, x, u = self.rows(at), mass[at], cg[at], u_mass[at]
        margin, reach, lost = sign * (edge.at(m) - x), COVERAGE * u + 1e-9 * m, np.zeros(len(at))
        for piece in edge.pieces:
            within = (piece.high >= m - reach) & (piece.low <= m + reach)
            if within.any():
                step = sign * (piece.p / m + piece.q + piece.r * m - x) - margin
                lost = np.where(within, np.maximum(lost, some._lost(piece, sign, m, x, along) - step), lost)
        own[at] = np.maximum(lost, COVERAGE * some._spread(edge, m, x, u))
        return own

    def _spread(self, edge: EdgeRows, mass: Array, cg: Array, u: Array) -> Array:
        """As `planner.flight.envelope._spread`, for every row; nothing where the mass is sure."""
        known = u > 0
        safe = np.where(known, u, 1.0)
        own_slope, own_arm = edge.slope(mass), edge.at(mass)
        changes, masses = self.changes(-(cg / mass + own_slope), 1.0 / mass), self.changes(1.0, 0.0)
        shared: Some = 0.0
        whole: Some = 0.0
        for cause, change in changes.items():
            shared = shared + change * masses.get(cause, 0.0)
            whole = whole + change * change
        shared = shared / (safe * safe)
        across = np.maximum(whole - shared * shared * safe * safe, 0.0)
        first, second = np.zeros_like(mass), np.zeros_like(mass)
        for piece in edge.pieces:
            slope = shared + own_slope + piece.p / (mass * mass) - piece.r
            level = own_arm - (piece.p / mass + piece.q + piece.r * mass)
            weight, mean, square = _normal_part((piece.low - mass) / safe, (piece.high - mass) / safe)
            first += level * weight + slope * safe * mean
            second += (
                level * level * weight
                + 2 * level * slope * safe * mean
                + slope * slope * safe * safe * square
            )
        return np.asarray(np.where(known, np.sqrt(np.maximum(second - first * first, 0.0) + across), 0.0))

    def _lost(self, piece: Piece, sign: float, mass: Array, cg: Array, along: bool) -> Array:
        """As `planner.flight.envelope._loss`, for one piece and every row."""
        by_mass, by_moment = sign * (cg / mass - piece.p / (mass * mass) + piece.r), -sign / mass
        whole = np.broadcast_to(self._variance(by_mass, by_moment), mass.shape)
        variance = np.broadcast_to(self._variance(1.0, 0.0), mass.shape)
        shared: Some = 0.0
        masses = self.changes(1.0, 0.0)
        for cause, change in self.changes(by_mass, by_moment).items():
            shared = shared + change * masses.get(cause, 0.0)
        shared = np.broadcast_to(shared, mass.shape)
        root = np.sqrt(whole)
        known = (whole > 0) & (variance > 0)
        worst = np.divide(-COVERAGE * shared, root, out=np.zeros_like(mass), where=known)
        off = np.clip(worst, piece.low - mass, piece.high - mass)
        ratio = np.divide(off, variance, out=np.zeros_like(mass), where=known)
        across = np.maximum(
            whole - shared * np.divide(shared, variance, out=np.zeros_like(mass), where=known), 0.0
        )
        bent = -shared * ratio + np.sqrt(np.maximum(COVERAGE**2 - off * ratio, 0.0) * across)
        clamped = known & (off != worst)
        if along:
            clamped &= (piece.low > mass * (1 + 1e-9)) | (piece.high < mass * (1 - 1e-9))
        return np.asarray(np.where(clamped, bent, COVERAGE * root))

    def _variance(self, mass: Some, moment: Some) -> Some:
        squares: Some = 0.0
        for change in self.changes(mass, moment).values():
            squares = squares + change * change
        return squares


_erf = np.frompyfunc(math.erf, 1, 1)


def _normal_part(low: Array, high: Array) -> tuple[Array, Array, Array]:
    """As `planner.flight.envelope._normal_part`, for every row."""

    def density(x: Array) -> Array:
        return np.where(np.isfinite(x), np.exp(-np.minimum(x * x, 1e4) / 2) / math.sqrt(2 * math.pi), 0.0)

    def below(x: Array) -> Array:
        return np.asarray(_erf(x / math.sqrt(2)), dtype=np.float64)

    weight = (below(high) - below(low)) / 2
    at_low, at_high = (np.where(np.isfinite(x), x, 0.0) * density(x) for x in (low, high))
    return weight, density(low) - density(high), weight + at_low - at_high


def _rows(figure: Some, at: NDArray[np.intp]) -> Some:
    """Some rows of a figure; itself where all rows share it."""
    return figure[at] if isinstance(figure, np.ndarray) and figure.ndim else figure


def add(into: dict[str, tuple[Some, Some, Some]], cause: str, step: tuple[Some, Some, Some]) -> None:
    """Add a step of one cause to those there are [kg, kg.m, kg.m]. Source: [jcgm-100] F.1.2.3."""
    old = into.get(cause)
    into[cause] = step if old is None else (old[0] + step[0], old[1] + step[1], old[2] + step[2])


class BlockSureness:
    """The steps of a block of loadings; `loads` in SI, shape (n, k), and the usable `full` volumes [m3] they
    begin with.
    """

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
            rows = {
                cause: np.full_like(volume, change)
                for cause, change in changes.items()
                if cause != FUEL_DENSITY
            }
            if known and relative:
                rows[FUEL_DENSITY] = -relative * volume
            result.append(rows)
        return result

    def empty(self) -> Steps:
        """Without usable fuel."""
        return Steps(self.base)

    def with_fuel(self, place: Place, off: OffRows | None = None) -> Steps:
        """With what is in the tanks at a place; `off` is what every cause leaves there with less and with
        more of it, where the burn bends.
        """
        model, rho, volumes = self.model, self.model.density, place.volumes
        result = dict(self.base)
        sides: tuple[dict[str, Step], ...] = ({}, {}, {})
        if model.density_u:
            # What rounding leaves in an empty tank is not uncertain fuel.
            u = model.density_u * (np.sum(volumes, axis=0) > EMPTY)
            mass = u * np.sum(volumes, axis=0)
            moment = u * np.sum(
                [volume_moment_rows(tank, each) for tank, each in zip(model.tanks, volumes, strict=True)],
                axis=0,
            )
            side = u * np.sum(
                [tank.lateral_arm * each for tank, each in zip(model.tanks, volumes, strict=True)], axis=0
            )
            add(result, FUEL_DENSITY, (mass, moment, side))
        for number, (tank, volume, changes) in enumerate(
            zip(model.tanks, volumes, place.changes, strict=True)
        ):
            for cause in dict.fromkeys([*changes, *(off or {})]):
                change = np.broadcast_to(changes.get(cause, 0.0), volume.shape)
                turns = (change, change)
                if off is not None and cause in off:
                    less, more = off[cause]
                    turns = ((volume - less[number]) / FAR, (more[number] - volume) / FAR)
                self._of_volume(result, sides, tank, volume, cause, change, turns)
            for index, u in enumerate(tank.arm_us):
                if u:
                    add(
                        result,
                        tank.arm_cause(index),
                        (0.0, rho * u * volume_moment_rows(tank.only(index), volume), 0.0),
                    )
            if tank.unusable_u and len(tank.arm_points) > 1:
                higher = marginal_arm_rows(tank, volume) - tank.marginal_arm(0.0)
                add(result, unusable_in(tank.name), (0.0, rho * tank.unusable_u * higher * (volume > 0), 0.0))
            if tank.lateral_u:
                add(result, tank_lateral_arm(tank.name), (0.0, 0.0, rho * volume * tank.lateral_u))
        bent = any(sides)
        return Steps(result, sides if bent else ())

    def _of_volume(
        self,
        into: dict[str, Step],
        sides: Sequence[dict[str, Step]],
        tank: FuelTank,
        volume: Array,
        cause: str,
        change: Array,
        turns: tuple[Array, Array],
    ) -> None:
        """As `planner.plan.states.Situation._of_volume`, for every row."""
        rho, side = self.model.density, tank.lateral_arm
        less, more = turns
        reach = FAR * np.maximum(np.abs(change), np.maximum(np.abs(less), np.abs(more)))
        bent = np.maximum(np.abs(less - change), np.abs(more - change)) > 1e-6 * reach
        for cut in tank.breaks():
            bent |= np.abs(volume - cut) < reach
        moment = change * marginal_arm_rows(tank, volume)
        if not bent.any():
            add(into, cause, (rho * change, rho * moment, rho * change * side))
            return
        here = volume_moment_rows(tank, volume)
        low = (here - volume_moment_rows(tank, np.maximum(volume - FAR * less, 0.0))) / FAR
        high = (volume_moment_rows(tank, np.maximum(volume + FAR * more, 0.0)) - here) / FAR
        for each, step, by in ((sides[0], change, moment), (sides[1], less, low), (sides[2], more, high)):
            volume_step, moment_step = np.where(bent, step, change), np.where(bent, by, moment)
            add(each, cause, (rho * volume_step, rho * moment_step, rho * volume_step * side))
