"""A sweep from end to end: its loadings in blocks, what is kept of the answers, and single loadings planned
again as a check.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Final, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.flight.envelope import NOISE
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import Loaded
from planner.sweep.block import GROUPS, NOT_SHOWN, OUTSIDE, BlockResult, Group, Sweeper, SweepModel
from planner.sweep.sweep_ranges import Axis
from planner.sweep.sweep_table import LoadingTable, TableBlock, blocks
from planner.sweep.sweeping import compile_sweep, plan_of_row
from planner.sweep.targets import Target

CG_GROUPS: Final = tuple(GROUPS.index(group) for group in ("forward", "aft", "lateral"))
AGREED: Final = (
    1e-9  # a margin planned again may differ by this much in kg, m or m3: rounding of a few dozen sums
)


class RangeSource:
    """Every combination of some ranges, the last running fastest: what they set, their header as CSV, how
    many there are.
    """

    def __init__(self, plan: Plan, axes: Sequence[Axis]) -> None:
        self.plan, self.axes = plan, tuple(axes)
        self.targets = tuple(axis.target for axis in axes)
        self.header = tuple(f"{target.name} [{target.unit.name}]" for target in self.targets)
        self.total = math.prod(axis.steps for axis in axes)

    def blocks(self, rows: int, skip: int = 0, with_cells: bool = False) -> Iterator[TableBlock]:
        """Blocks of `rows` loadings from `skip` on; the cells as text only where asked for."""
        shape = tuple(axis.steps for axis in self.axes)
        factors = [target.factor(self.plan.density.density) for target in self.targets]
        values = [axis.values() * factor for axis, factor in zip(self.axes, factors, strict=True)]
        for first in range(skip, self.total, rows):
            index = np.unravel_index(np.arange(first, min(first + rows, self.total)), shape)
            loads = np.stack([each[at] for each, at in zip(values, index, strict=True)], axis=1)
            given = (loads / factors).tolist() if with_cells else []
            yield TableBlock(first, [[f"{value:.9g}" for value in row] for row in given], loads)


class TableSource:
    """The rows of a table; `total` is what checking it has counted."""

    def __init__(self, plan: Plan, table: LoadingTable, total: int) -> None:
        self.plan, self.table, self.total = plan, table, total
        self.targets = table.targets
        self.header = tuple(cell.strip() for cell in table.header)

    def blocks(self, rows: int, skip: int = 0, with_cells: bool = False) -> Iterator[TableBlock]:  # noqa: ARG002 - a table has its cells anyway
        """As `RangeSource.blocks`."""
        yield from blocks(self.plan, self.table, rows, skip)


LoadingSource: TypeAlias = RangeSource | TableSource


@frozen
class LeastMargin:
    """The least margin of a group [kg, m or m3] with its U, the loading it belongs to (index and sweep's kg
    and m3).
    """

    group: Group
    margin: float
    uncertainty: float
    index: int
    loads: tuple[float, ...]


class Summary:
    """Counts, least margins and the span of what was inside, gathered block by block."""

    def __init__(self, columns: int) -> None:
        self.count = 0
        self.by_verdict = np.zeros(3, dtype=np.int64)
        self.outside_by = np.zeros(len(GROUPS), dtype=np.int64)
        self.doubtful_by = np.zeros(len(GROUPS), dtype=np.int64)
        self.least: dict[Group, LeastMargin] = {}
        self.inside_low = np.full(columns, np.inf)
        self.inside_high = np.full(columns, -np.inf)

    def add(self, first: int, loads: NDArray[np.float64], result: BlockResult) -> None:
        """Take in one block whose first loading has the index `first` [1]."""
        self.count += len(loads)
        self.by_verdict += np.bincount(result.verdict, minlength=3)
        self.outside_by += np.count_nonzero(result.verdicts == OUTSIDE, axis=1)
        self.doubtful_by += np.count_nonzero(result.verdicts == NOT_SHOWN, axis=1)
        for group, margins, u in zip(GROUPS, result.margins, result.uncertainties, strict=True):
            at = int((margins <= margins.min() + NOISE).argmax())  # of those that have it the first
            if np.isfinite(margins[at]) and (
                group not in self.least or margins[at] < self.least[group].margin - NOISE
            ):
                self.least[group] = LeastMargin(
                    group=group,
                    margin=float(margins[at]),
                    uncertainty=float(u[at]),
                    index=first + at,
                    loads=tuple(map(float, loads[at])),
                )
        inside = loads[result.verdict == 0]
        if len(inside):
            np.minimum(self.inside_low, inside.min(axis=0), out=self.inside_low)
            np.maximum(self.inside_high, inside.max(axis=0), out=self.inside_high)


class Grid:
    """The first one or two ranges as cells; a cell holds the worst over all the others. Flat arrays, the
    second range running fastest.
    """

    def __init__(self, axes: Sequence[Axis]) -> None:
        self.axes = tuple(axes[:2])
        self.others = tuple(axes[2:])
        cells = math.prod(axis.steps for axis in self.axes)
        self._each = math.prod(axis.steps for axis in self.others)
        self.verdict = np.zeros(cells, dtype=np.int8)
        self.outside = np.zeros((len(GROUPS), cells), dtype=np.bool_)
        self.margins = np.full((len(GROUPS), cells), np.inf)

    def add(self, first: int, loads: NDArray[np.float64], result: BlockResult) -> None:
        """As `Summary.add`."""
        cell = np.arange(first, first + len(loads)) // self._each
        np.maximum.at(self.verdict, cell, result.verdict)
        for at in range(len(GROUPS)):
            np.logical_or.at(self.outside[at], cell, result.verdicts[at] == OUTSIDE)
            np.minimum.at(self.margins[at], cell, result.margins[at])


class Kept:
    """Every answer of a sweep, for a file of arrays: memory grows with the number of loadings."""

    def __init__(self, total: int, columns: int) -> None:
        self.loads = np.empty((total, columns))
        self.verdict = np.empty(total, dtype=np.int8)
        self.verdicts = np.empty((len(GROUPS), total), dtype=np.int8)
        self.margins, self.uncertainties = np.empty((2, len(GROUPS), total))
        self.masses, self.cgs = np.empty((2, 4, total))

    def add(self, first: int, loads: NDArray[np.float64], result: BlockResult) -> None:
        """As `Summary.add`."""
        here = slice(first, first + len(loads))
        self.loads[here], self.verdict[here] = loads, result.verdict
        for name in ("verdicts", "margins", "uncertainties", "masses", "cgs"):
            getattr(self, name)[:, here] = getattr(result, name)


class Taker(Protocol):
    """What takes in blocks."""

    def add(self, first: int, loads: NDArray[np.float64], result: BlockResult) -> None:
        """Take in one block."""
        ...


def run(
    model: SweepModel, source: LoadingSource, takers: Sequence[Taker], report: Callable[[int], None]
) -> Sweeper:
    """Judge every loading of `source` and hand each block to the takers; `report` hears how many are done
    [1].
    """
    sweeper = Sweeper(model)
    for block in source.blocks(sweeper.rows):
        result = sweeper.judge(block.loads)
        for taker in takers:
            taker.add(block.first, block.loads, result)
        report(block.first + len(block.loads))
    return sweeper


def group_margins(plan: Plan) -> dict[Group, float]:
    """The least margin of every group of limits of one plan [kg, m or m3]. Source: the plan's own limits."""
    found: dict[Group, float] = {}
    for limit in plan.limits():
        found[limit.group] = min(found.get(limit.group, math.inf), limit.margin)
    return found


def planned_again(
    flight: Loaded[Flight],
    aircraft: Loaded[Aircraft],
    plan: Plan,
    targets: Sequence[Target],
    summary: Summary,
) -> tuple[int, float]:
    """Plan the loadings with the least margins one by one: how many [1], and the greatest difference of a
    least margin in kg, m or m3.
    """
    model = compile_sweep(plan, targets)
    count, worst = 0, 0.0
    for least in summary.least.values():
        try:
            again = group_margins(plan_of_row(flight, aircraft, model, targets, least.loads))
        except InputRefused:
            # a phase longer than the tank it names: no plan is made of that flight, and the sweep calls it
            # outside
            continue
        count += 1
        worst = max(worst, abs(again.get(least.group, math.inf) - least.margin))
    return count, worst
