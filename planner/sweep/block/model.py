"""What is the same for every loading of a sweep, in SI, compiled once from a plan.

A loading is a row of figures: kilograms on stations, cubic metres in tanks. Everything it does not name
stays as the flight has it.
"""

from __future__ import annotations

from typing import Final, Literal

from planner.flight.fuel import Changes, FuelTank, Leg
from planner.flight.limits import Group, Limit
from planner.flight.model import Model
from planner.quantities.effects import Effect
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total

# The limits of a loading by kind. `tank` is a phase that needs more than the tank it names holds; no plan is
# made of such a flight.
GROUP_DIMENSION: Final[dict[Group, Literal["mass", "length", "volume"]]] = {
    "load": "mass",
    "mass": "mass",
    "forward": "length",
    "aft": "length",
    "lateral": "length",
    "fuel": "volume",
    "tank": "volume",
}
GROUPS: Final = tuple(GROUP_DIMENSION)


@frozen
class LoadColumn:
    """One figure of a loading: a `mass` [kg] at `arm` and `lateral_arm` [m], or usable fuel [m3] in one
    `tank`, or in all (`fuel`).

    `arm_u`, `side_u` [m] are the standard uncertainties of the arms, `arm_cause`, `side_cause` their names;
    `tank` the index of the tank.
    """

    kind: Literal["mass", "tank", "fuel"]
    arm: float = 0.0
    lateral_arm: float = 0.0
    arm_cause: str = ""
    arm_u: float = 0.0
    side_cause: str = ""
    side_u: float = 0.0
    tank: int = -1


@frozen
class LoadLimit:
    """A `limit` of the register on `fixed` [kg] plus the columns named with their weights; `u` [kg] of the
    fixed part.
    """

    limit: Limit
    fixed: float
    columns: tuple[tuple[int, float], ...]
    u: float = 0.0


@frozen(kw_only=True)
class SweepModel:
    """A flight with some figures left open.

    `flight` as it stands; `fixed` mass [kg] and moments [kg.m] of everything but the columns and usable fuel,
    with its `effects`; `tanks` with usable `volumes` [m3] as the flight has them, what each cause does to
    those that no column sets [m3], and whether known by mass; `legs` burnt down to the reserve, which takes
    the rest; `required` fuel [m3], its part stated by mass, and what each cause but the density does to
    aboard less required [m3].
    """

    flight: Model
    columns: tuple[LoadColumn, ...]
    fixed: Total
    effects: tuple[Effect, ...]
    tanks: tuple[FuelTank, ...]
    volumes: tuple[float, ...]
    changes: tuple[Changes, ...]
    by_mass: tuple[bool, ...]
    legs: tuple[Leg, ...]
    load_limits: tuple[LoadLimit, ...]
    required: float
    required_by_mass: float
    surplus_changes: Changes

    @property
    def density(self) -> float:
        """Of the fuel [kg/m3]."""
        return self.flight.density.density

    @property
    def density_u(self) -> float:
        """Standard uncertainty of the density [kg/m3]."""
        return self.flight.density.u

    @property
    def fuel_limits(self) -> tuple[Limit, ...]:
        """The limits of the register on fuel."""
        return tuple(limit for limit in self.flight.aboard() if limit.quantity == "fuel")


def spread(
    volumes: tuple[float, ...], capacities: tuple[float, ...]
) -> tuple[tuple[float, tuple[float, ...]], ...]:
    """How a total of usable fuel lies in the tanks: in the flight's proportions; a full tank passes on what
    it can not hold.

    With no fuel in the flight the proportions are those of the capacities; what the flight leaves empty fills
    last.

    Parameters: usable `volumes` of the flight and usable `capacities` [m3] per tank.
    Returns points (total, volume per tank) [m3] with straight lines between, from nothing to everything full.
    Source: [common-practice]; the rule is this program's own and said on every sweep.
    """
    current = [0.0] * len(volumes)
    points = [(0.0, tuple(current))]
    weights = list(volumes) if sum(volumes) > 0 else list(capacities)
    full = [False] * len(volumes)
    while not all(full):
        live = [i for i, weight in enumerate(weights) if weight > 0 and not full[i]]
        if not live:
            weights, live = list(capacities), [i for i, done in enumerate(full) if not done]
        last = min(live, key=lambda i: (capacities[i] - current[i]) / weights[i])
        step = (capacities[last] - current[last]) / weights[last]
        for i in live:
            current[i] = min(current[i] + weights[i] * step, capacities[i])
        current[last] = capacities[last]
        full = [done or current[i] >= capacities[i] for i, done in enumerate(full)]
        points.append((sum(current), tuple(current)))
    return tuple(points)
