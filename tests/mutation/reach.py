"""Which test executes which statement of the engine, and how long each test takes: measured once and kept.

The engine is copied with a mark before each statement. Marks cost little, so that tests run nearly as fast as
they do otherwise.
"""

from __future__ import annotations

import ast
import builtins
import hashlib
import json
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.mutation.changes import engine_files
from tests.mutation.running import Copy, forked

FOLDERS = ("tests/unit", "tests/properties", "tests/reference", "tests/oracle")
# These run longer than any change may take, or look at the tree and not at what it does.
LEFT_OUT = (
    "test_remedies_properties.py::test_headroom_holds_what_is_planned",
    "test_remedies_properties.py::test_every_remedy_planned_again_is_inside",
)
TRACE_LIMIT = 1800


@dataclass
class Reach:
    """What the clean tree's tests do: `seconds` of each test that passed, the `tests` of each statement
    (path, line), and those that `failed`.
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


class Tracer:
    """A pytest plugin: after each test, which marks are set."""

    def __init__(self, marks: bytearray) -> None:
        self.marks = marks
        self.seen: dict[str, list[int]] = {}
        self.seconds: dict[str, float] = {}
        self.outcome: dict[str, str] = {}

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        items[:] = [item for item in items if not item.nodeid.split("[")[0].endswith(LEFT_OUT)]

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self.marks[:] = bytes(len(self.marks))
        self.seconds[nodeid], self.outcome[nodeid] = 0.0, "passed"

    def pytest_runtest_logreport(self, report: Any) -> None:
        self.seconds[report.nodeid] += report.duration
        if report.outcome != "passed":
            self.outcome[report.nodeid] = report.outcome

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        self.seen[nodeid] = [number for number, set_ in enumerate(self.marks) if set_]


def _kept(root: Path, files: list[str]) -> dict[str, Path]:
    """Where what each test file does is kept: named after everything it depends on here."""
    engine = hashlib.sha256()
    for path in sorted(root.glob("planner/**/*.py")):
        engine.update(path.read_bytes())
    for path in (
        *sorted(root.glob("tests/oracle/*.py")),
        *sorted(root.glob("aircraft_profiles/*.yaml")),
        *sorted(root.glob("docs/flights/*.yaml")),
    ):
        engine.update(path.read_bytes())
    folder = Path(tempfile.gettempdir()) / "planner-mutation" / engine.hexdigest()[:16]
    folder.mkdir(parents=True, exist_ok=True)
    return {
        name: folder / f"{Path(name).stem}-{hashlib.sha256((root / name).read_bytes()).hexdigest()[:16]}.json"
        for name in files
    }


def reach(root: Path) -> Reach:
    """Which test executes what, of every test file; files not seen before are run first."""
    files = [
        str(path.relative_to(root))
        for folder in FOLDERS
        for path in sorted((root / folder).glob("test_*.py"))
    ]
    kept = _kept(root, files)
    if stale := [name for name in files if not kept[name].is_file()]:
        _measure(root, stale, kept)
    found = Reach()
    for name in files:
        record = json.loads(kept[name].read_text(encoding="utf-8"))
        found.failed += record["failed"]
        found.seconds |= record["seconds"]
        for path, lines in record["tests"].items():
            for line, tests in lines.items():
                found.tests.setdefault((path, int(line)), set()).update(tests)
    return found


def _measure(root: Path, files: list[str], kept: dict[str, Path]) -> None:
    with Copy(root) as tree:
        statements: list[tuple[str, int]] = []
        for path in engine_files(tree.folder):
            target = tree.folder / path
            target.write_text(_marked(target.read_bytes(), path, statements), encoding="utf-8")
        out = tree.folder / "reached.json"

        def child() -> int:
            marks = bytearray(len(statements))
            builtins._marks = marks  # type: ignore[attr-defined]
            tracer = Tracer(marks)
            import pytest

            code = pytest.main(
                ["-q", "-n", "0", "-p", "no:cacheprovider", "--hypothesis-seed=1", *files], plugins=[tracer]
            )
            out.write_text(json.dumps([tracer.seen, tracer.seconds, tracer.outcome]), encoding="utf-8")
            return int(code)

        done = forked(child, tree.folder, TRACE_LIMIT, tree.folder / "trace.log")
        if not out.is_file() or done not in (0, 1):
            raise RuntimeError(
                f"the tests could not be run ({done}):\n"
                + (tree.folder / "trace.log").read_text(encoding="utf-8")[-3000:]
            )
        seen, seconds, outcome = json.loads(out.read_text(encoding="utf-8"))
    for name in files:
        mine = [test for test in seen if test.split("::")[0] == name]
        tests: dict[str, dict[int, list[str]]] = {}
        for test in mine:
            if outcome[test] == "passed":
                for number in seen[test]:
                    path, line = statements[number]
                    tests.setdefault(path, {}).setdefault(line, []).append(test)
        record = {
            "failed": [test for test in mine if outcome[test] == "failed"],
            "seconds": {test: seconds[test] for test in mine if outcome[test] == "passed"},
            "tests": tests,
        }
        kept[name].write_text(json.dumps(record), encoding="utf-8")
