"""Drawn examples are the same in every run, so that the check of a change speaks of that change alone.

`PLANNER_TESTS_DRAW=new` draws new ones, as `python -m tests.long` does: what fails there is news about the
program, and no landing waits for it.
"""

import os

from hypothesis import settings

settings.register_profile("same every time", derandomize=True, database=None)
if os.environ.get("PLANNER_TESTS_DRAW") != "new":
    settings.load_profile("same every time")
