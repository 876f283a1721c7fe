"""Slips with limits: the wrong one, the wrong category, the wrong chart, the wrong state, and in correcting a
loading.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, EdgeKind, Envelope
from planner.school.craft import Category
from planner.school.problem import Facts
from planner.school.problems.correction import CorrectionFacts
from planner.school.problems.fuel_plan import FuelPlanFacts
from planner.school.problems.loads import LoadFacts
from planner.school.problems.moving import LandingFacts, ShiftFacts
from planner.school.problems.room import RoomFacts
from planner.school.slips.register import Wrong, slip
from planner.school.slips.slips_load import loads_in


@slip(
    "wrong-category",
    "the limits of another category used",
    "Limits belong to a category: take those of the one that is flown.",
)
def wrong_category(facts: Facts) -> Iterator[Wrong]:
    """Every other category of the profile."""
    for load, back in loads_in(facts):
        for other in load.others if load.category is not None else ():
            yield other.name, back(replace(load, category=other))


def _redrawn(category: Category) -> Category:
    """The same points joined as the other kind of chart would."""
    kind: EdgeKind = "linear in moment" if category.kind == "linear in cg" else "linear in cg"
    envelope = Envelope(
        Edge(category.envelope.forward.points, kind), Edge(category.envelope.aft.points, kind)
    )
    return replace(category, envelope=envelope, kind=kind)


@slip(
    "edge-kind",
    "the edge read as on the other kind of chart",
    "Follow the manual's own chart: straight in CG and straight in moment agree at the points only.",
)
def edge_kind(facts: Facts) -> Iterator[Wrong]:
    """Linear in CG for linear in moment, or the other way round."""
    for load, back in loads_in(facts):
        if load.category is not None:
            yield "", back(replace(load, category=_redrawn(load.category)))


@slip(
    "wrong-limit",
    "a right number held against the wrong limit",
    "Say which limit a figure is compared with before comparing.",
    general=True,
)
def wrong_limit(facts: Facts) -> Iterator[Wrong]:
    """The other side's CG limit; the room under another mass limit."""
    if isinstance(facts, LoadFacts) and facts.category is not None:
        other = replace(facts, side="forward" if facts.side == "aft" else "aft").answers()
        yield (
            f"the {'forward' if facts.side == 'aft' else 'aft'} limit",
            {"limit": other["limit"], "margin": other["margin"]},
        )
    if isinstance(facts, RoomFacts):
        for name, room in facts.rooms().items():
            yield f"the {name} limit", {"room": room, "decides": name}


@slip(
    "limit-at-another-mass",
    "the limit not read at this mass",
    "Where an edge slopes, the limit changes with mass: interpolate.",
)
def limit_at_another_mass(facts: Facts) -> Iterator[Wrong]:
    """The limit of the lowest or highest point of the edge."""
    if not (isinstance(facts, LoadFacts) and facts.category is not None):
        return
    edge = facts.category.envelope.forward if facts.side == "forward" else facts.category.envelope.aft
    cg = facts.sum().centre_of_gravity
    for place, (_, limit) in enumerate(edge.points, 1):
        yield (
            f"that of the edge's point {place}",
            {"limit": limit, "margin": cg - limit if facts.side == "forward" else limit - cg},
        )


@slip(
    "sign-of-margin",
    "the sign of a margin turned round",
    "A margin is positive inside and negative beyond the limit, on either side.",
)
def sign_of_margin(facts: Facts) -> Iterator[Wrong]:
    """Minus the margin, or minus the surplus."""
    for key in ("margin", "surplus"):
        value = facts.answers().get(key)
        if isinstance(value, float):
            yield "", {key: -value}


@slip(
    "only-mass-checked",
    "only the mass compared with its limit, not the CG",
    "Both must be inside: a light aircraft can still be out of balance.",
)
def only_mass_checked(facts: Facts) -> Iterator[Wrong]:
    """The word that mass alone would give."""
    if isinstance(facts, LoadFacts) and facts.category is not None:
        yield "", {"verdict": "inside" if facts.sum().mass <= facts.category.top.value else "outside"}


@slip(
    "combined-limit",
    "a combined limit ignored",
    "Each station may be within its own limit and the sum still too much.",
)
def combined_limit(facts: Facts) -> Iterator[Wrong]:
    """The room without the combined limit."""
    if isinstance(facts, RoomFacts) and facts.combined is not None:
        yield "", replace(facts, combined=None)


