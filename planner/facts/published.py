"""Worked examples and tables that other people published: the rows of `published.yaml`, as records.

Only what was printed stands there. The inputs of each case are in `planner.sureness.verify_cases`, which puts
them through the engine.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import yaml

from planner.facts.sources import Tag
from planner.quantities.frozen import frozen

FLOAT: Final = 1e-9  # the tolerance of figures that have no rounding in them


@frozen
class PublishedCase:
    """One printed figure.

    `id`; `source`, a key of planner.facts.sources; `clause`, page, figure or chapter; `what` was computed;
    `unit` of `published`, `tolerance` and our figure; `reason` for the tolerance; `tag`, how the least
    certain of the figures involved was read.
    """

    id: str
    source: str
    clause: str
    what: str
    unit: str
    published: float
    tolerance: float
    reason: str
    tag: Tag


def _read(table: Any) -> tuple[PublishedCase, ...]:
    found = [
        PublishedCase(
            id=key,
            source=group["source"],
            clause=group["clause"],
            what=row["what"],
            unit=row["unit"],
            published=float(row["published"]),
            tolerance=float(row["within"]) or FLOAT,
            reason=table["reasons"].get(row["why"], row["why"]),
            tag=table["read"][row["read"]],
        )
        for group in table["cases"]
        for key, row in group["figures"].items()
    ]
    assert len({case.id for case in found}) == len(found), "two published figures of one id"
    return tuple(found)


PUBLISHED: Final = _read(
    yaml.load(
        Path(__file__).with_suffix(".yaml").read_text(encoding="utf-8"),
        Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader),
    )
)
