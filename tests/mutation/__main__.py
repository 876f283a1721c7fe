"""`python -m tests.mutation --count N --seed S`: changes drawn at random from the engine, and whether the
tests near each notice it.

Near a change are the tests that execute its statement; the quickest of each test file run first, until they
have taken `--budget` seconds.
"""

from __future__ import annotations

import argparse
import random
import re
import sys
import time
from collections import Counter
from pathlib import Path

from tests.mutation.changes import Change, changes, differs, engine_files
from tests.mutation.equal import EQUAL
from tests.mutation.reach import Reach, reach
from tests.mutation.running import Copy, preload, run_tests

ROOT = Path(__file__).resolve().parents[2]
GOAL = 0.95


def spread(found: Reach, tests: set[str], budget: float, path: str) -> list[str]:
    """The quickest test of each file first, then the second of each, within the budget [s]; files that import
    the module before others.
    """
    by_file: dict[str, list[str]] = {}
    for test in sorted(tests, key=lambda test: (found.seconds[test], test)):
        by_file.setdefault(test.split("::")[0], []).append(test)
    module = path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    package, _, name = module.rpartition(".")
    named = re.compile(rf"(from|import) {re.escape(module)}\b|from {re.escape(package)} import .*\b{name}\b")
    near = sorted(
        by_file,
        key=lambda file: (
            not named.search((ROOT / file).read_text(encoding="utf-8")),
            found.seconds[by_file[file][0]],
        ),
    )
    chosen: list[str] = []
    taken = 0.0
    # A file is read and collected before its first test runs: a dozen files see most of what can be seen.
    for rank in range(max(map(len, by_file.values()), default=0)):
        for file in near[:14]:
            if rank < len(by_file[file]):
                cost = found.seconds[by_file[file][rank]] + 0.01
                if taken + cost <= budget:
                    chosen.append(by_file[file][rank])
                    taken += cost
    return chosen


def tests_of(change: Change, found: Reach, sources: dict[str, str]) -> set[str]:
    """Tests that execute the changed statement; of a figure that is named once at the head of a module, those
    that execute a line with its name.
    """
    first, last = change.lines
    hit = {test for line in range(first, last + 1) for test in found.tests.get((change.path, line), ())}
    text = sources[change.path].splitlines()[first - 1]
    if (named := re.match(r"([A-Za-z_]\w+)\s*(?::[^=]+)?=", text)) and not text.startswith(" "):
        word = re.compile(rf"\b{named[1]}\b")
        for path, source in sources.items():
            for number, line in enumerate(source.splitlines(), 1):
                if word.search(line):
                    hit |= found.tests.get((path, number), set())
        return hit
    if not hit and re.match(
        r"\s+\w+\s*:[^=]+=|\s*def ", text
    ):  # the default of a field or a parameter: whatever runs in its module
        hit = {test for (path, _), tests in found.tests.items() if path == change.path for test in tests}
    return hit


def drawn(count: int, seed: int, only: str | None, at: str | None) -> list[Change]:
    """The changes to try: all of one line, or some of the engine or of one module, no two of one expression
    unless few are left.
    """
    files = [path for path in engine_files(ROOT) if only is None or path.startswith(only)]
    if at is not None:
        path, _, line = at.partition(":")
        return [
            each for each in changes(path, (ROOT / path).read_bytes()) if not line or each.line == int(line)
        ]
    every = [each for path in files for each in changes(path, (ROOT / path).read_bytes())]
    random.Random(seed).shuffle(every)
    return every[:count]


def unnoticed(told: str) -> list[Change]:
    """The changes an earlier run let pass, found again by file, line and text; those whose line has moved are
    left out.
    """
    names = {
        re.sub(r"^\w+ +|  \[[^]]*\][^]]*$", "", line)
        for line in told.splitlines()
        if line.startswith(("survived", "unreached"))
    }
    return [
        each
        for path in engine_files(ROOT)
        for each in changes(path, (ROOT / path).read_bytes())
        if each.name in names or each.plain in names
    ]


def judged(change: Change) -> str:
    """Why a change was judged to change nothing that could be seen; empty where nobody judged it."""
    source = (ROOT / change.path).read_text(encoding="utf-8")
    return next((each.why for each in EQUAL if each.is_of(change, source)), "")


def main() -> int:
    """Exit code 1 where fewer than 95 of 100 visible changes are noticed."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--count", type=int, default=100, help="changes to draw")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--skip", type=int, default=0, help="the first so many of them are passed over")
    parser.add_argument(
        "--module", help="only modules whose path begins so, as planner/flight/burn.py or planner/sweep"
    )
    parser.add_argument("--at", help="every change of one line, as planner/flight/burn.py:120")
    parser.add_argument(
        "--again", type=Path, help="those that an earlier output of this program says were not noticed"
    )
    parser.add_argument("--budget", type=float, default=15.0, help="seconds of tests for each change")
    parser.add_argument("--list", action="store_true", help="show the changes and run nothing")
    arguments = parser.parse_args()
    chosen = drawn(arguments.count, arguments.seed, arguments.module, arguments.at)[arguments.skip :]
    if arguments.again is not None:
        chosen = unnoticed(arguments.again.read_text(encoding="utf-8"))
    if arguments.list:
        sys.stdout.writelines(f"{each.name}\n" for each in chosen)
        return 0
    preload()
    found = reach(ROOT)
    for test in found.failed:
        sys.stdout.write(f"fails without any change and sees nothing: {test}\n")
    sources = {path: (ROOT / path).read_text(encoding="utf-8") for path in engine_files(ROOT)}
    tally: Counter[str] = Counter()
    with Copy(ROOT) as tree:
        tree.warm()
        for change in chosen:
            began = time.monotonic()
            verdict, why = tried(change, found, sources, tree, arguments.budget)
            tally[verdict] += 1
            sys.stdout.write(
                f"{verdict:12} {change.name}  [{change.kind}; {time.monotonic() - began:.1f} s] {why}\n"
            )
            sys.stdout.flush()
    return told(tally)


def tried(
    change: Change, found: Reach, sources: dict[str, str], tree: Copy, budget: float
) -> tuple[str, str]:
    """killed, survived, unreached (no test executes it) or equal (nothing to see), and by what or why."""
    source = (ROOT / change.path).read_bytes()
    if not differs(change, source):
        return "equal", "the same code"
    if why := judged(change):
        return "equal", why
    near = tests_of(change, found, sources)
    if not near:
        return "unreached", "no test executes it"
    chosen = spread(found, near, budget, change.path)
    with tree.changed(change.path, change.text(source)):
        ended, why = run_tests(tree.folder, chosen, 3 * sum(found.seconds[test] for test in chosen) + 20)
    return ("killed", why) if ended == "killed" else ("survived", f"{len(chosen)} of {len(near)} tests")


def told(tally: Counter[str]) -> int:
    """The sum of it, and the exit code."""
    visible = tally["killed"] + tally["survived"] + tally["unreached"]
    share = tally["killed"] / visible if visible else 1.0
    sys.stdout.write(
        f"{sum(tally.values())} tried, {visible} visible: {tally['killed']} killed, {tally['survived']}"
        f" survived, {tally['unreached']} not reached by any test; {tally['equal']} with nothing to see;"
        f" {100 * share:.0f} of 100 noticed\n"
    )
    return 0 if share >= GOAL else 1


if __name__ == "__main__":
    raise SystemExit(main())
