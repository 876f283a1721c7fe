"""Ranges typed for a sweep, and every combination of their values in blocks."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.plan.results import Plan
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.files import refused
from planner.quantities.frozen import frozen
from planner.quantities.units import needed_words, read_quantity
from planner.sweep.targets import Target, conflicts, find_target

MOST_RANGES: Final = 4
MOST_STEPS: Final = 10_000
MOST_LOADINGS: Final = 100_000_000
_NEEDED: Final = "needed 'NAME=from..to UNIT', such as 'front seats=50..220 kg'"


@frozen
class Axis:
    """A quantity that runs from `low` to `high`, both in the unit of `target`, in `steps` values with both
    ends.
    """

    target: Target
    low: float
    high: float
    steps: int

    def values(self) -> NDArray[np.float64]:
        """Its values in its own unit, to nine digits: what is written is what was computed, and can be typed
        in again.
        """
        return np.array(
            [float(f"{value:.9g}") for value in np.linspace(self.low, self.high, self.steps).tolist()]
        )


def read_range(plan: Plan, text: str, steps: int) -> Axis:
    """One `--vary`. Raises InputRefused: sweep-range, sweep-unknown, sweep-seats, sweep-overfilled and what a
    quantity refuses.
    """
    parts = re.fullmatch(r"\s*(.+?)\s*=\s*(.+?)\s*\.\.\s*(.+?)\s*", text)
    if parts is None:
        raise refused("--vary", "sweep-range", f"'{text}' is not a range", _NEEDED)
    try:
        return _read(plan, text, parts[1], parts[2], parts[3], steps)
    except InputRefused as error:
        raise InputRefused([finding.at("--vary", 1, 1, text) for finding in error.findings]) from None


def _read(plan: Plan, text: str, name: str, first: str, last: str, steps: int) -> Axis:
    if "+/-" in text or "±" in text:
        message, needed = "a figure that is varied counts as exact", "needed a range without +/-"
        raise refused("", "sweep-range", message, needed, "write the two ends alone")
    high = read_quantity(last, "mass", "volume")
    unit = last.split(maxsplit=1)[1] if " " in last else re.sub(r"^[-+.\deE]+", "", last)
    low = read_quantity(first if re.search(r"[^\d.eE+\-\s]", first) else f"{first} {unit}", "mass", "volume")
    target = find_target(plan.flight, plan.aircraft, name, unit)
    if low.dimension != high.dimension:
        message = f"'{text}' runs from a {low.dimension} to a {high.dimension}"
        raise refused("", "quantity-wrong-dimension", message, needed_words(("mass",)))
    if low.value < 0 or low.value >= high.value:
        message = f"the range runs from {low.text} to {high.text}"
        raise refused("", "sweep-range", message, "needed a range that rises, from zero or more")
    factor = target.unit.factor
    axis = Axis(target, low.value / factor, high.value / factor, steps)
    room = room_for(plan, target)
    if axis.high > room * (1 + 1e-9):
        message = (
            f"{high.text} does not fit: {'the tanks hold' if target.kind == 'fuel' else 'it holds'}"
            f" {room:.6g} {target.unit.name} of usable fuel"
        )
        hint = "check litres, gallons, usable or total"
        raise refused("", "sweep-overfilled", message, "needed a range that fits", hint)
    return axis


def room_for(plan: Plan, target: Target) -> float:
    """The most usable fuel a target can hold, in its own unit; infinite for a station. Source: the profile's
    capacities less unusable fuel.
    """
    if target.station:
        return math.inf
    room = sum(
        each.tank.usable_capacity
        for each in plan.fuel.tanks
        if target.kind == "fuel" or each.tank.name == target.tank
    )
    return room / target.factor(plan.density.density)


def read_ranges(plan: Plan, texts: Sequence[str], steps: Sequence[int]) -> tuple[Axis, ...]:
    """Every `--vary`, with one number of steps for all or one for each. Raises InputRefused with every
    finding.
    """
    wrong: list[Finding] = []
    axes: list[Axis] = []

    def refuse(option: str, code: str, message: str, needed: str, hint: str = "") -> None:
        wrong.append(Finding(code, message, needed, hint).at(option, 1, 1))

    if not 1 <= len(texts) <= MOST_RANGES:
        refuse("--vary", "sweep-too-large", f"{len(texts)} ranges", f"needed one to {MOST_RANGES} --vary")
    if len(steps) not in (1, len(texts)) or not all(2 <= each <= MOST_STEPS for each in steps):
        shown = ",".join(map(str, steps))
        needed = f"needed one number from 2 to {MOST_STEPS}, or one for each --vary such as 20,30"
        refuse("--steps", "sweep-steps", f"'{shown}' does not fit {len(texts)} ranges", needed)
        steps = [2]
    for index, text in enumerate(texts):
        try:
            axes.append(read_range(plan, text, steps[index % len(steps)]))
        except InputRefused as error:
            wrong += error.findings
    for name in conflicts([axis.target for axis in axes]):
        message = f"'{name}' is set by another --vary too"
        refuse("--vary", "sweep-twice", message, "needed each quantity once")
    count = math.prod(axis.steps for axis in axes)
    if count > MOST_LOADINGS:
        most = f"needed not more than {MOST_LOADINGS:,}"
        refuse("--steps", "sweep-too-large", f"{count:,} loadings", most, "use fewer steps")
    if wrong:
        raise InputRefused(wrong)
    return tuple(axes)
