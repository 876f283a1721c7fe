"""A file's text with changed values: what is read back is what was asked for, and all else stays as the user
wrote it.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.records.document import parse
from planner.records.writing.rewriting import rewritten

TEXT = """# above
flight: 1
load:
  front: [80 kg, 70 kg]   # beside
  bags:
    # within
    - {mass: 3 kg, how: stated}
    - 4 kg
fuel: {grade: a, tanks: {left: 31 L}}  # flow
trip:
  - phase: taxi
    fuel: 4 L   # taxi
  - {phase: cruise, time: 20 min}
alternate:
# the end
"""
LINES = TEXT.splitlines()


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize(
    ("way", "value", "touched"),
    [
        (("load", "front", 1), "170 lb", 1),
        (("load", "bags", 0, "mass"), "5 kg", 1),
        (("load", "shelf"), "1 kg", 0),
        (("fuel", "tanks", "left"), "20 USgal", 1),
        (("fuel", "tanks", "right"), "20 USgal", 1),
        (("trip", 0, "fuel"), "5 L", 1),
        (("trip", 1), {"phase": "cruise", "time": "45 min"}, 1),
        (("alternate",), {"phase": "cruise", "time": "10 min"}, 1),
        (("title",), "it's: new #1", 0),
    ],
)
def test_only_the_line_of_the_value_changes(
    way: tuple[Any, ...], value: Any, touched: int, line_end: str
) -> None:
    text = TEXT.replace("\n", line_end)
    wanted = parse(text, "").value
    place = wanted
    for part in way[:-1]:
        place = place[part]
    place[way[-1]] = value
    new = rewritten(text, wanted)
    assert parse(new, "").value == wanted
    after = new.split(line_end)
    assert sum(line not in after for line in LINES) == touched
    assert all(
        comment in new for comment in ("# above", "# beside", "# within", "# flow", "# taxi", "# the end")
    )


def test_a_key_taken_out_takes_its_line_with_it() -> None:
    wanted = parse(TEXT, "").value
    del wanted["load"]["bags"]
    new = rewritten(TEXT, wanted)
    assert new == TEXT.replace("  bags:\n    # within\n    - {mass: 3 kg, how: stated}\n    - 4 kg\n", "")
    del wanted["fuel"]["grade"]
    assert "fuel: {tanks: {left: 31 L}}  # flow" in rewritten(TEXT, wanted)


@pytest.mark.parametrize("text", ["{a: {b: 1 kg}, c: 2}", "x: &b {b: 1 kg}\na: *b\nc: 2\n", "", "- 1\n"])
def test_what_cannot_be_edited_is_written_anew(text: str) -> None:
    wanted = {"a": {"b": "2 kg"}, "c": [{"d": 1}, {"e": "x: y"}], "empty": None, "yes": True}
    assert parse(rewritten(text, wanted), "").value == wanted


leaves = st.one_of(st.none(), st.booleans(), st.integers(-99, 99), st.text(max_size=6))
values = st.recursive(
    leaves,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text("abc: #-é", min_size=1, max_size=4), inner, max_size=3)
    ),
    max_leaves=8,
)
files = st.dictionaries(st.text("abc: #-é", min_size=1, max_size=4), values, min_size=1, max_size=4)


@settings(max_examples=200, deadline=None)
@given(files, files)
def test_what_is_read_back_is_what_was_asked_for(before: dict[str, Any], after: dict[str, Any]) -> None:
    text = rewritten("", before)
    assert parse(text, "").value == before
    assert parse(rewritten(text, after), "").value == after
    assert rewritten(text, before) == text
