"""Grades and temperature corrections, for people and as JSON."""

from __future__ import annotations

from typing import Any

from planner.density.correct import DensityCorrection
from planner.density.petroleum import BASE_TEMPERATURE
from planner.facts.cautions import DENSITY_GATE
from planner.facts.grades import GRADES
from planner.facts.sources import cite
from planner.quantities.effects import COVERAGE
from planner.quantities.units import Display
from planner.views.blocks import Filled, Page, Shows
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
