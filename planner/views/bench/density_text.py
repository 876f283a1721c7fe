"""Grades and temperature corrections, for people and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.density.correct import DensityCorrection
from planner.density.petroleum import BASE_TEMPERATURE
from planner.facts.cautions import DENSITY_GATE
from planner.facts.grades import GRADES
from planner.facts.sources import cite
from planner.quantities.effects import COVERAGE
from planner.quantities.units import Display
from planner.views.blocks import Block, Column, Page, Row

if TYPE_CHECKING:
    from rich.console import Console


def grades_json() -> dict[str, Any]:
    """Every grade with its figures and sources."""
    rows = [
        {
            "id": grade.id,
            "name": grade.name,
            "kind": grade.kind,
            "standard_at_15c_kg_per_m3": grade.standard_density,
            "band_at_15c_kg_per_m3": list(grade.band),
            "unleaded": grade.unleaded,
            "dye": grade.dye,
            "sources": {
                what: cite(key)
                for what, key in zip(("standard density", "band", "dye"), grade.sources, strict=True)
            },
            "note": grade.note,
        }
        for grade in GRADES.values()
    ]
    return {"schema": "planner/grades/1", "grades": rows, "cautions": [DENSITY_GATE]}


def render_grades(shown: Display, console: Console | None = None) -> list[Block]:
    """The grades as a table, then what each figure rests on."""
    page, unit = Page(console), shown.unit("density")
    page.heading("Fuel grades, densities at 15 degC")
    columns = [Column("grade", figures=False), Column("standard", unit), Column("usual band", unit)]
    rows = []
    for grade in GRADES.values():
        low, high = (shown.number(each, "density", -1) for each in grade.band)
        rows.append(
            Row([grade.id, shown.number(grade.standard_density, "density"), f"{low} to {high}", grade.dye])
        )
    page.table([*columns, Column("dye", figures=False)], rows, "grades")
    for grade in GRADES.values():
        named = zip(("standard", "band", "dye"), grade.sources, strict=True)
        sources = "; ".join(f"{what}: {cite(key)}" for what, key in named)
        page.bullets([f"{grade.id}: {grade.note} Sources: {sources}."])
    page.caution([DENSITY_GATE])
    return page.blocks


def correction_json(result: DensityCorrection) -> dict[str, Any]:
    """The correction with every step."""
    return {
        "schema": "planner/density-correction/1",
        "stated_kg_per_m3": result.stated,
        "stated_temperature_c": result.at,
        "at_15c_kg_per_m3": result.at_15c,
        "wanted_temperature_c": result.to,
        "kg_per_m3": result.result,
        "expanded_uncertainty_kg_per_m3": COVERAGE * result.u,
        "alpha_per_k": result.alpha,
        "product_group": result.group,
        "volume_correction_factor_stated": result.factor_at,
        "volume_correction_factor_wanted": result.factor_to,
        "source": cite("api-mpms-11.1"),
        "cautions": [DENSITY_GATE],
    }


def render_correction(
    result: DensityCorrection, shown: Display, console: Console | None = None
) -> list[Block]:
    """The correction as worked on paper: in kg/m3, in which the tables are published, and in the reader's
    unit.
    """
    page = Page(console)
    columns = [Column("density", figures=False), Column("", "kg/m3"), Column("", shown.unit("density"))]
    columns += [Column("at"), Column("VCF")]

    def row(what: str, value: float, at: float, factor: float) -> Row:
        figures = f"{value:.3f}", shown.number(value, "density", 1), shown.text(at, "temperature")
        return Row([what, *figures, f"{factor:.6f}"])

    rows = [
        row("stated", result.stated, result.at, result.factor_at),
        row("at 15 degC", result.at_15c, BASE_TEMPERATURE, 1.0),
        row("wanted", result.result, result.to, result.factor_to),
    ]
    page.table([*columns], rows, "correction")
    u = shown.text(COVERAGE * result.u, "density", 1)
    page.paragraph(
        f"At 15 degC: stated / VCF; wanted: that x VCF ({result.group} group, alpha {result.alpha:.7f} /K)."
    )
    trust = "the generalised table's own trust and what was stated with +/-"
    page.paragraph(f"Uncertainty U (k = 2): {u} ({COVERAGE * result.u:.3f} kg/m3), {trust}.")
    page.paragraph(f"By {cite('api-mpms-11.1')}.")
    page.caution([DENSITY_GATE])
    return page.blocks
