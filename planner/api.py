"""The face for Python: flights read, planned, varied, swept and mended, as values for a notebook.

docs/python.md describes every name with its unit. Figures are SI throughout (kg, m, m3, s; density kg/m3);
`shown(units)` and `words(units)` give them to a reader. The cautions stand on every plan.
"""

from __future__ import annotations

import operator
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from planner.flight.envelope import Verdict
from planner.plan import plan_flight
from planner.plan.results import Plan
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.units import Display, UnitSystem
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import Loaded, load_aircraft, load_flight_file
from planner.views.blocks import LOUD_INVENTED
from planner.views.shown_values import (
    CheckedLimit,
    PlannedFuel,
    PlannedState,
    checked,
    fuel_of,
    html_of,
    short_caution,
    state_of,
)
from planner.views.words import cautions, verdict_sentence

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from planner.search.remedies import Remedy
    from planner.search.varied import Case
    from planner.sureness.chance import Chance

# One range of a sweep: first value, last value, how many values, their unit.
Range = tuple[float, float, int, str]
# An array keeps every answer in memory; `planner sweep --csv` streams.
MOST_LOADINGS: Final = 2_000_000


@frozen(kw_only=True, repr=False)
class OfferedRemedy:
    """A change, or two, that brings the flight inside every limit; `plan` is the flight with it made.

    With a landing for fuel on the way `plan` is the part before it; `remedy` is the engine's own, with both.
    """

    remedy: Remedy
    plan: PlannedFlight

    def words(self, units: UnitSystem = "metric") -> str:
        """What to do, its cost, the room its figures have (NARROW where next to none), fuel left uneven."""
        from planner.views.remedy.remedy_words import room_words, step_words, stop_words, uneven_words

        display, remedy = Display(units), self.remedy
        what = "; ".join(step_words(step, display) for step in remedy.steps)
        more = [room_words(step, display) for step in remedy.steps] + [uneven_words(remedy, display)]
        more += stop_words(remedy.stop, display) if remedy.stop else []
        return " ".join([f"{what} ({remedy.cost}).", *filter(None, more)])

    def __repr__(self) -> str:
        return f"<{self.words()}>"


@frozen(kw_only=True, repr=False)
class OfferedRemedies:
    """The remedies `found` for a `plan`, best first; `impossible`: in words, why other changes do not do."""

    plan: PlannedFlight
    found: tuple[OfferedRemedy, ...]
    impossible: tuple[str, ...]

    def __iter__(self) -> Iterator[OfferedRemedy]:
        return iter(self.found)

    def __len__(self) -> int:
        return len(self.found)

    def __repr__(self) -> str:
        found = "".join(f"\n  {each.words()}" for each in self)
        return f"<{len(self)} remedies for {self.plan!r}{found}>"


