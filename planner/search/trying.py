"""One value of a variable tried: every limit of the flight by name, each judged only when it is asked.

What is tried is compiled from the same records and judged by the same evaluators as a plan; left out are the
limits nobody asks about and all that a reader of a plan wants besides (notices, crossings, example figures).
Nothing is offered on a trial: what a search offers has been planned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache, cached_property, partial
from typing import Final, TypeAlias, cast

from planner.flight.burn import Stretch, reaches
from planner.flight.doubt import places
from planner.flight.envelope import LimitResult, judge
from planner.flight.limits import Limit
from planner.flight.loading import Variant, masses_of
from planner.flight.model import Model
from planner.plan import Begun, begin, refuelled
from planner.plan.states import Known, least_along, load_limits, path_of
from planner.quantities.effects import Effect
from planner.quantities.errors import InputRefused
from planner.quantities.moments import Total, total
from planner.quantities.units import Quantity
from planner.records.document import Location
from planner.records.flight.record import TankContent
from planner.search.varied import Case, Variable, fuller

INSIDE: Final = 1e-9  # of a range: how far inside its ends the records are read


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


Trial: TypeAlias = Callable[[float], tuple[Asked, ...]]


def trials(case: Case, variable: Variable) -> Trial:
    """Every limit of a case with a variable at a value [kg, or m3], with what the tanks may hold more, if
    anything, besides.

    What is given back raises InputRefused where the flight is refused. The records are read at both ends of
    the range, just inside, where entries do not vanish yet. A mass or a volume is refused only for being too
    little or too much; so where neither end is refused, and the model with only its loading or its tanks put
    in anew is at the other end the one of the records, the records need not be read for the values between.

    Parameters: `case`; `variable`. Source: `planner.plan`.
    """

    def changes(value: float) -> dict[Location, object]:
        return variable.write(case.plan.flight, value)

    def read(value: float) -> Begun:
        return begun_with(case, changes(value))

    def quick(value: float) -> Begun:
        return _changed(low, case, changes(value))

    edge = (variable.high - variable.low) * INSIDE
    high = variable.high - edge
    try:
        low = read(variable.low + edge)
        at = quick if quick(high) == read(high) else read
    except InputRefused:
        at = read

    return lambda value: _limits(at(value), case)


def inside(case: Case, changes: dict[Location, object]) -> bool:
    """Whether a case with changes made is inside every limit; False where it is refused. Source:
    `planner.plan`.
    """
    try:
        begun = begun_with(case, changes)
        return all(each.result.verdict == "inside" for each in _limits(begun, case))
    except InputRefused:
        return False


def begun_with(case: Case, changes: dict[Location, object]) -> Begun:
    """A case with changes made as `Case.with_` makes them. Raises InputRefused. Source: `planner.plan`."""
    return begin(case.flight.with_(changes, case.aircraft), case.aircraft)


def _limits(begun: Begun, case: Case) -> tuple[Asked, ...]:
    enough = begun.fuelling.plan.enough
    found = Asked(enough.id, True, lambda: enough), *asked(begun)
    if not case.more:
        return found
    return *found, *asked(_changed(begun, case, fuller(begun.model, case.more)), "heavier: ")


def _changed(begun: Begun, case: Case, changes: dict[Location, object]) -> Begun:
    """The flight with other masses on its stations or other fuel in its tanks."""
    load = {str(place[1]): row for place, row in changes.items() if place[0] == "load"}
    tanks = {
        str(place[2]): TankContent(usable=cast(Quantity, volume))
        for place, volume in changes.items()
        if len(place) > 2
    }
    if load:
        kept = {name: row for name, row in begun.model.masses.items() if load.get(name, row) is not None}
        put_on = {name: row for name, row in load.items() if row is not None}
        masses = {**kept, **masses_of(cast(dict[str, Sequence[Quantity]], put_on))}
        loading = begun.model.loaded(masses)
        model = replace(begun.model, masses=masses, loading=loading, zero_fuel=total(loading.items))
        begun = replace(begun, model=model)
    if not tanks:
        return begun
    record = case.flight.record
    fuel = record.fuel.model_copy(update={"tanks": {**record.fuel.tanks, **tanks}})
    flight = replace(case.flight, record=record.model_copy(update={"fuel": fuel}))
    return refuelled(begun, flight, case.aircraft)


def asked(begun: Begun, prefix: str = "") -> Iterator[Asked]:
    """Every limit of a flight but that its fuel is enough, those judged with the least work first.

    Parameters: the flight as `planner.plan.begin` has it; what the names begin with. Source: `planner.plan`.
    """
    model, fuelling = begun.model, begun.fuelling
    for each in load_limits(model, fuelling.draws):
        yield Asked(f"{prefix}load: {each.name}", True, partial(_same, each))
    for place, at in places(model.full, fuelling.draws, fuelling.off).items():
        # worked out once for all limits of the state, if any is asked
        there = cache(lambda at=at: (model.total_with(at[0]), model.effects_with(*at)))
        for limit in model.at(place):
            name = f"{prefix}{place}: {limit.name}"
            yield Asked(name, limit.dimension == "mass", partial(_judged, limit, there))
    path = path_of(model, fuelling.draws)
    known: Known = {}
    for variant, bound, stretches in model.asked_along(path):
        if next(reaches(stretches, bound), None) is not None:
            name = f"{prefix}burn: {bound.name}{variant.suffix}, whole burn"
            yield Asked(name, False, partial(_along, model, variant, bound, stretches, known))


def _same(found: LimitResult) -> LimitResult:
    """A limit that is judged already."""
    return found


def _judged(limit: Limit, there: Callable[[], tuple[Total, tuple[Effect, ...]]]) -> LimitResult:
    """One limit of a state."""
    return judge(limit, *there())


def _along(
    model: Model, variant: Variant, bound: Limit, path: Sequence[Stretch], known: Known
) -> LimitResult:
    """A limit asked all along the burn, which has a least margin, as something is burnt."""
    found = least_along(model, variant, bound, path, known)
    assert found is not None  # asked only of a path that has a span
    return found[1]
