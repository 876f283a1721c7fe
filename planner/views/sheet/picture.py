"""Write docs/picture.svg, part of the demo flight's report as a terminal shows it: `python -m
planner.views.sheet.picture > docs/picture.svg`.
"""

from __future__ import annotations

import io
import re
import sys
from typing import Any, Final

from rich.console import Console
from rich.text import Text

from planner.plan import plan_file
from planner.quantities.units import Display
from planner.views.blocks import Heading, Line, Panel
from planner.views.flight.flight_text import render_flight
from planner.views.terminal import show

FLIGHT: Final = "docs/flights/demo.yaml"
# A terminal of a hundred columns.
_LIKE: Final[dict[str, Any]] = {
    "width": 100,
    "force_terminal": True,
    "color_system": "standard",
    "legacy_windows": False,
}
# The whole report is several screens long: a reader of the front page sees the sections that answer the
# question.
SECTIONS: Final = (
    "Caution",
    "Verdict",
    "Fuel density used",
    "Final reserve",
    "States",
    "The whole burn",
    "CG against mass",
)
LEFT_OUT: Final = "  [...]"
_REMOTE_FONT: Final = re.compile(r"@font-face\s*\{.*?\}\s*", re.DOTALL)


def shown() -> list[Text]:
    """The lines of the picture, with their styles: the title and the chosen sections."""
    stream = io.StringIO()
    console = Console(file=stream, highlight=False, emoji=False, markup=False, **_LIKE)
    keep = True
    for block in render_flight(plan_file(FLIGHT), Display()):
        before = keep
        if isinstance(block, (Heading, Panel)):
            title = block.text if isinstance(block, Heading) else block.title
            keep = title.startswith(SECTIONS)
        if keep:
            show([block], console)
        elif before:
            show([Line(LEFT_OUT)], console)
    return [Text.from_ansi(line) for line in stream.getvalue().splitlines()]


def picture() -> str:
    """The SVG. Its font is whatever fixed-width font the reader has: nothing is fetched."""
    console = Console(file=io.StringIO(), record=True, **_LIKE)
    for line in (Text("$ planner flight docs/flights/demo.yaml"), Text(), *shown()):
        console.print(line, soft_wrap=True)
    return _REMOTE_FONT.sub("", console.export_svg(title="planner", unique_id="planner"))


if __name__ == "__main__":
    sys.stdout.write(picture())
