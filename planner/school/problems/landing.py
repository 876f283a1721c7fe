"""Problems on the fuel burnt: mass and CG at take-off and landing."""

from __future__ import annotations

import math
from collections.abc import Sequence

from planner.flight.fuel import Draw, Leg
from planner.flight.limits import AFT, FORWARD, GREATEST, LEAST
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item, Total, remove
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, NotSettable, Working
from planner.school.problems.balance import LEVER, cg_ask, cg_step, heading, mass_ask, of_loading
from planner.school.problems.limits import envelope_tables, envelope_words
from planner.school.problems.loads import CLEAR_CG, CLEAR_MASS, LoadFacts, draw_load
from planner.school.problems.moving import SHIFT


@frozen
class LandingFacts:
    """A loading on the ramp and the fuel burnt from it. `taxi` and `trip` (volume [m3], arm [m]); `density`
    [kg/m3]; `limit` the landing mass limit [kg].
    """

    load: LoadFacts
    taxi: tuple[float, float]
    trip: tuple[float, float]
    density: float
    limit: float
    no_taxi: bool = False

    def states(self) -> tuple[Total, Total]:
        """Take-off and landing, mass and moment."""
        ramp = self.load.sum()
        if self.load.cg_step or self.load.cg_is:  # a slip in the ramp CG is carried on
            ramp = Total(ramp.mass, self.load.answers()["cg"] * ramp.mass)
        taxi, trip = (Item("fuel burnt", gone * self.density, arm) for gone, arm in (self.taxi, self.trip))
        takeoff = ramp if self.no_taxi else remove(ramp, taxi)
        return takeoff, remove(takeoff, trip)

    def answers(self) -> Answers:
        """takeoff_mass, takeoff_cg, landing_mass, landing_cg, and the verdict at landing. Source:
        [faa-h-8083-25], adding or removing weight.
        """
        takeoff, landing = self.states()
        return {
            "takeoff_mass": takeoff.mass,
            "takeoff_cg": takeoff.centre_of_gravity,
            "landing_mass": landing.mass,
            "landing_cg": landing.centre_of_gravity,
            "verdict": self.load.flown.word(landing) if landing.mass <= self.limit else "outside",
        }


def _arm_burnt(craft: Craft, draws: Sequence[Draw]) -> float:
    """Arm [m] of the fuel that is gone after draws one upon the other."""
    moment = craft.volume_moment(draws[0].start) - craft.volume_moment(draws[-1].end)
    return moment / math.fsum(draw.volume for draw in draws)


def set_landing(craft: Craft, dice: Dice, level: int) -> Draft:
    """Take-off and landing mass and CG from the ramp loading and the fuel burnt."""
    pen, category = craft.pen, craft.categories[0]
    for _ in range(60):
        load = draw_load(craft, dice, fuel=(0.4, 1.0))
        fuel = load.of_kind("fuel")[0]
        taxi = pen.figure(dice.between(0.015, 0.03) * craft.usable, "volume")
        trip = pen.figure(dice.between(0.3, 0.75) * fuel.volume, "volume")
        if not 0 < taxi.value < fuel.volume - trip.value:
            continue
        legs = [Leg("taxi", "taxi", taxi.value, 0.0), Leg("trip", "trip", trip.value, 0.0)]
        draws = craft.draws(fuel.volume, legs)
        stages = ([draw for draw in draws if draw.stage == leg.stage] for leg in legs)
        arms = [pen.figure(_arm_burnt(craft, each), "length") for each in stages]
        facts = LandingFacts(
            load=load,
            taxi=(taxi.value, arms[0].value),
            trip=(trip.value, arms[1].value),
            density=fuel.density,
            limit=craft.bounds[category.name]["landing"],
        )
        takeoff, landing = facts.states()
        before, after = category.margins(takeoff), category.margins(landing)
        gaps = [state[edge] for state in (before, after) for edge in (FORWARD, AFT)]
        off = min(abs(landing.mass - facts.limit), after[LEAST])
        clear = min(map(abs, gaps)) > CLEAR_CG and off > CLEAR_MASS
        moves = landing.centre_of_gravity != takeoff.centre_of_gravity
        if clear and moves and min(gaps[:2]) > 0 and before[GREATEST] >= 0:
            break
    else:
        raise NotSettable("no random loading with fuel to burn was inside at take-off")
    right = facts.answers()
    verdict = Ask("verdict", "is the landing inside every limit?", choices=("inside", "outside"))
    pairs = [mass_ask(craft, "take-off mass", "takeoff_mass"), cg_ask(craft, "take-off CG", "takeoff_cg")]
    ends = [mass_ask(craft, "landing mass", "landing_mass"), cg_ask(craft, "landing CG", "landing_cg")]
    asks = ends if level <= 2 else [*pairs, *ends, verdict]
    told = (
        f"Taxi burns {taxi.text} from arm {arms[0].text}, the trip {trip.text} from arm {arms[1].text}. The"
        " fuel burnt has the density given."
    )
    steps, ramp = Working(), load.sum()
    for phase, state, volume, arm, here, there in (
        ("taxi", "take-off", taxi, arms[0], ramp, takeoff),
        ("trip", "landing", trip, arms[1], takeoff, landing),
    ):
        mass = volume.value * fuel.density
        worked = f"{volume.text} x {fuel.density_text} = {pen.mass(mass, 1)}"
        steps.add(f"{phase} fuel", f"{worked}; x {arm.text} = {pen.moment(mass * arm.value)}")
        less = f"mass {pen.mass(here.mass)} - {pen.mass(mass)} = {pen.mass(there.mass)}"
        steps.add(state, f"{less}; moment {pen.moment(there.moment)}", SHIFT)
        steps.append(cg_step(craft, there, f"{state} CG"))
    words, tables = [heading(craft), told], []
    if level >= 3:
        words.append(f"{envelope_words(category)} The landing mass limit is {pen.mass(facts.limit)}.")
        tables.append(envelope_tables(category))
        forward, aft = category.envelope.forward.arm(landing.mass), category.envelope.aft.arm(landing.mass)
        ends_at = f"mass {pen.mass(facts.limit)}; CG {pen.length(forward)} to {pen.length(aft)}"
        steps.add("landing limits", f"{ends_at}: {right['verdict']}", LEVER)
    outside = ""
    if right["verdict"] == "outside" and level >= 3:
        outside = "OUTSIDE at landing. This is not to be flown; the correction is part of the solution."
        cure = (
            "change the loading so that the CG is inside with little fuel as well, then check ramp, take-off,"
            " landing and zero fuel again"
        )
        if landing.mass > facts.limit:
            cure = (
                "too heavy to land: take less load or less fuel, or burn more of it first; and know what the"
                " manual asks for after an early return"
            )
        steps.add("correction", cure)

    return of_loading(craft, load, words, asks, steps, tables, facts, outside, cg=False)
