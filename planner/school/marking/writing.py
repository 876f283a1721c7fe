"""The written answer: a number with a unit, or a word; what was written, before it is called right or
wrong.
"""

from __future__ import annotations

import re
from typing import Final, Literal

from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.units import UNITS, read_quantity
from planner.school.problem import Ask

_NUMBER: Final = re.compile(r"\s*([-+−]?\s*(?:\d+\.?\d*|\.\d+))\s*(.*)", re.DOTALL)
# A comma that can only mark decimals: one, before other than three figures, or behind a lone zero.
_DECIMAL_COMMA: Final = re.compile(r"^([-+−]?\s*(?:0(?=,)|\d+(?=,(?!\d{3}(?!\d)))))" r",(\d+)(?![\d.,])")
Fault = Literal["", "blank", "no unit", "wrong unit", "unreadable"]


@frozen
class Written:
    """One answer as written: `value` in the asked unit (or the word chosen), decimals written, and what is
    wrong with the writing.

    `bare` is the number alone, whatever unit stands behind it; `told` explains a fault.
    """

    text: str
    value: float | str | None
    bare: float | None
    coarseness: float
    fault: Fault
    told: str = ""


def _word(ask: Ask, text: str) -> Written:
    plain = " ".join(text.lower().split())
    fits = [word for word in ask.choices if word.lower() == plain] or [
        word for word in ask.choices if plain and word.lower().startswith(plain)
    ]
    if len(fits) == 1:
        return Written(text=text, value=fits[0], bare=None, coarseness=0.0, fault="")
    return Written(
        text=text,
        value=None,
        bare=None,
        coarseness=0.0,
        fault="unreadable",
        told=f"one of: {', '.join(ask.choices)}",
    )


def read_written(ask: Ask, text: str) -> Written:
    """Read one answer.

    Parameters: `ask`; `text` as typed or as it stood in the file. Returns Written, its value in the unit
    asked for [that unit]. A unit of the same kind is converted, unless the conversion itself is what was
    asked. Never raises: what cannot be read says so.
    """
    text = text.strip()
    if not text:
        return Written(text=text, value=None, bare=None, coarseness=0.0, fault="blank")
    if ask.choices:
        return _word(ask, text)
    plain = _DECIMAL_COMMA.sub(r"\1.\2", text)
    match = _NUMBER.fullmatch(plain)
    if re.match(r"[-+−]?\s*[\d.]+,\d", plain):
        return Written(
            text=text,
            value=None,
            bare=None,
            coarseness=0.0,
            fault="unreadable",
            told=(
                "the comma may mark decimals or thousands: write a decimal point, and nothing between"
                " thousands"
            ),
        )
    if match is None:
        return Written(
            text=text,
            value=None,
            bare=None,
            coarseness=0.0,
            fault="unreadable",
            told=f"needed a number{' and a unit' if ask.unit else ''}",
        )
    digits = match[1].replace(" ", "").replace("−", "-")
    unit, bare = match[2].strip(), float(digits)
    coarse = 10.0 ** -len(digits.partition(".")[2])
    if not ask.unit:
        return Written(
            text=text,
            value=bare,
            bare=bare,
            coarseness=coarse,
            fault="wrong unit" if unit else "",
            told="a plain number was asked for" if unit else "",
        )
    if not unit:
        return Written(
            text=text,
            value=bare,
            bare=bare,
            coarseness=coarse,
            fault="no unit",
            told=f"needed {ask.unit} behind the number",
        )
    if unit == ask.unit:
        return Written(text=text, value=bare, bare=bare, coarseness=coarse, fault="")
    assert ask.dimension is not None  # an ask with a unit has a dimension
    try:
        quantity = read_quantity(f"{digits} {unit}", ask.dimension)
    except InputRefused as refused:
        first = refused.findings[0]
        return Written(
            text=text,
            value=None,
            bare=bare,
            coarseness=coarse,
            fault="wrong unit",
            told="; ".join(part for part in (first.message, first.hint) if part),
        )
    if ask.exact_unit:
        return Written(
            text=text,
            value=None,
            bare=bare,
            coarseness=coarse,
            fault="wrong unit",
            told=f"asked for in {ask.unit}",
        )
    factor = UNITS[unit].factor / UNITS[ask.unit].factor if unit in UNITS else 1.0
    return Written(
        text=text, value=ask.in_unit(quantity.value), bare=bare, coarseness=coarse * factor, fault=""
    )
