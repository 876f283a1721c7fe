"""A sheet of the bench worked out: everything a report shows, every finding at its place in the sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any, Final, TypeVar

from planner.density.bench.bench_values import FUEL_BATCH, Sentences, bottle_values, hydrometer_values
from planner.density.bench.bottle import BottleResult, weigh
from planner.density.bench.comparing import Comparison, compare_with_batch, empty_change
from planner.density.bench.hydrometer import HydrometerResult
from planner.density.bench.hydrometer import read as read_hydrometer
from planner.density.bench.readings import check
from planner.density.bench.steps.plausible import implausible
from planner.density.bench.steps.results import Acknowledged, AsRead, BottleBench, HydrometerBench, InTanks
from planner.density.budget import Estimate, Missing
from planner.density.correct import correct
from planner.facts.cautions import ACKNOWLEDGEMENT
from planner.quantities.errors import Finding, InputRefused, OutOfRange, closest
from planner.quantities.sentences import say
from planner.records.document import Document, Location
from planner.records.placed import Located, found, in_order, notice, place_all
from planner.records.sheets.bench import BenchSheet, BottleSheet, HydrometerSheet, beside, sheet_findings
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


def _location(where: str, sheet: BenchSheet) -> Location:
    key = where.replace(" ", "_")
    key = _PLACES.get(key, key)
    if key in ("sample_temperature", "water_temperature") and getattr(sheet, key, None) is None:
        key = "temperature"
    return (key,) if key in type(sheet).model_fields else ()


def _placed(findings: Iterable[Finding], sheet: BenchSheet, document: Document) -> list[Finding]:
    return [document.place(finding, _location(finding.where, sheet)) for finding in findings]


def _batch(sheet: BenchSheet, sentences: Sentences) -> Estimate | Missing:
    """The batch's density at 15 degC, or why there is none to compare with."""
    batch, grade = sheet.batch, sheet.grade
    if batch is None:
        return Missing("no batch density was declared")
    u = batch.density.u
    if not u:
        u = FUEL_BATCH
        sentences.assume(f"standard uncertainty of the batch density: {u:g} kg/m3")
    moved = correct(
        batch.density.value, u, batch.at.value, batch.at.u, 15.0, grade is not None and grade.unleaded
    )
    return Estimate(moved.at_15c, moved.u)


def _tanks(sheet: BenchSheet, document: Document) -> tuple[float, str, list[Located]]:
    """The fuel volume [m3] the effect is told for, in words too, and what is to be said of it."""
    if not sheet.aircraft:
        return PLAIN_VOLUME, "100 L", []
    profile = find_profile(sheet.aircraft, beside(document))
    if profile is None:
        hint, needed = closest(sheet.aircraft, profile_ids()), "needed an id or a path from this file"
        missing = f"no profile '{sheet.aircraft}'"
        return 0.0, "", [found(("aircraft",), "aircraft-not-found", missing, needed, hint)]
    aircraft = load_aircraft_file(profile).record
    notices = []
    if sheet.grade is not None and sheet.liquid not in aircraft.fuel_grades:
        message = f"{aircraft.name} may not use {sheet.grade.name}"
        allowed = f"its profile allows {', '.join(aircraft.fuel_grades)}"
        notices = [notice(("liquid",), "grade-not-allowed", message, allowed, "do not fly with it")]
    whose = f"{'the invented ' if aircraft.invented else ''}{aircraft.name}"
    volume = sum(tank.usable for tank in aircraft.tanks.values())
    return volume, f"the full usable fuel of {whose}", notices


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


def _told(
    sheet: BenchSheet, result: BottleResult | HydrometerResult, comparison: Comparison | Missing
) -> Iterator[Located]:
    """bench-differs-from-batch: more than U of the two; bench-empty-changed: the bottle is not what it was at
    its calibration.
    """
    if isinstance(comparison, Comparison) and not comparison.consistent:
        hint = "do not fly on it: draw a second sample, read the ticket, ask the supplier"
        message = say("the sample {}", comparison.statement)
        yield notice(("batch",), "bench-differs-from-batch", message, "a sample of the declared batch", hint)
    calibrated = sheet.calibrated if isinstance(sheet, BottleSheet) else None
    if isinstance(sheet, BottleSheet) and sheet.tared:
        unknown = "the balance was tared on the empty bottle: what the bottle itself weighs is not known"
        seen = "only so a chip, another stopper or a wet bottle is noticed"
        hint = f"weigh it empty with the balance at zero: {seen}"
        yield notice(("tared",), "bench-tared", unknown, "a reading of the empty bottle", hint)
        return
    if calibrated is not None and calibrated.empty is not None and isinstance(result, BottleResult):
        now, then = result.readings.empty, calibrated.empty
        changed = empty_change(now, Estimate(then.value, then.u or now.u), str(calibrated.date))
        if changed is not None:
            yield ("empty",), changed


