"""Findings with their place in a record, and with the line and column of its file."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import TypeAlias

from planner.quantities.errors import Finding, Severity, closest
from planner.records.document import Document, Location

Located: TypeAlias = tuple[Location, Finding]


def found(
    location: Location,
    code: str,
    message: str,
    needed: str = "",
    hint: str = "",
    severity: Severity = "refused",
) -> Located:
    """A finding with the place in the record it belongs to."""
    return location, Finding(code, message, needed, hint, severity=severity)


def notice(location: Location, code: str, message: str, needed: str = "", hint: str = "") -> Located:
    """`found` of what does not keep anything from being computed."""
    return found(location, code, message, needed, hint, "notice")


def unknown(
    here: Location, asked: Iterable[str], known: Collection[str], code: str, kind: str, owner: str = ""
) -> Iterator[Located]:
    """A finding for every name asked for that is not `known`, with the nearest that is. It is no `kind`, or
    none that `owner` has. Names that are keys stand below `here`, others at it.
    """
    for name in asked:
        if name not in known:
            message = f"{owner} has no {kind} '{name}'" if owner else f"'{name}' is not a {kind}"
            location = (*here, name) if isinstance(asked, Mapping) else here
            yield found(location, code, message, hint=closest(name, known))


def place_all(document: Document, located: Iterable[Located]) -> tuple[Finding, ...]:
    """Findings with the document's line and column."""
    return tuple(document.place(finding, location) for location, finding in located)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in the order of the file."""
    return tuple(sorted(findings, key=lambda finding: (finding.line, finding.column)))
