"""Grades and temperature corrections, for people and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.density.correct import DensityCorrection
from planner.facts.cautions import DENSITY_GATE
from planner.facts.grades import GRADES
from planner.facts.sources import cite
from planner.quantities.effects import COVERAGE
from planner.quantities.units import Display

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


def render_grades(shown: Display, console: Console) -> None:
    """The grades as a table, then what each figure rests on."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table

    table = Table(
        box=SIMPLE_HEAD, title="Fuel grades, densities at 15 degC", title_justify="left", pad_edge=False
    )
    for heading in ("grade", f"standard, {shown.unit('density')}", "usual band, kg/m3", "dye"):
        table.add_column(heading, justify="left" if heading in ("grade", "dye") else "right", overflow="fold")
    for grade in GRADES.values():
        table.add_row(
            grade.id,
            shown.number(grade.standard_density, "density"),
            f"{grade.band[0]:g} to {grade.band[1]:g}",
            grade.dye,
        )
    console.print(table)
    for grade in GRADES.values():
        figures = "; ".join(
            f"{what}: {cite(key)}"
            for what, key in zip(("standard", "band", "dye"), grade.sources, strict=True)
        )
        console.print(f"{grade.id}: {grade.note} Sources: {figures}.")
    console.print(f"CAUTION: {DENSITY_GATE}")


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


def render_correction(result: DensityCorrection, shown: Display, console: Console) -> None:
    """The correction as worked on paper."""

    def line(label: str, value: float, temperature: float) -> str:
        return f"{label:<22}{value:9.3f} kg/m3  {shown.text(value, 'density', 1)} at {temperature:g} degC"

    console.print(line("stated", result.stated, result.at))
    console.print(
        f"{'at 15 degC':<22}{result.at_15c:9.3f} kg/m3  stated / VCF {result.factor_at:.6f} ({result.group}"
        f" group, alpha {result.alpha:.7f} /K)"
    )
    console.print(f"{line('wanted', result.result, result.to)}  (VCF {result.factor_to:.6f})")
    console.print(
        f"{'uncertainty U (k = 2)':<22}{COVERAGE * result.u:9.3f} kg/m3  the generalised table's own trust"
        " and what was stated with +/-"
    )
    console.print(f"by {cite('api-mpms-11.1')}")
    console.print(f"CAUTION: {DENSITY_GATE}")
