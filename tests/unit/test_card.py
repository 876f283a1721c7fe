"""The card: no loading inside a cell is outside a limit, by the block evaluator of a sweep and by a naive one
written here; one step more is refuted; a proof that is wrong on purpose is caught.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from planner.facts.grades import GRADES
from planner.facts.rules import RULES
from planner.plan import plan_flight
from planner.quantities.errors import InputRefused
from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.records.document import parse
from planner.records.store import Loaded, flight_in, load_aircraft, profile_ids
from planner.search.card import Card, CardCell, Typed, card, read_ask, table
from planner.search.card.bounds import _Bounds, checks
from planner.search.card.boxes import Boxes, Many, between, least, spread_out
from planner.search.card.forms import BoxForms, compile_forms
from planner.search.card.proof import BoxLoading, Proof, _whole, _widths, prove
from planner.search.card.witness import judged
from planner.sweep.block import GROUPS, INSIDE, Sweeper
from planner.sweep.sweeping import compile_sweep
from planner.sweep.targets import find_target
from tests.sizes import examples, stride

LOADINGS = min(examples(100_000), 1_000_000)  # a million in the long run
# What a card says nothing about: whether the fuel is enough for a flight.
OF_LIMITS = [GROUPS.index(group) for group in ("load", "mass", "forward", "aft", "lateral", "tank")]


@pytest.fixture(scope="module")
def cards() -> dict[str, Card]:
    """The card of every profile that comes with the program, in coarse steps."""
    made = {}
    for name in profile_ids():
        loaded = load_aircraft(name)
        typed = Typed(fuel_step="20 L", across_step=f"{35 * stride(2)} kg", down_step="50 kg")
        made[name] = card(loaded, read_ask(loaded.record, typed, Display()))
    return made


def drawn(random: np.random.Generator, made: Card, cell: CardCell, count: int) -> tuple[Any, Any]:
    """Random loadings of a cell: masses seat by seat and the fuel filled; half of them at the cell's bounds."""
    spans = {name: (0.0, most) for name, most in made.ask.aboard}
    spans |= {
        made.ask.baggage[0]: (0.0, cell.baggage or 0.0),
        made.ask.across[0]: cell.across,
        made.ask.down[0]: cell.down,
    }

    def between_(low: float, high: float) -> Any:
        part = random.random(count)
        return low + (high - low) * np.where(random.random(count) < 0.5, np.round(part), part)

    masses = np.zeros((count, made.forms.seats))
    for row in made.forms.rows:
        low, high = spans.get(row.name, (0.0, 0.0))
        whole = between_(max(low, sum(row.least)), min(high, row.seats * row.heaviest))
        left = whole - sum(row.least)
        order = list(range(row.seats))
        random.shuffle(order)
        for place, seat in enumerate(order):
            behind = sum(row.heaviest - row.least[other] for other in order[place + 1 :])
            room = row.heaviest - row.least[seat] if row.seats > 1 else np.inf
            least = np.maximum(left - behind, 0.0) if place + 1 < row.seats else left
            share = least + (np.minimum(left, room) - least) * between_(0.0, 1.0)
            masses[:, row.first + seat] = row.least[seat] + share
            left = left - share
    return masses, between_(0.0, cell.fuel or 0.0)


def sweeper(loaded: Loaded[Aircraft], forms: BoxForms, density: float) -> Sweeper:
    """The block evaluator of a flight with no taxi and no trip, with every seat and tank open."""
    seats = ", ".join(f"{row.name}: [{', '.join(['0 kg'] * row.seats)}]" for row in forms.rows)
    tanks = ", ".join(f"{name}: 0 L" for name in loaded.record.tanks)
    phase = next(each for each in loaded.record.burn if each != "taxi")
    grade = next(
        each for each in loaded.record.fuel_grades if GRADES[each].band[0] <= density <= GRADES[each].band[1]
    )
    text = (
        f"flight: 1\naircraft: it\ncategory: {forms.category}\nrules: {next(iter(RULES))}\nload: {{{seats}}}\n"
        f"fuel: {{grade: {grade}, density: {{fixed: {density!r} kg/m3}},"
        f" tanks: {{{tanks}}}}}\ntrip: [{{phase: {phase}, fuel: 0 L}}]\n"
    )
    flight = flight_in(parse(text, "it"), loaded)
    plan = plan_flight(flight, loaded)
    names = [
        (f"{row.name} {seat + 1}" if row.seats > 1 else row.name, "kg")
        for row in forms.rows
        for seat in range(row.seats)
    ] + [(f"fuel {name}", "L") for name in loaded.record.tanks]
    targets = [find_target(flight.record, loaded.record, *each) for each in names]
    return Sweeper(compile_sweep(plan, targets))


