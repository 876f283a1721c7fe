"""YAML text to plain values plus the line and column of every one of them.

Read by the YAML 1.2 core rules: `NO` and `1:30` stay text, `2026-03-14` stays text. Duplicate keys,
tags, endless aliases, deep nesting and files over 1 MiB are refused.
"""

from __future__ import annotations

import re
import sys
from codecs import BOM_UTF8
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, TypeAlias

import yaml

from planner.quantities.errors import Finding, InputRefused

MAX_BYTES: Final = 1 << 20
MAX_NODES: Final = 20_000
MAX_DEPTH: Final = 40

Location: TypeAlias = tuple[str | int, ...]
Mark: TypeAlias = tuple[int, int]
# What is to be changed in a record: by keys as a user names them, or by exact locations.
Changes: TypeAlias = Mapping[str, object] | Mapping[Location, object]

_BOOL: Final = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
_NULL: Final = {"", "~", "null", "Null", "NULL"}
_INT: Final = re.compile(r"[-+]?[0-9]+")
_FLOAT: Final = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
# The base loader resolves nothing: every plain scalar arrives as text and the core rules are ours.
LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
_CORE_TAGS: Final = {"tag:yaml.org,2002:str", "tag:yaml.org,2002:seq", "tag:yaml.org,2002:map"}


def where_words(location: Location) -> str:
    """A location in words, as findings spell it; lists count from 1."""
    return " > ".join(str(part + 1) if isinstance(part, int) else part for part in location)


@dataclass(slots=True)
class Document:
    """One file read: its `path` as shown to the user, its `value`, the mark of each location in it, and its
    text.

    Where values were varied after reading, `varied` holds for each such location the `KEY=VALUE` it came
    from, and `text` is that of the file as it was read. `kept`, in a search through variants of one flight,
    is what files that it names have been worked out to, so that they are read once and not for every variant.
    """

    path: str
    value: Any = None
    marks: dict[Location, Mark] = field(default_factory=dict)
    key_marks: dict[Location, Mark] = field(default_factory=dict)
    text: str = field(default="", repr=False)
    varied: dict[Location, str] = field(default_factory=dict)
    kept: dict[Path, Any] | None = field(default=None, repr=False, compare=False)

    @property
    def folder(self) -> Path:
        """The folder that names in it are relative to: where the program was started for what is no file."""
        return Path(self.path).resolve().parent

    def mark(self, location: Location, key: bool = False) -> Mark:
        """Line and column of a location, or of the nearest thing around it that stands in the file."""
        if key and location in self.key_marks:
            return self.key_marks[location]
        while location and location not in self.marks:
            location = location[:-1]
        return self.marks.get(location, (1, 1))

    def place(self, finding: Finding, location: Location = (), key: bool = False) -> Finding:
        """`finding` with this document's path, line and column, and the location spelt in words.

        What was varied has no line in the file: its `KEY=VALUE` stands in the place of the path.
        """
        where = where_words(location)
        if self.varied and (option := self._option(location, below=finding.severity == "refused")):
            return finding.at(option, 0, 0, where)
        line, column = self.mark(location, key)
        return finding.at(self.path, line, column, where)

    def refused(
        self, location: Location, code: str, message: str, needed: str = "", hint: str = ""
    ) -> InputRefused:
        """A refusal of one thing in this document."""
        return InputRefused([self.place(Finding(code, message, needed, hint), location)])

    def _option(self, location: Location, below: bool) -> str:
        """The `KEY=VALUE` that set a location or what is around it; with `below`, also one that set a part of
        it.

        The file as it was read has no refusal, so a refusal of a whole is owed to its varied part; a notice
        may be older.
        """
        for length in range(len(location), -1, -1):
            if location[:length] in self.varied:
                return self.varied[location[:length]]
        parts = (option for held, option in self.varied.items() if held[: len(location)] == location)
        return next(parts, "") if below and location else ""


@dataclass(slots=True)
class _NodeWalk:
    document: Document
    findings: list[Finding] = field(default_factory=list)
    nodes: int = 0

    def note(
        self, code: str, location: Location, node: yaml.Node, message: str, needed: str = "", hint: str = ""
    ) -> None:
        finding = self.document.place(Finding(code, message, needed, hint), location)
        self.findings.append(finding.at(finding.path, *_mark(node)))

    def value(self, node: yaml.Node, location: Location) -> Any:
        self.nodes += 1
        if self.nodes > MAX_NODES or len(location) > MAX_DEPTH:
            message = "aliases or nesting make this file too large"
            most = f"at most {MAX_NODES} values, {MAX_DEPTH} deep"
            raise self.document.refused((), "yaml-too-large", message, most)
        self.document.marks[location] = _mark(node)
        if node.tag not in _CORE_TAGS:
            self.note(
                "yaml-tag", location, node, f"the tag {node.tag!r} is not used here", hint="delete the tag"
            )
            return None
        if isinstance(node, yaml.MappingNode):
            return self.mapping(node, location)
        if isinstance(node, yaml.SequenceNode):
            return [self.value(child, (*location, index)) for index, child in enumerate(node.value)]
        return node.value if getattr(node, "style", None) in ("'", '"', "|", ">") else plain_value(node.value)

    def mapping(self, node: yaml.MappingNode, location: Location) -> dict[str, Any]:
        result: dict[str, Any] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, yaml.ScalarNode) or not key_node.value:
                self.note(
                    "yaml-key",
                    location,
                    key_node,
                    "this key is not plain text",
                    "needed a word before the colon",
                )
                continue
            key = key_node.value
            here = (*location, key)
            if key in result:
                first = self.document.key_marks[here][0]
                self.note(
                    "yaml-duplicate-key",
                    here,
                    key_node,
                    f"'{key}' is given twice (first on line {first})",
                    "each key once",
                    "delete or rename one",
                )
                continue
            self.document.key_marks[here] = _mark(key_node)
            result[key] = self.value(value_node, here)
        return result


