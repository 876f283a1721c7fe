"""Blocks on a terminal or in a pipe, by rich: tables, panels and text at the console's width.

rich cuts a cell that does not fit; a figure must never be cut, so a table too wide for the page becomes one
entry per row.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from typing import Any, Final

from rich.box import Box
from rich.cells import cell_len
from rich.console import Console, Group, RenderableType
from rich.panel import Panel as Frame
from rich.segment import Segment, Segments
from rich.table import Table as Grid
from rich.text import Text

from planner.quantities.frozen import frozen
from planner.views.blocks import (
    INDENT,
    Block,
    Bullets,
    Heading,
    Line,
    Panel,
    Paragraph,
    Picture,
    Row,
    Signatures,
    Table,
)
from planner.views.columns import Column
from planner.views.terminal.text import GLUE, GLUED, WIDEST_PARAGRAPH, Lines, Pieces, Words, safe

_NARROWEST: Final = 20
_LEAST_TEXT: Final = 16  # a text column narrower than this reads worse than stacked lines
_GAP: Final = 2
_ENDLESS: Final = 10_000  # columns: for lines that are never broken


def _ruled(sign: str, *lines: int) -> Box:
    """A box of rich with rules and no sides, so that a sentence in it can be searched for and copied: 0
    above, 2 under the heads, 7 below.
    """
    return Box(
        "\n".join(f" {sign * 2} " if line in lines else "    " for line in range(8)), ascii=sign.isascii()
    )


class Screen(Console):
    """A console that also shows blocks; a text is cleaned of what a terminal takes for a command."""

    def print(self, *objects: Any, **how: Any) -> None:
        unicode = self.encoding.lower().startswith("utf")
        if all(isinstance(each, Block) for each in objects):
            show(objects, self)
            return
        for each in objects:
            if isinstance(each, str):
                super().print("\n".join(safe(line, unicode) for line in each.split("\n")), **how)
            else:
                super().print(each, **how)


def show(blocks: Iterable[Block], console: Console) -> None:
    """Print blocks; no line is longer than the console is wide (20 columns at least) or ends in spaces."""
    view = _View(console.encoding.lower().startswith("utf"), max(console.width, _NARROWEST))
    segments: list[Segment] = []
    asked = console.options.update(height=None)
    for block in blocks:
        indent = [Segment(INDENT)] if isinstance(block, Table) else []
        width = _ENDLESS if isinstance(block, (Line, Signatures)) else view.width - len(INDENT) * len(indent)
        for line in Segment.split_lines(console.render(view.made(block), asked.update_width(width))):
            while line and not line[-1].text.rstrip():
                line.pop()
            if line:
                line[-1] = Segment(line[-1].text.rstrip(), line[-1].style)
                segments += [*indent, *line]
            segments.append(Segment.line())
    console.print(Segments(segments), end="", crop=False, overflow="ignore", no_wrap=True)


def as_text(blocks: Iterable[Block], width: int) -> str:
    """Blocks as plain text of that width."""
    stream = io.StringIO()
    plain: dict[str, Any] = {"color_system": None, "highlight": False, "emoji": False, "markup": False}
    Screen(file=stream, width=width, **plain).print(*blocks)
    return stream.getvalue()


@frozen
class _View:
    """Blocks as what rich prints, for one console."""

    unicode: bool
    width: int

    def made(self, block: Block) -> RenderableType:
        """The block as a renderable of rich."""
        match block:
            case Heading():
                return Group("", self.words(block.text.upper(), "bold cyan"))
            case Paragraph():
                return self.words(block.text, block.style, block.first, block.rest)
            case Bullets():
                marks = f"{INDENT}- ", f"{INDENT}  "
                return Lines([self.words(text, block.style, *marks) for text in block.texts])
            case Table():
                return self.table(block)
            case Panel():
                return self.panel(block)
            case Picture():
                lines, notes = block.signs(self.width, self.unicode)
                return Group(
                    *(self.line(parts) for parts in lines),
                    *(self.words(note, "", INDENT, INDENT) for note in notes),
                )
            case Line():
                return self.line([(block.text, "")])
            case Signatures():
                ruled = (self.line([(f"{INDENT}{label}: {'_' * 30}", "")]) for label in block.labels)
                return Group(*(part for line in ruled for part in ("", line)))

    def line(self, parts: Sequence[tuple[str, str]]) -> Pieces:
        """Pieces in a line that is not broken."""
        return Pieces([(safe(text, self.unicode), style) for text, style in parts])

    def text(self, text: str) -> str:
        """Running text with its figures held together."""
        return GLUE.sub(GLUED, safe(text, self.unicode))

    def words(
        self, text: str, style: str = "", first: str = "", rest: str = "", right: bool = False
    ) -> Words:
        """Running text that may be broken between its figures."""
        return Words(self.text(text), style, first, rest, right)

    def panel(self, panel: Panel) -> RenderableType:
        """A frame in the style of what it says, heavy where that is no good news, so that it is seen without
        colour too.
        """
        marks = ("- ", "  ") if len(panel.texts) > 1 else ("", "")
        body = Group(
            *(self.words(text, panel.style, *marks) for text in panel.texts),
            *(self.words(text) for text in panel.beside),
        )
        good = "green" in panel.style
        box = _ruled(("─" if good else "━") if self.unicode else ("-" if good else "="), 0, 7)
        title = Text(f" {safe(panel.title.upper(), self.unicode)} ", panel.style)
        width = min(self.width, WIDEST_PARAGRAPH + 4)
        return Group(
            "",
            Frame(
                body,
                title=title,
                title_align="left",
                box=box,
                border_style=panel.style,
                padding=(0, 1),
                width=width,
            ),
        )

    def table(self, table: Table) -> RenderableType:
        """Side by side where every figure fits whole, the widest column of words giving way; else an entry
        per row.
        """
        cells = [row.cells for row in table.rows if len(row.cells) > 1]
        natural, least = [], []
        for index, column in enumerate(table.columns):
            texts = [*column.head, *(safe(row[index], self.unicode) for row in cells)]
            natural.append(max(map(cell_len, texts)))
            words = [] if column.figures else [word for text in texts for word in self.text(text).split(" ")]
            least.append(min(natural[-1], max([_LEAST_TEXT, *map(cell_len, words)])))
        room = self.width - len(INDENT) - _GAP * (len(natural) - 1)
        yielding = max(
            (index for index, column in enumerate(table.columns) if not column.figures),
            key=lambda i: natural[i],
            default=-1,
        )
        if sum(natural) - (natural[yielding] - least[yielding] if yielding >= 0 else 0) > room:
            return Group(*(line for row in table.rows for line in self._entry(table.columns, row)))
        if yielding >= 0:
            natural[yielding] = min(natural[yielding], room - sum(natural) + natural[yielding])
        return self._side_by_side(table, natural)

    def _side_by_side(self, table: Table, widths: Sequence[int]) -> RenderableType:
        # Columns stand two apart: rich parts them by one, the other belongs to the column, as cells with
        # padding of their own are slow.
        grid = Grid(
            box=_ruled("─" if self.unicode else "-", 2), show_edge=False, padding=0, border_style="dim"
        )
        leads = ["" if column.figures or not index else " " for index, column in enumerate(table.columns)]
        deepest = max(len(column.head) for column in table.columns)
        for index, (column, width) in enumerate(zip(table.columns, widths, strict=True)):
            head = [""] * (deepest - len(column.head)) + column.head
            heads = Lines([self.words(text, "dim", leads[index], right=column.figures) for text in head])
            grid.add_column(heads, width=width + (index > 0), no_wrap=column.figures)
        # Rows of one line each, as one row of rich: it takes its time per row and cell.
        stacks: list[list[Words]] = []
        for number, row in enumerate(table.rows):
            each = zip(
                [*row.cells, *[""] * (len(widths) - len(row.cells))], leads, table.columns, strict=True
            )
            words = [
                self.words(cell, row.styles.get(at, row.style), lead, lead, column.figures)
                for at, (cell, lead, column) in enumerate(each)
            ]
            title = len(row.cells) == 1 and number > 0
            if title or not all(
                one.fits(width + (at > 0)) for at, (one, width) in enumerate(zip(words, widths, strict=True))
            ):
                self._add(grid, stacks)
                if title:
                    grid.add_section()
                grid.add_row(*words)
            else:
                stacks.append(words)
        self._add(grid, stacks)
        return Group(
            grid, *(self.words(f"{about}: {note}", "dim", "", INDENT) for about, note in table.notes)
        )

    def _add(self, grid: Grid, stacks: list[list[Words]]) -> None:
        """The rows gathered so far as one row of rich, and none gathered any more."""
        if stacks:
            grid.add_row(*map(Lines, zip(*stacks, strict=True)))
            stacks.clear()

    def _entry(self, columns: Sequence[Column], row: Row) -> Iterable[RenderableType]:
        """The row's title, then `header figure unit` after each other."""
        beside = [cell for column, cell in zip(columns, row.cells, strict=False) if column.beside and cell]
        title = ": ".join([row.cells[0], *beside])
        style = next((row.styles.get(index, "") for index, column in enumerate(columns) if column.beside), "")
        yield self.words(title, style or row.style or "bold", "", INDENT)
        body = Text()
        for index, (column, cell) in enumerate(zip(columns, row.cells, strict=False)):
            if index and cell and not column.beside:
                head = self.text(" ".join([*column.header.split("\n"), ""]))
                figure = self.text(f"{cell} {column.unit}".rstrip())
                if column.figures:
                    figure = figure.replace(" ", GLUED)
                    if cell_len(head) + cell_len(figure) <= self.width - 4 * len(INDENT):
                        head = head.replace(" ", GLUED)
                piece = (figure, row.styles.get(index, row.style))
                body = Text.assemble(body, "  " if body else "", head, piece)
        if body:
            yield Words(body, "", INDENT, INDENT * 2)
        if row.note:
            yield self.words(row.note, "dim", INDENT, INDENT * 2)
