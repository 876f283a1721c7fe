"""Single wrong entries, each with what tells it from a right one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.logbook.ledger.account import account
from planner.logbook.ledger.entries import Entry, Stored, effective, flight, supply
from planner.logbook.ledger.suspects import late, suspects, unsettled
from planner.quantities.units import LITRE, read_quantity
from planner.records.store import load_aircraft

ONE = load_aircraft("saltmere-samphire").record  # one tank of 65 L usable, 23 L/h
T4 = load_aircraft("thornlea-t4").record


def at(day: int, hour: int = 8) -> str:
    return f"2026-06-{day:02d}T{hour:02d}:00:00Z"


def uplift(
    day: int, text: str, leaves: str = "", ticket: str = "", tank: str = "", craft: object = ONE
) -> Entry:
    volume = read_quantity(text, "volume")
    return supply(craft, "uplift", at(day), tank, volume, leaves, ticket)  # type: ignore[arg-type]


def flown(day: int, minutes: int, hour: int = 12) -> Entry:
    return flight(ONE, at(day, hour), read_quantity(f"{minutes} min", "time"), None, None, None)


def held(*entries: Entry) -> tuple[Stored, ...]:
    return effective(Stored(number, entry) for number, entry in enumerate(entries, 1))


def test_one_ticket_may_fill_two_tanks_but_not_one_tank_twice() -> None:
    left = uplift(1, "20 L", ticket="A-1", tank="left", craft=T4)
    assert suspects(T4, held(left, uplift(1, "20 L", ticket="A-1", tank="right", craft=T4))) == ()
    (found,) = suspects(T4, held(left, uplift(9, "21 L", ticket="A-1", tank="left", craft=T4)))
    assert (found.code, found.numbers) == ("ledger-twice", (2,))


def test_a_known_level_settles_what_came_before() -> None:
    double = (
        uplift(1, "20 L", "full"),
        flown(2, 60),
        uplift(3, "10 L", ticket="B"),
        uplift(3, "10 L", ticket="B"),
    )
    assert [each.numbers for each in unsettled(suspects(ONE, held(*double)))] == [(4,)]
    found = suspects(ONE, held(*double, uplift(5, "9 L", "full")))
    assert [each.numbers for each in found] == [(4,)]
    assert unsettled(found) == ()


def test_more_than_the_tank_holds_is_named_with_what_could_be_it() -> None:
    found = suspects(ONE, held(uplift(1, "20 L", "full"), flown(2, 30), uplift(3, "40 L")))
    assert found
    named = {number for each in found for number in (*each.numbers, *each.others)}
    assert 3 in named


def test_an_entry_to_come_and_one_written_late() -> None:
    to_come = replace(flown(1, 30), at="2999-01-01T10:00:00Z")
    assert [each.code for each in suspects(ONE, held(uplift(1, "20 L", "full"), to_come))] == [
        "ledger-future"
    ]
    full = replace(uplift(5, "20 L", "full"), recorded=at(5, 9))
    after = replace(flown(3, 30), recorded=at(6))
    assert [each.code for each in late(ONE, held(full, after))] == ["ledger-late"]
    assert late(ONE, held(full, replace(after, recorded=at(4)))) == ()


def test_the_flow_is_learned_with_its_uncertainty() -> None:
    # Ten times: full, an hour, filled again with 26 L where the book has 23: the engine's flow is 26 L/h.
    entries = [uplift(1, "20 L", "full")]
    for day in range(2, 12):
        entries += [flown(day, 60, hour=6), uplift(day, "26 L", "full")]
    found = account(ONE, held(*entries))
    assert found.flow is not None
    flow, u = (each * 3600 / LITRE for each in found.flow)
    # By hand: ten burns of 26 L, each to the scatter of a flight 0.08 x 23 = 1.84 L; the book's 10 % weighs
    # 1/2.3^2 against 10/1.84^2, so the mean of 26 and 23 is 25.82 and its u 0.56 L/h, a little more by the
    # uplifts and levels.
    assert flow == pytest.approx(25.8, abs=0.1)
    assert u == pytest.approx(0.57, abs=0.04)
