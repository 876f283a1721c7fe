"""Carrying a mass record on: what a change makes of it, and the profile with the new record in and the old
one kept.

The old record stays in the profile under `superseded:`, so that one replacement of one file holds both: there
is no moment at which either could be missing.
"""

from __future__ import annotations

import difflib
import math
from contextlib import nullcontext, suppress
from pathlib import Path
from typing import Any, Final

from planner.flight.extremes import Extreme, assume, every_category
from planner.flight.loading import record_effects
from planner.logbook.mass.hung import (
    MassLine,
    RecordChange,
    negligible_change,
    record_change,
    total_uncertainty,
)
from planner.logbook.mass.values import computed_values, total_of, weighed_values
from planner.quantities.errors import Finding, InputRefused, OutOfRange
from planner.quantities.files import locked, refused, replace
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total
from planner.quantities.sentences import joined, say
from planner.records.aircraft.mass_record import BasicEmpty, last_weighed
from planner.records.aircraft.record import Aircraft
from planner.records.document import parse
from planner.records.edit import NotEditable, put_first, set_text, set_values, spelt
from planner.records.sheets.change_sheet import ChangeSheet, change_id
from planner.records.store import Loaded, find_profile, load_aircraft, load_aircraft_file, profile_folder

_NAMED: Final = "; mass record "
_INSTEAD: Final = {"arm": "moment", "moment": "arm"}  # a record states one of the two
_HEADING: Final = (
    "Mass records that no longer hold, newest first. They are kept as they were: never delete or change one.",
)


@frozen
class ExtremePair:
    """The most adverse loading of a category against one limit, before and after; a reason where there is
    none.
    """

    category: str
    before: Extreme
    after: Extreme


@frozen
class Amendment:
    """A change worked out: records and totals before and after, the drift since the last weighing, and the
    text to write.

    `u_mass` [kg], `u_cg` [m] expanded; `recorded` is the last weighing; `landing_basis` says which mass the
    share is of; `negligible` is None where no threshold is known for so heavy an aircraft, or the change is a
    weighing.
    """

    sheet: ChangeSheet
    aircraft: Aircraft
    path: str
    before: BasicEmpty
    after: BasicEmpty
    totals: tuple[Total, Total]
    u_mass: float
    u_cg: float
    lines: tuple[MassLine, ...]
    recorded: BasicEmpty
    since_weighing: RecordChange
    landing_basis: str
    negligible: bool | None
    adverse: tuple[ExtremePair, ...]
    adverse_notes: tuple[str, ...]
    new_text: str
    changed_lines: tuple[str, ...]
    findings: tuple[Finding, ...]


def _fits(aircraft: Loaded[Aircraft], change: Loaded[ChangeSheet]) -> None:
    """Refuse a change that is for another aircraft, older than the record, or already in it."""
    record, sheet = aircraft.record, change.record
    if sheet.aircraft != record.name:
        message = f"the change is for '{sheet.aircraft}' and the profile is of '{record.name}'"
        needed, hint = "needed the profile's own name", "check which aircraft was changed"
        raise change.document.refused(("aircraft",), "change-other-aircraft", message, needed, hint)
    applied = next(
        (old for old in record.superseded if old.change_id and old.change_id == change_id(change.document)),
        None,
    )
    if applied is not None:
        message = f"this change is in the profile already; it replaced the record {applied.version}"
        raise change.document.refused((), "change-applied", message, hint="nothing is left to do")
    if sheet.date < record.basic_empty.date:
        raise _older(change, "date", f"change of {sheet.date}", record.basic_empty)


def _older(change: Loaded[ChangeSheet], key: str, what: str, record: BasicEmpty) -> InputRefused:
    """change-order: what is entered is older than what is there."""
    message = f"the {what} is older than the record of {record.date}"
    needed = "changes are entered in the order of their dates"
    return change.document.refused((key,), "change-order", message, needed, "check the date")


def _change_words(sheet: ChangeSheet) -> str:
    if not sheet.by_items:
        return f"weighed anew; {sheet.reference}"
    parts = [f"{name} {thing.mass.text} taken out" for name, thing in sheet.removed.items()]
    parts += [f"{name} {thing.mass.text} put in" for name, thing in sheet.added.items()]
    parts += [f"{name} {moved.mass.text} moved" for name, moved in sheet.moved.items()]
    return f"{'; '.join(parts)}; {sheet.reference}"


