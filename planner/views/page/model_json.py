"""What the page knows, as plain JSON in SI: aircraft compiled without load and fuel, rules, grades, petroleum
constants. Every figure is read from its one home in the engine.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from typing import Any, Final

from planner.density.petroleum import (
    BASE_TEMPERATURE,
    BORDERS,
    COLDEST,
    GENERIC_FIT,
    HIGHEST,
    LOWEST,
    PRODUCTS,
    REFERENCE_SPAN,
    UNLEADED_FIT,
)
from planner.facts.cautions import NO_DRAINS
from planner.facts.evidence import EVIDENCE
from planner.facts.grades import AVGAS_HARD_HIGH, GRADES, GREATEST_DENSITY, JET_HARD_LOW, LEAST_DENSITY
from planner.facts.rules import RULES
from planner.facts.standard_masses import HEAVIEST_PERSON, LIGHTEST_PILOT, seat_band
from planner.flight.burn import EMPTY_RANGE
from planner.flight.doubt import DEPTH
from planner.flight.envelope import FARTHEST, NOISE
from planner.flight.fuel import EMPTY, ROUNDING, FuelTank
from planner.flight.limits import LEAST, Limit, register
from planner.flight.loading import arms_of, empty_aircraft, tanks_of, variants
from planner.plan.contents import SUN
from planner.quantities.effects import COVERAGE, FAR, FUEL_DENSITY, Effect
from planner.quantities.polygon import Edge, Piece
from planner.quantities.units import UNITS, Dimension, Display, Quantity
from planner.records.aircraft.record import Aircraft

SCHEMA: Final = "planner/page-model/1"


def shared_json(bases: Collection[str] | None = None) -> dict[str, Any]:
    """What holds for every aircraft: constants, the petroleum tables, grades, reserve rules, units.

    Parameter: `bases`, the flows some aircraft has; rules that count their reserve at another are left out.
    """
    return {
        "constants": {
            "coverage": COVERAGE,
            "far": FAR,
            "farthest": FARTHEST,
            "noise": NOISE,
            "empty_m3": EMPTY,
            "rounding_m3": ROUNDING,
            "empty_range_kg": EMPTY_RANGE,
            "depth": DEPTH,
            "fuel_density": FUEL_DENSITY,
            "least_density_kg_per_m3": LEAST_DENSITY,
            "greatest_density_kg_per_m3": GREATEST_DENSITY,
            "avgas_hard_high_kg_per_m3": AVGAS_HARD_HIGH,
            "jet_hard_low_kg_per_m3": JET_HARD_LOW,
            "heaviest_person_kg": HEAVIEST_PERSON,
            "lightest_pilot_kg": LIGHTEST_PILOT,
            "sun_k": SUN,
            "least_mass": LEAST,
        },
        "petroleum": {
            "products": [
                [each.k0, each.k1, each.constant, each.lowest, each.highest, each.warmest]
                for each in PRODUCTS
            ],
            "borders_kg_per_m3": BORDERS,
            "lowest_kg_per_m3": LOWEST,
            "highest_kg_per_m3": HIGHEST,
            "base_c": BASE_TEMPERATURE,
            "coldest_c": COLDEST,
            "generic_fit": GENERIC_FIT,
            "unleaded_fit": UNLEADED_FIT,
            "reference_span_k": REFERENCE_SPAN,
        },
        "grades": {
            key: {
                "name": grade.name,
                "dye": grade.dye,
                "kind": grade.kind,
                "standard_density_kg_per_m3": grade.standard_density,
                "batch_u_kg_per_m3": grade.batch_u,
                "band_kg_per_m3": grade.band,
                "unleaded": grade.unleaded,
                "u_ethanol_kg_per_m3_k": grade.u_ethanol_per_kelvin,
            }
            for key, grade in GRADES.items()
        },
        "rules": {
            key: {
                name: value
                for name, value in {
                    "name": rule.name,
                    "final_reserve_s": rule.final_reserve,
                    "basis": rule.basis,
                    "basis_words": rule.basis_words,
                    "citation": rule.citation,
                    "read": str(rule.read),
                    "tag": rule.tag,
                    "conditions": rule.conditions,
                    "note": rule.note,
                    "alternate_required": rule.alternate_required,
                }.items()
                if value
            }
            for key, rule in RULES.items()
            if bases is None or rule.basis in bases
        },
        "evidence": {f"{carried}/{how}": [each.pad, each.u] for (carried, how), each in EVIDENCE.items()},
        "units": {name: [unit.dimension, unit.factor, unit.offset] for name, unit in UNITS.items()},
    }


def aircraft_json(aircraft: Aircraft, identity: str, shown: Display | None = None) -> dict[str, Any]:
    """One aircraft compiled without load and fuel, with the register of limits of every category.

    Parameters: `aircraft`, checked; `identity`, the id or path a flight file names it by; `shown`, the
    reader's units, else metric.
    """
    edges: list[Edge] = []
    pilot, chord, landing = (
        aircraft.pilot_seat(),
        aircraft.mean_aerodynamic_chord,
        aircraft.masses.max_landing,
    )
    sorts: list[dict[str, Any]] = []
    categories = {name: _limits(register(aircraft, name), sorts, edges) for name in aircraft.envelopes}
    return {
        "id": identity,
        "name": aircraft.name,
        "drains": aircraft.drains or [NO_DRAINS],
        "invented": aircraft.invented,
        "source": aircraft.source,
        "display": _display(shown or Display()),
        "record_date": str(aircraft.basic_empty.date),
        "record_id": aircraft.basic_empty.version_id,
        "grades": aircraft.fuel_grades,
        "empty": _empty(aircraft),
        "stations": [_station(aircraft, name) for name in aircraft.stations],
        "pilot": pilot,
        "standard_masses_kg": _standard_masses(aircraft),
        "tanks": [_tank(aircraft, tank) for tank in tanks_of(aircraft)],
        "order": aircraft.feed_order(),
        "flows": {
            phase: [flow.value, flow.u, flow.dimension == "mass flow"]
            for phase, flow in aircraft.burn.items()
        },
        "variants": [
            {
                "suffix": each.suffix,
                "moment_kg_m": each.moment,
                "effects": _effects(each.effects),
                "only": each.only,
            }
            for each in variants(aircraft)
        ],
        "edges": [[_piece(piece) for piece in edge.pieces()] for edge in edges],
        "limits": sorts,
        "categories": categories,
        "forbids": {name: envelope.forbids for name, envelope in aircraft.envelopes.items()},
        "chord_m": None if chord is None else [chord.leading_edge.value, chord.length.value],
        "landing_kg": None if landing is None else landing.value,
        "lateral_known": aircraft.lateral_known,
    }


def _effects(effects: Sequence[Effect]) -> list[list[Any]]:
    return [[each.cause, each.mass, each.moment, each.lateral_moment] for each in effects]


def _empty(aircraft: Aircraft) -> dict[str, Any]:
    """Items and effects of the empty aircraft: what is fixed, and what goes with the fuel's density or with
    its u.

    Mass and moments are straight in both, so two densities tell all there is; at none at all an effect may be
    left out.
    """
    one, two, unsure = (empty_aircraft(aircraft, *each) for each in ((1.0, 0.0), (2.0, 0.0), (1.0, 1.0)))
    effects, by_density = [], []
    for first, second in zip(one.effects, two.effects, strict=True):
        rise = [
            second.mass - first.mass,
            second.moment - first.moment,
            second.lateral_moment - first.lateral_moment,
        ]
        at_one = (first.mass, first.moment, first.lateral_moment)
        effects.append([first.cause, *(whole - part for whole, part in zip(at_one, rise, strict=True))])
        by_density.append(rise)
    return {
        "items": [
            [
                first.name,
                2 * first.mass - second.mass,
                second.mass - first.mass,
                second.arm,
                second.lateral_arm,
            ]
            for first, second in zip(one.items, two.items, strict=True)
        ],
        "effects": effects,
        "effects_by_density": by_density,
        "effects_by_u": _effects([each for each in unsure.effects if each.cause == FUEL_DENSITY]),
    }


def _display(shown: Display) -> dict[str, tuple[str, int]]:
    """Unit and decimals of every dimension the page shows, `span` those of a difference of lengths."""
    dimensions: tuple[Dimension, ...] = ("length", "mass", "volume", "density", "temperature")
    digits, unit = shown.span(0.0, "length").split(" ")
    span = (unit, len(digits.partition(".")[2]))
    return {each: (shown.unit(each), shown.decimals(each)) for each in dimensions} | {"span": span}


def _standard_masses(aircraft: Aircraft) -> dict[str, float]:
    """The published masses of people for a cabin of this size; none where none are published."""
    try:
        band = seat_band(max(sum(station.seats for station in aircraft.stations.values()) - 1, 1))
    except KeyError:
        return {}
    return {who: band.mass(who) for who in ("male", "female", "child")}


def _station(aircraft: Aircraft, name: str) -> dict[str, Any]:
    station, arms = aircraft.stations[name], arms_of(aircraft)[name]
    return {
        "name": name,
        "kind": station.kind,
        "seats": station.seats,
        "arm_m": arms.arm,
        "arm_u_m": arms.arm_u,
        "across": arms.across,
        "by_seat": arms.by_seat,
        "max_kg": None if station.max is None else station.max.value,
    }


def _tank(aircraft: Aircraft, tank: FuelTank) -> dict[str, Any]:
    record, stick = aircraft.tanks[tank.name], aircraft.dipsticks.get(tank.name)

    def with_u(volume: Quantity) -> list[float]:
        return [volume.value, volume.u]

    return {
        "name": tank.name,
        "capacity_m3": tank.capacity,
        "unusable_m3": tank.unusable,
        "arm_points": tank.arm_points,
        "lateral_arm_m": tank.lateral_arm,
        "arm_us": tank.arm_us,
        "lateral_u_m": tank.lateral_u,
        "unusable_u_m3": tank.unusable_u,
        "marks": {name: with_u(mark) for name, mark in record.marks.items()},
        "stick": None
        if stick is None
        else {
            "id": stick.id,
            "total": stick.reads == "total",
            "rows": [[mark.value, *with_u(volume)] for mark, volume in stick.table],
        },
    }


def _piece(piece: Piece) -> list[float | None]:
    return [piece.low, None if math.isinf(piece.high) else piece.high, piece.p, piece.q, piece.r]


def _limits(limits: Sequence[Limit], sorts: list[dict[str, Any]], edges: list[Edge]) -> list[list[Any]]:
    """The register of a category as [its sort, place, bound or edge]: what limits have in common is in
    `sorts`, once.
    """
    found = []
    for limit in limits:
        sort = _sort(limit)
        if sort not in sorts:
            sorts.append(sort)
        bound: float | int
        if isinstance(limit.bound, Edge):
            if limit.bound not in edges:
                edges.append(limit.bound)
            bound = edges.index(limit.bound)
        else:
            bound = limit.bound
        found.append([sorts.index(sort), limit.place, bound])
    return found


def _sort(limit: Limit) -> dict[str, Any]:
    """A limit but for its place and bound; only what is not the usual is written."""
    found: dict[str, Any] = {
        "id": limit.id,
        "quantity": limit.quantity,
        "group": limit.group,
        "name": limit.name,
        "dimension": limit.dimension,
    }
    if isinstance(limit.bound, Edge):
        found["edge"] = True
    usual = Limit(id="", place="load", quantity="load", name="", dimension="mass", bound=0.0)
    for key in ("upper", "seats", "tanks", "forbids", "always"):
        if getattr(limit, key) != getattr(usual, key):
            found[key] = getattr(limit, key)
    return found
