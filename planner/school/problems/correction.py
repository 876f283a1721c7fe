"""Problems that begin outside a limit: leave behind, move, add, or drain, and what then holds."""

from __future__ import annotations

from typing import Final, Literal

from planner.flight.burn import Stretch, bounds, crossings
from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total, mass_to_shift, round_up
from planner.quantities.polygon import Edge
from planner.quantities.units import UNITS
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, Draft, NotSettable, SolutionLine, Working, amount
from planner.school.problems.balance import LEVER, cg_ask, heading, mass_ask, of_loading
from planner.school.problems.limits import envelope_tables, envelope_words, outside_note, verdict_steps
from planner.school.problems.loads import NOTHING, LoadFacts, LoadLine, Want, draw_load, printed_line
from planner.school.problems.moving import SHIFT

Cure = Literal["drain", "leave", "move", "add"]
_NEEDS: Final[dict[Cure, Want]] = {"drain": "heavy", "leave": "aft", "move": "aft", "add": "forward"}
# What each level asks first; where the profile has no such loading, the others follow.
_ORDER: Final[dict[int, tuple[Cure, ...]]] = {
    1: ("drain", "leave", "add"),
    2: ("leave", "add", "drain"),
    3: ("move", "leave", "add", "drain"),
    4: ("add", "leave", "move", "drain"),
    5: ("leave", "move", "add", "drain"),
}


def along(before: Total, other: float, arm: float) -> tuple[Stretch, ...]:
    """The states met, heavier first, while mass at `arm` goes or comes: moment is linear in mass."""
    high, low = max(before.mass, other), min(before.mass, other)
    offset = before.moment - arm * before.mass
    return (Stretch(start=high, end=low, moment=(offset, arm, 0.0)),)


@frozen
class CorrectionFacts:
    """A loading outside and its cure. `arm` [m] of the load that leaves or comes, `to_arm` [m] where it is
    moved to, `available` [kg] of it.

    `step` [kg, for drained fuel m3] is what the amount is rounded up to before the new state is worked out.
    """

    load: LoadFacts
    cure: Cure
    arm: float
    to_arm: float
    available: float
    density: float
    step: float

    @property
    def edge(self) -> Edge:
        """The CG limit it is outside of."""
        return self.load.flown.edge("forward" if self.cure == "add" else "aft")

    def amount(self) -> float:
        """Least mass [kg] that cures it. Raises OutOfRange where no amount does."""
        before, aft = self.load.sum(), self.cure != "add"
        if self.cure == "drain":
            return before.mass - self.load.flown.top.value
        if self.cure == "move":
            return mass_to_shift(before, self.edge.arm(before.mass), self.arm, self.to_arm)
        end = before.mass + (self.available if self.cure == "add" else -self.available)
        bound = next(each for each in bounds(self.load.flown.envelope, None) if each.upper is aft)
        found = [
            abs(each.point.total.mass - before.mass)
            for each in crossings(along(before, end, self.arm), bound)
        ]
        if not found:
            raise OutOfRange("no amount of this load brings the CG inside")
        return min(found)

    def after(self, amount: float) -> Total:
        """Mass and moment once so much [kg] has gone, moved or come."""
        here = self.load.sum()
        if self.cure == "move":
            return Total(here.mass, here.moment + amount * (self.to_arm - self.arm))
        signed = amount if self.cure == "add" else -amount
        return Total(here.mass + signed, here.moment + signed * self.arm)

    def rounded(self) -> float:
        """The amount [kg] as it is carried out, rounded up."""
        if self.cure == "drain":
            return round_up(self.amount() / self.density, self.step) * self.density
        return round_up(self.amount(), self.step)

    def fuel_cures(self) -> bool:
        """Whether any smaller amount of fuel, with everything else as it is, lies inside the CG limits."""
        here, category = self.load.sum(), self.load.flown
        dry = self.load.without_fuel()
        path = along(here, dry.mass, next((line.arm for line in self.load.of_kind("fuel")), 0.0))
        inside = category.word(dry) == "inside"
        return inside or any(crossings(path, bound) for bound in bounds(category.envelope, None))

    def answers(self) -> Answers:
        """amount [kg], drained [m3], the CG and mass after it, and whether fuel alone cures it. Source:
        [faa-h-8083-25]; [faa-h-8083-1b] ch. 2.
        """
        amount = self.amount()
        state = self.after(self.rounded())
        return {
            "amount": amount,
            "drained": amount / self.density,
            "mass": state.mass,
            "cg": state.centre_of_gravity,
            "fuel": "yes" if self.fuel_cures() else "no",
        }


