"""Changes that are a figure: a bag made lighter or carried elsewhere, fuel out or in, ballast; each the
smallest that does it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final, TypeAlias

from planner.flight.envelope import NOISE
from planner.plan.results import Plan
from planner.quantities.effects import seat_label
from planner.quantities.frozen import frozen
from planner.quantities.moments import round_down, round_up
from planner.quantities.units import POUND, UnitSystem
from planner.search.legs import PUMP_STEPS
from planner.search.remedies.room import open_places, room_on, tank_groups
from planner.search.remedies.steps import Kind, Remedy, Step
from planner.search.solve import Interval
from planner.search.solved import solve
from planner.search.varied import Case, Variable, added_mass, fuel_change, item_mass, moved_mass


@frozen
class Rounding:
    """What figures are rounded to, always to the safe side: `load` and `person` [kg], `fuel` [m3 per
    tank].
    """

    load: float
    person: float
    fuel: float


# A luggage scale shows no more than a half kilogram or a pound.
METRIC: Final = Rounding(0.5, 1.0, PUMP_STEPS["metric"])
AMERICAN: Final = Rounding(POUND, POUND, PUMP_STEPS["us"])
BRITISH: Final = Rounding(POUND, POUND, PUMP_STEPS["uk"])
STEPS: Final[dict[UnitSystem, Rounding]] = {"metric": METRIC, "us": AMERICAN, "uk": BRITISH}
PRACTICAL_MASS: Final = 1.0  # kg; nobody portions a bag or ballast closer than this at the aircraft
# m3; nor fuel closer than a litre, or a step of the pump per tank where that is more
PRACTICAL_FUEL: Final = 1e-3


@frozen
class Try:
    """A figure that may cure: the quantity left open, its kind, what it is about, where to look for the
    smallest change, and its step [kg or m3]. `whole` is what a part of is carried [kg], `to` where.
    """

    variable: Variable
    kind: Kind
    subject: str
    step: float
    downwards: bool = False  # the change grows as the variable falls
    to: str = ""
    whole: float = 0.0


def tries(plan: Plan, steps: Rounding) -> Iterator[Try]:
    """Every figure of a flight that may be changed, in `steps`."""
    stations = plan.aircraft.stations
    places = open_places(plan)
    for name, masses in plan.flight.load.items():
        if stations[name].kind == "seats":
            continue
        for index, mass in enumerate(masses):
            label = seat_label(name, index, len(masses))
            if not mass.value > 0:
                continue
            lighter = item_mass(plan, name, index, mass.value)
            yield Try(lighter, "limit", label, steps.load, downwards=True)
            for to in places:
                if to != name and stations[to].kind != "seats" and (most := room_on(plan, to, name)) > 0:
                    moved = replace(moved_mass(plan, name, index, to), high=min(most, mass.value))
                    yield Try(moved, "move", label, steps.load, to=to, whole=mass.value)
    for group in tank_groups(plan):
        variable, step = fuel_change(plan, group), steps.fuel * len(group)
        if variable.low < 0:
            yield Try(replace(variable, high=0.0), "fuel off", variable.what, step, downwards=True)
        if variable.high > 0:
            yield Try(replace(variable, low=0.0), "fuel on", variable.what, step)
    for name in places:
        if (room := room_on(plan, name)) > 0:
            yield Try(added_mass(name, room, stations[name].seats), "ballast", name, steps.load)


def smallest(case: Case, attempt: Try) -> Remedy | None:
    """The smallest change of one figure that is shown inside, rounded to the safe side and planned again;
    None where there is none.

    One with room to spare is taken before a smaller one with next to none.
    """
    intervals = solve(case, attempt.variable)
    narrow: Remedy | None = None
    for interval in reversed(intervals) if attempt.downwards else intervals:
        found = rounded(case, attempt, interval)
        if found is not None and not found.narrow:
            return found
        narrow = narrow or found
    return narrow


def rounded(case: Case, attempt: Try, interval: Interval) -> Remedy | None:
    """The first step inside an interval, from the end with the smaller change, or all that may be changed;
    None where neither lies in it: what no scale or pump can be stopped at is not offered.
    """
    variable, step = attempt.variable, attempt.step
    exact = interval.high if attempt.downwards else interval.low
    first = round_down(exact, step) if attempt.downwards else round_up(exact, step)
    away = -step if attempt.downwards else step
    last = variable.low if attempt.downwards else variable.high
    for value in (first, first + away, last):
        # A value that changes nothing is no change; one beyond the interval is another interval's.
        if (
            value in interval
            and abs(value - variable.now) > NOISE
            and (remedy := made(case, attempt, value, exact, interval))
        ):
            return remedy
    return None


def made(case: Case, attempt: Try, value: float, exact: float, interval: Interval) -> Remedy | None:
    """One figure changed and planned again, with the interval in which it may lie; None where it is not
    inside. Figures in kg, or m3.
    """
    changed = case.kept(attempt.variable, value)
    if changed is None:
        return None
    return Remedy((with_room(step_of(case.plan, attempt, value, exact), attempt, interval),), changed)


def with_room(step: Step, attempt: Try, interval: Interval) -> Step:
    """The step with the interval in which its figure may lie [kg, or m3]. Source: [common-practice]."""
    practical = PRACTICAL_MASS if attempt.variable.dimension == "mass" else max(PRACTICAL_FUEL, attempt.step)
    return replace(step, low=interval.low, high=interval.high, practical=practical)


def step_of(plan: Plan, attempt: Try, value: float, exact: float) -> Step:
    """The change as a value; fuel with what goes into or out of each tank. `value` and `exact` as the
    variable has them [kg, or m3].

    Source: [common-practice].
    """
    variable = attempt.variable
    parts = zip(plan.fuel.tanks, variable.volumes, strict=True) if variable.volumes else ()
    return Step(
        kind=attempt.kind,
        subject=attempt.subject,
        to=attempt.to,
        value=value,
        exact=exact,
        now=attempt.whole or (variable.now if variable.dimension == "mass" else plan.fuel.aboard),
        dimension=variable.dimension,
        tanks=tuple((each.tank.name, share * value) for each, share in parts if share),
    )


Key: TypeAlias = tuple[Kind, str, str]


def key_of(step: Step | Try) -> Key:
    """What a change is about, without its figure."""
    return step.kind, step.subject, step.to
