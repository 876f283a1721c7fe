"""Volume to mass and back, and the reserve rules, for people and as JSON."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from planner.density.basis import DensityUsed
from planner.facts.cautions import PLAN_SHORT
from planner.facts.rules import RULES
from planner.facts.sources import cite
from planner.quantities.effects import COVERAGE
from planner.quantities.sentences import said
from planner.quantities.units import Display, Quantity

if TYPE_CHECKING:
    from rich.console import Console


@dataclass(frozen=True, slots=True)
class Conversion:
    """An amount in both forms: volume [m3], mass [kg], with expanded uncertainties, and where the amount came
    from.
    """

    volume: float
    mass: float
    u_volume: float
    u_mass: float
    density: DensityUsed
    origin: str


def convert(
    given: Quantity | None, dipped: tuple[float, float, str] | None, density: DensityUsed
) -> Conversion:
    """m = rho V, with u(m)2 = (rho u_V)2 + (V u_rho)2 and the reverse. Exactly one of `given` and `dipped` is
    not None. Source: [jcgm-100] 5.1.2.
    """
    rho, u_rho = density.density, density.u
    if given is not None and given.dimension == "mass":
        volume = given.value / rho
        u = COVERAGE * ((given.u / rho) ** 2 + (volume * u_rho / rho) ** 2) ** 0.5
        return Conversion(
            volume=volume,
            mass=given.value,
            u_volume=u,
            u_mass=COVERAGE * given.u,
            density=density,
            origin=given.text,
        )
    volume, u_v, origin = (
        dipped
        if dipped is not None
        else (given.value, given.u, given.text)
        if given is not None
        else (0.0, 0.0, "")
    )
    u_mass = COVERAGE * ((rho * u_v) ** 2 + (volume * u_rho) ** 2) ** 0.5
    return Conversion(
        volume=volume,
        mass=volume * rho,
        u_volume=COVERAGE * u_v,
        u_mass=u_mass,
        density=density,
        origin=origin,
    )


def conversion_json(result: Conversion) -> dict[str, Any]:
    """The conversion with units in the keys."""
    density = result.density
    return {
        "schema": "planner/fuel/1",
        "volume_l": result.volume * 1e3,
        "mass_kg": result.mass,
        "expanded_uncertainty_l": result.u_volume * 1e3,
        "expanded_uncertainty_kg": result.u_mass,
        "origin": str(result.origin),
        "density": density_json(density),
        "cautions": [PLAN_SHORT],
    }


def density_json(density: DensityUsed) -> dict[str, Any]:
    """A density used, as in the flight contract."""
    return {
        "kg_per_m3": density.density,
        "u_kg_per_m3": density.u,
        "at_15c_kg_per_m3": density.at_15c,
        "temperature_c": density.temperature,
        "method": str(density.method),
        "source": density.source,
    }


def render_conversion(result: Conversion, shown: Display, console: Console) -> None:
    """Both forms in the reader's units and in all common ones, since fuel is where units are confused."""
    density = result.density
    console.print(
        f"{shown.text(result.volume, 'volume', 1)} of this fuel is {shown.text(result.mass, 'mass', 1)}"
    )
    others = [Display(system) for system in ("metric", "us", "uk") if system != shown.system]
    console.print(
        "the same: "
        + "; ".join(
            f"{each.text(result.volume, 'volume', 1)} = {each.text(result.mass, 'mass', 1)}"
            for each in others
        )
    )
    console.print(
        f"uncertainty U (k = 2): {shown.text(result.u_volume, 'volume', 2)},"
        f" {shown.text(result.u_mass, 'mass', 2)}"
    )
    console.print(f"from: {said(result.origin, shown)}")
    u = shown.text(COVERAGE * density.u, "density", 1)
    console.print(
        f"density {shown.text(density.density, 'density')} ({density.density:.2f} kg/m3), U {u} (k = 2):"
        f" {said(density.method, shown)}"
    )
    console.print(f"density from: {density.source}")
    console.print(f"CAUTION: {PLAN_SHORT}")


def rules_json() -> dict[str, Any]:
    """Every rule set with its source."""
    rows = [
        {
            "key": rule.key,
            "final_reserve_min": rule.minutes,
            "basis": rule.basis,
            "basis_words": rule.basis_words,
            "conditions": list(rule.conditions),
            "alternate_required": rule.alternate_required,
            "citation": f"{rule.citation}",
            "source": cite(rule.source),
            "taken_down": rule.read,
            "how_read": rule.tag,
            "note": rule.note,
        }
        for rule in RULES.values()
    ]
    return {"schema": "planner/rules/1", "rules": rows}


def render_rules(console: Console) -> None:
    """The rule sets, one block each: a table would have to cut the notes."""
    console.print(
        'Reserve rule sets. "30 minutes" is three different quantities: look at the speed. None of this is'
        " legal advice.\n"
    )
    for rule in RULES.values():
        console.print(f"{rule.key}: {rule.minutes:g} min at {rule.basis_words}", style="bold")
        for condition in rule.conditions:
            console.print(f"  {condition}")
        console.print(f"  {rule.citation}; taken down {rule.read} ({rule.tag}). {rule.note}")
