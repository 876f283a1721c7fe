"""The sample loadings of a profile, reckoned anew by the engine and held against what the papers print."""

from __future__ import annotations

from collections.abc import Iterator

from planner.facts.grades import GRADES
from planner.flight.envelope import judge
from planner.flight.limits import greatest_takeoff_mass, of_envelope, register
from planner.flight.loading import arms_of, empty_aircraft, loaded, masses_of, tanks_of
from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen
from planner.quantities.moments import Item, Total, total
from planner.quantities.sentences import Figure, say
from planner.quantities.units import Dimension, Quantity, step_of
from planner.records.aircraft.example import Example, ExampleEmpty
from planner.records.aircraft.mass_record import BasicEmpty
from planner.records.aircraft.record import Aircraft
from planner.records.placed import Located, found, place_all
from planner.records.store import Loaded


@frozen(kw_only=True)
class Compared:
    """One printed figure against ours, both in SI; `allowed` is what rounding each line of the papers may
    make of it.
    """

    key: str
    dimension: Dimension
    printed: Quantity
    ours: float
    allowed: float

    @property
    def difference(self) -> float:
        """Ours less the printed figure [SI]."""
        return self.ours - self.printed.value

    @property
    def agrees(self) -> bool:
        """Whether rounding explains the difference."""
        return abs(self.difference) <= self.allowed * (1 + 1e-9)


@frozen(kw_only=True)
class Reckoned:
    """A sample loading reckoned: its figures, whether we find it inside, and the replaced mass record it
    holds for, or "".
    """

    number: int
    example: Example
    figures: tuple[Compared, ...]
    inside: bool
    record: str

    @property
    def agrees(self) -> bool:
        """Whether every printed figure, and the printed verdict where there is one, comes out as printed."""
        return all(each.agrees for each in self.figures) and self.example.inside in (None, self.inside)


def examples_of(aircraft: Aircraft) -> tuple[Reckoned, ...]:
    """Every sample loading of a profile, in the order of the file.

    One that states no basic empty mass of its own is tried with the record in force, then with each it
    replaced: a sample of the report before the last still proves the arms. Where none fits, the record in
    force is shown.
    Parameters: `aircraft` as loaded and checked. Returns one Reckoned per example. Raises: nothing.
    Source: [faa-h-8083-1b] ch. 5 computational method, by the engine that plans flights.
    """
    result = []
    for number, example in enumerate(aircraft.examples, 1):
        records: list[tuple[str, BasicEmpty | ExampleEmpty]] = [
            ("", example.basic_empty or aircraft.basic_empty)
        ]
        if example.basic_empty is None:
            records += [(each.version, each) for each in reversed(aircraft.superseded)]
        tried = [_reckoned(aircraft, number, example, name, record) for name, record in records]
        result.append(next((each for each in tried if each.agrees), tried[0]))
    return tuple(result)


def _reckoned(
    aircraft: Aircraft, number: int, example: Example, name: str, record: BasicEmpty | ExampleEmpty
) -> Reckoned:
    density = example.density.value if example.density else GRADES[aircraft.fuel_grades[0]].standard_density
    empty = empty_aircraft(aircraft, density)
    items = loaded(empty, arms_of(aircraft), masses_of(example.load)).items
    own = Item("basic empty mass", record.mass.value, record.arm_value())
    here = total([own, *items[1:], *_fuel(aircraft, example, density)])
    fuel_lines = 1 if "" in example.fuel else len(example.fuel)
    lines = len(items) - 1 + fuel_lines + _rounded_anew(record, example)
    category = example.category or next(iter(aircraft.envelopes))
    return Reckoned(
        number=number,
        example=example,
        figures=tuple(_compared(example, here, lines)),
        inside=_inside(aircraft, category, here) and _load_inside(aircraft, category, example),
        record=name,
    )


def _rounded_anew(record: BasicEmpty | ExampleEmpty, example: Example) -> int:
    """1 where the line of the basic empty mass was rounded for the sample, 0 where it is as typed."""
    own, printed = record.moment, example.moment
    return int(own is None or printed is None or abs(step_of(own) / step_of(printed) - 1) > 1e-6)


