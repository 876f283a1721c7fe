"""A sweep in words: what was varied, what came out, the least margins and where, cautions; as text and as
JSON.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from planner.plan.results import Plan
from planner.quantities.sentences import finding_words
from planner.quantities.units import Display
from planner.sweep.block import GROUP_DIMENSION, GROUPS, Group, SweepModel
from planner.sweep.sweep_ranges import Axis
from planner.sweep.sweep_run import Grid, Summary
from planner.sweep.sweeping import Target
from planner.views.blocks import Column, Page, Parts, Picture, Row
from planner.views.sweep.sweep_csv import UNIT
from planner.views.sweep.sweep_map import curves, heat_map, legend
from planner.views.words import amount, cautions, uncertainty_sentence

if TYPE_CHECKING:
    from rich.console import Console


COUNTED: Final = ("inside", "not shown inside", "outside")
GROUP_WORDS: Final[dict[Group, str]] = {
    "mass": "mass limits",
    "forward": "forward limit",
    "aft": "aft limit",
    "lateral": "lateral limits",
    "load": "stations",
    "fuel": "fuel beyond what is required",
    "tank": "phases on the tank they name",
}


@dataclass(frozen=True, slots=True)
class SweepReport:
    """All a sweep's report shows. `axes` is empty for a table; `replanned` is how many loadings were planned
    again and the greatest difference.
    """

    plan: Plan
    targets: tuple[Target, ...]
    model: SweepModel
    axes: tuple[Axis, ...]
    table: str
    summary: Summary
    grid: Grid | None
    replanned: tuple[int, float]
    written: tuple[str, ...]


def _rules(report: SweepReport) -> list[str]:
    """What a loading of this sweep is."""
    plan, targets = report.plan, report.targets
    lines = [
        "A loading is the flight file with the varied figures typed in, taken as exact; everything else stays"
        " as the file has it."
    ]
    lines.append(
        "Each is checked as 'planner flight' does: stations, the four states, the whole burn, fuel; a margin"
        " counts where it is least."
    )
    if any(target.kind == "fuel" for target in targets):
        given = " and ".join(f"{each.volume * 1e3:g} L in {each.tank.name}" for each in plan.fuel.tanks)
        how = (
            f"in the flight's proportions ({given})"
            if plan.fuel.aboard
            else "in the proportions of the tanks"
        )
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


def _loads_words(report: SweepReport, loads: Sequence[float]) -> str:
    density = report.plan.density.density
    return ", ".join(
        f"{each.name} {value / each.factor(density):.5g} {each.unit.name}"
        for each, value in zip(report.targets, loads, strict=True)
    )


def _varied_table(report: SweepReport, page: Page) -> None:
    summary, density = report.summary, report.plan.density.density
    rows = []
    for index, target in enumerate(report.targets):
        factor = target.factor(density)
        low, high = summary.inside_low[index] / factor, summary.inside_high[index] / factor
        span = f"{low:.5g} to {high:.5g}" if np.isfinite(low) else "none"
        axis = report.axes[index] if report.axes else None
        rows.append(
            Row(
                [
                    target.name,
                    target.unit.name,
                    f"{axis.low:.6g} to {axis.high:.6g}" if axis else "the table",
                    str(axis.steps) if axis else "-",
                    span,
                ]
            )
        )
    columns = [
        Column("varied", figures=False),
        Column("unit", figures=False),
        Column("range"),
        Column("values"),
        Column("met among those inside"),
    ]
    page.table(columns, rows)


def _limits_table(report: SweepReport, page: Page, display: Display) -> None:
    summary = report.summary
    rows = []
    for group in ("mass", "forward", "aft", "lateral", "load", "fuel", "tank"):
        least = summary.least.get(group)
        if least is None:
            continue
        dimension = GROUP_DIMENSION[group]
        out = int(summary.outside_by[GROUPS.index(group)])
        style = "bold red" if out else ""
        doubtful = int(summary.doubtful_by[GROUPS.index(group)])
        u = amount(least.uncertainty, dimension, display)
        rows.append(
            Row(
                [
                    GROUP_WORDS[group],
                    f"{out:,}",
                    f"{doubtful:,}",
                    amount(least.margin, dimension, display, sign=True),
                    u,
                    _loads_words(report, least.loads),
                ],
                styles={1: style},
            )
        )
    columns = [
        Column("limits", figures=False),
        Column("outside"),
        Column("not\nshown"),
        Column("least\nmargin"),
        Column("U"),
        Column("with", figures=False),
    ]
    page.table(columns, rows)


def counts(report: SweepReport) -> str:
    """How many loadings of each verdict."""
    summary = report.summary
    parts = [f"{int(number):,} {word}" for word, number in zip(COUNTED, summary.by_verdict, strict=True)]
    return f"{summary.count:,} loadings: {', '.join(parts)}."


def render_sweep(report: SweepReport, display: Display, console: Console) -> None:
    """The report on a terminal or in a pipe."""
    page, plan = Page(console), report.plan
    notes = cautions(plan)
    page.paragraph(
        f"Sweep of {plan.aircraft.name}, {plan.flight.category} category, {plan.flight_path}",
        "bold",
        first="",
        rest="",
    )
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

        page.add(Picture(signs))
    page.heading("Least margins")
    _limits_table(report, page, display)
    count, difference = report.replanned
    if count:
        page.paragraph(
            f"{count} of these loadings planned again one by one: greatest difference of a margin"
            f" {difference:.1e} (kg, m or m3).",
            "dim",
        )
    page.heading("How it was done")
    page.bullets(_rules(report))
    for path in report.written:
        page.bullets([f"{path} written."])
    if plan.findings:
        page.heading("Notices on the flight as it stands")
        page.bullets([finding_words(each, display) for each in plan.findings])
    page.panel("Cautions", notes, "bold yellow")


def sweep_json(report: SweepReport) -> dict[str, Any]:
    """The summary by the JSON contract: kg, mm and L; loadings in the units they were given in."""
    plan, summary, density = report.plan, report.summary, report.plan.density.density
    varied = []
    for index, target in enumerate(report.targets):
        factor = target.factor(density)
        low, high = float(summary.inside_low[index]) / factor, float(summary.inside_high[index]) / factor
        axis = report.axes[index] if report.axes else None
        entry: dict[str, Any] = {"name": target.name, "unit": target.unit.name}
        if axis:
            entry |= {"from": axis.low, "to": axis.high, "steps": axis.steps}
        varied.append(entry | {"inside": [low, high] if np.isfinite(low) else []})
    worst = []
    for group, least in summary.least.items():
        unit, scale = UNIT[GROUP_DIMENSION[group]]
        loading = {
            target.name: value / target.factor(density)
            for target, value in zip(report.targets, least.loads, strict=True)
        }
        row = {
            "limits": group,
            "unit": unit,
            "margin": least.margin / scale,
            "expanded_uncertainty": least.uncertainty / scale,
            "loading": loading,
        }
        at = GROUPS.index(group)
        worst.append(
            row
            | {
                "index": least.index,
                "outside": int(summary.outside_by[at]),
                "not_shown_inside": int(summary.doubtful_by[at]),
            }
        )
    return {
        "schema": "planner/sweep/1",
        "invented": plan.aircraft.invented,
        "aircraft": plan.aircraft.name,
        "category": plan.flight.category,
        "flight": plan.flight_path,
        "table": report.table,
        "cautions": list(cautions(plan)),
        "count": summary.count,
        "inside": int(summary.by_verdict[0]),
        "not_shown_inside": int(summary.by_verdict[1]),
        "outside": int(summary.by_verdict[2]),
        "ranges": varied,
        "worst": worst,
        "rules": _rules(report),
        "uncertainties": uncertainty_sentence(plan),
        "replanned": {"loadings": report.replanned[0], "greatest_difference_si": report.replanned[1]},
        "written": list(report.written),
        "findings": [finding.as_json() for finding in plan.findings],
    }
