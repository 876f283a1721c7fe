"""A month of two invented aircraft, kept with care but for ten planted errors: each is named, and no entry
that is right is accused.

The month is drawn afresh for every seed: true flows, burns, splits and readings with the scatter the defaults
state. Then the errors are planted, and the ledger has only what was written down.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace

import pytest

from planner.logbook.ledger.doubt.telling import Suspect
from planner.logbook.ledger.entries import Entry, Stored, dip, effective, flight, gauge, supply
from planner.logbook.ledger.suspects import suspects
from planner.quantities.units import read_quantity
from planner.records.aircraft.record import Aircraft
from planner.records.store import load_aircraft
from tests.sizes import examples

T4 = load_aircraft("thornlea-t4").record
SAMPHIRE = load_aircraft("saltmere-samphire").record
SEEDS = range(examples(3))


@dataclass
class Month:
    """The truth as it runs, and what is written down of it. `label` finds an entry again."""

    aircraft: Aircraft
    rng: random.Random
    entries: list[Entry] = field(default_factory=list)
    labels: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.tanks = {name: tank.usable * 600 for name, tank in self.aircraft.tanks.items()}  # L
        self.factor = self.rng.gauss(1, 0.06)  # the engine's own flow over the book's
        self.flow = self.aircraft.burn["cruise"].value * 3.6e6

    def keep(self, entry: Entry, label: str) -> None:
        self.entries.append(entry)
        if label:
            self.labels[label] = len(self.entries)

    def fly(self, day: int, hours: float, label: str = "", written: bool = True, hour: int = 12) -> None:
        burn = hours * self.flow * self.factor * self.rng.gauss(1, 0.04)
        shares = [max(self.rng.gauss(1, 0.05), 0.1) for _ in self.tanks]
        for name, share in zip(self.tanks, shares, strict=True):
            self.tanks[name] -= burn * share / sum(shares)
        assert min(self.tanks.values()) > 2, "the month is flown within its fuel"
        if written:
            time = read_quantity(f"{round(hours * 60)} min", "time")
            self.keep(flight(self.aircraft, at(day, hour), time, None, None, None), label)

    def fill(self, day: int, to: float, label: str = "", **slip: object) -> None:
        """Every tank to a share of full; `slip` is what is written in the place of what is right."""
        for place, (name, held) in enumerate(self.tanks.items()):
            litres = self.aircraft.tanks[name].usable * 1e3 * to - held
            own = slip if place == 0 else {}
            if litres <= 0.5 or (place and slip.get("only")):
                continue
            self.tanks[name] = held + litres
            written = litres * self.rng.gauss(1, 0.004) / float(own.get("over", 1.0))  # type: ignore[arg-type]
            tank = str(own.get("tank", name))
            volume = read_quantity(f"{written:.1f} L", "volume")
            ticket = f"T{day}-{place}"
            entry = supply(self.aircraft, "uplift", at(day, 9), tank, volume, "", ticket)
            self.keep(entry, label if place == 0 else "")
            if own.get("again"):
                self.keep(replace(entry, uid=f"{day:016x}", at=at(day, 10)), f"{label} again")

    def dips(self, day: int, hour: int, label: str = "", wrong: float = 0.0) -> None:
        for place, (name, held) in enumerate(self.tanks.items()):
            own = self.aircraft.dipsticks[name]
            most = self.aircraft.tanks[name].usable * 1e3
            read = held + self.rng.gauss(0, 0.8) + (wrong if place == 0 else 0)
            text = f"{min(max(read, 0.5), most):.1f} L"
            stick = dip(self.aircraft, at(day, hour), name, own.id, read_quantity(text, "volume"))
            if own.reads == "total":
                unusable = self.aircraft.tanks[name].unusable.value * 1e3
                text = f"{float(text[:-2]) + unusable:.1f} L"
                stick = dip(self.aircraft, at(day, hour), name, own.id, read_quantity(text, "volume"))
            self.keep(stick, label if place == 0 else "")

    def gauge(self, day: int, hour: int, label: str = "", reads: float | None = None) -> None:
        whole = sum(self.tanks.values())
        most = sum(tank.usable for tank in self.aircraft.tanks.values()) * 1e3
        value = reads if reads is not None else min(max(whole + self.rng.gauss(0, 0.03 * most), 0), most)
        reading = read_quantity(f"{value:.0f} L", "volume")
        self.keep(gauge(self.aircraft, at(day, hour), "", reading), label)

    def found(self) -> tuple[Suspect, ...]:
        held = [Stored(number, entry) for number, entry in enumerate(self.entries, 1)]
        return suspects(self.aircraft, effective(held))


def at(day: int, hour: int) -> str:
    return f"2026-05-{day:02d}T{hour:02d}:00:00Z"


def usual(month: Month, day: int, hours: float, to: float = 0.95) -> None:
    """Fill, dip, fly, dip and read the gauge: what a careful club writes down."""
    month.fill(day, to)
    month.dips(day, 10)
    month.fly(day, hours)
    month.dips(day, 13)
    month.gauge(day, 14)


def two_tanks(rng: random.Random, planted: bool) -> Month:
    month = Month(T4, rng)
    month.dips(1, 8)
    for day in range(1, 31):
        hours = rng.uniform(0.9, 1.8)
        if planted and day == 4:
            month.fly(day, 1.0, hour=8)
            month.fill(day, 0.9, "double ticket", again=True)
            month.fly(day, hours)
        elif planted and day == 9:
            month.fly(day, 1.4, hour=8)
            month.fill(day, 0.75, "wrong tank", only=True, tank="right")
        elif planted and day == 14:
            month.fill(day, 0.95, "gallons", over=3.785411784)
        elif planted and day == 19:
            month.fill(day, 0.95)
            month.dips(day, 10)
            month.fly(day, 1.3, written=False)
            month.dips(day, 13, "forgotten flight")
            month.gauge(day, 14)
            continue
        elif planted and day == 24:
            month.fill(day, 0.95)
            month.fly(day, hours)
            month.dips(day, 13, "wrong dip", wrong=12)
            continue
        else:
            usual(month, day, hours)
            continue
        month.dips(day, 15)
        month.gauge(day, 16)
    return month


def one_tank(rng: random.Random, planted: bool) -> Month:
    month = Month(SAMPHIRE, rng)
    stuck: float | None = None
    month.dips(1, 8)
    for day in range(1, 31):
        hours = rng.uniform(0.7, 1.3)
        if planted and day == 4:
            month.fly(day, 1.0, "overlapping", hour=9)
            month.keep(
                replace(month.entries[-1], uid=f"{day:016x}", at=at(day, 9)[:-6] + "20:00Z"), "flown again"
            )
        elif planted and day == 9:
            month.fill(day, 0.95, "point", over=10.0)
        elif planted and day in (13, 14, 15, 16):
            month.fill(day, 0.95)
            month.fly(day, 0.4 if day % 2 else 1.8)
            month.dips(day, 13)
            month.gauge(day, 14, f"stuck {day}", reads=stuck)
            stuck = month.entries[-1].volume * 1e3
            continue
        elif planted and day == 21:
            month.fly(day, 1.0, hour=8)
            month.fill(day, 0.95)
            month.keep(month.entries.pop(), "")
            month.entries.pop()  # the uplift was never written down
        elif planted and day == 26:
            month.fly(day, 0.6, "long flight")
            wrong = month.entries.pop()
            time = read_quantity("156 min", "time")
            month.keep(replace(flight(SAMPHIRE, wrong.at, time, None, None, None)), "long flight")
        else:
            usual(month, day, hours)
            continue
        month.dips(day, 15, f"after {day}")
        month.gauge(day, 16)
    return month


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("make", [two_tanks, one_tank])
def test_a_month_without_errors_accuses_nobody(make: object, seed: int) -> None:
    month = make(random.Random(seed), planted=False)  # type: ignore[operator]
    assert [str(each.finding()) for each in month.found()] == []


@pytest.mark.parametrize("seed", SEEDS)
def test_five_errors_in_two_tanks(seed: int) -> None:
    month = two_tanks(random.Random(seed), planted=True)
    named = {(each.code, each.numbers) for each in month.found()}
    label = month.labels
    assert named == {
        ("ledger-twice", (label["double ticket again"],)),
        ("ledger-tank-wrong", (label["wrong tank"],)),
        ("ledger-unit", (label["gallons"],)),
        ("ledger-forgotten", ()),
        ("ledger-suspect", (label["wrong dip"],)),
    }


@pytest.mark.parametrize("seed", SEEDS)
def test_five_errors_in_one_tank(seed: int) -> None:
    month = one_tank(random.Random(seed), planted=True)
    named = {(each.code, each.numbers) for each in month.found()}
    label = month.labels
    assert named == {
        ("ledger-twice", (label["flown again"],)),
        ("ledger-unit", (label["point"],)),
        ("ledger-stuck", tuple(label[f"stuck {day}"] for day in (14, 15, 16))),
        ("ledger-rises", ()),
        ("ledger-suspect", (label["long flight"],)),
    }
