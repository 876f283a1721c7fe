"""The answers of a sweep as numpy arrays: a structured one, which any library of tables takes, or a file."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.envelope import ORDER
from planner.flight.limits import STATES
from planner.plan import plan_flight
from planner.plan.results import Plan
from planner.quantities.files import write_new
from planner.quantities.units import SI_UNIT
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import Loaded
from planner.sweep.block import GROUPS, BlockResult
from planner.sweep.sweep_ranges import read_ranges
from planner.sweep.sweep_run import Kept, RangeSource, Summary, planned_again, run
from planner.sweep.sweeping import compile_sweep
from planner.sweep.targets import Target
from planner.views.sweep.sweep_csv import agreeing, groups_used, told_columns, too_many
from planner.views.words import cautions

_WIDEST: Final = max(map(len, ORDER))


class _Rows:
    """Takes blocks of answers into the array."""

    def __init__(self, total: int, inputs: Sequence[tuple[str, float]], groups: Sequence[int]) -> None:
        states: list[tuple[str, str, int]] = []
        for at, state in enumerate(STATES):
            states += [(f"{state} mass [kg]", "masses", at), (f"{state} CG [m]", "cgs", at)]
        units = {dimension: (unit, 1.0) for dimension, unit in SI_UNIT.items()}
        self.inputs, self.columns = inputs, told_columns(states, groups, units)
        names = [*(name for name, _ in inputs), "fuel aboard [m3]", *(name for name, *_ in self.columns)]
        kinds = [("verdict", f"U{_WIDEST}"), *((name, np.float64) for name in names)]
        self.array = np.empty(total, dtype=kinds)

    def add(self, first: int, loads: NDArray[np.float64], result: BlockResult) -> None:
        """Take in one block whose first loading has the index `first` [1]."""
        rows = self.array[first : first + len(loads)]
        rows["verdict"], rows["fuel aboard [m3]"] = np.array(ORDER)[result.verdict], result.fuel
        for at, (name, factor) in enumerate(self.inputs):
            rows[name] = loads[:, at] / factor
        for name, kind, at, _ in self.columns:
            rows[name] = getattr(result, kind)[at]


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
        raise too_many(count, most, "--steps", "use fewer steps")
    source = RangeSource(plan, axes)
    model = compile_sweep(plan, source.targets)
    factors = [axis.target.factor(plan.density.density) for axis in axes]
    inputs = list(zip(source.header, factors, strict=True))
    rows, summary = _Rows(count, inputs, groups_used(model)), Summary(len(axes))
    run(model, source, [rows, summary], lambda done: None)  # noqa: ARG005 - nobody waits for a progress bar here
    agreeing(planned_again(flight, aircraft, plan, source.targets, summary), flight.document.path)
    return rows.array


def write_npz(path: Path, kept: Kept, targets: Sequence[Target], plan: Plan) -> None:
    """Write every loading and answer.

    Arrays: `names` (k,) and `loads` (n, k) in kg or m3; `verdict` (n,), 0 inside, 1 not shown inside, 2
    outside; per group of limits, named in
    `groups`: `verdicts`, `margins` (infinite where there is no such limit) and `uncertainties` (7, n) in kg,
    m or m3; per state, named in `states`:
    `masses` [kg] and `cgs` [m], (4, n); `cautions`. Raises InputRefused where the file exists or can not be
    written.
    """
    buffer = io.BytesIO()
    np.savez(
        buffer,
        names=np.array([target.name for target in targets]),
        loads=kept.loads,
        verdict=kept.verdict,
        groups=np.array(GROUPS),
        verdicts=kept.verdicts,
        margins=kept.margins,
        uncertainties=kept.uncertainties,
        states=np.array(STATES),
        masses=kept.masses,
        cgs=kept.cgs,
        cautions=np.array(cautions(plan)),
    )
    write_new(path, buffer.getvalue())
