"""An aircraft as forms: mass, moments and what every unsure figure does to them, in the load, the density and
the fuel left.

Every one is `constant + sum of share x mass on a seat + density x (at_density + quadratic in the fuel left)`.
They are read off the engine's own loading and tanks, not modelled anew: a form is straight in each seat and
in the density, so two points fix it, and between two bends of the tanks it is quadratic in the fuel, so
three do.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.facts.grades import GRADES
from planner.flight.burn import stretches
from planner.flight.fuel import EMPTY, Leg, burn_down
from planner.flight.limits import STATES, Limit, register
from planner.flight.loading import Loading, Variant, arms_of, empty_aircraft, loaded, tanks_of, variants
from planner.quantities.effects import Effect, steps, tank_lateral_arm
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total, total
from planner.records.aircraft.record import Aircraft

Array: TypeAlias = NDArray[np.float64]
_INSIDE: Final = (0.01, 0.5, 1.0)  # where a quadratic is read off a segment: at its very start another holds


@frozen(kw_only=True)
class BoxForm:
    """One figure: `constant`, `seats` its share of each mass, `at_density` per kg/m3, and `fuel`, for every
    segment of the fuel path the quadratic (1, v, v2) that the density multiplies too, v from where it begins.
    """

    constant: float
    seats: Array
    at_density: float
    fuel: Array


@frozen(kw_only=True)
class Cause:
    """What one standard uncertainty of one input does to mass [kg], moment and lateral moment [kg.m]."""

    mass: BoxForm
    moment: BoxForm
    lateral: BoxForm


@frozen(kw_only=True)
class FormRow:
    """A station on the card: its `name`, the number of its first seat among all, how many it has, the least
    mass on each [kg] and the greatest on any [kg].
    """

    name: str
    first: int
    seats: int
    least: tuple[float, ...]
    heaviest: float = math.inf


@frozen(kw_only=True)
class BoxForms:
    """An aircraft and category compiled for a card.

    `rows` are all stations; `cuts` the usable fuel [m3] where the path bends, from nothing to full, and
    `levels` the volumes per tank there; `density` the lowest and highest [kg/m3]; `causes` of uncertainty;
    `variants` moment changes; `limits` the register.
    """

    aircraft: Aircraft
    category: str
    rows: tuple[FormRow, ...]
    cuts: tuple[float, ...]
    levels: tuple[tuple[float, ...], ...]
    density: tuple[float, float]
    mass: BoxForm
    moment: BoxForm
    lateral: BoxForm
    causes: tuple[Cause, ...]
    variants: tuple[Variant, ...]
    limits: tuple[Limit, ...]

    @property
    def seats(self) -> int:
        """How many masses there are on all stations."""
        return sum(row.seats for row in self.rows)

    def at(self, limit: Limit) -> bool:
        """Whether a limit is asked of states or of the burn: of mass or CG."""
        return limit.quantity in ("mass", "cg", "lateral") and limit.place in (*STATES, "burn")

    def volumes(self, fuel: float) -> tuple[float, ...]:
        """Usable fuel per tank [m3] where that much is left on the path, as it is filled and burnt.

        Range: nothing to full. Source: [common-practice] the profile's feed order.
        """
        return tuple(
            float(np.interp(fuel, self.cuts, [level[tank] for level in self.levels]))
            for tank in range(len(self.levels[0]))
        )


def compile_forms(
    aircraft: Aircraft, category: str, grades: Sequence[str], heaviest: float, pilot: float
) -> BoxForms:
    """The forms of an aircraft.

    Fuel lies in the tanks as the feed order leaves it on the way from full to empty: what is burnt last is
    filled first. So every state of a burn is again such a filling, and one figure says them all.
    Parameters: `category`, a name in the profile; `grades`, ids of fuel grades, whose bands together are the
    density's; mass of the `heaviest` person and least of
    the `pilot`, who sits where the profile says [kg]. Returns Forms in SI.
    Range: volumes of the tanks and masses of zero or more. Source: [faa-h-8083-1b] ch. 5 computational
    method; [jcgm-100] 5.1.2.
    """
    tanks = tanks_of(aircraft)
    full = tuple(tank.usable_capacity for tank in tanks)
    draws, _ = burn_down(
        [tank.name for tank in tanks], full, aircraft.feed_order(), [Leg("all of it", "reserve", 0.0, 0.0)]
    )
    # At a density of one, mass is volume: the engine's stretches are then the path itself.
    path = stretches(Total(0.0, 0.0, 0.0), tanks, 1.0, draws)
    levels = [path[-1].draw.end, *(each.volumes for each in reversed(path))]
    levels[0] = tuple(0.0 for _ in tanks)
    levels = [
        level
        for at, level in enumerate(levels)
        if not at or math.fsum(level) - math.fsum(levels[at - 1]) > EMPTY
    ]
    cuts = tuple(math.fsum(level) for level in levels)
    bands = [GRADES[grade].band for grade in grades]
    rows, first, seat = [], 0, aircraft.pilot_seat()
    for name, station in aircraft.stations.items():
        least = [0.0] * max(station.seats, 1)
        if station.min is not None:
            least[0] = station.min.value
        if seat is not None and seat[0] == name:
            least[seat[1]] = max(least[seat[1]], pilot)
        rows.append(
            FormRow(
                name=name,
                first=first,
                seats=max(station.seats, 1),
                least=tuple(least),
                heaviest=heaviest if station.seats else math.inf,
            )
        )
        first += rows[-1].seats
    read = _Reader(aircraft, rows, cuts, levels)
    return BoxForms(
        aircraft=aircraft,
        category=category,
        rows=tuple(rows),
        cuts=cuts,
        levels=tuple(levels),
        density=(min(low for low, _ in bands), max(high for _, high in bands)),
        mass=read.form(lambda here: total(here.items).mass, math.fsum),
        moment=read.form(
            lambda here: total(here.items).moment,
            lambda v: math.fsum(tank.volume_moment(each) for tank, each in zip(tanks, v, strict=True)),
        ),
        lateral=read.form(
            lambda here: total(here.items).lateral_moment,
            lambda v: math.fsum(tank.lateral_arm * each for tank, each in zip(tanks, v, strict=True)),
        ),
        causes=read.causes(),
        variants=variants(aircraft),
        limits=register(aircraft, category),
    )


class _Reader:
    """Reads forms off the engine at a few points each."""

    def __init__(
        self,
        aircraft: Aircraft,
        rows: Sequence[FormRow],
        cuts: Sequence[float],
        levels: Sequence[Sequence[float]],
    ) -> None:
        self.tanks, self.cuts, self.levels = tanks_of(aircraft), cuts, levels
        arms = arms_of(aircraft)
        self.bare, self.dense = empty_aircraft(aircraft, 0.0), empty_aircraft(aircraft, 1.0)
        self.each: list[Loading] = []
        for row in rows:
            for seat in range(row.seats):
                masses = tuple((float(seat == other), 0.0) for other in range(row.seats))
                self.each.append(loaded(self.bare, arms, {row.name: masses}))

    def form(self, of: Callable[[Loading], float], fuel: Callable[[Sequence[float]], float]) -> BoxForm:
        """The form of a figure of the loading, and of the fuel at a density of one."""
        constant = of(self.bare)
        return BoxForm(
            constant=constant,
            seats=np.array([of(one) - constant for one in self.each]),
            at_density=of(self.dense) - constant,
            fuel=self.quadratics(fuel),
        )

    def quadratics(self, of: Callable[[Sequence[float]], float]) -> Array:
        """(1, v, v2) of a figure of the volumes on every segment of the path."""
        found = []
        for segment in range(len(self.cuts) - 1):
            low, high = self.cuts[segment], self.cuts[segment + 1]
            first, last = np.array(self.levels[segment]), np.array(self.levels[segment + 1])
            at = np.array([(high - low) * part for part in _INSIDE])
            values = [of(tuple(first + (last - first) * part)) for part in _INSIDE]
            found.append(np.linalg.solve(np.vander(at, 3, increasing=True), values))
        return np.array(found)

    def causes(self) -> tuple[Cause, ...]:
        """Every input that is unsure, with all it does under its one name."""

        bare, dense, *each = (steps(one.effects) for one in (self.bare, self.dense, *self.each))
        of_fuel = {cause for volumes in self.levels for cause in steps(self.fuel_effects(volumes))}
        names = dict.fromkeys([*bare, *dense, *(name for one in each for name in one), *sorted(of_fuel)])
        nothing = (0.0, 0.0, 0.0)

        def form(name: str, part: int) -> BoxForm:
            constant = bare.get(name, nothing)[part]
            fuel = np.zeros((len(self.cuts) - 1, 3))
            if name in of_fuel:
                fuel = self.quadratics(lambda v: steps(self.fuel_effects(v)).get(name, nothing)[part])
            return BoxForm(
                constant=constant,
                seats=np.array([one.get(name, nothing)[part] - constant for one in each]),
                at_density=dense.get(name, nothing)[part] - constant,
                fuel=fuel,
            )

        return tuple(Cause(mass=form(name, 0), moment=form(name, 1), lateral=form(name, 2)) for name in names)

    def fuel_effects(self, volumes: Sequence[float]) -> Iterable[Effect]:
        """What is unsure about where usable fuel of a density of one lies."""
        for tank, volume in zip(self.tanks, volumes, strict=True):
            if volume > 0.0:
                yield from (Effect(cause, 0.0, change) for cause, change in tank.arm_effects(volume))
                if tank.lateral_u:
                    yield Effect(tank_lateral_arm(tank.name), 0.0, 0.0, volume * tank.lateral_u)
