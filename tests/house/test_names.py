"""Views and remedies know a limit by its id, place and group: none of them compares, cuts or searches a name.

A name is what a person reads. Code that takes one apart is silently wrong as soon as a record has a name it
did not think of.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "planner"
FOLDERS = ("views", "search/remedies", "app")
# Modules that search text, and what for: no name of a limit or a state comes near them.
SEARCHING = {
    "app/bench/bench_options.py": "puts an option in the place of a key of the record",
    "app/flight/card.py": "reads what a page says it was made by",
    "app/given/asking.py": "reads what was typed in",
    "app/sooner.py": "compiles the expressions of libraries later",
    "views/page/building.py": "makes script and style shorter",
    "views/sheet/picture.py": "takes the remote font out of a drawing",
    "views/paper.py": "puts a title into a drawing",
    "views/terminal/text.py": "holds a figure and its unit together on a line",
}
NAMES = {"name", "title", "base", "variant"}  # of a LimitResult, a Limit, a State
# A tank's or aircraft's name is its key in the record; that of a block, a file or a source is no limit's.
OTHERS = {"tank", "flight", "station", "target", "unit", "case", "os", "path", "aircraft", "source"}
# Texts that are built for people from names: told, never asked for a word in them.
TEXTS = {"limit", "subject", "what"}
CUTS = {
    "startswith",
    "endswith",
    "removesuffix",
    "removeprefix",
    "partition",
    "rpartition",
    "split",
    "replace",
    "find",
}


def is_name(node: ast.AST) -> bool:
    """Whether this is the name of something that may be a limit or a state."""
    if not (isinstance(node, ast.Attribute) and node.attr in NAMES):
        return False
    owner = node.value
    if isinstance(owner, ast.Call) and isinstance(owner.func, ast.Name):
        return False  # of a path: Path(file).name
    return (
        owner.attr if isinstance(owner, ast.Attribute) else owner.id if isinstance(owner, ast.Name) else ""
    ) not in OTHERS


def is_text(node: ast.AST) -> bool:
    """Whether this is a text made for people, and not of a module's own notes."""
    return isinstance(node, ast.Attribute) and node.attr in TEXTS


def has_words(node: ast.AST) -> bool:
    """Whether a text is written out here."""
    return any(
        isinstance(each, ast.Constant) and isinstance(each.value, str) and each.value
        for each in ast.walk(node)
    )


def wrong_uses(tree: ast.AST) -> list[str]:
    """Places where a name is compared, cut, or used to find something."""
    found = []
    for node in ast.walk(tree):
        bad = False
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            empty = any(isinstance(side, ast.Constant) and side.value == "" for side in sides)
            bad = not empty and any(is_name(side) for side in sides)
            bad |= any(is_text(side) for side in sides) and any(has_words(side) for side in sides)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            bad = node.func.attr in CUTS and any(
                is_name(each) or is_text(each) for each in ast.walk(node.func.value)
            )
        elif isinstance(node, ast.DictComp):
            bad = (
                is_name(node.key)
                and isinstance(node.key, ast.Attribute)
                and ast.unparse(node.key.value) == "limit"
            )
        elif isinstance(node, ast.Subscript):
            bad = (
                is_name(node.slice)
                and isinstance(node.slice, ast.Attribute)
                and ast.unparse(node.slice.value) == "limit"
            )
        elif isinstance(node, ast.MatchClass | ast.Match):
            bad = isinstance(node, ast.Match) and is_name(node.subject)
        if bad:
            found.append(f"{node.lineno}: {ast.unparse(node)}")  # type: ignore[attr-defined]  # each of these has a line
    return found


def searches(tree: ast.AST) -> bool:
    """Whether a module searches text."""
    return any(
        (isinstance(node, ast.Import) and any(alias.name == "re" for alias in node.names))
        or (isinstance(node, ast.ImportFrom) and node.module == "re")
        for node in ast.walk(tree)
    )


def test_no_view_and_no_remedy_takes_a_name_apart() -> None:
    wrong, searching = {}, set()
    paths = [PACKAGE / "api.py", *(path for name in FOLDERS for path in (PACKAGE / name).rglob("*.py"))]
    assert all((PACKAGE / name).is_dir() for name in FOLDERS)
    for path in paths:
        tree, name = ast.parse(path.read_text(encoding="utf-8")), str(path.relative_to(PACKAGE))
        wrong |= {name: found} if (found := wrong_uses(tree)) else {}
        searching |= {name} if searches(tree) else set()
    assert not wrong, "use id, place or group"
    assert searching == set(SEARCHING)


@pytest.mark.parametrize(
    "code",
    [
        "limit.name.removesuffix(', whole burn')",
        "x = limit.name == 'maximum take-off mass'",
        "y = 'no load allowed' in limit.name",
        "z = limit.name not in stations.values()",
        "limits = {limit.name: limit for limit in plan.load_limits}",
        "worst[limit.name] = limit",
        "station = item.name.rpartition(' ')[0]",
        "f = state.name != 'zero fuel'",
        "any(each.margin < 0 and each.limit in ('forward limit', 'aft limit') for each in least)",
        "variable.what.startswith('added')",
        "attempt.subject.removesuffix(' 1')",
        "spot.limit.title.split(' (')",
        "(limit.base + limit.variant).replace(' limit', '')",
    ],
)
def test_the_rule_finds_what_was_done_before(code: str) -> None:
    assert wrong_uses(ast.parse(code))


@pytest.mark.parametrize(
    "code",
    [
        "limit.id == GREATEST",
        "each.tank.name in changed",
        "print(limit.name)",
        "words = limit.title if limit.base != '' else ''",
    ],
)
def test_the_rule_lets_ids_and_words_pass(code: str) -> None:
    assert not wrong_uses(ast.parse(code))


def test_the_rule_sees_a_search() -> None:
    assert searches(ast.parse("import re"))
    assert searches(ast.parse("from re import compile"))
