"""What a result is told in: headings, sentences, tables, panels and pictures, known to no medium.

A result becomes blocks once; terminal, HTML and paper each show the same blocks in their own way. Tables,
panels, pictures and lists have an id where somebody may look for them (`found`); in HTML it is the element's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import field, replace
from typing import TYPE_CHECKING, Final, Protocol, TypeVar, cast

from planner.facts.cautions import INVENTED
from planner.quantities.frozen import frozen
from planner.quantities.sentences import finding_line

if TYPE_CHECKING:
    from planner.quantities.errors import Finding
    from planner.quantities.units import Dimension, Display

INDENT: Final = "  "
Parts = list[tuple[str, str]]  # one line as (text, style) pieces
# A style is one of: nothing, bold, dim, and green, yellow, red or cyan, each alone or after `bold`. What a
# colour says is said in words too.


@frozen
class Heading:
    """The title of what follows."""

    text: str


@frozen
class Paragraph:
    """Running text. `first` and `rest` indent its first and its other lines where lines are made of
    characters.
    """

    text: str
    style: str = ""
    first: str = INDENT
    rest: str = INDENT


@frozen
class Bullets:
    """Texts of equal rank, a mark before each; `boxes` to tick by hand instead of marks."""

    texts: tuple[str, ...]
    style: str = ""
    boxes: bool = False
    id: str = ""


@frozen
class Column:
    """A column of a table: header (a newline starts a second line) and unit of all its cells.

    `figures` are right-aligned and never wrapped; a `beside` column stands beside the row's title when rows
    are stacked. `of`, `sign` and `extra` decimals say how `Filled` shows a quantity [SI] in it.
    """

    header: str
    unit: str = ""
    figures: bool = True
    beside: bool = False
    of: Dimension | None = None
    sign: bool = False
    extra: int = 0

    @property
    def head(self) -> list[str]:
        """The header's lines, the unit last."""
        return [*self.header.split("\n"), *([self.unit] if self.unit else [])]


def columns(*told: str | Column) -> list[Column]:
    """Columns as one line, such as `tank: words | usable: volume | most: +mass.1 | time [min]`.

    Each is its head (perhaps with the unit of all its cells) and, after a colon, what is in it: `words`, a
    dimension - with `+` signed, with `.1` to one decimal more - or nothing of these where the figures are
    texts. What a user named is no such line but a column given as it is.
    """
    found: list[Column] = []
    for each in told:
        found += [each] if isinstance(each, Column) else map(_column, each.split(" | "))
    return found


def _column(told: str) -> Column:
    named, _, kind = told.partition(": ")
    (header, _, unit), (kind, _, extra) = named.partition(" ["), kind.partition(".")
    if kind in ("", "words", "beside"):
        return Column(header, unit.rstrip("]"), not kind, kind == "beside")
    dimension = cast("Dimension", kind.lstrip("+"))
    return Column(header, of=dimension, sign=kind.startswith("+"), extra=int(extra or 0))


VERDICT: Final = "verdict: beside"


def in_figures(*heads: str) -> list[Column]:
    """Columns of figures, alike but for their heads."""
    return [Column(head) for head in heads]


@frozen
class Row:
    """Cells of a table row as text, a style for the whole row or for one cell, and a note told under the
    table.
    """

    cells: Sequence[str]
    style: str = ""
    styles: dict[int, str] = field(default_factory=dict)
    note: str = ""


@frozen
class Table:
    """Rows under columns. A row of one cell is the title of the rows after it. A `large` table is read from
    a wall: even columns with rules between them, bigger figures.
    """

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    id: str = ""
    large: bool = False

    @property
    def heads(self) -> list[str]:
        """The headers of all columns, a line under the other in each."""
        return ["\n".join(column.head) for column in self.columns]

    @property
    def words(self) -> list[int]:
        """The columns of words, by their number."""
        return [at for at, column in enumerate(self.columns) if not column.figures]

    @property
    def notes(self) -> tuple[tuple[str, str], ...]:
        """The notes of the rows, each after what its row is about."""
        return tuple((row.cells[0], row.note) for row in self.rows if row.note)


