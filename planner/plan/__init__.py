"""The main job: one flight planned from its records."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from planner.facts.grades import GRADES, Grade
from planner.flight.envelope import NOISE, LimitResult, Verdict, worst
from planner.flight.fuel import combined
from planner.flight.model import Model
from planner.plan.compiling import compile_flight
from planner.plan.contents import expansion_vents, fuel_in_tanks
from planner.plan.examples import examples_differ
from planner.plan.from_ledger import resolve, with_heavier
from planner.plan.fuelling import Fuelling, plan_fuel
from planner.plan.inputs import agrees, density_of
from planner.plan.results import BurnResult, Plan, State
from planner.plan.states import burn, load_limits, states
from planner.quantities.effects import COVERAGE, FUEL_DENSITY
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, say
from planner.records.aircraft.record import Aircraft
from planner.records.document import Document, Location, all_or_refuse
from planner.records.flight.record import Flight
from planner.records.placed import Located, found, in_order, notice, place_all
from planner.records.store import Loaded, load_flight_file


def plan_flight(flight: Loaded[Flight], aircraft: Loaded[Aircraft]) -> Plan:
    """Plan one flight: density, fuel, loading, every state, the whole burn, every limit.

    Parameters: both records as loaded and checked. Returns a frozen Plan in SI.
    Raises InputRefused for what only shows once figures are joined: an overfilled tank, a density that is not
    the grade's, a phase longer than the tank it names.
    Source: [faa-h-8083-1b] ch. 5 computational method; [jcgm-100]; the rule's own citation.
    """
    flight, heavier = resolve(flight, aircraft)
    plan = _planned(flight, aircraft)
    return plan if heavier is None else with_heavier(plan, _planned(heavier, aircraft))


def _planned(flight: Loaded[Flight], aircraft: Loaded[Aircraft]) -> Plan:
    """One flight planned, its fuel stated tank by tank."""
    begun = begin(flight, aircraft)
    model, fuel, core = begun.model, begun.fuelling.plan, _judged(begun.model, begun.fuelling)
    return Plan(
        flight=flight.record,
        aircraft=aircraft.record,
        aircraft_path=aircraft.document.path,
        flight_path=flight.document.path,
        grade=GRADES[flight.record.fuel.grade],
        model=model,
        fuel=fuel,
        states=core.states,
        burn=core.burn,
        load_limits=core.loads,
        verdict=core.verdict,
        uncertainties_stated=any(effect for state in core.states for effect in state.effects)
        or fuel.uncertainty > 0,
        findings=(
            *aircraft.notices,
            *flight.notices,
            *examples_differ(aircraft),
            *model.density.findings,
            *place_all(flight.document, _notices(flight.record, aircraft.record, model, core)),
        ),
    )


@frozen
class Begun:
    """A flight compiled with the fuel planned for it, no other limit judged yet."""

    model: Model
    fuelling: Fuelling


def begin(flight: Loaded[Flight], aircraft: Loaded[Aircraft]) -> Begun:
    """What every limit of a flight is judged by. All that is refused of a flight already loaded is refused
    here.

    Parameters and refusals as for `plan_flight`, the fuel stated tank by tank. Source: as `plan_flight`.
    """
    record, document, profile = flight.record, flight.document, aircraft.record
    density = density_of(record, document)
    tanks, wrong = fuel_in_tanks(record, profile, density)
    told = _placed(document, *agrees(record, density), *wrong)
    density = replace(density, findings=(*density.findings, *told))
    return _fuelled(compile_flight(record, profile, tanks, density), document)


def refuelled(begun: Begun, flight: Loaded[Flight], aircraft: Loaded[Aircraft]) -> Begun:
    """The same with the fuel of `flight` in the tanks, all else as `begun`.

    Refusals and source as for `plan_flight`.
    """
    tanks, wrong = fuel_in_tanks(flight.record, aircraft.record, begun.model.density)
    _placed(flight.document, *wrong)
    return _fuelled(replace(begun.model, tanks=tanks), flight.document)


def _fuelled(model: Model, document: Document) -> Begun:
    """With its fuel planned. Refuses a phase that its own tank does not last for."""
    fuelling = plan_fuel(model)
    _placed(document, *_too_long(fuelling))
    return Begun(model, fuelling)


def _placed(document: Document, *located: Located) -> tuple[Finding, ...]:
    """Findings with their place, in the order of the file. Raises InputRefused where one is a refusal."""
    return all_or_refuse(in_order(place_all(document, located)))


@frozen
class _Judged:
    """What one density makes of a flight."""

    enough: LimitResult
    states: tuple[State, ...]
    burn: BurnResult
    loads: tuple[LimitResult, ...]

    @property
    def verdict(self) -> Verdict:
        limits = [*self.loads, *(limit for state in self.states for limit in state.limits), *self.burn.limits]
        return worst([each.verdict for each in (*limits, self.enough)])


def _judged(model: Model, fuelling: Fuelling) -> _Judged:
    return _Judged(
        enough=fuelling.plan.enough,
        states=states(model, fuelling.draws, fuelling.off),
        burn=burn(model, fuelling.draws),
        loads=load_limits(model, fuelling.draws),
    )


def _notices(record: Flight, profile: Aircraft, model: Model, core: _Judged) -> Iterator[Located]:
    """What a pilot is told beside the limits, in the order of the report."""
    grade = GRADES[record.fuel.grade]
    yield from expansion_vents(model.tanks, model.density, grade)
    yield from _immediate_return(model, core.states[1].total.mass)
    yield from _forbidden(record, profile)
    yield from _legs_follow(record)
    if record.fuel.density.fixed is not None and not model.density.u:
        yield _fixed_exact(record, profile, model, grade, core.verdict)


def _fixed_exact(record: Flight, profile: Aircraft, model: Model, grade: Grade, now: Verdict) -> Located:
    """density-fixed-exact: a fixed density without an uncertainty, and what the grade's band would make of
    the plan.
    """
    tanks, density, u = model.tanks, model.density, grade.batch_u
    by_mass = {FUEL_DENSITY: -u / density.density}
    unsure = tuple(
        replace(each, changes=combined(each.changes, by_mass, each.volume)) if each.by_mass else each
        for each in tanks
    )
    banded = compile_flight(record, profile, unsure, replace(density, u=u))
    verdict = _judged(banded, plan_fuel(banded)).verdict
    span = math.fsum(each.volume for each in tanks if not each.by_mass) * COVERAGE * u
    then = f"be '{verdict}'" if verdict != now else "stay the same"
    words = (
        "the fixed density counts as exact; with the band of {} the fuel could be {} lighter or heavier and"
        " the verdict would {}"
    )
    message = say(words, grade.name, Figure(span, "mass"), then)
    hint = "write what is known of it behind '+/-', or give the density of the batch"
    return found(("fuel", "density", "fixed"), "density-fixed-exact", message, hint=hint, severity="notice")


def plan_file(path: Path | str) -> Plan:
    """Read, check and plan a flight file, or standard input for `-`. Raises InputRefused."""
    return plan_flight(*load_flight_file(path))


def _too_long(fuelling: Fuelling) -> Iterator[Located]:
    """phase-longer-than-tank, refused: a phase that names a tank which does not hold enough."""
    for shortage in fuelling.shortages:
        leg, words = shortage.leg, "'{}' needs {} more than {} holds when it begins"
        if leg.tanks:
            # The legs of taxi and trip are the first phases of the file, in its order.
            location: Location = (
                ("alternate", "tank") if leg.stage == "alternate" else ("trip", shortage.number, "tank")
            )
            tanks = " and ".join(leg.tanks)
            message = say(words, leg.phase, Figure(shortage.missing, "volume"), tanks)
            yield found(
                location,
                "phase-longer-than-tank",
                message,
                "a phase must fit its tank",
                "split the phase and name another tank for the rest",
            )


def _immediate_return(model: Model, takeoff_mass: float) -> Iterator[Located]:
    """immediate-return: at take-off the aircraft is heavier than it may land."""
    if model.landing is not None and (excess := takeoff_mass - model.landing) > NOISE * takeoff_mass:
        message = say(
            "an immediate return would land {} above the maximum landing mass", Figure(excess, "mass")
        )
        yield found(
            (),
            "immediate-return",
            message,
            hint="know what the manual asks for after an overweight landing",
            severity="notice",
        )


def _forbidden(flight: Flight, aircraft: Aircraft) -> Iterator[Located]:
    """station-forbidden: load where the category allows none."""
    for name in aircraft.envelopes[flight.category].forbids:
        if any(mass.value for mass in flight.load.get(name, ())):
            message = f"the {flight.category} category allows no load on '{name}'"
            yield found(
                ("load", name),
                "station-forbidden",
                message,
                hint="unload it or plan another category",
                severity="notice",
            )


def _legs_follow(flight: Flight) -> Iterator[Located]:
    """legs-follow: for commands that plan the first leg only."""
    if count := len(flight.legs):
        message = f"{count} more leg{'s follow' if count > 1 else ' follows'}; this is the first"
        yield notice(("legs",), "legs-follow", message, hint="'planner flight' plans all legs")


__all__ = ["Begun", "InputRefused", "Plan", "begin", "plan_file", "plan_flight", "refuelled"]
