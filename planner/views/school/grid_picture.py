"""Grid paper as a picture: SVG for print and screen, and a coarse form in characters for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from planner.school.grid import GridPaper, GridScale, Spots
from planner.views.blocks import Parts, Picture, joined
from planner.views.pictures.axes import Frame, figures_under
from planner.views.pictures.svg import Drawing, clean

WIDE: Final = 170.0  # mm of A4 between its margins
_LETTERS: Final = 3.3
_LEFT, _RIGHT, _TOP, _FOOT = 15.0, 14.0, 6.0, 11.0
_FAINT, _HEAVY = "#9a9a9a", "#5a5a5a"
_LINES: Final = "ox+#%@"  # one sign for each line of the coarse form
_ROWS, _COLUMNS = 24, 72


def _frame(grid: GridPaper, wide: float, high: float) -> Frame:
    """Where a figure is drawn, in millimetres."""
    tall = high - _TOP - _FOOT
    if not high:
        tall = min(max((wide - _LEFT - _RIGHT) / grid.across.squares() * grid.up.squares(), 70.0), 120.0)
    return _of_scales(grid, _LEFT, _TOP, wide - _RIGHT, _TOP + tall)


def _of_scales(grid: GridPaper, left: float, top: float, right: float, bottom: float) -> Frame:
    across, up = ((axis.low, axis.high) for axis in (grid.across, grid.up))
    return Frame(across=across, up=up, left=left, top=top, right=right, bottom=bottom)


def grid_svg(grid: GridPaper, wide: float = WIDE, high: float = 0.0) -> str:
    """The drawing as one element of SVG, with its title for those who do not see it. Without `high` its small
    squares are square where that fits the paper.
    """
    frame, drawing = _frame(grid, wide, high), Drawing()
    across, up = grid.across, grid.up
    left, top, right, foot = frame.left, frame.top, frame.right, frame.bottom
    for count in range(across.squares() + 1):
        x = frame.at(across.low + count * across.square, up.low)[0]
        drawing.line(x, top, x, foot, **_ink(count))
    for count in range(up.squares() + 1):
        y = frame.at(across.low, up.low + count * up.square)[1]
        drawing.line(left, y, right, y, **_ink(count))
    for value in _labelled(across):
        drawing.text(frame.at(value, up.low)[0], foot + 4, f"{value:.{across.decimals}f}", _LETTERS, "middle")
    for value in _labelled(up):
        y = frame.at(across.low, value)[1]
        drawing.text(left - 1.2, y + 1.1, f"{value:.{up.decimals}f}", _LETTERS, "end")
    drawing.text((left + right) / 2, foot + 9, across.words, _LETTERS, "middle", bold=True)
    drawing.text(left, top - 2, up.words, _LETTERS, bold=True)
    taken: list[tuple[float, float]] = []
    for line in grid.lines:
        drawn = [frame.at(*spot) for spot in line.points]
        drawing.path(drawn, closed=line.closed, dash=2.4 if line.dashed else 0.0, stroke_width=0.5)
        x, y = max(drawn, key=lambda each: (round(-each[1], 1), each[0])) if line.closed else drawn[-1]
        y -= 1.2
        while any(abs(y - other) < _LETTERS and abs(x - beside) < 26 for beside, other in taken):
            y += _LETTERS
        taken.append((x, y))
        if line.name:
            _named(drawing, min(x + 0.8, wide - 1.0), y, line.name, wide)
    for word, x, y in grid.points:
        a, b = frame.at(x, y)
        drawing.line(a - 1.4, b - 1.4, a + 1.4, b + 1.4, stroke_width=0.45)
        drawing.line(a - 1.4, b + 1.4, a + 1.4, b - 1.4, stroke_width=0.45)
        _named(drawing, a + 2, b - 1.2, word, wide)
    told = f'role="img" aria-label="{clean(grid.title)}" font-family="Helvetica, Arial, sans-serif"'
    shape = f'viewBox="0 0 {wide:g} {frame.bottom + _FOOT:.2f}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {shape} {told}>\n{drawing.markup()}\n</svg>'


def _ink(count: int) -> dict[str, str | float]:
    """How the line of so many squares is drawn."""
    weight = 0.28 if count % 10 == 0 else 0.16 if count % 5 == 0 else 0.08
    return {"stroke": _FAINT if count % 10 else _HEAVY, "stroke_width": weight}


def _labelled(axis: GridScale) -> tuple[float, ...]:
    heavy = axis.heavy()
    return heavy[:: max(1, -(-len(heavy) // 13))]


def _named(drawing: Drawing, x: float, y: float, text: str, wide: float) -> None:
    """A name on a white ground, so that the squares do not run through it; near the edge it stands before."""
    long = len(text) * _LETTERS * 0.52
    start = min(x, wide - long - 0.5)
    drawing.rect(
        start - 0.3, y - _LETTERS * 0.8, long + 0.6, _LETTERS, fill="#fff", stroke="none", fill_opacity=0.85
    )
    drawing.text(start, y, text, _LETTERS)


def grid_signs(grid: GridPaper, width: int, unicode: bool) -> tuple[list[Parts], list[str]]:
    """The coarse form: a sign for each line, and what the signs mean."""
    del unicode
    margin = max(len(f"{value:.{grid.up.decimals}f}") for value in grid.up.heavy()) + 4
    columns = min(width - margin - 1, _COLUMNS)
    if columns < 24:
        return [], ["The page is too narrow for the drawing."]
    cells: dict[tuple[int, int], str] = {}

    frame = _of_scales(grid, 0.0, 0.0, columns, _ROWS)

    def cell(x: float, y: float) -> tuple[int, int]:
        column, row = frame.at(x, y)
        return round(column), round(row)

    for value in grid.across.heavy():
        for row in range(_ROWS + 1):
            cells[cell(value, grid.up.low)[0], row] = ":"
    for value in grid.up.heavy():
        for column in range(columns + 1):
            cells.setdefault((column, cell(grid.across.low, value)[1]), ".")
    legend = []
    for number, line in enumerate(grid.lines):
        sign = _LINES[number % len(_LINES)]
        legend.append(f"{sign} {line.name}" if line.name else "")
        for x, y in _along(line.points, line.closed):
            cells[cell(x, y)] = sign
    for word, x, y in grid.points:
        column, row = cell(x, y)
        for place, letter in enumerate(word[:1]):
            cells[column + place, row] = letter
    marks = {cell(grid.across.low, value)[1]: f"{value:.{grid.up.decimals}f}" for value in _labelled(grid.up)}
    lines: list[Parts] = [[(f"  {grid.up.words}", "dim")]]
    for row in range(_ROWS + 1):
        text = "".join(cells.get((column, row), " ") for column in range(columns + 1))
        lines.append(joined([(f"  {marks.get(row, ''):>{margin - 3}} ", "dim"), (text.rstrip(), "")]))
    places = [(margin + cell(value, grid.up.low)[0], value) for value in _labelled(grid.across)]
    marked = [(column, f"{value:.{grid.across.decimals}f}") for column, value in places]
    lines.append([(figures_under(marked, columns + margin + 8)[:width], "dim")])
    lines.append([(f"  across: {grid.across.words}", "dim")])
    said = [f"{grid.title}. {'; '.join(each for each in legend if each)}".rstrip(" .") + "."]
    small = f"{grid.across.square:g} across, {grid.up.square:g} up"
    told = "A coarse form of the drawing: the sheet (--sheet OUT.html) has it on grid paper, small squares"
    return lines, [*said, f"{told} {small}."]


def _along(points: Spots, closed: bool) -> Iterator[tuple[float, float]]:
    for (x1, y1), (x2, y2) in pairwise((*points, points[0]) if closed else points):
        for step in range(201):
            yield x1 + (x2 - x1) * step / 200, y1 + (y2 - y1) * step / 200


def grid_block(grid: GridPaper) -> Picture:
    """The drawing as a block: characters on a terminal, its own SVG inside that of a page."""
    return Picture(
        signs=lambda width, unicode: grid_signs(grid, width, unicode),
        drawn=lambda wide, high, _size: grid_svg(grid, WIDE, WIDE * high / wide),
        legend=lambda: grid.title,
        label=grid.title,
    )
