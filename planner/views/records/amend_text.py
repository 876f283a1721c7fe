"""A change to a mass record, and the adverse loadings of an aircraft, on the screen and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from planner.facts.cautions import INVENTED, PLAN_SHORT, PREPARED
from planner.flight.envelope import LimitResult, Verdict
from planner.flight.extremes import Adverse, Assumptions
from planner.logbook.mass.amend import Amendment
from planner.logbook.mass.hung import REVISION_SHARE
from planner.quantities.moments import Total
from planner.quantities.sentences import finding_line, joined, said
from planner.quantities.units import Display
from planner.records.aircraft.mass_record import BasicEmpty
from planner.records.aircraft.record import Aircraft
from planner.views.blocks import INDENT, Column, Page, Row
from planner.views.words import LATERAL_UNKNOWN

if TYPE_CHECKING:
    from rich.console import Console

SCHEMA: Final = "planner/amendment/1"
EXTREMES_SCHEMA: Final = "planner/extremes/1"
_STYLES: Final[dict[Verdict, str]] = {
    "inside": "green",
    "not shown inside": "bold yellow",
    "outside": "bold red",
}


def _record_row(name: str, record: BasicEmpty, total: Total, shown: Display) -> Row:
    figures = [
        shown.number(total.mass, "mass", 1),
        shown.number(total.centre_of_gravity, "length"),
        shown.number(total.moment, "moment"),
    ]
    return Row([name, *figures, record.version_id])


def _columns(shown: Display, first: str, last: str) -> list[Column]:
    figures = [
        Column(f"mass\n{shown.unit('mass')}"),
        Column(f"arm\n{shown.unit('length')}"),
        Column(f"moment\n{shown.unit('moment')}"),
    ]
    return [Column(first, figures=False), *figures, *([Column(last, figures=False)] if last else [])]


def _verdict_text(limit: LimitResult) -> str:
    return "OUTSIDE" if limit.verdict == "outside" else limit.verdict


def _drift(page: Page, done: Amendment, shown: Display) -> None:
    change = done.since_weighing
    page.heading("Since the last weighing")
    page.paragraph(f"Last weighing: record {done.recorded.version_id}.")
    page.paragraph(
        f"Mass changed by {shown.text(change.mass, 'mass', 1, sign=True)}, {change.mass_share:.2%} of the"
        f" {done.landing_basis}."
    )
    share = (
        f", {change.chord_share:.2%} of the mean aerodynamic chord" if change.chord_share is not None else ""
    )
    page.paragraph(f"CG moved by {shown.span(change.cg, 'length')}{share}.")
    rule = (
        f"AMC1 CAT.POL.MAB.100(b) asks for a revised record beyond {REVISION_SHARE:.1%} of either; a rule for"
        " operators, good practice for anyone."
    )
    here = "; this change revises it" if change.revise else ""
    page.paragraph(f"{change.reason[0].upper()}{change.reason[1:]}{here}. {rule}")
    if done.lines:
        words = {True: "Negligible", False: "Not negligible", None: "No figure for so heavy an aircraft"}[
            done.negligible
        ]
        page.paragraph(
            f"{words} by AC 43.13-1B 10-2c (1 lb or less below 5000 lb empty), counting every mass put in,"
            " taken out or moved."
        )


def render_amendment(done: Amendment, shown: Display, console: Console, written: bool) -> None:
    """What changes, what it comes to, what it does to the adverse loadings, and the lines of the file that
    change.
    """
    page = Page(console)
    page.paragraph(
        f"Change to the mass record of {done.aircraft.name}: {done.sheet.reference}, {done.sheet.date}",
        "bold",
        first="",
        rest=INDENT,
    )
    page.panel("Caution", [*([INVENTED] if done.aircraft.invented else []), PREPARED], "bold yellow")
    page.heading("Records")
    rows = [_record_row("before", done.before, done.totals[0], shown)]
    for line in done.lines:
        figures = [
            shown.number(line.mass, "mass", 1, sign=True),
            shown.number(line.arm, "length"),
            shown.number(line.moment, "moment", sign=True),
        ]
        rows.append(Row([line.name, *figures, ""]))
    after = _record_row("after", done.after, done.totals[1], shown)
    page.table(_columns(shown, "", "record"), [*rows, Row(after.cells, "bold")])
    page.paragraph(
        f"The new record is {done.after.established}; it includes"
        f" {', '.join(done.after.includes) or 'neither oil nor unusable fuel'}."
    )
    if done.u_mass or done.u_cg:
        page.paragraph(
            f"U of the new record (k = 2): mass {shown.text(done.u_mass, 'mass', 1)}, CG"
            f" {shown.text(done.u_cg, 'length')}."
        )
    _drift(page, done, shown)
    page.heading("The most forward and the most aft loading, before and after")
    columns = [
        Column("category and limit", figures=False),
        Column("margin\nbefore"),
        Column("margin\nafter"),
        Column("U"),
        Column("after", figures=False),
    ]
    rows = []
    for pair in done.adverse:
        limit = pair.after.limit
        figures = [shown.span(each, "length") for each in (pair.before.limit.margin, limit.margin)]
        cells = [
            f"{pair.category}, {limit.name}",
            *figures,
            shown.span(limit.uncertainty, "length").lstrip("+"),
            _verdict_text(limit),
        ]
        rows.append(Row(cells, _STYLES[limit.verdict]))
    page.table(columns, rows)
    page.paragraph(
        f"Assumed: {said(joined('; ', done.adverse_notes), shown)}. See: planner aircraft check --extremes."
    )
    page.heading("Lines of the profile" if written else "Lines of the profile that would change")
    for row in done.changed_lines:
        page.paragraph(row, "red" if row.startswith("-") else "green", rest=INDENT * 3)
    if done.findings:
        page.heading("Notices")
        page.bullets([finding_line(finding, shown) for finding in done.findings], "yellow")
    page.panel("Caution", [PREPARED], "bold yellow")


def _record_json(record: BasicEmpty, total: Total, across: bool) -> dict[str, Any]:
    return {
        "version": record.version_id,
        "date": str(record.date),
        "established": record.established,
        "mass_kg": total.mass,
        "cg_m": total.centre_of_gravity,
        "moment_kg_m": total.moment,
        "lateral_cg_m": total.lateral_centre_of_gravity if across else LATERAL_UNKNOWN,
        "includes": list(record.includes),
        "next_due": str(record.next_due or "not stated"),
    }


def _limit_json(limit: LimitResult) -> dict[str, Any]:
    return {
        "cg_m": limit.value,
        "limit_m": limit.limit,
        "margin_m": limit.margin,
        "expanded_uncertainty_m": limit.uncertainty,
        "verdict": limit.verdict,
    }


def amendment_json(done: Amendment, written: bool) -> dict[str, Any]:
    """The change in SI; schema `planner/amendment/1`."""
    change = done.since_weighing
    across = done.aircraft.lateral_known or "lateral_arm" in done.after.model_fields_set
    return {
        "schema": SCHEMA,
        "caution": PREPARED,
        "written": written,
        "profile": done.path,
        "before": _record_json(done.before, done.totals[0], across),
        "after": {
            **_record_json(done.after, done.totals[1], across),
            "mass_expanded_uncertainty_kg": done.u_mass,
            "cg_expanded_uncertainty_m": done.u_cg,
        },
        "lines": [
            {"name": line.name, "mass_kg": line.mass, "arm_m": line.arm, "lateral_arm_m": line.lateral_arm}
            for line in done.lines
        ],
        "since_weighing": {
            "record": done.recorded.version_id,
            "mass_kg": change.mass,
            "cg_m": change.cg,
            "mass_share": change.mass_share,
            "mass_share_of": done.landing_basis,
            "chord_share": (
                change.chord_share
                if change.chord_share is not None
                else "no mean aerodynamic chord in the profile"
            ),
            "revise": change.revise,
            "reason": change.reason,
        },
        "negligible": done.negligible if done.negligible is not None else "no threshold applies",
        "extremes": [
            {
                "category": pair.category,
                "side": pair.after.side,
                "before": _limit_json(pair.before.limit),
                "after": _limit_json(pair.after.limit),
            }
            for pair in done.adverse
        ],
        "assumptions": [str(note) for note in done.adverse_notes],
        "changed_lines": list(done.changed_lines),
        "findings": [finding.as_json() for finding in done.findings],
    }


def render_extremes(
    aircraft: Aircraft, assumed: Assumptions, checked: Sequence[Adverse], shown: Display, console: Console
) -> None:
    """Both adverse loadings of every category: what is aboard, CG, limit, margin, verdict."""
    page = Page(console)
    page.paragraph(f"Adverse loadings of {aircraft.name}", "bold", first="", rest=INDENT)
    if aircraft.invented:
        page.panel("Caution", [INVENTED], "bold yellow")
    page.panel("Caution", [PLAN_SHORT], "bold yellow")
    for found in checked:
        page.heading(f"{found.category} category")
        if found.reason:
            page.paragraph(said(found.reason, shown))
            continue
        least = (
            f"{shown.text(assumed.occupant, 'mass')} each; least fuel"
            f" {shown.text(assumed.minimum_fuel, 'volume')}"
        )
        page.paragraph(f"Assumed: {said(joined('; ', found.notes), shown)}; {least}.")
        for each in found.pair:
            limit = each.limit
            page.line()
            words = (
                f"Most {each.side} loading: {_verdict_text(limit)}, CG {shown.text(limit.value, 'length')}"
                f" against {shown.text(limit.limit, 'length')}"
            )
            margin = (
                f"margin {shown.span(limit.margin, 'length')}, U"
                f" {shown.span(limit.uncertainty, 'length').lstrip('+')}"
            )
            page.paragraph(f"{words}, {margin}.", _STYLES[limit.verdict])
            rows = [
                Row(
                    [
                        item.name,
                        shown.number(item.mass, "mass"),
                        shown.number(item.arm, "length"),
                        shown.number(item.moment, "moment"),
                    ]
                )
                for item in each.items
            ]
            if each.moment_change:
                rows.append(Row([each.moment_change, "", "", shown.number(each.change, "moment", sign=True)]))
            total = each.total
            figures = [
                shown.number(total.mass, "mass"),
                shown.number(total.centre_of_gravity, "length"),
                shown.number(total.moment, "moment"),
            ]
            page.table(_columns(shown, "item", ""), [*rows, Row(["total", *figures], "bold")])
    page.line()
    page.paragraph(
        "Outside means: the stations alone do not keep the aircraft inside. Load it by a plan for every"
        " flight, and ask how the manual limits it."
    )


def extremes_json(aircraft: Aircraft, assumed: Assumptions, checked: Sequence[Adverse]) -> dict[str, Any]:
    """The same in SI; schema `planner/extremes/1`."""
    rows: list[dict[str, Any]] = []
    for found in checked:
        rows += [{"category": found.category, "reason": str(found.reason)}] if found.reason else []
        for each in found.pair:
            items = [{"name": item.name, "mass_kg": item.mass, "arm_m": item.arm} for item in each.items]
            row = {
                "category": found.category,
                "side": each.side,
                "mass_kg": each.total.mass,
                **_limit_json(each.limit),
                "items": items,
            }
            row |= {"moment_change": each.moment_change or "none", "moment_change_kg_m": each.change}
            row |= {"assumptions": [str(note) for note in found.notes]}
            rows.append(row | {"occupant_kg": assumed.occupant, "least_fuel_l": assumed.minimum_fuel * 1e3})
    return {"schema": EXTREMES_SCHEMA, "aircraft": aircraft.name, "caution": PLAN_SHORT, "extremes": rows}
