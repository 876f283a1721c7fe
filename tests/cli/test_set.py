"""`--set` and `--save`: a flight changed on the command line, told first, refused with its option, saved as
it was planned.
"""

from __future__ import annotations

import json
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.app.common import BAD_INPUT, INSIDE, reader, refuse
from planner.plan import plan_file
from planner.quantities.errors import InputRefused
from planner.records.document import parse

ROOT = Path(__file__).parents[2]
FLIGHTS = ROOT / "docs/flights"
DEMO = str(FLIGHTS / "demo.yaml")
# A whole flight without a file; `full` and each phase by its name.
ALONE = [
    f"--set={each}"
    for each in (
        "category=normal",
        "rules=us-vfr-day",
        "grade=avgas-100LL",
        "temperature=20 degC",
        "fuel=full",
        "front seats=[80 kg, 70 kg]",
        "taxi=4 L",
        "cruise=45 min",
    )
]


def run(*arguments: str, stdin: str | None = None) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, list(arguments), input=stdin, env={"COLUMNS": "100", "NO_COLOR": "1"})
    if not isinstance(done.exception, InputRefused):
        return done.exit_code, done.stdout, done.stderr
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):  # as the program itself tells it
        code = refuse(done.exception, "--json" in arguments, reader(arguments))
    return code, done.stdout + out.getvalue(), done.stderr + err.getvalue()


def data(*arguments: str) -> tuple[int, dict[str, Any]]:
    code, text, _ = run(*arguments, "--json")
    return code, json.loads(text)


def flat(text: str) -> str:
    return " ".join(text.split())


def test_a_changed_flight_is_the_file_with_the_figures_typed_in(tmp_path: Path) -> None:
    text = Path(DEMO).read_text(encoding="utf-8")
    by_hand = tmp_path / "by-hand.yaml"
    changed = text.replace("78 kg, 72 kg", "78 kg, 170 lb").replace("left: 31 L", "left: 15 USgal")
    by_hand.write_text(changed.replace("temperature: 22 degC", "temperature: 30 degC"), encoding="utf-8")
    settings = ["--set", "rear seats 2=170 lb", "--set", "fuel.left=15 USgal", "--set=temperature=30 degC"]
    code, found = data("flight", DEMO, *settings)
    again, expected = data("flight", str(by_hand))
    assert code == again
    for key in ("states", "fuel", "density", "burn", "items", "load_limits", "verdict"):
        assert found[key] == expected[key], key
    assert [(each["where"], each["from"], each["to"]) for each in found["changed"]] == [
        ("load > rear seats > 2", "72 kg", "170 lb"),
        ("fuel > tanks > left", "31 L", "15 USgal"),
        ("fuel > temperature", "22 degC", "30 degC"),
    ]


def test_what_was_changed_is_told_first() -> None:
    for command in ("flight", "remedy"):
        _, text, _ = run(command, str(FLIGHTS / "local-solo.yaml"), "--set", "seats 1=70 kg")
        lines = [line.strip() for line in text.splitlines() if line.strip()]
        assert lines[:2] == ["CHANGED FOR THIS PLAN", "- load > seats > 1: 70 kg (was 68 kg)"], command
    assert "CHANGED" not in run("flight", DEMO)[1]


def test_full_and_empty_are_the_usable_capacity_and_nothing() -> None:
    # Tanks of 76 L with 4 L unusable each.
    assert data("flight", DEMO, "--set", "fuel=full")[1]["fuel"]["aboard_l"] == pytest.approx(144.0)
    assert data("flight", "thornlea-t4", *ALONE, "--set", "fuel.left=empty")[1]["fuel"][
        "aboard_l"
    ] == pytest.approx(72.0)


@pytest.mark.parametrize("order", [1, -1])
def test_a_whole_is_set_before_its_parts(order: int) -> None:
    settings = ["--set=fuel=full", "--set=fuel.left=20 L"][::order]
    assert data("flight", DEMO, *settings)[1]["fuel"]["aboard_l"] == pytest.approx(92.0)


def test_the_same_figures_whatever_the_command(tmp_path: Path) -> None:
    settings = ["--set", "baggage=20 kg", "--set", "rear seats=", "--set", "front seats=[80 kg]"]
    flight = data("flight", DEMO, *settings)[1]
    sheet = data("sheet", DEMO, str(tmp_path / "out.html"), *settings)[1]
    remedy = data("remedy", DEMO, *settings)[1]
    board = data("board", DEMO, *settings, "--out", str(tmp_path / "board.html"))[1]
    assert {sheet["verdict"], remedy["verdict"], board["verdict"]} == {flight["verdict"]}
    assert sheet["digest"] == flight["digest"], "paper and data of one plan belong together"
    assert sheet["changed"] == remedy["changed"] == board["changed"] == flight["changed"]
    assert "load &gt; baggage: 20 kg (was 15 kg)" in (tmp_path / "out.html").read_text(encoding="utf-8")


