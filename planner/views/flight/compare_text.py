"""Loadings beside each other on the terminal and as JSON: what each is, the verdicts with what decides them,
figures, margins and their differences; the cautions stand first and last.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

from planner.facts.cautions import INVENTED, PLAN, PLAN_SHORT
from planner.flight.envelope import LimitResult, Verdict
from planner.plan.comparing import ComparedLimit, ComparedLoading, compared_limits, worst_compared
from planner.plan.results import Plan
from planner.quantities.sentences import finding_line
from planner.quantities.units import SI_UNIT, Dimension, Display, clock
from planner.views.blocks import INDENT, LOUD_INVENTED, Page, Row, Shows
from planner.views.columns import in_figures
from planner.views.flight.flight_json import flight_json
from planner.views.keyed import keyed
from planner.views.limit_words import (
    CELL_STYLES,
    GROUP_WORDS,
    PLACE_WORDS,
    STATE_WORDS,
    VERDICT_STYLES,
    VERDICT_WORDS,
    margin_json,
)
from planner.views.words import about, amount, deciding, uncertainty_sentence, verdict_sentence

LETTERS: Final = "ABCDE"
EXIT_CODE: Final = "Exit code 0 only where every loading is shown inside every limit, 1 otherwise."
_MARKS: Final[dict[Verdict, str]] = {"inside": "", "not shown inside": "? ", "outside": "! "}
_NONE: Final = "-"
NOT_ASKED: Final = "not asked: nothing is on that station, or the profile has no such limit"
FUEL_REQUIRED: Final = "FUEL REQUIRED"
Figures = Iterator[tuple[str, Dimension | None, list[float]]]


def render_compared(loadings: Sequence[ComparedLoading], display: Display, console: Shows) -> None:
    """Two to five loadings as blocks, printed as they are made where there is a console.

    Parameters: `loadings` as planned [SI]; `display` the reader's units; `console` where it goes.
    Range: from 40 columns on no figure is broken. Raises: nothing of its own.
    """
    page = Page(console)
    page.title(f"Comparison of {len(loadings)} loadings")
    invented = any(each.plan.aircraft.invented for each in loadings)
    page.caution([*([LOUD_INVENTED] if invented else []), PLAN_SHORT])
    _loadings(page, loadings)
    _verdicts(page, loadings, display)
    _figures(page, loadings, display)
    _margins(page, loadings, display)
    named = list(zip(LETTERS, loadings, strict=False))
    told = (f"{each}: {finding_line(of, display)}" for each, one in named for of in one.plan.findings)
    page.notices(list(told))
    page.caution([*([INVENTED] if invented else []), *PLAN], "Cautions")
    # Once more, in short: what stands above the prompt is what is read first.
    each = (f"{letter} {VERDICT_WORDS[one.plan.verdict]}" for letter, one in named)
    page.paragraph(f"{', '.join(each)}.", VERDICT_STYLES[worst_compared(loadings)], first="", rest="")


def _loadings(page: Page, loadings: Sequence[ComparedLoading]) -> None:
    page.heading("The loadings")
    for letter, each in zip(LETTERS, loadings, strict=False):
        page.paragraph(f"{letter}  {each.file}: {about(each.plan)}", "bold", rest=INDENT * 3)
        page.bullets(each.changes or ["as it stands in the file"])


def _verdicts(page: Page, loadings: Sequence[ComparedLoading], display: Display) -> None:
    plans = [(letter, each.plan) for letter, each in zip(LETTERS, loadings, strict=False)]
    texts = [f"{letter}  {verdict_sentence(plan, display)}" for letter, plan in plans]
    inside = [letter for letter, plan in plans if plan.verdict == "inside"]
    unsure: dict[str, list[str]] = {}
    for letter, plan in plans:
        unsure.setdefault(uncertainty_sentence(plan), []).append(letter)
    beside = [
        f"Shown inside: {', '.join(inside) or 'none'}. {EXIT_CODE}",
        *(words if len(of) == len(plans) else f"{', '.join(of)}: {words}" for words, of in unsure.items()),
    ]
    style = VERDICT_STYLES[worst_compared(loadings)]
    page.panel("Verdicts, and what decides each", texts, style, beside, "verdict")


def _tables(page: Page, first: str, rows: Sequence[tuple[Row, Sequence[str]]], count: int, id: str) -> None:  # noqa: A002
    """Figures and their differences in one table for two loadings, in two for more, as wide as a screen."""
    heads, less = LETTERS[:count], [f"{each} - {LETTERS[0]}" for each in LETTERS[1:count]]
    words = f"{first}: words"
    if count == 2:
        joined = [Row([*row.cells, *change], row.style, row.styles) for row, change in rows]
        page.table((words, *in_figures(*heads, *less)), joined, id)
        return
    page.table((words, *in_figures(*heads)), [row for row, _ in rows], id)
    page.paragraph(f"The same less that of {LETTERS[0]}:")
    changes = [Row([row.cells[0], *change], row.style) for row, change in rows]
    page.table((words, *in_figures(*less)), changes, f"{id}-differences")


def _of_plans(plans: Sequence[Plan]) -> Figures:
    for state in plans[0].states:
        every = [plan.state(state.name) for plan in plans]
        yield f"{STATE_WORDS[state.name]} mass", "mass", [each.total.mass for each in every]
        yield f"{STATE_WORDS[state.name]} CG", "length", [each.total.centre_of_gravity for each in every]
    yield "usable fuel aboard", "volume", [plan.fuel.aboard for plan in plans]
    yield "fuel required", "volume", [plan.fuel.required for plan in plans]
    yield "endurance", None, [plan.fuel.endurance for plan in plans]


def _figures(page: Page, loadings: Sequence[ComparedLoading], display: Display) -> None:
    page.heading("Masses, CG and fuel")
    rows = []
    datums = [each.plan.aircraft_path for each in loadings]
    for name, dimension, values in _of_plans([each.plan for each in loadings]):
        texts = (display.text(v, dimension) if dimension else clock(v) for v in values)
        less = [
            _NONE
            if dimension == "length" and datum != datums[0]
            else _difference(value - values[0], dimension, display)
            for value, datum in zip(values[1:], datums[1:], strict=True)
        ]
        rows.append((Row([name, *texts]), less))
    _tables(page, "figure", rows, len(loadings), "figures")
    if len(set(datums)) > 1:
        page.paragraph("The loadings are of more than one aircraft: each CG is from the datum of its own.")


def _difference(value: float, dimension: Dimension | None, display: Display) -> str:
    if dimension is not None:
        return amount(value, dimension, display, sign=True)
    return f"{'-' if value < 0 else '+'}{clock(abs(value))}" if abs(value) >= 30 else clock(0.0)


def _margin_row(name: str, checks: Iterable[LimitResult | None], display: Display) -> Row:
    cells, styles = [name], {}
    for check in checks:
        if check is None:
            cells.append(_NONE)
            continue
        margin = amount(check.margin, check.dimension, display, sign=True)
        cells.append(f"{_MARKS[check.verdict]}{margin}")
        styles[len(cells) - 1] = CELL_STYLES[check.verdict]
    return Row(cells, styles=styles)


def _margins(page: Page, loadings: Sequence[ComparedLoading], display: Display) -> None:
    page.heading("Margin to every limit")
    plans = [each.plan for each in loadings]
    rows: list[tuple[Row, Sequence[str]]] = []
    place = ""
    for each in compared_limits(plans):
        limit = each.limit
        enough = limit.group == "fuel"
        here = FUEL_REQUIRED if enough else PLACE_WORDS[limit.place][0].upper()
        if here != place:
            place = here
            rows.append((Row([here], "bold"), ()))
        name = GROUP_WORDS["fuel"] if enough else limit.base or limit.name
        less = (each.change(at) for at in range(1, len(plans)))
        words = [_NONE if it is None else amount(it, limit.dimension, display, sign=True) for it in less]
        rows.append((_margin_row(name, each.checks, display), words))
    _tables(page, "limit", rows, len(loadings), "margins")
    page.paragraph(
        f"! outside the limit. ? not shown inside: the margin is not larger than its U. - {NOT_ASKED}."
    )


def compared_json(loadings: Sequence[ComparedLoading]) -> dict[str, Any]:
    """The loadings as JSON data, schema `planner/compare/1`: each with its whole plan as in
    `planner/flight/1`, and every limit with its margin in each and the difference to the first.

    A margin stands in the unit named beside it; where a limit is not asked the reason stands in its place.
    Parameters: `loadings` as planned [SI]. Returns a dict of str, float, list and dict only.
    """
    return {
        "schema": "planner/compare/1",
        "verdict": worst_compared(loadings),
        "exit_code": EXIT_CODE,
        "loadings": [_loading(at, each) for at, each in enumerate(loadings)],
        "limits": [_limit(each) for each in compared_limits([each.plan for each in loadings])],
    }


def _loading(at: int, each: ComparedLoading) -> dict[str, Any]:
    decides = [
        keyed(spot, "id=limit.id place=limit.place name=base", **margin_json(spot.limit))
        for spot in deciding(each.plan, Display())
    ]
    return keyed(
        each,
        "letter file leg=name changed=json",
        letter=LETTERS[at],
        decides=decides,
        plan=flight_json(each.plan),
    )


def _check(check: LimitResult | None) -> dict[str, Any] | str:
    return NOT_ASKED if check is None else margin_json(check)


def _limit(each: ComparedLimit) -> dict[str, Any]:
    limit = each.limit
    changes = [each.change(at) for at in range(1, len(each.checks))]
    return keyed(
        limit,
        "id place name",
        name=limit.base or limit.name,
        unit=SI_UNIT[limit.dimension],
        checks=[_check(check) for check in each.checks],
        differences=[NOT_ASKED if change is None else change for change in changes],
    )
