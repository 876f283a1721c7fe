"""Problems on units, on density and temperature, and on volume to mass."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import partial
from typing import Final, Literal

from planner.density.petroleum import density_15c_from, density_at, product_of, volume_correction_factor
from planner.quantities.frozen import frozen
from planner.quantities.units import IMPERIAL_GALLON, POUND, UNITS, US_GALLON, Quantity, in_unit
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.problem import Answers, Draft, NotSettable, Working, amount


@frozen
class UnitFacts:
    """A number in one unit, wanted in another."""

    number: float
    unit: str
    wanted: str

    def answers(self) -> Answers:
        """converted [SI]. Source: [16-cfr-500.19]."""
        scale = UNITS[self.unit]
        return {"converted": self.number * scale.factor + scale.offset}


# (level, unit given, unit wanted, lowest, highest, decimals of the number, step of the answer).
_PAIRS: Final[tuple[tuple[int, str, str, float, float, int, float], ...]] = (
    (1, "lb", "kg", 110, 260, 0, 0.1),
    (1, "USgal", "L", 8, 60, 1, 0.1),
    (1, "in", "mm", 20, 150, 1, 1),
    (1, "kg", "lb", 50, 110, 0, 0.1),
    (2, "impgal", "L", 8, 45, 1, 0.1),
    (2, "L", "USgal", 30, 220, 0, 0.1),
    (2, "m", "in", 0.6, 4.2, 3, 0.1),
    (2, "degF", "degC", 14, 104, 0, 0.1),
    (3, "lb/USgal", "kg/L", 5.7, 6.8, 2, 0.001),
    (3, "USgal/h", "L/h", 5, 16, 1, 0.1),
    (3, "L", "impgal", 30, 200, 0, 0.1),
    (3, "degC", "degF", -20, 40, 0, 0.1),
    (4, "lb.in", "kg.m", 15000, 110000, 0, 0.1),
    (4, "kg/L", "lb/USgal", 0.68, 0.82, 3, 0.01),
    (4, "impgal", "USgal", 8, 45, 1, 0.1),
    (5, "kg.m", "lb.in", 180, 1600, 1, 10),
    (5, "lb/impgal", "kg/L", 6.9, 8.0, 2, 0.001),
    (5, "impgal/h", "USgal/h", 5, 14, 1, 0.1),
)
PETROLEUM: Final = "api-mpms-11.1"
# Exact factors as they are learnt, with their sources; a conversion goes through these.
FACTORS: Final[dict[str, str]] = {
    "lb": f"1 lb = {POUND} kg exactly",
    "in": "1 in = 25.4 mm exactly",
    "USgal": f"1 USgal = {US_GALLON * 1e3:.9f} L exactly (231 cubic inches)",
    "impgal": f"1 impgal = {IMPERIAL_GALLON * 1e3:.5f} L exactly",
    "degF": "degC = (degF - 32) x 5/9",
}


def set_units(craft: Craft, dice: Dice, level: int) -> Draft:
    """One figure into another unit."""
    own = [each for each in _PAIRS if each[0] == level]
    _, unit, wanted, low, high, decimals, step = dice.pick(own)
    dimension = UNITS[unit].dimension
    given = craft.pen.figure(
        dice.between(low, high) * UNITS[unit].factor + UNITS[unit].offset, dimension, decimals, unit
    )
    facts = UnitFacts(_number(given), unit, wanted)
    named = {"volume": "An amount of fuel", "length": "An arm", "volume flow": "A fuel flow"}
    what = named.get(dimension, f"A {dimension}")
    ask = replace(
        amount(craft.pen, "converted", f"the same in {wanted}", dimension, step, unit=wanted), exact_unit=True
    )
    units = re.split(r"[/. ]", f"{unit} {wanted}")
    used = [text for key, text in FACTORS.items() if key in units]
    ratio = UNITS[unit].factor / UNITS[wanted].factor
    value = facts.answers()["converted"]
    steps = Working()
    steps.add("exact by definition", "; ".join(used), "16-cfr-500.19")
    if dimension == "temperature":
        line = f"({facts.number:g} - 32) x 5/9" if unit == "degF" else f"{facts.number:g} x 9/5 + 32"
    else:
        line = f"{facts.number:g} {unit} x {ratio:.6g} {wanted} per {unit}"
        steps.add("the factor", f"1 {unit} = {ratio:.6g} {wanted}")
    steps.add("converted", f"{line} = {ask.text(value)}")

    return Draft(question=(f"{what} is given as {given.text}.",), asks=(ask,), facts=facts, solution=steps)


@frozen
class DensityFacts:
    """A density [kg/m3] known at `known_at` [degC], wanted at `wanted_at` [degC]; one of the two is 15 degC.
    `volume` [m3] of fuel at `wanted_at`, or 0.
    """

    density: float
    known_at: float
    wanted_at: float
    volume: float = 0.0

    def answers(self) -> Answers:
        """density [kg/m3] and, with a volume, mass [kg]. Source: [api-mpms-11.1] Tables 53B, 54B."""
        at_15c = self.density if self.known_at == 15.0 else density_15c_from(self.density, self.known_at)
        found = density_at(at_15c, self.wanted_at)
        return {"density": found, "mass": found * self.volume}


def set_density(craft: Craft, dice: Dice, level: int) -> Draft:
    """A density carried by the petroleum tables' formula; at level 3 with a mass, from 4 back to 15 degC."""
    pen = craft.pen
    low, high = craft.grade.band
    at_15c = pen.figure(dice.between(low + 4, high - 4), "density")
    away = [t for t in range(-20, 41) if abs(t - 15) >= (12 if level == 1 else 6)]
    there = pen.figure(float(dice.pick(away)), "temperature")
    step, back, given = pen.either(0.0001, 0.001), level >= 4, at_15c
    if back:  # an observed density: what 15 degC makes of it at that temperature, printed
        given = pen.figure(density_at(at_15c.value, there.value), "density", pen.either(4, 3))
        facts = DensityFacts(given.value, there.value, 15.0)
    else:
        volume = pen.figure(craft.usable * dice.between(0.3, 0.95), "volume") if level == 3 else None
        facts = DensityFacts(at_15c.value, 15.0, there.value, volume.value if volume is not None else 0.0)
    right = facts.answers()["density"]
    base = right if back else at_15c.value
    alpha, factor = product_of(base).alpha(base), volume_correction_factor(base, there.value)
    at = "15 degC" if back else there.text
    asks = [amount(pen, "density", f"its density at {at}", "density", step, slack=step)]
    question = [
        f"Take {craft.grade.name}. The density at the other temperature is that at 15 degC times the volume"
        " correction factor, VCF = exp[-a d (1 + 0.8 a d)], where d is the temperature less 15 degC in degC,"
        f" and a = {alpha:.6f} per degC for this fuel."
    ]
    where = f"{there.text} (= {there.value:.1f} degC)" if pen.unit("temperature") != "degC" else there.text
    steps = Working()
    steps.add("temperature from 15 degC", f"d = {there.value:.1f} - 15 = {there.value - 15:+.1f} degC")
    worked = f"a d = {alpha * (there.value - 15):+.6f}; VCF = {factor:.5f}"
    steps.add("volume correction factor", worked, PETROLEUM)
    told = f"The supplier's certificate says {given.text} at 15 degC. The fuel in the tanks is at {where}."
    if back:
        told = f"A hydrometer shows {given.text} in fuel at {where}; its glass is already allowed for."
    what, way = ("density at 15 degC", "/") if back else ("density in the tanks", "x")
    steps.add(what, f"{given.text} {way} {factor:.5f} = {asks[0].text(right)}", PETROLEUM)
    if not back and volume is not None:
        mass = amount(pen, "mass", f"the mass of {volume.text} of it", "mass", 0.1, slack=0.1)
        question.append(f"The tanks hold {volume.text} usable.")
        asks.append(mass)
        steps.add("mass", f"{volume.text} x {asks[0].text(right)} = {mass.text(right * volume.value)}")

    return Draft(question=(told, *question), asks=asks, facts=facts, solution=steps)


