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
    """`pad` and standard uncertainty `u` [kg] used when the flight states none; `note` for the reader."""

    pad: float
    u: float
    note: str


# Source: [common-practice]; the pad for clothing [amc1-cat-pol-mab-100].
EVIDENCE: Final[dict[tuple[Carried, How], Evidence]] = {
    ("person", "weighed"): Evidence(0.0, 0.5, "on a scale today, dressed to fly"),
    ("person", "stated"): Evidence(4.0, 4.0, "told by the person; 4 kg of clothing added"),
    ("person", "standard"): Evidence(0.0, 15.0, "average of many people; one person is often 15 kg off"),
    ("person", "guessed"): Evidence(0.0, 10.0, "by eye"),
    ("bag", "weighed"): Evidence(0.0, 0.3, "on a scale today"),
    ("bag", "stated"): Evidence(0.0, 2.0, "told by its owner"),
    ("bag", "guessed"): Evidence(0.0, 4.0, "by lifting it"),
}