def filled(forms: BoxForms, fuel: Any) -> Any:
    """Fuel per tank of each filling."""
    return np.stack(
        [
            np.interp(fuel, forms.cuts, [level[tank] for level in forms.levels])
            for tank in range(len(forms.levels[0]))
        ],
        axis=1,
    )


class Naive:
    """A tiny evaluator that shares nothing with the engine but the record: states only, at any fuel left."""

    def __init__(self, aircraft: Aircraft, category: str) -> None:
        self.aircraft, self.chosen = aircraft, aircraft.envelopes[category]

    def least(self, masses: Any, tanks: Any, density: Any) -> Any:
        """The least margin less k times what the basic empty mass and its arm are unsure by; CG in m, mass in
        t.
        """
        plane, empty = self.aircraft, self.aircraft.basic_empty
        mass = np.full(len(masses), empty.mass.value)
        moment = mass * empty.arm_value()
        across = mass * empty.lateral_arm.value
        column = 0
        for station in plane.stations.values():
            sides = [each.value for each in station.lateral_arms] or [
                station.lateral_arm.value if station.lateral_arm else 0.0
            ] * max(station.seats, 1)
            for side in sides:
                mass = mass + masses[:, column]
                moment = moment + masses[:, column] * station.arm.value
                across = across + masses[:, column] * side
                column += 1
        for number, tank in enumerate(plane.tanks.values()):
            points = tank.arm_points()
            volumes, arms = [each for each, _ in points], [arm for _, arm in points]
            unusable = tank.unusable.value
            whole = tanks[:, number] + unusable
            of_tank = whole * np.interp(whole, volumes, arms) - unusable * np.interp(unusable, volumes, arms)
            mass, moment = mass + density * tanks[:, number], moment + density * of_tank
            across = across + density * tanks[:, number] * tank.lateral_arm.value
        top = min(
            each.value
            for each in (plane.masses.max_takeoff, plane.masses.max_landing, self.chosen.max_takeoff)
            if each is not None
        )
        u_mass = empty.mass.u
        found = (top - mass - 2 * u_mass) / 1000
        if plane.masses.max_zero_fuel is not None:
            dry = tanks.sum(axis=1) == 0
            found = np.where(
                dry, np.minimum(found, (plane.masses.max_zero_fuel.value - mass - 2 * u_mass) / 1000), found
            )
        changes = [0.0, *(each.value for each in plane.moment_changes.values())]
        for change in changes:
            for sign, rows in ((-1.0, self.chosen.forward), (1.0, self.chosen.aft)):
                at, limit = [m.value for m, _ in rows], [arm.value for _, arm in rows]
                if self.chosen.edges == "linear in moment":
                    edge = np.interp(mass, at, [m * arm for m, arm in zip(at, limit, strict=True)]) / np.clip(
                        mass, at[0], at[-1]
                    )
                else:
                    edge = np.interp(mass, at, limit)
                cg = (moment + change) / mass
                u_arm = (
                    empty.arm.u * empty.mass.value if empty.arm else empty.moment.u if empty.moment else 0.0
                )
                found = np.minimum(found, sign * (edge - cg) - 2 * u_arm / mass)
        if plane.lateral is not None:
            cg = across / mass
            found = np.minimum(
                found, np.minimum(cg - plane.lateral.left.value, plane.lateral.right.value - cg)
            )
        return found


