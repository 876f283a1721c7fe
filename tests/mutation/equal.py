"""Changes that nothing could notice, each with the reason: judged by a reader, after the tests had let it
pass.
"""

from __future__ import annotations

from dataclasses import dataclass

from tests.mutation.changes import Change


@dataclass(frozen=True, slots=True)
class Equal:
    """A change: its file, the whole line without its indent, where in that the changed text begins (from 1),
    what it becomes, and why nothing can be seen.
    """

    path: str
    line: str
    column: int
    new: str
    why: str

    def is_of(self, change: Change, source: str) -> bool:
        """Whether it is this very change; not once the line reads differently."""
        line = source.splitlines()[change.line - 1]
        indent = len(line) - len(line.lstrip())
        return (self.path, self.line, self.column + indent, self.new) == (
            change.path,
            line.strip(),
            change.column,
            change.new,
        )


EQUAL: tuple[Equal, ...] = (
    Equal(
        "planner/sweep/block/kernel.py",
        "self.weights = np.ascontiguousarray(np.stack(columns, axis=1))",
        60,
        "(-1)",
        "columns of one axis are stacked along a second, which is the last",
    ),
    Equal(
        "planner/sweep/block/verdicts.py",
        "cg = arm - sign * np.where(np.isfinite(margin), margin, 0.0)",
        57,
        "(1.0)",
        "where no margin was met, none is counted, whatever its U",
    ),
    Equal(
        "planner/sweep/block/kernel.py",
        "np.subtract(cg, self.forward.arm(mass, inverse, forward, scratch), out=forward)",
        49,
        "aft",
        "only another array that is free at that moment takes the edge's arm; it is written over on the next"
        " line",
    ),
    Equal(
        "planner/flight/burn.py",
        'Crossing(bound.name, reach.stretch.point_at(ends[position]), "in" if sign > 0 else "out")',
        77,
        "(-1)",
        "the sign is 1 or -1 here, and -1 is above neither",
    ),
    *(
        Equal(
            "planner/search/solve/intervals.py",
            "b, fb, fa = middle, value, fa / 2 if step % 3 != 2 else fa",
            column,
            new,
            "only which steps halve the weight of an end: every third step halves the bracket all the same,"
            " and the root is the same",
        )
        for column, new in ((33, "(1)"), (33, "(-2)"), (50, "(1)"))
    ),
    *(
        Equal(
            "planner/search/solve/critical.py",
            "p for p in _of_stretch(family, cell, stretch, bound, shifts) if cell.low < p < cell.high",
            65,
            new,
            "the ends of the cell are among the points already",
        )
        for new in ("(cell.low <= p < cell.high)", "(cell.low < p <= cell.high)")
    ),
    Equal(
        "planner/search/solve/critical.py",
        "if 0.0 < border < math.inf:",
        4,
        "(0.0 < border <= math.inf)",
        "a line at an infinite mass meets no stretch: what it gives is not a number and is dropped",
    ),
    *(
        Equal(
            "planner/search/solve/critical.py",
            "and piece.low - _SLOP * at_mass <= at_mass <= piece.high + _SLOP * at_mass",
            5,
            new,
            "room for rounding: a root that lies to the last digit on the end of that room is nowhere",
        )
        for new in (
            "(piece.low - _SLOP * at_mass < at_mass <= piece.high + _SLOP * at_mass)",
            "(piece.low - _SLOP * at_mass <= at_mass < piece.high + _SLOP * at_mass)",
        )
    ),
    *(
        Equal(
            "planner/search/solve/family.py",
            'for leg in (*family.legs, Leg("reserve", "reserve", 0.0, 0.0)):',
            column,
            new,
            "the last leg burns what is aboard: neither its volume nor its time is read",
        )
        for column in (53, 58)
        for new in ("(1.0)", "(-1.0)")
    ),
    *(
        Equal(
            "planner/search/solve/family.py",
            "end = high if high - walk.high < 1e-12 * max(1.0, abs(high)) else walk.high",
            column,
            new,
            "room for rounding: an event that lies to the last digit at the end of that room is nowhere",
        )
        for column, new in ((55, "low"), (46, "(2.0)"))
    ),
    *(
        Equal(
            "planner/density/evaporation.py",
            "least = max(3 * resolution, 6 * usual, 1e3 * ROUNDING * max(abs(value) for value in readings))",
            40,
            new,
            "room for rounding, where readings have no resolution and no scatter",
        )
        for new in ("(999.0)", "(1001.0)")
    ),
    Equal(
        "planner/sweep/sweep_ranges.py",
        "steps = [2]",
        10,
        "(3)",
        "steps of ranges that are refused: nothing is swept",
    ),
    Equal(
        "planner/density/bench/hydrometer.py",
        'product.density_15c_from(_density(values, taken), values["temperature"])',
        1,
        "(product.density_15c_from(_density(values, taken), values['temperature'])"
        " - values['petroleum table'])",
        "what the table may be wrong by is nothing, as unsure one way as the other",
    ),
    Equal(
        "planner/plan/contents.py",
        "if not isinstance(density.at_15c, float) or not isinstance(density.temperature, float):",
        4,
        "(not isinstance(density.at_15c, float) and (not isinstance(density.temperature, float)))",
        "a density has both figures or, where it is fixed, neither",
    ),
)
