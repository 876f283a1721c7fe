"""What a sweep keeps of its blocks: counts, least margins, the span of what was inside, cells, every answer."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

import numpy as np
import pytest

from planner.plan import plan_flight
from planner.records.store import load_flight_file
from planner.sweep.block import GROUPS, INSIDE, NOT_SHOWN, OUTSIDE, BlockResult, Sweeper
from planner.sweep.sweep_ranges import Axis, read_ranges
from planner.sweep.sweep_run import Grid, Kept, LeastMargin, RangeSource, Summary, planned_again, run
from planner.sweep.sweeping import compile_sweep
from planner.sweep.targets import find_target
from tests.oracle.plain import edges, plain

AFT, MASS, FUEL = (GROUPS.index(group) for group in ("aft", "mass", "fuel"))


def answers(verdict: list[int], aft: list[float], mass: list[float], u: float = 0.0) -> BlockResult:
    """A block of which only two groups have a limit: `verdict` is that of the aft limit, all are inside the mass."""
    rows = len(verdict)
    verdicts = np.zeros((len(GROUPS), rows), dtype=np.int8)
    verdicts[AFT] = verdict
    margins, us = np.full((len(GROUPS), rows), np.inf), np.zeros((len(GROUPS), rows))
    margins[AFT], margins[MASS] = aft, mass
    us[AFT] = u + np.arange(rows)
    masses = np.arange(4.0 * rows).reshape(4, rows) + u
    return BlockResult(verdicts.max(axis=0), verdicts, margins, us, masses, masses + 0.5, np.zeros(rows))


FIRST = answers([INSIDE, NOT_SHOWN, OUTSIDE], [0.3, 0.2, -0.1], [9.0, 7.0, 7.0], 10.0)
SECOND = answers([OUTSIDE, INSIDE, OUTSIDE], [-0.1, 0.4, -0.05], [8.0, 6.0, 7.0], 20.0)
LOADS = np.array([[1.0, 50.0], [2.0, 40.0], [3.0, 30.0], [4.0, 20.0], [5.0, 10.0], [6.0, 60.0]])
BLOCKS = ((0, LOADS[:3], FIRST), (3, LOADS[3:], SECOND))


def test_a_summary_counts_and_remembers_the_first_of_the_least() -> None:
    summary = Summary(2)
    for block in BLOCKS:
        summary.add(*block)
    assert summary.count == 6
    assert summary.by_verdict.tolist() == [2, 1, 3]
    assert summary.outside_by.tolist() == [3 if at == AFT else 0 for at in range(len(GROUPS))]
    assert summary.doubtful_by.tolist() == [1 if at == AFT else 0 for at in range(len(GROUPS))]
    assert summary.least == {
        "aft": LeastMargin("aft", -0.1, 12.0, 2, (3.0, 30.0)),  # of two alike the first
        "mass": LeastMargin("mass", 6.0, 0.0, 4, (5.0, 10.0)),
    }
    assert summary.inside_low.tolist() == [1.0, 10.0]
    assert summary.inside_high.tolist() == [5.0, 50.0]


def test_where_nothing_was_inside_there_is_no_span() -> None:
    summary = Summary(2)
    summary.add(0, LOADS[:2], answers([OUTSIDE, NOT_SHOWN], [-1.0, 0.1], [1.0, 1.0]))
    assert summary.inside_low.tolist() == [np.inf, np.inf]
    assert summary.inside_high.tolist() == [-np.inf, -np.inf]


def test_margins_alike_but_for_rounding_are_those_of_the_first_loading() -> None:
    """Within a block and of two blocks: 1e-14 is what sums of a few figures are off."""
    summary = Summary(2)
    summary.add(0, LOADS[:2], answers([0, 0], [0.2, 0.2 - 1e-14], [5.0, 4.0]))
    summary.add(2, LOADS[2:4], answers([0, 0], [0.2 - 1e-14, 0.3], [4.0 - 1e-6, 9.0]))
    assert (summary.least["aft"].index, summary.least["mass"].index) == (0, 2)


def test_a_cell_holds_the_worst_of_all_further_ranges() -> None:
    """Two by one cell, three values of the further range behind each; and of one range a cell each."""
    axes = [cast(Axis, cast(Any, _Steps)(steps)) for steps in (2, 1, 3)]
    grid = Grid(axes)
    for block in BLOCKS:
        grid.add(*block)
    assert [axis.steps for axis in grid.axes] == [2, 1]
    assert [axis.steps for axis in grid.others] == [3]
    assert grid.verdict.tolist() == [OUTSIDE, OUTSIDE]
    assert grid.margins[AFT].tolist() == [-0.1, -0.1]
    assert grid.margins[MASS].tolist() == [7.0, 6.0]
    assert grid.margins[FUEL].tolist() == [np.inf, np.inf]
    assert grid.outside[AFT].tolist() == [True, True]
    assert not grid.outside[MASS].any()
    alone = Grid([cast(Axis, cast(Any, _Steps)(6))])
    for block in BLOCKS:
        alone.add(*block)
    assert alone.verdict.tolist() == [0, 1, 2, 2, 0, 2]
    assert alone.outside[AFT].tolist() == [False, False, True, True, False, True]
    assert alone.margins[MASS].tolist() == [9.0, 7.0, 7.0, 8.0, 6.0, 7.0]


class _Steps:
    """Of a range only how many values it has."""

    def __init__(self, steps: int) -> None:
        self.steps = steps


def test_every_answer_is_kept_in_its_place() -> None:
    kept = Kept(6, 2)
    for block in BLOCKS:
        kept.add(*block)
    assert kept.loads.tolist() == LOADS.tolist()
    assert kept.verdict.tolist() == [0, 1, 2, 2, 0, 2]
    for name in ("verdicts", "margins", "uncertainties", "masses", "cgs"):
        both = np.concatenate([getattr(FIRST, name), getattr(SECOND, name)], axis=1)
        assert np.array_equal(getattr(kept, name), both), name


def test_a_margin_that_is_not_that_of_the_plan_is_told_by_how_much(tmp_path: Path) -> None:
    """A tank of 200 L and 700 kg of wide limits; what the sweep keeps agrees, and 0.25 more or less does not."""
    flight, aircraft = load_flight_file(plain(envelopes=edges("1.9 m", "2.2 m")).write(tmp_path))
    plan = plan_flight(flight, aircraft)
    axes = read_ranges(plan, ["front seats=50..90 kg", "fuel=60..100 L"], [3])
    source, summary, heard = RangeSource(plan, axes), Summary(2), list[int]()
    run(compile_sweep(plan, source.targets), source, [summary], heard.append)
    assert heard == [summary.count] == [source.total] == [9]
    count, worst = planned_again(flight, aircraft, plan, source.targets, summary)
    assert count == len(summary.least) > 2
    assert worst < 1e-9
    for off in (0.25, -0.25):
        for group, least in summary.least.items():
            told = Summary(2)
            told.least = summary.least | {
                group: LeastMargin(group, least.margin + off, 0.0, least.index, least.loads)
            }
            assert planned_again(flight, aircraft, plan, source.targets, told) == (
                count,
                pytest.approx(0.25, abs=1e-9),
            )


def test_a_loading_of_which_no_plan_is_made_is_outside_and_not_counted(tmp_path: Path) -> None:
    """20 L of the left tank by name, with 10 L in it: that flight is refused, the sweep says 10 L are missing."""
    tank = {"capacity": "60 L", "unusable": "0 L", "arm": "2.20 m"}
    case = plain(
        tanks={"left": tank, "right": tank},
        fuel={
            "grade": "avgas-100LL",
            "density": {"fixed": "0.7 kg/L"},
            "tanks": {"left": "40 L", "right": "50 L"},
        },
        trip=[{"phase": "cruise", "fuel": "20 L", "tank": "left"}],
    )
    flight, aircraft = load_flight_file(case.write(tmp_path))
    plan = plan_flight(flight, aircraft)
    targets = [find_target(plan.flight, plan.aircraft, "fuel left", "L")]
    loads = np.array([[0.010], [0.020], [0.030]])
    found = Sweeper(compile_sweep(plan, targets)).judge(loads)
    at = GROUPS.index("tank")
    assert found.margins[at].tolist() == [pytest.approx(-0.010), np.inf, np.inf]
    assert found.verdicts[at].tolist() == [OUTSIDE, INSIDE, INSIDE]
    summary = Summary(1)
    summary.add(0, loads, found)
    least = summary.least["tank"]
    assert (least.index, least.loads) == (0, (0.010,))
    refused = {group for group, each in summary.least.items() if each.index == 0}
    count, worst = planned_again(flight, aircraft, plan, targets, summary)
    assert count == len(summary.least) - len(refused)
    assert worst < 1e-9
