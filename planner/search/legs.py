"""Flights of several legs: what is aboard is carried from one to the next, and each stop has a window for the
uplift.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from planner.flight.envelope import Verdict, worst
from planner.flight.fuel import burn_down
from planner.plan.results import Plan
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.moments import round_down, round_up
from planner.quantities.sentences import Figure, say
from planner.quantities.units import IMPERIAL_GALLON, US_GALLON, Quantity, UnitSystem
from planner.records.aircraft.record import Aircraft
from planner.records.document import Location
from planner.records.flight.legs import leg_flight
from planner.records.flight.record import Flight
from planner.records.placed import found, place_all
from planner.records.store import Loaded
from planner.search.solve import Interval
from planner.search.solved import solve
from planner.search.varied import Case, Variable, case_of, fuel_change

# Where a pump is stopped [m3], by the reader's units: by the litre or half gallon.
PUMP_STEPS: Final[dict[UnitSystem, float]] = {"metric": 1e-3, "us": US_GALLON / 2, "uk": IMPERIAL_GALLON / 2}
_FULL: Final = 1e-9  # share by which a tank may seem overfilled by rounding


@frozen
class PumpLine:
    """The order for one tank: usable fuel on `arrival`, `uplift`, usable fuel then [m3]; the stick's reading
    before and after [m], or why there is none.
    """

    tank: str
    arrival: float
    uplift: float
    usable: float
    dip_before: float | str
    dip_after: float | str


@frozen
class LegPlan:
    """One leg planned: its `case`; the `order` at the pump; the exact `windows` of the fuel put in (for the
    first leg: of usable fuel at start) [m3 in all].

    `put_in` is the first window that holds the planned figure, or else the first, rounded inwards by `step`;
    None where no fuel makes the leg inside.
    """

    name: str
    case: Case
    order: tuple[PumpLine, ...]
    windows: tuple[Interval, ...]
    put_in: Interval | None

    @property
    def plan(self) -> Plan:
        """The leg's plan."""
        return self.case.plan

    @property
    def uplift(self) -> float:
        """Fuel put in before this leg, in all [m3]. Source: [common-practice]."""
        return math.fsum(line.uplift for line in self.order)


def worst_of(legs: Sequence[LegPlan]) -> Verdict:
    """The verdict of all legs together: the worst."""
    return worst([leg.plan.verdict for leg in legs])


def arrival_fuel(plan: Plan) -> tuple[tuple[float, float], ...]:
    """Usable fuel in each tank at shutdown and its standard uncertainty [m3]: taxi, trip and taxi after
    landing burnt as planned, nothing of the rest.

    What is unsure about a tank and about what was drawn from it is carried along by
    `planner.flight.fuel.burn_down`.
    Source: [jcgm-100] 5.1.2; [common-practice] for the burn.
    """
    tanks = plan.fuel.tanks
    legs = [leg for leg in plan.fuel.legs if leg.stage != "alternate"]
    full, changes = plan.model.full
    draws, _ = burn_down([each.tank.name for each in tanks], full, plan.model.order, legs, changes)
    left, unsure = (draws[-1].end, draws[-1].end_changes) if draws else (full, changes)
    return tuple((volume, math.hypot(*each.values())) for volume, each in zip(left, unsure, strict=True))


def plan_legs(flight: Loaded[Flight], aircraft: Loaded[Aircraft], step: float = 1e-3) -> tuple[LegPlan, ...]:
    """Plan every leg of a flight, each with what the one before left in the tanks.

    Parameters: both records as loaded; `step` [m3] to which windows are rounded inwards. Fuel put in counts
    at the density of the file. Returns one LegPlan per leg. Raises InputRefused, its place in the leg that
    caused it.
    Source: every limit as in `planner.plan`; windows by `planner.search.solve`.
    """
    alone: dict[Location, object] = {("legs",): None}
    legs = [_first(case_of(flight.with_(alone, aircraft), aircraft), step)]
    told = replace(aircraft, notices=())  # with the first leg
    for number, leg in enumerate(flight.record.legs):
        before = legs[-1].plan
        arrived = arrival_fuel(before)
        uplift = [
            _volume(leg.uplift.get(each.tank.name), before.density.density) for each in before.fuel.tanks
        ]
        wrong = []
        contents = {}
        for each, (volume, u), (more, more_u) in zip(before.fuel.tanks, arrived, uplift, strict=True):
            total, room = volume + more, each.tank.usable_capacity
            if total > room * (1 + _FULL):
                message = say(
                    "{} onto {} does not fit: the tank holds {} usable",
                    *(Figure(x, "volume") for x in (more, volume, room)),
                )
                needed = say("needed not more than {}", Figure(room - volume, "volume"))
                wrong.append(
                    found(("legs", number, "uplift", each.tank.name), "tank-overfilled", message, needed)
                )
            total = min(total, room)
            contents[each.tank.name] = Quantity(
                total, math.hypot(u, more_u), "volume", say("{}", Figure(total, "volume"))
            )
        if wrong:
            raise InputRefused(place_all(flight.document, wrong))
        try:
            case = case_of(leg_flight(flight, told, number, contents), told, legs[-1].case.more)
        except InputRefused as refused:
            raise InputRefused([_in_leg(finding, leg.name) for finding in refused.findings]) from None
        there, put_in = ([volume for volume, _ in each] for each in (arrived, uplift))
        legs.append(_later(leg.name, case, there, put_in, step))
    return tuple(legs)


