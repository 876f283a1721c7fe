"""`planner fuel`: volume to mass and back, dip to volume, and the reserve rules."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.app.common import (
    Json,
    Units,
    chosen_grade,
    console,
    display,
    in_range,
    print_json,
    quantity,
    refuse_option,
)
from planner.app.given.options import helped

if TYPE_CHECKING:
    from planner.density.basis import DensityUsed
    from planner.quantities.units import Quantity


@helped(
    grade="Fuel grade; see 'planner density grades'.",
    temperature="Temperature of the fuel, such as '22 degC'. Needed unless the density is fixed.",
    measured="Measured density; give its temperature with --at.",
    at="Temperature at which the density was measured.",
    fixed="Density used as it stands, such as '6.0 lb/USgal'.",
    aircraft="Aircraft id or profile, for --dip.",
    tank="Tank of the aircraft, for --dip.",
    dip="Dip reading, such as '11.5 cm'.",
    rules="List the reserve rule sets with their sources.",
)
def fuel(
    amount: Annotated[
        str | None, typer.Argument(help="A volume or a mass, such as '62 L' or '98 lb'.", metavar="[AMOUNT]")
    ] = None,
    grade: str = "avgas-100LL",
    temperature: str | None = None,
    at_15c: Annotated[
        str | None, typer.Option("--at-15C", help="Density at 15 degC, such as '0.715 kg/L'.")
    ] = None,
    measured: str | None = None,
    at: str | None = None,
    fixed: str | None = None,
    aircraft: str | None = None,
    tank: str | None = None,
    dip: str | None = None,
    rules: bool = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Convert fuel volume to mass or mass to volume with a known density, or a dip reading to volume.

    With no density given, the standard figure of the grade is used and named.

    Example: planner fuel '62 L' --grade avgas-100LL --temperature '22 degC' --at-15C '0.715 kg/L'
    """
    from planner.views.bench import conversion_text

    shown = display(units)
    if rules:
        print_json(conversion_text.rules_json()) if json else conversion_text.render_rules(console())
        return
    volume_from_dip = None
    if dip is not None:
        reading = quantity(dip, "--dip", "length")
        if aircraft is None or tank is None:
            message = "a dip needs its aircraft and tank"
            raise refuse_option("--dip", "option-missing", message, "needed --aircraft and --tank")
        volume_from_dip = _dipped(aircraft, tank, reading.value, reading.u)
    given = quantity(amount, "AMOUNT", "volume", "mass")
    if given is None and volume_from_dip is None:
        needed = "needed an amount such as '62 L', or --dip with --aircraft and --tank"
        raise refuse_option("AMOUNT", "option-missing", "nothing to convert", needed)
    if given is not None and volume_from_dip is not None:
        message = "both an amount and a dip are given"
        raise refuse_option("AMOUNT", "option-conflict", message, "needed one of them")
    density = _chosen_density(grade, temperature, at_15c, measured, at, fixed)
    conversion = conversion_text.convert(given, volume_from_dip, density)
    if json:
        print_json(conversion_text.conversion_json(conversion))
    else:
        conversion_text.render_conversion(conversion, shown, console())


def _chosen_density(
    grade: str,
    temperature: str | None,
    at_15c: str | None,
    measured: str | None,
    at: str | None,
    fixed: str | None,
) -> DensityUsed:
    """The density asked for by options; refused where two ways are given, or a temperature is missing or out
    of range.
    """
    from planner.density.basis import choose

    known = chosen_grade(grade)
    given = {"--at-15C": at_15c, "--measured": measured, "--fixed": fixed}
    ways = [name for name, text in given.items() if text is not None]
    if len(ways) > 1:
        message = f"{' and '.join(ways)} are both given"
        raise refuse_option(ways[1], "density-ways", message, "needed one way to the density")
    if (measured is None) != (at is None):
        message, needed = (
            "--measured and --at belong together",
            "needed --measured '0.7102 kg/L' --at '21 degC'",
        )
        raise refuse_option("--measured", "density-ways", message, needed)
    if fixed is None and temperature is None:
        message, needed = (
            "the temperature of the fuel is missing",
            "needed --temperature '22 degC', or --fixed",
        )
        raise refuse_option("--temperature", "temperature-missing", message, needed)
    option, needed = (ways or ["--temperature"])[0], "needed a figure inside the petroleum tables"
    with in_range(option, "density-out-of-range", needed):
        return choose(
            known,
            quantity(temperature, "--temperature", "temperature"),
            at_15c=quantity(at_15c, "--at-15C", "density"),
            measured=quantity(measured, "--measured", "density"),
            at=quantity(at, "--at", "temperature"),
            fixed_value=_plausible(quantity(fixed, "--fixed", "density")),
            source="the command line",
        )


def _plausible(density: Quantity | None) -> Quantity | None:
    """A fixed density no fuel has is refused: nothing else would catch its slipped unit."""
    from planner.facts.grades import GREATEST_DENSITY, LEAST_DENSITY

    if density is not None and not LEAST_DENSITY <= density.value <= GREATEST_DENSITY:
        from planner.quantities.sentences import Figure, say, span_of

        message = say(
            "'{}' is {}, which no aviation fuel has", density.text, Figure(density.value, "density", -1)
        )
        needed = say("needed {}", span_of(LEAST_DENSITY, GREATEST_DENSITY, "density"))
        raise refuse_option("--fixed", "density-implausible", message, needed, "check number and unit")
    return density


def _dipped(aircraft: str, tank: str, reading: float, u: float) -> tuple[float, float, str]:
    """(volume [m3], u [m3], words) of a dip."""
    from planner.flight.fuel import dip_to_volume
    from planner.quantities.errors import closest
    from planner.records.store import load_aircraft

    profile = load_aircraft(aircraft).record
    if tank not in profile.tanks:
        hint = closest(tank, profile.tanks)
        raise refuse_option("--tank", "tank-unknown", f"{profile.name} has no tank '{tank}'", hint=hint)
    stick = profile.dipsticks.get(tank)
    if stick is None:
        needed = f"sticks: {', '.join(profile.dipsticks) or 'none'}"
        raise refuse_option("--dip", "dip-no-table", f"tank '{tank}' has no dip table", needed)
    points = tuple((dip.value, volume.value) for dip, volume in stick.table)
    with in_range("--dip", "dip-off-table", "needed a reading on the stick"):
        volume = dip_to_volume(points, reading)
    above, below = min(reading + u, points[-1][0]), max(reading - u, points[0][0])
    slope = (dip_to_volume(points, above) - dip_to_volume(points, below)) / 2 if u else 0.0
    unusable = profile.tanks[tank].unusable.value
    usable = volume - unusable if stick.reads == "total" else volume
    return (
        max(usable, 0.0),
        slope,
        f"stick {stick.id} in tank '{tank}' of {profile.name} reads {stick.reads} fuel; usable is shown",
    )
