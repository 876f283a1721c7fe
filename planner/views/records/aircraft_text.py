"""Profiles, for people and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from planner.facts.cautions import INVENTED, PLAN_SHORT
from planner.flight.limits import mass_bounds, register
from planner.quantities.sentences import Figure, book
from planner.quantities.units import LITRE, Dimension, Display
from planner.records.aircraft.record import Aircraft
from planner.records.store import Loaded
from planner.views.blocks import Filled, Page, Row, Shows
from planner.views.keyed import keyed, plain
from planner.views.words import included

if TYPE_CHECKING:
    from planner.plan.examples import Compared, Reckoned


def list_json(profiles: Sequence[tuple[str, Aircraft]]) -> dict[str, Any]:
    """Ids, names, grades and limits."""
    rows = [
        {"id": key}
        | keyed(
            aircraft,
            "name invented max_takeoff_kg=masses.max_takeoff.value basic_empty_kg=basic_empty.mass.value"
            " usable_fuel_l fuel_grades categories",
            usable_fuel_l=sum(tank.usable for tank in aircraft.tanks.values()) * 1e3,
            categories=list(aircraft.envelopes),
        )
        for key, aircraft in profiles
    ]
    return {"schema": "planner/aircraft-list/1", "aircraft": rows, "cautions": [INVENTED, PLAN_SHORT]}


def render_list(profiles: Sequence[tuple[str, Aircraft]], console: Shows) -> None:
    """One line per profile."""
    page = Page(console)
    page.heading("Profiles that come with the program")
    columns = "id: words | seats | basic empty [kg] | take-off [kg] | usable [L] | categories: words"
    rows = []
    for key, aircraft in profiles:
        seats = sum(station.seats for station in aircraft.stations.values())
        usable = sum(tank.usable for tank in aircraft.tanks.values()) / LITRE
        figures = f"{aircraft.basic_empty.mass.value:.1f}", f"{aircraft.masses.max_takeoff.value:.0f}"
        rows.append((key, str(seats), *figures, f"{usable:.0f}", ", ".join(aircraft.envelopes)))
    page.table(columns, rows, "profiles")
    page.caution([INVENTED])


def profile_json(loaded: Loaded[Aircraft]) -> dict[str, Any]:
    """The record in SI, with the file it came from and its notices."""
    aircraft = loaded.record
    return {
        "schema": "planner/aircraft/1",
        "file": loaded.document.path,
        "basic_empty_version": aircraft.basic_empty.version_id,
        **plain(aircraft),
        "findings": [finding.as_json() for finding in loaded.notices],
        "cautions": [*([INVENTED] if aircraft.invented else []), PLAN_SHORT],
    }


def render_profile(loaded: Loaded[Aircraft], shown: Display, console: Shows) -> None:
    """The whole profile in the reader's units, so that it can be held against the manual line by line."""
    aircraft, page = loaded.record, Page(console)
    page.line(f"{aircraft.name}  ({loaded.document.path})")
    page.caution([PLAN_SHORT], invented=aircraft.invented)
    page.line()
    empty = aircraft.basic_empty
    u = f", U {shown.text(2 * empty.mass.u, 'mass')} (k = 2)" if empty.mass.u else ", no uncertainty stated"
    mass, arm = shown.text(empty.mass.value, "mass"), shown.text(empty.arm_value(), "length")
    due, older = empty.next_due or "not stated", len(aircraft.superseded)
    flows = "; ".join(
        f"{phase} {book(flow.value, flow.dimension).shown(shown)}" for phase, flow in aircraft.burn.items()
    )
    order = ", then ".join(" with ".join(group) for group in aircraft.feed_order())
    order = "together" if aircraft.feed == "together" else order
    for text in (
        f"source: {aircraft.source}",
        f"datum: {aircraft.datum}; arms positive aft, lateral arms positive right",
        f"basic empty mass {mass} at {arm}{u}; established {empty.date}; includes {included(empty)}",
        f"mass record {empty.version_id}, {empty.established}; next due {due}; {older} older kept",
        f"tanks feed {order}; fuel grades {', '.join(aircraft.fuel_grades)}",
        f"fuel flow: {flows}",
        *([f"the pilot sits on '{aircraft.pilot}'"] if aircraft.pilot else []),
        *(
            f"tank '{name}' up to '{mark}': {shown.text(level.value, 'volume')} usable"
            for name, tank in aircraft.tanks.items()
            for mark, level in tank.marks.items()
        ),
    ):
        page.paragraph(text, first="")
    _places(page, aircraft, shown)
    for name in aircraft.envelopes:
        _category(page, aircraft, name, shown)
    page.notices([str(finding) for finding in loaded.notices])
    page.caution([PLAN_SHORT])