@frozen(kw_only=True, repr=False)
class PlannedFlight:
    """A `flight` planned; `result` is the engine's own with all there is, and its parts may change."""

    flight: LoadedFlight
    result: Plan

    @property
    def verdict(self) -> Verdict:
        """`inside`, `not shown inside` or `outside`: the worst of all limits."""
        return self.result.verdict

    @property
    def limits(self) -> tuple[CheckedLimit, ...]:
        """Every limit checked: load, each state, the whole burn, and fuel aboard against fuel required."""
        plan = self.result
        return (
            *(checked(limit) for limit in plan.load_limits),
            *(limit for state in self.states.values() for limit in state.limits),
            *(checked(limit) for limit in plan.burn.limits),
            checked(plan.fuel.enough),
        )

    @property
    def states(self) -> Mapping[str, PlannedState]:
        """The states by name: ramp, takeoff, landing, zero fuel."""
        return {state.name: state_of(self.result, state) for state in self.result.states}

    @property
    def fuel(self) -> PlannedFuel:
        """Fuel aboard and fuel required."""
        return fuel_of(self.result)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Notices: what was found in the files and does not keep the flight from being planned."""
        return self.result.findings

    @property
    def cautions(self) -> tuple[str, ...]:
        """What has to be read with every figure; first that of an invented aircraft."""
        return cautions(self.result)

    def words(self, units: UnitSystem = "metric") -> str:
        """The verdict with the limits that decide it, in `metric`, `us` or `uk` units."""
        return verdict_sentence(self.result, Display(units))

    def json(self) -> dict[str, Any]:
        """The data of `planner flight --json`, keys ending in their unit, without `certainty`."""
        from planner.views.flight.flight_json import flight_json

        return flight_json(self.result)

    def chance(self, draws: int = 100_000, seed: int = 1) -> Chance:
        """Draw every unsure input at random `draws` times [1]: the share inside every limit of mass and CG.

        The same `seed` gives the same answer. Raises ValueError for fewer than one draw.
        Source: [jcgm-100] Supplement 1.
        """
        from planner.sureness.chance import chance

        return chance(self.result, draws, seed)

    def remedies(self, *, pairs: bool = False, units: UnitSystem = "metric") -> OfferedRemedies:
        """The smallest changes that bring the flight inside.

        Parameters: `pairs` to look for two together also where one does; `units` to round figures in.
        None are found for a flight that is inside.
        """
        from planner.search.remedies import remedies
        from planner.search.remedies.figures import STEPS
        from planner.search.varied import case_of
        from planner.views.remedy.remedy_words import impossible_words

        offered = remedies(case_of(self.flight.flight, self.flight.aircraft), pairs, STEPS[units])
        return OfferedRemedies(
            plan=self,
            found=tuple(OfferedRemedy(remedy=each, plan=_of_case(each.case)) for each in offered.found),
            impossible=tuple(impossible_words(each, Display(units)) for each in offered.impossible),
        )

    def __repr__(self) -> str:
        name, caution = self.result.aircraft.name, short_caution(self.result)
        return f"<{name}, {len(self.limits)} limits: {self.verdict}. {caution}>"

    def _repr_html_(self) -> str:
        return html_of(self.result, self.limits)


@frozen(kw_only=True, repr=False)
class LoadedAircraft:
    """A profile read and checked; `loaded` holds its record."""

    loaded: Loaded[Aircraft]

    @property
    def name(self) -> str:
        """Its name."""
        return self.loaded.record.name

    @property
    def stations(self) -> tuple[str, ...]:
        """Names of its stations."""
        return tuple(self.loaded.record.stations)

    @property
    def tanks(self) -> tuple[str, ...]:
        """Names of its tanks."""
        return tuple(self.loaded.record.tanks)

    def with_(self, changes: Mapping[str, object]) -> LoadedAircraft:
        """The profile with `changes`, keys as in its file; this one stays as it is. Raises InputRefused."""
        return LoadedAircraft(loaded=self.loaded.with_(changes))

    def __repr__(self) -> str:
        warning = f" {LOUD_INVENTED}" if self.loaded.record.invented else ""
        return f"<aircraft {self.name}: {', '.join(self.stations)}; tanks {', '.join(self.tanks)}.{warning}>"


@frozen(kw_only=True, repr=False)
class LoadedFlight:
    """A flight read and checked against its aircraft; `flight` and `aircraft` hold the records."""

    flight: Loaded[Flight]
    aircraft: Loaded[Aircraft]

    def with_(self, changes: Mapping[str, object], *, aircraft: LoadedAircraft | None = None) -> LoadedFlight:
        """The flight with `changes` made, checked again; this one stays as it is.

        Parameters: `changes`, keys and values as a flight file has them (`{"rear seats 2": "60 kg"}`);
        `aircraft` to fly in place of its own. Raises InputRefused with every finding at once.
        """
        made = self.flight.with_(changes, None if aircraft is None else aircraft.loaded)
        assert made.aircraft is not None  # a flight that was read has been checked against one
        return LoadedFlight(flight=made, aircraft=made.aircraft)

    def plan(self, changes: Mapping[str, object] | None = None) -> PlannedFlight:
        """Plan the flight, with `changes` as for `with_`; of several legs the first. Raises InputRefused."""
        flight = self.with_(changes) if changes else self
        return PlannedFlight(flight=flight, result=plan_flight(flight.flight, flight.aircraft))

    def plan_legs(self) -> tuple[PlannedFlight, ...]:
        """Plan every leg, each with what the one before left in the tanks. Raises InputRefused."""
        from planner.search.legs import plan_legs

        return tuple(_of_case(leg.case) for leg in plan_legs(self.flight, self.aircraft))

    def sweep(self, ranges: Mapping[str, Range]) -> NDArray[np.void]:
        """Every combination of some ranges, each checked through the whole flight, as a structured array.

        Parameters: `ranges`, name -> (first, last, how many, unit): a station, `STATION 2` for one seat,
        `fuel` or `fuel TANK`. Returns one row per loading, the last range running fastest; its fields are
        described in docs/python.md.
        Raises InputRefused.
        """
        from planner.views.sweep.sweep_array import swept

        texts = [f"{name}={float(a)!r}..{float(b)!r} {unit}" for name, (a, b, _, unit) in ranges.items()]
        steps = [operator.index(count) for _, _, count, _ in ranges.values()]
        try:
            return swept(self.flight, self.aircraft, texts, steps, MOST_LOADINGS)
        except InputRefused as refused:
            # The ranges are read as the command reads them; here they did not come from an option.
            here = (
                replace(each, path="sweep") if each.path.startswith("--") else each
                for each in refused.findings
            )
            raise InputRefused(here) from None

    def __repr__(self) -> str:
        name = self.flight.record.title or self.flight.document.path
        return f"<flight {name} with {self.aircraft.record.name}>"


def _of_case(case: Case) -> PlannedFlight:
    return PlannedFlight(flight=LoadedFlight(flight=case.flight, aircraft=case.aircraft), result=case.plan)


def read_flight(path: Path | str) -> LoadedFlight:
    """Read and check a flight file and the profile it names. Raises InputRefused with every finding."""
    flight, aircraft = load_flight_file(path)
    return LoadedFlight(flight=flight, aircraft=aircraft)


def read_aircraft(name: Path | str) -> LoadedAircraft:
    """Read and check a profile by its id (see `profile_ids`) or path. Raises InputRefused."""
    return LoadedAircraft(loaded=load_aircraft(str(name)))
