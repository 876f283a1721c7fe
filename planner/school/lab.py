"""Where demonstrations run: a profile, loadings tried by the engine, and a whole plan of the one shown."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from typing import Any, Final

from planner.facts.rules import RULES
from planner.flight.burn import bounds, crossings, least_margin, stretches
from planner.flight.limits import AFT, FORWARD, GREATEST, LEAST
from planner.flight.loading import empty_aircraft
from planner.plan import plan_flight
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item, Total, total
from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.records.document import Document
from planner.records.store import Loaded, flight_in
from planner.school.craft import Craft, Place
from planner.school.dice import Pen
from planner.school.grid import GridPaper
from planner.school.problem import NotSettable, PrintedTable

Load = dict[str, tuple[float, ...]]  # station -> masses [kg]
# What a search went through, for a lesson that was not found.
SEARCHED: Final = (
    "loadings searched: people of 60 to 100 kg on every number of seats, the rearmost baggage place empty,"
    " half full and full, fuel from a third to full"
)
_PLANNED_BY: Final = ("us-vfr-day", "eu-vfr-day", "eu-vfr-local-day")


@frozen
class ShownCase:
    """A loading of a demonstration: who and what on which place [kg], usable `fuel` [m3] in all and per tank,
    and what a table says of it.
    """

    words: str
    load: Load
    fuel: float
    volumes: tuple[float, ...]
    row: tuple[str, ...]


@frozen
class Shown:
    """A demonstration as it came out on one aircraft: whether its lesson `holds`, the sentences, a table, the
    plan to draw, the figures in SI.

    Every row of the table that is beyond a limit says OUTSIDE. `correction` is what makes it right, `notes`
    what was assumed. `cases` are the loadings to be redone, `grids` further pictures, `working` the lines
    that are no loading, `sources` keys of SOURCES.
    """

    holds: bool
    found: tuple[str, ...]
    table: PrintedTable
    lesson: str
    correction: str = ""
    plan: Plan | None = None
    figures: Mapping[str, float] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    cases: tuple[ShownCase, ...] = ()
    grids: tuple[GridPaper, ...] = ()
    working: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


class Lab(Craft):
    """One profile with its first category, its figures as they stand, and a fuel of one density."""

    def __init__(
        self, loaded: Loaded[Aircraft], density: float | None = None, display: Display | None = None
    ) -> None:
        super().__init__(loaded, Pen(display or Display()))
        # 0.720 kg/L is the round figure of most classrooms for avgas; other grades have their own standard
        # figure.
        self.density = density or (720.0 if self.grade.kind == "avgas" else self.grade.standard_density)
        # with oil and unusable fuel where the record leaves them out
        self.items = empty_aircraft(self.aircraft, self.density).items
        self.category = self.categories[0]
        self.envelope = self.category.envelope
        self.top = self.category.top.value
        landing = self.aircraft.masses.max_landing
        self.landing = landing.value if landing is not None else None

    @property
    def seats(self) -> list[Place]:
        """Stations with seats that may be used, the front one first."""
        return [place for place in super().seats if place[0] not in self.category.record.forbids]

    @property
    def holds(self) -> list[Place]:
        """Baggage places with a limit that may be used, the rearmost first."""
        forbids = self.category.record.forbids
        rows = [place for place in super().holds if place[1].max is not None and place[0] not in forbids]
        return sorted(rows, key=lambda place: -place[1].arm.value)

    def room(self, name: str) -> float:
        """What a place may carry when it is the only one loaded [kg]."""
        own = self.aircraft.stations[name].max
        shared = [each.max.value for each in self.sums(name)]
        return min([*shared, own.value if own is not None else math.inf])

    def without_fuel(self, load: Load) -> Total:
        """Mass and moment without usable fuel."""
        arms = {name: station.arm.value for name, station in self.aircraft.stations.items()}
        loaded = [Item(name, mass, arms[name]) for name, masses in load.items() for mass in masses]
        return total([*self.items, *loaded])

    def state(self, load: Load, fuel: float | Sequence[float]) -> Total:
        """Mass and moment with so much usable fuel [m3], or with these volumes per tank."""
        here = self.without_fuel(load)
        volumes = self.volumes(fuel) if isinstance(fuel, float) else list(fuel)
        moment = here.moment + self.density * self.volume_moment(volumes)
        return Total(here.mass + self.density * math.fsum(volumes), moment)

    def case(
        self, words: str, load: Load, fuel: float | Sequence[float], told: str = "", top: float | None = None
    ) -> ShownCase:
        """A loading with so much usable fuel [m3], or with these volumes per tank.

        `told` are other words for it in a table, `top` [kg] is another greatest mass than that of take-off.
        """
        volumes = self.volumes(fuel) if isinstance(fuel, float) else fuel
        here, show = self.state(load, fuel), self.pen
        row = (told or words, show.mass(here.mass), show.length(here.centre_of_gravity), self.word(here, top))
        whole = fuel if isinstance(fuel, float) else math.fsum(fuel)
        return ShownCase(words=words, load=load, fuel=whole, volumes=tuple(volumes), row=row)

    def shown(
        self,
        cases: Sequence[ShownCase],
        found: Sequence[str],
        lesson: str,
        correction: str = "",
        figures: Mapping[str, float] | None = None,
        holds: bool = True,
        flown: int | None = 0,
    ) -> Shown:
        """Loadings one under the other, a word for each, and the plan of the one that is `flown`."""
        return Shown(
            holds=holds,
            found=tuple(found),
            table=PrintedTable(("case", "mass", "CG", "verdict"), tuple(case.row for case in cases)),
            lesson=lesson,
            correction=correction,
            plan=self.plan(cases[flown].load, cases[flown].fuel) if flown is not None else None,
            figures=figures or {},
            cases=tuple(cases),
        )

    def not_found(self, why: str) -> Shown:
        """A lesson that does not hold on this aircraft, with the reason."""
        lesson = "A lesson from one aircraft is a question to the next, not its answer."
        case = self.case("one person, full tanks", self.people([80.0]), self.usable)
        told = f"Not found on this aircraft: {why}."
        return self.shown([case], [told], lesson, holds=False, flown=None)

    def gaps(self, here: Total) -> tuple[float, float]:
        """Distance behind the forward and ahead of the aft limit [m]; negative beyond."""
        margins = self.category.margins(here)
        return margins[FORWARD], margins[AFT]

    def inside(self, here: Total) -> bool:
        """Whether a state keeps every limit of a take-off."""
        return self.word(here) == "inside"

    def word(self, here: Total, top: float | None = None) -> str:
        """`inside`, or OUTSIDE with the limit passed; `top` another greatest mass than that of take-off."""
        words = {FORWARD: "forward limit", AFT: "aft limit", GREATEST: "mass", LEAST: "below the envelope"}
        margins = self.category.margins(here, top)
        beyond = [word for which, word in words.items() if margins[which] < 0]
        return f"OUTSIDE: {' and '.join(beyond)}" if beyond else "inside"

    def largest_hold(self) -> str:
        """The larger of the baggage places: where a bag goes."""
        return max(self.holds, key=lambda each: self.room(each[0]))[0]

    def example(self, people: Sequence[float], bag: float, fuel: float) -> Iterator[tuple[Load, float]]:
        """Four people, a bag [kg] and fuel [m3] as the lesson is told, where the aircraft has the room."""
        if self.seat_count() >= 4 and self.holds and self.room(hold := self.largest_hold()) >= bag:
            yield self.people(people) | {hold: (bag,)}, min(fuel, self.usable)

    def search(
        self,
        fits: Callable[[Lab, Load, float], bool],
        shares: Sequence[float],
        first: Iterable[tuple[Load, float]] = (),
    ) -> tuple[Load, float] | None:
        """The first loading that fits: `first` these, then any with such a share of the usable fuel [m3]."""
        others = ((load, self.usable * share) for load in self.loads() for share in shares)
        return next((each for each in itertools.chain(first, others) if fits(self, *each)), None)

    def burn_least(self, load: Load, fuel: float) -> float:
        """Least distance from a CG limit over the whole burn [m]."""
        path = stretches(self.without_fuel(load), self.tanks, self.density, self.draws(fuel))
        found = (least_margin(path, bound) for bound in bounds(self.envelope, None))
        return min(each.margin for each in found if each is not None)

    def burn_crossings(self, load: Load, fuel: float) -> list[tuple[str, float]]:
        """(limit, usable fuel left [m3]) wherever the whole burn crosses a CG limit."""
        path = stretches(self.without_fuel(load), self.tanks, self.density, self.draws(fuel))
        found = (crossings(path, bound) for bound in bounds(self.envelope, None))
        return [(each.limit, each.point.fuel) for each in itertools.chain.from_iterable(found)]

    def people(self, masses: Sequence[float]) -> Load:
        """People on the seats, front row first, as many as there are masses and seats."""
        load, left = {}, list(masses)
        for name, station in self.seats:
            row, left = left[: station.seats], left[station.seats :]
            if row:
                load[name] = tuple(row)
        return load

    def seat_count(self) -> int:
        """How many people fit."""
        return sum(station.seats for _, station in self.seats)

    def loads(self) -> Iterator[Load]:
        """Plausible loadings for a search: people of 60 to 100 kg on every number of seats, the rearmost hold
        empty, half and full.
        """
        (first_name, seats), *others = [(name, station.seats) for name, station in self.seats]
        beside = (0.0,) if seats == 1 else (0.0, 62.0, 80.0, 98.0)
        front = [(a,) if seats == 1 else (a, b) for a in (62.0, 80.0, 98.0) for b in beside]
        behind = [
            [(), *((m,) * n for m in (66.0, 82.0, 98.0) for n in range(1, count + 1))] for _, count in others
        ]
        hold, bags = self.holds[0][0] if self.holds else "", [0.0]
        if hold:
            bags = sorted({0.0, *(math.floor(self.room(hold) * share) for share in (0.5, 1.0))})
        for first, rest, bag in itertools.islice(
            itertools.product(front, itertools.product(*behind), bags), 4000
        ):
            load: Load = {first_name: tuple(mass for mass in first if mass)}
            load |= {name: row for (name, _), row in zip(others, rest, strict=True) if row}
            if bag:
                load[hold] = (float(bag),)
            yield load

    def plan(self, load: Mapping[str, Sequence[str | float]], fuel: float, density: str = "") -> Plan:
        """A whole plan of the loading, for its picture and its limits.

        Parameters: `load` station -> masses [kg], or texts with their uncertainty; `fuel` usable [m3];
        `density` as in a flight file. Returns a Plan. Raises NotSettable where the engine refuses the flight.
        """
        burn = self.aircraft.burn
        rules = next((key for key in _PLANNED_BY if RULES[key].basis in burn), None)
        if rules is None:
            raise NotSettable("the profile gives neither a cruise nor a holding flow")
        volumes = dict(zip((tank.name for tank in self.tanks), self.volumes(fuel), strict=True))
        phase = next(phase for phase in ("cruise", "holding") if phase in burn)
        content: dict[str, Any] = {
            "flight": 1,
            "aircraft": self.loaded.document.path,
            "category": self.category.name,
            "rules": rules,
            "load": {
                name: [each if isinstance(each, str) else f"{each!r} kg" for each in masses]
                for name, masses in load.items()
            },
            "fuel": {
                "grade": self.grade.id,
                "density": {"fixed": density or f"{self.density!r} kg/m3"},
                "tanks": {name: f"{volume * 1e3!r} L" for name, volume in volumes.items()},
            },
            "trip": [{"phase": phase, "fuel": f"{fuel * 0.5e3!r} L"}],
        }
        try:
            return plan_flight(flight_in(Document("<demonstration>", content), self.loaded), self.loaded)
        except InputRefused as refused:
            raise NotSettable(f"the engine refuses this flight: {refused.findings[0].message}") from None


def halved(low: float, high: float, low_holds: Callable[[float], bool]) -> tuple[float, float]:
    """The two ends of where something that holds at `low` ends to hold on the way to `high`."""
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if low_holds(middle) else (low, middle)
    return low, high
