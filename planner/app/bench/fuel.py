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
    print_json,
    quantity,
    refuse_option,
)

if TYPE_CHECKING:
    from planner.density.basis import DensityUsed
    from planner.quantities.units import Quantity


def fuel(
    amount: Annotated[
        str | None, typer.Argument(help="A volume or a mass, such as '62 L' or '98 lb'.", metavar="[AMOUNT]")
    ] = None,
    grade: Annotated[str, typer.Option(help="Fuel grade; see 'planner density grades'.")] = "avgas-100LL",
    temperature: Annotated[
        str | None,
        typer.Option(help="Temperature of the fuel, such as '22 degC'. Needed unless the density is fixed."),
    ] = None,
    at_15c: Annotated[
        str | None, typer.Option("--at-15C", help="Density at 15 degC, such as '0.715 kg/L'.")
    ] = None,
    measured: Annotated[
        str | None, typer.Option(help="Measured density; give its temperature with --at.")
    ] = None,
    at: Annotated[str | None, typer.Option(help="Temperature at which the density was measured.")] = None,
    fixed: Annotated[
        str | None, typer.Option(help="Density used as it stands, such as '6.0 lb/USgal'.")
    ] = None,
    aircraft: Annotated[str | None, typer.Option(help="Aircraft id or profile, for --dip.")] = None,
    tank: Annotated[str | None, typer.Option(help="Tank of the aircraft, for --dip.")] = None,
    dip: Annotated[str | None, typer.Option(help="Dip reading, such as '11.5 cm'.")] = None,
    rules: Annotated[
        bool, typer.Option("--rules", help="List the reserve rule sets with their sources.")
    ] = False,
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
            raise refuse_option(
                "--dip", "option-missing", "a dip needs its aircraft and tank", "needed --aircraft and --tank"
            )
        volume_from_dip = _dipped(aircraft, tank, reading.value, reading.u)
    given = quantity(amount, "AMOUNT", "volume", "mass")
    if given is None and volume_from_dip is None:
        raise refuse_option(
            "AMOUNT",
            "option-missing",
            "nothing to convert",
            "needed an amount such as '62 L', or --dip with --aircraft and --tank",
        )
    if given is not None and volume_from_dip is not None:
        raise refuse_option(
            "AMOUNT", "option-conflict", "both an amount and a dip are given", "needed one of them"
        )
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
    from planner.quantities.errors import OutOfRange

    known = chosen_grade(grade)
    given = {"--at-15C": at_15c, "--measured": measured, "--fixed": fixed}
    ways = [name for name, text in given.items() if text is not None]
    if len(ways) > 1:
        raise refuse_option(
            ways[1], "density-ways", f"{' and '.join(ways)} are both given", "needed one way to the density"
        )
    if (measured is None) != (at is None):
        raise refuse_option(
            "--measured",
            "density-ways",
            "--measured and --at belong together",
            "needed --measured '0.7102 kg/L' --at '21 degC'",
        )
    if fixed is None and temperature is None:
        raise refuse_option(
            "--temperature",
            "temperature-missing",
            "the temperature of the fuel is missing",
            "needed --temperature '22 degC', or --fixed",
        )
    try:
        return choose(
            known,
            quantity(temperature, "--temperature", "temperature"),
            at_15c=quantity(at_15c, "--at-15C", "density"),
            measured=quantity(measured, "--measured", "density"),
            at=quantity(at, "--at", "temperature"),
            fixed_value=_plausible(quantity(fixed, "--fixed", "density")),
            source="the command line",
        )
    except OutOfRange as error:
        raise refuse_option(
            (ways or ["--temperature"])[0],
            "density-out-of-range",
            error.words,
            "needed a figure inside the petroleum tables",
        ) from None


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
    from planner.quantities.errors import OutOfRange, closest
    from planner.records.store import load_aircraft

    profile = load_aircraft(aircraft).record
    if tank not in profile.tanks:
        raise refuse_option(
            "--tank",
            "tank-unknown",
            f"{profile.name} has no tank '{tank}'",
            hint=closest(tank, profile.tanks),
        )
    stick = profile.dipsticks.get(tank)
    if stick is None:
        raise refuse_option(
            "--dip",
            "dip-no-table",
            f"tank '{tank}' has no dip table",
            f"sticks: {', '.join(profile.dipsticks) or 'none'}",
        )
    points = tuple((dip.value, volume.value) for dip, volume in stick.table)
    try:
        volume = dip_to_volume(points, reading)
        slope = (
            (
                dip_to_volume(points, min(reading + u, points[-1][0]))
                - dip_to_volume(points, max(reading - u, points[0][0]))
            )
            / 2
            if u
            else 0.0
        )
    except OutOfRange as error:
        raise refuse_option("--dip", "dip-off-table", error.words, "needed a reading on the stick") from None
    unusable = profile.tanks[tank].unusable.value
    usable = volume - unusable if stick.reads == "total" else volume
    return (
        max(usable, 0.0),
        slope,
        f"stick {stick.id} in tank '{tank}' of {profile.name} reads {stick.reads} fuel; usable is shown",
    )
