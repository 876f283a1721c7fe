"""A plan as plain JSON data: every key ends in its unit, every figure unrounded."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.density.basis import DensityUsed
from planner.flight.burn import Least, Point
from planner.flight.envelope import LimitResult
from planner.plan.results import Plan, State
from planner.quantities.moments import Total
from planner.quantities.units import LITRE, Display
from planner.views.flight.digest import digest
from planner.views.keyed import keyed
from planner.views.limit_words import margin_json
from planner.views.words import (
    LATERAL_UNKNOWN,
    before_start,
    cautions,
    time_known,
    uncertainty_sentence,
    verdict_sentence,
)

if TYPE_CHECKING:
    from planner.sureness.chance import Chance


def density_json(density: DensityUsed) -> dict[str, Any]:
    """A density used: the figure, its u, what it rests on."""
    return keyed(
        density,
        "kg_per_m3=density u_kg_per_m3=u at_15c_kg_per_m3=at_15c temperature_c=temperature method source",
    )


def _limit(limit: LimitResult) -> dict[str, Any]:
    return keyed(limit, "name value limit", **margin_json(limit), causes=dict(limit.causes))


def _place(plan: Plan, point: Point) -> dict[str, Any]:
    known: float | str = (
        point.time / 60.0
        if time_known(plan, point)
        else "a phase flown before this has no flow in the profile"
    )
    return keyed(point, "fuel_remaining_l=fuel minutes phase", minutes=known)


def _least(plan: Plan, least: Least, limit: LimitResult) -> dict[str, Any]:
    found = keyed(least, "limit margin", unit="m", **_place(plan, least.point))
    found |= keyed(limit, "mass_kg expanded_uncertainty=uncertainty verdict", mass_kg=least.point.total.mass)
    if limit.doubt is not None:  # where a margin that is larger is not shown inside
        told = "margin unit expanded_uncertainty=uncertainty fuel_remaining_l=fuel"
        found["doubt"] = keyed(limit.doubt, told, unit="m")
    return found


def _across(plan: Plan, value: float) -> float | str:
    """A lateral figure [m], or why there is none."""
    return value if plan.aircraft.lateral_known else LATERAL_UNKNOWN


def _of_total(plan: Plan, total: Total) -> dict[str, Any]:
    across = _across(plan, total.lateral_centre_of_gravity)
    return keyed(total, "mass_kg=mass cg_m=centre_of_gravity", lateral_cg_m=across)


def _state(plan: Plan, state: State) -> dict[str, Any]:
    return keyed(
        state,
        "name mass_kg moment_kg_m=total.moment cg_m cg_percent_mac=percent_mac lateral_cg_m fuel_l=fuel",
        **_of_total(plan, state.total),
        limits=[_limit(limit) for limit in state.limits],
    )


def _fuel(plan: Plan) -> dict[str, Any]:
    fuel, density = plan.fuel, plan.density.density
    tanks = {
        each.tank.name: keyed(
            each,
            "usable_l=volume u_usable_l=u unusable_l=tank.unusable capacity_l=tank.capacity space_l=space"
            " usable_kg=mass arm_m=arm lateral_arm_m dip_m=dip origin",
            lateral_arm_m=_across(plan, each.tank.lateral_arm),
            at_final_reserve_l=at_reserve / LITRE,
            at_final_reserve_dip_m=dip,
        )
        for each, at_reserve, (_, dip) in zip(
            fuel.tanks, fuel.reserve_volumes, fuel.reserve_dips, strict=True
        )
    }
    lines = [
        keyed(line, "name kind l=volume u_l=u kg min=time basis", kg=line.volume * density)
        for line in fuel.lines
    ]
    return keyed(
        fuel,
        "aboard_l=aboard aboard_kg=aboard_mass required_l=required required_kg minimum_l=minimum"
        " surplus_l=surplus surplus_expanded_uncertainty_l=uncertainty final_reserve_l=final_reserve.volume"
        " final_reserve_kg final_reserve_min=final_reserve.time final_reserve_dips_m endurance_min=endurance"
        " endurance_basis runs_dry_in demand_density_kg_per_m3=demand_density verdict",
        required_kg=fuel.required * density,
        final_reserve_kg=fuel.final_reserve.volume * density,
        final_reserve_dips_m=dict(fuel.reserve_dips),
        lines=lines,
        tanks=tanks,
    )


def _burn(plan: Plan) -> dict[str, Any]:
    margins = [
        _least(plan, least, limit) for least, limit in zip(plan.burn.least, plan.burn.limits, strict=True)
    ]
    crossings = [
        keyed(each, "limit", **_place(plan, each.point), **_of_total(plan, each.point.total))
        | {"direction": each.direction}
        for each in plan.burn.crossings
    ]
    smallest: dict[str, Any] | str = "no usable fuel aboard, so nothing is burnt"
    if margins:
        smallest = min(margins, key=lambda each: float(each["margin"]))
    return {"least_margin": smallest, "least_margins": margins, "crossings": crossings}


def _aircraft(plan: Plan) -> dict[str, Any]:
    empty = plan.aircraft.basic_empty
    return keyed(
        plan.aircraft,
        "name profile category source datum basic_empty_mass_kg=basic_empty.mass.value basic_empty_arm_m"
        " basic_empty_date=basic_empty.date basic_empty_version=basic_empty.version_id"
        " basic_empty_established=basic_empty.established",
        profile=plan.aircraft_path,
        category=plan.flight.category,
        basic_empty_arm_m=empty.arm_value(),
        basic_empty_next_due=str(empty.next_due or "not stated"),
    )


def heading_json(plan: Plan) -> dict[str, Any]:
    """What stands first in all data of a plan, to be put at its keys: no data goes without the cautions."""
    flight = plan.flight
    return {
        "summary": verdict_sentence(plan, Display()),
        "cautions": list(cautions(plan)),
        "flight": {"title": flight.title, "date": str(flight.date or "not stated"), "file": plan.flight_path},
    }


def flight_json(plan: Plan) -> dict[str, Any]:
    """The plan as JSON data, schema `planner/flight/1`.

    Every key that holds a figure ends in its unit (`_l` litres, `_kg`, `_m`, `_min`, `_kg_m`, `_kg_per_m3`,
    `_c`); a limit names its own, `kg` or `m`. Where a figure is not known its reason stands as text. Cautions
    cannot be left out.

    Parameters: `plan` as made by `planner.plan`. Returns a dict of str, float, bool, list and dict only.
    Raises: nothing. Source: [common-practice] SI and accepted units.
    """
    drains, looks = before_start(plan)
    data = keyed(
        plan,
        "schema verdict summary uncertainties_stated uncertainty_note invented=aircraft.invented cautions"
        " flight aircraft rule density fuel states load_limits burn items findings",
        schema="planner/flight/1",
        uncertainty_note=uncertainty_sentence(plan),
        **heading_json(plan),
        aircraft=_aircraft(plan),
        rule=keyed(
            plan.rule,
            "key final_reserve_min basis basis_words citation read how_read=tag conditions note",
            final_reserve_min=plan.rule.minutes,
        ),
        density=density_json(plan.density)
        | keyed(plan.density, "correction_factor")
        | keyed(plan.grade, "grade=id grade_band_at_15c_kg_per_m3=band"),
        fuel=_fuel(plan),
        states=[_state(plan, state) for state in plan.states],
        load_limits=[_limit(limit) for limit in plan.load_limits],
        burn=_burn(plan),
        items=[
            keyed(
                item,
                "station=name mass_kg=mass arm_m=arm moment_kg_m=moment",
                lateral_arm_m=_across(plan, item.lateral_arm),
            )
            for item in plan.loading.items
        ],
        before_engine_start={"drains": list(drains), "looks": list(looks)},
    )
    return {**data, "digest": digest(data)}


def whole_json(plan: Plan, drawn: Chance | None, working: Display | None = None) -> dict[str, Any]:
    """The plan with how sure it is and, in `working`'s units, its arithmetic: what `planner flight --json`
    tells.
    """
    from planner.sureness.sureness import sureness
    from planner.views.flight.certainty_text import certainty_json

    data = flight_json(plan) | {"certainty": certainty_json(plan, sureness(plan), drawn)}
    if working is not None:
        from planner.views.flight.working import working as lines  # late: only with this option

        data["working"] = lines(plan, working)
    return data
