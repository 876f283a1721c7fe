"""From a profile and a flight's load to items on arms, with what is sure about each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from planner.flight.fuel import FuelTank, interpolate, marginal_arm
from planner.quantities.effects import (
    FUEL_DENSITY,
    Effect,
    seat_label,
    seat_labels,
    tank_lateral_arm,
    unusable_in,
)
from planner.quantities.moments import Item
from planner.quantities.units import POUND, US_GALLON, Quantity
from planner.records.aircraft.record import Aircraft, Station

# Used only where a basic empty mass leaves the oil out: 7.5 lb per US gallon, [faa-h-8083-30] ch. 4.
OIL_DENSITY: Final = 7.5 * POUND / US_GALLON  # kg/m3


@dataclass(frozen=True, slots=True)
class StationLoad:
    """The load on one station: every mass as (name of its cause of uncertainty, mass [kg], u [kg]), seat by
    seat.
    """

    station: str
    masses: tuple[tuple[str, float, float], ...]

    @property
    def mass(self) -> float:
        """All of it [kg]."""
        return math.fsum(mass for _, mass, _ in self.masses)


@dataclass(frozen=True, slots=True)
class Loading:
    """Everything aboard but usable fuel: `items` (basic empty mass first), the effects of their
    uncertainties, station loads.
    """

    items: tuple[Item, ...]
    effects: tuple[Effect, ...]
    stations: tuple[StationLoad, ...]


def lateral_arm(station: Station, seat: int, masses: int) -> tuple[float, float]:
    """The lateral arm [m] of one mass (seat from 0, of so many `masses`) and its u; a single figure for
    several seats sits at their mean.

    Source: [common-practice].
    """
    if station.lateral_arm is not None:
        return station.lateral_arm.value, station.lateral_arm.u
    arms = station.lateral_arms
    if not arms:
        return 0.0, 0.0
    if masses > 1 or len(arms) == 1:
        return arms[seat].value, arms[seat].u
    return sum(arm.value for arm in arms) / len(arms), math.hypot(*(arm.u for arm in arms)) / len(arms)


def _basic_empty(aircraft: Aircraft) -> tuple[Item, list[Effect]]:
    empty = aircraft.basic_empty
    mass, arm, lateral = empty.mass.value, empty.arm_value(), empty.lateral_arm.value
    effects = []
    if empty.mass.u:
        # A stated arm is independent of the mass, so the moment moves with it; a stated moment is not
        # touched.
        moment = empty.mass.u * arm if empty.arm is not None else 0.0
        effects.append(Effect("basic empty mass", empty.mass.u, moment, empty.mass.u * lateral))
    if empty.arm is not None and empty.arm.u:
        effects.append(Effect("basic empty arm", 0.0, mass * empty.arm.u))
    if empty.moment is not None and empty.moment.u:
        effects.append(Effect("basic empty moment", 0.0, empty.moment.u))
    if empty.lateral_arm.u:
        effects.append(Effect("basic empty lateral arm", 0.0, 0.0, mass * empty.lateral_arm.u))
    return Item("basic empty mass", mass, arm, lateral), effects


def _fluids(aircraft: Aircraft, density: float, density_u: float) -> tuple[list[Item], list[Effect]]:
    """Oil and unusable fuel, where the basic empty mass does not include them."""
    items, effects = [], []
    oil = aircraft.oil
    if "full oil" not in aircraft.basic_empty.includes and oil is not None:
        mass = oil.volume.value * OIL_DENSITY
        items.append(Item("oil", mass, oil.arm.value))
        if oil.volume.u:
            effects.append(
                Effect("oil", oil.volume.u * OIL_DENSITY, oil.volume.u * OIL_DENSITY * oil.arm.value)
            )
        if oil.arm.u:
            effects.append(Effect("oil arm", 0.0, mass * oil.arm.u))
    if "unusable fuel" not in aircraft.basic_empty.includes:
        for name, tank in aircraft.tanks.items():
            volume, lateral = tank.unusable.value, tank.lateral_arm.value
            arm = interpolate(tank.arm_points(), volume)
            items.append(Item(f"unusable fuel {name}", volume * density, arm, lateral))
            if density_u and volume:
                effects.append(
                    Effect(
                        FUEL_DENSITY,
                        volume * density_u,
                        volume * density_u * arm,
                        volume * density_u * lateral,
                    )
                )
            shape = FuelTank(
                name=name,
                capacity=tank.capacity.value,
                unusable=0.0,
                arm_points=tank.arm_points(),
                lateral_arm=lateral,
                arm_us=tank.arm_us(),
            )
            effects += [Effect(cause, 0.0, density * change) for cause, change in shape.arm_effects(volume)]
            if tank.lateral_arm.u and volume:
                effects.append(
                    Effect(tank_lateral_arm(name), 0.0, 0.0, density * volume * tank.lateral_arm.u)
                )
            if tank.unusable.u:
                mass = tank.unusable.u * density
                # Along a table the next drop lies where the table's slope puts it, not at the mean arm of
                # what is there.
                effects.append(
                    Effect(
                        unusable_in(name),
                        mass,
                        mass * marginal_arm(tank.arm_points(), volume, tank.capacity.value),
                        mass * lateral,
                    )
                )
    return items, effects


def load_aircraft(
    aircraft: Aircraft, load: dict[str, tuple[Quantity, ...]], density: float, density_u: float = 0.0
) -> Loading:
    """Items and station loads of a flight.

    Each mass given for a station becomes an item at the station's arm, seat by seat where several are given.

    Parameters: `aircraft`; `load` station -> masses [kg]; `density` of the fuel and its u [kg/m3], for
    unusable fuel that the basic empty mass leaves out. Returns a Loading.
    Raises: nothing; the load has passed the checks of `planner.records.aircraft.checks`.
    Source: [common-practice] computational method; [faa-h-8083-1b] ch. 5.
    """
    empty, effects = _basic_empty(aircraft)
    fluids, unsure = _fluids(aircraft, density, density_u)
    items, stations = [empty, *fluids], []
    effects += unsure
    for name, masses in load.items():
        station = aircraft.stations[name]
        for seat, mass in enumerate(masses):
            label = seat_label(name, seat, len(masses))
            lateral, u_lateral = lateral_arm(station, seat, len(masses))
            items.append(Item(label, mass.value, station.arm.value, lateral))
            if mass.u:
                effects.append(Effect(label, mass.u, mass.u * station.arm.value, mass.u * lateral))
            if u_lateral and mass.value:
                effects.append(
                    Effect(
                        f"{label if station.lateral_arms else name} lateral arm",
                        0.0,
                        0.0,
                        mass.value * u_lateral,
                    )
                )
        total = sum(mass.value for mass in masses)
        if station.arm.u and total:
            effects.append(Effect(f"{name} arm", 0.0, total * station.arm.u))
        labels = seat_labels(name, len(masses))
        stations.append(
            StationLoad(
                name, tuple((label, mass.value, mass.u) for label, mass in zip(labels, masses, strict=True))
            )
        )
    return Loading(tuple(items), tuple(effects), tuple(stations))


@dataclass(frozen=True, slots=True)
class Variant:
    """The burn with some massless moment changes: their names, their sum [kg.m], their effects, and the side
    they can only help (or "").
    """

    names: tuple[str, ...]
    moment: float
    effects: tuple[Effect, ...]
    only: str = ""

    @property
    def suffix(self) -> str:
        """As it stands behind the name of a limit."""
        return f" ({' + '.join(self.names)})" if self.names else ""


def variants(aircraft: Aircraft) -> tuple[Variant, ...]:
    """The moment changes to look at in the air: none, each alone, and the worst that can hold together
    towards either side.

    The worst is the sum of the positive, or of the negative ones; of changes that exclude each other the
    greatest counts.
    Source: [common-practice]: moment changes are independent unless the profile says so.
    """
    changes = aircraft.moment_changes

    def of(names: Sequence[str], only: str = "") -> Variant:
        effects = tuple(Effect(name, 0.0, changes[name].u) for name in names if changes[name].u)
        return Variant(tuple(names), math.fsum(changes[name].value for name in names), effects, only)

    found = [of(()), *(of([name]) for name in changes)]
    for side, sign in (("forward limit", -1.0), ("aft limit", 1.0)):
        together = [name for name in changes if sign * changes[name].value > 0]
        for group in aircraft.exclusive_moment_changes:
            rivals = [name for name in together if name in group]
            best = max(rivals, key=lambda name: sign * changes[name].value, default="")
            together = [name for name in together if name not in rivals or name == best]
        if len(together) > 1:
            found.append(of(together, side))
    return tuple(found)
