"""Fuel in tanks: volumes, mass, moment, dips, and the order in which it is burnt."""

from planner.flight.fuel.draws import (
    EMPTY,
    NOTHING_DRAWN,
    ROUNDING,
    Changes,
    Draw,
    Held,
    Leg,
    Off,
    Shortage,
    Stage,
    burn_down,
    combined,
    held_after,
)
from planner.flight.fuel.tank import FuelTank, dip_to_volume

__all__ = [
    "EMPTY",
    "NOTHING_DRAWN",
    "ROUNDING",
    "Changes",
    "Draw",
    "FuelTank",
    "Held",
    "Leg",
    "Off",
    "Shortage",
    "Stage",
    "burn_down",
    "combined",
    "dip_to_volume",
    "held_after",
]
