"""The words a plan is reported in, shared by every form of the report; plain text, no layout."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

from planner.facts.cautions import BEFORE_START, INVENTED, NO_DRAINS, PLAN
from planner.flight.burn import Point
from planner.flight.envelope import LimitResult, Verdict
from planner.flight.limits import Group, identity
from planner.plan.results import Plan
from planner.quantities.effects import COVERAGE, FUEL_DENSITY
from planner.quantities.frozen import frozen
from planner.quantities.moments import round_up
from planner.quantities.sentences import said
from planner.quantities.units import Dimension, Display, clock, in_unit
from planner.records.aircraft.mass_record import BasicEmpty
from planner.views.limit_words import PLACE_WORDS, at_limit

# Groups whose margins are named together in a verdict: each is in one unit.
_KINDS: Final[tuple[tuple[Group, ...], ...]] = (
    ("forward", "aft", "lateral"),
    ("mass",),
    ("load",),
    ("tank",),
)
LATERAL_UNKNOWN: Final = "not known: the profile states no lateral arms"
WHAT_U_IS: Final = "U is the expanded uncertainty of the margin beside it (k = 2, about 95 %)"
_SAME: Final = 1e-9  # two margins closer than this, in SI, are the same place of the flight


@frozen
class Spot:
    """A checked limit, and where in the flight that was, in words."""

    where: str
    limit: LimitResult

    @property
    def base(self) -> str:
        """The limit's own name."""
        return self.limit.base or self.limit.name


def about(plan: Plan, title: str = "", dated: bool = False) -> str:
    """Which aircraft, category and flight, in a row; `title` in place of the flight's own."""
    parts = (plan.aircraft.name, f"{plan.flight.category} category", title or plan.flight.title)
    return ", ".join(part for part in (*parts, str(plan.flight.date or "") if dated else "") if part)


def included(record: BasicEmpty) -> str:
    """What is in a mass record beside the aircraft itself."""
    return ", ".join(record.includes) or "neither oil nor unusable fuel"


def cautions(plan: Plan) -> tuple[str, ...]:
    """Every caution of the plan; that of an invented aircraft first."""
    return ((INVENTED,) if plan.aircraft.invented else ()) + PLAN


def amount(value: float, dimension: Dimension, display: Display, sign: bool = False) -> str:
    """A difference with its unit (lengths as mm or in).

    With `sign` it is a margin: one that would show as zero but is not is shown with two significant digits,
    so that a verdict of `outside` never stands beside a margin of zero. Without, it is a size, shown as `<0.1
    mm` instead.
    """
    digits, unit = display.span(value, dimension).split(" ", 1)
    if float(digits) or abs(value) < 1e-15:
        return f"{digits if sign and float(digits) else digits.lstrip('+-')} {unit}"
    if not sign:
        return f"<{10.0 ** -len(digits.partition('.')[2]):g} {unit}"
    scale = float(display.span(1e6, dimension).split(" ", 1)[0]) / 1e6
    decimals = 1 - math.floor(math.log10(abs(value * scale)))
    return f"{value * scale:+.{decimals}f} {unit}"


def margin_and_u(limit: LimitResult, display: Display) -> tuple[str, str]:
    """The margin of a limit, signed, and its U."""
    margin = amount(limit.margin, limit.dimension, display, sign=True)
    return margin, amount(limit.uncertainty, limit.dimension, display)


def dip_text(dip: float | str, display: Display, at_least: bool = False) -> str:
    """A stick's reading to a tenth of a cm or in, or the reason there is none; `at_least` rounds up, for a
    reading not to fall below.
    """
    if isinstance(dip, str):
        return dip
    name = "cm" if display.system == "metric" else "in"
    reading = in_unit(dip, name)
    return f"{round_up(reading, 0.1) if at_least else reading:.1f} {name}"


def minutes(time: float | str) -> str:
    """A time of a fuel line in minutes with one decimal, or a dash where a reason stands for it."""
    return f"{time / 60:.1f}" if isinstance(time, float) else "-"


