"""The mass records of an aircraft on the screen and as JSON: a change to one, the older ones with the path of
the CG, and the adverse loadings.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.facts.cautions import INVENTED, PLAN_SHORT, PREPARED
from planner.flight.envelope import LimitResult
from planner.flight.extremes import Adverse, Assumptions
from planner.logbook.mass.amend import Amendment
from planner.logbook.mass.history import Held
from planner.logbook.mass.hung import REVISION_SHARE
from planner.quantities.moments import Total
from planner.quantities.sentences import joined, said
from planner.quantities.units import Display
from planner.records.aircraft.mass_record import BasicEmpty
from planner.records.aircraft.record import Aircraft
from planner.views.blocks import INDENT, Filled, Page, Picture, Shows
from planner.views.keyed import keyed
from planner.views.limit_words import CELL_STYLES, VERDICT_WORDS
from planner.views.pictures.row_chart import ChartRow, row_chart
from planner.views.words import LATERAL_UNKNOWN, included


def _drift(page: Page, done: Amendment, shown: Display) -> None:
    change = done.since_weighing
    page.heading("Since the last weighing")
    page.paragraph(f"Last weighing: record {done.recorded.version_id}.")
    page.paragraph(
        f"Mass changed by {shown.text(change.mass, 'mass', 1, sign=True)}, {change.mass_share:.2%} of the"
        f" {done.landing_basis}."
    )
    chord = change.chord_share
    share = f", {chord:.2%} of the mean aerodynamic chord" if chord is not None else ""
    page.paragraph(f"CG moved by {shown.span(change.cg, 'length')}{share}.")
    rule = (
        f"AMC1 CAT.POL.MAB.100(b) asks for a revised record beyond {REVISION_SHARE:.1%} of either; a rule for"
        " operators, good practice for anyone."
    )
    here = "; this change revises it" if change.revise else ""
    page.paragraph(f"{change.reason[0].upper()}{change.reason[1:]}{here}. {rule}")
    if done.lines:
        words = {True: "Negligible", False: "Not negligible", None: "No figure for so heavy an aircraft"}
        page.paragraph(
            f"{words[done.negligible]} by AC 43.13-1B 10-2c (1 lb or less below 5000 lb empty), counting"
            " every mass put in, taken out or moved."
        )


def render_amendment(done: Amendment, shown: Display, console: Shows, written: bool) -> None:
    """What changes, what it comes to, what it does to the adverse loadings, and the lines of the file that
    change.
    """
    page = Page(console)
    page.title(
        f"Change to the mass record of {done.aircraft.name}: {done.sheet.reference}, {done.sheet.date}"
    )
    page.caution([PREPARED], invented=done.aircraft.invented)
    page.heading("Records")
    table = Filled(shown, ": words | mass: mass.1 | arm: length | moment: moment | record: words")
    before, after = done.totals
    table.add("before", before.mass, before.centre_of_gravity, before.moment, done.before.version_id)
    for line in done.lines:
        change = shown.number(line.mass, "mass", 1, sign=True), line.arm
        table.add(line.name, *change, shown.number(line.moment, "moment", sign=True))
    figures = (after.mass, after.centre_of_gravity, after.moment)
    table.add("after", *figures, done.after.version_id, style="bold")
    page.add(table.made())
    page.paragraph(f"The new record is {done.after.established}; it includes {included(done.after)}.")
    if done.u_mass or done.u_cg:
        page.paragraph(
            f"U of the new record (k = 2): mass {shown.text(done.u_mass, 'mass', 1)}, CG"
            f" {shown.text(done.u_cg, 'length')}."
        )
    _drift(page, done, shown)
    page.heading("The most forward and the most aft loading, before and after")
    told = "category and limit: words | margin\nbefore | margin\nafter | U | after: words"
    table = Filled(shown, told)
    for pair in done.adverse:
        limit = pair.after.limit
        margins = [shown.span(each, "length") for each in (pair.before.limit.margin, limit.margin)]
        u, style = shown.span(limit.uncertainty, "length").lstrip("+"), CELL_STYLES[limit.verdict]
        table.add(f"{pair.category}, {limit.name}", *margins, u, VERDICT_WORDS[limit.verdict], style=style)
    page.add(table.made())
    page.paragraph(
        f"Assumed: {said(joined('; ', done.adverse_notes), shown)}. See: planner aircraft check --extremes."
    )
    page.heading("Lines of the profile" if written else "Lines of the profile that would change")
    for row in done.changed_lines:
        page.paragraph(row, "red" if row.startswith("-") else "green", rest=INDENT * 3)
    page.findings(done.findings, shown)
    page.caution([PREPARED])


def _record_json(record: BasicEmpty, total: Total, across: bool) -> dict[str, Any]:
    return keyed(
        record,
        "version=version_id date established mass_kg cg_m moment_kg_m lateral_cg_m includes",
        **keyed(total, "mass_kg=mass cg_m=centre_of_gravity moment_kg_m=moment"),
        lateral_cg_m=total.lateral_centre_of_gravity if across else LATERAL_UNKNOWN,
        next_due=str(record.next_due or "not stated"),
    )


def _limit_json(limit: LimitResult) -> dict[str, Any]:
    return keyed(limit, "cg_m=value limit_m=limit margin_m=margin expanded_uncertainty_m=uncertainty verdict")


def amendment_json(done: Amendment, written: bool) -> dict[str, Any]:
    """The change in SI; schema `planner/amendment/1`."""
    change = done.since_weighing
    across = done.aircraft.lateral_known or "lateral_arm" in done.after.model_fields_set
    no_chord = "no mean aerodynamic chord in the profile"
    return keyed(
        done,
        "schema caution written profile=path before after lines since_weighing negligible extremes"
        " assumptions=adverse_notes changed_lines findings",
        schema="planner/amendment/1",
        caution=PREPARED,
        written=written,
        before=_record_json(done.before, done.totals[0], across),
        after={
            **_record_json(done.after, done.totals[1], across),
            **keyed(done, "mass_expanded_uncertainty_kg=u_mass cg_expanded_uncertainty_m=u_cg"),
        },
        lines=[keyed(line, "name mass_kg=mass arm_m=arm lateral_arm_m=lateral_arm") for line in done.lines],
        since_weighing=keyed(
            change,
            "record mass_kg=mass cg_m=cg mass_share mass_share_of chord_share revise reason",
            record=done.recorded.version_id,
            mass_share_of=done.landing_basis,
            chord_share=no_chord if change.chord_share is None else change.chord_share,
        ),
        negligible=done.negligible if done.negligible is not None else "no threshold applies",
        extremes=[
            keyed(
                pair,
                "category side=after.side",
                before=_limit_json(pair.before.limit),
                after=_limit_json(pair.after.limit),
            )
            for pair in done.adverse
        ],
    )


def render_extremes(
    aircraft: Aircraft, assumed: Assumptions, checked: Sequence[Adverse], shown: Display, console: Shows
) -> None:
    """Both adverse loadings of every category: what is aboard, CG, limit, margin, verdict."""
    page = Page(console)
    page.title(f"Adverse loadings of {aircraft.name}")
    if aircraft.invented:
        page.caution([INVENTED])
    page.caution([PLAN_SHORT])
    for found in checked:
        page.heading(f"{found.category} category")
        if found.reason:
            page.paragraph(said(found.reason, shown))
            continue
        person, fuel = shown.text(assumed.occupant, "mass"), shown.text(assumed.minimum_fuel, "volume")
        notes = said(joined("; ", found.notes), shown)
        page.paragraph(f"Assumed: {notes}; {person} each; least fuel {fuel}.")
        for each in found.pair:
            limit = each.limit
            page.line()
            cg, bound = (shown.text(value, "length") for value in (limit.value, limit.limit))
            words = f"Most {each.side} loading: {VERDICT_WORDS[limit.verdict]}, CG {cg} against {bound}"
            margin, u = (shown.span(value, "length") for value in (limit.margin, limit.uncertainty))
            page.paragraph(f"{words}, margin {margin}, U {u.lstrip('+')}.", CELL_STYLES[limit.verdict])
            table = Filled(shown, "item: words | mass: mass | arm: length | moment: moment")
            for item in each.items:
                table.add(item.name, item.mass, item.arm, item.moment)
            if each.moment_change:
                change = shown.number(each.change, "moment", sign=True)
                table.add(each.moment_change, None, None, change)
            total = each.total
            table.add("total", total.mass, total.centre_of_gravity, total.moment, style="bold")
            page.add(table.made())
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
            row = keyed(
                each,
                "category side mass_kg=total.mass",
                category=found.category,
                **_limit_json(each.limit),
                items=[keyed(item, "name mass_kg=mass arm_m=arm") for item in each.items],
                moment_change=each.moment_change or "none",
                moment_change_kg_m=each.change,
            )
            row |= keyed(found, "assumptions=notes", occupant_kg=assumed.occupant)
            rows.append(row | {"least_fuel_l": assumed.minimum_fuel * 1e3})
    return {
        "schema": "planner/extremes/1",
        "aircraft": aircraft.name,
        "caution": PLAN_SHORT,
        "extremes": rows,
    }


def _path(held: Sequence[Held], shown: Display) -> Picture:
    """One line a record: `o` its CG, `*` that of the record in use, `-` its U, all to one scale."""
    rows = [
        ChartRow(
            label=str(each.record.date),
            value=each.total.centre_of_gravity,
            half=each.u.cg,
            sign="o" if each.until else "*",
            style="" if each.until else "bold",
        )
        for each in held
    ]
    lows, highs = zip(*(row.ends for row in rows), strict=True)
    left, right = (shown.text(end, "length") for end in (min(lows), max(highs)))
    scale = (
        f"CG from {left} at the left to {right} at the right: o a record, * the one in use, - its U (k = 2)."
    )
    return row_chart(rows, scale, "the path of the centre of gravity")


def render_history(aircraft: Aircraft, held: Sequence[Held], shown: Display, console: Shows) -> None:
    """A table of the records, oldest first, what made each of them, and the path of the CG."""
    page = Page(console)
    page.title(f"Mass records of {aircraft.name}")
    page.caution([PREPARED], invented=aircraft.invented)
    page.heading("Records, oldest first")
    told = "record: words | mass: mass.1 | U: mass.1 | CG: length | U: length | since\nweighing %"
    table = Filled(shown, told)
    for each in held:
        by = f", {each.by}" if each.by else ""
        note = (
            f"{each.record.established}: {each.what}{by}; {f'until {each.until}' if each.until else 'in use'}"
        )
        figures = (each.total.mass, each.u.mass, each.total.centre_of_gravity, each.u.cg)
        since = f"{100 * each.mass_since / each.weighing.mass.value:+.2f}"
        style = "" if each.until else "bold"
        table.add(each.record.version_id, *figures, since, style=style, note=note)
    page.add(table.made())
    page.heading("Path of the CG")
    page.add(_path(held, shown))
    page.paragraph(
        "U is the expanded uncertainty (k = 2, about 95 %); a record without one says nothing of how sure"
        " it is."
    )


def history_json(aircraft: Aircraft, held: Sequence[Held]) -> dict[str, Any]:
    """The same in SI; schema `planner/history/1`."""
    rows = [
        keyed(
            each,
            "version=record.version_id date=record.date established=record.established"
            " reference=record.reference mass_kg=total.mass mass_expanded_uncertainty_kg=u.mass"
            " cg_m=total.centre_of_gravity cg_expanded_uncertainty_m=u.cg what by until"
            " weighing=weighing.version_id mass_since_weighing_kg=mass_since cg_since_weighing_m=cg_since",
            by=each.by or "not stated",
            until=str(each.until or "in use"),
        )
        for each in held
    ]
    return {"schema": "planner/history/1", "aircraft": aircraft.name, "caution": PREPARED, "records": rows}
