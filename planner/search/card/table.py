"""The card: for every cell of front row and rear row the most baggage and the fuel that are proven inside."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from typing import Final

from planner.quantities.frozen import frozen
from planner.records.aircraft.record import Aircraft
from planner.records.store import Loaded
from planner.search.card.forms import BoxForms, compile_forms
from planner.search.card.proof import Proof, prove
from planner.search.card.witness import Witness, judged

_SAME: Final = 1e-9


@frozen(kw_only=True)
class CardAsk:
    """What a card is asked to say.

    `across` and `down`: a station and the ends of its bands [kg], ascending; `baggage`: a station and the
    amounts tried [kg]; `fuel` the fillings tried [m3], ascending, and `least_fuel` [m3] that every cell must
    allow; `heaviest` person and lightest `pilot` [kg]; `aboard`, the most on other stations [kg], nothing
    on those left out; `grades` of fuel, and `category`.
    """

    across: tuple[str, tuple[float, ...]]
    down: tuple[str, tuple[float, ...]]
    baggage: tuple[str, tuple[float, ...]]
    fuel: tuple[float, ...]
    least_fuel: float
    heaviest: float
    pilot: float
    aboard: tuple[tuple[str, float], ...]
    grades: tuple[str, ...]
    category: str


@frozen(kw_only=True)
class CardCell:
    """One cell: bands of both rows [kg], the most `baggage` [kg] and `fuel` [m3] that are shown, None where
    none is; `boxes` looked at by the proofs of what it says.

    `more_baggage` and `more_fuel` say that one step more is not inside, by a loading; None where there is no
    further step, or none was found (`undecided`).
    """

    across: tuple[float, float]
    down: tuple[float, float]
    baggage: float | None
    fuel: float | None
    boxes: int
    more_baggage: Witness | None = None
    more_fuel: Witness | None = None
    undecided: tuple[str, ...] = ()


@frozen(kw_only=True)
class Card:
    """A card: what was asked, its `cells` row by row, and how many `boxes` all proofs looked at."""

    ask: CardAsk
    forms: BoxForms
    cells: tuple[tuple[CardCell, ...], ...]
    boxes: int

    @property
    def shown(self) -> tuple[CardCell, ...]:
        """The cells that say something."""
        return tuple(cell for row in self.cells for cell in row if cell.fuel is not None)

    @property
    def everywhere(self) -> tuple[float, float] | None:
        """Baggage [kg] and fuel [m3] that hold in every cell, None where one is empty."""
        if len(self.shown) < sum(len(row) for row in self.cells):
            return None
        return (min(cell.baggage or 0.0 for cell in self.shown), min(cell.fuel or 0.0 for cell in self.shown))

    @property
    def one_colour(self) -> bool:
        """Whether every cell says the same."""
        return len({(cell.baggage, cell.fuel) for row in self.cells for cell in row}) == 1


def card(loaded: Loaded[Aircraft], ask: CardAsk, told: Callable[[int], None] = lambda _: None) -> Card:
    """The card of an aircraft.

    A cell holds the most baggage for which every loading of its bands is shown with at least `least_fuel`
    filled, and then the most fuel with that baggage; both in the steps asked for. What holds for more of
    either holds for less, so both are found by halving. A cell counts only what is proven.
    Parameters: `loaded` profile, checked; `ask`; `told` hears how many cells are done. Returns a Card in SI.
    Source: as `planner.search.card.proof.prove`.
    """
    forms = compile_forms(loaded.record, ask.category, ask.grades, ask.heaviest, ask.pilot)
    work = _Work(loaded, forms, ask)
    rows, done = [], 0
    for down in bands(ask.down[1]):
        row = []
        for across in bands(ask.across[1]):
            row.append(work.cell(across, down))
            told(done := done + 1)
        rows.append(tuple(row))
    return Card(ask=ask, forms=forms, cells=tuple(rows), boxes=work.boxes)


def bands(ends: Sequence[float]) -> tuple[tuple[float, float], ...]:
    """The bands between ends [kg]; where the first is nothing, nobody is a band of its own."""
    alone = ((0.0, 0.0),) if ends[0] == 0.0 else ()
    return (*alone, *itertools.pairwise(ends))


class _Work:
    """Finds one cell after the other."""

    def __init__(self, loaded: Loaded[Aircraft], forms: BoxForms, ask: CardAsk) -> None:
        self.loaded, self.forms, self.ask, self.boxes = loaded, forms, ask, 0

    def _prove(
        self, across: tuple[float, float], down: tuple[float, float], baggage: float, fuel: float
    ) -> Proof:
        ask = self.ask
        spans = {name: (0.0, most) for name, most in ask.aboard}
        spans |= {ask.baggage[0]: (0.0, baggage), ask.across[0]: across, ask.down[0]: down}
        low, high = [], []
        for row in self.forms.rows:
            first, last = spans.get(row.name, (0.0, 0.0))
            low.append(max(first, sum(row.least)))
            high.append(min(last, row.seats * row.heaviest))
            if high[-1] < low[-1] - _SAME:
                return Proof(shown=False, boxes=0)  # no loading at all: nothing to be said
        found = prove(self.forms, tuple(low), tuple(high), fuel)
        self.boxes += found.boxes
        return found

    def cell(self, across: tuple[float, float], down: tuple[float, float]) -> CardCell:
        """One cell."""
        ask, tried = self.ask, dict[tuple[int, int], Proof]()

        def proof(baggage: int, fuel: int) -> Proof:
            at = (baggage, fuel)
            if at not in tried:
                tried[at] = self._prove(across, down, ask.baggage[1][baggage], ask.fuel[fuel])
            return tried[at]

        least = next(at for at, fuel in enumerate(ask.fuel) if fuel >= ask.least_fuel - 1e-12)
        most = _last(len(ask.baggage[1]), lambda at: proof(at, least).shown)
        undecided: list[str] = []
        if most < 0:
            against = self._refuted(proof(0, least), undecided, "baggage")
            return CardCell(
                across=across,
                down=down,
                baggage=None,
                fuel=None,
                boxes=0,
                more_baggage=against,
                undecided=tuple(undecided),
            )
        fuel = least + _last(len(ask.fuel) - least, lambda at: proof(most, least + at).shown)
        further = most + 1 < len(ask.baggage[1])
        more_baggage = self._refuted(proof(most + 1, least), undecided, "baggage") if further else None
        more_fuel = (
            self._refuted(proof(most, fuel + 1), undecided, "fuel") if fuel + 1 < len(ask.fuel) else None
        )
        return CardCell(
            across=across,
            down=down,
            baggage=ask.baggage[1][most],
            fuel=ask.fuel[fuel],
            boxes=proof(most, fuel).boxes,
            more_baggage=more_baggage,
            more_fuel=more_fuel,
            undecided=tuple(undecided),
        )

    def _refuted(self, proof: Proof, undecided: list[str], what: str) -> Witness | None:
        """The loading that refutes a step more, judged by the plan; where there is none, that is told."""
        if proof.against is not None:
            witness = judged(self.loaded, self.forms, self.ask.grades, proof.against)
            if witness.limit is not None:
                return witness
        undecided.append(what)
        return None


def _last(count: int, holds: Callable[[int], bool]) -> int:
    """The last number below `count` for which something holds that holds for all before it; -1 for none.

    What is asked, in which order, stays as it is: the count of boxes is in the digest of the cards in use.
    """
    low, high = -1, count
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