def new_text_of(
    text: str, aircraft: Loaded[Aircraft], change: Loaded[ChangeSheet], values: dict[str, str]
) -> str:
    """The profile's text with the new record in and the old one kept; raises InputRefused where its layout
    does not allow it.
    """
    record, sheet = aircraft.record.basic_empty, change.record
    raw: dict[str, Any] = aircraft.document.value["basic_empty"]
    words = spelt(_change_words(sheet))
    old = {
        "version": record.version_id,
        "superseded_on": str(sheet.date),
        "change": words,
        "change_id": spelt(change_id(change.document)),
    }
    old |= {"by": spelt(sheet.by)} if sheet.by else {}
    old |= {key: spelt(value) for key, value in raw.items()}
    try:
        edited = set_values(text, "basic_empty", values, _INSTEAD)
        edited = put_first(edited, "superseded", old, _HEADING)
        # a source of several lines stays as it is: every output names the record beside it
        with suppress(NotEditable):
            edited = set_text(edited, "source", spelt(_source_of(edited, aircraft.record.source, sheet)))
    except NotEditable as error:
        hint = "write the record out in the file, or enter the change by hand"
        needed = "needed a plain 'basic_empty:' with its values"
        here = ("basic_empty",)
        raise aircraft.document.refused(here, "amend-not-possible", str(error), needed, hint) from None
    return edited


def _source_of(edited: str, source: str, sheet: ChangeSheet) -> str:
    """The source of the profile's figures with the record now in use, in the place of one named before."""
    now = BasicEmpty.model_validate(parse(edited, "").value["basic_empty"])
    return f"{_bare(source)}{_NAMED}{now.version_id} ({sheet.reference})"


def _bare(source: str) -> str:
    """A source without the record it names."""
    return source.partition(_NAMED)[0].rstrip(".")


def work_out_change(text: str, aircraft: Loaded[Aircraft], change: Loaded[ChangeSheet]) -> Amendment:
    """Work a change out without writing anything.

    Equations: mass' = mass + sum(in) - sum(out), moment' likewise, CG' = moment' / mass'; the drift is
    against the last weighing, not the last record.
    Parameters: the profile's `text` and record; the change. Returns an Amendment [kg, m, kg.m].
    Raises InputRefused for a change that does not fit the profile or a file that cannot be edited safely.
    Source: [faa-h-8083-25] weight and balance chapter; [amc1-cat-pol-mab-100] (b); [ac-43.13-1b] 10-2c.
    """
    _fits(aircraft, change)
    record, sheet, profile = aircraft.record.basic_empty, change.record, aircraft.record
    lines: tuple[MassLine, ...] = ()
    notices = change.notices
    try:
        if sheet.by_items:
            values, lines = computed_values(record, sheet)
        else:
            values, more = weighed_values(change, record)
            notices = (*notices, *more)
    except OutOfRange as error:
        needed = "needed a change that leaves an aircraft"
        raise change.document.refused((), "change-impossible", error.words, needed) from None
    notices = (*notices, *_lateral_told(aircraft, sheet, values))
    if values["date"] < str(record.date):
        raise _older(change, "worksheet", f"weighing of {values['date']}", record)
    if sheet.next_due is not None:
        values["next_due"] = str(sheet.next_due)
    if not sheet.by_items and record.next_due is not None and "next_due" not in values:
        message = "the record in use states its next due and the new one does not"
        raise change.document.refused(("next_due",), "change-next-due", message, "needed 'next_due:'")
    new_text = new_text_of(text, aircraft, change, values)
    after = _proved(new_text, aircraft, values)
    recorded = last_weighed((record, *profile.superseded)) or record
    landing = profile.masses.max_landing
    basis = "maximum landing mass"
    if landing is None:
        basis = "maximum take-off mass, as the profile gives no landing mass"
    chord = profile.mean_aerodynamic_chord
    limit = (landing or profile.masses.max_takeoff).value
    drift = record_change(
        total_of(recorded),
        total_of(after.record.basic_empty),
        limit,
        chord.length.value if chord is not None else None,
    )
    adverse, adverse_notes = _adverse(profile, after.record)
    before_rows, after_rows = text.splitlines(), new_text.splitlines()
    changed = tuple(
        row
        for row in difflib.unified_diff(before_rows, after_rows, lineterm="", n=0)
        if row[:1] in "+-" and row[:3] not in ("+++", "---")
    )
    now = after.record.basic_empty
    u = total_uncertainty(total_of(now), record_effects(now))
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


