"""Which test executes which statement of the engine, and how long each test takes: measured once and kept.

The engine is copied with a mark before each statement. Marks cost little, so that tests run nearly as fast as
they do otherwise. What was measured of an engine that has changed since still tells which tests are near: its
lines are found again by their text, and a test that fails on the engine as it is now kills nothing.
"""

from __future__ import annotations

import ast
import builtins
import difflib
import hashlib
import json
import os
import shutil
import signal
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from mmap import mmap
from pathlib import Path
from typing import Any

from tests.mutation.changes import engine_files
from tests.mutation.running import OPTIONS, Copy, forked, load, steady

FOLDERS = ("tests/net", "tests/unit", "tests/properties", "tests/reference", "tests/oracle")
COMMANDS = (  # tests of commands that reckon; the others are of words, files and streams
    "bench_cli",
    "compare",
    "desk_and_ledger_cli",
    "minute",
    "people",
    "remedy",
    "sweep",
    "sweep_checked",
    "typed_in",
    "units_asked",
    "your_flight",
)
LONGEST = 3.0  # seconds of the processor, with what its module makes first: a longer test is no help
FILE_LIMIT = 200  # seconds of the processor for all tests of a file; what was seen until then is kept
KEEP_EVERY = 20.0  # seconds of the processor
KEPT = Path(tempfile.gettempdir()) / "planner-mutation"


@dataclass
class Reach:
    """What the clean tree's tests do: `seconds` of the processor of each test that passed, the `tests` of
    each statement (path, line), and those that `failed`.
    """

    seconds: dict[str, float] = field(default_factory=dict)
    tests: dict[tuple[str, int], set[str]] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)


def _marked(source: bytes, path: str, statements: list[tuple[str, int]]) -> str:
    """The module with a mark before each statement; the statements are appended to those already numbered."""

    def mark(node: ast.stmt) -> ast.stmt:
        statements.append((path, node.lineno))
        made = ast.parse(f"_marks[{len(statements) - 1}] = 1").body[0]
        return ast.copy_location(made, node)

    def body(nodes: list[ast.stmt], top: bool = False) -> list[ast.stmt]:
        result: list[ast.stmt] = []
        for node in nodes:
            first = isinstance(node, ast.ImportFrom) and node.module == "__future__"
            words = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
            if not first and not words:
                if top and not any(isinstance(each, ast.Import) for each in result):
                    result += ast.parse(
                        "import builtins as _builtins\n_marks = getattr(_builtins, '_marks', None) or"
                        " bytearray(99999)"
                    ).body
                result.append(mark(node))
            for name in ("body", "orelse", "finalbody"):
                inner = getattr(node, name, None)
                if inner and isinstance(inner, list):
                    setattr(node, name, body(inner))
            for each in (*getattr(node, "handlers", ()), *getattr(node, "cases", ())):
                each.body = body(each.body)
            result.append(node)
        return result

    tree = ast.parse(source)
    tree.body = body(tree.body, top=True)
    return ast.unparse(ast.fix_missing_locations(tree))


def mark(folder: Path) -> list[tuple[str, int]]:
    """Put marks into the engine of a copy; the statements in the order of their marks."""
    statements: list[tuple[str, int]] = []
    for path in engine_files(folder):
        target = folder / path
        target.write_text(_marked(target.read_bytes(), path, statements), encoding="utf-8")
    return statements


def _used() -> float:
    """Seconds of the processor of this process and of those it has waited for."""
    return sum(os.times()[:4])


class Tracer:
    """A pytest plugin: after each test, which marks are set; after each file, and now and then before,
    `done` with what was seen.
    """

    def __init__(self, marks: mmap, done: Callable[[str, dict[str, Any]], None]) -> None:
        self.marks, self.done = marks, done
        self.record: dict[str, Any] = {}
        self.outcome, self.began, self.kept = "", 0.0, _used()

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        steady(items)

    def pytest_runtest_protocol(self, item: Any, nextitem: Any) -> None:
        self.last = nextitem is None or nextitem.path != item.path

    def pytest_runtest_setup(self) -> None:
        import pytest

        signal.signal(signal.SIGPROF, lambda *_: pytest.skip("takes too long"))
        signal.setitimer(signal.ITIMER_PROF, LONGEST, 0.5)  # again, where it was lost in a callback

    def pytest_runtest_teardown(self) -> None:
        signal.setitimer(signal.ITIMER_PROF, 0.0)

    def pytest_runtest_logstart(self, nodeid: str) -> None:  # noqa: ARG002 - pytest gives it by name
        self.marks[:] = bytes(len(self.marks))
        self.began, self.outcome = _used(), "passed"

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.outcome != "passed":
            self.outcome = report.outcome

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        record = self.record or {"failed": [], "seconds": {}, "seen": {}}
        if self.outcome == "passed":
            record["seconds"][nodeid] = _used() - self.began
            record["seen"][nodeid] = [number for number, set_ in enumerate(self.marks[:]) if set_]
        elif self.outcome == "failed":
            record["failed"].append(nodeid)
        self.record = {} if self.last else record
        if self.last or _used() - self.kept > KEEP_EVERY:
            self.kept = _used()
            self.done(nodeid.split("::")[0], record)


