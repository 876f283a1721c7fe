"""Progress: kept whole or not at all, private, and erased for good."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from planner.quantities.errors import InputRefused
from planner.quantities.units import Display
from planner.records.store import load_aircraft
from planner.school.marking import learners
from planner.school.marking.mark import HINT, Mark, mark_problem
from planner.school.problem import Problem
from planner.school.topics import set_problems

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


def marked(right: bool, topic: str = "fuel-mass") -> tuple[Problem, tuple[Mark, ...]]:
    problem = set_problems(load_aircraft("thornlea-t4"), Display("metric"), (topic,), 1, 5, 1).problems[0]
    due = problem.right()
    return problem, mark_problem(
        problem, {ask.key: ask.text(due[ask.key]) if right else "4711 kg" for ask in problem.asks}
    )


def test_nothing_is_kept_until_somebody_asks(folder: Path) -> None:
    assert learners.names() == ()
    assert not folder.exists()


def test_answers_are_kept_and_counted() -> None:
    learners.keep("Ana Lark", 5, [(1, *marked(True)), (2, *marked(False))])
    learners.keep("  Ana   Lark ", 6, [(1, *marked(True, "units"))])
    learners.keep("Ben Wick", 6, [(1, *marked(True))])
    assert learners.names() == ("Ana Lark", "Ben Wick")
    kept = learners.progress("Ana Lark")
    assert [(each.topic, each.asked, each.points) for each in kept.topics] == [
        ("fuel-mass", 2, 1.0),
        ("units", 1, 1.0),
    ]
    assert kept.due(("units", "fuel-mass"), datetime.now(UTC).date()) == ["fuel-mass", "units"]
    assert kept.due(("units", "moments"), datetime.now(UTC).date())[0] == "moments"  # never asked
    assert kept.due(("units", "moments"), date(2031, 1, 1))[0] == "units"  # long ago
    assert kept.left(("units", "fuel-mass", "moments")) == ["fuel-mass", "moments"]


def test_blank_answers_are_not_kept() -> None:
    problem, _ = marked(True)
    learners.keep("Ana", 5, [(1, problem, mark_problem(problem, {}))])
    assert learners.progress("Ana").topics == ()


def test_a_sheet_marked_twice_counts_once_and_the_later_marks_count() -> None:
    for right in (False, False, True):
        learners.keep("Ana", 5, [(1, *marked(right)), (2, *marked(True))], once=True)
    assert [(each.asked, each.points) for each in learners.progress("Ana").topics] == [(2, 2.0)]
    learners.keep("Ana", 6, [(1, *marked(True))], once=True)
    assert learners.progress("Ana").topics[0].asked == 3


def test_what_hints_cost_is_kept(folder: Path) -> None:
    problem, (mark, *others) = marked(True)
    learners.keep("Ana", 5, [(1, problem, (replace(mark, hints=2), *others))])
    assert learners.progress("Ana").topics[0].points == 1.0 + len(others) - 2 * HINT
    with sqlite3.connect(folder / "learners.sqlite") as first:  # as the first edition of the file had it
        first.execute("ALTER TABLE answer DROP COLUMN hints")
        first.execute("PRAGMA user_version = 1")
    first.close()
    learners.keep("Ana", 6, [(1, *marked(True))])
    assert learners.progress("Ana").topics[0].points == 2.0 + 2 * len(others)


def test_a_session_that_breaks_off_keeps_nothing_of_its_last_step() -> None:
    learners.keep("Ana", 5, [(1, *marked(True))])

    def broken() -> Iterator[tuple[int, Problem, tuple[Mark, ...]]]:
        yield 1, *marked(True)
        raise RuntimeError("power cut")

    with pytest.raises(RuntimeError):
        learners.keep("Ana", 6, broken())
    assert learners.progress("Ana").topics[0].asked == 1


def test_forgetting_leaves_no_trace_in_the_file(folder: Path) -> None:
    learners.keep("Zebedee Quillfeather", 5, [(1, *marked(False))])
    learners.keep("Ben", 5, [(1, *marked(True))])
    assert b"Quillfeather" in (folder / "learners.sqlite").read_bytes()
    assert learners.forget("Zebedee Quillfeather") == 1
    assert b"Quillfeather" not in (folder / "learners.sqlite").read_bytes()
    assert [each.name for each in folder.iterdir()] == ["learners.sqlite"]
    assert learners.names() == ("Ben",)


@pytest.mark.skipif(sys.platform == "win32", reason="no such permissions there")
def test_only_its_owner_may_read_it(folder: Path) -> None:
    learners.keep("Ana", 5, [(1, *marked(True))])
    assert stat.S_IMODE((folder / "learners.sqlite").stat().st_mode) == 0o600


def code_of(error: pytest.ExceptionInfo[InputRefused]) -> str:
    return error.value.findings[0].code


def test_an_unknown_learner_is_told_with_a_near_name() -> None:
    learners.keep("Ana Lark", 5, [(1, *marked(True))])
    for work in (learners.progress, learners.forget):
        with pytest.raises(InputRefused, match="Ana Lark") as refused:
            work("Ana Larc")
        assert code_of(refused) == "learner-unknown"


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "a\x1b[31m"])
def test_names_that_cannot_be_kept_are_refused(name: str) -> None:
    with pytest.raises(InputRefused) as refused:
        learners.keep(name, 5, [])
    assert code_of(refused) == "learner-name"


def test_another_file_of_that_name_is_left_alone(folder: Path) -> None:
    folder.mkdir()
    (folder / "learners.sqlite").write_text(
        "these are somebody's notes, and longer than a header of a database would be at one hundred bytes\n"
        * 3,
        encoding="utf-8",
    )
    before = (folder / "learners.sqlite").read_bytes()
    with pytest.raises(InputRefused) as refused:
        learners.keep("Ana", 5, [(1, *marked(True))])
    assert code_of(refused) == "learners-unreadable"
    assert (folder / "learners.sqlite").read_bytes() == before


def test_another_programs_database_is_left_alone(folder: Path) -> None:
    folder.mkdir()
    other = sqlite3.connect(folder / "learners.sqlite")
    other.execute("CREATE TABLE birds (name TEXT)")
    other.commit()
    other.close()
    with pytest.raises(InputRefused) as refused:
        learners.keep("Ana", 5, [(1, *marked(True))])
    assert code_of(refused) == "learners-unreadable"


def test_a_folder_that_cannot_be_written_is_told(folder: Path) -> None:
    folder.write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        learners.keep("Ana", 5, [(1, *marked(True))])
    assert code_of(refused) == "file-unwritable"


def test_two_programs_at_once_both_keep_everything(folder: Path) -> None:
    code = (
        "from planner.school.marking import learners; from planner.school.marking.mark import mark_problem;"
        " from planner.school.topics import set_problems;from planner.records.store import load_aircraft;"
        " from planner.quantities.units import Display;p = set_problems(load_aircraft('thornlea-t4'),"
        " Display('metric'), ('fuel-mass',), 1, 5, 1).problems[0];m = mark_problem(p, {'mass': '1"
        " kg'});[learners.keep('Ana', 5, [(i, p, m)]) for i in range(25)]"
    )
    environment = {**os.environ, "PLANNER_DATA": str(folder), "PYTHONPATH": str(ROOT)}
    both = [subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, env=environment) for _ in range(2)]
    assert [each.wait(timeout=60) for each in both] == [0, 0]
    assert learners.progress("Ana").topics[0].asked == 50
