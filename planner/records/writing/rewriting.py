"""A file's text with changed values in it: only what differs is touched, so that comments, order and spacing
stay.

Where the form of the file does not allow that, the values are written anew. Either is proved by reading it
back.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import yaml

from planner.quantities.errors import InputRefused
from planner.records.document import parse
from planner.records.edit import (
    Edit,
    NotEditable,
    added,
    applied,
    end_of,
    line_end,
    newline_of,
    root_of,
    spelt,
)


def rewritten(text: str, value: Mapping[str, Any]) -> str:
    """The YAML `text` holding `value`; comments stay where its form allows, else it is written anew without
    them.

    Parameters: `text` of a file that can be read, or nothing; `value` of text, numbers, lists and mappings.
    Raises: nothing.
    """
    try:
        before = parse(text, "").value
        new = applied(text, _edits(text, root_of(text), before, value))
        if parse(new, "").value == value:
            return new
    except (NotEditable, InputRefused):
        pass
    plain = "".join(_lines(key, each) for key, each in value.items())
    if parse(plain, "").value == value:
        return plain
    return json.dumps(value, indent=2, ensure_ascii=False) + "\n"  # JSON is YAML


def on_one_line(value: Any) -> str:
    """A value as YAML on one line, records and lists within it too."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{spelt(key)}: {on_one_line(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(on_one_line(each) for each in value) + "]"
    return json.dumps(value) if isinstance(value, (bool, int, float)) or value is None else spelt(value)


def _lines(key: str, value: Any) -> str:
    """A key of a file with its value, its parts each on a line of their own."""
    if isinstance(value, Mapping) and value:
        return f"{spelt(key)}:\n" + "".join(
            f"  {spelt(name)}: {on_one_line(each)}\n" for name, each in value.items()
        )
    if isinstance(value, list) and value and isinstance(value[0], Mapping):
        return f"{spelt(key)}:\n" + "".join(f"  - {on_one_line(each)}\n" for each in value)
    return f"{spelt(key)}: {on_one_line(value)}\n"


def _edits(text: str, node: yaml.Node, before: Any, after: Any) -> list[Edit]:
    if before == after and type(before) is type(after):
        return []
    if isinstance(node, yaml.MappingNode) and isinstance(before, dict) and isinstance(after, Mapping):
        gone = any(key not in after for key in before)
        if node.value and after and not (gone and node.flow_style):
            return _of_mapping(text, node, before, after)
    elif (
        isinstance(node, yaml.SequenceNode)
        and isinstance(before, list)
        and isinstance(after, list)
        and len(before) == len(after)
    ):
        return [
            edit
            for child, one, other in zip(node.value, before, after, strict=True)
            for edit in _edits(text, child, one, other)
        ]
    start, end = node.start_mark.index, end_of(node)
    return [(start, end, on_one_line(after) if end > start else f" {on_one_line(after)}")]


def _of_mapping(
    text: str, node: yaml.MappingNode, before: dict[str, Any], after: Mapping[str, Any]
) -> list[Edit]:
    found: list[Edit] = []
    for key_node, value_node in node.value:
        key = key_node.value
        if key not in after:
            start = text.rfind("\n", 0, key_node.start_mark.index) + 1
            if text[start : key_node.start_mark.index].strip():
                raise NotEditable(f"'{key}' does not stand on a line of its own")
            found.append(
                (start, min(line_end(text, end_of(value_node)) + len(newline_of(text)), len(text)), "")
            )
        elif before[key] != after[key]:
            if value_node.start_mark.index < key_node.end_mark.index:
                raise NotEditable(f"'{key}' refers to another place of the file (an alias)")
            found += _edits(text, value_node, before[key], after[key])
    fresh = {spelt(key): on_one_line(value) for key, value in after.items() if key not in before}
    return [*found, *added(text, node, fresh)]
