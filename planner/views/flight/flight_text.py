"""A plan on the terminal: cautions, the verdict, then everything it rests on, and the cautions again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from planner.facts.cautions import INVENTED, PLAN_SHORT
from planner.flight.envelope import LimitResult, Verdict
from planner.plan.results import Plan
from planner.quantities.sentences import finding_line
from planner.quantities.units import Display
from planner.sureness.sureness import sureness
from planner.views.blocks import INDENT, Block, Column, Page, Row
from planner.views.flight.burn_text import render_burn, render_limits, render_states
from planner.views.flight.certainty_text import render_certainty
from planner.views.flight.fuel_text import render_aboard, render_final_reserve, render_required
from planner.views.words import (
    cautions,
    density_sentences,
    most_words,
    uncertainty_sentence,
    verdict_sentence,
)

if TYPE_CHECKING:
    from rich.console import Console

    from planner.sureness.chance import Chance

VERDICT_STYLES: Final[dict[Verdict, str]] = {
    "inside": "bold green",
    "not shown inside": "bold yellow",
    "outside": "bold red",
}


def render_flight(
    plan: Plan,
    display: Display,
    console: Console | None = None,
    with_working: bool = False,
    with_certainty: bool = False,
    drawn: Chance | None = None,
) -> list[Block]:
    """The whole plan as blocks, printed as they are made where there is a console; tables stack where it is
    narrow.

    The cautions stand first and last and cannot be switched off; no verdict is told by colour alone.

    Parameters: `plan` [SI]; `display` the reader's units; `console` where it goes (plain text in a pipe);
    `with_working` adds every line of arithmetic before the closing cautions, `with_certainty` the uncertainty
    budgets; `drawn` is shown where the plan was also drawn at random.
    Range: from 40 columns on no figure is broken. Raises: nothing of its own.
    """
    page = Page(console)
    begin(page, plan, "Mass, balance and fuel plan")
    render_verdict(page, plan, display)
    render_density(page, plan, display)
    render_aboard(page, plan, display)
    render_required(page, plan, display)
    render_final_reserve(page, plan, display)
    render_items(page, plan, display)
    render_states(page, plan, display)
    render_limits(page, plan, display)
    render_burn(page, plan, display)
    render_certainty(page, plan, sureness(plan), display, with_certainty, drawn)
    if plan.findings:
        page.heading("Notices")
        page.bullets([finding_line(finding, display) for finding in plan.findings], "yellow")
    if with_working:
        from planner.views.flight.working import render_working  # late: only with this option

        render_working(page, plan, display)
    end(page, plan)
    return page.blocks


def render_verdict(page: Page, plan: Plan, display: Display) -> None:
    """The verdict with what decides it, and how far its margins can be trusted."""
    page.panel(
        "Verdict",
        [verdict_sentence(plan, display)],
        VERDICT_STYLES[plan.verdict],
        [uncertainty_sentence(plan)],
    )


def render_density(page: Page, plan: Plan, display: Display) -> None:
    """The density that litres became kilograms with, and what it rests on."""
    page.heading("Fuel density used")
    for sentence in density_sentences(plan, display):
        page.paragraph(sentence)


def begin(page: Page, plan: Plan, what: str) -> None:
    """Title, unless it stands elsewhere, and short caution, for everything that is told of a plan."""
    about = ", ".join(
        part
        for part in (
            plan.aircraft.name,
            f"{plan.flight.category} category",
            plan.flight.title,
            str(plan.flight.date or ""),
        )
        if part
    )
    if what:
        page.paragraph(f"{what}: {about}", "bold", first="", rest=INDENT)
    invented = [INVENTED.replace("Invented", "INVENTED", 1)] if plan.aircraft.invented else []
    page.panel("Caution", [*invented, PLAN_SHORT], "bold yellow")


def end(page: Page, plan: Plan) -> None:
    """The cautions in full; they can not be switched off."""
    page.panel("Cautions", cautions(plan), "bold yellow")


def render_items(page: Page, plan: Plan, display: Display) -> None:
    """Every item with the most its place may hold, arm and moment; totals without and with fuel; groups of
    places with their most.
    """
    page.heading("Masses, arms and moments")
    mass, length, moment = display.unit("mass"), display.unit("length"), display.unit("moment")
    columns = [
        Column("item", figures=False),
        Column("mass", mass),
        Column("most", mass),
        Column("arm", length),
        Column("moment", moment),
    ]
    lateral = plan.aircraft.lateral is not None
    if lateral:
        columns.append(Column("lateral arm", length))
    limits = {limit.name: limit for limit in plan.load_limits}

    def row(
        name: str,
        kilograms: float,
        arm: float,
        side: float,
        style: str = "",
        limit: LimitResult | None = None,
    ) -> Row:
        most = most_words(limit, display) if limit else ""
        cells = [
            name,
            display.number(kilograms, "mass"),
            most,
            display.number(arm, "length"),
            display.number(kilograms * arm, "moment"),
        ]
        style = VERDICT_STYLES[limit.verdict] if limit and limit.verdict != "inside" else style
        return Row([*cells, display.number(side, "length", sign=True)] if lateral else cells, style)

    stations = {each.station: f"{each.station} limit" for each in plan.loading.stations}
    rows = []
    for item in plan.loading.items:
        station = item.name if item.name in stations else item.name.rpartition(" ")[0]
        rows.append(
            row(item.name, item.mass, item.arm, item.lateral_arm, limit=limits.get(stations.get(station, "")))
        )
    for name, title in (("zero fuel", "zero-fuel mass"), ("ramp", "ramp mass")):
        total = plan.state(name).total
        if name == "ramp":
            rows += [
                row(f"usable fuel {each.tank.name}", each.mass, each.arm, each.tank.lateral_arm)
                for each in plan.fuel.tanks
            ]
        rows.append(row(title, total.mass, total.centre_of_gravity, total.lateral_centre_of_gravity, "bold"))
    for limit in plan.load_limits:
        if limit.name not in stations.values():
            style = VERDICT_STYLES[limit.verdict] if limit.verdict != "inside" else ""
            cells = [
                limit.name.removesuffix(" limit"),
                display.number(limit.value, "mass"),
                most_words(limit, display),
            ]
            rows.append(Row([*cells, *[""] * (len(columns) - 3)], style))
    page.table(columns, rows)
    page.paragraph(
        f"Arms from the datum: {plan.aircraft.datum}. For a total the arm is the CG. Figures shown are"
        " rounded, computed unrounded."
    )
    empty = plan.aircraft.basic_empty
    page.paragraph(
        f"Mass record used: {empty.version_id}, {empty.established}"
        + (f", next due {empty.next_due}." if empty.next_due else ".")
    )
