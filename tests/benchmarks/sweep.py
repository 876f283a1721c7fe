"""Loadings per second, side by side in one process: `python tests/benchmarks/sweep.py [LOADINGS]`.

One thread, so that the figures compare: the thread counts below are set before numpy starts. To measure the
numpy that is installed and not a tuning of this machine, run it as

    env -u OPENBLAS_CORETYPE -u OPENBLAS_L2_SIZE PYTHONPATH=. python tests/benchmarks/sweep.py

A loading is eight masses on eight stations; out come mass, moment, CG, three margins, and inside or not.
"""

from __future__ import annotations

import os

os.environ.update(OMP_NUM_THREADS="1", OPENBLAS_NUM_THREADS="1", MKL_NUM_THREADS="1")

import resource
import sys
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely

from planner.flight.envelope import judge
from planner.flight.limits import of_envelope
from planner.plan import plan_flight
from planner.quantities.moments import Item, Total, total
from planner.quantities.polygon import Edge, Envelope
from planner.records.store import load_flight_file
from planner.sweep.block import Kernel, Sweeper
from planner.sweep.sweeping import compile_sweep, plan_of_row
from planner.sweep.targets import find_target

ROOT = Path(__file__).resolve().parents[2]
# An invented eight-station aircraft; the edges are those of the first demo aircraft.
ARMS = (2.165, 2.165, 3.005, 3.005, 3.63, 4.05, 2.41, 2.41)
FIXED = Total(688.4, 688.4 * 2.235)
ENVELOPE = Envelope(
    Edge(((600.0, 2.15), (820.0, 2.15), (1085.0, 2.27)), "linear in cg"),
    Edge(((600.0, 2.37), (1085.0, 2.37)), "linear in cg"),
)
TOP = 1085.0
KEPT = 6 * 8 + 1  # bytes of results: mass, moment, CG, mass margin, forward, aft; inside


