"""A published example as a user would enter it: profile, flight, weighing and change written as files, read,
checked and planned.

Every file is written into a folder that lives only as long as the case, because the way from a file to the
result is what is checked. Figures that a source does not give (a flow, a feed, limits beyond reach) are
invented here and touch no printed figure.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from planner.logbook.mass.amend import work_out_change
from planner.logbook.mass.weigh import work_out
from planner.plan import Plan, plan_file
from planner.plan.results import State
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total
from planner.quantities.units import in_unit
from planner.records.sheets.change_sheet import load_change
from planner.records.sheets.weighing_sheet import load_worksheet
from planner.records.store import load_aircraft_file

NAME: Final = "published example"
_FAR: Final = "29 m"  # no printed CG comes near it: the envelope of a case that has none
_NO_TRIP: Final = ({"phase": "cruise", "fuel": "0 L"},)


@frozen(kw_only=True)
class PrintedLoading:
    """One printed loading. `empty` and `load` are mass and arm in `mass_unit` and `arm_unit`; `empty_moment`,
    where given, replaces the arm.

    `fuel` is an amount in one tank at `fuel_arm`, `density` a fixed one; `oil` a volume and its arm beside an
    empty mass without oil; `trip` the phases; `top` the greatest mass; `cg` forward and aft limit; `chord`
    leading edge and length of the MAC.
    """

    empty: tuple[float, float]
    load: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    empty_moment: str = ""
    fuel: str = "0 L"
    fuel_arm: float = 0.0
    density: str = "6 lb/USgal"
    oil: tuple[str, float] | None = None
    trip: tuple[Mapping[str, str], ...] = _NO_TRIP
    flow: str = "9 USgal/h"
    top: float | None = None
    cg: tuple[float, float] | None = None
    chord: tuple[float, float] | None = None
    mass_unit: str = "lb"
    arm_unit: str = "in"

    def _mass(self, value: float) -> str:
        return f"{value!r} {self.mass_unit}"

    def _arm(self, value: float) -> str:
        return f"{value!r} {self.arm_unit}"

    def profile(self) -> dict[str, Any]:
        """The aircraft of the example, as a profile states it."""
        top = self.top or 10 * (self.empty[0] + sum(mass for mass, _ in self.load.values()) + 1000)
        forward, aft = (self._arm(self.cg[0]), self._arm(self.cg[1])) if self.cg else (f"-{_FAR}", _FAR)
        ends = ("1 kg", self._mass(top))
        record: dict[str, Any] = {"mass": self._mass(self.empty[0]), "date": "2026-01-01"}
        record |= {"moment": self.empty_moment} if self.empty_moment else {"arm": self._arm(self.empty[1])}
        record["includes"] = ["unusable fuel"] if self.oil else ["full oil", "unusable fuel"]
        profile: dict[str, Any] = {
            "profile": 1,
            "name": NAME,
            "source": "a published example",
            "datum": "as printed",
            "fuel_grades": ["avgas-100LL"],
            "basic_empty": record,
            "stations": {
                name: {"kind": "other", "arm": self._arm(arm)} for name, (_, arm) in self.load.items()
            },
            "tanks": {"main": {"capacity": "1000 USgal", "unusable": "0 L", "arm": self._arm(self.fuel_arm)}},
            "masses": {"max_takeoff": self._mass(top)},
            "envelopes": {
                "normal": {
                    "edges": "linear in cg",
                    "forward": [[end, forward] for end in ends],
                    "aft": [[end, aft] for end in ends],
                }
            },
            "burn": {"cruise": self.flow},
        }
        if self.oil:
            profile["oil"] = {"volume": self.oil[0], "arm": self._arm(self.oil[1])}
        if self.chord:
            profile["mean_aerodynamic_chord"] = {
                "leading_edge": self._arm(self.chord[0]),
                "length": self._arm(self.chord[1]),
            }
        return profile

    def flight(self) -> dict[str, Any]:
        """The loading of the example, as a flight states it."""
        return {
            "flight": 1,
            "aircraft": "profile.yaml",
            "category": "normal",
            "rules": "us-vfr-day",
            "load": {name: self._mass(mass) for name, (mass, _) in self.load.items()},
            "fuel": {
                "grade": "avgas-100LL",
                "density": {"fixed": self.density},
                "tanks": {"main": self.fuel},
            },
            "trip": [dict(phase) for phase in self.trip],
        }


def _write(folder: Path, name: str, record: Mapping[str, Any]) -> Path:
    path = folder / name
    path.write_text(json.dumps(record, indent=1), encoding="utf-8")  # JSON is YAML
    return path


def fly(example: PrintedLoading) -> Plan:
    """The example planned from its files [SI]."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        _write(folder, "profile.yaml", example.profile())
        return plan_file(_write(folder, "flight.yaml", example.flight()))


