"""Changing a few values of a YAML file and nothing else: comments, order and spacing stay as the user wrote
them.

A value is replaced between the marks the YAML reader gives it. Whatever the edit does is proved afterwards by
reading the new text: a file whose shape does not allow the edit is refused, never guessed at.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, TypeAlias

import yaml

from planner.quantities.errors import InputRefused
from planner.records.document import LOADER, parse

_PLAIN: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9 .+/;()_%-]*")


# From where to where, and what stands there then.
Edit: TypeAlias = tuple[int, int, str]


class NotEditable(ValueError):
    """The file is written in a way that cannot be changed value by value; the message says how."""


def spelt(value: Any) -> str:
    """A value as YAML text on one line: plain where that reads back as the same text, quoted where not."""
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(spelt(each) for each in value) + "]"
    text = str(value)
    if _PLAIN.fullmatch(text):
        try:
            if parse(f"a: [{text}]\n", "").value == {"a": [text]} and text == text.strip():
                return text
        except InputRefused:
            pass
    # Signs that YAML takes for line breaks, or does not allow, stand as escapes; JSON's own pairs for rare
    # signs would not be YAML.
    return "".join(
        sign if sign.isprintable() else f"\\U{ord(sign):08X}" for sign in json.dumps(text, ensure_ascii=False)
    )


def root_of(text: str) -> yaml.MappingNode:
    """The mapping a file is. Raises NotEditable where it is none, or written between braces."""
    try:
        node = yaml.compose(text, Loader=LOADER)
    except yaml.YAMLError as error:
        raise NotEditable(
            f"the changed text would not be readable: {getattr(error, 'problem', None) or error}"
        ) from None
    if not isinstance(node, yaml.MappingNode) or node.flow_style:
        raise NotEditable("the file is not written as 'key: value' lines")
    return node


def _pair(node: yaml.MappingNode, key: str) -> tuple[yaml.Node, yaml.Node] | None:
    return next(((k, v) for k, v in node.value if k.value == key), None)


def end_of(node: yaml.Node) -> int:
    """Where the last character of a node stands; a block's own end mark lies past comments after it."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return end_of(last[1] if isinstance(last, tuple) else last)
    return int(node.end_mark.index)


def line_end(text: str, index: int) -> int:
    """Where the line of an index ends."""
    found = re.compile(r"\r?\n|\Z").search(text, index)
    return found.start() if found else len(text)


def newline_of(text: str) -> str:
    """The line ending the file uses."""
    return "\r\n" if "\r\n" in text else "\n"


def set_values(
    text: str, key: str, values: Mapping[str, str], instead: Mapping[str, str] | None = None
) -> str:
    """`text` with the values of the mapping under the top-level `key` set, each given as YAML text; keys not
    there are added.

    `instead` names keys that give way: `{"arm": "moment"}` writes the arm where a moment stood.

    Raises NotEditable where the mapping is missing, empty or an alias.
    """
    pair = _pair(root_of(text), key)
    if pair is None or not isinstance(pair[1], yaml.MappingNode) or not pair[1].value:
        raise NotEditable(f"'{key}:' is not written out in this file")
    mapping = pair[1]
    if mapping.start_mark.index < pair[0].end_mark.index:
        raise NotEditable(f"'{key}:' refers to another place of the file (an alias)")
    edits: list[Edit] = []
    fresh: dict[str, str] = {}
    for name, value in values.items():
        held = _pair(mapping, name)
        if held is None and instead and (held := _pair(mapping, instead.get(name, name))):
            edits.append((held[0].start_mark.index, held[0].end_mark.index, name))
        if held is None:
            fresh[name] = value
        elif held[1].start_mark.index < held[0].end_mark.index:
            raise NotEditable(f"'{key} > {name}' refers to another place of the file (an alias)")
        else:
            edits.append((held[1].start_mark.index, end_of(held[1]), value))
    return applied(text, [*edits, *added(text, mapping, fresh)])


def added(text: str, mapping: yaml.MappingNode, fresh: Mapping[str, str]) -> list[Edit]:
    """Keys that a mapping has not, each with its value as YAML text, behind its last one."""
    rows, last = [f"{name}: {value}" for name, value in fresh.items()], end_of(mapping.value[-1][1])
    if not rows or mapping.flow_style:
        return [(last, last, "".join(f", {each}" for each in rows))] if rows else []
    at, indent = line_end(text, last), newline_of(text) + " " * mapping.value[0][0].start_mark.column
    return [(at, at, "".join(indent + each for each in rows))]


def applied(text: str, edits: Iterable[Edit]) -> str:
    """`text` with edits made that do not touch each other."""
    for start, end, replacement in sorted(edits, reverse=True):
        text = text[:start] + replacement + text[end:]
    return text


def set_text(text: str, key: str, value: str) -> str:
    """`text` with the plain value of the top-level `key` replaced by another, given as YAML text. Raises
    NotEditable where there is none.
    """
    pair = _pair(root_of(text), key)
    if pair is None or not isinstance(pair[1], yaml.ScalarNode) or pair[1].style in ("|", ">"):
        raise NotEditable(f"'{key}:' is not written on one line in this file")
    return text[: pair[1].start_mark.index] + value + text[pair[1].end_mark.index :]


def put_first(text: str, key: str, entry: Mapping[str, str], heading: Sequence[str]) -> str:
    """`text` with `entry` as the first item of the list under the top-level `key`; the list, with `heading`
    above it, is added at the end if missing.

    Raises NotEditable where the list is an alias or something else.
    """
    pair, line = _pair(root_of(text), key), newline_of(text)
    rows = [f"{name}: {value}" for name, value in entry.items()]
    if pair is None:
        gap = "" if text.endswith(("\n", "\r\n")) else line
        block = [
            "",
            *(f"# {each}" for each in heading),
            f"{key}:",
            f"  - {rows[0]}",
            *(f"    {row}" for row in rows[1:]),
            "",
        ]
        return text + gap + line.join(block)
    listed = pair[1]
    if not isinstance(listed, yaml.SequenceNode) or listed.start_mark.index < pair[0].end_mark.index:
        raise NotEditable(f"'{key}:' is not a list in this file")
    at = listed.start_mark.index
    if listed.flow_style:
        rest = ", " if listed.value else ""
        return text[: at + 1] + "{" + ", ".join(rows) + "}" + rest + text[at + 1 :]
    indent = line + " " * listed.start_mark.column
    return text[:at] + f"- {rows[0]}" + "".join(f"{indent}  {row}" for row in rows[1:]) + indent + text[at:]
