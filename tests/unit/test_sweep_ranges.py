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
from planner.sweep.sweep_table import blocks, check_table, open_table
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


def refusal(text: str, of: Plan | None = None) -> tuple[str, str, str]:
    """Message, need and cure of the one finding."""
    with pytest.raises(InputRefused) as refused:
        read_range(of or plan(), text, 3)
    (finding,) = refused.value.findings
    return finding.message, finding.needed, finding.hint


def test_a_name_that_is_none_is_told_what_it_may_have_meant() -> None:
    assert refusal("left=0..20 L")[2] == "did you mean 'fuel left'?"
    assert "'front seats'" in refusal("front sets=0..20 kg")[2]
    assert "nothing called 'fuel nowhere'" in refusal("fuel nowhere=0..20 L")[0]
    assert "nothing called 'nowhere 1'" in refusal("nowhere 1=0..20 kg")[0]


def test_seats_are_counted_as_the_flight_gives_them(tmp_path: Path) -> None:
    """Two figures in front; one figure for the two behind is no seat's."""
    text = FLIGHT.read_text(encoding="utf-8")
    row = next(line for line in text.splitlines() if line.strip().startswith("rear seats:"))
    path = tmp_path / "flight.yaml"
    path.write_text(text.replace(row, row.split("rear")[0] + "rear seats: 150 kg"), encoding="utf-8")
    one = plan_flight(*load_flight_file(path))
    assert len(one.flight.load["front seats"]) == 2
    assert [read_range(one, f"front seats {seat}=0..90 kg", 2).target.seat for seat in (1, 2)] == [0, 1]
    assert refusal("front seats 3=0..90 kg", one) == (
        "the flight gives 2 figures for 'front seats'",
        "needed one figure per seat in the flight file to vary 'front seats 3'",
        "or vary 'front seats'",
    )
    assert refusal("rear seats 1=0..90 kg", one)[0] == "the flight gives 1 figure for 'rear seats'"


def test_what_a_quantity_is_given_in_is_told_with_what_it_may_be() -> None:
    assert refusal("front seats=1..2 L")[:2] == (
        "'front seats' is given in L, a volume",
        "needed a mass such as '82 kg'",
    )
    flight, aircraft = plan().flight, plan().aircraft
    for name in ("fuel", "fuel left"):
        with pytest.raises(InputRefused) as refused:
            find_target(flight, aircraft, name, "m")
        (finding,) = refused.value.findings
        assert (finding.message, finding.needed) == (
            f"'{name}' is given in m, a length",
            "needed a volume such as '31 L', or a mass",
        )


def test_more_than_the_tanks_hold_is_told_with_what_they_hold() -> None:
    assert "the tanks hold 144 L" in refusal("fuel=0..150 L")[0]
    assert "it holds 72 L" in refusal("fuel left=0..150 L")[0]


def test_four_ranges_are_not_too_many() -> None:
    texts = ["front seats=0..9 kg", "rear seats=0..9 kg", "baggage=0..9 kg", "fuel=0..9 L", "shelf=0..9 kg"]
    assert len(read_ranges(plan(), texts[:4], (2,))) == 4
    assert codes(*texts) == ["sweep-too-large"]


def test_a_sign_of_uncertainty_is_refused_however_it_is_written() -> None:
    for text in ("front seats=50..60 +/- 1 kg", "front seats=50..60 \u00b1 1 kg"):
        assert refusal(text)[0] == "a figure that is varied counts as exact"


def test_what_sets_the_same_quantity_twice() -> None:
    """A row and one of its seats, all fuel and one tank; not two seats, two tanks, or seats of two rows."""
    flight, aircraft = plan().flight, plan().aircraft

    def twice(*names: str) -> list[str]:
        return conflicts(
            [find_target(flight, aircraft, name, "L" if "fuel" in name else "kg") for name in names]
        )

    for one, other in (
        ("front seats", "front seats 1"),
        ("fuel", "fuel right"),
        ("baggage", "baggage"),
        ("fuel", "fuel"),
    ):
        assert twice(one, other) == [other]
        assert twice(other, one) == [one]
    for pair in (
        ("front seats 1", "front seats 2"),
        ("fuel left", "fuel right"),
        ("front seats 1", "rear seats 1"),
        ("front seats 2", "rear seats 1"),
        ("front seats", "rear seats 1"),
        ("front seats", "baggage"),
        ("fuel", "baggage"),
        ("fuel left", "front seats"),
    ):
        assert twice(*pair) == twice(*reversed(pair)) == []
    assert twice("baggage", "front seats 1", "fuel", "front seats", "fuel left") == [
        "front seats",
        "fuel left",
    ]


def findings_of(folder: Path, text: str, rows: int = 100) -> list[tuple[int, int, str, str, str]]:
    """Line, column, where, message and cure of everything wrong with a table."""
    path = folder / "in.csv"
    path.write_text(text, encoding="utf-8", newline="")
    with pytest.raises(InputRefused) as refused:
        list(check_table(plan(), open_table(plan(), path), rows))
    return [(each.line, each.column, each.where, each.message, each.hint) for each in refused.value.findings]


