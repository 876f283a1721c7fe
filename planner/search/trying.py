"""One value of a variable tried: every limit of the flight by name, each judged only when it is asked.

What is tried is compiled from the same records and judged by the same evaluators as a plan; left out are the
limits nobody asks about and all that a reader of a plan wants besides (notices, crossings, example figures).
Nothing is offered on a trial: what a search offers has been planned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cached_property, partial

from planner.flight.burn import Stretch, spans
from planner.flight.envelope import LimitResult, judge
from planner.flight.limits import Limit
from planner.flight.loading import Variant
from planner.flight.model import Model
from planner.plan import Begun, begin
from planner.plan.states import At, Known, asked_along, least_along, load_limits, path_of, places
from planner.quantities.effects import Effect
from planner.quantities.moments import Total
from planner.records.document import Changes
from planner.search.varied import Case, fuller


class Asked:
    """One limit of a trial, `linear` where its margin and U are straight lines of the variable between
    events; judged when it is first asked.
    """

    def __init__(self, name: str, linear: bool, judge_it: Callable[[], LimitResult]) -> None:
        self.name, self.linear, self._judge = name, linear, judge_it

    @cached_property
    def result(self) -> LimitResult:
        """The limit judged."""
        return self._judge()

    @property
    def margin(self) -> float:
        """Its margin where it is nearest to its U [SI of the limit]. Source: `planner.plan`."""
        return self.result.tightest[0]

    @property
    def uncertainty(self) -> float:
        """U there [SI of the limit]. Source: `planner.plan`."""
        return self.result.tightest[1]

    @property
    def slack(self) -> float:
        """margin - U; the limit is shown to be kept where it is above zero. Source: `planner.plan`."""
        return self.margin - self.uncertainty


def trial(case: Case, changes: Changes) -> tuple[Asked, ...]:
    """Every limit of a case with changes made as `Case.with_` makes them; with what the tanks may hold more, if
    anything, besides.

    Raises InputRefused where the flight is refused. Source: `planner.plan`.
    """
    flight, aircraft = case.flight.with_(changes, case.aircraft), case.aircraft
    begun = begin(flight, aircraft)
    enough = begun.fuelling.plan.enough
    found = Asked(enough.id, True, lambda: enough), *asked(begun)
    if not case.more:
        return found
    heavier = flight.with_(fuller(begun.model, case.more), aircraft)
    return *found, *asked(begin(heavier, aircraft), "heavier: ")


def asked(begun: Begun, prefix: str = "") -> Iterator[Asked]:
    """Every limit of a flight but that its fuel is enough, those judged with the least work first.

    Parameters: the flight as `planner.plan.begin` has it; what the names begin with. Source: `planner.plan`.
    """
    model, fuelling = begun.model, begun.fuelling
    for each in load_limits(model, fuelling.draws):
        yield Asked(f"{prefix}load: {each.name}", True, partial(_same, each))
    for place, at in places(model, fuelling.draws, fuelling.off).items():
        here = _Place(model, at)
        for limit in model.at(place):
            name = f"{prefix}{place}: {limit.name}"
            yield Asked(name, limit.dimension == "mass", partial(here.judged, limit))
    path = path_of(model, fuelling.draws)
    known: Known = {}
    for variant, bound, stretches in asked_along(model, path):
        if next(spans(stretches, bound), None) is not None:
            name = f"{prefix}burn: {bound.name}{variant.suffix}, whole burn"
            yield Asked(name, False, partial(_along, model, variant, bound, stretches, known))


def _same(found: LimitResult) -> LimitResult:
    """A limit that is judged already."""
    return found


class _Place:
    """One state of a flight, its total and effects worked out once for all its limits, if any is asked."""

    def __init__(self, model: Model, at: At) -> None:
        self.model, self.at = model, at

    @cached_property
    def _there(self) -> tuple[Total, tuple[Effect, ...]]:
        return self.model.total_with(self.at[0]), self.model.effects_with(*self.at)

    def judged(self, limit: Limit) -> LimitResult:
        """The state held against one of its limits."""
        return judge(limit, *self._there)


def _along(
    model: Model, variant: Variant, bound: Limit, path: Sequence[Stretch], known: Known
) -> LimitResult:
    """A limit asked all along the burn, which has a least margin, as something is burnt."""
    found = least_along(model, variant, bound, path, known)
    assert found is not None  # asked only of a path that has a span
    return found[1]
