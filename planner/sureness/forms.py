"""Which draws are surely inside or outside, by forms that are straight in the unsure inputs.

A margin over a whole burn is the least of many and bends with the inputs; at one place it hardly bends at
all, in moment (kg.m) even less than in arm. So every place where a limit can be nearest has its own form. A
`must` form is a margin that is asked for; any other is a lower bound. A draw on which every form is above
its stray is inside, one on which a must form is below minus its stray is outside, and any other is flown in
full. What strays is measured, not assumed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import field
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.quantities.frozen import frozen
from planner.sureness.margins import Array, DrawnMargins
from planner.sureness.places import SLACK, PlaceForm, places

PILOT: Final = 1024  # draws flown in full to learn how far from straight each form is
# What is left of a form grows with the square of a draw's distance; the farthest of a billion draws lies 1.9
# times farther out than the farthest of the pilot's, so four times the pilot's worst is beyond it.
SAFETY: Final = 4.0
FAR: Final = 6.0  # standard deviations each input is put off alone, to meet a kink that the pilot never met
OUT_OF_REACH: Final = 8.5  # standard deviations; a normal draw goes beyond with a chance of 1e-17
_NOWHERE: Final = 1e6  # m; where a limit is not asked
_FEW: Final = 0.005  # share of draws flown in full that is not worth a second look
_STEP: Final = 1e-3  # standard deviations of the slope taken across the mean


@frozen
class _Line:
    """One form made straight: `centre` at the mean, `slopes` per input and product, `stray` how far off it
    is.

    `spread` is how far from its centre it is OUT_OF_REACH standard deviations out, but for the stray.
    """

    row: int
    must: bool
    centre: float
    slopes: Array
    spread: float
    stray: float
    other: _Line | None = None

    @property
    def low(self) -> float:
        """The least value of any draw."""
        return self.centre - self.spread - self.stray

    @property
    def high(self) -> float:
        """The greatest value of any draw."""
        return self.centre + self.spread + self.stray


@frozen
class Forms:
    """The forms within reach of zero, over inputs, `products` of two and 1, each divided by its stray.

    `of` is the limit of each and `must` its kind; `rows` are the limits there are. The forms after those are
    the others of the ones at `pairs`: of such two the greater counts.
    """

    products: tuple[tuple[int, int], ...]
    lines: Array
    of: NDArray[np.intp]
    must: NDArray[np.bool_]
    pairs: tuple[int, ...]
    rows: NDArray[np.intp] = field(init=False)
    _places: tuple[slice, ...] = field(init=False)

    def __post_init__(self) -> None:
        rows, first = np.unique(self.of, return_index=True)  # the forms of a limit lie together
        object.__setattr__(self, "rows", rows)
        object.__setattr__(
            self, "_places", tuple(slice(a, b) for a, b in pairwise([*first.tolist(), len(self.of)]))
        )

    def room(self, draws: int) -> Array:
        """A block for so many draws, whose first rows take the inputs."""
        return np.ones((self.lines.shape[1], draws))

    def judge(self, block: Array) -> tuple[NDArray[np.bool_], NDArray[np.intp]]:
        """Which of `rows` each draw of a `room` surely fails, and the draws left open, for which that is
        void.
        """
        count, inputs = len(self.of), len(block) - 1 - len(self.products)
        for at, (first, second) in enumerate(self.products, start=inputs):
            np.multiply(block[first], block[second], out=block[at])
        values = self.lines @ block
        for at, place in enumerate(self.pairs):
            np.maximum(values[place], values[count + at], out=values[place])
        near, fails = values[:count] < 1.0, values[:count] < -1.0
        if not self.must.all():
            fails[~self.must] = False
        sure = np.count_nonzero(near) == np.count_nonzero(fails)
        if len(self.rows) < count:
            near, fails = (
                np.stack([each[mine].any(axis=0) for mine in self._places]) for each in (near, fails)
            )
        return fails, np.zeros(0, dtype=np.intp) if sure else np.flatnonzero((near & ~fails).any(axis=0))


def straight_forms(margins: DrawnMargins, seed: int) -> Forms:
    """The forms of a plan's margins, learnt from the mean, each input alone, and a pilot of draws."""
    k = len(margins.causes)
    pairs = tuple(dict.fromkeys((first, second) for _, first, second, _ in margins.products))
    learn = _Learner(k, pairs, np.random.default_rng((seed, 1)).standard_normal((k, PILOT)))
    flown = margins.flown(learn.block)
    kept = [line for row, values in enumerate(flown.rows) for line in learn.near([PlaceForm(row, values)])]
    for row, watched in enumerate(flown.watched, start=len(flown.rows)):
        variant, _, path = watched
        burnt = sum((stretch.start - stretch.end for stretch in path), start=np.zeros(1))
        always = not variant.names or bool((burnt > SLACK).all())  # one without fuel in the air is not asked
        forms = learn.near(places(row, watched, flown.zero, learn.reach)) if always else []
        if (
            not always or learn.doubt(forms) > _FEW
        ):  # where each place bends, the least of all may be straighter
            whole = learn.near([PlaceForm(row, np.minimum(margins.least(watched, flown), _NOWHERE))])
            forms = min(forms, whole, key=learn.doubt) if always else whole
        kept += forms
    every = [*kept, *(line.other for line in kept if line.other is not None)]
    rows = np.array([[*line.slopes, line.centre] for line in every]).reshape(len(every), len(learn.terms) + 1)
    strays = np.array([line.stray or -line.centre / 2 for line in every])
    return Forms(
        products=pairs,
        lines=rows / strays[:, None],
        of=np.array([line.row for line in kept], dtype=np.intp),
        must=np.array([line.must for line in kept], dtype=np.bool_),
        pairs=tuple(at for at, line in enumerate(kept) if line.other is not None),
    )


