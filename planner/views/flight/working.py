"""The working of a plan line by line, as it would stand on paper, with the figures and units put in."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby
from operator import attrgetter

from planner.density.petroleum import BASE_TEMPERATURE, thermal_expansion
from planner.facts.cautions import INVENTED, PLAN_SHORT
from planner.flight.envelope import LimitResult
from planner.flight.limits import STATES
from planner.plan.results import Plan, State
from planner.quantities.effects import COVERAGE
from planner.quantities.sentences import said
from planner.quantities.units import Display, clock
from planner.views.blocks import INDENT, Page
from planner.views.limit_words import MASS_LIMIT_NOTE, STATE_WORDS, VERDICT_WORDS, is_greatest
from planner.views.words import amount, demand_note, margin_and_u

ROUNDED = "Figures shown are rounded, computed unrounded: added up again, the last digit may differ."


def working(plan: Plan, display: Display) -> list[str]:
    """Every line of arithmetic of a plan with its figures: density, moments, CG, fuel, endurance, margins.

    The lines are those of the computational method: volume x density = mass, mass x arm = moment,
    moment / mass = CG, time x flow = fuel, limit less value = margin.

    Parameters: `plan` [SI]; `display` the reader's units. Returns lines of plain text; a line that does not
    begin with a space is a heading. Raises: nothing. Source: [faa-h-8083-1b] ch. 5; [common-practice].
    """
    lines = [*((INVENTED,) if plan.aircraft.invented else ()), PLAN_SHORT, ROUNDED]
    for title, body in _sections(plan, display):
        lines += ["", title, *(f"  {line}" for line in body)]
    return lines


def _sections(plan: Plan, display: Display) -> Iterator[tuple[str, Iterator[str]]]:
    yield "Density of the fuel", _density(plan, display)
    yield "Fuel aboard: volume x density = mass", _fuel_masses(plan, display)
    yield "Zero fuel: mass x arm = moment", _zero_fuel(plan, display)
    for place in STATES:
        if place != "zero fuel":
            title = f"{STATE_WORDS[place].capitalize()}: fuel added to zero fuel"
            yield title, _with_fuel(plan, plan.state(place), display)
    yield "Fuel required: time x flow = volume", _required(plan, display)
    yield "Endurance: volume / flow = time", _endurance(plan, display)
    yield "Margins: upper limit less value, or value less lower limit", _margins(plan, display)
    root = "2 x root of the sum of squares of the changes for one standard uncertainty each"
    yield f"U of the least margins: {root}", _uncertainties(plan, display)


def _density(plan: Plan, display: Display) -> Iterator[str]:
    used = plan.density
    yield f"{said(used.method, display)}; {used.source}"
    if isinstance(used.at_15c, float) and isinstance(used.temperature, float):
        alpha, dt = thermal_expansion(used.at_15c), used.temperature - BASE_TEMPERATURE
        measured, at = plan.flight.fuel.density.measured, plan.flight.fuel.density.at
        if measured is not None and at is not None:
            dm = at.value - BASE_TEMPERATURE
            yield (
                f"density at 15 degC: the one with {used.at_15c:.3f} kg/m3 x exp[-alpha dm (1 + 0.8 alpha"
                f" dm)] = {measured.value:.3f} kg/m3, dm = {dm:+g} K"
            )
        yield f"thermal expansion alpha at {used.at_15c:.3f} kg/m3 and 15 degC = {alpha:.7f} per K"
        yield f"dt = {used.temperature:g} degC - 15 degC = {dt:+g} K"
        factor = used.correction_factor
        yield (
            f"correction factor = exp[-alpha dt (1 + 0.8 alpha dt)] = exp[{-alpha * dt:+.7f} x"
            f" {1 + 0.8 * alpha * dt:.7f}] = {factor:.7f}"
        )
        yield f"density in the tank = {used.at_15c:.3f} kg/m3 x {factor:.7f} = {used.density:.3f} kg/m3"
    shown = "" if display.unit("density") == "kg/L" else f" = {display.text(used.density, 'density')}"
    yield (
        f"density used = {used.density:.3f} kg/m3 = {used.density / 1e3:.5f} kg/L{shown}; U = 2 x"
        f" {used.u:.3f} = {COVERAGE * used.u:.3f} kg/m3"
    )


def _fuel_masses(plan: Plan, display: Display) -> Iterator[str]:
    rho = display.text(plan.density.density, "density", 1)
    for each in plan.fuel.tanks:
        yield (
            f"{each.tank.name}: {said(each.origin, display)}: {display.text(each.volume, 'volume', 2)} x"
            f" {rho} = {display.text(each.mass, 'mass', 2)}"
        )
    yield (
        f"sum: {display.text(plan.fuel.aboard, 'volume', 2)},"
        f" {display.text(plan.fuel.aboard_mass, 'mass', 2)}"
    )


def _product(name: str, mass: float, arm: float, display: Display, side: float | None) -> str:
    def times(arm: float) -> str:
        return f"x {display.text(arm, 'length')} = {display.text(mass * arm, 'moment', 1)}"

    sideways = "" if side is None else f"; sideways {times(side)}"
    return f"{name}: {display.text(mass, 'mass', 2)} {times(arm)}{sideways}"


def _zero_fuel(plan: Plan, display: Display) -> Iterator[str]:
    lateral = plan.aircraft.lateral is not None
    for item in plan.loading.items:
        yield _product(item.name, item.mass, item.arm, display, item.lateral_arm if lateral else None)
    yield from _sums(plan, plan.state("zero fuel"), display)


def _with_fuel(plan: Plan, state: State, display: Display) -> Iterator[str]:
    zero = plan.state("zero fuel").total
    yield f"zero fuel: {display.text(zero.mass, 'mass', 2)}, {display.text(zero.moment, 'moment', 1)}"
    lateral = plan.aircraft.lateral is not None
    for each, volume in zip(plan.fuel.tanks, state.volumes, strict=True):
        mass = volume * plan.density.density
        arm = each.tank.volume_moment(volume) / volume if volume else each.arm
        name = f"fuel {each.tank.name}, {display.text(volume, 'volume', 2)}"
        yield _product(name, mass, arm, display, each.tank.lateral_arm if lateral else None)
    yield from _sums(plan, state, display)


def _sums(plan: Plan, state: State, display: Display) -> Iterator[str]:
    total = state.total
    mass, moment = display.text(total.mass, "mass", 2), display.text(total.moment, "moment", 1)
    yield f"sum: {mass}, {moment}"
    cg = display.text(total.centre_of_gravity, "length", 1)
    yield f"CG = {moment} / {mass} = {cg}"
    if (chord := plan.aircraft.mean_aerodynamic_chord) is not None and isinstance(state.percent_mac, float):
        edge, length = (display.text(each.value, "length") for each in (chord.leading_edge, chord.length))
        yield f"% MAC = ({cg} - {edge}) / {length} x 100 = {state.percent_mac:.2f} %"
    if plan.aircraft.lateral is not None:
        side = display.text(total.lateral_moment, "moment", 1)
        yield f"lateral CG = {side} / {mass} = {display.text(total.lateral_centre_of_gravity, 'length', 1)}"


def _required(plan: Plan, display: Display) -> Iterator[str]:
    fuel = plan.fuel
    trip = math.fsum(line.volume for line in fuel.lines if line.kind == "trip")
    share = plan.flight.contingency
    for line in fuel.lines:
        volume = display.text(line.volume, "volume", 2)
        if line.kind == "contingency" and share is not None and share.dimension == "ratio":
            yield (
                f"contingency: {share.value * 100:g} % x {display.text(trip, 'volume', 2)} of trip fuel ="
                f" {volume}"
            )
        elif line.basis.endswith("as stated") or not isinstance(line.time, float) or not line.time:
            yield f"{line.name}: {volume} ({line.basis})"
        else:
            yield (
                f"{line.name}: {line.time / 60:g} min x"
                f" {display.text(line.volume / line.time, 'volume flow', 1)} = {volume} ({line.basis})"
            )
    yield f"sum: required {display.text(fuel.required, 'volume', 2)}"
    name = "surplus" if fuel.surplus >= 0 else "SHORTAGE, surplus"
    aboard, required = display.text(fuel.aboard, "volume", 2), display.text(fuel.required, "volume", 2)
    over = display.text(fuel.surplus, "volume", 2, sign=True)
    u = amount(fuel.uncertainty, "volume", display)
    yield f"{name} = {aboard} - {required} = {over}; U {u}: {VERDICT_WORDS[fuel.verdict]}"
    if note := demand_note(plan, display):
        yield note


def _endurance(plan: Plan, display: Display) -> Iterator[str]:
    flown = (draw for draw in plan.fuel.asked if draw.stage != "taxi")
    for (stage, phase, flow), group in groupby(flown, key=attrgetter("stage", "phase", "flow")):
        volume = math.fsum(draw.volume for draw in group)
        what = f"{stage}: {phase}: {display.text(volume, 'volume', 2)}"
        if flow:
            yield f"{what} / {display.text(flow, 'volume flow', 1)} = {volume / flow / 60:.1f} min"
        else:
            yield f"{what}: no flow for this phase in the profile, counted as no time"
    yield (
        f"sum: endurance {plan.fuel.endurance / 60:.1f} min, cut to {clock(plan.fuel.endurance)};"
        f" {plan.fuel.endurance_basis}"
    )


def _margins(plan: Plan, display: Display) -> Iterator[str]:
    yield MASS_LIMIT_NOTE
    for limit in plan.load_limits:
        yield _margin("load", limit, display)
    for state in plan.states:
        for limit in state.limits:
            plain = state.total.mass if limit.group == "mass" else limit.value
            yield _margin(STATE_WORDS[state.name], limit, display, plain)
    for limit in plan.burn.limits:
        yield _margin("least", limit, display)


def _margin(where: str, limit: LimitResult, display: Display, plain: float | None = None) -> str:
    """One margin; `plain` is the value before the fuel's density was raised by its U."""
    value, bound = _signed(limit.value, limit, display), _signed(limit.limit, limit, display)
    raised = limit.value - (limit.value if plain is None else plain)
    if plain is not None and raised > 0:
        value = (
            f"({display.text(plain, 'mass', 2)} + {display.text(raised, 'mass', 2)} for the fuel's density"
            " + U)"
        )
    sum_ = f"{bound} - {value}" if is_greatest(limit) else f"{value} - {bound}"
    margin, u = margin_and_u(limit, display)
    return f"{where}: {limit.name}: {sum_} = {margin}; U {u}: {VERDICT_WORDS[limit.verdict]}"


def _signed(value: float, limit: LimitResult, display: Display) -> str:
    text = display.text(value, limit.dimension)
    return f"({text})" if value < 0 else text


def _uncertainties(plan: Plan, display: Display) -> Iterator[str]:
    for limit in plan.burn.limits:
        causes = ", ".join(
            f"{cause} {amount(change, limit.dimension, display, sign=True)}" for cause, change in limit.causes
        )
        u = amount(limit.uncertainty, limit.dimension, display)
        yield f"{limit.name}: {causes or 'no uncertainty'}: U {u}"


def render_working(page: Page, plan: Plan, display: Display) -> None:
    """The working as a section of a page that has its cautions already."""
    page.heading("Working")
    page.paragraph(ROUNDED)
    for title, body in _sections(plan, display):
        page.line()
        page.paragraph(title, "bold")
        for line in body:
            page.paragraph(line, first=INDENT * 2, rest=INDENT * 4)
