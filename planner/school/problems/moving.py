"""Problems on mass shifted, added as ballast, or wanted at an arm."""

from __future__ import annotations

from typing import Final, Literal

from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total, ballast_arm, ballast_mass, cg_after_shift, mass_to_shift
from planner.quantities.units import Dimension
from planner.records.aircraft.record import Station
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, NotSettable, PrintedTable, Working, amount
from planner.school.problems.balance import LEVER, cg_ask, mass_ask
from planner.school.problems.loads import draw_load

SHIFT: Final = "faa-h-8083-25"


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
        (start_name, start), (end_name, end) = dice.pick(pairs)
        moved = pen.figure(dice.between(5.0, 40.0), "mass", 0)
        aft = end.arm.value > (start.arm.value if kind == "mass to move" else cg.value)
        off = pen.figure(dice.between(0.004, 0.03), "length").value * (1.0 if aft else -1.0)
        wanted = pen.figure(cg.value + off, "length")
        facts = ShiftFacts(
            kind=kind,
            mass=mass.value,
            cg=cg.value,
            moved=moved.value,
            from_arm=start.arm.value,
            to_arm=end.arm.value,
            target=wanted.value,
        )
        if facts.target == facts.cg:
            continue
        try:
            found = facts.answers()
        except OutOfRange:
            continue
        if _plausible(craft, facts, found, (start, end)):
            break
    else:
        raise NotSettable("no shift of a plausible mass was found")
    arms = PrintedTable(("station", "arm"), ((start_name, start.arm.text), (end_name, end.arm.text)))
    target = wanted.text
    gap, lever = pen.length(facts.target - facts.cg), pen.length(facts.to_arm - facts.from_arm)
    told = f"{craft.aircraft.name} has a mass of {mass.text} and its CG at {cg.text}."

    def ask(key: str, words: str, up: bool = False) -> Ask:
        dimension: Dimension = "length" if key == "arm" else "mass"
        step = pen.either(0.01, 1.0) if key == "arm" else 0.1
        return amount(pen, key, words, dimension, step, step / 2, "up" if up else "nearest")

    tables: tuple[PrintedTable, ...] = (arms,)
    steps, way = Working(), ("way of the CG", f"{target} - {cg.text} = {gap}")
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
        exact = f"{pen.mass(found['moved'], 1)}, rounded up {asks[0].text(found['moved'])}"
        steps.add("m = M (CG' - CG) / d", f"{mass.text} x {gap} / {lever} = {exact}", SHIFT)
    elif facts.kind == "ballast":
        asks = (ask("ballast", f"the ballast to be fixed at '{end_name}'", up=True),)
        asks = (*asks, mass_ask(craft, "the total mass then", "total")) if level == 5 else asks
        words = f"The CG is wanted at {target}, with ballast at '{end_name}'."
        tables = (PrintedTable(("station", "arm"), ((end_name, end.arm.text),)),)
        away = pen.length(facts.to_arm - facts.target)
        exact = pen.mass(found["ballast"], 1)
        steps.add(*way)
        steps.add("ballast to target", f"{end.arm.text} - {target} = {away}")
        worked = f"{mass.text} x {gap} / {away} = {exact}, rounded up {asks[0].text(found['ballast'])}"
        steps.add("m = M (CG' - CG) / (arm - CG')", worked, LEVER)
        if level == 5:
            total = f"{asks[-1].text(found['total'])}; check it against the limits again"
            steps.add("total mass", f"{mass.text} + {pen.mass(found['ballast'])} = {total}")
    else:
        asks = (ask("arm", f"the arm at which {moved.text} of ballast brings it there"),)
        words, tables = f"The CG is wanted at {target}.", ()
        worked = f"{target} + {mass.text} x {gap} / {moved.text} = {asks[0].text(found['arm'])}"
        steps.add(*way)
        steps.add("arm = CG' + M (CG' - CG) / m", worked, LEVER)

    return Draft(question=(told, words), tables=tables, asks=asks, facts=facts, solution=steps)


def _plausible(craft: Craft, facts: ShiftFacts, found: Answers, ends: tuple[Station, Station]) -> bool:
    """Masses a person could carry, within the station's limit; an arm within the cabin."""
    start, end = ends
    envelope = craft.categories[0].envelope
    if facts.kind == "ballast arm":
        arms = [each.arm.value for each in craft.aircraft.stations.values()]
        arm: float = found["arm"]
        return min(arms) - 0.5 <= arm <= max(arms) + 0.5 and abs(arm - facts.target) > 0.3
    most = min([45.0, *(each.max.value for each in (start, end) if each.max is not None)])
    amount: float = found.get("ballast") or found.get("moved", facts.moved)
    if not 2.0 <= amount <= most:
        return False
    if facts.kind == "ballast":
        heavy = facts.mass + amount > craft.aircraft.masses.max_takeoff.value
        return not heavy and abs(end.arm.value - facts.target) > 0.3
    cg = found["cg"] if facts.kind == "new cg" else facts.target
    return envelope.forward.arm(facts.mass) - 0.05 <= cg <= envelope.aft.arm(facts.mass) + 0.05
