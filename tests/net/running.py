"""A command of the net run in this process, and what it says in a form that is the same on every platform:
the parts of its JSON, figures of eight digits, words without white space and frames.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
import shlex
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import chdir, contextmanager
from functools import cache
from pathlib import Path
from typing import Any, Final

ROOT: Final = Path(__file__).resolve().parents[2]
SEED: Final = 20261129  # of the flights drawn
DAY: Final = "2026-06-01"  # of flights that name none: else they are judged by today
DIGITS: Final = 8
NOISE: Final = 1e-9  # of a unit: what is left where figures cancel
FRAME: Final = re.compile(r"[\s\u2500-\u259f\xad\u200b]+")  # white space, rules and bars
NUMBER: Final = re.compile(r"(?<![\w.])[+-]?\d+\.\d+(?:e[+-]?\d+)?")

Parts = dict[str, Any]


def figure(value: float) -> float:
    """Rounded to eight digits, and to the noise. A hair is added first: a figure that lies on the middle of
    two would go either way with the last digit of a library's sum.
    """
    if not math.isfinite(value) or abs(value) < NOISE:
        return value if not math.isfinite(value) else 0.0
    value *= 1 + 3.7e-10
    places = DIGITS - 1 - math.floor(math.log10(abs(value)))
    return round(value, min(places, 9)) + 0.0


def plain(value: Any) -> Any:
    """A part of what was said with its figures rounded, also those within words."""
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [plain(each) for each in value]
    if isinstance(value, float):
        return figure(value)
    if isinstance(value, str):
        return FRAME.sub("", NUMBER.sub(lambda found: f"{figure(float(found[0])):.10g}", value))
    return value


def digest(value: Any) -> str:
    """Five signs for a part."""
    text = json.dumps(plain(value), ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:5]


@contextmanager
def house() -> Iterator[Path]:
    """A folder furnished for the cases."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        furnish(folder)
        yield folder


def furnish(folder: Path) -> None:
    """Put the records of the docs there, and a day into every flight that has none."""
    shutil.copytree(ROOT / "docs", folder / "docs")
    for each in (folder / "docs/flights").glob("*.yaml"):
        text = each.read_text(encoding="utf-8")
        if "\nflight: 1" in f"\n{text}" and "\ndate:" not in text:
            each.write_text(f"{text.rstrip()}\ndate: {DAY}\n", encoding="utf-8")


def _draw(folder: Path, number: int) -> None:
    from tests.oracle.settle import finished

    place = folder / f"drawn/{number}"
    if not place.is_dir() and (case := finished(SEED, number)):
        case.flight["date"] = DAY
        case.write(place)


def said(command: str, folder: Path) -> Parts:
    """What a command says in that folder, part by part: those of its JSON, else its text; and the exit codes.
    Of several, with ` ; ` between, the last; what was written to `out/` counts too.
    """
    for number in re.findall(r"drawn/(\d+)/", command):
        _draw(folder, int(number))
    data, out = folder / "data", folder / "out"
    for each in (data, out):
        shutil.rmtree(each, ignore_errors=True)
        each.mkdir()
    around = {"PLANNER_DATA": str(data), "COLUMNS": "300", "NO_COLOR": "1"}
    with chdir(folder):
        ended = [_run(shlex.split(each), around) for each in command.split(" ; ")]
    text = ended[-1][1]
    parts: Parts = {"exit": " ".join(str(code) for code, _ in ended) if len(ended) > 1 else ended[0][0]}
    parts |= json.loads(text) if text.startswith("{") else {"said": text}
    parts |= {each.name: each.read_text(encoding="utf-8") for each in sorted(out.iterdir())}
    parts.pop("digest", None)  # of the files' paths too
    told = json.dumps(parts)
    for place in (folder, ROOT):
        told = told.replace(str(place), "")
    found: Parts = json.loads(told)
    return found


@cache
def _runner() -> Any:
    from typer.testing import CliRunner

    return CliRunner()


def _run(words: list[str], environment: dict[str, str]) -> tuple[int, str]:
    """Exit code and stdout of `planner WORDS`."""
    from planner.app.app import build

    done = _runner().invoke(build(words[0]), words, env=environment)
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        return -1, f"{type(done.exception).__name__}: {done.exception}"
    return done.exit_code, done.stdout
