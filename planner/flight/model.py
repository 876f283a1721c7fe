"""One flight compiled once from its two records, frozen and in SI: what every evaluator reads, and nothing
else.

One flight, a block of loadings, random draws, one quantity left open and first-order uncertainty all start
here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field

from planner.density.basis import DensityUsed
from planner.facts.rules import ReserveRule
from planner.flight.burn import Stretch, airborne, shifted
from planner.flight.fuel import EMPTY, Changes, FuelTank, Held, Off
from planner.flight.limits import Limit, Place
from planner.flight.loading import Loading, Masses, StationArms, Variant, loaded
from planner.flight.reserves import Contingency, Given, Need
from planner.quantities.effects import FAR, FUEL_DENSITY, Effect, Side, tank_lateral_arm
from planner.quantities.frozen import frozen
from planner.quantities.many import Points, Some, anywhere, greater, interpolate, summed, where
from planner.quantities.moments import Total
from planner.quantities.polygon import Envelope


@frozen
class Stick:
    """A dipstick: `points` of (reading [m], volume [m3]), of all that is in the tank (`total`) or of the
    usable part.
    """

    points: Points
    total: bool


@frozen(kw_only=True)
class TankFuel:
    """Fuel in one tank: usable `volume`, `u`, `space` to full [m3]; `mass` [kg]; `arm` [m] of it; `dip` [m]
    or why none; `origin` in words.

    `changes` is what every cause of uncertainty does to the volume [m3]: its own amount, what is unusable,
    and the density where it came by mass. `stick` is the tank's own, `reading` what it read with its u [m],
    where the volume was dipped.
    """

    tank: FuelTank
    volume: float
    u: float
    by_mass: bool
    mass: float
    arm: float
    space: float
    dip: float | str
    origin: str
    changes: Changes = field(default_factory=dict)
    stick: Stick | None = None
    reading: tuple[float, float] | None = None

    def dip_at(self, usable: float) -> float | str:
        """The stick's reading [m] for a usable volume [m3], or why there is none."""
        return dip_of(self.tank, self.stick, usable)


def dip_of(tank: FuelTank, stick: Stick | None, usable: float) -> float | str:
    """The reading [m] of a tank's stick for a usable volume [m3], or why there is none. Source: as
    `planner.flight.fuel.dip_to_volume`, the other way round.
    """
    if stick is None:
        return "no dip table"
    table = tuple((volume, reading) for reading, volume in stick.points)
    held = usable + tank.unusable if stick.total else usable
    return float(interpolate(table, held)) if table[0][0] <= held <= table[-1][0] else "off the stick"


@frozen(kw_only=True)
class Demand:
    """What a flight asks of its fuel: `needs` in the order flown, `further` ones beside them, and the
    reserves.

    `flows` by burn key; `contingency`, a share of the trip, a time [s] or an amount as `contingency_is` says;
    `own_reserve` [s] of the pilot; the `rule` set.
    """

    needs: tuple[Need, ...]
    further: tuple[Need, ...]
    flows: Mapping[str, Given]
    contingency: Given | None
    contingency_is: Contingency
    own_reserve: Given | None
    rule: ReserveRule


