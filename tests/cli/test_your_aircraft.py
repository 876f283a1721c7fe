"""The dialogue of `planner aircraft new`, and the page that teaches it: every command on the page is run."""

from __future__ import annotations

import html
import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.app.given.asking import Dialogue, Ended
from planner.quantities.errors import InputRefused
from planner.records.aircraft.skeleton import SKELETON
from planner.records.questions import questions
from planner.records.store import load_aircraft_file

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = (DOCS / "your-aircraft.md").read_text(encoding="utf-8")
FILES = dict(re.findall(r"^```\w+ ([\w.-]+)\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL))
COMMANDS = [
    line
    for block in re.findall(r"^```sh\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)
    for line in block.splitlines()
]
ANSWERS = FILES["plover-answers.txt"]


class Done:
    """What a command line of the page ended with."""

    def __init__(self, line: str, answers: str = "") -> None:
        command, _, piped = line.partition(" < ")
        program, *words = shlex.split(command)
        assert program == "planner"
        given = Path(piped.strip()).read_text(encoding="utf-8") if piped else answers
        result = CliRunner().invoke(app, words, input=given)
        self.code, self.output, self.exception = result.exit_code, result.output, result.exception

    @property
    def refused(self) -> list[str]:
        assert isinstance(self.exception, InputRefused), self.output
        return [each.code for each in self.exception.findings]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PLANNER_UNITS", raising=False)
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_every_command_of_the_page(here: Path) -> None:
    assert len(COMMANDS) >= 6
    for line in COMMANDS:
        done = Done(line)
        # The adverse loadings that --extremes looks for may be outside.
        assert done.code in ({0, 1} if "--extremes" in line else {0}), (line, done.output, done.exception)
    assert (here / "blank.yaml").read_text(encoding="utf-8") == SKELETON


def test_the_page_types_in_what_its_picture_shows() -> None:
    drawn = (DOCS / "your-aircraft.svg").read_text(encoding="utf-8")
    assert "http" not in drawn.replace("http://www.w3.org/2000/svg", "")
    picture = html.unescape(" ".join(re.findall(r">([^<]+)</text>", drawn)))
    figures = {
        each for line in ANSWERS.splitlines() for each in re.findall(r"(?<![\w-])\d+\.?\d*(?![\w-])", line)
    }
    assert len(figures) > 20
    assert not {
        each for each in figures if not re.search(rf"(?<![\d.]){re.escape(each.rstrip('.'))}(?!\d)", picture)
    }


def test_what_the_dialogue_writes_is_right_and_in_its_own_units(here: Path) -> None:
    done = Done("planner aircraft new plover.yaml", ANSWERS)
    assert done.code == 0, done.output
    assert "1466 lb = 665.0 kg" in done.output
    assert "2140.00 lb" in done.output
    loaded = load_aircraft_file(here / "plover.yaml")
    assert loaded.notices == ()
    assert loaded.record.units == "us"
    assert loaded.record.stations["front seats"].arm.value == pytest.approx(37 * 0.0254)
    assert (here / "plover.yaml").read_text(encoding="utf-8").count("#") >= 5


@pytest.mark.usefixtures("here")
def test_a_slip_is_named_at_once() -> None:
    done = Done("planner aircraft new plover.yaml", ANSWERS.replace("73 in", "37 in"))
    assert done.code == 2
    assert "DIFFERS" in done.output


def test_an_existing_file_is_never_overwritten(here: Path) -> None:
    (here / "mine.yaml").write_text("mine", encoding="utf-8")
    for line in ("planner aircraft new mine.yaml", "planner aircraft new mine.yaml --blank"):
        assert Done(line, ANSWERS).refused == ["file-exists"]
    assert (here / "mine.yaml").read_text(encoding="utf-8") == "mine"


def test_answers_that_end_too_early_write_nothing(here: Path) -> None:
    done = Done("planner aircraft new short.yaml", "\n".join(ANSWERS.splitlines()[:20]) + "\n")
    assert done.refused == ["answers-ended"]
    assert not (here / "short.yaml").exists()


def asked(answers: str, back: str = "<") -> tuple[str, list[str]]:
    """The file and everything that was told."""
    lines = iter(answers.splitlines())
    told: list[str] = []

    def hear(prompt: str) -> str | None:
        told.append(prompt)
        return next(lines, None)

    return Dialogue(questions, told.append, hear, back).run(), told


def test_a_step_back_a_question_and_what_does_not_fit_change_nothing() -> None:
    plain, _ = asked(ANSWERS)
    first, rest = ANSWERS.split("1466 lb\n")
    made, told = asked(f"{first}?\n1466\n1466 litres\n1466 gal\n1500 lb\n<\n1466 lb\n57 in\n<\n{rest}")
    assert made == plain
    for words in ("from its current weighing report", "has no unit", "is a volume", "not one exact unit"):
        assert any(words in each for each in told), words
    assert asked(f"x\nundo\n{ANSWERS}", back="undo")[0] == plain


def test_steps_back_through_a_list_and_beyond_the_first_question() -> None:
    plain, _ = asked(ANSWERS)
    first, rest = ANSWERS.split("rear seats\n", 1)
    assert asked(f"{first}rear seat\nseats\n<\n<\nrear seats\n{rest}")[0] == plain
    assert any("first question" in each for each in asked(f"<\n{ANSWERS}")[1])


def test_a_bare_number_that_may_be_two_things_is_asked_for_its_unit() -> None:
    told: list[str] = []
    lines = iter([*ANSWERS.splitlines()[:6], "38.9 in", "<", "57.0 lb.in/1000", "<", "38.9"])

    def hear(prompt: str) -> str | None:
        told.append(prompt)
        return next(lines, None)

    with pytest.raises(Ended):
        Dialogue(questions, told.append, hear).run()
    assert any("'38.9' may be in or lb.in/1000" in each for each in told)


def test_names_with_signs_of_their_own_are_read_back() -> None:
    odd = ANSWERS.replace("Brackwater Plover", 'No: "Plover" # 2').replace("sample loading, page 6-9", "NO")
    text, _ = asked(odd)
    made = load_aircraft_file("odd.yaml", text).record
    assert made.name == 'No: "Plover" # 2'
    assert made.examples[0].name == "NO"
