"""One flight as the files state it: what is aboard, where, and what is burnt in which order. Figures as
`Reader` answers them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.facts.grades import GRADES
from planner.facts.rules import RULES
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight, Phase
from tests.oracle import petroleum
from tests.oracle.draws import Reader
from tests.oracle.tables import between

Array = NDArray[np.float64]

GROUND = "taxi"
# Oil where the profile gives a volume: 7.5 lb/USgal, FAA-H-8083-30 ch. 4.
OIL = 7.5 * 0.45359237 / 3.785411784e-3
# What the generic gasoline and jet fits are off by, share of density per kelvin: 0.1 % (leaded) and 0.2 %
# (unleaded) per 25 K. Common practice, no published source; the program's own figures, written down again.
MODEL_DOUBT = {False: 0.001 / 25.0, True: 0.002 / 25.0}
# A standard figure stands for a batch nobody measured: nearly every batch lies within the band of its grade.
BANDS_TO_U = 6.0
LITTLE = 1e-3  # of an input's u: far enough to see the slope, too little to see the bend


@dataclass(frozen=True)
class Tank:
    """One tank: usable and unusable fuel [m3], lateral arm [m], arm [m] at litres in it."""

    name: str
    usable: Any
    unusable: Any
    lateral: Any
    xs: tuple[Any, ...]
    arms: tuple[Any, ...]

    def arm(self, volume: Any) -> Any:
        """Arm of `volume` [m3] of fuel in the tank."""
        return self.arms[0] if len(self.arms) == 1 else between(volume, self.xs, self.arms)

    def moment(self, usable: Any) -> Any:
        """First moment [m4] of `usable` above the unusable fuel: all of it less what always stays."""
        return (usable + self.unusable) * self.arm(usable + self.unusable) - self.unusable * self.arm(
            self.unusable
        )


@dataclass(frozen=True)
class Burn:
    """One part of the burn: its volume [m3] per flight, the tanks named for it, and whether it is flown."""

    name: str
    kind: str
    volume: Any
    tanks: tuple[int, ...]
    airborne: bool


@dataclass
class Aloft:
    """Everything about one flight, or one per draw."""

    reader: Reader
    rho: Any
    mass: Any = 0.0  # without usable fuel [kg]
    moment: Any = 0.0  # [kg.m]
    side: Any = 0.0  # lateral moment [kg.m]
    stations: dict[str, Any] = field(default_factory=dict)
    tanks: list[Tank] = field(default_factory=list)
    burns: list[Burn] = field(default_factory=list)
    groups: tuple[tuple[int, ...], ...] = ()
    changes: dict[str, Any] = field(default_factory=dict)

    def add(self, mass: Any, arm: Any, lateral: Any) -> None:
        """One more item: mass x arm."""
        self.mass = self.mass + mass
        self.moment = self.moment + mass * arm
        self.side = self.side + mass * lateral

    def order(self, burn: Burn) -> tuple[tuple[int, ...], ...]:
        """Groups of tanks a part of the burn drains: its own first, then the feed order."""
        return (burn.tanks, *self.groups) if burn.tanks else self.groups

    def total(self, volumes: list[Any]) -> tuple[Any, Any, Any, Any]:
        """Mass, moment, lateral moment and usable fuel with `volumes` in the tanks."""
        mass, moment, side, fuel = self.mass, self.moment, self.side, 0.0
        for tank, volume in zip(self.tanks, volumes, strict=True):
            mass = mass + self.rho * volume
            moment = moment + self.rho * tank.moment(volume)
            side = side + self.rho * volume * tank.lateral
            fuel = fuel + volume
        return mass, moment, side, fuel


def density(flight: Flight, read: Reader) -> Any:
    """Density [kg/m3] of the fuel in the tanks."""
    fuel = flight.fuel
    spec, grade = fuel.density, GRADES[fuel.grade]
    if spec.fixed is not None:
        return read("density", spec.fixed)
    assert fuel.temperature is not None
    t = read("fuel temperature", fuel.temperature)
    if spec.measured is not None:
        assert spec.at is not None
        known = read("temperature of the sample", spec.at)
        rho15 = petroleum.density_15(read("density", spec.measured), known)
    elif spec.at_15C is not None:
        known, rho15 = 15.0, read("density", spec.at_15C)
    else:
        low, high = grade.band
        known, rho15 = 15.0, read.plain("batch to batch", grade.standard_density, (high - low) / BANDS_TO_U)
    doubt = read.plain("correction model", 0.0, MODEL_DOUBT[grade.unleaded])
    ethanol = read.plain("ethanol", 0.0, grade.u_ethanol_per_kelvin)
    return petroleum.density_at(rho15, t) + (rho15 * doubt + ethanol) * (t - known)


def density_u(flight: Flight) -> tuple[float, float]:
    """Density [kg/m3] and its standard uncertainty, by moving one figure at a time a little way of its own u
    both ways.
    """
    names = Reader()
    rho = float(density(flight, names))
    columns = tuple(names.names)
    if not columns:
        return rho, 0.0
    steps = LITTLE * np.concatenate([np.eye(len(columns)), -np.eye(len(columns))])
    moved = np.broadcast_to(density(flight, Reader(columns, steps)), (len(steps),))
    halves = np.abs(moved[: len(columns)] - moved[len(columns) :]) / 2.0 / LITTLE
    spec = flight.fuel.density
    for at, name in enumerate(columns):
        if name in ("density", "batch to batch") and spec.fixed is None and spec.measured is None:
            # One u of it may reach into another group of the tables, where the fuel expands otherwise: the
            # less sure side counts.
            stated = spec.at_15C
            middle = GRADES[flight.fuel.grade].standard_density if stated is None else stated.value
            low, high = GRADES[flight.fuel.grade].band
            u = (high - low) / BANDS_TO_U if stated is None else stated.u
            whole = np.zeros((2, len(columns)))
            whole[:, at] = (-1.0, 1.0)
            far = np.abs(np.asarray(density(flight, Reader(columns, whole))) - rho)
            for end, change in zip((middle - u, middle + u), far, strict=True):
                if petroleum.group(end) != petroleum.group(middle):
                    halves[at] = max(halves[at], change)
    return rho, float(np.sqrt(np.sum(halves**2)))


def in_litres(read: Reader, name: str, quantity: Quantity, rho: Any) -> Any:
    """A stated amount or flow as volume [m3, m3/s]; by mass it is divided by the density."""
    value = read(name, quantity)
    return value if quantity.dimension.startswith("volume") else value / rho


def flow_of(read: Reader, aircraft: Aircraft, phase: Phase, name: str, rho: Any) -> Any:
    """The flow [m3/s] of a phase, or None: its own, else the profile's."""
    if phase.flow is not None:
        return in_litres(read, f"{name} flow", phase.flow, rho)
    known = aircraft.burn.get(phase.phase)
    return None if known is None else in_litres(read, f"{phase.phase} flow", known, rho)


