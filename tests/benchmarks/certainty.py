"""Ratios for certainty, in one run: `python tests/benchmarks/certainty.py`.

- a whole plan with uncertainties over the same plan with every `+/-` removed (goal 1.5);
- 10^6 draws over the random numbers alone (goal 1.3).
"""

from __future__ import annotations

import re
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from planner.plan import plan_flight
from planner.records.store import load_flight_file
from planner.sureness.chance import BLOCK, chance
from planner.sureness.margins import DrawnMargins

FLIGHT = ROOT / "docs" / "flights" / "not-shown-inside.yaml"
DRAWS = 1_000_000


def interleaved(
    first: Callable[[], object], second: Callable[[], object], rounds: int
) -> tuple[float, float]:
    """Least time of each, taken in turns so that a busy machine slows both."""
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for job, into in zip((first, second), times, strict=True):
            start = time.perf_counter()
            job()
            into.append(time.perf_counter() - start)
    return min(times[0]), min(times[1])


def main() -> None:
    sure = load_flight_file(FLIGHT)
    with tempfile.TemporaryDirectory() as folder:
        plain = Path(folder)
        for path in (ROOT / "aircraft_profiles" / f"{sure[0].record.aircraft}.yaml", FLIGHT):
            (plain / path.name).write_text(
                re.sub(r"\s*\+/-\s*[\d.]+", "", path.read_text(encoding="utf-8")), encoding="utf-8"
            )
        text = (
            (plain / FLIGHT.name)
            .read_text(encoding="utf-8")
            .replace(f"aircraft: {sure[0].record.aircraft}", f"aircraft: ./{sure[0].record.aircraft}.yaml")
        )
        (plain / FLIGHT.name).write_text(text, encoding="utf-8")
        exact = load_flight_file(plain / FLIGHT.name)
    with_u, without = interleaved(lambda: plan_flight(*sure), lambda: plan_flight(*exact), 400)
    print(
        f"plan with uncertainties {with_u * 1e3:.3f} ms / without {without * 1e3:.3f} ms ="
        f" {with_u / without:.2f} (goal 1.5)"
    )
    plan = plan_flight(*sure)
    z = np.empty((len(DrawnMargins(plan).causes), BLOCK))

    def random_numbers() -> None:
        rng = np.random.default_rng(1)
        for begin in range(0, DRAWS, BLOCK):
            rng.standard_normal(
                out=(
                    z[:, : min(BLOCK, DRAWS - begin)]
                    if DRAWS - begin >= BLOCK
                    else np.empty((z.shape[0], DRAWS - begin))
                )
            )

    drawn, numbers = interleaved(lambda: chance(plan, DRAWS), random_numbers, 7)
    print(
        f"{DRAWS} draws of {z.shape[0]} inputs {drawn * 1e3:.0f} ms / random numbers {numbers * 1e3:.0f} ms ="
        f" {drawn / numbers:.2f} (goal 1.3)"
    )


if __name__ == "__main__":
    main()
