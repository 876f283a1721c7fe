"""Marking: rounding, figures, units, words, slips carried on, files of answers, and the code of a sheet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from planner.quantities.errors import InputRefused
from planner.quantities.units import Display, UnitSystem
from planner.records.store import load_aircraft, profile_ids
from planner.school.craft import craft_of
from planner.school.dice import Pen
from planner.school.marking.answers import labels, read_answers
from planner.school.marking.mark import mark_problem
from planner.school.marking.sheetcode import _NUMBERED, SheetCode, code_of, problems_of, read_code
from planner.school.marking.writing import read_written
from planner.school.problem import LEVELS, Answers, Ask, Problem, SolutionLine
from planner.school.problems.loads import LoadFacts
from planner.school.slips.register import traces
from planner.school.topics import TOPICS, set_one, set_problems
from planner.views.school.practice_paper import sheet_of
from tests.sizes import in_turn, stride

MASS = Ask(key="mass", words="the mass", dimension="mass", unit="kg", step=0.1, slack=0.1)


@dataclass(frozen=True, slots=True)
class Given:
    """Facts that are their own answers."""

    values: tuple[tuple[str, float | str], ...]

    def answers(self) -> Answers:
        return dict(self.values)


def problem(ask: Ask, value: float | str) -> Problem:
    return Problem(
        topic="moments",
        level=1,
        aircraft=load_aircraft("thornlea-t4").record,
        question=("?",),
        tables=(),
        asks=(ask,),
        facts=Given(((ask.key, value),)),
        solution=(SolutionLine("x", "y"),),
        lesson="",
    )


def result(ask: Ask, value: float | str, text: str) -> str:
    return mark_problem(problem(ask, value), {ask.key: text})[0].result


# 958.512 kg is 958.5 to the step; half a step and the slack of 0.1 are allowed either way.
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("958.5 kg", "right"),
        ("958.6 kg", "right"),
        ("958.512 kg", "right"),
        ("958.7 kg", "not recognised"),
        ("958.3 kg", "not recognised"),
        ("959 kg", "too few figures"),
        ("958 kg", "not recognised"),  # not even right to the figures written: it would be 959
        ("958.5", "no unit"),
        ("958.5 lb", "wrong unit"),
        ("2113.2 lb", "right"),  # the same mass in pounds, 958.53 kg
        ("", "blank"),
        ("about a ton", "unreadable"),
    ],
)
def test_to_the_nearest(text: str, expected: str) -> None:
    assert result(MASS, 958.512, text) == expected


def test_a_comma_that_is_not_read_is_told() -> None:
    assert result(MASS, 958.512, "958,5 kg") == "right"
    mark = mark_problem(problem(MASS, 958.512), {"mass": "958,512 kg"})[0]
    assert (mark.result, mark.points) == ("unreadable", 0.0)
    assert "comma" in mark.told


def test_rounded_up_has_a_safe_side() -> None:
    """18.33 USgal to drain is 18.4 (FAA-H-8083-1B, ballast and drained fuel are rounded to the safe side):
    18.3 leaves it too heavy.
    """
    ask = Ask(
        key="drained", words="to drain", dimension="volume", unit="USgal", step=0.1, slack=0.1, direction="up"
    )
    value = 18.333333 * 3.785411784e-3
    assert ask.text(value) == "18.4 USgal"
    assert result(ask, value, "18.4 USgal") == "right"
    assert result(ask, value, "18.5 USgal") == "right"
    assert result(ask, value, "18.3 USgal") == "not recognised"
    assert result(ask, value, "18.7 USgal") == "not recognised"


def test_rounded_down_has_the_other() -> None:
    ask = Ask(key="room", words="room", dimension="mass", unit="kg", step=0.1, slack=0.1, direction="down")
    assert [result(ask, 12.37, text) for text in ("12.3 kg", "12.2 kg", "12.4 kg", "12.0 kg")] == [
        "right",
        "right",
        "not recognised",
        "not recognised",
    ]


def test_a_conversion_must_be_in_the_unit_asked_for() -> None:
    ask = Ask(key="converted", words="in kg", dimension="mass", unit="kg", step=0.1, exact_unit=True)
    assert result(ask, 68.04, "68.0 kg") == "right"
    assert result(ask, 68.0389, "150 lb") != "right"  # the question's own words back


def test_words_may_be_shortened_as_long_as_they_are_clear() -> None:
    ask = Ask("verdict", "?", choices=("inside", "outside"))
    assert [result(ask, "inside", text) for text in ("inside", "Inside ", "in", "i", "outside", "maybe")] == [
        "right"
    ] * 4 + ["slip", "unreadable"]
    enough = Ask("enough", "?", choices=("enough", "not enough"))
    assert [result(enough, "not enough", text) for text in ("not enough", "n", "enough")] == [
        "right",
        "right",
        "slip",
    ]


def test_a_plain_number_has_no_unit() -> None:
    ask = Ask("index", "index", step=0.01)
    assert result(ask, 2163.27, "2163.27") == "right"
    assert result(ask, 2163.27, "2163.27 kg.m") == "wrong unit"


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("5,5 m", 5.5),
        ("0,720 m", 0.72),
        ("-0,7 m", -0.7),
        ("12,34 m", 12.34),
        ("2,2981 m", 2.2981),
        ("−5,25 m", -5.25),
    ],
)
def test_a_decimal_comma_is_read_where_it_cannot_mean_thousands(text: str, value: float) -> None:
    assert read_written(
        Ask(key="cg", words="CG", dimension="length", unit="m", step=0.001), text
    ).value == pytest.approx(value)


@pytest.mark.parametrize("text", ["2,298 m", "1,234,567 m", "1,234.5 m", "1.234,5 m", "12,345 m", ",5 m"])
def test_a_comma_that_may_mean_thousands_is_not_guessed(text: str) -> None:
    written = read_written(Ask(key="cg", words="CG", dimension="length", unit="m", step=0.001), text)
    assert (written.value, written.fault) == (None, "unreadable")
    assert written.told


def test_minus_signs_of_any_kind_are_read() -> None:
    ask = Ask(key="cg", words="CG", dimension="length", unit="m", step=0.001)
    assert {result(ask, -0.702, text) for text in ("-0.702 m", "−0.702 m", "- 0.702 m")} == {"right"}
    assert read_written(ask, "-702 mm").value == pytest.approx(-0.702)


def moments() -> Problem:
    return set_one(craft_of(load_aircraft("thornlea-t4"), Pen(Display("metric"))), "moments", 3, 7)


def test_one_slip_is_named_once_and_then_carried_on() -> None:
    here = moments()
    wrong = next(each for each in traces(here.facts) if each.slip.name == "superseded-empty")
    marks = mark_problem(here, {ask.key: ask.text(wrong.answers[ask.key]) for ask in here.asks})
    assert [mark.result for mark in marks] == ["slip", "carried on", "carried on"]
    assert [mark.points for mark in marks] == [0.0, 0.5, 0.5]
    assert {each.slip.name for mark in marks for each in mark.slips} == {"superseded-empty"}


def test_of_two_slips_that_lead_to_one_figure_neither_is_named() -> None:
    """Two people of one mass, and a bag as heavy as one of them: leaving out either gives the same total
    mass.
    """
    here = moments()
    facts = here.facts
    assert isinstance(facts, LoadFacts)
    lines = [line for line in facts.lines if line.kind in ("empty", "fuel")]
    seats = next(line for line in facts.lines if line.kind == "seats")
    two = replace(seats, mass=150.0, people=(75.0, 75.0))
    bag = replace(seats, name="baggage", kind="baggage", mass=75.0, people=())
    spoilt = replace(here, facts=replace(facts, lines=(lines[0], two, bag, *lines[1:])), asks=here.asks[:1])
    value = spoilt.right()["mass"]
    assert isinstance(value, float)
    mark = mark_problem(spoilt, {"mass": f"{value - 75.0:.1f} kg"})[0]
    assert mark.result == "not recognised"
    assert {"one-person", "item-left-out"} <= {each.slip.name for each in mark.likely}


FIRST = (
    "planner-sheet/1 aircraft=thornlea-t4 topics=fuel-mass,moments,landing level=3 seed=7 count=3"
    " units=metric check=68843a41"
)


def sheet(tmp_path: Path) -> tuple[Path, SheetCode]:
    found = set_problems(load_aircraft("thornlea-t4"), Display("metric"), ("fuel-mass", "moments"), 2, 3, 2)
    code = code_of(found, ("fuel-mass", "moments"), 2, 3, 2, "metric")
    path = tmp_path / "sheet.txt"
    path.write_text(f"anything\nSheet code: {code}\n", encoding="utf-8")
    return path, code


def test_a_code_sets_the_same_problems_again(tmp_path: Path) -> None:
    path, code = sheet(tmp_path)
    assert str(read_code(path)) == str(code)
    found = problems_of(read_code(path), path)
    assert code.check.startswith(read_code(path).check)
    assert list(labels(found.problems)) == ["1", "2a", "2b", "2c"]


@pytest.mark.parametrize(
    ("topics", "seed", "groups"),
    [
        (tuple(TOPICS), 7, 3),
        (("mac",), 999_999, 3),
        (("moments", "bottle"), 12, 4),
        (tuple(TOPICS), 10**9, 4),
    ],
)
def test_a_code_is_short_and_says_all(topics: tuple[str, ...], seed: int, groups: int) -> None:
    found = set_problems(load_aircraft("thornlea-t4"), Display("uk"), topics, 5, seed, 4)
    code = code_of(found, topics, 5, seed, 4, "uk")
    assert [len(group) for group in str(code).split("-")] == [4] * groups
    back = read_code(Path(str(code)))
    assert (back.topics, back.level, back.seed, back.count, back.units) == (topics, 5, seed, 4, "uk")
    assert problems_of(back, Path(str(code))).check == found.check


def test_the_numbers_of_the_topics_in_a_code_never_change() -> None:
    assert _NUMBERED[:8] == (
        "units",
        "density",
        "fuel-mass",
        "moments",
        "negative-arms",
        "index",
        "mac",
        "envelope",
    )
    assert _NUMBERED[8:15] == ("room", "fuel-plan", "landing", "shift", "correction", "weighing", "bottle")
    assert _NUMBERED[15:20] == ("loading-graph", "envelope-paper", "load-tables", "dip-table", "lateral")
    assert _NUMBERED[20:24] == ("payload", "jacks", "burn-past", "fuel-check")


def test_a_code_copied_by_hand_is_read_or_refused(tmp_path: Path) -> None:
    path, code = sheet(tmp_path)
    text = str(code)
    for written in (text.lower(), text.replace("0", "O").replace("1", "l"), text.replace("-", "-\n   ")):
        path.write_text(f"Sheet code: {written}\n", encoding="utf-8")
        assert str(read_code(path)) == text
    for at, sign in enumerate(text):
        for other in "0123456789ABCDEFGHJKMNPQRSTVWXYZ" if sign != "-" else "":
            if other != sign:
                with pytest.raises(InputRefused) as refused:
                    read_code(Path(f"{text[:at]}{other}{text[at + 1 :]}"))
                assert refused.value.findings[0].code == "sheet-code-slip"


def test_a_code_of_the_first_edition_is_read_wherever_its_lines_break(tmp_path: Path) -> None:
    path = tmp_path / "sheet.html"
    for cut in range(len("planner-sheet/1 "), len(FIRST)):
        path.write_text(f"<p>Sheet code: <code>{FIRST[:cut]}\n  {FIRST[cut:]}</code></p>", encoding="utf-8")
        assert read_code(path).topics == ("fuel-mass", "moments", "landing")
        assert read_code(path).edition == 1
    found = problems_of(read_code(path), path)
    assert [problem.topic for problem in found.problems] == ["fuel-mass", "moments", "landing"]


def test_an_aircraft_of_ones_own_is_found_beside_the_sheet(tmp_path: Path) -> None:
    text = (
        Path("aircraft_profiles/thornlea-t4.yaml")
        .read_text(encoding="utf-8")
        .replace("arm: 3.630 m", "arm: 3.631 m")
    )
    (tmp_path / "my own.yaml").write_text(text, encoding="utf-8")
    found = set_problems(load_aircraft(str(tmp_path / "my own.yaml")), Display("metric"), ("room",), 2, 3, 2)
    path = tmp_path / "sheet.txt"
    path.write_text(f"{code_of(found, ('room',), 2, 3, 2, 'metric')}", encoding="utf-8")
    assert problems_of(read_code(path), path).check == found.check
    (tmp_path / "my own.yaml").rename(tmp_path / "gone")
    with pytest.raises(InputRefused) as refused:
        problems_of(read_code(path), path)
    assert refused.value.findings[0].code == "sheet-changed"
    assert problems_of(read_code(path), path, str(tmp_path / "gone")).check == found.check


@pytest.mark.parametrize("name", profile_ids())
def test_the_key_of_every_sheet_is_marked_right(name: str, tmp_path: Path) -> None:
    """Every topic and profile, the levels, systems of units and sheets of text and HTML in turn: what the key
    says is all right.
    """
    loaded, first = load_aircraft(name), profile_ids().index(name)
    kinds = (tmp_path / "a.txt", tmp_path / "a.html")
    systems: tuple[UnitSystem, ...] = ("metric", "us", "uk")
    turn, every = first // 3 + first, stride(3)
    for level, system in in_turn(
        LEVELS[first % every :: every], [*systems[turn % 3 :], *systems[: turn % 3]]
    ):
        found = set_problems(loaded, Display(system), tuple(TOPICS), level, 40 + level, len(TOPICS))
        code = str(code_of(found, tuple(TOPICS), level, 40 + level, len(TOPICS), system))
        path = kinds[(first + level) % 2]
        path.write_bytes(sheet_of(found, code, path.suffix, key=False))
        again = problems_of(read_code(path), path, name)
        assert again.check == found.check
        for problem in again.problems:
            right = problem.right()
            marks = mark_problem(problem, {ask.key: ask.text(right[ask.key]) for ask in problem.asks})
            assert {mark.result for mark in marks} == {"right"}


@pytest.mark.parametrize("edition", [2, 3])
def test_a_sheet_is_set_as_when_it_was_printed(edition: int) -> None:
    """Fuel burnt past a limit could not be set on this profile at first: its sheets had other problems."""
    topics, loaded = tuple(TOPICS), load_aircraft("saltmere-samphire")
    found = set_problems(loaded, Display(), topics, 3, 5, len(topics), edition)
    assert any(each.topic == "burn-past" for each in found.problems) == (edition > 2)
    code = str(code_of(found, topics, 3, 5, len(topics), "metric"))
    assert problems_of(read_code(Path(code)), Path(code), "saltmere-samphire").check == found.check


def test_no_problem_stands_twice_on_a_sheet() -> None:
    found = set_problems(load_aircraft("saltmere-samphire"), Display("metric"), ("bottle", "units"), 1, 3, 60)
    printed = [(problem.question, problem.tables) for problem in found.problems]
    assert len(set(printed)) == len(printed)


def test_a_key_is_no_sheet(tmp_path: Path) -> None:
    path, code = sheet(tmp_path)
    found = problems_of(code, path)
    path.write_bytes(sheet_of(found, str(code), ".txt", key=True))
    with pytest.raises(InputRefused) as refused:
        read_code(path)
    assert refused.value.findings[0].code == "sheet-no-code"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("no code here", "sheet-no-code"),
        (
            (
                "planner-sheet/1 aircraft=thornlea-t4 topics=moments level=7 seed=1 count=1 units=metric"
                " check=00000000"
            ),
            "sheet-no-code",
        ),
        (
            (
                "planner-sheet/1 aircraft=thornlea-t4 topics=knitting level=2 seed=1 count=1 units=metric"
                " check=00000000"
            ),
            "topic-unknown",
        ),
    ],
)
def test_a_sheet_that_is_none_is_refused(text: str, expected: str, tmp_path: Path) -> None:
    path = tmp_path / "sheet.txt"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        read_code(path)
    assert [each.code for each in refused.value.findings] == [expected]


def test_a_changed_profile_is_noticed(tmp_path: Path) -> None:
    text = Path("aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    (tmp_path / "own.yaml").write_text(text.replace("arm: 3.630 m", "arm: 3.631 m"), encoding="utf-8")
    path = tmp_path / "sheet.txt"
    path.write_text(FIRST.replace("thornlea-t4", "own.yaml"), encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        problems_of(read_code(path), path)
    assert refused.value.findings[0].code == "sheet-changed"
    assert "first edition" in refused.value.findings[0].message


def test_every_wrong_label_is_told_at_once(tmp_path: Path) -> None:
    path, code = sheet(tmp_path)
    answers = tmp_path / "answers.yaml"
    answers.write_text(
        "answers: 1\nlearners:\n  Ana: {2a: 900 kg, 2z: 3 kg, 9: 2 kg}\n  Ben: {2B: 5 kg.m, 1: [1, 2]}\n",
        encoding="utf-8",
    )
    with pytest.raises(InputRefused) as refused:
        read_answers(str(answers), problems_of(code, path).problems)
    assert [(each.code, each.line) for each in refused.value.findings] == [
        ("answer-label", 3),
        ("answer-label", 3),
        ("answer-not-text", 4),
    ]


def test_answers_are_sorted_to_their_problems(tmp_path: Path) -> None:
    path, code = sheet(tmp_path)
    answers = tmp_path / "answers.yaml"
    answers.write_text("answers: 1\ngiven: {2a: 900 kg, 2C: 2.3, 1: }\n", encoding="utf-8")
    assert read_answers(str(answers), problems_of(code, path).problems) == {
        "": {1: {"mass": "900 kg", "cg": "2.3"}, 0: {"mass": ""}}
    }


def test_no_answers_at_all_are_refused(tmp_path: Path) -> None:
    path, code = sheet(tmp_path)
    answers = tmp_path / "answers.yaml"
    answers.write_text("answers: 1\n", encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        read_answers(str(answers), problems_of(code, path).problems)
    assert refused.value.findings[0].code == "answers-empty"