def time_known(plan: Plan, point: Point) -> bool:
    """Whether every phase flown before the point has a flow, so that the time there is known."""
    return not any(
        s.stage != "taxi" and not s.flow and sum(s.volumes) > point.fuel + _SAME for s in plan.burn.path
    )


def time_from_takeoff(plan: Plan, point: Point) -> str:
    """How long before or after take-off a place of the burn lies."""
    if not time_known(plan, point):
        return "unknown"
    return f"{clock(point.time)} after" if point.time > -_SAME else f"{clock(-point.time)} before"


def doubts(plan: Plan, display: Display) -> list[str]:
    """Limits of the burn that are not shown inside at another place than that of their least margin, in
    words.
    """
    found = []
    for least, limit in zip(plan.burn.least, plan.burn.limits, strict=True):
        if limit.doubt is not None:
            margin, u = (
                amount(each, "length", display) for each in (limit.doubt.margin, limit.doubt.uncertainty)
            )
            left = display.text(limit.doubt.fuel, "volume")
            found.append(
                f"{least.limit} is not shown inside with {left} of fuel left: its margin there, {margin}, is"
                f" not larger than its U of {u}."
            )
    return found


def spots(plan: Plan, display: Display) -> tuple[Spot, ...]:
    """Every limit with where it was checked: load, states, then the whole burn."""
    found = [Spot("", limit) for limit in plan.load_limits]
    found += [Spot(PLACE_WORDS[state.name][1], limit) for state in plan.states for limit in state.limits]
    for least, limit in zip(plan.burn.least, plan.burn.limits, strict=True):
        found.append(
            Spot(f"with {display.text(least.point.fuel, 'volume')} of fuel left{limit.variant}", limit)
        )
    return tuple(found)


def _tightest(found: list[Spot]) -> list[Spot]:
    """Per limit the place with the least margin; a state is named rather than the burn where they agree."""
    best: dict[tuple[str, str], Spot] = {}
    for spot in found:
        key = identity(spot.limit.id, spot.limit.place)
        if key not in best or spot.limit.margin < best[key].limit.margin - _SAME:
            best[key] = spot
    return list(best.values())


def _spot_words(spot: Spot, display: Display, outside: bool = False) -> str:
    limit = spot.limit
    margin = amount(limit.margin, limit.dimension, display, sign=not outside)
    u = f"U {amount(limit.uncertainty, limit.dimension, display)}"
    where = f" {spot.where}" if spot.where else ""
    if at_limit(limit):
        return f"{spot.base}: at the limit{where}"
    if not outside:
        return f"{spot.base} {margin}{where} ({u})"
    value, bound = display.text(limit.value, limit.dimension), display.text(limit.limit, limit.dimension)
    return f"{spot.base} by {margin}{where} ({value} against {bound}, {u})"


def _fuel_words(plan: Plan, display: Display) -> str:
    fuel = plan.fuel
    u = f"(U {amount(fuel.uncertainty, 'volume', display)})"
    if fuel.surplus < 0:
        return f"fuel {amount(fuel.surplus, 'volume', display)} short of what is required {u}"
    if fuel.surplus == 0.0 and fuel.uncertainty == 0.0:
        return "fuel exactly what is required"
    return f"fuel {amount(fuel.surplus, 'volume', display, sign=True)} beyond what is required {u}"


def _named(plan: Plan, verdict: Verdict, display: Display) -> list[str]:
    """The limits of one verdict, each at its tightest place, and the fuel where it has that verdict."""
    found = [spot for spot in spots(plan, display) if spot.limit.verdict == verdict]
    words = [_spot_words(spot, display, outside=verdict == "outside") for spot in _tightest(found)]
    return words + ([_fuel_words(plan, display)] if plan.fuel.verdict == verdict else [])


@frozen
class Decides:
    """What a verdict rests on, in words: the `first` that made it so (the tightest of each kind where all are
    inside), what is `doubtful` beside it, and the phase in which the fuel runs `dry`.
    """

    first: tuple[str, ...]
    doubtful: tuple[str, ...] = ()
    dry: str = ""

    @property
    def texts(self) -> tuple[str, ...]:
        """Each on its own, the weightiest first."""
        return (
            *self.first,
            *filter(None, [self.dry]),
            *(f"not shown inside: {each}" for each in self.doubtful),
        )


