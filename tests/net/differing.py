"""Where two answers of one command differ: figure by figure, word by word."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator
from typing import Any, Final

from tests.net.running import FRAME, NOISE, NUMBER

SHARE: Final = 1e-9  # of a figure: less is the order of the sums


def differences(one: Any, other: Any, where: str = "") -> Iterator[str]:
    """Each place at which they differ, with both."""
    if isinstance(one, dict) and isinstance(other, dict):
        for key in one | other:
            yield from differences(one.get(key), other.get(key), f"{where}.{key}".lstrip("."))
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for number, pair in enumerate(zip(one, other, strict=True)):
            yield from differences(*pair, f"{where}[{number}]")
    elif isinstance(one, str) and isinstance(other, str):
        yield from _lines(one, other, where)
    elif not _close(one, other):
        yield f"{where}: {_short(one)} becomes {_short(other)}"


def _lines(one: str, other: str, where: str) -> Iterator[str]:
    if _same(one, other):
        return
    before, after = (text.split("\n") for text in (one, other))
    matcher = difflib.SequenceMatcher(
        None, *([FRAME.sub("", each) for each in text] for text in (before, after))
    )
    for how, low, high, to_low, to_high in matcher.get_opcodes():
        old, new = before[low:high], after[to_low:to_high]
        if how != "equal" and not _same("".join(old), "".join(new)):
            pairs = (
                zip(old, new, strict=True) if len(old) == len(new) else [(" / ".join(old), " / ".join(new))]
            )
            yield from (f"{where}: {_short(a)} becomes {_short(b)}" for a, b in pairs if not _same(a, b))


def _same(one: str, other: str) -> bool:
    """Whether two texts say the same but for their layout and the last digits."""
    return FRAME.sub("", NUMBER.sub("#", one)) == FRAME.sub("", NUMBER.sub("#", other)) and all(
        _close(float(a), float(b)) for a, b in zip(NUMBER.findall(one), NUMBER.findall(other), strict=True)
    )


def _close(one: Any, other: Any) -> bool:
    if isinstance(one, float) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=SHARE, abs_tol=NOISE)
    return bool(one == other)


def _short(value: Any) -> str:
    text = repr(value.strip() if isinstance(value, str) else value)
    return text if len(text) < 240 else f"{text[:236]} ..."
