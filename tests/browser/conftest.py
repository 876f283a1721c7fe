"""The page in a real browser: the same one that the board's tests use, or a loud reason why there is none."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One Chromium for the run. Its absence fails in CI and is shouted about elsewhere."""
    from tests.browser.browser import Browser, binary

    if binary() is None:
        reason = "NO CHROMIUM ON THIS MACHINE: the page is NOT tested (apt-get install chromium)"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with Browser() as found:
        yield found


@pytest.fixture
def page(browser: Any) -> Iterator[Callable[..., Any]]:
    """Opens pages, and closes them after the test."""
    opened = []

    def new(wide: int = 390, high: int = 844) -> Any:
        opened.append(browser.page(wide, high))
        return opened[-1]

    yield new
    for each in opened:
        each.close()
    browser.events.clear()
