"""The density a flight takes from a sheet of the bench, moved from the sample's temperature to that of the
tanks.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from planner.density.basis import DensityUsed, from_measurement
from planner.density.bench.bench_results import float_sheet, weigh_sheet
from planner.density.bench.steps.results import Bench, BottleBench
from planner.density.budget import Budget, Estimate, Missing
from planner.density.petroleum import product_of
from planner.facts.grades import Grade
from planner.quantities.errors import Finding
from planner.quantities.sentences import Figure, say, span_of
from planner.records.document import Document, read
from planner.records.flight.record import Flight
from planner.records.sheets.bench import BottleSheet, HydrometerSheet, beside, load_sheet

TABLE = "petroleum table"  # the budget's input that stands for the generalised product


def tank_density(
    measured: Estimate,
    at: float,
    budget_15c: Budget,
    temperature: float,
    u_temperature: float,
    grade: Grade,
    source: str,
) -> DensityUsed:
    """Density in the tanks from a density measured at the bench.

    The raw inputs act on the density and, through the thermometer, on the way to 15 degC; their joint effect
    there is in `budget_15c`, is carried on by the table's slope, and is not added up a second time from
    density and thermometer. The table itself counts only over the difference between sample and tank, so its
    share at 15 degC is left out:

    u = sqrt[(d rho/d rho15)^2 sum_raw (c_i u_i)^2 + (alpha rho u_t)^2 + u_table(t - t_sample)^2]

    Parameters: `measured` [kg/m3] at `at` [degC]; `budget_15c` of that density moved to 15 degC [kg/m3];
    `temperature`, `u_temperature` of the tank [degC]; `grade`; `source` in words. Returns the DensityUsed.
    Range: as `planner.density.petroleum.density_15c_from`. Raises: OutOfRange outside it.
    Source: [api-mpms-11.1] Tables 53B, 54B; [jcgm-100] 5.1.2.
    """
    u = _u_measured(at, budget_15c)
    return from_measurement(measured.value, u, at, 0.0, temperature, u_temperature, grade, source)


def _u_measured(at: float, budget_15c: Budget) -> float:
    """The u of a density measured at `at` [degC] that gives the budget's own once it is moved to 15 degC
    [kg/m3].
    """
    at_15c = budget_15c.result.value
    raw_15c = math.hypot(*(line.contribution for line in budget_15c.lines if line.source.name != TABLE))
    # from_measurement carries u from the sample to 15 degC and on to the tank; ours is already that of 15
    # degC.
    return raw_15c * product_of(at_15c).slope(at_15c, at)


def _worked_out(path: Path, key: str, kept: dict[Path, Any] | None) -> tuple[Document, Bench]:
    """The sheet as read, and what the bench makes of it; from `kept`, where it is there."""
    if kept is not None and path in kept:
        found: tuple[Document, Bench] = kept[path]
        return found
    page = read(path)
    bottle = key == "bottle"
    bench: Bench = (
        weigh_sheet(load_sheet(page, BottleSheet))
        if bottle
        else float_sheet(load_sheet(page, HydrometerSheet))
    )
    if kept is not None:
        kept[path] = page, bench
    return page, bench


def _sheet_of(flight: Flight, document: Document, grade: Grade) -> tuple[Document, Bench, Budget]:
    """The sheet as read, what the bench makes of it, and the budget of its density at 15 degC. Raises as
    `bench_density`.
    """
    spec = flight.fuel.density
    key, name = ("bottle", spec.bottle) if spec.bottle else ("hydrometer", spec.hydrometer)
    refuse = partial(document.refused, ("fuel", "density", key))
    path = beside(document) / str(name)
    if not path.is_file():
        raise refuse(
            "bench-sheet-missing",
            f"there is no sheet '{path}'",
            "needed a path relative to the flight file",
            "check the name",
        )
    page, bench = _worked_out(path, key, document.kept)
    sheet = bench.sheet
    if sheet.liquid != flight.fuel.grade:
        raise refuse(
            "bench-sheet-grade",
            f"the sheet '{name}' is of {sheet.liquid}, and the flight has {grade.name}",
            "needed a sheet of the same grade",
        )
    budget = bench.result.budget_15c
    if isinstance(budget, Missing):
        raise refuse(
            "density-out-of-range",
            f"the density of '{name}' cannot be moved to the tanks: {budget.reason}",
            "needed a fuel's density",
        )
    at_15c = budget.result.value
    if grade.contradicted(at_15c):
        words, read = "the {} at 15 degC of '{}' contradict the declared {}", Figure(at_15c, "density")
        message, needed = say(words, read, name, grade.name), span_of(*grade.band, "density")
        raise refuse(
            "density-not-grade", message, needed, "do not fly; ask the supplier what is in the tanks"
        )
    return page, bench, budget


def bench_measured(flight: Flight, document: Document, grade: Grade) -> tuple[float, float, float]:
    """The density a sheet gives as a figure that a flight could state as `measured:`: density, its u [kg/m3]
    and the sample's temperature [degC]; it makes the same of every tank temperature as the sheet.

    Parameters, errors and source: as `bench_density`.
    """
    _, bench, budget = _sheet_of(flight, document, grade)
    at = bench.result.temperature
    return bench.result.density.value, _u_measured(at, budget), at


def bench_density(flight: Flight, document: Document, grade: Grade) -> DensityUsed:
    """The density from the sheet the flight names, with the sheet's notices.

    Parameters: `flight`, whose density names a bottle or a hydrometer sheet; its `document`; its `grade`.
    Raises InputRefused: with every finding of the sheet, in the sheet's own lines; for a sheet of another
    liquid; for a density that contradicts the grade; OutOfRange for a tank temperature outside the petroleum
    tables.
    Source: as `tank_density`.
    """
    page, bench, budget = _sheet_of(flight, document, grade)
    sheet, temperature = bench.sheet, flight.fuel.temperature
    assert temperature is not None  # checked with the flight
    volume = {
        "water": "volume by water",
        "known volume": "calibrated volume",
        "nominal volume": "VOLUME ONLY AS MARKED",
    }
    told = (
        f"density bottle {sheet.id}, {volume[bench.result.volume_from]}"
        if isinstance(bench, BottleBench)
        else f"hydrometer {sheet.id}"
    )
    source = f"sheet {bench.path} of {sheet.date}"
    used = tank_density(
        bench.result.density,
        bench.result.temperature,
        budget,
        temperature.value,
        temperature.u,
        grade,
        source,
    )
    notices = bench.findings
    if sheet.invented:
        made_up = Finding(
            "bench-invented",
            "this sheet is invented",
            "a sheet of the fuel in the tanks",
            "never fly with it",
            severity="notice",
        )
        notices = (page.place(made_up, ("invented",)), *notices)
    return replace(used, method=say("{}: {}", told, used.method), findings=notices)
