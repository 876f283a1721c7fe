"""A change to a flight as a value, what it costs, and the order in which changes are offered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from planner.envelope import LimitResult
from planner.plan.results import Plan
from planner.plan.varied import Case
from planner.remedies.stop import Stop

Kind: TypeAlias = Literal["measure", "swap", "reseat", "move", "fuel off", "category", "fuel on", "ballast", "limit", "fuel stop", "leave person"]

# What is offered first: that which costs nobody anything, last that which leaves somebody behind.
ORDER: Final[tuple[Kind, ...]] = ("measure", "swap", "reseat", "move", "fuel off", "category", "fuel on", "ballast", "limit", "fuel stop", "leave person")

COST_WORDS: Final[dict[Kind, str]] = {
    "measure": "takes a scale, a stick or a density bottle; good only if the measured figures confirm the ones used",
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


@dataclass(frozen=True, slots=True)
class Step:
    """One change: its kind, what it is about, and its figures.

    `value` is what to do, rounded to the safe side, `exact` the edge it was rounded from, `now` what the flight has;
    all in kg or m3 by `dimension`, or 0 with dimension "" for a change that is no figure. `tanks` (name, litres as m3 to put
    in or, negative, take out). `cost` in kg left behind, kg of ballast, m3 of fuel.
    """

    kind: Kind
    subject: str
    to: str = ""
    value: float = 0.0
    exact: float = 0.0
    now: float = 0.0
    dimension: Literal["", "mass", "volume"] = ""
    tanks: tuple[tuple[str, float], ...] = ()

    @property
    def left_behind(self) -> float:
        """Mass that stays on the ground [kg]. Source: [common-practice]."""
        return self.now - self.value if self.kind == "limit" else self.now if self.kind == "leave person" else 0.0

    @property
    def amount(self) -> float:
        """How large the change is, in its own unit: less is offered first. Source: [common-practice]."""
        return self.left_behind or abs(self.value)


@dataclass(frozen=True, slots=True)
class Remedy:
    """Changes that together bring a flight inside; `case` is the flight with them made and planned again, with a `stop` its first part."""

    steps: tuple[Step, ...]
    case: Case
    stop: Stop | None = None

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
    def cost(self) -> str:
        """What the changes cost, in words."""
        return "; ".join(dict.fromkeys(COST_WORDS[step.kind] for step in self.steps))


def least_of(plan: Plan) -> LimitResult:
    """The forward or aft limit of a plan with the least margin; the lateral ones, centimetres apart, would always be named else."""
    return min((limit for limit in plan.limits() if limit.name.startswith(("forward", "aft"))), key=lambda limit: limit.margin)


def least_mass_of(plan: Plan) -> LimitResult:
    """The mass limit of the aircraft with the least margin in any state."""
    return min((limit for state in plan.states for limit in state.limits if limit.dimension == "mass"), key=lambda limit: limit.margin)


def rank(remedy: Remedy) -> tuple[object, ...]:
    """The documented order: fewer changes, then by the most troublesome kind, the next one, then by how much."""
    kinds = sorted((ORDER.index(step.kind) for step in remedy.steps), reverse=True)
    return (len(remedy.steps), *kinds, remedy.left_behind, sum(step.amount for step in remedy.steps), -remedy.least.margin)
