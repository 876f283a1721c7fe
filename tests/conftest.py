"""Drawn examples are the same in every run, so that the check of a change speaks of that change alone.

`PLANNER_TESTS_DRAW=new` draws new ones, as `python -m tests.long` does: what fails there is news about the
program, and no landing waits for it. Nor for a clock: how long an example takes is the machine's affair.

Compiled modules are kept where they belong, even where the shell asks Python not to: every worker and every
command started would compile them anew.
"""

import gc
import os
import sys

from hypothesis import HealthCheck, settings

if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
    sys.dont_write_bytecode = False
settings.register_profile("no clock", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile(
    "same every time", settings.get_profile("no clock"), derandomize=True, database=None
)
settings.load_profile("no clock" if os.environ.get("PLANNER_TESTS_DRAW") == "new" else "same every time")


def pytest_collection_finish() -> None:
    """What has been imported and collected stays: looking through it again for garbage took a tenth of the
    run.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
