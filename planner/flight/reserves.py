"""The fuel a flight needs, line by line, under one rule set."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

from planner.facts.rules import ReserveRule
from planner.flight.fuel import Changes, Stage, combined
from planner.quantities.frozen import frozen

LineKind = Literal[
    "taxi", "trip", "contingency", "alternate", "final reserve", "additional", "extra", "discretionary"
]

Contingency = Literal["share", "amount", "time"]


@frozen
class FuelLine:
    """One line of the fuel plan: `volume` [m3], `time` [s] or the reason none is known, its basis in words.

    `changes` is what every cause of uncertainty does to the volume [m3]: lines with a cause in common are
    wrong together.
    """

    kind: LineKind
    name: str
    volume: float
    changes: Changes
    time: float | str
    basis: str

    @property
    def u(self) -> float:
        """Standard uncertainty of the volume [m3]."""
        return math.hypot(*self.changes.values())


@frozen
class Given:
    """A figure with its standard uncertainty and the cause it is known by, in SI; `by_mass` where it is a
    mass or a flow of mass.
    """

    value: float
    u: float
    cause: str
    by_mass: bool = False

    def at(self, density: float) -> Given:
        """What is known by mass as the volume it is at a density [kg/m3]; anything else as it stands. Source:
        volume = mass / density.
        """
        if not self.by_mass:
            return self
        return Given(self.value * (1.0 / density), self.u * (1.0 / density), self.cause)

    def changes(self, factor: float = 1.0) -> Changes:
        """What it does to a volume that changes by `factor` per unit of it."""
        return {self.cause: factor * self.u} if self.u and factor else {}


@frozen
class Need:
    """A demand in SI before it becomes a line: an amount [m3] if stated, else a time [s] at a flow [m3/s].

    `phase`, `stage` and the `tanks` named by the pilot say where in the flight it is burnt.
    """

    kind: LineKind
    name: str
    amount: Given | None
    time: Given | None
    flow: Given
    basis: str
    phase: str = ""
    stage: Stage = "trip"
    tanks: tuple[str, ...] = ()

    @property
    def by_mass(self) -> bool:
        """Whether what it asks for is a mass, so that its volume hangs on the density."""
        return (self.flow if self.amount is None else self.amount).by_mass

    def at(self, density: float) -> Need:
        """The same by volume, at a density [kg/m3]. Source: volume = mass / density."""
        return replace(
            self, amount=None if self.amount is None else self.amount.at(density), flow=self.flow.at(density)
        )


def line_for(need: Need) -> FuelLine:
    """The fuel of one demand: the stated amount, or time x flow.

    Returns volume [m3]; u(flow) counts times the time, u(time) times the flow. Source: [common-practice];
    [jcgm-100] 5.1.2.
    """
    flow, time = need.flow, need.time
    known: float | str = "no flow for this phase in the profile"
    if need.amount is not None:
        volume, changes = need.amount.value, need.amount.changes()
        known = time.value if time is not None else volume / flow.value if flow.value else known
    else:
        assert time is not None  # the records ask for an amount or a time
        (volume, changes), known = _flowing(flow, time), time.value
    return FuelLine(
        kind=need.kind, name=need.name, volume=volume, changes=changes, time=known, basis=need.basis
    )


def _flowing(flow: Given, time: Given) -> tuple[float, Changes]:
    """What flows in a time [m3], and what both being unsure does to it."""
    return time.value * flow.value, combined(flow.changes(time.value), time.changes(flow.value))


def contingency_line(trip: Sequence[FuelLine], given: Given, what: Contingency, cruise: Given) -> FuelLine:
    """Contingency fuel as a share of the trip fuel [1], an amount [m3], or a time [s] at the cruise flow
    [m3/s], `what` says which.

    A share of an unsure trip is unsure with it.
    Source: [amc1-nco-op-125] for the place of the line; the share itself is the pilot's own.
    """
    trip_volume = sum(line.volume for line in trip)
    if what == "share":
        volume, basis = given.value * trip_volume, f"{given.value * 100:g} % of trip fuel"
        changes = given.changes(trip_volume)
        for line in trip:
            changes = combined(changes, line.changes, given.value)
    elif what == "amount":
        volume, basis, changes = given.value, "as stated", given.changes()
    else:
        (volume, changes), basis = _flowing(cruise, given), "time at cruise flow"
    known: float | str = volume / cruise.value if cruise.value else "no cruise flow in the profile"
    return FuelLine(
        kind="contingency", name="contingency", volume=volume, changes=changes, time=known, basis=basis
    )


def final_reserve_line(rule: ReserveRule, own_time: Given | None, flows: Mapping[str, Given]) -> FuelLine:
    """The final reserve: the rule's time, or the pilot's own longer one, at the flow of the rule's basis.

    Parameters: `rule`; `own_time` [s], not below the rule's (checked with the flight); `flows` burn key ->
    flow [m3/s]. Raises KeyError where the profile lacks the flow of the basis (checked with the flight).
    Source: the rule's own citation.
    """
    time, words = Given(rule.final_reserve, 0.0, "final reserve"), ""
    if own_time is not None and own_time.value > rule.final_reserve:
        time, words = own_time, " (your own higher minimum)"
    flow = flows[rule.basis]
    basis = f"{time.value / 60:g} min at {rule.basis_words}{words}, {rule.key}"
    volume, changes = _flowing(flow, time)
    return FuelLine(
        kind="final reserve",
        name="final reserve",
        volume=volume,
        changes=changes,
        time=time.value,
        basis=basis,
    )
