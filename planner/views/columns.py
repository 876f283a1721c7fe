"""The columns of a table, told as one line: heads, units, and what is in them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, cast

from planner.quantities.frozen import frozen

if TYPE_CHECKING:
    from planner.quantities.units import Dimension


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