@frozen(kw_only=True)
class Model:
    """A flight in SI.

    `density` of the fuel; `tanks` with what is in them, fed in this `order`; the `demand` on it; the `empty`
    aircraft, the `arms` of its stations and the `masses` on them make the `loading`, and `zero_fuel` its
    total; moment changes as `variants` of the burn; every limit of the register; `envelope`, `lateral` limits
    [m]; the `chord` (leading edge, length) [m]; the greatest `landing` mass [kg] as the profile states it.
    """

    density: DensityUsed
    tanks: tuple[TankFuel, ...]
    order: tuple[tuple[str, ...], ...]
    demand: Demand
    empty: Loading
    arms: Mapping[str, StationArms]
    masses: Masses
    loading: Loading
    zero_fuel: Total
    variants: tuple[Variant, ...]
    limits: tuple[Limit, ...]
    envelope: Envelope
    lateral: tuple[float, float] | None
    chord: tuple[float, float] | None
    landing: float | None

    def at(self, place: Place) -> tuple[Limit, ...]:
        """The limits on mass and CG at one place of the flight."""
        return tuple(
            limit
            for limit in self.limits
            if limit.place == place and limit.quantity in ("mass", "cg", "lateral")
        )

    def aboard(self) -> tuple[Limit, ...]:
        """The limits on what is aboard: on loads and on fuel."""
        return tuple(limit for limit in self.limits if limit.quantity in ("load", "fuel"))

    def asked_along(self, path: Sequence[Stretch]) -> Iterator[tuple[Variant, Limit, Sequence[Stretch]]]:
        """Every limit that is asked all along a burn, with the moment changes and the stretches it is asked
        of.

        Where the profile has massless moment changes, the airborne part is checked without them, with each,
        and with the worst together.
        """
        bounds = self.at("burn")
        for variant in self.variants:
            stretches = shifted(airborne(path), variant.moment) if variant.names else path
            for bound in bounds:
                # a moment change does not move the CG sideways, and what helps needs no check of its own
                if not variant.names or (bound.axis != "lateral" and variant.only in ("", bound.group)):
                    yield variant, bound, stretches

    def loaded(self, masses: Masses) -> Loading:
        """The aircraft with other masses on its stations."""
        return loaded(self.empty, self.arms, masses)

    @property
    def unsure(self) -> bool:
        """Whether any input of the loading or the fuel carries an uncertainty."""
        tanks = any(
            each.changes or each.tank.arm_us or each.tank.unusable_u or each.tank.lateral_u
            for each in self.tanks
        )
        return bool(self.loading.effects or self.density.u or tanks)

    def total_with(self, volumes: Sequence[Some]) -> Total:
        """Mass and moments with these usable volumes [m3] in the tanks."""
        mass, moment, lateral = self.of_fuel(volumes, self.density.density)
        return Total(
            self.zero_fuel.mass + mass,
            self.zero_fuel.moment + moment,
            self.zero_fuel.lateral_moment + lateral,
        )

    @property
    def full(self) -> Held:
        """What is in the tanks before the burn."""
        return tuple(each.volume for each in self.tanks), tuple(each.changes for each in self.tanks)

    def of_fuel(self, volumes: Sequence[Some], density: Some) -> tuple[Some, Some, Some]:
        """Mass [kg], moment and lateral moment [kg.m] of usable fuel of these volumes [m3], at a density
        [kg/m3].
        """
        held = [(each.tank, volume) for each, volume in zip(self.tanks, volumes, strict=True)]
        return (
            density * summed(volumes),
            density * summed(tank.volume_moment(volume) for tank, volume in held),
            density * summed(tank.lateral_arm * volume for tank, volume in held),
        )

    def held(
        self, limit: Limit, volumes: Sequence[Some], changes: Sequence[Mapping[str, Some]]
    ) -> tuple[Some, list[Effect]]:
        """The value of a limit on fuel [kg or m3] with these usable volumes [m3] in the tanks, and the
        effects of what is unsure about it.
        """
        names, rho = [each.tank.name for each in self.tanks], self.density.density
        by_name, by_mass = dict(zip(names, volumes, strict=True)), limit.dimension == "mass"
        unsure, scale = dict(zip(names, changes, strict=True)), rho if by_mass else 1.0
        effects = [
            Effect(cause, scale * weight * change, 0.0)
            for tank, weight in limit.tanks
            for cause, change in unsure[tank].items()
        ]
        if by_mass and self.density.u:
            effects.append(
                Effect(
                    FUEL_DENSITY,
                    self.density.u * summed(weight * by_name[tank] for tank, weight in limit.tanks),
                    0.0,
                )
            )
        return limit.of_fuel(by_name, rho), effects

    def effects_with(
        self,
        volumes: Sequence[Some],
        changes: Sequence[Mapping[str, Some]],
        off: Off | None = None,
        base: Sequence[Effect] | None = None,
    ) -> tuple[Effect, ...]:
        """Effects of every input's uncertainty with these usable volumes [m3], each unsure by `changes`
        (cause -> change [m3]).

        `off` is what they are with less and with more of a cause, where the burn bends; `base` the effects of
        all but usable fuel, those of the loading where none are given. Volumes and changes are single, or
        blocks of one per loading.
        """
        rho, u_rho = self.density.density, self.density.u
        found = list(self.loading.effects if base is None else base)
        there = summed(volumes) > EMPTY  # what rounding leaves in an empty tank is not uncertain fuel
        if u_rho and anywhere(there):
            found.append(Effect(FUEL_DENSITY, *self.of_fuel(volumes, where(there, u_rho, 0.0))))
        for index, (each, volume, unsure) in enumerate(
            zip(self.tanks, volumes, changes or [{}] * len(self.tanks), strict=True)
        ):
            tank = each.tank
            causes = dict.fromkeys([*unsure, *(off or {})])
            arm = tank.marginal_arm(volume) if causes else 0.0
            for cause in causes:
                found += self._of_volume(
                    tank, volume, arm, cause, unsure.get(cause, 0.0), _turns(off, cause, index, volume)
                )
            if anywhere(volume != 0.0):
                found += [Effect(cause, 0.0, rho * change) for cause, change in tank.arm_effects(volume)]
                if tank.lateral_u:
                    found.append(Effect(tank_lateral_arm(tank.name), 0.0, 0.0, rho * volume * tank.lateral_u))
        return tuple(found)

    def _of_volume(
        self,
        tank: FuelTank,
        volume: Some,
        arm: Some,
        cause: str,
        change: Some,
        turns: tuple[Some, Some] | None,
    ) -> list[Effect]:
        """What a change of the volume in a tank [m3], put in at `arm` [m], does; for both sides where the
        burn or the tank's arm table bends within reach.
        """
        rho = self.density.density
        less, more = turns or (change, change)
        reach = FAR * greater(abs(change), greater(abs(less), abs(more)))
        bent = greater(abs(less - change), abs(more - change)) > 1e-6 * reach
        for cut in tank.breaks():
            bent = bent | (abs(volume - cut) < reach)
        if not anywhere(bent):
            mass = rho * change
            return (
                [Effect(cause, mass, mass * arm, mass * tank.lateral_arm)] if anywhere(change != 0.0) else []
            )

        def side(name: Side, step: Some, moment: Some) -> Effect:
            step, moment = where(bent, step, change), where(bent, moment, change * arm)
            return Effect(
                cause=cause,
                mass=rho * step,
                moment=rho * moment,
                lateral_moment=rho * step * tank.lateral_arm,
                side=name,
            )

        here = tank.volume_moment(volume)
        lower, upper = (
            tank.volume_moment(greater(volume + way * FAR * step, 0.0))
            for way, step in ((-1.0, less), (1.0, more))
        )
        return [
            side("at", change, change * arm),
            side("less", less, (here - lower) / FAR),
            side("more", more, (upper - here) / FAR),
        ]


def _turns(off: Off | None, cause: str, tank: int, volume: Some) -> tuple[Some, Some] | None:
    """What one of some standard uncertainties of a cause does to a tank towards less and towards more
    [m3].
    """
    if off is None or cause not in off:
        return None
    less, more = off[cause]
    return (volume - less[tank]) / FAR, (more[tank] - volume) / FAR
