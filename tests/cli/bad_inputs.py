"""Bad files: each a good flight or profile with one thing wrong, the code expected and a part of the message.

`CASES` is data only; test_bad_inputs.py writes the files and runs the program on them.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
FLIGHT = (
    (ROOT / "docs/flights/demo.yaml")
    .read_text(encoding="utf-8")
    .replace("aircraft: thornlea-t4 ", "aircraft: profile.yaml ")
)
PROFILE = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")


class Bad(NamedTuple):
    """`flight` and `profile` are the bytes of the two files (None: the file is not written); `target` is
    given to the program.
    """

    name: str
    code: str
    fragment: str
    flight: bytes | None
    profile: bytes | None
    target: str = "flight.yaml"


def _edit(text: str, old: str, new: str) -> bytes:
    assert old in text, old
    return text.replace(old, new, 1).encode()


def _flight(name: str, code: str, fragment: str, old: str, new: str) -> Bad:
    return Bad(name, code, fragment, _edit(FLIGHT, old, new), PROFILE.encode())


def _profile(name: str, code: str, fragment: str, old: str, new: str) -> Bad:
    return Bad(name, code, fragment, FLIGHT.encode(), _edit(PROFILE, old, new))


def _raw(name: str, code: str, fragment: str, flight: bytes | None, target: str = "flight.yaml") -> Bad:
    return Bad(name, code, fragment, flight, PROFILE.encode(), target)


def _alias_bomb() -> bytes:
    names = "abcdefghij"
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    lines += [
        f"{names[i]}: &{names[i]} [{', '.join(['*' + names[i - 1]] * 9)}]" for i in range(1, len(names))
    ]
    return ("flight: 1\n" + "\n".join(lines) + "\n").encode()


def _spoilt(text: str) -> bytes:
    """Every other quantity without its unit, so that many things are wrong at once."""
    return text.replace(" kg", "").replace(" L", "").encode()


RAW = (
    _raw("missing file", "file-unreadable", "No such file", None),
    _raw("a folder", "file-unreadable", "directory", None, "."),
    _raw("a name too long", "file-unreadable", "name too long", None, "x" * 300),
    _raw("empty", "yaml-empty", "the file is empty", b""),
    _raw("only comments", "yaml-empty", "the file is empty", b"# nothing here\n"),
    _raw("only a mark", "yaml-empty", "the file is empty", b"\xef\xbb\xbf"),
    _raw("binary", "file-not-utf8", "not UTF-8 text", bytes(range(256)) * 8),
    _raw("zeros", "yaml-syntax", "not readable as YAML", bytes(4096)),
    _raw("a picture", "file-not-utf8", "not UTF-8 text", b"\x89PNG\r\n\x1a\n" + bytes(64)),
    _raw(
        "latin-1",
        "file-not-utf8",
        "save the file as UTF-8",
        FLIGHT.encode() + "# Flug nach Süden\n".encode("latin-1"),
    ),
    _raw("utf-16", "file-not-utf8", "not UTF-8 text", FLIGHT.encode("utf-16")),
    _raw("too large", "file-too-large", "larger than 1 MiB", FLIGHT.encode() + b"#" * (1 << 20)),
    _raw("alias bomb", "yaml-too-large", "aliases or nesting", _alias_bomb()),
    _raw("an alias holding itself", "yaml-too-large", "aliases or nesting", b"flight: 1\nload: &l {x: *l}\n"),
    _raw("deep brackets", "yaml-too-large", "nested too deeply", b"flight: " + b"[" * 60 + b"]" * 60 + b"\n"),
    _raw("endless brackets", "yaml-", "", b"flight: " + b"[" * 200_000),
    _raw(
        "a python object",
        "yaml-tag",
        "is not used here",
        FLIGHT.encode() + b"title: !!python/object/apply:os.system ['true']\n",
    ),
    _raw("two documents", "yaml-syntax", "another document", FLIGHT.encode() + b"---\nflight: 1\n"),
    _raw("a list", "file-wrong-kind", "needed 'flight: 1'", b"- flight: 1\n- aircraft: x\n"),
    _raw("a word", "file-wrong-kind", "needed 'flight: 1'", b"flight\n"),
    _raw("a number", "file-wrong-kind", "needed 'flight: 1'", b"1\n"),
    _raw("json of something else", "file-wrong-kind", "its keys are name", b'{"name": "x"}'),
    _raw("a profile in place of a flight", "file-wrong-kind", "this is not a flight file", PROFILE.encode()),
    _raw("a control character", "yaml-syntax", "not readable as YAML", FLIGHT.encode() + b"title: \x07\n"),
    _raw("half a surrogate", "yaml-syntax", "not readable as YAML", FLIGHT.encode() + b'title: "\\ud800"\n'),
    _raw("a key that is a list", "yaml-key", "not plain text", FLIGHT.encode() + b"? [a, b]\n: c\n"),
    _raw("units left out everywhere", "quantity-bare-number", "has no unit", _spoilt(FLIGHT)),
)

FLIGHTS = (
    _flight("tab", "yaml-syntax", "not readable as YAML", "  front seats", "\tfront seats"),
    _flight("open bracket", "yaml-syntax", "not readable as YAML", "[80 kg, 70 kg]", "[80 kg, 70 kg"),
    _flight("open quote", "yaml-syntax", "not readable as YAML", "rules: us-vfr-day", "rules: 'us-vfr-day"),
    _flight(
        "key twice",
        "yaml-duplicate-key",
        "given twice",
        "category: normal",
        "category: normal\ncategory: utility",
    ),
    _flight(
        "a terminal's command in a key",
        "key-unknown",
        "is not a key here",
        "rules: us-vfr-day",
        '"\\x1b[31mrules": us-vfr-day',
    ),
    _flight(
        "a line break in a name",
        "rules-unknown",
        "is not a rule set",
        "rules: us-vfr-day",
        'rules: "us\\nvfr"',
    ),
    _flight("version 2", "file-version", "flight version 2", "flight: 1", "flight: 2"),
    _flight("version true", "file-version", "flight version True", "flight: 1", "flight: true"),
    _flight("version as text", "file-version", "flight version '1'", "flight: 1", 'flight: "1"'),
    _flight("misspelt key", "key-unknown", "did you mean 'category'", "category: normal", "catgory: normal"),
    _flight(
        "misspelt inner key",
        "key-unknown",
        "did you mean 'temperature'",
        "temperature: 22 degC",
        "temprature: 22 degC",
    ),
    _flight("key left out", "key-missing", "'rules' is missing", "rules: us-vfr-day", "#"),
    _flight("value left out", "value-empty", "nothing is given", "rules: us-vfr-day", "rules:"),
    _flight("bare number", "quantity-bare-number", "has no unit", "baggage: 15 kg", "baggage: 15"),
    _flight("gallons", "quantity-ambiguous-unit", "USgal", "left: 31 L", "left: 8 gal"),
    _flight("small l", "quantity-ambiguous-unit", "write L", "left: 31 L", "left: 31 l"),
    _flight(
        "pounds and ounces",
        "quantity-unknown-unit",
        "is not a known unit",
        "baggage: 15 kg",
        "baggage: 33 lb and 1 oz",
    ),
    _flight("comma", "quantity-arithmetic", "decimal point", "baggage: 15 kg", "baggage: 15,5 kg"),
    _flight("arithmetic", "quantity-arithmetic", "no arithmetic", "baggage: 15 kg", "baggage: 10 + 5 kg"),
    _flight(
        "a power tower as a unit",
        "quantity-unknown-unit",
        "is not a known unit",
        "baggage: 15 kg",
        "baggage: 15 kg**9**9**9",
    ),
    _flight(
        "not a number",
        "quantity-not-finite",
        "finite",
        "baggage: 15 kg",
        "baggage: .nan kg".replace(".nan", "nan"),
    ),
    _flight("infinity", "quantity-not-finite", "finite", "baggage: 15 kg", "baggage: inf kg"),
    _flight("overflow", "quantity-not-finite", "finite", "baggage: 15 kg", "baggage: 1e999 kg"),
    _flight(
        "a mass beyond belief",
        "quantity-too-large",
        "larger than anything",
        "baggage: 15 kg",
        "baggage: 1e308 kg",
    ),
    _flight(
        "a spread beyond belief",
        "quantity-too-large",
        "larger than anything",
        "left: 31 L",
        "left: 31 +/- 1e200 L",
    ),
    _flight("negative mass", "quantity-too-small", "zero or more", "baggage: 15 kg", "baggage: -15 kg"),
    _flight("litres of people", "quantity-wrong-dimension", "is a volume", "baggage: 15 kg", "baggage: 15 L"),
    _flight(
        "negative spread",
        "quantity-negative-uncertainty",
        "negative uncertainty",
        "baggage: 15 kg",
        "baggage: 15 +/- -1 kg",
    ),
    _flight("words", "person-unknown", "number unit", "baggage: 15 kg", "baggage: a little"),
    _flight("yes", "person-unknown", "number unit", "baggage: 15 kg", "baggage: yes"),
    _flight("true", "quantity-not-text", "is not a quantity", "baggage: 15 kg", "baggage: true"),
    _flight("clock time", "quantity-", "", "{phase: climb, time: 12 min}", "{phase: climb, time: 0:12}"),
    _flight(
        "a date that is none",
        "date-unreadable",
        "is not a date",
        "rules: us-vfr-day",
        "rules: us-vfr-day\ndate: 2026-02-30",
    ),
    _flight(
        "no such category", "category-unknown", "did you mean 'normal'", "category: normal", "category: norml"
    ),
    _flight("no such rule", "rules-unknown", "did you mean", "rules: us-vfr-day", "rules: us-vfr-dy"),
    _flight(
        "no such station", "station-unknown", "did you mean 'rear seats'", "  rear seats:", "  rear seat:"
    ),
    _flight(
        "no such tank",
        "tank-unknown",
        "has no tank",
        "left: 31 L, right: 31 L",
        "left: 31 L, right: 31 L, tip: 3 L",
    ),
    _flight(
        "tank forgotten",
        "tank-unmentioned",
        "'right' is not mentioned",
        "left: 31 L, right: 31 L",
        "left: 31 L",
    ),
    _flight(
        "tank with two figures",
        "tank-content",
        "exactly one figure",
        "left: 31 L",
        "left: {usable: 31 L, total: 35 L}",
    ),
    _flight("overfilled", "tank-overfilled", "does not fit", "left: 31 L", "left: 77 L"),
    _flight(
        "below unusable", "tank-below-unusable", "less than the unusable", "left: 31 L", "left: {total: 2 L}"
    ),
    _flight("dip off the stick", "dip-off-table", "off the stick", "left: 31 L", "left: {dipstick: 40 cm}"),
    _flight(
        "a third on two seats",
        "load-too-many",
        "3 masses for 2 seats",
        "[78 kg, 72 kg]",
        "[78 kg, 72 kg, 60 kg]",
    ),
    _flight("a heavy person", "load-implausible", "not plausible", "[78 kg, 72 kg]", "[780 kg, 72 kg]"),
    _flight("jet fuel", "grade-not-allowed", "may not use", "grade: avgas-100LL", "grade: jet-A1"),
    _flight(
        "no such grade",
        "grade-unknown",
        "did you mean 'avgas-100LL'",
        "grade: avgas-100LL",
        "grade: avgas-100L",
    ),
    _flight(
        "density of 1983",
        "density-implausible",
        "lb/L would be a fuel",
        "{at_15C: 0.715 kg/L}",
        "{fixed: 1.77 kg/L}",
    ),
    _flight("density of jet fuel", "density-not-grade", "contradicts", "at_15C: 0.715", "at_15C: 0.80"),
    _flight(
        "two densities",
        "density-ways",
        "2 ways",
        "{at_15C: 0.715 kg/L}",
        "{at_15C: 0.715 kg/L, standard: true}",
    ),
    _flight(
        "no temperature", "temperature-missing", "temperature is missing", "  temperature: 22 degC", "  #"
    ),
    _flight("hot fuel", "temperature-implausible", "not plausible", "22 degC", "220 degC"),
    _flight(
        "empty trip", "value-wrong-kind", "needed at least 1", FLIGHT[FLIGHT.index("trip:") :], "trip: []\n"
    ),
    _flight(
        "trip as text", "value-wrong-kind", "needed a list", FLIGHT[FLIGHT.index("trip:") :], "trip: far\n"
    ),
    _flight(
        "phase of nothing",
        "phase-empty",
        "neither a time nor an amount",
        "{phase: climb, time: 12 min}",
        "{phase: climb}",
    ),
    _flight(
        "phase without flow", "phase-no-flow", "no flow for 'loiter'", "{phase: climb,", "{phase: loiter,"
    ),
    _flight(
        "phase too long for its tank",
        "phase-longer-than-tank",
        "more than left holds",
        "time: 20 min, tank: left",
        "time: 200 min, tank: left",
    ),
    _flight(
        "reserve below the rule",
        "reserve-below-rule",
        "below the 30 min",
        "contingency: 5 %",
        "contingency: 5 %\nfinal_reserve: 29 min",
    ),
    _flight("no such profile", "aircraft-not-found", "no profile", "profile.yaml", "nowhere.yaml"),
    _flight("a profile name too long", "aircraft-not-found", "no profile", "profile.yaml", "a" * 5000),
    _flight("a folder as profile", "aircraft-not-found", "no profile", "profile.yaml", "/"),
    _flight(
        "itself as profile", "file-wrong-kind", "this is not a profile file", "profile.yaml", "flight.yaml"
    ),
)

PROFILES = (
    _profile(
        "arm in millimetres read as metres", "arm-implausible", "not plausible", "arm: 3.005 m", "arm: 3005 m"
    ),
    _profile("edges kind", "value-wrong-kind", "linear in cg", "edges: linear in cg", "edges: linear"),
    _profile(
        "one-point edge",
        "table-shape",
        "at least 2",
        "aft: [[600 kg, 2.370 m], [1085 kg, 2.370 m]]",
        "aft: [[600 kg, 2.370 m]]",
    ),
    _profile("row of three", "table-shape", "not a pair", "[1085 kg, 2.370 m]", "[1085 kg, 2.370 m, 1 m]"),
    _profile(
        "negative mass in an edge",
        "quantity-too-small",
        "row 1 has a negative mass",
        "[600 kg, 2.370 m]",
        "[-600 kg, 2.370 m]",
    ),
    _profile(
        "falling masses",
        "table-not-ascending",
        "must ascend",
        "[[600 kg, 2.370 m], [1085",
        "[[1600 kg, 2.370 m], [1085",
    ),
    _profile(
        "crossed limits",
        "envelope-crossing",
        "forward < aft",
        "[[600 kg, 2.370 m], [1085 kg, 2.370 m]]",
        "[[600 kg, 2.130 m], [1085 kg, 2.130 m]]",
    ),
    _profile(
        "swapped mass limits",
        "masses-order",
        "below maximum take-off",
        "max_ramp: 1088 kg",
        "max_ramp: 1008 kg",
    ),
    _profile(
        "all fuel unusable",
        "tank-unusable",
        "not less than the capacity",
        "capacity: 76 L, unusable: 4 L",
        "capacity: 4 L, unusable: 76 L",
    ),
    _profile("feed of numbers", "feed-order", "is not a feed order", "feed: together", "feed: [[1]]"),
    _profile(
        "feed forgets a tank", "feed-order", "missing from the feed order", "feed: together", "feed: [left]"
    ),
    _profile(
        "oil forgotten",
        "oil-unrecorded",
        "does not include full oil",
        "includes: [full oil, unusable fuel]",
        "includes: [unusable fuel]",
    ),
    _profile(
        "fluid unknown",
        "value-wrong-kind",
        "full oil",
        "includes: [full oil, unusable fuel]",
        "includes: [some oil]",
    ),
    _profile(
        "arm and moment",
        "basic-empty-arm",
        "exactly one of",
        "arm: 2.235 +/- 0.004 m",
        "arm: 2.235 m, moment: 1538 kg.m",
    ),
    _profile("no mass", "quantity-too-small", "mass is zero", "mass: 688.4 +/- 2 kg", "mass: 0 kg"),
    _profile(
        "a moment beyond belief",
        "quantity-too-large",
        "larger than anything",
        "drains:",
        "moment_changes: {gear: 1e308 kg.m}\ndrains:",
    ),
    _profile("a chord of nothing", "chord-length", "no length", "length: 1.480 m", "length: 1e-320 m"),
    _profile(
        "half a seat",
        "value-wrong-kind",
        "whole number",
        "seats: 2, arm: 3.005 m",
        "seats: 1.5, arm: 3.005 m",
    ),
    _profile(
        "lateral arms for another cabin",
        "station-lateral",
        "3 lateral arms for 2 seats",
        "[-0.28 m, 0.28 m]",
        "[-0.28 m, 0 m, 0.28 m]",
    ),
    _profile("invented as text", "value-wrong-kind", "true or false", "invented: true", "invented: yes"),
    _profile("version 3", "file-version", "profile version 3", "profile: 1", "profile: 3"),
    _profile(
        "dip table of a larger tank",
        "dip-table-range",
        "more than the tank",
        "[24 cm, 76 L]",
        "[24 cm, 96 L]",
    ),
    _profile("a stick for no tank", "tank-unknown", "is not a tank", "right: {id: T4-R", "centre: {id: T4-R"),
    _profile("negative flow", "quantity-too-small", "zero or more", "cruise: 33 L/h", "cruise: -33 L/h"),
    _profile("no flow", "flow-zero", "burns nothing", "cruise: 33 L/h", "cruise: 0 L/h"),
    _profile(
        "flow in gallons",
        "quantity-ambiguous-unit",
        "USgal/h or impgal/h",
        "cruise: 33 L/h",
        "cruise: 9 gal/h",
    ),
    _profile(
        "lateral limits swapped",
        "lateral-order",
        "left is negative",
        "left: -0.05 m, right: 0.05 m",
        "left: 0.05 m, right: -0.05 m",
    ),
    _profile("profile with a tab", "yaml-syntax", "not readable as YAML", "  shelf:", "\tshelf:"),
)

CASES = (*RAW, *FLIGHTS, *PROFILES)
