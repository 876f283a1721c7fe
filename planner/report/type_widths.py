"""How wide a text will be, so that lines of a fixed page can be broken before they are drawn.

Widths are those that the common sans-serif faces share (their makers keep them equal so that pages do not reflow).
A face with other widths moves a line's end by a few per cent; the page is laid out with that much room.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

# Advance widths in thousandths of the type size for the characters from space to tilde, as the fonts themselves state them.
_REGULAR: Final = (
    *(278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556, 556),
    *(556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778),
    *(667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556),
    *(556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584),
)
_BOLD: Final = (
    *(278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556, 556),
    *(556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722, 611, 833, 722, 778),
    *(667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556, 333, 556, 611, 556, 611, 556, 333, 611),
    *(611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584),
)
_SIGNS: Final = {"±": 549, "×": 584, "–": 556, "→": 1000, "°": 400}
_OTHER: Final = 700  # accented letters
_WIDE: Final = 1000  # ideographs and the like, from U+2E80 on
_ROOM: Final = 1.04


def width(text: str, size: float, bold: bool = False) -> float:
    """The width of one line of `text` in the unit of `size`, with a little room."""
    table = _BOLD if bold else _REGULAR
    total = 0
    for sign in text:
        code = ord(sign)
        total += table[code - 32] if 32 <= code < 127 else _SIGNS.get(sign, _WIDE if code >= 0x2E80 else _OTHER)
    return total * size / 1000 * _ROOM


def wrap(text: str, size: float, room: float, bold: bool = False) -> list[str]:
    """`text` in lines not wider than `room`, broken at spaces, and inside a word only where it alone is too wide; one line at least."""
    lines: list[str] = []
    line = ""
    for word in _pieces(text, size, room, bold):
        longer = f"{line} {word}" if line else word
        if line and width(longer, size, bold) > room:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line]


def _pieces(text: str, size: float, room: float, bold: bool) -> Iterator[str]:
    """The words, a word too wide for a line cut into parts that fit."""
    for word in text.split():
        part = word
        while width(part, size, bold) > room and len(part) > 1:
            cut = len(part)
            while cut > 1 and width(part[:cut], size, bold) > room:
                cut -= 1
            yield part[:cut]
            part = part[cut:]
        yield part
