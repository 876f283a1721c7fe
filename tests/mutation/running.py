"""A copy of the tree; a process that has collected every test and waits there; and children of it, or of this
one, that run some tests on a change.
"""

from __future__ import annotations

import compileall
import gc
import importlib
import json
import os
import shutil
import signal
import socket
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import CodeType, FunctionType, TracebackType
from typing import Any

from tests.mutation.standing import changed_functions

COPIED = ("planner", "tests", "docs", "aircraft_profiles", "pyproject.toml", "README.md", "DEVELOPERS.md")
LIBRARIES = (
    "pytest",
    "numpy",
    "scipy.optimize",
    "shapely",
    "pydantic",
    "yaml",
    "pint",
    "rich",
    "typer",
    "uncertainties",
)
OPTIONS = ("-q", "-s", "--tb=no", "-n", "0", "-p", "no:cacheprovider", "--hypothesis-seed=1")
PATIENCE = 20  # seconds of the clock for one of the processor: others work here too
ELSEWHERE = "elsewhere"
EXAMPLES = 15  # of a law; where a change survives, all are tried


class Copy:
    """A temporary copy of the tree; the working tree is never touched."""

    def __init__(self, root: Path) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="planner-mutation-"))
        for name in COPIED:
            if (root / name).is_dir():
                shutil.copytree(root / name, self.folder / name, ignore=shutil.ignore_patterns("__pycache__"))
            else:
                shutil.copy2(root / name, self.folder / name)

    def warm(self) -> None:
        """Compile everything once, so that a change costs one module and not the whole program."""
        compileall.compile_dir(self.folder / "planner", quiet=1)

    @contextmanager
    def changed(self, path: str, text: bytes) -> Iterator[None]:
        """The copy with one file changed; what Python keeps compiled of it is taken away, since it is told by
        a time in whole seconds.
        """
        target = self.folder / path
        before = target.read_bytes()
        kept = list((target.parent / "__pycache__").glob(f"{target.stem}.*.pyc"))
        for each in kept:
            each.unlink()
        target.write_bytes(text)
        try:
            yield
        finally:
            target.write_bytes(before)
            compileall.compile_file(target, quiet=1, force=True)

    def __enter__(self) -> Copy:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        shutil.rmtree(self.folder, ignore_errors=True)


def preload() -> None:
    """Import what the tests need and the project does not own, so that every child has it."""
    for name in LIBRARIES:
        importlib.import_module(name)
    if any(name == "planner" or name.startswith("planner.") for name in sys.modules):
        raise RuntimeError("planner is already imported: a child would not see the change")


def load() -> None:
    """Import the whole program; a command that a test runs is then forked from this process, so that it has
    its marks or its change.
    """
    from tests.cli import forked

    forked.load()
    forked.sent = forked.forked


def _child(work: Callable[[], int], folder: Path, log: Path) -> int:
    """A child that does `work` in that folder, with its output in `log`."""
    sys.stdout.flush()
    child = os.fork()
    if child:
        return child
    code = 70
    try:
        os.setpgid(0, 0)
        # A change may ask for endless memory as well as endless time.
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
        out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(out, 1)
        os.dup2(out, 2)
        os.chdir(folder)
        if str(folder) not in sys.path:
            sys.path.insert(0, str(folder))
            for name in [name for name in sys.modules if name == "tests" or name.startswith("tests.")]:
                del sys.modules[name]
        os.environ["PYTHONPATH"] = str(folder)
        sys.dont_write_bytecode = True
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # else tests/conftest.py takes it back
        code = work()
    except BaseException:  # noqa: BLE001 - the child must end here whatever happened, and say it
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def forked(work: Callable[[], int], folder: Path, limit: float, log: Path) -> int | None:
    """What `work` returns when done by a child in that folder, with its output in `log`; None where it took
    longer than `limit` seconds of the processor, or `PATIENCE` times as many of the clock.
    """

    def limited() -> int:
        for timer, signal_, seconds in (
            (signal.ITIMER_VIRTUAL, signal.SIGVTALRM, limit),
            (signal.ITIMER_REAL, signal.SIGALRM, PATIENCE * limit),
        ):
            signal.signal(signal_, signal.SIG_DFL)
            signal.setitimer(timer, seconds)
        return work()

    child = _child(limited, folder, log)
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        return None if os.WTERMSIG(status) in (signal.SIGALRM, signal.SIGVTALRM) else 71
    return os.WEXITSTATUS(status)


def steady(items: list[Any], most: int = EXAMPLES) -> None:
    """Hypothesis without its clock, with few examples, and without the search for the smallest, which would
    cost most of the time: that a law is broken is enough here.
    """
    from hypothesis import HealthCheck, Phase, settings

    for item in items:
        law = getattr(item.obj, "__func__", item.obj)
        if asked := getattr(law, "_hypothesis_internal_use_settings", None):
            law._hypothesis_internal_use_settings = settings(
                asked,
                max_examples=min(asked.max_examples, most),
                phases=(Phase.explicit, Phase.generate),
                database=None,
                deadline=None,
                suppress_health_check=list(HealthCheck),
            )


