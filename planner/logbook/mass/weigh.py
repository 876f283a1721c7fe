"""A weighing worksheet worked out: reactions, corrections, basic empty mass and CG, and how sure they are."""

from __future__ import annotations

import math
from dataclasses import replace

from planner.logbook.mass.hung import (
    MassLine,
    ScalePoint,
    TotalUncertainty,
    Weighing,
    line_effects,
    scale_effects,
    total_uncertainty,
    weigh,
)
from planner.quantities.effects import Effect
from planner.quantities.errors import Finding, OutOfRange
from planner.quantities.frozen import frozen
from planner.records.sheets.weighing_sheet import Fluid, Thing, WeighingPoint, WeighingSheet
from planner.records.store import Loaded


@frozen(kw_only=True)
class WorkedWeighing:
    """A worksheet worked out: the sheet, the points, what was taken out (mass below zero) or put in with its
    `u_mass` [kg], the result in SI with its uncertainty, the effects behind it.
    """

    sheet: WeighingSheet
    path: str
    reactions: tuple[ScalePoint, ...]
    corrections: tuple[MassLine, ...]
    result: Weighing
    uncertainty: TotalUncertainty
    effects: tuple[Effect, ...]
    findings: tuple[Finding, ...]

    @property
    def uncertainties_stated(self) -> bool:
        """Whether anything was said of how sure the figures are."""
        return bool(self.effects)


def _point(sheet: WeighingSheet, name: str, point: WeighingPoint) -> tuple[ScalePoint, list[MassLine]]:
    """A point in SI, and what is doubtful about it: reading, tare, place."""
    arm, shared = sheet.point_arm(point)
    scale = ScalePoint(
        name=name,
        reading=point.reading.value,
        tare=point.tare.value,
        arm=arm.value,
        lateral_arm=point.lateral_arm.value,
        arm_name=shared,
    )
    at = MassLine(name, scale.reaction, scale.arm, scale.lateral_arm)
    return scale, [
        replace(at, name=f"{name} reading", u_mass=point.reading.u),
        replace(at, name=f"{name} tare", u_mass=-point.tare.u),
        replace(
            at, u_arm=arm.u, u_lateral_arm=point.lateral_arm.u, arm_cause=f"{shared} arm" if shared else ""
        ),
    ]


def _fluid(name: str, fluid: Fluid) -> tuple[MassLine, list[MassLine]]:
    """What a fluid changes, (in result - aboard) at its arm, and its doubts: density and both amounts are one
    cause each.
    """
    density = fluid.density.value if fluid.density is not None else 0.0
    parts = [("aboard", fluid.aboard, -1.0), ("in result", fluid.in_result, 1.0)]
    factors = {what: sign * (1.0 if amount.dimension == "mass" else density) for what, amount, sign in parts}
    mass = math.fsum(factors[what] * amount.value for what, amount, _ in parts)
    at = MassLine(name, mass, fluid.arm.value, fluid.lateral_arm.value)
    doubts = [
        replace(at, name=f"{name} {what}", u_mass=factors[what] * amount.u) for what, amount, _ in parts
    ]
    if fluid.density is not None and fluid.density.u:
        volume = math.fsum(sign * amount.value for _, amount, sign in parts if amount.dimension == "volume")
        doubts.append(replace(at, name=f"{name} density", u_mass=volume * fluid.density.u))
    told = (
        f"{fluid.in_result.text} in the result, {fluid.aboard.text}"
        f" aboard{f' at {fluid.density.text}' if fluid.density is not None else ''}"
    )
    correction = replace(at, u_mass=math.hypot(*(each.u_mass for each in doubts)), basis=told)
    return correction, [*doubts, replace(at, u_arm=fluid.arm.u, u_lateral_arm=fluid.lateral_arm.u)]


def thing_line(name: str, thing: Thing, sign: float, basis: str = "", cause: str = "") -> MassLine:
    """A thing taken out (`sign` -1) or put in (1) as a line [kg, m], its uncertainties with it."""
    arm, side, mass = thing.arm, thing.lateral_arm, thing.mass
    return MassLine(
        name,
        sign * mass.value,
        arm.value,
        side.value,
        sign * mass.u,
        arm.u,
        side.u,
        mass_cause=cause,
        basis=basis,
    )


def work_out(loaded: Loaded[WeighingSheet]) -> WorkedWeighing:
    """Work a worksheet out.

    Equations as `planner.logbook.mass.hung.weigh`; a fluid corrects by (in result - aboard) times its density
    at its arm.
    Parameters: the sheet as loaded and checked. Returns a WorkedWeighing in SI [kg, m, kg.m].
    Raises InputRefused where more is taken out than stood on the scales.
    Source: [faa-h-8083-30] ch. 4, fig. 4-20; [jcgm-100] 5.1.2.
    """
    sheet = loaded.record
    pairs = [_point(sheet, name, point) for name, point in sheet.points.items()]
    fluids = [_fluid(name, fluid) for name, fluid in sheet.fluids.items()]
    things = [
        thing_line(name, thing, sign, f"{thing.mass.text} {word}")
        for group, sign, word in (
            (sheet.removed, -1.0, "on the scales, taken out"),
            (sheet.added, 1.0, "not on the scales, put in"),
        )
        for name, thing in group.items()
    ]
    points, corrections = tuple(point for point, _ in pairs), (*(line for line, _ in fluids), *things)
    doubts = [
        *(each for _, its in pairs for each in its),
        *(each for _, its in fluids for each in its),
        *things,
    ]
    try:
        removed = [replace(each, mass=-each.mass) for each in corrections if each.mass < 0]
        result = weigh(points, removed, [each for each in corrections if each.mass > 0])
    except OutOfRange as error:
        hint = "check readings, tares and what is taken out"
        raise loaded.document.refused((), "weighing-impossible", error.words, "", hint) from None
    scale = sheet.scale.uncertainty
    share, offset = (
        scale.value if scale is not None and scale.dimension == kind else 0.0 for kind in ("ratio", "mass")
    )
    effects = (*scale_effects(points, share, offset), *line_effects(doubts))
    return WorkedWeighing(
        sheet=sheet,
        path=loaded.document.path,
        reactions=points,
        corrections=corrections,
        result=result,
        uncertainty=total_uncertainty(result.basic_empty, effects),
        effects=effects,
        findings=loaded.notices,
    )
