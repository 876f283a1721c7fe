"""Carrying a mass record on: what a change makes of it, and the profile with the new record in and the old one kept.

The old record stays in the profile under `superseded:`, so that one replacement of one file holds both: there is no
moment at which either could be missing.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from planner.desk.weighing import work_out
from planner.effects import COVERAGE, Effect
from planner.errors import Finding, InputRefused, OutOfRange
from planner.extremes import Extreme, assume, extremes
from planner.loading import load_aircraft as load_items
from planner.moments import Item, Total, total
from planner.profile.aircraft import Aircraft
from planner.profile.change_sheet import ChangeSheet, change_id
from planner.profile.edit import NotEditable, put_first, set_values, spelt
from planner.profile.mass_record import BasicEmpty
from planner.profile.store import Loaded, load_aircraft_file
from planner.profile.weighing_sheet import load_worksheet
from planner.units import find_unit
from planner.weighing import Doubt, RecordChange, doubt_effects, negligible_change, record_change, total_uncertainty

# Finer than any scale, so that a record carried on many times does not drift by its own rounding.
_DECIMALS: Final = {"kg": 3, "lb": 3, "g": 0, "m": 5, "cm": 3, "mm": 2, "in": 3, "ft": 4, "kg.m": 3, "kg.mm": 0, "lb.in": 2, "lb.ft": 3}
_HEADING: Final = ("Mass records that no longer hold, newest first. They are kept as they were: never delete or change one.",)
_NO_LATERAL: Final = 1e-9  # m


@dataclass(frozen=True, slots=True)
class AmendedLine:
    """One line of the change: `mass` [kg], below zero where it comes out, at `arm` [m], `lateral_arm` [m]."""

    name: str
    mass: float
    arm: float
    lateral_arm: float


@dataclass(frozen=True, slots=True)
class ExtremePair:
    """The most adverse loading of a category against one limit, before and after; a reason where there is none."""

    category: str
    before: Extreme
    after: Extreme


@dataclass(frozen=True, slots=True)
class Amendment:
    """A change worked out: records and totals before and after, the drift since the last weighing, and the text to write.

    `u_mass` [kg], `u_cg` [m] expanded; `recorded` is the last weighing; `landing_basis` says which mass the share is of;
    `negligible` is None where no threshold is known for so heavy an aircraft, or the change is a weighing.
    """

    sheet: ChangeSheet
    aircraft: Aircraft
    path: str
    before: BasicEmpty
    after: BasicEmpty
    totals: tuple[Total, Total]
    u_mass: float
    u_cg: float
    lines: tuple[AmendedLine, ...]
    recorded: BasicEmpty
    since_weighing: RecordChange
    landing_basis: str
    negligible: bool | None
    adverse: tuple[ExtremePair, ...]
    adverse_notes: tuple[str, ...]
    new_text: str
    changed_lines: tuple[str, ...]
    findings: tuple[Finding, ...]


def total_of(record: BasicEmpty) -> Total:
    """Mass and moments of a record [kg, kg.m]."""
    return total([Item("basic empty mass", record.mass.value, record.arm_value(), record.lateral_arm.value)])


def change_lines(sheet: ChangeSheet) -> tuple[tuple[AmendedLine, ...], tuple[Doubt, ...]]:
    """The things of a change as lines [kg, m] and as what is doubtful about them; a moved thing is two lines of one mass."""
    lines: list[AmendedLine] = []
    doubts: list[Doubt] = []

    def line(name: str, mass: float, u: float, arm: Any, lateral: Any, cause: str) -> None:
        lines.append(AmendedLine(name, mass, arm.value, lateral.value))
        doubts.append(Doubt(name, mass, arm.value, lateral.value, u, arm.u, lateral.u, mass_cause=cause))

    for name, thing in sheet.removed.items():
        line(f"{name}, out", -thing.mass.value, -thing.mass.u, thing.arm, thing.lateral_arm, f"{name} out, mass")
    for name, thing in sheet.added.items():
        line(f"{name}, in", thing.mass.value, thing.mass.u, thing.arm, thing.lateral_arm, f"{name} in, mass")
    for name, moved in sheet.moved.items():
        line(f"{name}, from", -moved.mass.value, -moved.mass.u, moved.from_arm, moved.from_lateral_arm, f"{name} moved, mass")
        line(f"{name}, to", moved.mass.value, moved.mass.u, moved.to_arm, moved.to_lateral_arm, f"{name} moved, mass")
    return tuple(lines), tuple(doubts)


def _figure(value: float, u: float, unit: str) -> str:
    """A figure as a profile states it; the uncertainty to two significant digits."""
    factor, decimals = find_unit(unit).factor, _DECIMALS.get(unit, 6)
    spread = f" +/- {u / factor:.2g}" if u else ""
    return f"{value / factor:.{decimals}f}{spread if 'e' not in spread else f' +/- {u / factor:.6f}'} {unit}"


def _unit(text: str) -> str:
    """The unit a figure was written in."""
    found = re.search(r"[A-Za-z][\w./*^-]*$", text)
    return found[0] if found else "kg"


def _refusal(loaded: Loaded[Any], code: str, message: str, needed: str = "", hint: str = "", location: tuple[str, ...] = ()) -> InputRefused:
    return InputRefused([loaded.document.place(Finding(code, message, needed, hint), location)])


def _fits(aircraft: Loaded[Aircraft], change: Loaded[ChangeSheet]) -> None:
    """Refuse a change that is for another aircraft, older than the record, or already in it."""
    record, sheet = aircraft.record, change.record
    if sheet.aircraft != record.name:
        message = f"the change is for '{sheet.aircraft}' and the profile is of '{record.name}'"
        raise _refusal(change, "change-other-aircraft", message, "needed the profile's own name", "check which aircraft was changed", ("aircraft",))
    applied = next((old for old in record.superseded if old.change_id and old.change_id == change_id(change.document)), None)
    if applied is not None:
        message = f"this change is in the profile already; it replaced the record {applied.version}"
        raise _refusal(change, "change-applied", message, hint="nothing is left to do")
    if sheet.date < record.basic_empty.date:
        message = f"the change of {sheet.date} is older than the record of {record.basic_empty.date}"
        raise _refusal(change, "change-order", message, "changes are entered in the order of their dates", "check the date", ("date",))
    if not sheet.by_items and record.basic_empty.next_due is not None and sheet.next_due is None:
        raise _refusal(change, "change-next-due", "the record in use states its next due and the new one does not", "needed 'next_due:'", "", ("next_due",))


def _computed(record: BasicEmpty, sheet: ChangeSheet) -> tuple[dict[str, str], tuple[AmendedLine, ...]]:
    """The values a change by items sets in the record."""
    lines, doubts = change_lines(sheet)
    empty = Item("basic empty mass", record.mass.value, record.arm_value(), record.lateral_arm.value)
    after = total([empty, *(Item(each.name, each.mass, each.arm, each.lateral_arm) for each in lines)])
    if not after.mass > 0:
        raise OutOfRange(f"the change leaves {after.mass:g} kg")
    u = total_uncertainty(after, (*_record_effects(record), *doubt_effects(doubts)))
    values = {"mass": _figure(after.mass, u.mass / COVERAGE, _unit(record.mass.text))}
    if record.arm is not None:
        values["arm"] = _figure(after.centre_of_gravity, u.cg / COVERAGE, _unit(record.arm.text))
    else:
        assert record.moment is not None  # a record has one of the two
        values["moment"] = _figure(after.moment, u.moment / COVERAGE, _unit(record.moment.text))
    if abs(after.lateral_centre_of_gravity) > _NO_LATERAL or record.lateral_arm.value:
        values["lateral_arm"] = _figure(after.lateral_centre_of_gravity, u.lateral_cg / COVERAGE, _unit(record.lateral_arm.text))
    values |= {"date": str(sheet.date), "reference": spelt(sheet.reference), "established": "computed"}
    return values, lines


def _record_effects(record: BasicEmpty) -> tuple[Effect, ...]:
    """What is doubtful about a record, as the plan takes it: a stated arm moves with the mass, a stated moment does not."""
    mass, arm, side = record.mass.value, record.arm_value(), record.lateral_arm
    effects = [Effect("record, mass", record.mass.u, record.mass.u * arm if record.arm is not None else 0.0, record.mass.u * side.value)]
    if record.arm is not None:
        effects.append(Effect("record, arm", 0.0, mass * record.arm.u))
    elif record.moment is not None:
        effects.append(Effect("record, moment", 0.0, record.moment.u))
    effects.append(Effect("record, lateral arm", 0.0, 0.0, mass * side.u))
    return tuple(effects)


def _weighed(change: Loaded[ChangeSheet], keeps_moment: bool) -> tuple[dict[str, str], tuple[Finding, ...]]:
    """The values a weighing sets: those of the signed report as they stand, or those worked out from a worksheet."""
    sheet = change.record
    values, notices = {}, ()
    if sheet.weighed is not None:
        report = sheet.weighed
        values["mass"] = spelt(report.mass.text)
        if report.arm is not None:
            values["arm"] = spelt(report.arm.text)
        elif report.moment is not None:
            values["moment"] = spelt(report.moment.text)
        values["lateral_arm"] = spelt(report.lateral_arm.text)
        includes: tuple[str, ...] = report.includes
    else:
        beside = Path.cwd() if change.document.path == "<stdin>" else Path(change.document.path).resolve().parent
        loaded = load_worksheet(beside / sheet.worksheet)
        if loaded.record.aircraft != sheet.aircraft:
            message = f"the worksheet is of '{loaded.record.aircraft}'"
            raise _refusal(change, "change-other-aircraft", message, f"needed one of '{sheet.aircraft}'", "", ("worksheet",))
        worked = work_out(loaded)
        result, u = worked.result.basic_empty, worked.uncertainty
        values["mass"] = _figure(result.mass, u.mass / COVERAGE, "kg")
        if keeps_moment:
            values["moment"] = _figure(result.moment, u.moment / COVERAGE, "kg.m")
        else:
            values["arm"] = _figure(result.centre_of_gravity, u.cg / COVERAGE, "m")
        values["lateral_arm"] = _figure(result.lateral_centre_of_gravity, u.lateral_cg / COVERAGE, "m")
        includes, notices = loaded.record.includes, worked.findings  # type: ignore[assignment]  # an empty tuple has no element type of its own
    values |= {"includes": spelt(includes), "date": str(sheet.date), "reference": spelt(sheet.reference), "established": "weighed"}
    return values, notices


def _change_words(sheet: ChangeSheet) -> str:
    if not sheet.by_items:
        return f"weighed anew; {sheet.reference}"
    parts = [f"{name} {thing.mass.text} taken out" for name, thing in sheet.removed.items()]
    parts += [f"{name} {thing.mass.text} put in" for name, thing in sheet.added.items()]
    parts += [f"{name} {moved.mass.text} moved" for name, moved in sheet.moved.items()]
    return f"{'; '.join(parts)}; {sheet.reference}"


def new_text_of(text: str, aircraft: Loaded[Aircraft], change: Loaded[ChangeSheet], values: dict[str, str]) -> str:
    """The profile's text with the new record in and the old one kept; raises InputRefused where its layout does not allow it."""
    record, sheet = aircraft.record.basic_empty, change.record
    raw: dict[str, Any] = aircraft.document.value["basic_empty"]
    old = {"version": record.version_id, "superseded_on": str(sheet.date), "change": spelt(_change_words(sheet)), "change_id": spelt(change_id(change.document))}
    old |= {key: spelt(value) for key, value in raw.items()}
    try:
        edited = put_first(set_values(text, "basic_empty", values), "superseded", old, _HEADING)
    except NotEditable as error:
        hint = "write the record out in the file, or enter the change by hand"
        raise _refusal(aircraft, "amend-not-possible", str(error), "needed a plain 'basic_empty:' with its values", hint, ("basic_empty",)) from None
    return edited


