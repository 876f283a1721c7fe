"""What is asked for a new profile, in the order of a handbook page, and the commented file the answers make.

The questions are a generator: it yields each `Question` and is sent its answer as text of a file. One step
back is the same generator run again with one answer less, so that no question has to know how to be undone.
"""

from __future__ import annotations

import json
import re
from collections.abc import Generator, Mapping, Sequence
from dataclasses import field
from typing import Final, TypeAlias

from planner.facts.grades import GRADES
from planner.quantities.frozen import frozen
from planner.quantities.units import Dimension
from planner.records.document import plain_value


@frozen(kw_only=True)
class Question:
    """One thing to ask: a figure of `dimensions`, a `pair` joined by 'at', one of `choices`, or text."""

    words: str
    meaning: str
    dimensions: tuple[Dimension, ...] = ()
    pair: tuple[Dimension, ...] = ()
    choices: dict[str, str] = field(default_factory=dict)
    pattern: str = ""
    needed: str = ""
    optional: bool = False


Asking: TypeAlias = Generator[Question, str, str]

_DATE: Final = r"\d{4}-\d{2}-\d{2}"
_NAME: Final = r"[^:#\[\]{},&*!|>'\"%@`]{1,60}"
_INCLUDES: Final = {
    "both": "[full oil, unusable fuel]",
    "oil": "[full oil]",
    "fuel": "[unusable fuel]",
    "neither": "[]",
}
_EDGES: Final = {"arm": "linear in cg", "moment": "linear in moment"}
_POINTS: Final = {"linear in cg": "1500 lb at 35 in", "linear in moment": "1500 lb at 52.5 lb.in/1000"}
_PHASES: Final = {
    "taxi": "on the ground",
    "climb": "in the climb",
    "cruise": "at the power you cruise with",
    "holding": "slow flight for the longest time in the air; needed once a reserve rule counts at it",
    "maximum continuous": "at the highest power without a time limit",
}


def spelt(text: str) -> str:
    """Text as YAML reads it back: plain where that is safe, else in quotes."""
    plain = re.fullmatch(r"[^\W\d_][\w .()/+-]*", text) and text == text.strip() and plain_value(text) == text
    return text if plain else json.dumps(text, ensure_ascii=False)


def _text(
    words: str, meaning: str, pattern: str = r".{1,200}", needed: str = "needed text", optional: bool = False
) -> Question:
    return Question(words=words, meaning=meaning, pattern=pattern, needed=needed, optional=optional)


def _figure(words: str, meaning: str, *dimensions: Dimension, optional: bool = False) -> Question:
    return Question(words=words, meaning=meaning, dimensions=dimensions, optional=optional)


def _choice(words: str, meaning: str, choices: Mapping[str, str], optional: bool = False) -> Question:
    return Question(words=words, meaning=meaning, choices=dict(choices), optional=optional)


def _these(*names: str) -> dict[str, str]:
    """Choices that stand in the file as they are chosen."""
    return dict(zip(names, names, strict=True))


def _named(names: list[str], word: str, what: str, such: str) -> Generator[Question, str, str]:
    """The name of the next of several, noted among `names`; nothing after the last."""
    more = "Enter when all are there" if names else such
    name = yield _text(word, f"{what} by a name of yours; {more}", _NAME, optional=bool(names))
    names += [name] if name else []
    return name


def _moment_or(key: str, answer: str) -> str:
    """The key of an answer that is a moment or what `key` says."""
    return "moment" if re.search(r"(kg|lb)\.", answer) else key


def _arm(of: str) -> Question:
    meaning = "from the datum, aft positive; or a point of the loading graph: '400 lb at 14.8 lb.in/1000'"
    return Question(words=f"{of}: arm", meaning=meaning, dimensions=("length",), pair=("mass", "moment"))


def _arm_line(answer: str) -> str:
    """An arm as a file has it, or the loading line through a point of the graph."""
    if answer.startswith("["):
        mass, moment = (each.split()[-1] for each in answer[1:-1].split(", "))  # their units
        return f"loading_line: [[0 {mass}, 0 {moment}], {answer}]"
    return f"arm: {answer}"


