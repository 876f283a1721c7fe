"""Ranges typed for a sweep: what they mean in the engine's units, in which order they run, what is refused."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from planner.plan import Plan, plan_flight
from planner.quantities.errors import InputRefused
from planner.records.store import load_flight_file
from planner.sweep import sweep_ranges
from planner.sweep.sweep_ranges import read_range, read_ranges, room_for
from planner.sweep.sweep_run import RangeSource
from planner.sweep.sweep_table import blocks, open_table
from planner.sweep.targets import conflicts, find_target

FLIGHT = Path(__file__).parents[2] / "docs/flights/demo.yaml"
POUND, US_GALLON = 0.45359237, 3.785411784e-3  # kg; m3


@cache
def plan() -> Plan:
    return plan_flight(*load_flight_file(FLIGHT))


def codes(*texts: str, steps: tuple[int, ...] = (3,)) -> list[str]:
    with pytest.raises(InputRefused) as refused:
        read_ranges(plan(), texts, steps)
    return [finding.code for finding in refused.value.findings]


@pytest.mark.parametrize(
    ("text", "unit", "ends"),
    [
        ("front seats=50..220 kg", "kg", (50.0, 220.0)),
        (" front seats = 50 kg .. 220kg ", "kg", (50.0, 220.0)),
        ("front seats=0..1.5e2 lb", "lb", (0.0, 150.0)),
        ("front seats=110.231131 lb..100 kg", "kg", (50.0, 100.0)),
        ("fuel=10..20 USgal", "USgal", (10.0, 20.0)),
    ],
)
def test_a_range_is_kept_in_the_unit_of_its_last_figure(
    text: str, unit: str, ends: tuple[float, float]
) -> None:
    axis = read_range(plan(), text, 5)
    assert axis.target.unit.name == unit
    assert (axis.low, axis.high) == pytest.approx(ends, rel=1e-8)
    assert axis.values() == pytest.approx(np.linspace(*ends, 5), rel=1e-8)


def test_values_are_what_is_written_to_nine_digits() -> None:
    axis = read_range(plan(), "front seats=0..100 kg", 4)
    assert axis.values().tolist() == [0.0, 33.3333333, 66.6666667, 100.0]


def test_the_last_range_runs_fastest_in_the_units_of_the_engine() -> None:
    axes = read_ranges(plan(), ["front seats=100..200 lb", "fuel=10..20 USgal"], [2, 3])
    expected = [
        [mass * POUND, volume * US_GALLON] for mass in (100.0, 200.0) for volume in (10.0, 15.0, 20.0)
    ]
    source = RangeSource(plan(), axes)
    blocks = list(source.blocks(4))
    assert [block.first for block in blocks] == [0, 4]
    assert [len(block.loads) for block in blocks] == [4, 2]
    assert np.concatenate([block.loads for block in blocks]) == pytest.approx(np.array(expected))
    (rest,) = source.blocks(4, skip=3)
    assert rest.first == 3
    assert rest.loads == pytest.approx(np.array(expected[3:]))


def test_one_number_of_steps_counts_for_every_range() -> None:
    axes = read_ranges(plan(), ["front seats=0..100 kg", "fuel=0..20 L"], [7])
    assert [axis.steps for axis in axes] == [7, 7]


def test_fuel_by_mass_is_a_volume_at_the_density() -> None:
    axes = read_ranges(plan(), ["fuel=0..36 kg"], [2])
    (block,) = RangeSource(plan(), axes).blocks(8)
    assert block.loads == pytest.approx(np.array([[0.0], [36 / plan().density.density]]))


def test_the_room_of_tanks_is_their_usable_capacity() -> None:
    flight, aircraft = plan().flight, plan().aircraft
    each = {name: (tank.capacity.value - tank.unusable.value) * 1000 for name, tank in aircraft.tanks.items()}
    assert room_for(plan(), find_target(flight, aircraft, "fuel", "L")) == pytest.approx(sum(each.values()))
    for name, litres in each.items():
        assert room_for(plan(), find_target(flight, aircraft, f"fuel {name}", "L")) == pytest.approx(litres)
    assert room_for(plan(), find_target(flight, aircraft, "front seats", "kg")) == math.inf
    full = sum(each.values())
    assert read_range(plan(), f"fuel=0..{full!r} L", 2).high == pytest.approx(full)
    assert codes(f"fuel=0..{full + 0.001!r} L") == ["sweep-overfilled"]
    in_kg = full / 1000 * plan().density.density
    assert read_range(plan(), f"fuel=0..{in_kg - 0.001!r} kg", 2).high == pytest.approx(in_kg, abs=0.01)
    assert codes(f"fuel=0..{in_kg + 0.001!r} kg") == ["sweep-overfilled"]


def test_what_is_no_range_is_refused_with_its_code() -> None:
    assert codes("front seats 50") == ["sweep-range"]
    assert codes("front seats=50..60 +/- 1 kg") == ["sweep-range"]
    assert codes("front seats=60..50 kg") == codes("front seats=50..50 kg") == ["sweep-range"]
    assert codes("front seats=-1..50 kg") == ["sweep-range"]
    assert codes("front seats=1 L..50 kg") == ["quantity-wrong-dimension"]
    assert codes("wing=0..50 kg") == ["sweep-unknown"]
    assert codes("front seats 0=0..50 kg") == codes("front seats 3=0..50 kg") == ["sweep-seats"]
    assert codes("front seats=0..50 kg", "front seats=0..60 kg") == ["sweep-twice"]
    assert codes("fuel left=0..1 L", "fuel left=0..2 L") == ["sweep-twice"]
    assert codes("fuel=0..1 L", "fuel left=0..2 L") == ["sweep-twice"]
    assert len(read_ranges(plan(), ("fuel left=0..1 L", "fuel right=0..2 L"), (3,))) == 2
    assert codes() == codes(*["fuel=0..1 L"] * 5)[:1] == ["sweep-too-large"]


def test_every_finding_is_told_at_once() -> None:
    assert codes("wing=0..50 kg", "front seats=9..5 kg") == ["sweep-unknown", "sweep-range"]


def test_how_many_steps_and_loadings_are_too_many(monkeypatch: pytest.MonkeyPatch) -> None:
    ranges = ("front seats=0..100 kg", "fuel=0..20 L")
    assert codes(*ranges, steps=(1,)) == codes(*ranges, steps=(10_001,)) == ["sweep-steps"]
    assert codes(*ranges, steps=(2, 2, 2)) == ["sweep-steps"]
    assert [axis.steps for axis in read_ranges(plan(), ranges, (2, 10_000))] == [2, 10_000]
    monkeypatch.setattr(sweep_ranges, "MOST_LOADINGS", 12)
    assert len(read_ranges(plan(), ranges, (3, 4))) == 2
    assert codes(*ranges, steps=(3, 5)) == ["sweep-too-large"]


def test_rows_of_a_table_are_numbered_from_nothing_and_read_in_the_units_of_the_engine(
    tmp_path: Path,
) -> None:
    path = tmp_path / "in.csv"
    rows = [f"{number},x,{number}" for number in range(1, 6)]
    path.write_text("\n".join(["front seats [lb],label,fuel [USgal]", *rows]), encoding="utf-8")
    table = open_table(plan(), path)
    expected = [[number * POUND, number * US_GALLON] for number in range(1, 6)]
    assert [block.first for block in blocks(plan(), table, 2)] == [0, 2, 4]
    for skip, firsts in ((0, [0, 2, 4]), (1, [1, 3])):
        found = list(blocks(plan(), table, 2, skip))
        assert [block.first for block in found] == firsts
        assert np.concatenate([block.loads for block in found]) == pytest.approx(np.array(expected[skip:]))


@pytest.mark.parametrize(
    ("content", "code", "line"),
    [
        (b"front seats [kg]\xff\n1\n", "file-not-utf8", 1),
        (b'"front seats [kg]"x\n1\n', "table-unreadable", 1),
        (b'front seats [kg]\n"1"x\n', "table-unreadable", 1),  # the last line that could be read
    ],
)
def test_a_table_that_is_no_text_or_no_csv_is_told_with_its_line(
    tmp_path: Path, content: bytes, code: str, line: int
) -> None:
    path = tmp_path / "in.csv"
    path.write_bytes(content)
    with pytest.raises(InputRefused) as refused:
        list(blocks(plan(), open_table(plan(), path), 2, 0))
    assert [(each.code, each.line) for each in refused.value.findings] == [(code, line)]


@pytest.mark.parametrize(
    ("header", "column", "hint"),
    [
        ("front seats [kg];fuel [L]", 1, "separate cells with commas"),
        ("front seats", 1, "a column of names may be called 'label'"),
        ("front seats [kg],fuel; all", 2, "a column of names may be called 'label'"),
    ],
)
def test_a_header_that_is_none_is_told_with_its_place(
    tmp_path: Path, header: str, column: int, hint: str
) -> None:
    path = tmp_path / "in.csv"
    path.write_text(f"{header}\n1,2\n", encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        open_table(plan(), path)
    assert [(each.line, each.column, each.where, each.hint) for each in refused.value.findings] == [
        (1, column, f"header, column {column}", hint)
    ]


def test_two_seats_of_a_row_are_two_quantities_and_one_seat_is_one() -> None:
    flight, aircraft = plan().flight, plan().aircraft
    targets = [find_target(flight, aircraft, f"front seats {seat}", "kg") for seat in (1, 2)]
    assert conflicts(targets) == []
    assert conflicts(targets[1:] + targets[1:2]) == ["front seats 2"]
