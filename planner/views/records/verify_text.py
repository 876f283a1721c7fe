"""Published cases side by side with ours: screen, JSON, and the page docs/validation.md."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from planner.facts.sources import cite
from planner.sureness.verify_cases import CaseResult
from planner.views.blocks import Page, Row, Shows
from planner.views.keyed import keyed

GOVERNS: Final = (
    "Agreement with published examples does not make a plan right: the approved flight manual governs."
)


def _figures(result: CaseResult) -> tuple[str, str, str, str]:
    unit = "" if result.case.unit == "1" else f" {result.case.unit}"
    return (
        f"{result.case.published:.10g}{unit}",
        f"{result.ours:.8g}",
        f"{result.difference:+.2g}",
        f"{result.case.tolerance:.2g}",
    )


def _by_source(results: Sequence[CaseResult]) -> dict[str, list[CaseResult]]:
    found: dict[str, list[CaseResult]] = {}
    for result in results:
        found.setdefault(result.case.source, []).append(result)
    return found


def cases_json(results: Sequence[CaseResult]) -> dict[str, Any]:
    """Every case with its published figure, ours, difference and tolerance, in the unit named beside them."""
    rows = [
        keyed(
            result,
            "id=case.id what=case.what source clause=case.clause how_read=case.tag unit=case.unit"
            " published=case.published ours difference tolerance=case.tolerance reason=case.reason within",
            source=cite(result.case.source),
        )
        for result in results
    ]
    return {
        "schema": "planner/verify/1",
        "cases": rows,
        "missed": sum(not result.within for result in results),
    }


def render_cases(results: Sequence[CaseResult], console: Shows) -> None:
    """Cases grouped by source: a title per source, a line per case."""
    page = Page(console)
    columns = "case: words | published | ours | difference | tolerance | : beside"
    for source, found in _by_source(results).items():
        page.line()
        page.title(cite(source))
        rows = []
        for result in found:
            word, styles = ("within", {}) if result.within else ("MISSED", {5: "bold red"})
            rows.append(Row([result.case.what, *_figures(result), word], styles=styles))
        page.table(columns, rows, source)
    within = sum(result.within for result in results)
    missed = len(results) - within
    page.line()
    page.paragraph(
        f"{len(results)} published cases, {within} within tolerance, {missed} missed", "bold", first=""
    )
    page.paragraph(how_read(results), first="")
    page.paragraph(GOVERNS, first="")


def how_read(results: Sequence[CaseResult]) -> str:
    """How many cases rest on what: one sentence."""
    tags = [result.case.tag for result in results]
    return "How they were read: " + ", ".join(f"{tags.count(tag)} {tag}" for tag in dict.fromkeys(tags)) + "."


# Examples that were looked for and not found in a text that could be read stand nowhere with a figure.
_PAGE: Final = """\
# Validation

Made by `python -m planner.views.records.validation_page`; do not edit. `planner verify` runs the same cases on your machine.
How read: what stood behind the figure when it was taken down. A case from memory is never the only check of anything: a test
names another case beside each, read in the source or second-hand, that takes the same way through the program.

{} cases. {}

A loading is written as a profile and a flight and planned, an alteration is a change of the mass record, a weighing is a worksheet:
the way of a user's own files. Ballast, shift and share of the chord start from a planned state.

Looked for and not read, so not checked against:

- AC 43.13-1B figs 10-5 and 10-6 (weighing), 10-12 (most fuel) and 10-15 to 10-19 (equipment, ballast)
- FAA-H-8083-1B: the helicopter's lateral example, the temporary ballast and the equipment change; no lateral example of any source
- FAA-H-8083-30: the answers of the loading, extreme-condition, equipment and helicopter examples
"""  # noqa: E501 - a page of text, not broken where its lines are not


def validation_page(results: Sequence[CaseResult]) -> str:
    """docs/validation.md, generated from the same cases; a test holds the file to it."""
    lines = [_PAGE.format(len(results), how_read(results))]
    for source, found in _by_source(results).items():
        headings = "| case | clause | published | ours | difference | tolerance | reason | how read |"
        lines += [f"## {cite(source)}", "", headings, "|---|---|---|---|---|---|---|---|"]
        for result in found:
            case = result.case
            cells = (case.what, case.clause, *_figures(result), case.reason, case.tag)
            lines.append("| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |")
        lines.append("")
    return "\n".join(lines)
