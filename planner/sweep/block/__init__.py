"""Many loadings of one flight at once: every margin exact, every verdict that of the plan. Imports numpy;
nothing a plain plan needs imports this.
"""

from planner.flight.limits import Group
from planner.sweep.block.kernel import GREATEST_BLOCK, Kernel
from planner.sweep.block.model import GROUP_DIMENSION, GROUPS, LoadColumn, LoadLimit, SweepModel, spread
from planner.sweep.block.tally import INSIDE, NOT_SHOWN, OUTSIDE, BlockResult
from planner.sweep.block.verdicts import Sweeper

__all__ = [
    "GREATEST_BLOCK",
    "GROUPS",
    "GROUP_DIMENSION",
    "INSIDE",
    "NOT_SHOWN",
    "OUTSIDE",
    "BlockResult",
    "Group",
    "Kernel",
    "LoadColumn",
    "LoadLimit",
    "SweepModel",
    "Sweeper",
    "spread",
]
