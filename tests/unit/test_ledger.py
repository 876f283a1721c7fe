"""The fuel ledger: entries, the log, the sources set against each other, the learned burn, corrections, what
a plan takes.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from planner.logbook.ledger.agree import compare
from planner.logbook.ledger.balance import stages
from planner.logbook.ledger.burned import Learned, burn_findings, learned_of
from planner.logbook.ledger.contents import Contents, contents, per_tank
from planner.logbook.ledger.correcting import corrected, history
from planner.logbook.ledger.entries import (
    Entry,
    Stored,
    correction,
    dip,
    effective,
    flight,
    gauge,
    moment,
    supply,
)
from planner.logbook.ledger.kept.exchange import read_file, recomputed, to_csv, to_json, unknown_to
from planner.logbook.ledger.kept.store import ledger_path, opened
from planner.logbook.ledger.sources import FuelSource, SourceName
from planner.quantities.errors import InputRefused
from planner.quantities.units import LITRE, Quantity, read_quantity
from planner.records.store import load_aircraft

T4 = load_aircraft("thornlea-t4").record  # two tanks of 72 L usable; cruise 33 L/h
ONE = load_aircraft("saltmere-samphire").record  # one tank of 65 L usable


def litres(text: str) -> Quantity:
    return read_quantity(text, "volume")


def at(day: int, hour: int = 8) -> str:
    return f"2026-06-{day:02d}T{hour:02d}:00:00Z"


def numbered(*entries: Entry) -> list[Stored]:
    return [Stored(number, entry) for number, entry in enumerate(entries, 1)]


def flown(
    day: int, minutes: float = 60, planned: str | None = None, burnt: str | None = None, craft: object = T4
) -> Entry:
    time = read_quantity(f"{minutes} min", "time")
    return flight(
        craft, at(day, 10), time, litres(burnt) if burnt else None, None, litres(planned) if planned else None
    )  # type: ignore[arg-type]


def both(day: int, left: str, right: str, hour: int = 12) -> tuple[Entry, Entry]:
    return tuple(
        dip(T4, at(day, hour), tank, f"T4-{tank[0].upper()}", read_quantity(text, "length", "volume"))
        for tank, text in (("left", left), ("right", right))
    )  # type: ignore[return-value]


# Entries


def test_a_dip_becomes_usable_fuel() -> None:
    # 10 cm is 31 L in the tank by the stick's table, 4 L of it unusable; 14 to 31 L in 5 cm below, 31 to 48 L
    # above: 3.4 L/cm.
    made = dip(T4, at(1), "left", "T4-L", read_quantity("10 +/- 0.2 cm", "length"))
    assert made.volume / LITRE == pytest.approx(27)
    assert made.u / LITRE == pytest.approx(0.2 * 3.4)
    assert dip(T4, at(1), "left", "T4-L", read_quantity("10 cm", "length")).u / LITRE == pytest.approx(
        0.5 * 3.4
    )  # 5 mm where nothing is stated
    assert (
        dip(T4, at(1), "left", "T4-L", read_quantity("1 cm", "length")).volume == 0.0
    )  # 2.8 L, all of it unusable
    usable = dip(ONE, at(1), "", "SAM-1", read_quantity("14 cm", "length"))
    assert usable.volume / LITRE == pytest.approx(28)  # this stick reads usable fuel
    assert usable.tank == "nose"


def test_a_gauge_is_known_to_five_percent_of_full() -> None:
    assert gauge(T4, at(1), "left", litres("30 L")).u / LITRE == pytest.approx(0.05 * 72)
    assert gauge(T4, at(1), "", litres("60 L")).u / LITRE == pytest.approx(0.05 * 144)
    assert gauge(T4, at(1), "", litres("60 +/- 3 L")).u / LITRE == pytest.approx(3)


def test_a_computed_burn_is_time_times_flow() -> None:
    made = flown(1, 90)
    assert made.volume / LITRE == pytest.approx(33 * 1.5)
    assert made.u / LITRE == pytest.approx(4.95)
    assert made.computed
    measured = flown(1, 90, burnt="47 +/- 1 L")
    assert (measured.volume / LITRE, measured.u / LITRE, measured.computed) == (
        pytest.approx(47),
        pytest.approx(1),
        False,
    )


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: dip(T4, at(1), "left", "T4-R", read_quantity("10 cm", "length")), "ledger-stick"),
        (lambda: dip(T4, at(1), "left", "SAM-1", read_quantity("10 cm", "length")), "ledger-stick"),
        (lambda: dip(T4, at(1), "middle", "T4-L", read_quantity("10 cm", "length")), "tank-unknown"),
        (lambda: dip(T4, at(1), "", "T4-L", read_quantity("10 cm", "length")), "ledger-tank"),
        (lambda: dip(T4, at(1), "left", "T4-L", read_quantity("30 cm", "length")), "dip-off-table"),
        (lambda: dip(T4, at(1), "left", "T4-L", litres("90 L")), "tank-overfilled"),
        (lambda: gauge(T4, at(1), "left", litres("73 L")), "tank-overfilled"),
        (lambda: supply(T4, "uplift", at(1), "", litres("40 L"), ""), "ledger-tank"),
        (lambda: supply(T4, "uplift", at(1), "left", litres("80 L"), ""), "tank-overfilled"),
        (lambda: supply(T4, "uplift", at(1), "left", litres("60 L"), litres("30 L")), "ledger-leaves"),
        (lambda: supply(T4, "uplift", at(1), "left", litres("6 L"), "brim"), "ledger-leaves"),
        (lambda: flight(T4, at(1), None, None, None, None), "option-missing"),
        (lambda: moment("2999-01-01 10:00"), "ledger-time"),
        (lambda: moment("yesterday"), "ledger-time"),
    ],
)
def test_refused(make: object, code: str) -> None:
    with pytest.raises(InputRefused) as refused:
        make()  # type: ignore[operator]
    assert [finding.code for finding in refused.value.findings] == [code]


def test_times_are_utc() -> None:
    assert moment("2026-06-01 10:30") == "2026-06-01T10:30:00Z"
    assert moment("2026-06-01T10:30+02:00") == "2026-06-01T08:30:00Z"
    assert moment("2026-06-01T10:30Z") == "2026-06-01T10:30:00Z"


# The log and the other sources


def test_the_log_adds_and_takes_off_with_its_uncertainty() -> None:
    held = numbered(
        supply(T4, "uplift", at(1), "", litres("20 L"), "full"),
        flown(2, 60),
        supply(T4, "uplift", at(3), "left", litres("10 +/- 0.3 L"), ""),
        flown(4, 30),
        supply(T4, "drain", at(5), "right", litres("5 +/- 0.4 L"), ""),
    )
    log = stages(T4, effective(held))[-1].source("log")
    assert log is not None
    assert log.volume / LITRE == pytest.approx(144 - 33 + 10 - 16.5 - 5)
    # full: 1 % of 144 L; the two computed burns rest on one flow and add before squaring: 3.3 + 1.65
    assert log.u / LITRE == pytest.approx(math.hypot(1.44, 0.3, 0.4, 3.3 + 1.65), rel=1e-6)
    # what it has gathered of its own since it was known, and what the flow has in common
    assert (log.own_u / LITRE, log.shared_u / LITRE) == pytest.approx((0.5, 4.95), rel=1e-6)


def test_measured_burns_are_independent() -> None:
    held = numbered(
        supply(T4, "uplift", at(1), "", litres("20 L"), "full"),
        flown(2, 60, burnt="30 +/- 1 L"),
        flown(3, 60, burnt="30 +/- 1 L"),
    )
    log = stages(T4, effective(held))[-1].source("log")
    assert log is not None
    assert log.u / LITRE == pytest.approx(math.hypot(1.44, 1, 1), rel=1e-6)


def test_an_uplift_to_the_brim_tells_what_was_there() -> None:
    held = numbered(
        supply(T4, "uplift", at(1), "", litres("20 L"), "full"),
        flown(2, 60),
        supply(T4, "uplift", at(3), "", litres("40 +/- 0.2 L"), "full"),
    )
    before, after = stages(T4, effective(held))[-2:]
    ticket = before.source("ticket")
    assert ticket is not None
    assert ticket.volume / LITRE == pytest.approx(144 - 40)
    assert ticket.u / LITRE == pytest.approx(math.hypot(1.44, 0.2))
    log = after.source("log")
    assert log is not None
    assert log.volume / LITRE == pytest.approx(144)  # a known level starts the log anew


def test_both_tanks_filled_one_after_the_other_are_one_known_level() -> None:
    held = numbered(
        supply(T4, "uplift", at(1), "", litres("20 L"), "full"),
        flown(2, 60),
        supply(T4, "uplift", at(3, 9), "left", litres("18 L"), "full"),
        supply(T4, "uplift", at(3, 10), "right", litres("17 L"), "full"),
    )
    before, after = stages(T4, effective(held))[-2:]
    ticket = before.source("ticket")
    assert ticket is not None
    assert ticket.volume / LITRE == pytest.approx(144 - 35)
    assert after.movement is not None
    assert after.movement.level is not None
    assert after.movement.level[1] / LITRE == pytest.approx(math.hypot(0.72, 0.72))
    only_left = numbered(*(each.entry for each in held[:3]))
    assert stages(T4, effective(only_left))[-1].movement.level is None  # type: ignore[union-attr]


def test_a_known_level_is_not_lost_to_the_next_uplift() -> None:
    full = supply(T4, "uplift", at(1), "", litres("20 L"), "full")
    held = numbered(
        full,
        supply(T4, "drain", at(2), "left", litres("12 +/- 0.3 L"), ""),
        supply(T4, "drain", at(3), "right", litres("5 +/- 0.4 L"), ""),
    )
    log = stages(T4, effective(held))[-1].source("log")
    assert log is not None
    assert log.volume / LITRE == pytest.approx(144 - 17)
    assert log.u / LITRE == pytest.approx(math.hypot(1.44, 0.3, 0.4))


def test_fuel_put_in_after_a_reading_is_a_movement_of_its_own() -> None:
    uplift = [supply(T4, "uplift", at(day, 9), "left", litres(f"{day} L"), "") for day in (3, 4, 5)]
    held = numbered(flown(2), uplift[0], uplift[1], *both(4, "10 cm", "12 cm"), uplift[2])
    entries = [len(each.movement.entries) for each in stages(T4, effective(held)) if each.movement]
    assert entries == [1, 2, 1], "the first two have nothing between them, the third has a dip before it"


def test_half_a_dip_is_no_dip() -> None:
    left, right = both(2, "10 cm", "12 cm")
    full = supply(T4, "uplift", at(1), "", litres("20 L"), "full")
    half = stages(T4, effective(numbered(full, flown(2), left)))[-1]
    assert half.source("dip") is None
    assert half.missing == ("dip: no reading of right",)
    whole = stages(T4, effective(numbered(full, flown(2), left, right)))[-1].source("dip")
    assert whole is not None
    assert whole.volume / LITRE == pytest.approx(27 + 33.8)


def test_late_entries_find_their_place() -> None:
    full, flight_, left_right = (
        supply(T4, "uplift", at(1), "", litres("20 L"), "full"),
        flown(2),
        both(3, "10 cm", "12 cm"),
    )
    in_order = stages(T4, effective(numbered(full, flight_, *left_right)))
    late = stages(T4, effective(numbered(*left_right, flight_, full)))
    assert [stage.sources for stage in late] == [stage.sources for stage in in_order]


# Agreement


def source(name: SourceName, volume: float, u: float) -> FuelSource:
    return FuelSource(name, volume * LITRE, u * LITRE, "")


@pytest.mark.parametrize(
    ("given", "odd", "agree", "lowest", "highest"),
    [
        ([("log", 50, 2)], None, True, "log", "log"),
        ([("log", 50, 2), ("dip", 53, 2)], None, True, "log", "dip"),
        ([("log", 50, 1), ("dip", 60, 1)], None, False, "log", "dip"),
        ([("log", 50, 1), ("dip", 60, 1), ("ticket", 51, 1)], "dip", False, "log", "dip"),
        ([("log", 50, 1), ("dip", 40, 1), ("ticket", 51, 1)], "dip", False, "dip", "ticket"),
        ([("log", 50, 1), ("dip", 55, 1), ("gauge", 52.5, 5)], None, False, "log", "dip"),
        ([("log", 50, 1), ("dip", 60, 1), ("gauge", 70, 1)], None, False, "log", "gauge"),
        (
            [("log", 50, 1), ("dip", 60, 1), ("gauge", 51, 7), ("ticket", 60.5, 1)],
            "log",
            False,
            "log",
            "ticket",
        ),
    ],
)
def test_the_odd_one_out(
    given: list[tuple[SourceName, float, float]], odd: str | None, agree: bool, lowest: str, highest: str
) -> None:
    result = compare([source(*each) for each in given])
    assert (result.odd.name if result.odd is not None else None) == odd
    assert result.agree is agree
    assert result.lowest is not None
    assert result.highest is not None
    assert (result.lowest.name, result.highest.name) == (lowest, highest)
    if odd is not None:
        assert f"odd one out is the {odd}" in result.words


def test_a_low_reading_is_never_talked_away() -> None:
    result = compare([source("log", 50, 1), source("dip", 40, 1), source("ticket", 51, 1)])
    assert "also the lowest" in result.words
    assert result.lowest is not None
    assert result.lowest.volume / LITRE == 40


def test_no_source_says_nothing() -> None:
    nothing = compare([])
    assert nothing.lowest is None
    assert "No source" in nothing.words


# Learned burn


def learned_from(*entries: Entry) -> Learned:
    return learned_of(T4, effective(numbered(*entries)))


def filled_up(day: int, volume: str) -> Entry:
    return supply(T4, "uplift", at(day), "", litres(volume), "full")


def test_the_flow_between_known_quantities_and_its_spread() -> None:
    learned = learned_from(
        filled_up(1, "20 L"),
        flown(2, 60),
        filled_up(3, "36 L"),
        flown(4, 120),
        filled_up(5, "60 L"),
        flown(6, 60),
        filled_up(7, "33 L"),
    )
    assert [round(each.burnt / LITRE, 6) for each in learned.intervals] == [36, 60, 33]
    # 129 L in 4 h; weighted by hours: (1 (36 - 32.25)^2 + 2 (30 - 32.25)^2 + 1 (33 - 32.25)^2) / (2 x 4/3)
    assert learned.between * 3.6e6 == pytest.approx(32.25)  # type: ignore[operator]
    assert learned.spread * 3.6e6 == pytest.approx(math.sqrt((3.75**2 + 2 * 2.25**2 + 0.75**2) / (2 * 4 / 3)))  # type: ignore[operator]
    assert not burn_findings(learned, T4)  # 33 L/h in the profile is within the spread


def test_the_one_learned_flow_is_that_of_all_entries_adjusted() -> None:
    learned = learned_from(filled_up(1, "20 L"), flown(2, 60), filled_up(3, "36 L"))
    # By hand: the book's 33 L/h is known to 3.3 L/h (10 %); one hour tells it to 2.64 L (8 %), the two levels
    # (1 % of 144 L each) and the ticket (0.2 L). What is said of tanks nobody looked into (any level is as
    # likely) draws it down by 0.1 L/h.
    assert learned.between * 3.6e6 == pytest.approx(36)  # type: ignore[operator]
    assert learned.spread == "one interval shows no spread"
    s = math.hypot(2.64, 1.44, 1.44, 0.2)
    assert learned.flow * 3.6e6 == pytest.approx(33 + 3 * 3.3**2 / (3.3**2 + s**2), abs=0.1)  # type: ignore[operator]
    assert learned.u * 3.6e6 == pytest.approx(3.3 * s / math.hypot(3.3, s), rel=0.02)
    assert not learned.differ
    none = learned_from(filled_up(1, "20 L"), flown(2, 60))
    assert isinstance(none.between, str)
    assert none.flow * 3.6e6 == pytest.approx(33)  # type: ignore[operator]
    assert isinstance(learned_from(filled_up(1, "20 L")).flow, str)


def test_flights_that_were_measured_have_a_flow_too() -> None:
    measured = flight(T4, at(2), read_quantity("2 h", "time"), litres("66 L"), None, None)
    learned = learned_from(filled_up(1, "20 L"), measured, filled_up(3, "66 L"))
    assert learned.flow * 3.6e6 == pytest.approx(33, abs=0.03)  # type: ignore[operator]
    # 2 % of the burn and 8 % from flight to flight, over 2 h
    assert learned.u * 3.6e6 == pytest.approx(math.hypot(1.32, 5.28) / 2, rel=0.01)


def test_a_flow_far_from_the_profile_is_told() -> None:
    thirsty = learned_from(filled_up(1, "20 L"), flown(2, 120), filled_up(3, "90 L"))
    assert [finding.code for finding in burn_findings(thirsty, T4)] == ["ledger-burn-flow"]


def test_a_flow_and_its_check_that_disagree_are_told() -> None:
    # Each is within its U of the profile's 33 L/h, on either side of it.
    learned = learned_from(filled_up(1, "20 L"), flown(2, 60), filled_up(3, "34 L"))
    rates = {"flow": 31 / 3.6e6, "u": 1.2 / 3.6e6, "between": 35 / 3.6e6, "u_between": 1.2 / 3.6e6}
    assert [finding.code for finding in burn_findings(replace(learned, **rates), T4)] == ["ledger-burn-apart"]


# Corrections


def test_a_correction_takes_the_place_and_the_old_one_stays(tmp_path: Path) -> None:
    with opened(tmp_path / "log", T4.name) as ledger:
        ledger.add(
            [
                supply(T4, "uplift", at(1), "", litres("20 L"), "full"),
                flown(2, 60, planned="30 L"),
                *both(2, "10 cm", "12 cm"),
            ]
        )
        ledger.add([corrected(T4, ledger.entries(), 2, {"time": "90 min"}, False, "misread the clock")])
        ledger.add([corrected(T4, ledger.entries(), 3, {}, True, "wrong tank")])
        held = ledger.entries()
        assert len(held) == 6
        alive = effective(held)
        assert [each.number for each in alive] == [1, 5, 4]
        changed = alive[1].entry
        assert changed.volume / LITRE == pytest.approx(49.5)
        assert changed.planned / LITRE == pytest.approx(30)
        assert changed.at == at(2, 10)
        with pytest.raises(InputRefused, match="corrected before"):
            corrected(T4, held, 2, {"time": "80 min"}, False, "again")
        with pytest.raises(
            InputRefused, match="corrected before"
        ):  # two at once: the file itself lets one through
            ledger.add([correction(held[1].entry, None, "at the same time")])
        assert ledger.entries() == held
        ledger.add([corrected(T4, held, 5, {"flow": "40 L/h"}, False, "climbed all the way")])
        assert effective(ledger.entries())[1].entry.volume / LITRE == pytest.approx(60)


@pytest.mark.parametrize(
    ("number", "given", "void", "note", "code"),
    [
        (9, {"time": "1 h"}, False, "x", "ledger-number"),
        (1, {"time": "1 h"}, False, "x", "ledger-correction"),
        (1, {}, False, "x", "ledger-correction"),
        (1, {"volume": "10 L"}, True, "x", "ledger-correction"),
        (1, {"volume": "10 L"}, False, " ", "ledger-correction"),
        (1, {"volume": "10"}, False, "x", "quantity-bare-number"),
        (1, {"leaves": "-5 L"}, False, "x", "quantity-too-small"),
        (2, {"reading": "-5 L"}, False, "x", "quantity-too-small"),
        (2, {"stick": "T4-R"}, False, "x", "ledger-stick"),
    ],
)
def test_corrections_that_are_none(
    number: int, given: dict[str, str], void: bool, note: str, code: str
) -> None:
    held = numbered(supply(T4, "uplift", at(1), "", litres("20 L"), "full"), both(2, "10 cm", "12 cm")[0])
    with pytest.raises(InputRefused) as refused:
        corrected(T4, held, number, given, void, note)
    assert [finding.code for finding in refused.value.findings] == [code]


# Out and in again


@pytest.mark.parametrize("ending", ["csv", "json"])
def test_out_and_in_again_without_a_loss(tmp_path: Path, ending: str) -> None:
    import json

    note = '=1+1, "quoted"\nand ü'
    entries = [
        supply(
            T4,
            "uplift",
            at(1),
            "",
            litres("20.123456789 L"),
            "full",
            ticket="-8812",
            grade="avgas-100LL",
            note=note,
        ),
        *both(2, "10 cm", "12.3 +/- 0.1 cm"),
        flown(3, 61.7, planned="30 L"),
        gauge(T4, at(4), "left", litres("7 USgal")),
    ]
    with opened(tmp_path / "one", T4.name) as ledger:
        ledger.add(entries)
        ledger.add([correction(ledger.entries()[3].entry, None, "'not flown")])
        held = ledger.entries()
    path = tmp_path / f"out.{ending}"
    path.write_text(
        to_csv(T4.name, held) if ending == "csv" else json.dumps(to_json(T4.name, held)),
        encoding="utf-8",
        newline="",
    )
    back = read_file(path, T4.name)
    assert back == tuple(held)
    assert unknown_to(held, back, path) == ()
    with opened(tmp_path / "two", T4.name) as other:
        other.add(unknown_to(other.entries(), back, path))
        assert other.entries() == held
    if ending == "csv":
        assert "\n=" not in path.read_text(encoding="utf-8")
        assert ",=" not in path.read_text(encoding="utf-8")


def test_imports_that_are_refused_add_nothing(tmp_path: Path) -> None:
    held = numbered(supply(T4, "uplift", at(1), "", litres("20 L"), "full"), flown(2))
    good = to_csv(T4.name, held)
    cases = {
        "ledger-other-aircraft": good.replace("Thornlea T4", "Another"),
        "ledger-import": good.replace("uplift", "updraught"),
    }
    for code, text in cases.items():
        path = tmp_path / f"{code}.csv"
        path.write_text(text, encoding="utf-8")
        with pytest.raises(InputRefused) as refused:
            read_file(path, T4.name)
        assert {finding.code for finding in refused.value.findings} == {code}
    for name, text in {
        "a.json": "{",
        "b.json": "[]",
        "c.json": '{"schema": "planner/ledger/1", "entries": [1]}',
        "d.csv": "x,y\n1,2\n",
    }.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
        with pytest.raises(InputRefused):
            read_file(tmp_path / name, T4.name)
    changed = tmp_path / "conflict.csv"
    changed.write_text(good.replace("20 L", "21 L"), encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        unknown_to(held, read_file(changed, T4.name), changed)
    assert [finding.code for finding in refused.value.findings] == ["ledger-conflict"]


# What a plan takes


def test_lowest_for_endurance_highest_for_mass_tank_by_tank() -> None:
    held = numbered(
        supply(T4, "uplift", at(1), "", litres("20 L"), "full"), flown(2, 60), *both(2, "16 cm", "12 cm")
    )
    now = contents(T4, held)
    assert isinstance(now, Contents)
    # log 144 - 33 = 111 L; dips 51.2 - 4 and 37.8 - 4 = 81 L
    assert sum(now.low) / LITRE == pytest.approx(81.0)
    assert sum(now.high) / LITRE == pytest.approx(111.0)
    assert now.low[0] / LITRE == pytest.approx(47.2)  # split as dipped
    assert now.high[0] / now.high[1] == pytest.approx(47.2 / 33.8)
    assert math.hypot(*now.u_low) == pytest.approx(now.agreement.lowest.u)  # type: ignore[union-attr]


def test_a_ledger_that_does_not_say() -> None:
    assert contents(T4, []) == "the ledger has no entry that counts"
    assert "no known quantity" in str(contents(T4, numbered(flown(1))))


def test_no_tank_takes_more_than_it_holds() -> None:
    assert per_tank(100.0, (0.9, 0.1), (60.0, 60.0)) == pytest.approx((60.0, 40.0))
    assert per_tank(200.0, (0.5, 0.5), (60.0, 60.0)) == pytest.approx((60.0, 60.0))
    assert per_tank(-3.0, (0.5, 0.5), (60.0, 60.0)) == (0.0, 0.0)
    assert per_tank(50.0, (0.0, 1.0), (60.0, 30.0)) == pytest.approx((20.0, 30.0))


def test_a_tank_the_profile_has_not_is_told() -> None:
    renamed = gauge(T4, at(1), "left", litres("30 L"))
    object.__setattr__(renamed, "tank", "port")
    with pytest.raises(InputRefused) as refused:
        stages(T4, effective(numbered(supply(T4, "uplift", at(1), "", litres("20 L"), "full"), renamed)))
    assert [finding.code for finding in refused.value.findings] == ["tank-unknown"]
    assert "entry 2" in refused.value.findings[0].message


def test_the_files_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path))
    assert ledger_path("Thornlea T4").parent == tmp_path / "ledgers"
    assert ledger_path("Ä/../x").parent == tmp_path / "ledgers"
    assert ledger_path("Ä").name != ledger_path("Ö").name


def test_a_void_entry_is_not_corrected_and_the_probable_one_is_named() -> None:
    first, second = (supply(T4, "uplift", at(day), "left", litres("10 L"), "") for day in (1, 2))
    held = [Stored(1, first), Stored(2, second), Stored(3, correction(second, None, "never delivered"))]
    with pytest.raises(InputRefused) as refused:
        corrected(T4, held, 3, {}, True, "again")
    (finding,) = refused.value.findings
    assert (finding.code, "takes out entry 2" in finding.message) == ("ledger-void", True)
    assert "probably 1 is meant" in finding.hint
    assert [each.number for each in history(held, 3)] == [2, 3]


def test_numbers_last_and_figures_are_recomputed_on_import(tmp_path: Path) -> None:
    held = [Stored(4, supply(T4, "uplift", at(1), "", litres("20 L"), "full")), Stored(9, flown(2))]
    held += [Stored(11, both(3, "10 cm", "12 cm")[0])]
    path = tmp_path / "log.csv"
    path.write_text(to_csv(T4.name, held), encoding="utf-8")
    back = read_file(path, T4.name)
    recomputed(T4, back, path)
    with opened(tmp_path / "log.sqlite3", T4.name) as ledger:
        assert ledger.add(back) == (4, 9, 11)
        assert ledger.add([flown(4)]) == (12,)
    path.write_text(to_csv(T4.name, held).replace(",20.0,", ",30.0,"), encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        recomputed(T4, read_file(path, T4.name), path)
    assert [finding.code for finding in refused.value.findings] == ["ledger-figures"]
