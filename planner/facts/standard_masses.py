"""Standard occupant masses and allowances, for when nobody can be asked or weighed.

A standard mass is an average over many people; in a small aircraft the few on board may differ
from it by far more than the margin. Real masses always come first, and a plan that uses these says so.
"""

from __future__ import annotations

from typing import Final

from planner.quantities.frozen import frozen

# The least and greatest mass of one person [kg], common practice without a published source. They differ, as
# each answers another question:
LIGHTEST_PILOT: Final = 35.0  # in a file: below it a pilot is missing or a digit is
HEAVIEST_PERSON: Final = 250.0  # in a file: above it a unit is wrong or a digit too many
HEAVIEST_SOUGHT: Final = 200.0  # as a remedy or as room on a seat: nobody is looked for beyond
MORE_THAN_ONE: Final = 150.0  # as the one figure of a row: above it several people sit there
CARD_PILOT: Final = (50.0, 110.0)  # kg, lb; on a card, where not asked otherwise: a cell has to hold for
CARD_HEAVIEST: Final = (120.0, 260.0)  # all people between, so wider ends would empty it


@frozen
class SeatBand:
    """Standard masses [kg] of male, female and child occupants for a range of seats, both ends included."""

    seats_low: int
    seats_high: int
    male: float
    female: float
    child: float

    def mass(self, who: str) -> float:
        """The standard mass [kg] of `who`: male, female or child. Raises KeyError for any other word."""
        return {"male": self.male, "female": self.female, "child": self.child}[who]


# [ncc-pol-105], UK copy: smaller cabins use larger averages, as few people even out less.
SEAT_BANDS: Final[tuple[SeatBand, ...]] = (
    SeatBand(seats_low=1, seats_high=5, male=104.0, female=86.0, child=35.0),
    SeatBand(seats_low=6, seats_high=9, male=96.0, female=78.0, child=35.0),
    SeatBand(seats_low=10, seats_high=19, male=92.0, female=74.0, child=35.0),
)


def seat_band(seats: int) -> SeatBand:
    """The standard masses for an aircraft of so many passenger seats.

    Parameters: `seats`, number of passenger seats, 1 to 19.
    Raises KeyError outside the published tables: this program has no figure to offer there.
    Source: [ncc-pol-105] standard mass tables.
    """
    for band in SEAT_BANDS:
        if band.seats_low <= seats <= band.seats_high:
            return band
    raise KeyError(seats)