@slip(
    "station-limit",
    "a station's own limit ignored",
    "The floor under a station carries so much and no more, whatever the take-off mass allows.",
)
def station_limit(facts: Facts) -> Iterator[Wrong]:
    """The room without the station's limit."""
    if isinstance(facts, RoomFacts) and facts.station is not None:
        yield "", replace(facts, station=None)


@slip(
    "takeoff-limit-on-ramp",
    "the take-off limit held against the ramp mass",
    "On the ramp the ramp limit holds; the take-off limit holds after taxi.",
)
def takeoff_limit_on_ramp(facts: Facts) -> Iterator[Wrong]:
    """No allowance for taxi fuel."""
    if isinstance(facts, RoomFacts):
        yield "", replace(facts, limit_for_ramp=True)


@slip(
    "taxi-forgotten", "taxi fuel forgotten", "Fuel burnt before take-off is required, and gone at take-off."
)
def taxi_forgotten(facts: Facts) -> Iterator[Wrong]:
    """No taxi fuel."""
    if isinstance(facts, LandingFacts):
        yield "", replace(facts, no_taxi=True)
    elif isinstance(facts, (FuelPlanFacts, RoomFacts)) and facts.taxi:
        yield "", replace(facts, taxi=0.0)


@slip(
    "only-takeoff",
    "only the CG at take-off worked out",
    "Burn the fuel from its own arm and work out the landing too.",
)
def only_takeoff(facts: Facts) -> Iterator[Wrong]:
    """The take-off (or ramp) state written down for the landing."""
    if isinstance(facts, LandingFacts):
        takeoff, ramp = facts.states()[0], facts.load.sum()
        yield "the take-off state", {"landing_mass": takeoff.mass, "landing_cg": takeoff.centre_of_gravity}
        yield (
            "the ramp state",
            {
                "landing_mass": ramp.mass,
                "landing_cg": ramp.centre_of_gravity,
                "takeoff_mass": ramp.mass,
                "takeoff_cg": ramp.centre_of_gravity,
            },
        )


@slip(
    "moment-of-fuel-kept",
    "burnt fuel taken off the mass and not off the moment",
    "What leaves takes its moment along: subtract both.",
)
def moment_of_fuel_kept(facts: Facts) -> Iterator[Wrong]:
    """The old moment over the new mass."""
    if isinstance(facts, LandingFacts):
        takeoff, landing = facts.states()
        yield "", {"landing_mass": landing.mass, "landing_cg": takeoff.moment / landing.mass}
        ramp = facts.load.sum()
        yield "", {"takeoff_cg": ramp.moment / takeoff.mass, "landing_cg": ramp.moment / landing.mass}


@slip(
    "fuel-kept-on",
    "burnt fuel added instead of taken off",
    "Fuel burnt leaves the aircraft: subtract its mass and its moment.",
)
def fuel_kept_on(facts: Facts) -> Iterator[Wrong]:
    """The trip fuel with the wrong sign."""
    if isinstance(facts, LandingFacts):
        yield "", replace(facts, trip=(-facts.trip[0], facts.trip[1]))


@slip(
    "chord",
    "LEMAC or MAC used wrongly",
    "Subtract the leading edge (LEMAC) from the CG, and divide by the chord (MAC).",
)
def chord(facts: Facts) -> Iterator[Wrong]:
    """Leading edge and chord exchanged, one of them left out."""
    if not (isinstance(facts, LoadFacts) and facts.chord is not None):
        return
    (leading, length), cg = facts.chord, facts.answers()["cg"]
    assert isinstance(cg, float)
    yield "LEMAC not subtracted", {"mac": cg / length}
    yield "divided by LEMAC", {"mac": (cg - leading) / leading}
    yield "LEMAC and MAC exchanged", {"mac": (cg - length) / leading}
    yield "divided by the CG", {"mac": (cg - leading) / cg}
    yield "measured from the trailing edge", {"mac": 1 - (cg - leading) / length}


@slip(
    "distance-from-datum",
    "an arm used where a distance between two places belongs",
    "A shift counts the way carried; ballast counts from the CG that is wanted.",
)
def distance_from_datum(facts: Facts) -> Iterator[Wrong]:
    """The arm itself as the lever."""
    if not isinstance(facts, ShiftFacts):
        return
    if facts.kind == "new cg":
        yield "", {"cg": facts.cg + facts.moved * facts.to_arm / facts.mass}
    elif facts.kind == "mass to move":
        yield "", {"moved": abs(facts.mass * (facts.target - facts.cg) / facts.to_arm)}
    elif facts.kind == "ballast":
        ballast = abs(facts.mass * (facts.target - facts.cg) / facts.to_arm)
        yield "", {"ballast": ballast, "total": facts.mass + ballast}
    else:
        yield "", {"arm": facts.mass * (facts.target - facts.cg) / facts.moved}


