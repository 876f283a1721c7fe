"""Is there enough: the lines of the fuel plan, required, surplus and endurance.

A demand by mass is turned into volume with the density less its expanded uncertainty, so that thin fuel is
counted on; density then takes no further part in the demand. What is in the tanks counts as it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight, Phase
from tests.oracle.draws import Reader
from tests.oracle.model import GROUND, flow_of, in_litres, phase_volume, reserve_rule


@dataclass(frozen=True)
class FuelPlan:
    """Lines as (kind, volume [m3]) in the order of a plan, the demand in all, and endurance [s] (nan: a flow
    is not known).
    """

    lines: tuple[tuple[str, Any], ...]
    required: Any
    reserve: Any
    endurance: float


def _of(flight: Flight, kind: str) -> list[tuple[int, Phase]]:
    flying = [number for number, phase in enumerate(flight.trip) if phase.phase != GROUND]
    spans = {
        "taxi": (-1, flying[0]),
        "trip": (flying[0] - 1, flying[-1] + 1),
        "taxi after landing": (flying[-1], len(flight.trip)),
    }
    low, high = spans[kind]
    return [(number, phase) for number, phase in enumerate(flight.trip) if low < number < high]


def plan_fuel(flight: Flight, aircraft: Aircraft, read: Reader, thin: float, aboard: Any) -> FuelPlan:
    """The plan with `thin` [kg/m3] for demands by mass and `aboard` [m3] of usable fuel."""

    def phases(kind: str) -> list[Any]:
        return [
            phase_volume(read, aircraft, phase, f"trip {number}", thin) for number, phase in _of(flight, kind)
        ]

    lines: list[tuple[str, Any]] = []
    if taxi := phases("taxi"):
        lines.append(("taxi", sum(taxi)))
    trip = phases("trip")
    lines += [("trip", volume) for volume in trip]
    if (share := flight.contingency) is not None:
        amount = read("contingency", share)
        if share.dimension == "ratio":
            amount = amount * sum(trip)
        elif share.dimension == "time":
            amount = amount * in_litres(read, "cruise flow", aircraft.burn["cruise"], thin)
        elif share.dimension == "mass":
            amount = amount / thin
        lines.append(("contingency", amount))
    if flight.alternate is not None:
        lines.append(("alternate", phase_volume(read, aircraft, flight.alternate, "alternate", thin)))
    minutes, basis = reserve_rule(flight)
    flow = in_litres(read, f"{basis} flow", aircraft.burn[basis], thin)
    reserve = read("final reserve", minutes) * flow
    lines.append(("final reserve", reserve))
    if taxi_in := phases("taxi after landing"):
        lines.append(("taxi", sum(taxi_in)))
    for kind in ("additional", "extra", "discretionary"):
        if (quantity := getattr(flight, kind)) is not None:
            lines.append((kind, in_litres(read, kind, quantity, thin)))
    endurance = _endurance(flight, aircraft, read, thin, aboard, flow) if read.size == 1 else float("nan")
    return FuelPlan(tuple(lines), sum(volume for _, volume in lines), reserve, endurance)


def _endurance(
    flight: Flight, aircraft: Aircraft, read: Reader, thin: float, aboard: Any, reserve_flow: Any
) -> float:
    """From take-off to the last usable fuel: as planned, then at the flow of the final reserve [s]."""
    left = float(aboard) - float(
        sum(phase_volume(read, aircraft, phase, "", thin) for _, phase in _of(flight, "taxi"))
    )
    flown = [phase for _, phase in _of(flight, "trip")] + (
        [flight.alternate] if flight.alternate is not None else []
    )
    time = 0.0
    if left <= 0:
        return 0.0
    for phase in flown:
        volume = float(phase_volume(read, aircraft, phase, "", thin))
        flow = flow_of(read, aircraft, phase, "", thin)
        if phase.time is None and flow is None:
            return float("nan")
        lasts = phase.time.value if phase.time is not None else volume / float(flow)
        if volume >= left:
            return time + (lasts * left / volume if volume > 0 else 0.0)
        left, time = left - volume, time + lasts
    return time + left / float(reserve_flow)
