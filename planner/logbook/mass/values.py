"""What a change makes of a mass record: the values to write, in the units the record was written in, and the
lines behind them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from planner.logbook.mass.hung import ReadingDoubt, doubt_effects, total_uncertainty
from planner.logbook.mass.weigh import work_out
from planner.quantities.effects import COVERAGE, Effect
from planner.quantities.errors import Finding, InputRefused, OutOfRange
from planner.quantities.moments import Item, Total, total
from planner.quantities.sentences import Figure, say
from planner.quantities.units import find_unit
from planner.records.aircraft.mass_record import BasicEmpty
from planner.records.edit import spelt
from planner.records.sheets.change_sheet import ChangeSheet
from planner.records.sheets.weighing_sheet import load_worksheet
from planner.records.store import Loaded

# Finer than any scale, so that a record carried on many times does not drift by its own rounding.
_DECIMALS: Final = {
    "kg": 3,
    "lb": 3,
    "g": 0,
    "m": 5,
    "cm": 3,
    "mm": 2,
    "in": 3,
    "ft": 4,
    "kg.m": 3,
    "kg.mm": 0,
    "lb.in": 2,
    "lb.ft": 3,
}
_NO_LATERAL: Final = 1e-9  # m


@dataclass(frozen=True, slots=True)
class AmendedLine:
    """One line of the change: `mass` [kg], below zero where it comes out, at `arm` [m], `lateral_arm` [m]."""

    name: str
    mass: float
    arm: float
    lateral_arm: float


def total_of(record: BasicEmpty) -> Total:
    """Mass and moments of a record [kg, kg.m]."""
    return total([Item("basic empty mass", record.mass.value, record.arm_value(), record.lateral_arm.value)])


def change_lines(sheet: ChangeSheet) -> tuple[tuple[AmendedLine, ...], tuple[ReadingDoubt, ...]]:
    """The things of a change as lines [kg, m] and as what is doubtful about them; a moved thing is two lines
    of one mass.
    """
    lines: list[AmendedLine] = []
    doubts: list[ReadingDoubt] = []

    def line(name: str, mass: float, u: float, arm: Any, lateral: Any, cause: str) -> None:
        lines.append(AmendedLine(name, mass, arm.value, lateral.value))
        doubts.append(
            ReadingDoubt(
                name=name,
                mass=mass,
                arm=arm.value,
                lateral_arm=lateral.value,
                u_mass=u,
                u_arm=arm.u,
                u_lateral_arm=lateral.u,
                mass_cause=cause,
            )
        )

    for name, thing in sheet.removed.items():
        line(
            f"{name}, out",
            -thing.mass.value,
            -thing.mass.u,
            thing.arm,
            thing.lateral_arm,
            f"{name} out, mass",
        )
    for name, thing in sheet.added.items():
        line(f"{name}, in", thing.mass.value, thing.mass.u, thing.arm, thing.lateral_arm, f"{name} in, mass")
    for name, moved in sheet.moved.items():
        line(
            f"{name}, from",
            -moved.mass.value,
            -moved.mass.u,
            moved.from_arm,
            moved.from_lateral_arm,
            f"{name} moved, mass",
        )
        line(
            f"{name}, to",
            moved.mass.value,
            moved.mass.u,
            moved.to_arm,
            moved.to_lateral_arm,
            f"{name} moved, mass",
        )
    return tuple(lines), tuple(doubts)


def figure(value: float, u: float, unit: str) -> str:
    """A figure as a profile states it; the uncertainty to two significant digits."""
    factor, decimals = find_unit(unit).factor, _DECIMALS.get(unit, 6)
    spread = f" +/- {u / factor:.2g}" if u else ""
    return f"{value / factor:.{decimals}f}{spread if 'e' not in spread else f' +/- {u / factor:.6f}'} {unit}"


def unit_of(text: str) -> str:
    """The unit a figure was written in."""
    found = re.search(r"[A-Za-z][\w./*^-]*$", text)
    return found[0] if found else "kg"


def refusal_in(
    loaded: Loaded[Any],
    code: str,
    message: str,
    needed: str = "",
    hint: str = "",
    location: tuple[str, ...] = (),
) -> InputRefused:
    return InputRefused([loaded.document.place(Finding(code, message, needed, hint), location)])


def computed_values(record: BasicEmpty, sheet: ChangeSheet) -> tuple[dict[str, str], tuple[AmendedLine, ...]]:
    """The values a change by items sets in the record."""
    lines, doubts = change_lines(sheet)
    empty = Item("basic empty mass", record.mass.value, record.arm_value(), record.lateral_arm.value)
    after = total([empty, *(Item(each.name, each.mass, each.arm, each.lateral_arm) for each in lines)])
    if not after.mass > 0:
        raise OutOfRange(say("the change leaves {}", Figure(after.mass, "mass")))
    u = total_uncertainty(after, (*record_effects(record), *doubt_effects(doubts)))
    values = {"mass": figure(after.mass, u.mass / COVERAGE, unit_of(record.mass.text))}
    if record.arm is not None:
        values["arm"] = figure(after.centre_of_gravity, u.cg / COVERAGE, unit_of(record.arm.text))
    else:
        assert record.moment is not None  # a record has one of the two
        values["moment"] = figure(after.moment, u.moment / COVERAGE, unit_of(record.moment.text))
    if abs(after.lateral_centre_of_gravity) > _NO_LATERAL or record.lateral_arm.value:
        values["lateral_arm"] = figure(
            after.lateral_centre_of_gravity, u.lateral_cg / COVERAGE, unit_of(record.lateral_arm.text)
        )
    values |= {"date": str(sheet.date), "reference": spelt(sheet.reference), "established": "computed"}
    return values, lines


def record_effects(record: BasicEmpty) -> tuple[Effect, ...]:
    """What is doubtful about a record, as the plan takes it: a stated arm moves with the mass, a stated
    moment does not.
    """
    mass, arm, side = record.mass.value, record.arm_value(), record.lateral_arm
    effects = [
        Effect(
            "record, mass",
            record.mass.u,
            record.mass.u * arm if record.arm is not None else 0.0,
            record.mass.u * side.value,
        )
    ]
    if record.arm is not None:
        effects.append(Effect("record, arm", 0.0, mass * record.arm.u))
    elif record.moment is not None:
        effects.append(Effect("record, moment", 0.0, record.moment.u))
    effects.append(Effect("record, lateral arm", 0.0, 0.0, mass * side.u))
    return tuple(effects)


def weighed_values(
    change: Loaded[ChangeSheet], keeps_moment: bool
) -> tuple[dict[str, str], tuple[Finding, ...]]:
    """The values a weighing sets: those of the signed report as they stand, or those worked out from a
    worksheet.
    """
    sheet = change.record
    values: dict[str, str] = {}
    notices: tuple[Finding, ...] = ()
    day = sheet.date
    if sheet.weighed is not None:
        report = sheet.weighed
        values["mass"] = spelt(report.mass.text)
        if report.arm is not None:
            values["arm"] = spelt(report.arm.text)
        elif report.moment is not None:
            values["moment"] = spelt(report.moment.text)
        if "lateral_arm" in report.model_fields_set:
            values["lateral_arm"] = spelt(report.lateral_arm.text)
        includes: tuple[str, ...] = report.includes
    else:
        beside = (
            Path.cwd() if change.document.path == "<stdin>" else Path(change.document.path).resolve().parent
        )
        loaded = load_worksheet(beside / sheet.worksheet)
        if loaded.record.aircraft != sheet.aircraft:
            message = f"the worksheet is of '{loaded.record.aircraft}'"
            raise refusal_in(
                change,
                "change-other-aircraft",
                message,
                f"needed one of '{sheet.aircraft}'",
                "",
                ("worksheet",),
            )
        worked = work_out(loaded)
        result, u = worked.result.basic_empty, worked.uncertainty
        values["mass"] = figure(result.mass, u.mass / COVERAGE, "kg")
        if keeps_moment:
            values["moment"] = figure(result.moment, u.moment / COVERAGE, "kg.m")
        else:
            values["arm"] = figure(result.centre_of_gravity, u.cg / COVERAGE, "m")
        if any("lateral_arm" in point.model_fields_set for point in loaded.record.points.values()):
            values["lateral_arm"] = figure(result.lateral_centre_of_gravity, u.lateral_cg / COVERAGE, "m")
        includes, notices = loaded.record.includes, worked.findings
        day = loaded.record.date
        if day > sheet.date:
            raise refusal_in(
                change,
                "change-order",
                f"the worksheet is of {day}, after the change of {sheet.date}",
                "check the dates",
                "",
                ("date",),
            )
        if loaded.record.next_due is not None:
            values["next_due"] = str(loaded.record.next_due)
    values |= {
        "includes": spelt(includes),
        "date": str(day),
        "reference": spelt(sheet.reference),
        "established": "weighed",
    }
    return values, notices
