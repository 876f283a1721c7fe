"""Slips with units, densities and the fuel plan."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from planner.quantities.units import HOUR, IMPERIAL_GALLON, LITRE, POUND, UNITS, US_GALLON
from planner.school.problem import Facts
from planner.school.problems.fuel_amounts import DensityFacts, FuelMassFacts, UnitFacts
from planner.school.problems.fuel_plan import FuelPlanFacts
from planner.school.slips.register import Wrong, slip
from planner.school.slips.slips_load import loads_in

JET_FIGURES: Final = {"6.7 lb/USgal": 6.7 * POUND / US_GALLON, "0.79 kg/L": 790.0}  # kg/m3
BOOK_FIGURES: Final = {
    "6.0 lb/USgal": 6.0 * POUND / US_GALLON,
    "0.72 kg/L": 720.0,
    "0.71 kg/L": 710.0,
}  # kg/m3
_DENSITIES: Final = tuple(name for name, unit in UNITS.items() if unit.dimension == "density")


def _scaled(facts: Facts, key: str, factor: float) -> Wrong:
    value = facts.answers()[key]
    assert isinstance(value, float), key
    return "", {key: value * factor}


def _gallons(facts: Facts, meant: str, taken: str) -> Iterator[Wrong]:
    """The same number read in the other gallon, wherever that gallon is written."""
    ratio = (IMPERIAL_GALLON / US_GALLON) ** (1 if taken == "impgal" else -1)
    if isinstance(facts, UnitFacts):
        if meant in facts.unit:
            yield "", replace(facts, unit=facts.unit.replace(meant, taken))
        if taken in facts.wanted:  # worked out in the other gallon and written down in this one
            down = 1.0 if facts.wanted.startswith("lb/") else -1.0
            yield _scaled(facts, "converted", ratio**down if meant not in facts.unit else 1.0)
    elif isinstance(facts, FuelMassFacts):
        if facts.unit == meant:
            yield "the volume", replace(facts, unit=taken)
        if facts.density_unit == f"lb/{meant}":
            yield "the density", replace(facts, density_unit=f"lb/{taken}")
    elif isinstance(facts, FuelPlanFacts) and facts.foreign == f"{meant}/h":
        yield "the cruise flow", _reflowed(facts, ratio)


def _reflowed(facts: FuelPlanFacts, factor: float) -> FuelPlanFacts:
    """The cruise flow read wrong by a factor, everywhere it is used."""
    phases = tuple(
        (name, time, flow * factor if name == "cruise" else flow) for name, time, flow in facts.phases
    )
    flows = tuple((name, flow * factor if name == "cruise" else flow) for name, flow in facts.flows)
    alternate = (facts.alternate[0], facts.alternate[1] * factor) if facts.alternate is not None else None
    return replace(facts, phases=phases, flows=flows, alternate=alternate)


@slip(
    "imperial-as-us",
    "imperial gallons taken as US gallons",
    "1 impgal is 4.546 L, 1 USgal 3.785 L: a fifth more. Write which one it is.",
)
def imperial_as_us(facts: Facts) -> Iterator[Wrong]:
    """Imperial gallons at 3.785 L."""
    yield from _gallons(facts, "impgal", "USgal")


@slip(
    "us-as-imperial",
    "US gallons taken as imperial gallons",
    "1 USgal is 3.785 L, 1 impgal 4.546 L: a fifth more. Write which one it is.",
)
def us_as_imperial(facts: Facts) -> Iterator[Wrong]:
    """US gallons at 4.546 L."""
    yield from _gallons(facts, "USgal", "impgal")


@slip(
    "litres-times-pounds",
    "litres multiplied by pounds per gallon",
    "6 lb belongs to a US gallon, not to a litre: bring volume and density to one unit first.",
)
def litres_times_pounds(facts: Facts) -> Iterator[Wrong]:
    """Litres times 6 (or times the density's own number of pounds) written down as pounds."""
    if isinstance(facts, FuelMassFacts) and facts.wanted == "mass":
        litres = facts.number * UNITS[facts.unit].factor / LITRE
        pounds = [6.0] if facts.density_unit == "kg/L" else [6.0, facts.density_number]
        for each in pounds:
            yield f"{each:g} lb for each litre", {"mass": litres * each * POUND}


@slip(
    "pounds-as-kilograms",
    "a density in pounds used as if in kilograms, or pounds written as kilograms",
    "1 lb is 0.4536 kg: the figure is wrong by 2.2046.",
)
def pounds_as_kilograms(facts: Facts) -> Iterator[Wrong]:
    """The result times or over 2.2046."""
    key = {UnitFacts: "converted", FuelMassFacts: "mass", DensityFacts: "mass"}.get(type(facts))
    if isinstance(facts, FuelMassFacts) and facts.wanted == "volume":
        key = "volume"
    if (
        key is None
        or (isinstance(facts, UnitFacts) and "lb" not in facts.unit + facts.wanted)
        or (isinstance(facts, DensityFacts) and not facts.volume)
    ):
        return
    yield _scaled(facts, key, POUND)
    yield _scaled(facts, key, 1 / POUND)


@slip(
    "not-converted",
    "the number was not converted",
    "A number keeps its meaning only with its unit: another unit, another number.",
)
def not_converted(facts: Facts) -> Iterator[Wrong]:
    """The number as it stood, with the wanted unit behind it."""
    if isinstance(facts, UnitFacts):
        scale = UNITS[facts.wanted]
        yield "", {"converted": facts.number * scale.factor + scale.offset}


@slip(
    "inverse-factor",
    "multiplied where it should be divided, or the other way round",
    "Ask first whether the number must get larger or smaller, then use the factor.",
)
def inverse_factor(facts: Facts) -> Iterator[Wrong]:
    """The factor the wrong way up."""
    if isinstance(facts, UnitFacts) and UNITS[facts.unit].dimension != "temperature":
        ratio = UNITS[facts.wanted].factor / UNITS[facts.unit].factor
        yield "", {"converted": facts.number * ratio * UNITS[facts.wanted].factor}
    if isinstance(facts, FuelMassFacts):
        if facts.wanted == "mass":
            litres = facts.number * UNITS[facts.unit].factor / LITRE
            yield "divided by the density", {"mass": litres / (facts.density / 1000)}
        else:
            kilograms = facts.number * UNITS[facts.unit].factor
            yield "multiplied by the density", {"volume": kilograms * facts.density / 1000 * LITRE}


@slip(
    "thirty-two",
    "the 32 of the Fahrenheit scale left out or put in at the wrong end",
    "degC = (degF - 32) x 5/9: first the 32, then the factor; the other way round, first the factor.",
)
def thirty_two(facts: Facts) -> Iterator[Wrong]:
    """Temperature scales without their zero."""
    if isinstance(facts, UnitFacts) and facts.unit == "degF":
        yield "left out", {"converted": facts.number * 5 / 9}
        yield "after the factor", {"converted": facts.number * 5 / 9 - 32}
    elif isinstance(facts, UnitFacts) and facts.unit == "degC":
        yield "left out", {"converted": facts.number}  # in degF, 9/5 of the number alone
        yield "before the factor", {"converted": (facts.number + 32) - 32 * 5 / 9}


@slip(
    "jet-for-avgas",
    "the density of jet fuel used for avgas",
    "Jet fuel is a ninth heavier than avgas. Use the figure of the fuel that is in the tanks.",
)
def jet_for_avgas(facts: Facts) -> Iterator[Wrong]:
    """6.7 lb/USgal, or 0.79 kg/L."""
    yield from _other_density(facts, JET_FIGURES, jet=False)


@slip(
    "standard-density",
    "a standard density used where the density was given",
    "A standard figure is for when nothing better is known; the question states the density.",
)
def standard_density(facts: Facts) -> Iterator[Wrong]:
    """6.0 lb/USgal, 0.72 or 0.71 kg/L in place of the figure stated."""
    yield from _other_density(facts, BOOK_FIGURES, jet=False)


def _other_density(facts: Facts, figures: dict[str, float], jet: bool) -> Iterator[Wrong]:
    for words, density in figures.items():
        if isinstance(facts, FuelMassFacts) and facts.jet is jet:
            yield words, replace(facts, density_number=density / UNITS[facts.density_unit].factor)
        for load, back in loads_in(facts):
            fuel = [line for line in load.lines if line.volume]
            if fuel and fuel[0].density < 770.0:
                yield (
                    words,
                    back(
                        replace(
                            load,
                            lines=tuple(
                                replace(line, density=density) if line.volume else line for line in load.lines
                            ),
                        )
                    ),
                )


@slip(
    "temperature-sign",
    "corrected for temperature the wrong way",
    "Warm fuel is lighter by the litre, cold fuel heavier.",
)
def temperature_sign(facts: Facts) -> Iterator[Wrong]:
    """The temperature as far from 15 degC on the other side."""
    if isinstance(facts, DensityFacts):
        yield "", replace(facts, known_at=30.0 - facts.known_at, wanted_at=30.0 - facts.wanted_at)


@slip(
    "no-temperature-correction",
    "the density was not corrected to the temperature",
    "A density holds at its own temperature only: carry it over before you use it.",
)
def no_temperature_correction(facts: Facts) -> Iterator[Wrong]:
    """The density as stated."""
    if isinstance(facts, DensityFacts):
        yield "", {"density": facts.density, "mass": facts.density * facts.volume}


@slip(
    "unusable-as-usable",
    "unusable fuel counted as usable",
    "Only usable fuel can be burnt or counted beside a basic empty mass that holds the unusable fuel.",
)
def unusable_as_usable(facts: Facts) -> Iterator[Wrong]:
    """All that is in the tanks."""
    if isinstance(facts, FuelMassFacts) and facts.total:
        yield "", replace(facts, total=False)
    elif isinstance(facts, FuelPlanFacts) and facts.unusable:
        yield "", replace(facts, aboard=facts.aboard + facts.unusable)


@slip("unusable-added", "unusable fuel added a second time", "The basic empty mass includes it already.")
def unusable_added(facts: Facts) -> Iterator[Wrong]:
    """Usable and unusable fuel beside a basic empty mass that includes the latter."""
    if isinstance(facts, FuelMassFacts) and not facts.total and facts.unusable and facts.wanted == "mass":
        yield "", replace(facts, number=facts.number + facts.unusable / UNITS[facts.unit].factor)
    for load, back in loads_in(facts):
        if load.unusable:
            yield (
                "",
                back(
                    replace(
                        load,
                        lines=tuple(
                            replace(line, volume=line.volume + load.unusable) if line.volume else line
                            for line in load.lines
                        ),
                    )
                ),
            )


@slip(
    "flow-unit",
    "a fuel flow read in the wrong unit",
    "A flow in gallons is four times its number in litres: convert it before it meets litres.",
)
def flow_unit(facts: Facts) -> Iterator[Wrong]:
    """Gallons an hour as litres an hour, or litres as gallons."""
    if not isinstance(facts, FuelPlanFacts) or not facts.foreign:
        return
    own = {"USgal/h": (LITRE,), "impgal/h": (LITRE,), "L/h": (US_GALLON, IMPERIAL_GALLON)}[facts.foreign]
    for each in own:
        yield "", _reflowed(facts, each / (UNITS[facts.foreign].factor * HOUR))


@slip(
    "reserve-speed",
    "the final reserve taken at the wrong speed",
    "The rule says at which speed its minutes count: cruise, holding and full power burn differently.",
)
def reserve_speed(facts: Facts) -> Iterator[Wrong]:
    """The rule's minutes at another flow."""
    if isinstance(facts, FuelPlanFacts):
        for basis, _ in facts.flows:
            if basis != facts.rule.basis and basis in ("cruise", "holding", "maximum continuous"):
                yield f"at the {basis} flow", replace(facts, basis=basis)


@slip(
    "reserve-minutes",
    "the final reserve of another rule: 30 min where 45 are asked, or the other way round",
    "Day and night have their own minutes: read the rule.",
)
def reserve_minutes(facts: Facts) -> Iterator[Wrong]:
    """Day for night, night for day."""
    if isinstance(facts, FuelPlanFacts):
        minutes = 45.0 if facts.rule.minutes == 30.0 else 30.0
        yield f"{minutes:g} min", replace(facts, rule=replace(facts.rule, final_reserve=minutes * 60.0))


@slip(
    "contingency-forgotten",
    "contingency fuel left out",
    "Contingency is a share of the trip fuel and a line of its own.",
)
def contingency_forgotten(facts: Facts) -> Iterator[Wrong]:
    """No contingency line."""
    if isinstance(facts, FuelPlanFacts) and facts.contingency:
        yield "", replace(facts, contingency=0.0)


@slip(
    "alternate-forgotten", "alternate fuel left out", "Fuel to the alternate is required on top of the trip."
)
def alternate_forgotten(facts: Facts) -> Iterator[Wrong]:
    """No alternate line."""
    if isinstance(facts, FuelPlanFacts) and facts.alternate is not None:
        yield "", replace(facts, alternate=None)


@slip(
    "reserve-forgotten",
    "the final reserve left out",
    "The final reserve is still in the tanks after landing: it belongs to the fuel required.",
)
def reserve_forgotten(facts: Facts) -> Iterator[Wrong]:
    """Fuel required without the reserve."""
    if isinstance(facts, FuelPlanFacts):
        lines = facts.lines()
        required = math.fsum(line.volume for line in lines if line.kind != "final reserve")
        yield (
            "",
            {
                "required": required,
                "surplus": facts.aboard - required,
                "enough": "enough" if facts.aboard >= required else "not enough",
            },
        )


@slip(
    "minutes-as-hours",
    "minutes used as hundredths of an hour",
    "45 min is 0.75 h, not 0.45 h: divide minutes by 60.",
)
def minutes_as_hours(facts: Facts) -> Iterator[Wrong]:
    """1 h 20 min as 1.20 h."""
    if not isinstance(facts, FuelPlanFacts):
        return

    def misread(time: float) -> float:
        hours, seconds = divmod(time, HOUR)
        return (hours + seconds / 60 / 100) * HOUR

    phases = tuple((name, misread(time), flow) for name, time, flow in facts.phases)
    alternate = (misread(facts.alternate[0]), facts.alternate[1]) if facts.alternate is not None else None
    yield (
        "everywhere",
        replace(
            facts,
            phases=phases,
            alternate=alternate,
            rule=replace(facts.rule, final_reserve=misread(facts.rule.final_reserve)),
        ),
    )
    yield (
        "in the reserve",
        replace(facts, rule=replace(facts.rule, final_reserve=misread(facts.rule.final_reserve))),
    )
