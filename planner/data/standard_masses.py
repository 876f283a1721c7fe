"""Standard occupant masses and allowances, for when nobody can be asked or weighed.

A standard mass is an average over many people; in a small aircraft the few on board may differ
from it by far more than the margin. Real masses always come first, and a plan that uses these says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from planner.units import POUND, US_GALLON


@dataclass(frozen=True, slots=True)
class SeatBand:
    """Standard masses [kg] of male, female and child occupants for a range of passenger seats (both ends included)."""

    seats_low: int
    seats_high: int
    male: float
    female: float
    child: float
    source: str

    def mass(self, who: str) -> float:
        """The standard mass [kg] of `who`: male, female or child. Raises KeyError for any other word."""
        return {"male": self.male, "female": self.female, "child": self.child}[who]


@dataclass(frozen=True, slots=True)
class Figure:
    """One standard figure in SI ([kg] or [kg/m3], as `unit` says), with its source and what to know before using it."""

    name: str
    value: float
    unit: str
    source: str
    note: str


# NCC.POL.105, UK copy: smaller cabins use larger averages, as few people even out less.
SEAT_BANDS: Final[tuple[SeatBand, ...]] = (
    SeatBand(1, 5, 104.0, 86.0, 35.0, "ncc-pol-105"),
    SeatBand(6, 9, 96.0, 78.0, 35.0, "ncc-pol-105"),
    SeatBand(10, 19, 92.0, 74.0, 35.0, "ncc-pol-105"),
)

FIGURES: Final[dict[str, Figure]] = {
    figure.name: figure
    for figure in (
        Figure("american occupant", 170.0 * POUND, "kg", "faa-h-8083-30", "170 lb; an old average, lighter than most adults of today"),
        Figure("clothing, verbal statement", 4.0, "kg", "amc1-cat-pol-mab-100", "added to a mass the occupant states"),
        Figure("hand baggage, verbal statement", 6.0, "kg", "amc1-cat-pol-mab-100", "added to a mass the occupant states"),
        Figure("clothing, Canadian practice", 4.5, "kg", "canada-standard-masses", "added to a weight the occupant states"),
        Figure("oil, American figure", 7.5 * POUND / US_GALLON, "kg/m3", "faa-h-8083-30", "7.5 lb/USgal"),
        Figure("oil, European figure", 880.0, "kg/m3", "gm1-ncc-pol-105", "0.88 kg/L"),
        Figure("water, American figure", 8.35 * POUND / US_GALLON, "kg/m3", "faa-h-8083-30", "8.35 lb/USgal; for ballast, never for calibration"),
    )
}


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
