"""A flight of several legs on the terminal and as JSON: one line per leg, then each leg with its verdict, its
window and the order at the pump.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from planner.flight.envelope import Verdict
from planner.quantities.sentences import finding_line
from planner.quantities.units import LITRE, Display
from planner.search.legs import LegPlan, worst_of
from planner.sureness.sureness import sureness
from planner.views.blocks import Filled, Page, Shows
from planner.views.columns import VERDICT
from planner.views.flight.burn_text import render_states
from planner.views.flight.certainty_text import render_certainty
from planner.views.flight.flight_json import whole_json
from planner.views.flight.flight_text import begin, end, render_before_start, render_verdict
from planner.views.flight.fuel_text import render_required
from planner.views.keyed import keyed
from planner.views.limit_words import VERDICT_STYLES, VERDICT_WORDS
from planner.views.words import dip_text

if TYPE_CHECKING:
    from planner.sureness.chance import Chance


def render_legs(
    legs: Sequence[LegPlan],
    display: Display,
    console: Shows,
    with_working: bool = False,
    with_certainty: bool = False,
    drawn: Sequence[Chance | None] = (),
) -> None:
    """Print every leg of a flight; the cautions stand first and last.

    Parameters: `legs` as planned [SI]; `display` the reader's units; `console`; `with_working` adds the
    arithmetic of each leg, `with_certainty` its uncertainty budgets; `drawn` the draws of each leg where it
    was drawn at random.
    """
    page = Page(console)
    begin(page, legs[0].plan, f"Flight of {len(legs)} legs")
    page.heading("Verdict of each leg")
    _overview(page, legs, display)
    worst = worst_of(legs)
    _all_legs(page, worst)
    page.paragraph(
        "Each leg starts with what the one before leaves when everything is burnt as planned: taxi, trip and"
        " taxi after landing, no reserve. Fuel put in counts at the density of the file. Dip the tanks at"
        " every stop: what is there counts, not this table."
    )
    render_before_start(page, legs[0].plan)
    for number, leg in enumerate(legs, 1):
        _leg(page, number, leg, display)
        chance = drawn[number - 1] if drawn else None
        if with_certainty or chance is not None:
            render_certainty(page, leg.plan, sureness(leg.plan), display, with_certainty, chance)
        if with_working:
            from planner.views.flight.working import render_working  # late: only with this option

            render_working(page, leg.plan, display)
    found = (finding_line(finding, display) for leg in legs for finding in leg.plan.findings)
    page.notices(list(dict.fromkeys(found)))
    end(page, legs[0].plan)
    _all_legs(page, worst)


def _all_legs(page: Page, worst: Verdict) -> None:
    page.paragraph(f"All legs together: {VERDICT_WORDS[worst]}.", VERDICT_STYLES[worst])


def _overview(page: Page, legs: Sequence[LegPlan], display: Display) -> None:
    table = Filled(
        display,
        f"leg: words | {VERDICT} | put in: volume | at start: volume | required: volume | on landing: volume",
        "take-off: mass | landing: mass",
    )
    for number, leg in enumerate(legs, 1):
        plan, fuel = leg.plan, leg.plan.fuel
        volumes = (leg.uplift, fuel.aboard, fuel.required, plan.state("landing").fuel)
        masses = (plan.state(name).total.mass for name in ("takeoff", "landing"))
        words = f"{number}. {leg.name}", VERDICT_WORDS[plan.verdict]
        table.add(*words, *volumes, *masses, styles={1: VERDICT_STYLES[plan.verdict]})
    page.add(table.made("legs"))


def _leg(page: Page, number: int, leg: LegPlan, display: Display) -> None:
    plan = leg.plan
    page.heading(f"Leg {number}: {leg.name}")
    render_verdict(page, plan, display)
    page.paragraph(window_words(leg, number == 1, display), "bold")
    if number > 1:
        _order(page, leg, display)
    render_required(page, plan, display)
    render_states(page, plan, display)


def window_words(leg: LegPlan, first: bool, display: Display) -> str:
    """`Put in between x and y`, with the edges before rounding, or that no amount will do."""
    if leg.put_in is None:
        return (
            f"No amount of {'usable fuel at start' if first else 'fuel put in'} makes this leg inside: change"
            " the load or the trip."
        )
    low, high = display.text(leg.put_in.low, "volume"), display.text(leg.put_in.high, "volume")
    ends = ((display.number(end, "volume", 1) for end in (each.low, each.high)) for each in leg.windows)
    edges = " and ".join(map(" to ".join, ends))
    unit = display.unit("volume")
    verb = "Start with" if first else "Put in"
    kind = " usable, the tanks filled alike" if first else ""
    return (
        f"{verb} between {low} and {high}{kind} (edges {edges} {unit}): required fuel, take-off, landing,"
        " zero-fuel and CG limits are all met in between."
    )


def _order(page: Page, leg: LegPlan, display: Display) -> None:
    plan = leg.plan
    volumes = "order at the pump: words | on arrival: volume | put in: volume | usable then: volume"
    table = Filled(display, volumes, *(["dip before | dip after"] if plan.aircraft.dipsticks else []))
    for line in leg.order:
        dips = (dip_text(dip, display) for dip in (line.dip_before, line.dip_after))
        table.add(line.tank, line.arrival, line.uplift, line.usable, *dips)
    arrival = sum(line.arrival for line in leg.order)
    table.add("in all, as the meter should show", arrival, leg.uplift, arrival + leg.uplift, style="bold")
    page.line()
    page.add(table.made("order"))
    mass = display.text(leg.uplift * plan.density.density, "mass")
    page.paragraph(f"Grade on the ticket: {plan.grade.name}. The fuel put in weighs {mass}.")


def legs_json(
    legs: Sequence[LegPlan], drawn: Sequence[Chance | None], working: Display | None = None
) -> list[dict[str, Any]]:
    """Every leg: its name, verdict, window, order at the pump, and its whole plan as in `planner/flight/1`,
    with `working` its arithmetic.

    `put_in_l` and `windows_l` count the fuel put in; for the first leg, which has no stop before it, all
    usable fuel at start.
    """
    return [
        _leg_json(number, leg) | {"plan": whole_json(leg.plan, chance, working)}
        for number, (leg, chance) in enumerate(zip(legs, drawn, strict=True), 1)
    ]


def _leg_json(number: int, leg: LegPlan) -> dict[str, Any]:
    window: list[float] | str = "no amount of fuel makes this leg inside"
    if leg.put_in is not None:
        window = [leg.put_in.low / LITRE, leg.put_in.high / LITRE]
    return {
        "number": number,
        "name": leg.name,
        "verdict": leg.plan.verdict,
        "window_of": "usable fuel at start" if number == 1 else "fuel put in",
        "put_in_l": window,
        "windows_l": [[each.low / LITRE, each.high / LITRE] for each in leg.windows],
        "order": {
            "grade": leg.plan.grade.id,
            "total_l": leg.uplift / LITRE,
            "total_kg": leg.uplift * leg.plan.density.density,
            "tanks": {
                line.tank: keyed(
                    line,
                    "on_arrival_l=arrival put_in_l=uplift usable_then_l=usable dip_before_m=dip_before"
                    " dip_after_m=dip_after",
                )
                for line in leg.order
            },
        },
    }
