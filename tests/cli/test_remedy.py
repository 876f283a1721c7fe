"""`planner remedy` and the legs of `planner flight` as a user meets them: screens, exit codes, JSON, wrong
input.
"""

from __future__ import annotations

import json
import re
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.app.common import BAD_INPUT, INSIDE, NOT_INSIDE
from tests.cli import forked
from tests.sizes import TIMES, in_turn

ROOT = Path(__file__).parents[2]
FLIGHTS = ROOT / "docs/flights"
OUTSIDE = [
    *(
        ["full-tanks", "seat-order"] if TIMES > 1 else []
    ),  # seconds each, and the engine's own tests have them
    "not-shown-inside",
    "fuel-ahead-of-cg",
    "middle-of-the-flight",
    "short-of-fuel",
]


@cache  # the same command says the same, and a search takes seconds
def run(*arguments: str, columns: int = 100) -> tuple[int, str]:
    done = CliRunner().invoke(app, list(arguments), env={"COLUMNS": str(columns), "NO_COLOR": "1"})
    return done.exit_code, done.stdout


def data(*arguments: str) -> tuple[int, dict[str, Any]]:
    code, text = run(*arguments, "--json")
    found = json.loads(text)
    assert isinstance(found, dict)
    return code, found


@pytest.mark.parametrize("name", OUTSIDE)
def test_a_flight_outside_gets_remedies_and_exit_code_1(name: str) -> None:
    code, found = data("remedy", str(FLIGHTS / f"{name}.yaml"))
    assert code == NOT_INSIDE
    assert found["schema"] == "planner/remedy/1"
    assert found["cautions"]
    assert found["singles"] or found["pairs"]
    for remedy in (*found["singles"], *found["pairs"]):
        assert remedy["result"]["verdict"] == "inside"
        assert all(step["words"] for step in remedy["steps"])
    assert "room" not in found


def test_a_flight_inside_gets_its_room_and_exit_code_0() -> None:
    code, found = data("remedy", str(FLIGHTS / "local-solo.yaml"))
    assert code == INSIDE
    assert found["singles"] == found["pairs"] == found["impossible"] == []
    fuel = found["room"]["fuel"][0]
    assert fuel["lower_edge_l"] <= fuel["least_l"] <= fuel["now_l"] <= fuel["most_l"] <= fuel["upper_edge_l"]
    assert all(row["one_more_bag_kg"] for row in found["room"]["card"])


@pytest.mark.parametrize(
    ("asked", "columns"),
    in_turn(list(product(["fuel-ahead-of-cg", "local-solo"], ["metric", "us", "uk"])), [80, 120]),
)
def test_the_screen_keeps_its_width_and_begins_and_ends_with_cautions(
    asked: tuple[str, str], columns: int
) -> None:
    name, units = asked
    _, text = run("remedy", str(FLIGHTS / f"{name}.yaml"), "--units", units, columns=columns)
    lines = text.splitlines()
    assert max(map(len, lines)) <= columns
    assert any("CAUTION" in line for line in lines[:6])
    assert any(line.strip(" ━=") == "CAUTIONS" for line in lines)
    assert "\x1b" not in text
    assert bool(re.search(r"\blb\b", text)) == (units != "metric")


def test_american_figures_are_whole_pounds_and_half_gallons() -> None:
    _, found = data("remedy", str(FLIGHTS / "fuel-ahead-of-cg.yaml"), "--units", "us")
    (bag,) = [remedy["steps"][0] for remedy in found["singles"] if remedy["steps"][0]["kind"] == "limit"]
    pounds = bag["value_kg"] / 0.45359237
    assert pounds == pytest.approx(round(pounds), abs=1e-9)
    assert bag["value_kg"] <= bag["edge_kg"]


def test_json_tells_the_room_of_every_figure_and_what_was_tried() -> None:
    name = "seat-order" if TIMES > 1 else "middle-of-the-flight"
    _, found = data("remedy", str(FLIGHTS / f"{name}.yaml"))
    assert "single changes were tried" in found["tried"]
    figures = 0
    for remedy in (*found["singles"], *found["pairs"]):
        assert isinstance(remedy["narrow"], bool)
        assert remedy["uneven_l"] >= 0
        for step in remedy["steps"]:
            for unit in ("kg", "l"):
                if f"room_{unit}" in step:
                    figures += 1
                    assert step[f"room_{unit}"] == pytest.approx(
                        step[f"inside_to_{unit}"] - step[f"inside_from_{unit}"]
                    )
                    assert (
                        step["kind"] == "fuel stop"
                        or step[f"inside_from_{unit}"] <= step[f"value_{unit}"] <= step[f"inside_to_{unit}"]
                    )
    assert figures
    code, text = run("remedy", str(FLIGHTS / f"{name}.yaml"), "--units", "us")
    assert code == NOT_INSIDE
    assert "Room: inside between" in text
    assert not re.search(r"\d (kg|L|mm)\b", text.split("NOTICES")[0])


