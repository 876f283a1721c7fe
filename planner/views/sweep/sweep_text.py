"""A sweep in words: what was varied, what came out, the least margins and where, cautions; as text and as
JSON.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from planner.flight.envelope import ORDER
from planner.plan.results import Plan
from planner.quantities.frozen import frozen
from planner.quantities.sentences import book, finding_words
from planner.quantities.units import Display
from planner.sweep.block import GROUP_DIMENSION, GROUPS, Group
from planner.sweep.sweep_ranges import Axis
from planner.sweep.sweep_run import Grid, Summary
from planner.sweep.targets import Target
from planner.views.blocks import Page, Parts, Picture, Row, Shows
from planner.views.keyed import keyed
from planner.views.limit_words import GROUP_WORDS
from planner.views.sweep.sweep_csv import UNIT
from planner.views.sweep.sweep_map import curves, heat_map, legend
from planner.views.words import about, amount, cautions, uncertainty_sentence


@frozen(kw_only=True)
class SweepReport:
    """All a sweep's report shows. `axes` is empty for a table; `replanned` is how many loadings were planned
    again and the greatest difference.
    """

    plan: Plan
    targets: tuple[Target, ...]
    axes: tuple[Axis, ...]
    table: str
    summary: Summary
    grid: Grid | None
    replanned: tuple[int, float]
    written: tuple[str, ...]


def _rules(report: SweepReport, display: Display) -> list[str]:
    """What a loading of this sweep is."""
    plan, targets = report.plan, report.targets
    lines = [
        "A loading is the flight file with the varied figures typed in, taken as exact; everything else stays"
        " as the file has it.",
        "Each is checked as 'planner flight' does: stations, the four states, the whole burn, fuel; a margin"
        " counts where it is least.",
    ]
    if any(target.kind == "fuel" for target in targets):
        given = " and ".join(
            f"{book(each.volume, 'volume').shown(display)} in {each.tank.name}" for each in plan.fuel.tanks
        )
        of_flight = f"in the flight's proportions ({given})"
        how = of_flight if plan.fuel.aboard else "in the proportions of the tanks"
        lines.append(
            f"Fuel is usable fuel in all tanks, shared {how}; a full tank passes on what it can not hold."
        )
    seated = [
        each.name
        for each in targets
        if each.kind == "station" and plan.aircraft.stations[each.station].lateral_arms
    ]
    if seated and plan.aircraft.lateral is not None:
        lines.append(
            f"Sideways, one figure for {' and '.join(seated)} sits at the mean of the seats; '{seated[0]} 1'"
            " varies one seat."
        )
    return lines


def _varied(report: SweepReport) -> list[dict[str, Any]]:
    """What was varied, each in its own unit, and between what ends a loading was inside."""
    summary, varied = report.summary, []
    for index, target in enumerate(report.targets):
        factor = target.factor(report.plan.density.density)
        inside = [float(ends[index]) / factor for ends in (summary.inside_low, summary.inside_high)]
        entry: dict[str, Any] = {"name": target.name, "unit": target.unit.name}
        if report.axes:
            axis = report.axes[index]
            entry |= {"from": axis.low, "to": axis.high, "steps": axis.steps}
        varied.append(entry | {"inside": inside if np.isfinite(inside[0]) else []})
    return varied


def _worst(report: SweepReport) -> dict[Group, dict[str, Any]]:
    """The least margin of every group of limits with its loading; how many loadings are not inside for it."""
    summary, density, found = report.summary, report.plan.density.density, {}
    for group, least in summary.least.items():
        (unit, scale), at = UNIT[GROUP_DIMENSION[group]], GROUPS.index(group)
        loads = zip(report.targets, least.loads, strict=True)
        found[group] = keyed(
            least,
            "limits unit margin expanded_uncertainty loading index",
            limits=group,
            unit=unit,
            margin=least.margin / scale,
            expanded_uncertainty=least.uncertainty / scale,
            loading={target.name: value / target.factor(density) for target, value in loads},
            outside=int(summary.outside_by[at]),
            not_shown_inside=int(summary.doubtful_by[at]),
        )
    return found


def _varied_table(report: SweepReport, page: Page) -> None:
    rows = []
    for each in _varied(report):
        reach = f"{each['from']:.6g} to {each['to']:.6g}" if report.axes else "the table"
        met = "{:.5g} to {:.5g}".format(*each["inside"]) if each["inside"] else "none"
        rows.append((each["name"], each["unit"], reach, str(each.get("steps", "-")), met))
    page.table("varied: words | unit: words | range | values | met among those inside", rows, "varied")


def _limits_table(report: SweepReport, page: Page, display: Display) -> None:
    rows, worst = [], _worst(report)
    for group, words in GROUP_WORDS.items():
        if (row := worst.get(group)) is not None:
            least, dimension = report.summary.least[group], GROUP_DIMENSION[group]
            margin = amount(least.margin, dimension, display, sign=True)
            u = amount(least.uncertainty, dimension, display)
            units = {target.name: target.unit.name for target in report.targets}
            loading = ", ".join(f"{name} {value:.5g} {units[name]}" for name, value in row["loading"].items())
            cells = [words, f"{row['outside']:,}", f"{row['not_shown_inside']:,}", margin, u, loading]
            rows.append(Row(cells, styles={1: "bold red" if row["outside"] else ""}))
    heads = "limits: words | outside | not\nshown | least\nmargin | U | with: words"
    page.table(heads, rows, "least-margins")


def counts(report: SweepReport) -> str:
    """How many loadings of each verdict."""
    summary = report.summary
    parts = [f"{int(number):,} {word}" for word, number in zip(ORDER, summary.by_verdict, strict=True)]
    return f"{summary.count:,} loadings: {', '.join(parts)}."


def render_sweep(report: SweepReport, display: Display, console: Shows) -> None:
    """The report on a terminal or in a pipe."""
    page, plan = Page(console), report.plan
    notes = cautions(plan)
    title = f"Sweep of {about(plan, plan.flight_path)}"
    page.paragraph(title, "bold", first="", rest="")
    if plan.aircraft.invented:
        page.paragraph(notes[0], "bold yellow", first="", rest="")
    page.heading("Result")
    page.paragraph(counts(report), "bold")
    page.paragraph(uncertainty_sentence(plan))
    page.line()
    _varied_table(report, page)
    if (grid := report.grid) is not None:
        page.heading("Picture")

        def signs(width: int, _: bool) -> tuple[list[Parts], list[str]]:
            lines, step = heat_map(grid, width) if len(grid.axes) == 2 else curves(grid, width, display)
            return [*lines, []], legend(grid, step, display)

        page.add(Picture(signs, id="sweep"))
    page.heading("Least margins")
    _limits_table(report, page, display)
    count, difference = report.replanned
    if count:
        page.paragraph(
            f"{count} of these loadings planned again one by one: greatest difference of a margin"
            f" {difference:.1e} in SI units.",
            "dim",
        )
    page.heading("How it was done")
    page.bullets(_rules(report, display))
    for path in report.written:
        page.bullets([f"{path} written."])
    page.notices(
        [finding_words(each, display) for each in plan.findings], "", "Notices on the flight as it stands"
    )
    page.caution(notes, "Cautions")


def sweep_json(report: SweepReport) -> dict[str, Any]:
    """The summary by the JSON contract: kg, mm and L; loadings in the units they were given in."""
    plan = report.plan
    inside, not_shown, outside = map(int, report.summary.by_verdict)
    return keyed(
        report,
        "schema invented=plan.aircraft.invented aircraft=plan.aircraft.name category=plan.flight.category"
        " flight=plan.flight_path table cautions count=summary.count inside not_shown_inside outside ranges"
        " worst rules uncertainties replanned written findings=plan.findings",
        schema="planner/sweep/1",
        cautions=list(cautions(plan)),
        inside=inside,
        not_shown_inside=not_shown,
        outside=outside,
        ranges=_varied(report),
        worst=list(_worst(report).values()),
        rules=_rules(report, Display()),
        uncertainties=uncertainty_sentence(plan),
        replanned={"loadings": report.replanned[0], "greatest_difference_si": report.replanned[1]},
    )
