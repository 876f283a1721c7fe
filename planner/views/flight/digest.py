"""A short digest that ties a printed sheet to the JSON of the same plan.

It is taken over a canonical form in which equal plans are equal bytes: keys in order, no spaces, figures
rounded to seven significant digits (so that the last bits of a processor's arithmetic do not count), files by
their names only (so that the folder they lie in does not count).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import PurePath
from typing import Any, Final

# What `planner flight --json` adds on request, what is the same for every loading, and the digest itself.
NOT_COUNTED: Final = ("digest", "certainty", "working", "changed", "saved", "before_engine_start")
PATHS: Final = ("file", "profile", "path")
_SMALLEST: Final = 1e-9  # in the unit of the key; a figure below it is the rounding of a sum that is zero
_DIGITS: Final = 12  # hexadecimal: 48 bits, against mistakes and mixed-up papers, not against forgery


def _plain(value: Any, key: str = "") -> Any:
    if isinstance(value, Mapping):
        return {name: _plain(inner, name) for name, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    if isinstance(value, float):
        return 0.0 if abs(value) < _SMALLEST else float(f"{value:.7g}")
    if isinstance(value, str) and key in PATHS:
        return PurePath(value.replace("\\", "/")).name
    return value


def canonical(data: Mapping[str, Any]) -> bytes:
    """The canonical form of a `planner/flight/1` document as UTF-8 bytes; what was added on request is left
    out.
    """
    counted = {key: value for key, value in data.items() if key not in NOT_COUNTED}
    return json.dumps(
        _plain(counted), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    ).encode()


def digest(data: Mapping[str, Any]) -> str:
    """The first 12 hexadecimal digits of SHA-256 over the canonical form, in groups of four:
    `1a2b-3c4d-5e6f`.
    """
    text = hashlib.sha256(canonical(data)).hexdigest()[:_DIGITS]
    return "-".join(text[i : i + 4] for i in range(0, _DIGITS, 4))
