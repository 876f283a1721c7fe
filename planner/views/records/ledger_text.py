"""The fuel ledger on the screen and as JSON: what is aboard, how the sources agree, what was burnt, every
entry.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from planner.facts.cautions import LEDGER
from planner.logbook.ledger.agree import Agreement, compare
from planner.logbook.ledger.contents import Contents
from planner.logbook.ledger.entries import Stored
from planner.logbook.ledger.kept.exchange import as_row
from planner.logbook.ledger.sources import Stage
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding
from planner.quantities.sentences import joined, said
from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.views.blocks import Filled, Page, Shows
from planner.views.keyed import keyed

EXPANDED: Final = "U is the expanded uncertainty (k = 2, about 95 %)."
_WEAK_LOG: Final = 0.15  # a log whose U is above this share of the full tanks says little


def begun(console: Shows, aircraft: Aircraft, title: str) -> Page:
    """A page of the ledger with its title and cautions."""
    page = Page(console)
    page.title(f"{title}: {aircraft.name}")
    page.caution([LEDGER], invented=aircraft.invented)
    return page


def litres(value: float, shown: Display) -> str:
    """A volume [m3] as a bare figure of a table."""
    return shown.number(value, "volume")


def when(at: str) -> str:
    """The time of an entry, to the minute."""
    return at[:16].replace("T", " ")


def notices(page: Page, findings: Sequence[Finding], shown: Display) -> None:
    """What was found, each with its cure."""
    page.notices([said(joined("; ", (finding.message, finding.hint)), shown) for finding in findings])


def render_status(
    aircraft: Aircraft,
    last: Stage,
    now: Contents | str,
    findings: Sequence[Finding],
    shown: Display,
    console: Shows,
) -> None:
    """The usable fuel aboard now: every source, whether they agree, and what to reckon with."""
    page = begun(console, aircraft, "Fuel ledger")
    page.heading("Usable fuel aboard, by source")
    agreement = compare(last.sources)
    table = Filled(shown, "source: words | usable: volume | U: volume | from: words")
    for each in last.sources:
        style = "bold yellow" if each is agreement.odd else ""
        table.add(each.name, each.volume, COVERAGE * each.u, each.basis, style=style)
    page.add(table.made())
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
    page.paragraph(EXPANDED)
    notices(page, findings, shown)


def _reckon(page: Page, aircraft: Aircraft, now: Contents, shown: Display) -> None:
    lowest, highest = now.agreement.lowest, now.agreement.highest
    assert lowest is not None  # contents() gives a reason instead where there is none
    assert highest is not None
    for word, source, tanks in (("endurance", lowest, now.low), ("mass", highest, now.high)):
        parts = ", ".join(
            f"{name} {litres(volume, shown)}" for name, volume in zip(aircraft.tanks, tanks, strict=True)
        )
        each = f": {parts}" if len(tanks) > 1 else ""
        page.paragraph(
            f"for {word}: {shown.text(sum(tanks), 'volume')} ({source.name}, U"
            f" {litres(COVERAGE * source.u, shown)}){each}",
            "bold",
        )
    page.paragraph(f"Last entry that counts: {when(now.since)} UTC.")


def render_list(
    aircraft: Aircraft, entries: Sequence[Stored], counting: frozenset[str], shown: Display, console: Shows
) -> None:
    """Entries in order of time; those corrected or taken out are marked."""
    page = begun(console, aircraft, "Entries of the fuel ledger")
    kinds = "no. | time (UTC): words | kind: words | tank: words"
    table = Filled(shown, f"{kinds} | volume: volume | U: volume | as written: words")
    for each in sorted(entries, key=lambda held: (held.entry.at, held.number)):
        entry = each.entry
        old = next((str(old.number) for old in entries if old.entry.uid == entry.supersedes), "")
        about = (
            entry.text,
            f"stick {entry.stick}" if entry.stick else "",
            f"ticket {entry.ticket}" if entry.ticket else "",
            entry.grade,
            f"leaves {shown.text(entry.leaves, 'volume')}" if entry.leaves >= 0 else "",
            "starts the log" if entry.start else "",
            f"planned {shown.text(entry.planned, 'volume')}" if entry.planned >= 0 else "",
            entry.note,
            f"{'takes out' if entry.void else 'corrects'} no. {old}" if entry.supersedes and old else "",
        )
        state = "" if entry.uid in counting or entry.void else "corrected; "
        words = state + "; ".join(part for part in about if part)
        kind = (when(entry.at), entry.kind, entry.tank or "all")
        style = "" if entry.uid in counting else "dim"
        table.add(str(each.number), *kind, entry.volume, COVERAGE * entry.u, words, style=style)
    page.add(table.made())


def agreement_json(agreement: Agreement) -> dict[str, Any]:
    """Sources set against each other."""
    told = "source=name usable_l=volume*1e3 expanded_uncertainty_l=u*k*1e3 basis"
    sources = [keyed(each, told, carried_forward=not each.fresh) for each in agreement.sources]
    return keyed(
        agreement,
        "agree odd_one_out apart words",
        odd_one_out=agreement.odd.name if agreement.odd is not None else "none named",
        apart=[[one.name, other.name] for one, other in agreement.apart],
        sources=sources,
    )


def ledger_json(
    kind: str, aircraft: Aircraft, told: Mapping[str, Any], findings: Sequence[Finding]
) -> dict[str, Any]:
    """What is told of a ledger as JSON, schema `planner/ledger-KIND/1`; its caution cannot be left out."""
    head = {"schema": f"planner/ledger-{kind}/1", "aircraft": aircraft.name, "caution": LEDGER}
    return {**head, **told, "findings": [finding.as_json() for finding in findings]}


def status_json(
    aircraft: Aircraft, last: Stage, now: Contents | str, findings: Sequence[Finding]
) -> dict[str, Any]:
    """The state now; schema `planner/ledger-status/1`."""
    result = agreement_json(compare(last.sources))
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
    return ledger_json("status", aircraft, result | {"incomplete": list(last.missing)}, findings)


def entry_json(aircraft: Aircraft, stored: Stored) -> dict[str, Any]:
    """One entry just made; schema `planner/ledger-entry/1`."""
    head = {"schema": "planner/ledger-entry/1", "aircraft": aircraft.name, "number": stored.number}
    return head | as_row(stored.entry)
