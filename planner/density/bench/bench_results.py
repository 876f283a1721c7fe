"""A sheet of the bench worked out: everything a report shows, with every finding at its place in the
sheet.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from planner.density.bench.bench_values import FUEL_BATCH, bottle_values, hydrometer_values, implausible
from planner.density.bench.bottle import BottleResult, weigh
from planner.density.bench.comparing import Comparison, compare_with_batch, empty_change
from planner.density.bench.hydrometer import HydrometerResult
from planner.density.bench.hydrometer import read as read_hydrometer
from planner.density.bench.readings import check
from planner.density.budget import Estimate, Missing
from planner.density.correct import correct
from planner.density.evaporation import ClosedReading
from planner.facts.cautions import ACKNOWLEDGEMENT
from planner.quantities.errors import Finding, InputRefused, OutOfRange, closest
from planner.quantities.sentences import say
from planner.records.document import Document, Location, all_or_refuse, read
from planner.records.placed import Located
from planner.records.sheets.bench import (
    BenchSheet,
    BottleSheet,
    HydrometerSheet,
    beside,
    load_sheet,
    sheet_findings,
)
from planner.records.store import Loaded, find_profile, load_aircraft_file, profile_ids

PLAIN_VOLUME: Final = 0.1  # m3: 100 L, for the effect in kilograms where no aircraft is named
# Where the engine's names of readings stand in a bottle sheet.
_PLACES: Final[dict[str, str]] = {
    "nominal_volume": "marked",
    "u_nominal_volume": "marked",
    "known_volume": "calibrated",
    "air_density": "air",
    "glass_expansion": "glass",
    "water_purity": "water",
    "water_spread": "water",
    "u_thermometer": "thermometer",
    "u_balance": "balance",
    "petroleum_table": "liquid",
    "hydrometer": "reading",
}


@dataclass(frozen=True, slots=True)
class Acknowledged:
    """That the handling cautions were acknowledged: the words, by whom, when, and how; kept with every
    record.
    """

    words: str
    by: str
    on: date
    given: str


@dataclass(frozen=True, slots=True)
class InTanks:
    """A volume of fuel [m3] in words, and the mass [kg] that a difference of density makes in it."""

    volume: float
    words: str
    difference: float


@dataclass(frozen=True, slots=True)
class AsRead:
    """Readings taken for masses and the marked volume for the volume [kg/m3]: what a calculation without care
    gives.
    """

    sample: float
    water: float | Missing


@dataclass(frozen=True, slots=True)
class BottleBench:
    """A bottle sheet worked out; a Missing says why a figure is not there.

    `nominal_error` is what the marked volume would have made of the fuel in the tanks, `uncertainty_in_tanks`
    what U does.
    """

    sheet: BottleSheet
    path: str
    result: BottleResult
    closed: tuple[tuple[str, ClosedReading], ...]
    sentences: tuple[str, ...]
    as_read: AsRead | Missing
    batch_15c: Estimate | Missing
    comparison: Comparison | Missing
    nominal_error: InTanks | Missing
    uncertainty_in_tanks: InTanks
    acknowledged: Acknowledged | Missing
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class HydrometerBench:
    """A hydrometer sheet worked out, as `BottleBench`."""

    sheet: HydrometerSheet
    path: str
    result: HydrometerResult
    sentences: tuple[str, ...]
    batch_15c: Estimate | Missing
    comparison: Comparison | Missing
    uncertainty_in_tanks: InTanks
    acknowledged: Acknowledged | Missing
    findings: tuple[Finding, ...]


def _location(where: str, sheet: BenchSheet) -> Location:
    key = where.replace(" ", "_")
    key = _PLACES.get(key, key)
    if key in ("sample_temperature", "water_temperature") and getattr(sheet, key, None) is None:
        key = "temperature"
    return (key,) if key in type(sheet).model_fields else ()


def _placed(
    findings: tuple[Finding, ...] | list[Finding], sheet: BenchSheet, document: Document
) -> list[Finding]:
    return [document.place(finding, _location(finding.where, sheet)) for finding in findings]


def _batch(sheet: BenchSheet, document: Document, sentences: list[str]) -> Estimate | Missing:
    """The batch's density at 15 degC, or why there is none to compare with."""
    batch, grade = sheet.batch, sheet.grade
    if batch is None:
        return Missing("no batch density was declared")
    u = batch.density.u
    if not u:
        u = FUEL_BATCH
        sentences.append(
            f"standard uncertainty of the batch density: {u:g} kg/m3 (assumed; common practice, no published"
            " source)"
        )
    try:
        moved = correct(
            batch.density.value, u, batch.at.value, batch.at.u, 15.0, grade is not None and grade.unleaded
        )
    except OutOfRange as error:
        wrong = Finding(
            "density-out-of-range",
            error.words,
            "needed the density and temperature of the certificate",
            "check number and unit",
        )
        raise InputRefused([document.place(wrong, ("batch", "density"))]) from None
    return Estimate(moved.at_15c, moved.u)


