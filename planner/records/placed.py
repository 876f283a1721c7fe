"""Findings with their place in a record, and with the line and column of its file."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias

from planner.quantities.errors import Finding, Severity
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


def place_all(document: Document, located: Iterable[Located]) -> tuple[Finding, ...]:
    """Findings with the document's line and column."""
    return tuple(document.place(finding, location) for location, finding in located)
