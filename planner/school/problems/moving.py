"""Problems on burn and landing CG, and on mass shifted, added as ballast, or wanted at an arm."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final, Literal

from planner.flight.fuel import Leg, burn_down
from planner.flight.limits import AFT, FORWARD, GREATEST, LEAST
from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.moments import (
    Item,
    Total,
    ballast_arm,
    ballast_mass,
    cg_after_shift,
    mass_to_shift,
    remove,
)
from planner.quantities.units import Dimension, Quantity
from planner.school.craft import Craft, Place
from planner.school.dice import Dice
from planner.school.problem import (
    Answers,
    Ask,
    Draft,
    NotSettable,
    PrintedTable,
    SolutionLine,
    Working,
    amount,
)
from planner.school.problems.balance import (
    LEVER,
    cg_ask,
    cg_step,
    figure,
    heading,
    load_steps,
    load_table,
    mass_ask,
)
from planner.school.problems.limits import envelope_tables, envelope_words
from planner.school.problems.loads import CLEAR_CG, CLEAR_MASS, LoadFacts, draw_load, judged

SHIFT: Final = "faa-h-8083-25"


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
        if self.load.cg_step or self.load.average or self.load.cg_is:  # a slip in the ramp CG is carried on
            ramp = Total(ramp.mass, figure(self.load.answers(), "cg") * ramp.mass)
        gone = [
            Item(name, volume * self.density, arm)
            for name, (volume, arm) in (("taxi", self.taxi), ("trip", self.trip))
        ]
        takeoff = ramp if self.no_taxi else remove(ramp, gone[0])
        return takeoff, remove(takeoff, gone[1])

    def answers(self) -> Answers:
        """takeoff_mass, takeoff_cg, landing_mass, landing_cg, and the verdict at landing. Source:
        [faa-h-8083-25], adding or removing weight.
        """
        takeoff, landing = self.states()
        assert self.load.category is not None  # always drawn with one
        word = judged(self.load.category, landing, "aft")["verdict"]
        return {
            "takeoff_mass": takeoff.mass,
            "takeoff_cg": takeoff.centre_of_gravity,
            "landing_mass": landing.mass,
            "landing_cg": landing.centre_of_gravity,
            "verdict": word if landing.mass <= self.limit else "outside",
        }


def _arm_of_burn(craft: Craft, aboard: float, volumes: tuple[float, float]) -> tuple[float, float]:
    """Arms [m] of the taxi and the trip fuel, by the feed order, every tank filled to the same share."""
    legs = [Leg("taxi", "taxi", volumes[0], 0.0), Leg("trip", "trip", volumes[1], 0.0)]
    draws, _ = burn_down(
        [tank.name for tank in craft.tanks], craft.volumes(aboard), craft.aircraft.feed_order(), legs
    )

    def moment(levels: tuple[float, ...]) -> float:
        return math.fsum(tank.volume_moment(level) for tank, level in zip(craft.tanks, levels, strict=True))

    found = {}
    for stage in ("taxi", "trip"):
        mine = [draw for draw in draws if draw.stage == stage]
        gone = math.fsum(draw.volume for draw in mine)
        found[stage] = (moment(mine[0].start) - moment(mine[-1].end)) / gone
    return found["taxi"], found["trip"]


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
        burnt = _arm_of_burn(craft, fuel.volume, (taxi.value, trip.value))
        arms = [pen.figure(arm, "length") for arm in burnt]
        facts = LandingFacts(
            load=load,
            taxi=(taxi.value, arms[0].value),
            trip=(trip.value, arms[1].value),
            density=fuel.density,
            limit=craft.bounds[category.name]["landing"],
        )
        takeoff, landing = facts.states()
        before, after = category.checks(takeoff), category.checks(landing)
        gaps = [state[edge].margin for state in (before, after) for edge in (FORWARD, AFT)]
        clear = (
            min(map(abs, gaps)) > CLEAR_CG
            and abs(landing.mass - facts.limit) > CLEAR_MASS
            and after[LEAST].margin > CLEAR_MASS
        )
        moves = landing.centre_of_gravity != takeoff.centre_of_gravity
        if clear and moves and min(gaps[:2]) > 0 and before[GREATEST].margin >= 0:
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
    steps = load_steps(craft, load, cg=False)
    ramp = load.sum()
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
    words = [heading(craft), told]
    tables = [load_table(load.lines)]
    if level >= 3:
        words.append(f"{envelope_words(category)} The landing mass limit is {pen.mass(facts.limit)}.")
        tables.append(envelope_tables(category))
        forward, aft = category.envelope.forward.arm(landing.mass), category.envelope.aft.arm(landing.mass)
        ends_at = f"mass {pen.mass(facts.limit)}; CG {pen.length(forward)} to {pen.length(aft)}"
        steps.add("landing limits", f"{ends_at}: {right['verdict']}", LEVER)
    outside = ""
    if right["verdict"] == "outside" and level >= 3:
        outside = "OUTSIDE at landing. This is not to be flown; the correction is part of the solution."
        steps.add("correction", _correction(facts, landing))

    return Draft(question=words, tables=tables, asks=asks, facts=facts, solution=steps, outside=outside)


def _correction(facts: LandingFacts, landing: Total) -> str:
    if landing.mass > facts.limit:
        return (
            "too heavy to land: take less load or less fuel, or burn more of it first; and know what the"
            " manual asks for after an early return"
        )
    return (
        "change the loading so that the CG is inside with little fuel as well, then check ramp, take-off,"
        " landing and zero fuel again"
    )


@frozen
class ShiftFacts:
    """A total [kg, m] and a mass moved, wanted, or added. `moved` [kg]; arms and `target` [m]."""

    kind: Literal["new cg", "mass to move", "ballast", "ballast arm"]
    mass: float
    cg: float
    moved: float
    from_arm: float
    to_arm: float
    target: float = 0.0

    def answers(self) -> Answers:
        """cg [m], moved or ballast [kg] (with the new total), or arm [m]. Source: [faa-h-8083-25] weight
        shift formula; [faa-h-8083-1b] ballast.
        """
        before = Total(self.mass, self.mass * self.cg)
        if self.kind == "new cg":
            return {"cg": cg_after_shift(before, self.moved, self.from_arm, self.to_arm)}
        if self.kind == "mass to move":
            return {"moved": mass_to_shift(before, self.target, self.from_arm, self.to_arm)}
        if self.kind == "ballast":
            ballast = ballast_mass(before, self.target, self.to_arm)
            return {"ballast": ballast, "total": self.mass + ballast}
        return {"arm": ballast_arm(before, self.target, self.moved)}


_KINDS: Final[dict[int, tuple[Literal["new cg", "mass to move", "ballast", "ballast arm"], ...]]] = {
    1: ("new cg",),
    2: ("mass to move",),
    3: ("ballast",),
    4: ("ballast arm", "mass to move"),
    5: ("ballast", "ballast arm", "mass to move"),
}


def set_shift(craft: Craft, dice: Dice, level: int) -> Draft:
    """Weight shift and ballast: new CG, mass to move, ballast mass, ballast arm."""
    pen, places = craft.pen, sorted(craft.aircraft.stations.items(), key=lambda place: place[1].arm.value)
    pairs = [(a, b) for a in places for b in places if abs(a[1].arm.value - b[1].arm.value) > 0.25]
    if not pairs:
        raise NotSettable("the stations lie too close together for a shift to matter")
    kind = dice.pick(_KINDS[level])
    for _ in range(200):
        here = draw_load(craft, dice).sum()
        mass, cg = pen.figure(here.mass, "mass"), pen.figure(here.centre_of_gravity, "length")
        start, end = dice.pick(pairs)
        moved = pen.figure(dice.between(5.0, 40.0), "mass", 0)
        facts = ShiftFacts(
            kind=kind,
            mass=mass.value,
            cg=cg.value,
            moved=moved.value,
            from_arm=start[1].arm.value,
            to_arm=end[1].arm.value,
        )
        aft = facts.to_arm > (facts.from_arm if kind == "mass to move" else facts.cg)
        gap = pen.figure(dice.between(0.004, 0.03), "length").value * (1.0 if aft else -1.0)
        facts = replace(facts, target=pen.figure(cg.value + gap, "length").value)
        if facts.target == facts.cg:
            continue
        try:
            found = facts.answers()
        except OutOfRange:
            continue
        if _plausible(craft, facts, found, (start, end)):
            return _shift_problem(craft, level, facts, found, (mass, cg, moved), (start, end))
    raise NotSettable("no shift of a plausible mass was found")


def _plausible(craft: Craft, facts: ShiftFacts, found: Answers, ends: tuple[Place, Place]) -> bool:
    """Masses a person could carry, within the station's limit; an arm within the cabin."""
    (_, start), (_, end) = ends
    envelope = craft.categories[0].envelope
    if facts.kind == "ballast arm":
        arms = [each.arm.value for each in craft.aircraft.stations.values()]
        lever = abs(figure(found, "arm") - facts.target)
        return min(arms) - 0.5 <= figure(found, "arm") <= max(arms) + 0.5 and lever > 0.3
    most = min([45.0, *(each.max.value for each in (start, end) if each.max is not None)])
    moved: Answers = {"moved": facts.moved}
    amount = figure(moved | found, "ballast" if facts.kind == "ballast" else "moved")
    if not 2.0 <= amount <= most:
        return False
    if facts.kind == "ballast":
        heavy = facts.mass + amount > craft.aircraft.masses.max_takeoff.value
        return not heavy and abs(end.arm.value - facts.target) > 0.3
    cg = figure(found, "cg") if facts.kind == "new cg" else facts.target
    return envelope.forward.arm(facts.mass) - 0.05 <= cg <= envelope.aft.arm(facts.mass) + 0.05


