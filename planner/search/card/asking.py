"""What a card is asked, from options typed or from defaults that fit the aircraft, in a reader's units."""

from __future__ import annotations

import math
import re
from typing import Final

from planner.facts.grades import GRADES
from planner.facts.standard_masses import CARD_HEAVIEST, CARD_PILOT
from planner.quantities.errors import Finding, InputRefused, closest
from planner.quantities.frozen import frozen
from planner.quantities.options import read_option
from planner.quantities.units import UNITS, Display, Quantity
from planner.records.aircraft.record import Aircraft, Station
from planner.search.card.table import CardAsk

MOST_BANDS: Final = 12
MOST_STEPS: Final = 400
# Common practice, no published source: what an instructor would rule on a sheet of paper.
_USUAL: Final = {  # kg, and lb for a reader of those
    "across": (20.0, 50.0),
    "down": (40.0, 70.0),
    "single": (20.0, 40.0),
    "baggage": (5.0, 10.0),
    "pilot": CARD_PILOT,
    "first": (60.0, 120.0),
    "usual": (100.0, 210.0),
    "heaviest": CARD_HEAVIEST,
}
_FUEL: Final = {"L": 10.0, "USgal": 2.0, "impgal": 2.0}


@frozen(kw_only=True)
class Typed:
    """The options of a card as typed, empty where not given; `aboard` as `STATION=MASS`."""

    category: str = ""
    across: str = ""
    across_step: str = ""
    down: str = ""
    down_step: str = ""
    baggage: str = ""
    baggage_step: str = ""
    fuel: str = ""
    fuel_step: str = ""
    heaviest: str = ""
    pilot: str = ""
    aboard: tuple[str, ...] = ()
    grade: str = ""


def read_ask(aircraft: Aircraft, typed: Typed, display: Display) -> CardAsk:
    """What a card is asked.

    Defaults: the pilot's row and the other row of seats (the one ahead across), the baggage place that may
    hold most, every grade of the profile, and half of the fuel in every cell; steps of 20 and 40 kg, 5 kg
    and 10 L, or round figures like them in the reader's units.
    Parameters: `aircraft`; `typed`; `display`. Returns an Ask in SI. Raises InputRefused with every finding:
    card-option and what a quantity refuses. Source: [common-practice] for the steps.
    """
    return _Reading(aircraft, typed, display).ask()


