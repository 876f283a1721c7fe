"""Lines on a page of known width: headings, paragraphs, and tables that become stacked lines where they do not fit.

A ready-made table shortens a cell that does not fit; a figure must never be shortened or broken, so the layout is our own.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, TextIO

if TYPE_CHECKING:
    from rich.console import Console

INDENT: Final = "  "
_GAP: Final = "  "
_WIDEST_PARAGRAPH: Final = 110
_LEAST_TEXT: Final = 16  # a text column narrower than this reads worse than stacked lines
# A figure stays on one line with its unit and with the name of what it measures.
_UNITS: Final = r"(?:kg|g|L|mL|mm|cm|m|in|lb|min|h|degC|degF|K|USgal|impgal|kg/L|kg/m3|g/cm3|lb/USgal|lb/impgal|kg\.m|lb\.in|L/h|USgal/h|impgal/h)\b"
_GLUE: Final = re.compile(rf"(?<=\d) (?={_UNITS}|%)|(?<=\bh) (?=\d)|(?<=\b[kU]) (?=[=<\d])|(?<==) (?=\d)|(?<=\b(?:CFR|CAR)) (?=\d)")
_ASCII: Final = str.maketrans({"±": "+/-", "×": "x", "–": "-", "—": "-", "…": "...", "ρ": "rho", "α": "alpha", "Δ": "d", "·": "."})


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: header (a newline starts a second line) and unit of all its cells.

    `figures` are right-aligned and never wrapped; a `beside` column stands beside the row's title when rows are stacked.
    """

    header: str
    unit: str = ""
    figures: bool = True
    beside: bool = False

    @property
    def head(self) -> list[str]:
        """The header's lines, the unit last."""
        return [*self.header.split("\n"), *([self.unit] if self.unit else [])]


@dataclass(frozen=True, slots=True)
class Row:
    """Cells of a table row as text, a style for the whole row or for one cell, and a note on a line of its own."""

    cells: Sequence[str]
    style: str = ""
    styles: dict[int, str] = field(default_factory=dict)
    note: str = ""


