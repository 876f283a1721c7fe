"""What a worked-out sheet of the bench says, as plain sentences shared by the terminal and JSON; no layout.

A density can only contradict: nothing here ever says of a fuel that it is right.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from planner.density.bench.bottle import WaterCheck
from planner.density.bench.comparing import Comparison, mixture_density
from planner.density.bench.steps.calibration import VolumeShift
from planner.density.bench.steps.results import Bench, BottleBench, HydrometerBench, InTanks
from planner.density.budget import COVERAGE, Estimate, Missing
from planner.density.water import COLDEST, WARMEST, water_density
from planner.facts.cautions import CLASSROOM, DENSITY_GATE, INVENTED, SAMPLE
from planner.facts.grades import GRADES
from planner.quantities.units import Display
from planner.records.edit import spelt
from planner.records.sheets.bench import BenchSheet

CONTRADICTIONS = (
    "bench-jet-like",
    "bench-gasoline-like",
    "bench-differs-from-batch",
    "bench-heavier-than-water",
    "bench-not-compared",
)
SUSPECT = (
    *CONTRADICTIONS,
    "bench-volume-changed",
)  # the result is not to be relied on: exit code 1, and no line for a flight
FIRST = "Density of the sample"
CAUTION_SHORT = (
    "A density only finds a gross error. Nobody needs to weigh or float avgas to fly; the flight manual and"
    " the supplier's figure govern."
)


def cautions(sheet: BenchSheet) -> tuple[str, ...]:
    """Every caution of a sheet, that of invented data first."""
    own = (*SAMPLE, DENSITY_GATE) if sheet.grade is not None else (CLASSROOM,)
    return ((INVENTED,) if sheet.invented else ()) + own


def density(entry: Estimate, shown: Display) -> str:
    """A density with U in kg/m3, and in the reader's unit."""
    beside = f" ({shown.text(entry.value, 'density', 1)})"
    return f"{entry.value:.1f} kg/m3 ± {entry.expanded:.1f} kg/m3{beside}"


def volume(value: float) -> str:
    """A bottle's volume in mL."""
    return f"{value * 1e6:.3f} mL"


def plain(value: float) -> str:
    """A density as worked on paper, in g/cm3."""
    return f"{value / 1e3:.4f} g/cm3"


def sections(bench: Bench, shown: Display, change: VolumeShift | None = None) -> dict[str, list[str]]:
    """Everything a sheet says, under the heading it stands under; the result first."""
    tanks = bench.uncertainty_in_tanks
    worth = f"U of the density is ± {tanks.difference:.2f} kg in {tank_words(tanks)}."
    found: dict[str, Iterable[str]] = {FIRST: [*summary(bench, shown), worth]}
    if isinstance(bench, BottleBench):
        found["Water check"] = [*water_sentences(bench), *relative_sentence(bench)]
        found["Bottle"] = volume_sentences(bench, change)
        found["Air, glass and the marked volume"] = effect_sentences(bench)
    elif isinstance(bench, HydrometerBench):
        scale = f"Scale right at {bench.result.reading.reference_temperature:g} degC."
        found["Hydrometer"] = [f"Expansion of the glass: {bench.result.glass_effect:+.3f} kg/m3. {scale}"]
    found["Declared batch"] = batch_sentences(bench)
    listed = {title: list(told) for title, told in found.items()}
    return {title: told for title, told in listed.items() if told}


def water_sentences(bench: BottleBench) -> list[str]:
    """What the marked volume makes of the water: the check that needs no table of fuels."""
    as_read, check, marked = bench.as_read, bench.result.water_check, bench.sheet.marked
    if isinstance(as_read, Missing) or marked is None:
        return [f"Not made: {as_read.reason if isinstance(as_read, Missing) else 'no volume is marked'}."]
    if isinstance(check, Missing) or isinstance(as_read.water, Missing):
        reason = check.reason if isinstance(check, Missing) else "no water"
        return [f"Not made: {reason}. The marked volume rests on nothing but the marking."]
    taken = f"Readings taken for masses and the marked {marked.text} for the volume"
    found, known = plain(check.from_nominal_volume.value), plain(check.tabulated)
    return [
        f"{taken}, the sample would have {plain(as_read.sample)} and the water {plain(as_read.water)}.",
        f"With the buoyancy of the air: water {found}; water at that temperature has {known}.",
        _water_verdict(check),
    ]