def on_ramp(**printed: Any) -> State:
    """The example of that PrintedLoading at the ramp."""
    return fly(PrintedLoading(**printed)).state("ramp")


def fly_amended(
    example: PrintedLoading, change: Mapping[str, Any], sheet: Mapping[str, Any] | None = None
) -> Plan:
    """The example planned after a change of its mass record; `sheet` is the weighing the change may name as
    `sheet.yaml` [SI].
    """
    record = {"change": 1, "aircraft": NAME, "date": "2026-02-01", "reference": "as printed", **change}
    with TemporaryDirectory() as name:
        folder = Path(name)
        text = _block(example.profile())
        if sheet is not None:
            _write(folder, "sheet.yaml", sheet)
        path = folder / "profile.yaml"
        path.write_text(text, encoding="utf-8")
        amended = work_out_change(
            text, load_aircraft_file(path), load_change(_write(folder, "change.yaml", record))
        )
        path.write_text(amended.new_text, encoding="utf-8")
        return plan_file(_write(folder, "flight.yaml", example.flight()))


def _block(profile: Mapping[str, Any]) -> str:
    """A profile with one line for each of its keys, which is what carrying a record on edits; what stands
    behind a key is JSON.
    """
    return "".join(f"{key}: {json.dumps(value)}\n" for key, value in profile.items())


def sheet_of(points: Mapping[str, Mapping[str, str]], **more: Any) -> dict[str, Any]:
    """A weighing worksheet: `points` as the sheet states them; `fluids`, `removed` and `includes` where the
    source has some.
    """
    none = {"aboard": "0 lb", "in_result": "0 lb", "arm": "0 in"}
    fluids = {kind: {"kind": kind, **none} for kind in ("usable fuel", "unusable fuel", "oil")}
    return {
        "weighing": 1,
        "aircraft": NAME,
        "date": "2026-02-01",
        "place": "as printed",
        "weigher": {"name": "as printed"},
        "scale": {"id": "as printed"},
        "attitude": "level",
        "configuration": "as printed",
        "points": {name: dict(point) for name, point in points.items()},
        "fluids": fluids | more.pop("fluids", {}),
        "includes": more.pop("includes", []),
        **more,
    }


def weighed(sheet: Mapping[str, Any]) -> Total:
    """The basic empty mass of a worksheet, read from its file and worked out [kg, kg.m]."""
    with TemporaryDirectory() as name:
        return work_out(load_worksheet(_write(Path(name), "sheet.yaml", sheet))).result.basic_empty


def pounds(what: Total | State) -> float:
    """Mass [lb] of a total or of a planned state."""
    return in_unit(_total(what).mass, "lb")


def pound_inches(what: Total | State) -> float:
    """Moment, in pound-inches."""
    return in_unit(_total(what).moment, "lb.in")


def inches(what: Total | State) -> float:
    """CG [in]."""
    return in_unit(_total(what).centre_of_gravity, "in")


def printed(name: str, what: Total | State, *asked: str) -> dict[str, float]:
    """Figures of a case by its name and what is printed: `mass` in lb, `moment` in lb.in, `cg` in inches."""
    figures = {"mass": pounds, "moment": pound_inches, "cg": inches}
    return {f"{name}-{each}": figures[each](what) for each in asked or figures}


def _total(what: Total | State) -> Total:
    return what.total if isinstance(what, State) else what


def room(plan: Plan, state: str, limit: str) -> float:
    """Margin [kg or m] of the limit of that name in a state; below zero where it is broken."""
    return next(each.margin for each in plan.state(state).limits if each.name == limit)
