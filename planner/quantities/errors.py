"""Findings: what is wrong with an input, as a value a program or a person can act on."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Final, Literal

from planner.quantities.frozen import frozen

Severity = Literal["refused", "notice"]
_LONGEST_VALUE: Final = 120  # letters of a value repeated in a message
_LONGEST_PART: Final = 600  # letters of a part of a message
_QUOTED: Final = rf"'[^']{{{_LONGEST_VALUE},}}'"
_SPACES: Final = "\u00a0\u2009\u202f"  # of typography


def visible(text: str, kept: str = "") -> str:
    """A text in which every sign is seen and none commands: control, bidirectional and zero-width signs are
    `?`, except those of `kept`.
    """
    if text.isprintable():
        return text
    kept += _SPACES
    return "".join(sign if sign.isprintable() or sign in kept else "?" for sign in text)


def spreadsheet_text(text: str) -> str:
    """A cell of a CSV file that a spreadsheet shows as text: what it would take for a formula gets an
    apostrophe before it. Figures stay figures.
    """
    if text[:1] in ("=", "+", "-", "@", "'", "\t", "\r"):
        try:
            float(text)
        except ValueError:
            return f"'{text}"
    return text


def shortened(text: str) -> str:
    """A part of a message with what is long in it cut in its middle."""
    if len(text) <= _LONGEST_VALUE:
        return text
    text = re.sub(
        _QUOTED, lambda found: f"{found[0][:60]}…{found[0][-30:]} ({len(found[0]) - 2} letters)", text
    )
    return text if len(text) <= _LONGEST_PART else f"{text[:400]} … {text[-150:]}"


@frozen
class Finding:
    """One thing found in an input: where it stands, what is wrong, what was needed, how to mend it.

    `severity` is `refused` (nothing is computed) or `notice` (the plan is computed and the finding
    shown with it). Every `code` is explained in docs/findings.md.
    """

    code: str
    message: str
    needed: str = ""
    hint: str = ""
    where: str = ""
    path: str = ""
    line: int = 0
    column: int = 0
    severity: Severity = "refused"

    def __str__(self) -> str:
        # An option of the command line, or a file as a whole, has no line and column.
        mark = f":{self.line}:{self.column}" if self.line and not self.path.startswith("--") else ""
        place = f"{shortened(self.path) or '<input>'}{mark}: "
        where = f"{shortened(self.where)}: " if self.where else ""
        parts = (shortened(part) for part in (self.message, self.needed, self.hint) if part)
        line = place + where + "; ".join(parts)
        # Text of the file may hold line breaks or a terminal's commands: a finding is one harmless line.
        return (
            line
            if line.isprintable()
            else "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in line)
        )

    def at(self, path: str, line: int, column: int, where: str = "") -> Finding:
        """The same finding with its place filled in."""
        return replace(self, path=path, line=line, column=column, where=where or self.where)

    def as_json(self) -> dict[str, object]:
        """The finding as the JSON contract spells it: plain text, metric."""
        return {
            "path": shortened(self.path),
            "line": max(self.line, 1),  # what has no line of its own, such as an option, counts as the first
            "column": max(self.column, 1),
            "where": shortened(self.where),
            "message": shortened(str(self.message)),
            "needed": shortened(str(self.needed)),
            "hint": shortened(str(self.hint)),
            "code": self.code,
            "severity": self.severity,
        }


class InputRefused(Exception):
    """Raised at the edge once all findings of an input are known; carries every one of them."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings: tuple[Finding, ...] = tuple(findings)
        super().__init__("\n".join(str(finding) for finding in self.findings))


def refuse_option(option: str, code: str, message: str, needed: str = "", hint: str = "") -> InputRefused:
    """A refusal that stands on an option of the command line, or on a name given to it."""
    return InputRefused([Finding(code, message, needed, hint).at(option, 0, 0)])


class OutOfRange(ValueError):
    """Raised by an engine formula asked for a value outside its stated range of validity."""

    @property
    def words(self) -> str:
        """What it says, with the quantities of a sentence kept; `str(error)` is plain metric text."""
        return self.args[0] if self.args and isinstance(self.args[0], str) else str(self)


def closest(word: str, known: Iterable[str]) -> str:
    """A did-you-mean hint for a misspelt word, or the list of known words where none is near."""
    from difflib import get_close_matches  # imported late: only needed once something is wrong

    names = sorted(str(name) for name in known)
    near = get_close_matches(word, names, n=1, cutoff=0.6)
    if near:
        return f"did you mean '{near[0]}'?"
    return f"known: {', '.join(names)}" if names else ""
