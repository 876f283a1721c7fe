"""The chance of being inside every limit through the whole burn, by drawing the inputs at random (JCGM 101's
way).

`Margins` gives the exact margin of every draw against every limit at every corner of the burn, with the
closed form where the burn sags between its corners. Nearly all draws need none of that: `forms` settles them
by one small matrix product. So the figures cost a fraction of the random numbers.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.plan.results import Plan
from planner.quantities.frozen import frozen
from planner.sureness.forms import Forms, straight_forms
from planner.sureness.margins import Array, DrawnMargins

BLOCK: Final = 8192
# One-sided 2 sigma: what "margin larger than U (k = 2)" means for a single normal margin.
SHOWN: Final = 0.977


@frozen
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
    rng, k = np.random.default_rng(seed), len(margins.causes)
    failures = np.zeros(len(margins.names), dtype=np.int64)
    outside = full = 0
    waiting: list[Array] = []
    if k:
        forms = straight_forms(margins, seed)
    else:  # every draw is the plan
        failures[margins.of(np.zeros((0, 1)))[:, 0] < 0] = draws
        outside = draws if failures.any() else 0
    for begin in range(0, draws if k else 0, BLOCK):
        n = min(BLOCK, draws - begin)
        if begin == 0 or n < BLOCK:
            block = forms.room(n)
        rng.standard_normal(out=block[:k])
        fails, unsure = forms.judge(block)
        if unsure.size:
            waiting.append(block[:k, unsure])
            fails[:, unsure] = False
        for row, failed in zip(forms.rows, fails, strict=True):
            failures[row] += np.count_nonzero(failed)
        outside += int(np.count_nonzero(np.logical_or.reduce(fails, axis=0)))
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


def _exactly(
    margins: DrawnMargins, forms: Forms, waiting: Sequence[Array], failures: NDArray[np.int64]
) -> tuple[int, int]:
    """Compute the waiting draws in full: how many are outside, and how many there were."""
    z = np.concatenate([np.zeros((len(margins.causes), 0)), *waiting], axis=1)
    if not z.size:
        return 0, 0
    failed = margins.of(z, forms.rows) < 0
    failures[forms.rows] += failed.sum(axis=1)
    return int(np.count_nonzero(failed.any(axis=0))), z.shape[1]