def _spread(slopes: Array, inputs: int) -> float:
    """How far a form can be from its centre; a product is at most half the square of the distance."""
    products = float(np.abs(slopes[inputs:]).sum())
    return OUT_OF_REACH * float(np.linalg.norm(slopes[:inputs])) + OUT_OF_REACH**2 / 2 * products


class _Learner:
    """Makes values straight, flown for `block`: the mean, inputs nudged, pairs off, inputs far off, the
    pilot.
    """

    def __init__(self, inputs: int, pairs: Sequence[tuple[int, int]], pilot: Array) -> None:
        self.inputs, alone = inputs, np.eye(inputs)
        signs = ((1, 1), (-1, -1), (1, -1), (-1, 1))
        corners = (
            np.array([a * alone[i] + b * alone[j] for a, b in signs for i, j in pairs]).reshape(-1, inputs).T
        )
        parts = [
            np.zeros((inputs, 1)),
            _STEP * alone,
            -_STEP * alone,
            corners,
            FAR * alone,
            -FAR * alone,
            pilot,
        ]
        self.block = np.concatenate(parts, axis=1)
        self.pairs = len(pairs)
        self.terms = np.concatenate([self.block, *(self.block[i : i + 1] * self.block[j] for i, j in pairs)])
        # with the values, so that their id is not used again
        self._reaches: dict[int, tuple[Array, tuple[float, float]]] = {}

    def line(self, form: PlaceForm) -> _Line:
        """A form made straight, with its other."""
        other = None if form.other is None else self.line(PlaceForm(form.row, form.other, form.must))
        return self._line(form.row, form.must, form.values, other)

    def reach(self, values: Array) -> tuple[float, float]:
        """The least and the greatest value of any draw."""
        if id(values) not in self._reaches:
            line = self._line(0, True, values, None)
            self._reaches[id(values)] = values, (line.low, line.high)
        return self._reaches[id(values)][1]

    def near(self, forms: Iterable[PlaceForm]) -> list[_Line]:
        """The forms of one limit that can come below zero and are not behind another, made straight."""
        lines = [self.line(form) for form in forms]
        lines = [line for line in lines if line.low < 0 and (line.other is None or line.other.low < 0)]
        return [line for line in lines if not any(self._behind(line, other) for other in lines)]

    def _behind(self, line: _Line, other: _Line) -> bool:
        """Whether the limit is always nearer by `other`, so that `line` decides nothing."""
        if line is other or line.other or other.other or line.must > other.must:
            return False
        return (
            line.centre - other.centre
            > _spread(line.slopes - other.slopes, self.inputs) + line.stray + other.stray
        )

    def doubt(self, lines: Sequence[_Line]) -> float:
        """The share of the pilot that the forms of one limit leave open [1]."""
        fails, inside = np.zeros(PILOT, dtype=np.bool_), np.ones(PILOT, dtype=np.bool_)
        for line in lines:
            below, above = self._sides(line)
            if line.other is not None:
                also, or_above = self._sides(line.other)
                below, above = below & also, above | or_above
            inside &= above
            if line.must:
                fails |= below
        return 1.0 - float(np.count_nonzero(fails | inside)) / PILOT

    def _sides(self, line: _Line) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """The draws of the pilot for which a form is surely below zero, and surely not."""
        values = line.centre + line.slopes @ self.terms[:, -PILOT:]
        return values < -line.stray, values >= line.stray

    def _line(self, row: int, must: bool, values: Array, other: _Line | None) -> _Line:
        k, centre = self.inputs, float(values[0])
        alike = values[2 * k + 1 :][: 4 * self.pairs].reshape(4, -1)
        straight = (values[1 : k + 1] - values[k + 1 : 2 * k + 1]) / (2 * _STEP)
        slopes = np.concatenate([straight, (alike[0] + alike[1] - alike[2] - alike[3]) / 4])
        off = np.abs(values - (centre + slopes @ self.terms))
        stray = max(float(off[:-PILOT].max()), SAFETY * float(off[-PILOT:].max())) + SLACK
        if (values == centre).all():  # nothing unsure enters: decided for every draw alike
            stray = 0.0
        return _Line(
            row=row,
            must=must,
            centre=centre,
            slopes=slopes,
            spread=_spread(slopes, k),
            stray=stray,
            other=other,
        )
