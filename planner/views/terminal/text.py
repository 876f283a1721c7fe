"""A text as a terminal gets it: harmless, its figures whole, broken where it may be broken."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, RenderResult
from rich.segment import Segment
from rich.text import Text

from planner.quantities.errors import visible

WIDEST_PARAGRAPH: Final = 110
# A figure stays on one line with its unit and with the name of what it measures. rich breaks at every kind of
# space, so the spaces of a figure are another sign until the lines are broken.
GLUED: Final = "\ue000"
_UNITS: Final = (
    r"(?:kg|g|L|mL|mm|cm|m|in|lb|min|h|degC|degF|K|USgal|impgal"
    r"|kg/L|kg/m3|g/cm3|lb/USgal|lb/impgal|kg\.m|lb\.in|L/h|USgal/h|impgal/h|kg/h)\b"
)
GLUE: Final = re.compile(
    rf"(?<=\d) (?={_UNITS}|%)|(?<=\bh) (?=\d)|(?<=\b[kU]) (?=[=<\d])|(?<==) (?=\d)|(?<=\b(?:CFR|CAR))"
    r" (?=\d)|(?<=\d) (?=CFR\b)"
)
_ASCII: Final = str.maketrans(
    {"±": "+/-", "×": "x", "–": "-", "—": "-", "…": "...", "ρ": "rho", "α": "alpha", "Δ": "d", "·": "."}
)


def safe(text: str, unicode: bool) -> str:
    """The one way of a text to the terminal: no control character of a file gets through, and no sign the
    encoding lacks.
    """
    clean = visible(text)
    return (
        clean
        if unicode or clean.isascii()
        else clean.translate(_ASCII).encode("ascii", "replace").decode("ascii")
    )


class Lines:
    """Words that stand below one another, handed over by themselves: rich takes its time for every part of a
    group.
    """

    def __init__(self, words: Iterable[Words]) -> None:
        self.words = words

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for each in self.words:
            yield from each.__rich_console__(console, options)


class Pieces:
    """Pieces (text, style) in a line that is not broken."""

    def __init__(self, pieces: Iterable[tuple[str, str]]) -> None:
        self.pieces = pieces

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        yield from (Segment(text, console.get_style(style)) for text, style in self.pieces)
        yield Segment.line()


class Words:
    """Text broken by rich where it may be broken; every line after the first starts with `rest`. Figures
    stand at the right, if `right`.
    """

    def __init__(
        self, text: str | Text, style: str = "", first: str = "", rest: str = "", right: bool = False
    ) -> None:
        self.text, self.style, self.first, self.rest, self.right = text, style, first, rest, right

    def fits(self, width: int) -> bool:
        """Whether it takes one line."""
        return isinstance(self.text, str) and cell_len(self.first) + cell_len(self.text) <= width

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        width = min(options.max_width, WIDEST_PARAGRAPH)
        if isinstance(self.text, str) and (long := cell_len(self.first) + cell_len(self.text)) <= width:
            # What fits needs no breaking: most cells, and breaking is what takes rich its time.
            lead = self.first + " " * (width - long) if self.right else self.first
            shown = self.text.replace(GLUED, " ")
            if self.style:
                yield Segment(lead)
                yield Segment(shown, console.get_style(self.style))
                yield Segment.line()
            else:
                yield Segment(f"{lead}{shown}\n")
            return
        text, style = (
            Text(self.text) if isinstance(self.text, str) else self.text,
            console.get_style(self.style),
        )
        for index, line in enumerate(
            text.wrap(console, max(width - max(len(self.first), len(self.rest)), 8))
        ):
            line.plain = line.plain.replace(GLUED, " ")
            yield Segment(self.rest if index else self.first)
            yield from Segment.apply_style(line.render(console), style)
            yield Segment.line()
