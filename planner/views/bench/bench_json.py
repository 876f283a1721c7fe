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
from planner.views.keyed import keyed


def _told(found: object, none: str, told: str) -> dict[str, Any]:
    """Figures under their keys; where they could not be given, the keys of `none` and why."""
    if isinstance(found, Missing):
        return dict.fromkeys(none.split()) | {"reason": found.reason}
    return keyed(found, told)


def _estimate(entry: Estimate | Missing, times: str = "1") -> dict[str, Any]:
    told = f"value=value*{times} standard_uncertainty=u*{times} expanded_uncertainty=expanded*{times}"
    return _told(entry, "value", told)


def _budget(budget: Budget | Missing) -> list[dict[str, Any]] | None:
    if isinstance(budget, Missing):
        return None
    told = (
        "input=source.name value=source.value standard_uncertainty=source.u unit=source.unit sensitivity"
        " contribution_kg_per_m3=contribution share_percent=share*100"
    )
    return [keyed(line, told) for line in budget.lines]


def _jet(found: JetFraction | Missing) -> dict[str, Any]:
    none = "of_lightest_percent of_heaviest_percent"
    return _told(found, none, "of_lightest_percent=of_lightest*100 of_heaviest_percent=of_heaviest*100")


def _comparison(found: Comparison | Missing) -> dict[str, Any]:
    if isinstance(found, Missing):
        return _told(found, "consistent", "")
    return keyed(
        found,
        "consistent statement",
        batch_15c_kg_per_m3=_estimate(found.batch),
        difference_kg_per_m3=_estimate(found.difference),
        least_jet_fuel=_jet(found.least_jet_fuel),
        explained_by_jet_fuel=_jet(found.explained_by),
    )


def _head(bench: Bench) -> dict[str, Any]:
    sheet, tanks, told = bench.sheet, bench.uncertainty_in_tanks, bench.acknowledged
    return {
        "schema": f"planner/{'bottle' if isinstance(bench, BottleBench) else 'hydrometer'}/1",
        **keyed(sheet, "id liquid date place observer invented"),
        "path": bench.path,
        "cautions": list(words.cautions(sheet)),
        "cautions_acknowledged": None if isinstance(told, Missing) else told.as_json(),
        "contradicted": words.contradicted(bench),
        "density_kg_per_m3": _estimate(bench.result.density),
        "density_15c_kg_per_m3": _estimate(bench.result.density_15c),
        "comparison": _comparison(bench.comparison),
        "in_tanks": keyed(tanks, "volume_l=volume*1e3 what=words expanded_uncertainty_kg=difference"),
        "values_assumed": list(bench.sentences),
    }


def bench_json(
    bench: Bench, shown: Display, change: VolumeShift | None = None, kept: str = ""
) -> dict[str, Any]:
    """The whole of a worked-out sheet: numbers in the units their keys name, and the same sentences as on the
    terminal.
    """
    said = [sentence for section in words.sections(bench, shown, change).values() for sentence in section]
    last = {"flight_line": words.flight_line(bench) or None, "sentences": said, **keyed(bench, "findings")}
    result = bench.result
    first = _head(bench) | {
        **keyed(result, "temperature_c=temperature glass_effect_kg_per_m3=glass_effect"),
        "budget_15c": _budget(result.budget_15c),
    }
    if not isinstance(bench, BottleBench):
        return first | last
    result, as_read = bench.result, bench.as_read
    series = (
        "weighing reading_g=reading.value*1e3 standard_error_g=reading.u*1e3 loss_g=loss*1e3"
        " slope_g_per_s=line.slope.value*1e3"
    )
    return (
        first
        | {
            "volume_from": result.volume_from,
            "volume_20c_ml": _estimate(result.volume_20c.result, "1e6"),
            "water_check": _told(
                result.water_check,
                "difference_kg_per_m3",
                "from_marked_volume_kg_per_m3=from_nominal_volume.value tabulated_kg_per_m3=tabulated"
                " difference_kg_per_m3=difference",
            ),
            "as_read_g_per_cm3": (
                _told(as_read, "sample water", "")
                if isinstance(as_read, Missing)
                else {
                    "sample": as_read.sample / 1e3,
                    "water": None if isinstance(as_read.water, Missing) else as_read.water / 1e3,
                }
            ),
            "from_marked_volume_kg_per_m3": _estimate(result.nominal_density),
            "marked_volume_error_kg": _told(bench.nominal_error, "value", "value=difference what=words"),
            "buoyancy_effect_kg_per_m3": result.buoyancy_effect,
            "budget": _budget(result.budget),
            "series": [keyed(line, series, weighing=name) for name, line in bench.closed],
            "change_since_last": (
                None
                if change is None
                else keyed(
                    change,
                    "last=last.on difference_ml=difference.value*1e6"
                    " expanded_uncertainty_ml=difference.expanded*1e6 exceeds",
                )
            ),
            "kept": kept,
        }
        | last
    )