def _places(page: Page, aircraft: Aircraft, shown: Display) -> None:
    """Stations and tanks."""
    page.heading("Stations")
    table = Filled(shown, "station: words | kind: words | arm: length | seats")
    for name, each in aircraft.stations.items():
        table.add(name, each.kind, each.arm.value, str(each.seats or "-"))
    page.add(table.made("stations"))
    page.heading("Tanks")
    volumes, arm = "capacity: volume | unusable: volume", f"arm [{shown.unit('length')}]"
    table = Filled(shown, f"tank: words | {volumes} | {arm} | dipstick: words")
    for name, tank in aircraft.tanks.items():
        arms = [shown.number(arm, "length") for _, arm in tank.arm_points()]
        stick = aircraft.dipsticks.get(name)
        span = arms[0] if len(arms) == 1 else f"{arms[0]} to {arms[-1]} (table)"
        table.add(name, tank.capacity.value, tank.unusable.value, span, stick.id if stick else "none")
    page.add(table.made("tanks"))


def _category(page: Page, aircraft: Aircraft, name: str, shown: Display) -> None:
    """Every limit of a category, as every plan asks them, and its envelope."""
    page.heading(f"Limits, {name} category")
    limits: list[tuple[str, float, bool, Dimension]] = [
        (each.name, each.at(), True, "mass") for each in mass_bounds(aircraft, name)
    ]
    limits += [
        (each.name, each.at(), each.upper, each.dimension)
        for each in register(aircraft, name)
        if each.quantity in ("load", "fuel")
    ]
    if aircraft.lateral is not None:
        left, right = aircraft.lateral.left.value, aircraft.lateral.right.value
        limits += [("lateral CG, left", left, False, "length"), ("lateral CG, right", right, True, "length")]
    rows = [
        (what, "at most" if upper else "at least", shown.text(bound, dimension))
        for what, bound, upper, dimension in limits
    ]
    page.table("limit: words | : words | figure", rows, f"limits-{name}")
    category = aircraft.envelopes[name]
    page.heading(f"Envelope, {name} category, {category.edges}")
    table = Filled(shown, "side: words | mass: mass | limit: length")
    for side, edge in (("forward", category.forward), ("aft", category.aft)):
        for mass, arm in edge:
            table.add(side, mass.value, arm.value)
    page.add(table.made(f"envelope-{name}"))


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
        heads = "figure: words | printed | reckoned | difference | rounding\nexplains | : words"
        page.table(heads, rows)


def examples_json(reckoned: Sequence[Reckoned]) -> list[dict[str, Any]]:
    """The same in SI."""
    return [
        keyed(
            each,
            "name=example.name mass_record=record agrees inside_printed=example.inside inside figures",
            figures=[_figure_json(one) for one in each.figures],
        )
        for each in reckoned
    ]


def _figure_json(one: Compared) -> dict[str, Any]:
    unit = {"mass": "kg", "moment": "kg_m", "length": "m"}[one.dimension]
    told = f"printed_{unit}=printed.value reckoned_{unit}=ours allowed_{unit}=allowed"
    return keyed(one, f"figure=key text=printed.text {told} agrees")