def questions() -> Asking:
    """Every question, in the order of a handbook page; returns the text of the file."""
    lines = ["# Asked for by 'planner aircraft new'. Check every figure against the manual.", "profile: 1"]
    answer = yield _text("name", "what you call the aircraft", r".{1,60}", "needed 60 letters or less")
    lines.append(f"name: {spelt(answer)}")
    meaning = "title and revision of the manual, and the date of the weighing report"
    lines.append(f"source: {spelt((yield _text('source', meaning)))}")
    meaning = "in which units flights of it are shown; Enter: metric. Input may be in any"
    if answer := (yield _choice("units to show", meaning, _these("metric", "us", "uk"), optional=True)):
        lines.append(f"units: {answer}")
    answer = yield _text("datum", "where arms are measured from; arms ahead of it are negative")
    lines.append(f"datum: {spelt(answer)}")
    known = ", ".join(GRADES)
    grades = rf"({'|'.join(GRADES)})(\s*,\s*({'|'.join(GRADES)}))*"
    meaning = f"which fuels it may use, with commas: {known}"
    answer = yield _text("fuel grades", meaning, grades, f"needed some of: {known}")
    lines += [f"fuel_grades: [{answer}]", "", "# From the current weighing report; it says what it includes."]
    lines += yield from _basic_empty()
    stations: list[str] = []
    lines += yield from _stations(stations)
    lines += yield from _tanks()
    lines += yield from _masses()
    lines += yield from _envelope()
    lines += yield from _chord_and_flows()
    lines += yield from _example(stations)
    return "\n".join(lines) + "\n"


_Lines: TypeAlias = Generator[Question, str, list[str]]


def _basic_empty() -> _Lines:
    meaning = "of this very aircraft, from its current weighing report"
    mass = yield _figure("basic empty mass", meaning, "mass")
    meaning = "whichever the report gives, as it is printed: 127.1 lb.in/1000"
    arm = yield _figure("basic empty arm or moment", meaning, "length", "moment")
    day_needed = "needed year-month-day, such as 2026-03-14"
    day = yield _text("date of the report", "year-month-day", _DATE, day_needed)
    meaning = "both: full oil and unusable fuel; oil, fuel, or neither"
    included = yield _choice("what the basic empty mass includes", meaning, _INCLUDES)
    key = _moment_or("arm", arm)
    lines = [f"basic_empty: {{mass: {mass}, {key}: {arm}, date: {day}, includes: {included}}}"]
    if "oil" not in included:
        volume = yield _figure("oil", "how much oil is in it when full", "volume")
        lines.append(
            f"oil: {{volume: {volume}, arm: {(yield _figure('oil: arm', 'from the datum', 'length'))}}}"
        )
    return lines


def _stations(names: list[str]) -> _Lines:
    lines = ["", "# Where load sits.", "stations:"]
    what, such = "a row of seats or a place for baggage,", "front seats, rear seats, baggage ..."
    while name := (yield from _named(names, "station", what, such)):
        meaning = "what goes there: seats, baggage or other"
        kind = yield _choice(f"{name}: kind", meaning, _these("seats", "baggage", "other"))
        seats = ""
        if kind == "seats":
            many = yield _text(f"{name}: seats", "how many", r"[1-9]\d?", "needed a number such as 2")
            seats = f"seats: {many}, "
        arm = _arm_line((yield _arm(name)))
        most = yield _figure(
            f"{name}: greatest mass", "its limit; Enter: the manual gives none", "mass", optional=True
        )
        limit = f", max: {most}" if most else ""
        lines.append(f"  {spelt(name)}: {{kind: {kind}, {seats}{arm}{limit}}}")
    return lines


def _tanks() -> _Lines:
    lines = ["", "# capacity is all a tank holds; unusable is the part of it that can not be used.", "tanks:"]
    names: list[str] = []
    while name := (yield from _named(names, "tank", "a tank", "left, right, main ...")):
        capacity = yield _figure(f"{name}: capacity", "all it holds, the unusable fuel included", "volume")
        unusable = yield _figure(
            f"{name}: unusable", "fuel that can not be used; part of the capacity", "volume"
        )
        arm = _arm_line((yield _arm(name)))
        lines.append(f"  {spelt(name)}: {{capacity: {capacity}, unusable: {unusable}, {arm}}}")
    lines.append(f"{'feed: together':<37}# or the order of emptying: [auxiliary, [left, right]]")
    return lines


def _masses() -> _Lines:
    lines = ["", "masses:"]
    for key, words, optional in (
        ("max_takeoff", "greatest take-off mass", False),
        ("max_ramp", "greatest ramp mass", True),
        ("max_landing", "greatest landing mass", True),
        ("max_zero_fuel", "greatest zero-fuel mass", True),
    ):
        none = "; Enter: the manual gives none" if optional else ""
        meaning = f"from the limitations of the manual{none}"
        if answer := (yield _figure(words, meaning, "mass", optional=optional)):
            lines.append(f"  {key}: {answer}")
    return lines