@frozen
class FuelMassFacts:
    """A volume and a density as printed, one of them in a foreign unit. `total` says that the number includes
    `unusable` [m3], so usable is less.
    """

    number: float
    unit: str
    density_number: float
    density_unit: str
    wanted: Literal["mass", "volume"]
    unusable: float = 0.0
    total: bool = False
    jet: bool = False
    answer_unit: str = "kg"

    @property
    def density(self) -> float:
        """Density [kg/m3]."""
        return self.density_number * UNITS[self.density_unit].factor

    def answers(self) -> Answers:
        """mass [kg] of a volume, or volume [m3] of a mass. Source: [faa-h-8083-30] ch. 4 for the method."""
        amount = self.number * UNITS[self.unit].factor
        if self.wanted == "volume":
            return {"volume": amount / self.density}
        return {"mass": (amount - (self.unusable if self.total else 0.0)) * self.density}


def _foreign(craft: Craft, dice: Dice, level: int) -> tuple[str, str]:
    """Units of volume and density: the reader's own at first, others later."""
    own_volume, own_density = craft.pen.unit("volume"), craft.pen.unit("density")
    if level == 1:
        return own_volume, own_density
    if level == 2:
        return dice.pick([each for each in ("L", "USgal", "impgal") if each != own_volume]), own_density
    return dice.pick(["L", "USgal", "impgal"]), dice.pick(["kg/L", "lb/USgal"])


