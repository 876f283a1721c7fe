"""How sure a plan is: its weakest limit, the budget behind it, what measuring better buys, and what the
density is worth.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Final

from planner.density.basis import STANDARD_METHOD, choose
from planner.facts.evidence import EVIDENCE
from planner.facts.grades import GRADES
from planner.flight.envelope import LimitResult, Verdict, verdict
from planner.flight.fuel import held_after
from planner.plan.compiling import compile_flight
from planner.plan.fuelling import plan_fuel
from planner.plan.results import Plan, State
from planner.quantities.effects import BATCH, FUEL_DENSITY, fuel_in, seat_labels
from planner.quantities.frozen import frozen
from planner.quantities.sentences import percent
from planner.sureness.certainty import Share, budget, expanded_with

# What a careful measurement reaches: common practice, no published source.
WEIGHED_AIRCRAFT_MASS: Final = 1.0  # kg
WEIGHED_AIRCRAFT_ARM: Final = 0.002  # m
MEASURED_DENSITY: Final = 0.5  # kg/m3, a density bottle or hydrometer well used
DIPPED_TANK: Final = 0.001  # m3, a stick made for the tank, on level ground


@frozen
class LimitBudget:
    """The budget of one limit; `where` is the load, the fuel, the state or the burn."""

    where: str
    limit: LimitResult
    shares: tuple[Share, ...]


@frozen
class Improvement:
    """One thing that could be measured better: `what` to do, the U it would leave on the weakest limit, and
    the verdict then.
    """

    what: str
    uncertainty: float
    verdict: Verdict


@frozen
class BookComparison:
    """What the density used buys over the book figure, signed as used minus book: fuel mass [kg], take-off CG
    [m], endurance [s]; or why not compared.
    """

    book_density: float
    mass: float = 0.0
    cg: float = 0.0
    endurance: float = 0.0
    reason: str = ""


@frozen
class Sureness:
    """The weakest limit, one sentence about it, every budget, improvements ranked, and the density against
    the book.
    """

    weakest: LimitBudget
    sentence: str
    budgets: tuple[LimitBudget, ...]
    improvements: tuple[Improvement, ...]
    book: BookComparison


def _placed(plan: Plan) -> Iterator[tuple[str, LimitResult]]:
    for limit in plan.load_limits:
        yield "load", limit
    for state in plan.states:
        for limit in state.limits:
            yield state.name, limit
    for limit in plan.burn.limits:
        yield "burn", limit
    yield plan.fuel.enough.place, plan.fuel.enough


def _tightness(limit: LimitResult) -> tuple[int, float]:
    """Order from weakest: outside first by depth, then by margin in units of U, then by margin as a share of
    the limit.
    """
    if limit.margin >= 0 and limit.uncertainty > 0:
        margin, uncertainty = limit.tightest
        return (1, margin / uncertainty)
    return (0 if limit.margin < 0 else 2, limit.margin / max(abs(limit.limit), 1e-9))


def sureness(plan: Plan) -> Sureness:
    """How sure the plan is and why.

    The weakest limit is an outside one if any, else that with the least margin per U. Improvements scale the
    causes of that limit to what a careful measurement reaches and are ranked by the U they leave.

    Parameters: a Plan. Returns a Sureness in SI.
    Source: [jcgm-100] 5.1.2, 6.2.1.
    """
    standard = plan.density.method == STANDARD_METHOD
    budgets = tuple(LimitBudget(where, limit, _shares(limit, standard)) for where, limit in _placed(plan))
    # A load limit says nothing about measuring unless its load is unsure, so limits with a budget come first.
    weakest = min(budgets, key=lambda each: _tightness(each.limit))
    improvements = [
        Improvement(
            what, left := expanded_with(weakest.limit.causes, factors), verdict(weakest.limit.margin, left)
        )
        for what, factors in measurements(plan)
    ]
    # Nothing is promised for an outside: measuring better cannot bring it in.
    useful = [
        each
        for each in improvements
        if weakest.limit.margin >= 0 and each.uncertainty < weakest.limit.uncertainty * 0.995
    ]
    return Sureness(
        weakest=weakest,
        sentence=_sentence(plan, weakest),
        budgets=budgets,
        improvements=tuple(sorted(useful, key=lambda each: each.uncertainty)),
        book=compare_with_book(plan),
    )


def _shares(limit: LimitResult, standard: bool) -> tuple[Share, ...]:
    """The budget of a limit; behind a `standard` density the cause is which batch the fuel is of."""
    shares = budget(limit.causes)
    return tuple(
        replace(each, cause=BATCH) if standard and each.cause == FUEL_DENSITY else each for each in shares
    )


def _sentence(plan: Plan, weakest: LimitBudget) -> str:
    limit = weakest.limit
    where = {"load": "", "burn": "", "fuel": ""}.get(weakest.where, f" ({weakest.where})")
    if not weakest.shares:
        if not plan.uncertainties_stated:
            return (
                "no uncertainties stated: every figure counts as exact; the tightest limit is"
                f" {limit.name}{where}"
            )
        return f"nothing that is stated as unsure moves the tightest limit, {limit.name}{where}"
    first, *rest = weakest.shares
    why = f"{percent(first.share)} of it from '{first.cause}'"
    if rest:
        why += f" and {percent(rest[0].share)} from '{rest[0].cause}'"
    if limit.verdict == "outside":
        return (
            f"outside on the figures as they stand: {limit.name}{where}; uncertainty cannot improve that"
            f" ({why})"
        )
    ratio = limit.margin / limit.uncertainty
    return f"least sure of {limit.name}{where}: its margin is {ratio:.1f} times its U, {why}"


def measurements(plan: Plan) -> Iterator[tuple[str, Mapping[str, float]]]:
    """(what to do, cause -> new u / old u) for everything that could be measured better."""
    for name, masses in plan.flight.load.items():
        person = plan.aircraft.stations[name].kind == "seats"
        best = EVIDENCE[("person" if person else "bag", "weighed")].u
        labels = seat_labels(name, len(masses))
        factors = {label: best / mass.u for label, mass in zip(labels, masses, strict=True) if mass.u > best}
        if factors:
            one = f"the one on {name}" if person else f"what is on {name}"
            yield f"weigh {f'the {len(factors)} people on {name}' if len(factors) > 1 else one}", factors
    empty = plan.aircraft.basic_empty
    weighed = (
        ("basic empty mass", empty.mass, WEIGHED_AIRCRAFT_MASS),
        ("basic empty arm", empty.arm, WEIGHED_AIRCRAFT_ARM),
        ("basic empty moment", empty.moment, WEIGHED_AIRCRAFT_ARM * empty.mass.value),
    )
    if factors := {cause: u / had.u for cause, had, u in weighed if had is not None and had.u > u}:
        yield "weigh the aircraft again", factors
    if plan.density.u > MEASURED_DENSITY:
        better = {FUEL_DENSITY: MEASURED_DENSITY / plan.density.u}
        if plan.density.method == STANDARD_METHOD:
            yield "ask the supplier for the density of the batch", better
        yield "measure the density of the fuel", better
    for each in plan.fuel.tanks:
        if each.u > DIPPED_TANK:
            better = {fuel_in(each.tank.name): DIPPED_TANK / each.u}
            yield f"dip the {each.tank.name} tank with its own stick", better


def compare_with_book(plan: Plan) -> BookComparison:
    """The plan's density against the grade's standard figure at the same temperature, with the same fuel in
    the tanks.

    Returns differences used minus book: fuel mass [kg], take-off CG [m], endurance [s] (zero where all flows
    are by volume).
    Source: the grade's own sources; [api-mpms-11.1] Table 54B.
    """
    grade = GRADES[plan.flight.fuel.grade]
    if plan.density.method == STANDARD_METHOD:
        return BookComparison(plan.density.density, reason="the plan uses the book figure itself")
    temperature = plan.flight.fuel.temperature
    # A flight's fuel is at -50 to 60 degC, where the tables of no grade's standard figure end.
    book = grade.standard_density if temperature is None else choose(grade, temperature, source="").density
    density = replace(plan.density, density=book, u=0.0)
    tanks = tuple(
        each if not each.by_mass else replace(each, volume=each.mass / book) for each in plan.fuel.tanks
    )
    here = compile_flight(plan.flight, plan.aircraft, tanks, density)
    fuelling = plan_fuel(here)
    takeoff: State = plan.state("takeoff")
    burnt, _ = held_after(fuelling.draws, "taxi", ([each.volume for each in tanks], ()))
    cg = here.total_with(burnt).centre_of_gravity
    aboard_mass = sum(each.volume for each in tanks) * book
    return BookComparison(
        book,
        plan.fuel.aboard_mass - aboard_mass,
        takeoff.total.centre_of_gravity - cg,
        plan.fuel.endurance - fuelling.plan.endurance,
    )
