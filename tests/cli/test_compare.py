"""`planner compare`: two to five loadings in columns, each row a limit of the register, found by its id."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.flight.limits import ENOUGH, STATES, register
from planner.plan import plan_file
from planner.quantities.errors import InputRefused
from planner.quantities.units import Display
from planner.views.words import verdict_sentence

FLIGHTS = Path(__file__).parents[2] / "docs/flights"
DEMO, FULL, UTILITY, UNSURE, TWIN, LEGS = (
    str(FLIGHTS / f"{name}.yaml")
    for name in ("demo", "full-tanks", "utility", "not-shown-inside", "twin-ifr", "three-legs")
)
FIVE = (DEMO, FULL, UTILITY, UNSURE, TWIN)


def run(*arguments: str, wide: int = 80, stdin: str | None = None) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["compare", *arguments], input=stdin, env={"COLUMNS": str(wide)})
    if isinstance(done.exception, InputRefused):
        raise done.exception
    return done.exit_code, done.stdout


def data(*arguments: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(run(*arguments, "--json")[1])
    return found


def refused(*arguments: str, stdin: str | None = None) -> list[tuple[str, str]]:
    with pytest.raises(InputRefused) as caught:
        run(*arguments, stdin=stdin)
    return [(each.code, each.path) for each in caught.value.findings]


def test_every_limit_of_the_register_is_a_row_with_the_margins_of_the_plans() -> None:
    rows = {(each["place"], each["id"]): each for each in data(DEMO, FULL)["limits"]}
    plans = [plan_file(DEMO), plan_file(FULL)]
    asked = {
        (limit.place, limit.id)
        for limit in register(plans[0].aircraft, "normal")
        if limit.place != "load" or limit.asked(plans[0].flight.load)
    }
    assert set(rows) == asked | {("fuel", ENOUGH)}
    for at, plan in enumerate(plans):
        for limit in plan.limits():
            check = rows[limit.place, limit.id]["checks"][at]
            assert (check["margin"], check["verdict"]) == (limit.margin, limit.verdict)
    for row in rows.values():
        first, second = row["checks"]
        assert row["differences"] == [second["margin"] - first["margin"]]


def test_one_seat_heavier_by_hand() -> None:
    """28 kg more on a rear seat, arm 3.005 m: 28 kg less of every mass margin, and the moment of them."""
    found = data(DEMO, "--set", "rear seats 2=100 kg", "--against")
    rows = {(each["place"], each["id"]): each for each in found["limits"]}
    for place in ("ramp", "takeoff", "landing"):
        assert rows[place, "mass/greatest"]["differences"][0] == pytest.approx(-28.0)
    before, after = (each["plan"]["states"][0] for each in found["loadings"])
    assert after["moment_kg_m"] - before["moment_kg_m"] == pytest.approx(28 * 3.005)
    moved = (before["moment_kg_m"] + 28 * 3.005) / (before["mass_kg"] + 28) - before["cg_m"]
    assert rows["ramp", "cg/aft"]["differences"][0] == pytest.approx(-moved)
    assert [each["changed"] for each in found["loadings"]] == [
        [],
        [{"where": "load > rear seats > 2", "from": "72 kg", "to": "100 kg", "set": "rear seats 2=100 kg"}],
    ]


def test_what_decides_is_what_the_plan_of_each_says() -> None:
    found = data(*FIVE)
    assert [each["letter"] for each in found["loadings"]] == list("ABCDE")
    assert found["verdict"] == "outside"
    for path, each in zip(FIVE, found["loadings"], strict=True):
        plan = plan_file(path)
        assert each["plan"]["verdict"] == plan.verdict
        assert each["plan"]["summary"] == verdict_sentence(plan, Display())
        assert each["decides"]
        for one in each["decides"]:
            assert one["verdict"] == plan.verdict
            assert one["name"] in each["plan"]["summary"]
    assert {each["id"] for each in found["loadings"][1]["decides"]} == {"mass/greatest"}
    text = " ".join(run(*FIVE)[1].split())
    assert "B OUTSIDE: maximum ramp mass by 24.1 kg" in text
    assert "D NOT SHOWN INSIDE" in text


def test_exit_code_zero_only_where_all_are_inside() -> None:
    for files, code in (((DEMO, UTILITY), 0), ((DEMO, UNSURE), 1), ((FULL, DEMO), 1)):
        found, text = run(*files)
        assert found == code
        assert "Exit code 0 only where every loading is shown inside" in " ".join(text.split())
    assert run(DEMO, FULL)[1].splitlines()[-1] == "A inside, B OUTSIDE."


def test_limits_of_another_profile_are_rows_of_their_own_in_the_order_of_the_flight() -> None:
    found = data(DEMO, TWIN)
    places = [each["place"] for each in found["limits"]]
    order = [*dict.fromkeys(places)]
    assert places == sorted(places, key=order.index)
    assert [each for each in order if each in STATES] == list(STATES)
    numbered = [each for each in found["limits"] if each["id"].startswith("combined/0")]
    assert len({each["name"] for each in numbered}) == len(numbered) == 2
    assert all(sum(isinstance(check, dict) for check in each["checks"]) == 1 for each in numbered)
    assert all(isinstance(each["differences"][0], str) for each in numbered)
    text = run(DEMO, TWIN)[1]
    assert re.search(r"^ +ramp CG +[\d.]+ m +[\d.]+ m +-$", text, re.MULTILINE), "no difference across datums"
    assert "more than one aircraft" in text


def test_each_leg_is_a_loading() -> None:
    found = data(LEGS)
    assert [each["leg"] for each in found["loadings"]] == [
        "leg to Fenmarsh",
        "leg Fenmarsh to Aldercombe",
        "leg Aldercombe home",
    ]
    assert found["loadings"][2]["plan"]["fuel"]["verdict"] == "outside"
    assert re.search(r"fuel beyond what is required +\+20.8 L +\+0.8 L +! -11.4 L", run(LEGS)[1])


@pytest.mark.parametrize("wide", [40, 80, 120])
@pytest.mark.parametrize("files", [(DEMO, FULL), FIVE], ids=["two", "five"])
def test_no_line_is_too_long_and_no_figure_broken(files: tuple[str, ...], wide: int) -> None:
    text = run(*files, wide=wide)[1]
    too_long = [
        line for line in text.splitlines() if len(line) > wide and ".yaml" not in line
    ]  # a path is whole
    assert not too_long
    for margin in ("+447.3 kg", "! -24.1 kg", "+109.6 mm"):
        assert margin in text
    assert text.count("INVENTED") == 1
    assert "CAUTIONS" in text


def test_the_readers_units() -> None:
    margin = plan_file(DEMO).state("ramp").limits[0].margin / 0.45359237  # kg in a pound, by definition
    assert re.search(rf"maximum ramp mass +\+{margin:.1f} lb", run(DEMO, FULL, "--units", "us")[1])


def test_what_is_not_to_be_compared_is_refused() -> None:
    assert refused(DEMO) == [("compare-count", "FILE")]
    assert refused(LEGS, LEGS) == [("compare-count", "FILE")]
    assert refused(DEMO, FULL, "--against") == [("option-missing", "--against")]
    assert refused("-", "-", stdin="") == [("option-conflict", "-")]
    assert refused("-", "--set", "fuel=full", "--against", stdin="") == [("option-conflict", "-")]
    assert refused("thornlea-t4", "--set", "fuel=full", "--against")[0] == ("set-missing", "thornlea-t4")
    # Everything wrong in any of the files, at once, and once where it is the same.
    assert refused(DEMO, FULL, "no-such.yaml", "--set", "baggage=3 kgs") == [
        ("quantity-ambiguous-unit", "--set baggage=3 kgs"),
        ("file-unreadable", "no-such.yaml"),
    ]


def test_one_loading_from_standard_input() -> None:
    code, text = run("-", UTILITY, stdin=Path(DEMO).read_text(encoding="utf-8"))
    assert code == 0
    assert "<stdin>" in text