class Filled:
    """A table being filled, with quantities in SI that are shown in a reader's units."""

    def __init__(self, display: Display, *told: str | Column) -> None:
        self.display, self.rows = display, list[Row]()
        self.columns = tuple(
            each if each.of is None else replace(each, unit=display.unit(each.of)) for each in columns(*told)
        )

    def add(
        self,
        *cells: str | float | None,
        style: str = "",
        styles: Mapping[int, str] | None = None,
        note: str = "",
    ) -> None:
        """One row more: texts as they are, quantities in their column's unit, nothing where there is None
        and at the end.
        """
        texts = [
            (
                cell or ""
                if isinstance(cell, str | None)
                else self.display.number(cell, column.of or "ratio", column.extra, column.sign)
            )
            for cell, column in zip(cells, self.columns, strict=False)
        ]
        self.rows.append(
            Row([*texts, *[""] * (len(self.columns) - len(texts))], style, dict(styles or {}), note)
        )

    def made(self, id: str = "") -> Table:  # noqa: A002
        """The table."""
        return Table(self.columns, tuple(self.rows), id)


@frozen
class Panel:
    """What must not be overlooked: a verdict, cautions. `texts` are loud, in `style`; `beside` says quietly
    what they rest on.
    """

    title: str
    texts: tuple[str, ...]
    style: str = ""
    beside: tuple[str, ...] = ()
    id: str = ""


@frozen
class Picture:
    """A drawing: `signs(width, unicode)` gives lines of characters and what is to be said under them;
    `drawn(width, height, size of letters)` the same as SVG elements, where there is one, with `legend` under
    it and `label` for those who do not see it.
    """

    signs: Callable[[int, bool], tuple[list[Parts], list[str]]]
    drawn: Callable[[float, float, float], str] | None = None
    legend: Callable[[], str] = str
    label: str = ""
    id: str = ""


@frozen
class Line:
    """One line as it is, never broken: something to write on, or nothing."""

    text: str = ""


@frozen
class Signatures:
    """Lines to be filled in by hand, each with what belongs there."""

    labels: tuple[str, ...]


class Shows(Protocol):
    """What shows blocks as they come (`planner.views.terminal.Screen`)."""

    def print(self, *objects: Block) -> None:
        """Show what is given."""


B = TypeVar("B", Bullets, Panel, Picture, Table)
Block = Heading | Paragraph | Bullets | Table | Panel | Picture | Line | Signatures


class Page:
    """Collects blocks; with a console that shows them (`planner.views.terminal.Screen`) each is shown as it
    comes, so that a long result can be read while it grows.
    """

    def __init__(self, console: Shows | None = None) -> None:
        self.blocks: list[Block] = []
        self.console = console

    def add(self, block: Block) -> None:
        """One block more."""
        self.blocks.append(block)
        if self.console is not None:
            self.console.print(block)

    def heading(self, text: str) -> None:
        """A title."""
        self.add(Heading(text))

    def title(self, text: str) -> None:
        """What all that follows is about."""
        self.paragraph(text, "bold", first="")

    def paragraph(self, text: str, style: str = "", first: str = INDENT, rest: str = INDENT) -> None:
        """Running text."""
        self.add(Paragraph(text, style, first, rest))

    def bullets(self, texts: Sequence[str], style: str = "", id: str = "") -> None:  # noqa: A002 - as in HTML
        """Texts of equal rank."""
        if texts:
            self.add(Bullets(tuple(texts), style, id=id))

    def notices(self, texts: Sequence[str], style: str = "yellow", title: str = "Notices") -> None:
        """What is to be noticed, if anything."""
        if texts:
            self.heading(title)
            self.bullets(texts, style, "notices")

    def findings(self, findings: Iterable[Finding], display: Display) -> None:
        """What was found, each with its place and cure."""
        self.notices([finding_line(finding, display) for finding in findings])

    def table(
        self,
        told: str | Sequence[str | Column],
        rows: Iterable[Row | Sequence[str]],
        id: str = "",  # noqa: A002
    ) -> None:
        """Rows under columns; a row may be its cells alone."""
        heads = columns(*([told] if isinstance(told, str) else told))
        self.add(
            Table(tuple(heads), tuple(each if isinstance(each, Row) else Row(each) for each in rows), id)
        )

    def panel(
        self,
        title: str,
        texts: Sequence[str],
        style: str,
        beside: Sequence[str] = (),
        id: str = "",  # noqa: A002
    ) -> None:
        """Texts in a frame."""
        self.add(Panel(title=title, texts=tuple(texts), style=style, beside=tuple(beside), id=id))

    def caution(self, texts: Sequence[str], title: str = "Caution", invented: bool = False) -> None:
        """What a user is to beware of, loud; that the data are `invented` before all else."""
        self.panel(title, [INVENTED, *texts] if invented else texts, "bold yellow", id=title.lower())

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


def found(blocks: Sequence[Block], kind: type[B], id: str) -> B:  # noqa: A002
    """The first block of a kind with that id. Raises StopIteration where there is none."""
    return next(block for block in blocks if isinstance(block, kind) and getattr(block, "id", "") == id)
