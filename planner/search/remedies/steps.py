"""A change to a flight as a value, what it costs, and the order in which changes are offered."""

from __future__ import annotations

from itertools import combinations
from typing import Final, Literal, TypeAlias, get_args

from planner.flight.envelope import LimitResult
from planner.plan.results import Plan
from planner.quantities.frozen import frozen
from planner.records.aircraft.record import Aircraft
from planner.search.remedies.stop import Stop
from planner.search.varied import Case

# In the order in which they are offered: first that which costs nobody anything, last that which leaves
# somebody behind.
Kind: TypeAlias = Literal[
    "measure",
    "swap",
    "reseat",
    "move",
    "fuel off",
    "category",
    "fuel on",
    "ballast",
    "limit",
    "fuel stop",
    "leave person",
]

ORDER: Final[tuple[Kind, ...]] = get_args(Kind)

COST_WORDS: Final[dict[Kind, str]] = {
    "measure": (
        "takes a scale, a stick or a density bottle; good only if the measured figures confirm the ones used"
    ),
    "swap": "two people change seats",
    "reseat": "one person changes seats",
    "move": "something is carried to another compartment",
    "fuel off": "fuel has to be taken out, by someone who may, into a proper container",
    "category": "only the manoeuvres of that category",
    "fuel on": "more fuel to buy",
    "ballast": "ballast has to be found, weighed and secured",
    "limit": "something stays behind",
    "fuel stop": "one more landing, and the time for it",
    "leave person": "somebody stays behind",
}


@frozen
class Step:
    """One change: its kind, what it is about, and its figures.

    `value` is what to do, rounded to the safe side, `exact` the edge it was rounded from, `now` what the
    flight has; all in kg or m3 by `dimension`, or 0 with dimension "" for a change that is no figure. `tanks`
    (name, litres as m3 to put in or, negative, take out). From `low` to `high`, in the unit of `value`, the
    plan stays inside, all else as changed; less room than `practical` is narrow. All three are 0 for a change
    that is no figure. `things` is how many are measured together.
    """

    kind: Kind
    subject: str
    to: str = ""
    value: float = 0.0
    exact: float = 0.0
    now: float = 0.0
    dimension: Literal["", "mass", "volume"] = ""
    tanks: tuple[tuple[str, float], ...] = ()
    low: float = 0.0
    high: float = 0.0
    practical: float = 0.0
    things: int = 1

    @property
    def room(self) -> float:
        """How far the figure may be off from one end to the other [kg or m3]: the width of what is inside.
        Source: [common-practice].
        """
        return self.high - self.low

    @property
    def whole(self) -> bool:
        """Whether all of the thing is left or carried: nothing has to be portioned out, so its room cannot be
        too little.
        """
        return (self.kind == "limit" and self.value == 0.0) or (
            self.kind == "move" and self.value >= self.now
        )

    @property
    def narrow(self) -> bool:
        """Whether the figure has next to no room: less than a practical step. Source: [common-practice]."""
        return self.room < self.practical and not self.whole

    @property
    def left_behind(self) -> float:
        """Mass that stays on the ground [kg]. Source: [common-practice]."""
        if self.kind == "limit":
            return self.now - self.value
        return self.now if self.kind == "leave person" else 0.0

    @property
    def amount(self) -> float:
        """How large the change is, in its own unit: less is offered first. Source: [common-practice]."""
        return self.left_behind or abs(self.value)


@frozen
class Remedy:
    """Changes that together bring a flight inside; `case` is the flight with them made and planned again,
    with a `stop` its first part.
    """

    steps: tuple[Step, ...]
    case: Case
    stop: Stop | None = None

    def then(self, other: Remedy) -> Remedy:
        """With the changes of another besides, which was planned on what this one leaves."""
        return Remedy((*self.steps, *other.steps), other.case, other.stop)

    @property
    def plan(self) -> Plan:
        """The plan with the changes made."""
        return self.case.plan

    @property
    def left_behind(self) -> float:
        """Mass that stays on the ground [kg]. Source: [common-practice]."""
        return sum(step.left_behind for step in self.steps)

    @property
    def least(self) -> LimitResult:
        """The forward or aft limit with the least margin, anywhere in the flight."""
        return least_of(self.plan)

    @property
    def narrow(self) -> bool:
        """Whether a figure of it has less room than a practical step."""
        return any(step.narrow for step in self.steps)

    @property
    def uneven(self) -> float:
        """Difference of fuel [m3] that a change of fuel leaves between two tanks filled as a pair; 0 where no
        fuel is changed.
        """
        return (
            unevenness(self.plan) if any(step.kind in ("fuel off", "fuel on") for step in self.steps) else 0.0
        )

    @property
    def cost(self) -> str:
        """What the changes cost, in words."""
        return "; ".join(dict.fromkeys(COST_WORDS[step.kind] for step in self.steps))


def least_of(plan: Plan) -> LimitResult:
    """The forward or aft limit of a plan with the least margin; the lateral ones, centimetres apart, would
    always be named else.
    """
    return min(
        (limit for limit in plan.limits() if limit.group in ("forward", "aft")),
        key=lambda limit: limit.margin,
    )


def least_mass_of(plan: Plan) -> LimitResult:
    """The mass limit of the aircraft with the least margin in any state."""
    return min(
        (limit for state in plan.states for limit in state.limits if limit.dimension == "mass"),
        key=lambda limit: limit.margin,
    )


def twin_tanks(aircraft: Aircraft) -> tuple[tuple[str, str], ...]:
    """Tanks that are filled as a pair: alike in size and arm and, where lateral arms are stated, one on each
    side.
    """
    found = []
    for (name, one), (other, two) in combinations(aircraft.tanks.items(), 2):
        alike = one.arm_points() == two.arm_points() and one.capacity.value == two.capacity.value
        if alike and one.lateral_arm.value == -two.lateral_arm.value:
            found.append((name, other))
    return tuple(found)


def unevenness(plan: Plan) -> float:
    """The largest difference of fuel [m3] between two tanks filled as a pair, at engine start. Source:
    [common-practice].
    """
    aboard = {each.tank.name: each.volume for each in plan.fuel.tanks}
    return round(
        max((abs(aboard[one] - aboard[two]) for one, two in twin_tanks(plan.aircraft)), default=0.0), 6
    )


def rank(remedy: Remedy) -> tuple[object, ...]:
    """The documented order: room to spare before narrow, fewer changes, then by the most troublesome kind,
    the next one, even fuel, then by how much.
    """
    kinds = sorted((ORDER.index(step.kind) for step in remedy.steps), reverse=True)
    return (
        remedy.narrow,
        len(remedy.steps),
        *kinds,
        remedy.uneven,
        remedy.left_behind,
        sum(step.amount for step in remedy.steps),
        -remedy.least.margin,
    )