def cells(cards: dict[str, Card]) -> Iterator[tuple[str, Card, CardCell]]:
    for name, made in cards.items():
        for cell in made.shown:
            yield name, made, cell


def test_loadings_inside_cells_and_none_outside(cards: dict[str, Card]) -> None:
    """Every loading by the block evaluator through the whole burn, and by the naive one at a fuel state of it."""
    random, total = np.random.default_rng(14), 0
    everything = list(cells(cards))
    each = LOADINGS // len(everything) // 3 + 1
    evaluators: dict[tuple[str, float], Sweeper] = {}
    for name, made, cell in everything:
        loaded, (low, high) = load_aircraft(name), made.forms.density
        naive = Naive(loaded.record, made.ask.category)
        for density in (low, high, low + 0.3 * (high - low)):
            if (name, density) not in evaluators:
                evaluators[name, density] = sweeper(loaded, made.forms, density)
            judge = evaluators[name, density]
            masses, fuel = drawn(random, made, cell, each)
            for start in range(0, each, judge.rows):
                part = slice(start, start + judge.rows)
                loads = np.concatenate([masses[part], filled(made.forms, fuel[part])], axis=1)
                found = judge.judge(loads).verdicts[OF_LIMITS]
                assert (found == INSIDE).all(), (name, cell, loads[(found != INSIDE).any(axis=0)][0], density)
            left = fuel * random.integers(0, 3, each) / 2
            margins = naive.least(masses, filled(made.forms, left), density)
            assert margins.min() > -1e-9, (
                name,
                cell,
                masses[margins.argmin()],
                left[margins.argmin()],
                density,
            )
            total += each
    assert total >= LOADINGS


def test_the_same_attack_finds_a_cell_that_says_too_much(cards: dict[str, Card]) -> None:
    """With one step more than a cell allows, the draws of the test above do meet loadings that are not inside."""
    random, made, loaded, met = (
        np.random.default_rng(5),
        cards["thornlea-t4b"],
        load_aircraft("thornlea-t4b"),
        0,
    )
    judges = [sweeper(loaded, made.forms, density) for density in made.forms.density]
    for cell in made.shown:
        if cell.more_fuel is None:
            continue
        at = made.ask.fuel.index(cell.fuel)
        masses, fuel = drawn(random, made, replace(cell, fuel=made.ask.fuel[at + 1]), 8000)
        loads = np.concatenate([masses, filled(made.forms, fuel)], axis=1)
        found = [judge.judge(loads).verdicts[OF_LIMITS] for judge in judges]
        assert any((each != INSIDE).any() for each in found), cell
        met += 1
    assert met > 3


def test_one_step_more_is_refuted_by_a_loading(cards: dict[str, Card]) -> None:
    """Wherever there is a further step, the plan of some loading of it is not inside."""
    refuted = 0
    for made in cards.values():
        for cell in (cell for row in made.cells for cell in row):
            assert not cell.undecided
            for value, tried, witness in (
                (cell.baggage, made.ask.baggage[1], cell.more_baggage),
                (cell.fuel, made.ask.fuel, cell.more_fuel),
            ):
                if value is not None and value < tried[-1]:
                    assert witness is not None
                    assert witness.limit is not None
                    assert witness.limit.verdict != "inside"
                    refuted += 1
    assert refuted > 50 // stride(2)


