"""Problems at the bench: an aircraft on scales, and a liquid in a density bottle."""

from __future__ import annotations

import math
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
from planner.school.dice import Dice
from planner.school.problem import Answers, Ask, PrintedTable, Problem, SolutionLine
from planner.school.problems.balance import cg_ask, cg_step, mass_ask, moment_ask

SCALES: Final = "faa-h-8083-30"
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


def set_weighing(craft: Craft, dice: Dice, level: int) -> Problem:
    """Basic empty mass and CG from three scales; tare from level 2, fuel to take off from 3, fluids from 4, a
    tailwheel at 5.
    """
    pen, (empty, arm) = craft.pen, craft.empty
    tail = level == 5 and dice.chance(0.5)
    mains = pen.figure(
        arm.value - dice.between(0.22, 0.32) if tail else arm.value + dice.between(0.2, 0.35), "length"
    )
    third = pen.figure(
        mains.value + dice.between(3.6, 4.6) if tail else mains.value - dice.between(1.6, 2.2), "length"
    )
    fuel_arm = pen.figure(craft.fuel_arm(craft.usable * 0.3), "length")
    density = pen.figure(sum(craft.grade.band) / 2, "density")
    on_board = pen.figure(dice.between(0.15, 0.45) * craft.usable, "volume") if level >= 3 else None
    removed = (
        [Item("usable fuel", on_board.value * density.value, fuel_arm.value)] if on_board is not None else []
    )
    unusable = pen.figure(craft.unusable * density.value, "mass", 1)
    oil_mass, oil_arm = (
        pen.figure(dice.between(5.0, 9.0), "mass", 1),
        pen.figure(arm.value - dice.between(0.9, 1.3), "length"),
    )
    oil = Item("oil", oil_mass.value, oil_arm.value)
    drained = level >= 4 and dice.chance(0.5)
    added = [oil] if drained else []
    aboard = (
        []
        if level < 4
        else [Item("unusable fuel", unusable.value, fuel_arm.value)] + ([] if drained else [oil])
    )
    mass = (
        (empty.value + dice.between(-0.01, 0.01) * empty.value)
        + math.fsum(item.mass for item in removed)
        - math.fsum(item.mass for item in added)
    )
    moment = mass * (arm.value + dice.between(-0.01, 0.01))
    share = (moment / mass - mains.value) / (third.value - mains.value)
    lean = dice.between(0.49, 0.51)
    readings = {
        "left main": (1 - share) * mass * lean,
        "right main": (1 - share) * mass * (1 - lean),
        ("tail" if tail else "nose"): share * mass,
    }
    points, rows = [], []
    for name, reaction in readings.items():
        tare = (
            pen.figure(dice.between(1.5, 6.0), "mass", 1)
            if level >= 2
            else Quantity(0.0, 0.0, "mass", "none")
        )
        reading = pen.figure(reaction + tare.value, "mass", 1)
        place = mains if "main" in name else third
        points.append(ScalePoint(name, reading.value, tare.value, place.value))
        rows.append((name, reading.text, tare.text, place.text))
    facts = WeighingFacts(
        points=tuple(points), removed=tuple(removed), added=tuple(added), aboard=tuple(aboard), fuel=on_board
    )
    asks = (
        mass_ask(craft, "the basic empty mass"),
        moment_ask(craft, len(points) + len(removed) + len(added)),
        cg_ask(craft, "its arm"),
    )
    told = [
        f"{craft.aircraft.name} stands level on three scales. Arms are from the datum"
        f" ({craft.aircraft.datum})."
    ]
    if on_board is not None:
        told.append(
            f"{on_board.text} of usable fuel at {density.text} are in the tanks, at arm {fuel_arm.text}."
        )
    if drained:
        told.append(f"The oil is drained; a full filling is {oil_mass.text} at arm {oil_arm.text}.")
    elif level >= 4:
        told.append(f"The oil is full: {oil_mass.text} at arm {oil_arm.text}.")
    if level >= 4 and unusable.value > 0:
        told.append(f"The unusable fuel, {unusable.text} at arm {fuel_arm.text}, is in the tanks.")
    told.append("The basic empty mass is to include full oil and unusable fuel.")
    worked = weigh(facts.points, facts.removed, facts.added)
    empty_now = worked.basic_empty
    steps = []
    for point in points:
        less = f" - {pen.show(point.tare, 'mass')} = {pen.show(point.reaction, 'mass')}" if point.tare else ""
        steps.append(
            SolutionLine(f"{point.name}, reading less tare", f"{pen.show(point.reading, 'mass')}{less}")
        )
    if on_board is not None:
        steps.append(
            SolutionLine(
                "usable fuel, mass",
                f"{on_board.text} x {density.text} = {pen.show(removed[0].mass, 'mass', 1)}",
                SCALES,
            )
        )
    steps += [
        SolutionLine(
            step.item.name,
            f"{pen.show(step.item.mass, 'mass', 1)} x {pen.show(step.item.arm, 'length')} ="
            f" {pen.show(step.item.moment, 'moment')}",
        )
        for step in worked.steps
    ]
    steps.append(
        SolutionLine(
            "sums",
            f"mass {pen.show(empty_now.mass, 'mass')}, moment {pen.show(empty_now.moment, 'moment')}",
            SCALES,
        )
    )
    steps.append(cg_step(craft, empty_now, "arm"))
    lesson = (
        "Write down what was in the aircraft on the scales: oil, unusable fuel, tools. A licensed person"
        " checks the record and signs it."
    )
    return Problem(
        topic="weighing",
        level=level,
        aircraft=craft.aircraft,
        question=tuple(told),
        tables=(PrintedTable(("point", "reading", "tare", "arm"), tuple(rows)),),
        asks=asks,
        facts=facts,
        solution=tuple(steps),
        lesson=lesson,
    )


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
        if self.volume:
            return {
                "density": density_from_volume(
                    self.sample - self.empty, self.volume, self.air, BOROSILICATE, self.temperature
                )
            }
        net = self.water - self.empty
        return {
            "density": density_relative_to_water(self.sample - self.empty, net, self.water_density, self.air),
            "volume": volume_from_water(net, self.water_density, self.air, BOROSILICATE, self.temperature),
        }