def engine(root: Path) -> tuple[str, dict[str, str]]:
    """The name of the engine as it is, and the text of its modules."""
    name = hashlib.sha256()
    for path in (
        *sorted(root.glob("planner/**/*.py")),
        *sorted(root.glob("tests/oracle/*.py")),
        *sorted(root.glob("aircraft_profiles/*.yaml")),
        *sorted(root.glob("docs/flights/*.yaml")),
    ):
        name.update(path.read_bytes())
    return name.hexdigest()[:16], {
        path: (root / path).read_text(encoding="utf-8") for path in engine_files(root)
    }


def _text(file: Path) -> str:
    """Of a file of tests and of the cases beside it."""
    texts = b"".join(each.read_bytes() for each in (file, *sorted(file.parent.glob("*.txt"))))
    return hashlib.sha256(texts).hexdigest()[:16]


def _moved(old: str, new: str) -> dict[int, int]:
    """Where each line of an older text stands now; a line that reads differently now, where its place is."""
    before, after = old.splitlines(), new.splitlines()
    found: dict[int, int] = {}
    for how, low, high, to_low, to_high in difflib.SequenceMatcher(
        None, before, after, autojunk=False
    ).get_opcodes():
        if how != "delete":
            for line in range(low, high):
                found[line + 1] = min(to_low + line - low, max(to_high - 1, to_low)) + 1
    return found


def reach(root: Path, fresh: bool = False, measure: bool = True) -> Reach:
    """Which test executes what, of every test file; files not seen before are run first, and with `fresh` all
    that were not seen on the engine as it is. Without `measure` what an
    older text of a file did stands for it.
    """
    files = [
        str(path.relative_to(root))
        for folder in FOLDERS
        for path in sorted((root / folder).glob("test_*.py"))
    ]
    commands = [f"tests/cli/test_{name}.py" for name in COMMANDS]
    files = [*(each for each in commands if (root / each).is_file()), *files]
    name_of_it, sources = engine(root)
    here = KEPT / name_of_it
    here.mkdir(parents=True, exist_ok=True)
    (here / "sources.json").write_text(json.dumps(sources), encoding="utf-8")
    name = {file: f"{Path(file).stem}-{_text(root / file)}.json" for file in files}

    def kept(file: str) -> Path | None:
        texts = (name[file],) if measure else (f"{Path(file).stem}-*.json", name[file])
        every = [
            path
            for text in texts
            for path in sorted(KEPT.glob(f"*/{text}"), key=lambda path: path.stat().st_mtime)
        ]
        best = [path for path in every if path.parent == here] or ([] if fresh else every)
        return best[-1] if best else None

    if measure and (stale := [file for file in files if not kept(file)]):
        _measure(root, stale, lambda file: here / name[file])
        # A file whose tests end the process, or take too long together, sees nothing.
        for file in (file for file in stale if not kept(file)):
            (here / name[file]).write_text(json.dumps({"failed": [file], "seconds": {}, "tests": {}}))
    found, moved = Reach(), dict[tuple[Path, str], dict[int, int]]()
    for place in filter(None, map(kept, files)):
        record = json.loads(place.read_text(encoding="utf-8"))
        found.failed += record["failed"]
        found.seconds |= record["seconds"]
        before = (
            {} if place.parent == here else json.loads((place.parent / "sources.json").read_text("utf-8"))
        )
        for path, lines in record["tests"].items():
            if path not in sources:
                continue
            if before and (place.parent, path) not in moved:
                moved[place.parent, path] = _moved(before[path], sources[path])
            where = moved.get((place.parent, path), {}) if before else {}
            for line, tests in lines.items():
                number = where.get(int(line), 0) if before else int(line)
                found.tests.setdefault((path, number), set()).update(tests)
    return found


def _measure(root: Path, files: list[str], place: Callable[[str], Path]) -> None:
    with Copy(root) as tree:
        statements = mark(tree.folder)

        def keep(file: str, record: dict[str, Any]) -> None:
            tests: dict[str, dict[int, list[str]]] = {}
            for test, seen in record["seen"].items():
                for number in seen:
                    path, line = statements[number]
                    tests.setdefault(path, {}).setdefault(line, []).append(test)
            whole = tree.folder / "seen.json"  # the child may be ended while it writes
            kept = {"failed": record["failed"], "seconds": record["seconds"], "tests": tests}
            whole.write_text(json.dumps(kept), encoding="utf-8")
            shutil.move(whole, place(file))

        def child(file: str) -> int:
            marks = mmap(-1, len(statements))  # a command that a test runs has a process of its own
            builtins._marks = marks  # type: ignore[attr-defined]
            import pytest

            load()
            return int(pytest.main([*OPTIONS, file], plugins=[Tracer(marks, keep)]))

        for file in files:
            forked(partial(child, file), tree.folder, FILE_LIMIT, KEPT / "trace.log")
