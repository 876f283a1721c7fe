"""Small flights written by hand: an aircraft with wide limits, of which a test changes what it is about."""

from __future__ import annotations

from typing import Any

from tests.oracle.generate import Case


def plain(**changed: Any) -> Case:
    """700 kg empty at 2.00 m, one seat at 2.10 m, one tank at 2.20 m, fuel of 0.7 kg/L, everything exact.
    Keys are those of the files.
    """
    profile: dict[str, Any] = {
        "profile": 1,
        "name": "Plain case",
        "invented": True,
        "source": "Invented for a test.",
        "datum": "somewhere ahead",
        "fuel_grades": ["avgas-100LL", "jet-A1"],
        "basic_empty": {
            "mass": "700 kg",
            "arm": "2.00 m",
            "date": "2026-03-14",
            "includes": ["full oil", "unusable fuel"],
        },
        "stations": {"front seats": {"kind": "seats", "seats": 1, "arm": "2.10 m"}},
        "tanks": {"main": {"capacity": "200 L", "unusable": "0 L", "arm": "2.20 m"}},
        "feed": "together",
        "masses": {"max_takeoff": "4000 kg"},
        "envelopes": {
            "normal": {
                "edges": "linear in cg",
                "forward": [["100 kg", "0.5 m"], ["4000 kg", "0.5 m"]],
                "aft": [["100 kg", "5 m"], ["4000 kg", "5 m"]],
            }
        },
        "burn": {"taxi": "10 L/h", "cruise": "40 L/h", "holding": "30 L/h"},
    }
    flight: dict[str, Any] = {
        "flight": 1,
        "category": "normal",
        "rules": "us-vfr-day",
        "load": {"front seats": "80 kg"},
        "fuel": {"grade": "avgas-100LL", "density": {"fixed": "0.7 kg/L"}, "tanks": {"main": "100 L"}},
        "trip": [{"phase": "cruise", "fuel": "20 L"}],
    }
    for key, value in changed.items():
        (flight if key in flight or key in ("alternate", "contingency", "discretionary") else profile)[
            key
        ] = value
    return Case(0, profile, flight)


def edges(forward: str, aft: str) -> dict[str, Any]:
    """One category with two upright edges."""
    return {
        "normal": {
            "edges": "linear in cg",
            "forward": [["100 kg", forward], ["4000 kg", forward]],
            "aft": [["100 kg", aft], ["4000 kg", aft]],
        }
    }
