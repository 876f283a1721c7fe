"""Many loadings of one flight at once: every margin exact, every verdict that of the plan. Imports numpy; nothing a plain plan needs imports this."""

from planner.limits import Group
from planner.sweep.kernel import BLOCK, GREATEST_BLOCK, Kernel, Margins
from planner.sweep.model import GROUP_DIMENSION, GROUPS, Column, LoadLimit, Shift, StateLimit, SweepModel, spread
from planner.sweep.tally import INSIDE, NOT_SHOWN, OUTSIDE, BlockResult
from planner.sweep.verdicts import ROWS, Sweeper

__all__ = [
    "BLOCK",
    "GREATEST_BLOCK",
    "GROUPS",
    "GROUP_DIMENSION",
    "INSIDE",
    "NOT_SHOWN",
    "OUTSIDE",
    "ROWS",
    "BlockResult",
    "Column",
    "Group",
    "Kernel",
    "LoadLimit",
    "Margins",
    "Shift",
    "StateLimit",
    "SweepModel",
    "Sweeper",
    "spread",
]
