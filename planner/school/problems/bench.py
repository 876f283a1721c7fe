"""Problems at the bench: an aircraft on scales, and a liquid in a density bottle."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from planner.density.air import WEIGHT_DENSITY
from planner.density.bench.glass import glass_volume
from planner.density.bench.steps.formulas import (
    density_from_volume,
    density_relative_to_water,
    volume_from_water,
)
from planner.density.water import water_density
from planner.facts.cautions import CLASSROOM
from planner.logbook.mass.hung import ScalePoint, weigh
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item
from planner.quantities.units import Quantity
from planner.school.craft import Craft
from planner.school.dice import Dice, Pen
from planner.school.problem import Answers, Draft, PrintedTable, SolutionLine, Working, amount
from planner.school.problems.balance import cg_ask, cg_step, mass_ask, moment_ask

SCALES: Final = "faa-h-8083-30"
_BOTTLE: Final = "iso-20461"
BOROSILICATE: Final = 9.9e-6  # 1/K, cubic; the figure printed in the question
_GROWTH: Final = f"{BOROSILICATE * 1e6:.1f} millionths"
_AIR: Final = 1.20  # kg/m3, printed in the question


@frozen
class WeighingFacts:
    """Readings under a levelled aircraft, what is to come off and what is to go on; `aboard` is printed and
    stays as it is.

    `fuel` is the volume that stands for what comes off, as printed.
    """

    points: tuple[ScalePoint, ...]
    removed: tuple[Item, ...]
    added: tuple[Item, ...]
    aboard: tuple[Item, ...] = ()
    fuel: Quantity | None = None

    def answers(self) -> Answers:
        """mass [kg], moment [kg.m], cg [m] of the basic empty mass. Source: [faa-h-8083-30] ch. 4."""
        found = weigh(self.points, self.removed, self.added).basic_empty
        return {"mass": found.mass, "moment": found.moment, "cg": found.centre_of_gravity}


def on_scales(
    pen: Pen,
    dice: Dice,
    places: Mapping[str, Quantity],
    mass: float,
    share: float,
    tares: tuple[float, float] | None,
    held: str = "",
) -> tuple[tuple[ScalePoint, ...], tuple[tuple[str, ...], ...]]:
    """Readings under an aircraft of this mass [kg] on three places, the share of it on the last, and the rows
    they are printed in; what is `held` down pulls up and has no tare.
    """
    lean, mains = dice.between(0.49, 0.51), (1 - share) * mass
    points, rows = [], []
    forces = (mains * lean, mains * (1 - lean), share * mass)
    for (name, place), force in zip(places.items(), forces, strict=True):
        sign = -1 if name == held else 1
        tare = Quantity(0.0, 0.0, "mass", "none")
        if tares is not None and name != held:
            tare = pen.figure(dice.between(*tares), "mass", 1)
        reading = pen.figure(sign * force + tare.value, "mass", 1)
        points.append(ScalePoint(name, sign * reading.value, tare.value, place.value))
        rows.append((name, reading.text, tare.text, place.text))
    return tuple(points), tuple(rows)


def set_weighing(craft: Craft, dice: Dice, level: int) -> Draft:
    """Basic empty mass and CG from scales; tare from level 2, fuel aboard from 3, fluids 4, tailwheel 5."""
    pen, (empty, arm) = craft.pen, craft.empty
    tail = level == 5 and dice.chance(0.5)
    off, away = ((-0.22, -0.32), (3.6, 4.6)) if tail else ((0.2, 0.35), (-1.6, -2.2))
    mains = pen.figure(arm.value + dice.between(*off), "length")
    third = pen.figure(mains.value + dice.between(*away), "length")
    fuel_arm = pen.figure(craft.fuel_arm(craft.usable * 0.3), "length")
    density = pen.figure(sum(craft.grade.band) / 2, "density")
    on_board = pen.figure(dice.between(0.15, 0.45) * craft.usable, "volume") if level >= 3 else None
    removed: tuple[Item, ...] = ()
    if on_board is not None:
        removed = (Item("usable fuel", on_board.value * density.value, fuel_arm.value),)
    unusable = pen.figure(craft.unusable * density.value, "mass", 1)
    oil_mass = pen.figure(dice.between(5.0, 9.0), "mass", 1)
    oil_arm = pen.figure(arm.value - dice.between(0.9, 1.3), "length")
    oil = (Item("oil", oil_mass.value, oil_arm.value),)
    drained = level >= 4 and dice.chance(0.5)
    added, full = (oil, ()) if drained else ((), oil)
    aboard = (Item("unusable fuel", unusable.value, fuel_arm.value), *full) if level >= 4 else ()
    more, less = (math.fsum(item.mass for item in items) for items in (removed, added))
    mass = empty.value + dice.between(-0.01, 0.01) * empty.value + more - less
    moment = mass * (arm.value + dice.between(-0.01, 0.01))
    share = (moment / mass - mains.value) / (third.value - mains.value)
    places = {"left main": mains, "right main": mains, "tail" if tail else "nose": third}
    points, rows = on_scales(pen, dice, places, mass, share, (1.5, 6.0) if level >= 2 else None)
    facts = WeighingFacts(points=points, removed=removed, added=added, aboard=aboard, fuel=on_board)
    lines = len(points) + len(removed) + len(added)
    asks = (mass_ask(craft, "the basic empty mass"), moment_ask(craft, lines), cg_ask(craft, "its arm"))
    name, datum = craft.aircraft.name, craft.aircraft.datum
    told = [f"{name} stands level on three scales. Arms are from the datum ({datum})."]
    if on_board is not None:
        fuel = f"{on_board.text} of usable fuel at {density.text}"
        told.append(f"{fuel} are in the tanks, at arm {fuel_arm.text}.")
    if drained:
        told.append(f"The oil is drained; a full filling is {oil_mass.text} at arm {oil_arm.text}.")
    elif level >= 4:
        told.append(f"The oil is full: {oil_mass.text} at arm {oil_arm.text}.")
    if level >= 4 and unusable.value > 0:
        told.append(f"The unusable fuel, {unusable.text} at arm {fuel_arm.text}, is in the tanks.")
    told.append("The basic empty mass is to include full oil and unusable fuel.")
    worked = weigh(facts.points, facts.removed, facts.added)
    empty_now = worked.basic_empty
    steps = Working()
    for point in points:
        net = f" - {pen.mass(point.tare)} = {pen.mass(point.reaction)}" if point.tare else ""
        steps.add(f"{point.name}, reading less tare", f"{pen.mass(point.reading)}{net}")
    if on_board is not None:
        mass_of_it = f"{on_board.text} x {density.text} = {pen.mass(removed[0].mass, 1)}"
        steps.add("usable fuel, mass", mass_of_it, SCALES)
    for item in (step.item for step in worked.steps):
        moment_of_it = f"{pen.mass(item.mass, 1)} x {pen.length(item.arm)} = {pen.moment(item.moment)}"
        steps.add(item.name, moment_of_it)
    steps.add("sums", f"mass {pen.mass(empty_now.mass)}, moment {pen.moment(empty_now.moment)}", SCALES)
    steps.append(cg_step(craft, empty_now, "arm"))

    table = PrintedTable(("point", "reading", "tare", "arm"), rows)
    return Draft(question=told, tables=(table,), asks=asks, facts=facts, solution=steps)


@frozen
class BottleFacts:
    """Balance readings [kg] of a density bottle at one `temperature` [degC]. `water` is 0 where the volume at
    20 degC [m3] is known instead.
    """

    empty: float
    water: float
    sample: float
    temperature: float
    water_density: float
    air: float
    nominal: float
    volume: float = 0.0

    @property
    def ratio(self) -> float:
        """Net reading of the sample over that of the water [1]."""
        return (self.sample - self.empty) / (self.water - self.empty)

    def answers(self) -> Answers:
        """density [kg/m3] of the sample; volume [m3] of the bottle at 20 degC. Source: [iso-20461]."""
        sample, water, glass = self.sample - self.empty, self.water - self.empty, BOROSILICATE
        if self.volume:
            return {"density": density_from_volume(sample, self.volume, self.air, glass, self.temperature)}
        return {
            "density": density_relative_to_water(sample, water, self.water_density, self.air),
            "volume": volume_from_water(water, self.water_density, self.air, glass, self.temperature),
        }


_LIQUIDS: Final = (("lamp oil", 780.0, 815.0), ("cooking oil", 910.0, 925.0), ("salt water", 1010.0, 1080.0))


def _grams(value: float) -> Quantity:
    digits = f"{value * 1e3:.2f}"
    return Quantity(float(digits) / 1e3, 0.0, "mass", f"{digits} g")


def set_bottle(craft: Craft, dice: Dice, level: int) -> Draft:
    """Density of a classroom liquid in a density bottle: by water, from level 4 by a calibrated volume."""
    nominal = dice.pick((25e-6, 50e-6, 100e-6))
    liquid, low, high = dice.pick(_LIQUIDS)
    temperature = 20.0 if level <= 2 else float(dice.whole(16, 26))
    true_volume = nominal * (1 + dice.between(-0.006, 0.006))
    rho_water = craft.pen.figure(water_density(temperature), "density", 2, "kg/m3")
    rho = dice.between(low, high)
    at = glass_volume(true_volume, BOROSILICATE, temperature)
    shrink = 1 - _AIR / WEIGHT_DENSITY
    empty = _grams(nominal * 1e3 * dice.between(0.5, 0.6))
    water = _grams(empty.value + at * (rho_water.value - _AIR) / shrink)
    sample = _grams(empty.value + at * (rho - _AIR) / shrink)
    calibrated = level >= 4
    volume = Quantity(round(true_volume * 1e6, 3) / 1e6, 0.0, "volume", f"{true_volume * 1e6:.3f} mL")
    facts = BottleFacts(
        empty=empty.value,
        water=0.0 if calibrated else water.value,
        sample=sample.value,
        temperature=temperature,
        water_density=rho_water.value,
        air=_AIR,
        nominal=nominal,
        volume=volume.value if calibrated else 0.0,
    )
    right = facts.answers()
    pen, words = craft.pen, f"the density of the {liquid}"
    density = amount(pen, "density", words, "density", 0.1, unit="kg/m3", slack=0.1)
    words = "the volume of the bottle at 20 degC"
    volume_ask = amount(pen, "volume", words, "volume", 0.001, unit="mL", slack=0.001)
    asks = (density, volume_ask) if level == 3 else (density,)
    with_water = [] if calibrated else [("with distilled water", water.text)]
    rows = (("empty and dry", empty.text), *with_water, (f"with {liquid}", sample.text))
    told = [
        f"A density bottle is weighed in the classroom. The bottle is marked {nominal * 1e6:.0f} mL."
        f" Everything is at {temperature:.0f} degC, the air weighs {_AIR:.2f} kg/m3."
    ]
    net, steps, warm = sample.value - empty.value, Working(), f"{temperature - 20:+.0f}"
    warmer = SolutionLine("temperature from 20 degC", f"{temperature:.0f} - 20 = {warm} degC")
    buoyancy = SolutionLine("buoyancy", f"1 - {_AIR:.2f} / {WEIGHT_DENSITY:.0f} = {shrink:.6f}", _BOTTLE)
    if calibrated:
        told.append(
            f"An earlier calibration gave its volume at 20 degC as {volume.text}; the glass grows by"
            f" {_GROWTH} (0.0000099) of its volume per degC."
        )
        grown = glass_volume(volume.value, BOROSILICATE, temperature)
        steps.add("net reading", f"{sample.text} - {empty.text} = {net * 1e3:.2f} g")
        steps.append(warmer)
        grows = f"{volume.text} x (1 + 0.0000099 x {warm})"
        steps.add("volume at this temperature", f"{grows} = {grown * 1e6:.3f} mL")
        steps.append(buoyancy)
        worked = f"{net * 1e3:.2f} g x {shrink:.6f} / {grown * 1e6:.3f} mL + {_AIR:.2f} kg/m3"
        steps.add("W (1 - air/8000) / V + air", f"{worked} = {density.text(right['density'])}", _BOTTLE)
    else:
        told.append(
            f"Water at this temperature has {rho_water.text}. The readings are of a balance in air: allow for"
            " buoyancy."
        )
        wet = water.value - empty.value
        steps.add("net reading of the sample", f"{sample.text} - {empty.text} = {net * 1e3:.2f} g")
        steps.add("net reading of the water", f"{water.text} - {empty.text} = {wet * 1e3:.2f} g")
        steps.add("sample / water", f"{net * 1e3:.2f} g / {wet * 1e3:.2f} g = {net / wet:.6f}")
        worked = f"{net / wet:.6f} x ({rho_water.text} - {_AIR:.2f}) + {_AIR:.2f}"
        answer = density.text(right["density"])
        steps.add("(sample / water)(water - air) + air", f"{worked} = {answer}", _BOTTLE)
        if level == 3:
            told.append(f"The glass grows by {_GROWTH} (0.0000099) of its volume per degC.")
            light = rho_water.value - _AIR
            steps += [warmer, buoyancy]
            steps.add("water - air", f"{rho_water.text} - {_AIR:.2f} kg/m3 = {light:.2f} kg/m3")
            worked = f"{wet * 1e3:.2f} g x {shrink:.6f} / {light:.2f} kg/m3 / (1 + 0.0000099 x {warm})"
            what = "W (1 - air/8000) / (water - air), brought to 20 degC"
            answer = volume_ask.text(right["volume"])
            steps.add(what, f"{worked} = {answer}", _BOTTLE)
    if craft.edition > 1 and calibrated:
        told.append("The readings are of a balance in air: allow for buoyancy.")
    if craft.edition > 1 and (calibrated or level == 3):
        told.append(f"The balance was adjusted with weights of {WEIGHT_DENSITY:.0f} kg/m3.")
    told.append(CLASSROOM)

    table = PrintedTable(("reading", "on the balance"), rows)
    return Draft(question=told, tables=(table,), asks=asks, facts=facts, solution=steps)