def _shift_problem(
    craft: Craft,
    level: int,
    facts: ShiftFacts,
    found: Answers,
    printed: tuple[Quantity, Quantity, Quantity],
    ends: tuple[Place, Place],
) -> Draft:
    pen, (mass, cg, moved), ((start_name, start), (end_name, end)) = craft.pen, printed, ends
    arms = PrintedTable(("station", "arm"), ((start_name, start.arm.text), (end_name, end.arm.text)))
    target = pen.figure(facts.target, "length").text
    gap, lever = pen.length(facts.target - facts.cg), pen.length(facts.to_arm - facts.from_arm)
    told = f"{craft.aircraft.name} has a mass of {mass.text} and its CG at {cg.text}."

    def ask(key: str, words: str, up: bool = False) -> Ask:
        dimension: Dimension = "length" if key == "arm" else "mass"
        step = {"metric": 0.01, "us": 1.0, "uk": 1.0}[pen.system] if key == "arm" else 0.1
        return amount(pen, key, words, dimension, step, step / 2, "up" if up else "nearest")

    tables: tuple[PrintedTable, ...] = (arms,)
    steps, way = Working(), SolutionLine("way of the CG", f"{target} - {cg.text} = {gap}")
    if facts.kind == "new cg":
        asks: tuple[Ask, ...] = (cg_ask(craft, "the new CG"),)
        words = f"{moved.text} is carried from '{start_name}' to '{end_name}'."
        steps.add("distance carried", f"{end.arm.text} - {start.arm.text} = {lever}")
        worked = f"{cg.text} + {moved.text} x {lever} / {mass.text} = {asks[0].text(found['cg'])}"
        steps.add("CG' = CG + m d / M", worked, SHIFT)
    elif facts.kind == "mass to move":
        asks = (ask("moved", f"how much has to be carried from '{start_name}' to '{end_name}'", up=True),)
        words = f"The CG is wanted at {target}."
        ways = f"{target} - {cg.text} = {gap}; {end.arm.text} - {start.arm.text} = {lever}"
        steps.add("way of the CG and way of the mass", ways)
        exact = f"{pen.mass(figure(found, 'moved'), 1)}, rounded up {asks[0].text(found['moved'])}"
        steps.add("m = M (CG' - CG) / d", f"{mass.text} x {gap} / {lever} = {exact}", SHIFT)
    elif facts.kind == "ballast":
        asks = (ask("ballast", f"the ballast to be fixed at '{end_name}'", up=True),)
        asks = (*asks, mass_ask(craft, "the total mass then", "total")) if level == 5 else asks
        words = f"The CG is wanted at {target}, with ballast at '{end_name}'."
        tables = (PrintedTable(("station", "arm"), ((end_name, end.arm.text),)),)
        away = pen.length(facts.to_arm - facts.target)
        exact = pen.mass(figure(found, "ballast"), 1)
        steps.append(way)
        steps.add("ballast to target", f"{end.arm.text} - {target} = {away}")
        worked = f"{mass.text} x {gap} / {away} = {exact}, rounded up {asks[0].text(found['ballast'])}"
        steps.add("m = M (CG' - CG) / (arm - CG')", worked, LEVER)
        if level == 5:
            total = f"{asks[-1].text(found['total'])}; check it against the limits again"
            steps.add("total mass", f"{mass.text} + {pen.mass(figure(found, 'ballast'))} = {total}")
    else:
        asks = (ask("arm", f"the arm at which {moved.text} of ballast brings it there"),)
        words, tables = f"The CG is wanted at {target}.", ()
        worked = f"{target} + {mass.text} x {gap} / {moved.text} = {asks[0].text(found['arm'])}"
        steps.append(way)
        steps.add("arm = CG' + M (CG' - CG) / m", worked, LEVER)

    return Draft(question=(told, words), tables=tables, asks=asks, facts=facts, solution=steps)
