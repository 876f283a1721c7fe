"""A plan on the terminal: cautions, the verdict, then everything it rests on, and the cautions again; or, for
a second look after one figure was changed, at most fifteen lines of eighty columns.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from planner.facts.cautions import DRAIN, PLAN_BRIEF, PLAN_SHORT
from planner.flight.envelope import LimitResult, worst
from planner.flight.limits import Group, combined, station_max
from planner.plan.results import Plan, State
from planner.quantities.units import Display
from planner.sureness.sureness import sureness
from planner.views.blocks import LOUD_INVENTED, Block, Bullets, Filled, Page, Shows
from planner.views.columns import VERDICT
from planner.views.flight.burn_text import render_burn, render_limits, render_states
from planner.views.flight.certainty_text import render_certainty
from planner.views.flight.fuel_text import (
    fuel_sentences,
    render_aboard,
    render_final_reserve,
    render_fuel,
    render_required,
)
from planner.views.limit_words import (
    CELL_STYLES,
    STATE_WORDS,
    VERDICT_STYLES,
    VERDICT_WORDS,
    is_greatest,
    most_words,
)
from planner.views.words import (
    about,
    amount,
    before_start,
    cautions,
    decides,
    density_sentences,
    headline,
    uncertainty_sentence,
    verdict_sentence,
)

if TYPE_CHECKING:
    from planner.sureness.chance import Chance


def render_flight(
    plan: Plan,
    display: Display,
    console: Shows | None = None,
    with_working: bool = False,
    with_certainty: bool = False,
    drawn: Chance | None = None,
) -> list[Block]:
    """The whole plan as blocks, printed as they are made where there is a console; tables stack where it is
    narrow.

    The cautions stand first and last, only the verdict once more after them, and cannot be switched off; no
    verdict is told by colour alone.

    Parameters: `plan` [SI]; `display` the reader's units; `console` where it goes (plain text in a pipe);
    `with_working` adds every line of arithmetic before the closing cautions, `with_certainty` the uncertainty
    budgets; `drawn` is shown where the plan was also drawn at random.
    Range: from 40 columns on no figure is broken. Raises: nothing of its own.
    """
    page = Page(console)
    begin(page, plan, "Mass, balance and fuel plan")
    # What a pilot looks for first, then what it rests on.
    for render in (render_verdict, render_states, render_fuel):
        render(page, plan, display)
    render_before_start(page, plan)
    for render in (render_density, render_aboard, render_required, render_final_reserve):
        render(page, plan, display)
    for render in (render_items, render_limits, render_burn):
        render(page, plan, display)
    render_certainty(page, plan, sureness(plan), display, with_certainty, drawn)
    page.findings(plan.findings, display)
    if with_working:
        from planner.views.flight.working import render_working  # late: only with this option

        render_working(page, plan, display)
    end(page, plan)
    # As the last lines of a long report: what stands above the prompt.
    page.panel("Verdict", [verdict_sentence(plan, display)], VERDICT_STYLES[plan.verdict], id="verdict-again")
    return page.blocks


def render_verdict(page: Page, plan: Plan, display: Display) -> None:
    """The verdict and how far its margins can be trusted, then what decides it."""
    style = VERDICT_STYLES[plan.verdict]
    page.panel("Verdict", [headline(plan)], style, [uncertainty_sentence(plan)], "verdict")
    page.heading("What decides" if plan.verdict != "inside" else "What decides: the least margins")
    page.bullets(decides(plan, display).texts, "" if plan.verdict == "inside" else style, "decides")


def render_before_start(page: Page, plan: Plan) -> None:
    """What is done at the aircraft before engine start, each with a box to tick."""
    drains, looks = before_start(plan)
    page.heading("Before engine start")
    page.paragraph(DRAIN)
    page.add(Bullets(drains, boxes=True, id="drains"))
    page.add(Bullets(looks, boxes=True, id="before-start"))


def render_density(page: Page, plan: Plan, display: Display) -> None:
    """The density that litres became kilograms with, and what it rests on."""
    page.heading("Fuel density used")
    for sentence in density_sentences(plan, display):
        page.paragraph(sentence)


def begin(page: Page, plan: Plan, what: str) -> None:
    """Title, unless it stands elsewhere, and short caution, for everything that is told of a plan."""
    if what:
        page.title(f"{what}: {about(plan, dated=True)}")
    page.caution([*([LOUD_INVENTED] if plan.aircraft.invented else []), PLAN_SHORT])


def end(page: Page, plan: Plan) -> None:
    """The cautions in full; they can not be switched off."""
    page.caution(cautions(plan), "Cautions")


def _alarm(limit: LimitResult) -> str:
    return VERDICT_STYLES[limit.verdict] if limit.verdict != "inside" else ""


def render_items(page: Page, plan: Plan, display: Display) -> None:
    """Every item with the most its place may hold, arm and moment; totals without and with fuel; groups of
    places with their most.
    """
    page.heading("Masses, arms and moments")
    unit = display.unit("mass")
    side = " | lateral arm: +length" if plan.aircraft.lateral is not None else ""
    table = Filled(display, f"item: words | mass: mass | most [{unit}] | arm: length | moment: moment{side}")

    limits = {limit.id: limit for limit in plan.load_limits}
    # Every mass on a station has the limit of the station beside it.
    most = {
        label: limits.get(station_max(each.station))
        for each in plan.loading.stations
        for label, _, _ in each.masses
    }
    shared = {
        name: f"one figure for {seats} seats, put on no one of them but at the mean of their arms;"
        " a list such as [80 kg, 0 kg] says who sits where"
        for name, masses in plan.flight.load.items()
        if (seats := plan.aircraft.stations[name].seats) > 1 and len(masses) == 1 and masses[0].value
    }
    for item in plan.loading.items:
        limit, note = most.get(item.name), shared.get(item.name, "")
        held, style = (most_words(limit, display), _alarm(limit)) if limit else ("", "")
        figures = (item.mass, held, item.arm, item.mass * item.arm, item.lateral_arm)
        table.add(item.name, *figures, style=style, note=note)
    for name, title in (("zero fuel", "zero-fuel mass"), ("ramp", "ramp mass")):
        total = plan.state(name).total
        if name == "ramp":
            for each in plan.fuel.tanks:
                figures = (each.mass, "", each.arm, each.mass * each.arm, each.tank.lateral_arm)
                table.add(f"usable fuel {each.tank.name}", *figures)
        cg, across = total.centre_of_gravity, total.lateral_centre_of_gravity
        table.add(title, total.mass, "", cg, total.mass * cg, across, style="bold")
    sums = {combined(number): each.name for number, each in enumerate(plan.aircraft.combined_limits)}
    beside = {station_max(each.station) for each in plan.loading.stations}
    for limit in plan.load_limits:
        if limit.group == "load" and is_greatest(limit) and limit.id not in beside:
            name = sums.get(limit.id, limit.name)
            table.add(name, limit.value, most_words(limit, display), style=_alarm(limit))
    page.add(table.made("items"))
    page.paragraph(
        f"Arms from the datum: {plan.aircraft.datum}. For a total the arm is the CG. Figures shown are"
        " rounded, computed unrounded."
    )
    empty = plan.aircraft.basic_empty
    due = f", next due {empty.next_due}" if empty.next_due else ""
    page.paragraph(f"Mass record used: {empty.version_id}, {empty.established}{due}.")


_ROOM: Final = 228  # letters of three lines of 76: what is told of the limits that decide
_CG: Final[tuple[Group, ...]] = ("forward", "aft", "lateral")


def render_brief(page: Page, plan: Plan, display: Display, name: str = "", last: bool = True) -> None:
    """The verdict, what decides it, the four states with their least margins, the fuel, and one line of
    caution, which cannot be switched off.

    Parameters: `page`; `plan` [SI]; `display`; `name` of the leg where there are several, `last` of them
    carries the caution.
    """
    style = VERDICT_STYLES[plan.verdict]
    invented = "INVENTED data, never fly with it: " if plan.aircraft.invented else ""
    page.paragraph(f"{plan.verdict.upper()}. {invented}{about(plan, name)}", style, first="", rest="  ")
    word = "Least margins" if plan.verdict == "inside" else "Decides"
    page.paragraph(f"{word}: {_few(decides(plan, display).texts)}.")
    _states(page, plan, display)
    told = f" Notices: {len(plan.findings)}." if plan.findings else ""
    first, second = fuel_sentences(plan, display)
    page.paragraph(first)
    page.paragraph(f"{second}{told}")
    if last:
        page.paragraph(PLAN_BRIEF, "bold yellow", first="", rest="")


def _few(texts: Sequence[str]) -> str:
    """As many as three lines hold, at least one, and how many more there are."""
    kept = list(texts[:1])
    for text in texts[1:]:
        if sum(map(len, [*kept, text])) + 2 * len(kept) > _ROOM - 20:
            break
        kept.append(text)
    more = len(texts) - len(kept)
    return "; ".join(kept) + (f"; and {more} more" if more else "")


def _states(page: Page, plan: Plan, display: Display) -> None:
    table = Filled(display, f"state: words | mass | margin | CG | least margin | {VERDICT}")
    for state in plan.states:
        verdict = worst([limit.verdict for limit in state.limits])
        mass, cg = _least(state, ("mass",)), _least(state, _CG)
        table.add(
            STATE_WORDS[state.name],
            display.text(state.total.mass, "mass"),
            amount(mass.margin, "mass", display, sign=True) if mass else "no limit",
            display.text(state.total.centre_of_gravity, "length"),
            f"{amount(cg.margin, 'length', display, sign=True)} {cg.group}" if cg else "no limit",
            VERDICT_WORDS[verdict],
            styles={5: CELL_STYLES[verdict]},
        )
    page.add(table.made("states"))


def _least(state: State, groups: tuple[Group, ...]) -> LimitResult | None:
    """The limit of those groups with the least margin in that state."""
    return min(
        (limit for limit in state.limits if limit.group in groups), key=lambda each: each.margin, default=None
    )
