"""Whatever a stream is, closed, full or narrow, and whatever a file holds: no traceback, no exit code that
reads as a verdict, no sign that commands a terminal, a page or a spreadsheet.
"""

from __future__ import annotations

import copy
import json
import os
import sys
from collections.abc import Callable, Iterator
from functools import cache, partial
from itertools import product
from pathlib import Path
from typing import Any

import pytest
import yaml

from planner.quantities.errors import InputRefused
from planner.records.sheets.change_sheet import load_change
from planner.records.sheets.weighing_sheet import load_worksheet
from planner.records.store import load_aircraft_file, load_flight_file, profile_folder
from tests.cli.forked import Ended, planner, turned
from tests.sizes import in_turn

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks")
DOCS = Path(__file__).parents[2] / "docs"
DEMO = str(DOCS / "flights" / "demo.yaml")
FULL = pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
# A terminal's command, a bell, a control of eight bits, text turned round, signs of no width, a line of its own.
HOSTILE = "\x1b[31m\x07\x9b2J\u202e\u200b\u2066\ufeff\u2028"
COMMANDS = [
    ("flight", DEMO),
    ("flight", DEMO, "--json"),
    ("sweep", DEMO, "--vary", "fuel=0..144 L", "--steps", "3"),
    ("aircraft", "show", "thornlea-t4"),
    ("density", "grades"),
    ("flight", "nowhere.yaml"),
    ("flight", "nowhere.yaml", "--json"),
    ("flight", "--nonsense"),
    ("--help",),
]


def harmless(ended: Ended) -> Ended:
    assert b"Traceback" not in ended.err
    assert b"a fault of this program" not in ended.err
    assert ended.code in (0, 1, 2)
    return ended


@cache
def right(*words: str) -> Ended:
    """How the command ends where nothing is in its way."""
    return harmless(planner(*words))


@pytest.mark.parametrize(("words", "encoding"), in_turn(COMMANDS, ("latin-1", "ascii", "cp1252")), ids=str)
def test_any_encoding(words: tuple[str, ...], encoding: str) -> None:
    assert harmless(planner(*words, encoding=encoding)).code == right(*words).code


WIDTHS = ("²", "0", "-5", "x", "1000000000", "٣")


@pytest.mark.parametrize(
    ("words", "columns"), [*product(COMMANDS[:1], WIDTHS), *in_turn(COMMANDS[1:], WIDTHS)], ids=str
)
def test_any_width(words: tuple[str, ...], columns: str) -> None:
    ended = harmless(planner(*words, env={"COLUMNS": columns, "LINES": columns}))
    assert ended.code == right(*words).code


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_any_stream(words: tuple[str, ...]) -> None:
    assert harmless(planner(*words, before=partial(os.close, 0))) == right(*words)
    closed = [harmless(planner(*words, before=partial(os.close, 2)))]
    if Path("/dev/full").exists():
        closed.append(harmless(planner(*words, before=partial(turned, 2, "/dev/full"))))
    assert [each.code for each in closed] == [right(*words).code] * len(closed)
    # Nobody was told a verdict, so none stands in the code.
    lost = [harmless(planner(*words, before=partial(os.close, 1)))]
    if Path("/dev/full").exists():
        lost.append(harmless(planner(*words, before=partial(turned, 1, "/dev/full"))))
    assert {each.code for each in lost} == {2}
    assert all(each.err for each in lost)


@FULL
def test_what_was_changed_is_said_where_the_result_is_lost(tmp_path: Path) -> None:
    profile = tmp_path / "mine.yaml"
    profile.write_bytes((profile_folder() / "thornlea-t4.yaml").read_bytes())
    before = profile.read_bytes()
    change = str(DOCS / "changes" / "new-radio.yaml")
    ended = harmless(
        planner("aircraft", "amend", str(profile), change, before=partial(turned, 1, "/dev/full"))
    )
    assert profile.read_bytes() != before
    assert f"on the disk: {profile} was changed" in ended.err.decode()
    words = ("ledger", "add", "flight", "--aircraft", "thornlea-t4", "--time", "1 h")
    data = {"PLANNER_DATA": str(tmp_path)}
    for _ in range(2):
        ended = harmless(planner(*words, env=data, before=partial(turned, 1, "/dev/full")))
        assert ("1 entry added" in ended.err.decode()) is (ended.code == 2)
    listed = harmless(planner("ledger", "list", "--aircraft", "thornlea-t4", env=data))
    assert listed.out


def test_names_and_values_too_long() -> None:
    for words in (
        ("flight", "a" * 5000),
        ("aircraft", "show", "a" * 5000),
        ("sheet", str(DOCS / "flights/seat-order.yaml"), "a" * 5000 + ".html"),
        ("flight", DEMO, "--set", f"baggage={'9' * 5000} kg"),
        ("flight", DEMO, "--set", f"{'x' * 5000}=1 kg"),
        ("fuel", "'" * 5000, "--fixed", "0.7 kg/L"),
        ("ledger", "list", "--aircraft", "thornlea-t4", "--file", "a" * 5000),
    ):
        ended = harmless(planner(*words))
        assert ended.code == 2, words
        assert len(ended.err) < 4000, words


