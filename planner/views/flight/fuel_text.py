"""The fuel part of a plan on the terminal: what is aboard, what is required, and the final reserve in four
forms.
"""

from __future__ import annotations

from planner.plan.results import FuelPlan, Plan
from planner.quantities.sentences import said
from planner.quantities.units import Display, clock
from planner.views.blocks import Column, Page, Row
from planner.views.words import VERDICT_WORDS, amount, demand_note, dip_text, minutes, rule_sentences


def render_aboard(page: Page, plan: Plan, display: Display) -> None:
    """Fuel per tank and in all: volumes, space, mass, arm, dip, and where the figure came from."""
    page.heading("Fuel aboard")
    volume = display.unit("volume")
    columns = [
        Column("tank", figures=False),
        *(Column(name, volume) for name in ("usable", "unusable", "capacity", "space")),
    ]
    columns += [Column("mass", display.unit("mass")), Column("arm", display.unit("length"))]
    dips = any(isinstance(each.dip, float) for each in plan.fuel.tanks)
    if dips:
        columns.append(Column("dip"))
    rows = []
    for each in plan.fuel.tanks:
        tank = each.tank
        cells = [
            tank.name,
            *(display.number(v, "volume") for v in (each.volume, tank.unusable, tank.capacity, each.space)),
        ]
        cells += [display.number(each.mass, "mass"), display.number(each.arm, "length")]
        if dips:
            cells.append(dip_text(each.dip, display) if isinstance(each.dip, float) else "none")
        why = f"; {each.dip}" if isinstance(each.dip, str) else ""
        rows.append(Row(cells, note=f"from: {said(each.origin, display)}{why}"))
    if len(rows) > 1:
        rows.append(_total_aboard(plan.fuel, display, dips))
    page.table(columns, rows)


def _total_aboard(fuel: FuelPlan, display: Display, dips: bool) -> Row:
    cells = [
        "total",
        display.number(fuel.aboard, "volume"),
        "",
        "",
        "",
        display.number(fuel.aboard_mass, "mass"),
        "",
    ]
    return Row([*cells, ""] if dips else cells, "bold")


def render_required(page: Page, plan: Plan, display: Display) -> None:
    """Every line of fuel required, then the surplus or the shortage, endurance, and the rule."""
    fuel, rho = plan.fuel, plan.density.density
    page.heading("Fuel required")
    columns = [
        Column("line", figures=False),
        Column("volume", display.unit("volume")),
        Column("mass", display.unit("mass")),
        Column("time", "min"),
    ]
    columns.append(Column("basis", figures=False))

    def row(name: str, volume: float, time: str, basis: str, style: str = "") -> Row:
        return Row(
            [name, display.number(volume, "volume"), display.number(volume * rho, "mass"), time, basis], style
        )

    rows = [
        row(
            line.name,
            line.volume,
            minutes(line.time),
            line.basis,
            "bold" if line.kind == "final reserve" else "",
        )
        for line in fuel.lines
    ]
    rows.append(row("required", fuel.required, "", "", "bold"))
    rows.append(row("aboard, usable", fuel.aboard, "", "", "bold"))
    style = {"inside": "bold", "not shown inside": "bold yellow", "outside": "bold red"}[fuel.verdict]
    rows.append(
        row(
            "surplus" if fuel.surplus >= 0 else "SHORTAGE",
            abs(fuel.surplus),
            "",
            VERDICT_WORDS[fuel.verdict],
            style,
        )
    )
    page.table(columns, rows)
    _surplus(page, fuel, display)
    if fuel.minimum < fuel.required:
        page.paragraph(
            f"Without extra and discretionary fuel {display.text(fuel.minimum, 'volume')} are required."
        )
    _at_landing(page, plan, display)
    known = all(stretch.flow for stretch in plan.burn.path if stretch.stage != "taxi")
    short = "" if known else " A phase without a flow in the profile adds no time to it."
    page.paragraph(
        f"Endurance: {clock(fuel.endurance)} {fuel.endurance_basis}; unusable fuel not counted.{short}"
    )
    for text in (*rule_sentences(plan), demand_note(plan, display)):
        if text:
            page.paragraph(text)


def _at_landing(page: Page, plan: Plan, display: Display) -> None:
    """What is left on landing where all goes as planned, loud where it is less than the final reserve."""
    left, reserve = plan.state("landing").fuel, plan.fuel.final_reserve.volume
    text = f"Usable fuel on landing, flown as planned: {display.text(left, 'volume')}"
    if left < reserve:
        page.paragraph(
            f"{text}: LESS THAN THE FINAL RESERVE of {display.text(reserve, 'volume')}.", "bold red"
        )
    else:
        page.paragraph(f"{text}.")


def _surplus(page: Page, fuel: FuelPlan, display: Display) -> None:
    u = f"U {amount(fuel.uncertainty, 'volume', display)}: {VERDICT_WORDS[fuel.verdict]}"
    if fuel.surplus >= 0:
        page.paragraph(
            f"Surplus: {amount(fuel.surplus, 'volume', display)}, {u}.",
            "bold green" if fuel.verdict == "inside" else "bold yellow",
        )
        return
    short = amount(fuel.surplus, "volume", display)
    only = " What is short is extra or discretionary fuel." if fuel.aboard >= fuel.minimum else ""
    dry = f" The usable fuel runs out in the {fuel.runs_dry_in}." if fuel.runs_dry_in else ""
    page.paragraph(f"SHORTAGE: {short}, {u}.{only}{dry}", "bold red")


def render_final_reserve(page: Page, plan: Plan, display: Display) -> None:
    """The final reserve as minutes, volume, mass and what the sticks read when only it is left."""
    fuel = plan.fuel
    reserve = fuel.final_reserve
    forms = (
        f"{minutes(reserve.time)} min = {display.text(reserve.volume, 'volume')} ="
        f" {display.text(reserve.volume * plan.density.density, 'mass')}"
    )
    short = fuel.aboard < reserve.volume
    when = "less than the final reserve is aboard; dip now" if short else "dip reading when only this is left"
    if not any(isinstance(dip, float) for _, dip in fuel.reserve_dips):
        dips = f"none, {fuel.reserve_dips[0][1]}"
    else:
        dips = ", ".join(f"{name} {dip_text(dip, display, at_least=True)}" for name, dip in fuel.reserve_dips)
    held = ", ".join(
        f"{name} {display.text(v, 'volume')}"
        for (name, _), v in zip(fuel.reserve_dips, fuel.reserve_volumes, strict=True)
    )
    page.panel(
        "Final reserve",
        [forms, f"{when}: {dips}"],
        "bold",
        [f"Then in the tanks, usable: {held}. Land with no less."],
    )
