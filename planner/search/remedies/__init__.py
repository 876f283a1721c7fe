"""What to change in a flight that is not shown inside its limits, and what room one has that is."""

from planner.search.remedies.headroom import CardRow, Headroom, Room, headroom
from planner.search.remedies.search import Impossible, Remedies, remedies
from planner.search.remedies.steps import Kind, Remedy, Step
from planner.search.remedies.stop import Stop

__all__ = [
    "CardRow",
    "Headroom",
    "Impossible",
    "Kind",
    "Remedies",
    "Remedy",
    "Room",
    "Step",
    "Stop",
    "headroom",
    "remedies",
]
