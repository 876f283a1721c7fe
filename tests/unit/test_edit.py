"""Changing a value of a YAML file leaves everything else as the user wrote it."""

from __future__ import annotations

import pytest
import yaml

from planner.records.edit import NotEditable, put_first, set_values, spelt

FLOW = (
    "# über, 日本 \na: 1\nbasic: {mass: 688.4 +/- 2 kg, date: 2026-03-14, includes: [full oil, x]}  #"
    " note\nz: 2\n"
)
BLOCK = (
    "a: 1\nbasic:\n  # above\n  mass: 688.4 kg   # beside\n  includes:\n    - full oil\n    - x   # last\n  #"
    " below\nz: 2\n"
)


@pytest.mark.parametrize(
    "text",
    [
        FLOW,
        BLOCK,
        FLOW.replace("\n", "\r\n"),
        BLOCK.replace("\n", "\r\n"),
        BLOCK.rstrip().replace("\nz: 2", ""),
    ],
)
def test_only_the_values_change(text: str) -> None:
    new = set_values(text, "basic", {"mass": "690 kg", "includes": "[y]", "fresh": "2026-01-01"})
    before, after = yaml.safe_load(text), yaml.safe_load(new)
    assert after["basic"] == {
        **before["basic"],
        "mass": "690 kg",
        "includes": ["y"],
        "fresh": after["basic"]["fresh"],
    }
    assert {key: value for key, value in after.items() if key != "basic"} == {
        key: value for key, value in before.items() if key != "basic"
    }
    for comment in ("# über, 日本", "# note", "# above", "# beside", "# below"):
        assert (comment in new) == (comment in text)
    assert ("\r\n" in new) == ("\r\n" in text)
    assert new.count("\n") - new.count("\r\n") == (0 if "\r\n" in text else new.count("\n"))
    kept = [
        line
        for line in text.splitlines()
        if not any(word in line for word in ("mass", "includes", "- full oil", "- x"))
    ]
    assert all(line in new.splitlines() for line in kept)


def test_the_list_is_added_then_grown_at_its_head() -> None:
    one = put_first("a: 1", "old", {"v": "one", "m": "1 kg"}, ["Kept for ever."])
    assert yaml.safe_load(one) == {"a": 1, "old": [{"v": "one", "m": "1 kg"}]}
    assert "# Kept for ever." in one
    two = put_first(one, "old", {"v": "two"}, ["never used"])
    assert yaml.safe_load(two)["old"] == [{"v": "two"}, {"v": "one", "m": "1 kg"}]
    assert "never used" not in two
    flow = put_first("old: [{v: one}]\nz: 1\n", "old", {"v": "two", "w": "3"}, [])
    assert yaml.safe_load(flow) == {"old": [{"v": "two", "w": 3}, {"v": "one"}], "z": 1}
    assert yaml.safe_load(put_first("old: []\n", "old", {"v": "two"}, [])) == {"old": [{"v": "two"}]}


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("{basic: {mass: 1 kg}}", "basic"),
        ("x: &b {mass: 1 kg}\nbasic: *b\n", "basic"),
        ("a: 1\n", "basic"),
        ("basic: {}\n", "basic"),
        ("m: &m 1 kg\nbasic: {mass: *m}\n", "basic"),
    ],
)
def test_what_cannot_be_edited_is_refused(text: str, key: str) -> None:
    with pytest.raises(NotEditable):
        set_values(text, key, {"mass": "2 kg"})


def test_a_list_that_is_none_is_refused() -> None:
    for text in ("old: text\n", "x: &l [{a: 1}]\nold: *l\n"):
        with pytest.raises(NotEditable):
            put_first(text, "old", {"v": "1"}, [])


@pytest.mark.parametrize(
    "value",
    [
        "688.4 +/- 2 kg",
        "a: b",
        "#x",
        "true",
        "2026-01-01",
        "12",
        "~",
        "",
        "a, b",
        "line\nbreak",
        'quote"s',
        " edge ",
        "- x",
        "é ü",
        "*a",
        "yes: no",
        "a\u2028b",
        "\x85",
        "\ufeffx",
        "😀",
        "\x07",
        "\t",
    ],
)
def test_spelling_reads_back(value: str) -> None:
    assert yaml.load(f"k: {{v: {spelt(value)}}}", Loader=yaml.BaseLoader) == {"k": {"v": value}}
    assert yaml.load(f"k: {spelt([value, 'b'])}", Loader=yaml.BaseLoader) == {"k": [value, "b"]}
