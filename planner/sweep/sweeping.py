"""From a plan and the quantities left open to what a sweep works on, and from a row of a sweep back to a
flight.

A row means the flight file with those figures typed in, without an uncertainty of their own: a sweep checks
all that `planner flight` checks. numpy is loaded with this module, so only what sweeps imports it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.flight.fuel import Changes, FuelTank, Leg
from planner.flight.limits import ALL_SEATS
from planner.flight.loading import Loading
from planner.flight.model import Model
from planner.plan import plan_flight
from planner.plan.from_ledger import resolve
from planner.plan.fuelling import surplus_changes
from planner.plan.results import Plan
from planner.quantities.effects import FUEL_DENSITY
from planner.quantities.moments import total
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.document import Location
from planner.records.flight.record import Flight
from planner.records.store import Loaded
from planner.sweep.block import LoadColumn, LoadLimit, SweepModel
from planner.sweep.block.fuelrows import volumes_of
from planner.sweep.targets import Target


def _rest(plan: Plan, targets: Sequence[Target]) -> Loading:
    """Everything aboard but usable fuel and what the targets set."""
    load = dict(plan.model.masses)
    for target in targets:
        if target.kind == "station":
            load.pop(target.station, None)
        elif target.kind == "seat":
            masses = list(load[target.station])
            masses[target.seat] = (0.0, 0.0)
            load[target.station] = tuple(masses)
    return plan.model.loaded(load)


def _columns(model: Model, targets: Sequence[Target]) -> tuple[LoadColumn, ...]:
    tanks = {each.tank.name: index for index, each in enumerate(model.tanks)}
    columns = []
    for target in targets:
        if target.station:
            place = model.arms[target.station]
            given = len(model.masses.get(target.station, ()))
            side, side_u = place.lateral(max(target.seat, 0), given if target.seat >= 0 else 1)
            columns.append(
                LoadColumn(
                    kind="mass",
                    arm=place.arm,
                    lateral_arm=side,
                    arm_cause=f"{target.station} arm",
                    arm_u=place.arm_u,
                    side_cause=place.side_cause(target.name),
                    side_u=side_u,
                )
            )
        elif target.kind == "tank":
            columns.append(LoadColumn("tank", tank=tanks[target.tank]))
        else:
            columns.append(LoadColumn("fuel"))
    return tuple(columns)


def _load_limits(model: Model, rest: Loading, targets: Sequence[Target]) -> tuple[LoadLimit, ...]:
    """Every limit of the register on the load, with the columns that set part of it."""
    fixed = {each.station: each for each in rest.stations}
    masses = {name: [mass for _, mass, _ in each.masses] for name, each in fixed.items()}
    named = {*fixed, *(target.station for target in targets if target.station)}
    found = []
    for limit in model.aboard():
        if limit.place != "load" or not limit.asked(dict.fromkeys(named)):
            continue
        columns, squares = [], []
        for station, seat, weight in limit.seats:
            # One figure for a whole station counts as its first seat.
            columns += [
                (index, weight)
                for index, target in enumerate(targets)
                if target.station == station and (seat == ALL_SEATS or seat == max(target.seat, 0))
            ]
            if station in fixed:
                squares += [
                    weight * u
                    for at, (_, _, u) in enumerate(fixed[station].masses)
                    if seat in (ALL_SEATS, at)
                ]
        u = float(np.hypot.reduce([0.0, *squares]))
        found.append(LoadLimit(limit, float(limit.of_load(masses)), tuple(columns), u))
    return tuple(found)


def _legs(plan: Plan) -> tuple[Leg, ...]:
    """What is burnt in order; the reserve takes all that is left, so its own volume does not matter."""
    return (
        *(leg for leg in plan.fuel.legs if leg.stage != "taxi in"),
        Leg(plan.rule.basis, "reserve", 0.0, 0.0),
    )


def _surplus_changes(plan: Plan, set_by_column: Sequence[bool]) -> Changes:
    """What every cause but the density does to aboard less required [m3]."""
    kept = (each for each, is_set in zip(plan.fuel.tanks, set_by_column, strict=True) if not is_set)
    found = surplus_changes(kept, plan.fuel.lines)
    return {cause: change for cause, change in found.items() if cause != FUEL_DENSITY}


def _setters(tanks: Sequence[FuelTank], targets: Sequence[Target]) -> list[Target | None]:
    """The target that sets what is in each tank, or None."""
    set_by = {target.tank: target for target in targets if target.kind in ("tank", "fuel")}
    return [set_by.get(tank.name, set_by.get("")) for tank in tanks]


def compile_sweep(plan: Plan, targets: Sequence[Target]) -> SweepModel:
    """The flight of `plan` with the `targets` left open, in SI. The targets do not conflict (see
    `conflicts`).
    """
    model, rest = plan.model, _rest(plan, targets)
    tanks = tuple(each.tank for each in model.tanks)
    setters = _setters(tanks, targets)
    is_set = [setter is not None for setter in setters]
    return SweepModel(
        flight=model,
        columns=_columns(model, targets),
        fixed=total(rest.items),
        effects=rest.effects,
        tanks=tanks,
        volumes=tuple(each.volume for each in model.tanks),
        changes=tuple({} if known else each.changes for each, known in zip(model.tanks, is_set, strict=True)),
        by_mass=tuple(
            each.by_mass if by is None else by.by_mass for each, by in zip(model.tanks, setters, strict=True)
        ),
        legs=_legs(plan),
        load_limits=_load_limits(model, rest, targets),
        required=plan.fuel.required,
        required_by_mass=plan.fuel.demanded_by_mass,
        surplus_changes=_surplus_changes(plan, is_set),
    )


def plan_of_row(
    flight: Loaded[Flight],
    aircraft: Loaded[Aircraft],
    model: SweepModel,
    targets: Sequence[Target],
    row: Sequence[float],
) -> Plan:
    """One row, in the sweep's kg and m3, planned on its own as `planner flight` would: the same file with
    these figures typed in. Raises InputRefused where that flight is refused.
    """
    changes: dict[Location, object] = {}
    rows = {name: list(masses) for name, masses in flight.record.load.items()}
    for target, value in zip(targets, row, strict=True):
        mass = Quantity(float(value), 0.0, "mass", f"{float(value)!r} kg")
        if target.kind == "station":
            changes["load", target.station] = [mass]
        elif target.kind == "seat":
            rows[target.station][target.seat] = mass
            changes["load", target.station] = rows[target.station]
    volumes = volumes_of(model, np.array([row], dtype=np.float64))
    for tank, each, setter in zip(model.tanks, volumes, _setters(model.tanks, targets), strict=True):
        volume = float(each[0])
        if setter is not None and setter.by_mass:
            kg = volume * model.density
            changes["fuel", "tanks", tank.name] = Quantity(kg, 0.0, "mass", f"{kg!r} kg")
        elif setter is not None:
            changes["fuel", "tanks", tank.name] = Quantity(volume, 0.0, "volume", f"{volume!r} m3")
    if any(each.kind in ("tank", "fuel") for each in targets):
        flight, _ = resolve(flight, aircraft)  # one tank given, the others hold what the ledger says
    return plan_flight(flight.with_(changes, aircraft), aircraft)
