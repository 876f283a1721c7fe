"""A ledger as CSV or JSON, out and in again without a loss: every entry, corrected ones too, and what each
corrects.
"""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections.abc import Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any, Final

from planner.logbook.ledger.entries import FLAGS, KINDS, Entry, Stored, dip, stored
from planner.quantities.errors import Finding, InputRefused, spreadsheet_text
from planner.quantities.files import refused
from planner.quantities.sentences import Figure, say
from planner.quantities.units import LITRE, read_quantity
from planner.records.aircraft.record import Aircraft
from planner.records.document import MAX_BYTES

SCHEMA: Final = "planner/ledger/1"
_VOLUMES: Final = {
    "volume": "volume_l",
    "u": "u_l",
    "planned": "planned_l",
    "leaves": "leaves_l",
    "u_leaves": "u_leaves_l",
}
_NAMES: Final = {
    field.name: _VOLUMES.get(
        field.name, {"duration": "duration_s", "uid": "id", "text": "as_written"}.get(field.name, field.name)
    )
    for field in fields(Entry)
}
_UNKNOWN: Final = ("planned", "leaves")
_AS_WRITTEN: Final = "as 'planner ledger export' writes it"
_TIME: Final = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")
_MAX_IMPORT: Final = 16 * MAX_BYTES


def as_row(entry: Entry) -> dict[str, Any]:
    """An entry with litres and seconds; an unknown figure is None."""
    row: dict[str, Any] = {}
    for name, key in _NAMES.items():
        value = getattr(entry, name)
        if name in _UNKNOWN and value < 0:
            value = None
        elif name in _VOLUMES:
            value = round(value * 1e3, 6)
        row[key] = value
    return row


def to_json(aircraft: str, entries: Sequence[Stored]) -> dict[str, Any]:
    """The ledger as JSON data, schema `planner/ledger/1`."""
    return {
        "schema": SCHEMA,
        "aircraft": aircraft,
        "entries": [{"number": each.number, **as_row(each.entry)} for each in entries],
    }


def to_csv(aircraft: str, entries: Sequence[Stored]) -> str:
    """The ledger as CSV with a heading row.

    Text that a spreadsheet would take for a formula is written with an apostrophe before it, which `from_csv`
    takes off.
    """
    text = io.StringIO()
    writer = csv.DictWriter(text, ["aircraft", "number", *_NAMES.values()], lineterminator="\n")
    writer.writeheader()
    for each in entries:
        row = {"aircraft": aircraft, "number": each.number, **as_row(each.entry)}
        writer.writerow({key: _guarded(value) for key, value in row.items()})
    return text.getvalue()


def _guarded(value: Any) -> Any:
    if isinstance(value, bool):
        return int(value)
    return spreadsheet_text(value) if isinstance(value, str) else value


def read_file(path: Path, aircraft: str) -> tuple[Stored, ...]:
    """Entries of an exported file with their numbers (0 where the row has none), by its ending `.csv` or
    `.json`.

    Raises InputRefused with every row that is not an entry, and for a file of another aircraft.
    """
    try:
        with open(path, "rb") as stream:
            data = stream.read(_MAX_IMPORT + 1)
        text = data.decode("utf-8-sig")
    except OSError as error:
        message = f"cannot be read: {error.strerror}"
        raise refused(path, "file-unreadable", message, "needed a readable file") from None
    except UnicodeDecodeError:
        raise refused(path, "file-not-utf8", "not UTF-8 text", "needed plain UTF-8 text") from None
    if len(data) > _MAX_IMPORT:
        raise refused(path, "file-too-large", "the file is larger than 16 MiB", "import it in parts")
    rows = _csv_rows(path, text) if path.suffix.lower() == ".csv" else _json_rows(path, text)
    findings: list[Finding] = []
    entries: list[Stored] = []
    for line, row in rows:
        owner = row.pop("aircraft", aircraft)
        number = str(row.pop("number", ""))
        if owner != aircraft:
            other = Finding("ledger-other-aircraft", f"an entry of {owner}, not of {aircraft}")
            findings.append(other.at(str(path), line, 1))
            continue
        try:
            entries.append(Stored(int(number) if re.fullmatch("[0-9]{1,9}", number) else 0, _entry(row)))
        except (ValueError, TypeError, KeyError) as error:
            reason = f"'{error.args[0]}' is missing" if isinstance(error, KeyError) else str(error)
            none = Finding("ledger-import", f"not an entry: {reason}", f"needed a row {_AS_WRITTEN}")
            findings.append(none.at(str(path), line, 1))
    if findings:
        raise InputRefused(findings)
    return tuple(entries)


def _csv_rows(path: Path, text: str) -> list[tuple[int, dict[str, Any]]]:
    try:
        reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
        return [
            (
                reader.line_num,
                {key: value.removeprefix("'") if value else value for key, value in row.items() if key},
            )
            for row in reader
        ]
    except (csv.Error, AttributeError) as error:
        message = f"not readable as CSV: {error}"
        raise refused(path, "ledger-import", message, f"needed a file {_AS_WRITTEN}") from None


