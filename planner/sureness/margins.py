"""Exact margins of many draws of a plan's inputs at once: every draw is flown through the whole burn, as a
sweep flies its loadings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.flight.burn import Stretch, nearest, shifted, stretches
from planner.flight.doubt import places
from planner.flight.fuel import Changes, FuelTank, burn_down
from planner.flight.limits import GREATEST, Limit
from planner.flight.loading import Variant
from planner.flight.model import TankFuel
from planner.plan.results import Plan
from planner.quantities.effects import FUEL_DENSITY, fuel_in, tank_lateral_arm, unusable_in
from planner.quantities.frozen import frozen
from planner.quantities.many import Some
from planner.quantities.moments import Total
from planner.sweep.block.edges import EdgeRows
from planner.sweep.sweeping import compile_sweep

Array: TypeAlias = NDArray[np.float64]


# A limit asked all along the burn, with the moment changes and the stretches it is asked of.
Watched: TypeAlias = tuple[Variant, Limit, Sequence[Stretch]]


@frozen
class Flown:
    """A block of draws through the whole burn: mass and moments without usable fuel; `rows`, the margins of
    the limits that are not of the CG, in the order of `DrawnMargins.names`; the CG limits after them,
    `watched`.
    """

    zero: Total
    rows: list[Array]
    watched: list[Watched]


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
        arms += [unusable_in(each.tank.name) for each in plan.fuel.tanks if each.tank.lies_higher]
        density = [FUEL_DENSITY] if plan.density.u else []
        products = plan.loading.products  # of a load of nothing the arm is unsure in these alone
        factors = [cause for each in products for cause in (each.first, each.second)]
        self.causes = list(
            dict.fromkeys([*(effect.cause for effect in effects), *density, *fuel, *arms, *factors])
        )
        self.index = {cause: i for i, cause in enumerate(self.causes)}
        asked = {limit.id for limit in plan.load_limits}
        self.limits = [limit for limit in plan.model.aboard() if limit.id in asked]
        zero = plan.state("zero fuel").total
        self.base = np.array([zero.mass, zero.moment, zero.lateral_moment])
        self.linear = np.zeros((3, len(self.causes)))
        for effect in plan.loading.effects:
            self.linear[:, self.index[effect.cause]] += (effect.mass, effect.moment, effect.lateral_moment)
        # Pairs of inputs whose product matters, behind the row it changes: 1 moment, 2 lateral moment.
        self.products = [
            (2 if each.across else 1, self.index[each.first], self.index[each.second], each.change)
            for each in products
        ]
        self.edges = {
            "forward": EdgeRows(plan.envelope.forward, False),
            "aft": EdgeRows(plan.envelope.aft, True),
        }
        self.names: tuple[str, ...] = (
            *(limit.name for limit in self.limits),
            *(limit.name for state in plan.states for limit in state.limits if limit.id == GREATEST),
            "least mass of the envelope",
            *(bound.name + variant.suffix for variant, bound, _ in self._watched(())),
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
                flown.rows[row] if row < first else self.least(flown.watched[row - first], flown)
                for row in picked
            ]
        )

    def _watched(self, path: Sequence[Stretch]) -> list[Watched]:
        return sorted(self.plan.model.asked_along(path), key=lambda each: each[1].axis == "lateral")

    def least(self, watched: Watched, flown: Flown) -> Array:
        """The least margin [m] of a CG limit over the whole burn, and without usable fuel, of every draw."""
        variant, bound, path = watched
        least, zero = nearest(path, bound)[0], flown.zero
        mass, moment, lateral = (np.asarray(each) for each in (zero.mass, zero.moment, zero.lateral_moment))
        if variant.names:  # without usable fuel no moment change is asked for
            return np.broadcast_to(least, mass.shape)
        sign = 1.0 if bound.upper else -1.0
        if bound.axis == "lateral":
            return np.asarray(np.minimum(least, sign * (bound.pieces[0].q - lateral / mass)))
        return np.asarray(np.minimum(least, sign * (self.edges[bound.group].at(mass) - moment / mass)))

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
        zero = Total(mass, moment, side)
        tanks = [self._drawn(z, each.tank) for each in plan.fuel.tanks]
        offs = [
            [(tank.only(at), u * z[self.index[tank.arm_cause(at)]]) for at, u in enumerate(tank.arm_us) if u]
            for tank in tanks
        ]
        sides = [
            tank.lateral_arm
            + (tank.lateral_u * z[self.index[tank_lateral_arm(tank.name)]] if tank.lateral_u else 0.0)
            for tank in tanks
        ]
        legs = []
        for leg in model.legs:
            wanted = np.maximum(np.full(n, leg.volume) + self._change(z, leg.changes), 0.0)
            by_mass = FUEL_DENSITY in leg.changes
            legs.append(replace(leg, volume=wanted * lighter if by_mass else wanted, changes={}))
        names = [tank.name for tank in tanks]
        draws, _ = burn_down(names, volumes, plan.model.order, legs, go_on=True)
        held = [dict(zip(names, each, strict=True)) for each in (volumes, *(draw.end for draw in draws))]
        masses = {
            state: mass + rho * np.sum(there, axis=0)
            for state, (there, _, _) in places((volumes, ()), draws, {}).items()
        }
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
        watched = []
        for variant, bound, path in self._watched(stretches(zero, tanks, rho, draws, 0.0, offs, sides)):
            # What is unsure about a moment change acts all through the air.
            off = sum((each.moment * z[self.index[each.cause]] for each in variant.effects), start=0.0)
            watched.append((variant, bound, shifted(path, off) if variant.effects else path))
        return Flown(zero, rows, watched)

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

    def _drawn(self, z: Array, tank: FuelTank) -> FuelTank:
        """The tank with what is unusable as drawn: on a table the usable fuel lies above it."""
        if not tank.lies_higher:
            return tank
        return replace(tank, unusable=tank.unusable + tank.unusable_u * z[self.index[unusable_in(tank.name)]])

    def _change(self, z: Array, changes: Changes) -> Some:
        """What the draws do to a volume [m3], but for the density."""
        return sum(
            (change * z[self.index[cause]] for cause, change in changes.items() if cause != FUEL_DENSITY),
            start=0.0,
        )

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
