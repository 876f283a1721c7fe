"""A plan in at most fifteen lines of eighty columns: for a second look after one figure was changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planner.facts.cautions import PLAN_BRIEF
from planner.flight.envelope import LimitResult, worst
from planner.flight.limits import Group
from planner.plan.results import Plan, State
from planner.quantities.units import Display
from planner.views.blocks import VERDICT, Filled, Page, in_figures, in_words
from planner.views.flight.fuel_text import fuel_sentences
from planner.views.limit_words import CELL_STYLES, STATE_WORDS, VERDICT_STYLES, VERDICT_WORDS
from planner.views.words import about, amount, decides

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
    heads = (*in_words("state"), *in_figures("mass", "margin", "CG", "least margin"), VERDICT)
    table = Filled(display, *heads)
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
