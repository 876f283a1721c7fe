"""A differing flight made as small as it gets while it still differs in the same way."""

from __future__ import annotations

import copy
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from planner.quantities.errors import InputRefused
from tests.oracle.compare import Comparison, compare_file
from tests.oracle.generate import Case

_DOUBT = re.compile(r" \+/- [\d.e+-]+")
MOST_TRIES = 400


def compared(case: Case, draws: int, chance_draws: int = 0, surfaces: bool = False) -> Comparison | None:
    """The comparison of a case, or None where its files are refused or make no plan."""
    with tempfile.TemporaryDirectory() as folder:
        path = case.write(Path(folder))
        try:
            return compare_file(path, draws=draws, chance_draws=chance_draws, surfaces=surfaces)
        except InputRefused:
            return None


def _simpler(node: Any) -> Iterator[Any]:
    """Every way to make YAML data one piece simpler: one thing less, or one figure exact."""
    if isinstance(node, dict):
        for key in node:
            yield {name: value for name, value in node.items() if name != key}
        for key, value in node.items():
            for smaller in _simpler(value):
                yield {**node, key: smaller}
    elif isinstance(node, list):
        for index in range(len(node)):
            yield node[:index] + node[index + 1 :]
        for index, value in enumerate(node):
            for smaller in _simpler(value):
                yield [*node[:index], smaller, *node[index + 1 :]]
    elif isinstance(node, str) and _DOUBT.search(node):
        yield _DOUBT.sub("", node)


def _without_names(
    profile: dict[str, Any], flight: dict[str, Any]
) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Cases with one tank or station less, wherever it is named."""
    for group, inside in (("tanks", "fuel"), ("stations", "load")):
        for name in list(profile[group]):
            if len(profile[group]) == 1 or inside not in flight:
                continue
            fewer, less = copy.deepcopy(profile), copy.deepcopy(flight)
            del fewer[group][name]
            if inside == "load":
                less.get("load", {}).pop(name, None)
            else:
                less["fuel"]["tanks"].pop(name, None)
                fewer.get("dipsticks", {}).pop(name, None)
                if fewer.get("feed", "together") != "together":
                    groups = [
                        [each for each in ([group_] if isinstance(group_, str) else group_) if each != name]
                        for group_ in fewer["feed"]
                    ]
                    fewer["feed"] = [each for each in groups if each]
            yield fewer, less


def shrunk(
    case: Case, kind: str, where: str, draws: int = 400, chance_draws: int = 0, surfaces: bool = False
) -> tuple[Case, str]:
    """The smallest case found that differs in the same kind at the same place, and the words of the
    difference there.
    """
    profile, flight, words = case.profile, case.flight, ""

    def same(fewer: dict[str, Any], less: dict[str, Any]) -> str:
        try:
            found = compared(Case(case.number, fewer, less), draws, chance_draws, surfaces)
        except Exception:  # noqa: BLE001 - a way too far, such as a trip without a phase; another kind of difference at most
            return ""
        alike = (
            [each for each in found.differences if (each.kind, each.where) == (kind, where)] if found else []
        )
        return alike[0].line() if alike else ""

    tries, moved = 0, True
    while moved and tries < MOST_TRIES:
        moved = False
        ways = [
            *_without_names(profile, flight),
            *((profile, less) for less in _simpler(flight)),
            *((fewer, flight) for fewer in _simpler(profile)),
        ]
        for fewer, less in ways:
            tries += 1
            if tries > MOST_TRIES:
                break
            line = same(fewer, less)
            if line:
                profile, flight, words, moved = fewer, less, line, True
                break
    return Case(case.number, profile, flight, set()), words
