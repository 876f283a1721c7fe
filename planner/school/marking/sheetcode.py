"""The code of a printed sheet: a dozen characters that set its problems again, and tell whether they are
still the same.

The characters are figures and capitals without I, L, O and U, in groups of four; the last one is a check
character, so that no single slip of the pen and hardly any exchange of neighbours goes unnoticed. The
aircraft does not stand in it: of the profiles that come with the program and those beside the sheet, it is
the one whose problems have the digest in the code.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final
from urllib.parse import unquote

from planner.quantities.errors import InputRefused, closest
from planner.quantities.files import refused
from planner.quantities.frozen import frozen
from planner.quantities.units import Display, UnitSystem
from planner.records.aircraft.record import Aircraft
from planner.records.store import Loaded, find_profile, load_aircraft, load_aircraft_file, profile_ids
from planner.school.marking.answers import document_text
from planner.school.problem import LEVELS, NotSettable
from planner.school.topics import TOPICS, ProblemSet, set_problems

EDITION: Final = 2  # of the code
_SET_AS: Final = (3, 2)  # the editions of problems such a code may stand for
_CHOICES: Final = 3  # in place of the edition: the same with answers to choose from
MOST: Final = 100  # problems on one sheet
_LETTERS: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_READ_AS: Final = str.maketrans("ILO", "110")
_SHORT: Final = re.compile(r"(?<![\w-])[0-9A-Z]{4}(?:-[0-9A-Z]{4}){2,4}(?![\w-])", re.IGNORECASE)
# Sheets of the first edition wrote everything out; a line break may stand anywhere in it.
_FIRST: Final = re.compile(
    r"planner-sheet/1aircraft=(\S+?)topics=([a-z,-]+?)level=(\d+)seed=(\d+)count=(\d+)units=(metric|us|uk)check=([0-9a-f]{8})"
)
_UNITS: Final[tuple[UnitSystem, ...]] = ("metric", "us", "uk")
_NUMBERED: Final = tuple(TOPICS)
# What a code means by all topics: those there were at first, and those there are now.
_ALL: Final = {0: _NUMBERED[:15], 3: _NUMBERED[:24]}
_LEAST_DIGEST: Final = 12  # bits
_KEY: Final = "give the sheet, not the key"
_MOST_FILES: Final = 200


@frozen
class SheetCode:
    """What sets a sheet: `topics`, `level`, `seed`, `count`, `units`; `check` is the beginning of the digest
    [bits] of what was printed.

    `aircraft` is known from a sheet of the first edition only.
    """

    topics: tuple[str, ...]
    level: int
    seed: int
    count: int
    units: UnitSystem
    check: str
    edition: int = EDITION
    aircraft: str = ""
    choices: bool = False

    def __str__(self) -> str:
        edition, wide = _CHOICES if self.choices else EDITION, self.seed >= 1 << 20
        fields = [(edition, 3), (_UNITS.index(self.units), 2), (self.level, 3), (self.count - 1, 7)]
        fields += [(wide, 1), (self.seed, 30 if wide else 20)]
        whole = next((mode for mode, topics in _ALL.items() if topics == self.topics), None)
        if whole is not None:
            fields.append((whole, 2))
        elif len(self.topics) == 1:
            fields += [(1, 2), (_NUMBERED.index(self.topics[0]), 5)]
        else:
            fields += [(2, 2), (sum(1 << _NUMBERED.index(name) for name in self.topics), 24)]
        bits = "".join(f"{value:0{width}b}" for value, width in fields)
        groups = -(-(len(bits) + _LEAST_DIGEST + 5) // 20)
        bits += self.check[: 20 * groups - 5 - len(bits)]
        signs = "".join(_LETTERS[int(bits[at : at + 5], 2)] for at in range(0, len(bits), 5))
        signs += _check_sign(signs)
        return "-".join(signs[at : at + 4] for at in range(0, len(signs), 4))


def code_of(
    found: ProblemSet,
    topics: tuple[str, ...],
    level: int,
    seed: int,
    count: int,
    units: UnitSystem,
    choices: bool = False,
) -> SheetCode:
    """The code of a set of problems."""
    check = _bits(found.check)
    return SheetCode(
        topics=topics, level=level, seed=seed, count=count, units=units, check=check, choices=choices
    )


def _bits(check: str) -> str:
    return f"{int(check, 16):032b}"


def _check_sign(signs: str) -> str:
    """The check character behind these: Luhn's formula (ISO/IEC 7812-1), in figures to the base of 32."""
    total = 0
    for place, sign in enumerate(reversed(signs)):
        count = _LETTERS.index(sign) * (1 if place % 2 else 2)
        total += count // 32 + count % 32
    return _LETTERS[-total % 32]


def read_code(path: Path) -> SheetCode:
    """The code on a sheet of HTML or text, in a file that holds nothing else, or typed in place of the file's
    name.

    Raises InputRefused where the file cannot be read or carries no code, or one whose check character says
    that it was copied wrongly.
    """
    if _SHORT.fullmatch(str(path)) and not path.exists():
        return _short(path, str(path))
    text = document_text(path, "needed a sheet", "check the name and the folder", "replace")
    text = html.unescape(re.sub(r"<[^>]*>", "", text))
    match = _FIRST.search(re.sub(r"\s+", "", text))
    if match is not None:
        return _first(path, match)
    codes = _SHORT.findall(re.sub(r"-\s+", "-", text))
    if not codes or "Key of the sheet" in text:
        needed = "needed a sheet written by 'planner practise --sheet', or the code at its foot"
        raise refused(path, "sheet-no-code", "there is no sheet code in it", needed, _KEY)
    return _short(path, codes[-1])


