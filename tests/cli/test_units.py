"""Under `--units us` and `--units uk` nothing is told in kilograms, litres or metres but what the records
themselves say so.

The rule is exact: every text of the records (each scalar of each file the command reads, each cell of the
ledger) is taken out of what was printed, word for word; a metric figure in what remains is the program's own.
"""

from __future__ import annotations

import csv
import html
import json
import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from typer.testing import CliRunner

from planner.app.app import app
from planner.app.common import reader, refuse
from planner.facts.grades import GRADES
from planner.logbook.ledger.sources import SOURCE_ORDER
from planner.quantities.errors import InputRefused
from planner.records.store import profile_ids
from tests.sizes import TIMES, in_turn

ROOT = Path(__file__).resolve().parents[2]
PROFILES = ROOT / "aircraft_profiles"
FLIGHTS = [
    path
    for path in sorted((ROOT / "docs/flights").glob("*.yaml"))
    if re.search(r"^flight: 1$", path.read_text(encoding="utf-8"), re.MULTILINE)
]
SYSTEMS = ("us", "uk")
ONE_SHEET = ("three-legs",)  # without a sheet of its own
# Whose room or remedies take seconds to find and are told by another flight, too: in the long run.
SLOW = (
    *ONE_SHEET,
    *("turboprop", "measured-density", "demo", "utility", "full-tanks", "seat-order"),
    *("helicopter", "twin-ifr"),
)

_NAMES = r"(?:kg/m3|kg/L|kg/h|kg\.m|kg\.mm|kg|L/h|L|mL|mm|cm|m)"
# A number and a metric unit; or a unit that heads a column ('L' and 'm' alone are letters of the diagram too,
# so only with a number).
METRIC = re.compile(
    rf"\d\s?{_NAMES}(?![\w/.]|\.\w)|(?<![\w/.\-])(?:kg/m3|kg/L|kg/h|kg\.m|kg|L/h|mm|cm)(?![\w/])|\b(?:litre|kilogram|metre)s?\b",
    re.ASCII,
)

# Said in metric on purpose, each for its reason.
PATTERNS = (
    r"taken for litres",  # a slip of units is called by its units
    r"lb/(?:USgal|impgal) \(0\.\d{4} kg/L\)",  # the density used, in a second unit beside the reader's own
    # The petroleum equations are published in kg/m3 and degC: their lines of the working are arithmetic in
    # those.
    r"density at 15 degC: the one with [\d.]+ kg/m3 x exp\[[^]]*\] = [\d.]+ kg/m3",
    r"thermal expansion alpha at [\d.]+ kg/m3 and 15 degC",
    r"density in the tank = [\d.]+ kg/m3 x [\d.]+ = [\d.]+ kg/m3",
    r"density used = [\d.]+ kg/m3 = [\d.]+ kg/L = [\d.]+ lb/(?:USgal|impgal); U = 2 x [\d.]+ = [\d.]+ kg/m3",
)


def scalars(value: Any) -> Iterator[str]:
    """Every text in a record, wherever it stands."""
    if isinstance(value, dict):
        for key, each in value.items():
            yield str(key)
            yield from scalars(each)
    elif isinstance(value, list):
        for each in value:
            yield from scalars(each)
    elif isinstance(value, str):
        yield value


@lru_cache
def texts_of(path: Path) -> tuple[str, ...]:
    return tuple(scalars(yaml.safe_load(path.read_text(encoding="utf-8"))))


def flat(text: str) -> str:
    return " ".join(text.split())


def own_metric(printed: str, records: Iterable[str]) -> list[str]:
    """The metric figures of a text that are neither of its records nor metric on purpose, with what stands
    around them.
    """
    rest = flat(printed)
    for pattern in PATTERNS:
        rest = re.sub(pattern, "(...)", rest)
    echoes = {
        flat(each)
        for each in (*records, *(grade.note for grade in GRADES.values()))
        if METRIC.search(flat(each))
    }
    for echo in sorted(echoes, key=len, reverse=True):
        rest = re.sub(rf"(?<![\w.+\-]){re.escape(echo)}(?![\w/])", "(...)", rest)
    return [rest[max(found.start() - 60, 0) : found.end() + 30] for found in METRIC.finditer(rest)]


def run(*words: str, codes: tuple[int, ...] = (0, 1)) -> str:
    done = CliRunner().invoke(app, [*words])
    if isinstance(done.exception, InputRefused):
        raise done.exception
    assert done.exit_code in codes, done.output
    return done.output