def _fuel(aircraft: Aircraft, example: Example, density: float) -> Iterator[Item]:
    """The usable fuel as items; one amount for all tanks lies in each as much as its usable capacity asks."""
    tanks = tanks_of(aircraft)
    whole = sum(tank.usable_capacity for tank in tanks)
    for tank in tanks:
        share = tank.usable_capacity / whole if "" in example.fuel else 1.0
        given = example.fuel.get("" if "" in example.fuel else tank.name)
        if given is not None and given.value:
            volume = given.value * share / (density if given.dimension == "mass" else 1.0)
            volume = min(volume, tank.usable_capacity)
            yield Item(f"fuel {tank.name}", volume * density, tank.volume_moment(volume) / volume)


def _compared(example: Example, here: Total, lines: int) -> Iterator[Compared]:
    """The printed figures beside ours. Papers round every line to the digit of their sum: half a step for
    each is allowed, and for two at least.
    """
    lines = max(lines, 2)
    printed: list[tuple[str, Quantity | None, float]] = [
        ("mass", example.mass, here.mass),
        ("moment", example.moment, here.moment),
        ("centre_of_gravity", example.centre_of_gravity, here.centre_of_gravity),
    ]
    moment_step = step_of(example.moment) if example.moment else 0.0
    for key, figure, ours in printed:
        if figure is None:
            continue
        step = step_of(figure)
        # A centre of gravity is a quotient of two sums: their roundings come on top of its own.
        more = moment_step * lines / 2 / here.mass if key == "centre_of_gravity" and here.mass else 0.0
        allowed = step + more if key == "centre_of_gravity" else step * lines / 2
        yield Compared(key=key, dimension=figure.dimension, printed=figure, ours=ours, allowed=allowed)


def _inside(aircraft: Aircraft, category: str, here: Total) -> bool:
    bound = greatest_takeoff_mass(aircraft, category)
    limits = of_envelope(aircraft.envelopes[category].envelope(), None, "takeoff")
    kept = all(judge(each, here, ()).margin >= 0 for each in limits)
    return here.mass <= bound * (1 + 1e-9) and kept


def _load_inside(aircraft: Aircraft, category: str, example: Example) -> bool:
    """Whether what the sample puts aboard keeps to the limits of its places."""
    load = {name: [mass.value for mass in masses] for name, masses in example.load.items()}
    asked = (each for each in register(aircraft, category) if each.place == "load" and each.upper)
    return all(each.margin(each.of_load(load)) >= -1e-9 * each.at() for each in asked)


def examples_differ(aircraft: Loaded[Aircraft]) -> tuple[Finding, ...]:
    """example-differs: a sample loading that this profile does not give as the aircraft's papers print it.

    Reckoned once for a loaded profile, however many flights are planned with it.
    """
    kept = aircraft.worked_out
    if "examples" not in kept:
        kept["examples"] = place_all(aircraft.document, _differ(aircraft.record))
    found: tuple[Finding, ...] = kept["examples"]
    return found


def _differ(aircraft: Aircraft) -> Iterator[Located]:
    for each in examples_of(aircraft):
        if each.agrees:
            continue
        wrong = [
            say(
                "{} {} printed, {} reckoned",
                one.key.replace("_", " "),
                one.printed.text,
                Figure(one.ours, one.dimension, 1),
            )
            for one in each.figures
            if not one.agrees
        ]
        if each.example.inside not in (None, each.inside):
            ours = "inside" if each.inside else "outside"
            wrong.append(
                say("printed as {}, reckoned as {}", "inside" if each.example.inside else "outside", ours)
            )
        for message in wrong:
            named = say("'{}': {}", each.example.name, message)
            hint = (
                "look for a slipped digit, unit or sign: arms, tanks, basic empty mass, then the sample"
                " itself"
            )
            needed = "a profile that is right gives its papers' own sample"
            yield found(("examples", each.number - 1), "example-differs", named, needed, hint, "notice")
