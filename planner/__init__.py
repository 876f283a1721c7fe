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
    from planner.density.petroleum import density_15c_from, density_at
    from planner.facts.grades import GRADES
    from planner.facts.rules import RULES
    from planner.facts.sources import SOURCES
    from planner.quantities.errors import Finding, InputRefused, OutOfRange
    from planner.quantities.units import Display, Quantity, read_quantity
    from planner.records.store import profile_ids
    from planner.sureness.chance import Chance
    from planner.views.shown_values import CheckedLimit, PlannedFuel, PlannedState

_HOME: Final = {
    "read_flight": "planner.api",
    "read_aircraft": "planner.api",
    "profile_ids": "planner.records.store",
    "LoadedFlight": "planner.api",
    "LoadedAircraft": "planner.api",
    "PlannedFlight": "planner.api",
    "PlannedState": "planner.views.shown_values",
    "PlannedFuel": "planner.views.shown_values",
    "CheckedLimit": "planner.views.shown_values",
    "OfferedRemedies": "planner.api",
    "OfferedRemedy": "planner.api",
    "Chance": "planner.sureness.chance",
    "Finding": "planner.quantities.errors",
    "InputRefused": "planner.quantities.errors",
    "OutOfRange": "planner.quantities.errors",
    "read_quantity": "planner.quantities.units",
    "Quantity": "planner.quantities.units",
    "Display": "planner.quantities.units",
    "density_at": "planner.density.petroleum",
    "density_15c_from": "planner.density.petroleum",
    "GRADES": "planner.facts.grades",
    "RULES": "planner.facts.rules",
    "SOURCES": "planner.facts.sources",
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