def wrap(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """`text` in lines not longer than `width`; a figure keeps its unit beside it, hyphens are never broken at."""
    glued = _GLUE.sub("\xa0", text)
    lines = textwrap.wrap(glued, max(width, 12), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
    return [line.replace("\xa0", " ") for line in lines]


def joined(parts: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Neighbouring parts (text, style) of one style as one part."""
    result: list[tuple[str, str]] = []
    for text, style in parts:
        if result and result[-1][1] == style:
            result[-1] = (result[-1][0] + text, style)
        else:
            result.append((text, style))
    return result


@dataclass(frozen=True, slots=True)
class PlainConsole:
    """Where text goes when nothing can be styled: a pipe or a file. Stands in for a rich console, whose import costs more than a plan."""

    file: TextIO
    width: int

    @property
    def encoding(self) -> str:
        """The encoding of the stream."""
        return self.file.encoding or "utf-8"

    def print(self, text: str) -> None:
        """One line."""
        self.file.write(f"{text}\n")


class Page:
    """Writes styled lines to a rich console, none longer than it is wide and none with a control character from a file."""

    def __init__(self, console: Console | PlainConsole) -> None:
        self.console = console
        self.width = max(console.width, 20)
        self.unicode = console.encoding.lower().startswith("utf")

    def parts(self, parts: Sequence[tuple[str, str]]) -> None:
        """One line of (text, style) parts."""
        if isinstance(self.console, PlainConsole):
            self.console.print("".join(self._safe(text) for text, _ in parts).rstrip())
            return
        from rich.text import Text  # late: a caller that only wants JSON or plain text never loads it

        line = Text(no_wrap=True, overflow="fold")
        for text, style in parts:
            line.append(self._safe(text), style or None)
        line.rstrip()
        self.console.print(line, soft_wrap=True)

    def line(self, text: str = "", style: str = "") -> None:
        """One line in one style."""
        self.parts([(text, style)])

    def heading(self, text: str) -> None:
        """A blank line and a heading in capitals, so that it stands out without colour too."""
        self.line()
        self.paragraph(text.upper(), "bold cyan", first="", rest="")

    def paragraph(self, text: str, style: str = "", first: str = INDENT, rest: str = INDENT) -> None:
        """Wrapped text."""
        for line in wrap(text, min(self.width, _WIDEST_PARAGRAPH), first, rest):
            self.line(line, style)

    def bullets(self, texts: Sequence[str], style: str = "") -> None:
        """Wrapped texts with a dash before each."""
        for text in texts:
            self.paragraph(text, style, first=f"{INDENT}- ", rest=f"{INDENT}  ")

    def table(self, columns: Sequence[Column], rows: Sequence[Row]) -> None:
        """A table, or one block of `header figure` pairs per row where the figures would not fit side by side.

        A row of one cell is the title of the rows after it.
        """
        widths = _widths(columns, [row for row in rows if len(row.cells) > 1], self.width - len(INDENT))
        if widths is None:
            for row in rows:
                if len(row.cells) == 1:
                    self.line(INDENT + row.cells[0], row.style)
                else:
                    self._stacked(columns, row)
            return
        heads = [column.head for column in columns]
        depth = max(len(head) for head in heads)
        for level in range(depth):
            cells = [head[level - depth + len(head)] if level >= depth - len(head) else "" for head in heads]
            self._aligned(columns, widths, cells, ["dim"] * len(columns))
        for row in rows:
            if len(row.cells) == 1:
                self.line(INDENT + row.cells[0], row.style)
            else:
                self._row(columns, widths, row)

    def _row(self, columns: Sequence[Column], widths: Sequence[int], row: Row) -> None:
        wrapped = [[cell] if column.figures else wrap(cell, width) or [""] for column, width, cell in zip(columns, widths, row.cells, strict=True)]
        styles = [row.styles.get(index, row.style) for index in range(len(columns))]
        for level in range(max(len(lines) for lines in wrapped)):
            self._aligned(columns, widths, [lines[level] if level < len(lines) else "" for lines in wrapped], styles)
        if row.note:
            self.paragraph(row.note, "dim", first=INDENT * 2, rest=INDENT * 2)

    def _aligned(self, columns: Sequence[Column], widths: Sequence[int], cells: Sequence[str], styles: Sequence[str]) -> None:
        parts = [(INDENT, "")]
        for column, width, cell, style in zip(columns, widths, cells, styles, strict=True):
            space = " " * (width - _cells(cell))
            parts += [(space, ""), (cell, style), (_GAP, "")] if column.figures else [(cell, style), (space + _GAP, "")]
        self.parts(parts)

    def _stacked(self, columns: Sequence[Column], row: Row) -> None:
        width = self.width - 2 * len(INDENT)
        beside = [f": {cell}" for column, cell in zip(columns, row.cells, strict=True) if column.beside and cell]
        style = next((row.styles.get(index, "") for index, column in enumerate(columns) if column.beside), "")
        self.paragraph("".join([row.cells[0], *beside]), style or row.style or "bold", rest=INDENT * 2)
        current: list[tuple[str, str]] = []
        used = 0
        for index, (column, cell) in enumerate(zip(columns, row.cells, strict=True)):
            if not index or not cell or column.beside:
                continue
            text = " ".join(part for part in (column.header.replace("\n", " "), cell, column.unit) if part)
            if current and used + len(_GAP) + _cells(text) > width:
                self.parts([(INDENT * 2, ""), *current])
                current, used = [], 0
            if _cells(text) > width:
                self.paragraph(text, row.style, first=INDENT * 2, rest=INDENT * 3)
                continue
            used += _cells(text) + len(_GAP) * bool(current)
            current += [(_GAP, "")] * bool(current) + [(text, row.styles.get(index, row.style))]
        if current:
            self.parts([(INDENT * 2, ""), *current])
        if row.note:
            self.paragraph(row.note, "dim", first=INDENT * 2, rest=INDENT * 2)

    def _safe(self, text: str) -> str:
        """No control character of a file reaches the terminal, and no sign its encoding lacks."""
        clean = "".join(sign if sign.isprintable() else "?" for sign in text)
        return clean if self.unicode else clean.translate(_ASCII).encode("ascii", "replace").decode("ascii")


def _cells(text: str) -> int:
    if text.isascii():
        return len(text)
    from rich.cells import cell_len  # late, as above

    return cell_len(text)


def _widths(columns: Sequence[Column], rows: Sequence[Row], width: int) -> list[int] | None:
    """The width of every column, or None where the figures leave the text too little room."""
    natural, least = [], []
    for index, column in enumerate(columns):
        head = max(_cells(part) for part in column.head)
        body = [row.cells[index] for row in rows]
        natural.append(max([head, *(_cells(cell) for cell in body)]))
        words = [_cells(word) for cell in body for word in cell.split(" ")]
        least.append(natural[-1] if column.figures else min(natural[-1], max([head, _LEAST_TEXT, *words])))
    room = width - len(_GAP) * (len(columns) - 1)
    if sum(least) > room:
        return None
    spare = room - sum(least)
    result = list(least)
    for index in sorted(range(len(columns)), key=lambda i: natural[i] - least[i]):
        extra = min(natural[index] - least[index], spare)
        result[index] += extra
        spare -= extra
    return result