def _target(craft: Craft, cure: Cure, load: LoadFacts) -> tuple[LoadLine, float, float] | None:
    """(line that gives or takes, arm it goes to, most that may go), or None where there is no place."""
    if cure == "drain":
        fuel = load.of_kind("fuel")[0]
        return fuel, fuel.arm, fuel.kg
    loaded = {line.name: line for line in load.lines}
    names = dict(craft.holds)
    holds = sorted((line for line in load.lines if line.name in names), key=lambda line: -line.arm)
    if cure in ("leave", "move") and not holds:
        return None
    if cure == "leave":
        return holds[0], holds[0].arm, holds[0].kg
    if cure == "move":
        arms = [station.arm.value for _, station in (*craft.holds, craft.seats[0])]
        ahead = [arm for arm in arms if arm < holds[0].arm - 0.3]
        return (holds[0], min(ahead), holds[0].kg) if ahead else None
    room = []
    for name, station in craft.holds:
        already = loaded[name].kg if name in loaded else 0.0
        behind = station.arm.value > load.sum().centre_of_gravity + 0.3
        if station.max is not None and station.max.value - already > 3.0 and behind:
            room.append((name, station.arm, station.max.value - already))
    if not room:
        return None
    name, arm, most = max(room, key=lambda each: each[1].value)
    return printed_line(name, "baggage", NOTHING, arm), arm.value, most


def set_correction(craft: Craft, dice: Dice, level: int) -> Draft:
    """A loading beyond a limit, the least change that cures it, and the state after it."""
    refused = "the profile has no baggage to leave, move or add"
    for cure in _ORDER[level]:
        for _ in range(12):
            try:
                load = draw_load(craft, dice, _NEEDS[cure])
            except NotSettable as reason:
                refused = str(reason)
                break
            problem = _try(craft, level, cure, load)
            if problem is not None:
                return problem
    raise NotSettable(refused)