def _envelope() -> _Lines:
    meaning = "of the envelope, such as normal or utility; further ones are added in the file"
    category = yield _text("category", meaning, _NAME)
    meaning = "arm or moment against mass: between points the two differ"
    edges = yield _choice("axis of the manual's chart", meaning, _EDGES)
    lines = ["", "# Between its points the chart is straight in what it is drawn against.", "envelopes:"]
    lines += [f"  {spelt(category)}:", f"    edges: {edges}"]
    for side in ("forward", "aft"):
        points: list[str] = []
        while True:
            meaning = f"lowest mass first, such as '{_POINTS[edges]}'; Enter after the last"
            words = f"{side} limit, point {len(points) + 1}"
            pair: tuple[Dimension, ...] = ("mass", "length" if edges == _EDGES["arm"] else "moment")
            point = yield Question(words=words, meaning=meaning, pair=pair, optional=len(points) > 1)
            if not point:
                break
            points.append(point)
        lines.append(f"    {side}: [{', '.join(points)}]")
    return lines


def _chord_and_flows() -> _Lines:
    lines: list[str] = []
    meaning = "its arm; Enter: the manual has no chord"
    if edge := (yield _figure("leading edge of the mean chord", meaning, "length", optional=True)):
        length = yield _figure("length of the mean chord", "from leading to trailing edge", "length")
        lines.append(f"mean_aerodynamic_chord: {{leading_edge: {edge}, length: {length}}}")
    flows = []
    for phase, meaning in _PHASES.items():
        optional = phase != "cruise"
        told = meaning + ("; Enter leaves it out" if optional else "")
        answer = yield _figure(f"fuel flow, {phase}", told, "volume flow", "mass flow", optional=optional)
        if answer:
            flows.append(f"{phase}: {answer}")
    lines += ["", f"burn: {{{', '.join(flows)}}}"]
    pattern = rf"{_NAME}(,{_NAME})*"
    meaning, needed = "every one, with commas; Enter: later", "needed names with commas"
    if drains := (yield _text("drain points", meaning, pattern, needed, True)):
        lines.append(f"drains: [{', '.join(spelt(each.strip()) for each in drains.split(','))}]")
    return lines


def _example(stations: Sequence[str]) -> _Lines:
    meaning = "a sample loading of the manual, by page or figure: it proves what you typed; Enter: none"
    name = yield _text("sample loading", meaning, r".{1,60}", optional=True)
    if not name:
        return []
    lines = [
        "",
        "# 'planner aircraft check' reckons this anew and shows it, printed against reckoned.",
        "examples:",
        f"  - name: {spelt(name)}",
    ]
    meaning = "where it is not that of this aircraft; Enter: it is"
    if own := (yield _figure("sample: basic empty mass", meaning, "mass", optional=True)):
        moment = yield _figure("sample: basic empty moment", "as printed", "moment")
        lines.append(f"    basic_empty: {{mass: {own}, moment: {moment}}}")
    loads = []
    for station in stations:
        if answer := (yield _figure(f"sample: {station}", "mass there; Enter: none", "mass", optional=True)):
            loads.append(f"{spelt(station)}: {answer}")
    lines.append(f"    load: {{{', '.join(loads)}}}")
    meaning = "usable, over all tanks; Enter: none"
    if fuel := (yield _figure("sample: fuel", meaning, "volume", "mass", optional=True)):
        lines.append(f"    fuel: {fuel}")
        if not re.search(r"(kg|lb)$", fuel):
            meaning = "what the papers reckon with: 6.0 lb/USgal, 0.72 kg/L"
            density = yield _figure("sample: density", meaning, "density")
            lines.append(f"    density: {density}")
    lines.append(f"    mass: {(yield _figure('sample: mass', 'as printed, to the digit', 'mass'))}")
    result = yield _figure(
        "sample: moment or centre of gravity", "as printed, to the digit", "moment", "length"
    )
    lines.append(f"    {_moment_or('centre_of_gravity', result)}: {result}")
    choices, meaning = {"yes": "true", "no": "false"}, "what the papers call it; Enter: they do not say"
    inside = yield _choice("sample: inside the envelope", meaning, choices, optional=True)
    return [*lines, *([f"    inside: {inside}"] if inside else [])]