def _lateral_told(
    aircraft: Loaded[Aircraft], sheet: ChangeSheet, values: dict[str, str]
) -> tuple[Finding, ...]:
    """change-lateral: a weighing that says nothing of the lateral arm the record has; things without one
    where the lateral CG counts.
    """
    held = aircraft.record.basic_empty.lateral_arm
    if sheet.by_items:
        things = {**sheet.added, **sheet.removed}
        silent = [name for name, thing in things.items() if "lateral_arm" not in thing.model_fields_set]
        silent += [
            name
            for name, moved in sheet.moved.items()
            if not {"from_lateral_arm", "to_lateral_arm"} <= moved.model_fields_set
        ]
        if not silent or (aircraft.record.lateral is None and not held.value):
            return ()
        message = f"no lateral arm is given for {', '.join(silent)}: counted on the centre line"
        hint = "state it if it is off the line"
    elif "lateral_arm" in values or not held.value:
        return ()
    else:
        message = f"the weighing gives no lateral arm; {held.text} is kept from the record before"
        hint = "state it if it was measured"
    told = Finding("change-lateral", message, hint=hint, severity="notice")
    return (aircraft.document.place(told, ("basic_empty",)),)


def _proved(new_text: str, aircraft: Loaded[Aircraft], values: dict[str, str]) -> Loaded[Aircraft]:
    """The edited profile read back: everything else must say what it said, the record what was meant, and the
    old records be there.
    """
    try:
        after = load_aircraft_file(aircraft.document.path, new_text)
    except InputRefused as refused:
        reasons = joined("; ", (finding.message for finding in refused.findings))
        unreadable = say("the profile would not be readable afterwards: {}", reasons)
        raise aircraft.document.refused((), "amend-not-possible", unreadable, "nothing was written") from None
    old, new = dict(aircraft.document.value), dict(after.document.value)
    kept = new.pop("superseded", [])
    was = old.pop("superseded", None) or []
    old_record, new_record = old.pop("basic_empty"), new.pop("basic_empty")
    sources = [_bare(each.pop("source")) for each in (old, new)]
    meant = {*values, *(_INSTEAD[key] for key in values if key in _INSTEAD)}
    others = kept[1:] == was and all(
        new_record.get(key) == value for key, value in old_record.items() if key not in meant
    )
    untouched = old == new and sources[0] == sources[1] and others
    if not (untouched and after.record.superseded[0].version_id == aircraft.record.basic_empty.version_id):
        hint = "an alias in the file may stand for several values: write them out"
        message = "the change would reach other parts of the profile"
        raise aircraft.document.refused((), "amend-not-possible", message, "nothing was written", hint)
    return after


def _adverse(before: Aircraft, after: Aircraft) -> tuple[tuple[ExtremePair, ...], tuple[str, ...]]:
    """Both adverse loadings of every category with the old record and with the new one."""
    try:
        assumed = assume(after)
    except OutOfRange as error:
        return (), (error.words,)
    pairs: list[ExtremePair] = []
    notes: dict[str, None] = {}
    for old, new in zip(*(every_category(each, assumed) for each in (before, after)), strict=True):
        if reason := old.reason or new.reason:
            notes[say("{}: {}", new.category, reason)] = None
            continue
        notes |= dict.fromkeys(new.notes)
        pairs += [
            ExtremePair(new.category, earlier, later)
            for earlier, later in zip(old.pair, new.pair, strict=True)
        ]
    return tuple(pairs), tuple(notes)


def _profile_file(name: str, write: bool) -> Path:
    """The file of a profile; one that comes with the program is not changed."""
    path = find_profile(name, Path.cwd())
    if path is None:
        load_aircraft(name)  # refuses, with the names there are
    assert path is not None
    if write and profile_folder().resolve() in path.resolve().parents:
        hint = f"copy it first: cp {path} my-aircraft.yaml"
        raise refused(
            name,
            "profile-bundled",
            "a profile that comes with the program is never changed",
            "needed a file of your own",
            hint,
        )
    return path


def amend(profile: str, change: Loaded[ChangeSheet], write: bool = True) -> Amendment:
    """Work a change out against a profile file and, with `write`, put the new record in.

    The file is read, checked, changed and replaced under one lock, so that of two changes at once the second
    is worked out from the result of the first. A program killed at any moment leaves the old file or the new
    one, whole. Raises InputRefused for a profile that comes with the program, and as `work_out_change` does.
    """
    path = _profile_file(profile, write)
    with locked(path) if write else nullcontext():
        try:
            data = path.read_bytes()
        except OSError as error:
            raise refused(
                path, "file-unreadable", f"cannot be read: {error.strerror}", "needed a readable file"
            ) from None
        load_aircraft_file(path)  # refuses what is no readable profile, with every reason
        text = data.decode("utf-8-sig")
        loaded = load_aircraft_file(path, text)
        amendment = work_out_change(text, loaded, change)
        if write:
            mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
            replace(path, mark + amendment.new_text.encode(), data)
    return amendment