def _water_verdict(check: WaterCheck) -> str:
    per_cent = 100 * check.difference / check.tabulated
    if abs(check.difference) > check.from_nominal_volume.u:
        return (
            f"No water has that density ({per_cent:+.2f} %): the marking cannot be trusted, or the weighing"
            " was disturbed."
        )
    given = 100 * check.from_nominal_volume.u / check.from_nominal_volume.value
    return f"The difference, {per_cent:+.2f} %, is within the {given:.1f} % the marking is given here."


def relative_sentence(bench: BottleBench) -> list[str]:
    """The ratio of the two fillings, which needs no volume at all."""
    readings = bench.result.readings
    if readings.water is None or readings.water_temperature is None:
        return []
    ratio = (readings.sample.value - readings.empty.value) / (readings.water.value - readings.empty.value)
    at = readings.water_temperature.value
    counted = f"times the density of that water, air and glass counted, {plain(bench.result.density.value)}"
    return [f"Relative to water at {at:g} degC: {ratio:.4f}; {counted}."]


def volume_sentences(bench: BottleBench, change: VolumeShift | None) -> Iterator[str]:
    """The volume of the bottle at 20 degC with U, where it comes from, and how it compares with the last
    calibration.
    """
    result, sheet = bench.result, bench.sheet
    found = result.volume_20c.result
    origin = {
        "water": "weighed with water",
        "known volume": "from an earlier calibration",
        "nominal volume": "only as marked",
    }[result.volume_from]
    if sheet.calibrated is not None:
        origin += f" of {sheet.calibrated.date}"
    size = f"{volume(found.value)} ± {volume(found.expanded)}"
    yield f"Bottle {sheet.id} holds {size} at 20 degC, {origin}."
    if sheet.marked is not None and result.volume_from != "nominal volume":
        apart = found.value - sheet.marked.value
        yield (
            f"That is {apart * 1e6:+.3f} mL ({100 * apart / sheet.marked.value:+.2f} %) against the marked"
            f" {sheet.marked.text}."
        )
    if change is not None:
        last = change.last
        told = (
            f"{change.difference.value * 1e6:+.3f} mL since the calibration of {last.on}, U of the difference"
            f" {volume(change.difference.expanded)}"
        )
        yield (
            f"THE VOLUME HAS CHANGED BY {told}: more than U: a chip, another stopper, or a weighing that was"
            " disturbed. Weigh it with water again before you rely on it."
            if change.exceeds
            else f"Change {told}: within it."
        )


def effect_sentences(bench: BottleBench) -> Iterator[str]:
    """What leaving out air, glass or the water calibration would have done."""
    result = bench.result
    without = f"without it the density would read {result.no_buoyancy_density:.2f} kg/m3"
    yield f"Buoyancy of the air: {result.buoyancy_effect:+.2f} kg/m3; {without}."
    yield f"Expansion of the glass: {result.glass_effect:+.3f} kg/m3."
    error, nominal = bench.nominal_error, result.nominal_density
    if isinstance(error, Missing) or isinstance(nominal, Missing):
        reason = error.reason if isinstance(error, Missing) else "no volume is marked on the bottle"
        yield f"What the marked volume would have done: not known; {reason}."
    else:
        word = "more" if error.difference > 0 else "less"
        yield (
            f"The marked volume would have given {nominal.value:.1f} kg/m3: in {tank_words(error)} "
            f"{abs(error.difference):.2f} kg {word} than there is, at the temperature of the sample."
        )


def tank_words(tanks: InTanks) -> str:
    """The fuel an effect is told for, with its volume."""
    litres = f"{tanks.volume * 1e3:.0f} L"
    return tanks.words if tanks.words == litres else f"{tanks.words} ({litres})"


