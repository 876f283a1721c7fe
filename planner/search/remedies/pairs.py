"""Two changes together: what is tried, in what steps, and the least of every pair of kinds that is found.

A change that is no figure (seats, category, a person fewer, a better measurement) is made and every other
change tried on what it leaves; a figure is then solved for exactly. Of two figures the one is set to parts of
its range, either way round, and the other solved for exactly; what was found is then closed in on in the
first figure too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import chain
from typing import Final, TypeAlias

from planner.plan.results import Plan
from planner.quantities.effects import seat_label
from planner.quantities.frozen import frozen
from planner.quantities.moments import round_down, round_up
from planner.records.flight.record import Flight
from planner.search.remedies.closer import closer
from planner.search.remedies.figures import Key, Rounding, Try, key_of, smallest, step_of, tries
from planner.search.remedies.places import better_measured, discrete, landing, planned
from planner.search.remedies.steps import ORDER, Kind, Remedy, Step, rank
from planner.search.varied import Case

PARTS: Final = 4  # of its range that the first of two figures is set to, besides the fuel required
_CLOSED: Final = 8  # pairs of figures of the same two kinds whose room is looked at
Told: TypeAlias = Callable[[int, int], None]


@frozen
class Sought:
    """What was tried two at a time: `plain` changes that are no figure, `figures`, the `parts` of a range,
    and `landing` for fuel besides.
    """

    plain: int
    figures: int
    parts: int
    landing: bool


@dataclass(slots=True)
class _Best:
    """The pairs of every two kinds, each with the figure it was found by, if both are figures: the room of
    that one is not known yet.
    """

    found: dict[tuple[Kind, ...], list[tuple[Remedy, Try | None]]] = field(default_factory=dict)

    def offer(self, pair: Remedy, first: Try | None = None) -> None:
        kinds: tuple[Kind, ...] = tuple(sorted((step.kind for step in pair.steps), key=ORDER.index))
        self.found.setdefault(kinds, []).append((pair, first))

    def chosen(self, case: Case, steps: Rounding) -> Iterator[Remedy]:
        """The best of every two kinds; of two figures the first one of a few that has room to spare."""
        for pairs in self.found.values():
            closed: list[Remedy] = []
            for pair, first in sorted(pairs, key=lambda each: rank(each[0]))[:_CLOSED]:
                remedy = pair if first is None else closer(case, pair, first, steps)
                if remedy is not None:
                    closed.append(remedy)
                    if not remedy.narrow:
                        break
            if closed:
                yield min(closed, key=rank)


def pairs_of(case: Case, singles: list[Remedy], steps: Rounding, told: Told) -> tuple[list[Remedy], Sought]:
    """The best of every two kinds of change that together bring a flight inside, where neither does it alone
    with as little; and what was tried.

    Parameters: `case`, not inside; `singles` that do it alone; `steps` to which figures are rounded; `told`
    called with (done, of how many). Returns remedies, each planned again, and Sought. Source: every limit as
    in `planner.plan`.
    """
    enough = {key_of(remedy.steps[0]): remedy for remedy in singles if not remedy.narrow}
    plain = [each for each in _plain(case) if key_of(each.steps[0]) not in enough]
    attempts = [each for each in tries(case.plan, steps) if key_of(each) not in enough]
    with_landing = ("fuel stop", "", "") not in enough
    known = {_signature(remedy.plan.flight) for remedy in enough.values()}
    best = _Best()
    of = len(plain) + len(attempts)
    for number, first in enumerate(plain):
        told(number, of)
        _after_plain(first, enough, known, steps, best, with_landing)
    for number, attempt in enumerate(attempts, len(plain)):
        told(number, of)
        for value in _parts(case.plan, attempt):
            remedy = planned(
                case,
                step_of(case.plan, attempt, value, value),
                attempt.variable.write(case.plan.flight, value),
            )
            if remedy is None:
                continue
            for second in _figures(remedy, enough, steps):
                best.offer(second, attempt)
            if (
                with_landing
                and remedy.steps[0].whole
                and (landed := landing(remedy.case, steps.fuel)) is not None
            ):
                best.offer(remedy.then(landed))
    return list(best.chosen(case, steps)), Sought(len(plain), len(attempts), PARTS, with_landing)


def _plain(case: Case) -> Iterator[Remedy]:
    """Changes that are no figure; of the measurements every single one and all together."""
    measured = list(better_measured(case))
    ones = [remedy for remedy in measured if remedy.steps[0].things == 1]
    yield from chain(discrete(case), ones, measured[-1:] if len(measured) > len(ones) else ())


def _after_plain(
    first: Remedy,
    enough: dict[Key, Remedy],
    known: set[object],
    steps: Rounding,
    best: _Best,
    with_landing: bool,
) -> None:
    for second in discrete(first.case):
        if (
            second.plan.verdict != "inside"
            or key_of(second.steps[0]) in enough
            or _signature(second.plan.flight) in known
        ):
            continue
        best.offer(first.then(second))
    for pair in _figures(first, enough, steps):
        best.offer(pair)
    if with_landing and (landed := landing(first.case, steps.fuel)) is not None:
        best.offer(first.then(landed))


def _figures(first: Remedy, enough: dict[Key, Remedy], steps: Rounding) -> Iterator[Remedy]:
    """The first change with the smallest of every figure that then brings the flight inside."""
    done, plan = first.steps[0], first.plan
    put = _just_put(plan, done)
    for attempt in tries(plan, steps):
        if key_of(attempt) == key_of(done) or attempt.subject == put or _same_tanks(done, plan, attempt):
            continue
        second = smallest(first.case, attempt)
        if second is None:
            continue
        # A thing that was alone on its station is the first of two once another is put beside it.
        alone = enough.get(key_of(attempt)) or enough.get(
            (attempt.kind, _when_alone(plan, attempt.subject), attempt.to)
        )
        if alone is not None and alone.steps[0].amount <= second.steps[0].amount:
            continue  # the second alone does as well
        yield first.then(second)


def _when_alone(plan: Plan, subject: str) -> str:
    """What the first thing on a station would be called without those beside it."""
    load = plan.flight.load.items()
    return next((name for name, masses in load if seat_label(name, 0, len(masses)) == subject), subject)


def _just_put(plan: Plan, done: Step) -> str:
    """The name of what the first change put on a station, which the second does not take up again."""
    station = {"move": done.to, "ballast": done.subject}.get(done.kind)
    masses = plan.flight.load.get(station, ()) if station is not None else ()
    return seat_label(station, len(masses) - 1, len(masses)) if station is not None and masses else ""


def _same_tanks(done: Step, plan: Plan, attempt: Try) -> bool:
    """Whether both changes are about the fuel of one tank, where one figure says it all."""
    changed = {name for name, _ in done.tanks}
    return any(
        share and each.tank.name in changed
        for each, share in zip(plan.fuel.tanks, attempt.variable.volumes, strict=False)
    )


def _parts(plan: Plan, attempt: Try) -> list[float]:
    """Parts of a figure's range from the smallest change to the most, in whole steps, and fuel down or up to
    what is required.
    """
    variable = attempt.variable
    start, end = (variable.high, variable.low) if attempt.downwards else (variable.low, variable.high)
    values = [start + (end - start) * part / PARTS for part in range(1, PARTS + 1)]
    spare = plan.fuel.surplus - plan.fuel.uncertainty
    if attempt.kind == "fuel off" and spare > 0:
        values.append(-round_down(spare, attempt.step))
    if attempt.kind == "fuel on" and spare <= 0:
        values.append(round_up(1e-9 - spare, attempt.step))
    whole = [
        value if value == end else (round_down if attempt.downwards else round_up)(value, attempt.step)
        for value in values
    ]
    return [
        value
        for value in dict.fromkeys(whole)
        if variable.low <= value <= variable.high and abs(value - variable.now) > attempt.step / 2
    ]


def _signature(flight: Flight) -> object:
    """Category, load and fuel of a flight, alike for two flights that are the same on the ground."""
    load = []
    for name, masses in flight.load.items():
        values = [mass.value for mass in masses]
        while values and values[-1] == 0:
            values.pop()
        if values:
            load.append((name, tuple(values)))
    fuel = tuple(sorted((name, repr(content)) for name, content in flight.fuel.tanks.items()))
    return flight.category, tuple(sorted(load)), fuel
