"""From the two records to the model that every evaluator reads."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.density.basis import DensityUsed
from planner.facts.rules import RULES
from planner.flight.fuel import Stage
from planner.flight.limits import lateral_of, register
from planner.flight.loading import arms_of, empty_aircraft, loaded, masses_of, variants
from planner.flight.model import Demand, Model, TankFuel
from planner.flight.reserves import Contingency, Given, LineKind, Need
from planner.quantities.moments import total
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.flight.checks import GROUND
from planner.records.flight.record import Flight, Phase

_CONTINGENCY: Final[dict[str, Contingency]] = {"ratio": "share", "time": "time"}
OWN_KINDS: Final[tuple[LineKind, ...]] = ("additional", "extra", "discretionary")


def compile_flight(
    flight: Flight, aircraft: Aircraft, tanks: tuple[TankFuel, ...], density: DensityUsed
) -> Model:
    """The flight in SI, with this fuel in its tanks at this density.

    Parameters: both records, checked; `tanks` in the order of the profile [m3]; `density`. Returns a Model.
    Source: the records; each part as its maker says.
    """
    empty, arms = empty_aircraft(aircraft, density.density, density.u), arms_of(aircraft)
    masses = masses_of(flight.load)
    loading = loaded(empty, arms, masses)
    chord, landing = aircraft.mean_aerodynamic_chord, aircraft.masses.max_landing
    return Model(
        density=density,
        tanks=tanks,
        order=aircraft.feed_order(),
        demand=_demand(flight, aircraft),
        empty=empty,
        arms=arms,
        masses=masses,
        loading=loading,
        zero_fuel=total(loading.items),
        variants=variants(aircraft),
        limits=register(aircraft, flight.category),
        envelope=aircraft.envelopes[flight.category].envelope(),
        lateral=lateral_of(aircraft),
        chord=None if chord is None else (chord.leading_edge.value, chord.length.value),
        landing=None if landing is None else landing.value,
    )


def _given(quantity: Quantity, cause: str) -> Given:
    return Given(quantity.value, quantity.u, cause, by_mass=quantity.dimension in ("mass", "mass flow"))


def _demand(flight: Flight, aircraft: Aircraft) -> Demand:
    share, own = flight.contingency, flight.final_reserve
    flows = {phase: _given(flow, f"{phase} flow") for phase, flow in aircraft.burn.items()}
    further = []
    for kind in OWN_KINDS:
        amount: Quantity | None = getattr(flight, kind)
        if amount is not None:
            further.append(_need(Phase(phase="cruise", fuel=amount), flows, kind, kind))
    return Demand(
        needs=tuple(_flown(flight, flows)),
        further=tuple(further),
        flows=flows,
        contingency=None if share is None else _given(share, "contingency"),
        contingency_is=_CONTINGENCY.get(share.dimension, "amount") if share is not None else "amount",
        own_reserve=None if own is None else _given(own, "final reserve time"),
        rule=RULES[flight.rules],
    )


def _flown(flight: Flight, flows: dict[str, Given]) -> Iterator[Need]:
    """Taxi, trip, taxi after landing and alternate; phases of one name are numbered."""
    airborne = [index for index, phase in enumerate(flight.trip) if phase.phase != GROUND]
    for index, phase in enumerate(flight.trip):
        number = f" ({index + 1})" if sum(each.phase == phase.phase for each in flight.trip) > 1 else ""
        if index < airborne[0]:
            yield _need(phase, flows, "taxi", "taxi", number, "taxi")
        elif index <= airborne[-1]:
            yield _need(phase, flows, "trip", f"trip: {phase.phase}", number, "trip")
        else:
            yield _need(phase, flows, "taxi", "taxi after landing", number, "taxi in")
    if flight.alternate is not None:
        yield _need(flight.alternate, flows, "alternate", "alternate", "", "alternate")


def _need(
    phase: Phase, flows: dict[str, Given], kind: LineKind, name: str, number: str = "", stage: Stage = "trip"
) -> Need:
    own = f"{name}{number}"
    return Need(
        kind=kind,
        name=name,
        amount=_given(phase.fuel, f"{own} as stated") if phase.fuel is not None else None,
        time=_given(phase.time, f"{own} time") if phase.time is not None else None,
        flow=(
            _given(phase.flow, f"{own} flow")
            if phase.flow is not None
            else flows.get(phase.phase, Given(0.0, 0.0, ""))
        ),
        basis=(
            f"{phase.fuel.text} as stated"
            if phase.fuel is not None
            else f"{phase.time.text if phase.time else ''} at the {phase.phase} flow"
        ),
        phase=phase.phase,
        stage=stage,
        tanks=phase.tank,
    )
