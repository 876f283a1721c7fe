"""Profiles, for people and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from planner.facts.cautions import INVENTED, PLAN_SHORT
from planner.quantities.sentences import Figure
from planner.quantities.units import Display, Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.store import Loaded
from planner.views.blocks import Column, Page, Row

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from planner.plan.examples import Reckoned


def list_json(profiles: Sequence[tuple[str, Aircraft]]) -> dict[str, Any]:
    """Ids, names, grades and limits."""
    rows = [
        {
            "id": key,
            "name": aircraft.name,
            "invented": aircraft.invented,
            "max_takeoff_kg": aircraft.masses.max_takeoff.value,
            "basic_empty_kg": aircraft.basic_empty.mass.value,
            "usable_fuel_l": sum(tank.usable for tank in aircraft.tanks.values()) * 1e3,
            "fuel_grades": list(aircraft.fuel_grades),
            "categories": list(aircraft.envelopes),
        }
        for key, aircraft in profiles
    ]
    return {"schema": "planner/aircraft-list/1", "aircraft": rows, "cautions": [INVENTED, PLAN_SHORT]}


def _table(title: str, *headings: str) -> Table:
    from rich.box import SIMPLE_HEAD
    from rich.table import Table

    table = Table(box=SIMPLE_HEAD, title=title, title_justify="left", title_style="bold", pad_edge=False)
    for index, heading in enumerate(headings):
        table.add_column(heading, justify="left" if index == 0 else "right", overflow="fold")
    return table


def render_list(profiles: Sequence[tuple[str, Aircraft]], console: Console) -> None:
    """One line per profile."""
    table = _table(
        "Profiles that come with the program",
        "id",
        "seats",
        "basic empty kg",
        "take-off kg",
        "usable L",
        "categories",
    )
    for key, aircraft in profiles:
        seats = sum(station.seats for station in aircraft.stations.values())
        usable = sum(tank.usable for tank in aircraft.tanks.values()) * 1e3
        masses = f"{aircraft.basic_empty.mass.value:.1f}", f"{aircraft.masses.max_takeoff.value:.0f}"
        table.add_row(key, str(seats), *masses, f"{usable:.0f}", ", ".join(aircraft.envelopes))
    console.print(table)
    console.print(f"CAUTION: {INVENTED}")


def profile_json(loaded: Loaded[Aircraft]) -> dict[str, Any]:
    """The record in SI, with the file it came from and its notices."""
    aircraft = loaded.record

    def plain(value: Any) -> Any:
        if isinstance(value, Quantity):
            return {"si": value.value, "u": value.u, "dimension": value.dimension, "text": value.text}
        if isinstance(value, dict):
            return {key: plain(each) for key, each in value.items()}
        if isinstance(value, (list, tuple)):
            return [plain(each) for each in value]
        return value if value is None or isinstance(value, (str, int, float, bool)) else str(value)

    record = {name: plain(_dump(getattr(aircraft, name))) for name in type(aircraft).model_fields}
    return {
        "schema": "planner/aircraft/1",
        "file": loaded.document.path,
        "basic_empty_version": aircraft.basic_empty.version_id,
        **record,
        "findings": [finding.as_json() for finding in loaded.notices],
        "cautions": [*([INVENTED] if aircraft.invented else []), PLAN_SHORT],
    }


def _dump(value: Any) -> Any:
    from pydantic import BaseModel

    if isinstance(value, BaseModel):
        return {name: _dump(getattr(value, name)) for name in type(value).model_fields}
    if isinstance(value, dict):
        return {key: _dump(each) for key, each in value.items()}
    if isinstance(value, tuple):
        return [_dump(each) for each in value]
    return value


def render_profile(loaded: Loaded[Aircraft], shown: Display, console: Console) -> None:
    """The whole profile in the reader's units, so that it can be held against the manual line by line."""
    aircraft = loaded.record
    console.print(f"{aircraft.name}  ({loaded.document.path})", style="bold", soft_wrap=True)
    if aircraft.invented:
        console.print(f"CAUTION: {INVENTED}")
    console.print(f"CAUTION: {PLAN_SHORT}")
    console.print(f"source: {aircraft.source}")
    console.print(f"datum: {aircraft.datum}; arms positive aft, lateral arms positive right")
    empty = aircraft.basic_empty
    uncertain = (
        f", U {shown.text(2 * empty.mass.u, 'mass')} (k = 2)" if empty.mass.u else ", no uncertainty stated"
    )
    console.print(
        f"basic empty mass {shown.text(empty.mass.value, 'mass')} at"
        f" {shown.text(empty.arm_value(), 'length')}{uncertain}; established {empty.date}; includes"
        f" {', '.join(empty.includes) or 'neither oil nor unusable fuel'}"
    )
    console.print(
        f"mass record {empty.version_id}, {empty.established}; next due {empty.next_due or 'not stated'};"
        f" {len(aircraft.superseded)} older kept"
    )
    masses = {
        key.replace("_", " "): getattr(aircraft.masses, key)
        for key in ("max_ramp", "max_takeoff", "max_landing", "max_zero_fuel")
    }
    console.print(
        "; ".join(
            f"{key} {shown.text(value.value, 'mass')}" for key, value in masses.items() if value is not None
        )
    )
    table = _table(
        "Stations", "station", "kind", f"arm {shown.unit('length')}", "seats", f"limit {shown.unit('mass')}"
    )
    for name, station in aircraft.stations.items():
        limit = shown.number(station.max.value, "mass") if station.max is not None else "none"
        table.add_row(
            name, station.kind, shown.number(station.arm.value, "length"), str(station.seats or "-"), limit
        )
    console.print(table)
    for combined in aircraft.combined_limits:
        console.print(
            f"combined limit '{combined.name}': {' + '.join(combined.stations)} not above"
            f" {shown.text(combined.max.value, 'mass')}"
        )
    table = _table(
        "Tanks",
        "tank",
        f"capacity {shown.unit('volume')}",
        f"unusable {shown.unit('volume')}",
        f"arm {shown.unit('length')}",
        "dipstick",
    )
    for name, tank in aircraft.tanks.items():
        arms = [shown.number(arm, "length") for _, arm in tank.arm_points()]
        stick = aircraft.dipsticks.get(name)
        table.add_row(
            name,
            shown.number(tank.capacity.value, "volume"),
            shown.number(tank.unusable.value, "volume"),
            arms[0] if len(arms) == 1 else f"{arms[0]} to {arms[-1]} (table)",
            stick.id if stick else "none",
        )
    console.print(table)
    order = (
        "together"
        if aircraft.feed == "together"
        else ", then ".join(" with ".join(group) for group in aircraft.feed_order())
    )
    console.print(f"tanks feed {order}; fuel grades {', '.join(aircraft.fuel_grades)}")
    for name, category in aircraft.envelopes.items():
        table = _table(
            f"Envelope, {name} category, {category.edges}",
            "side",
            f"mass {shown.unit('mass')}",
            f"limit {shown.unit('length')}",
        )
        for side in ("forward", "aft"):
            for mass, arm in getattr(category, side):
                table.add_row(side, shown.number(mass.value, "mass"), shown.number(arm.value, "length"))
        console.print(table)
        if category.max_takeoff is not None:
            console.print(
                f"take-off mass in this category not above {shown.text(category.max_takeoff.value, 'mass')}"
            )
        if category.forbids:
            console.print(f"no load allowed on {', '.join(category.forbids)}")
    flows = "; ".join(f"{phase} {flow.text}" for phase, flow in aircraft.burn.items())
    console.print(f"fuel flow: {flows}")
    for finding in loaded.notices:
        console.print(f"notice: {finding}", soft_wrap=True)
    console.print(f"CAUTION: {PLAN_SHORT}")


