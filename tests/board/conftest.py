"""What the tests of board and sheet share: a running board, and a real browser or a loud reason why there is
none.
"""

from __future__ import annotations

import importlib.util
import os
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from planner.app.board.serve import Board
from planner.app.board.session import Session
from planner.quantities.units import Display
from planner.records.store import load_flight_file

ROOT = Path(__file__).resolve().parents[2]


def _browser_module() -> ModuleType:
    spec = importlib.util.spec_from_file_location("board_browser", Path(__file__).with_name("browser.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["board_browser"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One Chromium for the run. Its absence fails in CI and is shouted about elsewhere."""
    module = _browser_module()
    if module.binary() is None:
        reason = (
            "NO CHROMIUM ON THIS MACHINE: board and printed sheet are NOT tested (apt-get install chromium)"
        )
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with module.Browser() as found:
        yield found


@pytest.fixture
def page(browser: Any) -> Iterator[Callable[..., Any]]:
    """Opens pages, and closes them after the test."""
    opened = []

    def new(wide: int = 1280, high: int = 900) -> Any:
        opened.append(browser.page(wide, high))
        return opened[-1]

    yield new
    for each in opened:
        each.close()
    browser.events.clear()


def running(session: Session) -> tuple[Board, threading.Thread]:
    """A board that answers, in a thread of its own."""
    board = Board(session)
    ready = threading.Event()
    thread = threading.Thread(target=board.run, args=(ready.set,))
    thread.start()
    assert ready.wait(10)
    return board, thread


@pytest.fixture
def serve() -> Iterator[Callable[..., Board]]:
    """Starts boards for demo flights or files, and stops them after the test."""
    started: list[tuple[Board, threading.Thread]] = []

    def new(flight: str | Path = "demo", units: str = "metric") -> Board:
        path = flight if isinstance(flight, Path) else ROOT / f"docs/flights/{flight}.yaml"
        started.append(running(Session(*load_flight_file(path), Display(units))))  # type: ignore[arg-type]
        return started[-1][0]

    yield new
    for board, thread in started:
        board.stop()
        thread.join(10)
        assert not thread.is_alive()


@pytest.fixture
def opened(serve: Callable[..., Board], page: Callable[..., Any]) -> Callable[..., tuple[Board, Any]]:
    """A board with its page open and its first figures shown."""

    def new(
        flight: str | Path = "demo", units: str = "metric", wide: int = 1280, high: int = 900
    ) -> tuple[Board, Any]:
        board = serve(flight, units)
        shown = page(wide, high)
        shown.go(board.url)
        shown.wait("document.documentElement.dataset.ready")
        return board, shown

    return new
