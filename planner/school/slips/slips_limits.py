"""Slips with limits: a wrong one, a wrong category, chart or state, and in correcting a loading."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Any

from planner.flight.limits import AFT, FORWARD, GREATEST
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, EdgeKind
from planner.school.problem import Answers
from planner.school.problems.correction import CorrectionFacts
from planner.school.problems.fuel_plan import FuelPlanFacts
from planner.school.problems.graphs.envelope_paper import PaperFacts
from planner.school.problems.graphs.tables import TableFacts
from planner.school.problems.landing import LandingFacts
from planner.school.problems.loads import LoadFacts
from planner.school.problems.moving import ShiftFacts
from planner.school.problems.room import RoomFacts
from planner.school.slips.register import Wrong, slip, without

_WRONG_CATEGORY = slip("wrong-category")


@_WRONG_CATEGORY.of_loading
def _wrong_category(load: LoadFacts) -> Iterator[Wrong]:
    for other in load.others if load.category is not None else ():
        yield other.name, replace(load, category=other)


@_WRONG_CATEGORY.of(PaperFacts)
def _wrong_envelope(facts: PaperFacts) -> Iterator[Wrong]:
    other = facts.other
    if other is not None and other.envelope.least_mass <= facts.here.mass <= other.envelope.greatest_mass:
        yield "", replace(facts, category=other)


@slip("edge-kind").of_loading
def _edge_kind(load: LoadFacts) -> Iterator[Wrong]:
    if load.category is not None:
        kind: EdgeKind = (
            "linear in moment" if load.category.record.edges == "linear in cg" else "linear in cg"
        )
        record = load.category.record.model_copy(update={"edges": kind})
        yield "", replace(load, category=replace(load.category.drawn(record.envelope()), record=record))


@slip("past-the-bend").change(TableFacts, way="first to last").of_loading
def _past_the_bend(load: LoadFacts) -> Iterator[Wrong]:
    if load.category is not None:
        own = load.category.envelope
        forward, aft = (Edge((edge.points[0], edge.points[-1]), edge.kind) for edge in (own.forward, own.aft))
        straight = replace(own, forward=forward, aft=aft)
        yield "", replace(load, category=load.category.drawn(straight))


_WRONG_LIMIT = slip("wrong-limit", general=True)
_WRONG_LIMIT.change(PaperFacts, side="aft").change(PaperFacts, side="forward")


@_WRONG_LIMIT.of(LoadFacts)
def _other_side(facts: LoadFacts) -> Iterator[Wrong]:
    if facts.category is not None:
        turned = replace(facts, side="forward" if facts.side == "aft" else "aft")
        other = turned.answers()
        yield f"the {turned.side} limit", {"limit": other["limit"], "margin": other["margin"]}


@_WRONG_LIMIT.of(RoomFacts)
def _other_room(facts: RoomFacts) -> Iterator[Wrong]:
    for name, room in facts.rooms().items():
        yield f"the {name} limit", {"room": room, "decides": name}


_ANOTHER_MASS = slip("limit-at-another-mass")


@_ANOTHER_MASS.of(PaperFacts)
def _other_mass(facts: PaperFacts) -> Iterator[Wrong]:
    for mass in (facts.category.envelope.greatest_mass, facts.category.envelope.least_mass):
        yield "at the top or the foot of the envelope", {"limit": facts.limit_at(mass)}


@_ANOTHER_MASS.of(LoadFacts)
def _another_mass(facts: LoadFacts) -> Iterator[Wrong]:
    if facts.category is None:
        return
    cg = facts.sum().centre_of_gravity
    for place, (_, limit) in enumerate(facts.category.edge(facts.side).points, 1):
        margin = cg - limit if facts.side == "forward" else limit - cg
        yield f"that of the edge's point {place}", {"limit": limit, "margin": margin}


@slip("sign-of-margin").of(LoadFacts, FuelPlanFacts)
def _sign_of_margin(facts: LoadFacts | FuelPlanFacts) -> Iterator[Wrong]:
    for key in ("margin", "mass_margin", "surplus"):
        value = facts.answers().get(key)
        if isinstance(value, float):
            yield "", {key: -value}


def _checked(ids: tuple[str, ...], facts: LoadFacts) -> Iterator[Wrong]:
    if facts.category is not None:
        margins = facts.category.margins(facts.sum())
        yield "", {"verdict": "inside" if min(margins[each] for each in ids) >= 0 else "outside"}


slip("only-mass-checked").of(LoadFacts)(partial(_checked, (GREATEST,)))
slip("only-cg-checked").change(LandingFacts, limit=math.inf).of(LoadFacts)(partial(_checked, (FORWARD, AFT)))
slip("combined-limit").change(RoomFacts, limits=without("combined"))
slip("station-limit").change(RoomFacts, limits=without("station"))
slip("takeoff-limit-on-ramp").change(RoomFacts, limit_for_ramp=True).change(
    RoomFacts, "taxi fuel forgotten", taxi=0.0
)


@slip("only-takeoff").of(LandingFacts)
def _only_takeoff(facts: LandingFacts) -> Iterator[Wrong]:
    (takeoff, _), ramp = facts.states(), facts.load.sum()
    yield "the take-off state", {"landing_mass": takeoff.mass, "landing_cg": takeoff.centre_of_gravity}
    states: Answers = {f"{name}_mass": ramp.mass for name in ("landing", "takeoff")}
    yield "the ramp state", states | {f"{name}_cg": ramp.centre_of_gravity for name in ("landing", "takeoff")}


@slip("no-fuel-at-landing").of(LandingFacts)
def _no_fuel(facts: LandingFacts) -> Iterator[Wrong]:
    dry = facts.load.without_fuel()
    yield "", {"landing_mass": dry.mass, "landing_cg": dry.centre_of_gravity}


@slip("moment-of-fuel-kept").of(LandingFacts)
def _moment_kept(facts: LandingFacts) -> Iterator[Wrong]:
    takeoff, landing = facts.states()
    yield "", {"landing_mass": landing.mass, "landing_cg": takeoff.moment / landing.mass}
    ramp = facts.load.sum()
    yield "", {"takeoff_cg": ramp.moment / takeoff.mass, "landing_cg": ramp.moment / landing.mass}


slip("fuel-kept-on").change(LandingFacts, trip=lambda facts: (-facts.trip[0], facts.trip[1]))


@slip("chord").of(LoadFacts)
def _chord(facts: LoadFacts) -> Iterator[Wrong]:
    if facts.chord is None:
        return
    (leading, length), cg = facts.chord, facts.answers()["cg"]
    yield "LEMAC not subtracted", {"mac": cg / length}
    yield "divided by LEMAC", {"mac": (cg - leading) / leading}
    yield "LEMAC and MAC exchanged", {"mac": (cg - length) / leading}
    yield "divided by the CG", {"mac": (cg - leading) / cg}
    yield "measured from the trailing edge", {"mac": 1 - (cg - leading) / length}
    yield "the CG subtracted from LEMAC", {"mac": (leading - cg) / length}


@slip("distance-from-datum").of(ShiftFacts)
def _from_datum(facts: ShiftFacts) -> Iterator[Wrong]:
    needed = facts.mass * (facts.target - facts.cg)
    if facts.kind == "new cg":
        yield "", {"cg": facts.cg + facts.moved * facts.to_arm / facts.mass}
    elif facts.kind == "ballast arm":
        yield "", {"arm": needed / facts.moved}
    else:
        amount = abs(needed / facts.to_arm)
        yield "", {"moved": amount, "ballast": amount, "total": facts.mass + amount}


@slip("wrong-way").of(ShiftFacts)
def _wrong_way(facts: ShiftFacts) -> Iterator[Wrong]:
    if facts.kind == "new cg":
        yield "", replace(facts, from_arm=facts.to_arm, to_arm=facts.from_arm)
    if facts.kind == "ballast arm":
        yield "", {"arm": facts.target - facts.mass * (facts.target - facts.cg) / facts.moved}


_FROM_OLD_CG = slip("lever-from-old-cg")


@_FROM_OLD_CG.of(ShiftFacts)
def _from_old_cg(facts: ShiftFacts) -> Iterator[Wrong]:
    gap = facts.target - facts.cg
    if facts.kind == "ballast":
        ballast = abs(facts.mass * gap / (facts.to_arm - facts.cg))
        yield "", {"ballast": ballast, "total": facts.mass + ballast}
    if facts.kind == "ballast arm":
        yield "", {"arm": facts.cg + (facts.mass + facts.moved) * gap / facts.moved - gap}


@_FROM_OLD_CG.of(CorrectionFacts)
def _cure_from_old_cg(facts: CorrectionFacts) -> Iterator[Wrong]:
    if facts.cure in ("leave", "add"):
        here = facts.load.sum()
        gap = facts.edge.arm(here.mass) - here.centre_of_gravity
        yield "", {"amount": abs(here.mass * gap / (facts.arm - here.centre_of_gravity))}


@slip("defuel-for-aft-cg").of(CorrectionFacts)
def _defuel(facts: CorrectionFacts) -> Iterator[Wrong]:
    if facts.cure != "drain":
        yield "", {"fuel": "yes"}


@slip("unsafe-rounding").of(CorrectionFacts)
def _unsafe(facts: CorrectionFacts) -> Iterator[Wrong]:
    step = facts.step * (facts.density if facts.cure == "drain" else 1.0)
    short = max(facts.rounded() - step, 0.0)
    state, amount = facts.after(short), short - step * 1e-6
    found: Answers = {"amount": amount, "drained": amount / facts.density}
    yield "", found | {"cg": state.centre_of_gravity, "mass": state.mass}


@slip("wrong-state").of(CorrectionFacts)
def _wrong_state(facts: CorrectionFacts) -> Iterator[Wrong]:
    here = facts.load.sum()
    yield "", {"cg": here.centre_of_gravity, "mass": here.mass}
    if facts.cure in ("leave", "add"):
        mass = facts.after(facts.rounded()).mass
        yield "the old moment kept", {"cg": Total(mass, here.moment).centre_of_gravity}


@slip("judged-wrongly", general=True).of(object)
def _judged_wrongly(facts: Any) -> Iterator[Wrong]:
    pairs = (("inside", "outside"), ("enough", "not enough"), ("yes", "no"))
    other = {one: two for pair in pairs for one, two in (pair, pair[::-1])}
    right = facts.answers()
    for key in ("verdict", "enough", "fuel"):
        if key in right:
            yield "", {key: other[right[key]]}
