"""Fuel volume to mass, mass and balance through a whole flight, and how sure that is.

The names below are the library, described in docs/python.md; each is loaded when first asked for, so that
`import planner` costs nothing. Figures are SI (and degC); units live in `read_quantity` and `Display`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from planner.api import (
        LoadedAircraft,
        LoadedFlight,
        OfferedRemedies,
        OfferedRemedy,
        PlannedFlight,
        read_aircraft,
        read_flight,
    )
    from planner.data.grades import GRADES
    from planner.data.rules import RULES
    from planner.density.petroleum import density_15c_from, density_at
    from planner.errors import Finding, InputRefused, OutOfRange
    from planner.plan.chance import Chance
    from planner.profile.store import profile_ids
    from planner.report.shown_values import CheckedLimit, PlannedFuel, PlannedState
    from planner.sources import SOURCES
    from planner.units import Display, Quantity, read_quantity

_HOME: Final = {
    "read_flight": "planner.api",
    "read_aircraft": "planner.api",
    "profile_ids": "planner.profile.store",
    "LoadedFlight": "planner.api",
    "LoadedAircraft": "planner.api",
    "PlannedFlight": "planner.api",
    "PlannedState": "planner.report.shown_values",
    "PlannedFuel": "planner.report.shown_values",
    "CheckedLimit": "planner.report.shown_values",
    "OfferedRemedies": "planner.api",
    "OfferedRemedy": "planner.api",
    "Chance": "planner.plan.chance",
    "Finding": "planner.errors",
    "InputRefused": "planner.errors",
    "OutOfRange": "planner.errors",
    "read_quantity": "planner.units",
    "Quantity": "planner.units",
    "Display": "planner.units",
    "density_at": "planner.density.petroleum",
    "density_15c_from": "planner.density.petroleum",
    "GRADES": "planner.data.grades",
    "RULES": "planner.data.rules",
    "SOURCES": "planner.sources",
}

__all__ = [
    "GRADES",
    "RULES",
    "SOURCES",
    "Chance",
    "CheckedLimit",
    "Display",
    "Finding",
    "InputRefused",
    "LoadedAircraft",
    "LoadedFlight",
    "OfferedRemedies",
    "OfferedRemedy",
    "OutOfRange",
    "PlannedFlight",
    "PlannedFuel",
    "PlannedState",
    "Quantity",
    "density_15c_from",
    "density_at",
    "profile_ids",
    "read_aircraft",
    "read_flight",
    "read_quantity",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'planner' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