def test_each_bad_cell_is_told_what_is_wrong_with_it(tmp_path: Path) -> None:
    where = "column 2 (front seats [kg])"
    assert findings_of(
        tmp_path,
        'label,front seats [kg],fuel left [L]\nx,"1,5",1\nx,170 kg,1\nx,abc,1\nx,,1\nx,-1,1\nx,1e999,1\nx,2e6,1\n'
        "x,1e6,73\nx,1\nx,1,2,3,4\n",
    ) == [
        (2, 2, f"row 1, {where}", "'1,5' is not a number", "a decimal point, not a comma"),
        (3, 2, f"row 2, {where}", "'170 kg' is not a number", "the unit stands in the header"),
        (4, 2, f"row 3, {where}", "'abc' is not a number", ""),
        (5, 2, f"row 4, {where}", "nothing is given", "write 0 where there is nothing"),
        (6, 2, f"row 5, {where}", "'-1' is negative", ""),
        (7, 2, f"row 6, {where}", "'1e999' is too large", ""),
        (8, 2, f"row 7, {where}", "'2e6' kg is no load", "check the unit in the header"),
        (9, 3, "row 8, column 3 (fuel left [L])", "'73' does not fit: fuel left holds 72 L usable", ""),
        (10, 3, "row 9", "2 cells", ""),
        (11, 4, "row 10", "5 cells", ""),
    ]


def test_a_tonne_is_a_load_and_a_thousand_are_none_in_pounds_too(tmp_path: Path) -> None:
    """1000 t are 2,204,622.6 lb; what is full to the last digit fits, zero is a load."""
    path = tmp_path / "in.csv"
    path.write_text("front seats [lb],fuel left [L]\n2204622,72\n0,0\n", encoding="utf-8")
    assert list(check_table(plan(), open_table(plan(), path), 100)) == [2]
    assert [
        each[3] for each in findings_of(tmp_path, "front seats [lb],fuel left [L]\n2204623,72.00001\n")
    ] == ["'2204623' lb is no load", "'72.00001' does not fit: fuel left holds 72 L usable"]


def test_not_more_than_fifty_findings_of_a_table_are_told(tmp_path: Path) -> None:
    text = "front seats [kg]\n" + "x\n" * 49
    assert len(findings_of(tmp_path, text)) == 49
    assert len(findings_of(tmp_path, text + "x\n" * 9)) == 50
    assert len(findings_of(tmp_path, "front seats [kg],baggage [kg]\n" + "x,x\n" * 60)) == 50


def test_what_is_wrong_with_a_header_is_told_with_its_column(tmp_path: Path) -> None:
    assert [each[:3] for each in findings_of(tmp_path, "front seats [kg],wing [kg],tail [kg]\n1,1,1\n")] == [
        (1, 2, "header, column 2"),
        (1, 3, "header, column 3"),
    ]
    assert findings_of(tmp_path, "\n\nlabel\nx\n") == [(3, 1, "header", "no column to sweep", "")]
    assert findings_of(tmp_path, "baggage [kg],label,baggage [lb]\n1,x,1\n") == [
        (1, 1, "header", "'baggage' is set by another column too", "")
    ]


def test_rows_are_counted_as_they_are_read_and_blank_ones_are_none(tmp_path: Path) -> None:
    path = tmp_path / "in.csv"
    rows = "".join(f"{number}\n\n , \n" if number == 2 else f"{number}\n" for number in range(1, 6))
    path.write_text("front seats [kg]\n" + rows.replace(" , \n", " \n"), encoding="utf-8")
    table = open_table(plan(), path)
    assert list(check_table(plan(), table, 2)) == [2, 4, 5]
    assert [block.cells for block in blocks(plan(), table, 2, 3)] == [[["4"], ["5"]]]
    # rows passed over are looked at too
    path.write_text("front seats [kg]\nx\n2\n3\n", encoding="utf-8")
    with pytest.raises(InputRefused):
        list(blocks(plan(), table, 2, 1))


def test_a_name_of_two_lines_is_refused_in_its_own_column(tmp_path: Path) -> None:
    assert findings_of(tmp_path, 'front seats [kg],label\n1,"a\nb"\n2,c\n') == [
        (3, 2, "row 1, column 2 (label)", "a name with a line break", "")
    ]


def test_what_is_swept_comes_with_its_cells_only_where_they_are_asked_for() -> None:
    axes = read_ranges(plan(), ["front seats=100..200 lb", "fuel=10..20 USgal"], [2, 3])
    source = RangeSource(plan(), axes)
    assert (source.header, source.total) == (("front seats [lb]", "fuel [USgal]"), 6)
    (without,) = source.blocks(9)
    assert without.cells == []
    (whole,) = source.blocks(9, with_cells=True)
    assert whole.cells == [[mass, volume] for mass in ("100", "200") for volume in ("10", "15", "20")]
