"""Mock tests, answers to choose from, hints, and answers from a spreadsheet."""

from __future__ import annotations

import io
import re
import sys
from pathlib import Path

import pytest

from planner.app.school.mark import mark_test
from planner.app.school.papers import write_papers
from planner.app.school.prompt import asked_one, sit
from planner.quantities.errors import InputRefused
from planner.quantities.units import Display
from planner.records.store import load_aircraft
from planner.school.marking import learners, sittings
from planner.school.marking.answers import labels, read_answers
from planner.school.marking.choices import ChoiceFacts
from planner.school.marking.mark import HINT, Mark, mark_problem
from planner.school.marking.mock import questions_by_topic, read_test, report, seed_of, set_test
from planner.school.marking.sheetcode import code_of, problems_of, read_code
from planner.school.problem import Problem
from planner.school.topics import TOPICS, set_problems

TEST = """test: 1
questions: 5
pass_percent: 60
minutes: 30
sitting: paused
seed: 3
shares: {moments: 2, fuel-plan: 2, landing: 1}
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "test.yaml").write_text(TEST, encoding="utf-8")
    return tmp_path


def key_of(problem: Problem) -> dict[str, str]:
    right = problem.right()
    return {ask.key: ask.text(right[ask.key]) for ask in problem.asks}


def typed(problems: tuple[Problem, ...]) -> str:
    return "".join(f"{each}\n" for problem in problems for each in key_of(problem).values())


@pytest.mark.parametrize("questions", [1, 5, 7, 20, 99])
def test_shares_add_up_and_keep_to_the_shares(questions: int) -> None:
    shares = {"a": 3.0, "b": 2.0, "c": 2.0, "d": 0.5}
    counts = questions_by_topic(shares, questions)
    assert sum(counts.values()) == questions
    for name, weight in shares.items():
        assert abs(counts[name] - weight / 7.5 * questions) < 1


@pytest.mark.usefixtures("folder")
def test_neighbours_have_other_figures_and_the_same_topics() -> None:
    test = read_test("test.yaml")
    ana, ben, again = (set_test(test, name) for name in ("Ana Lark", "Ben Wick", "ana  lark"))
    assert ana.check == again.check != ben.check
    assert sorted(p.topic for p in ana.problems) == sorted(p.topic for p in ben.problems)
    assert not {p.question for p in ana.problems} & {p.question for p in ben.problems if p.tables == ()}
    assert seed_of(test, "Ana Lark") != seed_of(test, "Ben Wick")


@pytest.mark.parametrize("wrong", ["shares: {moment: 1}", "pass_percent: 0", "questions: 0", "sitting: two"])
def test_a_wrong_test_file_is_refused(folder: Path, wrong: str) -> None:
    (folder / "bad.yaml").write_text(f"test: 1\n{wrong}\n", encoding="utf-8")
    with pytest.raises(InputRefused):
        read_test("bad.yaml")


def test_a_paused_test_goes_on_and_is_erased(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found = set_test(read_test("test.yaml"), "Ana Lark")
    monkeypatch.setattr(sys, "stdin", io.StringIO(typed(found.problems[:2])))
    assert sit("test.yaml", "Ana Lark", kept=True) == 1
    kept = sittings.load("Ana Lark", found.check)
    assert len(kept.given) == 2
    assert kept.seconds > 0
    monkeypatch.setattr(sys, "stdin", io.StringIO(typed(found.problems[2:])))
    assert sit("test.yaml", "Ana Lark", kept=True) == 0
    assert sittings.load("Ana Lark", found.check).given == ()
    progress = learners.progress("Ana Lark")
    assert sum(each.asked for each in progress.topics) == sum(len(p.asks) for p in found.problems)
    monkeypatch.setattr(sys, "stdin", io.StringIO(typed(found.problems[:1])))
    sit("test.yaml", "Ana Lark", kept=True)
    assert sittings.load("Ana Lark", found.check).given
    learners.forget("Ana Lark")
    assert not list((folder / "data").rglob("*.json"))


@pytest.mark.usefixtures("folder")
def test_what_comes_after_the_time_does_not_count(monkeypatch: pytest.MonkeyPatch) -> None:
    found = set_test(read_test("test.yaml"), "Ana")
    sittings.keep("Ana", found.check, sittings.Sitting(30 * 60.0, ()))
    monkeypatch.setattr(sys, "stdin", io.StringIO(typed(found.problems)))
    assert sit("test.yaml", "Ana", kept=False) == 1


@pytest.mark.usefixtures("folder")
def test_a_report_counts_every_problem_the_same() -> None:
    test = read_test("test.yaml")
    problems = set_test(test, "Ana").problems
    marks = [mark_problem(each, key_of(each)) for each in problems[:3]]
    found = report(test, problems, marks)  # two were not answered
    assert (found.points, found.of, found.passed) == (pytest.approx(3.0), 5, True)
    assert sum(of for *_, of in found.topics) == 5


def test_a_class_is_marked_from_a_spreadsheet(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    test = read_test("test.yaml")
    rows = {}
    for name in ("Ana Lark", "Ben Wick"):
        problems = set_test(test, name).problems
        keys = [key_of(each) for each in problems]
        rows[name] = {label: keys[index][key] for label, (index, key) in labels(problems).items()}
    heads = sorted({label for row in rows.values() for label in row})
    rows["Ben Wick"] = dict.fromkeys(rows["Ben Wick"], "")
    lines = [";".join(["learner", *heads])]
    lines += [";".join([name, *(row.get(head, "") for head in heads)]) for name, row in rows.items()]
    (folder / "class.csv").write_text("\n".join(lines), encoding="utf-8")
    write_papers("test.yaml", ["Ana Lark", "Ben Wick"], folder / "p.html", folder / "k.html")
    assert mark_test("test.yaml", "class.csv", json=False, solutions=False, keep=True) == 1
    told = capsys.readouterr().out
    assert "5.00 of 5 points (100 %)" in told
    assert "0.00 of 5 points (0 %)" in told
    papers, keys_text = ((folder / name).read_text(encoding="utf-8") for name in ("p.html", "k.html"))
    assert papers.count("<article>") == keys_text.count("<article>") == 2
    assert papers.count("Invented demonstration data") == 2
    assert rows["Ana Lark"]["1a"] in keys_text


@pytest.mark.parametrize("form", ["txt", "pdf"])
def test_papers_and_keys_in_other_forms(folder: Path, form: str) -> None:
    write_papers("test.yaml", ["Ana Lark", "Ben Wick"], folder / f"p.{form}", folder / f"k.{form}")
    paper, key = ((folder / f"{name}.{form}").read_bytes() for name in "pk")
    if form == "pdf":  # its letters are drawn from a font: what it says is that of the text
        assert all(data.startswith(b"%PDF-") for data in (paper, key))
        assert all(int(re.findall(rb"/Pages/Count (\d+)", data)[0]) >= 2 for data in (paper, key))
        return
    said, keyed = (" ".join(data.decode().split()) for data in (paper, key))
    for name in ("Ana Lark", "Ben Wick"):
        due = key_of(set_test(read_test("test.yaml"), name).problems[0])
        assert f"Paper of {name}: Mock test" in said
        assert all(text in keyed for text in due.values())
        assert not all(text in said for text in due.values())
    assert said.count("Invented demonstration data") == keyed.count("Invented demonstration data") == 2
    assert said.count("name ____") == 2


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("learner,1\n", "answers-empty"),
        ("learner,1\n,5 kg\n", "answer-learner"),
        ("learner,1\nAna,5 kg\nAna,6 kg\n", "answer-learner"),
        ("learner,1,9z\nAna,5 kg,3\n", "answer-label"),
    ],
)
def test_a_wrong_spreadsheet_is_refused(folder: Path, text: str, code: str) -> None:
    found = set_problems(load_aircraft("thornlea-t4"), Display(), ("fuel-mass",), 1, 5, 1)
    (folder / "a.csv").write_text(text, encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        read_answers("a.csv", found.problems)
    assert refused.value.findings[0].code == code


def test_answers_to_choose_from() -> None:
    """One is right, the others differ from it and among themselves, and each leads back to its slip."""
    offered = named = 0
    for seed in range(8):
        found = set_problems(
            load_aircraft("thornlea-t4"), Display(), tuple(TOPICS), 1 + seed % 5, seed, 12, choices=True
        )
        for problem in found.problems:
            marks = mark_problem(problem, {ask.key: str(problem.right()[ask.key]) for ask in problem.asks
                                           if isinstance(problem.right()[ask.key], str)})  # fmt: skip
            assert all(each.result in ("right", "blank") for each in marks)
            if not isinstance(problem.facts, ChoiceFacts):
                continue
            for key, ask, texts in problem.facts.offered:
                assert 3 <= len({each[3:] for each in texts}) == len(texts) <= 4
                right = problem.right()[key]
                assert right in texts
                value = problem.facts.inner.answers()[key]
                assert isinstance(value, float)
                assert str(right)[3:] == ask.text(value)
                for text in texts:
                    offered += 1
                    mark = next(m for m in mark_problem(problem, {key: text[0]}) if m.ask.key == key)
                    assert (mark.result == "right") == (text == right)
                    named += bool(mark.slips) and mark.result == "slip"
    assert offered > 200
    assert named > 0.6 * offered * 0.7


def test_a_sheet_with_choices_has_a_code_of_its_own() -> None:
    loaded = load_aircraft("thornlea-t4")
    found = set_problems(loaded, Display(), ("moments", "landing"), 3, 7, 4, choices=True)
    code = code_of(found, ("moments", "landing"), 3, 7, 4, "metric", choices=True)
    back = read_code(Path(str(code)))
    assert back.choices
    assert problems_of(back, Path(str(code))).check == found.check


def test_a_hint_tells_the_next_step_and_costs(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    problem = set_problems(load_aircraft("thornlea-t4"), Display(), ("moments",), 2, 5, 1).problems[0]
    hints: dict[str, int] = {}
    monkeypatch.setattr(sys, "stdin", io.StringIO("?\n?\n" + typed((problem,))))
    given, _ = asked_one(problem, ["1a", "1b", "1c"][: len(problem.asks)], hints)
    told = capsys.readouterr().out
    assert problem.solution[0].working in told
    assert problem.solution[1].working in told
    assert problem.solution[2].working not in told
    assert hints == {problem.asks[0].key: 2}
    mark = mark_problem(problem, given)[0]
    asked = Mark(ask=mark.ask, written=mark.written, right=mark.right, result=mark.result, hints=2)
    assert (mark.points, asked.points) == (1.0, 1.0 - 2 * HINT)
