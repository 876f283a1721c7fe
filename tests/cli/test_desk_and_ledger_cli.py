"""The records desk and the fuel ledger as a user meets them: output, exit codes, files, wrong input,
widths.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.cli import forked

ROOT = Path(__file__).resolve().parents[2]
SHEET = ROOT / "docs/weighings/thornlea-t4.yaml"
CHANGE = ROOT / "docs/changes/new-radio.yaml"


def run(
    folder: Path, *words: str, width: int = 100, stdin: str = "", real: bool = False
) -> subprocess.CompletedProcess[str]:
    env = {"PLANNER_DATA": str(folder / "data"), "COLUMNS": str(width), "NO_COLOR": "1"}
    return forked.run(*words, folder=folder, given=stdin, env=env, real=real)


def data(done: subprocess.CompletedProcess[str]) -> Any:
    return json.loads(done.stdout)


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("ledger")
    done = run(
        folder, "ledger", "import", str(ROOT / "docs/ledgers/thornlea-t4.csv"), "--aircraft", "thornlea-t4"
    )
    assert done.returncode == 0, done.stderr
    assert "13 entries added" in done.stderr
    return folder


def test_a_weighing_and_its_record(tmp_path: Path) -> None:
    done = run(tmp_path, "aircraft", "weigh", str(SHEET), "--out", "record.txt")
    assert done.returncode == 0, done.stderr
    assert "BASIC EMPTY MASS" in done.stdout.upper()
    record = (tmp_path / "record.txt").read_text(encoding="utf-8")
    for blank in ("Name:", "Licence or approval:", "Place and date:", "Signature:"):
        assert any(
            line.strip().startswith(blank) and line.rstrip().endswith("____") for line in record.splitlines()
        )
    assert "licensed person" in record
    assert "M. Alder" in record
    assert max(map(len, record.splitlines())) <= 80
    again = run(tmp_path, "aircraft", "weigh", str(SHEET), "--out", "record.txt")
    assert again.returncode == 2
    assert "not overwritten" in again.stderr
    assert (tmp_path / "record.txt").read_text(encoding="utf-8") == record
    result = data(run(tmp_path, "aircraft", "weigh", str(SHEET), "--json", "--working"))
    assert result["schema"] == "planner/weighing/1"
    assert result["signed"] is False
    assert result["basic_empty"]["mass_kg"] == pytest.approx(256 + 254.5 + 178.5 + 1.1 * 0.88 - 3.2 + 1.4)
    assert len(result["working"]) == len(result["steps"]) + 1


def test_a_weighing_from_standard_input(tmp_path: Path) -> None:
    done = run(tmp_path, "aircraft", "weigh", "-", "--json", stdin=SHEET.read_text(encoding="utf-8"))
    assert data(done)["basic_empty"]["includes"] == ["full oil", "unusable fuel"]


def test_an_amendment_in_place_then_refused_twice(tmp_path: Path) -> None:
    text = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    (tmp_path / "mine.yaml").write_text(text, encoding="utf-8")
    dry = run(tmp_path, "aircraft", "amend", "mine.yaml", str(CHANGE), "--dry-run", "--json")
    assert data(dry)["written"] is False
    assert (tmp_path / "mine.yaml").read_text(encoding="utf-8") == text
    done = run(tmp_path, "aircraft", "amend", "mine.yaml", str(CHANGE))
    assert done.returncode == 0, done.stderr
    assert data(dry)["after"]["version"] in done.stderr
    shown = run(tmp_path, "aircraft", "show", "mine.yaml", "--json")
    assert data(shown)["basic_empty_version"] == data(dry)["after"]["version"]
    twice = run(tmp_path, "aircraft", "amend", "mine.yaml", str(CHANGE), "--json")
    assert twice.returncode == 2
    assert [each["code"] for each in data(twice)["findings"]] == ["change-applied"]
    bundled = run(tmp_path, "aircraft", "amend", "thornlea-t4", str(CHANGE))
    assert bundled.returncode == 2
    assert "never changed" in bundled.stderr


def test_extremes_tell_by_their_exit_code(tmp_path: Path) -> None:
    outside = run(tmp_path, "aircraft", "check", "thornlea-t4", "--extremes")
    assert outside.returncode == 1
    assert "OUTSIDE" in outside.stdout
    inside = run(tmp_path, "aircraft", "check", "hazelbrook-teasel", "--extremes", "--json")
    assert inside.returncode == 0
    assert {each["verdict"] for each in data(inside)["extremes"]} == {"inside"}
    for words in (
        ("--pilot", "baggage"),
        ("--least-fuel", "9000 L"),
        ("--least-fuel", "20"),
        ("thornlea-t4b",),
    ):
        assert run(tmp_path, "aircraft", "check", "thornlea-t4", "--extremes", *words).returncode == 2


def test_wrong_input_leaves_no_file_behind(tmp_path: Path) -> None:
    of = ("--aircraft", "thornlea-t4")
    (tmp_path / "bad.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    wrong = [
        ("add", "dip", *of, "--tank", "left", "--stick", "T4-L", "--reading", "11.5"),
        ("add", "dip", *of, "--tank", "left", "--stick", "T4-R", "--reading", "11.5 cm"),
        ("add", "gauge", *of, "--reading", "500 L"),
        ("add", "uplift", *of, "--tank", "left", "--volume", "20 gal"),
        ("add", "uplift", *of, "--tank", "left", "--volume", "20 L", "--grade", "diesel"),
        ("add", "uplift", *of, "--volume", "20 L"),
        ("add", "drain", *of, "--volume", "20 L", "--leaves", "brim"),
        ("add", "flight", *of),
        ("add", "flight", *of, "--time", "1 h", "--units", "imperial"),
        ("correct", "1", *of, "--note", "x", "--void"),
        ("import", "bad.csv", *of),
        ("list", *of),
    ]
    for words in wrong:
        done = run(tmp_path, "ledger", *words, "--json")
        assert done.returncode == 2, words
        assert data(done)["findings"], words
    assert not (tmp_path / "data").exists()


def test_the_ledger_from_the_first_entry(tmp_path: Path) -> None:
    of = ("--aircraft", "thornlea-t4")
    nothing = run(tmp_path, "ledger", "status", *of)
    assert nothing.returncode == 2
    assert "planner ledger add" in nothing.stderr
    assert not (tmp_path / "data").exists()
    added = run(
        tmp_path,
        "ledger",
        "add",
        "uplift",
        *of,
        "--volume",
        "40 L",
        "--leaves",
        "full",
        "--at",
        "2026-06-01 08:00",
        "--json",
    )
    assert added.returncode == 0, added.stderr
    assert data(added)["number"] == 1
    assert data(added)["leaves_l"] == 144
    refused = run(
        tmp_path, "ledger", "add", "dip", *of, "--tank", "left", "--stick", "SAM-1", "--reading", "11 cm"
    )
    assert refused.returncode == 2
    assert "dip again" in refused.stderr
    assert (
        run(tmp_path, "ledger", "add", "flight", *of, "--time", "1 h", "--at", "2026-06-01 12:00").returncode
        == 0
    )
    status = data(run(tmp_path, "ledger", "status", *of, "--json"))
    assert status["reckon_with"]["endurance"]["total_l"] == pytest.approx(111)
    assert (
        run(tmp_path, "ledger", "correct", "2", *of, "--time", "2 h", "--note", "landed later").returncode
        == 0
    )
    status = data(run(tmp_path, "ledger", "status", *of, "--json"))
    assert status["reckon_with"]["endurance"]["total_l"] == pytest.approx(78)
    assert len(data(run(tmp_path, "ledger", "list", *of, "--json"))["entries"]) == 2
    assert len(data(run(tmp_path, "ledger", "list", *of, "--all", "--json"))["entries"]) == 3
    wrong = run(
        tmp_path,
        "ledger",
        "add",
        "uplift",
        *of,
        "--tank",
        "left",
        "--volume",
        "5 L",
        "--grade",
        "jet-A1",
        "--at",
        "2026-06-02 08:00",
    )
    assert wrong.returncode == 0  # it happened: the log keeps it
    assert "may not use" in wrong.stderr


def test_out_and_in_to_another_file(ledger: Path, tmp_path: Path) -> None:
    of = ("--aircraft", "thornlea-t4")
    assert run(ledger, "ledger", "export", str(tmp_path / "out.json"), *of).returncode == 0
    assert run(ledger, "ledger", "export", str(tmp_path / "out.json"), *of).returncode == 2
    assert run(ledger, "ledger", "export", str(tmp_path / "out.txt"), *of).returncode == 2
    moved = run(
        ledger,
        "ledger",
        "import",
        str(tmp_path / "out.json"),
        *of,
        "--file",
        str(tmp_path / "new.sqlite3"),
        "--json",
    )
    assert data(moved) == {
        "schema": "planner/ledger-import/1",
        "aircraft": "Thornlea T4",
        "added": 13,
        "there_before": 0,
    }
    again = run(
        ledger,
        "ledger",
        "import",
        str(tmp_path / "out.json"),
        *of,
        "--file",
        str(tmp_path / "new.sqlite3"),
        "--json",
    )
    assert data(again)["added"] == 0
    one = data(run(ledger, "ledger", "list", *of, "--all", "--json"))
    assert (
        data(run(ledger, "ledger", "list", *of, "--all", "--json", "--file", str(tmp_path / "new.sqlite3")))
        == one
    )
    other = run(
        ledger, "ledger", "status", "--aircraft", "saltmere-samphire", "--file", str(tmp_path / "new.sqlite3")
    )
    assert other.returncode == 2
    assert "ledger of Thornlea T4" in other.stderr


SCREENS = [
    ("ledger", "status", "--aircraft", "thornlea-t4"),
    ("ledger", "reconcile", "--aircraft", "thornlea-t4"),
    ("ledger", "burn", "--aircraft", "thornlea-t4"),
    ("ledger", "list", "--aircraft", "thornlea-t4", "--all"),
    ("aircraft", "weigh", str(SHEET), "--working"),
    ("aircraft", "check", "corvedale-sextet", "--extremes"),
    ("aircraft", "amend", "thornlea-t4", str(CHANGE), "--dry-run"),
]


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("width", [80, 120])
@pytest.mark.parametrize("words", SCREENS, ids=[" ".join(words[:2]) for words in SCREENS])
def test_no_line_is_wider_than_the_screen(
    ledger: Path, words: tuple[str, ...], width: int, units: str
) -> None:
    done = run(ledger, *words, "--units", units, width=width)
    assert done.returncode in (0, 1), done.stderr
    assert "Traceback" not in done.stderr
    lines = done.stdout.splitlines()
    assert len(lines) > 10
    assert max(map(len, lines)) <= width
    assert "CAUTION" in done.stdout
    assert "\x1b" not in done.stdout


def test_the_ledger_as_a_page_a_month(ledger: Path, tmp_path: Path) -> None:
    of, out = ("--aircraft", "thornlea-t4"), tmp_path / "sheet.html"
    assert run(ledger, "ledger", "sheet", str(tmp_path / "sheet.pdf"), *of).returncode == 2
    assert run(ledger, "ledger", "sheet", str(out), *of).returncode == 0
    page = out.read_text(encoding="utf-8")
    assert page.count("<svg") == 3  # two tanks and both together, in one month
    assert page.count("<tr class") == 13
    assert "corrects no. 10" in page
    assert "<script" not in page
    assert run(ledger, "ledger", "sheet", str(out), *of).returncode == 2  # nothing is overwritten


def test_an_entry_with_its_corrections(ledger: Path) -> None:
    done = run(ledger, "ledger", "history", "11", "--aircraft", "thornlea-t4", "--json")
    assert [each["number"] for each in data(done)["entries"]] == [10, 11]
    assert run(ledger, "ledger", "history", "99", "--aircraft", "thornlea-t4").returncode == 2
