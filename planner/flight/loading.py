"""From a profile and a flight's load to items on arms, with what is sure about each."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final, Literal, TypeAlias

from planner.flight.fuel import FuelTank, Leg, burn_down
from planner.flight.limits import Group
from planner.quantities.effects import FUEL_DENSITY, Effect, seat_labels, tank_lateral_arm, unusable_in
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item
from planner.quantities.units import POUND, US_GALLON, Quantity
from planner.records.aircraft.mass_record import BasicEmpty
from planner.records.aircraft.record import Aircraft, Station

# Used only where a basic empty mass leaves the oil out: 7.5 lb per US gallon, [faa-h-8083-30] ch. 4.
OIL_DENSITY: Final = 7.5 * POUND / US_GALLON  # kg/m3


# Station -> masses [kg] and their u, seat by seat.
Masses: TypeAlias = Mapping[str, Sequence[tuple[float, float]]]


@frozen(kw_only=True)
class StationArms:
    """Where the load of a station sits: `arm` and its u [m], and `across` lateral arms with u [m], one per
    seat if `by_seat`.
    """

    station: str
    arm: float
    arm_u: float = 0.0
    across: tuple[tuple[float, float], ...] = ()
    by_seat: bool = False

    def lateral(self, seat: int, masses: int) -> tuple[float, float]:
        """The lateral arm [m] of one mass (seat from 0, of so many `masses`) and its u; one figure for
        several seats sits at their mean.

        Source: [common-practice].
        """
        if not self.by_seat:
            return self.across[0] if self.across else (0.0, 0.0)
        if masses > 1 or len(self.across) == 1:
            return self.across[seat]
        return sum(arm for arm, _ in self.across) / len(self.across), math.hypot(
            *(u for _, u in self.across)
        ) / len(self.across)

    def side_cause(self, label: str) -> str:
        """The name of the lateral arm of one mass."""
        return f"{label if self.by_seat else self.station} lateral arm"


@frozen
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


@frozen
class UnsureProduct:
    """Two unsure factors of one moment, a mass and its own arm: `change` [kg.m] for one u of each, of the
    lateral moment if `across`.
    """

    first: str
    second: str
    change: float
    across: bool = False


@frozen
class Loading:
    """Everything aboard but usable fuel: `items` (basic empty mass first), the effects of their
    uncertainties, station loads, products.
    """

    items: tuple[Item, ...]
    effects: tuple[Effect, ...]
    stations: tuple[StationLoad, ...] = ()
    products: tuple[UnsureProduct, ...] = ()


def tanks_of(aircraft: Aircraft) -> tuple[FuelTank, ...]:
    """The tanks of a profile in SI, with what is unsure about each, in its order."""
    return tuple(
        FuelTank(
            name=name,
            capacity=tank.capacity.value,
            unusable=tank.unusable.value,
            arm_points=tank.arm_points(),
            lateral_arm=tank.lateral_arm.value,
            arm_us=tank.arm_us(),
            lateral_u=tank.lateral_arm.u,
            unusable_u=tank.unusable.u,
        )
        for name, tank in aircraft.tanks.items()
    )


def burnt_off(aircraft: Aircraft, volumes: Sequence[float], burnt: float) -> tuple[float, ...]:
    """What is left in every tank [m3] of these volumes by the feed order, once so much of them is burnt [m3].
    Source: as `planner.flight.fuel.burn_down`.
    """
    draws, _ = burn_down([*aircraft.tanks], volumes, aircraft.feed_order(), [Leg("burn", "trip", burnt, 0.0)])
    return draws[-1].end if draws else tuple(volumes)


def arms_of(aircraft: Aircraft) -> dict[str, StationArms]:
    """Where the load of every station sits, by its name."""

    def of(name: str, station: Station) -> StationArms:
        across = station.lateral_arms if station.lateral_arm is None else (station.lateral_arm,)
        return StationArms(
            station=name,
            arm=station.arm.value,
            arm_u=station.arm.u,
            across=tuple((arm.value, arm.u) for arm in across),
            by_seat=bool(station.lateral_arms),
        )

    return {name: of(name, station) for name, station in aircraft.stations.items()}


def basic_empty(record: BasicEmpty) -> Item:
    """A mass record as an item."""
    return Item("basic empty mass", record.mass.value, record.arm_value(), record.lateral_arm.value)


def record_effects(record: BasicEmpty) -> tuple[Effect, ...]:
    """What is unsure about a mass record. A stated arm is independent of the mass, so the moment moves with
    it; a stated moment is not touched. Source: [jcgm-100] 5.1.2.
    """
    mass, side = record.mass, record.lateral_arm
    moment = mass.u * record.arm_value() if record.arm is not None else 0.0
    found = [Effect("basic empty mass", mass.u, moment, mass.u * side.value)]
    if record.arm is not None:
        found.append(Effect("basic empty arm", 0.0, mass.value * record.arm.u))
    elif record.moment is not None:
        found.append(Effect("basic empty moment", 0.0, record.moment.u))
    found.append(Effect("basic empty lateral arm", 0.0, 0.0, mass.value * side.u))
    return tuple(each for each in found if each.mass or each.moment or each.lateral_moment)


def _fluids(aircraft: Aircraft, density: float, density_u: float) -> tuple[list[Item], list[Effect]]:
    """Oil and unusable fuel, where the basic empty mass does not include them."""
    items, effects = [], []
    oil = aircraft.oil
    if "full oil" not in aircraft.basic_empty.includes and oil is not None:
        mass = oil.volume.value * OIL_DENSITY
        items.append(Item("oil", mass, oil.arm.value))
        if off := oil.volume.u * OIL_DENSITY:
            effects.append(Effect("oil", off, off * oil.arm.value))
        if oil.arm.u:
            effects.append(Effect("oil arm", 0.0, mass * oil.arm.u))
    if "unusable fuel" not in aircraft.basic_empty.includes:
        for tank in tanks_of(aircraft):
            # All of it counts from the first drop, so that to the tank nothing is unusable.
            shape, volume = replace(tank, unusable=0.0, unusable_u=0.0), tank.unusable
            arm, lateral = tank.arm(volume), tank.lateral_arm
            items.append(Item(f"unusable fuel {tank.name}", volume * density, arm, lateral))
            if off := volume * density_u:
                effects.append(Effect(FUEL_DENSITY, off, off * arm, off * lateral))
            effects += [Effect(cause, 0.0, density * change) for cause, change in shape.arm_effects(volume)]
            if off := density * volume * tank.lateral_u:
                effects.append(Effect(tank_lateral_arm(tank.name), 0.0, 0.0, off))
            if off := tank.unusable_u * density:
                # Along a table the next drop lies where the table's slope puts it, not at the mean arm of
                # what is there.
                moment = off * shape.marginal_arm(volume)
                effects.append(Effect(unusable_in(tank.name), off, moment, off * lateral))
    return items, effects


def empty_aircraft(aircraft: Aircraft, density: float, density_u: float = 0.0) -> Loading:
    """The aircraft with nobody and nothing in it: its basic empty mass, and oil and unusable fuel where that
    leaves them out.

    Parameters: `aircraft`; `density` of the fuel and its u [kg/m3]. Source: the profile; [common-practice].
    """
    record = aircraft.basic_empty
    fluids, unsure = _fluids(aircraft, density, density_u)
    products, mass = [], "basic empty mass"
    if record.arm is not None and (off := record.mass.u * record.arm.u):
        products.append(UnsureProduct(mass, "basic empty arm", off))
    if off := record.mass.u * record.lateral_arm.u:
        products.append(UnsureProduct(mass, "basic empty lateral arm", off, across=True))
    effects = (*record_effects(record), *unsure)
    return Loading((basic_empty(record), *fluids), effects, products=tuple(products))


def masses_of(load: Mapping[str, Sequence[Quantity]]) -> Masses:
    """The masses of a flight's load in SI."""
    return {name: tuple((mass.value, mass.u) for mass in masses) for name, masses in load.items()}