def work_out_change(text: str, aircraft: Loaded[Aircraft], change: Loaded[ChangeSheet]) -> Amendment:
    """Work a change out without writing anything.

    Equations: mass' = mass + sum(in) - sum(out), moment' likewise, CG' = moment' / mass'; the drift is against the last
    weighing, not the last record.
    Parameters: the profile's `text` and record; the change. Returns an Amendment [kg, m, kg.m].
    Raises InputRefused for a change that does not fit the profile or a file that cannot be edited safely.
    Source: [faa-h-8083-25] weight and balance chapter; [amc1-cat-pol-mab-100] (b); [ac-43.13-1b] 10-2c.
    """
    _fits(aircraft, change)
    record, sheet, profile = aircraft.record.basic_empty, change.record, aircraft.record
    lines: tuple[AmendedLine, ...] = ()
    notices = change.notices
    try:
        if sheet.by_items:
            values, lines = _computed(record, sheet)
        else:
            values, more = _weighed(change, record.moment is not None)
            notices = (*notices, *more)
    except OutOfRange as error:
        raise _refusal(change, "change-impossible", str(error), "needed a change that leaves an aircraft") from None
    other = "moment" if "arm" in values else "arm"
    if getattr(record, other) is not None:
        kind = "an arm" if other == "moment" else "a moment"
        message = f"the report gives {kind} where the profile's record has '{other}:'"
        raise _refusal(change, "amend-not-possible", message, f"needed '{other}:' here too", "moment = mass x arm", ("weighed",))
    if sheet.next_due is not None:
        values["next_due"] = str(sheet.next_due)
    new_text = new_text_of(text, aircraft, change, values)
    after = _proved(new_text, aircraft, values)
    recorded = record if record.established == "weighed" else next((old for old in profile.superseded if old.established == "weighed"), record)
    landing = profile.masses.max_landing
    basis = "maximum landing mass" if landing is not None else "maximum take-off mass, as the profile gives no landing mass"
    chord = profile.mean_aerodynamic_chord
    limit = (landing or profile.masses.max_takeoff).value
    drift = record_change(total_of(recorded), total_of(after.record.basic_empty), limit, chord.length.value if chord is not None else None)
    adverse, adverse_notes = _adverse(profile, after.record)
    before_rows, after_rows = text.splitlines(), new_text.splitlines()
    changed = tuple(row for row in difflib.unified_diff(before_rows, after_rows, lineterm="", n=0) if row[:1] in "+-" and row[:3] not in ("+++", "---"))
    u = total_uncertainty(total_of(after.record.basic_empty), _record_effects(after.record.basic_empty))
    gross = math.fsum(abs(each.mass) for each in lines)
    return Amendment(
        sheet=sheet,
        aircraft=after.record,
        path=aircraft.document.path,
        before=record,
        after=after.record.basic_empty,
        totals=(total_of(record), total_of(after.record.basic_empty)),
        u_mass=u.mass,
        u_cg=u.cg,
        lines=lines,
        recorded=recorded,
        since_weighing=drift,
        landing_basis=basis,
        negligible=negligible_change(gross, record.mass.value) if lines else None,
        adverse=adverse,
        adverse_notes=adverse_notes,
        new_text=new_text,
        changed_lines=changed,
        findings=(*notices, *after.notices),
    )


