"""One quantity of a flight left open: for which of its values is every limit kept, from the ramp to the last
usable fuel?
"""

from planner.search.solve.critical import critical_points
from planner.search.solve.family import Change, Family, cells
from planner.search.solve.intervals import Interval, inside_intervals

__all__ = ["Change", "Family", "Interval", "cells", "critical_points", "inside_intervals"]