def loaded(empty: Loading, arms: Mapping[str, StationArms], load: Masses) -> Loading:
    """The empty aircraft with its load.

    Each mass given for a station becomes an item at the station's arm, seat by seat where several are given.

    Parameters: `empty`, without stations; `arms` by station; `load`, its stations all known. Returns a
    Loading.
    Source: [common-practice] computational method; [faa-h-8083-1b] ch. 5.
    """
    items, effects, products, stations = list(empty.items), list(empty.effects), list(empty.products), []
    for name, masses in load.items():
        place, labels = arms[name], seat_labels(name, len(masses))
        for seat, (label, (mass, u)) in enumerate(zip(labels, masses, strict=True)):
            lateral, u_lateral = place.lateral(seat, len(masses))
            items.append(Item(label, mass, place.arm, lateral))
            if u:
                effects.append(Effect(label, u, u * place.arm, u * lateral))
            if u_lateral and mass:
                effects.append(Effect(place.side_cause(label), 0.0, 0.0, mass * u_lateral))
            if u and place.arm_u:
                products.append(UnsureProduct(label, f"{name} arm", place.arm_u * u))
            if u and u_lateral:
                products.append(UnsureProduct(label, place.side_cause(label), u_lateral * u, across=True))
        total = sum(mass for mass, _ in masses)
        if place.arm_u and total:
            effects.append(Effect(f"{name} arm", 0.0, total * place.arm_u))
        named = ((label, mass, u) for label, (mass, u) in zip(labels, masses, strict=True))
        stations.append(StationLoad(name, tuple(named)))
    return Loading(tuple(items), tuple(effects), tuple(stations), tuple(products))


@frozen
class Variant:
    """The burn with some massless moment changes: their names, their sum [kg.m], their effects, and the one
    group of limits they are checked for (or "").
    """

    names: tuple[str, ...]
    moment: float
    effects: tuple[Effect, ...]
    only: Group | Literal[""] = ""

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

    def of(names: Sequence[str], only: Group | Literal[""] = "") -> Variant:
        effects = tuple(Effect(name, 0.0, changes[name].u) for name in names if changes[name].u)
        return Variant(tuple(names), math.fsum(changes[name].value for name in names), effects, only)

    found = [of(()), *(of([name]) for name in changes)]
    sides: tuple[tuple[Group, float], ...] = (("forward", -1.0), ("aft", 1.0))
    for side, sign in sides:
        together = [name for name in changes if sign * changes[name].value > 0]
        for group in aircraft.exclusive_moment_changes:
            rivals = [name for name in together if name in group]
            best = max(rivals, key=lambda name: sign * changes[name].value, default="")
            together = [name for name in together if name not in rivals or name == best]
        if len(together) > 1:
            found.append(of(together, side))
    return tuple(found)
