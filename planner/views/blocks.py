"""What a result is told in: headings, sentences, tables, panels and pictures, known to no medium.

A result becomes blocks once; terminal, HTML and paper each show the same blocks in their own way.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from rich.console import Console

INDENT: Final = "  "
Parts = list[tuple[str, str]]  # one line as (text, style) pieces
# A style is one of: nothing, bold, dim, and green, yellow, red or cyan, each alone or after `bold`. What a
# colour says is said in words too.


@dataclass(frozen=True, slots=True)
class Heading:
    """The title of what follows."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text. `first` and `rest` indent its first and its other lines where lines are made of
    characters.
    """

    text: str
    style: str = ""
    first: str = INDENT
    rest: str = INDENT


@dataclass(frozen=True, slots=True)
class Bullets:
    """Texts of equal rank, a mark before each; `boxes` to tick by hand instead of marks."""

    texts: tuple[str, ...]
    style: str = ""
    boxes: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: header (a newline starts a second line) and unit of all its cells.

    `figures` are right-aligned and never wrapped; a `beside` column stands beside the row's title when rows
    are stacked.
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
    """Cells of a table row as text, a style for the whole row or for one cell, and a note told under the
    table.
    """

    cells: Sequence[str]
    style: str = ""
    styles: dict[int, str] = field(default_factory=dict)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under columns. A row of one cell is the title of the rows after it."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]

    @property
    def notes(self) -> tuple[tuple[str, str], ...]:
        """The notes of the rows, each after what its row is about."""
        return tuple((row.cells[0], row.note) for row in self.rows if row.note)


@dataclass(frozen=True, slots=True)
class Panel:
    """What must not be overlooked: a verdict, cautions. `texts` are loud, in `style`; `beside` says quietly
    what they rest on.
    """

    title: str
    texts: tuple[str, ...]
    style: str = ""
    beside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing: `signs(width, unicode)` gives lines of characters and what is to be said under them;
    `drawn(width, height, size of letters)` the same as SVG elements, where there is one, with `legend` under
    it and `label` for those who do not see it.
    """

    signs: Callable[[int, bool], tuple[list[Parts], list[str]]]
    drawn: Callable[[float, float, float], str] | None = None
    legend: Callable[[], str] = str
    label: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One line as it is, never broken: something to write on, or nothing."""

    text: str = ""


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines to be filled in by hand, each with what belongs there."""

    labels: tuple[str, ...]


Block = Heading | Paragraph | Bullets | Table | Panel | Picture | Line | Signatures


class Page:
    """Collects blocks; with a console each is shown there as it comes, so that a long result can be read
    while it grows.
    """

    def __init__(self, console: Console | None = None) -> None:
        self.blocks: list[Block] = []
        self.console = console

    def add(self, block: Block) -> None:
        """One block more."""
        self.blocks.append(block)
        if self.console is not None:
            from planner.views.terminal import (
                show,
            )  # late: a caller that only wants JSON or a sheet never loads rich

            show(block, self.console)

    def heading(self, text: str) -> None:
        """A title."""
        self.add(Heading(text))

    def paragraph(self, text: str, style: str = "", first: str = INDENT, rest: str = INDENT) -> None:
        """Running text."""
        self.add(Paragraph(text, style, first, rest))

    def bullets(self, texts: Sequence[str], style: str = "") -> None:
        """Texts of equal rank."""
        if texts:
            self.add(Bullets(tuple(texts), style))

    def table(self, columns: Sequence[Column], rows: Sequence[Row]) -> None:
        """Rows under columns."""
        self.add(Table(tuple(columns), tuple(rows)))

    def panel(self, title: str, texts: Sequence[str], style: str, beside: Sequence[str] = ()) -> None:
        """Texts in a frame."""
        self.add(Panel(title, tuple(texts), style, tuple(beside)))

    def line(self, text: str = "") -> None:
        """One line as it is; an empty one parts."""
        self.add(Line(text))


def joined(parts: Sequence[tuple[str, str]]) -> Parts:
    """Neighbouring pieces (text, style) of one style as one piece."""
    result: Parts = []
    for text, style in parts:
        if result and result[-1][1] == style:
            result[-1] = (result[-1][0] + text, style)
        else:
            result.append((text, style))
    return result


def table_under(blocks: Sequence[Block], heading: str) -> Table:
    """The first table under a heading. Raises StopIteration where there is none."""
    after = iter(blocks)
    next(block for block in after if isinstance(block, Heading) and block.text == heading)
    return next(block for block in after if isinstance(block, Table))
