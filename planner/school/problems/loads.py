"""A loading as a problem prints it: lines of mass and arm, its limits, and plausible random ones."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from typing import Final, Literal

from planner.flight.limits import AFT, FORWARD, GREATEST, LEAST
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item, Total, percent_mac, total
from planner.quantities.units import Quantity
from planner.school.craft import Category, Craft, Place, Side
from planner.school.dice import Dice, Pen
from planner.school.problem import Answers, NotSettable

LineKind = Literal["empty", "seats", "baggage", "other", "fuel"]
Want = Literal["inside", "forward", "aft", "heavy"]
_TRIES: Final = 400
_ENOUGH: Final = 4  # of _TRIES: rarer loadings are called impossible rather than waited for
# How clearly a loading is inside or outside, so that rounding on paper never decides: [m] and [kg].
CLEAR_CG: Final = 0.004
CLEAR_MASS: Final = 2.0
NOTHING: Final = Quantity(0.0, 0.0, "mass", "")
FARTHEST_OUT: Final = 0.09  # m; beyond it the figures no longer look like a mistake anyone would make


@frozen
class LoadLine:
    """One line of a loading [kg, m]; fuel has `volume` [m3] and `density` [kg/m3], a seat station its
    `people` [kg] and the texts they are printed in.
    """

    name: str
    kind: LineKind
    mass: float
    arm: float
    mass_text: str = ""
    arm_text: str = ""
    people: tuple[float, ...] = ()
    volume: float = 0.0
    density: float = 0.0
    volume_text: str = ""
    density_text: str = ""

    @property
    def kg(self) -> float:
        """The mass [kg]: of fuel, volume times density."""
        return self.volume * self.density if self.volume else self.mass

    @property
    def moment(self) -> float:
        """Moment [kg.m]."""
        return self.kg * self.arm

    def weighs(self, pen: Pen) -> str:
        """Its mass, of fuel as it is worked out."""
        return pen.mass(self.kg, 1 if self.volume else 0)

    def worked(self, pen: Pen) -> str:
        """How the mass of fuel is worked out."""
        return f"{self.volume_text} x {self.density_text} = {self.weighs(pen)}"


@frozen
class LoadFacts:
    """A loading with what may be asked of it. Lengths [m], masses [kg], moments [kg.m].

    `side` is the CG limit asked about; `divisor` [kg.m] makes the moment an index; `old_empty` and
    `example_empty` are (mass, arm) of records printed beside the current one; `unusable` [m3] stands in the
    question; `moment_step` and `cg_step` round on the way, and `cg_is` [m] stands for the CG, where a slip
    does that.
    """

    lines: tuple[LoadLine, ...]
    category: Category | None = None
    others: tuple[Category, ...] = ()
    side: Side = "aft"
    chord: tuple[float, float] | None = None
    divisor: float = 1.0
    old_empty: tuple[float, float] | None = None
    example_empty: tuple[float, float] | None = None
    unusable: float = 0.0
    moment_step: float = 0.0
    cg_step: float = 0.0
    cg_is: float = 0.0

    @property
    def flown(self) -> Category:
        """The category of a loading that is drawn with one."""
        assert self.category is not None
        return self.category

    def sum(self) -> Total:
        """Mass and moment of all lines, each moment rounded first where `moment_step` says so."""
        if self.moment_step:
            moments = [round(line.moment / self.moment_step) * self.moment_step for line in self.lines]
            return Total(math.fsum(line.kg for line in self.lines), math.fsum(moments))
        return total(Item(line.name, line.kg, line.arm) for line in self.lines)

    def without_fuel(self) -> Total:
        """Mass and moment of all lines but fuel."""
        return replace(self, lines=tuple(line for line in self.lines if line.kind != "fuel")).sum()

    def answers(self) -> Answers:
        """mass, moment, cg; index, mac, mass_margin, limit, margin and verdict where the facts have what they
        need. Source: [faa-h-8083-1b] ch. 2 and 5.
        """
        here = self.sum()
        cg = self.cg_is or here.centre_of_gravity
        if self.cg_step:
            cg = round(cg / self.cg_step) * self.cg_step
        found: Answers = {"mass": here.mass, "moment": here.moment, "cg": cg}
        found["index"] = here.moment / self.divisor
        if self.chord is not None:
            found["mac"] = percent_mac(cg, *self.chord) / 100
        if self.category is not None:
            found["mass_margin"] = self.category.top.value - here.mass
            state = Total(here.mass, cg * here.mass)
            found["limit"] = self.category.edge(self.side).arm(here.mass)
            found["margin"] = self.category.margins(state)[FORWARD if self.side == "forward" else AFT]
            found["verdict"] = self.category.word(state)
        return found

    def of_kind(self, *kinds: LineKind) -> tuple[LoadLine, ...]:
        """The lines of these kinds."""
        return tuple(line for line in self.lines if line.kind in kinds)


def printed_line(name: str, kind: LineKind, mass: Quantity, arm: Quantity) -> LoadLine:
    """A mass at an arm, both as printed."""
    return LoadLine(
        name=name, kind=kind, mass=mass.value, arm=arm.value, mass_text=mass.text, arm_text=arm.text
    )


def density_figure(craft: Craft, dice: Dice) -> Quantity:
    """A density a batch of the grade can have."""
    low, high = craft.grade.band
    return craft.pen.figure(dice.between(low + 0.2 * (high - low), high - 0.2 * (high - low)), "density")


def _station(place: Place, parts: list[Quantity]) -> LoadLine:
    name, station = place
    masses = tuple(part.value for part in parts)
    whole = Quantity(math.fsum(masses), 0.0, "mass", " + ".join(part.text for part in parts))
    line = printed_line(name, station.kind, whole, station.arm)
    return replace(line, people=masses) if station.kind == "seats" else line


def _people(craft: Craft, dice: Dice, want: Want, forbids: tuple[str, ...]) -> Iterator[LoadLine]:
    for rank, (name, station) in enumerate(craft.seats):
        if name in forbids and rank:
            continue
        front = rank == 0
        forward, aft = (0.9, 0.35) if front else (0.0, 0.95)
        likely = {"inside": 0.6, "forward": forward, "aft": aft, "heavy": 0.9}[want]
        count = sum(dice.chance(likely) for _ in range(station.seats - front)) + front
        heavy = {"forward": (84.0, 120.0), "aft": (50.0, 76.0) if front else (74.0, 112.0)}
        bounds = heavy.get(want, (56.0, 104.0))
        people = [craft.pen.figure(dice.between(*bounds), "mass", 0) for _ in range(count)]
        if people:
            yield _station((name, station), people)


def _baggage(craft: Craft, dice: Dice, want: Want, forbids: tuple[str, ...]) -> Iterator[LoadLine]:
    sums = craft.aircraft.combined_limits
    left = [limit.max.value for limit in sums]
    for name, station in craft.holds:
        if name in forbids or dice.chance({"inside": 0.3, "forward": 0.8, "aft": 0.1, "heavy": 0.2}[want]):
            continue
        mine = [index for index, limit in enumerate(sums) if name in limit.stations]
        most = min([station.max.value if station.max is not None else 30.0, *(left[index] for index in mine)])
        if most < 3.0:
            continue
        share = dice.between(0.5, 1.0) if want in ("aft", "heavy") else dice.between(0.1, 0.9)
        part = craft.pen.figure(math.floor(most * share), "mass", 0)
        if not 1.0 < part.value <= most:
            continue
        for index in mine:
            left[index] -= part.value
        yield _station((name, station), [part])


def fits(craft: Craft, lines: tuple[LoadLine, ...], category: Category) -> bool:
    """Whether every limit on what is aboard is kept, and that of the zero-fuel mass."""
    loads = {line.name: [line.kg] for line in lines if line.name in craft.aircraft.stations}
    for limit in category.limits:
        if limit.place == "load" and limit.asked(loads) and limit.margin(limit.of_load(loads)) < 0:
            return False
    without_fuel = math.fsum(line.kg for line in lines if line.kind != "fuel")
    return without_fuel <= craft.bounds[category.name].get("zero fuel", math.inf)


def where(category: Category, here: Total) -> Want | None:
    """Clearly inside, or beyond one limit by what happens; None if rounding may decide, or for several."""
    margin = category.margins(here)
    ahead, behind, room = margin[FORWARD], margin[AFT], margin[GREATEST]
    if margin[LEAST] < CLEAR_MASS or min(abs(ahead), abs(behind)) < CLEAR_CG or abs(room) < CLEAR_MASS:
        return None
    if ahead > 0 and behind > 0:
        return "inside" if room > 0 else ("heavy" if -room < 0.08 * here.mass else None)
    if room < 0 or max(-ahead, -behind) > FARTHEST_OUT:
        return None
    return "forward" if ahead < 0 else "aft"


def draw_load(
    craft: Craft,
    dice: Dice,
    want: Want = "inside",
    category: Category | None = None,
    fuel: tuple[float, float] = (0.25, 1.0),
) -> LoadFacts:
    """A random loading that is what is wanted, with every station within its own limit.

    Parameters: `craft`; `dice`; `want`; `category`, the first of the profile where None; `fuel`, least and
    greatest share of the usable fuel. Returns LoadFacts in SI.
    Raises NotSettable where the profile leaves no such loading (or hardly any).
    """
    chosen = category or craft.categories[0]
    if not _possible(craft, want, chosen):
        hardly = f"the profile hardly allows a loading that is {WANTED[want]}"
        raise NotSettable(f"{hardly} with every station within its own limit")
    density = density_figure(craft, dice)
    for _ in range(_TRIES):
        facts = candidate(craft, dice, want, chosen, fuel, density)
        if facts is not None:
            return facts
    raise NotSettable(f"in {_TRIES} random loadings none was {WANTED[want]}")


WANTED: Final[dict[Want, str]] = {
    "inside": "inside all limits",
    "forward": "ahead of the forward limit",
    "aft": "behind the aft limit",
    "heavy": "too heavy",
}


def candidate(
    craft: Craft,
    dice: Dice,
    want: Want,
    category: Category,
    fuel: tuple[float, float],
    density: Quantity,
    lean: Want | None = None,
) -> LoadFacts | None:
    """One random loading, or None where it is not what is wanted; `lean` draws its loads as for another."""
    drawn, forbids = lean or want, category.record.forbids
    parts = (*_people(craft, dice, drawn, forbids), *_baggage(craft, dice, drawn, forbids))
    volume = craft.pen.figure(craft.usable * dice.between(*fuel), "volume")
    if not 0 < volume.value <= craft.usable:
        return None
    arm = craft.pen.figure(craft.fuel_arm(volume.value), "length")
    fluids = (printed_line(name, "other", mass, at) for name, mass, at in craft.fluids)
    empty = printed_line("basic empty mass", "empty", *craft.empty)
    tanks = replace(
        printed_line("usable fuel", "fuel", NOTHING, arm),
        volume=volume.value,
        density=density.value,
        volume_text=volume.text,
        density_text=density.text,
    )
    lines = (empty, *fluids, *parts, tanks)
    others = tuple(each for each in craft.categories if each is not category)
    unusable = craft.unusable if "unusable fuel" in craft.aircraft.basic_empty.includes else 0.0
    facts = LoadFacts(lines, category, others, unusable=unusable)
    return facts if where(category, facts.sum()) == want and fits(craft, lines, category) else None


def _possible(craft: Craft, want: Want, category: Category) -> bool:
    """Whether such loadings are to be had at all, found out once, with dice that depend on no seed."""
    key = (want, category.name)
    if key not in craft.possible:
        dice = Dice("possible", *key)
        density = craft.pen.figure(sum(craft.grade.band) / 2, "density")
        tries = (candidate(craft, dice, want, category, (0.25, 1.0), density) for _ in range(_TRIES))
        craft.possible[key] = len(list(islice(filter(None, tries), _ENOUGH))) == _ENOUGH
    return craft.possible[key]
