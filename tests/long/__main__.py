"""The long runs, one after the other, each with its counts: generated flights through both engines and
through the page in a browser, changed files of every kind, tests with many more examples, kills, changes of
the engine that a test must notice, the lowest versions.

`python -m tests.long` takes hours; `--share` makes it shorter, and parts can be named. The same `--seed`
draws the same again; without it new ones are drawn. The exit code is 0 where nothing was found.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Final

from tests.long import mutated

ROOT: Final = Path(__file__).resolve().parents[2]
FLIGHTS, PAGES, FILES, CHANGES, REPEATS, EXAMPLES = 10_000, 2000, 100_000, 300, 10, 20
PORTION: Final = 250  # files of one task
KILLS: Final = tuple(f"tests/cli/test_{each}_interrupted.py" for each in ("ledger", "amend", "keep"))


def main() -> int:
    """Run what is asked for; says what was run and how often."""
    parser = argparse.ArgumentParser(prog="python -m tests.long", description=__doc__)
    parser.add_argument(
        "runs", nargs="*", choices=[*RUNS, []], help=f"some of {', '.join(RUNS)}; all of them if none"
    )
    parser.add_argument("--share", type=float, default=1.0, help="of the whole length")
    parser.add_argument("--seed", type=int, default=int(time.time()) % 100_000)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    asked = parser.parse_args()
    good = True
    for name in asked.runs or RUNS:
        start = time.monotonic()
        fine, said = RUNS[name](asked.share, asked.seed, asked.jobs)
        good = good and fine
        told = f"{name}: {said}; seed {asked.seed}, {time.monotonic() - start:.0f} s"
        sys.stdout.write(f"{told}; {'good' if fine else 'NOT GOOD'}\n")
        sys.stdout.flush()
    return 0 if good else 1


def _command(*words: str, **environment: str) -> bool:
    command, around = [sys.executable, "-m", *words], os.environ | environment
    return subprocess.run(command, cwd=ROOT, env=around, check=False).returncode == 0


def _pages(share: float, seed: int, jobs: int) -> tuple[bool, str]:  # noqa: ARG001 - one face for every run
    count = max(round(PAGES * share), 1)
    fine = _command("tests.browser.conformance", "--count", str(count), "--seed", str(seed))
    return fine, f"{count} flights through the program and the page"


def _flights(share: float, seed: int, jobs: int) -> tuple[bool, str]:
    count = max(int(FLIGHTS * share), 1)
    with tempfile.TemporaryDirectory() as folder:
        fine = _command(
            "tests.oracle",
            "--count",
            str(count),
            "--seed",
            str(seed),
            "--jobs",
            str(jobs),
            "--folder",
            folder,
        )
    return fine, f"{count} flights through both engines"


def _files(share: float, seed: int, jobs: int) -> tuple[bool, str]:
    portion = max(min(PORTION, round(FILES * share)), 1)
    portions = max(round(FILES * share / portion), 1)
    kinds, seeds = zip(
        *((kind, f"{seed}{part:04}") for kind in mutated.KINDS for part in range(portions)), strict=True
    )
    read = refused = 0
    failed: list[str] = []
    with ProcessPoolExecutor(jobs) as pool:
        for found in pool.map(mutated.run, kinds, [portion] * len(kinds), map(int, seeds)):
            read, refused = read + found.read, refused + found.refused
            failed += found.failed
    for each in failed:
        sys.stdout.write(f"  {each}\n")
    each = portions * portion
    told = f"{each} files of each of {len(mutated.KINDS)} kinds: {read} read, {refused} refused"
    return not failed, f"{told}, {len(failed)} failed"


def _examples(share: float, seed: int, jobs: int) -> tuple[bool, str]:
    """The tests that draw, with more and other examples than in every run."""
    times = max(EXAMPLES * share, 1.0)
    drawing = [
        str(path)
        for path in sorted((ROOT / "tests").rglob("test_*.py"))
        if re.search(
            r"^from (tests\.sizes|hypothesis) import", path.read_text(encoding="utf-8"), re.MULTILINE
        )
    ]
    fine = _command(
        "pytest",
        *("-n", str(jobs), f"--hypothesis-seed={seed}", *drawing),
        PLANNER_TESTS_TIMES=str(times),
        PLANNER_TESTS_DRAW="new",
    )
    return fine, f"{len(drawing)} files of tests with {times:g} times their examples"


def _kills(share: float, seed: int, jobs: int) -> tuple[bool, str]:  # noqa: ARG001 - one face for every run
    times = max(round(REPEATS * share), 1)
    fine = all(_command("pytest", "-n", str(jobs), *KILLS, PLANNER_TESTS_TIMES="2") for _ in range(times))
    return fine, f"the tests that kill, {times} times"


def _changes(share: float, seed: int, jobs: int) -> tuple[bool, str]:  # noqa: ARG001
    count = max(round(CHANGES * share), 1)
    return _command(
        "tests.mutation", "--count", str(count), "--seed", str(seed)
    ), f"{count} changes of the engine"


def _lowest(share: float, seed: int, jobs: int) -> tuple[bool, str]:  # noqa: ARG001
    """The tests of modules and commands, and the net, with the lowest versions pyproject.toml allows."""
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    bounds = project["dependencies"]
    with tempfile.TemporaryDirectory() as folder:
        constraints = Path(folder) / "lowest.txt"
        constraints.write_text(
            "".join(f"{each.split(',')[0].replace('>=', '==')}\n" for each in bounds), encoding="utf-8"
        )
        subprocess.run([sys.executable, "-m", "venv", f"{folder}/venv"], check=True)
        python = f"{folder}/venv/bin/python"
        had = subprocess.run(
            [python, "-m", "pip", "install", "-q", "-c", str(constraints), "-e", ".[test]"],
            cwd=ROOT,
            check=False,
        )
        if had.returncode:
            return True, "NOT RUN: the lowest versions cannot be had here"
        done = subprocess.run(
            [python, "-m", "pytest", "-n", str(jobs), "tests/unit", "tests/cli", "tests/net"],
            cwd=ROOT,
            check=False,
        )
    return done.returncode == 0, f"tests of modules, commands and the net with {len(bounds)} lowest versions"


RUNS: Final[dict[str, Callable[[float, int, int], tuple[bool, str]]]] = {
    "flights": _flights,
    "pages": _pages,
    "files": _files,
    "examples": _examples,
    "kills": _kills,
    "changes": _changes,
    "lowest": _lowest,
}

if __name__ == "__main__":
    sys.exit(main())
