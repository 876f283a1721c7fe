"""A whole plan as frozen results in SI; everything a report shows is here."""

from __future__ import annotations

from planner.density.basis import DensityUsed
from planner.facts.grades import Grade
from planner.facts.rules import ReserveRule
from planner.flight.burn import Crossing, Least, Stretch
from planner.flight.envelope import LimitResult, Verdict
from planner.flight.fuel import Draw, Leg
from planner.flight.limits import Place
from planner.flight.loading import Loading
from planner.flight.model import Model, TankFuel
from planner.flight.reserves import FuelLine
from planner.quantities.effects import Effect
from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total
from planner.quantities.polygon import Envelope
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight


@frozen
class FuelPlan:
    """Fuel aboard against fuel required. Volumes [m3], masses [kg], times [s].

    `required` is every line; `minimum` leaves out extra and discretionary fuel; `enough` is what is aboard
    checked against what is required, its margin the `surplus`. `reserve_volumes` is what each tank holds when
    only the final reserve is left, `reserve_dips` the stick's reading of it [m], or why there is none.
    `demand_density` is the density used for demands stated by mass. `legs` is what is burnt from engine start
    to shutdown, mass as that mass; beyond it what is left is burnt for the final reserve. `demanded_by_mass`
    is the part of `required` that is stated by mass, `asked` the burn that endurance is counted by: as
    planned, with what is stated by mass at `demand_density`.
    """

    tanks: tuple[TankFuel, ...]
    aboard: float
    aboard_mass: float
    lines: tuple[FuelLine, ...]
    required: float
    minimum: float
    enough: LimitResult
    final_reserve: FuelLine
    reserve_volumes: tuple[float, ...]
    reserve_dips: tuple[tuple[str, float | str], ...]
    endurance: float
    endurance_basis: str
    demand_density: float
    runs_dry_in: str
    demanded_by_mass: float
    asked: tuple[Draw, ...]
    legs: tuple[Leg, ...]

    @property
    def surplus(self) -> float:
        """Aboard less required [m3]."""
        return self.enough.margin

    @property
    def uncertainty(self) -> float:
        """Expanded uncertainty of the surplus [m3]."""
        return self.enough.uncertainty

    @property
    def verdict(self) -> Verdict:
        """Whether it is enough."""
        return self.enough.verdict


@frozen
class State:
    """Ramp, take-off, landing or zero fuel: totals, usable `fuel` and `volumes` per tank [m3], and every
    limit checked.
    """

    name: Place
    total: Total
    fuel: float
    volumes: tuple[float, ...]
    percent_mac: float | str
    limits: tuple[LimitResult, ...]
    effects: tuple[Effect, ...]


@frozen
class BurnResult:
    """The whole burn: its stretches, the least margin against each CG limit with its check, and every
    crossing.
    """

    path: tuple[Stretch, ...]
    least: tuple[Least, ...]
    limits: tuple[LimitResult, ...]
    crossings: tuple[Crossing, ...]


@frozen
class Plan:
    """One flight planned: its records, the model compiled from them, and what every evaluator says."""

    flight: Flight
    aircraft: Aircraft
    aircraft_path: str
    flight_path: str
    grade: Grade
    model: Model
    fuel: FuelPlan
    states: tuple[State, ...]
    burn: BurnResult
    load_limits: tuple[LimitResult, ...]
    verdict: Verdict
    uncertainties_stated: bool
    findings: tuple[Finding, ...]

    @property
    def rule(self) -> ReserveRule:
        """The rule set of its reserves."""
        return self.model.demand.rule

    @property
    def density(self) -> DensityUsed:
        """The density used."""
        return self.model.density

    @property
    def envelope(self) -> Envelope:
        """The envelope of its category."""
        return self.model.envelope

    @property
    def loading(self) -> Loading:
        """Everything aboard but usable fuel."""
        return self.model.loading

    def limits(self) -> tuple[LimitResult, ...]:
        """Every limit that counts: load, states, burn, and that the fuel is enough."""
        return (
            *self.load_limits,
            *(limit for state in self.states for limit in state.limits),
            *self.burn.limits,
            self.fuel.enough,
        )

    def state(self, name: str) -> State:
        """The state of that name. Raises KeyError where the plan has none of it."""
        for state in self.states:
            if state.name == name:
                return state
        raise KeyError(name)
