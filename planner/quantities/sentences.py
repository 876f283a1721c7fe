"""Sentences that carry quantities: written once in the engine, shown in the units of whoever reads them.

A finding says `98.4 L usable does not fit`. The engine must not choose that litre: a reader of `--units us`
thinks in gallons. So a message is made of text and `Figure`s. As plain text (`str`, a JSON text, a log) it
reads in the metric units below; `said` shows it in a reader's units.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from planner.quantities.frozen import frozen
from planner.quantities.units import Dimension, Display, UnitSystem, in_unit

if TYPE_CHECKING:
    from planner.quantities.errors import Finding

METRIC: Final[Display] = Display("metric")
_NOTHING: Final = 1e-9  # smaller than this in the unit shown, a figure is zero and not a small amount


@frozen
class Figure:
    """A quantity inside a sentence.

    Parameters: `value` [SI, degC]; `dimension`; `extra` decimals more (or fewer) than a reader's table shows;
    `span`: a difference (lengths in mm or in, no zero point of temperature); `sign`: with + or -; `trim`: a
    book figure, shown without trailing zeros; `bare`: without its unit, for the first of `720 to 775 kg/m3`.
    Range: finite values; a value that is not stays readable (`inf`, `nan`). Raises: nothing.
    """

    value: float
    dimension: Dimension
    extra: int = 0
    span: bool = False
    sign: bool = False
    trim: bool = False
    bare: bool = False

    def shown(self, display: Display) -> str:
        """The figure in the reader's units: fixed decimals, no power of ten, never zero for what is not."""
        name, decimals = _unit(self, display.system)
        value = in_unit(self.value, name) - (in_unit(0.0, name) if self.span else 0.0)
        digits = fixed(value, max(decimals + self.extra, 0), self.sign, self.trim)
        return digits if self.bare else f"{digits} {name}"


def _unit(figure: Figure, system: UnitSystem) -> tuple[str, int]:
    """Unit and decimals: the reader's, but metric differences of length in mm, densities in kg/m3."""
    if system == "metric" and figure.dimension == "density":
        return "kg/m3", 1
    display = Display(system)
    if figure.span:
        return display.of_span(figure.dimension)
    return display.unit(figure.dimension), display.decimals(figure.dimension)


def fixed(value: float, decimals: int, sign: bool = False, trim: bool = False) -> str:
    """`value` with that many decimals; what would round to zero and is not has two significant digits
    instead.

    `trim` drops trailing zeros after the point. Nothing is never minus nothing.
    """
    if not math.isfinite(value):
        return f"{value}"
    if abs(value) < _NOTHING:
        value = 0.0
    elif float(f"{value:.{decimals}f}") == 0.0:
        decimals = 1 - math.floor(math.log10(abs(value)))
    digits = f"{value:{'+' if sign and value else ''}.{decimals}f}"
    return digits.rstrip("0").rstrip(".") if trim and "." in digits else digits


def percent(share: float) -> str:
    """`share` [1] as a per cent with at most two significant digits below ten, whole above: `100 %`, `8.2 %`,
    `0.04 %`.
    """
    value = 100 * share
    decimals = (
        0 if abs(value) >= 9.95 or abs(value) < _NOTHING else max(1 - math.floor(math.log10(abs(value))), 1)
    )
    return f"{fixed(value, decimals, trim=True)} %"


class Sentence(str):
    """Text with quantities in it: a `str` of the metric wording; `parts` keeps the quantities."""

    parts: tuple[str | Figure, ...]
    __slots__ = ("parts",)

    def __new__(cls, parts: Iterable[str | Figure]) -> Sentence:
        kept = tuple(parts)
        made = super().__new__(
            cls, "".join(part.shown(METRIC) if isinstance(part, Figure) else part for part in kept)
        )
        made.parts = kept
        return made

    def __getnewargs__(self) -> tuple[tuple[str | Figure, ...]]:  # type: ignore[override]  # str copies itself from its text, we from the parts
        return (self.parts,)

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The quantities of the sentence, in their order."""
        return tuple(part for part in self.parts if isinstance(part, Figure))


_FIELD: Final = re.compile(r"\{(\d*)\}")


def say(template: str, *given: object) -> Sentence:
    """A sentence from a template with `{}` (or `{0}`, `{1}`) where quantities, names or other sentences
    stand.

    Names and texts of the user go in as arguments, never into the template: they may hold braces themselves.
    Raises IndexError where the template asks for more than is given.
    """
    parts: list[str | Figure] = []
    place = 0
    for number, field in enumerate(_FIELD.finditer(template)):
        parts.append(template[place : field.start()])
        parts += parts_of(given[int(field[1]) if field[1] else number])
        place = field.end()
    return Sentence([*parts, template[place:]])


def book(value: float, dimension: Dimension) -> Figure:
    """A figure of a book or of the program itself, such as a limit: without trailing zeros."""
    return Figure(value, dimension, trim=True)


def span_of(low: float, high: float, dimension: Dimension) -> Sentence:
    """`720 to 775 kg/m3`: two book figures and one unit."""
    return say("{} to {}", Figure(low, dimension, trim=True, bare=True), book(high, dimension))


def parts_of(one: object) -> tuple[str | Figure, ...]:
    """What a sentence keeps of a thing put into it."""
    if isinstance(one, Sentence):
        return one.parts
    return (one,) if isinstance(one, Figure) else (str(one),)


def joined(separator: str, texts: Iterable[str]) -> Sentence:
    """Sentences and texts in one, the separator between them; empty ones are left out. (`str.join` would lose
    the quantities.)
    """
    parts: list[str | Figure] = []
    for text in texts:
        if text:
            parts += [separator, *parts_of(text)] if parts else parts_of(text)
    return Sentence(parts)


def said(text: str, display: Display) -> str:
    """A sentence in the reader's units; plain text as it is."""
    if not isinstance(text, Sentence):
        return text
    return "".join(part.shown(display) if isinstance(part, Figure) else part for part in text.parts)


def finding_words(finding: Finding, display: Display) -> str:
    """What a finding says, without its place: what is wrong; what was needed; how to mend it."""
    return "; ".join(said(part, display) for part in (finding.message, finding.needed, finding.hint) if part)


def finding_line(finding: Finding, display: Display) -> str:
    """`str(finding)` in the reader's units."""
    return str(
        replace(
            finding,
            message=said(finding.message, display),
            needed=said(finding.needed, display),
            hint=said(finding.hint, display),
        )
    )
