"""A copy of the tree, and tests run in it by a child process that already has the slow libraries."""

from __future__ import annotations

import compileall
import importlib
import os
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any

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

        def child() -> int:
            import pytest

            compileall.compile_dir(self.folder / "planner", quiet=1)
            return int(
                pytest.main(
                    [
                        "-q",
                        "--collect-only",
                        "-n",
                        "0",
                        "-p",
                        "no:cacheprovider",
                        "tests/unit",
                        "tests/properties",
                        "tests/reference",
                        "tests/oracle",
                    ]
                )
            )

        if forked(child, self.folder, 300, self.folder / "warm.log") != 0:
            raise RuntimeError((self.folder / "warm.log").read_text(encoding="utf-8")[-3000:])

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


def forked(work: Callable[[], int], folder: Path, limit: float, log: Path) -> int | None:
    """What `work` returns when done by a child in that folder, with its output in `log`; None where it took
    longer than `limit` seconds.
    """
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        code = 70
        try:
            os.setpgid(0, 0)
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            signal.setitimer(signal.ITIMER_REAL, limit)
            # A change may ask for endless memory as well as endless time.
            import resource

            resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
            out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(out, 1)
            os.dup2(out, 2)
            os.chdir(folder)
            sys.path.insert(0, str(folder))
            os.environ["PYTHONPATH"] = str(folder)
            for name in [name for name in sys.modules if name == "tests" or name.startswith("tests.")]:
                del sys.modules[name]
            code = work()
        except BaseException:  # noqa: BLE001 - the child must end here whatever happened, and say it
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        return None if os.WTERMSIG(status) == signal.SIGALRM else 71
    return os.WEXITSTATUS(status)


class Chosen:
    """A pytest plugin: only these tests, in this order; tells which one failed."""

    def __init__(self, tests: list[str]) -> None:
        self.order = {test: number for number, test in enumerate(tests)}
        self.failed = ""
        self.began = time.monotonic()

    def pytest_configure(self) -> None:
        from hypothesis import Phase, settings

        # That a law is broken is enough here; the smallest example of it would cost most of the time.
        settings.register_profile("mutation", phases=(Phase.explicit, Phase.generate), database=None)
        settings.load_profile("mutation")

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
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
    """("passed", "") or ("killed", by what) for these tests in the copy, stopped at the first failure."""
    killer, log = folder / "killer.txt", folder / "mutant.log"
    killer.unlink(missing_ok=True)
    shutil.rmtree(folder / ".hypothesis", ignore_errors=True)

    def child() -> int:
        import pytest

        sys.dont_write_bytecode = True
        chosen = Chosen(tests)
        files = list(dict.fromkeys(test.split("::")[0] for test in tests))
        options = ["-q", "-x", "--tb=no", "-n", "0", "-p", "no:cacheprovider", "--hypothesis-seed=1"]
        code = int(pytest.main([*options, *files], plugins=[chosen]))
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
