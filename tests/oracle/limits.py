"""Limits of a profile, and margins of states and places of the burn against them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from tests.oracle.model import Aloft
from tests.oracle.paths import Path, State
from tests.oracle.tables import edge_at

Array = NDArray[np.float64]

MASS_NAMES = {
    "ramp": "maximum ramp mass",
    "takeoff": "maximum take-off mass",
    "landing": "maximum landing mass",
    "zero fuel": "maximum zero-fuel mass",
}
LEAST = "least mass of the envelope"
FORWARD, AFT, LEFT, RIGHT = "forward limit", "aft limit", "lateral limit, left", "lateral limit, right"


@dataclass(frozen=True)
class Envelope:
    """What the profile allows in the flight's category [kg, m]."""

    forward: tuple[tuple[float, float], ...]
    aft: tuple[tuple[float, float], ...]
    edges: str
    greatest: dict[str, float]  # by state; zero fuel only where the manual gives it
    least: float
    sides: tuple[float, float] | None


def envelope_of(flight: Flight, aircraft: Aircraft) -> Envelope:
    """The limits: take-off is the least of the aircraft's, the category's and the drawn envelope's; the ramp
    keeps its allowance.
    """
    category, masses = aircraft.envelopes[flight.category], aircraft.masses
    forward = tuple((mass.value, cg.value) for mass, cg in category.forward)
    aft = tuple((mass.value, cg.value) for mass, cg in category.aft)
    takeoff = min(masses.max_takeoff.value, forward[-1][0], aft[-1][0])
    if category.max_takeoff is not None:
        takeoff = min(takeoff, category.max_takeoff.value)
    allowance = masses.max_ramp.value - masses.max_takeoff.value if masses.max_ramp is not None else 0.0
    greatest = {"ramp": takeoff + allowance, "takeoff": takeoff}
    greatest["landing"] = (
        min(takeoff, masses.max_landing.value) if masses.max_landing is not None else takeoff
    )
    if masses.max_zero_fuel is not None:
        greatest["zero fuel"] = min(takeoff, masses.max_zero_fuel.value)
    least = max(forward[0][0], aft[0][0])
    sides = (
        (aircraft.lateral.left.value, aircraft.lateral.right.value) if aircraft.lateral is not None else None
    )
    return Envelope(forward, aft, category.edges, greatest, least, sides)


def cg_limits(envelope: Envelope, mass: Any) -> dict[str, Any]:
    """Every CG limit at `mass`."""
    limits = {
        FORWARD: edge_at(mass, envelope.forward, envelope.edges),
        AFT: edge_at(mass, envelope.aft, envelope.edges),
    }
    if envelope.sides is not None:
        limits |= {LEFT: envelope.sides[0] + 0.0 * mass, RIGHT: envelope.sides[1] + 0.0 * mass}
    return limits


def cg_margin(name: str, cg: Any, side: Any, limit: Any) -> Any:
    """Margin [m] of one CG limit; negative is outside."""
    if name in (FORWARD, LEFT):
        return (cg if name == FORWARD else side) - limit
    return limit - (cg if name == AFT else side)


def state_margins(envelope: Envelope, name: str, state: State) -> dict[str, tuple[Any, Any, Any]]:
    """(value, limit, margin) of every limit of one state."""
    mass, moment, lateral, _ = state
    found: dict[str, tuple[Any, Any, Any]] = {}
    if name in envelope.greatest:
        found[MASS_NAMES[name]] = (mass, envelope.greatest[name], envelope.greatest[name] - mass)
    found[LEAST] = (mass, envelope.least, mass - envelope.least)
    cg, side = moment / mass, lateral / mass
    for limit_name, limit in cg_limits(envelope, mass).items():
        value = cg if limit_name in (FORWARD, AFT) else side
        found[limit_name] = (value, limit, cg_margin(limit_name, cg, side, limit))
    return found


def exclusive_sets(raw: Any) -> list[tuple[str, ...]]:
    """`exclusive_moment_changes:` of a profile as read from its YAML: lists of changes of which at most one
    holds at a time.
    """
    given = raw.get("exclusive_moment_changes") or [] if isinstance(raw, dict) else []
    if given and all(isinstance(each, str) for each in given):
        given = [given]
    return [tuple(each) for each in given]


def worst_changes(changes: dict[str, Any], exclusive: list[tuple[str, ...]]) -> tuple[Any, Any]:
    """The most negative and the most positive sum of moment changes [kg.m] over every combination that may
    hold at once.
    """
    low: Any = 0.0
    high: Any = 0.0
    names = list(changes)
    for count in range(1, len(names) + 1):
        for chosen in combinations(names, count):
            if any(sum(name in chosen for name in group) > 1 for group in exclusive):
                continue
            together = sum(changes[name] for name in chosen)
            low, high = np.minimum(low, together), np.maximum(high, together)
    return low, high


def path_margins(
    envelope: Envelope, path: Path, aloft: Aloft, exclusive: list[tuple[str, ...]]
) -> dict[str, Array]:
    """Margins [places x flights] against every CG limit, with the worst of the moment changes while
    airborne.
    """
    low, high = worst_changes(aloft.changes, exclusive)
    flown = path.airborne.reshape((-1,) + (1,) * (path.mass.ndim - 1))
    side = path.side / path.mass
    limits = cg_limits(envelope, path.mass)
    found = {}
    for name, limit in limits.items():
        change = {FORWARD: low, AFT: high}.get(name, 0.0)
        cg = (path.moment + np.where(flown, change, 0.0)) / path.mass
        found[name] = cg_margin(name, cg, side, limit)
    return found


def load_margins(flight: Flight, aircraft: Aircraft, aloft: Aloft) -> dict[str, tuple[Any, float, Any]]:
    """(value, limit, margin) of stations, sums of stations, and stations the category forbids [kg]."""
    found: dict[str, tuple[Any, float, Any]] = {}
    for name, station in aircraft.stations.items():
        if station.max is not None:
            found[f"{name} limit"] = (
                aloft.stations[name],
                station.max.value,
                station.max.value - aloft.stations[name],
            )
    for combined in aircraft.combined_limits:
        together = sum(aloft.stations[name] for name in combined.stations)
        found[f"{combined.name} limit"] = (together, combined.max.value, combined.max.value - together)
    for name in aircraft.envelopes[flight.category].forbids:
        key = f"{name}: no load allowed in the {flight.category} category"
        found[key] = (aloft.stations[name], 0.0, -aloft.stations[name])
    return found