def _short(path: Path, typed: str) -> SheetCode:
    signs = typed.upper().translate(_READ_AS).replace("-", "")
    if set(signs) - set(_LETTERS) or _check_sign(signs[:-1]) != signs[-1]:
        message = f"the code '{typed}' was copied with a slip: its check character does not fit"
        needed = "needed the code as it stands at the foot of the sheet"
        raise refused(path, "sheet-code-slip", message, needed, "compare it sign by sign")
    left = "".join(f"{_LETTERS.index(sign):05b}" for sign in signs[:-1])

    def take(width: int) -> int:
        nonlocal left
        value, left = int(left[:width] or "0", 2), left[width:]
        return value

    edition, units, level, count = take(3), take(2), take(3), take(7) + 1
    seed, mode = take(30 if take(1) else 20), take(2)
    choices, edition = edition == _CHOICES, EDITION if edition == _CHOICES else edition
    if edition != EDITION or units >= len(_UNITS) or level not in LEVELS or count > MOST:
        message = f"the code '{typed}' is of another edition of this program"
        needed = f"needed a code of edition {EDITION}, or one of the first"
        raise refused(path, "sheet-no-code", message, needed)
    if mode in _ALL:
        topics: tuple[str, ...] = _ALL[mode]
    elif mode == 1:
        number = take(5)
        topics = _NUMBERED[number : number + 1]
    else:
        mask = take(24)
        topics = tuple(name for number, name in enumerate(_NUMBERED) if mask >> number & 1)
    return SheetCode(
        topics=topics,
        level=level,
        seed=seed,
        count=count,
        units=_UNITS[units],
        check=left,
        edition=edition,
        choices=choices,
    )


def _first(path: Path, match: re.Match[str]) -> SheetCode:
    topics = tuple(match[2].split(","))
    for topic in topics:
        if topic not in TOPICS:
            raise refused(path, "topic-unknown", f"'{topic}' is not a topic", hint=closest(topic, TOPICS))
    level, count = int(match[3]), int(match[5])
    if level not in LEVELS or not 1 <= count <= MOST:
        needed = f"needed a level of 1 to 5 and up to {MOST} problems"
        raise refused(path, "sheet-no-code", f"level {level}, {count} problems", needed)
    units: UnitSystem = "us" if match[6] == "us" else "uk" if match[6] == "uk" else "metric"
    return SheetCode(
        topics=topics, level=level, seed=int(match[4]), count=count, units=units,
        check=_bits(match[7]), edition=1, aircraft=unquote(match[1]),
    )  # fmt: skip


def problems_of(code: SheetCode, path: Path, aircraft: str = "") -> ProblemSet:
    """The problems of a sheet, set again.

    Parameters: `code`; `path` of the sheet, beside which an aircraft file may lie; `aircraft`, an id or path
    where it lies elsewhere. Raises InputRefused where no aircraft is to be found whose problems are those
    printed.
    """
    reasons = []
    editions = _SET_AS if code.edition == EDITION else (code.edition,)
    asked = (Display(code.units), code.topics, code.level, code.seed, code.count)
    for edition in editions:
        for loaded in _candidates(code, path, aircraft):
            try:
                found = set_problems(loaded, *asked, edition, code.choices)
            except NotSettable as reason:
                reasons.append(f"they cannot be set: {reason}")
                continue
            if _bits(found.check).startswith(code.check):
                return found
            reasons.append("they differ from those printed")
    named = aircraft or code.aircraft
    message = (
        f"none of the {len(reasons) // len(editions)} profiles at hand gives the problems that were printed"
    )
    hint = "name the profile with --aircraft, or lay it beside the sheet"
    if named:
        hint = "make the sheet again, or mark it with its key"
        message = f"the problems set again from '{named}' are not those printed: {reasons[0]}"
    if code.edition < EDITION:
        message += "; the sheet is of the first edition"
    needed = "needed the profile and the program the sheet was made with"
    raise refused(path, "sheet-changed", message, needed, hint) from None


def _candidates(code: SheetCode, path: Path, aircraft: str) -> Iterator[Loaded[Aircraft]]:
    """The profile that is named, or every one that comes with the program, lies beside the sheet, or here."""
    if name := aircraft or code.aircraft:
        profile = find_profile(name, path.resolve().parent)
        yield load_aircraft_file(profile) if profile is not None else load_aircraft(name)
        return
    for name in profile_ids():
        yield load_aircraft(name)
    folders = dict.fromkeys((path.resolve().parent, Path.cwd()))
    for file in [file for folder in folders for file in sorted(folder.glob("*.yaml"))][:_MOST_FILES]:
        try:
            yield load_aircraft_file(file)
        except InputRefused:  # a flight, answers, or another's file
            continue
