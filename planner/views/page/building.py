"""The one file of the page: model, evaluator and layout, with a digest over the model and a policy that lets
nothing be fetched.
"""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from collections.abc import Sequence
from datetime import date
from importlib.resources import files
from typing import Any, Final

from planner.facts.cautions import BEFORE_START, INVENTED, PLAN, PLAN_SHORT
from planner.quantities.frozen import frozen
from planner.quantities.units import Display, UnitSystem
from planner.records.aircraft.record import Aircraft
from planner.views.page.model_json import SCHEMA, aircraft_json, shared_json
from planner.views.page.opening import Opening

SCRIPTS: Final = ("numbers.js", "tanks.js", "burn.js", "evaluator.js", "reading.js", "page.js")


@frozen
class BuiltPage:
    """The page as text, and the SHA-256 of its model."""

    text: str
    digest: str


def page_of(
    aircraft: Sequence[tuple[str, Aircraft]],
    valid_until: date,
    written: date,
    opening: Opening | None = None,
    system: UnitSystem | None = None,
) -> BuiltPage:
    """The page for some aircraft.

    Parameters: `aircraft`, each with the id or path a flight names it by; `valid_until`, the day after which
    it asks to be confirmed; `written` today; `opening`, a flight of the first aircraft to open with, laid out
    for the wall; `system` of the units shown, else that of each profile.
    """
    compiled = [
        aircraft_json(each, identity, Display(system or each.units or "metric"))
        for identity, each in aircraft
    ]
    model = {
        "schema": SCHEMA,
        "written": str(written),
        "valid_until": str(valid_until),
        "cautions": PLAN,
        "before_start": BEFORE_START,
        "caution": PLAN_SHORT,
        "invented": INVENTED,
        "shared": shared_json({phase for _, each in aircraft for phase in each.burn}),
        "limits": _pooled(compiled, "limits"),
        "edges": _pooled(compiled, "edges"),
        "aircraft": compiled,
        "opening": opening and {"flight": opening.flight, **opening.told},
    }
    # In ASCII and without '<', so that no name in a profile can end the element it stands in.
    told = json.dumps(model, separators=(",", ":"), allow_nan=False, default=str).replace("<", "\\u003c")
    digest = hashlib.sha256(told.encode("ascii")).hexdigest()
    style, script = (
        re.sub(r"\s*([{:;,])\s+", r"\1", _asset("page.css")),
        "\n".join(_compact(_asset(name)) for name in SCRIPTS),
    )
    parts = {
        "policy": f"style-src {_hash(style)}; script-src {_hash(script)}",
        "title": html.escape(", ".join(each.name for _, each in aircraft)),
        "style": style,
        "digest": digest,
        "model": told,
        "script": script,
    }
    text = _asset("page.html")
    for name, part in parts.items():
        before, _, after = text.partition(f"<!-- {name} -->")
        text = before + part + after
    return BuiltPage(text, digest)


def _pooled(compiled: list[dict[str, Any]], key: str) -> list[Any]:
    """Every entry that lists of the aircraft hold under `key`, once; the lists get its place here instead."""
    pool: list[Any] = []
    for each in compiled:
        pool += [entry for entry in each[key] if entry not in pool]
        each[key] = [pool.index(entry) for entry in each[key]]
    return pool


def _asset(name: str) -> str:
    return files("planner.views.page").joinpath(name).read_text(encoding="utf-8")


def _compact(script: str) -> str:
    """A script without its indents, lines of comment, notes on types, and spaces around signs that no
    sentence has: a phone need not carry them.
    """
    lines = map(str.strip, re.sub(r"/\*\*.*?\*/ ?", "", script, flags=re.DOTALL).splitlines())
    told = "".join(f"{line}\n" for line in lines if line and not line.startswith("//"))
    return re.sub(
        r" (=>|[=!]==|&&|\|\||\?\?|[-+*]?=|[<>]=?|[?:*+]) (?![-+])", r"\1", re.sub(r"([{,;(])\n", r"\1", told)
    )


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
