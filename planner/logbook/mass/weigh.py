"""A weighing worksheet worked out: reactions, corrections, basic empty mass and CG, and how sure they are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from planner.logbook.mass.hung import (
    ReadingDoubt,
    ScalePoint,
    TotalUncertainty,
    Weighing,
    doubt_effects,
    scale_effects,
    total_uncertainty,
    weigh,
)
from planner.quantities.effects import Effect
from planner.quantities.errors import Finding, InputRefused, OutOfRange
from planner.quantities.moments import Item
from planner.quantities.units import Quantity
from planner.records.sheets.weighing_sheet import Fluid, Thing, WeighingPoint, WeighingSheet
from planner.records.store import Loaded


@dataclass(frozen=True, slots=True)
class Reaction:
    """One point as written and in SI: `reading`, `tare` and `reaction` [kg] with `u` [kg], `arm` [m]."""

    name: str
    point: ScalePoint
    u: float
    shared_arm: str


@dataclass(frozen=True, slots=True)
class Correction:
    """One line taken out (`mass` below zero) or put in: `mass` [kg], its `u` [kg], `arm` [m], and how the
    mass came about.
    """

    name: str
    mass: float
    u: float
    arm: float
    lateral_arm: float
    basis: str


@dataclass(frozen=True, slots=True)
class WorkedWeighing:
    """A worksheet worked out: the sheet, the reactions, the corrections, the result in SI with its
    uncertainty, the effects behind it.
    """

    sheet: WeighingSheet
    path: str
    reactions: tuple[Reaction, ...]
    corrections: tuple[Correction, ...]
    result: Weighing
    uncertainty: TotalUncertainty
    effects: tuple[Effect, ...]
    uncertainties_stated: bool
    findings: tuple[Finding, ...]


def _reaction(sheet: WeighingSheet, name: str, point: WeighingPoint) -> Reaction:
    arm, shared = sheet.point_arm(point)
    scale_point = ScalePoint(
        name=name,
        reading=point.reading.value,
        tare=point.tare.value,
        arm=arm.value,
        lateral_arm=point.lateral_arm.value,
    )
    return Reaction(name, scale_point, (point.reading.u**2 + point.tare.u**2) ** 0.5, shared)


def _point_doubts(sheet: WeighingSheet, reaction: Reaction) -> list[ReadingDoubt]:
    point, entry = reaction.point, sheet.points[reaction.name]
    arm, shared = sheet.point_arm(entry)
    return [
        ReadingDoubt(
            f"{reaction.name} reading", point.reaction, point.arm, point.lateral_arm, u_mass=entry.reading.u
        ),
        ReadingDoubt(
            f"{reaction.name} tare", point.reaction, point.arm, point.lateral_arm, u_mass=-entry.tare.u
        ),
        ReadingDoubt(
            reaction.name,
            point.reaction,
            point.arm,
            point.lateral_arm,
            u_arm=arm.u,
            u_lateral_arm=entry.lateral_arm.u,
            arm_cause=f"{shared} arm" if shared else "",
        ),
    ]


def _kilograms(amount: Quantity, density: Quantity | None) -> float:
    if amount.dimension == "mass":
        return amount.value
    return amount.value * density.value if density is not None else 0.0


def _fluid(name: str, fluid: Fluid) -> tuple[Correction, list[ReadingDoubt]]:
    """What a fluid changes: (in result - aboard) at its arm; density and both amounts are one cause each."""
    mass = _kilograms(fluid.in_result, fluid.density) - _kilograms(fluid.aboard, fluid.density)
    place = (fluid.arm.value, fluid.lateral_arm.value)
    doubts, squares = [], 0.0
    for what, amount, sign in (("aboard", fluid.aboard, -1.0), ("in result", fluid.in_result, 1.0)):
        u = sign * (
            amount.u
            if amount.dimension == "mass"
            else amount.u * (fluid.density.value if fluid.density is not None else 0.0)
        )
        doubts.append(ReadingDoubt(f"{name} {what}", mass, *place, u_mass=u))
        squares += u * u
    if fluid.density is not None and fluid.density.u:
        volume = sum(
            sign * each.value
            for each, sign in ((fluid.in_result, 1.0), (fluid.aboard, -1.0))
            if each.dimension == "volume"
        )
        doubts.append(ReadingDoubt(f"{name} density", mass, *place, u_mass=volume * fluid.density.u))
        squares += (volume * fluid.density.u) ** 2
    doubts.append(ReadingDoubt(name, mass, *place, u_arm=fluid.arm.u, u_lateral_arm=fluid.lateral_arm.u))
    at = f" at {fluid.density.text}" if fluid.density is not None else ""
    return (
        Correction(
            name,
            mass,
            squares**0.5,
            *place,
            f"{fluid.in_result.text} in the result, {fluid.aboard.text} aboard{at}",
        ),
        doubts,
    )


def _thing(name: str, thing: Thing, sign: float, word: str) -> tuple[Correction, list[ReadingDoubt]]:
    mass, arm, lateral = sign * thing.mass.value, thing.arm.value, thing.lateral_arm.value
    correction = Correction(
        name=name, mass=mass, u=thing.mass.u, arm=arm, lateral_arm=lateral, basis=f"{thing.mass.text} {word}"
    )
    return correction, [
        ReadingDoubt(
            name=name,
            mass=mass,
            arm=arm,
            lateral_arm=lateral,
            u_mass=sign * thing.mass.u,
            u_arm=thing.arm.u,
            u_lateral_arm=thing.lateral_arm.u,
        )
    ]


def _items(corrections: Iterable[Correction]) -> list[Item]:
    return [Item(each.name, abs(each.mass), each.arm, each.lateral_arm) for each in corrections]


def work_out(loaded: Loaded[WeighingSheet]) -> WorkedWeighing:
    """Work a worksheet out.

    Equations as `planner.logbook.mass.hung.weigh`; a fluid corrects by (in result - aboard) times its density
    at its arm.
    Parameters: the sheet as loaded and checked. Returns a WorkedWeighing in SI [kg, m, kg.m].
    Raises InputRefused where more is taken out than stood on the scales.
    Source: [faa-h-8083-30] ch. 4, fig. 4-20; [jcgm-100] 5.1.2.
    """
    sheet = loaded.record
    reactions = tuple(_reaction(sheet, name, point) for name, point in sheet.points.items())
    doubts = [doubt for reaction in reactions for doubt in _point_doubts(sheet, reaction)]
    corrections: list[Correction] = []
    pairs = [_fluid(name, fluid) for name, fluid in sheet.fluids.items()]
    pairs += [_thing(name, thing, -1.0, "on the scales, taken out") for name, thing in sheet.removed.items()]
    pairs += [_thing(name, thing, 1.0, "not on the scales, put in") for name, thing in sheet.added.items()]
    for correction, its in pairs:
        corrections.append(correction)
        doubts += its
    points = [reaction.point for reaction in reactions]
    try:
        removed, added = (
            _items(each for each in corrections if (each.mass < 0) is out) for out in (True, False)
        )
        result = weigh(points, removed, [item for item in added if item.mass])
    except OutOfRange as error:
        finding = Finding(
            "weighing-impossible", error.words, hint="check readings, tares and what is taken out"
        )
        raise InputRefused([loaded.document.place(finding)]) from None
    scale = sheet.scale.uncertainty
    share = scale.value if scale is not None and scale.dimension == "ratio" else 0.0
    offset = scale.value if scale is not None and scale.dimension == "mass" else 0.0
    effects = (*scale_effects(points, share, offset), *doubt_effects(doubts))
    uncertainty = total_uncertainty(result.basic_empty, effects)
    return WorkedWeighing(
        sheet=sheet,
        path=loaded.document.path,
        reactions=reactions,
        corrections=tuple(corrections),
        result=result,
        uncertainty=uncertainty,
        effects=effects,
        uncertainties_stated=bool(effects),
        findings=loaded.notices,
    )
