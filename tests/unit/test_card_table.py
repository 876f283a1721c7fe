"""How a card finds the most of every cell, with proofs that are formulas: which are asked, and what is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from planner.records.store import load_aircraft
from planner.search.card import Card, CardAsk, CardCell, Witness, bands, card, table
from planner.search.card.forms import BoxForms
from planner.search.card.proof import BoxLoading, Proof
from planner.search.card.table import _last

AIRCRAFT = load_aircraft("thornlea-t4")
ASK = CardAsk(
    across=("front seats", (60.0, 80.0, 100.0)),
    down=("rear seats", (0.0, 40.0)),
    baggage=("baggage", (0.0, 10.0, 20.0, 30.0)),
    fuel=(0.02, 0.04, 0.06, 0.08),
    least_fuel=0.04,
    heaviest=120.0,
    pilot=50.0,
    aboard=(("shelf", 5.0),),
    grades=("avgas-100LL",),
    category="normal",
)
Holds = Callable[[float, float, float], bool]


def made(
    monkeypatch: pytest.MonkeyPatch,
    holds: Holds,
    ask: CardAsk = ASK,
    found: bool = True,
    confirmed: bool = True,
) -> tuple[Card, list[tuple[float, float, float]], list[int]]:
    """The card where a box holds as a formula of the front row's most, the baggage's and the fuel says; a
    step that does not is refuted by a loading where one is `found`, and by its plan where `confirmed`.
    """
    asked: list[tuple[float, float, float]] = []
    told: list[int] = []

    def prove(_: BoxForms, low: tuple[float, ...], high: tuple[float, ...], fuel: float) -> Proof:
        assert low[1:] == (0.0 if high[1] == 0.0 else low[1], 0.0, 0.0)
        assert high[3] == 5.0, "the shelf may hold it in every cell"
        asked.append((high[0], high[2], fuel))
        against = BoxLoading(masses=high, fuel=fuel, density=700.0) if found else None
        shown = holds(high[0], high[2], fuel)
        return Proof(shown=shown, boxes=10, against=None if shown else against)

    def judged(_: object, __: object, grades: object, loading: BoxLoading) -> Witness:
        assert grades == ask.grades
        return Witness(loading=loading, limit=cast(Any, "some limit") if confirmed else None)

    monkeypatch.setattr(table, "prove", prove)
    monkeypatch.setattr(table, "judged", judged)
    return card(AIRCRAFT, ask, told.append), asked, told


def test_bands_lie_between_ends_and_nobody_is_one_of_its_own() -> None:
    assert bands((60.0, 80.0, 95.0)) == ((60.0, 80.0), (80.0, 95.0))
    assert bands((0.0, 40.0, 80.0)) == ((0.0, 0.0), (0.0, 40.0), (40.0, 80.0))
    assert bands((0.0,)) == ((0.0, 0.0),)


@pytest.mark.parametrize("count", [0, 1, 2, 5, 8])
def test_the_last_that_holds_is_found_by_halving(count: int) -> None:
    for last in range(-1, count):
        asked: list[int] = []

        def holds(at: int, last: int = last, asked: list[int] = asked) -> bool:
            asked.append(at)
            return at <= last

        assert _last(count, holds) == last
        assert len(asked) <= count.bit_length()
        assert set(asked) <= set(range(count))


def test_a_cell_tells_the_most_baggage_and_then_the_most_fuel(monkeypatch: pytest.MonkeyPatch) -> None:
    """With 40 L: 20 kg hold beside 80 kg, 10 kg beside 100 kg; with that 60 L and no more."""

    def holds(front: float, baggage: float, fuel: float) -> bool:
        return fuel <= 0.06 and front + 2 * baggage <= 120.0

    found, asked, told = made(monkeypatch, holds)
    assert told == [1, 2, 3, 4]
    assert [[(cell.across, cell.down) for cell in row] for row in found.cells] == [
        [((60.0, 80.0), down), ((80.0, 100.0), down)] for down in ((0.0, 0.0), (0.0, 40.0))
    ]
    for row in found.cells:
        assert [(cell.baggage, cell.fuel) for cell in row] == [(20.0, 0.06), (10.0, 0.06)]
        for cell, beside in zip(row, (30.0, 20.0), strict=True):
            assert cell.more_baggage is not None
            assert (cell.more_baggage.loading.masses[2], cell.more_baggage.loading.fuel) == (beside, 0.04)
            assert cell.more_fuel is not None
            assert (cell.more_fuel.loading.masses[2], cell.more_fuel.loading.fuel) == (beside - 10.0, 0.08)
            assert (cell.boxes, cell.undecided) == (10, ())
    assert {fuel for _, _, fuel in asked} <= {0.04, 0.06, 0.08}, "20 L is less than every cell must allow"
    # Nobody behind and up to 40 kg behind are two cells; nothing is proven twice in one.
    assert all(asked.count(each) == 2 for each in asked)
    assert found.boxes == 10 * len(asked)
    assert (found.everywhere, found.one_colour, len(found.shown)) == ((10.0, 0.06), False, 4)


def test_a_cell_that_holds_all_has_no_further_step(monkeypatch: pytest.MonkeyPatch) -> None:
    found, _, _ = made(monkeypatch, lambda *_: True)
    for cell in found.shown:
        assert (cell.baggage, cell.fuel) == (30.0, 0.08)
        assert (cell.more_baggage, cell.more_fuel, cell.undecided) == (None, None, ())
    assert (found.everywhere, found.one_colour) == ((30.0, 0.08), True)


def test_a_cell_that_holds_nothing_is_empty_and_refuted(monkeypatch: pytest.MonkeyPatch) -> None:
    """With 100 kg in front not even no baggage and 40 L."""
    found, _, _ = made(monkeypatch, lambda front, *_: front < 100.0)
    for full, empty in found.cells:
        assert full.baggage == 30.0
        assert (empty.baggage, empty.fuel, empty.boxes, empty.more_fuel) == (None, None, 0, None)
        assert empty.more_baggage is not None
        assert (empty.more_baggage.loading.masses[2], empty.more_baggage.loading.fuel) == (0.0, 0.04)
    assert (found.everywhere, found.one_colour, len(found.shown)) == (None, False, 2)


@pytest.mark.parametrize(("found", "confirmed"), [(False, True), (True, False)])
def test_a_step_that_no_loading_refutes_is_undecided(
    monkeypatch: pytest.MonkeyPatch, found: bool, confirmed: bool
) -> None:
    some, _, _ = made(
        monkeypatch,
        lambda _, baggage, fuel: baggage <= 20.0 and fuel <= 0.06,
        found=found,
        confirmed=confirmed,
    )
    assert {cell.undecided for cell in some.shown} == {("baggage", "fuel")}
    assert all(cell.more_baggage is None and cell.more_fuel is None for cell in some.shown)
    none, _, _ = made(monkeypatch, lambda *_: False, found=found, confirmed=confirmed)
    assert {cell.undecided for row in none.cells for cell in row} == {("baggage",)}


def test_the_least_fuel_is_the_first_step_that_is_as_much(monkeypatch: pytest.MonkeyPatch) -> None:
    """60 L to the last digit is a step; 61 L is first reached by 80 L."""
    for least, first in ((0.06 + 1e-17, 0.06), (0.061, 0.08), (0.02, 0.02)):
        _, asked, _ = made(monkeypatch, lambda *_: False, replace(ASK, least_fuel=least))
        assert {fuel for _, _, fuel in asked} == {first}


def test_what_a_row_of_seats_can_not_weigh_is_no_loading(monkeypatch: pytest.MonkeyPatch) -> None:
    """A band that ends below the lightest pilot, or begins above two of the heaviest: not shown, and nothing
    to refute it; one that only reaches there is asked for what there is.
    """
    ask = replace(ASK, across=("front seats", (20.0, 45.0, 50.0, 230.0, 240.0, 260.0, 300.0)))
    found, asked, _ = made(monkeypatch, lambda *_: True, ask)
    shown = [cell.baggage is not None for cell in found.cells[0]]
    assert shown == [False, True, True, True, True, False]
    assert {front for front, _, _ in asked} == {50.0, 230.0, 240.0}
    assert [cell.undecided for cell in found.cells[0]] == [("baggage",), (), (), (), (), ("baggage",)]
    assert found.boxes == 10 * len(asked)


def test_one_figure_everywhere_is_the_least_of_all_cells() -> None:
    def cell(baggage: float, fuel: float) -> CardCell:
        return CardCell(across=(60.0, 80.0), down=(0.0, 0.0), baggage=baggage, fuel=fuel, boxes=1)

    forms = cast(Any, SimpleNamespace())
    mixed = Card(ask=ASK, forms=forms, cells=((cell(10.0, 0.08), cell(20.0, 0.06)),), boxes=2)
    assert (mixed.everywhere, mixed.one_colour) == ((10.0, 0.06), False)
    fuel = Card(ask=ASK, forms=forms, cells=((cell(0.0, 0.08),), (cell(0.0, 0.06),)), boxes=2)
    assert (fuel.everywhere, fuel.one_colour) == ((0.0, 0.06), False)
