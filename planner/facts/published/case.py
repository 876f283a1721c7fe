"""One published figure as data."""

from __future__ import annotations

from typing import Final

from planner.facts.sources import Tag
from planner.quantities.frozen import frozen


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


READ: Final[Tag] = "read in the source"
COPY: Final[Tag] = "second-hand copy"
MEMORY: Final[Tag] = "from memory"

HALF: Final = "half of the last printed digit"
EXACT: Final = "whole pounds in, whole pounds out: only float noise is allowed"
NO_ROUNDING: Final = "no rounding in it"
CUT: Final = "the source drops the fractions of its moments, so its sum is up to 1 low"
LAST_CUT: Final = "the last printed digit is cut, not rounded"
FLOAT: Final = 1e-9  # a tolerance for figures that have no rounding in them
