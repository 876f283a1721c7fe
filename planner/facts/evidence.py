"""How well a mass is known: evidence grades for people and bags, with the pad and the uncertainty each one
gets.

A pad moves the mass because such figures are known to be wrong in one direction (clothes not counted); the
standard uncertainty says how far it may be off either way once the pad is on. Neither counts what the other
does.
"""

from __future__ import annotations

from typing import Final, Literal

from planner.quantities.frozen import frozen

How = Literal["weighed", "stated", "standard", "guessed"]
Carried = Literal["person", "bag"]


@frozen
class Evidence:
    """`pad` and standard uncertainty `u` [kg] used when the flight states none; `source` keys of SOURCES for
    pad and u; `note` for the reader.
    """

    pad: float
    u: float
    source_pad: str
    source_u: str
    note: str


EVIDENCE: Final[dict[tuple[Carried, How], Evidence]] = {
    ("person", "weighed"): Evidence(
        pad=0.0,
        u=0.5,
        source_pad="common-practice",
        source_u="common-practice",
        note="on a scale today, dressed to fly",
    ),
    ("person", "stated"): Evidence(
        pad=4.0,
        u=4.0,
        source_pad="amc1-cat-pol-mab-100",
        source_u="common-practice",
        note="told by the person; 4 kg of clothing added",
    ),
    ("person", "standard"): Evidence(
        pad=0.0,
        u=15.0,
        source_pad="common-practice",
        source_u="common-practice",
        note="average of many people; one person is often 15 kg off",
    ),
    ("person", "guessed"): Evidence(
        pad=0.0, u=10.0, source_pad="common-practice", source_u="common-practice", note="by eye"
    ),
    ("bag", "weighed"): Evidence(
        pad=0.0, u=0.3, source_pad="common-practice", source_u="common-practice", note="on a scale today"
    ),
    ("bag", "stated"): Evidence(
        pad=0.0, u=2.0, source_pad="common-practice", source_u="common-practice", note="told by its owner"
    ),
    ("bag", "guessed"): Evidence(
        pad=0.0, u=4.0, source_pad="common-practice", source_u="common-practice", note="by lifting it"
    ),
}
