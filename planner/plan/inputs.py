"""From records to what the engine works on: the density used."""

from __future__ import annotations

from collections.abc import Iterator

from planner.density.basis import DensityUsed, choose
from planner.facts.grades import GRADES, GREATEST_DENSITY, LEAST_DENSITY
from planner.quantities.errors import OutOfRange
from planner.quantities.sentences import Figure, say, span_of
from planner.quantities.units import POUND, US_GALLON, Quantity
from planner.records.document import Document
from planner.records.flight.record import Flight
from planner.records.placed import Located, found


def _stated(flight: Flight) -> tuple[str, Quantity | None]:
    spec = flight.fuel.density
    for key in ("at_15C", "fixed", "measured"):
        value: Quantity | None = getattr(spec, key)
        if value is not None:
            return key, value
    return "standard", None


def density_of(flight: Flight, document: Document) -> DensityUsed:
    """The density of the fuel in the tanks, as the flight or a sheet of the bench states it. Raises
    InputRefused where the figure is not a fuel's, or lies outside the petroleum tables.
    """
    fuel, grade = flight.fuel, GRADES[flight.fuel.grade]
    key, stated = _stated(flight)
    if stated is not None and not LEAST_DENSITY <= stated.value <= GREATEST_DENSITY:
        message = say(
            "'{}' is {}, which no aviation fuel has", stated.text, Figure(stated.value, "density", -1)
        )
        hint = _unit_slip(stated)
        here, needed = ("fuel", "density", key), "needed 0.65 to 0.90 kg/L"
        raise document.refused(here, "density-implausible", message, needed, hint)
    try:
        spec = fuel.density
        if spec.bottle or spec.hydrometer:
            # late: a flight without a sheet never needs it
            from planner.plan.bench_density import bench_density

            return bench_density(flight, document, grade)
        source = f"batch certificate {spec.certificate}" if spec.certificate else "the flight file"
        return choose(
            grade,
            fuel.temperature,
            at_15c=spec.at_15C,
            measured=spec.measured,
            at=spec.at,
            fixed_value=spec.fixed,
            source=source,
        )
    except OutOfRange as error:
        needed = "needed a density and temperature inside the petroleum tables"
        raise document.refused(("fuel", "density"), "density-out-of-range", error.words, needed) from None


def _unit_slip(stated: Quantity) -> str:
    """Which other unit would turn the same number into a fuel's density: the classic slip named."""
    number = float(stated.text.split()[0].split("+")[0].split("±")[0])
    units = {
        "kg/L": 1000.0,
        "lb/USgal": POUND / US_GALLON,
        "lb/L": POUND * 1000,
        "kg/m3": 1.0,
        "lb/impgal": POUND / 4.54609e-3,
    }
    fits = [name for name, factor in units.items() if LEAST_DENSITY <= number * factor <= GREATEST_DENSITY]
    return f"the same number in {' or '.join(fits)} would be a fuel" if fits else "check number and unit"


def agrees(flight: Flight, density: DensityUsed) -> Iterator[Located]:
    """density-not-grade, density-outside-band: a density that contradicts the declared grade, or lies outside
    its usual band.
    """
    grade = GRADES[flight.fuel.grade]
    key, stated = _stated(flight)
    if stated is None:
        return
    at_15c = density.at_15c if isinstance(density.at_15c, float) else density.density
    low, high = grade.band
    fits = (
        ", ".join(other.name for other in GRADES.values() if other.band[0] <= at_15c <= other.band[1])
        or "no grade in the list"
    )
    other = say("{} is in the band of: {}", Figure(at_15c, "density"), fits)
    here = ("fuel", "density", key)
    band = span_of(low, high, "density")
    if grade.contradicted(at_15c):
        message = say("'{}' contradicts the declared {} ({} at 15 degC)", stated.text, grade.name, band)
        hint = "do not fly; ask the supplier what is in the tanks"
        yield found(here, "density-not-grade", message, other, hint)
    elif not low <= at_15c <= high:
        message = say("'{}' is outside the usual band of {} ({} at 15 degC)", stated.text, grade.name, band)
        hint = "check the reading, its temperature and the ticket"
        yield found(here, "density-outside-band", message, other, hint, "notice")