def test_a_sweep_runs_over_the_changed_flight(tmp_path: Path) -> None:
    one = data("sweep", DEMO, "--set", "baggage=30 kg", "--vary", "fuel=60..80 L", "--steps", "3")[1]
    typed = tmp_path / "typed.yaml"
    typed.write_text(
        Path(DEMO).read_text(encoding="utf-8").replace("baggage: 15 kg", "baggage: 30 kg"), encoding="utf-8"
    )
    other = data("sweep", str(typed), "--vary", "fuel=60..80 L", "--steps", "3")[1]
    assert one["worst"] == other["worst"]
    assert one["changed"][0]["set"] == "baggage=30 kg"
    # Rows are standard output, so what was changed goes beside them.
    rows = run(
        "sweep", DEMO, "--set", "baggage=30 kg", "--vary", "fuel=60..80 L", "--steps", "3", "--csv", "-"
    )
    assert "was 15 kg" in rows[2]
    assert "was 15 kg" not in rows[1]


def test_everything_wrong_at_once_each_with_its_option() -> None:
    settings = [
        "rear seet 2=60 kg",
        "fuel.left=40",
        "nothing",
        "baggage=3 kgs",
        "contingency=5 %",
        "contingency=6 %",
    ]
    code, out, err = run("flight", DEMO, *(f"--set={each}" for each in settings))
    assert (code, out) == (BAD_INPUT, "")
    lines = err.splitlines()
    assert len(lines) == 6
    for start in ("rear seet 2=60 kg", "fuel.left=40", "nothing", "baggage=3 kgs", "contingency=6 %"):
        assert sum(line.startswith(f"--set {start}: ") for line in lines) == 1, start
    assert "did you mean 'rear seats 2'" in err
    assert "5 things to mend" in lines[-1]


def test_a_key_not_known_is_refused_with_those_that_are_near() -> None:
    findings = data("flight", DEMO, "--set", "temprature=20 degC")[1]["findings"]
    assert [(each["code"], each["path"], each["line"]) for each in findings] == [
        ("key-unknown", "--set temprature=20 degC", 1)
    ]
    assert "'temperature'" in findings[0]["hint"]


def test_what_only_the_plan_finds_names_its_option_too() -> None:
    code, found = data("flight", DEMO, "--set", "fuel.left=40 USgal")
    assert code == BAD_INPUT
    assert [(each["code"], each["path"]) for each in found["findings"]] == [
        ("tank-overfilled", "--set fuel.left=40 USgal")
    ]
    # And a notice of the plan: the fuel of a full tank that warms.
    notices = data("flight", DEMO, "--set", "fuel=full")[1]["findings"]
    assert {each["path"] for each in notices if each["code"] == "fuel-may-vent"} == {"--set fuel=full"}


def test_a_flight_without_a_file(tmp_path: Path) -> None:
    code, found = data("flight", "thornlea-t4", *ALONE)
    assert code == INSIDE
    assert found["aircraft"]["name"] == "Thornlea T4"
    assert found["fuel"]["aboard_l"] == pytest.approx(144.0)
    # 4 L of taxi, 45 min of 33 L/h, and 30 min of it as reserve.
    assert found["fuel"]["required_l"] == pytest.approx(4 + 33 * 0.75 + 16.5)
    _, text, _ = run("flight", "thornlea-t4", *ALONE)
    assert flat(text).startswith(
        "SET FOR THIS PLAN, WITHOUT A FLIGHT FILE - category: normal - rules: us-vfr-day"
    )
    assert "not set: the grade's standard density with its band" in flat(text)
    own = tmp_path / "own.yaml"
    own.write_bytes((ROOT / "aircraft_profiles/thornlea-t4.yaml").read_bytes())
    assert data("flight", str(own), *ALONE)[1]["states"] == found["states"]


@pytest.mark.parametrize("left_out", ["category", "rules", "grade", "temperature", "fuel", "cruise"])
def test_nothing_is_guessed_without_a_file(left_out: str) -> None:
    given = [
        each
        for each in ALONE
        if not each.startswith((f"--set={left_out}=", "--set=taxi" if left_out == "cruise" else "-" * 9))
    ]
    code, found = data("flight", "thornlea-t4", *given)
    assert code == BAD_INPUT
    assert [(each["code"], each["path"]) for each in found["findings"]] == [("set-missing", "--set")]
    asked = {"cruise": "trip"}.get(left_out, left_out)
    assert f"'{asked}'" in found["findings"][0]["message"]


def test_what_is_missing_and_what_is_wrong_is_told_together() -> None:
    found = data(
        "flight", "thornlea-t4", "--set", "cruise=45 min", "--set", "baggage=3 kgs", "--set", "buggage=3 kg"
    )[1]["findings"]
    assert [each["code"] for each in found].count("set-missing") == 5
    assert {each["path"] for each in found if each["code"] != "set-missing"} == {
        "--set baggage=3 kgs",
        "--set buggage=3 kg",
    }