def leaves(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The place of every text in a record."""
    if isinstance(value, str):
        yield path
    elif isinstance(value, (dict, list)):
        for key, each in value.items() if isinstance(value, dict) else enumerate(value):
            yield from leaves(each, (*path, key))


def dirtied(path: Path, load: Callable[[Path], object]) -> tuple[int, int]:
    """Put the signs into every text of the record that takes them; counts those that did and did not. What
    is refused is refused in harmless words.
    """
    tree = yaml.safe_load(path.read_text(encoding="utf-8"))
    taken, told = 0, list[str]()
    for *above, last in list(leaves(tree)):
        changed = copy.deepcopy(tree)
        inner = changed
        for key in above:
            inner = inner[key]
        inner[last] = f"{inner[last]} {HOSTILE}"
        path.write_text(json.dumps(changed, default=str), encoding="utf-8")
        try:
            load(path)
        except InputRefused as refusal:
            told += [str(each) for each in refusal.findings]
        else:
            tree, taken = changed, taken + 1
    assert all(each.isprintable() for each in told)
    path.write_text(json.dumps(tree, default=str), encoding="utf-8")
    load(path)
    return taken, len(told)


def clean(data: bytes, what: object) -> None:
    text = data.decode("utf-8")
    bad = {sign for sign in text if not sign.isprintable() and sign not in "\n\t\u00a0\u2009\u202f"}
    assert not bad, (what, bad)


def test_no_sign_of_a_file_commands(tmp_path: Path) -> None:
    profile, flight = tmp_path / "craft.yaml", tmp_path / "flight.yaml"
    change, weighing = tmp_path / "change.yaml", tmp_path / "weighing.yaml"
    profile.write_bytes((profile_folder() / "thornlea-t4.yaml").read_bytes())
    text = Path(DEMO).read_text(encoding="utf-8").replace("aircraft: thornlea-t4", f"aircraft: {profile}")
    alone = text.replace("front seats: [80 kg, 70 kg]", "front seats: [80 kg]")  # a quicker search
    assert alone != text
    flight.write_text(alone.replace("  rear seats: [78 kg, 72 kg]\n", ""))
    change.write_bytes((DOCS / "changes" / "new-radio.yaml").read_bytes())
    weighing.write_bytes((DOCS / "weighings" / "thornlea-t4.yaml").read_bytes())
    dirty = [
        dirtied(flight, load_flight_file),
        dirtied(change, load_change),
        dirtied(weighing, load_worksheet),
    ]
    # The profile last, and only with what its flight still fits.
    dirty.append(dirtied(profile, lambda path: (load_aircraft_file(path), load_flight_file(flight))))
    assert all(taken for taken, _ in dirty), dirty
    assert "\x1b" in load_aircraft_file(profile).record.name
    at, fl, data = str(profile), str(flight), {"PLANNER_DATA": str(tmp_path)}
    bad_csv = tmp_path / "table.csv"
    bad_csv.write_text(f"label,baggage [kg]\n=1+1{HOSTILE[0]}\u202e,10\n-x,12\n", encoding="utf-8")
    outputs = [tmp_path / f"sheet.{ending}" for ending in ("html", "svg")]
    commands = [
        ("flight", fl),
        ("flight", fl, "--json"),
        ("flight", fl, "--working", "--certainty", "--draws", "100"),
        ("remedy", fl),
        *(("sheet", fl, str(out)) for out in outputs),
        ("sweep", fl, "--vary", "fuel=0..144 L", "--steps", "3", "--chart"),
        ("sweep", fl, "--table", str(bad_csv)),
        ("sweep", fl, "--table", str(bad_csv), "--json"),
        ("aircraft", "show", at),
        ("aircraft", "show", at, "--json"),
        ("aircraft", "check", at, "--extremes"),
        ("aircraft", "history", at),
        ("aircraft", "amend", at, str(change), "--dry-run"),
        ("aircraft", "weigh", str(weighing), "--working"),
        ("ledger", "add", "flight", "--aircraft", at, "--time", "1 h", "--note", HOSTILE),
        (
            "ledger",
            "add",
            "uplift",
            "--aircraft",
            at,
            "--tank",
            "left",
            "--volume",
            "4 L",
            "--ticket",
            f"={HOSTILE}",
        ),
        ("ledger", "list", "--aircraft", at),
        ("ledger", "list", "--aircraft", at, "--json"),
        ("ledger", "status", "--aircraft", at),
        ("practise", "--aircraft", at, "--count", "2", "--solutions", "--seed", "7"),
        ("flight", fl, "--set", f"{HOSTILE}=1 kg"),
        ("flight", f"{HOSTILE}.yaml"),
        ("flight", f"--{HOSTILE}"),
    ]
    for words in commands:
        ended = harmless(planner(*words, env=data))
        clean(ended.out, words)
        clean(ended.err, words)
        assert ended.out or ended.err
    for out in outputs:
        clean(out.read_bytes(), out)
    told = planner("sweep", fl, "--table", str(bad_csv)).out.decode()
    assert "=1+1" in told
    cells = [cell for line in told.splitlines() for cell in line.split(",")]
    assert not [
        cell for cell in cells if cell[:1] in ("=", "+", "@") or (cell[:1] == "-" and cell[1:2].isalpha())
    ]


def test_a_quote_stays_inside_its_attribute() -> None:
    from planner.views.pictures.svg import Drawing, clean

    assert clean('a" onload="x<&') == "a&quot; onload=&quot;x&lt;&amp;"
    drawing = Drawing()
    drawing.element("a", {"id": 'x" y="\x1b'})
    assert drawing.markup() == '<a id="x&quot; y=&quot;?"/>'


def test_forked_runs_are_real() -> None:
    assert planner("flight", DEMO).out.decode().count("\n") > 50
    assert planner("fuel", "62 L", "--fixed", "0.7 kg/L").code == 0
    assert sys.stdout is not None
