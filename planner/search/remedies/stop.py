"""A landing for fuel on the way: where it may lie, and how much fuel each part then needs and may have."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from planner.flight.envelope import NOISE
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.moments import round_up
from planner.quantities.units import Quantity
from planner.records.document import Location
from planner.records.flight.checks import GROUND
from planner.records.flight.record import Phase
from planner.search.legs import arrival_fuel, filled_alike
from planner.search.solve import Interval
from planner.search.solved import around
from planner.search.trying import begun_with, inside
from planner.search.varied import Case, tank_of, usable

MINUTE: Final = 60.0  # s
# Where between the earliest and the latest place the landing is looked at; the middle first, and it stays
# where others have no more room.
_PLACES: Final = (0.5, 0.3, 0.7, 0.1, 0.9)
_PRECISION: Final = 1e-4  # of the trip: finer than a minute of any trip below a week


def _width(window: Interval) -> float:
    """How much fuel [m3] lies between the ends of a window."""
    return window.high - window.low


@frozen
class Stop:
    """A fuel stop: after how much of the trip fuel [1] it may lie (`earliest` to `latest`) and lies
    (`chosen`), the same as time after take-off [s].

    `before` and `after` are the two parts as flights of their own, each with the least fuel that is enough;
    `windows` the usable fuel [m3] with which each is inside.
    """

    earliest: float
    latest: float
    chosen: float
    times: tuple[float, float, float]
    before: Case
    after: Case
    windows: tuple[Interval, Interval]

    @property
    def room(self) -> Interval:
        """The narrower of the two windows of usable fuel [m3]. Source: [common-practice]."""
        return min(self.windows, key=_width)

    @property
    def put_in(self) -> float:
        """Usable fuel [m3] to put in at the stop: the second part's start less what the first part leaves.
        Source: [common-practice].
        """
        return max(
            self.after.plan.fuel.aboard - sum(volume for volume, _ in arrival_fuel(self.before.plan)), 0.0
        )


def _scaled(phase: Phase, share: float) -> Phase:
    def part(quantity: Quantity | None) -> Quantity | None:
        if quantity is None:
            return None
        return Quantity(
            quantity.value * share,
            quantity.u * share,
            quantity.dimension,
            f"{share * 100:.4g} % of {quantity.text}",
        )

    return phase.model_copy(update={"time": part(phase.time), "fuel": part(phase.fuel)})


def _airborne(trip: tuple[Phase, ...]) -> tuple[tuple[Phase, ...], tuple[Phase, ...], tuple[Phase, ...]]:
    places = [index for index, phase in enumerate(trip) if phase.phase != GROUND]
    return trip[: places[0]], trip[places[0] : places[-1] + 1], trip[places[-1] + 1 :]


def split_trip(plan: Plan, share: float) -> tuple[tuple[Phase, ...], tuple[Phase, ...]]:
    """The trip before and after a landing at a share of its fuel: both taxi as the flight does, and the
    second climbs as the first did.

    No part names its tanks: which of them is in use at the cut is the pilot's to plan again.
    Parameters: `plan`; `share` of the trip fuel burnt before the landing [1]. Source: [common-practice].
    """
    before, air, after = _airborne(tuple(phase.model_copy(update={"tank": ()}) for phase in plan.flight.trip))
    fuels = [line.volume for line in plan.fuel.lines if line.kind == "trip"]
    left = share * sum(fuels)
    first: list[Phase] = []
    second = [phase for phase in air if phase.phase == "climb"][:1]
    for phase, fuel in zip(air, fuels, strict=True):
        part = min(max(left / fuel, 0.0), 1.0) if fuel else 1.0
        if part > 0:
            first.append(phase if part == 1 else _scaled(phase, part))
        if part < 1:
            second.append(phase if part == 0 else _scaled(phase, 1 - part))
        left -= fuel
    if len(second) > 1 and second[0] is second[1]:
        del second[0]
    return (*before, *first, *after), (*before, *second, *after)


def _fuelled(plan: Plan, volume: float) -> dict[Location, object]:
    """The tanks filled alike, each to the same share of what it holds."""
    room = sum(each.tank.usable_capacity for each in plan.fuel.tanks)
    return {
        tank_of(each.tank.name): usable(each.tank.usable_capacity * volume / room, each.u)
        for each in plan.fuel.tanks
    }


def least_fuelled(case: Case, changes: dict[Location, object], step: float) -> Case | None:
    """A flight, changed, with the least fuel, in `step` [m3], that is shown to be enough; None where the
    tanks do not hold it.
    """
    least = _least_fuel(case, changes, step)
    try:
        return case.with_(least) if least is not None else None
    except InputRefused:
        return None


def _least_fuel(case: Case, changes: dict[Location, object], step: float) -> dict[Location, object] | None:
    """The changes with the least fuel that is enough; None where the tanks do not hold it."""
    plan = case.plan
    room = sum(each.tank.usable_capacity for each in plan.fuel.tanks)
    try:
        probe = begun_with(case, {**changes, **_fuelled(plan, room)}).fuelling.plan
    except InputRefused:
        return None
    need = round_up(probe.required + probe.uncertainty + 1e-7, step)
    return {**changes, **_fuelled(plan, need)} if need <= room else None


def _part(case: Case, share: float, second: bool) -> dict[Location, object]:
    return {("trip",): list(split_trip(case.plan, share)[1 if second else 0])}


def _last_true(test: Callable[[float], bool], good: float, bad: float) -> float:
    """The edge of a property between a value that has it and one that has not, by halving."""
    while abs(bad - good) > _PRECISION:
        middle = (good + bad) / 2
        good, bad = (middle, bad) if test(middle) else (good, middle)
    return good


def fuel_stop(case: Case, step: float) -> Stop | str:
    """The stop that makes both parts inside, where the fuel of the two has the most room; or why there is
    none.

    Each part is judged with the least fuel that is enough for it: a later landing asks more of the first part
    and less of the second, so the possible places lie between the earliest one for the second and the latest
    one for the first.
    Parameters: `case`; `step` of the fuel [m3]. Source: every limit as in `planner.plan`; the splitting is
    [common-practice].
    """

    def fits(second: bool) -> Callable[[float], bool]:
        return lambda share: (
            (part := _least_fuel(case, _part(case, share, second), step)) is not None and inside(case, part)
        )

    first, second = fits(False), fits(True)
    if not first(_PRECISION):
        return "even the shortest first part is not inside with the fuel it needs"
    if not second(1 - _PRECISION):
        return "even the shortest second part is not inside with the fuel it needs"
    latest = 1 - _PRECISION if first(1 - _PRECISION) else _last_true(first, _PRECISION, 1.0)
    earliest = _PRECISION if second(_PRECISION) else _last_true(second, 1 - _PRECISION, 0.0)
    if earliest > latest:
        return (
            "one landing is not enough: what the first part may carry does not reach as far as the second"
            " needs"
        )
    best: Stop | None = None
    for place in _PLACES:
        chosen = earliest + (latest - earliest) * place
        before, after = (least_fuelled(case, _part(case, chosen, second), step) for second in (False, True))
        if before is None or after is None or not before.plan.verdict == after.plan.verdict == "inside":
            continue  # the tanks hold the fuel of one part only just, and rounding to a step went over it
        # The longer part has the narrower window as a rule, and no stop has more room than either.
        longer, shorter = (after, before) if place < 0.5 else (before, after)
        window = fuel_window(longer)
        if best is not None and _width(window) <= _width(best.room) + NOISE:
            continue
        other = fuel_window(shorter)
        stop = Stop(
            earliest=earliest,
            latest=latest,
            chosen=chosen,
            times=(_time(case.plan, earliest), _time(case.plan, latest), _time(case.plan, chosen)),
            before=before,
            after=after,
            windows=(window, other) if longer is before else (other, window),
        )
        if best is None or _width(stop.room) > _width(best.room) + NOISE:
            best = stop
    return best if best is not None else "no place for the landing has both parts inside"


def fuel_window(case: Case) -> Interval:
    """Usable fuel [m3] around what the case has, with which it is inside, tanks filled alike. Source:
    `planner.search.solve`.
    """
    aboard = case.plan.fuel.aboard
    found = around(case, filled_alike(case.plan), 0.0) or Interval(0.0, 0.0)
    return Interval(aboard + found.low, aboard + found.high)


def _time(plan: Plan, share: float) -> float:
    """Time after take-off [s] when a share of the trip fuel is burnt; NaN where a phase has no known time."""
    lines = [line for line in plan.fuel.lines if line.kind == "trip"]
    left, time = share * sum(line.volume for line in lines), 0.0
    for line in lines:
        if left <= 0:
            break
        part = min(left / line.volume, 1.0) if line.volume else 1.0
        if not isinstance(line.time, float):
            return float("nan")
        time += part * line.time
        left -= line.volume
    return time
