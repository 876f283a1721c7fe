"""A worked-out sheet of the bench as JSON; a figure that could not be given is null with its reason beside
it.
"""

from __future__ import annotations

from typing import Any

from planner.density.bench.comparing import Comparison, JetFraction
from planner.density.bench.steps.calibration import VolumeShift
from planner.density.bench.steps.results import Bench, BottleBench
from planner.density.budget import Budget, Estimate, Missing
from planner.quantities.units import Display
from planner.views.bench import bench_words as words


def _none(missing: Missing, *keys: str) -> dict[str, Any]:
    """Figures that could not be given, and why."""
    return dict.fromkeys(keys) | {"reason": missing.reason}


def _estimate(entry: Estimate | Missing, scale: float = 1.0) -> dict[str, Any]:
    if isinstance(entry, Missing):
        return _none(entry, "value")
    figures = {"value": entry.value, "standard_uncertainty": entry.u, "expanded_uncertainty": entry.expanded}
    return {name: value * scale for name, value in figures.items()}


def _budget(budget: Budget | Missing) -> list[dict[str, Any]] | None:
    if isinstance(budget, Missing):
        return None
    return [
        {
            "input": line.source.name,
            "value": line.source.value,
            "standard_uncertainty": line.source.u,
            "unit": line.source.unit,
            "sensitivity": line.sensitivity,
            "contribution_kg_per_m3": line.contribution,
            "share_percent": 100 * line.share,
        }
        for line in budget.lines
    ]


def _jet(found: JetFraction | Missing) -> dict[str, Any]:
    if isinstance(found, Missing):
        return _none(found, "of_lightest_percent", "of_heaviest_percent")
    return {"of_lightest_percent": 100 * found.of_lightest, "of_heaviest_percent": 100 * found.of_heaviest}


def _comparison(found: Comparison | Missing) -> dict[str, Any]:
    if isinstance(found, Missing):
        return _none(found, "consistent")
    return {
        "consistent": found.consistent,
        "statement": found.statement,
        "batch_15c_kg_per_m3": _estimate(found.batch),
        "difference_kg_per_m3": _estimate(found.difference),
        "least_jet_fuel": _jet(found.least_jet_fuel),
        "explained_by_jet_fuel": _jet(found.explained_by),
    }


def _head(bench: Bench) -> dict[str, Any]:
    sheet, tanks, told = bench.sheet, bench.uncertainty_in_tanks, bench.acknowledged
    return {
        "schema": f"planner/{'bottle' if isinstance(bench, BottleBench) else 'hydrometer'}/1",
        "id": sheet.id,
        "liquid": sheet.liquid,
        "date": sheet.date.isoformat(),
        "place": sheet.place,
        "observer": sheet.observer,
        "invented": sheet.invented,
        "path": bench.path,
        "cautions": list(words.cautions(sheet)),
        "cautions_acknowledged": None if isinstance(told, Missing) else told.as_json(),
        "contradicted": words.contradicted(bench),
        "density_kg_per_m3": _estimate(bench.result.density),
        "density_15c_kg_per_m3": _estimate(bench.result.density_15c),
        "comparison": _comparison(bench.comparison),
        "in_tanks": {
            "volume_l": tanks.volume * 1e3,
            "what": tanks.words,
            "expanded_uncertainty_kg": tanks.difference,
        },
        "values_assumed": list(bench.sentences),
    }


def bench_json(
    bench: Bench, shown: Display, change: VolumeShift | None = None, kept: str = ""
) -> dict[str, Any]:
    """The whole of a worked-out sheet: numbers in the units their keys name, and the same sentences as on the
    terminal.
    """
    said = [sentence for section in words.sections(bench, shown, change).values() for sentence in section]
    last = {
        "flight_line": words.flight_line(bench) or None,
        "sentences": said,
        "findings": [finding.as_json() for finding in bench.findings],
    }
    first = _head(bench) | {
        "temperature_c": bench.result.temperature,
        "glass_effect_kg_per_m3": bench.result.glass_effect,
        "budget_15c": _budget(bench.result.budget_15c),
    }
    if not isinstance(bench, BottleBench):
        return first | last
    result, as_read, check, error = bench.result, bench.as_read, bench.result.water_check, bench.nominal_error
    return (
        first
        | {
            "volume_from": result.volume_from,
            "volume_20c_ml": _estimate(result.volume_20c.result, 1e6),
            "water_check": (
                _none(check, "difference_kg_per_m3")
                if isinstance(check, Missing)
                else {
                    "from_marked_volume_kg_per_m3": check.from_nominal_volume.value,
                    "tabulated_kg_per_m3": check.tabulated,
                    "difference_kg_per_m3": check.difference,
                }
            ),
            "as_read_g_per_cm3": (
                _none(as_read, "sample", "water")
                if isinstance(as_read, Missing)
                else {
                    "sample": as_read.sample / 1e3,
                    "water": None if isinstance(as_read.water, Missing) else as_read.water / 1e3,
                }
            ),
            "from_marked_volume_kg_per_m3": _estimate(result.nominal_density),
            "marked_volume_error_kg": (
                _none(error, "value")
                if isinstance(error, Missing)
                else {"value": error.difference, "what": error.words}
            ),
            "buoyancy_effect_kg_per_m3": result.buoyancy_effect,
            "budget": _budget(result.budget),
            "series": [
                {
                    "weighing": name,
                    "reading_g": line.reading.value * 1e3,
                    "standard_error_g": line.reading.u * 1e3,
                    "loss_g": line.loss * 1e3,
                    "slope_g_per_s": line.line.slope.value * 1e3,
                }
                for name, line in bench.closed
            ],
            "change_since_last": (
                None
                if change is None
                else {
                    "last": change.last.on.isoformat(),
                    "difference_ml": change.difference.value * 1e6,
                    "expanded_uncertainty_ml": change.difference.expanded * 1e6,
                    "exceeds": change.exceeds,
                }
            ),
            "kept": kept,
        }
        | last
    )
