"""Remedies and room left as plain JSON data; every key that holds a figure ends in its unit."""

from __future__ import annotations

from typing import Any

from planner.plan.results import Plan
from planner.quantities.units import LITRE, Display
from planner.search.remedies import CardRow, Headroom, Impossible, Remedies, Remedy, Room, Step, Stop
from planner.search.remedies.steps import least_of
from planner.views.flight.flight_json import heading_json
from planner.views.keyed import keyed
from planner.views.limit_words import margin_json
from planner.views.remedy import remedy_words as words


def _figures(of: object, told: str, dimension: str) -> dict[str, Any]:
    """Figures of a change in SI under keys that end in their unit, litres where it is one of fuel."""
    unit = "l" if dimension == "volume" else "kg"
    return keyed(of, " ".join(each.replace("=", f"_{unit}=") for each in told.split()))


def _step(step: Step) -> dict[str, Any]:
    data = keyed(step, "kind subject to", words=words.step_words(step, Display()))
    if step.dimension:
        told = "value=value edge=exact now=now inside_from=low inside_to=high room=room"
        data |= _figures(step, told, step.dimension) | {"narrow": step.narrow}
    if step.tanks:
        data["tanks_l"] = {name: volume / LITRE for name, volume in step.tanks}
    return data


def plan_in_short(plan: Plan) -> dict[str, Any]:
    """Verdict, fuel, load and the least CG margin of a plan, in kg, L and m."""
    least = least_of(plan)
    return keyed(
        plan,
        "verdict least_cg_margin fuel_aboard_l=fuel.aboard fuel_required_l=fuel.required"
        " fuel_surplus_l=fuel.surplus",
        least_cg_margin={"limit": least.name, **margin_json(least)},
        takeoff_mass_kg=plan.state("takeoff").total.mass,
        tanks_l={each.tank.name: each.volume / LITRE for each in plan.fuel.tanks},
        load_kg={name: [mass.value for mass in masses] for name, masses in plan.flight.load.items()},
    )


def _stop(stop: Stop) -> dict[str, Any]:
    def minutes(time: float) -> float | str:
        return time / 60 if time == time else "a phase has no flow in the profile"  # NaN

    first, last, here = map(minutes, stop.times)
    parts = zip(("before", "after"), (stop.before, stop.after), stop.windows, strict=True)
    return keyed(
        stop,
        "earliest_share=earliest latest_share=latest share=chosen earliest_min latest_min at_min"
        " put_in_l=put_in",
        earliest_min=first,
        latest_min=last,
        at_min=here,
        **{
            name: plan_in_short(case.plan)
            | {"usable_fuel_window_l": [window.low / LITRE, window.high / LITRE]}
            for name, case, window in parts
        },
    )


def _remedy(remedy: Remedy) -> dict[str, Any]:
    data = keyed(
        remedy,
        "steps left_behind_kg=left_behind asks=cost narrow uneven_l=uneven",
        steps=[_step(step) for step in remedy.steps],
        result=plan_in_short(remedy.plan),
    )
    if remedy.stop is not None:
        data["stop"] = _stop(remedy.stop)
    return data


def _impossible(item: Impossible) -> dict[str, Any]:
    return keyed(
        item,
        "tried reason fails fuel_short_l=short",
        tried=_step(item.step),
        reason=words.impossible_words(item, Display()),
        fails=[keyed(limit, "where=place limit=title", **margin_json(limit)) for limit in item.failing],
    )


def _room(room: Room) -> dict[str, Any]:
    told = "now=now least=least most=most lower_edge=exact.low upper_edge=exact.high"
    return {"what": room.what} | _figures(room, told, "volume" if room.kind == "fuel" else "mass")


def _row(row: CardRow) -> dict[str, Any]:
    def known(value: float | None) -> float | str:
        return "none is inside" if value is None else value

    return keyed(
        row,
        "usable_fuel_l=fuel note",
        one_more_bag_kg={name: known(value) for name, value in row.bags},
        two_together_kg={name: known(value) for name, value in row.pairs},
    )


def remedies_json(found: Remedies, room: Headroom | None) -> dict[str, Any]:
    """Everything found as JSON data, schema `planner/remedy/1`; `room` where the plan is inside. Cautions
    cannot be left out.
    """
    plan = found.case.plan
    data = keyed(
        plan,
        "schema verdict summary invented=aircraft.invented cautions flight aircraft singles pairs"
        " pairs_sought tried impossible notes findings",
        schema="planner/remedy/1",
        **heading_json(plan),
        aircraft={"name": plan.aircraft.name, "category": plan.flight.category},
        singles=[_remedy(each) for each in found.singles],
        pairs=[_remedy(each) for each in found.pairs],
        pairs_sought=found.pairs_sought,
        tried=words.tried_words(found, Display()),
        impossible=[_impossible(each) for each in found.impossible],
        notes=[words.AGAIN_NOTE, words.ORDER_NOTE, words.PILOT_NOTE],
    )
    if room is not None:
        rooms = {"fuel": room.fuel, "people": room.people, "bags": room.bags}
        data["room"] = {name: [_room(each) for each in held] for name, held in rooms.items()}
        data["room"]["card"] = [_row(each) for each in room.card]
    return data
