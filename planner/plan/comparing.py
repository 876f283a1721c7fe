"""Two to five loadings planned and set beside each other, limit by limit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from planner.flight.envelope import LimitResult, Verdict, worst
from planner.flight.limits import ENOUGH, STATES, Place
from planner.plan.results import Plan
from planner.quantities.frozen import frozen

FEWEST: Final = 2
MOST: Final = 5

Key = tuple[Place, str, str]
_PLACES: Final[tuple[Place, ...]] = ("load", "fuel", *STATES, "burn")


@frozen(kw_only=True)
class ComparedLoading:
    """One loading of a comparison: its plan, the `file` it comes from, the `name` of the leg where the file
    has several, and in words what was changed; `json` is the same change for programs.
    """

    plan: Plan
    file: str
    name: str = ""
    changes: tuple[str, ...] = ()
    json: tuple[dict[str, Any], ...] = ()


@frozen(kw_only=True)
class ComparedLimit:
    """One limit in every loading, in their order; None where it is not asked: nothing is on that station, or
    the profile has no such limit.
    """

    checks: tuple[LimitResult | None, ...]

    @property
    def limit(self) -> LimitResult:
        """The limit where it is asked first; its id, place, words and dimension are those of every check."""
        return next(each for each in self.checks if each is not None)

    def change(self, at: int) -> float | None:
        """How much more margin [SI of the dimension] a loading has than the first; None where one of the two
        is not asked.
        """
        first, other = self.checks[0], self.checks[at]
        return None if first is None or other is None else other.margin - first.margin


def compared_limits(plans: Sequence[Plan]) -> tuple[ComparedLimit, ...]:
    """Every limit that any of the plans was checked against, once, in the order of the register, and last
    whether the fuel is enough.

    A limit is found again by id and place. A number in an id counts within one profile and a category has
    bounds of its own, so its words have to agree too: otherwise it is another limit. Of a limit of the burn
    that is asked with several moment changes the check with the least margin stands.

    Parameters: `plans`, in the order they are to be shown. Returns ComparedLimits in SI.
    Source: the profiles, as `planner.flight.limits.register` reads them.
    """
    order: list[Key] = []
    checked: list[dict[Key, LimitResult]] = []
    for plan in plans:
        here: dict[Key, LimitResult] = {}
        after = 0
        for limit in plan.limits():
            key = (limit.place, limit.id, limit.base or limit.name)
            if key in order:
                after = order.index(key) + 1
            else:
                order.insert(after, key)
                after += 1
            if key not in here or limit.margin < here[key].margin:
                here[key] = limit
        checked.append(here)
    order.sort(key=lambda key: (key[1] == ENOUGH, _PLACES.index(key[0])))
    return tuple(ComparedLimit(checks=tuple(here.get(key) for here in checked)) for key in order)


def worst_compared(loadings: Sequence[ComparedLoading]) -> Verdict:
    """The verdict of all loadings together: the worst. Source: this program's rule."""
    return worst([each.plan.verdict for each in loadings])
