"""A worked-out sheet of the bench on the terminal: cautions first and last, the result between them."""

from __future__ import annotations

from typing import Any

from planner.density.bench.steps.calibration import Calibration, CalibrationsFound, VolumeShift
from planner.density.bench.steps.results import Bench, BottleBench
from planner.density.budget import Budget, Missing
from planner.facts.cautions import INVENTED
from planner.quantities.errors import Finding
from planner.quantities.units import Display
from planner.views.bench import bench_words as words
from planner.views.bench.bench_working import working
from planner.views.blocks import LOUD_INVENTED, Page, Picture, Row, Shows
from planner.views.keyed import keyed
from planner.views.pictures.row_chart import ChartRow, row_chart

# The raw inputs are in SI inside; a person at a balance thinks in grams and millilitres.
_UNITS: dict[str, tuple[float, str]] = {
    "kg": (1e3, "g"),
    "m3": (1e6, "mL"),
    "1": (100.0, "%"),
    "1/K": (1e6, "e-6 /K"),
}


def render_bench(
    bench: Bench,
    shown: Display,
    console: Shows,
    change: VolumeShift | None = None,
    with_working: bool = False,
    kept: str = "",
) -> None:
    """Print a worked-out sheet.

    Parameters: `bench` [SI]; `shown` the reader's units; `console`; `change` of the bottle since its last
    calibration; `with_working` for every line of arithmetic; `kept`, a sentence on what was kept.
    """
    page = Page(console)
    _title(page, bench)
    page.panel("Cautions", [each for each in words.cautions(bench.sheet) if each != INVENTED], "bold yellow")
    if not isinstance(told := bench.acknowledged, Missing):
        page.paragraph(f"Acknowledged {told.given} by {told.by}, {told.on}: {told.words}")
    for title, sentences in words.sections(bench, shown, change).items():
        page.heading(title)
        page.bullets(sentences, "bold" if title == words.FIRST else "")
    if isinstance(bench, BottleBench):
        _budget(page, "Uncertainty of the density, at the sample's temperature", bench.result.budget)
    if isinstance(bench.result.budget_15c, Budget):
        _budget(page, "Uncertainty of the density, moved to the 15-degree base", bench.result.budget_15c)
    page.heading("Values taken where the sheet states none")
    page.bullets(bench.sentences or ("none: the sheet states all of them",))
    if with_working:
        page.heading("Working")
        page.bullets(working(bench))
    page.findings(bench.findings, shown)
    if bench.sheet.grade is not None:
        page.heading("In a flight file, under 'fuel:'")
        page.paragraph(
            words.flight_line(bench) or "nothing: not to be used until what the notices say is settled"
        )
    if kept:
        page.heading("Kept")
        page.paragraph(kept)
    short = [words.CAUTION_SHORT] if bench.sheet.grade is not None else []
    page.panel("Cautions", [*short, words.cautions(bench.sheet)[-1]], "bold yellow")


def _title(page: Page, bench: Bench) -> None:
    sheet = bench.sheet
    kind = "Density bottle" if isinstance(bench, BottleBench) else "Hydrometer"
    liquid = sheet.grade.name if sheet.grade is not None else sheet.liquid
    about = ", ".join(
        part
        for part in (f"{kind} {sheet.id}", f"declared {liquid}", str(sheet.date), sheet.place, sheet.observer)
        if part
    )
    page.title(about)
    if sheet.invented:
        page.paragraph(LOUD_INVENTED, "bold yellow", rest=" " * 4)


def _budget(page: Page, title: str, budget: Budget) -> None:
    page.heading(title)
    rows = []
    for line in budget.lines:
        if line.contribution > 0:
            scale, unit = _UNITS.get(line.source.unit, (1.0, line.source.unit))
            spread = f"{line.source.u * scale:.3g}{'' if unit.startswith('e') else ' '}{unit}"
            rows.append(
                Row([line.source.name, spread, f"{line.contribution:.3f}", f"{100 * line.share:.1f}"])
            )
    cells = ["together", "", f"{budget.result.u:.3f}", "100.0"]
    rows.append(Row(cells, "bold", note=f"U (k = 2) {budget.result.expanded:.2f} kg/m3"))
    page.table("input: words | standard\nuncertainty | effect\nkg/m3 | share\n%", rows)