def _json_rows(path: Path, text: str) -> list[tuple[int, dict[str, Any]]]:
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        message, line = f"not readable as JSON: {error}", getattr(error, "lineno", 1)
        raise refused(path, "ledger-import", message, "needed a .csv or .json export", line=line) from None
    if not (
        isinstance(data, dict) and data.get("schema") == SCHEMA and isinstance(data.get("entries"), list)
    ):
        raise refused(path, "ledger-import", "this is not an exported ledger", f"needed 'schema': '{SCHEMA}'")
    rows = [row if isinstance(row, dict) else {} for row in data["entries"]]
    return [(1, {"aircraft": data.get("aircraft"), **row}) for row in rows]


def _entry(row: dict[str, Any]) -> Entry:
    """An entry from a row; every figure is checked as if it were typed."""
    values: dict[str, Any] = {}
    for name, key in _NAMES.items():
        value = row[key]
        if name in FLAGS:
            if value not in (True, False, "0", "1"):
                raise ValueError(f"{key} is {value!r}")
            values[name] = value in (True, "1")
        elif name in _VOLUMES or name == "duration":
            values[name] = _figure(key, value, name)
        else:
            if not isinstance(value, str) or len(value) > 2000:
                raise ValueError(f"{key} is {value!r}")
            values[name] = value
    unknown = sorted(row.keys() - set(_NAMES.values()))
    if unknown:
        raise ValueError(f"'{unknown[0]}' is no part of an entry")
    if values["kind"] not in KINDS:
        raise ValueError(f"kind is {values['kind']!r}")
    for name in ("at", "recorded"):
        if not _TIME.fullmatch(values[name]):
            raise ValueError(f"{name} is {values[name]!r}")
    if not re.fullmatch(r"[0-9a-f]{8,32}", values["uid"]) or values["supersedes"] == values["uid"]:
        raise ValueError(f"id is {values['uid']!r}")
    return Entry(**values)


def _figure(key: str, value: Any, name: str) -> float:
    if value in (None, "") and name in _UNKNOWN:
        return -1.0
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise ValueError(f"{key} is {value!r}")
    number = float(value)
    if not math.isfinite(number) or number < 0 or number > 1e7:
        raise ValueError(f"{key} is {value!r}")
    return stored(number / 1e3) if name in _VOLUMES else number


def unknown_to(ledger: Sequence[Stored], entries: Sequence[Stored], path: Path) -> tuple[Stored, ...]:
    """The entries a ledger does not have yet; one it has is left out, one it has with other figures is
    refused.
    """
    held = {each.entry.uid: each.entry for each in ledger}
    fresh: list[Stored] = []
    findings = []
    for each in entries:
        entry = each.entry
        if entry.uid not in held:
            fresh.append(each)
            held[entry.uid] = entry
        elif held[entry.uid] != entry:
            message = f"entry {entry.uid} is in the ledger with other figures"
            findings.append(Finding("ledger-conflict", message, "nothing was imported"))
    findings += [
        Finding("ledger-import", f"entry {each.entry.uid} corrects one that is not there")
        for each in fresh
        if each.entry.supersedes and each.entry.supersedes not in held
    ]
    if findings:
        raise InputRefused(each.at(str(path), 1, 1) for each in findings)
    return tuple(fresh)


def recomputed(aircraft: Aircraft, entries: Sequence[Stored], path: Path) -> None:
    """Refuse entries whose volume is not what their words make of it: one of the two was changed.

    ledger-figures: such an entry. Parameters: `aircraft`, whose sticks and capacities are taken; `entries` of
    a file. A dip rests on the stick's table as the profile has it now.
    """
    findings = []
    for each in entries:
        entry = each.entry
        try:
            volume = _by_words(aircraft, entry)
        except InputRefused as refusal:
            reason = f"'{entry.text}' is no figure of such an entry: {refusal.findings[0].message}"
            findings.append(Finding("ledger-figures", f"entry {entry.uid}: {reason}"))
            continue
        if abs(volume - entry.volume) > max(1e-3 * volume, 0.05 * LITRE):
            message = say(
                f"entry {entry.uid}: '{entry.text}' makes {{}}, and the file says {{}}",
                Figure(volume, "volume"),
                Figure(entry.volume, "volume"),
            )
            hint = "mend the figure that is wrong, or the stick's table in the profile"
            findings.append(Finding("ledger-figures", message, "needed the same", hint))
    if findings:
        raise InputRefused(each.at(str(path), 1, 1) for each in findings)


def _by_words(aircraft: Aircraft, entry: Entry) -> float:
    """The volume [m3] that an entry's words make."""
    if entry.kind == "dip":
        reading = read_quantity(entry.text, "length", "volume")
        return dip(aircraft, entry.at, entry.tank, entry.stick, reading).volume
    if not entry.computed:
        return read_quantity(entry.text, "volume").value
    time, _, flow = entry.text.rpartition(" at ")
    return read_quantity(time, "time").value * read_quantity(flow, "volume flow").value