def timed(action: Callable[[], object], times: int = 3) -> float:
    """Seconds of the fastest of some runs."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        action()
        best = min(best, time.perf_counter() - start)
    return best


def in_turns(*actions: Callable[[], object], times: int = 5) -> list[float]:
    """Seconds of the fastest run of each, taken in turns so that a busy moment of the machine meets all of
    them.
    """
    best = [float("inf")] * len(actions)
    for _ in range(times):
        best = [min(least, timed(action, 1)) for least, action in zip(best, actions, strict=True)]
    return best


def peak() -> float:
    """Most memory this process has held so far [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def scalar(loads: np.ndarray) -> int:
    """One loading after another through the engine of a single flight."""
    inside = 0
    items = [Item("all else", FIXED.mass, FIXED.moment / FIXED.mass)]
    for row in loads:
        sum_ = total([*items, *(Item("", mass, arm) for mass, arm in zip(row.tolist(), ARMS, strict=True))])
        limits = [judge(each, sum_, ()) for each in of_envelope(ENVELOPE, None, "takeoff")]
        inside += min(limit.margin for limit in limits[:2]) >= 0 and sum_.mass <= TOP
    return inside


def judged(kernel: Kernel, loads: np.ndarray) -> tuple[np.ndarray, ...]:
    """Mass, moment, CG, margins to the greatest mass and the edges, inside: of a block in one state."""
    mass, moment, _ = kernel.totals(loads)
    found = kernel.margins(mass, moment)
    room = TOP - mass
    inside = np.minimum(np.minimum(found.forward, found.aft), room) >= 0
    return mass, moment, found.cg, room, found.forward, found.aft, inside


def beside_a_copy(source: np.ndarray, action: Callable[[], object], times: int) -> list[float]:
    """Seconds of copying `source` and of `action`, in turns."""
    sink = np.zeros_like(source)
    return in_turns(lambda: np.copyto(sink, source), action, times=times)


def main(rows: int) -> None:
    print(
        f"python {sys.version.split()[0]}, numpy {np.__version__}, shapely {shapely.__version__}, one thread,"
        f" {rows:.0e} loadings of 8 stations"
    )
    generator = np.random.default_rng(20260314)
    loads = np.empty((rows, 8))
    for start in range(0, rows, 1 << 20):
        loads[start : start + (1 << 20)] = generator.random(loads[start : start + (1 << 20)].shape) * 90
    kernel = Kernel([1.0] * 8, ARMS, [0.0] * 8, FIXED, ENVELOPE)
    block = kernel.rows
    counted = [0]

    def in_blocks() -> None:
        counted[0] = 0
        for start in range(0, rows, block):
            counted[0] += np.count_nonzero(judged(kernel, loads[start : start + block])[-1])

    tracemalloc.start()
    kernel = Kernel([1.0] * 8, ARMS, [0.0] * 8, FIXED, ENVELOPE)
    in_blocks()
    grown = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    copy_in, ours = (seconds / rows for seconds in beside_a_copy(loads, in_blocks, 5))
    kept = [np.zeros(rows) for _ in range(6)]
    flags = np.zeros(rows, dtype=np.bool_)

    def keeping() -> None:
        for start in range(0, rows, block):
            found = judged(kernel, loads[start : start + block])
            for into, one in zip((*kept, flags), found, strict=True):
                into[start : start + len(one)] = one

    copy_both, ours_kept = (
        seconds / rows for seconds in beside_a_copy(np.zeros(rows * (64 + KEPT), dtype=np.uint8), keeping, 3)
    )
    few = loads[:20_000]
    one_by_one = timed(lambda: scalar(few)) / len(few)
    same = scalar(few) == sum(
        np.count_nonzero(judged(kernel, few[i : i + block])[-1]) for i in range(0, len(few), block)
    )
    outline = shapely.Polygon([(arm, mass) for arm, mass in ENVELOPE.outline() if mass <= TOP])
    shapely.prepare(outline)
    some = min(rows, 1_000_000)
    contained = timed(lambda: shapely.contains_xy(outline, kept[2][:some], kept[0][:some]), 1) / some

    print(f"{'what':58}{'ns per loading':>15}{'÷ copy':>9}")
    for what, seconds, against in (
        ("numpy copyto of the loadings (64 bytes)", copy_in, copy_in),
        ("sweep, one state, results used block by block", ours, copy_in),
        (f"numpy copyto of loadings and results ({64 + KEPT} bytes)", copy_both, copy_both),
        ("sweep, one state, every result kept", ours_kept, copy_both),
        (f"one by one through the engine (from {len(few)} loadings)", one_by_one, copy_in),
        (f"shapely contains_xy, CG and mass given (from {some:.0e})", contained, copy_in),
    ):
        print(f"{what:58}{seconds * 1e9:15.1f}{seconds / against:9.2f}")
    print(
        f"goal: not above 4.00. Inside: {counted[0] / rows:.1%}; the first {len(few)} agree with the engine:"
        f" {same}"
    )
    print(
        f"memory the sweep adds to its input at most: {grown:.1f} MB (blocks of {block} loadings); most this"
        f" process held: {peak():.0f} MB"
    )
    whole_flights()


def whole_flights() -> None:
    """Every limit of a whole flight: four states, the whole burn in closed form, uncertainties, fuel."""
    print(
        f"\n{'whole flight: states, burn, U, fuel, verdict':58}"
        f"{'ns per loading':>15}{'one by one':>12}{'faster':>8}"
    )
    for name, names in (
        ("night-circuit", ("seats", "baggage", "fuel")),
        ("demo", ("front seats", "baggage", "fuel")),
        ("twin-ifr", ("rear seats", "fuel")),
        ("turboprop", ("front seats", "fuel")),
    ):
        flight, aircraft = load_flight_file(ROOT / f"docs/flights/{name}.yaml")
        plan = plan_flight(flight, aircraft)
        targets = [
            find_target(plan.flight, plan.aircraft, each, "L" if each == "fuel" else "kg") for each in names
        ]
        model = compile_sweep(plan, targets)
        sweeper = Sweeper(model)
        room = sum(tank.usable_capacity for tank in model.tanks)
        tops = [room if column.kind == "fuel" else 40.0 for column in model.columns]
        loads = np.random.default_rng(1).random((sweeper.rows, len(names))) * tops
        loads[:, names.index("fuel")] = np.maximum(
            loads[:, names.index("fuel")], 0.4 * tops[names.index("fuel")]
        )
        few = loads[:50]
        ours, singly = in_turns(
            lambda: sweeper.judge(loads),
            lambda: [plan_of_row(flight, aircraft, model, targets, row) for row in few],
            times=8,
        )
        ours, singly = ours / len(loads), singly / len(few)
        print(
            f"{f'{name}.yaml ({len(model.tanks)} tanks), one by one from 50':58}"
            f"{ours * 1e9:15.0f}{singly * 1e9:12.0f}{singly / ours:8.0f}"
        )


if __name__ == "__main__":
    main(int(float(sys.argv[1])) if len(sys.argv) > 1 else 10_000_000)
