"""Files of every kind changed at random, by their grammar and by their bytes, and given to the command that
reads them: it may refuse, it may plan, it may not fail or hang.
"""

from __future__ import annotations

import copy
import random
import signal
import tempfile
from collections.abc import Iterator
from pathlib import Path
from types import FrameType
from typing import Any, Final, NamedTuple

import yaml
from typer.testing import CliRunner

from planner.app.app import build
from planner.quantities.errors import InputRefused

ROOT: Final = Path(__file__).resolve().parents[2]
PATIENCE: Final = 30  # s for one file
_ODD: Final[tuple[Any, ...]] = (
    *(
        "",
        "x",
        "0",
        "-1",
        "1 kg",
        "1 lb",
        "0 L",
        "1e400 L",
        "nan kg",
        "1 +/- 1e9 m",
        "²",
        "\x1b[31m\u202e",
        "=1+1",
    ),
    *(
        "22 degC",
        "-300 degC",
        "1 USgal",
        "1 gal",
        "60 min",
        "full",
        "empty",
        "2026-02-30",
        "x" * 5000,
        "'" * 300,
    ),
    *(
        0,
        -1,
        1,
        10**30,
        0.5,
        float("inf"),
        float("nan"),
        True,
        None,
        [],
        {},
        [[]],
        {"x": {}},
        ["1 kg", "1 m"],
    ),
)


class Kind(NamedTuple):
    """A kind of file: a good one, and the words that read a file `{}` of it."""

    good: str
    words: tuple[str, ...]


KINDS: Final = {
    "flight": Kind("docs/flights/demo.yaml", ("flight", "{}")),
    "legs": Kind("docs/flights/three-legs.yaml", ("flight", "{}", "--json")),
    "helicopter": Kind("docs/flights/helicopter-lateral.yaml", ("flight", "{}")),
    "profile": Kind("aircraft_profiles/thornlea-t4.yaml", ("aircraft", "check", "{}", "--extremes")),
    "change": Kind("docs/changes/new-radio.yaml", ("aircraft", "amend", "thornlea-t4", "{}", "--dry-run")),
    "weighing": Kind("docs/weighings/thornlea-t4.yaml", ("aircraft", "weigh", "{}", "--working")),
    "bottle": Kind("docs/flights/bottle-b07.yaml", ("density", "bottle", "{}", "--no-keep")),
    "hydrometer": Kind("docs/flights/hydrometer-h02.yaml", ("density", "hydrometer", "{}")),
    "answers": Kind("docs/practise/answers.yaml", ("mark", "docs/practise/sheet.txt", "{}")),
    "table": Kind(
        "docs/flights/loadings.csv", ("sweep", "docs/flights/demo.yaml", "--table", "{}", "--json")
    ),
    "ledger": Kind("docs/ledgers/thornlea-t4.csv", ("ledger", "import", "{}", "--aircraft", "thornlea-t4")),
}


class Count(NamedTuple):
    """What became of the files of one kind."""

    read: int
    refused: int
    failed: tuple[str, ...]


def run(kind: str, count: int, seed: int) -> Count:
    """`count` changed files of a kind."""
    sort, dice = KINDS[kind], random.Random(f"{kind} {seed}")
    good = (ROOT / sort.good).read_bytes()
    app, runner = build(sort.words[0]), CliRunner()
    signal.signal(signal.SIGALRM, _too_long)
    taken = refused = 0
    failed: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"changed{Path(sort.good).suffix}"
        words = [
            each.format(path) if each == "{}" else str(ROOT / each) if each.startswith("docs/") else each
            for each in sort.words
        ]
        for number in range(count):
            path.write_bytes(_changed(good, path.suffix == ".yaml", dice))
            signal.alarm(PATIENCE)
            done = runner.invoke(app, words, env={"PLANNER_DATA": str(Path(folder) / str(number))})
            signal.alarm(0)
            if isinstance(done.exception, InputRefused) or done.exit_code == 2:
                refused += 1
            elif done.exception is None or isinstance(done.exception, SystemExit):
                taken += 1
            else:
                failed.append(f"{kind} {number} of seed {seed}: {done.exception!r}")
    return Count(taken, refused, tuple(failed))


def _too_long(_: int, __: FrameType | None) -> None:
    raise TimeoutError(f"more than {PATIENCE} s")


def _changed(good: bytes, is_yaml: bool, dice: random.Random) -> bytes:
    """The file with one to three changes, by its grammar two times of three."""
    if is_yaml and dice.random() < 2 / 3:
        tree = yaml.safe_load(good)
        for _ in range(dice.randint(1, 3)):
            tree = _grown(tree, dice)
        flow = dice.choice([None, False, True])
        return yaml.safe_dump(
            tree, sort_keys=dice.random() < 0.2, default_flow_style=flow, allow_unicode=True
        ).encode()
    data = bytearray(good)
    for _ in range(dice.randint(1, 3)):
        at = dice.randrange(len(data))
        end = min(at + dice.choice([1, 1, 4, 40]), len(data))
        way = dice.randrange(4)
        if way == 0:
            del data[at:end]
        elif way == 1:
            data[at:at] = data[at:end]
        elif way == 2:
            data[at] = dice.randrange(256)
        else:
            data[at:at] = str(dice.choice(_ODD)).encode()
        data = data or bytearray(b"\n")
    return bytes(data)


def _places(tree: Any) -> Iterator[tuple[Any, Any]]:
    """Every branch with a key of it."""
    branches = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in branches:
        yield tree, key
        yield from _places(value)


def _grown(tree: Any, dice: random.Random) -> Any:
    """The record with one change a person or a program could make."""
    changed = copy.deepcopy(tree)
    places = list(_places(changed))
    if not places:
        return dice.choice(_ODD)
    branch, key = dice.choice(places)
    other, from_there = dice.choice(places)
    way = dice.randrange(6)
    if way == 0:
        del branch[key]
    elif way == 1:
        branch[key] = copy.deepcopy(other[from_there])
    elif way == 2 and isinstance(branch, dict):
        branch[dice.choice([from_there, dice.choice(_ODD[:23]), f"{key}x"])] = branch.pop(key)
    elif way == 3 and isinstance(branch[key], str):
        branch[key] = _other_figure(branch[key], dice)
    elif way == 4:
        branch[key] = [copy.deepcopy(branch[key])] * dice.randint(1, 3)
    else:
        branch[key] = copy.deepcopy(dice.choice(_ODD))
    return changed


def _other_figure(text: str, dice: random.Random) -> str:
    """Another number, or another unit, in a text of words."""
    words = text.split(" ")
    at = dice.randrange(len(words))
    words[at] = dice.choice(
        [str(dice.uniform(-1e3, 1e6)), "0", "lb", "kg", "m", "USgal", "degF", "+/-", "1e-300", words[at] * 2]
    )
    return " ".join(words)