def _tanks(sheet: BenchSheet, document: Document) -> tuple[float, str, list[Finding]]:
    """The fuel volume [m3] the effect is told for."""
    if not sheet.aircraft:
        return PLAIN_VOLUME, "100 L", []
    profile = find_profile(sheet.aircraft, beside(document))
    if profile is None:
        hint = closest(sheet.aircraft, profile_ids())
        missing = Finding(
            "aircraft-not-found",
            f"no profile '{sheet.aircraft}'",
            "needed an id or a path from this file",
            hint,
        )
        raise InputRefused([document.place(missing, ("aircraft",))])
    aircraft = load_aircraft_file(profile).record
    notices = []
    if sheet.grade is not None and sheet.liquid not in aircraft.fuel_grades:
        message, allowed = (
            f"{aircraft.name} may not use {sheet.grade.name}",
            f"its profile allows {', '.join(aircraft.fuel_grades)}",
        )
        notices = [
            document.place(
                Finding("grade-not-allowed", message, allowed, "do not fly with it", severity="notice"),
                ("liquid",),
            )
        ]
    volume = sum(tank.usable for tank in aircraft.tanks.values())
    return (
        volume,
        f"the full usable fuel of {'the invented ' if aircraft.invented else ''}{aircraft.name}",
        notices,
    )


def _compared(density_15c: Estimate | Missing, batch: Estimate | Missing) -> Comparison | Missing:
    if isinstance(batch, Missing):
        return batch
    return density_15c if isinstance(density_15c, Missing) else compare_with_batch(density_15c, batch)


def _acknowledged(sheet: BenchSheet, given: str) -> Acknowledged | Missing:
    if not sheet.cautions_acknowledged:
        return Missing("not needed: a classroom liquid")
    return Acknowledged(ACKNOWLEDGEMENT, sheet.observer or "the observer, not named", sheet.date, given)


def _as_read(result: BottleResult) -> AsRead | Missing:
    readings = result.readings
    if readings.nominal_volume is None:
        return Missing("no volume is marked on the bottle")
    empty, held = readings.empty.value, readings.nominal_volume
    water = (
        Missing("the bottle was not weighed with water")
        if readings.water is None
        else (readings.water.value - empty) / held
    )
    return AsRead((readings.sample.value - empty) / held, water)


def _differs(comparison: Comparison | Missing) -> list[tuple[Location, Finding]]:
    """bench-differs-from-batch: more than the uncertainty of the two."""
    if isinstance(comparison, Missing) or comparison.consistent:
        return []
    hint = "do not fly on it: draw a second sample, read the ticket, ask the supplier"
    message = say("the sample {}", comparison.statement)
    return [
        (
            ("batch",),
            Finding(
                "bench-differs-from-batch", message, "a sample of the declared batch", hint, severity="notice"
            ),
        )
    ]


def _gather(*steps: tuple[Finding, ...] | list[Finding]) -> tuple[Finding, ...]:
    return tuple(
        sorted(
            (finding for step in steps for finding in step),
            key=lambda finding: (finding.line, finding.column),
        )
    )


def _batch_and_tanks(
    sheet: BenchSheet, document: Document, sentences: list[str], refused: list[Finding]
) -> tuple[Estimate | Missing, float, str, list[Finding]]:
    """What `_batch` and `_tanks` give; what they refuse is added to `refused`, so that it is told with all
    the rest.
    """
    batch: Estimate | Missing = Missing("")
    volume, words, notices = 0.0, "", list[Finding]()
    try:
        batch = _batch(sheet, document, sentences)
    except InputRefused as error:
        refused += error.findings
    try:
        volume, words, notices = _tanks(sheet, document)
    except InputRefused as error:
        refused += error.findings
    return batch, volume, words, notices