def _in_leg(finding: Finding, name: str) -> Finding:
    return replace(finding, where=f"leg '{name}'" + (f" > {finding.where}" if finding.where else ""))


def _volume(uplift: Quantity | None, density: float) -> tuple[float, float]:
    if uplift is None:
        return 0.0, 0.0
    factor = 1.0 if uplift.dimension == "volume" else 1.0 / density
    return uplift.value * factor, uplift.u * factor


def filled_alike(plan: Plan) -> Variable:
    """Fuel put in or taken out with the tanks filled alike, by the room in them."""
    rooms = {each.tank.name: each.tank.usable_capacity for each in plan.fuel.tanks}
    return fuel_change(plan, list(rooms), list(rooms.values()))


def _first(case: Case, step: float) -> LegPlan:
    """The first leg; its window is that of all usable fuel at start, tanks filled alike by the room in
    them.
    """
    plan = case.plan
    aboard = [each.volume for each in plan.fuel.tanks]
    name, nothing = plan.flight.title or "first leg", [0.0] * len(aboard)
    return _leg(name, case, (filled_alike(plan), plan.fuel.aboard), aboard, nothing, step)


def _later(name: str, case: Case, arrived: Sequence[float], uplift: Sequence[float], step: float) -> LegPlan:
    """A later leg; the fuel put in is shared as the file shares it, or by the room in each tank where it
    names none.
    """
    tanks, put_in = case.plan.fuel.tanks, math.fsum(uplift)
    weights = list(uplift) if put_in > 0 else [each.space for each in tanks]
    asked = None
    if sum(weights) > 0:
        variable = fuel_change(case.plan, [each.tank.name for each in tanks], weights)
        asked = replace(variable, low=-put_in), put_in
    return _leg(name, case, asked, arrived, uplift, step)


def _leg(
    name: str,
    case: Case,
    asked: tuple[Variable, float] | None,
    arrived: Sequence[float],
    uplift: Sequence[float],
    step: float,
) -> LegPlan:
    """A leg with the fuel in each tank on arrival and put in [m3]; windows of the variable `asked`, with what
    is planned of it now.
    """
    windows: tuple[Interval, ...] = ()
    rounded = None
    if asked is not None:
        variable, base = asked
        windows = tuple(Interval(base + each.low, base + each.high) for each in solve(case, variable))
        rounded = _rounded(case, variable, windows, base, step)
    order = tuple(
        PumpLine(
            tank=each.tank.name,
            arrival=volume,
            uplift=more,
            usable=each.volume,
            dip_before=each.dip_at(volume),
            dip_after=each.dip,
        )
        for each, volume, more in zip(case.plan.fuel.tanks, arrived, uplift, strict=True)
    )
    return LegPlan(name=name, case=case, order=order, windows=windows, put_in=rounded)


def _rounded(
    case: Case, variable: Variable, windows: Sequence[Interval], base: float, step: float
) -> Interval | None:
    """The window around what is planned, or the first one, as amounts `base` [m3] above the variable, rounded
    inwards and planned again.
    """
    chosen = next((each for each in windows if base in each), windows[0] if windows else None)
    if chosen is None:
        return None

    def inside(amount: float) -> bool:
        return amount in chosen and case.kept(variable, amount - base) is not None

    low, high = round_up(chosen.low, step), round_down(chosen.high, step)
    # An edge is not inside itself, except where it is nothing put in or a full tank.
    low = next((each for each in (low, low + step) if inside(each)), chosen.low)
    high = next((each for each in (high, high - step) if inside(each)), chosen.high)
    return Interval(low, high) if low <= high else chosen
