"""Exact margins of many draws of a plan's inputs at once: every draw is flown through the whole burn, as a
sweep flies its loadings.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.flight.fuel import Changes
from planner.flight.limits import GREATEST, Limit
from planner.flight.model import TankFuel
from planner.plan.results import Plan
from planner.quantities.effects import FUEL_DENSITY, fuel_in, tank_lateral_arm
from planner.quantities.frozen import frozen
from planner.quantities.many import Some
from planner.sweep.block.along import Span, Watch, follow, spans, watches
from planner.sweep.block.edges import EdgeRows
from planner.sweep.block.fuelrows import Burning
from planner.sweep.sweeping import compile_sweep

Array: TypeAlias = NDArray[np.float64]


@frozen
class Flown:
    """A block of draws through the whole burn: masses and moments without usable fuel, the stretches in
    order.

    `rows` are the margins of the limits that are not of the CG, in the order of `Margins.names`; `watches`
    the CG limits after them.
    """

    zero: tuple[Array, Array, Array | None]
    spans: list[Span]
    rows: list[Array]
    watches: list[Watch]


class DrawnMargins:
    """The plan compiled for blocks of draws: `causes` are the unsure inputs, `names` the limits, one margin
    each.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan, self.model = plan, compile_sweep(plan, ())
        shifts = [effect for each in plan.model.variants if len(each.names) == 1 for effect in each.effects]
        effects = [*plan.loading.effects, *shifts]
        fuel = [
            cause
            for each in (
                *(tank.changes for tank in plan.fuel.tanks),
                *(leg.changes for leg in self.model.legs),
            )
            for cause in each
        ]
        arms = [
            each.tank.arm_cause(at) for each in plan.fuel.tanks for at, u in enumerate(each.tank.arm_us) if u
        ]
        arms += [tank_lateral_arm(each.tank.name) for each in plan.fuel.tanks if each.tank.lateral_u]
        density = [FUEL_DENSITY] if plan.density.u else []
        self.causes = list(dict.fromkeys([*(effect.cause for effect in effects), *density, *fuel, *arms]))
        self.index = {cause: i for i, cause in enumerate(self.causes)}
        asked = {limit.id for limit in plan.load_limits}
        self.limits = [limit for limit in plan.model.aboard() if limit.id in asked]
        zero = plan.state("zero fuel").total
        self.base = np.array([zero.mass, zero.moment, zero.lateral_moment])
        self.linear = np.zeros((3, len(self.causes)))
        for effect in plan.loading.effects:
            self.linear[:, self.index[effect.cause]] += (effect.mass, effect.moment, effect.lateral_moment)
        self.products = self._products()
        self.edges = {
            "forward": EdgeRows(plan.envelope.forward, False),
            "aft": EdgeRows(plan.envelope.aft, True),
        }
        along = {(limit.axis, limit.upper): limit.name for limit in plan.model.at("burn")}
        # the shifts of the model are the variants that have names
        variants = [each.suffix for each in plan.model.variants if each.names]
        suffixes = dict(zip(map(id, self.model.shifts), variants, strict=True))
        self.names: tuple[str, ...] = (
            *(limit.name for limit in self.limits),
            *(limit.name for state in plan.states for limit in state.limits if limit.id == GREATEST),
            "least mass of the envelope",
            *(
                along[watch.axis, watch.upper] + suffixes.get(id(watch.shift), "")
                for watch in self._watches(1)
            ),
        )

    def of(self, z: Array, rows: Sequence[int] | NDArray[np.intp] | None = None) -> Array:
        """Margins of the draws `z` [standard deviations, shape (causes, n)]: shape (limits, n), in kg or m,
        negative outside; `rows` picks limits.
        """
        flown = self.flown(z)
        first = len(flown.rows)
        picked = range(len(self.names)) if rows is None else rows
        return np.stack(
            [
                flown.rows[row] if row < first else self.watched(flown.watches[row - first], flown)
                for row in picked
            ]
        )

    def _watches(self, rows: int) -> list[Watch]:
        return watches(self.model, rows)

    def watched(self, watch: Watch, flown: Flown) -> Array:
        """The least margin [m] of a CG limit over the whole burn, and without usable fuel, of every draw."""
        for span in flown.spans:
            follow(watch, span)
        return np.minimum(watch.margin, self._without_usable(watch, flown.zero))

    def flown(self, z: Array) -> Flown:
        """Every draw through the whole flight."""
        plan, model, n = self.plan, self.model, z.shape[1]
        mass, moment, side = self.without_fuel(z)
        rho = self.density(z)
        lighter = plan.density.density / rho  # what came or went by mass has that much more volume
        volumes = []
        for each in plan.fuel.tanks:
            own = np.full(n, each.volume) + self._in_tank(z, each)
            volumes.append(np.maximum(own * lighter if each.by_mass else own, 0.0))
        zero = (mass, moment, side if model.lateral is not None else None)
        burning, along = Burning(model, volumes), list[Span]()
        tanks = [each.tank for each in plan.fuel.tanks]
        offs = [
            [(tank.only(at), u * z[self.index[tank.arm_cause(at)]]) for at, u in enumerate(tank.arm_us) if u]
            for tank in tanks
        ]
        sides = [
            tank.lateral_arm
            + (tank.lateral_u * z[self.index[tank_lateral_arm(tank.name)]] if tank.lateral_u else 0.0)
            for tank in tanks
        ]
        held = [dict(zip([tank.name for tank in tanks], volumes, strict=True))]
        masses = {"ramp": mass + rho * np.sum(volumes, axis=0)}
        for stage in ("taxi", "trip", "after"):
            for leg in model.legs:
                if (leg.stage if leg.stage in ("taxi", "trip") else "after") == stage:
                    by_mass = FUEL_DENSITY in leg.changes
                    wanted = np.maximum(np.full(n, leg.volume) + self._change(z, leg.changes), 0.0)
                    for draw in burning.leg(leg, wanted * lighter if by_mass else wanted, go_on=True):
                        along.extend(spans(model, zero, draw, rho, offs, sides))
                    held.append(dict(zip([tank.name for tank in tanks], burning.volumes, strict=True)))
            masses[{"taxi": "takeoff", "trip": "landing"}.get(stage, "")] = mass + rho * np.sum(
                burning.volumes, axis=0
            )
        masses["zero fuel"] = mass
        loads: dict[str, list[Some]] = {}
        for station in plan.loading.stations:
            loads[station.station] = [
                value + (u * z[self.index[label]] if u else 0.0) for label, value, u in station.masses
            ]
        rows = [np.broadcast_to(self._aboard(limit, loads, held, rho), (n,)) for limit in self.limits]
        rows += [
            limit.limit - masses[state.name]
            for state in plan.states
            for limit in state.limits
            if limit.id == GREATEST
        ]
        rows.append(mass - plan.envelope.least_mass)
        watched = self._watches(n)
        for watch in watched:
            if watch.shift is not None:  # what is unsure about a moment change acts all through the air
                watch.off = sum(
                    (effect.moment * z[self.index[effect.cause]] for effect in watch.shift.effects), start=0.0
                )
        return Flown(zero, along, rows, watched)

    def _aboard(
        self, limit: Limit, loads: dict[str, list[Some]], held: Sequence[dict[str, Array]], rho: Some
    ) -> Some:
        """The margin of a limit of the register; along the burn the least of where a leg begins or ends."""
        if limit.place == "load":
            return limit.margin(limit.of_load(loads))
        margins = [
            limit.margin(limit.of_fuel(volumes, rho))
            for volumes in (held if limit.place == "burn" else held[:1])
        ]
        return np.asarray(np.minimum.reduce(margins))

    def _without_usable(self, watch: Watch, zero: tuple[Array, Array, Array | None]) -> Array:
        """The margin without usable fuel, which counts even where there was none to burn."""
        mass, moment, side = zero
        sign = 1.0 if watch.upper else -1.0
        if watch.axis == "lateral":
            assert side is not None  # a lateral limit is watched only where there is one
            return np.asarray(sign * (watch.pieces[0].q - side / mass))
        if watch.shift is not None:
            return np.full(len(mass), np.inf)
        return np.asarray(sign * (self.edges[watch.group].at(mass) - moment / mass))

    def _in_tank(self, z: Array, each: TankFuel) -> Some:
        """What the draws do to the fuel in a tank [m3]; a dip is read again on its stick, whose table may
        bend.
        """
        name = each.tank.name
        if each.reading is None or each.stick is None or not each.reading[1]:
            return self._change(z, each.changes)
        dip, u = each.reading
        rest = {cause: change for cause, change in each.changes.items() if cause != fuel_in(name)}
        marks, volumes = zip(*each.stick.points, strict=True)
        read = np.interp(dip + u * z[self.index[fuel_in(name)]], marks, volumes) - np.interp(
            dip, marks, volumes
        )
        return np.asarray(read + self._change(z, rest))

    def _change(self, z: Array, changes: Changes) -> Some:
        """What the draws do to a volume [m3], but for the density."""
        return sum(
            (change * z[self.index[cause]] for cause, change in changes.items() if cause != FUEL_DENSITY),
            start=0.0,
        )

    def _products(self) -> list[tuple[int, int, int, float]]:
        """Pairs of inputs whose product matters (a mass and its own arm, both unsure), and the row it
        changes: 1 moment, 2 lateral moment.
        """
        products = self.plan.loading.products
        return [
            (2 if each.across else 1, self.index[each.first], self.index[each.second], each.change)
            for each in products
        ]

    def without_fuel(self, z: Array) -> Array:
        """Mass, moment, lateral moment without usable fuel, shape (3, n)."""
        rows: Array = self.linear @ z
        rows += self.base[:, None]
        for row, first, second, product in self.products:
            rows[row] += product * z[first] * z[second]
        return rows

    def density(self, z: Array) -> Array | float:
        """Density of the fuel [kg/m3] for every draw; one figure where it is exact."""
        rho = self.plan.density
        return rho.density + rho.u * z[self.index[FUEL_DENSITY]] if rho.u else rho.density