def test_an_aircraft_alone_is_no_flight() -> None:
    code, found = data("flight", "thornlea-t4")
    assert (code, found["findings"][0]["code"]) == (BAD_INPUT, "set-missing")


@pytest.mark.parametrize(
    ("file", "settings"),
    [
        (
            "demo",
            [
                "rear seats 2=170 lb",
                "fuel=full",
                "fuel.left=15 USgal",
                "temperature=30 degC",
                "trip.3=25 min",
                "shelf=3 kg",
            ],
        ),
        ("demo", ["density.fixed=6.0 lb/USgal", "title=later, with less fuel", "alternate=", "baggage="]),
        ("measured-density", ["fuel=full"]),
        ("not-shown-inside", ["front seats 1=91 +/- 5 kg"]),
        ("three-legs", ["legs.1.uplift.left=12 L", "legs.2.load.baggage=3 kg"]),
        ("bottle-b07", []),
    ],
)
def test_a_saved_flight_plans_to_the_same_figures(file: str, settings: list[str], tmp_path: Path) -> None:
    source = FLIGHTS / f"{file}.yaml"
    if "\nflight: 1" not in source.read_text(encoding="utf-8"):
        source, settings = FLIGHTS / "demo.yaml", ["fuel.density={bottle: bottle-b07.yaml}"]
    out = tmp_path / "out.yaml"
    options = [f"--set={each}" for each in settings]
    code, planned = data("flight", str(source), *options, "--save", str(out))
    assert code != BAD_INPUT, planned
    assert planned["saved"] == str(out)
    again, read = data("flight", str(out))
    assert again == code
    for found in (read, planned):
        found["density"].pop("source")  # names the path of a sheet, which is another from another folder
    for key in ("verdict", "states", "fuel", "density", "burn", "items", "load_limits", "certainty"):
        assert read.get(key) == planned.get(key), key
    assert [leg["plan"]["states"] for leg in read.get("legs", [])] == [
        leg["plan"]["states"] for leg in planned.get("legs", [])
    ]
    before, after = source.read_text(encoding="utf-8"), out.read_text(encoding="utf-8")
    for line in (
        before.splitlines()
    ):  # whole lines of comment stay; those at the end of a line do where the line does
        assert not line.startswith("#") or line in after
    assert before.count("#") <= after.count("#") + (2 if "baggage=" in settings else 0)


def test_a_flight_without_a_file_is_saved_and_read_again(tmp_path: Path) -> None:
    out = tmp_path / "new.yaml"
    planned = data("flight", "thornlea-t4", *ALONE, "--save", str(out))[1]
    read = data("flight", str(out))[1]
    for key in ("verdict", "states", "fuel", "density", "burn", "items"):
        assert read[key] == planned[key], key


def test_a_saved_flight_finds_its_aircraft_from_another_folder(tmp_path: Path) -> None:
    (tmp_path / "here").mkdir()
    (tmp_path / "there").mkdir()
    (tmp_path / "here/mine.yaml").write_bytes((ROOT / "aircraft_profiles/thornlea-t4.yaml").read_bytes())
    flight = tmp_path / "here/flight.yaml"
    flight.write_text(
        Path(DEMO).read_text(encoding="utf-8").replace("aircraft: thornlea-t4 ", "aircraft: ./mine.yaml "),
        encoding="utf-8",
    )
    out = tmp_path / "there/out.yaml"
    assert run("flight", str(flight), "--set", "baggage=14 kg", "--save", str(out))[0] == INSIDE
    assert parse(out.read_text(encoding="utf-8"), "").value["aircraft"] == "../here/mine.yaml"
    assert plan_file(out).verdict == "inside"


def test_nothing_is_written_over_and_nothing_that_was_refused(tmp_path: Path) -> None:
    out = tmp_path / "out.yaml"
    assert data("flight", DEMO, "--set", "fuel.left=40 USgal", "--save", str(out))[0] == BAD_INPUT
    assert not out.exists()
    out.write_text("mine", encoding="utf-8")
    code, found = data("flight", DEMO, "--set", "baggage=1 kg", "--save", str(out))
    assert (code, found["findings"][0]["code"], out.read_text(encoding="utf-8")) == (
        BAD_INPUT,
        "file-exists",
        "mine",
    )
    assert (
        data("flight", DEMO, "--save", str(tmp_path / "other.yaml"))[1]["findings"][0]["code"]
        == "option-missing"
    )


def test_a_flight_from_standard_input_is_changed_and_saved(tmp_path: Path) -> None:
    out = tmp_path / "out.yaml"
    text = Path(DEMO).read_text(encoding="utf-8")
    code, shown, _ = run("flight", "-", "--set", "baggage=12 kg", "--save", str(out), stdin=text)
    assert code == INSIDE
    assert "12 kg (was 15 kg)" in flat(shown)
    assert plan_file(out).flight.load["baggage"][0].value == 12.0
    assert "standard input" in out.read_text(encoding="utf-8").splitlines()[0]
