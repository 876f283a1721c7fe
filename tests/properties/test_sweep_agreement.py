"""A sweep says of every loading what the plan of that very flight says: margins, uncertainties, verdicts, for
every demo aircraft.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.flight.envelope import ORDER
from planner.plan import Plan, plan_flight
from planner.quantities.errors import InputRefused
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import Loaded, load_flight_file, profile_ids
from planner.sweep.block import GROUPS, OUTSIDE, Sweeper, SweepModel
from planner.sweep.sweep_run import group_margins
from planner.sweep.sweeping import compile_sweep, plan_of_row
from planner.sweep.targets import Target, find_target

FLIGHTS = Path(__file__).resolve().parents[2] / "docs/flights"
# One flight of each demo aircraft; that of the first names tanks in its trip, the second has uncertain
# masses.
NAMES = (
    "demo",
    "not-shown-inside",
    "fuel-ahead-of-cg",
    "helicopter-lateral",
    "local-solo",
    "middle-of-the-flight",
    "tailwheel",
    "turboprop",
    "utility",
)
# Sums of a few dozen masses in another order: 1e-13 of 3000 kg; a thousandfold room above it.
CLOSE = 1e-9
CHECKED = 12


@cache
def flight_of(name: str) -> tuple[Loaded[Flight], Loaded[Aircraft], Plan]:
    flight, aircraft = load_flight_file(FLIGHTS / f"{name}.yaml")
    return flight, aircraft, plan_flight(flight, aircraft)


def targets_of(plan: Plan, names: list[str], fuel_unit: str = "L") -> list[Target]:
    return [
        find_target(plan.flight, plan.aircraft, name, fuel_unit if name.startswith("fuel") else "kg")
        for name in names
    ]


def some_loads(model: SweepModel, targets: list[Target], aircraft: Aircraft, seed: int) -> np.ndarray:
    """Loadings around what the aircraft can carry, a tenth of the figures zero."""
    random = np.random.default_rng(seed)
    columns = []
    for target, column in zip(targets, model.columns, strict=True):
        seats = (
            1 if target.kind == "seat" else aircraft.stations[target.station].seats if target.station else 0
        )
        rooms = [tank.usable_capacity for tank in model.tanks]
        top = 95.0 * seats or 25.0
        if column.kind != "mass":
            top = sum(rooms) if column.kind == "fuel" else rooms[column.tank]
        columns.append(random.random(CHECKED) * top * (random.random(CHECKED) > 0.1))
    return np.stack(columns, axis=1)


def uncertain_by_rounding(plan: Plan) -> set[str]:
    """Groups whose least margin lies where the uncertainty itself jumps and rounding chooses the side.

    That is a corner of the edge, where its slope has two values, and the last drop, where fuel stops being
    uncertain.
    """
    corners = [mass for edge in (plan.envelope.forward, plan.envelope.aft) for mass, _ in edge.points]
    least = group_margins(plan)
    found = set()
    for place, limit in zip(plan.burn.least, plan.burn.limits, strict=True):
        near = (
            place.point.fuel < 1e-8 or min(abs(place.point.total.mass - corner) for corner in corners) < 1e-6
        )
        group = limit.group
        if near and limit.margin <= least[group] + CLOSE:
            found.add(group)
    return found


def by_group(plan: Plan) -> dict[str, tuple[float, float, int]]:
    """(least margin, the greatest U of those that are least, worst verdict) of every group, from the plan's
    own limits.
    """
    limits = [(limit.group, limit) for limit in plan.limits()]
    result = {}
    for group in {name for name, _ in limits}:
        mine = [limit for name, limit in limits if name == group]
        least = min(limit.margin for limit in mine)
        u = max(limit.uncertainty for limit in mine if limit.margin <= least + CLOSE)
        result[group] = (least, u, max(ORDER.index(limit.verdict) for limit in mine))
    return result


def check(name: str, names: list[str], seed: int, fuel_unit: str = "L") -> None:
    flight, aircraft, plan = flight_of(name)
    targets = targets_of(plan, names, fuel_unit)
    model = compile_sweep(plan, targets)
    loads = some_loads(model, targets, plan.aircraft, seed)
    found = Sweeper(model).judge(loads)
    for row, load in enumerate(loads):
        at = f"{name} {dict(zip(names, load.tolist(), strict=True))}"
        codes: set[str] = set()
        try:
            alone = plan_of_row(flight, aircraft, model, targets, load)
        except InputRefused as refused:
            codes = {finding.code for finding in refused.findings}
        if codes:
            assert codes == {"phase-longer-than-tank"}, at
            assert found.verdicts[GROUPS.index("tank"), row] == OUTSIDE == found.verdict[row], at
            assert found.margins[GROUPS.index("tank"), row] < 0, at
            continue
        expected, doubtful = by_group(alone), uncertain_by_rounding(alone)
        for place, group in enumerate(GROUPS):
            if group not in expected:
                assert found.margins[place, row] == np.inf, (at, group)
                assert found.verdicts[place, row] == 0, (at, group)
                continue
            margin, u, verdict = expected[group]
            assert found.margins[place, row] == pytest.approx(margin, rel=0, abs=CLOSE), (at, group)
            if group not in doubtful:
                assert found.uncertainties[place, row] == pytest.approx(u, rel=0, abs=CLOSE), (at, group)
                assert found.verdicts[place, row] == verdict, (at, group)
            assert (found.verdicts[place, row] == OUTSIDE) == (verdict == OUTSIDE), (at, group)
        if not doubtful:
            assert found.verdict[row] == ORDER.index(alone.verdict), at
        for place, state in enumerate(alone.states):
            assert found.masses[place, row] == pytest.approx(state.total.mass, rel=0, abs=CLOSE), at
            assert found.cgs[place, row] == pytest.approx(state.total.centre_of_gravity, rel=0, abs=CLOSE), at


def test_the_flights_here_are_of_every_demo_aircraft() -> None:
    assert {flight_of(name)[0].record.aircraft for name in NAMES} == set(profile_ids())


@pytest.mark.parametrize("name", NAMES)
def test_every_station_and_all_fuel(name: str) -> None:
    check(name, [*flight_of(name)[2].aircraft.stations, "fuel"], seed=1)


@pytest.mark.parametrize("name", NAMES)
def test_each_tank_by_mass_and_some_stations(name: str) -> None:
    aircraft = flight_of(name)[2].aircraft
    check(
        name,
        [*list(aircraft.stations)[1:], *(f"fuel {tank}" for tank in aircraft.tanks)],
        seed=2,
        fuel_unit="kg",
    )


@pytest.mark.parametrize("name", ["helicopter-lateral", "turboprop"])
def test_single_seats(name: str) -> None:
    check(name, ["front seats 1", "front seats 2", "rear seats 2", "fuel"], seed=3)


@settings(max_examples=12, deadline=None)
@given(name=st.sampled_from(NAMES), seed=st.integers(0, 2**32 - 1))
def test_any_loading(name: str, seed: int) -> None:
    check(name, [*list(flight_of(name)[2].aircraft.stations)[::2], "fuel"], seed)


@settings(max_examples=30, deadline=None)
@given(name=st.sampled_from(NAMES), seed=st.integers(0, 2**32 - 1), cut=st.integers(1, 11))
def test_neither_order_nor_blocks_change_an_answer(name: str, seed: int, cut: int) -> None:
    plan = flight_of(name)[2]
    targets = targets_of(plan, [*plan.aircraft.stations, "fuel"])
    model = compile_sweep(plan, targets)
    loads = some_loads(model, targets, plan.aircraft, seed)
    whole = Sweeper(model).judge(loads)
    order = np.random.default_rng(seed).permutation(len(loads))
    parts = [Sweeper(model, rows=16).judge(loads[order][part]) for part in (slice(0, cut), slice(cut, None))]
    assert np.array_equal(np.concatenate([part.verdict for part in parts]), whole.verdict[order])
    assert np.allclose(
        np.concatenate([part.margins for part in parts], axis=1), whole.margins[:, order], rtol=0, atol=CLOSE
    )


@pytest.mark.parametrize("name", NAMES)
def test_the_least_mass_margin_is_concave_in_the_load(name: str) -> None:
    """Each limit's margin is a straight line in one load, the least of straight lines bends down only."""
    plan = flight_of(name)[2]
    targets = targets_of(plan, [next(iter(plan.aircraft.stations)), "fuel"])
    loads = np.stack([np.linspace(0.0, 700.0, 60), np.full(60, 0.05)], axis=1)
    margins = Sweeper(compile_sweep(plan, targets)).judge(loads).margins[GROUPS.index("mass")]
    assert np.all(np.diff(margins, 2) <= CLOSE)
    assert margins[-1] < margins[30] < margins.max()
