"""Parts of a plan as small values for a notebook: a limit, a state, the fuel; each shown in one line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields

from planner.facts.cautions import PLAN_SHORT
from planner.flight.envelope import LimitResult, Verdict
from planner.plan.results import Plan, State
from planner.quantities.frozen import frozen
from planner.quantities.units import SI_UNIT, Display, UnitSystem, clock
from planner.views.blocks import LOUD_INVENTED, Page
from planner.views.html import markup
from planner.views.limit_words import VERDICT_STYLES, verdict_words
from planner.views.words import LATERAL_UNKNOWN, amount, cautions, margin_and_u, verdict_sentence


def short_caution(plan: Plan) -> str:
    """What stands even in the shortest view of a plan."""
    return f"{LOUD_INVENTED} {PLAN_SHORT}" if plan.aircraft.invented else PLAN_SHORT


@frozen(kw_only=True, repr=False)
class CheckedLimit(LimitResult):
    """A limit checked at a `place` of the flight: load, ramp, takeoff, landing, zero fuel, burn or fuel.

    `name`; `value`, `limit`, `margin` and `uncertainty` (of the margin, expanded, k = 2) in SI `unit`;
    `verdict`; `causes`, pairs of a cause and what one standard uncertainty of it does to the margin.
    """

    @property
    def unit(self) -> str:
        """The SI unit of the figures."""
        return SI_UNIT[self.dimension]

    def shown(self, units: UnitSystem = "metric") -> str:
        """The limit as a line for a reader of `metric`, `us` or `uk` units."""
        display = Display(units)
        value, limit = (display.text(each, self.dimension) for each in (self.value, self.limit))
        margin, u = margin_and_u(self, display)
        figures = f"{value} against {limit}, margin {margin} (U {u})"
        return f"{self.place}: {self.name}: {figures}: {verdict_words(self)}"

    def __repr__(self) -> str:
        return f"<{self.shown()}>"


def checked(limit: LimitResult) -> CheckedLimit:
    """The limit as a value that shows itself."""
    return CheckedLimit(**{each.name: getattr(limit, each.name) for each in fields(LimitResult)})


@frozen(kw_only=True, repr=False)
class PlannedState:
    """A state: `mass` [kg], `moment` [kg.m], `centre_of_gravity` and `lateral_centre_of_gravity` [m].

    `percent_mac` [%] and the lateral figure are a reason in words where there is none. `fuel` is usable fuel
    in all, `tanks` that in each tank [m3]; `limits` are those checked in this state.
    """

    name: str
    mass: float
    moment: float
    centre_of_gravity: float
    lateral_centre_of_gravity: float | str
    percent_mac: float | str
    fuel: float
    tanks: Mapping[str, float]
    limits: tuple[CheckedLimit, ...]

    def shown(self, units: UnitSystem = "metric") -> str:
        """The state as a line for a reader of `metric`, `us` or `uk` units."""
        display = Display(units)
        mass, cg = display.text(self.mass, "mass"), display.text(self.centre_of_gravity, "length")
        return f"{self.name}: {mass}, CG {cg}, usable fuel {display.text(self.fuel, 'volume')}"

    def __repr__(self) -> str:
        return f"<{self.shown()}>"


def state_of(plan: Plan, state: State) -> PlannedState:
    """A state of the plan."""
    total = state.total
    return PlannedState(
        name=state.name,
        mass=total.mass,
        moment=total.moment,
        centre_of_gravity=total.centre_of_gravity,
        lateral_centre_of_gravity=(
            total.lateral_centre_of_gravity if plan.aircraft.lateral_known else LATERAL_UNKNOWN
        ),
        percent_mac=state.percent_mac,
        fuel=state.fuel,
        tanks={each.tank.name: volume for each, volume in zip(plan.fuel.tanks, state.volumes, strict=True)},
        limits=tuple(checked(limit) for limit in state.limits),
    )


@frozen(kw_only=True, repr=False)
class PlannedFuel:
    """Usable fuel [m3] `aboard`, `required`, `surplus` with its expanded `uncertainty`, `final_reserve`.

    `mass` is that of the fuel aboard [kg], `density` the one used [kg/m3], `endurance` how long it lasts [s],
    `tanks` what is in each [m3], `lines` (name, m3) what the plan asks for.
    """

    aboard: float
    mass: float
    density: float
    required: float
    surplus: float
    uncertainty: float
    final_reserve: float
    endurance: float
    verdict: Verdict
    tanks: Mapping[str, float]
    lines: tuple[tuple[str, float], ...]

    def shown(self, units: UnitSystem = "metric") -> str:
        """The fuel as a line for a reader of `metric`, `us` or `uk` units."""
        display = Display(units)
        aboard, required = (display.text(each, "volume") for each in (self.aboard, self.required))
        over = amount(self.surplus, "volume", display, sign=True)
        u = amount(self.uncertainty, "volume", display)
        figures = f"{aboard} aboard, {required} required, margin {over} (U {u})"
        return f"fuel: {figures}, lasts {clock(self.endurance)}: {self.verdict}"

    def __repr__(self) -> str:
        return f"<{self.shown()}>"


def fuel_of(plan: Plan) -> PlannedFuel:
    """The fuel of the plan."""
    fuel = plan.fuel
    same = ("aboard", "required", "surplus", "uncertainty", "endurance", "verdict")
    return PlannedFuel(
        **{name: getattr(fuel, name) for name in same},
        mass=fuel.aboard_mass,
        density=plan.density.density,
        final_reserve=fuel.final_reserve.volume,
        tanks={each.tank.name: each.volume for each in fuel.tanks},
        lines=tuple((line.name, line.volume) for line in fuel.lines),
    )


def html_of(plan: Plan, limits: Iterable[CheckedLimit], units: UnitSystem = "metric") -> str:
    """The plan for a notebook: caution, verdict, every limit, notices, cautions; none can be left out."""
    display, page = Display(units), Page()
    page.caution([short_caution(plan)])
    verdict = f"{plan.aircraft.name}: {verdict_sentence(plan, display)}"
    page.panel("Verdict", [verdict], VERDICT_STYLES[plan.verdict])
    page.bullets([limit.shown(units) for limit in limits], id="limits")
    page.findings(plan.findings, display)
    page.caution(cautions(plan), "Cautions")
    return f"<div>{markup(page.blocks)}</div>"
