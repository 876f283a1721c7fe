"""What is in the repository stands on its own: no path outside it, no talk of how it came to be."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
KINDS = {".py", ".md", ".yaml", ".toml", ".csv"}
SKIPPED = {".git", ".venv", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis", "__pycache__"}
FORBIDDEN = {
    "a folder beside the repository": re.compile(r"\.\./shared|\bshared/"),
    "a number of a ticket": re.compile(r"\b(?:issue|ticket|bug) ?#?\d+", re.IGNORECASE),
    "work left open": re.compile(r"\b(?:TODO|FIXME|XXX)\b"),
    "a folder of one machine": re.compile(r"/(?:home|Users|root|work)/\w"),
}


def files() -> list[Path]:
    found = [
        path
        for path in sorted(ROOT.rglob("*"))
        if path.suffix in KINDS and not SKIPPED & set(path.relative_to(ROOT).parts)
    ]
    return [
        path for path in found if path != Path(__file__).resolve()
    ]  # this file has to spell what it forbids


def test_nothing_of_the_kind_is_named() -> None:
    found = [
        f"{path.relative_to(ROOT)}:{number}: {what}"
        for path in files()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        for what, pattern in FORBIDDEN.items()
        if pattern.search(line)
    ]
    assert not found


def test_files_are_looked_at() -> None:
    assert len(files()) > 80


def test_weight_is_said_only_where_the_trade_says_it() -> None:
    """The pages say mass; `weight` stands in titles of sources, beside lb figures and in verbs."""
    for page in (ROOT / "docs").glob("*.md"):
        if page.name in ("validation.md", "nomenclature.md"):
            continue  # the first quotes titles of sources, the second says what the word means
        assert not re.search(r"\bweights?\b", page.read_text(encoding="utf-8")), page.name
