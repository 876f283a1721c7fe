"""Volume to mass and back, and the reserve rules, for people and as JSON."""

from __future__ import annotations

from typing import Any, Final, get_args

from planner.density.basis import DensityUsed
from planner.facts.cautions import PLAN_SHORT
from planner.facts.rules import RULES
from planner.facts.sources import cite
from planner.quantities.effects import COVERAGE
from planner.quantities.frozen import frozen
from planner.quantities.sentences import said
from planner.quantities.units import Display, Quantity, UnitSystem
from planner.views.blocks import Page, Shows
from planner.views.flight.flight_json import density_json
from planner.views.keyed import keyed

SYSTEMS: Final[tuple[UnitSystem, ...]] = get_args(UnitSystem)
RULES_NOTE: Final = (
    'Reserve rule sets. "30 minutes" is three different quantities: look at the speed. None of this is legal'
    " advice."
)


@frozen
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
        mass, u_mass, origin = given.value, given.u, given.text
        volume = mass / rho
        u_volume = ((u_mass / rho) ** 2 + (volume * u_rho / rho) ** 2) ** 0.5
    else:
        assert given is not None or dipped is not None  # one of the two
        volume, u_volume, origin = dipped if dipped is not None else (given.value, given.u, given.text)  # type: ignore[union-attr]
        mass, u_mass = volume * rho, ((rho * u_volume) ** 2 + (volume * u_rho) ** 2) ** 0.5
    return Conversion(
        volume=volume,
        mass=mass,
        u_volume=COVERAGE * u_volume,
        u_mass=COVERAGE * u_mass,
        density=density,
        origin=origin,
    )


def conversion_json(result: Conversion) -> dict[str, Any]:
    """The conversion with units in the keys."""
    return {
        "schema": "planner/fuel/1",
        **keyed(
            result,
            "volume_l=volume*1e3 mass_kg=mass expanded_uncertainty_l=u_volume*1e3"
            " expanded_uncertainty_kg=u_mass origin",
        ),
        "density": density_json(result.density),
        "cautions": [PLAN_SHORT],
    }


def render_conversion(result: Conversion, shown: Display, console: Shows) -> None:
    """Both forms in the reader's units and in all common ones, since fuel is where units are confused."""

    def both(display: Display) -> tuple[str, str]:
        return display.text(result.volume, "volume", 1), display.text(result.mass, "mass", 1)

    page, density = Page(console), result.density
    page.title("{} of this fuel is {}".format(*both(shown)))
    others = [Display(system) for system in SYSTEMS if system != shown.system]
    page.paragraph("the same: " + "; ".join("{} = {}".format(*both(each)) for each in others), first="")
    us = shown.text(result.u_volume, "volume", 2), shown.text(result.u_mass, "mass", 2)
    page.paragraph(f"uncertainty U (k = 2): {', '.join(us)}", first="")
    page.paragraph(f"from: {said(result.origin, shown)}", first="")
    used, u = shown.text(density.density, "density"), shown.text(COVERAGE * density.u, "density", 1)
    method = said(density.method, shown)
    page.paragraph(f"density {used} ({density.density:.2f} kg/m3), U {u} (k = 2): {method}", first="")
    page.paragraph(f"density from: {density.source}", first="")
    page.caution([PLAN_SHORT])


def rules_json() -> dict[str, Any]:
    """Every rule set with its source."""
    rows = [
        keyed(
            rule,
            "key final_reserve_min basis basis_words conditions alternate_required citation source"
            " taken_down=read how_read=tag note",
            final_reserve_min=rule.minutes,
            source=cite(rule.source),
        )
        for rule in RULES.values()
    ]
    return {"schema": "planner/rules/1", "rules": rows}


def render_rules(console: Shows) -> None:
    """The rule sets, a title and sentences each: a table would have to cut the notes."""
    page = Page(console)
    page.paragraph(RULES_NOTE, first="")
    for rule in RULES.values():
        page.line()
        page.title(f"{rule.key}: {rule.minutes:g} min at {rule.basis_words}")
        for condition in rule.conditions:
            page.paragraph(condition)
        page.paragraph(f"{rule.citation}; taken down {rule.read} ({rule.tag}). {rule.note}")
