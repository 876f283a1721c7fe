"""Volumes of density bottles, kept one small file for each weighing with water, so that a bottle that changes
is noticed.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Final

from planner.density.bench.comparing import empty_change
from planner.density.bench.steps.calibration import NOT_KEPT, Calibration, CalibrationsFound
from planner.density.bench.steps.results import Acknowledged, BottleBench
from planner.density.budget import Estimate, Missing
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.files import data_folder, refused, write_new
from planner.records.document import Document

SCHEMA: Final = "planner/bottle-calibration/1"
VOID_SCHEMA: Final = "planner/bottle-calibration-void/1"
MAX_BYTES: Final = 1 << 16
# How a sheet was acknowledged or commented does not make it another weighing.
_NOT_CONTENT: Final = ("cautions_acknowledged",)


def folder() -> Path:
    """Where calibrations are kept."""
    return data_folder() / "bottles"


def content_digest(document: Document) -> str:
    """A digest of what a sheet says; comments, order and layout do not change it."""
    content = {key: value for key, value in document.value.items() if key not in _NOT_CONTENT}
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def from_bench(bench: BottleBench, document: Document) -> Calibration | None:
    """The calibration in a worked-out sheet, or None where the bottle was not weighed with water."""
    if bench.result.volume_from != "water":
        return None
    sheet, result = bench.sheet, bench.result
    return Calibration(
        bottle=sheet.id,
        on=sheet.date,
        volume=result.volume_20c.result,
        digest=content_digest(document),
        sheet=document.path,
        observer=sheet.observer,
        path="",
        empty=NOT_KEPT if sheet.tared else result.readings.empty,
    )


def keep(calibration: Calibration, acknowledged: Acknowledged | Missing) -> tuple[Path, bool]:
    """Write a calibration under its own name; (path, False) where the same sheet is kept already.

    Parameters: `calibration`; `acknowledged`, kept with it. Raises InputRefused where the folder cannot be
    written.
    """
    body: dict[str, Any] = {
        "bottle": calibration.bottle,
        "date": calibration.on.isoformat(),
        "volume_20c_m3": calibration.volume.value,
        "standard_uncertainty_m3": calibration.volume.u,
        "empty_kg": (
            None if isinstance(calibration.empty, Missing) else [calibration.empty.value, calibration.empty.u]
        ),
        "content_digest": calibration.digest,
        "sheet": calibration.sheet,
        "observer": calibration.observer,
        "cautions_acknowledged": None if isinstance(acknowledged, Missing) else acknowledged.as_json(),
    }
    name = re.sub(r"[^A-Za-z0-9]+", "-", calibration.bottle).strip("-")[:40] or "bottle"
    path = folder() / f"{name}-{calibration.digest[:16]}.json"
    return path, _write(path, SCHEMA, "calibration", body)


def void(kept: CalibrationsFound, number: str, why: str, on: date) -> Calibration:
    """Take a calibration out of use; it stays where it is, a small file beside it says when and why.

    Parameters: `kept`; `number`, the first signs of its digest as listed; `why`; `on`, today.
    Raises InputRefused for a number that is not that of one calibration, one void already, or a reason left
    out.
    """
    meant = [each for each in kept.calibrations if number and each.digest.startswith(number)]
    if len(meant) != 1 or meant[0].void:
        message = (
            f"'{number}' is void already: {meant[0].void}"
            if len(meant) == 1
            else f"'{number}' is the number of {len(meant) or 'no'} calibrations"
        )
        needed = "needed the number of one that is in use"
        raise refused("--void", "calibration-void", message, needed, "see: planner density bottles")
    if not why.strip():
        message, needed = "no reason is given", "needed why it is not to be used"
        raise refused("--why", "calibration-void", message, needed, "such as --why 'a bubble in the water'")
    (found,) = meant
    body = {"content_digest": found.digest, "on": on.isoformat(), "why": why.strip()}
    _write(folder() / f"void-{found.digest[:16]}.json", VOID_SCHEMA, "void", body)
    return replace(found, void=f"{on}: {why.strip()}")


def _write(path: Path, schema: str, part: str, body: dict[str, Any]) -> bool:
    """Write a sealed file of its own; False where it is there already."""
    text = (
        json.dumps({"schema": schema, "seal": _seal(body), part: body}, indent=2, ensure_ascii=False) + "\n"
    )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        needed, message = "needed a folder you may write to", f"cannot be made: {error.strerror}"
        raise refused(
            path.parent, "file-unwritable", message, needed, "set PLANNER_DATA, or add --no-keep"
        ) from None
    try:
        write_new(path, text.encode())
    except InputRefused as error:
        if error.findings[0].code != "file-exists":
            raise
        return False  # the same is kept already
    return True


def _seal(body: dict[str, Any]) -> str:
    """A digest of the kept figures, so that a file edited or damaged later is not taken for a weighing."""
    return hashlib.sha256(json.dumps(body, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def kept() -> CalibrationsFound:
    """Every calibration that can be read; whatever else lies in the folder is told and left alone."""
    found: list[Calibration] = []
    findings: list[Finding] = []
    voided: dict[str, str] = {}
    place = folder()
    try:
        paths = sorted(path for path in place.iterdir() if not path.name.startswith("."))
    except FileNotFoundError:
        return CalibrationsFound((), ())
    except OSError as error:
        return CalibrationsFound((), (_skipped(place, f"cannot be read: {error.strerror}"),))
    for path in paths:
        try:
            schema, body = _body(path)
            if schema == VOID_SCHEMA:
                voided[str(body["content_digest"])] = f"{date.fromisoformat(body['on'])}: {body['why']}"
            else:
                found.append(_read(path, body))
        except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
            reason = (
                str(error)
                if type(error) in (ValueError, OSError)
                else f"not a kept calibration ({type(error).__name__})"
            )
            findings.append(_skipped(path, reason))
    found = [replace(each, void=voided.get(each.digest, "")) for each in found]
    return CalibrationsFound(
        tuple(sorted(found, key=lambda each: (each.bottle, each.on, each.digest))), tuple(findings)
    )


def _skipped(path: Path, reason: str) -> Finding:
    message = f"skipped: {reason}"
    needed = "needed a file written by 'planner density bottle'"
    return Finding("calibration-unreadable", message, needed, "it was left as it is", severity="notice").at(
        str(path), 1, 1
    )


def _body(path: Path) -> tuple[str, dict[str, Any]]:
    """Schema and sealed content of a kept file."""
    with open(path, "rb") as stream:
        data = stream.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        raise ValueError("larger than any calibration")
    whole = json.loads(data.decode("utf-8"))
    schema = whole.get("schema") if isinstance(whole, dict) else None
    if schema not in (SCHEMA, VOID_SCHEMA):
        raise ValueError(f"not marked {SCHEMA}")
    body: dict[str, Any] = whole["calibration" if schema == SCHEMA else "void"]
    if whole.get("seal") != _seal(body):
        raise ValueError("changed since it was written: its seal does not fit")
    return str(schema), body


def _read(path: Path, body: dict[str, Any]) -> Calibration:
    volume, u = float(body["volume_20c_m3"]), float(body["standard_uncertainty_m3"])
    if not (math.isfinite(volume) and math.isfinite(u) and volume > 0 and u > 0):
        raise ValueError("its volume is not a volume")
    texts = [body[key] for key in ("bottle", "content_digest", "sheet", "observer")]
    if not all(isinstance(text, str) for text in texts):
        raise ValueError("a name in it is not text")
    bottle, digest, sheet, observer = texts
    kept_empty = body.get("empty_kg")
    empty = NOT_KEPT if kept_empty is None else Estimate(float(kept_empty[0]), float(kept_empty[1]))
    return Calibration(
        bottle=bottle,
        on=date.fromisoformat(body["date"]),
        volume=Estimate(volume, u),
        digest=digest,
        sheet=sheet,
        observer=observer,
        path=str(path),
        empty=empty,
    )


def empty_since_last(bench: BottleBench, document: Document) -> Finding | None:
    """The notice where the empty bottle changed since its last other kept calibration; None where it did not
    or none is kept.
    """
    digest = content_digest(document)
    others = [
        each
        for each in kept().of(bench.sheet.id)
        if each.digest != digest and not each.void and isinstance(each.empty, Estimate)
    ]
    last = max(others, key=lambda each: (each.on, each.digest), default=None)
    if last is None or not isinstance(last.empty, Estimate):
        return None
    return empty_change(bench.result.readings.empty, last.empty, last.on.isoformat())