def weigh_sheet(loaded: Loaded[BottleSheet], given: str = "in the sheet") -> BottleBench:
    """Work out a bottle sheet.

    Parameters: `loaded`; `given`, how the cautions were acknowledged. Returns the BottleBench, SI throughout.
    Raises InputRefused with every finding at its place in the sheet.
    Source: as `planner.density.bench.bottle.weigh`.
    """
    sheet, document = loaded.record, loaded.document
    refused = list(sheet_findings(sheet, document))
    values = bottle_values(sheet)
    refused += [document.place(finding, location) for location, finding in values.findings]
    unusable = check(values.readings)
    refused += _placed(unusable, sheet, document)
    if not unusable:
        refused += _placed(list(implausible(values.readings)), sheet, document)
    sentences = list(values.sentences)
    batch, volume, words, notices = _batch_and_tanks(sheet, document, sentences, refused)
    all_or_refuse(_gather(refused))
    result = weigh(values.readings, sheet.grade)
    comparison = _compared(result.density_15c, batch)
    notices += _placed(result.notices, sheet, document)
    notices += [
        document.place(finding, (name, "readings"))
        for name, line in values.closed
        for finding in line.notices
    ]
    notices += [document.place(finding, location) for location, finding in _differs(comparison)]
    nominal = result.nominal_density
    if result.volume_from == "nominal volume":
        in_tanks: InTanks | Missing = Missing(
            "the marked volume is the only one known, so its error is not known either"
        )
    elif isinstance(nominal, Missing):
        in_tanks = nominal
    else:
        in_tanks = InTanks(volume, words, (nominal.value - result.density.value) * volume)
    return BottleBench(
        sheet=sheet,
        path=document.path,
        result=result,
        closed=values.closed,
        sentences=tuple(sentences),
        as_read=_as_read(result),
        batch_15c=batch,
        comparison=comparison,
        nominal_error=in_tanks,
        uncertainty_in_tanks=InTanks(volume, words, result.density.expanded * volume),
        acknowledged=_acknowledged(sheet, given),
        findings=_gather(
            (
                *notices,
                *(document.place(finding, location) for location, finding in _empty_changed(sheet, result)),
            )
        ),
    )


def _empty_changed(sheet: BottleSheet, result: BottleResult) -> Iterator[Located]:
    """bench-empty-changed: the empty bottle does not weigh what it weighed when its volume was found."""
    then = sheet.calibrated.empty if sheet.calibrated is not None else None
    if then is None:
        return
    now = result.readings.empty
    finding = empty_change(
        now, Estimate(then.value, then.u or now.u), str(sheet.calibrated.date if sheet.calibrated else "")
    )
    if finding is not None:
        yield ("empty",), finding


def float_sheet(loaded: Loaded[HydrometerSheet], given: str = "in the sheet") -> HydrometerBench:
    """Work out a hydrometer sheet. Parameters, result and errors as `weigh_sheet`.

    Source: as `planner.density.bench.hydrometer.read`.
    """
    sheet, document = loaded.record, loaded.document
    refused = list(sheet_findings(sheet, document))
    taken, texts = hydrometer_values(sheet)
    sentences = list(texts)
    result: HydrometerResult | None = None
    try:
        if not refused:
            result = read_hydrometer(taken, sheet.grade)
    except OutOfRange as error:
        wrong = Finding(
            "density-out-of-range",
            error.words,
            "needed a reading and temperature inside the petroleum tables",
            "check number and unit",
        )
        refused.append(document.place(wrong, ("reading",)))
    batch, volume, words, notices = _batch_and_tanks(sheet, document, sentences, refused)
    all_or_refuse(_gather(refused))
    assert result is not None  # otherwise refused
    comparison = _compared(result.density_15c, batch)
    notices += _placed(result.notices, sheet, document)
    notices += [document.place(finding, location) for location, finding in _differs(comparison)]
    tanks = InTanks(volume, words, result.density.expanded * volume)
    return HydrometerBench(
        sheet=sheet,
        path=document.path,
        result=result,
        sentences=tuple(sentences),
        batch_15c=batch,
        comparison=comparison,
        uncertainty_in_tanks=tanks,
        acknowledged=_acknowledged(sheet, given),
        findings=_gather(notices),
    )


def weigh_file(path: Path | str, acknowledged: bool = False) -> BottleBench:
    """Read and work out a bottle sheet. Raises InputRefused with every finding."""
    return weigh_sheet(
        load_sheet(read(path), BottleSheet, acknowledged),
        "beside the sheet" if acknowledged else "in the sheet",
    )


def float_file(path: Path | str, acknowledged: bool = False) -> HydrometerBench:
    """Read and work out a hydrometer sheet. Raises InputRefused with every finding."""
    return float_sheet(
        load_sheet(read(path), HydrometerSheet, acknowledged),
        "beside the sheet" if acknowledged else "in the sheet",
    )
