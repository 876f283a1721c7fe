"""Which of several aircraft can carry a load on a trip, with what margins, and why the others can not."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import islice, permutations, product
from pathlib import Path
from typing import Final

from planner.facts.standard_masses import MORE_THAN_ONE
from planner.flight.limits import Limit, register
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.quantities.files import refused
from planner.quantities.frozen import frozen
from planner.quantities.sentences import joined
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.document import Location
from planner.records.flight.record import Flight, Phase
from planner.records.store import Loaded, load_aircraft_file
from planner.search.remedies.places import pilot_of
from planner.search.remedies.steps import least_of
from planner.search.remedies.stop import fuel_window, least_fuelled
from planner.search.solve import Interval
from planner.search.varied import Case, case_of, kilograms_of

WAYS: Final = 400  # seatings and stowings looked at for one aircraft


@frozen(kw_only=True)
class Candidate:
    """One aircraft: its `name` and `path`; if it can carry the load, the `case` and the `window` of usable
    fuel [m3].

    If not, `case` is the nearest and its limits tell why; where no way of loading was planned at all,
    `reason` does.

    `places` says where everyone and everything went; `ways` how many arrangements were looked at, of `of`.
    """

    name: str
    path: str
    case: Case | None = None
    window: Interval | None = None
    places: tuple[tuple[str, tuple[float, ...]], ...] = ()
    ways: int = 0
    of: int = 0
    notes: tuple[str, ...] = ()
    reason: str = ""

    @property
    def possible(self) -> bool:
        """Whether it can carry the load."""
        return self.window is not None


def profiles_in(folder: Path) -> tuple[Path, ...]:
    """The profile files of a folder. Raises InputRefused where there is no such folder or nothing in it."""
    try:
        found = tuple(sorted(path for path in folder.iterdir() if path.suffix in (".yaml", ".yml")))
    except OSError as error:
        message = f"cannot be read: {error.strerror}"
        raise refused(folder, "folder-unreadable", message, "needed a folder of profiles") from None
    if not found:
        raise refused(folder, "folder-empty", "no profile in this folder", "needed files that end in .yaml")
    return found


def load_of(plan: Plan) -> tuple[tuple[Quantity, ...], tuple[Quantity, ...]] | str:
    """The people, pilot first, and the bags of a flight; or why its people cannot be told apart."""
    people: list[Quantity] = []
    pilot = pilot_of(plan)
    bags: list[Quantity] = []
    for name, station in plan.aircraft.stations.items():
        given = plan.flight.load.get(name, ())
        if station.kind == "seats" and len(given) == 1 < station.seats and given[0].value > MORE_THAN_ONE:
            return f"'{name}' gives one figure for several people: give one per seat"
        for index, mass in enumerate(given):
            if mass.value > 0 and (name, index) == pilot:
                people.insert(0, mass)
            elif mass.value > 0:
                (people if station.kind == "seats" else bags).append(mass)
    return tuple(people), tuple(bags)


def across(
    case: Case, paths: Sequence[Path], progress: Callable[[int], None] | None = None
) -> tuple[Candidate, ...]:
    """Every aircraft that can carry the load of a flight on its trip, those with the most CG margin first,
    then those that can not.

    People go to seats and bags to baggage stations (where there are none, to stations of kind `other`); the
    pilot takes the pilot's seat. All distinct arrangements are tried up to a limit, where there is a lateral
    limit in every order on a row until one is inside, each with the least fuel that is enough on that
    aircraft, tanks filled alike; the one with the most CG margin is kept. Flows, mass limits and envelope are
    the aircraft's own; phases keep their times; no phase names a tank; the category is the flight's where the
    aircraft has it, else its first.

    Parameters: `case`; profile `paths`; `progress` called with how many are done. Masses in kg, fuel in m3.
    Raises InputRefused where the people cannot be told apart. Source: every limit as in `planner.plan`.
    """
    load = load_of(case.plan)
    if isinstance(load, str):
        document, needed = case.flight.document, "needed one figure per seat"
        raise document.refused(("load",), "load-undivided", load, needed)
    found = []
    for number, path in enumerate(paths):
        if progress is not None:
            progress(number)
        found.append(_candidate(case, path, *load))
    return tuple(
        sorted(
            found,
            key=lambda each: (
                not each.possible,
                -least_of(each.case.plan).margin if each.case is not None else 0.0,
                each.name,
            ),
        )
    )


def _candidate(case: Case, path: Path, people: Sequence[Quantity], bags: Sequence[Quantity]) -> Candidate:
    try:
        aircraft = load_aircraft_file(path)
    except InputRefused as error:
        return Candidate(name=path.stem, path=str(path), reason=f"profile refused: {error.findings[0]}")
    changes, notes = _written_for(case.plan.flight, aircraft.record)
    told = partial(Candidate, name=aircraft.record.name, path=str(path), notes=notes)
    try:
        flight = replace(case.flight.with_(changes, aircraft), notices=())
    except InputRefused as error:
        wrong = [each.message for each in error.findings if each.severity == "refused"]
        return told(reason=joined("; ", dict.fromkeys(wrong)))
    category = flight.record.category
    ways = list(islice(_arrangements(aircraft.record, category, people, bags), WAYS + 1))
    if not ways:
        return told(reason=_no_room(aircraft.record, category, people, bags))
    best: tuple[bool, float, Case] | None = None
    reason, orders_left = "", WAYS
    for load in ways[:WAYS]:
        found = _flown(flight, aircraft, load)
        # In another order on its rows a load has the same CG and another lateral CG.
        if isinstance(found, Case) and _not_shown(found.plan) == {"lateral"}:
            others = (each for each in _reseated(aircraft.record, load) if each != load)
            for other in islice(others, orders_left):
                orders_left -= 1
                again = _flown(flight, aircraft, other)
                if isinstance(again, Case) and not _not_shown(again.plan):
                    found = again
                    break
        if isinstance(found, str):
            reason = found
            continue
        quality = (found.plan.verdict == "inside", least_of(found.plan).margin)
        if best is None or quality > best[:2]:
            best = (*quality, found)
    of = len(ways) if orders_left else WAYS + 1
    if best is None:
        return told(reason=reason)
    inside, _, chosen = best
    places = tuple(
        (station, _up_to_the_last([mass.value for mass in masses]))
        for station, masses in chosen.plan.flight.load.items()
    )
    window = fuel_window(chosen) if inside else None
    return told(case=chosen, window=window, places=places, ways=min(of, WAYS), of=of)


def _written_for(flight: Flight, aircraft: Aircraft) -> tuple[dict[Location, object], tuple[str, ...]]:
    """What changes in the flight for another aircraft: empty tanks, no tank named, a category it has, a grade
    it may use stays as it is.
    """
    notes = []
    category = flight.category
    if category not in aircraft.envelopes:
        category = next(iter(aircraft.envelopes))
        notes.append(f"category {category}, as it has no '{flight.category}'")

    def freed(phase: Phase) -> Phase:
        return phase.model_copy(update={"tank": ()})

    changes: dict[Location, object] = {
        ("category",): category,
        ("load",): None,
        ("record",): None,
        ("fuel", "tanks"): dict.fromkeys(aircraft.tanks, "0 L"),
        ("trip",): [freed(phase) for phase in flight.trip],
        ("alternate",): freed(flight.alternate) if flight.alternate is not None else None,
        ("legs",): None,
    }
    return changes, tuple(notes)


def _places(aircraft: Aircraft, category: str) -> tuple[dict[str, int], list[str]]:
    """Seats per station, and the stations for bags; what the category forbids is left out."""
    allowed = aircraft.allowed(category)
    seats = {name: station.seats for name, station in allowed.items() if station.kind == "seats"}
    bags = [name for name, station in allowed.items() if station.kind == "baggage"]
    return seats, bags or [name for name, station in allowed.items() if station.kind == "other"]


def _no_room(aircraft: Aircraft, category: str, people: Sequence[Quantity], bags: Sequence[Quantity]) -> str:
    seats, holds = _places(aircraft, category)
    if len(people) > sum(seats.values()):
        return f"{len(people)} people for {sum(seats.values())} seat{'' if sum(seats.values()) == 1 else 's'}"
    return (
        f"{len(bags)} bag{'' if len(bags) == 1 else 's'} and"
        f" {'no compartment' if not holds else 'no way to stow them within the limits'}"
    )


def _arrangements(
    aircraft: Aircraft, category: str, people: Sequence[Quantity], bags: Sequence[Quantity]
) -> Iterator[dict[str, tuple[Quantity, ...]]]:
    seats, holds = _places(aircraft, category)
    if len(people) > sum(seats.values()):
        return
    seat = aircraft.pilot_seat()
    flown, number = seat if seat is not None and seat[0] in seats else (next(iter(seats), ""), 0)
    beside = {name: count - (name == flown) for name, count in seats.items()}
    # What counts alike everywhere no other way of loading mends: the plan says by how much it fails.
    limits = [
        limit
        for limit in register(aircraft, category)
        if limit.quantity == "load"
        and limit.upper
        and len({limit.weight(name) for name in (*seats, *holds)}) > 1
    ]
    seen = set()
    for chosen in product(seats, repeat=max(len(people) - 1, 0)):
        rows: dict[str, list[Quantity]] = {name: [] for name in seats}
        for name, person in zip(chosen, people[1:], strict=True):
            rows[name].append(person)
        if any(len(row) > beside[name] for name, row in rows.items()):
            continue
        # A seat left empty stands as 0 kg, so that its neighbour sits on their own side.
        for name, row in rows.items():
            row += [kilograms_of(0.0)] * (beside[name] - len(row))
        if flown in rows:
            rows[flown][number:number] = people[:1] or [kilograms_of(0.0)]
        for stowed in product(holds, repeat=len(bags)):
            load = {name: tuple(row) for name, row in rows.items() if any(mass.value for mass in row)}
            for name in holds:
                if inside := tuple(bag for bag, hold in zip(bags, stowed, strict=True) if hold == name):
                    load[name] = inside
            key = tuple(
                (name, tuple(sorted(mass.value for mass in masses))) for name, masses in sorted(load.items())
            )
            if key not in seen and _within_limits(limits, load):
                seen.add(key)
                yield load


def _flown(
    flight: Loaded[Flight], aircraft: Loaded[Aircraft], load: Mapping[str, Sequence[Quantity]]
) -> Case | str:
    """The flight with this load and the least fuel that is enough; or why there is none."""
    aboard: dict[Location, object] = {("load", name): list(row) for name, row in load.items()}
    try:
        empty = case_of(replace(flight.with_(aboard, aircraft), notices=()), aircraft)
    except InputRefused as error:
        return error.findings[0].message
    return least_fuelled(empty, {}, 1e-3) or "its tanks do not hold the fuel this trip needs"


def _not_shown(plan: Plan) -> set[str]:
    return {each.group for each in plan.limits() if each.verdict != "inside"}


def _reseated(
    aircraft: Aircraft, load: Mapping[str, tuple[Quantity, ...]]
) -> Iterator[dict[str, tuple[Quantity, ...]]]:
    """The same load in other orders on rows whose seats differ across, `WAYS` of a row; the pilot stays."""
    seat = aircraft.pilot_seat()

    def orders(name: str, row: tuple[Quantity, ...]) -> Iterator[tuple[Quantity, ...]]:
        fixed = seat[1] if seat is not None and seat[0] == name else None
        people = [at for at, mass in enumerate(row) if mass.value and at != fixed]
        nobody, free = kilograms_of(0.0), [at for at in range(len(row)) if at != fixed]
        for seats in permutations(free, len(people)):
            sits = {to: row[at] for at, to in zip(people, seats, strict=True)}
            yield tuple(row[at] if at == fixed else sits.get(at, nobody) for at in range(len(row)))

    differ = {name for name in load if aircraft.stations[name].lateral_arms}
    rows = [islice(orders(name, row), WAYS) if name in differ else [row] for name, row in load.items()]
    return (dict(zip(load, each, strict=True)) for each in product(*rows))


def _up_to_the_last(row: Sequence[float]) -> tuple[float, ...]:
    """Seat by seat [kg], without the empty ones behind the last that is taken."""
    return tuple(row[: max((at + 1 for at, mass in enumerate(row) if mass), default=0)])


def _within_limits(limits: Sequence[Limit], load: Mapping[str, Sequence[Quantity]]) -> bool:
    mass = {name: [each.value for each in masses] for name, masses in load.items()}
    return all(limit.margin(limit.of_load(mass)) >= 0 for limit in limits)
