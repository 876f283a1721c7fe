"""docs/findings.md explains every finding the program can give, and none that it can not."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "planner"

# Which argument of each maker of findings is the code.
MAKERS = {
    "Finding": 0,
    "refusal": 0,
    "_refuse": 0,
    "refuse": 0,
    "note": 0,
    "notice": 0,
    "_notice": 0,
    "_finding": 0,
    "found": 1,
    "unlikely": 1,
    "refuse_option": 1,
    "refused": 1,
    "unknown": 2,
}


def codes_of(nodes: Iterable[ast.AST]) -> Iterator[str]:
    """Codes written in a module, as regular expressions (an f-string's fields match any word)."""
    for node in nodes:
        if not isinstance(node, ast.Call):
            continue
        name = (
            node.func.id
            if isinstance(node.func, ast.Name)
            else node.func.attr
            if isinstance(node.func, ast.Attribute)
            else ""
        )
        place = MAKERS.get(name)
        if place is None:
            continue
        code = next(
            (each.value for each in node.keywords if each.arg == "code"),
            node.args[place] if len(node.args) > place else None,
        )
        # A nested helper of the same name may take other things first: only a literal can be a code.
        if isinstance(code, ast.Constant) and isinstance(code.value, str):
            pattern = code.value
        elif isinstance(code, ast.JoinedStr):
            pattern = "".join(
                str(part.value) if isinstance(part, ast.Constant) else "[a-z0-9]+" for part in code.values
            )
        else:
            continue
        if re.fullmatch(
            r"[a-z][a-z0-9]*(-([a-z0-9]+|\[a-z0-9\]\+))+", pattern
        ):  # a helper of the same name may take words of another kind
            yield pattern


@cache
def in_source() -> tuple[set[str], set[object]]:
    """The codes that stand where they are given, and every constant of the source."""
    codes, constants = set[str](), set[object]()
    for path in PACKAGE.rglob("*.py"):
        nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
        codes.update(codes_of(nodes))
        constants.update(node.value for node in nodes if isinstance(node, ast.Constant))
    return codes, constants


def in_page() -> list[str]:
    return re.findall(
        r"^\| `([a-z0-9-]+)` \|", (ROOT / "docs/findings.md").read_text(encoding="utf-8"), re.MULTILINE
    )


def test_every_code_is_explained() -> None:
    page = in_page()
    missing = sorted(code for code in in_source()[0] if not any(re.fullmatch(code, each) for each in page))
    assert not missing, f"explain these in docs/findings.md: {missing}"


def test_no_code_is_explained_that_is_never_given() -> None:
    # A code that reaches its maker through a variable stands as plain text somewhere in the source.
    source, words = in_source()
    assert len(source) > 50, "the pattern no longer finds the codes it is meant to check"
    stale = [
        each
        for each in in_page()
        if each not in words and not any(re.fullmatch(code, each) for code in source)
    ]
    assert not stale, f"no module gives these: {stale}"


def test_each_is_explained_once_with_its_cure() -> None:
    page = (ROOT / "docs/findings.md").read_text(encoding="utf-8")
    rows = [line for line in page.splitlines() if line.startswith("| `")]
    assert len(in_page()) == len(set(in_page()))
    for row in rows:
        cells = [cell.strip() for cell in row.strip("|").split(" | ")]
        assert len(cells) == 4, row
        assert cells[1] in ("refused", "notice", "either"), row
        assert all(cells), row


def test_codes_are_short_words_joined_by_hyphens() -> None:
    for each in in_page():
        assert re.fullmatch(r"[a-z][a-z0-9]*(-[a-z0-9]+)+", each), each