def batch_sentences(bench: Bench) -> Iterator[str]:
    """The comparison with the declared batch, and what it could not have shown."""
    sheet, comparison = bench.sheet, bench.comparison
    if isinstance(comparison, Missing):
        if not sheet.petroleum:
            return
        yield f"Not compared with a batch: {comparison.reason}."
    else:
        yield from _comparison(sheet, comparison)
    at_15c = bench.result.density_15c
    if sheet.grade is not None and sheet.grade.kind == "avgas" and isinstance(at_15c, Estimate):
        light, heavy = (
            mixture_density(at_15c.value, jet, 0.05) - at_15c.value for jet in GRADES["jet-A1"].band
        )
        low, high = sheet.grade.band
        yield (
            f"A band cannot show 5 % of jet fuel: that moves the density by {light:.1f} to {heavy:.1f} kg/m3,"
            f" and the band of {sheet.grade.name} is {high - low:g} kg/m3 wide ({low:g} to {high:g} kg/m3 at"
            " 15 degC)."
        )


def _comparison(sheet: BenchSheet, comparison: Comparison) -> Iterator[str]:
    batch = sheet.batch
    assert batch is not None  # a comparison rests on it
    certificate = f", certificate {batch.certificate}" if batch.certificate else ""
    declared = f"{comparison.batch.value:.1f} kg/m3 ± {comparison.batch.expanded:.1f} at 15 degC{certificate}"
    stated = f"is {comparison.statement}".replace("is differs", "differs")
    yield f"Declared: {declared}. Sample: {comparison.sample.value:.1f} kg/m3."
    yield f"The sample {stated} (difference {comparison.difference.value:+.1f} kg/m3)."
    if sheet.grade is None or sheet.grade.kind != "avgas":
        return
    least = comparison.least_jet_fuel
    if isinstance(least, Missing):
        yield f"Jet fuel in it: {least.reason}."
    else:
        heaviest, lightest = (f"{100 * share:.1f} %" for share in (least.of_heaviest, least.of_lightest))
        yield (
            f"The smallest part of jet fuel this comparison could show: {heaviest} of the heaviest or"
            f" {lightest} of the lightest jet fuel, by volume; less would not have been seen, and no part at"
            " all where the figure declared is not that of the fuel in the tanks."
        )
    explained = comparison.explained_by
    if not isinstance(explained, Missing):
        span = f"{100 * explained.of_heaviest:.1f} to {100 * explained.of_lightest:.1f} %"
        yield f"{span} of jet fuel would explain the difference; other liquids would too."
    elif not comparison.consistent:
        yield f"{explained.reason[0].upper()}{explained.reason[1:]}."


def contradicted(bench: Bench) -> bool:
    """Whether a figure contradicts what was declared: the grade, or the batch."""
    return any(finding.code in CONTRADICTIONS for finding in bench.findings)


def suspect(bench: Bench) -> bool:
    """Whether anything found keeps the result from being used."""
    return any(finding.code in SUSPECT for finding in bench.findings)


def flight_line(bench: Bench) -> str:
    """What a flight file says to use this density; '' for a liquid no aircraft burns, and where the result is
    suspect.
    """
    if bench.sheet.grade is None or suspect(bench) or isinstance(bench.result.density_15c, Missing):
        return ""
    if not bench.path.startswith("<"):
        kind = "bottle" if isinstance(bench, BottleBench) else "hydrometer"
        return f"density: {{{kind}: {spelt(bench.path)}}}"
    found, at = bench.result.density, bench.result.temperature
    return (
        f"density: {{measured: {found.value:.2f} +/- {found.u:.2f} kg/m3, at: {at:g} +/-"
        f" {bench.result.u_temperature:.2g} degC}}"
    )


def summary(bench: Bench, shown: Display) -> Iterator[str]:
    """The result first: the density at its temperature and at 15 degC."""
    result, temperature = bench.result, bench.result.temperature
    yield f"At {temperature:g} degC, the temperature of the sample: {density(result.density, shown)}."
    at_15c = result.density_15c
    yield (
        f"At 15 degC: {density(at_15c, shown)}."
        if isinstance(at_15c, Estimate)
        else f"At 15 degC: none; {at_15c.reason}."
    )
    if bench.sheet.liquid == "water" and COLDEST <= temperature <= WARMEST:
        pure = water_density(temperature)
        within = "within" if abs(result.density.value - pure) <= result.density.expanded else "not within"
        yield f"Pure water of that temperature has {pure:.1f} kg/m3, {within} U of the density found."
    yield f"U is the expanded uncertainty (k = {COVERAGE:g}, about 95 %), written after ±."