def _proved(new_text: str, aircraft: Loaded[Aircraft], values: dict[str, str]) -> Loaded[Aircraft]:
    """The edited profile read back: everything else must say what it said, the record what was meant, and the old records be there."""
    try:
        after = load_aircraft_file(aircraft.document.path, new_text)
    except InputRefused as refused:
        reasons = "; ".join(finding.message for finding in refused.findings)
        raise _refusal(aircraft, "amend-not-possible", f"the profile would not be readable afterwards: {reasons}", "nothing was written") from None
    old, new = dict(aircraft.document.value), dict(after.document.value)
    kept = new.pop("superseded", [])
    was = old.pop("superseded", None) or []
    old_record, new_record = old.pop("basic_empty"), new.pop("basic_empty")
    untouched = old == new and kept[1:] == was and all(new_record.get(key) == value for key, value in old_record.items() if key not in values)
    if not (untouched and after.record.superseded[0].version_id == aircraft.record.basic_empty.version_id):
        hint = "an alias in the file may stand for several values: write them out"
        raise _refusal(aircraft, "amend-not-possible", "the change would reach other parts of the profile", "nothing was written", hint)
    return after


def _adverse(before: Aircraft, after: Aircraft) -> tuple[tuple[ExtremePair, ...], tuple[str, ...]]:
    """Both adverse loadings of every category with the old record and with the new one."""
    pairs: list[ExtremePair] = []
    notes: tuple[str, ...] = ()
    for category in after.envelopes:
        try:
            assumed = assume(after)
            (old, new), notes = [extremes(each, category, assumed)[0] for each in (before, after)], extremes(after, category, assumed)[1]
        except OutOfRange as error:
            notes = (*notes, f"{category}: {error}")
            continue
        pairs += [ExtremePair(category, earlier, later) for earlier, later in zip(old, new, strict=True)]
    return tuple(pairs), notes


__all__ = ["Amendment", "change_lines", "load_items", "total_of", "work_out_change"]
