"""YAML read by the 1.2 core rules, with the place of every value and firm bounds on what a file may do."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from planner.quantities.errors import Finding, InputRefused
from planner.records.document import MAX_BYTES, all_or_refuse, parse, read


def _refusal(text: str) -> tuple[Finding, ...]:
    with pytest.raises(InputRefused) as refused:
        parse(text, "x.yaml")
    return refused.value.findings


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("NO", "NO"),  # YAML 1.1 reads false
        ("yes", "yes"),
        ("on", "on"),
        ("1:30", "1:30"),  # YAML 1.1 reads 90
        ("2026-03-14", "2026-03-14"),  # YAML 1.1 reads a date
        ("0x1F", "0x1F"),
        ("1_000", "1_000"),  # YAML 1.1 reads 1000
        ("0o17", "0o17"),
        ("017", 17),  # decimal by the core rules, octal by YAML 1.1
        ("-12", -12),
        ("1.5e3", 1500.0),
        (".5", 0.5),
        ("true", True),
        ("FALSE", False),
        ("~", None),
        ("null", None),
        ('"1"', "1"),
        ("'true'", "true"),
        ("82 kg", "82 kg"),
        ("[a, 1]", ["a", 1]),
    ],
)
def test_scalars_by_the_core_rules(text: str, value: object) -> None:
    # YAML 1.2.2, section 10.3.2, tag resolution of the core schema (from memory); hexadecimal and octal are
    # left as text on purpose.
    got = parse(f"key: {text}\n", "x").value["key"]
    assert got == value
    assert type(got) is type(value)


def test_every_value_has_its_line_and_column() -> None:
    document = parse("# a comment\nouter:\n  inner: [1, 22 kg,\n          {deep: x}]\nlast: y\n", "x")
    assert document.mark(("outer",)) == (3, 3)
    assert document.mark(("outer",), key=True) == (2, 1)
    assert document.mark(("outer", "inner", 0)) == (3, 11)
    assert document.mark(("outer", "inner", 1)) == (3, 14)
    assert document.mark(("outer", "inner", 2, "deep")) == (4, 18)
    assert document.mark(("outer", "inner", 2, "deep"), key=True) == (4, 12)
    assert document.mark(("last",)) == (5, 7)
    # What does not stand in the file is placed at the nearest thing that does.
    assert document.mark(("outer", "inner", 2, "missing")) == (4, 11)
    assert document.mark(("nowhere",)) == document.mark(()) == (2, 1)


def test_the_place_is_spelt_in_words_counting_from_one() -> None:
    document = parse("trip:\n  - a\n  - b\n", "f.yaml")
    placed = document.place(Finding("c", "wrong", "needed d", "do e"), ("trip", 1))
    assert str(placed) == "f.yaml:3:5: trip > 2: wrong; needed d; do e"


def test_columns_count_characters_not_bytes() -> None:
    assert parse("é: {ü: x}\n", "x").mark(("é", "ü")) == (1, 8)


def test_every_duplicate_key_is_found_at_once() -> None:
    findings = _refusal("a: 1\nb: {c: 1, c: 2}\na: 3\n")
    assert [(each.code, each.line, each.column) for each in findings] == [
        ("yaml-duplicate-key", 2, 11),
        ("yaml-duplicate-key", 3, 1),
    ]
    assert "first on line 1" in findings[1].message


@pytest.mark.parametrize("tag", ["!!python/object/apply:os.system", "!!binary", "!mine", "!!int"])
def test_tags_are_refused(tag: str) -> None:
    (finding,) = _refusal(f"a: {tag} 'x'\n")
    assert (finding.code, finding.line) == ("yaml-tag", 1)


def test_an_alias_bomb_is_refused_quickly() -> None:
    levels = "abcdefghi"
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    lines += [
        f"{here}: &{here} [{', '.join(['*' + before] * 9)}]" for before, here in itertools.pairwise(levels)
    ]
    (finding,) = _refusal("\n".join(lines))  # 9^9 values when unfolded
    assert finding.code == "yaml-too-large"


def test_an_alias_that_holds_itself_is_refused() -> None:
    (finding,) = _refusal("a: &a [*a]\n")
    assert finding.code == "yaml-too-large"


def test_a_plain_alias_is_allowed() -> None:
    assert parse("a: &x {arm: 1 m}\nb: *x\n", "x").value == {"a": {"arm": "1 m"}, "b": {"arm": "1 m"}}


def test_a_hundred_thousand_brackets_end_in_a_finding_not_in_a_crash() -> None:
    (finding,) = _refusal("[" * 100_000)  # the parser's own bound may come first
    assert finding.code in {"yaml-too-large", "yaml-syntax"}


@pytest.mark.parametrize("text", ["[" * 50 + "]" * 50, "a: " + "{b: " * 60 + "1" + "}" * 60])
def test_deep_nesting_is_refused(text: str) -> None:
    (finding,) = _refusal(text)
    assert finding.code == "yaml-too-large"


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("a: [1, 2\nb: 3\n", "yaml-syntax", 2),
        ("a: 1\n\tb: 2\n", "yaml-syntax", 2),
        ("a: 'open\n", "yaml-syntax", 2),
        ("a: b: c\n", "yaml-syntax", 1),
        ("a: *nowhere\n", "yaml-syntax", 1),
        ("a: 1\n---\nb: 2\n", "yaml-syntax", 2),
        ("a: \x01\n", "yaml-syntax", 1),
        ('a: "\\ud800"\n', "yaml-syntax", 1),
        ("", "yaml-empty", 1),
        ("# only a comment\n", "yaml-empty", 1),
        ("? [a, b]\n: c\n", "yaml-key", 1),
        ('x: 1\n"": 2\n', "yaml-key", 2),
    ],
)
def test_unreadable_text(text: str, code: str, line: int) -> None:
    findings = _refusal(text)
    assert (findings[0].code, findings[0].line) == (code, line)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    def code(path: Path) -> tuple[str, int]:
        with pytest.raises(InputRefused) as refused:
            read(path)
        (finding,) = refused.value.findings
        assert finding.path == str(path)
        return finding.code, finding.line

    (tmp_path / "large").write_bytes(b"#" * (MAX_BYTES + 1))
    (tmp_path / "latin").write_bytes("a: 1\nb: 2\nname: Müller\n".encode("latin-1"))
    (tmp_path / "wide").write_bytes("a: 1\n".encode("utf-16"))
    (tmp_path / "nul").write_bytes(b"a: 1\n\x00\n")
    assert code(tmp_path / "missing") == ("file-unreadable", 1)
    assert code(tmp_path) == ("file-unreadable", 1)
    assert code(tmp_path / "nul\0name") == ("file-unreadable", 1)
    assert code(tmp_path / ("x" * 400)) == ("file-unreadable", 1)
    assert code(tmp_path / "large") == ("file-too-large", 1)
    assert code(tmp_path / "latin") == ("file-not-utf8", 3)
    assert code(tmp_path / "wide") == ("file-not-utf8", 1)
    assert code(tmp_path / "nul")[0] == "yaml-syntax"


def test_a_file_of_just_one_mebibyte_is_read(tmp_path: Path) -> None:
    path = tmp_path / "full"
    path.write_bytes(b"a: 1\n" + b"#" * (MAX_BYTES - 5))
    assert read(path).value == {"a": 1}


def test_a_byte_order_mark_is_no_part_of_the_first_key(tmp_path: Path) -> None:
    path = tmp_path / "bom"
    path.write_bytes(b"\xef\xbb\xbfflight: 1\n")
    assert read(path).value == {"flight": 1}


def test_one_refusal_refuses_and_notices_pass() -> None:
    notice, refused = Finding("n", "x", severity="notice"), Finding("r", "y")
    assert all_or_refuse([notice]) == (notice,)
    with pytest.raises(InputRefused) as caught:
        all_or_refuse([notice, refused])
    assert caught.value.findings == (notice, refused)


def test_a_tab_is_named() -> None:
    with pytest.raises(InputRefused, match="a tab stands in this line"):
        parse("flight: 1\n\taircraft: x\n", "flight.yaml")