def profile_of(flight: Path) -> Path:
    return PROFILES / f"{yaml.safe_load(flight.read_text(encoding='utf-8'))['aircraft']}.yaml"


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("flight", FLIGHTS, ids=lambda path: path.stem)
def test_flights(flight: Path, system: str) -> None:
    printed = run("flight", str(flight), "--units", system, "--working", "--certainty", "--draws", "200")
    assert not own_metric(printed, (*texts_of(flight), *texts_of(profile_of(flight))))


@pytest.mark.parametrize(
    ("flight", "system"),
    in_turn([path for path in FLIGHTS if path.stem not in (SLOW if TIMES <= 1 else ONE_SHEET)], SYSTEMS),
    ids=lambda each: Path(each).stem,
)
def test_sheets(flight: Path, system: str, tmp_path: Path) -> None:
    out = tmp_path / "sheet.html"
    run("sheet", str(flight), str(out), "--units", system)
    shown = re.sub(r"<(style|script)\b.*?</\1>", " ", out.read_text(encoding="utf-8"), flags=re.DOTALL)
    words = html.unescape(re.sub(r"<[^>]*>", " ", shown))
    assert not own_metric(words, (*texts_of(flight), *texts_of(profile_of(flight))))


@pytest.mark.parametrize(
    ("flight", "system"),
    in_turn(
        ["twin-ifr", "local-solo" if TIMES <= 1 else "demo", "short-of-fuel", "full-tanks", "utility"],
        SYSTEMS,
    ),
)
def test_remedies(flight: str, system: str) -> None:
    path = ROOT / f"docs/flights/{flight}.yaml"
    assert not own_metric(
        run("remedy", str(path), "--units", system), (*texts_of(path), *texts_of(profile_of(path)))
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_which_aircraft_can(system: str) -> None:
    path = ROOT / "docs/flights/full-tanks.yaml"
    records = [text for profile in PROFILES.glob("*.yaml") for text in texts_of(profile)]
    printed = run("remedy", str(path), "--across", str(PROFILES), "--units", system)
    assert "CAN NOT" in printed
    assert not own_metric(printed, (*texts_of(path), *records))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize(
    "varied", [("fuel=5..38 USgal", "front seats=200..480 lb"), ("fuel=5..38 USgal",)], ids=len
)
def test_sweeps(varied: tuple[str, ...], system: str) -> None:
    path = ROOT / "docs/flights/not-shown-inside.yaml"
    words = [word for each in varied for word in ("--vary", each)]
    printed = run("sweep", str(path), *words, "--steps", "6", "--units", system)
    assert "HOW IT WAS DONE" in printed
    assert not own_metric(printed, (*texts_of(path), *texts_of(profile_of(path))))


@pytest.mark.parametrize("system", SYSTEMS)
def test_grades_and_conversions(system: str) -> None:
    printed = run("density", "grades", "--units", system)
    assert not own_metric(printed, ())
    for density in (("--at-15C", "6 lb/USgal"), ("--grade", "avgas-100LL")):
        told = run("fuel", "16 USgal", "--temperature", "70 degF", *density, "--units", system)
        # The amount in every common unit, and the density in that of the tables, beside the reader's own.
        mine = re.sub(r"the same: .*|[(]\d+\.\d+ kg/m3[)]", "(...)", told)
        assert not own_metric(mine, ())


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", sorted(profile_ids()))
def test_profiles_and_their_extremes(name: str, system: str) -> None:
    records = texts_of(PROFILES / f"{name}.yaml")
    for words in (("show", name), ("check", name), ("check", name, "--extremes")):
        assert not own_metric(run("aircraft", *words, "--units", system), records)


@pytest.mark.parametrize("system", SYSTEMS)
def test_changes_and_weighings(system: str) -> None:
    for change in sorted((ROOT / "docs/changes").glob("*.yaml")):
        printed = run("aircraft", "amend", "thornlea-t4", str(change), "--dry-run", "--units", system)
        # The lines of the profile that change are shown as they will stand in the file.
        lines = json.loads(
            CliRunner()
            .invoke(app, ["aircraft", "amend", "thornlea-t4", str(change), "--dry-run", "--json"])
            .stdout
        )["changed_lines"]
        assert not own_metric(printed, (*texts_of(change), *texts_of(PROFILES / "thornlea-t4.yaml"), *lines))
    for sheet in sorted((ROOT / "docs/weighings").glob("*.yaml")):
        printed = run("aircraft", "weigh", str(sheet), "--working", "--units", system)
        # The line for the profile stands as it will stand in the file.
        printed = re.sub(r"basic_empty: \{[^}]*\}", "", printed)
        assert not own_metric(printed, texts_of(sheet))


@pytest.mark.parametrize("system", SYSTEMS)
def test_ledger(system: str, tmp_path: Path) -> None:
    held = ROOT / "docs/ledgers/thornlea-t4.csv"
    rows = list(csv.reader(held.read_text(encoding="utf-8").splitlines()))
    records = (*texts_of(PROFILES / "thornlea-t4.yaml"), *(cell for row in rows for cell in row))
    ledger = ("--aircraft", "thornlea-t4", "--file", str(tmp_path / "fuel.ledger"))
    run("ledger", "import", str(held), *ledger)
    for command in ("status", "reconcile", "burn", "list"):
        printed = run("ledger", command, *ledger, "--units", system)
        assert SOURCE_ORDER[0] in printed or command in ("burn", "list")
        assert not own_metric(printed, records)
    # Sources that disagree, and fuel that does not fit.
    run("ledger", "add", "gauge", *ledger, "--reading", "20 L")
    status = run("ledger", "status", *ledger, "--units", system)
    assert "gal apart" in flat(status) or "The odd one out" in flat(status)
    assert not own_metric(status, (*records, "20 L"))
    with pytest.raises(InputRefused) as refused:
        run("ledger", "add", "uplift", *ledger, "--tank", "left", "--volume", "900 L")
    assert "900.0 L usable does not fit" in str(refused.value)


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        (["--units", "us"], "237.8 USgal"),
        (["--units=uk"], "198.0 impgal"),
        ([], "900.0 L"),
        (["--units"], "900.0 L"),
    ],
)
def test_a_refusal_is_told_in_the_readers_units(
    words: list[str], shown: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ledger = ("--aircraft", "thornlea-t4", "--file", str(tmp_path / "fuel.ledger"))
    with pytest.raises(InputRefused) as refused:
        run("ledger", "add", "uplift", *ledger, "--tank", "left", "--volume", "900 L")
    assert refuse(refused.value, False, reader(["ledger", *words])) == 2
    assert f"{shown} usable does not fit: left holds" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("12.5 L more than it holds", 1),
        ("12 kg", 1),
        ("about 3.2 mm off", 1),
        ("2.165 m", 1),
        ("fuel flow 33 L/h", 1),
        ("MASS kg ARM in", 1),
        ("from the first litre to the last", 1),
        ("134 L aboard", 1),  # another figure that ends like one of the record
        ("34 L aboard, as stated", 0),
        ("R ramp, T take-off, L landing; T4-L 2 L*", 1),
        ("12.5 USgal, 30.2 lb, 1.2 in, 5 min, 8 L: letters", 1),
        ("12.5 USgal/h, 8 lb.in, 90 min", 0),
    ],
)
def test_the_rule_itself(text: str, found: int) -> None:
    assert len(own_metric(text, ["34 L"])) == found


