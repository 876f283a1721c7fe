"""How many examples a test draws: few in every run, `PLANNER_TESTS_TIMES` times that in the long ones."""

from __future__ import annotations

import os
from collections.abc import Sequence
from itertools import product
from typing import Any, Final

TIMES: Final = float(os.environ.get("PLANNER_TESTS_TIMES", "1"))


def examples(few: int) -> int:
    """As many as this run is to draw where every run draws `few`."""
    return max(round(few * TIMES), 1)


def stride(every: int) -> int:
    """How far on the next of a count is: `every` so many in every run, each one in the long run."""
    return 1 if TIMES > 1 else every


def in_turn(each: Sequence[Any], others: Sequence[Any]) -> list[tuple[Any, Any]]:
    """Every one of `each` with one of `others`, in turn; with all of them in the long run."""
    if TIMES > 1:
        return list(product(each, others))
    return [(one, others[number % len(others)]) for number, one in enumerate(each)]
