"""A month that owes nothing to what the ledger assumes: its readings come from instruments as they are found.

Sticks are read to their marks and on a slope, all of a visit together; the gauge has a bias and lags behind;
the flow follows the pilot and the season, and every start costs fuel; tanks draw unevenly, always the same
way; a day's entries may be missing. One or two errors of a stated size are planted in it.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace

from planner.logbook.ledger.doubt.telling import Suspect
from planner.logbook.ledger.entries import Entry, Stored, dip, effective, flight, gauge, supply
from planner.logbook.ledger.suspects import suspects
from planner.quantities.effects import COVERAGE
from planner.quantities.units import read_quantity
from planner.records.aircraft.record import Aircraft

PILOTS = (0.93, 1.0, 1.09)  # each one's flow over the book's
START = 1.2  # L for every start-up and taxi, which the flow of the cruise knows nothing of
KINDS = ("dip", "gauge", "uplift", "flight")


@dataclass
class HardMonth:
    """The truth as it runs [L], and what is written down of it; `planted` are the numbers of wrong entries."""

    aircraft: Aircraft
    rng: random.Random
    days: int = 24
    missing: int = 0  # the day of which nothing was written down
    entries: list[Entry] = field(default_factory=list)
    planted: dict[int, float] = field(default_factory=dict)  # number of an entry: its error in units of U

    def __post_init__(self) -> None:
        rng = self.rng
        self.most = {name: tank.usable * 1e3 for name, tank in self.aircraft.tanks.items()}
        self.tanks = {name: most * 0.6 for name, most in self.most.items()}
        self.flow = self.aircraft.burn["cruise"].value * 3.6e6
        self.season = rng.uniform(-0.04, 0.04)  # from the first day of the month to the last
        self.uneven = rng.uniform(-0.08, 0.08)  # of a burn, to one side
        self.meter = rng.uniform(-0.004, 0.004)
        self.bias = rng.uniform(-0.03, 0.03)  # of the full tanks
        self.lag = rng.uniform(0.0, 0.03)
        self.falling = True
        for day in range(1, self.days + 1):
            self.a_day(day)

    def a_day(self, day: int) -> None:
        written = len(self.entries)
        self.fill(day, self.rng.uniform(0.8, 0.96))
        if self.rng.random() < 0.7:
            self.dips(day, 10)
        self.fly(day, self.rng.uniform(0.5, 1.1), 11)
        if self.rng.random() < 0.3:
            self.fly(day, self.rng.uniform(0.3, 0.6), 13)
        self.dips(day, 15)
        self.read_gauge(day, 16)
        if day == self.missing:
            del self.entries[written:]

    def fill(self, day: int, to: float) -> None:
        for place, (name, held) in enumerate(self.tanks.items()):
            litres = self.most[name] * to - held
            if litres > 2:
                self.tanks[name] = held + litres
                volume = read_quantity(
                    f"{litres * (1 + self.meter):.0f} L", "volume"
                )  # as such a pump prints it
                self.entries.append(
                    supply(self.aircraft, "uplift", at(day, 9), name, volume, "", f"T{day}-{place}")
                )
                self.falling = False

    def fly(self, day: int, hours: float, hour: int) -> None:
        own = self.rng.choice(PILOTS) * (1 + self.season * day / self.days)
        burn = START + hours * self.flow * own
        sides = (1 + self.uneven, 1 - self.uneven)
        for name, side in zip(self.tanks, sides, strict=False):
            self.tanks[name] -= burn * side / 2 if len(self.tanks) == 2 else burn
        assert min(self.tanks.values()) > 2, "the month is flown within its fuel"
        self.falling = True
        time = read_quantity(f"{5 * round(hours * 12)} min", "time")
        self.entries.append(flight(self.aircraft, at(day, hour), time, None, None, None))

    def dips(self, day: int, hour: int) -> None:
        slope = self.rng.choice(
            (0.0, 0.0, self.rng.uniform(-1.5, 1.5))
        )  # L, up on one side, down on the other
        for place, (name, held) in enumerate(self.tanks.items()):
            own = self.aircraft.dipsticks[name]
            more = self.aircraft.tanks[name].unusable.value * 1e3 if own.reads == "total" else 0.0
            read = held + (-slope if place else slope)
            marked = min(max(2 * round(read / 2), 2), 2 * (self.most[name] // 2))  # a mark every 2 L
            text = read_quantity(f"{marked + more:g} L", "volume")
            self.entries.append(dip(self.aircraft, at(day, hour), name, own.id, text))

    def read_gauge(self, day: int, hour: int) -> None:
        whole, most = sum(self.tanks.values()), sum(self.most.values())
        read = whole + most * (self.bias + (self.lag if self.falling else -self.lag) / 2)
        marked = 5 * round(min(max(read, 0), most) / 5)
        self.entries.append(gauge(self.aircraft, at(day, hour), "", read_quantity(f"{marked} L", "volume")))

    def plant(self, kind: str, size: float) -> int:
        """Make one entry of a kind wrong by `size` times its U; returns its number."""
        far = [number for number in self.planted if self.planted]
        places = [
            number
            for number, each in enumerate(self.entries, 1)
            if each.kind == kind
            and 8 < number < len(self.entries) - 8
            and all(abs(number - other) > 2 for other in far)
        ]
        self.rng.shuffle(places)
        for number in places:
            each = self.entries[number - 1]
            wrong = each.volume + self.rng.choice((-1, 1)) * size * COVERAGE * each.u
            most = self.most[each.tank] if each.tank else sum(self.most.values())
            if 0.5e-3 < wrong < most * 1e-3:
                text = f"{wrong * 1e3:.1f} L" if not each.computed else each.text
                self.entries[number - 1] = replace(each, volume=wrong, text=text)
                self.planted[number] = size
                return number
        raise AssertionError(f"no {kind} of this month can be wrong by {size} U")

    def found(self) -> tuple[Suspect, ...]:
        held = [Stored(number, entry) for number, entry in enumerate(self.entries, 1)]
        return suspects(self.aircraft, effective(held))


def at(day: int, hour: int) -> str:
    return f"2026-05-{day:02d}T{hour:02d}:00:00Z"


@dataclass
class Rates:
    """Of `entries` that are wrong: `named` alone, `among` the candidates of a notice, `missed`; and how many
    notices name entries that are all right (`accused`), or put one before the one that is wrong (`first`).
    """

    entries: int = 0
    named: int = 0
    among: int = 0
    missed: int = 0
    accused: int = 0
    first: int = 0

    def add(self, month: HardMonth) -> None:
        found = month.found()
        for wrong in month.planted:
            told = [each for each in found if wrong in (*each.numbers, *each.others)]
            self.entries += 1
            self.named += any(each.sure for each in told)
            self.among += bool(told) and not any(each.sure for each in told)
            self.missed += not told
        for each in found:
            right = not month.planted.keys() & {*each.numbers, *each.others}
            absent = month.missing and (each.missing or not each.numbers)
            self.accused += right and not absent
            self.first += not right and not month.planted.keys() & {*each.numbers}


def rates(aircraft: list[Aircraft], seeds: range, kinds: tuple[str, ...], size: float) -> Rates:
    """Months of every seed with an error of `size` U in an entry of each of `kinds`, told of together."""
    found = Rates()
    for seed in seeds:
        for craft in aircraft:
            month = HardMonth(craft, random.Random(seed))
            for kind in kinds:
                month.plant(kind, size)
            found.add(month)
    return found


if __name__ == "__main__":  # the table of docs/formats.md
    from planner.records.store import load_aircraft

    both = [load_aircraft(name).record for name in ("thornlea-t4", "saltmere-samphire")]
    for planted in [*((kind,) for kind in KINDS), ("dip", "flight"), ("dip", "gauge")]:
        for times in (0.5, 1.0, 1.5, 2.0, 3.0):
            print(planted, times, rates(both, range(15), planted, times))  # noqa: T201 - a table to copy