@pytest.mark.parametrize(("disagreeing", "system"), in_turn([False, True], SYSTEMS))
def test_a_flight_with_fuel_from_the_ledger(
    disagreeing: bool, system: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))
    held = ROOT / "docs/ledgers/thornlea-t4.csv"
    record = yaml.safe_load((ROOT / "docs/flights/full-tanks.yaml").read_text(encoding="utf-8"))
    record["fuel"] = {key: value for key, value in record["fuel"].items() if key != "tanks"} | {
        "from": "ledger"
    }
    path = tmp_path / "flight.yaml"
    path.write_text(yaml.safe_dump(record), encoding="utf-8")
    cells = [cell for row in csv.reader(held.read_text(encoding="utf-8").splitlines()) for cell in row]
    records = (*texts_of(path), *texts_of(profile_of(path)), *cells, "20 L")
    run("ledger", "import", str(held), "--aircraft", "thornlea-t4")
    if disagreeing:
        run("ledger", "add", "gauge", "--aircraft", "thornlea-t4", "--reading", "20 L")
    printed = run("flight", str(path), "--units", system, "--working")
    assert "fuel from the ledger" in flat(printed)
    assert not own_metric(printed, records)
    out = tmp_path / "sheet.html"
    run("sheet", str(path), str(out), "--units", system)
    shown = re.sub(r"<(style|script)\b.*?</\1>", " ", out.read_text(encoding="utf-8"), flags=re.DOTALL)
    assert not own_metric(html.unescape(re.sub(r"<[^>]*>", " ", shown)), records)
