"""Readings of the bench given by options: the sheet they stand for, and what is found in it told at the
options.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from inspect import Parameter
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, TypeVar

import typer

from planner.app.common import refuse_option

if TYPE_CHECKING:
    from planner.density.bench.steps.results import Bench
    from planner.quantities.errors import Finding
    from planner.records.document import Document

OPTIONS: Final = "<options>"
# Where a key of a sheet stands on the command line, with a value to give; in the order of a sheet.
_OPTIONS: Final = {
    "liquid": ("--liquid", "avgas-100LL"),
    "id": ("--id", "B07"),
    "date": ("--date", "2026-05-09"),
    "place": ("--place", ""),
    "observer": ("--observer", ""),
    "aircraft": ("--aircraft", "thornlea-t4"),
    "cautions_acknowledged": ("--acknowledge-cautions", ""),
    "empty": ("--empty", "'27.41 g'"),
    "tared": ("--tared", ""),
    "water": ("--water", "'77.21 g'"),
    "sample": ("--sample", "'63.15 g'"),
    "marked": ("--marked", "'50 mL'"),
    "glass": ("--glass", "borosilicate"),
    "thermometer": ("--thermometer", "'0.3 degC'"),
    "reading": ("--reading", "'0.7165 kg/L'"),
    "temperature": ("--at", "'20 degC'"),
    "sample_temperature": ("--sample-at", "'20 degC'"),
    "water_temperature": ("--water-at", "'20 degC'"),
    "reference_temperature": ("--reference", "'15 degC'"),
    "glass_correction": ("--correct-glass", "or --no-correct-glass"),
    "meniscus": ("--meniscus", "'0.0005 kg/L'"),
    "division": ("--division", "'0.0005 kg/L'"),
    "calibrated > volume": ("--volume", "'50.55 mL'"),
    "calibrated > date": ("--volume-date", "2026-04-01"),
    "balance > resolution": ("--resolution", "'0.01 g'"),
    "balance > uncertainty": ("--balance-uncertainty", "'0.01 g'"),
    "air > altitude": ("--altitude", "'120 m'"),
    "air > pressure": ("--pressure", "'1009 hPa'"),
    "air > temperature": ("--air-temperature", "'20 degC'"),
    "air > humidity": ("--humidity", "'55 %'"),
    "batch > density": ("--batch", "'720 +/- 1 kg/m3'"),
    "batch > at": ("--batch-at", "'15 degC'"),
    "batch > certificate": ("--certificate", "L-7"),
}
_KEY: Final = re.compile(r"(delete )?'(\w+):([^']*)'")


def parameters(words: Mapping[str, str]) -> list[Parameter]:
    """The options of keys of a sheet, by their words in the help."""
    return [_parameter(where, told) for where, told in words.items()]


def _parameter(where: str, words: str) -> Parameter:
    flag = _OPTIONS[where][0]
    kind, default = (bool, False) if where == "tared" else (str | None, None)
    if where == "glass_correction":
        flag, kind = f"{flag}/--no{flag[1:]}", bool | None
    told = Annotated[kind, typer.Option(flag, help=words)]  # type: ignore[valid-type]
    name = where.replace(" > ", "_of_")
    return Parameter(name, Parameter.POSITIONAL_OR_KEYWORD, default=default, annotation=told)


def _given(options: Mapping[str, Any]) -> dict[str, Any]:
    """What options say, as a sheet would have it, in the order of one; what was left out is absent."""
    sheet: dict[str, Any] = {}
    for where in _OPTIONS:
        value = options.get(where.replace(" > ", "_of_"))
        if value is not None and (value is not False or where == "glass_correction"):
            *around, key = where.split(" > ")
            (sheet.setdefault(around[0], {}) if around else sheet)[key] = value
    return sheet


def _option(where: str) -> tuple[str, str]:
    """The option of a key, and a value to give; of a key that holds others, that of the first."""
    head = where.split(" > ")[0]
    same = (row for held, row in _OPTIONS.items() if held.split(" > ")[0] == head)
    return _OPTIONS.get(where) or next(same, (f"--{head}" if head else "options", ""))


def _in_options(text: str) -> str:
    """`'key: value'` of a sheet as the option it is; a sentence without one keeps its quantities."""

    def option(found: re.Match[str]) -> str:
        name, example = _option(found[2])
        value = f"'{found[3].strip()}'" if found[3].strip() and example else example
        return f"{found[1] or ''}{name}{'' if found[1] or not value else f' {value}'}"

    shorter = text.replace("write 'cautions_acknowledged: true' or ", "")
    return _KEY.sub(option, shorter) if _KEY.search(text) else text


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


def file_or_options(file: str | None, kind: str, options: Mapping[str, Any]) -> Document:
    """The file, or the sheet that options stand for."""
    from datetime import date

    from planner.records.document import Document, read

    given = _given(options)
    if file is None:
        if not given:
            needed = f"needed a file, or options; see 'planner density {kind} --help'"
            raise refuse_option("FILE", "option-missing", "no sheet is given", needed)
        defaults = {"date": date.today().isoformat(), "id": "without a name"}
        absent = {key: each for key, each in defaults.items() if key not in given}
        return Document(OPTIONS, {kind: 1, **given, **absent})
    if given:
        option, message = _option(next(iter(given)))[0], "a sheet and options for its keys are both given"
        hint = "write it into the sheet"
        raise refuse_option(option, "option-conflict", message, "needed one of them", hint)
    return read(file)


B = TypeVar("B", bound="Bench")


def kept_as(out: Path | None, bench: B, document: Document) -> B:
    """Readings given by options kept as a sheet, whose path the result then has."""
    if out is None:
        return bench
    if document.path != OPTIONS:
        message, needed = "the readings stand in a sheet already", "needed readings by options"
        raise refuse_option("--keep", "option-conflict", message, needed, "leave out --keep")
    from planner.quantities.files import write_new
    from planner.records.edit import spelt

    def text(value: Any) -> str:
        if isinstance(value, dict):
            return "{" + ", ".join(f"{key}: {text(each)}" for key, each in value.items()) + "}"
        return str(value).lower() if isinstance(value, (bool, int)) else spelt(value)

    write_new(out, "".join(f"{key}: {text(value)}\n" for key, value in document.value.items()).encode())
    return replace(bench, path=str(out))