def phase_volume(read: Reader, aircraft: Aircraft, phase: Phase, name: str, rho: Any) -> Any:
    """Fuel [m3] of a phase: as stated, else time x flow."""
    if phase.fuel is not None:
        return in_litres(read, f"{name} fuel", phase.fuel, rho)
    assert phase.time is not None
    return read(f"{name} time", phase.time) * flow_of(read, aircraft, phase, name, rho)


def contents(read: Reader, aircraft: Aircraft, flight: Flight, name: str, rho: Any) -> Any:
    """Usable fuel [m3] in a tank as stated; never less than none."""
    content, tank = flight.fuel.tanks[name], aircraft.tanks[name]
    unusable = read(f"unusable {name}", tank.unusable)
    if content.usable is not None:
        usable = in_litres(read, f"fuel in {name}", content.usable, rho)
    elif content.total is not None:
        usable = read(f"fuel in {name}", content.total) - unusable
    else:
        assert content.dipstick is not None
        stick = aircraft.dipsticks[name]
        rows = [
            (read(f"dip {name} {row} cm", dip), read(f"dip {name} {row}", volume))
            for row, (dip, volume) in enumerate(stick.table)
        ]
        usable = between(
            read(f"fuel in {name}", content.dipstick),
            [dip for dip, _ in rows],
            [volume for _, volume in rows],
        )
        usable = usable - unusable if stick.reads == "total" else usable
    return np.maximum(usable, 0.0)


def dip_near_a_row(flight: Flight, aircraft: Aircraft) -> bool:
    """Whether any dip lies within its U of a row of its table: the draws reach both slopes, the planner
    counts the steeper one whole.
    """
    return any(
        content.dipstick is not None
        and any(
            abs(dip.value - content.dipstick.value) <= 2 * content.dipstick.u
            for dip, _ in aircraft.dipsticks[name].table
        )
        for name, content in flight.fuel.tanks.items()
    )


