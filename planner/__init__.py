"""Fuel volume to mass, mass and balance through a whole flight, and how sure that is.

The names below are the library; each is loaded when first asked for, so that `import planner` costs nothing.
Engine figures are SI (and degC); units live in `read_quantity` and `Display`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from planner.data.grades import GRADES
    from planner.data.rules import RULES
    from planner.density.petroleum import density_15c_from, density_at, volume_correction_factor
    from planner.errors import Finding, InputRefused, OutOfRange
    from planner.moments import Item, Total, total
    from planner.plan import plan_file, plan_flight
    from planner.plan.results import Plan
    from planner.polygon import Envelope
    from planner.profile.store import load_aircraft, load_aircraft_file, load_flight_file, profile_ids
    from planner.report.flight_json import flight_json
    from planner.sources import SOURCES
    from planner.units import Display, Quantity, read_quantity

_HOME: Final = {
    "plan_file": "planner.plan",
    "plan_flight": "planner.plan",
    "Plan": "planner.plan.results",
    "load_flight_file": "planner.profile.store",
    "load_aircraft": "planner.profile.store",
    "load_aircraft_file": "planner.profile.store",
    "profile_ids": "planner.profile.store",
    "flight_json": "planner.report.flight_json",
    "read_quantity": "planner.units",
    "Quantity": "planner.units",
    "Display": "planner.units",
    "Finding": "planner.errors",
    "InputRefused": "planner.errors",
    "OutOfRange": "planner.errors",
    "density_at": "planner.density.petroleum",
    "density_15c_from": "planner.density.petroleum",
    "volume_correction_factor": "planner.density.petroleum",
    "Item": "planner.moments",
    "Total": "planner.moments",
    "total": "planner.moments",
    "Envelope": "planner.polygon",
    "GRADES": "planner.data.grades",
    "RULES": "planner.data.rules",
    "SOURCES": "planner.sources",
}

__all__ = [
    "GRADES",
    "RULES",
    "SOURCES",
    "Display",
    "Envelope",
    "Finding",
    "InputRefused",
    "Item",
    "OutOfRange",
    "Plan",
    "Quantity",
    "Total",
    "density_15c_from",
    "density_at",
    "flight_json",
    "load_aircraft",
    "load_aircraft_file",
    "load_flight_file",
    "plan_file",
    "plan_flight",
    "profile_ids",
    "read_quantity",
    "total",
    "volume_correction_factor",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'planner' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
