"""The balance part of a plan on the terminal: states, every limit, the whole burn, and the diagram."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from planner.flight.envelope import LimitResult, worst
from planner.plan.results import Plan
from planner.quantities.units import Display
from planner.views.blocks import Filled, Page, Picture, Row
from planner.views.columns import VERDICT
from planner.views.limit_words import CELL_STYLES, MASS_LIMIT_NOTE, STATE_WORDS, VERDICT_WORDS, verdict_words
from planner.views.pictures.chart import chart
from planner.views.words import LATERAL_UNKNOWN, doubts, margin_and_u, time_from_takeoff, uncrossed


def render_states(page: Page, plan: Plan, display: Display) -> None:
    """Mass, CG, percent MAC, lateral CG and usable fuel of every state."""
    page.heading("States")
    percent, across = plan.aircraft.mean_aerodynamic_chord is not None, plan.aircraft.lateral_known
    chord, side = " | CG [% MAC]" if percent else "", " | lateral CG: +length" if across else ""
    columns = f"state: words | mass: mass | CG: length{chord}{side} | usable fuel: volume | {VERDICT}"
    table = Filled(display, columns)
    for state in plan.states:
        cells: list[str | float] = [STATE_WORDS[state.name], state.total.mass, state.total.centre_of_gravity]
        if percent:
            cells.append(f"{state.percent_mac:.2f}" if isinstance(state.percent_mac, float) else "-")
        if across:
            cells.append(state.total.lateral_centre_of_gravity)
        verdict = worst([limit.verdict for limit in state.limits])
        table.add(*cells, state.fuel, VERDICT_WORDS[verdict], styles={len(cells) + 1: CELL_STYLES[verdict]})
    page.add(table.made("states"))
    if not percent:
        page.paragraph("Percent MAC: no mean aerodynamic chord in the profile.")
    page.paragraph(
        "Lateral CG: right of the centre line is positive." if across else f"Lateral CG {LATERAL_UNKNOWN}."
    )


def _limit_rows(limits: Iterable[LimitResult], display: Display) -> list[Row]:
    rows = []
    for each in limits:
        figures = [display.text(each.value, each.dimension), display.text(each.limit, each.dimension)]
        cells = [each.name, *figures, *margin_and_u(each, display), verdict_words(each)]
        style = CELL_STYLES[each.verdict]
        rows.append(Row(cells, styles={3: style, 5: style}))
    return rows


def render_limits(page: Page, plan: Plan, display: Display) -> None:
    """Every limit of load and states: value, limit, margin, U, verdict."""
    page.heading("Limits")
    page.paragraph(MASS_LIMIT_NOTE)
    rows = [Row(["LOAD"], "bold"), *_limit_rows(plan.load_limits, display)] if plan.load_limits else []
    for state in plan.states:
        rows += [Row([STATE_WORDS[state.name].upper()], "bold"), *_limit_rows(state.limits, display)]
    page.table(f"checked: words | value | limit | margin | U | {VERDICT}", rows, "limits")


def render_burn(page: Page, plan: Plan, display: Display) -> None:
    """The least margin against every CG limit anywhere in the burn, every crossing, and the diagram."""
    page.heading("The whole burn, from engine start to the last usable fuel")
    if plan.burn.path:
        _least_margins(page, plan, display)
        _crossings(page, plan, display)
    else:
        page.paragraph("No usable fuel is aboard, so nothing is burnt.")
    page.heading("CG against mass")
    label = "The envelope, the burn and the states: CG across, mass up. The tables give every figure."
    page.add(plan_picture(plan, display, label, "envelope"))


def plan_picture(plan: Plan, display: Display, label: str, id: str = "") -> Picture:  # noqa: A002
    """The burn of a plan in its envelope; `label` for those who do not see it."""

    def drawn(wide: float, high: float, size: float) -> str:
        from planner.views.pictures import envelope_picture  # late: a terminal draws with characters

        return envelope_picture.envelope_drawn(plan, display, wide, high, size)

    def legend() -> str:
        from planner.views.pictures import envelope_picture

        return envelope_picture.legend(plan, display)

    return Picture(partial(chart, plan, display), drawn, legend, label, id)


def _least_margins(page: Page, plan: Plan, display: Display) -> None:
    columns = f"limit: words | least\nmargin | U | fuel left: volume | take-off | {VERDICT}"
    table = Filled(display, columns)
    for least, limit in zip(plan.burn.least, plan.burn.limits, strict=True):
        style = CELL_STYLES[limit.verdict]
        when = time_from_takeoff(plan, least.point)
        figures = (*margin_and_u(limit, display), least.point.fuel, when)
        table.add(limit.title, *figures, verdict_words(limit), styles={1: style, 5: style})
    page.add(table.made("burn"))
    page.bullets(doubts(plan, display))


def _crossings(page: Page, plan: Plan, display: Display) -> None:
    if not plan.burn.crossings:
        page.paragraph(uncrossed(plan))
        return
    page.paragraph("Crossings during the burn:")
    for each in plan.burn.crossings:
        total, left = each.point.total, display.text(each.point.fuel, "volume")
        then = f"{display.text(total.mass, 'mass')}, CG {display.text(total.centre_of_gravity, 'length')}"
        out = each.direction == "out"
        which = f"{'leaves' if out else 'comes inside'}: {each.limit}"
        when = f"{time_from_takeoff(plan, each.point)} take-off"
        page.bullets([f"{which}, with {left} of fuel left, {when}: {then}"], "bold" if out else "")
