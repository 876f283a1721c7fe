"""Grades, temperature corrections, and the density of a fuel against temperature as a table and a curve in
characters: for people and as JSON.
"""

from __future__ import annotations

from typing import Any, Final

from planner.density.correct import DensityCorrection, correct
from planner.density.petroleum import BASE_TEMPERATURE, density_at
from planner.facts.cautions import DENSITY_GATE
from planner.facts.grades import GRADES, Grade
from planner.facts.sources import cite
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.units import Display, in_unit
from planner.views.blocks import INDENT, Filled, Page, Picture, Row, Shows
from planner.views.keyed import keyed


def grades_json() -> dict[str, Any]:
    """Every grade with its figures and sources."""
    rows = [
        keyed(
            grade,
            "id name kind standard_at_15c_kg_per_m3=standard_density band_at_15c_kg_per_m3=band unleaded dye"
            " sources note",
            sources=dict(zip(("standard density", "band", "dye"), map(cite, grade.sources), strict=True)),
        )
        for grade in GRADES.values()
    ]
    return {"schema": "planner/grades/1", "grades": rows, "cautions": [DENSITY_GATE]}


def render_grades(shown: Display, console: Shows) -> None:
    """The grades as a table, then what each figure rests on."""
    page = Page(console)
    page.heading("Fuel grades, densities at 15 degC")
    table = Filled(shown, "grade: words | standard: density | usual band: density | dye: words")
    for grade in GRADES.values():
        low, high = (shown.number(each, "density", -1) for each in grade.band)
        table.add(grade.id, grade.standard_density, f"{low} to {high}", grade.dye)
    page.add(table.made("grades"))
    for grade in GRADES.values():
        named = zip(("standard", "band", "dye"), map(cite, grade.sources), strict=True)
        page.bullets([f"{grade.id}: {grade.note} Sources: {'; '.join(map(': '.join, named))}."])
    page.caution([DENSITY_GATE])


def correction_json(result: DensityCorrection) -> dict[str, Any]:
    """The correction with every step."""
    return {
        "schema": "planner/density-correction/1",
        **keyed(
            result,
            "stated_kg_per_m3=stated stated_temperature_c=at at_15c_kg_per_m3=at_15c wanted_temperature_c=to"
            " kg_per_m3=result expanded_uncertainty_kg_per_m3=u*k alpha_per_k=alpha product_group=group"
            " volume_correction_factor_stated=factor_at volume_correction_factor_wanted=factor_to",
        ),
        "source": cite("api-mpms-11.1"),
        "cautions": [DENSITY_GATE],
    }


def render_correction(result: DensityCorrection, shown: Display, console: Shows) -> None:
    """The correction as worked on paper: in kg/m3, in which the tables are published, and in the reader's
    unit.
    """
    page = Page(console)
    table = Filled(shown, "density: words |  [kg/m3] | : density.1 | at | VCF")
    for what, value, at, factor in (
        ("stated", result.stated, result.at, result.factor_at),
        ("at 15 degC", result.at_15c, BASE_TEMPERATURE, 1.0),
        ("wanted", result.result, result.to, result.factor_to),
    ):
        table.add(what, f"{value:.3f}", value, shown.text(at, "temperature"), f"{factor:.6f}")
    page.add(table.made("correction"))
    u = shown.text(COVERAGE * result.u, "density", 1)
    page.paragraph(
        f"At 15 degC: stated / VCF; wanted: that x VCF ({result.group} group, alpha {result.alpha:.7f} /K)."
    )
    trust = "the generalised table's own trust and what was stated with +/-"
    page.paragraph(f"Uncertainty U (k = 2): {u} ({COVERAGE * result.u:.3f} kg/m3), {trust}.")
    page.paragraph(f"By {cite('api-mpms-11.1')}.")
    page.caution([DENSITY_GATE])


# degC: fuel in tanks from an arctic night to a ramp in the sun.
TEMPERATURES: Final = tuple(map(float, range(-40, 51, 5)))
UNITS: Final = ("kg/L", "lb/USgal", "lb/impgal")
_ROWS: Final = 14
_WIDEST: Final = 70
_NARROWEST: Final = 20


@frozen
class DensityTable:
    """What the table is of in words, its rows, whether the figure is of a batch, and the grade's band at 15
    degC [kg/m3] where a grade is named.
    """

    title: str
    rows: tuple[DensityCorrection, ...]
    measured: bool
    band: tuple[float, float] | None


