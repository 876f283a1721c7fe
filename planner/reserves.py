"""The fuel a flight needs, line by line, under one rule set."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from planner.data.rules import ReserveRule

LineKind = Literal["taxi", "trip", "contingency", "alternate", "final reserve", "additional", "extra", "discretionary"]


@dataclass(frozen=True, slots=True)
class FuelLine:
    """One line of the fuel plan: `volume`, standard uncertainty `u` [m3], `time` [s] or the reason none is known, its basis in words.

    `cause` names the input the uncertainty comes from: lines with the same cause are wrong together.
    """

    kind: LineKind
    name: str
    volume: float
    u: float
    time: float | str
    basis: str
    cause: str


@dataclass(frozen=True, slots=True)
class Need:
    """A demand in SI before it becomes a line: an amount [m3] if stated, else a time [s] at a flow [m3/s]."""

    kind: LineKind
    name: str
    amount: float | None
    u_amount: float
    time: float | None
    flow: float
    u_flow: float
    basis: str
    cause: str


def line_for(need: Need) -> FuelLine:
    """The fuel of one demand: the stated amount, or time x flow.

    Returns volume [m3] with u(V) = time x u(flow). Source: [common-practice].
    """
    if need.amount is not None:
        known = need.time if need.time is not None else (need.amount / need.flow if need.flow else "no flow for this phase in the profile")
        return FuelLine(need.kind, need.name, need.amount, need.u_amount, known, need.basis, need.cause)
    assert need.time is not None  # the records ask for an amount or a time
    return FuelLine(need.kind, need.name, need.time * need.flow, need.time * need.u_flow, need.time, need.basis, need.cause)


def contingency_line(trip: Sequence[FuelLine], share: float | None, amount: float | None, time: float | None, cruise_flow: float) -> FuelLine:
    """Contingency fuel as a share of the trip fuel [1], an amount [m3], or a time [s] at the cruise flow [m3/s].

    Source: [amc1-nco-op-125] for the place of the line; the share itself is the pilot's own.
    """
    trip_volume = sum(line.volume for line in trip)
    if share is not None:
        volume, basis = share * trip_volume, f"{share * 100:g} % of trip fuel"
    elif amount is not None:
        volume, basis = amount, "as stated"
    else:
        assert time is not None  # one of the three is given
        volume, basis = time * cruise_flow, "time at cruise flow"
    known: float | str = volume / cruise_flow if cruise_flow else "no cruise flow in the profile"
    return FuelLine("contingency", "contingency", volume, 0.0, known, basis, "contingency")


def final_reserve_line(rule: ReserveRule, own_time: float | None, flows: Mapping[str, tuple[float, float]]) -> FuelLine:
    """The final reserve: the rule's time, or the pilot's own longer one, at the flow of the rule's basis.

    Parameters: `rule`; `own_time` [s], not below the rule's (checked with the flight); `flows` burn key -> (flow, u) [m3/s].
    Raises KeyError where the profile lacks the flow of the basis (checked with the flight).
    Source: the rule's own citation.
    """
    time = max(rule.final_reserve, own_time or 0.0)
    flow, u_flow = flows[rule.basis]
    own = " (your own higher minimum)" if own_time is not None and own_time > rule.final_reserve else ""
    basis = f"{time / 60:g} min at {rule.basis_words}{own}, {rule.key}"
    return FuelLine("final reserve", "final reserve", time * flow, time * u_flow, time, basis, f"{rule.basis} flow")
