"""`planner practise`, `mark` and `demonstrate` as a class uses them."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.cli import forked

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "docs/practise", tmp_path / "practise")
    return tmp_path


def run(folder: Path, *words: str, given: str = "", columns: str = "") -> subprocess.CompletedProcess[str]:
    env = {"PLANNER_DATA": str(folder / "data")} | ({"COLUMNS": columns} if columns else {})
    return forked.run(*words, folder=folder, given=given, env=env)


def right_answers(folder: Path, *words: str) -> dict[str, str]:
    data = json.loads(run(folder, "practise", *words, "--json").stdout)
    return {ask["label"]: ask["answer"] for problem in data["problems"] for ask in problem["asks"]}


SET = ("--topic", "fuel-mass", "--topic", "moments", "--level", "2", "--seed", "4", "--count", "2")


def test_right_answers_at_the_prompt(folder: Path) -> None:
    answers = right_answers(folder, *SET)
    done = run(folder, "practise", *SET, given="".join(f"{text}\n" for text in answers.values()))
    assert done.returncode == 0, done.stderr
    assert "4 of 4 points." in done.stdout
    assert "CAUTION" in done.stdout
    assert "Traceback" not in done.stderr


def test_a_wrong_answer_is_told_its_slip_and_solved(folder: Path) -> None:
    answers = right_answers(folder, *SET)
    value = float(answers["1"].split()[0])
    done = run(folder, "practise", *SET, given=f"{value / 0.45359237:.1f} kg\n")
    assert done.returncode == 1
    assert "pounds" in done.stdout
    assert "Solution" in done.stdout
    assert "Formula: " in done.stdout


def test_progress_is_kept_after_each_problem_and_can_be_erased(folder: Path) -> None:
    run(
        folder, "practise", *SET, "--learner", "Ana Lark", given="1 kg\n"
    )  # input ends within the second problem
    kept = json.loads(run(folder, "practise", "--progress", "--json").stdout)
    assert [(each["name"], [topic["answers"] for topic in each["topics"]]) for each in kept["learners"]] == [
        ("Ana Lark", [1])
    ]
    assert (
        "Next: planner practise --topic units"  # never asked
        in run(folder, "practise", "--progress", "--learner", "Ana Lark").stdout
    )
    assert run(folder, "practise", "--forget", "Ana Lark").returncode == 0
    assert json.loads(run(folder, "practise", "--progress", "--json").stdout)["learners"] == []


def test_what_cannot_be_read_is_asked_again(folder: Path) -> None:
    due = right_answers(folder, *SET)["1"]
    done = run(folder, "practise", *SET, given=f"about a ton\n{due}\n")
    assert "cannot be read: needed a number" in done.stdout
    assert re.search(rf"'{re.escape(due)}': right", done.stdout)


def test_answers_in_a_file(folder: Path) -> None:
    answers = right_answers(folder, *SET)
    lines = "\n".join(f"  {label}: {text}" for label, text in answers.items())
    (folder / "mine.yaml").write_text(f"answers: 1\ngiven:\n{lines}\n", encoding="utf-8")
    done = run(folder, "practise", *SET, "--answers", "mine.yaml", "--json")
    assert done.returncode == 0, done.stdout
    learner = json.loads(done.stdout)["learners"][0]
    assert (learner["points"], learner["of"]) == (4.0, 4)


def test_a_class_sheet_its_key_and_the_marking_of_a_class(folder: Path) -> None:
    words = ("--topic", "moments", "--topic", "landing", "--level", "3", "--seed", "9", "--count", "2")
    written = run(folder, "practise", *words, "--sheet", "class.html", "--answers", "key.html")
    assert written.returncode == 0, written.stderr
    sheet, key = (
        (folder / "class.html").read_text(encoding="utf-8"),
        (folder / "key.html").read_text(encoding="utf-8"),
    )
    answers = right_answers(folder, *words)
    for text in (sheet, key):
        assert "<script" not in text
        assert not re.search(r"(?:src|href)=|url\(|@import", text)
        assert text.count("CAUTION: ") >= 3
    assert all(text in key for text in answers.values())
    assert not [text for text in answers.values() if text[0].isdigit() and f"{text}<" in sheet]
    lines = "\n".join(f"    {label}: {text}" for label, text in answers.items())
    (folder / "class.yaml").write_text(
        f"answers: 1\nlearners:\n  Ana:\n{lines}\n  Ben: {{1a: 1 kg}}\n", encoding="utf-8"
    )
    done = run(folder, "mark", "class.html", "class.yaml", "--json", "--keep")
    assert done.returncode == 1
    data = json.loads(done.stdout)
    assert [(each["name"], each["points"]) for each in data["learners"]] == [("Ana", 8.0), ("Ben", 0.0)]
    kept = json.loads(run(folder, "practise", "--progress", "--json").stdout)
    assert [each["name"] for each in kept["learners"]] == ["Ana", "Ben"]


def test_nothing_is_overwritten(folder: Path) -> None:
    (folder / "key.html").write_text("mine", encoding="utf-8")
    done = run(folder, "practise", *SET, "--sheet", "class.html", "--answers", "key.html")
    assert done.returncode == 2
    assert (
        "file-exists"
        in run(folder, "practise", *SET, "--sheet", "class.html", "--answers", "key.html", "--json").stdout
    )
    assert (folder / "key.html").read_text(encoding="utf-8") == "mine"
    assert not (folder / "class.html").exists()


def test_a_key_is_not_taken_for_a_sheet(folder: Path) -> None:
    run(folder, "practise", *SET, "--sheet", "class.txt", "--answers", "key.txt")
    assert "sheet-no-code" in run(folder, "mark", "key.txt", "practise/answers.yaml", "--json").stdout
    assert (
        run(folder, "mark", "class.txt", "practise/answers.yaml").returncode == 2
    )  # other problems: labels do not fit


def test_the_example_of_the_page_is_marked_as_it_says(folder: Path) -> None:
    data: dict[str, Any] = json.loads(
        run(folder, "mark", "practise/sheet.txt", "practise/answers.yaml", "--json").stdout
    )
    by_name = {each["name"]: each for each in data["learners"]}
    ana = {mark["label"]: mark for mark in by_name["Ana Lark"]["marks"]}
    assert [ana[label]["result"] for label in ("1", "2a", "2b", "2c", "3a")] == [
        "right",
        "slip",
        "carried on",
        "carried on",
        "right",
    ]
    assert [each["name"] for each in ana["2a"]["slips"]] == ["superseded-empty"]
    ben = {mark["label"]: mark for mark in by_name["Ben Wick"]["marks"]}
    assert [each["name"] for each in ben["1"]["slips"]] == ["imperial-as-us"]
    assert [ben[label]["result"] for label in ("2a", "2c", "3c", "3d")] == [
        "no unit",
        "too few figures",
        "slip",
        "carried on",
    ]
    assert [each["name"] for each in ben["3c"]["slips"]] == ["only-takeoff"]
    cleo = {mark["label"]: mark for mark in by_name["Cleo Marsh"]["marks"]}
    assert cleo["1"]["result"] == "right"
    assert cleo["2a"]["result"] == "wrong unit"
    assert cleo["3e"]["result"] == "blank"


@pytest.mark.parametrize("columns", ["40", "80", "120"])
def test_no_line_is_longer_than_the_page(folder: Path, columns: str) -> None:
    for words in (
        ("practise", "--level", "5", "--seed", "3", "--count", "15", "--solutions"),
        ("demonstrate", "middle"),
        ("demonstrate",),
        ("practise", "--topics"),
    ):
        done = run(folder, *words, columns=columns)
        assert done.returncode in (0, 1), done.stderr
        long = [line for line in done.stdout.splitlines() if len(line) > int(columns)]
        # A figure, a formula or a path is never broken: only a line of one unbreakable word may be longer.
        assert not [line for line in long if len(line.split()) > 1], long


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("practise", "--topic", "momens"), "topic-unknown"),
        (("practise", "--level", "6"), "practise-range"),
        (("practise", "--count", "0"), "practise-range"),
        (("practise", "--seed", "-1"), "practise-range"),
        (("practise", "--aircraft", "no-such"), "aircraft-not-found"),
        (("practise", "--aircraft", "saltmere-samphire", "--topic", "mac"), "practise-not-settable"),
        (("practise", "--sheet", "class.doc"), "practise-sheet-kind"),
        (("practise", "--sheet", "a.html", "--answers", "a.html"), "file-exists"),
        (("practise", "--answers", "nothing.yaml"), "file-unreadable"),
        (("practise", "--forget", "Nobody"), "learner-unknown"),
        (("practise", "--learner", " ", "--solutions"), "learner-name"),
        (("practise", "--units", "roman"), "units-unknown"),
        (("mark", "nothing.html", "practise/answers.yaml"), "file-unreadable"),
        (("mark", "practise/answers.yaml", "practise/answers.yaml"), "sheet-no-code"),
        (("demonstrate", "levr"), "demonstration-unknown"),
        (("demonstrate", "lever", "--on", "no-such"), "aircraft-not-found"),
    ],
)
def test_wrong_input_is_a_finding(folder: Path, words: tuple[str, ...], code: str) -> None:
    done = run(folder, *words, "--json")
    assert done.returncode == 2
    assert json.loads(done.stdout)["findings"][0]["code"] == code
    assert "Traceback" not in done.stderr


def test_several_wrong_options_are_told_at_once(folder: Path) -> None:
    done = run(folder, "practise", "--topic", "a", "--topic", "b", "--level", "0", "--count", "500")
    assert done.stderr.count("\n") == 5
    assert "4 things to mend" in done.stderr


def test_ones_own_profile(folder: Path) -> None:
    text = (
        (ROOT / "aircraft_profiles/hazelbrook-teasel.yaml")
        .read_text(encoding="utf-8")
        .replace("invented: true", "invented: false")
    )
    (folder / "mine.yaml").write_text(text, encoding="utf-8")
    data = json.loads(
        run(folder, "practise", "--aircraft", "mine.yaml", "--seed", "1", "--count", "15", "--json").stdout
    )
    assert data["invented"] is False
    assert len(data["problems"]) == 15
    assert any("govern" in caution for caution in data["cautions"])


def test_demonstrations_on_another_aircraft(folder: Path) -> None:
    done = run(folder, "demonstrate", "burn", "--on", "thornlea-t4", "--json")
    assert done.returncode == 1
    assert json.loads(done.stdout)["holds"] is False
    listed = json.loads(run(folder, "demonstrate", "--json").stdout)["demonstrations"]
    assert len(listed) == 15
    everywhere = run(folder, "demonstrate", "--on", "hazelbrook-teasel")
    assert everywhere.returncode == 0
    assert "does not" in everywhere.stdout


def test_what_is_beyond_a_limit_is_labelled_with_its_correction(folder: Path) -> None:
    done = run(folder, "demonstrate", "two-in-front")
    assert "OUTSIDE: forward limit" in done.stdout
    assert "never flown" in done.stdout
    assert "Correction: " in done.stdout