def render_bottles(kept: CalibrationsFound, where: str, console: Shows) -> None:
    """The kept calibrations by bottle: volume by date, U, the sheet, and the spread of each bottle."""
    page = Page(console)
    page.title(f"Bottle calibrations kept in {where}")
    told = bottles_json(kept, where)
    if not told["bottles"]:
        page.paragraph(
            "None yet: a bottle sheet with 'water:' is kept when 'planner density bottle' works it out."
        )
    columns = "number | date | at 20 degC\nmL | U\nmL | sheet: words"
    for bottle in told["bottles"]:
        page.heading(f"Bottle {bottle['bottle']}")
        rows = bottle["calibrations"]
        lines = []
        for row in rows:
            figures = [f"{row[key]:.3f}" for key in ("volume_20c_ml", "expanded_uncertainty_ml")]
            cells = [row["digest"][:8], row["date"], *figures, row["sheet"]]
            void = row["void"]
            lines.append(Row(cells, "dim" if void else "", note=f"void since {void}" if void else ""))
        page.table(columns, lines)
        spread = "Fewer than two calibrations: no spread."
        if bottle["spread_ml"] is not None:
            over = f"{bottle['spread_ml']:.3f} mL over {sum(not row['void'] for row in rows)} calibrations"
            spread = f"Spread (largest less smallest): {over}; mean {bottle['mean_ml']:.3f} mL."
        page.paragraph(spread)
        if (chart := bottle_chart(bottle["bottle"], kept)) is not None:
            page.add(chart)
        page.paragraph(f"In a sheet without water: {bottle['line'] or 'nothing, see the notices'}")
    page.notices([str(finding) for finding in bottles_findings(kept)])


def bottle_chart(name: str, kept: CalibrationsFound) -> Picture | None:
    """The control chart of one bottle; None with fewer than two calibrations in use."""
    rows = []
    for each in kept.chart(name):
        limits = ((each.mean + k * each.u, ":" if abs(k) == 2 else "|") for k in (-3, -2, 2, 3))
        rows.append(
            ChartRow(
                label=str(each.calibration.on),
                value=each.calibration.volume.value,
                half=each.calibration.volume.expanded,
                sign="X" if each.outside else "o",
                marks=((each.mean, "+"), *limits),
                style="bold red" if each.outside else "",
            )
        )
    if not rows:
        return None
    ends = [place * 1e6 for row in rows for place in row.places]
    legend = (
        "o a calibration (X beyond the limits), - its U, + the mean of those before, : and | two and three"
        " standard uncertainties"
    )
    scale = f"{min(ends):.3f} mL at the left to {max(ends):.3f} mL at the right: {legend}"
    return row_chart(rows, scale, f"control chart of bottle {name}")


def chart_svg(name: str, kept: CalibrationsFound) -> str:
    """The control chart of a bottle as an SVG file; '' with fewer than two calibrations in use."""
    from planner.views.html import figure

    chart = bottle_chart(name, kept)
    shape = (160.0, 12.0 + 6.0 * len(kept.chart(name)), 3.0)
    return (
        "" if chart is None or chart.drawn is None else figure(chart.drawn(*shape), shape, chart.label) + "\n"
    )


def _line(last: Calibration) -> str:
    """What a sheet says of a bottle calibrated before."""
    empty = (
        ""
        if isinstance(last.empty, Missing)
        else f", empty: {last.empty.value * 1e3:.3f} +/- {last.empty.u * 1e3:.3f} g"
    )
    return (
        f"calibrated: {{volume: {last.volume.value * 1e6:.4f} +/- {last.volume.u * 1e6:.4f} mL{empty}, date:"
        f" {last.on}}}"
    )


def bottle_json(name: str, kept: CalibrationsFound) -> dict[str, Any]:
    """One bottle's calibrations, their mean and spread."""
    mine = kept.of(name)
    volumes = [each.volume.value * 1e6 for each in mine if not each.void]
    last = kept.last(name)
    rows = [
        keyed(
            each,
            "date=on volume_20c_ml=volume.value*1e6 expanded_uncertainty_ml=volume.expanded*1e6 sheet"
            " observer digest void path",
        )
        for each in mine
    ]
    return {
        "bottle": name,
        "calibrations": rows,
        "mean_ml": sum(volumes) / len(volumes) if volumes else None,
        "spread_ml": max(volumes) - min(volumes) if len(volumes) > 1 else None,
        "chart": [
            keyed(each, "digest=calibration.digest mean_ml=mean*1e6 standard_uncertainty_ml=u*1e6 outside")
            for each in kept.chart(name)
        ],
        "line": None if last is None or kept.moved(name) else _line(last),
    }


def bottles_findings(kept: CalibrationsFound) -> tuple[Finding, ...]:
    """calibration-moved: the last one in use moved by more than U, so that none is offered; and what could
    not be read.
    """
    found = list(kept.findings)
    for name in sorted({each.bottle for each in kept.calibrations}):
        if change := kept.moved(name):
            found.append(change.finding("calibration-moved").at(f"bottle {name}", 0, 0))
    return tuple(found)


def bottles_json(kept: CalibrationsFound, where: str) -> dict[str, Any]:
    """Every kept calibration."""
    return {
        "schema": "planner/bottles/1",
        "folder": where,
        "bottles": [bottle_json(name, kept) for name in sorted({each.bottle for each in kept.calibrations})],
        "findings": [finding.as_json() for finding in bottles_findings(kept)],
    }
