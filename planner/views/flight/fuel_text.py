"""The fuel part of a plan on the terminal: what is aboard, what is required, and the final reserve in four
forms.
"""

from __future__ import annotations

from planner.plan.results import FuelPlan, Plan
from planner.quantities.sentences import said
from planner.quantities.units import Display, clock
from planner.views.blocks import Filled, Page
from planner.views.limit_words import VERDICT_STYLES, VERDICT_WORDS
from planner.views.words import amount, demand_note, dip_text, minutes, rule_sentences


def render_aboard(page: Page, plan: Plan, display: Display) -> None:
    """Fuel per tank and in all: volumes, space, mass, arm, dip, and where the figure came from."""
    page.heading("Fuel aboard")
    fuel = plan.fuel
    dips = any(isinstance(each.dip, float) for each in fuel.tanks)
    volumes = "usable: volume | unusable: volume | capacity: volume | space: volume"
    table = Filled(display, f"tank: words | {volumes} | mass: mass | arm: length{' | dip' if dips else ''}")
    for each in fuel.tanks:
        tank = each.tank
        dip = dip_text(each.dip, display) if isinstance(each.dip, float) else "none"
        figures = (each.volume, tank.unusable, tank.capacity, each.space, each.mass, each.arm)
        why = f"; {each.dip}" if isinstance(each.dip, str) else ""
        table.add(tank.name, *figures, dip, note=f"from: {said(each.origin, display)}{why}")
    if len(fuel.tanks) > 1:
        table.add("total", fuel.aboard, "", "", "", fuel.aboard_mass, style="bold")
    page.add(table.made("aboard"))


def fuel_sentences(plan: Plan, display: Display) -> tuple[str, str]:
    """What is aboard against what is required, and the final reserve with the endurance, in a line each."""
    fuel = plan.fuel
    aboard, required = (display.text(each, "volume") for each in (fuel.aboard, fuel.required))
    surplus = amount(fuel.surplus, "volume", display, sign=True)
    reserve = f"{minutes(fuel.final_reserve.time)} min = {display.text(fuel.final_reserve.volume, 'volume')}"
    return (
        f"Usable fuel aboard {aboard}, required {required}, margin {surplus}: {VERDICT_WORDS[fuel.verdict]}.",
        f"Final reserve {reserve}. Endurance {clock(fuel.endurance)}.",
    )


def render_fuel(page: Page, plan: Plan, display: Display) -> None:
    """The fuel at a glance, before its tables."""
    page.heading("Fuel")
    first, second = fuel_sentences(plan, display)
    page.paragraph(first, "" if plan.fuel.verdict == "inside" else VERDICT_STYLES[plan.fuel.verdict])
    page.paragraph(second)


def render_required(page: Page, plan: Plan, display: Display) -> None:
    """Every line of fuel required, then the surplus or the shortage, endurance, and the rule."""
    fuel, rho = plan.fuel, plan.density.density
    page.heading("Fuel required")
    table = Filled(display, "line: words | volume: volume | mass: mass | time [min] | basis: words")
    for line in fuel.lines:
        style = "bold" if line.kind == "final reserve" else ""
        table.add(line.name, line.volume, line.volume * rho, minutes(line.time), line.basis, style=style)
    table.add("required", fuel.required, fuel.required * rho, style="bold")
    table.add("aboard, usable", fuel.aboard, fuel.aboard * rho, style="bold")
    style = "bold" if fuel.verdict == "inside" else VERDICT_STYLES[fuel.verdict]
    over, word = abs(fuel.surplus), "surplus" if fuel.surplus >= 0 else "SHORTAGE"
    table.add(word, over, over * rho, "", VERDICT_WORDS[fuel.verdict], style=style)
    page.add(table.made("required"))
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
    less = f": LESS THAN THE FINAL RESERVE of {display.text(reserve, 'volume')}" if left < reserve else ""
    text = f"Usable fuel on landing, flown as planned: {display.text(left, 'volume')}{less}."
    page.paragraph(text, "bold red" if less else "")


def _surplus(page: Page, fuel: FuelPlan, display: Display) -> None:
    u = f"U {amount(fuel.uncertainty, 'volume', display)}: {VERDICT_WORDS[fuel.verdict]}"
    over = amount(fuel.surplus, "volume", display)
    if fuel.surplus >= 0:
        style = "bold green" if fuel.verdict == "inside" else "bold yellow"
        page.paragraph(f"Surplus: {over}, {u}.", style)
        return
    only = " What is short is extra or discretionary fuel." if fuel.aboard >= fuel.minimum else ""
    dry = f" The usable fuel runs out in the {fuel.runs_dry_in}." if fuel.runs_dry_in else ""
    page.paragraph(f"SHORTAGE: {over}, {u}.{only}{dry}", "bold red")


def render_final_reserve(page: Page, plan: Plan, display: Display) -> None:
    """The final reserve as minutes, volume, mass and what the sticks read when only it is left."""
    fuel = plan.fuel
    reserve = fuel.final_reserve
    volume, mass = reserve.volume, reserve.volume * plan.density.density
    forms = f"{minutes(reserve.time)} min = {display.text(volume, 'volume')} = {display.text(mass, 'mass')}"
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
    then = f"Then in the tanks, usable: {held}. Land with no less."
    page.panel("Final reserve", [forms, f"{when}: {dips}"], "bold", [then], "final-reserve")
