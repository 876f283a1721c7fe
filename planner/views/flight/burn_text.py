"""The balance part of a plan on the terminal: states, every limit, the whole burn, and the diagram."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from planner.flight.envelope import LimitResult, Verdict, worst
from planner.plan.results import Plan
from planner.quantities.units import Display
from planner.views.blocks import Column, Page, Picture, Row
from planner.views.chart import chart
from planner.views.words import (
    LATERAL_UNKNOWN,
    MASS_LIMIT_NOTE,
    STATE_WORDS,
    VERDICT_WORDS,
    amount,
    crossing_words,
    doubts,
    time_from_takeoff,
    uncrossed,
    verdict_words,
)

_STYLES: Final[dict[Verdict, str]] = {
    "inside": "green",
    "not shown inside": "bold yellow",
    "outside": "bold red",
}
_VERDICT: Final = Column("verdict", figures=False, beside=True)


def render_states(page: Page, plan: Plan, display: Display) -> None:
    """Mass, CG, percent MAC, lateral CG and usable fuel of every state."""
    page.heading("States")
    columns = [
        Column("state", figures=False),
        Column("mass", display.unit("mass")),
        Column("CG", display.unit("length")),
    ]
    percent = plan.aircraft.mean_aerodynamic_chord is not None
    if percent:
        columns.append(Column("CG", "% MAC"))
    across = plan.aircraft.lateral_known
    if across:
        columns.append(Column("lateral CG", display.unit("length")))
    columns += [Column("usable fuel", display.unit("volume")), _VERDICT]
    rows = []
    for state in plan.states:
        cells = [
            STATE_WORDS[state.name],
            display.number(state.total.mass, "mass"),
            display.number(state.total.centre_of_gravity, "length"),
        ]
        if percent:
            cells.append(f"{state.percent_mac:.2f}" if isinstance(state.percent_mac, float) else "-")
        if across:
            cells.append(display.number(state.total.lateral_centre_of_gravity, "length", sign=True))
        verdict = worst([limit.verdict for limit in state.limits])
        rows.append(
            Row(
                [*cells, display.number(state.fuel, "volume"), VERDICT_WORDS[verdict]],
                styles={len(cells) + 1: _STYLES[verdict]},
            )
        )
    page.table(columns, rows)
    if not percent:
        page.paragraph("Percent MAC: no mean aerodynamic chord in the profile.")
    page.paragraph(
        "Lateral CG: right of the centre line is positive." if across else f"Lateral CG {LATERAL_UNKNOWN}."
    )


def _limit_rows(limits: Iterable[LimitResult], display: Display) -> list[Row]:
    rows = []
    for each in limits:
        figures = [display.text(each.value, each.dimension), display.text(each.limit, each.dimension)]
        margin = amount(each.margin, each.dimension, display, sign=True)
        cells = [
            each.name,
            *figures,
            margin,
            amount(each.uncertainty, each.dimension, display),
            verdict_words(each),
        ]
        style = _STYLES[each.verdict]
        rows.append(Row(cells, styles={3: style, 5: style}))
    return rows


def render_limits(page: Page, plan: Plan, display: Display) -> None:
    """Every limit of load and states: value, limit, margin, U, verdict."""
    page.heading("Limits")
    page.paragraph(MASS_LIMIT_NOTE)
    columns = [
        Column("checked", figures=False),
        Column("value"),
        Column("limit"),
        Column("margin"),
        Column("U"),
        _VERDICT,
    ]
    rows = [Row(["LOAD"], "bold"), *_limit_rows(plan.load_limits, display)] if plan.load_limits else []
    for state in plan.states:
        rows += [Row([STATE_WORDS[state.name].upper()], "bold"), *_limit_rows(state.limits, display)]
    page.table(columns, rows)


def render_burn(page: Page, plan: Plan, display: Display) -> None:
    """The least margin against every CG limit anywhere in the burn, every crossing, and the diagram."""
    page.heading("The whole burn, from engine start to the last usable fuel")
    if plan.burn.path:
        _least_margins(page, plan, display)
        _crossings(page, plan, display)
    else:
        page.paragraph("No usable fuel is aboard, so nothing is burnt.")
    page.heading("CG against mass")
    page.add(_picture(plan, display))


def _picture(plan: Plan, display: Display) -> Picture:
    def drawn(wide: float, high: float, size: float) -> str:
        from planner.views.flight.envelope_picture import (
            envelope_drawn,
        )  # late, as below: a terminal draws with characters

        return envelope_drawn(plan, display, wide, high, size)

    def legend() -> str:
        from planner.views.flight import envelope_picture

        return envelope_picture.legend(plan, display)

    label = "The envelope, the burn and the states: CG across, mass up. The tables give every figure."
    return Picture(lambda width, unicode: chart(plan, display, width, unicode), drawn, legend, label)


def _least_margins(page: Page, plan: Plan, display: Display) -> None:
    columns = [
        Column("limit", figures=False),
        Column("least\nmargin"),
        Column("U"),
        Column("fuel left", display.unit("volume")),
        Column("take-off"),
        _VERDICT,
    ]
    rows = []
    for least, limit in zip(plan.burn.least, plan.burn.limits, strict=True):
        figures = [
            amount(least.margin, "length", display, sign=True),
            amount(limit.uncertainty, "length", display),
        ]
        cells = [
            least.limit,
            *figures,
            display.number(least.point.fuel, "volume"),
            time_from_takeoff(plan, least.point),
            verdict_words(limit),
        ]
        rows.append(Row(cells, styles={1: _STYLES[limit.verdict], 5: _STYLES[limit.verdict]}))
    page.table(columns, rows)
    page.bullets(doubts(plan, display))


def _crossings(page: Page, plan: Plan, display: Display) -> None:
    if not plan.burn.crossings:
        page.paragraph(uncrossed(plan))
        return
    page.paragraph("Crossings during the burn:")
    for each in plan.burn.crossings:
        total, left = each.point.total, display.text(each.point.fuel, "volume")
        then = f"{display.text(total.mass, 'mass')}, CG {display.text(total.centre_of_gravity, 'length')}"
        words = (
            f"{crossing_words(each)}, with {left} of fuel left, {time_from_takeoff(plan, each.point)}"
            f" take-off: {then}"
        )
        page.bullets([words], "bold" if each.direction == "out" else "")