class _Held:
    """A pytest plugin in the process that waits: in place of its tests it does what each line asks that it
    is sent.
    """

    def __init__(self, folder: Path, line: Any) -> None:
        self.folder, self.line, self.failed = folder, line, ""

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed and not self.failed:
            self.failed = report.nodeid

    def pytest_runtestloop(self, session: Any) -> bool:
        load()
        gc.unfreeze()  # what is frozen is not listed: no function would be found, all be imported anew
        standing: dict[tuple[str, str, int], list[FunctionType]] = {}
        for each in gc.get_objects():
            if isinstance(each, FunctionType) and each.__code__.co_filename.startswith(str(self.folder)):
                standing.setdefault(_name(each.__code__), []).append(each)
        assert standing, "every change would have to import everything anew"
        steady(session.items)
        items = {item.nodeid: item for item in session.items}
        gc.collect()
        gc.freeze()
        said = self.folder / "said.json"
        for asked in self.line:
            path, text, tests, limit = json.loads(asked)
            said.unlink(missing_ok=True)
            chosen = [items[test] for test in tests if test in items]

            def work(path: str = path, text: str = text, chosen: list[Any] = chosen) -> int:
                if path and not self._replaced(path, text, standing):
                    said.write_text(json.dumps([ELSEWHERE, ""]), encoding="utf-8")
                    return 0
                for item, after in zip(chosen, [*chosen[1:], None], strict=False):
                    item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
                    if self.failed:
                        break
                said.write_text(
                    json.dumps(["killed", self.failed] if self.failed else ["passed", ""]), encoding="utf-8"
                )
                return 0

            done = forked(work, self.folder, limit, self.folder / "mutant.log")
            if said.is_file():
                answer = said.read_text(encoding="utf-8")
            else:
                log = (self.folder / "mutant.log").read_text(encoding="utf-8", errors="replace").strip()
                why = f"no end within {limit:.0f} s" if done is None else f"ended with {done}: {log[-200:]}"
                answer = json.dumps(["killed", why])
            self.line.write(answer + "\n")
            self.line.flush()
        return True

    def _replaced(self, path: str, text: str, standing: dict[Any, list[FunctionType]]) -> bool:
        """Whether every piece of code that differs is now in the functions that stand."""
        target = self.folder / path
        before, after = (
            compile(source, str(target), "exec", dont_inherit=True)
            for source in (target.read_text(encoding="utf-8"), text)
        )
        pairs = changed_functions(before, after)
        if pairs is None or not all(_name(old) in standing for old, _, outer in pairs if outer):
            return False
        for old, new, _ in pairs:
            for function in standing.get(_name(old), ()):
                if function.__code__.co_freevars != new.co_freevars:
                    return False
                function.__code__ = new
        return True


def _name(code: CodeType) -> tuple[str, str, int]:
    return code.co_filename, code.co_qualname, code.co_firstlineno


class Waiting:
    """The process that has collected these test files in the copy."""

    def __init__(self, folder: Path, files: list[str]) -> None:
        mine, theirs = socket.socketpair()

        def work() -> int:
            import pytest

            mine.close()
            held = _Held(folder, theirs.makefile("rw", encoding="utf-8"))
            return int(pytest.main([*OPTIONS, f"--basetemp={folder}/kept", *files], plugins=[held]))

        self.pid = _child(work, folder, folder / "waiting.log")
        theirs.close()
        self.line = mine.makefile("rw", encoding="utf-8")
        self.folder, self.socket = folder, mine

    def run(self, path: str, text: bytes, tests: list[str], limit: float) -> tuple[str, str]:
        """("killed", by what), ("passed", "") or ("elsewhere", "") where the change is not in a function;
        without a path the tests of the engine as it is.
        """
        with suppress(BrokenPipeError):
            self.line.write(json.dumps([path, text.decode(), tests, limit]) + "\n")
            self.line.flush()
        answer = self.line.readline()
        if not answer:
            raise RuntimeError((self.folder / "waiting.log").read_text(encoding="utf-8")[-3000:])
        ended, why = json.loads(answer)
        return ended, why

    def close(self) -> None:
        """End it."""
        self.line.close()
        self.socket.close()
        os.waitpid(self.pid, 0)


class _Chosen:
    """A pytest plugin: only these tests, in this order; tells which one failed."""

    def __init__(self, tests: list[str]) -> None:
        self.order = {test: number for number, test in enumerate(tests)}
        self.failed = ""

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        steady(items, 10_000)
        items[:] = sorted(
            (item for item in items if item.nodeid in self.order), key=lambda item: self.order[item.nodeid]
        )

    def pytest_collectreport(self, report: Any) -> None:
        if report.failed and not self.failed:
            self.failed = f"{report.nodeid} (cannot be imported)"

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed and not self.failed:
            self.failed = report.nodeid


def run_tests(folder: Path, tests: list[str], limit: float) -> tuple[str, str]:
    """("passed", "") or ("killed", by what) for these tests in the copy, stopped at the first failure, by a
    process that imports the program anew.
    """
    killer, log = folder / "killer.txt", folder / "mutant.log"
    killer.unlink(missing_ok=True)

    def child() -> int:
        import pytest

        chosen = _Chosen(tests)
        files = list(dict.fromkeys(test.split("::")[0] for test in tests))
        code = int(pytest.main([*OPTIONS, "-x", *files], plugins=[chosen]))
        killer.write_text(chosen.failed or f"pytest ended with {code}", encoding="utf-8")
        return code

    code = forked(child, folder, limit, log)
    if code == 0:
        return "passed", ""
    if code is None:
        return "killed", f"no end within {limit:.0f} s"
    return "killed", (
        killer.read_text(encoding="utf-8")
        if killer.is_file()
        else log.read_text(encoding="utf-8", errors="replace")[-400:]
    )
