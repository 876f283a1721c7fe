"""`planner sweep` as a user meets it: pictures, tables, files, a run that is killed and continued, wrong
input.
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import signal
import subprocess
import sys
import time
import tracemalloc
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from planner.plan import plan_file
from planner.quantities.errors import InputRefused
from planner.quantities.units import Display
from planner.sweep.block import Sweeper
from planner.sweep.sweep_ranges import read_ranges
from planner.sweep.sweep_run import Grid, RangeSource, Summary, TableSource, run
from planner.sweep.sweep_table import blocks, check_table, open_table
from planner.sweep.sweeping import compile_sweep
from planner.views.sweep import sweep_csv
from planner.views.sweep.sweep_csv import SweepCsv, partial_of, write_file
from planner.views.sweep.sweep_map import legend, sign_of
from tests.cli import forked

ROOT = Path(__file__).resolve().parents[2]
DEMO = "docs/flights/demo.yaml"
TWO = ("--vary", "front seats=50..220 kg", "--vary", "fuel=0..144 L")


def planner(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return forked.run("sweep", *arguments, env=environment)


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def ignore(_: int) -> None:
    """Nobody listens to the progress."""


@pytest.mark.parametrize("width", ["80", "120"])
def test_the_map_fits_the_page_and_says_what_it_is(width: str) -> None:
    shown = planner(DEMO, *TWO, COLUMNS=width)
    assert shown.returncode == 0
    assert shown.stderr == ""
    assert max(map(len, shown.stdout.splitlines())) <= int(width)
    assert "\x1b" not in shown.stdout
    flat = " ".join(shown.stdout.split())
    wanted = (
        "Invented demonstration data",
        "625 loadings",
        "M mass",
        "A aft limit",
        "The approved flight manual",
        "planned again one by one",
    )
    for words in wanted:
        assert words in flat


def test_colour_is_style_only_and_can_be_turned_off() -> None:
    plain = planner(DEMO, *TWO, COLUMNS="100", NO_COLOR="1", FORCE_COLOR="1").stdout
    coloured = planner(DEMO, *TWO, COLUMNS="100", FORCE_COLOR="1").stdout
    assert "\x1b[" in coloured
    assert "\x1b[3" not in plain
    bare = [re.sub(r"\x1b\[[0-9;]*m", "", text) for text in (plain, coloured)]
    assert bare[0] == bare[1] == planner(DEMO, *TWO, COLUMNS="100").stdout


def test_the_map_shows_the_verdicts_of_its_loadings() -> None:
    plan = plan_file(ROOT / DEMO)
    axes = read_ranges(plan, ["front seats=50..220 kg", "fuel=0..144 L"], [25])
    source, grid, summary = RangeSource(plan, axes), Grid(axes), Summary(2)
    run(compile_sweep(plan, source.targets), source, [grid, summary], ignore)
    text = planner(DEMO, *TWO, COLUMNS="80").stdout
    body = [
        line.split("+ ", 1)[-1].split("| ", 1)[-1]
        for line in text[text.index("fuel [L]\n") :].splitlines()[1:26]
    ]
    assert [len(line) for line in body] == [50] * 25
    for row, line in enumerate(body):
        for column in range(25):
            cell = np.array([column * 25 + 24 - row])
            assert line[2 * column : 2 * column + 2] == 2 * sign_of(grid, cell, 0.005)
    assert summary.by_verdict.sum() == 625
    assert any("mass" in line for line in legend(grid, 0.005, Display()))


def test_further_ranges_are_shown_at_their_worst() -> None:
    plan = plan_file(ROOT / DEMO)
    ranges = ["front seats=100..200 kg", "fuel=60..80 L"]
    two, three = (read_ranges(plan, texts, [6]) for texts in (ranges, [*ranges, "shelf=0..12 kg"]))
    verdicts = []
    for axes in (two, three):
        source, grid = RangeSource(plan, axes), Grid(axes)
        run(compile_sweep(plan, source.targets), source, [grid], ignore)
        verdicts.append(grid.verdict)
    assert verdicts[0].shape == verdicts[1].shape == (36,)
    assert np.all(verdicts[1] == 2)  # 12 kg on the shelf is more than it may carry, whatever the rest
    assert verdicts[0].min() < 2
    shown = planner(DEMO, *TWO, "--vary", "shelf=0..12 kg", "--steps", "6")
    assert "worst over every value of shelf" in " ".join(shown.stdout.split())


def test_one_range_is_drawn_as_curves() -> None:
    shown = planner(
        "docs/flights/tailwheel.yaml", "--vary", "front seat=0..120 kg", "--steps", "30", COLUMNS="80"
    )
    assert shown.returncode == 0
    assert max(map(len, shown.stdout.splitlines())) <= 80
    assert " f" in shown.stdout
    assert " a" in shown.stdout
    assert "margin, mm" in shown.stdout


def test_units_shown_and_given_are_kept_apart() -> None:
    shown = planner(DEMO, "--vary", "front seats=110..480 lb", "--units", "us")
    assert shown.returncode == 0
    assert "margin, in" in shown.stdout
    assert "110 to 480" in shown.stdout
    metric = json.loads(planner(DEMO, "--vary", "front seats=110..480 lb", "--json").stdout)
    kilograms = json.loads(planner(DEMO, "--vary", "front seats=49.8951607..217.7243376 kg", "--json").stdout)
    assert metric["inside"] == kilograms["inside"]
    assert metric["worst"][0]["margin"] == pytest.approx(kilograms["worst"][0]["margin"], abs=1e-6)


def test_json_is_the_contract() -> None:
    result = json.loads(planner(DEMO, *TWO, "--steps", "5,7", "--json").stdout)
    assert result["schema"] == "planner/sweep/1"
    assert result["invented"] is True
    assert result["count"] == 35 == result["inside"] + result["not_shown_inside"] + result["outside"]
    assert [
        (each["name"], each["unit"], each["from"], each["to"], each["steps"]) for each in result["ranges"]
    ] == [("front seats", "kg", 50, 220, 5), ("fuel", "L", 0, 144, 7)]
    assert {each["limits"] for each in result["worst"]} >= {
        "mass",
        "forward",
        "aft",
        "lateral",
        "load",
        "fuel",
    }
    assert result["replanned"]["loadings"] > 0
    assert result["replanned"]["greatest_difference_si"] < 1e-9
    assert len(result["cautions"]) == 6


def test_rows_to_a_file_agree_with_the_summary(tmp_path: Path) -> None:
    out = tmp_path / "out.csv"
    done = planner(DEMO, *TWO, "--steps", "12", "--csv", str(out), "--json")
    assert done.returncode == 0
    summary, rows = json.loads(done.stdout), rows_of(out.read_text())
    assert summary["written"] == [str(out)]
    assert len(rows) == 144
    for key, words in (
        ("inside", "inside"),
        ("not_shown_inside", "not shown inside"),
        ("outside", "outside"),
    ):
        assert sum(row["verdict"] == words for row in rows) == summary[key]
    aft = next(each for each in summary["worst"] if each["limits"] == "aft")
    worst = rows[aft["index"]]
    assert (
        float(worst["aft margin [mm]"])
        == pytest.approx(aft["margin"], abs=1e-6)
        == min(float(row["aft margin [mm]"]) for row in rows)
    )
    assert float(worst["front seats [kg]"]) == pytest.approx(aft["loading"]["front seats"])
    assert not partial_of(out).exists()


def test_arrays_hold_what_the_rows_hold(tmp_path: Path) -> None:
    out, rows_out = tmp_path / "out.npz", tmp_path / "out.csv"
    assert planner(DEMO, *TWO, "--steps", "9", "--npz", str(out)).returncode == 0
    assert planner(DEMO, *TWO, "--steps", "9", "--csv", str(rows_out)).returncode == 0
    rows = rows_of(rows_out.read_text())
    with np.load(out) as arrays:
        aft = list(arrays["groups"]).index("aft")
        assert arrays["margins"][aft] * 1e3 == pytest.approx(
            np.array([float(row["aft margin [mm]"]) for row in rows]), abs=1e-6
        )
        assert arrays["loads"][:, 1] * 1e3 == pytest.approx(
            np.array([float(row["fuel [L]"]) for row in rows]), abs=1e-6
        )
        assert {arrays[name].shape for name in ("masses", "cgs")} == {(4, 81)}, "a row for each state"
        assert {arrays[name].shape for name in ("margins", "uncertainties", "verdicts")} == {
            (len(arrays["groups"]), 81)
        }
        assert list(arrays["names"]) == ["front seats", "fuel"]
        assert any("manual" in caution for caution in arrays["cautions"])
    again = planner(DEMO, *TWO, "--npz", str(out))
    assert again.returncode == 2
    assert "not overwritten" in again.stderr


TABLE = (
    'label,front seats [lb],fuel left [L],fuel right [L]\nsolo,170,31,31\n"two,'
    ' heavy",400,40,40\nempty,0,0,0\n'
)


def test_a_table_comes_back_with_verdicts(tmp_path: Path) -> None:
    table = tmp_path / "in.csv"
    table.write_text(TABLE, encoding="utf-8-sig")
    done = planner(DEMO, "--table", str(table))
    assert done.returncode == 0
    rows = rows_of(done.stdout)
    assert [row["label"] for row in rows] == ["solo", "two, heavy", "empty"]
    assert [row["decided by"] for row in rows] == ["aft", "mass", "aft and fuel and tank"]
    assert "approved flight manual" in done.stderr
    # By hand: 853.4 kg without the two in front (688.4 + 78 + 72 + 15), 400 lb, and 80 L less 4 L of taxi
    # fuel.
    plan = plan_file(ROOT / DEMO)
    assert float(rows[1]["take-off mass [kg]"]) == pytest.approx(
        853.4 + 400 * 0.45359237 + 0.076 * plan.density.density, abs=1e-5
    )


BAD = """label,front seats [lb],fuel left [L],fuel right [L]
a,170 lb,31,31
b,-3,nan,99
c,"1,5",,2
d,1,2
"e
f",1,2,3
g,1_0,1e999,٣
h,15\x1d,\u00a01 ,\t2
"""


def test_every_bad_cell_is_told_with_its_row_and_column(tmp_path: Path) -> None:
    table = tmp_path / "in.csv"
    table.write_text(BAD, encoding="utf-8")
    done = planner(DEMO, "--table", str(table), "--json")
    assert done.returncode == 2
    findings = json.loads(done.stdout)["findings"]
    assert [(each["line"], each["column"], each["code"]) for each in findings] == [
        (2, 2, "table-cell"),
        (3, 2, "table-cell"),
        (3, 3, "table-cell"),
        (3, 4, "table-cell"),
        (4, 2, "table-cell"),
        (4, 3, "table-cell"),
        (5, 4, "table-row"),
        (7, 1, "table-cell"),
        (8, 2, "table-cell"),
        (8, 3, "table-cell"),
        (8, 4, "table-cell"),
        (9, 2, "table-cell"),  # a control character is no space; a spreadsheet's own spaces are
    ]
    assert findings[3]["where"] == "row 2, column 4 (fuel right [L])"
    assert "72 L" in findings[3]["message"]


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "table-empty"),
        (b"front seats [kg]\n", "table-empty"),
        (b"front seats [kg]\n\xff\n", "file-not-utf8"),
        (b'front seats [kg]\n"1\n', "table-unreadable"),
        (b"front seats\n1\n", "table-header"),
        (b"front seats [kg];fuel [L]\n1;2\n", "table-header"),
        (b"label\nx\n", "table-header"),
        (b"front sets [kg]\n1\n", "sweep-unknown"),
        (b"fuel [gal]\n1\n", "quantity-ambiguous-unit"),
        (b"fuel [L],fuel left [L]\n1,1\n", "sweep-twice"),
        (b"front seats 3 [kg]\n1\n", "sweep-seats"),
        (b"front seats [L]\n1\n", "quantity-wrong-dimension"),
    ],
)
def test_a_table_that_can_not_be_used(tmp_path: Path, content: bytes, code: str) -> None:
    path = tmp_path / "in.csv"
    path.write_bytes(content)
    plan = plan_file(ROOT / DEMO)
    with pytest.raises(InputRefused) as refused:
        list(check_table(plan, open_table(plan, path), 8))
    assert [finding.code for finding in refused.value.findings] == [code]


@pytest.mark.parametrize(
    ("texts", "steps", "codes"),
    [
        (["front seats=220..50 kg"], [5], ["sweep-range"]),
        (["front seats=50 kg"], [5], ["sweep-range"]),
        (["front seats=70..80 +/- 2 kg"], [5], ["sweep-range"]),
        (["front seats=50..220"], [5], ["quantity-bare-number"]),
        (["front seats=nan..3 kg"], [5], ["quantity-not-finite"]),
        (["front seats=-1..3 kg"], [5], ["sweep-range"]),
        (["fuel=0..200 L"], [5], ["sweep-overfilled"]),
        (["fuel left=0..73 L"], [5], ["sweep-overfilled"]),
        (["fuel=0..10 gal"], [5], ["quantity-ambiguous-unit"]),
        (["left=0..20 L"], [5], ["sweep-unknown"]),
        (["front seats=50..220 L"], [5], ["quantity-wrong-dimension"]),
        (["front seats=1..2 kg", "front seats 1=0..9 kg"], [5], ["sweep-twice"]),
        (["front seats=1..2 kg"], [1], ["sweep-steps"]),
        (["front seats=1..2 kg", "fuel=0..1 L"], [5, 5, 5], ["sweep-steps"]),
        (["front seats=1..2 kg", "fuel=0..1 L"], [10_000, 10_000], []),
        (["front seats=1..2 kg", "fuel=0..1 L", "shelf=0..1 kg"], [10_000], ["sweep-too-large"]),
        (["baggage=0..1 kg"] * 5, [2], ["sweep-too-large", *["sweep-twice"] * 4]),
    ],
)
def test_ranges_are_read_or_refused_whole(texts: list[str], steps: list[int], codes: list[str]) -> None:
    plan = plan_file(ROOT / DEMO)
    if not codes:
        assert len(read_ranges(plan, texts, steps)) == len(texts)
        return
    with pytest.raises(InputRefused) as refused:
        read_ranges(plan, texts, steps)
    assert [finding.code for finding in refused.value.findings] == codes


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        (*TWO, "--table", "x.csv"),
        (*TWO, "--resume"),
        (*TWO, "--csv", "-", "--json"),
        (*TWO, "--csv", "a", "--npz", "b"),
        (*TWO, "--steps", "many"),
        (*TWO, "--units", "si"),
        ("--table", "/nowhere/x.csv"),
        (*TWO, "--csv", "/nowhere/x.csv"),
    ],
)
def test_options_that_do_not_fit_are_refused_without_a_traceback(arguments: tuple[str, ...]) -> None:
    done = planner(DEMO, *arguments)
    assert done.returncode == 2
    assert "to mend" in done.stderr or json.loads(done.stdout)["findings"]
    assert "Traceback" not in done.stderr


def test_a_file_is_never_overwritten(tmp_path: Path) -> None:
    out = tmp_path / "out.csv"
    out.write_text("mine")
    for extra in ((), ("--resume",)):
        done = planner(DEMO, *TWO, "--steps", "3", "--csv", str(out), *extra)
        assert done.returncode == 2
        assert "not overwritten" in done.stderr
        assert out.read_text() == "mine"


def every(steps: int) -> list[str]:
    """The words for that many values of each of three ranges."""
    ranges = ("front seats=50..220 kg", "rear seats=0..170 kg", "fuel=22..144 L")
    return [*(word for each in ranges for word in ("--vary", each)), "--steps", str(steps)]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The file that a sweep of 3375 rows makes."""
    out = tmp_path_factory.mktemp("whole") / "out.csv"
    assert planner(DEMO, *every(15), "--csv", str(out)).returncode == 0
    return out.read_text()