_AGREES: Final = {True: ("agrees", ""), False: ("DIFFERS", "bold red")}
_PRINTED: Final = {"mass": "mass", "moment": "moment", "centre_of_gravity": "centre of gravity"}


def examples_blocks(name: str, reckoned: Sequence[Reckoned], shown: Display, page: Page) -> None:
    """The sample loadings of a profile, printed against ours."""
    for each in reckoned:
        record = f", with the replaced mass record {each.record}" if each.record else ""
        page.heading(f"{name}: {each.example.name}{record}: printed against reckoned")
        rows: list[Row] = []
        for one in each.figures:
            ours, allowed = (shown.text(value, one.dimension, 1) for value in (one.ours, one.allowed))
            off = Figure(one.difference, one.dimension, 1, sign=True).shown(shown)
            word, style = _AGREES[one.agrees]
            rows.append(Row((_PRINTED[one.key], one.printed.text, ours, off, allowed, word), style))
        if each.example.inside is not None:
            printed, ours = (
                "inside" if inside else "outside" for inside in (each.example.inside, each.inside)
            )
            word, style = _AGREES[printed == ours]
            rows.append(Row(("verdict", printed, ours, "", "", word), style))
        heads = ("printed", "reckoned", "difference", "rounding\nexplains")
        page.table([Column("figure", figures=False), *map(Column, heads), Column("", figures=False)], rows)


def examples_json(reckoned: Sequence[Reckoned]) -> list[dict[str, Any]]:
    """The same in SI."""
    units = {"mass": "kg", "moment": "kg_m", "length": "m"}
    return [
        {
            "name": each.example.name,
            "mass_record": each.record,
            "agrees": each.agrees,
            "inside_printed": each.example.inside,
            "inside": each.inside,
            "figures": [
                {
                    "figure": one.key,
                    "text": one.printed.text,
                    f"printed_{units[one.dimension]}": one.printed.value,
                    f"reckoned_{units[one.dimension]}": one.ours,
                    f"allowed_{units[one.dimension]}": one.allowed,
                    "agrees": one.agrees,
                }
                for one in each.figures
            ],
        }
        for each in reckoned
    ]
