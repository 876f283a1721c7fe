"""What each source of the fuel ledger says of the tanks, carried over what moved since: every figure by hand."""

from __future__ import annotations

import math

import pytest

from planner.logbook.ledger.balance import stages
from planner.logbook.ledger.entries import Entry, dip, effective, gauge, supply
from planner.logbook.ledger.sources import FuelSource, SourceName, Stage
from planner.quantities.units import LITRE, read_quantity
from tests.unit.test_ledger import T4, at, filled_up, flown, litres, numbered


def run(*entries: Entry) -> tuple[Stage, ...]:
    return stages(T4, effective(numbered(*entries)))


def source(stage: Stage, name: SourceName) -> FuelSource:
    found = stage.source(name)
    assert found is not None
    return found


def dipped(day: int, tank: str, text: str, start: bool = False, hour: int = 12) -> Entry:
    reading = read_quantity(text, "length", "volume")
    return dip(T4, at(day, hour), tank, f"T4-{tank[0].upper()}", reading, start=start)


def both(day: int, start: bool = False) -> tuple[Entry, Entry]:
    """10 cm is 27 L usable and 12 cm is 33.8 L, each within 5 mm of 3.4 L/cm: 60.8 L, u 1.7 sqrt(2) L."""
    return dipped(day, "left", "10 cm", start), dipped(day, "right", "12 cm", start, hour=13)


def put_in(day: int, text: str = "10 +/- 0.3 L", tank: str = "left", hour: int = 8) -> Entry:
    return supply(T4, "uplift", at(day, hour), tank, litres(text), "")


def drained(day: int, text: str, tank: str = "right") -> Entry:
    return supply(T4, "drain", at(day), tank, litres(text), "")


def in_litres(stage: Stage) -> list[float]:
    return [round(each / LITRE, 6) for each in stage.split]


def test_a_dip_is_carried_over_what_moved_since_with_its_uncertainty() -> None:
    """60.8 L less 33 and 16.5 L burnt and 10 L put in; the two burns rest on one flow, known to 10 %."""
    held = run(filled_up(1, "20 L"), *both(2), flown(3, 60), flown(4, 30), put_in(5))
    at_dip, after_one, after_two, last = held
    assert source(at_dip, "dip").fresh
    assert source(at_dip, "dip").basis == "left 10 cm, right 12 cm"
    assert source(at_dip, "dip").since == at(2, 13), "when the last of its readings was taken"
    for stage, volume, own, shared, over in (
        (after_one, 60.8 - 33, 0.0, 3.3, "1 flight"),
        (after_two, 60.8 - 49.5, 0.0, 4.95, "2 flights"),
        (last, 60.8 - 39.5, 0.3, 4.95, "2 flights"),
    ):
        found = source(stage, "dip")
        assert found.volume / LITRE == pytest.approx(volume)
        assert (found.own_u / LITRE, found.shared_u / LITRE) == pytest.approx((own, shared))
        assert found.u / LITRE == pytest.approx(math.hypot(1.7, 1.7, own, shared))
        assert found.basis == f"of 2026-06-02, carried forward over {over}"
        assert (found.fresh, found.since) == (False, at(2, 13))
    only_fuel = source(run(filled_up(1, "20 L"), *both(2), put_in(3))[-1], "dip")
    assert only_fuel.basis == "of 2026-06-02, carried forward over what moved since"


def test_the_next_of_its_kind_a_level_or_a_start_ends_a_reading_carried() -> None:
    before = (filled_up(1, "20 L"), *both(2), flown(3, 60))
    again = run(*before, dipped(3, "left", "5 cm"), dipped(3, "right", "5 cm", hour=13))[-1]
    assert source(again, "dip").fresh
    assert source(again, "dip").volume / LITRE == pytest.approx(20)  # 14 L less 4 L, twice
    assert run(*before, filled_up(4, "90 L"))[-1].source("dip") is None
    gauges = [gauge(T4, at(3, 12), tank, litres("40 L"), start=True) for tank in ("left", "right")]
    started = run(*before, *gauges)[-1]
    assert started.source("dip") is None
    assert source(started, "gauge").volume / LITRE == pytest.approx(80)


def test_a_ticket_is_carried_back_over_what_moved_between() -> None:
    """144 L at the end; 90 L of them put in, 49.5 L burnt, 5 L let out: 144 - 90 + 49.5 + 5 = 108.5 L."""
    held = run(
        filled_up(1, "20 L"),
        flown(2, 60),
        drained(3, "5 +/- 0.4 L"),
        flown(4, 30),
        supply(T4, "uplift", at(5), "", litres("90 +/- 0.5 L"), "full"),
    )
    for stage, volume, own, shared, over in (
        (held[0], 144 - 90 + 49.5 + 5, math.hypot(0.5, 0.4), 4.95, ", carried back over 2 flights"),
        (held[1], 144 - 90 + 16.5 + 5, math.hypot(0.5, 0.4), 1.65, ", carried back over 1 flight"),
        (held[2], 144 - 90 + 16.5, 0.5, 1.65, ", carried back over 1 flight"),
        (held[3], 144 - 90, 0.5, 0.0, ""),
    ):
        found = source(stage, "ticket")
        assert found.volume / LITRE == pytest.approx(volume)
        assert found.u / LITRE == pytest.approx(math.hypot(1.44, own, shared))
        assert found.basis == f"known level on 2026-06-05{over}"
    assert held[4].source("ticket") is None