@pytest.fixture
def short_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Blocks of 1024 rows in the place of 8192: what happens at their ends happens sooner."""
    monkeypatch.setattr(sweep_csv, "Sweeper", partial(Sweeper, rows=1024))


@pytest.mark.usefixtures("short_blocks")
@pytest.mark.parametrize(
    ("rows", "torn"), [(0, 0), (0, 40), (1023, 40), (1024, 0), (1025, 40), (3374, 40), (3375, 0)]
)
def test_a_stopped_sweep_is_continued_to_the_same_file(
    tmp_path: Path, whole: str, rows: int, torn: int
) -> None:
    lines = whole.splitlines(keepends=True)
    text = "".join(lines[: rows + 1]) + ("".join(lines[rows + 1 : rows + 2])[:torn])
    out = tmp_path / "out.csv"
    partial_of(out).write_text(text)
    plan = plan_file(ROOT / DEMO)
    axes = read_ranges(plan, every(15)[1:6:2], [15])
    source = RangeSource(plan, axes)
    table = SweepCsv(compile_sweep(plan, source.targets), source)
    with pytest.raises(InputRefused, match="--resume"):
        write_file(table, out, False, [], ignore)
    summary = Summary(3)
    assert write_file(table, out, True, [summary], ignore) == rows
    assert out.read_text() == whole
    assert summary.count == 3375  # those that stood there already are counted as well
    assert not partial_of(out).exists()


def test_a_killed_sweep_is_continued_to_the_same_file(tmp_path: Path) -> None:
    out, untouched = tmp_path / "out.csv", tmp_path / "untouched.csv"
    assert planner(DEMO, *every(30), "--csv", str(untouched)).returncode == 0
    command = [sys.executable, "-m", "planner", "sweep", DEMO, *every(30), "--csv", str(out)]
    process = subprocess.Popen(
        command,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    until = time.monotonic() + 60
    while time.monotonic() < until and not (
        partial_of(out).exists() and partial_of(out).stat().st_size > 10_000
    ):
        time.sleep(0.002)
    process.send_signal(signal.SIGKILL)
    process.wait()
    if not out.exists():  # else it was quicker than the signal: nothing to continue
        done = planner(DEMO, *every(30), "--csv", str(out), "--resume")
        assert done.returncode == 0
        assert "continued after them" in done.stderr
    assert out.read_text() == untouched.read_text()


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda text: text.replace("front seats [kg]", "rear seats [kg]", 1), "header"),
        (lambda text: text.replace("\n50,0,22,", "\n51,0,22,", 1), "another loading"),
        (lambda text: text.replace("outside", "inside", 1), "answers differ"),
        (lambda text: text + "50,0,22,inside\n", "more rows"),
    ],
)
def test_rows_of_another_sweep_are_not_continued(
    tmp_path: Path, whole: str, spoil: Callable[[str], str], words: str
) -> None:
    out, spoilt = tmp_path / "out.csv", spoil(whole)
    assert spoilt != whole
    partial_of(out).write_text(spoilt)
    done = planner(DEMO, *every(15), "--csv", str(out), "--resume")
    assert done.returncode == 2
    assert words in done.stderr
    assert not out.exists()
    assert partial_of(out).read_text() == spoilt


def test_a_table_is_continued_too(tmp_path: Path) -> None:
    table, out, again = tmp_path / "in.csv", tmp_path / "out.csv", tmp_path / "again.csv"
    table.write_text(TABLE, encoding="utf-8")
    assert planner(DEMO, "--table", str(table), "--csv", str(out)).returncode == 0
    partial_of(again).write_text(out.read_text()[: out.read_text().index("empty,") + 3])
    done = planner(DEMO, "--table", str(table), "--csv", str(again), "--resume")
    assert done.returncode == 0
    assert "2 rows were there already" in done.stderr
    assert again.read_text() == out.read_text()


@pytest.mark.usefixtures("short_blocks")
def test_a_long_table_needs_no_more_memory_than_a_short_one(tmp_path: Path) -> None:
    plan, rows, peaks = plan_file(ROOT / DEMO), 8 * 1024 + 16, list[int]()
    path, out = tmp_path / "in.csv", tmp_path / "out.csv"
    path.write_text(
        "front seats [kg],fuel [L]\n" + "".join(f"{50 + i % 170},{60 + i % 80}\n" for i in range(rows))
    )
    source = TableSource(plan, open_table(plan, path), rows)
    writer = SweepCsv(compile_sweep(plan, source.targets), source)

    def block_done(_: int) -> None:
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.reset_peak()

    tracemalloc.start()
    try:
        write_file(writer, out, False, [Summary(2)], block_done)
    finally:
        tracemalloc.stop()
    assert out.read_bytes().count(b"\n") == rows + 1
    assert len(peaks) == 9
    assert max(peaks[2:]) < 1.1 * peaks[1]  # the first has what is set up once, too


def test_many_loadings_in_block_sized_memory() -> None:
    plan = plan_file(ROOT / "docs/flights/tailwheel.yaml")
    source = RangeSource(plan, read_ranges(plan, ["front seat=50..120 kg", "fuel=30..60 L"], [500]))
    model, summary = compile_sweep(plan, source.targets), Summary(2)
    tracemalloc.start()
    try:
        run(model, source, [summary], ignore)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert summary.count == 250_000
    assert peak < 20_000_000  # bytes; the answers of all loadings would be 35 MB as arrays


def test_a_block_of_a_table_is_as_written(tmp_path: Path) -> None:
    path = tmp_path / "in.csv"
    path.write_text("front seats [lb],fuel [USgal]\n\n100,10\n200,20\n300,30\n")
    plan = plan_file(ROOT / DEMO)
    found = list(blocks(plan, open_table(plan, path), 2, skip=1))
    assert [(block.first, block.cells) for block in found] == [(1, [["200", "20"], ["300", "30"]])]
    assert found[0].loads == pytest.approx(
        np.array([[200 * 0.45359237, 20 * 3.785411784e-3], [300 * 0.45359237, 30 * 3.785411784e-3]])
    )