def set_fuel_mass(craft: Craft, dice: Dice, level: int) -> Draft:
    """Mass of a volume, volume of a mass (level 4), usable fuel out of a total (levels 3 and 5)."""
    pen = craft.pen
    volume_unit, density_unit = _foreign(craft, dice, level)
    low, high = craft.grade.band
    decimals = 3 if density_unit == "kg/L" else 2
    density = pen.figure(dice.between(low + 4, high - 4), "density", decimals, density_unit)
    aboard = dice.between(0.35, 0.95) * craft.usable
    dense, steps = f"{density.value / 1e3:.4f} kg/L", Working()
    jet = craft.grade.kind == "jet"
    of_density = partial(FuelMassFacts, density_number=_number(density), density_unit=density_unit, jet=jet)
    if level == 4:
        given = pen.figure(aboard * density.value, "mass", 0)
        facts = of_density(
            number=_number(given), unit=pen.unit("mass"), wanted="volume", answer_unit=volume_unit
        )
        words = f"how much that is in {volume_unit}"
        ask = amount(pen, "volume", words, "volume", 0.1, unit=volume_unit, slack=0.05)
        value = facts.answers()["volume"]
        told = f"There is room for {given.text} of {craft.grade.name}."
        told += f" Its density in the tanks is {density.text}."
        steps.add("in kilograms and kg/L", f"{given.value:.2f} kg; {dense}", "16-cfr-500.19")
        worked = f"{given.value:.2f} kg / {dense} = {value * 1e3:.2f} L = {ask.text(value)}"
        steps.add("mass over density", worked, "faa-h-8083-30")
    else:
        total = level in (3, 5) and craft.unusable > 0
        unusable = pen.figure(craft.unusable, "volume", 1, volume_unit)
        if total and unusable.value <= 0:
            raise NotSettable("the profile's unusable fuel is too little to be printed")
        more = unusable.value if total else 0.0
        given = pen.figure(aboard + more, "volume", 0 if volume_unit == "L" else 1, volume_unit)
        holds = "unusable fuel" in craft.aircraft.basic_empty.includes
        beside = level == 2 and unusable.value > 0 and holds
        facts = of_density(
            number=_number(given),
            unit=volume_unit,
            wanted="mass",
            unusable=unusable.value if total or beside else 0.0,
            total=total,
            answer_unit=pen.unit("mass"),
        )
        ask = amount(pen, "mass", "the mass of the usable fuel", "mass", 0.1, slack=0.1)
        value = facts.answers()["mass"]
        belong = " and belong to the basic empty mass" if holds else ""
        apart = f"; the {unusable.text} unusable belong to the basic empty mass" if beside else ""
        content = f"of usable fuel{apart}"
        if total:
            content = f"in all, of which {unusable.text} are unusable{belong}"
        told = f"The tanks hold {given.text} {content}."
        told += f" It is {craft.grade.name}, and its density in the tanks is {density.text}."
        usable = given.value - more
        if total:
            left = f"{in_unit(usable, volume_unit):.1f} {volume_unit}"
            steps.add("usable fuel", f"{given.text} - {unusable.text} = {left}")
        steps.add("in litres and kg/L", f"{usable * 1e3:.2f} L; {dense}", "16-cfr-500.19")
        worked = f"{usable * 1e3:.2f} L x {dense} = {value:.2f} kg = {ask.text(value)}"
        steps.add("volume times density", worked, "faa-h-8083-30")
    return Draft(question=(told,), asks=(ask,), facts=facts, solution=steps)


def _number(printed: Quantity) -> float:
    """The number of a printed figure."""
    return float(printed.text.split()[0])
