"""What a change makes of a mass record: the values to write, in the units the record was written in, and the
lines behind them.
"""

from __future__ import annotations

import re
from typing import Final

from planner.flight.loading import basic_empty, record_effects
from planner.logbook.mass.hung import MassLine, TotalUncertainty, line_effects, total_uncertainty
from planner.logbook.mass.weigh import WorkedWeighing, thing_line, work_out
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding, OutOfRange
from planner.quantities.moments import Total, total
from planner.quantities.sentences import Figure, say
from planner.quantities.units import find_unit
from planner.records.aircraft.mass_record import BasicEmpty
from planner.records.edit import spelt
from planner.records.sheets.change_sheet import ChangeSheet
from planner.records.sheets.weighing_sheet import Thing, load_worksheet
from planner.records.store import Loaded

# Finer than any scale, so that a record carried on many times does not drift by its own rounding.
_DECIMALS: Final = {
    "kg": 3,
    "lb": 3,
    "g": 0,
    "m": 5,
    "cm": 3,
    "mm": 2,
    "in": 4,
    "ft": 4,
    "kg.m": 3,
    "kg.mm": 0,
    "lb.in": 2,
    "lb.ft": 3,
}
_NO_LATERAL: Final = 1e-9  # m


def total_of(record: BasicEmpty) -> Total:
    """Mass and moments of a record [kg, kg.m]."""
    return total([basic_empty(record)])


def change_lines(sheet: ChangeSheet) -> tuple[MassLine, ...]:
    """The things of a change as lines [kg, m]; a moved thing is two lines of one mass."""
    lines = [
        thing_line(f"{name}, out", thing, -1.0, cause=f"{name} out, mass")
        for name, thing in sheet.removed.items()
    ]
    lines += [
        thing_line(f"{name}, in", thing, 1.0, cause=f"{name} in, mass") for name, thing in sheet.added.items()
    ]
    for name, moved in sheet.moved.items():
        for way, sign in (("from", -1.0), ("to", 1.0)):
            arms = {key: getattr(moved, f"{way}_{key}") for key in ("arm", "lateral_arm")}
            thing = Thing(mass=moved.mass, **arms)
            lines.append(thing_line(f"{name}, {way}", thing, sign, cause=f"{name} moved, mass"))
    return tuple(lines)


def figure(value: float, u: float, unit: str) -> str:
    """A figure as a profile states it; the uncertainty to two significant digits."""
    factor, decimals = find_unit(unit).factor, _DECIMALS.get(unit, 6)
    spread = f" +/- {u / factor:.2g}" if u else ""
    return f"{value / factor:.{decimals}f}{spread if 'e' not in spread else f' +/- {u / factor:.6f}'} {unit}"


def unit_of(text: str) -> str:
    """The unit a figure was written in."""
    found = re.search(r"[A-Za-z][\w./*^-]*$", text)
    return found[0] if found else "kg"


def record_values(after: Total, u: TotalUncertainty, record: BasicEmpty) -> dict[str, str]:
    """Mass and arm [kg, m] in the units of the record they replace, each with its own uncertainty.

    Where the figures are unsure a moment gives way to the arm: the errors of mass and moment go together, and
    two figures taken for independent would make the CG far less sure than it is.
    """
    values = {"mass": figure(after.mass, u.mass / COVERAGE, unit_of(record.mass.text))}
    if record.moment is not None and not u.cg:
        return values | {"moment": figure(after.moment, 0.0, unit_of(record.moment.text))}
    return values | {"arm": figure(after.centre_of_gravity, u.cg / COVERAGE, _length_unit(record))}


def _length_unit(record: BasicEmpty) -> str:
    """The unit of the arm, or the one in the moment: `in` of `lb.in`."""
    stated = record.arm or record.moment
    return unit_of(stated.text).rpartition(".")[2] if stated is not None else "m"


def _side(after: Total, u: TotalUncertainty, record: BasicEmpty) -> dict[str, str]:
    unit = (
        unit_of(record.lateral_arm.text) if "lateral_arm" in record.model_fields_set else _length_unit(record)
    )
    return {"lateral_arm": figure(after.lateral_centre_of_gravity, u.lateral_cg / COVERAGE, unit)}


def computed_values(record: BasicEmpty, sheet: ChangeSheet) -> tuple[dict[str, str], tuple[MassLine, ...]]:
    """The values a change by items sets in the record."""
    lines = change_lines(sheet)
    after = total([basic_empty(record), *lines])
    if not after.mass > 0:
        raise OutOfRange(say("the change leaves {}", Figure(after.mass, "mass")))
    u = total_uncertainty(after, (*record_effects(record), *line_effects(lines)))
    values = record_values(after, u, record)
    if abs(after.lateral_centre_of_gravity) > _NO_LATERAL or record.lateral_arm.value:
        values |= _side(after, u, record)
    values |= {"date": str(sheet.date), "reference": spelt(sheet.reference), "established": "computed"}
    return values, lines


def worksheet_values(worked: WorkedWeighing) -> dict[str, str]:
    """Mass and arm of a weighing as a profile states them, in the units of the worksheet."""
    result, u = worked.result.basic_empty, worked.uncertainty
    first = next(iter(worked.sheet.points.values()))
    arm = worked.sheet.point_arm(first)[0]
    return {
        "mass": figure(result.mass, u.mass / COVERAGE, unit_of(first.reading.text)),
        "arm": figure(result.centre_of_gravity, u.cg / COVERAGE, unit_of(arm.text)),
    }


def weighed_values(
    change: Loaded[ChangeSheet], record: BasicEmpty
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
        keys = [
            key
            for key in ("mass", "arm", "moment", "lateral_arm")
            if key in report.model_fields_set and getattr(report, key) is not None
        ]
        values = {key: spelt(getattr(report, key).text) for key in keys}
        includes: tuple[str, ...] = report.includes
    else:
        loaded = load_worksheet(change.document.folder / sheet.worksheet)
        if loaded.record.aircraft != sheet.aircraft:
            message = f"the worksheet is of '{loaded.record.aircraft}'"
            needed = f"needed one of '{sheet.aircraft}'"
            raise change.document.refused(("worksheet",), "change-other-aircraft", message, needed)
        worked = work_out(loaded)
        result, u = worked.result.basic_empty, worked.uncertainty
        values = record_values(result, u, record)
        if any("lateral_arm" in point.model_fields_set for point in loaded.record.points.values()):
            values |= _side(result, u, record)
        includes, notices = loaded.record.includes, worked.findings
        day = loaded.record.date
        if day > sheet.date:
            message = f"the worksheet is of {day}, after the change of {sheet.date}"
            raise change.document.refused(("date",), "change-order", message, "check the dates")
        if loaded.record.next_due is not None:
            values["next_due"] = str(loaded.record.next_due)
    values |= {
        "includes": spelt(includes),
        "date": str(day),
        "reference": spelt(sheet.reference),
        "established": "weighed",
    }
    return values, notices
