"""The fuel ledger on the screen and as JSON: what is aboard, how the sources agree, what was burnt, every
entry.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from planner.facts.cautions import INVENTED, LEDGER
from planner.logbook.ledger.account import Account
from planner.logbook.ledger.agree import Agreement, compare
from planner.logbook.ledger.balance import SOURCE_ORDER, FuelSource, Movement, Stage
from planner.logbook.ledger.burned import BurnInterval, Learned
from planner.logbook.ledger.contents import Contents
from planner.logbook.ledger.entries import FLOW_SHARE, Stored
from planner.logbook.ledger.kept.exchange import as_row
from planner.logbook.ledger.suspects import CRITICAL
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding
from planner.quantities.sentences import joined, said
from planner.quantities.units import Display, clock
from planner.records.aircraft.record import Aircraft
from planner.views.blocks import INDENT, Column, Page, Row

if TYPE_CHECKING:
    from rich.console import Console

STATUS_SCHEMA: Final = "planner/ledger-status/1"
RECONCILE_SCHEMA: Final = "planner/ledger-reconcile/1"
BURN_SCHEMA: Final = "planner/ledger-burn/1"
_U: Final = "U is the expanded uncertainty (k = 2, about 95 %)."
_WEAK_LOG: Final = 0.15  # a log whose U is above this share of the full tanks says little


def _page(console: Console, aircraft: Aircraft, title: str) -> Page:
    page = Page(console)
    page.paragraph(f"{title}: {aircraft.name}", "bold", first="", rest=INDENT)
    page.panel("Caution", [*([INVENTED] if aircraft.invented else []), LEDGER], "bold yellow")
    return page


def _litres(value: float, shown: Display) -> str:
    return shown.number(value, "volume")


def _when(at: str) -> str:
    return at[:16].replace("T", " ")


def _notices(page: Page, findings: Sequence[Finding], shown: Display) -> None:
    if findings:
        page.heading("Notices")
        page.bullets(
            [said(joined("; ", (finding.message, finding.hint)), shown) for finding in findings], "yellow"
        )


def render_status(
    aircraft: Aircraft,
    last: Stage,
    now: Contents | str,
    findings: Sequence[Finding],
    shown: Display,
    console: Console,
) -> None:
    """The usable fuel aboard now: every source, whether they agree, and what to reckon with."""
    page = _page(console, aircraft, "Fuel ledger")
    page.heading("Usable fuel aboard, by source")
    agreement = compare(last.sources)
    unit = shown.unit("volume")
    rows = [
        Row(
            [each.name, _litres(each.volume, shown), _litres(COVERAGE * each.u, shown), each.basis],
            "bold yellow" if each is agreement.odd else "",
        )
        for each in last.sources
    ]
    page.table(
        [
            Column("source", figures=False),
            Column(f"usable\n{unit}"),
            Column(f"U\n{unit}"),
            Column("from", figures=False),
        ],
        rows,
    )
    page.bullets(last.missing)
    page.paragraph(
        said(agreement.words, shown), "" if agreement.agree and len(last.sources) > 1 else "bold yellow"
    )
    page.heading("Reckon with")
    if isinstance(now, str):
        page.paragraph(now)
    else:
        _reckon(page, aircraft, now, shown)
    log = last.source("log")
    capacity = sum(tank.usable for tank in aircraft.tanks.values())
    if log is not None and COVERAGE * log.u > _WEAK_LOG * capacity:
        grown = f"The log's U has grown to {COVERAGE * log.u / capacity:.0%} of the full tanks"
        page.paragraph(
            f"{grown}: start it anew at a known level or a sure dip (--leaves, --start).", "yellow"
        )
    if log is not None and log.volume < 0:
        page.paragraph("The log is below zero: an uplift is missing, or a burn is too high.", "bold red")
    page.paragraph(_U)
    _notices(page, findings, shown)


def _reckon(page: Page, aircraft: Aircraft, now: Contents, shown: Display) -> None:
    lowest, highest = now.agreement.lowest, now.agreement.highest
    assert lowest is not None  # contents() gives a reason instead where there is none
    assert highest is not None
    for word, source, tanks in (("endurance", lowest, now.low), ("mass", highest, now.high)):
        parts = ", ".join(
            f"{name} {_litres(volume, shown)}" for name, volume in zip(aircraft.tanks, tanks, strict=True)
        )
        each = f": {parts}" if len(tanks) > 1 else ""
        page.paragraph(
            f"for {word}: {shown.text(sum(tanks), 'volume')} ({source.name}, U"
            f" {_litres(COVERAGE * source.u, shown)}){each}",
            "bold",
        )
    page.paragraph(f"Last entry that counts: {_when(now.since)} UTC.")


def _event(movement: Movement | None) -> str:
    if movement is None:
        return "start"
    if movement.kind == "flight":
        return "flight"
    kinds = dict.fromkeys(each.entry.kind for each in movement.entries)
    return "/".join(kinds)


def render_reconcile(
    aircraft: Aircraft,
    stages: Sequence[Stage],
    whole: Account,
    findings: Sequence[Finding],
    shown: Display,
    console: Console,
) -> None:
    """Every time between two movements: what each source said, and which one was the odd one out."""
    page = _page(console, aircraft, "Fuel ledger reconciled")
    unit = shown.unit("volume")
    page.heading(f"Usable fuel after each movement, {unit}")
    columns = [
        Column("time (UTC)", figures=False),
        Column("after", figures=False),
        Column("change"),
        *(Column(name) for name in SOURCE_ORDER),
    ]
    rows = []
    for stage in stages:
        agreement = compare(stage.sources)
        figures = []
        for name in SOURCE_ORDER:
            source = stage.source(name)
            figures.append(
                "-"
                if source is None
                else f"{_litres(source.volume, shown)}{'' if source.fresh else '+'}"
                f"{'*' if source is agreement.odd else ''}"
            )
        change = (
            shown.number(stage.movement.change, "volume", sign=True) if stage.movement is not None else "-"
        )
        note = "" if agreement.agree else said(agreement.words, shown)
        note = "; ".join(part for part in (note, *stage.missing) if part)
        rows.append(
            Row(
                [_when(stage.at), _event(stage.movement), change, *figures],
                "" if agreement.agree else "bold yellow",
                note=note,
            )
        )
    page.table(columns, rows)
    page.paragraph(
        "* the odd one out; + read before and carried forward by what moved since."
        " A ticket is what an uplift or drain that ends at a known level says was there"
        " before, carried back over flights."
    )

    _adjusted(page, aircraft, whole, shown)
    _notices(page, findings, shown)


def _adjusted(page: Page, aircraft: Aircraft, whole: Account, shown: Display) -> None:
    """What all entries together say was there, and how far each stands from the rest."""
    names, unit = list(aircraft.tanks), shown.unit("volume")
    page.heading(f"All entries adjusted together, usable fuel after each, {unit}")
    several = len(names) > 1
    rows = []
    for point in whole.points:
        residual = whole.normalised.get(point.stored.number, 0.0)
        tanks = zip(point.volumes, point.us, strict=True) if several else ()
        figures = [f"{_litres(volume, shown)} +/- {_litres(COVERAGE * u, shown)}" for volume, u in tanks]
        total = f"{_litres(point.total, shown)} +/- {_litres(COVERAGE * point.u_total, shown)}"
        entry = point.stored.entry
        head = [str(point.stored.number), _when(entry.at), entry.kind]
        loud = "bold yellow" if abs(residual) > CRITICAL else ""
        rows.append(Row([*head, *figures, total, f"{residual:+.1f}"], loud))
    columns = [Column("no."), Column("time (UTC)", figures=False), Column("kind", figures=False)]
    columns += [Column(name) for name in (names if several else ())]
    page.table([*columns, Column("in all"), Column("normalised\nresidual")], rows)
    if whole.flow is not None:
        page.paragraph(_flow_words(*whole.flow, shown))
    page.paragraph(
        f"{_U} A normalised residual beyond {CRITICAL} comes by chance once in a thousand (Baarda 1968, from"
        " memory)."
    )


def _days(interval: BurnInterval) -> str:
    since, until = interval.since[:10], interval.until[:10]
    return since if since == until else f"{since} to {until}"


def render_burn(
    aircraft: Aircraft, learned: Learned, findings: Sequence[Finding], shown: Display, console: Console
) -> None:
    """Burn between known quantities, the flow learned from all entries with its check, and where a plan was
    missed.
    """
    page = _page(console, aircraft, "Burn learned from the ledger")
    volume, flow = shown.unit("volume"), shown.unit("volume flow")
    page.heading("Between known quantities")
    rows = []
    for each in learned.intervals:
        planned = _litres(each.planned, shown) if isinstance(each.planned, float) else "-"
        above = (
            shown.number(each.above_plan, "volume", sign=True) if isinstance(each.above_plan, float) else "-"
        )
        rate = shown.number(each.rate, "volume flow") if isinstance(each.rate, float) else "-"
        time = clock(each.duration) if each.duration else "-"
        figures = [
            str(each.flights),
            time,
            _litres(each.burnt, shown),
            _litres(COVERAGE * each.u, shown),
            planned,
            above,
            rate,
        ]
        rows.append(
            Row(
                [_days(each), *figures],
                "bold yellow" if each.differs else "",
                note=f"{each.begin.name} to {each.end.name}",
            )
        )
    heads = [
        "flights",
        "time",
        f"burnt\n{volume}",
        f"U\n{volume}",
        f"planned\n{volume}",
        f"above\n{volume}",
        f"flow\n{flow}",
    ]
    page.table([Column("days", figures=False), *(Column(head) for head in heads)], rows)
    if not learned.intervals:
        page.paragraph(
            "There are no two known quantities with a flight between them yet: dip, or fill to a known level"
            " (--leaves)."
        )
    page.heading("Learned flow")
    if isinstance(learned.flow, str):
        page.paragraph(f"None: {learned.flow}.")
    else:
        page.paragraph(_flow_words(learned.flow, learned.u, shown), "bold")
        page.paragraph(
            "It holds taxi, climb and cruise as they were flown; the profile's flows are by phase."
        )
    if isinstance(learned.between, str):
        page.paragraph(f"Nothing checks it: {learned.between}.")
    else:
        spread = (
            f"spread {shown.text(learned.spread, 'volume flow')}"
            if isinstance(learned.spread, float)
            else learned.spread
        )
        page.paragraph(
            "Its check, the mean between known quantities alone:"
            f" {shown.text(learned.between, 'volume flow')}, U"
            f" {shown.text(COVERAGE * learned.u_between, 'volume flow')}; {spread}. {_why_apart(learned)}"
        )
    page.paragraph(_U)
    _notices(page, findings, shown)


def _flow_words(flow: float, u: float, shown: Display) -> str:
    """The learned flow, said the same wherever it is said."""
    rates = [shown.text(each, "volume flow") for each in (flow, COVERAGE * u)]
    return f"Flow learned from all entries: {rates[0]}, U {rates[1]}."


def _why_apart(learned: Learned) -> str:
    """What explains the difference of the flow and its check, or that nothing does."""
    if isinstance(learned.apart, str):
        return ""
    if learned.differ:
        return (
            "They are further apart than their U allows: an entry is wrong, the profile's flow is not this"
            " aircraft's, or the flights are not alike."
        )
    return (
        "They agree within U; the first also holds what no known quantity bounds, and the flow that the burns"
        f" were computed with, taken to be known to {FLOW_SHARE:.0%}."
    )


def render_list(
    aircraft: Aircraft, entries: Sequence[Stored], counting: frozenset[str], shown: Display, console: Console
) -> None:
    """Entries in order of time; those corrected or taken out are marked."""
    page = _page(console, aircraft, "Entries of the fuel ledger")
    unit = shown.unit("volume")
    rows = []
    for each in sorted(entries, key=lambda held: (held.entry.at, held.number)):
        entry = each.entry
        about = [
            entry.text,
            f"stick {entry.stick}" if entry.stick else "",
            f"ticket {entry.ticket}" if entry.ticket else "",
            entry.grade,
        ]
        about += [
            f"leaves {shown.text(entry.leaves, 'volume')}" if entry.leaves >= 0 else "",
            "starts the log" if entry.start else "",
        ]
        about += [f"planned {shown.text(entry.planned, 'volume')}" if entry.planned >= 0 else "", entry.note]
        number = (
            next((str(old.number) for old in entries if old.entry.uid == entry.supersedes), "")
            if entry.supersedes
            else ""
        )
        about += [f"{'takes out' if entry.void else 'corrects'} no. {number}" if number else ""]
        state = "" if entry.uid in counting or entry.void else "corrected; "
        words = state + "; ".join(part for part in about if part)
        figures = [_litres(entry.volume, shown), _litres(COVERAGE * entry.u, shown)]
        rows.append(
            Row(
                [str(each.number), _when(entry.at), entry.kind, entry.tank or "all", *figures, words],
                "" if entry.uid in counting else "dim",
            )
        )
    names = [
        Column("no."),
        Column("time (UTC)", figures=False),
        Column("kind", figures=False),
        Column("tank", figures=False),
    ]
    page.table(
        [*names, Column(f"volume\n{unit}"), Column(f"U\n{unit}"), Column("as written", figures=False)], rows
    )


def _source_json(source: FuelSource) -> dict[str, Any]:
    return {
        "source": source.name,
        "usable_l": source.volume * 1e3,
        "expanded_uncertainty_l": COVERAGE * source.u * 1e3,
        "basis": source.basis,
        "carried_forward": not source.fresh,
    }


def _agreement_json(agreement: Agreement) -> dict[str, Any]:
    return {
        "agree": agreement.agree,
        "odd_one_out": agreement.odd.name if agreement.odd is not None else "none named",
        "apart": [[one.name, other.name] for one, other in agreement.apart],
        "words": str(agreement.words),
        "sources": [_source_json(each) for each in agreement.sources],
    }


def status_json(
    aircraft: Aircraft, last: Stage, now: Contents | str, findings: Sequence[Finding]
) -> dict[str, Any]:
    """The state now; schema `planner/ledger-status/1`."""
    result: dict[str, Any] = {
        "schema": STATUS_SCHEMA,
        "aircraft": aircraft.name,
        "caution": LEDGER,
        **_agreement_json(compare(last.sources)),
    }
    if isinstance(now, str):
        result["reckon_with"] = now
    else:
        names = list(aircraft.tanks)
        result["reckon_with"] = {
            word: {
                "total_l": sum(tanks) * 1e3,
                "tanks_l": {name: volume * 1e3 for name, volume in zip(names, tanks, strict=True)},
            }
            for word, tanks in (("endurance", now.low), ("mass", now.high))
        }
        result["last_entry"] = now.since
    return {
        **result,
        "incomplete": list(last.missing),
        "findings": [finding.as_json() for finding in findings],
    }


def reconcile_json(
    aircraft: Aircraft, stages: Sequence[Stage], whole: Account, findings: Sequence[Finding]
) -> dict[str, Any]:
    """Every stage; schema `planner/ledger-reconcile/1`."""
    rows = []
    for stage in stages:
        change = stage.movement.change * 1e3 if stage.movement is not None else 0.0
        rows.append(
            {
                "at": stage.at,
                "after": _event(stage.movement),
                "change_l": change,
                **_agreement_json(compare(stage.sources)),
                "notes": list(stage.missing),
            }
        )
    adjusted = [
        {
            "number": point.stored.number,
            "usable_l": point.total * 1e3,
            "expanded_uncertainty_l": COVERAGE * point.u_total * 1e3,
            "tanks_l": dict(zip(aircraft.tanks, (volume * 1e3 for volume in point.volumes), strict=True)),
            "normalised_residual": whole.normalised.get(point.stored.number, 0.0),
        }
        for point in whole.points
    ]
    flow = (
        {"l_per_h": whole.flow[0] * 3.6e6, "u_l_per_h": whole.flow[1] * 3.6e6} if whole.flow else "no flight"
    )
    return {
        "schema": RECONCILE_SCHEMA,
        "aircraft": aircraft.name,
        "caution": LEDGER,
        "stages": rows,
        "adjusted": adjusted,
        "learned": flow,
        "findings": [finding.as_json() for finding in findings],
    }


def burn_json(aircraft: Aircraft, learned: Learned, findings: Sequence[Finding]) -> dict[str, Any]:
    """Intervals and learned flow; schema `planner/ledger-burn/1`."""

    def flow(value: float | str) -> float | str:
        return value * 3.6e6 if isinstance(value, float) else value

    def litres(value: float | str) -> float | str:
        return value * 1e3 if isinstance(value, float) else value

    rows = [
        {
            "since": each.since,
            "until": each.until,
            "flights": each.flights,
            "min": each.duration / 60,
            "burnt_l": each.burnt * 1e3,
            "expanded_uncertainty_l": COVERAGE * each.u * 1e3,
            "planned_l": litres(each.planned),
            "above_plan_l": litres(each.above_plan),
            "l_per_h": flow(each.rate),
            "from": each.begin.name,
            "to": each.end.name,
        }
        for each in learned.intervals
    ]
    learned_flow = {
        "l_per_h": flow(learned.flow),
        "u_l_per_h": flow(learned.u),
        "spread_l_per_h": flow(learned.spread),
        "between_known_l_per_h": flow(learned.between),
        "between_known_u_l_per_h": flow(learned.u_between),
    }
    notices = [finding.as_json() for finding in findings]
    return {
        "schema": BURN_SCHEMA,
        "aircraft": aircraft.name,
        "caution": LEDGER,
        "intervals": rows,
        "learned": learned_flow,
        "findings": notices,
    }


def entry_json(aircraft: Aircraft, stored: Stored) -> dict[str, Any]:
    """One entry just made; schema `planner/ledger-entry/1`."""
    return {
        "schema": "planner/ledger-entry/1",
        "aircraft": aircraft.name,
        "number": stored.number,
        **as_row(stored.entry),
    }
