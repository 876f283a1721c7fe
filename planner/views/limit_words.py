"""From ids to words: where a limit is asked, what its group limits, how its verdict reads; the one table
every view takes them from.
"""

from __future__ import annotations

from typing import Any, Final

from planner.flight.envelope import LimitResult, Verdict
from planner.flight.limits import STATES, Group, Place
from planner.plan.results import Plan
from planner.quantities.units import SI_UNIT, Display
from planner.views.keyed import keyed

# Where a limit is asked: as a title, and within a sentence.
PLACE_WORDS: Final[dict[Place, tuple[str, str]]] = {
    "load": ("load", ""),
    "fuel": ("fuel", ""),
    "ramp": ("ramp", "on the ramp"),
    "takeoff": ("take-off", "at take-off"),
    "landing": ("landing", "at landing"),
    "zero fuel": ("zero fuel", "at zero fuel"),
    "burn": ("whole burn", "in the burn"),
}
STATE_WORDS: Final[dict[str, str]] = {place: PLACE_WORDS[place][0] for place in STATES}
STATE_LETTERS: Final[dict[str, str]] = {place: STATE_WORDS[place][0].upper() for place in STATES}
# What the limits of a group limit, in the order they are shown in.
GROUP_WORDS: Final[dict[Group, str]] = {
    "mass": "mass limits",
    "forward": "forward limit",
    "aft": "aft limit",
    "lateral": "lateral limits",
    "load": "stations",
    "fuel": "fuel beyond what is required",
    "tank": "phases on the tank they name",
}
VERDICT_WORDS: Final[dict[Verdict, str]] = {
    "inside": "inside",
    "not shown inside": "not shown inside",
    "outside": "OUTSIDE",
}
VERDICT_STYLES: Final[dict[Verdict, str]] = {
    "inside": "bold green",
    "not shown inside": "bold yellow",
    "outside": "bold red",
}
CELL_STYLES: Final[dict[Verdict, str]] = {**VERDICT_STYLES, "inside": "green"}
MASS_LIMIT_NOTE: Final = (
    "Mass limits are checked with the fuel at its density plus U, so the mass shown against a limit can be a"
    " little above that of the state."
)


def letters(plan: Plan) -> str:
    """What the letters of the states in a picture mean."""
    return ", ".join(f"{STATE_LETTERS[state.name]} {STATE_WORDS[state.name]}" for state in plan.states)


def at_limit(limit: LimitResult) -> bool:
    """Whether the figure stands exactly at its limit and nothing about it is unsure: `inside`, by what a
    limit means.
    """
    return limit.margin == 0.0 and limit.uncertainty == 0.0 and limit.verdict == "inside"


def is_greatest(limit: LimitResult) -> bool:
    """Whether it is a greatest value: then the margin is limit less value."""
    return abs(limit.limit - limit.value - limit.margin) <= abs(limit.value - limit.limit - limit.margin)


def verdict_words(limit: LimitResult) -> str:
    """The verdict of a limit as it is read, with the one that has no room left told apart."""
    return "inside, at the limit" if at_limit(limit) else VERDICT_WORDS[limit.verdict]


def most_words(limit: LimitResult, display: Display) -> str:
    """The most a station or a group may hold, with the verdict where there is something to say of it."""
    word = "" if limit.verdict == "inside" and not at_limit(limit) else f" {verdict_words(limit)}"
    return f"{display.number(limit.limit, limit.dimension)}{word}"


def margin_json(limit: LimitResult) -> dict[str, Any]:
    """The margin of a limit with its U and verdict, in the unit named beside them."""
    return keyed(limit, "unit margin expanded_uncertainty=uncertainty verdict", unit=SI_UNIT[limit.dimension])
