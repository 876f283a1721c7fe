"""Many loadings of one flight at once: every margin exact, every verdict that of the plan. Imports numpy;
nothing a plain plan needs imports this.
"""

from planner.flight.limits import Group
from planner.sweep.block.kernel import BLOCK, GREATEST_BLOCK, Kernel, Margins
from planner.sweep.block.model import GROUP_DIMENSION, GROUPS, LoadColumn, LoadLimit, SweepModel, spread
from planner.sweep.block.tally import INSIDE, NOT_SHOWN, OUTSIDE, BlockResult
from planner.sweep.block.verdicts import ROWS, Sweeper

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
    "Group",
    "Kernel",
    "LoadColumn",
    "LoadLimit",
    "Margins",
    "SweepModel",
    "Sweeper",
    "spread",
]