T = TypeVar("T")


def _attempt(
    step: Callable[[], T], refused: list[Finding], document: Document, where: Location, needed: str
) -> T | None:
    """What `step` gives; None with one more finding in `refused` where the petroleum tables do not reach."""
    try:
        return step()
    except OutOfRange as error:
        outside = Finding("density-out-of-range", error.words, f"needed {needed}", "check number and unit")
        refused.append(document.place(outside, where))
        return None


Read = TypeVar("Read", bound=BottleResult | HydrometerResult)


def _work_out(
    loaded: Loaded[Any],
    given: str,
    sentences: tuple[str, ...],
    wrong: Iterable[Finding],
    told: Iterable[Located],
    work: Callable[[], Read],
) -> tuple[Read, dict[str, Any]]:
    """The result by `work` and all that both kinds of sheet share; InputRefused with `wrong` and more."""
    sheet, document, texts = loaded.record, loaded.document, Sentences(sentences)
    refused = [*sheet_findings(sheet, document), *wrong]
    result = None
    if not refused:
        needed = "a reading and temperature inside the petroleum tables"
        result = _attempt(work, refused, document, ("reading",), needed)
    needed = "the density and temperature of the certificate"
    batch = _attempt(lambda: _batch(sheet, texts), refused, document, ("batch", "density"), needed)
    volume, words, about = _tanks(sheet, document)
    notices = list(place_all(document, about))
    if refused or any(each.severity == "refused" for each in notices):
        raise InputRefused(in_order([*refused, *notices]))
    assert result is not None  # otherwise refused
    assert batch is not None
    comparison = _compared(result.density_15c, batch)
    acknowledged: Acknowledged | Missing = Missing("not needed: a classroom liquid")
    if sheet.cautions_acknowledged:
        whose = sheet.observer or "the observer, not named"
        acknowledged = Acknowledged(ACKNOWLEDGEMENT, whose, sheet.date, given)
    notices += _placed(result.notices, sheet, document)
    notices += place_all(document, (*told, *_told(sheet, result, comparison)))
    return result, {
        "sheet": sheet,
        "path": document.path,
        "result": result,
        "sentences": tuple(texts),
        "batch_15c": batch,
        "comparison": comparison,
        "uncertainty_in_tanks": InTanks(volume, words, result.density.expanded * volume),
        "acknowledged": acknowledged,
        "findings": in_order(notices),
    }


def _compared(density_15c: Estimate | Missing, batch: Estimate | Missing) -> Comparison | Missing:
    if isinstance(batch, Missing):
        return batch
    return density_15c if isinstance(density_15c, Missing) else compare_with_batch(density_15c, batch)


def weigh_sheet(loaded: Loaded[BottleSheet], given: str = "in the sheet") -> BottleBench:
    """Work out a bottle sheet.

    Parameters: `loaded`; `given`, how the cautions were acknowledged. Returns the BottleBench, SI throughout.
    Raises InputRefused with every finding at its place in the sheet.
    Source: as `planner.density.bench.bottle.weigh`.
    """
    sheet, document = loaded.record, loaded.document
    values = bottle_values(sheet)
    unusable = check(values.readings) or tuple(implausible(values.readings))
    codes = {each.code for each in sheet_findings(sheet, document)}
    if "bench-mass-implausible" in codes:  # the slip itself is named
        unusable = tuple(each for each in unusable if each.code != "bench-nothing-in-bottle")
    wrong = [*place_all(document, values.findings), *_placed(unusable, sheet, document)]
    told = [((name, "readings"), finding) for name, line in values.closed for finding in line.notices]
    result, common = _work_out(
        loaded, given, values.sentences, wrong, told, lambda: weigh(values.readings, sheet.grade)
    )
    nominal, tanks = result.nominal_density, common["uncertainty_in_tanks"]
    in_tanks: InTanks | Missing
    if result.volume_from == "nominal volume":
        in_tanks = Missing("the marked volume is the only one known, so its error is not known either")
    elif isinstance(nominal, Missing):
        in_tanks = nominal
    else:
        in_tanks = replace(tanks, difference=(nominal.value - result.density.value) * tanks.volume)
    return BottleBench(**common, closed=values.closed, as_read=_as_read(result), nominal_error=in_tanks)


def float_sheet(loaded: Loaded[HydrometerSheet], given: str = "in the sheet") -> HydrometerBench:
    """Work out a hydrometer sheet. Parameters, result and errors as `weigh_sheet`.

    Source: as `planner.density.bench.hydrometer.read`.
    """
    taken, sentences = hydrometer_values(loaded.record)
    return HydrometerBench(
        **_work_out(loaded, given, sentences, (), (), lambda: read_hydrometer(taken, loaded.record.grade))[1]
    )