def test_the_log_keeps_what_is_in_each_tank() -> None:
    """Both tanks feed together; what is put in or let out is of one tank, and none holds less than nothing."""
    held = run(
        supply(T4, "uplift", at(1), "", litres("20 L"), litres("100 L")),
        flown(2, 60),
        put_in(3),
        drained(4, "5 L"),
        dipped(4, "left", "5 cm"),
        drained(5, "40 L"),
        flown(6, 30),
    )
    assert [in_litres(each) for each in held] == [
        [50.0, 50.0],
        [33.5, 33.5],
        [43.5, 28.5],
        [43.5, 0.0],
        [27.0, 0.0],
    ]
    log = source(held[-1], "log")
    assert log.basis == "from the known level on 2026-06-01"
    assert log.since == at(1)
    assert log.volume / LITRE == pytest.approx(100 - 33 + 10 - 5 - 40 - 16.5)


def test_a_log_starts_at_the_first_whole_reading_or_where_it_is_told_to() -> None:
    first = run(*both(2), flown(3, 60))
    assert first[0].source("log") is None
    assert first[0].missing == ("the log starts here, from the dip",)
    assert in_litres(first[0]) == [27.0, 33.8]
    log = source(first[1], "log")
    assert log.volume / LITRE == pytest.approx(27.8)
    assert log.u / LITRE == pytest.approx(math.hypot(1.7, 1.7, 3.3))
    assert (log.own_u / LITRE, log.shared_u / LITRE) == pytest.approx((0.0, 3.3))
    assert (log.basis, log.since) == ("from the dip on 2026-06-02", at(2, 13))
    assert first[1].source("dip") is None, "the log is the dip carried on"
    told = run(filled_up(1, "20 L"), *both(2, start=True), flown(3, 60))
    assert source(told[0], "log").volume / LITRE == pytest.approx(144), "what it said before it starts anew"
    assert source(told[1], "log").volume / LITRE == pytest.approx(27.8)
    untold = run(filled_up(1, "20 L"), *both(2), flown(3, 60))
    assert source(untold[1], "log").volume / LITRE == pytest.approx(144 - 33)


def test_a_reading_of_all_tanks_and_one_of_each_take_each_other_s_place() -> None:
    def gauged(hour: int, tank: str, text: str) -> Entry:
        return gauge(T4, at(2, hour), tank, litres(text))

    start = filled_up(1, "20 L")
    whole = run(start, gauged(9, "left", "30 L"), gauged(10, "", "90 +/- 3 L"))[-1]
    assert (source(whole, "gauge").volume / LITRE, source(whole, "gauge").u / LITRE) == pytest.approx((90, 3))
    assert source(whole, "gauge").basis == "90 +/- 3 L"
    left_only = run(start, gauged(9, "", "90 L"), gauged(10, "left", "30 L"))[-1]
    assert left_only.source("gauge") is None
    assert left_only.missing == ("gauge: no reading of right",)
    latest = run(start, gauged(9, "left", "30 L"), gauged(10, "right", "40 L"), gauged(11, "left", "35 L"))[
        -1
    ]
    assert source(latest, "gauge").volume / LITRE == pytest.approx(75)
    assert source(latest, "gauge").u / LITRE == pytest.approx(0.05 * 72 * math.sqrt(2))
    alone = run(gauged(9, "", "90 +/- 3 L"), flown(3, 60))
    assert in_litres(alone[0]) == [45.0, 45.0], "a total lies in the tanks as they are large"
    assert in_litres(alone[1]) == [28.5, 28.5]


def test_a_reading_the_log_and_a_dip_agree_against_is_settled() -> None:
    """144 L less 33 L is 111 L; two gauges said 60 L before the flight, and the dips after it say 58.7 L
    twice, of which 4 L are unusable: 109.4 L.
    """
    low = [gauge(T4, at(2, 9), tank, litres("30 +/- 1 L")) for tank in ("left", "right")]
    before = (filled_up(1, "20 L"), *low, flown(3, 60))
    assert source(run(*before)[-1], "gauge").volume / LITRE == pytest.approx(27)
    settled = (*before, dipped(4, "left", "58.7 L"), dipped(4, "right", "58.7 L", hour=13))
    assert run(*settled)[-1].source("gauge") is None
    assert run(*settled, flown(5, 30))[-1].source("gauge") is None, "and it does not come back"
    open_still = (*before, dipped(4, "left", "20 L"), dipped(4, "right", "20 L", hour=13))
    assert run(*open_still)[-1].source("gauge") is not None, "where the log and the dips differ"


def test_sources_stand_in_their_order_and_a_stage_without_anything_is_none() -> None:
    gauges = [gauge(T4, at(2, 9), tank, litres("70 L")) for tank in ("left", "right")]
    held = run(filled_up(1, "20 L"), *gauges, *both(2), flown(3, 60), filled_up(4, "40 L"))
    assert [each.name for each in held[0].sources] == ["log", "dip", "gauge", "ticket"]
    assert len(held) == 3
    assert [len(each.readings) for each in held] == [4, 0, 0]
    assert run() == ()
