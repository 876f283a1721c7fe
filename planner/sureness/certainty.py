"""Which input makes a margin unsure, and what measuring it better would buy."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from planner.flight.envelope import NOISE
from planner.quantities.effects import COVERAGE
from planner.quantities.frozen import frozen

Causes = Sequence[tuple[str, float]]


@frozen
class Share:
    """One line of a budget: `cause`, the signed `change` of the margin for its standard uncertainty, `share`
    of the variance [1].
    """

    cause: str
    change: float
    share: float


def budget(causes: Causes) -> tuple[Share, ...]:
    """The budget of one figure, largest share first: share_i = c_i2 / sum c2.

    Parameters: `causes`, pairs of cause and signed change for one standard uncertainty [unit of the figure].
    Returns Shares; empty where nothing is unsure.
    Source: [jcgm-100] 5.1.2; [quam-a1] for the layout by contribution.
    """
    variance = math.fsum(change * change for _, change in causes)
    if variance <= 0.0:
        return ()
    shares = (Share(cause, change, change * change / variance) for cause, change in causes)
    told = (each for each in shares if each.share > NOISE**2)  # else what rounding left of 0
    return tuple(sorted(told, key=lambda share: (-share.share, share.cause)))


def expanded_with(causes: Causes, factors: Mapping[str, float]) -> float:
    """The expanded uncertainty (k = 2) if some inputs were known better: k sqrt(sum (f_i c_i)2).

    Parameters: `causes` as `budget`; `factors` cause -> new u over old u [1], 1 where not named.
    Range: factors of 0 to 1. Source: [jcgm-100] 5.1.2, 6.2.1.
    """
    return COVERAGE * math.hypot(*(change * factors.get(cause, 1.0) for cause, change in causes))
