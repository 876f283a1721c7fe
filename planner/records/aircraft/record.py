"""The aircraft profile: what one aircraft's manual and current weighing report say, typed in by its user."""

# Annotations are no texts here: pydantic would compile each of them as the program starts.

from typing import Any, Final, Literal, Self

from pydantic import Field, field_validator, model_validator

from planner.quantities.polygon import Edge, EdgeKind, Envelope
from planner.quantities.units import Quantity, find_unit, unit_name
from planner.records.aircraft.example import Example
from planner.records.aircraft.mass_record import BasicEmpty, Months, SupersededRecord
from planner.records.aircraft.papers import as_printed
from planner.records.fields import (
    NO_ARM,
    Area,
    Arm,
    DipRows,
    EdgeRows,
    FloorLoad,
    Flow,
    Length,
    LineRows,
    Mass,
    Moment,
    Names,
    Record,
    Rows,
    TankArm,
    Volume,
    refusal,
)


def one_arm(value: Any) -> Any:
    """Refuses an arm beside the loading line that says it too."""
    if isinstance(value, dict) and "loading_line" in value and isinstance(value.get("arm"), (str, list)):
        raise refusal(
            "arm-twice", "both 'arm:' and 'loading_line:' are given", "needed one of them", "delete one"
        )
    return value


class Station(Record):
    """A place where load sits: its kind, arm, and limit."""

    kind: Literal["seats", "baggage", "other"]
    arm: Arm
    loading_line: LineRows | None = None
    seats: int = Field(default=0, ge=0, le=50, strict=True)
    lateral_arm: Length | None = None
    lateral_arms: tuple[Length, ...] = ()
    max: Mass | None = None
    min: Mass | None = None
    area: Area | None = None
    max_per_area: FloorLoad | None = None

    _one_arm = model_validator(mode="before")(one_arm)

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if (self.area is None) != (self.max_per_area is None):
            needed = "needed both, such as 'area: 0.4 m2' and 'max_per_area: 300 kg/m2'"
            raise refusal("station-floor", "'area:' and 'max_per_area:' belong together", needed)
        if self.min is not None and self.kind != "seats":
            message = f"a station of kind '{self.kind}' has no seat to hold a least mass"
            raise refusal("station-min", message, "needed 'kind: seats'", "delete 'min:'")
        if self.kind == "seats" and self.seats < 1:
            raise refusal(
                "station-seats", "a station of kind 'seats' needs its number of seats", "needed 'seats: 2'"
            )
        if self.kind != "seats" and self.seats:
            message = f"a station of kind '{self.kind}' has no seats"
            raise refusal("station-seats", message, "needed 'kind: seats'", "delete 'seats:'")
        if self.lateral_arms and self.lateral_arm is not None:
            raise refusal(
                "station-lateral", "both 'lateral_arm:' and 'lateral_arms:' are given", "needed one of them"
            )
        if self.lateral_arms and len(self.lateral_arms) != self.seats:
            message = f"{len(self.lateral_arms)} lateral arms for {self.seats} seats"
            raise refusal("station-lateral", message, "needed one lateral arm per seat")
        return self


class CombinedLimit(Record):
    """A limit on the sum of several stations."""

    name: str
    stations: Names
    max: Mass


class TankBalance(Record):
    """The greatest difference of usable fuel between two tanks."""

    between: Names
    max: Volume

    @model_validator(mode="after")
    def _two(self) -> Self:
        if len(set(self.between)) != 2:
            needed = "needed two different ones, such as [left, right]"
            raise refusal("balance-two", f"{len(self.between)} tanks are named", needed)
        return self


ENDS: Final = ("full", "empty")  # marks that every tank has


class Tank(Record):
    """One tank: `capacity` includes `unusable`; `arm` may be a table against all the fuel in the tank."""

    capacity: Volume
    unusable: Volume
    arm: TankArm
    loading_line: LineRows | None = None
    lateral_arm: Length = NO_ARM
    max: Mass | None = None
    marks: dict[str, Volume] = Field(default_factory=dict)

    _one_arm = model_validator(mode="before")(one_arm)

    @property
    def usable(self) -> float:
        """Usable capacity [m3]."""
        return self.capacity.value - self.unusable.value

    def arm_us(self) -> tuple[float, ...]:
        """Standard uncertainty [m] of the arm, or of each arm of the table; empty where all are exact."""
        found = (self.arm.u,) if isinstance(self.arm, Quantity) else tuple(arm.u for _, arm in self.arm)
        return found if any(found) else ()

    def end(self, mark: str) -> str:
        """The usable fuel of a tank that is one of `ENDS`, in the unit its capacity is written in."""
        unit = find_unit(unit_name(self.capacity))
        return f"{self.usable / unit.factor if mark == 'full' else 0.0:.12g} {unit.name}"

    def arm_points(self) -> tuple[tuple[float, float], ...]:
        """The arm as points (volume in the tank [m3], arm [m]); a single point where it is constant."""
        if isinstance(self.arm, Quantity):
            return ((0.0, self.arm.value),)
        return tuple((volume.value, arm.value) for volume, arm in self.arm)


class Masses(Record):
    """Mass limits of the aircraft; those a manual does not give are left out."""

    max_takeoff: Mass
    max_ramp: Mass | None = None
    max_landing: Mass | None = None
    max_zero_fuel: Mass | None = None