def _tank(read: Reader, aircraft: Aircraft, flight: Flight, name: str, rho: Any) -> Tank:
    tank = aircraft.tanks[name]
    if isinstance(tank.arm, Quantity):
        xs: tuple[Any, ...] = (0.0,)
        arms: tuple[Any, ...] = (read(f"arm of {name}", tank.arm),)
    else:
        xs = tuple(read(f"arm table {name} {row} L", volume) for row, (volume, _) in enumerate(tank.arm))
        arms = tuple(read(f"arm table {name} {row}", arm) for row, (_, arm) in enumerate(tank.arm))
    usable = contents(read, aircraft, flight, name, rho)
    return Tank(
        name,
        usable,
        read(f"unusable {name}", tank.unusable),
        read(f"lateral arm of {name}", tank.lateral_arm),
        xs,
        arms,
    )


def _solid(aloft: Aloft, flight: Flight, aircraft: Aircraft) -> None:
    """Basic empty mass, oil, unusable fuel and the load."""
    read, empty = aloft.reader, aircraft.basic_empty
    mass = read("basic empty mass", empty.mass)
    arm = (
        read("basic empty arm", empty.arm)
        if empty.arm is not None
        else read("basic empty moment", empty.moment) / mass
    )  # type: ignore[arg-type]
    aloft.add(mass, arm, read("basic empty lateral arm", empty.lateral_arm))
    if aircraft.oil is not None:
        aloft.add(OIL * read("oil volume", aircraft.oil.volume), read("oil arm", aircraft.oil.arm), 0.0)
    if "unusable fuel" not in empty.includes:
        for tank in aloft.tanks:
            aloft.add(aloft.rho * tank.unusable, tank.arm(tank.unusable), tank.lateral)
    for name, station in aircraft.stations.items():
        masses = flight.load.get(name, ())
        arm = read(f"{name} arm", station.arm)
        sides = [read(f"{name} lateral arm {seat}", each) for seat, each in enumerate(station.lateral_arms)]
        middle = read(f"{name} lateral arm", station.lateral_arm) if station.lateral_arm is not None else 0.0
        aloft.stations[name] = 0.0
        for seat, each in enumerate(masses):
            one = read(f"{name} {seat}", each)
            side = middle
            if sides:  # one figure for a whole row of seats lies in their middle
                side = sides[seat] if len(masses) > 1 or len(sides) == 1 else sum(sides) / len(sides)
            aloft.add(one, arm, side)
            aloft.stations[name] = aloft.stations[name] + one


def _burns(aloft: Aloft, flight: Flight, aircraft: Aircraft) -> None:
    """Taxi, the trip as written, alternate, then the rest at the flow of the final reserve; taxi after
    landing is not flown.
    """
    read, index = aloft.reader, {name: number for number, name in enumerate(aircraft.tanks)}
    flying = [number for number, phase in enumerate(flight.trip) if phase.phase != GROUND]
    for number, phase in enumerate(flight.trip):
        if flying and number > flying[-1]:
            break
        kind = "trip" if flying and number >= flying[0] else "taxi"
        volume = phase_volume(read, aircraft, phase, f"trip {number}", aloft.rho)
        aloft.burns.append(
            Burn(phase.phase, kind, volume, tuple(index[tank] for tank in phase.tank), kind == "trip")
        )
    if flight.alternate is not None:
        phase = flight.alternate
        volume = phase_volume(read, aircraft, phase, "alternate", aloft.rho)
        aloft.burns.append(
            Burn(phase.phase, "alternate", volume, tuple(index[tank] for tank in phase.tank), True)
        )
    aloft.burns.append(Burn("reserve", "reserve", np.inf, (), True))


def aloft_of(flight: Flight, aircraft: Aircraft, reader: Reader, rho: float | None = None) -> Aloft:
    """The flight with every figure as `reader` answers it; `rho` [kg/m3] takes the place of the density where
    given.
    """
    aloft = Aloft(reader, density(flight, reader) if rho is None else rho)
    aloft.tanks = [_tank(reader, aircraft, flight, name, aloft.rho) for name in aircraft.tanks]
    names = list(aircraft.tanks)
    aloft.groups = tuple(tuple(names.index(tank) for tank in group) for group in aircraft.feed_order())
    _solid(aloft, flight, aircraft)
    _burns(aloft, flight, aircraft)
    aloft.changes = {
        name: reader(f"moment change {name}", change) for name, change in aircraft.moment_changes.items()
    }
    return aloft


def reserve_rule(flight: Flight) -> tuple[Quantity, str]:
    """Minutes and basis of the final reserve: the pilot's own where stated, else the rule's."""
    rule = RULES[flight.rules]
    own = flight.final_reserve
    return own if own is not None else Quantity(rule.final_reserve, 0.0, "time", "rule"), rule.basis