def _try(craft: Craft, level: int, cure: Cure, load: LoadFacts) -> Draft | None:
    pen, want, target = craft.pen, _NEEDS[cure], _target(craft, cure, load)
    if target is None:
        return None
    line, to_arm, most = target
    fuel = load.of_kind("fuel")[0]
    unit = pen.unit("volume" if cure == "drain" else "mass")
    step = (0.1 if cure == "drain" else 0.5) * UNITS[unit].factor
    facts = CorrectionFacts(
        load=load, cure=cure, arm=line.arm, to_arm=to_arm, available=most, density=fuel.density, step=step
    )
    try:
        exactly, after = facts.amount(), facts.after(facts.rounded())
    except OutOfRange:
        return None
    least = 1.0 if cure == "drain" else 0.5
    if not least < exactly < most - step * (fuel.density if cure == "drain" else 1.0):
        return None
    full = cure == "add" and any(
        limit.max.value - sum(each.kg for each in load.lines if each.name in limit.stations) < facts.rounded()
        for limit in craft.sums(line.name)
    )
    if full or facts.load.flown.word(after) != "inside":
        return None
    right = facts.answers()
    if cure == "drain":
        words = "how much fuel must at least be drained"
        first = amount(pen, "drained", words, "volume", 0.1, 0.1, "up")
        exact = f"{pen.volume(right['drained'], 1)}, rounded up {first.text(right['drained'])}"
        worked = f"{pen.mass(exactly, 1)} / {fuel.density_text} = {exact}"
        formula = SolutionLine("excess over density", worked, LEVER)
    else:
        words = {
            "leave": f"left behind from '{line.name}'",
            "move": f"carried from '{line.name}' to the arm {pen.length(facts.to_arm)}",
            "add": f"put on '{line.name}'",
        }[cure]
        first = amount(pen, "amount", f"how much must at least be {words}", "mass", 0.5, 0.5, "up")
        formula = _formula(craft, facts, first)
    fuel_ask = Ask("fuel", "could carrying less fuel alone bring the CG inside?", choices=("yes", "no"))
    asks = [first]
    if level >= 2:
        asks.append(cg_ask(craft, "the CG after the rounded amount"))
    if level >= 4:
        asks.append(mass_ask(craft, "the mass after the rounded amount"))
    if level >= 3 and want == "aft":
        asks.append(fuel_ask)
    steps = Working([*verdict_steps(craft, load), formula])
    state = f"mass {pen.mass(after.mass)}, moment {pen.moment(after.moment)}"
    steps.add("after it", f"{state}, CG {pen.length(after.centre_of_gravity, 1)}: inside")
    if fuel_ask in asks:
        zero = pen.length(load.without_fuel().centre_of_gravity)
        would = f"less fuel alone would {'' if right['fuel'] == 'yes' else 'not '}cure it"
        dry = f"without any usable fuel the CG would be {zero}"
        steps.add("with less fuel", f"{dry}; {right['fuel']}, {would}")
    aft = "The CG is behind the aft limit. Load is to be"
    told = {
        "drain": "The loading is too heavy to take off. Fuel is to be drained",
        "leave": f"{aft} left behind from '{line.name}'",
        "move": f"{aft} carried forward from '{line.name}' and made fast there",
        "add": f"The CG is ahead of the forward limit. Ballast, made fast, is to be put on '{line.name}'",
    }[cure] + ", everything else stays."
    if cure == "add" and craft.edition > 1:
        told += f" The arm of '{line.name}' is {line.arm_text}."
    limits = envelope_tables(facts.load.flown)
    question = (heading(craft), envelope_words(facts.load.flown), told)
    return of_loading(craft, load, question, asks, steps, [limits], facts, outside_note(want))


def _formula(craft: Craft, facts: CorrectionFacts, ask: Ask) -> SolutionLine:
    """The least amount: by the shift formula, or the lever about the limit that holds at the mass reached."""
    pen, here = craft.pen, facts.load.sum()
    amount = facts.amount()
    exact = f"{pen.mass(amount, 1)}, rounded up {ask.text(amount)}"
    reached = {"move": here.mass, "add": here.mass + amount}.get(facts.cure, here.mass - amount)
    limit = facts.edge.arm(reached)
    gap = limit - here.centre_of_gravity
    words, source, to, start = "m = M (CG' - CG) / d", SHIFT, facts.to_arm, facts.arm
    if facts.cure != "move":
        words, source = "m = M x (way to the limit) / (arm to the limit)", LEVER
        to, start = facts.arm, limit
    way, lever = pen.length(gap), pen.length(to - start)
    by = (way, lever) if facts.cure == "move" else (way.lstrip("-"), lever.lstrip("-"))
    lines = (
        f"the limit is {pen.length(limit)} at the mass reached, {pen.mass(reached)}",
        f"{pen.length(limit)} - {pen.length(here.centre_of_gravity)} = {way}",
        f"{pen.length(to)} - {pen.length(start)} = {lever}",
        f"{pen.mass(here.mass)} x {by[0]} / {by[1]} = {exact}",
    )
    return SolutionLine(words, "; ".join(lines), source)
