"""The chance of being inside every limit through the whole burn, by drawing the inputs at random (JCGM 101's
way).

`Margins` gives the exact margin of every draw against every limit at every corner of the burn, with the
closed form where the burn sags between its corners. Nearly all draws need none of that: a margin is so close
to linear in the inputs that one small matrix product settles every draw further from the limit than the
linear form was ever wrong; only the rest are computed exactly. So the figures cost a fraction of the random
numbers.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.plan.results import Plan
from planner.sureness.margins import Array, DrawnMargins

BLOCK: Final = 8192
PILOT: Final = 1024  # draws computed exactly to learn how far from linear the margins are
# The remainder grows with the square of a draw's distance; the farthest of a billion draws lies 1.9 times
# farther out than the farthest of the pilot's, so four times the pilot's worst remainder is beyond it.
SAFETY: Final = 4.0
OUT_OF_REACH: Final = 8.5  # standard deviations; a normal draw goes beyond with a chance of 1e-17
# One-sided 2 sigma: what "margin larger than U (k = 2)" means for a single normal margin.
SHOWN: Final = 0.977


@dataclass(frozen=True, slots=True)
class Chance:
    """Outcome of the draws: how many of `draws` are `inside`, the share, its standard error, the seed, and
    failures per limit.
    """

    draws: int
    inside: int
    share: float
    standard_error: float
    seed: int
    failures: tuple[tuple[str, int], ...]
    full_checks: int

    @property
    def shown(self) -> bool:
        """Whether the share reaches 97.7 %."""
        return self.share >= SHOWN


def chance(plan: Plan, draws: int, seed: int = 1, progress: Callable[[int], None] | None = None) -> Chance:
    """Draw every unsure input from its normal distribution and count the draws inside every limit through the
    whole burn.

    Inputs shared by several figures are drawn once. The fuel plan is not part of it: its surplus has its own
    U.

    Parameters: `plan`; `draws`, 1 or more; `seed`; `progress` called with the number of draws done after each
    block. Returns a Chance; `standard_error` = sqrt(p (1 - p) / n).
    Range: uncertainties small against masses and volumes (a negative volume is not cut off).
    Raises ValueError for fewer than one draw.
    Source: [jcgm-100] and its Supplement 1 (JCGM 101) clause 7, from memory.
    """
    if draws < 1:
        raise ValueError(f"{draws} draws")
    margins = DrawnMargins(plan)
    if not margins.causes:
        failed = dict.fromkeys(
            name
            for name, value in zip(margins.names, margins.of(np.zeros((0, 1)))[:, 0], strict=True)
            if value < 0
        )
        inside = 0 if failed else draws
        return Chance(
            draws=draws,
            inside=inside,
            share=inside / draws,
            standard_error=0.0,
            seed=seed,
            failures=tuple((name, draws) for name in failed),
            full_checks=0,
        )
    forms = _linear_forms(margins, seed)
    rng = np.random.default_rng(seed)
    z = np.empty((len(margins.causes), BLOCK))
    failures = np.zeros(len(margins.names), dtype=np.int64)
    outside = full = 0
    waiting: list[Array] = []
    for begin in range(0, draws, BLOCK):
        n = min(BLOCK, draws - begin)
        block = z if n == BLOCK else np.empty((len(margins.causes), n))
        rng.standard_normal(out=block)
        outside += _settle(forms, block, failures, waiting)
        if sum(each.shape[1] for each in waiting) >= BLOCK or begin + n == draws:
            exact, looked = _exactly(margins, forms, waiting, failures)
            outside, full = outside + exact, full + looked
            waiting.clear()
        if progress is not None:
            progress(begin + n)
    inside = draws - outside
    share = inside / draws
    per_limit: dict[str, int] = {}
    for name, count in zip(margins.names, failures, strict=True):
        # One limit is checked at several corners; the worst of them is a lower bound of its failures, and
        # close to it.
        per_limit[name] = max(per_limit.get(name, 0), int(count))
    ranked = tuple(
        sorted(((name, count) for name, count in per_limit.items() if count), key=lambda item: -item[1])
    )
    return Chance(
        draws=draws,
        inside=inside,
        share=share,
        standard_error=math.sqrt(share * (1 - share) / draws),
        seed=seed,
        failures=ranked,
        full_checks=full,
    )


@dataclass(frozen=True, slots=True)
class _Forms:
    """The forms that can fail at all (`rows` of `Margins.names`): margins at the means, slopes per input, and
    how far each strays from linear.
    """

    rows: NDArray[np.intp]
    centre: Array
    slopes: Array
    stray: Array


def _linear_forms(margins: DrawnMargins, seed: int) -> _Forms:
    k, step = len(margins.causes), 1e-3
    nudges = np.concatenate([np.zeros((k, 1)), step * np.eye(k), -step * np.eye(k)], axis=1)
    nudged = margins.of(nudges)
    centre, slopes = nudged[:, 0], (nudged[:, 1 : k + 1] - nudged[:, k + 1 :]) / (2 * step)
    pilot = np.random.default_rng((seed, 1)).standard_normal((k, PILOT))
    stray = SAFETY * np.abs(margins.of(pilot) - (centre[:, None] + slopes @ pilot)).max(axis=1) + 1e-9
    rows = np.flatnonzero(centre <= OUT_OF_REACH * np.linalg.norm(slopes, axis=1) + stray)
    keep = [
        int(row)
        for row in rows
        if not any(_behind(margins.names, centre, slopes, stray, int(row), int(other)) for other in rows)
    ]
    return _Forms(np.array(keep, dtype=np.intp), centre[keep], slopes[keep], stray[keep])


def _behind(names: Sequence[str], centre: Array, slopes: Array, stray: Array, row: int, other: int) -> bool:
    """Whether the same limit is always nearer at the corner `other` than at `row`, so that `row` decides
    nothing.
    """
    if row == other or names[row] != names[other]:
        return False
    lead = OUT_OF_REACH * float(np.linalg.norm(slopes[row] - slopes[other])) + stray[row] + stray[other]
    return bool(centre[row] - centre[other] > lead)


def _settle(forms: _Forms, z: Array, failures: NDArray[np.int64], waiting: list[Array]) -> int:
    """Count the draws of a block that are surely outside, and put those too near a limit to say into
    `waiting`.
    """
    out: NDArray[np.bool_] | None = None
    doubtful: list[NDArray[np.intp]] = []
    sure: list[tuple[int, NDArray[np.intp]]] = []
    linear = forms.slopes @ z
    for position, row in enumerate(forms.rows):
        values = linear[position]
        hits = np.flatnonzero(values < forms.stray[position] - forms.centre[position])
        if not hits.size:
            continue
        failed = values[hits] < -forms.stray[position] - forms.centre[position]
        sure.append((int(row), hits[failed]))
        if not failed.all():
            doubtful.append(hits[~failed])
    if doubtful:
        unsure = np.unique(np.concatenate(doubtful))
        waiting.append(z[:, unsure])
        out = np.zeros(z.shape[1], dtype=np.bool_)
        out[unsure] = True
    outside: NDArray[np.bool_] = np.zeros(z.shape[1], dtype=np.bool_) if sure else np.zeros(0, dtype=np.bool_)
    for row, columns in sure:
        # A draw that waits is counted when it is computed exactly, for all its limits at once.
        settled = columns if out is None else columns[~out[columns]]
        failures[row] += settled.size
        outside[settled] = True
    return int(np.count_nonzero(outside))


def _exactly(
    margins: DrawnMargins, forms: _Forms, waiting: Sequence[Array], failures: NDArray[np.int64]
) -> tuple[int, int]:
    """Compute the waiting draws in full: how many are outside, and how many there were."""
    if not waiting:
        return 0, 0
    z = np.concatenate(waiting, axis=1)
    failed = margins.of(z, forms.rows) < 0
    failures[forms.rows] += failed.sum(axis=1)
    return int(np.count_nonzero(failed.any(axis=0))), z.shape[1]