def test_more_fuel_mends_no_loading(cards: dict[str, Card]) -> None:
    """A plan follows every burn down to no usable fuel, so that what is not inside with one filling is not with
    any greater one: the fuel of a cell begins at 0, or there is none.
    """
    seen = 0
    for name, made in cards.items():
        loaded = load_aircraft(name)
        witnesses = [cell.more_baggage for row in made.cells for cell in row if cell.more_baggage is not None]
        for witness in witnesses[:: max(len(witnesses) // 4, 1)]:
            for fuel in (each for each in made.ask.fuel[::3] if each > witness.loading.fuel):
                fuller = judged(loaded, made.forms, made.ask.grades, replace(witness.loading, fuel=fuel))
                assert fuller.limit is not None, (witness, fuel)
                seen += fuller.limit.place not in ("load", "fuel")
    assert seen > 10


def test_an_empty_cell_is_refuted_or_has_no_loading(cards: dict[str, Card]) -> None:
    for made in cards.values():
        for cell in (cell for row in made.cells for cell in row if cell.fuel is None):
            assert cell.more_baggage is not None, cell


def test_a_little_beyond_the_limit_is_not_proven() -> None:
    """The aft corner of a cell, moved from just inside to just outside, turns the proof; the plan agrees."""
    loaded = load_aircraft("thornlea-t4")
    forms = compile_forms(loaded.record, "normal", ("avgas-100LL",), 120.0, 50.0)

    def turned(rears: Iterable[float]) -> list[tuple[bool, bool]]:
        found = []
        for rear in rears:
            proof = prove(forms, (80.0, rear, 20.0, 0.0), (80.0, rear, 20.0, 0.0), 0.05)
            masses = (80.0, 0.0, rear, 0.0, 20.0, 0.0)
            loadings = [BoxLoading(masses=masses, fuel=0.05, density=density) for density in forms.density]
            inside = all(judged(loaded, forms, ("avgas-100LL",), each).limit is None for each in loadings)
            assert inside >= proof.shown
            found.append((proof.shown, inside))
        return found

    coarse = range(60, 160, 10)
    last = coarse[sum(inside for _, inside in turned(coarse)) - 1]
    fine = turned(last + step / 2 for step in range(20))
    ours, theirs = (sum(each) for each in zip(*fine, strict=True))
    assert 0 < ours <= theirs < len(fine)
    assert theirs - ours <= 1  # the bound gives away less than half a kilogram


def test_a_box_of_one_loading_leaves_of_an_edge_what_its_plan_does() -> None:
    """Beyond 820 kg the forward edge slopes, and U of the mass adds to that of the moment."""
    loaded = load_aircraft("thornlea-t4")
    forms = compile_forms(loaded.record, "normal", ("avgas-100LL",), 120.0, 50.0)
    density = forms.density[0]
    evaluator = sweeper(loaded, forms, density)
    edges = [each for each in forms.limits if each.place == "burn" and each.quantity == "cg"]
    assert {each.group for each in edges} == {"forward", "aft"}
    for rear in (0.0, 60.0, 80.0):
        found = evaluator.judge(np.array([[80.0, 80.0, rear, rear, 10.0, 0.0, 0.0, 0.0]]))
        here = np.array([[160.0, 2 * rear, 10.0, 0.0, density, 0.0]])
        bounds = _Bounds(forms, Boxes(here, here, np.array([0])))
        for limit in edges:
            (check,) = bounds.of_edge(limit, forms.variants[0])
            at = GROUPS.index(limit.group)
            left = found.masses[0, 0] * (found.margins[at, 0] - found.uncertainties[at, 0])
            assert check.left.value.tolist() == [pytest.approx(left, rel=1e-9)]


def test_a_cell_is_proven_from_its_lightest_people_to_its_heaviest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever baggage and fuel up to those of the cell; the pilot alone weighs 50 kg, two people 240 kg."""
    asked: list[tuple[Any, ...]] = []

    def proven(_: BoxForms, *box: Any) -> Proof:
        asked.append(box)
        return Proof(shown=True, boxes=3)

    monkeypatch.setattr(table, "prove", proven)
    aircraft = load_aircraft("thornlea-t4")
    ask = read_ask(aircraft.record, Typed(), Display())
    forms = compile_forms(aircraft.record, ask.category, ask.grades, ask.heaviest, ask.pilot)
    work = table._Work(aircraft, forms, ask)
    for across in ((60.0, 80.0), (40.0, 250.0)):
        assert work._prove(across, (0.0, 40.0), 10.0, 0.05).shown
    assert asked == [
        ((60.0, 0.0, 0.0, 0.0), (80.0, 40.0, 10.0, 0.0), 0.05),
        ((50.0, 0.0, 0.0, 0.0), (240.0, 40.0, 10.0, 0.0), 0.05),
    ]
    assert not work._prove((0.0, 40.0), (0.0, 40.0), 10.0, 0.05).shown, "nobody is as light as the pilot"
    assert (len(asked), work.boxes) == (2, 6)


def steps(start: int, end: int, step: int) -> tuple[float, ...]:
    return tuple(map(float, range(start, end + 1, step)))


def test_what_a_card_is_asked_where_nothing_is_typed() -> None:
    """The table of docs/card.md: 100 kg a seat, the pilot's row from 60 kg; a row of one seat to the heaviest
    person, in bands half as high.
    """
    asked = read_ask(load_aircraft("thornlea-t4").record, Typed(), Display())
    assert asked.across == ("front seats", steps(60, 200, 20))
    assert asked.down == ("rear seats", steps(0, 200, 40))
    assert asked.baggage == ("baggage", steps(0, 40, 5))
    assert [round(each * 1e3) for each in asked.fuel] == [*range(10, 141, 10), 144]
    assert asked.least_fuel == pytest.approx(0.080), "the step that holds half of 144 L"
    assert (asked.heaviest, asked.pilot, asked.aboard) == (120.0, 50.0, ())
    alone = read_ask(load_aircraft("saltmere-samphire").record, Typed(), Display())
    assert alone.across == ("front seat", steps(0, 120, 20))
    assert alone.down == ("rear seat", steps(60, 120, 20)), "flown solo from the rear seat"
    pounds = read_ask(load_aircraft("thornlea-t4").record, Typed(), Display("us"))
    assert [round(each / 0.45359237) for each in pounds.across[1]] == [*range(120, 421, 50)]
    assert [round(each / 0.45359237) for each in pounds.down[1]] == [*range(0, 421, 70)]
    assert pounds.fuel[0] == pytest.approx(2 * 3.785411784e-3)
    assert pounds.baggage[1][1] / 0.45359237 == pytest.approx(10)
    single = read_ask(load_aircraft("saltmere-samphire").record, Typed(), Display("us")).down[1]
    assert [round(each / 0.45359237) for each in single] == [120, 160, 200, 240, 260], "the heaviest"


def test_halves_of_a_box_are_the_box_and_without_fuel_it_is_as_wide_as_before() -> None:
    """Columns: two masses [kg], density [kg/m3], fuel of the segment [m3]."""
    low, high = np.array([[10.0, 0.0, 700.0, 0.0]]), np.array([[30.0, 50.0, 740.0, 0.1]])
    box = Boxes(low, high, np.array([2]))
    for side, middle in enumerate((20.0, 25.0, 720.0, 0.05)):
        one, other = (box.halved(np.array([side])).some([at]) for at in range(2))
        assert (one.low.tolist(), other.high.tolist()) == (low.tolist(), high.tolist())
        assert np.flatnonzero(one.high - high).tolist() == np.flatnonzero(other.low - low).tolist() == [side]
        assert one.high[0, side] == other.low[0, side] == middle
        assert one.segment == other.segment == [2]
    # 20 kg, 50 kg, 40 kg/m3 of 0.2 m3, 0.1 m3 of 740 kg/m3
    assert _widths(box, 0.2).tolist() == [pytest.approx([20.0, 50.0, 8.0, 74.0])]
    dry = box.ending_dry()
    assert (dry.low.tolist(), dry.high.tolist()) == (low.tolist(), [[30.0, 50.0, 740.0, 0.0]])


def test_the_boxes_of_a_filling_hold_all_of_it_and_one_begins_where_a_tank_does() -> None:
    forms = compile_forms(load_aircraft("dunwick-marram").record, "normal", ("jet-A1",), 120.0, 50.0)
    empty, full = [0.0] * len(forms.rows), [10.0] * len(forms.rows)
    assert len(forms.cuts) > 2
    for fuel in (0.0, *forms.cuts[1:], forms.cuts[1] / 3, (forms.cuts[1] + forms.cuts[2]) / 2):
        boxes = _whole(forms, tuple(empty), tuple(full), fuel)
        assert len(boxes) == max(sum(cut < fuel for cut in forms.cuts[:-1]), 1)
        assert boxes.segment.tolist() == list(range(len(boxes)))
        assert boxes.high[:, -1].sum() == pytest.approx(fuel)
        assert {tuple(each) for each in boxes.low} == {(*empty, forms.density[0], 0.0)}
        assert {tuple(each[:-1]) for each in boxes.high} == {(*full, forms.density[1])}


@pytest.mark.parametrize("name", ["thornlea-t4", "dunwick-marram"])
def test_what_is_proven_of_a_box_does_not_depend_on_those_beside_it(name: str) -> None:
    """Light and heavy boxes together lie on both sides of every corner of the envelope."""
    loaded, random = load_aircraft(name), np.random.default_rng(5)
    forms = compile_forms(
        loaded.record, next(iter(loaded.record.envelopes)), loaded.record.fuel_grades, 120.0, 50.0
    )
    count, most = 30, np.array([70.0 * row.seats if row.seats > 1 else 20.0 for row in forms.rows])
    ends = np.sort(random.random((2, count, len(most))), axis=0) * most
    fuel = np.sort(random.random((2, count, 1)), axis=0) * (forms.cuts[1] - forms.cuts[0])
    low, high = (
        np.hstack([ends[end], np.full((count, 1), forms.density[end]), fuel[end]]) for end in range(2)
    )
    boxes = Boxes(low, high, np.zeros(count, dtype=int))

    def tightest(some: Boxes) -> list[float]:
        return [float(each) for each in np.min([check.left.value for check in checks(forms, some)], axis=0)]

    together = tightest(boxes)
    assert min(together) < 0 < max(together)
    assert together == pytest.approx([tightest(boxes.some(np.array([at])))[0] for at in range(count)])


@pytest.mark.parametrize(
    ("baggage", "shelf", "broken"),
    [
        ((30.0, 40.0), (0.0, 5.0), False),
        ((30.0, 40.1), (0.0, 4.0), True),  # 40 kg behind the rear seats
        ((36.0, 38.0), (5.0, 7.0), False),
        ((36.0, 38.0), (5.0, 7.1), True),  # 45 kg in both
        ((0.0, 5.0), (8.0, 10.1), True),  # 10 kg on the shelf
    ],
)
def test_the_heaviest_loading_of_a_box_decides_what_its_places_hold(
    baggage: tuple[float, float], shelf: tuple[float, float], broken: bool
) -> None:
    forms = compile_forms(load_aircraft("thornlea-t4").record, "normal", ("avgas-100LL",), 120.0, 50.0)
    low, high = zip((80.0, 80.0), (0.0, 0.0), baggage, shelf, strict=True)
    proof = prove(forms, low, high, 0.05)
    assert (proof.boxes == 0) == broken, "a loading that breaks a limit of the load is found at once"
    if broken:
        assert proof.against is not None
        behind, above = proof.against.masses[-2:]
        assert behind > 40 or above > 10 or behind + above > 45


@pytest.mark.parametrize("name", profile_ids())
def test_forms_are_the_engines_own_figures(name: str) -> None:
    """Mass, moment and what is unsure of a random loading: read off the forms as the plan has it."""
    loaded, random = load_aircraft(name), np.random.default_rng(3)
    forms = compile_forms(
        loaded.record, next(iter(loaded.record.envelopes)), loaded.record.fuel_grades, 120.0, 50.0
    )
    for _ in range(20):
        low = [float(random.uniform(0, 60)) if row.seats == 1 else 0.0 for row in forms.rows]
        density, fuel = float(random.uniform(*forms.density)), float(random.uniform(0, forms.cuts[-1]))
        segment = int(np.searchsorted(forms.cuts, fuel)) - 1
        at = np.array([[*low, density, fuel - forms.cuts[segment]]])
        box = Boxes(at, at, np.array([segment]))
        rows = tuple(replace(row, least=(0.0,) * row.seats) for row in forms.rows)
        flight = judged_total(loaded, forms, low, density, fuel)
        for form, value in ((forms.mass, flight[0]), (forms.moment, flight[1]), (forms.lateral, flight[2])):
            assert between(rows, box, spread_out(form, box))[0][0] == pytest.approx(value, rel=1e-9, abs=1e-9)


def judged_total(
    loaded: Loaded[Aircraft], forms: BoxForms, low: list[float], density: float, fuel: float
) -> tuple[float, float, float]:
    """Mass and moments by the record's own figures."""
    plane = loaded.record
    mass = plane.basic_empty.mass.value
    moment, side = mass * plane.basic_empty.arm_value(), mass * plane.basic_empty.lateral_arm.value
    for row, one in zip(forms.rows, low, strict=True):
        station = plane.stations[row.name]
        mass, moment = mass + one, moment + one * station.arm.value
        side += one * (station.lateral_arm.value if station.lateral_arm else 0.0)
    for tank, volume in zip(plane.tanks.values(), forms.volumes(fuel), strict=True):
        points, unusable = tank.arm_points(), tank.unusable.value
        whole = volume + unusable
        arms = [np.interp(each, [v for v, _ in points], [a for _, a in points]) for each in (whole, unusable)]
        mass += density * volume
        moment += density * float(whole * arms[0] - unusable * arms[1])
        side += density * volume * tank.lateral_arm.value
    return mass, moment, side


@pytest.mark.parametrize("text", ["0 kg", "-0.5 kg"])
def test_the_lightest_pilot_weighs_something(text: str) -> None:
    aircraft = load_aircraft("thornlea-t4").record
    with pytest.raises(InputRefused, match=r"--pilot: .* is (not above|below) zero"):
        read_ask(aircraft, Typed(pilot=text), Display())
    assert read_ask(aircraft, Typed(pilot="0.5 kg"), Display()).pilot == 0.5


def test_no_other_station_holds_less_than_nothing() -> None:
    aircraft = load_aircraft("thornlea-t4").record
    with pytest.raises(InputRefused, match="--aboard: '-5 kg' is below zero"):
        read_ask(aircraft, Typed(aboard=("shelf=-5 kg",)), Display())


def test_a_place_named_alone_is_asked_from_nothing_to_its_most() -> None:
    asked = read_ask(load_aircraft("thornlea-t4").record, Typed(across="baggage"), Display())
    assert (asked.across, asked.baggage) == (("baggage", (0.0, 20.0, 40.0)), ("shelf", (0.0, 5.0, 10.0)))


@pytest.mark.parametrize(
    ("at_density", "fuel", "value", "where"),
    [
        (2.0, (0.0, 0.0, 0.0), 2.0 * 700, (700.0, 0.0)),
        (-2.0, (0.0, 0.0, 0.0), -2.0 * 740, (740.0, 0.0)),
        (1.0, (0.5, 3.0, 0.0), 1.5 * 700, (700.0, 0.0)),
        (0.0, (0.0, -4.0, 10.0), -0.4 * 740, (740.0, 0.2)),  # -4 v + 10 v2 is least at 0.2
        (1.0, (0.0, -4.0, 10.0), 0.6 * 700, (700.0, 0.2)),
        (0.0, (0.0, 4.0, -10.0), -0.5 * 740, (740.0, 0.5)),  # opens downward: at an end
    ],
)
def test_a_form_is_least_at_a_corner_or_where_its_fuel_is_level(
    at_density: float, fuel: tuple[float, ...], value: float, where: tuple[float, ...]
) -> None:
    """One box: 700 to 740 kg/m3 and 0 to 0.5 m3 of fuel, nobody aboard; 1 besides."""
    box = Boxes(np.array([[700.0, 0.0]]), np.array([[740.0, 0.5]]), np.array([0]))
    found = least((), box, Many(np.ones(1), np.zeros((1, 0)), np.array([at_density]), np.array([fuel])))
    assert found.value.tolist() == [pytest.approx(1 + value)]
    assert found.at[0].tolist() == pytest.approx(list(where))