def _mark(node: yaml.Node) -> Mark:
    return node.start_mark.line + 1, node.start_mark.column + 1


def plain_value(text: str) -> Any:
    """Unquoted text by the core rules: nothing, true and false, a number, or the text itself."""
    if text in _NULL:
        return None
    if text in _BOOL:
        return _BOOL[text]
    if _INT.fullmatch(text) and len(text) < 20:
        return int(text)
    return float(text) if _FLOAT.fullmatch(text) else text


def parse(text: str, path: str) -> Document:
    """Read YAML `text`; `path` is the name shown in findings.

    Raises InputRefused with every duplicate key and tag at once, or with the first syntax error.
    """
    document = Document(path, text=text)
    try:
        depth = 0
        # before composing: the composer recurses, the parser does not
        for event in yaml.parse(text, Loader=LOADER):
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            if depth > MAX_DEPTH:
                most = f"at most {MAX_DEPTH} levels"
                raise document.refused((), "yaml-too-large", "nested too deeply", most)
        node = yaml.compose(text, Loader=LOADER)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        problem = getattr(error, "problem", None) or str(error).splitlines()[0]
        line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        hint = "check indentation, colons and brackets near here"
        if mark and "\t" in "".join(text.splitlines()[mark.line : mark.line + 1]):
            hint = "a tab stands in this line: indent with spaces"
        finding = Finding("yaml-syntax", f"not readable as YAML: {problem}", hint=hint)
        raise InputRefused([finding.at(path, line, column)]) from None
    if node is None:
        raise document.refused(
            (), "yaml-empty", "the file is empty", "needed a record", "see docs/formats.md"
        )
    walk = _NodeWalk(document)
    document.value = walk.value(node, ())
    if walk.findings:
        raise InputRefused(walk.findings)
    return document


def read(path: Path | str) -> Document:
    """Read a YAML file, or standard input for `-`.

    Raises InputRefused where the file is missing, unreadable, larger than 1 MiB or not UTF-8.
    """
    name = "<stdin>" if str(path) == "-" else str(path)
    place = Document(name)
    try:
        if name == "<stdin>":
            data = sys.stdin.buffer.read(MAX_BYTES + 1)
        else:
            with open(path, "rb") as stream:
                data = stream.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL byte in the name
        reason = getattr(error, "strerror", None) or str(error)
        message, hint = f"cannot be read: {reason}", "check the name and the folder"
        raise place.refused((), "file-unreadable", message, "needed a readable file", hint) from None
    if len(data) > MAX_BYTES:
        message = "the file is larger than 1 MiB"
        raise place.refused((), "file-too-large", message, "a record is a few kilobytes")
    try:
        data = data.removeprefix(BOM_UTF8)
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        finding = Finding(
            "file-not-utf8", "not UTF-8 text", "needed plain UTF-8 text", "save the file as UTF-8"
        )
        raise InputRefused([finding.at(name, line, 1)]) from None
    return parse(text, name)


def at(tree: Any, location: Location) -> Any:
    """The value at a location, or None."""
    for part in location:
        if isinstance(tree, dict):
            tree = tree.get(part)
        elif isinstance(tree, list) and isinstance(part, int) and part < len(tree):
            tree = tree[part]
        else:
            return None
    return tree


def put(tree: Any, location: Location, value: Any) -> Any:
    """A copy of `tree` with `value` at a location, or without the key where it is None; what is not on the
    way to it is shared.

    Raises InputRefused for an item of a list that is not there: another change has taken it away.
    """
    if not location:
        return value
    part, rest = location[0], location[1:]
    if isinstance(part, int):
        entries = list(tree) if isinstance(tree, list) else []
        if part >= len(entries):
            message = f"there is no item {part + 1} in this list"
            raise InputRefused([Finding("key-unknown", message, "needed one that is there")])
        entries[part] = put(entries[part], rest, value)
        return entries
    held = tree if isinstance(tree, dict) else {}
    if value is None and not rest:
        return {key: each for key, each in held.items() if key != part}
    return {**held, part: put(held.get(part), rest, value)}


def all_or_refuse(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The notices among `findings`; raises InputRefused with all of them when any is a refusal."""
    found = tuple(findings)
    if any(finding.severity == "refused" for finding in found):
        raise InputRefused(found)
    return found
