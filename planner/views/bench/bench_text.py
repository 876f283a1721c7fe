"""A worked-out sheet of the bench on the terminal: cautions first and last, the result between them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.density.bench.bench_results import BottleBench
from planner.density.bench.calibrations import CalibrationsFound, VolumeShift
from planner.density.budget import Budget, Missing
from planner.facts.cautions import INVENTED
from planner.quantities.sentences import finding_line
from planner.quantities.units import Display
from planner.views.bench import bench_words as words
from planner.views.bench.bench_working import working
from planner.views.blocks import INDENT, Column, Page, Row

if TYPE_CHECKING:
    from rich.console import Console

# The raw inputs are in SI inside; a person at a balance thinks in grams and millilitres.
_UNITS: dict[str, tuple[float, str]] = {
    "kg": (1e3, "g"),
    "m3": (1e6, "mL"),
    "1": (100.0, "%"),
    "1/K": (1e6, "e-6 /K"),
}


def render_bench(
    bench: words.Bench,
    shown: Display,
    console: Console,
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
    if not isinstance(bench.acknowledged, Missing):
        page.paragraph(
            f"Acknowledged {bench.acknowledged.given} by {bench.acknowledged.by}, {bench.acknowledged.on}:"
            f" {bench.acknowledged.words}"
        )
    page.heading("Density of the sample")
    page.bullets(words.summary(bench, shown), "bold")
    page.bullets([words.tank_sentence(bench)])
    if isinstance(bench, BottleBench):
        page.heading("Water check")
        page.bullets(
            [each for each in [*words.water_sentences(bench), words.relative_sentence(bench)] if each]
        )
        page.heading("Bottle")
        page.bullets(words.volume_sentences(bench, change))
        page.heading("Air, glass and the marked volume")
        page.bullets(words.effect_sentences(bench))
    else:
        page.heading("Hydrometer")
        page.bullets(
            [
                f"Expansion of the glass: {bench.result.glass_effect:+.3f} kg/m3. Scale right at"
                f" {bench.result.reading.reference_temperature:g} degC."
            ]
        )
    if compared := words.batch_sentences(bench):
        page.heading("Declared batch")
        page.bullets(compared)
    _budgets(page, bench)
    page.heading("Values taken where the sheet states none")
    page.bullets(bench.sentences or ("none: the sheet states all of them",))
    if with_working:
        page.heading("Working")
        page.bullets(working(bench))
    if bench.findings:
        page.heading("Notices")
        page.bullets([finding_line(finding, shown) for finding in bench.findings], "yellow")
    if kept:
        page.heading("Kept")
        page.paragraph(kept)
    short = [words.CAUTION_SHORT] if bench.sheet.grade is not None else []
    page.panel("Cautions", [*short, words.cautions(bench.sheet)[-1]], "bold yellow")


def _title(page: Page, bench: words.Bench) -> None:
    sheet = bench.sheet
    kind = "Density bottle" if isinstance(bench, BottleBench) else "Hydrometer"
    liquid = sheet.grade.name if sheet.grade is not None else sheet.liquid
    about = ", ".join(
        part
        for part in (f"{kind} {sheet.id}", f"declared {liquid}", str(sheet.date), sheet.place, sheet.observer)
        if part
    )
    page.paragraph(about, "bold", first="", rest=INDENT)
    if sheet.invented:
        page.paragraph(INVENTED.replace("Invented", "INVENTED", 1), "bold yellow", rest=" " * 4)


def _budgets(page: Page, bench: words.Bench) -> None:
    if isinstance(bench, BottleBench):
        at_15c = bench.result.budget_15c
        _budget(page, "Uncertainty of the density, at the sample's temperature", bench.result.budget)
        if isinstance(at_15c, Budget):
            _budget(page, "Uncertainty of the density, moved to the 15-degree base", at_15c)
    else:
        _budget(page, "Uncertainty of the density, moved to the 15-degree base", bench.result.budget)


def _budget(page: Page, title: str, budget: Budget) -> None:
    page.heading(title)
    columns = [
        Column("input", figures=False),
        Column("standard\nuncertainty"),
        Column("effect\nkg/m3"),
        Column("share\n%"),
    ]
    rows = []
    for line in budget.lines:
        if line.contribution <= 0:
            continue
        scale, unit = _UNITS.get(line.source.unit, (1.0, line.source.unit))
        spread = f"{line.source.u * scale:.3g}{'' if unit.startswith('e') else ' '}{unit}"
        rows.append(Row([line.source.name, spread, f"{line.contribution:.3f}", f"{100 * line.share:.1f}"]))
    rows.append(
        Row(
            ["together", "", f"{budget.result.u:.3f}", "100.0"],
            "bold",
            note=f"U (k = 2) {budget.result.expanded:.2f} kg/m3",
        )
    )
    page.table(columns, rows)


def render_bottles(kept: CalibrationsFound, where: str, console: Console) -> None:
    """The kept calibrations by bottle: volume by date, U, the sheet, and the spread of each bottle."""
    page = Page(console)
    page.paragraph(f"Bottle calibrations kept in {where}", "bold", first="", rest=INDENT)
    names = sorted({each.bottle for each in kept.calibrations})
    if not names:
        page.paragraph(
            "None yet: a bottle sheet with 'water:' is kept when 'planner density bottle' works it out."
        )
    columns = [Column("date"), Column("at 20 degC\nmL"), Column("U\nmL"), Column("sheet", figures=False)]
    for name in names:
        page.heading(f"Bottle {name}")
        mine = kept.of(name)
        page.table(
            columns,
            [
                Row([str(c.on), f"{c.volume.value * 1e6:.3f}", f"{c.volume.expanded * 1e6:.3f}", c.sheet])
                for c in mine
            ],
        )
        page.paragraph(_spread(bottle_json(name, kept)))
        last = max(mine, key=lambda each: (each.on, each.digest))
        empty = (
            ""
            if isinstance(last.empty, Missing)
            else f", empty: {last.empty.value * 1e3:.3f} +/- {last.empty.u * 1e3:.3f} g"
        )
        line = (
            f"calibrated: {{volume: {last.volume.value * 1e6:.4f} +/- {last.volume.u * 1e6:.4f} mL{empty},"
            f" date: {last.on}}}"
        )
        page.paragraph(f"In a sheet without water: {line}")
    if kept.findings:
        page.heading("Notices")
        page.bullets([str(finding) for finding in kept.findings], "yellow")


def _spread(bottle: dict[str, Any]) -> str:
    if bottle["spread_ml"] is None:
        return "One calibration: no spread."
    return (
        f"Spread (largest less smallest): {bottle['spread_ml']:.3f} mL over {len(bottle['calibrations'])}"
        f" calibrations; mean {bottle['mean_ml']:.3f} mL."
    )


def bottle_json(name: str, kept: CalibrationsFound) -> dict[str, Any]:
    """One bottle's calibrations, their mean and spread."""
    mine = kept.of(name)
    volumes = [each.volume.value * 1e6 for each in mine]
    rows = [
        {
            "date": each.on.isoformat(),
            "volume_20c_ml": each.volume.value * 1e6,
            "expanded_uncertainty_ml": each.volume.expanded * 1e6,
            "sheet": each.sheet,
            "observer": each.observer,
            "digest": each.digest,
            "path": each.path,
        }
        for each in mine
    ]
    several = len(volumes) > 1
    mean = sum(volumes) / len(volumes)
    return {
        "bottle": name,
        "calibrations": rows,
        "mean_ml": mean,
        "spread_ml": max(volumes) - min(volumes) if several else None,
    }


def bottles_json(kept: CalibrationsFound, where: str) -> dict[str, Any]:
    """Every kept calibration."""
    names = sorted({each.bottle for each in kept.calibrations})
    return {
        "schema": "planner/bottles/1",
        "folder": where,
        "bottles": [bottle_json(name, kept) for name in names],
        "findings": [finding.as_json() for finding in kept.findings],
    }