class CategoryEnvelope(Record):
    """The envelope of one category and what that category forbids."""

    edges: EdgeKind
    forward: EdgeRows
    aft: EdgeRows
    max_takeoff: Mass | None = None
    max_payload: Mass | None = None
    forbids: Names = ()

    def envelope(self) -> Envelope:
        """The two edges in SI."""

        def edge(rows: Rows) -> Edge:
            return Edge(tuple((mass.value, arm.value) for mass, arm in rows), self.edges)

        return Envelope(edge(self.forward), edge(self.aft))


class Lateral(Record):
    """Lateral CG limits; left is negative."""

    left: Length
    right: Length


class Chord(Record):
    """The mean aerodynamic chord."""

    leading_edge: Length
    length: Length


class Dipstick(Record):
    """A stick made for one tank, and what its table reads."""

    id: str
    reads: Literal["total", "usable"]
    table: DipRows


class Oil(Record):
    """Oil that the basic empty mass does not include."""

    volume: Volume
    arm: Arm


class Index(Record):
    """What an index unit is, as the papers define it: mass x (arm - reference arm) / divisor + constant."""

    reference_arm: Length
    divisor: Moment
    constant: float = Field(default=0.0, strict=True, ge=-1e6, le=1e6)

    @model_validator(mode="after")
    def _divides(self) -> Self:
        if self.divisor.value <= 0:
            message = f"a divisor of '{self.divisor.text}' divides nothing"
            raise refusal("quantity-too-small", message, "needed one above zero")
        return self


class Aircraft(Record):
    """One aircraft profile."""

    profile: Literal[1]
    name: str = Field(min_length=1, max_length=60)
    units: Literal["metric", "us", "uk"] | None = None
    invented: bool = Field(default=False, strict=True)  # strict: 'yes' and 'NO' are text, not true and false
    source: str = Field(min_length=1)
    datum: str = Field(min_length=1)
    fuel_grades: Names
    basic_empty: BasicEmpty
    stations: dict[str, Station]
    pilot: str = ""
    combined_limits: tuple[CombinedLimit, ...] = ()
    tanks: dict[str, Tank] = Field(min_length=1)
    balance: tuple[TankBalance, ...] = ()
    feed: Literal["together"] | tuple[Names, ...] = "together"
    masses: Masses
    moment_changes: dict[str, Moment] = Field(default_factory=dict)
    exclusive_moment_changes: tuple[Names, ...] = ()
    envelopes: dict[str, CategoryEnvelope] = Field(min_length=1)
    lateral: Lateral | None = None
    mean_aerodynamic_chord: Chord | None = None
    index: Index | None = None
    burn: dict[str, Flow] = Field(min_length=1)
    drains: tuple[str, ...] = ()
    dipsticks: dict[str, Dipstick] = Field(default_factory=dict)
    oil: Oil | None = None
    notes: str = ""
    weigh_every: Months | None = None
    examples: tuple[Example, ...] = Field(default=(), max_length=20)
    superseded: tuple[SupersededRecord, ...] = ()

    @property
    def lateral_known(self) -> bool:
        """Whether the profile says anything of where load and fuel sit across: a lateral limit, or the
        lateral arm of a station or tank.

        Where it says nothing, a lateral CG of zero would be an invention. What has no lateral arm beside
        others that have counts on the centre line.
        """
        stations = any(each.lateral_arm is not None or each.lateral_arms for each in self.stations.values())
        tanks = any("lateral_arm" in tank.model_fields_set for tank in self.tanks.values())
        return self.lateral is not None or stations or tanks

    def allowed(self, category: str) -> dict[str, Station]:
        """The stations that a category does not forbid to load."""
        forbidden = self.envelopes[category].forbids
        return {name: station for name, station in self.stations.items() if name not in forbidden}

    def pilot_seat(self) -> tuple[str, int] | None:
        """Station and seat (from 0) the pilot flies from: as `pilot:` says, else the first; None without."""
        seats = {name: station.seats for name, station in self.stations.items() if station.seats}
        if not self.pilot:
            return (next(iter(seats)), 0) if seats else None
        spelt = {f"{name} {seat + 1}": (name, seat) for name, count in seats.items() for seat in range(count)}
        return {**spelt, **{name: (name, 0) for name in seats}}.get(self.pilot)

    @model_validator(mode="before")
    @classmethod
    def _as_printed(cls, value: Any) -> Any:
        return as_printed(value) if isinstance(value, dict) else value

    @field_validator("balance", mode="before")
    @classmethod
    def _balance(cls, value: Any) -> Any:
        return [value] if isinstance(value, dict) else value

    @field_validator("feed", mode="before")
    @classmethod
    def _feed(cls, value: Any) -> Any:
        if value == "together":
            return value
        rows = value if isinstance(value, list) else []
        names = [name for row in rows for name in (row if isinstance(row, list) else [row])]
        if not names or not all(isinstance(name, str) for name in names):
            needed = "needed 'together' or an order such as [auxiliary, [left, right]]"
            raise refusal("feed-order", f"{value!r} is not a feed order", needed)
        return tuple(value)

    def feed_order(self) -> tuple[tuple[str, ...], ...]:
        """Groups of tanks in the order they are emptied; the tanks of a group drain together."""
        return (tuple(self.tanks),) if self.feed == "together" else tuple(tuple(group) for group in self.feed)
