"""Two changes at once, brought as near as they may come to what was planned."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.moments import round_down, round_up
from planner.search.remedies.figures import Key, Rounding, Try, key_of, made, step_of, tries, with_room
from planner.search.remedies.steps import Remedy
from planner.search.solve import Interval
from planner.search.solved import around
from planner.search.trying import inside
from planner.search.varied import Case


@frozen
class _Two:
    """Two figures of a flight: the first as an attempt on it, the second by its key on what the first leaves,
    at `value`.
    """

    case: Case
    first: Try
    second: Key
    value: float
    steps: Rounding

    def at(self, value: float) -> tuple[Case, Try] | None:
        """The flight with the first figure at a value, and the attempt at the second there; None where there
        is none.
        """
        try:
            case = self.case.at(self.first.variable, value)
        except InputRefused:
            return None
        attempt = next((each for each in tries(case.plan, self.steps) if key_of(each) == self.second), None)
        return (case, attempt) if attempt is not None else None

    def inside(self, value: float) -> bool:
        """Whether the first figure at a value and the second as it is are inside together."""
        found = self.at(value)
        if found is None or not found[1].variable.low <= self.value <= found[1].variable.high:
            return False
        case, second = found
        return inside(case, second.variable.write(case.plan.flight, self.value))

    def edge(self, good: float, end: float) -> float:
        """How far the first figure may go from one that does towards an end of its range."""
        here = good
        for node in range(1, _NODES + 1):
            there = good + (end - good) * node / _NODES
            if not self.inside(there):
                for _ in range(_HALVINGS):
                    middle = (here + there) / 2
                    here, there = (middle, there) if self.inside(middle) else (here, middle)
                return here
            here = there
        return end


def closer(case: Case, pair: Remedy, first: Try, steps: Rounding) -> Remedy | None:
    """A pair of figures with the first made as small as leaves the second its room, and the room of both;
    None where the second alone does it.
    """
    one, other = pair.steps
    two = _Two(case=case, first=first, second=key_of(other), value=other.value, steps=steps)
    variable = first.variable
    window = Interval(two.edge(one.value, variable.low), two.edge(one.value, variable.high))
    near = window.high if first.downwards else window.low
    given = with_room(one, first, window)
    if abs(near - variable.now) < _NOTHING * max(abs(one.value), 1e-3):
        return None
    for part in (0.0, 0.25, 0.5, 0.75):
        value = (round_down if first.downwards else round_up)(near + (one.value - near) * part, first.step)
        if (
            not (window.low <= value <= window.high and abs(value - variable.now) > first.step / 2)
            or (found := two.at(value)) is None
        ):
            continue
        left, attempt = found
        room = around(left, attempt.variable, other.value)
        if room is None:
            continue
        edge = room.high if attempt.downwards else room.low
        second = made(left, attempt, other.value, edge, room)
        if second is None:
            continue
        step = with_room(step_of(case.plan, first, value, near), first, window)
        # All of a thing has room where some of it has not: there the figure stays as it was given.
        if pair.narrow or not (second.narrow or (step.narrow and not given.narrow)):
            return Remedy((step, *second.steps), second.case)
    return replace(pair, steps=(given, other))


# between a figure that does and the end of its range, where the edge of what does is looked for
_NODES: Final = 8


_HALVINGS: Final = 30


_NOTHING: Final = 1e-6  # of a figure; a change that may be smaller than this is none
