"""The register of limits on what is aboard: one entry a limit, read by every evaluator.

A limit here is a weighted sum of masses on stations or of fuel in tanks, held below or above a bound. One
flight, a block of loadings, random draws and the search for a change all go through this list; none knows a
limit of its own. To add a limit:
a key of the profile, its entry in `register`, its words in the docs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from planner.quantities.units import Dimension
from planner.records.aircraft.record import Aircraft

Place = Literal["load", "fuel", "ramp", "takeoff", "landing", "zero fuel", "burn"]
STATES: Final[tuple[Place, ...]] = ("ramp", "takeoff", "landing", "zero fuel")
# What a limit limits. Limits of one group are in one unit, so that the least margin of a group is a figure.
Group = Literal["load", "mass", "forward", "aft", "lateral", "fuel", "tank"]
ALL_SEATS: Final = -1

# Ids of the limits that every state is asked for; what is aboard has ids of its own (`register`).
GREATEST, LEAST = "mass/greatest", "mass/least"
FORWARD, AFT, LEFT, RIGHT = "cg/forward", "cg/aft", "lateral/left", "lateral/right"


def station_max(station: str) -> str:
    """The id of the most that a station may hold."""
    return f"station/{station}/max"


def combined(number: int) -> str:
    """The id of the limit on the sum of some stations, by its number in the profile."""
    return f"combined/{number}"


def identity(id: str, place: str) -> tuple[str, str]:  # noqa: A002 - the id of a limit is called so everywhere
    """One limit wherever it is asked: the id, with the place only where every place has a bound of its
    own.
    """
    return id, place if id == GREATEST else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit of the register.

    `id` is unique in a profile and never parsed; `place` says when it is asked: of the `load`, of the `fuel`
    as filled, or all along the `burn`. The value is the sum of weight x mass [kg] of `seats` (station, seat
    or ALL_SEATS, weight) or of weight x usable volume [m3] of `tanks` (name, weight), the latter times the
    density where the `dimension` is a mass. `bound` in SI; `upper` for a greatest value. `forbids`: asked
    only where something is there. `always`: asked even where nothing is.
    """

    id: str
    place: Place
    name: str
    dimension: Dimension
    bound: float
    upper: bool = True
    seats: tuple[tuple[str, int, float], ...] = ()
    tanks: tuple[tuple[str, float], ...] = ()
    forbids: bool = False
    always: bool = False

    @property
    def group(self) -> Group:
        """The group its margin counts to."""
        return "tank" if self.dimension == "volume" else "load"

    def asked(self, stations: Mapping[str, Any]) -> bool:
        """Whether the limit is asked of a load with these stations named."""
        return self.always or bool(self.tanks) or any(station in stations for station, _, _ in self.seats)

    def of_load(self, loads: Mapping[str, Sequence[Any]]) -> Any:
        """The value for masses [kg] per station, seat by seat; floats, or arrays with one entry per loading.
        One figure counts as the first seat.
        """
        total: Any = 0.0
        for station, seat, weight in self.seats:
            masses = loads.get(station, ())
            for mass in masses if seat == ALL_SEATS else masses[seat : seat + 1]:
                total = total + weight * mass
        return total

    def of_fuel(self, volumes: Mapping[str, Any], density: Any) -> Any:
        """The value for usable volumes [m3] per tank; floats, or arrays with one entry per loading."""
        total: Any = 0.0
        for tank, weight in self.tanks:
            total = total + weight * volumes[tank]
        return total * density if self.dimension == "mass" else total

    def margin(self, value: Any) -> Any:
        """Bound less value for a greatest value, value less bound for a least one."""
        return self.bound - value if self.upper else value - self.bound


def register(aircraft: Aircraft, category: str) -> tuple[Limit, ...]:
    """Every limit on what is aboard that a profile states for a category, in the order in which it is shown.

    Parameters: `aircraft`; `category`, a name of its envelopes. Returns Limits in SI.
    Source: the profile, that is the approved manual.
    """
    return (*_of_stations(aircraft), *_of_sums(aircraft, category), *_of_tanks(aircraft))


