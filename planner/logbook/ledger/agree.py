"""Sources set against each other: do they agree, which one is the odd one out, and what to reckon with."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from planner.logbook.ledger.sources import FuelSource, differ
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, joined, say


@frozen
class Agreement:
    """Sources of one stage compared. `odd` is the one the others agree against, or None; `apart` are the
    pairs that disagree.

    `lowest` is for endurance: the lowest of all, as a low reading is never talked away. `highest` is for
    mass: the highest of all. None where no source says anything. `words` puts it in a
    sentence.
    """

    sources: tuple[FuelSource, ...]
    odd: FuelSource | None
    apart: tuple[tuple[FuelSource, FuelSource], ...]
    lowest: FuelSource | None
    highest: FuelSource | None
    words: str

    @property
    def agree(self) -> bool:
        """Whether all sources agree."""
        return not self.apart


def _apart(sources: Sequence[FuelSource]) -> tuple[tuple[FuelSource, FuelSource], ...]:
    return tuple((one, other) for one, other in combinations(sources, 2) if differ(one, other))


def compare(sources: Sequence[FuelSource]) -> Agreement:
    """Set the sources of one stage against each other.

    A source is the odd one out when the rest, two or more, agree among themselves without it and no other
    source could be left out instead. Two sources that disagree cannot say which of them is wrong.
    Parameters: `sources` [m3]. Returns an Agreement; its figures are for planning on the safe side, not a
    measurement.
    Source: [common-practice]; the rule for the odd one out is this program's.
    """
    held = tuple(sources)
    apart = _apart(held)
    odd = None
    if apart and len(held) > 2:
        alone = [each for each in held if not _apart([other for other in held if other is not each])]
        odd = alone[0] if len(alone) == 1 else None
    lowest = min(held, key=lambda each: each.volume, default=None)
    highest = max(held, key=lambda each: each.volume, default=None)
    return Agreement(
        sources=held,
        odd=odd,
        apart=apart,
        lowest=lowest,
        highest=highest,
        words=_words(held, apart, odd, lowest),
    )


def _words(
    sources: tuple[FuelSource, ...],
    apart: tuple[tuple[FuelSource, FuelSource], ...],
    odd: FuelSource | None,
    lowest: FuelSource | None,
) -> str:
    if not sources:
        return "No source says how much fuel is aboard."
    if len(sources) == 1:
        return f"Only one source, the {sources[0].name}: nothing confirms it."
    names = [each.name for each in sources]
    if not apart:
        return f"All {len(sources)} sources agree within their uncertainties: {', '.join(names)}."
    if odd is not None:
        rest = " and ".join(name for name in names if name != odd.name)
        low = (
            " It is also the lowest: find out why before you fly, and reckon with it until then."
            if odd is lowest
            else ""
        )
        return f"The odd one out is the {odd.name}: {rest} agree without it.{low}"
    pairs = [
        say("{} and {} are {} apart", one.name, other.name, Figure(abs(one.volume - other.volume), "volume"))
        for one, other in apart
    ]
    return say(
        "They disagree, and nothing says which is wrong: {}. Measure again before you fly.",
        joined("; ", pairs),
    )
