"""Modules stay short enough to be read in one sitting; one that has to be longer says why here."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[2] / "planner"
LONGEST = 550

EXCEPTIONS: dict[str, str] = {}


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def test_no_module_is_too_long() -> None:
    long = {
        str(path.relative_to(PACKAGE)): lines(path) for path in PACKAGE.rglob("*.py") if lines(path) > LONGEST
    }
    assert not (unnamed := long.keys() - EXCEPTIONS.keys()), (
        f"split these, or give a reason: { {name: long[name] for name in unnamed} }"
    )


def test_every_exception_is_still_needed() -> None:
    for name, reason in EXCEPTIONS.items():
        assert lines(PACKAGE / name) > LONGEST, f"{name} is short again: delete its exception"
        assert reason