def test_pairs_are_sought_when_asked_for() -> None:
    _, found = data("remedy", str(FLIGHTS / "short-of-fuel.yaml"), "--pairs")
    assert found["pairs_sought"]
    _, without = data("remedy", str(FLIGHTS / "short-of-fuel.yaml"))
    assert not without["pairs_sought"]


def test_across_aircraft() -> None:
    code, found = data("remedy", str(FLIGHTS / "demo.yaml"), "--across", str(ROOT / "aircraft_profiles"))
    assert code == INSIDE
    assert found["schema"] == "planner/remedy-across/1"
    assert {each["possible"] for each in found["aircraft"]} == {True, False}
    for each in found["aircraft"]:
        assert each["possible"] != bool(each["reason"])
    code, text = run(
        "remedy", str(FLIGHTS / "demo.yaml"), "--across", str(ROOT / "aircraft_profiles"), columns=80
    )
    assert code == INSIDE
    assert "CAN NOT" in text
    assert max(map(len, text.splitlines())) <= 80


def test_bad_input_is_told_with_exit_code_2(tmp_path: Path) -> None:
    broken = tmp_path / "legs.yaml"
    broken.write_text(
        (FLIGHTS / "three-legs.yaml")
        .read_text(encoding="utf-8")
        .replace("uplift: {left: 15 L", "uplift: {left: 150 L"),
        encoding="utf-8",
    )
    for arguments, code in (
        (["remedy", str(tmp_path / "none.yaml")], "file-unreadable"),
        (["remedy", str(FLIGHTS / "demo.yaml"), "--across", str(tmp_path / "none")], "folder-unreadable"),
        (["remedy", str(FLIGHTS / "demo.yaml"), "--units", "imperial"], "units-unknown"),
        (["flight", str(broken)], "tank-overfilled"),
    ):
        done = forked.run(*arguments, "--json", real="none" in arguments[-1])
        assert done.returncode == BAD_INPUT
        assert [finding["code"] for finding in json.loads(done.stdout)["findings"]] == [code]
        assert done.stderr == ""


def test_legs_are_told_one_by_one_and_the_worst_counts() -> None:
    code, found = data("flight", str(FLIGHTS / "three-legs.yaml"))
    assert code == NOT_INSIDE
    assert found["schema"] == "planner/flight/1"
    assert found["verdict"] == "outside"
    assert [leg["verdict"] for leg in found["legs"]] == ["inside", "inside", "outside"]
    second = found["legs"][1]
    assert second["order"]["total_l"] == pytest.approx(30)
    low, high = second["put_in_l"]
    assert low <= 30 <= high
    assert found["legs"][2]["put_in_l"][0] > found["legs"][2]["order"]["total_l"]
    assert found["states"] == found["legs"][0]["plan"]["states"]


@pytest.mark.parametrize("columns", [80, 120])
def test_the_screen_of_legs(columns: int) -> None:
    code, text = run("flight", str(FLIGHTS / "three-legs.yaml"), columns=columns)
    assert code == NOT_INSIDE
    assert max(map(len, text.splitlines())) <= columns
    for words in (
        "LEG 1: TO FENMARSH",
        "Put in between",
        "order at the pump",
        "Grade on the ticket: Avgas 100LL",
        "CAUTIONS",
    ):
        assert words in text


def test_legs_with_working_and_draws() -> None:
    _, found = data("flight", str(FLIGHTS / "three-legs.yaml"), "--working", "--draws", "200")
    for leg in found["legs"]:
        assert leg["plan"]["working"]
        assert leg["plan"]["certainty"]["draws"]["count"] == 200


def test_a_flight_of_one_leg_has_no_legs() -> None:
    _, found = data("flight", str(FLIGHTS / "demo.yaml"))
    assert "legs" not in found
