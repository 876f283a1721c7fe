"""Ranges typed for a sweep, and every combination of their values in blocks."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.plan.results import Plan
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.units import needed_words, read_quantity
from planner.sweep.targets import Target, conflicts, find_target

MOST_RANGES: Final = 4
MOST_STEPS: Final = 10_000
MOST_LOADINGS: Final = 100_000_000
DEFAULT_STEPS: Final = 25
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


def _at(finding: Finding, text: str) -> Finding:
    return finding.at("--vary", 1, 1, text)


def read_range(plan: Plan, text: str, steps: int) -> Axis:
    """One `--vary`. Raises InputRefused: sweep-range, sweep-unknown, sweep-seats, sweep-overfilled and what a
    quantity refuses.
    """
    parts = re.fullmatch(r"\s*(.+?)\s*=\s*(.+?)\s*\.\.\s*(.+?)\s*", text)
    if parts is None:
        raise InputRefused([_at(Finding("sweep-range", f"'{text}' is not a range", _NEEDED), "")])
    if "+/-" in text or "±" in text:
        exact = Finding(
            "sweep-range",
            "a figure that is varied counts as exact",
            "needed a range without +/-",
            "write the two ends alone",
        )
        raise InputRefused([_at(exact, text)])
    name, first, last = parts[1], parts[2], parts[3]
    try:
        high = read_quantity(last, "mass", "volume")
        unit = last.split(maxsplit=1)[1] if " " in last else re.sub(r"^[-+.\deE]+", "", last)
        low = read_quantity(
            first if re.search(r"[^\d.eE+\-\s]", first) else f"{first} {unit}", "mass", "volume"
        )
        target = find_target(plan.flight, plan.aircraft, name, unit)
        if low.dimension != high.dimension:
            raise InputRefused(
                [
                    Finding(
                        "quantity-wrong-dimension",
                        f"'{text}' runs from a {low.dimension} to a {high.dimension}",
                        needed_words(("mass",)),
                    )
                ]
            )
    except InputRefused as refused:
        raise InputRefused([_at(finding, text) for finding in refused.findings]) from None
    if low.value < 0 or low.value >= high.value:
        message = f"the range runs from {low.text} to {high.text}"
        raise InputRefused(
            [_at(Finding("sweep-range", message, "needed a range that rises, from zero or more"), text)]
        )
    factor = target.unit.factor
    axis = Axis(target, low.value / factor, high.value / factor, steps)
    room = room_for(plan, target)
    if axis.high > room * (1 + 1e-9):
        message = (
            f"{high.text} does not fit: {'the tanks hold' if target.kind == 'fuel' else 'it holds'}"
            f" {room:.6g} {target.unit.name} of usable fuel"
        )
        raise InputRefused(
            [
                _at(
                    Finding(
                        "sweep-overfilled",
                        message,
                        "needed a range that fits",
                        "check litres, gallons, usable or total",
                    ),
                    text,
                )
            ]
        )
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
    if not 1 <= len(texts) <= MOST_RANGES:
        wrong.append(
            Finding("sweep-too-large", f"{len(texts)} ranges", f"needed one to {MOST_RANGES} --vary").at(
                "--vary", 1, 1
            )
        )
    if len(steps) not in (1, len(texts)) or not all(2 <= each <= MOST_STEPS for each in steps):
        shown = ",".join(map(str, steps))
        needed = f"needed one number from 2 to {MOST_STEPS}, or one for each --vary such as 20,30"
        wrong.append(
            Finding("sweep-steps", f"'{shown}' does not fit {len(texts)} ranges", needed).at("--steps", 1, 1)
        )
        steps = [2]
    for index, text in enumerate(texts):
        try:
            axes.append(read_range(plan, text, steps[index % len(steps)]))
        except InputRefused as refused:
            wrong += refused.findings
    for name in conflicts([axis.target for axis in axes]):
        wrong.append(
            Finding("sweep-twice", f"'{name}' is set by another --vary too", "needed each quantity once").at(
                "--vary", 1, 1
            )
        )
    count = math.prod(axis.steps for axis in axes)
    if count > MOST_LOADINGS:
        wrong.append(
            Finding(
                "sweep-too-large",
                f"{count:,} loadings",
                f"needed not more than {MOST_LOADINGS:,}",
                "use fewer steps",
            ).at("--steps", 1, 1)
        )
    if wrong:
        raise InputRefused(wrong)
    return tuple(axes)


def products(
    axes: Sequence[Axis], density: float, rows: int, start: int = 0
) -> Iterator[tuple[int, NDArray[np.float64]]]:
    """Every combination, the last range running fastest, in blocks of `rows` from the combination `start` on.

    Parameters: `axes`; `density` of the fuel [kg/m3]. Yields (index of the first row, loads in the sweep's kg
    and m3, shape (n, k)).
    """
    shape = tuple(axis.steps for axis in axes)
    values = [axis.values() * axis.target.factor(density) for axis in axes]
    for first in range(start, math.prod(shape), rows):
        index = np.unravel_index(np.arange(first, min(first + rows, math.prod(shape))), shape)
        yield first, np.stack([each[at] for each, at in zip(values, index, strict=True)], axis=1)
