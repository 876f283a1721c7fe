"""The register of limits: one entry a limit, read by every evaluator.

A limit holds one quantity (a weighted sum of masses on stations or of fuel in tanks, the mass of the
aircraft, its CG) below or above a bound at one place of the flight. One flight, a block of loadings, random
draws and the search for a change all go through this list; none knows a limit of its own. To add a limit: a
key of the profile, its entry in `register`, its words in the docs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import Any, Final, Literal

from planner.quantities.frozen import frozen
from planner.quantities.polygon import Edge, Envelope, Piece
from planner.quantities.units import Dimension
from planner.records.aircraft.record import Aircraft

Place = Literal["load", "fuel", "ramp", "takeoff", "landing", "zero fuel", "burn"]
STATES: Final[tuple[Place, ...]] = ("ramp", "takeoff", "landing", "zero fuel")
# What a limit limits. Limits of one group are in one unit, so that the least margin of a group is a figure.
Group = Literal["load", "mass", "forward", "aft", "lateral", "fuel", "tank"]
ALL_SEATS: Final = -1

# Ids of the limits that every state is asked for; what is aboard has ids of its own (`register`).
GREATEST, LEAST = "mass/greatest", "mass/least"
ENOUGH = "fuel"
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


@frozen(kw_only=True)
class Limit:
    """One limit of the register.

    `id` with `place` is unique in a profile and never parsed; `place` says when it is asked: of the `load`,
    of the `fuel` as filled, in one of the STATES, or all along the `burn`. `quantity` says what of: of the
    `load`, the sum of weight x mass [kg] of `seats` (station, seat or ALL_SEATS, weight); of the `fuel`, that
    of weight x usable volume [m3] of `tanks` (name, weight), times the density where the `dimension` is a
    mass; the `mass` of the aircraft [kg], its `cg` or its `lateral` CG [m]. `bound` in SI, or an edge of the
    envelope; `upper` for a greatest value.
    `forbids`: asked only where something is there. `always`: asked even where nothing is.
    """

    id: str
    place: Place
    quantity: Literal["load", "fuel", "mass", "cg", "lateral"]
    name: str
    dimension: Dimension
    bound: float | Edge
    upper: bool = True
    seats: tuple[tuple[str, int, float], ...] = ()
    tanks: tuple[tuple[str, float], ...] = ()
    forbids: bool = False
    always: bool = False

    @property
    def group(self) -> Group:
        """The group its margin counts to."""
        if self.quantity == "cg":
            return "aft" if self.upper else "forward"
        if self.quantity == "fuel":
            return "load" if self.dimension == "mass" else "tank" if self.upper else "fuel"
        return self.quantity

    @property
    def axis(self) -> Literal["longitudinal", "lateral"]:
        """Along which axis a limit on the CG lies."""
        return "lateral" if self.quantity == "lateral" else "longitudinal"

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """A limit on the CG as limiting moment against mass, piece by piece."""
        return (
            self.bound.pieces()
            if isinstance(self.bound, Edge)
            else (Piece(low=0.0, high=math.inf, p=0.0, q=self.bound, r=0.0),)
        )

    @property
    def edge(self) -> Edge:
        """The bound of a limit that is an edge of the envelope."""
        assert isinstance(self.bound, Edge)  # asked only of a limit on the CG
        return self.bound

    def at(self, mass: float = math.nan) -> float:
        """The bound; that of an edge [m] at this mass [kg]."""
        return self.bound.arm(mass) if isinstance(self.bound, Edge) else self.bound

    def asked(self, stations: Mapping[str, Any]) -> bool:
        """Whether the limit is asked of a load with these stations named."""
        return self.always or bool(self.tanks) or any(station in stations for station, _, _ in self.seats)

    def weight(self, station: str) -> float:
        """What a mass on a station counts at most, wherever it sits there; 0 where it does not."""
        return max((weight for name, _, weight in self.seats if name == station), default=0.0)

    def of_load(self, loads: Mapping[str, Sequence[Any]]) -> Any:
        """The value for masses [kg] per station, seat by seat, one as the first; floats, or arrays."""
        total: Any = 0.0
        for station, seat, weight in self.seats:
            masses = loads.get(station, ())
            for mass in masses if seat == ALL_SEATS else masses[seat : seat + 1]:
                total = total + weight * mass
        return total

    def of_fuel(self, volumes: Mapping[str, Any], density: Any) -> Any:
        """The value for usable volumes [m3] per tank; floats, or arrays with one entry per loading."""
        total: Any = sum(weight * volumes[tank] for tank, weight in self.tanks)
        return total * density if self.dimension == "mass" else total

    def margin(self, value: Any) -> Any:
        """A bound that is a number less the value, for a least value the other way round."""
        return self.at() - value if self.upper else value - self.at()


_on_load = partial(Limit, place="load", quantity="load", dimension="mass")
_on_fuel = partial(Limit, quantity="fuel")
_on_mass = partial(Limit, quantity="mass", dimension="mass")


def register(aircraft: Aircraft, category: str) -> tuple[Limit, ...]:
    """Every limit that a profile states for a category, in the order in which it is shown: what is aboard,
    the states, the burn.

    Parameters: `aircraft`; `category`, a name of its envelopes. Returns Limits in SI.
    Source: the profile, that is the approved manual.
    """
    return (
        *_of_stations(aircraft),
        *_of_sums(aircraft, category),
        *_of_tanks(aircraft),
        *_of_states(aircraft, category),
    )


def enough_fuel(required: float, tanks: Iterable[str]) -> Limit:
    """That the usable fuel in these tanks is not less than the flight requires [m3]. Only a flight knows how
    much that is, so it stands beside the register of its profile. Source: the rule that asks for it.
    """
    return _on_fuel(
        id=ENOUGH,
        place="fuel",
        name="fuel required",
        dimension="volume",
        bound=required,
        upper=False,
        tanks=tuple((tank, 1.0) for tank in tanks),
    )


def lateral_of(aircraft: Aircraft) -> tuple[float, float] | None:
    """The lateral limits (left, right) of a profile [m], left negative; None where it has none."""
    return None if aircraft.lateral is None else (aircraft.lateral.left.value, aircraft.lateral.right.value)


def _of_states(aircraft: Aircraft, category: str) -> Iterator[Limit]:
    envelope, lateral = aircraft.envelopes[category].envelope(), lateral_of(aircraft)
    greatest = {each.place: each for each in mass_bounds(aircraft, category)}
    for place in STATES:
        if place in greatest:
            yield greatest[place]
        yield from of_envelope(envelope, lateral, place)
    yield from of_centre(envelope, lateral, "burn")


def of_envelope(envelope: Envelope, lateral: tuple[float, float] | None, place: Place) -> Iterator[Limit]:
    """Every limit on the CG in one state, and the least mass for which the envelope is drawn."""
    forward, aft, *across = of_centre(envelope, lateral, place)
    yield from (forward, aft)
    words = "least mass of the envelope"
    yield _on_mass(id=LEAST, place=place, name=words, bound=envelope.least_mass, upper=False)
    yield from across


def of_centre(envelope: Envelope, lateral: tuple[float, float] | None, place: Place) -> tuple[Limit, ...]:
    """The limits on the CG at one place: forward, aft, then left and right [m] where `lateral` gives them."""
    one = partial(Limit, place=place, dimension="length")
    found = [
        one(id=FORWARD, quantity="cg", name="forward limit", bound=envelope.forward, upper=False),
        one(id=AFT, quantity="cg", name="aft limit", bound=envelope.aft),
    ]
    if lateral is not None:
        left, right = lateral
        found += [
            one(id=LEFT, quantity="lateral", name="lateral limit, left", bound=left, upper=False),
            one(id=RIGHT, quantity="lateral", name="lateral limit, right", bound=right),
        ]
    return tuple(found)


def _of_stations(aircraft: Aircraft) -> Iterator[Limit]:
    for name, station in aircraft.stations.items():
        whole = ((name, ALL_SEATS, 1.0),)
        if station.max is not None:
            yield _on_load(id=station_max(name), name=f"{name} limit", bound=station.max.value, seats=whole)
        if station.area is not None and station.max_per_area is not None:
            held = station.max_per_area.value * station.area.value
            yield _on_load(id=f"station/{name}/floor", name=f"{name} floor load", bound=held, seats=whole)
        if station.min is not None:
            yield _on_load(
                id=f"station/{name}/min",
                name=f"{name}, least mass on the first seat",
                bound=station.min.value,
                seats=((name, 0, 1.0),),
                upper=False,
                always=True,
            )


def _of_sums(aircraft: Aircraft, category: str) -> Iterator[Limit]:
    def whole(stations: Iterable[str]) -> tuple[tuple[str, int, float], ...]:
        return tuple((station, ALL_SEATS, 1.0) for station in stations)

    for index, sum_ in enumerate(aircraft.combined_limits):
        words, seats = f"{sum_.name} limit", whole(sum_.stations)
        yield _on_load(id=combined(index), name=words, bound=sum_.max.value, seats=seats, always=True)
    chosen = aircraft.envelopes[category]
    if chosen.max_payload is not None:
        words, seats = f"payload of the {category} category", whole(aircraft.stations)
        yield _on_load(id="payload", name=words, bound=chosen.max_payload.value, seats=seats, always=True)
    for name in chosen.forbids:
        words = f"{name}: no load allowed in the {category} category"
        yield _on_load(id=f"forbidden/{name}", name=words, bound=0.0, seats=whole([name]), forbids=True)


def _of_tanks(aircraft: Aircraft) -> Iterator[Limit]:
    for name, tank in aircraft.tanks.items():
        if tank.max is not None:
            yield _on_fuel(
                id=f"tank/{name}/max",
                place="fuel",
                name=f"mass of fuel in {name} tank",
                dimension="mass",
                bound=tank.max.value,
                tanks=((name, 1.0),),
            )
    for index, balance in enumerate(aircraft.balance):
        first, second = balance.between
        for more, less in ((first, second), (second, first)):
            yield _on_fuel(
                id=f"balance/{index}/{more}",
                place="burn",
                name=f"more fuel in {more} than in {less}",
                dimension="volume",
                bound=balance.max.value,
                tanks=((more, 1.0), (less, -1.0)),
            )


def mass_bounds(aircraft: Aircraft, category: str) -> tuple[Limit, ...]:
    """The greatest mass of every state that has one, in the order of the flight.

    The take-off limit is the lower of the aircraft's and the category's, and ends where the envelope is no
    longer drawn: above it nobody has said where the CG may be. A limit the manual does not give falls back on
    it, except zero fuel, which then has none.
    Parameters: `aircraft`; `category`, a name of its envelopes. Returns Limits [kg].
    Source: the profile; [common-practice] for the order of the limits.
    """
    masses, chosen = aircraft.masses, aircraft.envelopes[category]
    top = min(each.value for each in (masses.max_takeoff, chosen.max_takeoff) if each is not None)
    drawn = chosen.envelope().greatest_mass
    if drawn < top * (1 - 1e-9):
        top = drawn
    ramp = masses.max_ramp.value if masses.max_ramp is not None else top
    if top < masses.max_takeoff.value and masses.max_ramp is not None:
        # A category with its own take-off limit keeps the aircraft's allowance for taxi fuel.
        ramp = top + (masses.max_ramp.value - masses.max_takeoff.value)
    landing = min(masses.max_landing.value, top) if masses.max_landing is not None else top

    def of(place: Place, words: str, bound: float) -> Limit:
        return _on_mass(id=GREATEST, place=place, name=f"maximum {words} mass", bound=bound)

    found = [of("ramp", "ramp", ramp), of("takeoff", "take-off", top), of("landing", "landing", landing)]
    if masses.max_zero_fuel is not None:
        found.append(of("zero fuel", "zero-fuel", min(masses.max_zero_fuel.value, top)))
    return tuple(found)


def greatest_takeoff_mass(aircraft: Aircraft, category: str) -> float:
    """The greatest take-off mass [kg]; as `mass_bounds`. Source: the profile."""
    return next(each.at() for each in mass_bounds(aircraft, category) if each.place == "takeoff")