_LIQUIDS: Final = (("lamp oil", 780.0, 815.0), ("cooking oil", 910.0, 925.0), ("salt water", 1010.0, 1080.0))


def _grams(value: float) -> Quantity:
    digits = f"{value * 1e3:.2f}"
    return Quantity(float(digits) / 1e3, 0.0, "mass", f"{digits} g")


def set_bottle(craft: Craft, dice: Dice, level: int) -> Problem:
    """Density of a classroom liquid from a density bottle: by water, and from level 4 by a calibrated
    volume.
    """
    nominal = dice.pick((25e-6, 50e-6, 100e-6))
    liquid, low, high = dice.pick(_LIQUIDS)
    temperature = 20.0 if level <= 2 else float(dice.whole(16, 26))
    true_volume = nominal * (1 + dice.between(-0.006, 0.006))
    rho_water = Quantity(
        round(water_density(temperature), 2), 0.0, "density", f"{water_density(temperature):.2f} kg/m3"
    )
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
    density = Ask(
        key="density",
        words=f"the density of the {liquid}",
        dimension="density",
        unit="kg/m3",
        step=0.1,
        slack=0.1,
    )
    volume_ask = Ask(
        key="volume",
        words="the volume of the bottle at 20 degC",
        dimension="volume",
        unit="mL",
        step=0.001,
        slack=0.001,
    )
    asks = (density, volume_ask) if level == 3 else (density,)
    rows = (
        [("empty and dry", empty.text)]
        + ([] if calibrated else [("with distilled water", water.text)])
        + [(f"with {liquid}", sample.text)]
    )
    marked = (
        f"The bottle is marked {nominal * 1e6:.0f} mL. Everything is at {temperature:.0f} degC, the air"
        f" weighs {_AIR:.2f} kg/m3."
    )
    told = [f"A density bottle is weighed in the classroom. {marked}"]
    net = sample.value - empty.value
    warmer = SolutionLine(
        "temperature from 20 degC", f"{temperature:.0f} - 20 = {temperature - 20:+.0f} degC"
    )
    buoyancy = SolutionLine("buoyancy", f"1 - {_AIR:.2f} / {WEIGHT_DENSITY:.0f} = {shrink:.6f}", "iso-20461")
    if calibrated:
        told.append(
            f"An earlier calibration gave its volume at 20 degC as {volume.text}; the glass grows by"
            f" {_GROWTH} (0.0000099) of its volume per degC."
        )
        grown = glass_volume(volume.value, BOROSILICATE, temperature)
        steps = [
            SolutionLine("net reading", f"{sample.text} - {empty.text} = {net * 1e3:.2f} g"),
            warmer,
            SolutionLine(
                "volume at this temperature",
                f"{volume.text} x (1 + 0.0000099 x {temperature - 20:+.0f}) = {grown * 1e6:.3f} mL",
            ),
            buoyancy,
            SolutionLine(
                "W (1 - air/8000) / V + air",
                f"{net * 1e3:.2f} g x {shrink:.6f} / {grown * 1e6:.3f} mL + {_AIR:.2f} kg/m3 ="
                f" {density.text(right['density'])}",
                "iso-20461",
            ),
        ]
    else:
        told.append(
            f"Water at this temperature has {rho_water.text}. The readings are of a balance in air: allow for"
            " buoyancy."
        )
        wet = water.value - empty.value
        steps = [
            SolutionLine("net reading of the sample", f"{sample.text} - {empty.text} = {net * 1e3:.2f} g"),
            SolutionLine("net reading of the water", f"{water.text} - {empty.text} = {wet * 1e3:.2f} g"),
            SolutionLine("sample / water", f"{net * 1e3:.2f} g / {wet * 1e3:.2f} g = {net / wet:.6f}"),
            SolutionLine(
                "(sample / water)(water - air) + air",
                f"{net / wet:.6f} x ({rho_water.text} - {_AIR:.2f}) + {_AIR:.2f} ="
                f" {density.text(right['density'])}",
                "iso-20461",
            ),
        ]
        if level == 3:
            told.append(f"The glass grows by {_GROWTH} (0.0000099) of its volume per degC.")
            light = rho_water.value - _AIR
            steps += [
                warmer,
                buoyancy,
                SolutionLine("water - air", f"{rho_water.text} - {_AIR:.2f} kg/m3 = {light:.2f} kg/m3"),
            ]
            steps.append(
                SolutionLine(
                    "W (1 - air/8000) / (water - air), brought to 20 degC",
                    f"{wet * 1e3:.2f} g x {shrink:.6f} / {light:.2f} kg/m3 / (1 + 0.0000099 x"
                    f" {temperature - 20:+.0f}) = {volume_ask.text(right['volume'])}",
                    "iso-20461",
                )
            )
    if craft.edition > 1 and calibrated:
        told.append("The readings are of a balance in air: allow for buoyancy.")
    if craft.edition > 1 and (calibrated or level == 3):
        told.append(f"The balance was adjusted with weights of {WEIGHT_DENSITY:.0f} kg/m3.")
    told.append(CLASSROOM)
    lesson = (
        "What is marked on a bottle is not what it holds: weigh it with water first. And nobody needs to"
        " weigh avgas to fly: ask for the batch's figure."
    )
    return Problem(
        topic="bottle",
        level=level,
        aircraft=craft.aircraft,
        question=tuple(told),
        tables=(PrintedTable(("reading", "on the balance"), tuple(rows)),),
        asks=asks,
        facts=facts,
        solution=tuple(steps),
        lesson=lesson,
    )
