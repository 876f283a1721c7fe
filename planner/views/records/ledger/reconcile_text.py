"""The sources of the fuel ledger set against each other, all entries adjusted: on the screen and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.logbook.ledger.account import Account
from planner.logbook.ledger.agree import compare
from planner.logbook.ledger.sources import SOURCE_ORDER, Movement, Stage
from planner.logbook.ledger.suspects import CRITICAL
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding
from planner.quantities.sentences import said
from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.views.blocks import Filled, Page, Shows
from planner.views.columns import in_figures
from planner.views.keyed import keyed
from planner.views.records.ledger_text import (
    EXPANDED,
    agreement_json,
    begun,
    ledger_json,
    litres,
    notices,
    when,
)


def _event(movement: Movement | None) -> str:
    if movement is None or movement.kind == "flight":
        return "start" if movement is None else "flight"
    return "/".join(dict.fromkeys(each.entry.kind for each in movement.entries))


def render_reconcile(
    aircraft: Aircraft,
    stages: Sequence[Stage],
    whole: Account,
    findings: Sequence[Finding],
    shown: Display,
    console: Shows,
) -> None:
    """Every time between two movements: what each source said, and which one was the odd one out."""
    page = begun(console, aircraft, "Fuel ledger reconciled")
    unit = shown.unit("volume")
    page.heading(f"Usable fuel after each movement, {unit}")
    table = Filled(shown, "time (UTC): words | after: words | change", *in_figures(*SOURCE_ORDER))
    for stage in stages:
        agreement = compare(stage.sources)
        figures = []
        for name in SOURCE_ORDER:
            source = stage.source(name)
            figures.append(
                "-"
                if source is None
                else f"{litres(source.volume, shown)}{'' if source.fresh else '+'}"
                f"{'*' if source is agreement.odd else ''}"
            )
        change = (
            shown.number(stage.movement.change, "volume", sign=True) if stage.movement is not None else "-"
        )
        note = "" if agreement.agree else said(agreement.words, shown)
        note = "; ".join(part for part in (note, *stage.missing) if part)
        style = "" if agreement.agree else "bold yellow"
        table.add(when(stage.at), _event(stage.movement), change, *figures, style=style, note=note)
    page.add(table.made())
    page.paragraph(
        "* the odd one out; + read before and carried forward by what moved since."
        " A ticket is what an uplift or drain that ends at a known level says was there"
        " before, carried back over flights."
    )

    _adjusted(page, aircraft, whole, shown)
    notices(page, findings, shown)


def _adjusted(page: Page, aircraft: Aircraft, whole: Account, shown: Display) -> None:
    """What all entries together say was there, and how far each stands from the rest."""
    names, unit = list(aircraft.tanks), shown.unit("volume")
    page.heading(f"All entries adjusted together, usable fuel after each, {unit}")
    several = len(names) > 1
    of_tanks = in_figures(*names) if several else []
    firsts = "no. | time (UTC): words | kind: words"
    table = Filled(shown, firsts, *of_tanks, "in all | normalised\nresidual")
    for point in whole.points:
        residual = whole.normalised.get(point.stored.number, 0.0)
        tanks = zip(point.volumes, point.us, strict=True) if several else ()
        volumes = (*tanks, (point.total, point.u_total))
        figures = [f"{litres(volume, shown)} +/- {litres(COVERAGE * u, shown)}" for volume, u in volumes]
        entry, style = point.stored.entry, "bold yellow" if abs(residual) > CRITICAL else ""
        head = (str(point.stored.number), when(entry.at), entry.kind)
        table.add(*head, *figures, f"{residual:+.1f}", style=style)
    page.add(table.made())
    if whole.flow is not None:
        page.paragraph(flow_words(*whole.flow, shown))
    page.paragraph(
        f"{EXPANDED} A normalised residual beyond {CRITICAL} comes by chance once in a thousand (Baarda 1968,"
        " from memory)."
    )


def flow_words(flow: float, u: float, shown: Display) -> str:
    """The learned flow, said the same wherever it is said."""
    rates = [shown.text(each, "volume flow") for each in (flow, COVERAGE * u)]
    return f"Flow learned from all entries: {rates[0]}, U {rates[1]}."


def reconcile_json(
    aircraft: Aircraft, stages: Sequence[Stage], whole: Account, findings: Sequence[Finding]
) -> dict[str, Any]:
    """Every stage; schema `planner/ledger-reconcile/1`."""
    rows = [
        keyed(
            stage,
            "at after change_l",
            after=_event(stage.movement),
            change_l=stage.movement.change * 1e3 if stage.movement is not None else 0.0,
            **agreement_json(compare(stage.sources)),
            notes=list(stage.missing),
        )
        for stage in stages
    ]
    adjusted = [
        keyed(
            point,
            "number=stored.number usable_l=total*1e3 expanded_uncertainty_l=u_total*k*1e3",
            tanks_l=dict(zip(aircraft.tanks, (volume * 1e3 for volume in point.volumes), strict=True)),
            normalised_residual=whole.normalised.get(point.stored.number, 0.0),
        )
        for point in whole.points
    ]
    flow = (
        {"l_per_h": whole.flow[0] * 3.6e6, "u_l_per_h": whole.flow[1] * 3.6e6} if whole.flow else "no flight"
    )
    told = {"stages": rows, "adjusted": adjusted, "learned": flow}
    return ledger_json("reconcile", aircraft, told, findings)
