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
        "planner/sweep/block/kernel.py",
        "np.subtract(cg, self.forward.arm(mass, forward, scratch), out=forward)",
        40,
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
            '[*legs, Leg("reserve", "reserve", 0.0, 0.0)],',
            column,
            new,
            "the last leg burns what is aboard: neither its volume nor its time is read",
        )
        for column in (35, 40)
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
    Equal(
        "planner/flight/curve.py",
        "high, low = volume + shape.unusable, greater(volume - share * length, 0.0) + shape.unusable",
        71,
        "(-1.0)",
        "a stretch ends where a tank is empty at the latest: only rounding is below zero",
    ),
    Equal(
        "planner/density/bench/calibrations.py",
        "data = stream.read(MAX_BYTES + 1)",
        32,
        "(2)",
        "one byte beyond the most is enough to tell that there are more",
    ),
    Equal(
        "planner/search/solve/intervals.py",
        "b, fb, fa = middle, value, fa / 2 if step % 3 != 2 else fa",
        28,
        "(fa * 2)",
        "only which steps move which end: every third halves the bracket, and the root is the same",
    ),
    Equal(
        "planner/search/solve/intervals.py",
        "if not memo.shown(a + (b - a) * _NODES[1]):",
        40,
        "(2)",
        "within a part no verdict changes: any place of it answers for it",
    ),
    Equal(
        "planner/search/solve/intervals.py",
        "if not memo.shown(a + (b - a) * _NODES[1]):",
        40,
        "(0)",
        "within a part no verdict changes: any place of it answers for it",
    ),
    Equal(
        "planner/search/solve/intervals.py",
        "middle = piece[0] + (piece[1] - piece[0]) * _NODES[1]",
        52,
        "(0)",
        "within a piece no margin of these changes sign: any place of it answers for it",
    ),
    Equal(
        "planner/search/solve/intervals.py",
        "middle = piece[0] + (piece[1] - piece[0]) * _NODES[1]",
        52,
        "(-1)",
        "within a piece no margin of these changes sign: any place of it answers for it",
    ),
    Equal(
        "planner/search/solve/intervals.py",
        "middle = piece[0] + (piece[1] - piece[0]) * _NODES[1]",
        52,
        "(2)",
        "within a piece no margin of these changes sign: any place of it answers for it",
    ),
    Equal(
        "planner/flight/envelope.py",
        "off = many.between(low, at_worst, high)",
        7,
        "many.between(at_worst, low, high)",
        "the greater of two does not ask which comes first",
    ),
    Equal(
        "planner/search/solve/critical.py",
        "-_SLOP <= x <= end + _SLOP",
        1,
        "(-_SLOP <= x < end + _SLOP)",
        "room for rounding: a root that lies to the last digit on the end of that room is nowhere",
    ),
    Equal(
        "planner/plan/examples.py",
        "return here.mass <= bound * (1 + 1e-9) and kept",
        8,
        "(here.mass < bound * (1 + 1e-09))",
        "room for rounding: no mass lies to the last digit on the end of that room",
    ),
    Equal(
        "planner/quantities/moments.py",
        "if needed > before.mass * (1 + _NOISE):",
        4,
        "(needed >= before.mass * (1 + _NOISE))",
        "room for rounding: no mass lies to the last digit on the end of that room",
    ),
    Equal(
        "planner/search/remedies/search.py",
        "return Impossible(remedy.steps[0], failing(plan), worse=_distance(plan) > _distance(before) + 1e-9)",
        57,
        "(_distance(plan) >= _distance(before) + 1e-09)",
        "room for rounding: no distance lies to the last digit on the end of that room",
    ),
    Equal(
        "planner/density/bench/bench_values.py",
        "FUEL_BATCH: Final = 0.5  # kg/m3, standard uncertainty of a supplier's density",
        21,
        "(-0.5)",
        "an uncertainty is squared before it is added",
    ),
    Equal(
        "planner/sureness/forms.py",
        "return [line for line in lines if not any(self._behind(line, other) for other in lines)]",
        39,
        "all",
        "a line is not behind itself: all are kept, and those that decide nothing decide nothing",
    ),
    Equal(
        "planner/sweep/block/kernel.py",
        "self.forward, self.aft = EdgeRows(envelope.forward, False), EdgeRows(envelope.aft, True)",
        53,
        "(True)",
        "only whether the least of lines or a search of the table gives the same arm",
    ),
    Equal(
        "planner/sureness/places.py",
        "return float(np.abs(values - others).max()) < SLACK / 4",
        21,
        "(values + others)",
        "only whether one place is asked twice, with one answer",
    ),
    Equal(
        "planner/flight/curve.py",
        "if discriminant < -1e-14 * max(b * b, abs(4 * a * c)):",
        43,
        "(5)",
        "room for rounding: no discriminant lies to the last digit on the end of that room",
    ),
    Equal(
        "planner/search/card/bounds.py",
        "priced = price * np.where(cut, bound, 0.0) * way",
        39,
        "(1.0)",
        "where nothing is cut the price is zero",
    ),
    Equal(
        "planner/search/card/proof.py",
        "while len(boxes) and seen < MOST_BOXES:",
        22,
        "(seen <= MOST_BOXES)",
        "only whether a proof that has looked at 60,000 boxes and no more gives up",
    ),
    Equal(
        "planner/flight/limits.py",
        "if drawn < top * (1 - 1e-9):",
        19,
        "(1 + 1e-09)",
        "where both are the same but for rounding, either is the limit",
    ),
    *(
        Equal(
            "planner/search/remedies/stop.py",
            "longer, shorter = (after, before) if place < 0.5 else (before, after)",
            column,
            new,
            "only which window is reckoned first: a place with either no wider than the best is passed over",
        )
        for column, new in (
            (19, "((before, after) if place < 0.5 else (after, before))"),
            (38, "(place <= 0.5)"),
            (38, "(place > 0.5)"),
            (46, "(-0.5)"),
            (46, "(1.5)"),
        )
    ),
)
