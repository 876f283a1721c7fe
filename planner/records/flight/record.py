"""The flight: who and what is aboard, the fuel, the trip and the rule set it is planned under."""

# Annotations are no texts here: pydantic would compile each of them as the program starts.

import re
from typing import Any, Final, Literal, Self

from pydantic import Field, model_validator

from planner.quantities.units import UNITS
from planner.records.fields import (
    Day,
    Density,
    Duration,
    Flow,
    FuelAmount,
    FuelOrShare,
    Length,
    Names,
    Record,
    Temperature,
    Volume,
    refusal,
)
from planner.records.flight.load_items import Masses

_WORDS: Final = re.compile(r"[^\W\d][^\d]*")  # 'full', 'tabs', no figure


class DensitySpec(Record):
    """Where the density comes from: exactly one of the ways below."""

    at_15C: Density | None = None  # noqa: N815 - the key as it stands in the file
    standard: Literal[True] | None = None
    fixed: Density | None = None
    measured: Density | None = None
    at: Temperature | None = None
    certificate: str = ""
    bottle: str | None = None
    hydrometer: str | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        given = [
            name
            for name in ("at_15C", "standard", "fixed", "measured", "bottle", "hydrometer")
            if getattr(self, name) is not None
        ]
        if len(given) != 1:
            raise refusal(
                "density-ways",
                f"{len(given)} ways to the density are given" + (f" ({', '.join(given)})" if given else ""),
                "needed exactly one of at_15C, standard, fixed, measured, bottle, hydrometer",
            )
        if (self.measured is None) != (self.at is None):
            message = "'measured:' and 'at:' belong together"
            raise refusal("density-ways", message, "needed {measured: 0.7102 kg/L, at: 21 degC}")
        return self


class TankContent(Record):
    """What is in one tank: usable fuel, or all of it, or a dip."""

    usable: FuelAmount | None = None
    total: Volume | None = None
    dipstick: Length | None = None
    mark: str | None = None

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, value: Any) -> Any:
        if isinstance(value, str) and _WORDS.fullmatch(value.strip()) and value.split()[-1] not in UNITS:
            return {"mark": value.strip()}
        return value if isinstance(value, (dict, TankContent)) else {"usable": value}

    @model_validator(mode="after")
    def _one(self) -> Self:
        if sum(each is not None for each in (self.usable, self.total, self.dipstick, self.mark)) != 1:
            needed = "needed usable litres such as '31 L', or full, or {total: 35 L}, or {dipstick: 11.5 cm}"
            raise refusal("tank-content", "a tank needs exactly one figure", needed)
        return self


class Fuel(Record):
    """The fuel aboard: tank by tank, or as the aircraft's fuel ledger says (`ledger:` names its file)."""

    grade: str
    density: DensitySpec
    temperature: Temperature | None = None
    tanks: dict[str, TankContent] = Field(default_factory=dict)
    source: Literal["ledger"] | None = Field(default=None, alias="from")
    ledger: str = ""

    @model_validator(mode="after")
    def _one_source(self) -> Self:
        if bool(self.tanks) == (self.source is not None):
            wrong = (
                "both 'tanks:' and 'from:' are given" if self.tanks else "nothing says what is in the tanks"
            )
            raise refusal("fuel-source", wrong, "needed 'tanks: {left: 31 L, ...}', or 'from: ledger'")
        if self.ledger and self.source is None:
            raise refusal(
                "fuel-source", "'ledger:' is given without 'from: ledger'", "needed both, or neither"
            )
        return self


class Phase(Record):
    """A part of the trip: a time at the profile's flow for that phase, or a stated amount of fuel."""

    phase: str
    time: Duration | None = None
    fuel: FuelAmount | None = None
    flow: Flow | None = None
    tank: Names = ()

    @model_validator(mode="after")
    def _enough(self) -> Self:
        if self.time is None and self.fuel is None:
            message = f"phase '{self.phase}' has neither a time nor an amount of fuel"
            raise refusal("phase-empty", message, "needed 'time:' or 'fuel:'")
        return self


class FurtherLeg(Record):
    """A leg flown after another: the uplift per tank, the trip, and stations that are loaded anew."""

    name: str = Field(min_length=1, max_length=60)
    load: dict[str, Masses] = Field(default_factory=dict)
    uplift: dict[str, FuelAmount] = Field(default_factory=dict)
    trip: tuple[Phase, ...] = Field(min_length=1)
    alternate: Phase | None = None


class Flight(Record):
    """One flight file; its own trip is the first leg where `legs` follow."""

    flight: Literal[1]
    title: str = ""
    date: Day | None = None
    aircraft: str
    record: str = ""  # the mass record the flight was planned with, where its planner wrote it down
    category: str
    rules: str
    load: dict[str, Masses] = Field(default_factory=dict)
    fuel: Fuel
    trip: tuple[Phase, ...] = Field(min_length=1)
    alternate: Phase | None = None
    contingency: FuelOrShare | None = None
    final_reserve: Duration | None = None
    additional: FuelAmount | None = None
    extra: FuelAmount | None = None
    discretionary: FuelAmount | None = None
    legs: tuple[FurtherLeg, ...] = Field(default=(), max_length=20)