def decides(plan: Plan, display: Display) -> Decides:
    """What decides the verdict, with margins and U."""
    # Where the fuel ledger's sources differ, the highest quantity may pass a limit that the plan itself does
    # not.
    heavier = [said(each.message, display) for each in plan.findings if each.code == "ledger-heavier"]
    doubtful = _named(plan, "not shown inside", display)
    if plan.verdict == "outside":
        dry = f"the usable fuel runs out in the {plan.fuel.runs_dry_in}" if plan.fuel.runs_dry_in else ""
        return Decides((*_named(plan, "outside", display), *heavier), tuple(doubtful), dry)
    if plan.verdict == "not shown inside":
        return Decides((*doubtful, *heavier))
    least = (_spot_words(spot, display) for spot in deciding(plan, display))
    return Decides((*least, _fuel_words(plan, display)))


def headline(plan: Plan) -> str:
    """The verdict in one line; what decides it stands under it."""
    if plan.verdict == "inside":
        return "INSIDE every limit checked."
    if plan.verdict == "not shown inside":
        return "NOT SHOWN INSIDE: no limit is passed, but a margin is not larger than its uncertainty."
    outside = [each for each in plan.limits() if each.verdict == "outside" and each.group != "fuel"]
    count = len({identity(each.id, each.place) for each in outside})
    passed = [f"{count} limit{'s are' if count > 1 else ' is'} passed"] if count else []
    short = ["the fuel is short of what is required"] if plan.fuel.verdict == "outside" else []
    return f"OUTSIDE: {' and '.join([*passed, *short]) or 'with the highest quantity of the fuel ledger'}."


def deciding(plan: Plan, display: Display) -> tuple[Spot, ...]:
    """The limits that decide the verdict, each at its tightest place: those of the worst verdict, or, where
    all are inside, the one with the least margin of each kind. The fuel required is no limit of these.
    """
    every = spots(plan, display)
    if plan.verdict != "inside":
        return tuple(_tightest([spot for spot in every if spot.limit.verdict == plan.verdict]))
    kinds = [[spot for spot in every if spot.limit.group in groups] for groups in _KINDS]
    return tuple(min(_tightest(kind), key=lambda spot: spot.limit.margin) for kind in kinds if kind)


def verdict_sentence(plan: Plan, display: Display) -> str:
    """The verdict with the limits that decide it, their margins and U; the tightest of each kind where all
    are inside.
    """
    found, word = decides(plan, display), plan.verdict.upper()
    first = "; ".join(found.first)
    if plan.verdict == "inside":
        return f"{word} every limit checked; least margins: {first}."
    if plan.verdict == "not shown inside":
        return f"{word}: no limit is passed, but a margin is not larger than its uncertainty: {first}."
    dry = f" {found.dry[0].upper()}{found.dry[1:]}." if found.dry else ""
    also = f" Not shown inside: {'; '.join(found.doubtful)}." if found.doubtful else ""
    return f"{word}: {first}.{dry}{also}"


def uncertainty_sentence(plan: Plan) -> str:
    """What U is and which uncertainties it holds: those of the files, only the program's own, or none."""
    if not plan.uncertainties_stated:
        return "No uncertainties stated: every U is zero, and a margin says nothing of how sure it is."
    spec, of = plan.flight.fuel, plan.flight.fuel.density
    own = of.bottle or of.hydrometer  # a sheet of the bench has an uncertainty of its own
    stated = (of.at_15C, of.fixed, of.measured, of.at, spec.temperature)
    causes = {effect.cause for state in plan.states for effect in state.effects}
    if (
        not own
        and causes <= {FUEL_DENSITY}
        and not plan.fuel.uncertainty
        and not any(each.u for each in stated if each is not None)
    ):
        batch = "how the batches of the grade differ and " if of.standard else ""
        return (
            f"{WHAT_U_IS}. No uncertainties stated: it holds only this program's own estimate for"
            f" {batch}correcting the density to the temperature."
        )
    return (
        f"{WHAT_U_IS}, from the uncertainties stated in the two files and that of the density; figures stated"
        " without one count as exact."
    )


