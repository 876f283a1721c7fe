"""The answers of a sweep as one numpy structured array: what any library of tables takes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.plan import plan_flight
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.units import SI_UNIT
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import Loaded
from planner.sweep.block import GROUP_DIMENSION, GROUPS, BlockResult
from planner.sweep.sweep_ranges import read_ranges
from planner.sweep.sweep_run import AGREED, RangeSource, Summary, planned_again, run
from planner.sweep.sweeping import compile_sweep
from planner.views.sweep.sweep_csv import VERDICTS, groups_used

_STATES: Final = ("ramp", "takeoff", "landing", "zero fuel")
_WIDEST: Final = max(map(len, VERDICTS))


class _Rows:
    """Takes blocks of answers into the array."""

    def __init__(self, total: int, inputs: Sequence[tuple[str, float]], groups: Sequence[int]) -> None:
        self.inputs, self.groups = (
            inputs,
            [(at, GROUPS[at], SI_UNIT[GROUP_DIMENSION[GROUPS[at]]]) for at in groups],
        )
        figures = [name for name, _ in inputs] + ["fuel aboard [m3]"]
        figures += [f"{state} {what}" for state in _STATES for what in ("mass [kg]", "CG [m]")]
        for _, group, unit in self.groups:
            figures += (
                [f"{group} margin [{unit}]"]
                if group == "tank"
                else [f"{group} margin [{unit}]", f"{group} U [{unit}]"]
            )
        self.array = np.empty(
            total, dtype=[("verdict", f"U{_WIDEST}"), *((name, np.float64) for name in figures)]
        )

    def add(self, first: int, loads: NDArray[np.float64], result: BlockResult) -> None:
        """Take in one block whose first loading has the index `first` [1]."""
        rows = self.array[first : first + len(loads)]
        rows["verdict"] = np.array(VERDICTS)[result.verdict]
        for at, (name, factor) in enumerate(self.inputs):
            rows[name] = loads[:, at] / factor
        rows["fuel aboard [m3]"] = result.fuel
        for at, state in enumerate(_STATES):
            rows[f"{state} mass [kg]"], rows[f"{state} CG [m]"] = result.masses[at], result.cgs[at]
        for at, group, unit in self.groups:
            rows[f"{group} margin [{unit}]"] = result.margins[at]
            if group != "tank":
                rows[f"{group} U [{unit}]"] = result.uncertainties[at]


def swept(
    flight: Loaded[Flight], aircraft: Loaded[Aircraft], ranges: Sequence[str], steps: Sequence[int], most: int
) -> NDArray[np.void]:
    """Every combination of some ranges judged; those with the least margins are planned again as a check.

    Parameters: both records; `ranges` and `steps` as `read_ranges` takes them; `most` loadings [1].
    Fields: `verdict` in words; each range in its own unit, as `front seats [kg]`; `fuel aboard [m3]`;
    mass [kg] and CG [m] of every state; per group of limits the least margin and its U (k = 2) [kg, m or m3],
    infinite where none applies. The last range runs fastest.
    Raises InputRefused: what `read_ranges` refuses, sweep-too-large, sweep-disagrees.
    """
    plan = plan_flight(flight, aircraft)
    axes = read_ranges(plan, ranges, steps)
    count = math.prod(axis.steps for axis in axes)
    if count > most:
        message = f"{count:,} loadings as arrays in memory"
        raise InputRefused(
            [
                Finding("sweep-too-large", message, f"needed not more than {most:,}", "use fewer steps").at(
                    "--steps", 1, 1
                )
            ]
        )
    source = RangeSource(plan, axes)
    model = compile_sweep(plan, source.targets)
    inputs = [
        (name, axis.target.factor(plan.density.density))
        for name, axis in zip(source.header, axes, strict=True)
    ]
    rows, summary = _Rows(count, inputs, groups_used(model)), Summary(len(axes))
    run(model, source, [rows, summary], lambda done: None)  # noqa: ARG005 - nobody waits for a progress bar here
    off = planned_again(flight, aircraft, plan, source.targets, summary)[1]
    if off > AGREED:
        message = f"a margin differs by {off:.2g} from the plan of that loading"
        finding = Finding(
            "sweep-disagrees", message, "plan it on its own", "report this as a fault of the program"
        )
        raise InputRefused([finding.at(flight.document.path, 1, 1)])
    return rows.array