@slip("wrong-way", "moved the wrong way", "Aft is plus: load carried forward brings the CG forward.")
def wrong_way(facts: Facts) -> Iterator[Wrong]:
    """The sign of the shift turned round."""
    if isinstance(facts, ShiftFacts) and facts.kind == "new cg":
        yield "", replace(facts, from_arm=facts.to_arm, to_arm=facts.from_arm)
    if isinstance(facts, ShiftFacts) and facts.kind == "ballast arm":
        yield "", {"arm": facts.target - facts.mass * (facts.target - facts.cg) / facts.moved}


@slip(
    "lever-from-old-cg",
    "ballast reckoned from the old CG",
    "The lever of ballast runs from its place to the CG that is wanted, since the ballast is part of the new"
    " mass.",
)
def lever_from_old_cg(facts: Facts) -> Iterator[Wrong]:
    """The arm less the old CG."""
    if isinstance(facts, ShiftFacts) and facts.kind == "ballast":
        ballast = abs(facts.mass * (facts.target - facts.cg) / (facts.to_arm - facts.cg))
        yield "", {"ballast": ballast, "total": facts.mass + ballast}
    if isinstance(facts, ShiftFacts) and facts.kind == "ballast arm":
        yield (
            "",
            {
                "arm": (
                    facts.cg
                    + (facts.mass + facts.moved) * (facts.target - facts.cg) / facts.moved
                    - (facts.target - facts.cg)
                )
            },
        )
    if (
        isinstance(facts, CorrectionFacts)
        and facts.cure in ("leave", "add")
        and facts.load.category is not None
    ):
        here, envelope = facts.load.sum(), facts.load.category.envelope
        edge = envelope.forward if facts.cure == "add" else envelope.aft
        gap = edge.arm(here.mass) - here.centre_of_gravity
        yield "", {"amount": abs(here.mass * gap / (facts.arm - here.centre_of_gravity))}


@slip(
    "defuel-for-aft-cg",
    "draining fuel thought to cure an aft CG that fuel does not move",
    "Work it out: fuel near the CG changes the mass and hardly the CG. Move what lies far aft.",
)
def defuel_for_aft_cg(facts: Facts) -> Iterator[Wrong]:
    """Yes, where less fuel does not help."""
    if isinstance(facts, CorrectionFacts) and facts.cure != "drain":
        yield "", {"fuel": "yes"}


@slip(
    "unsafe-rounding",
    "rounded to the unsafe side",
    "What must at least be moved, left or drained is rounded up; what may at most be loaded, down.",
)
def unsafe_rounding(facts: Facts) -> Iterator[Wrong]:
    """One step short."""
    if isinstance(facts, CorrectionFacts):
        step = facts.step * (facts.density if facts.cure == "drain" else 1.0)
        short = max(facts.rounded() - step, 0.0)
        state = facts.after(short)
        yield (
            "",
            {
                "amount": short - step * 1e-6,
                "drained": (short - step * 1e-6) / facts.density,
                "cg": state.centre_of_gravity,
                "mass": state.mass,
            },
        )


@slip(
    "wrong-state",
    "the amount worked out and the state not",
    "After a change work out mass, moment and CG again: the old ones no longer hold.",
)
def wrong_state(facts: Facts) -> Iterator[Wrong]:
    """The state before the correction written down as that after it."""
    if isinstance(facts, CorrectionFacts):
        here = facts.load.sum()
        yield "", {"cg": here.centre_of_gravity, "mass": here.mass}
        if facts.cure in ("leave", "add"):
            mass = facts.after(facts.rounded()).mass
            yield "the old moment kept", {"cg": Total(mass, here.moment).centre_of_gravity}


@slip(
    "judged-wrongly",
    "the figures are there and the word is not what they say",
    "Compare each figure with its limit, in its sign, before writing the word.",
    general=True,
)
def judged_wrongly(facts: Facts) -> Iterator[Wrong]:
    """The other word."""
    other = {
        "inside": "outside",
        "outside": "inside",
        "enough": "not enough",
        "not enough": "enough",
        "yes": "no",
        "no": "yes",
    }
    for key in ("verdict", "enough", "fuel"):
        value = facts.answers().get(key)
        if isinstance(value, str):
            yield "", {key: other[value]}
