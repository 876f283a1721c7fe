"""A plan as plain JSON data: every key ends in its unit, every figure unrounded."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from planner.density.basis import DensityUsed
from planner.flight.burn import Crossing, Least, Point
from planner.flight.envelope import Doubt, LimitResult
from planner.flight.reserves import FuelLine
from planner.plan.results import Plan, State
from planner.quantities.units import LITRE, Display
from planner.views.flight.digest import digest
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

SCHEMA: Final = "planner/flight/1"


def _litres(volume: float) -> float:
    return volume / LITRE


def _minutes(time: float | str) -> float | str:
    return time / 60.0 if isinstance(time, float) else time


def density_json(density: DensityUsed) -> dict[str, Any]:
    """A density used: the figure, its u, what it rests on."""
    return {
        "kg_per_m3": density.density,
        "u_kg_per_m3": density.u,
        "at_15c_kg_per_m3": density.at_15c,
        "temperature_c": density.temperature,
        "method": str(density.method),
        "source": density.source,
    }


def _limit(limit: LimitResult) -> dict[str, Any]:
    figures = {"name": limit.name, "value": limit.value, "limit": limit.limit}
    return figures | margin_json(limit) | {"causes": dict(limit.causes)}


def _place(plan: Plan, point: Point) -> dict[str, Any]:
    known: float | str = (
        point.time if time_known(plan, point) else "a phase flown before this has no flow in the profile"
    )
    return {"fuel_remaining_l": _litres(point.fuel), "minutes": _minutes(known), "phase": point.phase}


def _least(plan: Plan, least: Least, limit: LimitResult) -> dict[str, Any]:
    return {
        "limit": least.limit,
        "margin": least.margin,
        "unit": "m",
        **_place(plan, least.point),
        "mass_kg": least.point.total.mass,
        "expanded_uncertainty": limit.uncertainty,
        "verdict": limit.verdict,
        **({} if limit.doubt is None else {"doubt": _doubt(limit.doubt)}),
    }


def _doubt(doubt: Doubt) -> dict[str, Any]:
    """Where a margin that is larger is not shown inside."""
    return {
        "margin": doubt.margin,
        "unit": "m",
        "expanded_uncertainty": doubt.uncertainty,
        "fuel_remaining_l": _litres(doubt.fuel),
    }


def _across(plan: Plan, value: float) -> float | str:
    """A lateral figure [m], or why there is none."""
    return value if plan.aircraft.lateral_known else LATERAL_UNKNOWN


def _crossing(plan: Plan, crossing: Crossing) -> dict[str, Any]:
    total = crossing.point.total
    return {
        "limit": crossing.limit,
        **_place(plan, crossing.point),
        "mass_kg": total.mass,
        "cg_m": total.centre_of_gravity,
        "lateral_cg_m": _across(plan, total.lateral_centre_of_gravity),
        "direction": crossing.direction,
    }


def _state(plan: Plan, state: State) -> dict[str, Any]:
    return {
        "name": state.name,
        "mass_kg": state.total.mass,
        "moment_kg_m": state.total.moment,
        "cg_m": state.total.centre_of_gravity,
        "cg_percent_mac": state.percent_mac,
        "lateral_cg_m": _across(plan, state.total.lateral_centre_of_gravity),
        "fuel_l": _litres(state.fuel),
        "limits": [_limit(limit) for limit in state.limits],
    }


def _line(line: FuelLine, density: float) -> dict[str, Any]:
    return {
        "name": line.name,
        "kind": line.kind,
        "l": _litres(line.volume),
        "u_l": _litres(line.u),
        "kg": line.volume * density,
        "min": _minutes(line.time),
        "basis": line.basis,
    }


def _fuel(plan: Plan) -> dict[str, Any]:
    fuel, density = plan.fuel, plan.density.density
    tanks = {
        each.tank.name: {
            "usable_l": _litres(each.volume),
            "u_usable_l": _litres(each.u),
            "unusable_l": _litres(each.tank.unusable),
            "capacity_l": _litres(each.tank.capacity),
            "space_l": _litres(each.space),
            "usable_kg": each.mass,
            "arm_m": each.arm,
            "lateral_arm_m": _across(plan, each.tank.lateral_arm),
            "dip_m": each.dip,
            "origin": str(each.origin),
            "at_final_reserve_l": _litres(at_reserve),
            "at_final_reserve_dip_m": dip,
        }
        for each, at_reserve, (_, dip) in zip(
            fuel.tanks, fuel.reserve_volumes, fuel.reserve_dips, strict=True
        )
    }
    return {
        "aboard_l": _litres(fuel.aboard),
        "aboard_kg": fuel.aboard_mass,
        "required_l": _litres(fuel.required),
        "required_kg": fuel.required * density,
        "minimum_l": _litres(fuel.minimum),
        "surplus_l": _litres(fuel.surplus),
        "surplus_expanded_uncertainty_l": _litres(fuel.uncertainty),
        "final_reserve_l": _litres(fuel.final_reserve.volume),
        "final_reserve_kg": fuel.final_reserve.volume * density,
        "final_reserve_min": _minutes(fuel.final_reserve.time),
        "final_reserve_dips_m": dict(fuel.reserve_dips),
        "endurance_min": _minutes(fuel.endurance),
        "endurance_basis": fuel.endurance_basis,
        "runs_dry_in": fuel.runs_dry_in,
        "demand_density_kg_per_m3": fuel.demand_density,
        "verdict": fuel.verdict,
        "lines": [_line(line, density) for line in fuel.lines],
        "tanks": tanks,
    }


def _burn(plan: Plan) -> dict[str, Any]:
    margins = [
        _least(plan, least, limit) for least, limit in zip(plan.burn.least, plan.burn.limits, strict=True)
    ]
    smallest: dict[str, Any] | str = "no usable fuel aboard, so nothing is burnt"
    if margins:
        smallest = min(margins, key=lambda each: float(each["margin"]))
    return {
        "least_margin": smallest,
        "least_margins": margins,
        "crossings": [_crossing(plan, each) for each in plan.burn.crossings],
    }


def _aircraft(plan: Plan) -> dict[str, Any]:
    aircraft = plan.aircraft
    return {
        "name": aircraft.name,
        "profile": plan.aircraft_path,
        "category": plan.flight.category,
        "source": aircraft.source,
        "datum": aircraft.datum,
        "basic_empty_mass_kg": aircraft.basic_empty.mass.value,
        "basic_empty_arm_m": aircraft.basic_empty.arm_value(),
        "basic_empty_date": str(aircraft.basic_empty.date),
        "basic_empty_version": aircraft.basic_empty.version_id,
        "basic_empty_established": aircraft.basic_empty.established,
        "basic_empty_next_due": str(aircraft.basic_empty.next_due or "not stated"),
    }


def _rule(plan: Plan) -> dict[str, Any]:
    rule = plan.rule
    return {
        "key": rule.key,
        "final_reserve_min": rule.minutes,
        "basis": rule.basis,
        "basis_words": rule.basis_words,
        "citation": rule.citation,
        "read": rule.read,
        "how_read": rule.tag,
        "conditions": list(rule.conditions),
        "note": rule.note,
    }


def about_json(plan: Plan) -> dict[str, str]:
    """Which flight it is."""
    flight = plan.flight
    return {"title": flight.title, "date": str(flight.date or "not stated"), "file": plan.flight_path}


def flight_json(plan: Plan) -> dict[str, Any]:
    """The plan as JSON data, schema `planner/flight/1`.

    Every key that holds a figure ends in its unit (`_l` litres, `_kg`, `_m`, `_min`, `_kg_m`, `_kg_per_m3`,
    `_c`); a limit names its own, `kg` or `m`. Where a figure is not known its reason stands as text. Cautions
    cannot be left out.

    Parameters: `plan` as made by `planner.plan`. Returns a dict of str, float, bool, list and dict only.
    Raises: nothing. Source: [common-practice] SI and accepted units.
    """
    density = plan.density
    drains, looks = before_start(plan)
    data = {
        "schema": SCHEMA,
        "verdict": plan.verdict,
        "summary": verdict_sentence(plan, Display()),
        "uncertainties_stated": plan.uncertainties_stated,
        "uncertainty_note": uncertainty_sentence(plan),
        "invented": plan.aircraft.invented,
        "cautions": list(cautions(plan)),
        "flight": about_json(plan),
        "aircraft": _aircraft(plan),
        "rule": _rule(plan),
        "density": (
            density_json(density)
            | {
                "correction_factor": density.correction_factor,
                "grade": plan.grade.id,
                "grade_band_at_15c_kg_per_m3": list(plan.grade.band),
            }
        ),
        "fuel": _fuel(plan),
        "states": [_state(plan, state) for state in plan.states],
        "load_limits": [_limit(limit) for limit in plan.load_limits],
        "burn": _burn(plan),
        "items": [
            {
                "station": item.name,
                "mass_kg": item.mass,
                "arm_m": item.arm,
                "moment_kg_m": item.moment,
                "lateral_arm_m": _across(plan, item.lateral_arm),
            }
            for item in plan.loading.items
        ],
        "findings": [finding.as_json() for finding in plan.findings],
        "before_engine_start": {"drains": list(drains), "looks": list(looks)},
    }
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
