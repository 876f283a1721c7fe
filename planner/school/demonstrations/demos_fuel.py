"""Demonstrations about fuel density, temperature, and how sure a margin is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from planner.density.petroleum import density_at
from planner.flight.envelope import LimitResult
from planner.plan.results import Plan
from planner.quantities.effects import Gradient, contributions
from planner.school.dice import Pen
from planner.school.lab import Lab, Shown
from planner.school.problem import PrintedTable


def _weighed(
    lab: Lab, show: Pen, heads: tuple[str, str], cases: Sequence[tuple[str, float, str, str]]
) -> Shown:
    """Full tanks at several densities [kg/m3], with the keys and words of each; nothing said yet."""
    figures = {key: density * lab.usable for key, density, *_ in cases}
    rows = tuple((*words, show.mass(figures[key])) for key, _, *words in cases)
    working = tuple(
        f"{show.volume(lab.usable)} x {show.show(density, 'density')} = {show.mass(figures[key])}"
        for key, density, *_ in cases
    )
    table = PrintedTable((*heads, "mass"), rows)
    return Shown(holds=True, found=(), table=table, lesson="", figures=figures, working=working)


def density_both_ways(lab: Lab, show: Pen) -> Shown:
    """Full tanks at the light and the heavy end of the grade."""
    low, high = (695.0, 735.0) if lab.grade.kind == "avgas" else lab.grade.band
    full, densities = show.volume(lab.usable), (low, lab.density, high)
    cases = [(f"mass_at_{each:.0f}_kg", each, show.show(each, "density"), full) for each in densities]
    difference = show.mass((high - low) * lab.usable)
    found = f"The same {full} of {lab.grade.name} weigh {difference} more or less, by batch alone."
    lesson = (
        "Dense fuel makes the aircraft heavy, light fuel takes it less far: use the high figure for limits"
        " and the low one for endurance."
    )
    shown = _weighed(lab, show, ("density", "full tanks"), cases)
    correction = "Ask the supplier for the density of the batch."
    return replace(shown, found=(found,), lesson=lesson, correction=correction)


def dip_temperature(lab: Lab, show: Pen) -> Shown:
    """The same dip reading in the cold and in the heat."""
    at = {celsius: density_at(lab.density, celsius) for celsius in (-20.0, 15.0, 35.0)}
    cases = [
        (f"mass_at_{t:.0f}_c_kg", each, show.show(t, "temperature"), show.show(each, "density"))
        for t, each in at.items()
    ]
    shown, full = _weighed(lab, show, ("fuel at", "density"), cases), show.volume(lab.usable)
    span = show.mass(shown.figures["mass_at_-20_c_kg"] - shown.figures["mass_at_35_c_kg"])
    lesson = "A stick shows volume. The engine burns mass: hot fuel takes you less far on the same reading."
    found = f"One dip reading, {full}: between the cold and the hot morning lie {span} of fuel."
    correction = "Take the temperature of the fuel with the dip, and correct the density to it."
    return replace(shown, found=(found,), lesson=lesson, correction=correction, sources=("api-mpms-11.1",))


def how_sure(lab: Lab, show: Pen) -> Shown:
    """One loading, known well and known badly."""
    if not lab.holds:
        return lab.not_found("it has no baggage place with a limit")
    fuel = min(0.062, lab.usable)
    hold = lab.largest_hold()
    people = lab.people([80.0, 70.0, 78.0, 72.0])
    bag = min(15.0, lab.room(hold))
    cases = (
        ("people and bags stated", 4.0, 2.0, False),
        ("people and bags weighed", 0.5, 0.3, False),
        ("aircraft weighed anew as well", 0.5, 0.3, True),
    )
    rows: list[tuple[str, ...]] = []
    figures: dict[str, float] = {}
    first: Plan | None = None
    for words, u_person, u_bag, weighed in cases:
        load = {name: [f"{mass!r} +/- {u_person} kg" for mass in row] for name, row in people.items()}
        load[hold] = [f"{bag!r} +/- {u_bag} kg"]
        plan = lab.plan(load, fuel, f"{lab.density!r} +/- 4 kg/m3")
        limits = (each for state in plan.states for each in state.limits if each.group in ("forward", "aft"))
        limit = min(limits, key=lambda each: each.margin)
        u = _standard_uncertainty(plan, limit, weighed)
        first = first or plan
        margin, expanded = limit.margin, 2 * u
        word = "OUTSIDE" if margin < 0 else "inside" if margin > expanded else "not shown inside"
        rows.append((words, show.display.span(margin, "length"), show.gap(u), word))
        figures |= {f"u_{len(rows)}_m": u, "margin_m": margin}
    table = PrintedTable(
        ("what is known", f"margin, {limit.name}", "standard uncertainty", "verdict (k = 2)"), tuple(rows)
    )
    found = f"The margin is {rows[-1][1]} in every row; what changes is how sure it is."
    notes = (
        (
            "Standard uncertainties: a stated person 4 kg, a weighed one 0.5 kg, a stated bag 2 kg, a weighed"
            " one 0.3 kg; density 4 kg/m3; the aircraft as its profile says, weighed anew 1 kg and 1.5 mm."
            " Common practice, no published source."
        ),
    )
    correction = (
        "Weigh what has the longest lever first; the report of 'planner flight --certainty' says which"
        " that is."
    )
    lesson = "A margin says how far, its uncertainty how sure. Only the two together say inside."
    if word == "OUTSIDE":
        correction = (
            "This loading is OUTSIDE on this aircraft and is not flown: correct the loading first, then ask"
            " how sure it is."
        )
    return Shown(
        holds=figures["u_1_m"] > 1.2 * figures["u_3_m"],
        found=(found,),
        table=table,
        lesson=lesson,
        correction=correction,
        plan=first,
        figures=figures,
        notes=notes,
        cases=(lab.case("in every row", people | {hold: (bag,)}, fuel),),
    )


def _standard_uncertainty(plan: Plan, limit: LimitResult, weighed: bool) -> float:
    """Standard uncertainty of a margin [m]; of an aircraft weighed anew 1 kg and 1.5 mm are two causes."""
    state = next(each for each in plan.states if limit in each.limits)
    here, mass = state.total, state.total.mass
    edge = plan.envelope.aft if limit.group == "aft" else plan.envelope.forward
    gradient = Gradient(
        mass=-(here.centre_of_gravity / mass + edge.piece_at(mass).slope(mass)), moment=1 / mass
    )
    parts = contributions(state.effects, gradient)
    if weighed:
        empty = plan.loading.items[0]
        parts = {cause: change for cause, change in parts.items() if not cause.startswith("basic empty")}
        parts["weighed mass"] = gradient.mass * 1.0 + gradient.moment * empty.arm
        parts["weighed arm"] = gradient.moment * empty.mass * 0.0015
    return math.hypot(*parts.values())
