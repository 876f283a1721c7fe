"""`python -m tests.oracle --count N --seed S`: many flights through both engines, and what they say
differently.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from tests.oracle.compare import Difference
from tests.oracle.generate import Case
from tests.oracle.settle import finished
from tests.oracle.shrink import compared, shrunk


@dataclass(frozen=True)
class Job:
    """What one flight of a run needs to know."""

    seed: int
    number: int
    draws: int
    chance_draws: int
    surfaces: bool


@dataclass(frozen=True)
class Done:
    """One flight of a run: limits compared (-1: none drawn, -2: refused, -3: an error), verdicts met,
    differences.
    """

    number: int
    size: tuple[int, int]
    limits: int
    verdicts: Counter[str]
    differences: tuple[Difference, ...] = ()


def do(job: Job) -> Done:
    """One flight."""
    case = finished(job.seed, job.number)
    if case is None:
        return Done(job.number, (0, 0), -1, Counter())
    try:
        found = compared(case, job.draws, job.chance_draws, job.surfaces)
    except Exception as wrong:  # noqa: BLE001 - a crash of either engine is a finding, and the run goes on
        return Done(
            job.number,
            case.size,
            -3,
            Counter(),
            (Difference(f"error {type(wrong).__name__}", "run", str(wrong)[:200], ""),),
        )
    if found is None:
        return Done(job.number, case.size, -2, Counter())
    verdicts = Counter(check.verdict for check in found.answer.checks.values())
    return Done(job.number, case.size, found.limits, verdicts, tuple(found.differences))


def main() -> int:
    """The long run; exit code 1 where anything differs but a U on the careful side, which is told only."""
    parser = argparse.ArgumentParser(prog="python -m tests.oracle", description=__doc__)
    parser.add_argument("--count", type=int, default=1000, help="flights to draw")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first flight")
    parser.add_argument("--draws", type=int, default=1000, help="draws of every flight's inputs")
    parser.add_argument(
        "--chance-draws", type=int, default=4000, help="draws of the planner for its share inside; 0 for none"
    )
    parser.add_argument("--no-surfaces", action="store_true", help="leave out sweep and sheet")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument(
        "--folder", type=Path, default=Path("oracle-cases"), help="where differing flights are saved"
    )
    parser.add_argument(
        "--shrink", type=int, default=0, help="make the smallest case of so many kinds smaller still"
    )
    asked = parser.parse_args()
    jobs = [
        Job(asked.seed, number, asked.draws, asked.chance_draws, not asked.no_surfaces)
        for number in range(asked.first, asked.first + asked.count)
    ]
    done, start = [], time.monotonic()
    with suppress(KeyboardInterrupt):  # what was flown until then is told
        for each in _flown(jobs, asked.jobs):
            done.append(each)
            if len(done) % 20 == 0 or len(done) == len(jobs):
                differ = sum(bool(one.differences) for one in done)
                sys.stderr.write(
                    f"\r{len(done)}/{len(jobs)} flights, {differ} differ, {time.monotonic() - start:.0f} s "
                )
                sys.stderr.flush()
    sys.stderr.write("\n")
    return _report(done, asked)


def _flown(jobs: list[Job], processes: int) -> Iterator[Done]:
    """Every flight, on as many processors as asked for."""
    if processes == 1:
        yield from map(do, jobs)
        return
    with ProcessPoolExecutor(processes) as pool:
        yield from pool.map(do, jobs, chunksize=8)


def _report(done: list[Done], asked: argparse.Namespace) -> int:
    out = sys.stdout.write
    smallest: dict[str, tuple[Done, Difference]] = {}
    kinds: Counter[str] = Counter()
    flights: Counter[str] = Counter()
    for each in sorted(done, key=lambda one: (one.size, one.number)):
        for kind in {difference.kind for difference in each.differences}:
            flights[kind] += 1
        for difference in each.differences:
            kinds[difference.kind] += 1
            smallest.setdefault(difference.kind, (each, difference))
    for rank, (kind, (each, difference)) in enumerate(smallest.items()):
        case = finished(asked.seed, each.number)
        assert case is not None  # it was finished before
        words, features = difference.line(), sorted(case.features)
        if rank < asked.shrink and not kind.startswith("error"):
            small, found = shrunk(
                case,
                kind,
                difference.where,
                400,
                asked.chance_draws if "share" in kind else 0,
                "sweep" in kind,
            )
            case, words = (small, found) if found else (case, words)
        folder = _save(case, kind, asked.folder)
        out(
            f"\n{kind}: {kinds[kind]} in {flights[kind]} flights; smallest number {each.number}"
            f" ({each.size[0]} features), saved in {folder}\n"
        )
        out(f"  {words}\n  {', '.join(features)}\n")
    verdicts = sum((each.verdicts for each in done), Counter())
    compared_flights = sum(each.limits >= 0 for each in done)
    out(
        f"\n{len(done)} drawn, {sum(each.limits == -1 for each in done)} without a flight,"
        f" {sum(each.limits == -2 for each in done)} refused, "
    )
    out(
        f"{sum(each.limits == -3 for each in done)} errors; {compared_flights} flights and"
        f" {sum(max(each.limits, 0) for each in done)} limits compared, "
    )
    out(f"verdicts {dict(verdicts)}; {sum(bool(each.differences) for each in done)} flights differ\n")
    for kind, count in kinds.most_common():
        good = sum(
            difference.too_good for each in done for difference in each.differences if difference.kind == kind
        )
        out(f"{count:8d} in {flights[kind]:6d} flights, {good:8d} too good: {kind}\n")
    # A U larger than the draws' is told and looked at; it makes no verdict better than it is.
    return 1 if any(" larger " not in f" {kind} " for kind in kinds) else 0


def _save(case: Case, kind: str, folder: Path) -> Path:
    place = folder / "".join(sign if sign.isalnum() else "-" for sign in kind)
    case.write(place)
    return place


if __name__ == "__main__":
    sys.exit(main())
