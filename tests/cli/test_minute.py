"""The pilot's minute: the brief report, the first screen, the last lines, the block before engine start, and the
small things of the command line.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from planner.flight.envelope import Verdict
from planner.plan import plan_file
from planner.quantities.units import Display
from planner.records.store import load_flight_file
from planner.search.remedies.headroom import headroom, least_uplift
from planner.search.varied import case_of
from planner.views.blocks import Page, Paragraph, Table, found
from planner.views.sheet.sheet import NO_LIMIT, render_changes
from planner.views.words import decides, headline, verdict_sentence
from tests.cli import forked
from tests.cli.test_set import DEMO, FLIGHTS, ROOT, data, flat, run

ALL = [
    path
    for path in sorted(FLIGHTS.glob("*.yaml"))
    if re.search(r"^flight: 1$", path.read_text(encoding="utf-8"), re.MULTILINE)
]
ONE_LEG = [path for path in ALL if "\nlegs:" not in path.read_text(encoding="utf-8")]


def program(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return forked.run(*arguments, env={"COLUMNS": "80"} | environment)


@pytest.mark.parametrize("units", ["metric", "us", "uk"])
@pytest.mark.parametrize("path", ONE_LEG, ids=lambda path: path.stem)
def test_brief_is_fifteen_lines_with_all_of_it(path: Path, units: str) -> None:
    plan = plan_file(path)
    code, text, _ = run("flight", str(path), "--brief", "--units", units)
    assert code == (0 if plan.verdict == "inside" else 1)
    lines = (
        program("flight", str(path), "--brief", "--units", units).stdout.splitlines()
        if units == "uk"
        else text.splitlines()
    )
    assert len(lines) <= 15
    assert all(len(line) <= (80 if units == "uk" else 100) for line in lines)
    whole, shown = flat(text), Display(units)  # type: ignore[arg-type]
    assert whole.startswith(f"{plan.verdict.upper()}. ")
    assert decides(plan, shown).texts[0] in whole
    for state in plan.states:
        assert shown.text(state.total.mass, "mass") in whole
    for volume in (plan.fuel.aboard, plan.fuel.required, plan.fuel.final_reserve.volume):
        assert shown.text(volume, "volume") in whole
    assert "Endurance" in whole
    assert "'inside' does not mean safe to fly" in whole
    assert plan.aircraft.invented == ("INVENTED data, never fly with it" in whole)


def test_brief_says_first_what_was_changed_and_tells_each_leg() -> None:
    _, text, _ = run("flight", DEMO, "--brief", "--set", "rear seats 2=60 kg")
    assert text.startswith("Changed: load > rear seats > 2: 60 kg (was 72 kg).")
    _, text, _ = run("flight", str(FLIGHTS / "three-legs.yaml"), "--brief")
    assert [f"leg {number}:" in text for number in (1, 2, 3)] == [True] * 3
    assert text.count("CAUTION: ") == 1


@pytest.mark.parametrize("other", ["--json", "--working", "--certainty", "--draws=100"])
def test_brief_with_what_makes_it_longer_is_refused(other: str) -> None:
    code, out, err = run("flight", DEMO, "--brief", other)
    assert code == 2
    assert "--brief and --" in out + err


@pytest.mark.parametrize("path", ONE_LEG, ids=lambda path: path.stem)
def test_the_verdict_stands_first_and_last(path: Path) -> None:
    plan = plan_file(path)
    _, text, _ = run("flight", str(path))
    assert (
        flat(text).rstrip(" ━─=-").endswith(verdict_sentence(plan, Display(plan.aircraft.units or "metric")))
    )
    order = [
        text.index(each)
        for each in ("VERDICT", "WHAT DECIDES", "STATES", "\nFUEL\n", "BEFORE ENGINE START", "FUEL DENSITY")
    ]
    assert order == sorted(order)
    assert headline(plan) in flat(text)


WORDS: dict[Verdict, str] = {"inside": "INSIDE", "not shown inside": "NOT SHOWN INSIDE", "outside": "OUTSIDE"}


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.stem)
def test_the_headline_is_the_verdict(path: Path) -> None:
    plan = plan_file(path)
    assert headline(plan).startswith(WORDS[plan.verdict])
    passed = [each for each in decides(plan, Display()).first if each.startswith("fuel ")]
    assert (plan.fuel.verdict == "outside") == ("fuel is short" in headline(plan))
    assert passed or plan.verdict != "inside"


def test_before_engine_start_names_drains_colour_grade_and_dips() -> None:
    _, text, _ = run("flight", DEMO)
    block = flat(text[text.index("BEFORE ENGINE START") : text.index("FUEL DENSITY")])
    for words in ("left tank sump", "right tank sump", "filter bowl", "after each uplift", "clear jar", "blue", "fades",
                  "clear and bright", "globules", "layer", "Smell", "water alone looks clean", "no flight", "ticket: Avgas 100LL", "Dip every tank on level ground"):  # fmt: skip
        assert words in block, words
    found_there = data("flight", DEMO)[1]["before_engine_start"]
    assert found_there["drains"] == ["left tank sump", "right tank sump", "filter bowl"]
    assert len(found_there["looks"]) == 5


def test_a_profile_without_drains_gets_a_notice_and_is_told_so(tmp_path: Path) -> None:
    text = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    bare = re.sub(r"^drains:.*\n", "", text, flags=re.MULTILINE)
    assert bare != text
    (tmp_path / "bare.yaml").write_text(bare, encoding="utf-8")
    _, out, err = run("aircraft", "check", str(tmp_path / "bare.yaml"))
    assert "drain points" in flat(out + err)
    flight = (FLIGHTS / "demo.yaml").read_text(encoding="utf-8").replace("thornlea-t4 ", "./bare.yaml ")
    (tmp_path / "flight.yaml").write_text(flight, encoding="utf-8")
    assert "none named in the profile" in flat(run("flight", str(tmp_path / "flight.yaml"))[1])


@pytest.mark.parametrize("width", ["80", "120"])
def test_no_colour_means_neither_bold_nor_dim(width: str) -> None:
    done = program("flight", DEMO, NO_COLOR="1", FORCE_COLOR="1", COLUMNS=width, TERM="xterm-256color")
    assert "\x1b" not in done.stdout
    loud = program("flight", DEMO, FORCE_COLOR="1", COLUMNS=width, TERM="xterm-256color")
    assert "\x1b[1" in loud.stdout, "the check would see it"
    assert max(map(len, done.stdout.splitlines())) <= int(width)


def test_the_last_minute_table_says_where_nothing_limits() -> None:
    case = case_of(*load_flight_file(FLIGHTS / "local-solo.yaml"))
    page = Page()
    render_changes(page, case.plan, headroom(case), Display())
    rows = {row.cells[0]: row.cells for row in found(page.blocks, Table, "changes").rows}
    station, seat = case.plan.aircraft.pilot_seat() or ("", 0)
    own = next(cells for name, cells in rows.items() if name in (station, f"{station} {seat + 1}"))
    assert own[2] == NO_LIMIT or float(own[2].split()[0]) > 0
    assert not any(cell.startswith("over ") for cells in rows.values() for cell in cells)


def test_the_least_uplift_is_the_least_that_makes_it_inside() -> None:
    case = case_of(*load_flight_file(FLIGHTS / "short-of-fuel.yaml"))
    uplift = least_uplift(case)
    assert uplift is not None
    tanks = len(case.plan.fuel.tanks)
    share = {each.tank.name: each.volume for each in case.plan.fuel.tanks}

    def verdict(volume: float) -> str:
        changes = {f"fuel.{name}": f"{(held + volume / tanks) * 1000} L" for name, held in share.items()}
        return plan_file_of(changes)

    def plan_file_of(changes: dict[str, str]) -> str:
        from planner.plan import plan_flight

        loaded, plane = load_flight_file(FLIGHTS / "short-of-fuel.yaml")
        return plan_flight(loaded.with_(changes), plane).verdict

    assert verdict(uplift) == "inside"
    assert verdict(uplift - tanks * 1e-3) != "inside"
    page = Page()
    render_changes(page, case.plan, None, Display(), uplift)
    assert any(
        Display().text(uplift, "volume") in each.text for each in page.blocks if isinstance(each, Paragraph)
    )


def test_one_figure_for_a_row_says_where_it_was_put() -> None:
    _, text, _ = run("flight", DEMO, "--set", "front seats=150 kg")
    assert "front seats: one figure for 2 seats" in flat(text)
    assert "one figure for" not in run("flight", DEMO)[1]


def test_the_version_is_told() -> None:
    from importlib.metadata import version

    assert run("--version") == (0, f"planner {version('planner')}\n", "")


@pytest.mark.parametrize("typed", ["q\n", "Q\n", " q \n"])
def test_q_leaves_practise(typed: str) -> None:
    asked = run("practise", "--seed", "7", "--count", "3", stdin=typed)
    ended = run("practise", "--seed", "7", "--count", "3", stdin="")
    assert asked[0] == ended[0]
    assert asked[1].count("Problem") == ended[1].count("Problem")
    assert "cannot be read" not in asked[1]


@pytest.mark.parametrize(("typed", "near"), [("flihgt", "flight"), ("sheat", "sheet"), ("remdy", "remedy")])
def test_a_wrong_verb_gets_its_near_ones(typed: str, near: str) -> None:
    code, out, err = run(typed, DEMO)
    assert code == 2
    assert f"Did you mean '{near}'" in out + err


def completed(words: str, at: int) -> list[str]:
    done = program(_PLANNER_COMPLETE="complete_bash", COMP_WORDS=words, COMP_CWORD=str(at))
    assert done.stderr == ""
    return done.stdout.splitlines()


@pytest.mark.parametrize(
    ("words", "at", "wanted"),
    [
        ("planner fli", 1, ["flight"]),
        ("planner flight thorn", 2, ["thornlea-t4", "thornlea-t4b"]),
        (f"planner flight {FLIGHTS}/dem", 2, [DEMO]),
        (f"planner flight {DEMO} --set fuel.", 4, ["fuel.left=", "fuel.right="]),
        (f"planner sheet {DEMO} out.html --set 'rea", 5, ["rear seats=", "rear seats 1=", "rear seats 2="]),
        ("planner flight corvedale-sextet --set fuel.left", 4, ["fuel.left auxiliary=", "fuel.left main="]),
        ("planner flight none.yaml --set fue", 4, ["fuel="]),
    ],
)
def test_a_shell_is_told_what_may_follow(words: str, at: int, wanted: list[str]) -> None:
    assert completed(words, at) == wanted


def test_a_bottle_is_not_offered_as_a_flight() -> None:
    assert not [each for each in completed(f"planner flight {FLIGHTS}/bot", 2) if each.endswith(".yaml")]


def test_completion_costs_a_plan_nothing() -> None:
    code = (
        "import sys; sys.argv = ['planner', 'flight']; from planner.app.app import parser; parser('flight');"
        "print([each for each in ('planner.app.given.completing', 'planner.records.store') if each in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        check=True,
    )
    assert done.stdout.strip() == "[]"
