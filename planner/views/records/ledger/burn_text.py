"""What was burnt by the fuel ledger, and the flow learned from it, on the screen and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.logbook.ledger.burned import Learned
from planner.logbook.ledger.entries import FLOW_SHARE
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding
from planner.quantities.units import Dimension, Display, clock
from planner.records.aircraft.record import Aircraft
from planner.views.blocks import Filled, Shows
from planner.views.keyed import keyed
from planner.views.records.ledger.reconcile_text import flow_words
from planner.views.records.ledger_text import EXPANDED, begun, ledger_json, notices


def render_burn(
    aircraft: Aircraft, learned: Learned, findings: Sequence[Finding], shown: Display, console: Shows
) -> None:
    """Burn between known quantities, the flow learned from all entries with its check, and where a plan was
    missed.
    """
    page = begun(console, aircraft, "Burn learned from the ledger")
    page.heading("Between known quantities")
    volume, flow = shown.unit("volume"), shown.unit("volume flow")
    volumes = " | ".join(f"{head}\n{volume}" for head in ("burnt", "U", "planned", "above"))
    table = Filled(shown, f"days: words | flights | time | {volumes} | flow\n{flow}")

    def known(value: float | str, dimension: Dimension, sign: bool = False) -> str:
        return shown.number(value, dimension, sign=sign) if isinstance(value, float) else "-"

    for each in learned.intervals:
        flown = (str(each.flights), clock(each.duration) if each.duration else "-")
        figures = [known(value, "volume") for value in (each.burnt, COVERAGE * each.u, each.planned)]
        figures += [known(each.above_plan, "volume", sign=True), known(each.rate, "volume flow")]
        style, note = "bold yellow" if each.differs else "", f"{each.begin.name} to {each.end.name}"
        since, until = each.since[:10], each.until[:10]
        days = since if since == until else f"{since} to {until}"
        table.add(days, *flown, *figures, style=style, note=note)
    page.add(table.made())
    if not learned.intervals:
        page.paragraph(
            "There are no two known quantities with a flight between them yet: dip, or fill to a known level"
            " (--leaves)."
        )
    page.heading("Learned flow")
    if isinstance(learned.flow, str):
        page.paragraph(f"None: {learned.flow}.")
    else:
        page.paragraph(flow_words(learned.flow, learned.u, shown), "bold")
        page.paragraph(
            "It holds taxi, climb and cruise as they were flown; the profile's flows are by phase."
        )
    if isinstance(learned.between, str):
        page.paragraph(f"Nothing checks it: {learned.between}.")
    else:
        spread = learned.spread
        if isinstance(spread, float):
            spread = f"spread {shown.text(spread, 'volume flow')}"
        mean, u = shown.text(learned.between, "volume flow"), COVERAGE * learned.u_between
        page.paragraph(
            f"Its check, the mean between known quantities alone: {mean}, U {shown.text(u, 'volume flow')};"
            f" {spread}. {_why_apart(learned)}"
        )
    page.paragraph(EXPANDED)
    notices(page, findings, shown)


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


def burn_json(aircraft: Aircraft, learned: Learned, findings: Sequence[Finding]) -> dict[str, Any]:
    """Intervals and learned flow; schema `planner/ledger-burn/1`."""
    rows = [
        keyed(
            each,
            "since until flights min=duration burnt_l=burnt*1e3 expanded_uncertainty_l=u*k*1e3"
            " planned_l=planned*1e3 above_plan_l=above_plan*1e3 l_per_h=rate*3.6e6 from=begin.name"
            " to=end.name",
        )
        for each in learned.intervals
    ]
    flow = keyed(
        learned,
        "l_per_h=flow*3.6e6 u_l_per_h=u*3.6e6 spread_l_per_h=spread*3.6e6"
        " between_known_l_per_h=between*3.6e6 between_known_u_l_per_h=u_between*3.6e6",
    )
    return ledger_json("burn", aircraft, {"intervals": rows, "learned": flow}, findings)
