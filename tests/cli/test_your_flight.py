"""The day at a club of docs/your-flight.md: every command is run in its order, and what the page says of it is
held against what it printed.
"""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.plan import plan_file
from planner.quantities.units import LITRE

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = (DOCS / "your-flight.md").read_text(encoding="utf-8")
FILES = dict(re.findall(r"^```yaml ([\w.-]+)\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL))
COMMANDS = [
    line
    for block in re.findall(r"^```sh\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)
    for line in block.splitlines()
]
# Exit code and what the page tells, by the command it is told of; every other command ends with 0.
TOLD = {
    "planner flight saturday.yaml": (0, ["INSIDE every limit", "fuel +52.0 L beyond what is required"]),
    "planner flight saturday.yaml --set 'rear seats=[71 kg, 83 kg]'": (
        1,
        ["maximum landing mass by 13.9 kg"],
    ),
    "planner remedy saturday.yaml --set 'rear seats=[71 kg, 83 kg]'": (1, ["(26.0 L in all)"]),
    "planner compare saturday.yaml with-dan.yaml": (
        0,
        ["A inside, B inside.", "aft limit +6.1 mm on the ramp"],
    ),
    "planner compare saturday.yaml --set 'rear seats=[71 kg, 83 kg]' --against": (
        1,
        ["A inside, B OUTSIDE."],
    ),
    "planner ledger status --aircraft thornlea-t4 --file saturday.sqlite": (0, ["55.5", "54.3", "agree"]),
}


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[int, str]]:
    """Exit code and output of every command of the page, run in its order in one folder."""
    folder = tmp_path_factory.mktemp("club")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("COLUMNS", "120")
        patch.delenv("PLANNER_UNITS", raising=False)
        for name, text in FILES.items():
            Path(name).write_text(text, encoding="utf-8")
        found = {}
        for line in COMMANDS:
            program, *words = shlex.split(line)
            assert program == "planner"
            done = CliRunner().invoke(app, words)
            found[line] = (done.exit_code, " ".join(done.output.split()) or repr(done.exception))
        assert Path("with-dan.html").stat().st_size > 5000
        # The burn that the page says was planned.
        plan = plan_file("with-dan.yaml")
        burnt = sum(line.volume for line in plan.fuel.lines if line.kind in ("taxi", "trip")) / LITRE
        planned = re.search(r"--planned '([\d.]+) L'", PAGE)
        assert planned is not None
        assert float(planned[1]) == pytest.approx(burnt, abs=0.051)
    return found


def test_every_command_runs_and_ends_as_the_page_says(day: dict[str, tuple[int, str]]) -> None:
    assert len(COMMANDS) >= 15
    assert set(TOLD) <= set(COMMANDS)
    for line, (code, output) in day.items():
        expected, words = TOLD.get(line, (0, []))
        assert code == expected, (line, output)
        assert all(each in output for each in words), (line, output)


def test_the_figures_of_the_page_are_those_printed(day: dict[str, tuple[int, str]]) -> None:
    printed = " ".join(output for _, output in day.values())
    story = re.sub(r"^```.*?^```", "", PAGE, flags=re.MULTILINE | re.DOTALL)
    figures = set(re.findall(r"\b\d+\.\d (?:L|mm|kg)\b", story))
    assert len(figures) >= 6
    for each in figures:
        number = each.split()[0]
        assert each in printed or re.search(rf"\b{re.escape(number)} +\d", printed), each
