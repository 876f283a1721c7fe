"""The written answer, a number with a unit or a word: what it says, before it is called right or wrong."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final, Literal

from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.units import UNITS, read_quantity
from planner.school.problem import Ask

_NUMBER: Final = re.compile(r"\s*([-+−]?\s*(?:\d+\.?\d*|\.\d+))\s*(.*)", re.DOTALL)
# A comma that can only mark decimals: one, before other than three figures, or behind a lone zero.
_DECIMAL_COMMA: Final = re.compile(r"^([-+−]?\s*(?:0(?=,)|\d+(?=,(?!\d{3}(?!\d)))))" r",(\d+)(?![\d.,])")
_NOISE: Final = 1e-9
# On the unsafe side an answer may be short by this share of a step: rounding on paper can cost that much, a
# slip costs more.
_SHORT: Final = 0.06
Fault = Literal["", "blank", "no unit", "wrong unit", "unreadable"]


@frozen
class Written:
    """One answer as written: `value` in the asked unit (or the word chosen), decimals written, and what is
    wrong with the writing.

    `bare` is the number alone, whatever unit stands behind it; `told` explains a fault.
    """

    text: str
    value: float | str | None = None
    bare: float | None = None
    coarseness: float = 0.0
    fault: Fault = ""
    told: str = ""


def _word(ask: Ask, text: str) -> Written:
    plain = " ".join(text.lower().split())
    fits = [word for word in ask.choices if word.lower() == plain] or [
        word for word in ask.choices if plain and word.lower().startswith(plain)
    ]
    if len(fits) == 1:
        return Written(text, fits[0])
    return Written(text=text, fault="unreadable", told=f"one of: {', '.join(ask.choices)}")


def read_written(ask: Ask, text: str) -> Written:
    """Read one answer.

    Parameters: `ask`; `text` as typed or as it stood in the file. Returns Written, its value in the unit
    asked for [that unit]. A unit of the same kind is converted, unless the conversion itself is what was
    asked. Never raises: what cannot be read says so.
    """
    text = text.strip()
    if not text:
        return Written(text, fault="blank")
    if ask.choices:
        return _word(ask, text)
    plain = _DECIMAL_COMMA.sub(r"\1.\2", text)
    match = _NUMBER.fullmatch(plain)
    if re.match(r"[-+−]?\s*[\d.]+,\d", plain):
        told = (
            "the comma may mark decimals or thousands: write a decimal point, and nothing between thousands"
        )
        return Written(text, fault="unreadable", told=told)
    if match is None:
        told = f"needed a number{' and a unit' if ask.unit else ''}"
        return Written(text, fault="unreadable", told=told)
    digits = match[1].replace(" ", "").replace("−", "-")
    unit, bare = match[2].strip(), float(digits)
    coarse = 10.0 ** -len(digits.partition(".")[2])
    plainly = Written(text, value=bare, bare=bare, coarseness=coarse)
    if not ask.unit and unit:
        return replace(plainly, fault="wrong unit", told="a plain number was asked for")
    if ask.unit and not unit:
        return replace(plainly, fault="no unit", told=f"needed {ask.unit} behind the number")
    if unit == ask.unit:
        return plainly
    assert ask.dimension is not None  # an ask with a unit has a dimension
    wrong = replace(plainly, value=None, fault="wrong unit", told=f"asked for in {ask.unit}")
    try:
        quantity = read_quantity(f"{digits} {unit}", ask.dimension)
    except InputRefused as refused:
        first = refused.findings[0]
        return replace(wrong, told="; ".join(part for part in (first.message, first.hint) if part))
    if ask.exact_unit:
        return wrong
    factor = UNITS[unit].factor / UNITS[ask.unit].factor if unit in UNITS else 1.0
    return replace(plainly, value=ask.in_unit(quantity.value), coarseness=coarse * factor)


def accepted(ask: Ask, value: float) -> tuple[float, float]:
    """The least and the greatest answer [asked unit] taken for `value` [SI], by the rounding stated and the
    slack of working on paper.

    To the nearest: within half a step and the slack. Rounded up or down: on the safe side by not more than
    the slack beyond the rounded value, on the unsafe side hardly at all.
    Source: [common-practice].
    """
    inner, rounded = ask.in_unit(value), ask.rounded(value)
    reach = ask.step / 2 + ask.slack
    low, high = {
        "nearest": (inner - reach, inner + reach),
        "up": (inner - _SHORT * ask.step, rounded + ask.slack),
        "down": (rounded - ask.slack, inner + _SHORT * ask.step),
    }[ask.direction]
    return low - _NOISE, high + _NOISE


def agrees(ask: Ask, given: float, value: float) -> bool:
    """Whether an answer [asked unit] is taken for `value` [SI]. Source: [common-practice]."""
    low, high = accepted(ask, value)
    return low <= given <= high


def coarse(ask: Ask, value: float, coarseness: float) -> tuple[float, float] | None:
    """The answers [asked unit] that are `value` [SI] with too few figures, where the last figure written
    counts `coarseness`; None where that is fine enough, or a rounding has a safe side.
    """
    if ask.direction != "nearest" or coarseness <= ask.step * 1.5:
        return None
    inner, reach = ask.in_unit(value), coarseness / 2 + _NOISE
    return inner - reach, inner + reach
