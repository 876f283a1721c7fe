"""The code of a printed sheet: everything that sets its problems again, and a digest that tells whether they
are still the same.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final
from urllib.parse import quote, unquote

from planner.quantities.errors import closest
from planner.quantities.files import refused
from planner.quantities.units import Display, UnitSystem
from planner.records.document import MAX_BYTES
from planner.records.store import find_profile, load_aircraft, load_aircraft_file
from planner.school.problem import LEVELS, NotSettable
from planner.school.topics import TOPICS, ProblemSet, set_problems

_CODE: Final = re.compile(
    r"planner-sheet/1 aircraft=(\S+) topics=([a-z,-]+) level=(\d+) seed=(\d+) count=(\d+)"
    r" units=(metric|us|uk) check=([0-9a-f]{8})"
)
MOST: Final = 100  # problems on one sheet


@dataclass(frozen=True, slots=True)
class SheetCode:
    """What sets a sheet: `aircraft` as typed, `topics`, `level`, `seed`, `count`, `units`, and the `check` of
    what was printed.
    """

    aircraft: str
    topics: tuple[str, ...]
    level: int
    seed: int
    count: int
    units: UnitSystem
    check: str

    def __str__(self) -> str:
        where = quote(self.aircraft, safe="/.-_~")
        return (
            f"planner-sheet/1 aircraft={where} topics={','.join(self.topics)} level={self.level}"
            f" seed={self.seed} count={self.count} units={self.units} check={self.check}"
        )


def read_code(path: Path) -> SheetCode:
    """The code on a sheet of HTML or text, or in a file that holds nothing else.

    Raises InputRefused where the file cannot be read or carries no code.
    """
    try:
        with open(path, "rb") as stream:
            text = stream.read(MAX_BYTES).decode("utf-8", "replace")
    except (OSError, ValueError) as error:  # ValueError: a NUL byte in the name
        reason = getattr(error, "strerror", None) or str(error)
        raise refused(
            path,
            "file-unreadable",
            f"cannot be read: {reason}",
            "needed a sheet",
            "check the name and the folder",
        ) from None
    match = _CODE.search(re.sub(r"\s+", " ", html.unescape(re.sub(r"<wbr>", "", text))))
    if match is None:
        raise refused(
            path,
            "sheet-no-code",
            "there is no sheet code in it",
            "needed a sheet written by 'planner practise --sheet'",
            "give the sheet, not the key",
        )
    topics = tuple(match[2].split(","))
    for topic in topics:
        if topic not in TOPICS:
            raise refused(path, "topic-unknown", f"'{topic}' is not a topic", hint=closest(topic, TOPICS))
    level, count = int(match[3]), int(match[5])
    if level not in LEVELS or not 1 <= count <= MOST:
        raise refused(
            path,
            "sheet-no-code",
            f"level {level}, {count} problems",
            f"needed a level of 1 to 5 and up to {MOST} problems",
        )
    units: UnitSystem = "us" if match[6] == "us" else "uk" if match[6] == "uk" else "metric"
    return SheetCode(
        aircraft=unquote(match[1]),
        topics=topics,
        level=level,
        seed=int(match[4]),
        count=count,
        units=units,
        check=match[7],
    )


def problems_of(code: SheetCode, path: Path) -> ProblemSet:
    """The problems of a sheet, set again.

    Parameters: `code`; `path` of the sheet, beside which an aircraft file may lie.
    Raises InputRefused where the aircraft is not to be found, or its figures (or the program's problems) are
    no longer those printed.
    """
    profile = find_profile(code.aircraft, path.resolve().parent)
    loaded = load_aircraft_file(profile) if profile is not None else load_aircraft(code.aircraft)
    try:
        found = set_problems(
            loaded.record, Display(code.units), code.topics, code.level, code.seed, code.count
        )
    except NotSettable as reason:
        raise refused(
            path,
            "sheet-changed",
            f"the problems cannot be set again: {reason}",
            "needed the profile the sheet was made from",
        ) from None
    if found.check != code.check:
        raise refused(
            path,
            "sheet-changed",
            f"the problems set again are not those printed (digest {found.check}, on the sheet {code.check})",
            "needed the profile and the program the sheet was made with",
            "make the sheet again, or mark it with its key",
        )
    return found