def density_table(
    stated: float,
    u: float,
    at: float,
    u_at: float,
    grade: Grade | None,
    unleaded: bool,
    what: str,
    measured: bool = True,
) -> DensityTable:
    """The table of a density `stated`, `u` [kg/m3] at `at`, `u_at` [degC]; temperatures outside the petroleum
    tables are left out.

    Raises OutOfRange where no temperature is inside them.
    Source: [api-mpms-11.1] Tables 53B, 54B.
    """
    rows = []
    for temperature in TEMPERATURES:
        try:
            rows.append(correct(stated, u, at, u_at, temperature, unleaded))
        except OutOfRange:
            continue
    if not rows:
        correct(stated, u, at, u_at, 15.0, unleaded)  # says what is out of range
    band = None if grade is None else grade.band
    return DensityTable(title=what, rows=tuple(rows), measured=measured, band=band)


def table_json(table: DensityTable) -> dict[str, Any]:
    """Every row, in SI and in the units sold and weighed in."""
    rows = [
        keyed(
            row,
            "temperature_c=to kg_per_m3=result expanded_uncertainty_kg_per_m3=u*k",
            kg_per_l=in_unit(row.result, "kg/L"),
            lb_per_usgal=in_unit(row.result, "lb/USgal"),
            lb_per_impgal=in_unit(row.result, "lb/impgal"),
            volume_correction_factor=row.factor_to,
        )
        for row in table.rows
    ]
    return {
        "schema": "planner/density-table/1",
        "what": table.title,
        "at_15c_kg_per_m3": table.rows[0].at_15c,
        "band_at_15c_kg_per_m3": list(table.band) if table.band is not None else None,
        "rows": rows,
        "source": cite("api-mpms-11.1"),
        "cautions": [DENSITY_GATE],
    }


def render_table(table: DensityTable, console: Shows) -> None:
    """The table, the curve, and what they rest on."""
    page = Page(console)
    page.title(f"Density against temperature: {table.title}")
    rows = []
    for row in table.rows:
        figures = [f"{in_unit(row.result, unit):.{4 if unit == 'kg/L' else 3}f}" for unit in UNITS]
        at = (f"{row.to:g}", f"{in_unit(row.to, 'degF'):.0f}")
        cells = [*at, *figures, f"{COVERAGE * row.u / 1e3:.4f}", f"{row.factor_to:.5f}"]
        rows.append(Row(cells, "bold" if row.to == 15.0 else ""))
    page.table(f"fuel at\ndegC | degF | {' | '.join(UNITS)} | U\nkg/L | VCF", rows, "density")
    page.paragraph(
        "VCF: volume at 15 degC over volume at the temperature. U (k = 2): what was stated with +/-, and the"
        " generalised table's own trust."
    )
    if not table.measured:
        page.paragraph(
            "The standard figure states no uncertainty, so U holds only that of the correction: a real batch"
            " may lie anywhere in the band."
        )
    page.add(Picture(lambda width, _: ([[(line, "")] for line in curve(table, width)], []), id="curve"))
    if table.band is not None:
        page.paragraph(
            f"* this density; dots: the edges of the usual band, {table.band[0]:g} and {table.band[1]:g}"
            " kg/m3 at 15 degC. The table decides."
        )
    page.paragraph(f"By {cite('api-mpms-11.1')}.")
    page.caution([DENSITY_GATE])


def curve(table: DensityTable, width: int) -> list[str]:
    """The curve as lines of characters, kg/L against degC; no line where the page is too narrow."""
    columns = min(width - 12, _WIDEST)
    if columns < _NARROWEST or len(table.rows) < 2:
        return []
    first, last = table.rows[0].to, table.rows[-1].to
    temperatures = [first + (last - first) * i / (columns - 1) for i in range(columns)]
    base = table.rows[0].at_15c
    # The later ones are drawn over the earlier.
    series = [*((".", edge) for edge in table.band or ()), ("*", base)]
    drawn = [(sign, [_density(edge, t) for t in temperatures]) for sign, edge in series]
    known = [value for _, values in drawn for value in values if value is not None]
    low, high = min(known), max(known)
    grid = [[" "] * columns for _ in range(_ROWS)]
    for sign, values in drawn:
        for column, value in enumerate(values):
            if value is not None:
                grid[round((high - value) / (high - low) * (_ROWS - 1))][column] = sign
    lines = ["", f"{INDENT}kg/L"]
    for row, signs in enumerate(grid):
        value = (high - (high - low) * row / (_ROWS - 1)) / 1e3
        label = f"{value:.3f}" if row % 3 == 0 or row == _ROWS - 1 else ""
        lines.append(f"{INDENT}{label:>5} |{''.join(signs)}".rstrip())
    lines.append(f"{INDENT}{'':>5} +{'-' * columns}")
    left, right = f"{first:g} degC", f"{last:g} degC"
    lines.append(f"{INDENT}{'':>7}{left}{right:>{columns - len(left)}}")
    return lines


def _density(at_15c: float, temperature: float) -> float | None:
    try:
        return density_at(at_15c, temperature)
    except OutOfRange:
        return None
