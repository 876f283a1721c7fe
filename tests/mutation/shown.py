"""What the program says of a set of flights, readings and ledgers: a change that leaves all of it as it is
shows nothing.
"""

from __future__ import annotations

import json
import math
import os
import re
import shutil
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

from tests.mutation.reach import KEPT, engine
from tests.mutation.running import forked

LIMIT = 300  # seconds of the processor
GENERATED = 24  # flights drawn, besides those of the docs
SEED = 20
NUMBER = re.compile(r"(?<![\w.])[+-]?\d+\.\d+(?:e[+-]?\d+)?")
# Modules that have a part in few commands; the search for two remedies is long and tried for its own only.
PART = {
    "planner/sweep": ("sweep",),
    "planner/search": ("remedy", "card", "flight"),
    "planner/density/bench": ("density", "flight"),
    "planner/logbook": ("ledger", "aircraft"),
}
REMEDIED = (
    "local-solo",
    "fuel-ahead-of-cg",
    "helicopter-lateral",
    "night-circuit",
    "not-shown-inside",
    "short-of-fuel",
)  # the search is quick there
SHARE = 1e-9  # of a figure: less is the order of the sums


def _commands(folder: Path, cases: Path) -> Iterator[tuple[str, ...]]:
    flights = [
        str(each)
        for each in sorted((folder / "docs/flights").glob("*.yaml"))
        if not each.stem.startswith(("bottle", "hydrometer"))
    ]
    drawn = [str(each) for each in sorted(cases.glob("*/flight.yaml"))]
    for each in (*flights, *drawn):
        yield "flight", each, "--json", "--draws", "200"
    for each in flights:
        yield "flight", each, "--certainty", "--working", "--draws", "200", "--units", "us"
    for each in sorted((folder / "docs/flights").glob("bottle*.yaml")):
        yield "density", "bottle", str(each), "--working", "--no-keep"
        yield "density", "bottle", str(each), "--no-keep", "--json"
    yield "density", "hydrometer", str(folder / "docs/flights/hydrometer-h02.yaml"), "--json"
    yield "density", "correct", "0.7102 kg/L", "--at", "21 degC", "--to", "-5 degC"
    yield "density", "correct", "0.8102 kg/L", "--at", "21 degC", "--to", "-5 degC"
    yield "density", "grades"
    for each in ("demonstrate", "verify"):
        yield (each,)
    aircraft = [each.stem for each in sorted((folder / "aircraft_profiles").glob("*.yaml"))]
    for each in aircraft:
        yield "aircraft", "check", each, "--extremes"
    yield "aircraft", "weigh", str(folder / "docs/weighings/thornlea-t4.yaml"), "--working"
    yield "aircraft", "amend", "thornlea-t4", str(folder / "docs/changes/new-radio.yaml"), "--dry-run"
    ledger = ("--aircraft", "thornlea-t4")
    yield "ledger", "import", str(folder / "docs/ledgers/thornlea-t4.csv"), *ledger
    for each in ("list", "status", "reconcile", "burn"):
        yield "ledger", each, *ledger, "--json"
    for each in (*flights, *drawn[:8]):
        yield "sweep", each, "--vary", "fuel=0..60 L", "--steps", "9", "--csv", "-"
    for each in flights:
        yield (
            "sweep",
            each,
            "--vary",
            "front seats=0..220 kg",
            "--vary",
            "fuel=0..50 L",
            "--steps",
            "5",
            "--csv",
            "-",
        )
    for name in REMEDIED:
        yield "remedy", str(folder / f"docs/flights/{name}.yaml"), "--json"
    yield "remedy", str(folder / "docs/flights/seat-order.yaml"), "--json", "--pairs"
    demo = str(folder / "docs/flights/demo.yaml")
    yield "remedy", demo, "--across", str(folder / "aircraft_profiles"), "--json"
    yield "card", aircraft[-1], "card.html", "--json", "--made", "2026-05-09"


def shown(folder: Path, cases: Path, path: str = "") -> Iterator[tuple[str, str]]:
    """The commands that a module has a part in, each with what it says, one after the other."""
    from typer.testing import CliRunner

    from planner.app.app import app

    data = folder / "shown-data"
    shutil.rmtree(data, ignore_errors=True)
    data.mkdir()
    os.chdir(data)
    environment = {"PLANNER_DATA": str(data), "COLUMNS": "100", "NO_COLOR": "1"}
    first = next((words for part, words in PART.items() if path.startswith(part)), ())
    for words in _commands(folder, cases):
        if (first and words[0] not in first) or ("--pairs" in words and path and words[0] not in first):
            continue
        done = CliRunner().invoke(app, list(words), env=environment)
        wrong = "" if isinstance(done.exception, SystemExit | None) else repr(done.exception)
        yield (
            " ".join(words).replace(str(folder), ""),
            f"{done.exit_code} {wrong}\n{done.output}".replace(str(folder), ""),
        )


def first_difference(before: dict[str, str], after: Iterator[tuple[str, str]]) -> str:
    """The first command that says something else, and what; empty where none does."""
    for command, text in after:
        old, new = before[command].split("\n"), text.split("\n")
        for one, other in zip(old, new, strict=False):
            # The digest is of the files too, and they lie in another folder every time.
            if one != other and '"digest"' not in one and not _close(one, other):
                return f"{command}: {one.strip()[:200]!r} becomes {other.strip()[:200]!r}"
        if len(old) != len(new):
            return f"{command}: lines are missing or more"
    return ""


def _close(one: str, other: str) -> bool:
    return NUMBER.sub("#", one) == NUMBER.sub("#", other) and all(
        math.isclose(float(a), float(b), rel_tol=SHARE, abs_tol=1e-12)
        for a, b in zip(NUMBER.findall(one), NUMBER.findall(other), strict=True)
    )


def draw(cases: Path) -> None:
    """The flights that are drawn, once."""
    from tests.oracle.settle import finished

    number = 0
    while len(list(cases.glob("*/flight.yaml"))) < GENERATED:
        if case := finished(SEED, number):
            case.write(cases / f"{number:03}")
        number += 1


class Shown:
    """What the engine of the copy says as it is; kept for the day, as today's date is in some of it."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.cases = folder, KEPT / "cases"
        self.before = KEPT / engine(folder)[0] / f"shown-{date.today()}.json"

    def _child(self, work: Callable[[], int]) -> int | None:
        return forked(work, self.folder, LIMIT, self.folder / "shown.log")

    def _kept(self) -> dict[str, str]:
        def child() -> int:
            draw(self.cases)
            self.before.parent.mkdir(parents=True, exist_ok=True)
            said = self.folder / "shown.json"  # whole before another run of this script can see it
            said.write_text(json.dumps(dict(shown(self.folder, self.cases))), encoding="utf-8")
            shutil.move(said, self.before)
            return 0

        if not self.before.is_file() and self._child(child) != 0:
            raise RuntimeError((self.folder / "shown.log").read_text(encoding="utf-8")[-3000:])
        found: dict[str, str] = json.loads(self.before.read_text(encoding="utf-8"))
        return found

    def differs(self, path: str) -> str:
        """The first command that says something else with this module changed, and what; empty where none
        does.
        """
        before, out = self._kept(), self.folder / "difference.txt"
        out.unlink(missing_ok=True)

        def child() -> int:
            out.write_text(first_difference(before, shown(self.folder, self.cases, path)), encoding="utf-8")
            return 0

        done = self._child(child)
        return out.read_text(encoding="utf-8") if done == 0 else f"the program does not end well ({done})"