def density_sentences(plan: Plan, display: Display) -> list[str]:
    """The density used: value, U, the figure at 15 degC, temperature, method, source; the band for a standard
    figure.
    """
    density, grade = plan.density, plan.grade
    used, u = display.text(density.density, "density"), display.text(COVERAGE * density.u, "density")
    # Fuel is where units are confused: the figure is given in another one too.
    other = Display("us") if display.system == "metric" else Display("metric")
    lines = [f"{used} ({other.text(density.density, 'density')}), U {u} (k = 2); {grade.name}."]
    at_15c = display.text(density.at_15c, "density") if isinstance(density.at_15c, float) else density.at_15c
    fuel_at = density.temperature
    if isinstance(fuel_at, float):
        fuel_at = display.text(fuel_at, "temperature")
    if isinstance(density.at_15c, str) and density.at_15c == density.temperature:
        lines.append(f"At 15 degC and temperature of the fuel: {at_15c}.")
    else:
        lines.append(f"At 15 degC: {at_15c}. Temperature of the fuel: {fuel_at}.")
    lines.append(f"Method: {said(density.method, display)}. Source: {density.source}.")
    if plan.flight.fuel.density.standard:
        low, high = (display.text(each, "density", -1) for each in grade.band)
        lines.append(
            f"A standard figure, not this batch: real batches lie between {low} and {high} at 15 degC; U"
            " holds how batches differ (a sixth of that band as standard uncertainty; common practice, no"
            f" published source). {grade.note}"
        )
    return lines


def rule_sentences(plan: Plan) -> list[str]:
    """The reserve rule with its citation, the day it was read and how, and what else it counts."""
    rule = plan.rule
    lines = [
        f"Rule {rule.key}: final reserve {rule.minutes:g} min at {rule.basis_words}. {rule.citation},"
        f" taken down {rule.read} ({rule.tag}); {rule.note}."
    ]
    return lines + [f"Under this rule: {condition}." for condition in rule.conditions]


def demand_note(plan: Plan, display: Display) -> str:
    """How demands stated by mass became volumes, or nothing where there are none."""
    spec = plan.flight
    amounts = (spec.contingency, spec.additional, spec.extra, spec.discretionary)
    trip = (each for phase in spec.trip for each in (phase.fuel, phase.flow))
    stated = (*amounts, *trip, *plan.aircraft.burn.values())
    by_mass = any(each is not None and each.dimension in ("mass", "mass flow") for each in stated)
    if not by_mass or plan.fuel.demand_density == plan.density.density:
        return ""
    at = display.text(plan.fuel.demand_density, "density")
    how = (
        f"Amounts and flows given by mass became volumes with the density less its U ({at}), so that a light"
        " fuel cannot run short"
    )
    return f"{how}; masses shown are at the density used."


def before_start(plan: Plan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The drain points to tick, and what is looked at before engine start, in the words of this aircraft."""
    drains = plan.aircraft.drains or (NO_DRAINS,)
    return drains, tuple(each.format(dye=plan.grade.dye, grade=plan.grade.name) for each in BEFORE_START)


def _listed(names: Iterable[str]) -> str:
    """Names in a row, each once."""
    *first, last = dict.fromkeys(names)
    return f"{', '.join(first)} and {last}" if first else last


def uncrossed(plan: Plan) -> str:
    """What to say of a burn that crosses no limit: all inside, or which limits it is outside of all along.

    A limit that the burn neither leaves nor comes inside of is passed from the first of the fuel to the last;
    a mass limit is passed in its own state only.
    """
    throughout = [limit.base for limit in plan.burn.limits if limit.verdict == "outside"]
    masses = [each.name for each in plan.limits() if each.group == "mass" and each.verdict == "outside"]
    told = [f"{_listed(throughout)} passed from engine start to the last usable fuel"] if throughout else []
    told += [f"{_listed(masses)} passed"] if masses else []
    if not told:
        return "No limit is crossed during the burn."
    return f"No CG limit is crossed during the burn, but: {'; '.join(told)}."
