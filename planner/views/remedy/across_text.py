"""Which aircraft can carry a load, on the terminal and as JSON data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from planner.facts.cautions import INVENTED
from planner.plan.results import Plan
from planner.quantities.sentences import said
from planner.quantities.units import LITRE, Display
from planner.search.remedies.across import Candidate
from planner.search.remedies.search import failing
from planner.search.remedies.steps import least_mass_of, least_of
from planner.views.blocks import Filled, Page, Shows
from planner.views.flight.flight_text import begin, end
from planner.views.remedy.remedy_json import plan_in_short
from planner.views.remedy.remedy_words import worst_words
from planner.views.words import cautions, margin_and_u

MAPPING: Final = (
    (
        "People were put on seats and bags into baggage compartments (where an aircraft has none, on its"
        " other stations) in every way that fits, the pilot on the first seat; the way with the most CG"
        " margin is shown. Bags are not divided."
    ),
    (
        "Each aircraft flies the same times with its own flows, limits and feed order, at the density of the"
        " flight file, with the least fuel that is enough, all tanks filled to the same share."
    ),
)


def render_across(plan: Plan, found: Sequence[Candidate], display: Display, console: Shows) -> None:
    """Print which aircraft can carry the load of a flight, and why the others can not; the cautions stand
    first and last.

    Parameters: the flight's own `plan` [SI]; `found` in order; `display` the reader's units; `console`.
    """
    page = Page(console)
    begin(page, plan, "Which aircraft can carry the load of this flight")
    able = [each for each in found if each.possible]
    page.heading(f"{len(able)} of {len(found)} can")
    if able:
        _able(page, able, display)
    for each in able:
        page.bullets([_line(each, _places(each, display))])
    if len(able) < len(found):
        page.heading("Can not")
        for each in found:
            if not each.possible:
                nearest = f" ({_places(each, display)})" if each.places else ""
                page.bullets([_line(each, f"{reason_words(each, display)}{nearest}")])
    page.heading("How it was loaded")
    for sentence in MAPPING:
        page.paragraph(sentence)
    cut = [each.name for each in found if each.of > each.ways]
    if cut:
        page.paragraph(
            f"Only the first {max(each.ways for each in found)} arrangements were looked at for:"
            f" {', '.join(cut)}."
        )
    if _invented(found) and not plan.aircraft.invented:
        page.paragraph(INVENTED, "bold yellow")
    end(page, plan)


def _able(page: Page, able: Sequence[Candidate], display: Display) -> None:
    volumes = "fuel\nrequired: volume | at least: volume | at most: volume"
    table = Filled(display, f"aircraft: words | CG margin | U | mass margin | {volumes}")
    for each in able:
        assert each.case is not None and each.window is not None  # noqa: PT018 - both come with an aircraft that can
        least, mass, fuel = least_of(each.case.plan), least_mass_of(each.case.plan), each.case.plan.fuel
        margins = (*margin_and_u(least, display), margin_and_u(mass, display)[0])
        table.add(each.name, *margins, fuel.required, fuel.aboard, each.window.high)
    page.add(table.made("able"))


def _line(each: Candidate, told: str) -> str:
    return f"{each.name}: {'; '.join([told, *each.notes])}."


def _invented(found: Sequence[Candidate]) -> bool:
    return any(each.case is not None and each.case.plan.aircraft.invented for each in found)


def _places(each: Candidate, display: Display) -> str:
    return ", ".join(
        f"{station} {' + '.join(display.number(mass, 'mass') for mass in masses)} {display.unit('mass')}"
        for station, masses in each.places
        if masses
    )


def reason_words(each: Candidate, display: Display) -> str:
    """Why an aircraft can not, in the reader's units; nothing for one that can."""
    if each.possible or each.case is None:
        return said(each.reason, display)
    plan = each.case.plan
    return "; ".join(worst_words(failing(plan), display)) or f"the plan is {plan.verdict}"


def across_json(plan: Plan, found: Sequence[Candidate]) -> dict[str, Any]:
    """What was found as JSON data, schema `planner/remedy-across/1`."""
    return {
        "schema": "planner/remedy-across/1",
        "verdict": plan.verdict,
        "invented": plan.aircraft.invented or _invented(found),
        "cautions": list(cautions(plan)),
        "mapping": list(MAPPING),
        "aircraft": [_candidate(each) for each in found],
    }


def _candidate(each: Candidate) -> dict[str, Any]:
    data: dict[str, Any] = {"name": each.name, "profile": each.path, "possible": each.possible}
    data |= {"reason": reason_words(each, Display()), "notes": list(each.notes)}
    data["places_kg"] = {station: list(masses) for station, masses in each.places}
    data["arrangements_tried"] = each.ways
    if each.case is not None:
        data["plan"] = plan_in_short(each.case.plan)
    if each.window is not None:
        data["usable_fuel_window_l"] = [each.window.low / LITRE, each.window.high / LITRE]
    return data
