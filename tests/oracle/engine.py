"""The naive engine: a flight file in, every limit's margin, uncertainty and verdict out.

U of a margin is twice its standard deviation over the draws. For the greatest masses the value is taken with
fuel at rho + 2 u(rho) where a greater density means a greater mass, and the density then takes no part in U.
Verdicts: outside below zero; inside where the margin is larger than U, or both are zero; else not shown
inside.

Along the burn there is no one way to say which place of one draw is the same place in another. Three are
taken: the same share of the same part of the burn; the least margin of each draw near there; the least of
each draw anywhere. Where all agree the figure is sharp; where they do not (the moment a tank runs dry) the
planner's may lie anywhere between.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path as FilePath
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import load_flight_file
from tests.oracle.burn import DRY, STEP
from tests.oracle.draws import Reader, drawn
from tests.oracle.fuelplan import FuelPlan, plan_fuel
from tests.oracle.limits import (
    AFT,
    FORWARD,
    LEAST,
    MASS_NAMES,
    envelope_of,
    exclusive_sets,
    load_margins,
    path_margins,
    state_margins,
)
from tests.oracle.model import Aloft, aloft_of, density_u, dip_near_a_row
from tests.oracle.paths import drawn_path, states_of, stepped_path

Array = NDArray[np.float64]

OUTSIDE, UNSHOWN, INSIDE = "outside", "not shown inside", "inside"
RANK = {INSIDE: 0, UNSHOWN: 1, OUTSIDE: 2}
CHUNK = 8192  # flights of one block of draws, so that their paths fit the memory
# A straight margin of 0.95 U lies below zero in 2.9 % of draws; in a thousand, 1 % is four standard errors
# less. A bent one may never: a tank that runs dry early burns no more of what held the margin up, and spread
# is no loss.
BELOW = 0.01
BENT = 0.0001  # of the variance: from here a margin counts as bent (what is straight stays below 4e-5)
NEAR = 2  # parts of the burn before and after a place that still count as near it


@dataclass(frozen=True)
class Check:
    """One limit: figures [SI], U with the bounds within which another sound way may find it, and how far it
    bends.
    """

    where: str
    name: str
    value: float
    limit: float
    margin: float
    u: float
    u_low: float
    u_high: float
    bend: float  # 0 straight in the inputs, 1 not at all
    verdict: str
    step_error: float = 0.0
    worst_on_the_way: str = ""  # along a burn: the worst verdict of any place
    below_on_the_way: bool = False  # and whether draws did fall below zero at a place that is not shown
    corner: bool = False  # an edge has a corner, or ends, at a mass the uncertainty reaches
    u_around: float = (
        0.0  # along a burn: the larger U of where the part with the least margin begins and ends
    )


@dataclass
class Answer:
    """Everything the engine says of one flight."""

    rho: float
    u_rho: float
    states: dict[str, tuple[float, float, float, float]]
    checks: dict[tuple[str, str], Check] = field(default_factory=dict)
    plan: FuelPlan | None = None
    aboard: float = 0.0
    surplus: float = 0.0
    surplus_u: float = 0.0
    surplus_bend: float = 0.0
    surplus_shown: float = 0.0
    fuel_verdict: str = ""
    inside_share: float = 1.0
    draws: int = 0
    inputs: tuple[str, ...] = ()
    dip_corner: bool = False  # a dip lies within its U of a row of its table, where the table may bend

    @property
    def verdict(self) -> str:
        """The worst of all limits and of the fuel plan."""
        every = [check.verdict for check in self.checks.values()] + [self.fuel_verdict]
        return max(every, key=RANK.__getitem__)


def verdict_of(margin: float, u: float) -> str:
    """The verdict of a margin with its expanded uncertainty."""
    if margin < 0:
        return OUTSIDE
    return INSIDE if margin > u or (margin == 0 and u == 0) else UNSHOWN


def spread_of(values: Any, z: Array) -> tuple[float, float]:
    """U (twice the standard deviation) of drawn values, and the share of their variance that no straight line
    in the inputs makes.
    """
    values = np.broadcast_to(np.asarray(values, dtype=float), (len(z),))
    away = values - values.mean()
    variance = float(np.mean(away**2))
    if variance <= 1e-24 * max(1.0, float(np.abs(values).max())) ** 2 or not z.shape[1]:
        return 0.0, 0.0
    slopes = z.T @ away / len(z)
    return 2.0 * variance**0.5, max(0.0, 1.0 - float(np.sum(slopes**2)) / variance)


class _Drawn:
    """What the draws of one flight leave behind: margins per limit, and least margins along the burn."""

    def __init__(self) -> None:
        self.margins: dict[tuple[str, str], list[Array]] = {}
        self.places: dict[str, list[Array]] = {}  # sums of square distances from nominal per ending place
        self.at: dict[str, list[Array]] = {}
        self.near: dict[str, list[Array]] = {}
        self.least: dict[str, list[Array]] = {}
        self.surplus: list[Array] = []
        self.together: list[Array] = []
        self.inside: list[NDArray[np.bool_]] = []

    @staticmethod
    def put(store: dict[Any, list[Array]], key: Any, value: Any, size: int) -> None:
        store.setdefault(key, []).append(np.broadcast_to(np.asarray(value, dtype=float), (size,)))


def fly(
    flight: Flight, aircraft: Aircraft, raw: Any = None, draws: int = 1000, seed: int = 1, step: float = STEP
) -> Answer:
    """The whole flight, nominal in small steps and drawn `draws` times. `raw` is the profile as plain YAML
    data.
    """
    envelope, exclusive = envelope_of(flight, aircraft), exclusive_sets(raw)
    rho, u_rho = density_u(flight)
    names = Reader()
    nominal = aloft_of(flight, aircraft, names)
    states = {name: tuple(float(each[0]) for each in state) for name, state in states_of(nominal).items()}
    heavy = {
        name: float(state[0][0])
        for name, state in states_of(aloft_of(flight, aircraft, Reader(), rho + 2 * u_rho)).items()
    }
    aboard = float(sum(tank.usable for tank in nominal.tanks))
    plan = plan_fuel(flight, aircraft, names, rho - 2 * u_rho, aboard)
    path = stepped_path(nominal, step)
    burn = path_margins(envelope, path, nominal, exclusive) if aboard > 0 else {}
    answer = Answer(
        rho, u_rho, states, plan=plan, aboard=aboard, surplus=aboard - float(plan.required), draws=draws
    )  # type: ignore[arg-type]
    answer.inputs = tuple(names.names)
    answer.dip_corner = dip_near_a_row(flight, aircraft)
    raised = {name for name in MASS_NAMES if u_rho > 0 and heavy[name] - states[name][0] > 1e-12}

    z = drawn(answer.inputs, draws, seed) if answer.inputs else np.zeros((1, 0))
    kept = _Drawn()
    least = {name: int(np.argmin(margins)) for name, margins in burn.items()}
    for start in range(0, len(z), CHUNK):
        _fly_block(
            flight, aircraft, answer, z[start : start + CHUNK], kept, envelope, exclusive, path, least, raised
        )

    for name, state in states.items():
        for limit, (value, bound, margin) in state_margins(envelope, name, state).items():
            if limit in MASS_NAMES.values() and name in raised:
                value, margin = heavy[name], bound - heavy[name]
            _put(answer, (name, limit), float(value), float(bound), float(margin), kept, z)
    for limit, (value, bound, margin) in load_margins(flight, aircraft, nominal).items():
        _put(answer, ("load", limit), float(value), float(bound), float(margin), kept, z)
    for limit, margins in burn.items():
        _put_burn(answer, limit, margins, path, least[limit], kept, z)
    _mark_corners(answer, envelope)
    answer.surplus_u, answer.surplus_bend = spread_of(np.concatenate(kept.surplus), z)
    # One fuel has one density: what is aboard by mass and what is burnt by mass swell together, and mass
    # against mass needs none.
    at_rho = aboard - float(plan_fuel(flight, aircraft, Reader(), rho, aboard).required)
    answer.surplus_shown = at_rho - spread_of(np.concatenate(kept.together), z)[0]
    answer.fuel_verdict = verdict_of(answer.surplus, answer.surplus_u)
    answer.inside_share = float(np.mean(np.concatenate(kept.inside)))
    return answer


def _fly_block(
    flight: Flight,
    aircraft: Aircraft,
    answer: Answer,
    z: Array,
    kept: _Drawn,
    envelope: Any,
    exclusive: list[tuple[str, ...]],
    path: Any,
    least: dict[str, int],
    raised: set[str],
) -> None:
    """One block of draws, every one a whole flight."""
    size = len(z)
    read = Reader(answer.inputs, z) if z.shape[1] else Reader()
    aloft = aloft_of(flight, aircraft, read)
    still: dict[str, Any] = {}
    if raised:  # the density at its own figure, everything else drawn
        still = states_of(aloft_of(flight, aircraft, read, answer.rho))
    inside = np.ones(size, dtype=bool)
    for name, state in states_of(aloft).items():
        for limit, (_, _, margin) in state_margins(envelope, name, state).items():
            inside &= np.broadcast_to(margin >= 0, (size,))
            if limit in MASS_NAMES.values() and name in raised:
                margin = state_margins(envelope, name, still[name])[limit][2]
            kept.put(kept.margins, (name, limit), margin, size)
    for limit, (_, _, margin) in load_margins(flight, aircraft, aloft).items():
        inside &= np.broadcast_to(np.asarray(margin) >= 0, (size,))
        kept.put(kept.margins, ("load", limit), margin, size)
    if least:
        inside &= _block_burn(aloft, envelope, exclusive, path, least, kept, size)
    kept.inside.append(inside)
    aboard = sum(tank.usable for tank in aloft.tanks)
    plan = plan_fuel(flight, aircraft, read, answer.rho - 2 * answer.u_rho, aboard)
    kept.surplus.append(np.broadcast_to(np.asarray(aboard - plan.required, dtype=float), (size,)))
    together = plan_fuel(flight, aircraft, read, aloft.rho, aboard)
    kept.together.append(np.broadcast_to(np.asarray(aboard - together.required, dtype=float), (size,)))


def _block_burn(
    aloft: Aloft, envelope: Any, exclusive: Any, nominal: Any, least: dict[str, int], kept: _Drawn, size: int
) -> Any:
    path = drawn_path(aloft)
    inside: Any = True
    for limit, margins in path_margins(envelope, path, aloft, exclusive).items():
        place = least[limit]
        part, flown = int(nominal.part[place]), bool(nominal.airborne[place])
        near = (np.abs(path.part - part) <= NEAR) & (path.airborne == flown)
        here = path.ends & (path.part == part) & (path.airborne == flown)
        if (
            nominal.fuel[place] <= DRY
        ):  # without usable fuel is one place, wherever in the burn a draw gets there
            here = np.arange(len(path.part)) == len(path.part) - 1
        _Drawn.put(kept.near, limit, margins[near].min(axis=0), size)
        _Drawn.put(kept.at, limit, margins[here][-1], size)
        _Drawn.put(kept.least, limit, margins.min(axis=0), size)
        kept.places.setdefault(limit, []).append(
            np.stack(
                [(found := margins[path.ends]).sum(axis=1), (found**2).sum(axis=1), (found < 0).sum(axis=1)]
            )
        )
        inside = inside & np.all(margins >= 0, axis=0)
    return inside


def _middle_of(values: Array) -> float:
    """Half of what the middle 95.45 % of draws take up: U of a normal figure, and of one that bends without
    the few draws far beyond the bend.
    """
    low, high = np.quantile(values, [0.02275, 0.97725])
    return float(high - low) / 2


def _put(
    answer: Answer, key: tuple[str, str], value: float, bound: float, margin: float, kept: _Drawn, z: Array
) -> None:
    drawn_margins = np.concatenate(kept.margins[key])
    u, bend = spread_of(drawn_margins, z)
    low = u if bend <= BENT else min(u, _middle_of(drawn_margins))
    answer.checks[key] = Check(*key, value, bound, margin, u, low, u, bend, verdict_of(margin, u))


def _put_burn(
    answer: Answer, limit: str, margins: Array, path: Any, place: int, kept: _Drawn, z: Array
) -> None:
    """The least margin of the burn, and the worst verdict of any place (the same share of the same part in
    every draw).
    """
    found = [spread_of(np.concatenate(store[limit]), z) for store in (kept.near, kept.at, kept.least)]
    us = [u for u, _ in found]
    margin = float(margins[place])
    neighbours = margins[max(place - 1, 0) : place + 2]
    error = float(np.max(np.abs(neighbours - margin)))
    sums = np.sum(kept.places[limit], axis=0) / len(z)
    spread = 2.0 * np.sqrt(np.maximum(sums[1] - sums[0] ** 2, 0.0))
    ending = np.array(
        [float(margins[_last(path.part, part, flown, path.airborne)]) for part, flown in _ending(path)]
    )
    count = min(len(spread), len(ending))
    shaky = spread[:count] > 1e-9
    doubtful = shaky & (ending[:count] <= 0.95 * spread[:count])
    unshown = bool(np.any(doubtful))
    verdict = verdict_of(margin, min(us))
    worst = OUTSIDE if margin < 0 else UNSHOWN if unshown or verdict == UNSHOWN else INSIDE
    bend = max(bend for _, bend in found)
    at = _ending(path).index((int(path.part[place]), bool(path.airborne[place])))
    before = float(spread[at - 1]) if at else answer.checks["ramp", limit].u
    answer.checks[("burn", limit)] = Check(
        "burn", limit, margin, 0.0, margin, us[0], min(us), max(us), bend, verdict, error, worst
    )
    below = bool(np.any(doubtful & (sums[2][:count] >= BELOW)))
    around = max(before, float(spread[min(at, count - 1)]))
    answer.checks[("burn", limit)] = replace(
        answer.checks[("burn", limit)], u_around=around, below_on_the_way=below
    )


def _mark_corners(answer: Answer, envelope: Any) -> None:
    """Note where the slope of an edge changes within reach (twice U) of the mass of a state, or of any mass
    of the burn; and where the slope of a dip table does, on every limit that fuel takes part in.
    """
    corners = [mass for edge in (envelope.forward, envelope.aft) for mass, _ in edge]
    reach = {name: 2.0 * answer.checks[name, LEAST].u for name in answer.states}
    masses = {name: state[0] for name, state in answer.states.items()}
    for key, check in answer.checks.items():
        if answer.dip_corner and key[0] not in ("load", "zero fuel"):
            answer.checks[key] = replace(check, corner=True)
            continue
        if key[1] not in (FORWARD, AFT):
            continue
        if check.where == "burn":
            most = max(reach.values())
            near = any(
                min(masses.values()) - most <= corner <= max(masses.values()) + most for corner in corners
            )
        else:
            near = any(abs(corner - masses[check.where]) <= reach[check.where] for corner in corners)
        answer.checks[key] = replace(check, corner=near)


def _ending(path: Any) -> list[tuple[int, bool]]:
    """The parts of the nominal path in their order, as (number, flown): those of `Path.ends` in the draws."""
    pairs = list(dict.fromkeys(zip(path.part.tolist(), path.airborne.tolist(), strict=True)))
    return [(int(part), bool(flown)) for part, flown in pairs]


def _last(parts: Any, part: int, flown: bool, airborne: Any) -> int:
    return int(np.flatnonzero((parts == part) & (airborne == flown))[-1])


def fly_file(path: FilePath | str, draws: int = 1000, seed: int = 1, step: float = STEP) -> Answer:
    """The same for a flight file."""
    flight, aircraft = load_flight_file(path)
    return fly(flight.record, aircraft.record, aircraft.document.value, draws, seed, step)


def worst(verdicts: Sequence[str]) -> str:
    """The worst of some verdicts."""
    return max(verdicts, key=RANK.__getitem__, default=INSIDE)
