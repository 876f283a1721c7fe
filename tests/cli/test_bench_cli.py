"""The density bench from the command line: exit codes, JSON, what a bad sheet is told, and what is never
said.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

import pytest

from planner.__main__ import main
from planner.facts.cautions import ACKNOWLEDGEMENT, CLASSROOM, DENSITY_GATE, SAMPLE
from tests.cli import forked

ROOT = Path(__file__).resolve().parents[2]
FLIGHTS = ROOT / "docs/flights"

GOOD = """\
bottle: 1
id: B1
liquid: avgas-100LL
date: 2026-05-09
cautions_acknowledged: true
marked: 50 mL
empty: 27.41 g
water: 77.21 g
sample: 63.15 g
temperature: 20 degC
"""


class Run:
    """One run of the program in this process: exit code, both streams, and the JSON where there is one."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err
        self.flat = re.sub(r"\s+", " ", out)

    @property
    def json(self) -> Any:
        return json.loads(self.out)


@pytest.fixture
def planner(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Any:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.chdir(tmp_path)

    def run(*arguments: str) -> Run:
        monkeypatch.setattr(sys, "argv", ["planner", *arguments])
        with pytest.raises(SystemExit) as left:
            main()
        caught = capsys.readouterr()
        code = left.value.code
        return Run(code if isinstance(code, int) else 0, caught.out, caught.err)

    return run


def sheet(path: Path, text: str = GOOD) -> str:
    path.write_text(text, encoding="utf-8")
    return path.name


def without(key: str) -> str:
    return re.sub(rf"(?m)^{key}:.*\n", "", GOOD)


def put(key: str, value: str) -> str:
    return re.sub(rf"(?m)^{key}:.*$", f"{key}: {value}", GOOD)


# Marked "common practice, no published source": a bottle marked 50 cm3 with blue leaded avgas, and the same
# with water.
PRACTICE = [
    "--marked",
    "50 cm3",
    "--empty",
    "23.11 g",
    "--sample",
    "59.70 g",
    "--water",
    "74.00 g",
    "--at",
    "20 degC",
]


def test_the_check_of_practice(planner: Any) -> None:
    """Common practice, no published source. By hand: 36.59/50 = 0.7318, 50.89/50 = 1.0178, 36.59/50.89 x
    0.9982 = 0.7177.
    """
    run = planner("density", "bottle", "--liquid", "avgas-100LL", *PRACTICE, "--acknowledge-cautions")
    assert run.code == 0
    assert "the sample would have 0.7318 g/cm3 and the water 1.0178 g/cm3" in run.flat
    assert (
        "No water has that density (+2.07 %): the marking cannot be trusted, or the weighing was disturbed."
        in run.flat
    )
    assert "0.7180 g/cm3" in run.flat
    found = planner(
        "density", "bottle", "--liquid", "avgas-100LL", *PRACTICE, "--acknowledge-cautions", "--json"
    ).json
    assert found["as_read_g_per_cm3"]["sample"] == pytest.approx(0.7318, abs=1e-12)
    assert found["as_read_g_per_cm3"]["water"] == pytest.approx(1.0178, abs=1e-12)
    # 36.59/50.89 x (998.2067 - 1.2) + 1.2, by hand
    assert found["density_kg_per_m3"]["value"] == pytest.approx(718.05, abs=0.01)
    assert "bench-water-not-density" in {finding["code"] for finding in found["findings"]}


def test_fuel_is_refused_without_acknowledgement_and_every_caution_is_shown(planner: Any) -> None:
    run = planner("density", "bottle", "--liquid", "avgas-100LL", *PRACTICE)
    assert run.code == 2
    assert run.out == ""
    assert all(caution in run.err for caution in SAMPLE)
    assert "--acknowledge-cautions: the handling cautions" in run.err
    flagged = planner("density", "bottle", "--liquid", "avgas-100LL", *PRACTICE, "--json")
    assert flagged.code == 2
    assert [finding["code"] for finding in flagged.json["findings"]] == ["bench-cautions"]


def test_the_acknowledgement_is_stored_with_the_record(planner: Any, tmp_path: Path) -> None:
    name = sheet(tmp_path / "b.yaml", without("cautions_acknowledged"))
    assert planner("density", "bottle", name).code == 2
    assert not (tmp_path / "data").exists()
    found = planner("density", "bottle", name, "--acknowledge-cautions", "--json").json
    assert found["cautions_acknowledged"]["words"] == ACKNOWLEDGEMENT
    assert found["cautions_acknowledged"]["given"] == "beside the sheet"
    (kept,) = (tmp_path / "data/bottles").iterdir()
    assert json.loads(kept.read_text())["calibration"]["cautions_acknowledged"]["words"] == ACKNOWLEDGEMENT


def test_cautions_stand_first_and_last(planner: Any, tmp_path: Path) -> None:
    out = planner("density", "bottle", sheet(tmp_path / "b.yaml")).flat
    places = [out.index(caution) for caution in SAMPLE]
    assert places == sorted(places)
    assert places[-1] < out.index("DENSITY OF THE SAMPLE")
    assert out.rstrip(" ━\n").endswith(DENSITY_GATE)
    shown = planner("density", "bottle", "--cautions")
    assert shown.code == 0
    assert all(caution in shown.flat for caution in (*SAMPLE, CLASSROOM, ACKNOWLEDGEMENT))


@pytest.mark.parametrize(
    ("liquid", "sample", "expected"),
    [
        ("water", 77.21, 998.21),
        ("salt water", 79.0, 1034.04),
        ("cooking oil", 73.1, 915.92),
        ("lamp oil", 67.2, 797.80),
    ],
)
def test_classroom_liquids_need_no_acknowledgement(
    planner: Any, liquid: str, sample: float, expected: float
) -> None:
    """(sample - 27.41)/49.80 x (998.2067 - 1.2) + 1.2, by hand."""
    options = [
        "--empty",
        "27.41 g",
        "--water",
        "77.21 g",
        "--sample",
        f"{sample:.2f} g",
        "--at",
        "20 degC",
        "--liquid",
        liquid,
    ]
    run = planner("density", "bottle", *options)
    assert run.code == 0
    assert CLASSROOM in run.flat
    assert run.flat.rstrip(" ━").endswith(CLASSROOM)
    assert "jet fuel" not in run.flat
    found = planner("density", "bottle", *options, "--json").json
    assert found["density_kg_per_m3"]["value"] == pytest.approx(expected, abs=0.01)
    assert (found["density_15c_kg_per_m3"]["value"] is None) == (liquid != "lamp oil")
    assert found["cautions_acknowledged"] is None


COMMANDS = [
    ["bottle", str(FLIGHTS / "bottle-b07.yaml"), "--working"],
    ["bottle", str(FLIGHTS / "bottle-classroom.yaml"), "--working"],
    ["hydrometer", str(FLIGHTS / "hydrometer-h02.yaml"), "--working"],
    ["bottles"],
    ["correct", "--table", "--grade", "avgas-100LL"],
]


@pytest.mark.parametrize(
    "command",
    COMMANDS,
    ids=lambda command: (
        "-".join(Path(each).stem for each in command) if isinstance(command, list) else command
    ),
)
@pytest.mark.parametrize("columns", ["80", "120"])
def test_no_reassurance_and_no_broken_lines(
    planner: Any, monkeypatch: pytest.MonkeyPatch, command: list[str], columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    run = planner("density", *command)
    assert run.code == 0
    assert run.err == ""
    assert not re.search(r"\b(ok|clean|identified)\b", run.out, re.IGNORECASE)
    # A path is not broken at any width, so that it can be copied.
    assert max(len(line) for line in run.out.splitlines() if "/" not in line) <= int(columns)
    as_json = planner("density", *command, "--json")
    assert not re.search(r'"[^"]*\b(ok|clean|identified)\b', as_json.out, re.IGNORECASE)
    assert as_json.json["schema"].startswith("planner/")


def test_json_holds_what_the_terminal_says(planner: Any) -> None:
    path = str(FLIGHTS / "bottle-b07.yaml")
    found, text = (
        planner("density", "bottle", path, "--json", "--working").json,
        planner("density", "bottle", path, "--working").flat,
    )
    assert found["schema"] == "planner/bottle/1"
    for sentence in [*found["sentences"], *found["values_assumed"], *found["working"], *found["cautions"]]:
        assert sentence.lower() in text.lower()
    assert found["invented"] is True
    assert sum(line["share_percent"] for line in found["budget_15c"]) == pytest.approx(100)
    assert {line["input"] for line in found["budget_15c"]} >= {
        "empty",
        "sample",
        "water",
        "thermometer",
        "petroleum table",
        "air density",
        "glass expansion",
    }
    volume, error = found["in_tanks"]["volume_l"] / 1e3, found["marked_volume_error_kg"]["value"]
    assert volume == pytest.approx(
        0.144
    )  # two tanks of 76 L with 4 L unusable each, the profile's own figures
    assert error == pytest.approx(
        (found["from_marked_volume_kg_per_m3"]["value"] - found["density_kg_per_m3"]["value"]) * volume
    )


def test_a_contradicted_sample_ends_with_1(planner: Any, tmp_path: Path) -> None:
    jet = planner("density", "bottle", sheet(tmp_path / "jet.yaml", put("sample", "67.20 g")))
    assert jet.code == 1
    assert "too heavy for Avgas 100LL" in jet.flat
    batch = planner(
        "density", "bottle", sheet(tmp_path / "batch.yaml", GOOD + "batch: {density: 715 kg/m3}\n")
    )
    assert batch.code == 1
    assert "differs from the declared batch by" in batch.flat
    assert "The sample differs from" in batch.flat
    same = planner("density", "bottle", sheet(tmp_path / "same.yaml", GOOD + "batch: {density: 721 kg/m3}\n"))
    assert same.code == 0
    assert "The sample is consistent with the declared batch within ±" in same.flat
    assert "The smallest part of jet fuel this comparison could show" in same.flat
    assert "A band cannot show 5 % of jet fuel" in same.flat


def test_options_and_sheet_agree(planner: Any, tmp_path: Path) -> None:
    by_sheet = planner("density", "bottle", sheet(tmp_path / "b.yaml"), "--json").json
    options = [
        "--id",
        "B1",
        "--liquid",
        "avgas-100LL",
        "--date",
        "2026-05-09",
        "--marked",
        "50 mL",
        "--empty",
        "27.41 g",
        "--water",
        "77.21 g",
    ]
    by_options = planner(
        "density",
        "bottle",
        *options,
        "--sample",
        "63.15 g",
        "--at",
        "20 degC",
        "--acknowledge-cautions",
        "--json",
    ).json
    assert "already" in by_options["kept"], "the same weighing, typed in twice, is one calibration"
    for key in by_sheet.keys() - {"path", "flight_line", "kept", "cautions_acknowledged", "findings"}:
        assert by_options[key] == by_sheet[key], key


BAD: list[tuple[str, str, str]] = [
    (without("empty"), "'empty' is missing", "1:1"),
    (put("empty", "27.41 kg"), "did you mean '27.41 g'", "7:8"),
    (
        put("water", "{readings: [[30 s, 77 kg], [60 s, 77 kg], [90 s, 77 kg], [120 s, 77 kg]]}"),
        "and its liquid are so heavy",
        "8:8",
    ),
    (GOOD + "tared: true\n", "needed one of the two", "7:8"),
    (put("empty", "27.41"), "27.41 has no unit", "7:8"),
    (put("empty", "27.41 mL"), "is a volume", "7:8"),
    (put("empty", "-1 g"), "is too small here", "7:8"),
    (put("empty", "0 g"), "the empty bottle has no mass", "7:8"),
    (put("sample", "27.40 g"), "not heavier than the empty one", "9:9"),
    (put("water", "20 g"), "not heavier than the empty one", "8:8"),
    (put("marked", "0 mL"), "the bottle holds nothing", "6:9"),
    (put("marked", "50 gal"), "not one exact unit", "6:9"),
    (put("temperature", "120 degC"), "no temperature of", "10:14"),
    (put("temperature", "20 C"), "not one exact unit", "10:14"),
    (without("temperature"), "'sample_temperature' is missing", "1:1"),
    (GOOD + "sample_temperature: 20 degC\n", "both given", "11:21"),
    (put("liquid", "avgas-100LI"), "did you mean 'avgas-100LL'?", "3:9"),
    (put("liquid", "cooking oli"), "did you mean 'cooking oil'?", "3:9"),
    (put("cautions_acknowledged", "false"), "are not acknowledged", "5:24"),
    (put("cautions_acknowledged", "yes"), "needed true or false", "5:24"),
    (put("id", "007"), "put it in quotes", "2:5"),
    (put("date", "2026-02-30"), "is not a date", "4:7"),
    (GOOD + "glas: soda-lime\n", "did you mean 'glass'?", "11:1"),
    (GOOD + "glass: crystal\n", "needed 'borosilicate' or 'soda-lime'", "11:8"),
    (GOOD + "air: {temperature: 20 degC}\n", "pressure at the place, or the altitude", "11:6"),
    (GOOD + "air: {altitude: 30 km, temperature: 20 degC}\n", "outside -2000 to 11000 m", "11:6"),
    (
        GOOD + "calibrated: {volume: 49.9 mL, date: 2026-01-01}\n",
        "both by water and by an earlier calibration",
        "11:13",
    ),
    (GOOD + "batch: {density: 7.2 kg/L}\n", "has no density at 15 degC", "11:18"),
    (GOOD + "aircraft: thornlea-t5\n", "did you mean 'thornlea-t4'?", "11:11"),
    (GOOD + "thermometer: -0.3 degC\n", "negative uncertainty", "11:14"),
    (
        put("sample", "{closed: 0 s, readings: [[30 s, 63.15 g], [60 s, 63.15 g]]}"),
        "cannot show whether the loss is steady",
        "9:33",
    ),
    (put("sample", "{readings: [[30 s, 63.15 g], [20 s, 63.15 g]]}"), "does not come after row 1", "9:20"),
    (put("sample", "{closed: 0 s}"), "one reading or one series", "9:9"),
    (put("liquid", "water") + "batch: {density: 998 kg/m3}\n", "no batch to be compared with", "11:8"),
    (without("marked").replace("water: 77.21 g\n", ""), "nothing says how much the bottle holds", "1:1"),
    (GOOD + "empty: 27 g\n", "given twice", "11:1"),
    (put("marked", "50 m3"), "is no density bottle", "6:9"),
    (put("sample", "63.15 kg"), "which none for this bench has", "9:9"),
    (GOOD + "balance: {resolution: 10 kg}\n", "measures nothing", "7:8"),
    (GOOD + "thermometer: 30 K\n", "unsure by 30 K measures nothing", "11:14"),
    ("hydrometer: 1\n", "this is not a bottle file", "1:1"),
]


@pytest.mark.parametrize(
    ("text", "message", "place"), BAD, ids=[message[:30] + place for _, message, place in BAD]
)
def test_bad_sheets(planner: Any, tmp_path: Path, text: str, message: str, place: str) -> None:
    run = planner("density", "bottle", sheet(tmp_path / "bad.yaml", text))
    assert run.code == 2
    assert run.out == ""
    told = [line for line in run.err.splitlines() if message in line]
    assert told, run.err
    assert told[0].startswith(f"bad.yaml:{place}: "), told[0]
    assert "Traceback" not in run.err
    as_json = planner("density", "bottle", "bad.yaml", "--json")
    assert as_json.code == 2
    assert any(
        message.rstrip("'") in f"{finding['message']} {finding['needed']} {finding['hint']}"
        for finding in as_json.json["findings"]
    )


def test_everything_wrong_is_told_at_once(planner: Any, tmp_path: Path) -> None:
    text = (
        put("sample", "20 g").replace("marked: 50 mL", "marked: 0 mL").replace("true", "false")
        + "air: {altitude: 99 km, temperature: 20 degC}\naircraft: nobody\n"
    )
    codes = [
        finding["code"]
        for finding in planner("density", "bottle", sheet(tmp_path / "bad.yaml", text), "--json").json[
            "findings"
        ]
    ]
    assert codes == [
        "bench-cautions",
        "bench-no-volume",
        "bench-nothing-in-bottle",
        "bench-air-density",
        "aircraft-not-found",
    ]


HYDROMETER = [
    "--liquid",
    "avgas-100LL",
    "--reading",
    "0.7165 kg/L",
    "--at",
    "18.5 degC",
    "--acknowledge-cautions",
]


@pytest.mark.parametrize(
    ("options", "message", "place"),
    [
        (HYDROMETER, "'glass_correction' is missing", "--correct-glass"),
        (
            ["--correct-glass", *HYDROMETER[2:], "--liquid", "cooking oil"],
            "cannot be moved to 15 degC",
            "--liquid",
        ),
        (
            [*HYDROMETER, "--correct-glass", "--reading", "7.165 kg/L"],
            "no hydrometer for fuel shows",
            "--reading",
        ),
        (
            [*HYDROMETER, "--correct-glass", "--reading", "0.60 kg/L"],
            "has no density at 15 degC",
            "--reading",
        ),
        (
            [*HYDROMETER, "--correct-glass", "--reference", "150 degC"],
            "no hydrometer's scale is right at",
            "--reference",
        ),
        ([*HYDROMETER, "--correct-glass", "--division", "1 kg/L"], "measures nothing", "--division"),
        ([*HYDROMETER, "--correct-glass", "--meniscus", "0.5 kg/L"], "a meniscus of", "--meniscus"),
        ([*HYDROMETER[:-1], "--correct-glass"], "are not acknowledged", "--acknowledge-cautions"),
        ([], "no sheet is given", "FILE"),
    ],
)
def test_bad_hydrometer_options(planner: Any, options: list[str], message: str, place: str) -> None:
    run = planner("density", "hydrometer", *options)
    assert run.code == 2
    assert message in run.err
    assert f"{place}: " in run.err
    assert ":1:1" not in run.err


def test_hydrometer_by_hand(planner: Any) -> None:
    """1 - 2.3e-5 x 3.5 - 2e-8 x 3.5^2 = 0.999919255 (ASTM D1250 hydrometer correction, second-hand copy):
    716.5 -> 716.442.
    """
    found = planner("density", "hydrometer", *HYDROMETER, "--correct-glass", "--json").json
    assert found["density_kg_per_m3"]["value"] == pytest.approx(716.5 * 0.999919255, abs=1e-6)
    bare = planner("density", "hydrometer", *HYDROMETER, "--no-correct-glass", "--json").json
    assert bare["density_kg_per_m3"]["value"] == 716.5


def test_a_sheet_and_options_together_are_refused(planner: Any, tmp_path: Path) -> None:
    run = planner("density", "bottle", sheet(tmp_path / "b.yaml"), "--empty", "3 g")
    assert run.code == 2
    assert run.err.startswith("--empty: ")


def test_nominal_volume_alone_is_loud(planner: Any, tmp_path: Path) -> None:
    run = planner("density", "bottle", sheet(tmp_path / "b.yaml", without("water")))
    assert run.code == 0
    assert "b.yaml:6:9: marked: THE VOLUME MARKED ON THE BOTTLE IS NOT A MEASUREMENT" in run.flat
    found = planner("density", "bottle", "b.yaml", "--json").json
    assert found["density_kg_per_m3"]["standard_uncertainty"] / found["density_kg_per_m3"][
        "value"
    ] == pytest.approx(0.01, rel=0.01)
    assert found["kept"] == ""
    assert not (tmp_path / "data").exists()


def test_calibrations_are_kept_listed_and_compared(planner: Any, tmp_path: Path) -> None:
    assert "None yet" in planner("density", "bottles").out
    first = planner("density", "bottle", sheet(tmp_path / "one.yaml"))
    assert "is kept in" in first.flat
    assert "was kept already" in planner("density", "bottle", "one.yaml").flat
    later = GOOD.replace("2026-05-09", "2026-06-01").replace("77.21", "77.29")
    second = planner("density", "bottle", sheet(tmp_path / "two.yaml", later), "--no-keep")
    assert "THE VOLUME HAS CHANGED BY +0.080 mL since the calibration of 2026-05-09" in second.flat
    assert len(list((tmp_path / "data/bottles").iterdir())) == 1
    planner("density", "bottle", "two.yaml")
    found = planner("density", "bottles", "--json").json
    (bottle,) = found["bottles"]
    assert [each["date"] for each in bottle["calibrations"]] == ["2026-05-09", "2026-06-01"]
    assert bottle["spread_ml"] == pytest.approx(
        0.0802, abs=1e-4
    )  # 0.08 g over the 0.9970 g/cm3 by which water outweighs air
    (tmp_path / "data/bottles/note.json").write_text("{")
    listed = planner("density", "bottles")
    assert listed.code == 1, "the last calibration moved by more than U"
    assert "note.json:1:1:skipped" in re.sub(
        r"\s+", "", listed.out
    )  # a long folder name is broken to fit the page
    assert (tmp_path / "data/bottles/note.json").read_text() == "{"


def test_a_calibration_that_moved_is_not_offered_until_one_is_void(planner: Any, tmp_path: Path) -> None:
    planner("density", "bottle", sheet(tmp_path / "one.yaml"))
    later = GOOD.replace("2026-05-09", "2026-06-01").replace("77.21", "77.31")
    moved = planner("density", "bottle", sheet(tmp_path / "two.yaml", later))
    assert moved.code == 1
    assert "two.yaml:8:8: water: the volume moved by +0.100 mL, more than U" in moved.flat.split("NOTICES")[1]
    assert planner("density", "bottle", "two.yaml", "--json").json["flight_line"] is None
    listed = planner("density", "bottles")
    assert listed.code == 1
    assert "calibrated:" not in listed.flat
    assert "the volume moved by +0.100 mL" in listed.flat.split("NOTICES")[1]
    rows = planner("density", "bottles", "--json").json["bottles"][0]["calibrations"]
    number = rows[1]["digest"][:8]
    assert [
        each["outside"] for each in planner("density", "bottles", "--json").json["bottles"][0]["chart"]
    ] == [False, True]
    assert "X beyond the limits" in listed.flat
    assert planner("density", "bottles", "--chart", "B1", "--out", "b1.svg").code == 0
    assert (tmp_path / "b1.svg").read_text().startswith("<svg ")
    assert planner("density", "bottles", "--chart", "B2", "--out", "b2.svg").code == 2
    assert planner("density", "bottles", "--void", number).code == 2, "a reason is needed"
    assert planner("density", "bottles", "--void", "00000000", "--why", "x").code == 2
    gone = planner("density", "bottles", "--void", number, "--why", "a bubble in the water")
    assert gone.code == 0
    assert "a bubble in the water" in gone.flat
    assert "volume: 49.9420" in gone.flat, "the earlier one is offered again"
    assert planner("density", "bottles", "--void", number, "--why", "again").code == 2
    assert "is void since" in planner("density", "bottle", "two.yaml").flat
    # a third weighing is compared with the one that counts, not with the void one
    third = planner(
        "density",
        "bottle",
        sheet(tmp_path / "three.yaml", GOOD.replace("2026-05-09", "2026-07-01").replace("77.21", "77.22")),
        "--json",
    )
    assert third.code == 0
    assert third.json["change_since_last"]["last"] == "2026-05-09"
    # a third that agrees with the second shows that the bottle did change: the new volume is offered
    (tmp_path / "data/bottles").rename(tmp_path / "data/old")
    for name, water, day in (
        ("a", "77.21", "2026-05-09"),
        ("b", "77.31", "2026-06-01"),
        ("c", "77.32", "2026-06-02"),
    ):
        planner(
            "density",
            "bottle",
            sheet(tmp_path / f"{name}.yaml", GOOD.replace("77.21", water).replace("2026-05-09", day)),
        )
    assert planner("density", "bottles").code == 0


def test_swapped_readings_end_with_1_and_are_not_kept(planner: Any, tmp_path: Path) -> None:
    swapped = GOOD.replace("77.21 g", "63.15 g").replace("sample: 63.15", "sample: 77.21")
    run = planner("density", "bottle", sheet(tmp_path / "s.yaml", swapped), "--json")
    assert run.code == 1
    assert run.json["contradicted"] is True
    assert run.json["density_kg_per_m3"]["value"] == pytest.approx(1390.4, abs=0.1)
    assert "not kept" in run.json["kept"]
    assert not (tmp_path / "data").exists()


def test_a_tared_balance_gives_the_same_density_and_says_what_is_lost(planner: Any, tmp_path: Path) -> None:
    plain = planner("density", "bottle", sheet(tmp_path / "a.yaml"), "--json", "--no-keep").json
    text = (
        put("water", "49.80 g")
        .replace("sample: 63.15 g", "sample: 35.74 g")
        .replace("empty: 27.41 g", "tared: true")
    )
    tared = planner("density", "bottle", sheet(tmp_path / "b.yaml", text), "--json")
    assert tared.code == 0
    found = tared.json
    assert found["density_kg_per_m3"]["value"] == pytest.approx(plain["density_kg_per_m3"]["value"], rel=1e-9)
    assert found["density_kg_per_m3"]["standard_uncertainty"] == pytest.approx(
        plain["density_kg_per_m3"]["standard_uncertainty"], rel=1e-3
    )
    assert [each["code"] for each in found["findings"]] == ["bench-tared"]
    assert "empty" not in planner("density", "bottles", "--json").json["bottles"][0]["line"]


BY_OPTIONS = [
    "--liquid",
    "avgas-100LL",
    "--empty",
    "27.41 g",
    "--water",
    "77.21 g",
    "--sample",
    "63.15 g",
    "--at",
    "20 degC",
    "--acknowledge-cautions",
]


def test_readings_by_options_give_the_line_for_a_flight_and_are_kept_as_a_sheet(planner: Any) -> None:
    by_options = planner("density", "bottle", *BY_OPTIONS, "--json").json
    found = by_options["density_kg_per_m3"]
    assert (
        by_options["flight_line"]
        == f"density: {{measured: {found['value']:.2f} +/- {found['standard_uncertainty']:.2f} kg/m3, at: 20"
        " +/- 0.5 degC}"
    )
    kept = planner("density", "bottle", *BY_OPTIONS, "--altitude", "420 m", "--keep", "mine.yaml")
    assert kept.code == 0
    assert "density: {bottle: mine.yaml}" in kept.flat
    again = planner("density", "bottle", "mine.yaml", "--json").json
    assert again["density_kg_per_m3"]["value"] == pytest.approx(found["value"], abs=0.1)
    assert planner("density", "bottle", *BY_OPTIONS, "--keep", "mine.yaml").code == 2, (
        "an existing file is never overwritten"
    )
    assert planner("density", "bottle", "mine.yaml", "--keep", "other.yaml").code == 2


def test_altitude_or_pressure_alone_is_enough(planner: Any) -> None:
    for air in (["--altitude", "420 m"], ["--pressure", "965 hPa"]):
        run = planner("density", "bottle", *BY_OPTIONS, *air, "--json")
        assert run.code == 0
        assert any(
            "temperature of the air: that of the sample, 20 degC" in each
            for each in run.json["values_assumed"]
        )


def test_findings_about_options_name_the_option_and_a_value(planner: Any) -> None:
    run = planner(
        "density",
        "bottle",
        "--liquid",
        "avgas-100LL",
        "--sample",
        "63.15",
        "--water",
        "77.21 g",
        "--acknowledge-cautions",
    )
    assert run.code == 2
    assert "--empty: 'empty' is missing; needed --empty '27.41 g', or --tared" in run.err
    assert re.search(
        r"^--sample: '63.15' has no unit; needed a mass such as --sample '63.15 g'", run.err, re.MULTILINE
    )
    assert not re.search(r":\d+:\d+:", run.err)
    run = planner("density", "bottle", *BY_OPTIONS[:-3], "--acknowledge-cautions")
    assert (
        "--sample-at: 'sample_temperature' is missing; needed --sample-at '20.0 degC'; or --at '20 degC'"
        in run.err
    )


@pytest.mark.parametrize(
    ("kind", "filled"),
    [
        (
            "bottle",
            {
                "id": "B1",
                "liquid": "lamp oil",
                "empty": "27.41 g",
                "water": "77.87 g",
                "sample": "67.42 g",
                "temperature": "19 degC",
            },
        ),
        (
            "hydrometer",
            {
                "id": "H1",
                "liquid": "lamp oil",
                "reading": "0.7930 kg/L",
                "temperature": "18.5 degC",
                "glass_correction": "true",
            },
        ),
    ],
)
def test_an_empty_sheet_names_what_it_needs_and_works_once_filled_in(
    planner: Any, tmp_path: Path, kind: str, filled: dict[str, str]
) -> None:
    assert planner("density", kind, "--blank", "new.yaml").code == 0
    assert planner("density", kind, "--blank", "new.yaml").code == 2, "an existing file is never overwritten"
    bare = planner("density", kind, "new.yaml", "--json")
    assert bare.code == 2
    assert {"id", "liquid"} < {finding["where"] for finding in bare.json["findings"]} <= set(filled)
    text = (tmp_path / "new.yaml").read_text()
    for key, value in filled.items():
        text = re.sub(rf"^{key}: ", f"{key}: {value}   ", text, flags=re.MULTILINE)
    assert planner("density", kind, sheet(tmp_path / "full.yaml", text)).code == 0
    optional = "\n".join(
        line.removeprefix("# ") if re.match(r"# (?!tared|calibrated|aircraft)\w+: ", line) else line
        for line in text.splitlines()
    )
    assert planner("density", kind, sheet(tmp_path / "all.yaml", optional)).code in (0, 1), (
        "what stands behind a # may be taken as it is"
    )


def test_the_line_that_bottles_prints_can_be_used(planner: Any, tmp_path: Path) -> None:
    by_water = planner("density", "bottle", sheet(tmp_path / "b.yaml"), "--json").json
    line = re.search(r"calibrated: \{.*?\}", planner("density", "bottles").flat)
    assert line is not None
    again = planner(
        "density", "bottle", sheet(tmp_path / "c.yaml", re.sub("water: .*", line[0], GOOD)), "--json"
    ).json
    assert again["volume_from"] == "known volume"
    assert again["density_kg_per_m3"]["value"] == pytest.approx(
        by_water["density_kg_per_m3"]["value"], abs=0.001
    )


def test_table(planner: Any) -> None:
    """6.0 lb/USgal is the grade's standard figure (FAA-H-8083-30 ch. 4); at 15 degC the table must give it
    back.
    """
    found = planner("density", "correct", "--grade", "avgas-100LL", "--table", "--json").json
    row = next(row for row in found["rows"] if row["temperature_c"] == 15)
    assert row["lb_per_usgal"] == pytest.approx(6.0)
    assert row["lb_per_impgal"] == pytest.approx(6.0 * 4.54609 / 3.785411784)
    assert row["volume_correction_factor"] == 1.0
    densities = [row["kg_per_m3"] for row in found["rows"]]
    assert densities == sorted(densities, reverse=True)
    own = planner("density", "correct", "0.7102 kg/L", "--at", "20 degC", "--table", "--json").json
    assert next(row for row in own["rows"] if row["temperature_c"] == 20)["kg_per_l"] == pytest.approx(0.7102)
    text = planner("density", "correct", "--grade", "avgas-100LL", "--table").out
    assert all(unit in text for unit in ("kg/L", "lb/USgal", "lb/impgal"))
    assert sum("*" in line for line in text.splitlines()) > 5
    assert planner("density", "correct", "--table").code == 2
    assert planner("density", "correct", "--grade", "avgas-100LL", "--at", "20 degC").code == 2
    assert planner("density", "correct", "500 kg/m3", "--table").code == 2


@pytest.mark.parametrize("extra", [[], ["--json"]])
def test_as_a_whole_process_in_a_pipe(tmp_path: Path, extra: list[str]) -> None:
    words, env = ("density", "bottle", "-", *extra), {"PLANNER_DATA": str(tmp_path / "data"), "NO_COLOR": "1"}
    run = forked.run(*words, folder=tmp_path, given=GOOD, env=env, real=True)
    assert run.returncode == 0
    assert run.stderr == ""
    assert "\x1b" not in run.stdout
    broken = forked.run(*words, folder=tmp_path, given=GOOD.replace("g\n", "\n"), env=env)
    assert broken.returncode == 2
    assert "Traceback" not in broken.stderr + broken.stdout
    assert "<stdin>" in broken.stderr + broken.stdout
