"""`python -m tests.mutation --count N --seed S`: changes drawn at random from the engine, and whether the
tests near each notice it.

Near a change are the tests that execute its statement; the quickest of each test file run first, until they
have taken `--budget` seconds, those of the net before others; where none notices, all that are near run, for
a minute at most. A change none of them notices is visible where a case of the net's long run shows other
figures, verdicts or words; else there is nothing to see, and it does not count.
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
from tests.mutation.running import ELSEWHERE, Copy, Waiting, preload, run_tests
from tests.mutation.shown import Shown

ROOT = Path(__file__).resolve().parents[2]
GOAL = 0.95
FEW = 8  # test files
OWN = 5  # tests of a file that is about the module
MOST = 60.0  # seconds of tests for a change that those within the budget let pass
NET, OF_NET = "tests/net/", 0.4  # of the budget
FIGURE = re.compile(r"^([A-Za-z_]\w+)\s*(?::[^=]+)?=")


def spread(found: Reach, tests: set[str], budget: float, path: str, files: int | None = None) -> list[str]:
    """Cases of the net, those first that execute the most of the module a second, for a share of the budget
    [s]; then a few quick tests of each file that imports the module; then the quickest of each file, then the
    second of each, within the budget, files that import its package before others; of the first so many
    `files`, as a process that imports everything anew reads each anew.
    """
    by_file: dict[str, list[str]] = {}
    chosen: list[str] = []
    least = budget * (1 - OF_NET)
    much = Counter(test for (where, _), hit in found.tests.items() if where == path for test in hit & tests)
    for test in sorted(tests, key=lambda test: (found.seconds[test], test)):
        if not test.startswith(NET):
            by_file.setdefault(test.split("::")[0], []).append(test)
    for test in sorted(tests, key=lambda test: (found.seconds[test] / (much[test] or 1), test)):
        if test.startswith(NET) and budget - found.seconds[test] > least:
            budget -= found.seconds[test] + 0.005
            chosen.append(test)
    module = path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    named = [re.compile(rf"(from|import) {re.escape(name)} ") for name in (module, module.rpartition(".")[0])]

    def apart(file: str) -> tuple[bool, bool, float]:
        text = (ROOT / file).read_text(encoding="utf-8")
        own, package = (name.search(text) is None for name in named)
        return own, package, found.seconds[by_file[file][0]]

    apartness = {file: apart(file) for file in by_file}
    near = sorted(by_file, key=apartness.__getitem__)[:files]
    own = [file for file in near if not apartness[file][0]]
    wanted = [(rank, file) for rank in range(OWN) for file in own]
    wanted += [(rank, file) for rank in range(max(map(len, by_file.values()), default=0)) for file in near]
    for rank, file in dict.fromkeys(wanted):
        if rank < len(by_file[file]):
            budget -= found.seconds[by_file[file][rank]] + 0.005
            if budget < 0:
                return chosen
            chosen.append(by_file[file][rank])
    return chosen


def tests_of(change: Change, found: Reach, sources: dict[str, str]) -> set[str]:
    """Tests that execute the changed statement; of a figure that is named once at the head of a module, those
    that execute a line with its name or that of a figure made of it.
    """
    first, last = change.lines
    hit = {test for line in range(first, last + 1) for test in found.tests.get((change.path, line), ())}
    text = sources[change.path].splitlines()[first - 1]
    names = FIGURE.findall(text)
    for name in names:  # and those of the figures at the head of a module that are made of it
        word = re.compile(rf"\b{name}\b")
        for path, source in sources.items():
            for number, line in enumerate(source.splitlines(), 1):
                if word.search(line):  # somewhere in the statement that begins here or a few lines above
                    above = (found.tests.get((path, number - back), set()) for back in range(12))
                    hit |= next(filter(None, above), set())
                    names += [made for made in FIGURE.findall(line) if made not in names]
    if not hit and (names or re.match(r"\s+\w+\s*:[^=]+=|\s*def ", text)):
        # the default of a field or a parameter, or a figure that only such a default names: whatever runs in
        # its module
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
    parser.add_argument("--budget", type=float, default=6.0, help="seconds of tests for each change")
    parser.add_argument(
        "--measure",
        action="store_true",
        help="measure anew which test executes what, if the engine has changed",
    )
    parser.add_argument("--kept", action="store_true", help="only tests that were measured before")
    parser.add_argument(
        "--tests-only", action="store_true", help="leave open whether what survives can be seen; --again asks"
    )
    parser.add_argument("--list", action="store_true", help="show the changes and run nothing")
    arguments = parser.parse_args()
    chosen = drawn(arguments.count, arguments.seed, arguments.module, arguments.at)[arguments.skip :]
    if arguments.again is not None:
        chosen = unnoticed(arguments.again.read_text(encoding="utf-8"))
    if arguments.list:
        sys.stdout.writelines(f"{each.name}\n" for each in chosen)
        return 0
    preload()
    found = reach(ROOT, arguments.measure, not arguments.kept)
    for test in found.failed:
        sys.stdout.write(f"fails without any change and sees nothing: {test}\n")
    tally: Counter[str] = Counter()
    with Bench(found, arguments.budget, not arguments.tests_only) as bench:
        for change in chosen:
            began = time.monotonic()
            verdict, why = bench.tried(change)
            tally[verdict] += 1
            sys.stdout.write(
                f"{verdict:12} {change.name}  [{change.kind}; {time.monotonic() - began:.1f} s] {why}\n"
            )
            sys.stdout.flush()
    return told(tally)


class Bench:
    """A copy of the tree, its tests waiting, and what its engine says as it is."""

    def __init__(self, found: Reach, budget: float, looked: bool) -> None:
        self.found, self.budget, self.looked = found, budget, looked
        self.sources = {path: (ROOT / path).read_text(encoding="utf-8") for path in engine_files(ROOT)}
        self.bad: dict[str, bool] = {}  # tests that fail, or do not, on the engine as it is

    def __enter__(self) -> Bench:
        self.tree = Copy(ROOT)
        self.tree.warm()
        files = sorted({test.split("::")[0] for test in self.found.seconds})
        self.waiting = Waiting(self.tree.folder, files)
        self.shown = Shown(ROOT, self.tree.folder)
        return self

    def __exit__(self, *_: object) -> None:
        self.waiting.close()
        self.tree.__exit__(None, None, None)

    def tried(self, change: Change) -> tuple[str, str]:
        """killed, survived, unreached (no test executes it) or equal (nothing to see), and by what or why."""
        # The copy's: somebody may be at work on the tree meanwhile.
        source = (self.tree.folder / change.path).read_bytes()
        if not differs(change, source):
            return "equal", "the same code"
        if why := judged(change):
            return "equal", why
        text = change.text(source)
        near = tests_of(change, self.found, self.sources)
        chosen, fewer = (spread(self.found, near, self.budget, change.path, most) for most in (None, FEW))
        ended, why = self._run(change.path, text, chosen, fewer)
        if ended not in ("killed", ELSEWHERE):  # then all that are near, as far as that ends
            further = spread(self.found, near - set(chosen), MOST, change.path)
            ended, why = self._run(change.path, text, further, []) if further else (ended, why)
            chosen += further
        if ended == "killed":
            return ended, why
        if not self.looked:
            return "survived", f"{len(chosen)} of {len(near)} tests; not looked at yet"
        with self.tree.changed(change.path, text):
            cases = tests_of(change, self.shown.reach, self.sources)
            if not (seen := self.shown.differs(cases)):
                return "unseen", f"{len(chosen)} of {len(near)} tests, and {len(cases)} cases say the same"
            # What is reckoned while the program is imported: only a process that imports it anew can tell.
            if chosen and ended != ELSEWHERE:
                ended, why = run_tests(self.tree.folder, fewer, self._limit(fewer))
                if ended == "killed" and not self._fails(why):
                    return ended, why
        if not near:
            return "unreached", f"no test executes it; {seen}"
        return "survived", f"{len(chosen)} of {len(near)} tests; {seen}"

    def _limit(self, tests: list[str]) -> float:
        return 3 * sum(self.found.seconds[test] for test in tests) + 20

    def _run(self, path: str, text: bytes, tests: list[str], fewer: list[str]) -> tuple[str, str]:
        """How these tests end on the change, or the fewer where all must be imported anew; one that fails on
        the engine as it is has no say.
        """
        while True:
            # Everything is imported there: what takes much longer than it did will not end.
            ended, why = self.waiting.run(path, text, tests, self._limit(tests) - 15)
            if ended == ELSEWHERE:
                with self.tree.changed(path, text):
                    ended, why = run_tests(self.tree.folder, fewer, self._limit(fewer)) if fewer else ("", "")
                if ended != "killed":
                    return ELSEWHERE, ""
            if ended != "killed" or why not in {*tests, *fewer} or not self._fails(why):
                return ended, why
            tests, fewer = ([test for test in each if test != why] for each in (tests, fewer))

    def _fails(self, test: str) -> bool:
        if test in self.found.seconds and test not in self.bad:
            self.bad[test] = self.waiting.run("", b"", [test], self._limit([test]))[0] == "killed"
        return self.bad.get(test, False)


def told(tally: Counter[str]) -> int:
    """The sum of it, and the exit code."""
    visible = tally["killed"] + tally["survived"] + tally["unreached"]
    share = tally["killed"] / visible if visible else 1.0
    sys.stdout.write(
        f"{sum(tally.values())} tried, {visible} visible: {tally['killed']} killed, {tally['survived']}"
        f" survived, {tally['unreached']} not reached by any test; {tally['unseen']} that show nothing in any"
        f" flight; {tally['equal']} judged to have nothing to see; {100 * share:.0f} of 100 noticed\n"
    )
    return 0 if share >= GOAL else 1


if __name__ == "__main__":
    raise SystemExit(main())
