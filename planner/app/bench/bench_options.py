"""Readings of the bench given by options: the sheet they stand for, and what is found in it told at the
options.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

from planner.app.common import refuse_option

if TYPE_CHECKING:
    from planner.density.bench.steps.results import Bench
    from planner.quantities.errors import Finding
    from planner.records.document import Document

OPTIONS: Final = "<options>"
# Where a key of a sheet stands on the command line, with a value to give.
_OPTIONS: Final = {
    "temperature": ("--at", "'20 degC'"),
    "sample_temperature": ("--sample-at", "'20 degC'"),
    "water_temperature": ("--water-at", "'20 degC'"),
    "reference_temperature": ("--reference", "'15 degC'"),
    "glass_correction": ("--correct-glass", "or --no-correct-glass"),
    "calibrated": ("--volume", "'50.55 mL'"),
    "calibrated > date": ("--volume-date", "2026-04-01"),
    "balance": ("--resolution", "'0.01 g'"),
    "balance > uncertainty": ("--balance-uncertainty", "'0.01 g'"),
    "air": ("--altitude", "'120 m'"),
    "air > pressure": ("--pressure", "'1009 hPa'"),
    "air > temperature": ("--air-temperature", "'20 degC'"),
    "air > humidity": ("--humidity", "'55 %'"),
    "batch": ("--batch", "'720 +/- 1 kg/m3'"),
    "batch > at": ("--batch-at", "'15 degC'"),
    "batch > certificate": ("--certificate", "L-7"),
    "cautions_acknowledged": ("--acknowledge-cautions", ""),
    "tared": ("--tared", ""),
    "liquid": ("--liquid", "avgas-100LL"),
    "id": ("--id", "B07"),
    "date": ("--date", "2026-05-09"),
    "empty": ("--empty", "'27.41 g'"),
    "sample": ("--sample", "'63.15 g'"),
    "water": ("--water", "'77.21 g'"),
    "marked": ("--marked", "'50 mL'"),
    "glass": ("--glass", "borosilicate"),
    "thermometer": ("--thermometer", "'0.3 degC'"),
    "reading": ("--reading", "'0.7165 kg/L'"),
    "division": ("--division", "'0.0005 kg/L'"),
    "meniscus": ("--meniscus", "'0.0005 kg/L'"),
    "aircraft": ("--aircraft", "thornlea-t4"),
}
_KEY: Final = re.compile(r"(delete )?'(\w+):([^']*)'")


def _sheet(kind: str, fields: dict[str, Any]) -> Document:
    """Options put together as the sheet they stand for; parts left out are absent."""
    from datetime import date

    from planner.records.document import Document

    def filled(part: dict[str, Any]) -> dict[str, Any]:
        inner = {key: filled(value) if isinstance(value, dict) else value for key, value in part.items()}
        return {key: value for key, value in inner.items() if value is not None and value != {}}

    known = filled(fields)
    known.setdefault("date", date.today().isoformat())
    known.setdefault("id", "without a name")
    return Document(OPTIONS, {kind: 1, **known})


def _option(where: str) -> tuple[str, str]:
    """The option of a key, and a value to give."""
    key = where.split(" > ")[0]
    return _OPTIONS.get(where) or _OPTIONS.get(key) or (f"--{key}" if key else "options", "")


def _in_options(text: str) -> str:
    """`'key: value'` of a sheet as the option it is; a sentence without one keeps its quantities."""

    def option(found: re.Match[str]) -> str:
        name, example = _option(found[2])
        value = f"'{found[3].strip()}'" if found[3].strip() and example else example
        return f"{found[1] or ''}{name}{'' if found[1] or not value else f' {value}'}"

    return (
        _KEY.sub(option, text.replace("write 'cautions_acknowledged: true' or ", ""))
        if _KEY.search(text)
        else text
    )


def named(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings of a sheet made of options, at their option, with a value to give."""
    from planner.quantities.sentences import joined

    told = []
    for finding in findings:
        if finding.path == OPTIONS:
            name, example = _option(finding.where)
            needed, hint = _in_options(finding.needed), _in_options(finding.hint)
            if example and " such as '" in needed:
                needed = f"{needed.partition(' such as ')[0]} such as {name} {example}"
            elif example and finding.severity == "refused" and name not in f"{needed} {hint}":
                hint = joined("; ", (hint, f"such as {name} {example}"))
            finding = replace(finding, where="", needed=needed, hint=hint).at(name, 0, 0)
        told.append(finding)
    return tuple(told)


def file_or_options(file: str | None, kind: str, fields: dict[str, Any]) -> Document:
    from planner.records.document import read

    given = [
        key
        for key, value in fields.items()
        if value is not None and not (isinstance(value, dict) and not any(value.values()))
    ]
    if file is None:
        if not given:
            raise refuse_option(
                "FILE",
                "option-missing",
                "no sheet is given",
                f"needed a file, or options; see 'planner density {kind} --help'",
            )
        return _sheet(kind, fields)
    if given:
        option = _option(given[0])[0]
        raise refuse_option(
            option,
            "option-conflict",
            "a sheet and options for its keys are both given",
            "needed one of them",
            "write it into the sheet",
        )
    return read(file)


B = TypeVar("B", bound="Bench")


def kept_as(out: Path | None, bench: B, document: Document) -> B:
    """Readings given by options kept as a sheet, whose path the result then has."""
    if out is None:
        return bench
    if document.path != OPTIONS:
        raise refuse_option(
            "--keep",
            "option-conflict",
            "the readings stand in a sheet already",
            "needed readings by options",
            "leave out --keep",
        )
    from planner.quantities.files import write_new
    from planner.records.edit import spelt

    def text(value: Any) -> str:
        if isinstance(value, dict):
            return "{" + ", ".join(f"{key}: {text(each)}" for key, each in value.items()) + "}"
        return str(value).lower() if isinstance(value, (bool, int)) else spelt(value)

    write_new(out, "".join(f"{key}: {text(value)}\n" for key, value in document.value.items()).encode())
    return replace(bench, path=str(out))
