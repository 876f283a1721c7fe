"""The sheet as one fixed page in SVG: laid out by measured text, the type made smaller until everything fits."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from planner.plan.results import Plan
from planner.report.envelope_picture import draw_envelope
from planner.report.sheet import Row, Sheet, Table
from planner.report.svg import FONTS, INK, Drawing, clean, number
from planner.report.type_widths import width, wrap
from planner.units import Display

Paper = Literal["a4", "letter"]
PAPERS: Final[dict[Paper, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # mm; ISO 216 and ANSI Y14.1 A
MARGIN: Final = 9.0  # mm; most printers leave 5 mm or less
FULL_SIZE: Final = 2.8  # mm, about 8 points
LARGEST: Final = 1.14  # of the full size, where there is room
SMALLEST: Final = 0.6  # of the full size, about 4.8 points: below it the page is said to be crowded
_GUTTER: Final = 5.0  # mm between the two columns
_BETWEEN: Final = 0.9  # of the type size, between blocks
_LINE: Final = 1.22  # line height in type sizes
_DARK: Final = "<style>@media (prefers-color-scheme: dark) { svg { color: #eee } .paper { fill: #121212 } }</style>"
Columns = list[tuple[float, float]]  # start and width of every column


@dataclass(frozen=True, slots=True)
class Fit:
    """A finished page and the share of the full type size it needed; `crowded` where it would not fit at the smallest.

    `burn_left` says in which column the table of the burn stands: the one that lets the type be larger.
    """

    markup: str
    scale: float
    crowded: bool
    burn_left: bool


def page(sheet: Sheet, plan: Plan, display: Display, paper: Paper, for_screen: bool = True) -> Fit:
    """The sheet as an SVG document of one page.

    Where even the smallest type does not fit, the page is drawn longer and shrunk as a whole: nothing is left out.

    Parameters: `sheet`; `plan` for the picture; `display`; `paper`; `for_screen` adds the rules for a dark screen.
    Raises: nothing.
    """
    wide, high = PAPERS[paper]
    scale = LARGEST
    while True:
        tries = [_Page(sheet, plan, display, FULL_SIZE * scale, wide) for _ in range(2)]
        ends = [each.draw(burn_left) for each, burn_left in zip(tries, (False, True), strict=True)]
        bottom = min(ends)
        drawn, burn_left = tries[ends.index(bottom)], ends.index(bottom) == 1
        if bottom <= high - MARGIN or scale <= SMALLEST:
            break
        scale = max(scale - 0.02, SMALLEST)
    crowded = bottom > high - MARGIN
    stretch = (bottom + MARGIN) / high if crowded else 1.0
    box = f'width="{number(wide)}mm" height="{number(high)}mm" viewBox="0 0 {number(wide * stretch)} {number(high * stretch)}"'
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {box} color="#111" font-family="{FONTS}" role="img">',
        f"<title>{clean(sheet.title)}: {clean(sheet.about)}</title>",
        *([_DARK] if for_screen else []),
        '<rect class="paper" width="100%" height="100%" fill="#fff"/>',
        f'<g transform="translate({number((wide * stretch - wide) / 2)} 0)">',
        drawn.drawing.markup(),
        "</g>\n</svg>\n",
    ]
    markup = "\n".join(lines)
    return Fit(markup, scale / stretch, crowded, burn_left)


class _Page:
    """One attempt at one type size: every method draws from `y` down and gives the `y` below what it drew."""

    def __init__(self, sheet: Sheet, plan: Plan, display: Display, size: float, wide: float) -> None:
        self.sheet, self.plan, self.display, self.size = sheet, plan, display, size
        self.left, self.right = MARGIN, wide - MARGIN
        self.drawing = Drawing()

    def draw(self, burn_left: bool) -> float:
        """The whole page, the table of the burn in the left or the right column; returns where it ends [mm]."""
        sheet = self.sheet
        y = self._head(MARGIN)
        y = self._verdict(y + self.size * 0.4)
        y = self._table(self.left, y, self.right - self.left, sheet.states)
        half = (self.right - self.left - _GUTTER) / 2
        second = self.left + half + _GUTTER
        left: list[Callable[[float], float]] = [
            lambda at: self._table(self.left, at, half, sheet.load),
            lambda at: self._table(self.left, at, half, sheet.fuel),
            lambda at: self._reserve(self.left, at, half),
            lambda at: self._table(self.left, at, half, sheet.burn) if burn_left else at,
            lambda at: self._checks(self.left, at, half),
        ]
        right: list[Callable[[float], float]] = [
            lambda at: self._picture(second, at, half),
            lambda at: at if burn_left else self._table(second, at, half, sheet.burn),
            lambda at: self._table(second, at, half, sheet.changes),
            lambda at: self._sources(second, at, half),
        ]
        y = max(self._column(left, y), self._column(right, y))
        return self._foot(y)

    def _column(self, blocks: Sequence[Callable[[float], float]], y: float) -> float:
        for block in blocks:
            y = block(y)
        return y

    def _lines(self, x: float, y: float, room: float, text: str, size: float, bold: bool = False) -> float:
        for line in wrap(text, size, room, bold):
            y += size * _LINE
            self.drawing.text(x, y - size * 0.25, line, size, bold=bold)
        return y

    def _title(self, x: float, y: float, room: float, text: str) -> float:
        y = self._lines(x, y + self.size * _BETWEEN, room, text, self.size * 1.08, bold=True)
        self.drawing.line(x, y, x + room, y, stroke_width=self.size * 0.09)
        return y + self.size * 0.12

    def _head(self, y: float) -> float:
        sheet, size = self.sheet, self.size
        tied = f"{sheet.date or 'date ______________'}   digest {sheet.digest}"
        self.drawing.text(self.right, y + size * 1.2, tied, size, "end")
        room = self.right - self.left - width(tied, size) - size * 2
        y = self._lines(self.left, y, room, f"{sheet.title}: {sheet.about}", size * 1.45, bold=True)
        if sheet.warning:
            y = self._lines(self.left, y, self.right - self.left, sheet.warning, size, bold=True)
        return self._lines(self.left, y, self.right - self.left, sheet.short_caution, size)

    def _verdict(self, y: float) -> float:
        """A box around the verdict: plain for inside, double for not shown inside, filled for outside, so that no colour is needed."""
        sheet, size = self.sheet, self.size
        pad, big = size * 0.5, size * 1.5
        mark = width(sheet.verdict, big, bold=True) + 2 * pad
        start = self.left + mark + pad * 1.5
        bottom = self._lines(start, y + pad * 0.4, self.right - start - pad, sheet.verdict_text, size)
        bottom = max(self._lines(start, bottom, self.right - start - pad, sheet.uncertainty, size * 0.85), y + big * 1.6) + pad * 0.6
        rim, inverted = size * 0.14, sheet.verdict == "OUTSIDE"
        self.drawing.rect(self.left, y, self.right - self.left, bottom - y, stroke_width=rim)
        self.drawing.rect(self.left, y, mark, bottom - y, stroke_width=rim, fill=INK if inverted else "none")
        if sheet.verdict == "NOT SHOWN INSIDE":
            inset = pad * 0.6
            self.drawing.rect(self.left + inset, y + inset, mark - 2 * inset, bottom - y - 2 * inset, stroke_width=size * 0.08)
        middle = (y + bottom) / 2 + big * 0.35
        if inverted:
            own: dict[str, str | float] = {"x": self.left + mark / 2, "y": middle, "font_size": big, "font_weight": "bold", "text_anchor": "middle"}
            self.drawing.element("text", {**own, "fill": "#fff", "class": "paper"}, clean(sheet.verdict))
        else:
            self.drawing.text(self.left + mark / 2, middle, sheet.verdict, big, "middle", bold=True)
        return bottom

    def _table(self, x: float, y: float, room: float, table: Table) -> float:
        y = self._title(x, y, room, table.title)
        columns = self._columns(table, room)
        small = self.size * 0.85
        heads = [head.split("\n") for head in table.heads]
        deepest = max(map(len, heads))
        # Heads of one line stand at the foot of the row of heads.
        self._cells(x, y, columns, [[""] * (deepest - len(lines)) + lines for lines in heads], table, small, True)
        y += deepest * small * _LINE
        self.drawing.line(x, y, x + room, y, stroke_width=self.size * 0.05)
        for row in table.rows:
            y = self._row(x, y, room, columns, table, row)
        for note in table.notes:
            y = self._lines(x, y + self.size * 0.1, room, note, small)
        return y

    def _row(self, x: float, y: float, room: float, columns: Columns, table: Table, row: Row) -> float:
        bold = row.strong or row.alarm
        cells = []
        for index, (cell, (_, wide)) in enumerate(zip(row.cells, columns, strict=True)):
            cells.append(wrap(cell, self.size, max(wide, 1e-6), bold) if index in table.words else [cell])
        if row.strong:
            self.drawing.line(x, y, x + room, y, stroke_width=self.size * 0.05)
        self._cells(x, y, columns, cells, table, self.size, bold)
        bottom = y + max(map(len, cells)) * self.size * _LINE
        if row.alarm:
            self.drawing.rect(x - self.size * 0.5, y + self.size * 0.1, self.size * 0.3, bottom - y - self.size * 0.15, fill=INK, stroke="none")
        return bottom

    def _cells(self, x: float, y: float, columns: Columns, cells: Sequence[Sequence[str]], table: Table, size: float, bold: bool) -> None:
        """Lines of text in every column, figures to its right edge."""
        for index, (lines, (start, wide)) in enumerate(zip(cells, columns, strict=True)):
            for place, line in enumerate(lines):
                base = y + (place + 1) * size * _LINE - size * 0.27
                if line and index in table.words:
                    self.drawing.text(x + start, base, line, size, bold=bold)
                elif line:
                    self.drawing.text(x + start + wide, base, line, size, "end", bold)

    def _columns(self, table: Table, room: float) -> Columns:
        """What the figures need; the widest text column gives way where that is too much, and the gaps take what is over."""
        wide = []
        for index, head in enumerate(table.heads):
            longest = max(width(line, self.size * 0.85, True) for line in head.split("\n"))
            wide.append(max([longest, *(width(row.cells[index], self.size, row.strong or row.alarm) for row in table.rows)]))
        gaps = max(len(wide) - 1, 1)
        over = sum(wide) + self.size * 0.8 * gaps - room
        if over > 0:
            most = max(table.words, key=lambda index: wide[index])
            wide[most] = max(wide[most] - over, self.size * 6)
        gap = (room - sum(wide)) / gaps
        return [(sum(wide[:index]) + gap * index, each) for index, each in enumerate(wide)]

    def _reserve(self, x: float, y: float, room: float) -> float:
        first, *rest = self.sheet.reserve
        top = y + self.size * 0.4
        y = self._lines(x + self.size * 0.5, top + self.size * 0.2, room - self.size, first, self.size * 1.1, bold=True)
        for text in rest:
            y = self._lines(x + self.size * 0.5, y, room - self.size, text, self.size * 0.9, bold=True)
        self.drawing.rect(x, top, room, y + self.size * 0.3 - top, stroke_width=self.size * 0.14)
        return y + self.size * 0.3

    def _picture(self, x: float, y: float, room: float) -> float:
        y = self._title(x, y, room, self.sheet.picture_title)
        high = room * 0.62 * (self.size / FULL_SIZE) ** 0.5
        inner = Drawing()
        draw_envelope(self.plan, self.display, room, high, self.size * 0.92, inner)
        self.drawing.element("g", {"transform": f"translate({number(x)} {number(y + self.size * 0.3)})"}, "\n" + inner.markup() + "\n")
        return self._lines(x, y + high, room, self.sheet.legend, self.size * 0.85)

    def _checks(self, x: float, y: float, room: float) -> float:
        """Boxes to tick for every drain point, in as many columns as fit, and what the look is for."""
        y = self._title(x, y, room, "Drain points, a sample from each")
        size = self.size
        box = size * 0.95
        longest = max(width(name, size) for name in self.sheet.drains) + box + size * 1.6
        across = max(min(int(room / longest), 3), 1)
        step = room / across
        for start in range(0, len(self.sheet.drains), across):
            below = y
            for place, name in enumerate(self.sheet.drains[start : start + across]):
                left = x + place * step
                self.drawing.rect(left, y + size * 0.3, box, box, stroke_width=size * 0.1)
                below = max(below, self._lines(left + box + size * 0.5, y + size * 0.1, step - box - size, name, size))
            y = below + size * 0.15
        return self._lines(x, y, room, self.sheet.fuel_check, size * 0.85)

    def _sources(self, x: float, y: float, room: float) -> float:
        y = self._title(x, y, room, "Where the figures come from")
        for label, text in self.sheet.provenance:
            y = self._lines(x, y, room, f"{label}: {text}", self.size * 0.85)
        return y

    def _foot(self, y: float) -> float:
        room, size = self.right - self.left, self.size
        if self.sheet.notices:
            y = self._title(self.left, y, room, "Notices")
            for text in self.sheet.notices:
                y = self._lines(self.left, y, room, f"- {text}", size, bold=True)
        y = self._title(self.left, y, room, "Cautions")
        for text in self.sheet.cautions:
            y = self._lines(self.left, y, room, f"- {text}", size * 0.95)
        y += size * 3.2
        shares, start = (0.44, 0.22, 0.34), self.left
        bottom = y
        for label, share in zip(self.sheet.signatures, shares, strict=True):
            wide = room * share - size
            self.drawing.line(start, y, start + wide, y, stroke_width=size * 0.09)
            bottom = max(bottom, self._lines(start, y, wide, label, size * 0.85))
            start += room * share
        return self._lines(self.left, bottom, room, self.sheet.unsigned, size * 0.85)