class _Reading:
    """Reads the options of one card and gathers what is wrong with them."""

    def __init__(self, aircraft: Aircraft, typed: Typed, display: Display) -> None:
        self.aircraft, self.typed = aircraft, typed
        mass, volume = display.unit("mass"), display.unit("volume")
        self.usual = {key: each[mass != "kg"] * UNITS[mass].factor for key, each in _USUAL.items()}
        self.fuel_step = _FUEL[volume] * UNITS[volume].factor
        self.wrong: list[Finding] = []
        chosen = typed.category or next(iter(aircraft.envelopes))
        if chosen not in aircraft.envelopes:
            self.refuse("--category", f"'{chosen}' is no category", "", closest(chosen, aircraft.envelopes))
            chosen = next(iter(aircraft.envelopes))
        self.category = chosen
        self.open = aircraft.allowed(chosen)

    def refuse(self, option: str, message: str, needed: str, hint: str = "") -> None:
        """One finding more."""
        self.wrong.append(Finding("card-option", message, needed, hint).at(option, 0, 0))

    def quantity(self, option: str, text: str, usual: float, volume: bool = False) -> float:
        """A figure typed [SI], above zero, or the usual one."""
        if not text:
            return usual
        read = self._read(option, text, volume)
        if read is None:
            return usual
        if read.value <= 0:
            self.refuse(option, f"'{text}' is not above zero", "needed one that is")
            return usual
        return read.value

    def _read(self, option: str, text: str, volume: bool = False) -> Quantity | None:
        try:
            return read_option(text, option, "volume" if volume else "mass")
        except InputRefused as refused:
            self.wrong += refused.findings
            return None

    def ask(self) -> CardAsk:
        """The whole of it."""
        typed, usual = self.typed, self.usual
        self.heaviest = self.quantity("--heaviest", typed.heaviest, usual["heaviest"])
        pilot = self.quantity("--pilot", typed.pilot, usual["pilot"])
        if pilot > self.heaviest:
            self.refuse("--pilot", "the lightest pilot is heavier than the heaviest person", "needed less")
        seats = [name for name, each in self.open.items() if each.kind == "seats"]
        places = sorted(
            (name for name, each in self.open.items() if each.kind == "baggage" and each.max is not None),
            key=lambda name: -self._most(self.open[name]),
        )
        first, second, *_ = [*seats, "", ""]
        across = self.span("--across", typed.across, first, self._people(first))
        down = self.span("--down", typed.down, second, self._people(second))
        columns = (across[0], self.ends("--across-step", typed.across_step, across, usual["across"]))
        step = usual["down" if down[0] and self.open[down[0]].seats > 1 else "single"]
        rows = (down[0], self.ends("--down-step", typed.down_step, down, step))
        bag = next((each for each in places if each not in (across[0], down[0])), "")
        most = self._most(self.open[bag]) if bag else 0.0
        held = self.span("--baggage", typed.baggage, bag, (0.0, most))
        if held[1][0]:
            message = f"'{typed.baggage}' begins above nothing, and a cell tells the most"
            self.refuse("--baggage", message, "needed 'STATION=0..b UNIT'")
        steps = self.steps("--baggage-step", typed.baggage_step, held[1][1], usual["baggage"])
        full = math.fsum(tank.usable for tank in self.aircraft.tanks.values())
        fuel = self.steps("--fuel-step", typed.fuel_step, full, self.fuel_step, volume=True)[1:]
        half = next(each for each in fuel if each >= full / 2 * (1 - 1e-9))
        least = self.quantity("--fuel", typed.fuel, half, volume=True)
        if least > full * (1 + 1e-9):
            self.refuse("--fuel", "the tanks do not hold that much", "needed no more than they hold")
            least = full
        aboard = self.others({across[0], down[0], held[0]})
        named = [each for each in (across[0], down[0], held[0]) if each]
        if len(set(named)) < len(named):
            self.refuse("--across", "a station is named twice", "needed three different ones")
        grades = (typed.grade,) if typed.grade else self.aircraft.fuel_grades
        for grade in grades:
            if grade not in self.aircraft.fuel_grades or grade not in GRADES:
                self.refuse(
                    "--grade",
                    f"'{grade}' is no grade of this profile",
                    "",
                    closest(grade, self.aircraft.fuel_grades),
                )
        if self.wrong:
            raise InputRefused(self.wrong)
        return CardAsk(
            across=columns,
            down=rows,
            baggage=(held[0], steps),
            fuel=fuel,
            least_fuel=least,
            heaviest=self.heaviest,
            pilot=pilot,
            aboard=aboard,
            grades=tuple(grades),
            category=self.category,
        )

    def _most(self, station: Station) -> float:
        return station.max.value if station.max is not None else math.inf

    def _people(self, name: str) -> tuple[float, float]:
        """The usual ends of a row of seats: from nobody, or from a light pilot, to people of a usual mass."""
        if not name:
            return (0.0, 0.0)
        station, pilot = self.open[name], self.aircraft.pilot_seat()
        usual = self.heaviest if station.seats == 1 else min(self.heaviest, self.usual["usual"])
        flown = pilot is not None and pilot[0] == name
        return (self.usual["first"] if flown else 0.0, min(station.seats * usual, self._most(station)))

    def span(
        self, option: str, text: str, name: str, usual: tuple[float, float]
    ) -> tuple[str, tuple[float, float]]:
        """A station and two ends, `NAME=a..b UNIT`; the name alone keeps the usual ends."""
        if not text:
            return name, usual
        parts = re.fullmatch(r"\s*(.+?)\s*(?:=\s*(\S+)\s*\.\.\s*(.+?)\s*)?", text)
        station = parts[1] if parts is not None else text
        if parts is None or station not in self.open:
            self.refuse(
                option,
                f"'{text}' names no station that may be loaded",
                "needed 'STATION=a..b UNIT'",
                closest(station, self.open),
            )
            return name, usual
        if parts[2] is None:
            people = self.open[station].seats > 0
            ends = self._people(station) if people else (0.0, self._most(self.open[station]))
        else:
            last = self._read(option, parts[3])
            unit = re.sub(r"^[-+.\deE\s]+", "", parts[3])
            start = self._read(option, f"{parts[2]} {unit}") if last is not None else None
            if start is None or last is None:
                return name, usual
            ends = (start.value, last.value)
        if not 0 <= ends[0] < ends[1] < math.inf:
            self.refuse(
                option, f"'{text}' does not rise from zero or more to an end", "needed a range that does"
            )
            return name, usual
        return station, ends

    def ends(
        self, option: str, text: str, span: tuple[str, tuple[float, float]], usual: float
    ) -> tuple[float, ...]:
        """The ends of the bands of a row; the last one may be narrower."""
        low, high = span[1]
        if not span[0]:
            return (0.0,)
        step = self.quantity(option, text, usual)
        count = math.ceil((high - low) / step - 1e-9)
        if count > MOST_BANDS:
            self.refuse(option, f"{count} bands do not fit a card", f"needed no more than {MOST_BANDS}")
            return (low, high)
        return (*(low + step * band for band in range(count)), high)

    def steps(
        self, option: str, text: str, high: float, usual: float, volume: bool = False
    ) -> tuple[float, ...]:
        """From nothing by steps to the most, which is a step of its own."""
        step = self.quantity(option, text, usual, volume)
        count = math.ceil(high / step - 1e-9)
        if count > MOST_STEPS:
            self.refuse(option, f"{count} steps are too many", f"needed no more than {MOST_STEPS}")
            return (0.0, high)
        return (*(step * each for each in range(count)), high) if high > 0 else (0.0,)

    def others(self, named: set[str]) -> tuple[tuple[str, float], ...]:
        """What other stations may hold at most."""
        found = []
        for text in self.typed.aboard:
            name, _, amount = (each.strip() for each in text.partition("="))
            read = self._read("--aboard", amount) if name in self.open and name not in named else None
            if read is not None:
                found.append((name, read.value))
            elif name not in self.open or name in named:
                self.refuse(
                    "--aboard",
                    f"'{text}' names no other station",
                    "needed 'STATION=MASS'",
                    closest(name, self.open),
                )
        return tuple(found)