def _of_stations(aircraft: Aircraft) -> Iterator[Limit]:
    for name, station in aircraft.stations.items():
        whole = ((name, ALL_SEATS, 1.0),)
        if station.max is not None:
            yield Limit(
                id=station_max(name),
                place="load",
                name=f"{name} limit",
                dimension="mass",
                bound=station.max.value,
                seats=whole,
            )
        if station.area is not None and station.max_per_area is not None:
            bound = station.max_per_area.value * station.area.value
            yield Limit(
                id=f"station/{name}/floor",
                place="load",
                name=f"{name} floor load",
                dimension="mass",
                bound=bound,
                seats=whole,
            )
        if station.min is not None:
            bound, seats = station.min.value, ((name, 0, 1.0),)
            name_ = f"{name}, least mass on the first seat"
            yield Limit(
                id=f"station/{name}/min",
                place="load",
                name=name_,
                dimension="mass",
                bound=bound,
                upper=False,
                seats=seats,
                always=True,
            )


def _of_sums(aircraft: Aircraft, category: str) -> Iterator[Limit]:
    for index, sum_ in enumerate(aircraft.combined_limits):
        seats = tuple((station, ALL_SEATS, 1.0) for station in sum_.stations)
        yield Limit(
            id=combined(index),
            place="load",
            name=f"{sum_.name} limit",
            dimension="mass",
            bound=sum_.max.value,
            seats=seats,
            always=True,
        )
    chosen = aircraft.envelopes[category]
    if chosen.max_payload is not None:
        seats = tuple((station, ALL_SEATS, 1.0) for station in aircraft.stations)
        name = f"payload of the {category} category"
        yield Limit(
            id="payload",
            place="load",
            name=name,
            dimension="mass",
            bound=chosen.max_payload.value,
            seats=seats,
            always=True,
        )
    for name in chosen.forbids:
        words = f"{name}: no load allowed in the {category} category"
        yield Limit(
            id=f"forbidden/{name}",
            place="load",
            name=words,
            dimension="mass",
            bound=0.0,
            seats=((name, ALL_SEATS, 1.0),),
            forbids=True,
        )


def _of_tanks(aircraft: Aircraft) -> Iterator[Limit]:
    for name, tank in aircraft.tanks.items():
        if tank.max is not None:
            words = f"mass of fuel in {name} tank"
            yield Limit(
                id=f"tank/{name}/max",
                place="fuel",
                name=words,
                dimension="mass",
                bound=tank.max.value,
                tanks=((name, 1.0),),
            )
    for index, balance in enumerate(aircraft.balance):
        first, second = balance.between
        for more, less in ((first, second), (second, first)):
            tanks = ((more, 1.0), (less, -1.0))
            words = f"more fuel in {more} than in {less}"
            yield Limit(
                id=f"balance/{index}/{more}",
                place="burn",
                name=words,
                dimension="volume",
                bound=balance.max.value,
                tanks=tanks,
            )


@dataclass(frozen=True, slots=True)
class MassBound:
    """The greatest mass [kg] of a state, and its name."""

    place: Place
    name: str
    bound: float


def mass_bounds(aircraft: Aircraft, category: str) -> tuple[MassBound, ...]:
    """The greatest mass of every state that has one, in the order of the flight.

    The take-off limit is the lower of the aircraft's and the category's, and ends where the envelope is no
    longer drawn: above it nobody has said where the CG may be. A limit the manual does not give falls back on
    it, except zero fuel, which then has none.
    Parameters: `aircraft`; `category`, a name of its envelopes. Returns MassBounds [kg].
    Source: the profile; [common-practice] for the order of the limits.
    """
    masses, chosen = aircraft.masses, aircraft.envelopes[category]
    top = masses.max_takeoff.value
    if chosen.max_takeoff is not None:
        top = min(top, chosen.max_takeoff.value)
    drawn = chosen.envelope().greatest_mass
    if drawn < top * (1 - 1e-9):
        top = drawn
    ramp = masses.max_ramp.value if masses.max_ramp is not None else top
    if top < masses.max_takeoff.value and masses.max_ramp is not None:
        # A category with its own take-off limit keeps the aircraft's allowance for taxi fuel.
        ramp = top + (masses.max_ramp.value - masses.max_takeoff.value)
    landing = min(masses.max_landing.value, top) if masses.max_landing is not None else top
    found = [
        MassBound("ramp", "maximum ramp mass", ramp),
        MassBound("takeoff", "maximum take-off mass", top),
        MassBound("landing", "maximum landing mass", landing),
    ]
    if masses.max_zero_fuel is not None:
        found.append(MassBound("zero fuel", "maximum zero-fuel mass", min(masses.max_zero_fuel.value, top)))
    return tuple(found)
