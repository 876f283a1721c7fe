"""How sure a plan is, on the terminal and as JSON: one sentence always, budgets and rankings when asked
for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from planner.plan.results import Plan
from planner.quantities.effects import seat_label
from planner.quantities.sentences import percent, said
from planner.quantities.units import Display
from planner.records.flight.load_items import LoadMass
from planner.sureness.sureness import BookComparison, LimitBudget, Sureness
from planner.views.blocks import Page
from planner.views.keyed import keyed
from planner.views.limit_words import PLACE_WORDS, margin_json

if TYPE_CHECKING:
    from planner.sureness.chance import Chance

MOST_CAUSES: Final = 3  # named per limit on the screen; the JSON has all


def render_certainty(
    page: Page, plan: Plan, sure: Sureness, display: Display, full: bool, drawn: Chance | None
) -> None:
    """The section on certainty: the sentence, evidence behind the masses, what the density buys; with `full`
    the budgets and what to measure.
    """
    page.heading("How sure")
    page.paragraph(f"{sure.sentence[0].upper()}{sure.sentence[1:]}.")
    _evidence(page, plan, display)
    page.paragraph(book_sentence(sure.book, display))
    if drawn is not None:
        page.paragraph(chance_sentence(drawn), "" if drawn.shown else "bold yellow")
        for name, count in drawn.failures:
            page.bullets(
                [f"outside {name} in {count} of {drawn.draws} draws ({percent(count / drawn.draws)})"]
            )
    if not full:
        return
    _improvements(page, sure, display)
    columns = "limit: words | where: words | margin | U | U from, share of its square: words"
    rows = [_budget_row(each, display) for each in sure.budgets if each.shares]
    if rows:
        page.heading("Uncertainty budget of every limit")
        page.table(columns, rows, "budgets")
    page.paragraph("Limits not listed have nothing unsure behind them. U is k = 2.")


def _budget_row(each: LimitBudget, display: Display) -> tuple[str, ...]:
    limit = each.limit
    shares = ", ".join(f"{share.cause} {percent(share.share)}" for share in each.shares[:MOST_CAUSES])
    if rest := sum(share.share for share in each.shares[MOST_CAUSES:]):
        shares += f", the rest {percent(rest)}"
    margin = display.span(limit.margin, limit.dimension)
    u = display.span(limit.uncertainty, limit.dimension).lstrip("+")
    return limit.title, PLACE_WORDS[limit.place][0], margin, u, shares


def _improvements(page: Page, sure: Sureness, display: Display) -> None:
    limit = sure.weakest.limit
    page.heading("What measuring better would buy")
    if not sure.improvements:
        page.paragraph(_nothing_to_measure(sure))
        return

    def span(value: float) -> str:
        return display.span(value, limit.dimension).lstrip("+")

    margin, now = span(limit.margin), span(limit.uncertainty)
    for each in sure.improvements:
        then = span(each.uncertainty)
        page.bullets([f"{each.what}: {limit.name}, margin {margin}, U from {now} to {then}: {each.verdict}"])
    page.paragraph("The margin itself will move too once the figure is measured; only its U is foretold.")


def _nothing_to_measure(sure: Sureness) -> str:
    """Why no better measurement is offered for the weakest limit: outside, exact, or none mends it."""
    limit, shares = sure.weakest.limit, sure.weakest.shares
    if limit.margin < 0:
        return (
            f"Nothing: {limit.name} is passed on the figures as they stand, and measuring better cannot bring"
            " it inside."
        )
    if not shares:
        return f"Nothing: no figure behind {limit.name} is stated as unsure."
    causes = " and ".join(f"'{share.cause}'" for share in shares[:MOST_CAUSES])
    return f"Nothing this program knows a better measurement of: the U of {limit.name} comes from {causes}."


def _evidence(page: Page, plan: Plan, display: Display) -> None:
    for station, masses in plan.flight.load.items():
        for seat, mass in enumerate(masses):
            if isinstance(mass, LoadMass):
                label = seat_label(station, seat, len(masses))
                pad = f" + pad {display.text(mass.pad, 'mass')}" if mass.pad else ""
                given, used, u = (display.text(each, "mass") for each in (mass.given, mass.value, mass.u))
                page.bullets([f"{label}: {given}{pad} = {used}, u {u} ({said(mass.basis, display)})"])


def book_sentence(book: BookComparison, display: Display) -> str:
    """What the density used buys over the book figure, also when that is nothing."""
    if book.reason:
        return f"Density against the book figure: {said(book.reason, display)}."
    mass, cg = display.span(book.mass, "mass"), display.span(book.cg, "length")
    worth = f"{mass} of fuel aboard, {cg} of take-off CG, {book.endurance / 60:+.0f} min of endurance"
    nothing = abs(book.mass) < 0.05 and abs(book.cg) < 5e-5 and abs(book.endurance) < 30
    return (
        f"Density used against the book figure ({display.text(book.book_density, 'density')} at this"
        f" temperature): {'nothing: ' if nothing else ''}{worth}."
    )


def chance_sentence(drawn: Chance) -> str:
    """The share of draws inside every limit; under 97.7 % it never reads as fine."""
    share = (
        f"{drawn.share * 100:.2f} % (standard error {drawn.standard_error * 100:.2f} %) of {drawn.draws}"
        f" draws, seed {drawn.seed}"
    )
    if drawn.shown:
        return (
            "Drawn at random within the uncertainties: inside every mass and CG limit through the whole burn"
            f" in {share}."
        )
    return (
        "NOT SHOWN INSIDE by drawing at random: inside every mass and CG limit through the whole burn in"
        f" only {share}; needed 97.7 %."
    )


def certainty_json(plan: Plan, sure: Sureness, drawn: Chance | None) -> dict[str, Any]:
    """Everything of `render_certainty`, units in the keys or beside the figure."""

    def line(each: LimitBudget) -> dict[str, Any]:
        shares = [keyed(one, "cause change share_percent=share*100") for one in each.shares]
        return {"limit": each.limit.name, "where": each.where, **margin_json(each.limit), "budget": shares}

    result: dict[str, Any] = {
        "sentence": sure.sentence,
        "weakest": line(sure.weakest),
        "budgets": [line(each) for each in sure.budgets if each.shares],
        "improvements": [
            keyed(each, "what expanded_uncertainty=uncertainty verdict") for each in sure.improvements
        ],
        "evidence": [
            {"station": station}
            | keyed(mass, "given_kg=given pad_kg mass_kg=value u_kg=u how basis", pad_kg=mass.pad or 0.0)
            for station, masses in plan.flight.load.items()
            for mass in masses
            if isinstance(mass, LoadMass)
        ],
        "against_book_density": keyed(
            sure.book,
            "book_kg_per_m3=book_density fuel_mass_kg=mass takeoff_cg_m=cg endurance_min=endurance reason",
        ),
    }

    if drawn is not None:
        result["draws"] = keyed(
            drawn,
            "count=draws inside inside_percent=share*100 standard_error_percent=standard_error*100 seed"
            " shown",
            failures=[{"limit": name, "count": count} for name, count in drawn.failures],
        )
    return result
