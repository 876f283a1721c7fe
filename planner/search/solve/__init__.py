"""One quantity of a flight left open: for which of its values is every limit kept, from the ramp to the last
usable fuel?
"""

from planner.flight.curve import quadratic_roots
from planner.search.solve.critical import critical_points
from planner.search.solve.family import Cell, Change, Family, ParamStretch, cells
from planner.search.solve.intervals import Check, Checks, Interval, Judged, bracketed_root, inside_intervals

__all__ = [
    "Cell",
    "Change",
    "Check",
    "Checks",
    "Family",
    "Interval",
    "Judged",
    "ParamStretch",
    "bracketed_root",
    "cells",
    "critical_points",
    "inside_intervals",
    "quadratic_roots",
]
