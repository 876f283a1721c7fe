"""Every command says how it is used, its example runs, and the command page describes it."""

from __future__ import annotations

import json
import shlex
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from planner.app.reference import commands, help_text
from planner.logbook.ledger.kept.exchange import read_file
from planner.logbook.ledger.kept.store import ledger_path, opened
from planner.records.store import load_aircraft
from tests.cli import forked
from tests.sizes import TIMES

ROOT = Path(__file__).resolve().parents[2]
ALL = list(commands())
LEAVES = [(name, command) for name, command in ALL if not hasattr(command, "commands")]
# `list` is a table of one unit, `new` writes a file and `verify` keeps the units of the sources: no reader's
# units there. `formats` tells of the files themselves. `bottles` lists glass, which is marked in millilitres
# everywhere. `page` shows each aircraft in the units of its profile.
WITHOUT_UNITS = {
    "planner aircraft list",
    "planner mark",
    "planner aircraft new",
    "planner density bottles",
    "planner verify",
    "planner formats",
    "planner ledger export",
    "planner ledger import",
    "planner people add",
    "planner people forget",
    "planner where",
    "planner keep",
    "planner restore",
}
WITHOUT_JSON = {"planner aircraft new", "planner ledger sheet"}


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A place to run examples in: the example records where the examples look for them, and the example
    ledger in the user's data.
    """
    made = tmp_path_factory.mktemp("filled")
    for records in ("changes", "flights", "ledgers", "practise", "weighings"):
        shutil.copytree(ROOT / "docs" / records, made / "docs" / records)
    ledger, thornlea = made / "docs/ledgers/thornlea-t4.csv", load_aircraft("thornlea-t4").record.name
    with pytest.MonkeyPatch.context() as around:
        around.setenv("PLANNER_DATA", str(made / "data"))
        with opened(ledger_path(thornlea), thornlea) as entries:
            entries.add(read_file(ledger, thornlea))
    (made / "data/people.yaml").write_text("people: 1\nAna Lark: 78 kg\n", encoding="utf-8")
    shutil.copy(ROOT / "aircraft_profiles/thornlea-t4.yaml", made / "t4.yaml")
    return made


@pytest.fixture
def folder(filled: Path, tmp_path: Path) -> Path:
    """That place, as nothing has been run in it."""
    return Path(shutil.copytree(filled, tmp_path, dirs_exist_ok=True))


def quicker(folder: Path) -> None:
    """The demo flight with one aboard: room and remedies are found in less time."""
    demo = folder / "docs/flights/demo.yaml"
    text = demo.read_text(encoding="utf-8").replace("80 kg, 70 kg", "80 kg").replace("78 kg, 72 kg", "0 kg")
    demo.write_text(text, encoding="utf-8")


def quick_card(example: str) -> str:
    """The card of an aircraft with three searches, not twelve."""
    return example if "--across" in example else example.replace("card thornlea-t4", "card hazelbrook-teasel")


def run(command: str, folder: Path, real: bool = False) -> subprocess.CompletedProcess[str]:
    words = shlex.split(command)
    assert words[0] == "planner"
    env = {"PLANNER_DATA": str(folder / "data"), "HOME": str(folder)}
    return forked.run(*words[1:], folder=folder, env=env, real=real)


def test_there_are_commands() -> None:
    assert {
        "planner flight",
        "planner fuel",
        "planner density correct",
        "planner aircraft check",
        "planner verify",
    } <= {name for name, _ in LEAVES}


@pytest.mark.parametrize(("name", "command"), ALL, ids=[name for name, _ in ALL])
def test_it_says_what_it_does_and_shows_an_example(name: str, command: Any) -> None:
    words, examples = help_text(command)
    assert len(words) > 20, name
    assert examples, f"{name} has no line that begins with 'Example: '"
    for example in examples:
        assert example.startswith("planner "), name
        if (name, command) in LEAVES:
            assert example.startswith(name + " ") or example == name


EXAMPLES = [(name, example) for name, command in ALL for example in help_text(command)[1]]


@pytest.mark.parametrize(("name", "example"), EXAMPLES, ids=[example for _, example in EXAMPLES])
def test_its_example_runs(name: str, example: str, folder: Path) -> None:
    if name == "planner aircraft check":
        (folder / "t4.yaml").rename(folder / "my-aircraft.yaml")
    if name in ("planner sheet", "planner remedy") and TIMES == 1:
        quicker(folder)
    if TIMES == 1:
        example = quick_card(example)
    if name == "planner restore":
        assert run("planner keep planner-data.zip", folder).returncode == 0
    done = run(example, folder)
    assert done.returncode in (0, 1), done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout or done.stderr
    if name == "planner aircraft new":
        assert (folder / "my-aircraft.yaml").is_file()


@pytest.mark.parametrize(("name", "command"), LEAVES, ids=[name for name, _ in LEAVES])
def test_every_option_is_explained(name: str, command: Any) -> None:
    for param in command.params:
        assert param.help, f"{name}: {param.name}"
    options = {option for param in command.params for option in param.opts}
    assert ("--units" in options) == (name not in WITHOUT_UNITS)
    assert ("--json" in options) == (name not in WITHOUT_JSON)


@pytest.mark.parametrize("name", [name for name, _ in LEAVES if name not in WITHOUT_JSON])
def test_its_json_is_one_document_with_a_schema(name: str, folder: Path) -> None:
    example = help_text(dict(LEAVES)[name])[1][0]
    (folder / "t4.yaml").rename(folder / "my-aircraft.yaml")
    quicker(folder)
    if TIMES == 1:
        example = quick_card(example)
    done = run(f"{example} --json", folder)
    assert json.loads(done.stdout)["schema"].startswith("planner/"), done.stderr
    assert "Traceback" not in done.stderr


def test_the_command_page_describes_each() -> None:
    page = (ROOT / "docs/commands.md").read_text(encoding="utf-8")
    assert [line[3:] for line in page.splitlines() if line.startswith("## planner")] == [
        name for name, _ in ALL
    ]


def test_bad_input_is_exit_code_two(folder: Path) -> None:
    (folder / "bad.yaml").write_text("flight: 1\naircraft: no-such\n", encoding="utf-8")
    done = run("planner flight bad.yaml", folder, real=True)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "bad.yaml:" in done.stderr
    assert "Traceback" not in done.stderr
